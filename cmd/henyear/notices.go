package main

import (
	_ "embed"
	"io"

	"henyear/solve"
)

// gathered holds this program's licence and those of Go and of the Go modules,
// put together by scripts/notices. A test sees that none is missing.
//
//go:embed notices.txt
var gathered string

type noticesCommand struct{}

// Run prints every licence that must go with the program.
func (noticesCommand) Run(t terminal) error {
	_, err := io.WriteString(t.out, gathered+solve.Notices())
	return err
}
