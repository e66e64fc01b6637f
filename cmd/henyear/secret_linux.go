package main

import (
	"os"

	"golang.org/x/sys/unix"
)

// hideTyping stops a terminal from showing what is typed until the function
// returned is called.
func hideTyping(f *os.File) (show func()) {
	was, err := unix.IoctlGetTermios(int(f.Fd()), unix.TCGETS)
	if err != nil {
		return func() {}
	}
	hidden := *was
	hidden.Lflag &^= unix.ECHO
	if unix.IoctlSetTermios(int(f.Fd()), unix.TCSETS, &hidden) != nil {
		return func() {}
	}
	return func() { unix.IoctlSetTermios(int(f.Fd()), unix.TCSETS, was) }
}
