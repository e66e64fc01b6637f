//go:build !unix

package main

import "os"

// columnsOf asks a terminal how wide it is; 0 when it does not say.
func columnsOf(*os.File) int { return 0 }
