//go:build !linux

package main

import "os"

// hideTyping cannot hide what is typed here.
func hideTyping(*os.File) (show func()) { return func() {} }
