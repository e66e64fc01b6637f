package main

import (
	"cmp"
	"fmt"
	"runtime"
)

// version is set by the build: the release, or the commit.
var version string

type versionCommand struct{}

// Run prints the version on one line.
func (versionCommand) Run(t terminal) error {
	_, err := fmt.Fprintln(t.out, versionText())
	return err
}

func versionText() string {
	return fmt.Sprintf("henyear %s (%s, %s/%s)", cmp.Or(version, "of unknown version"), runtime.Version(), runtime.GOOS, runtime.GOARCH)
}
