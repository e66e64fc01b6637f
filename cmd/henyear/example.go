package main

import (
	"strings"

	"henyear/examples"
)

type exampleCommand struct {
	Name string `arg:"" optional:"" default:"${example}" help:"Which one: ${examples} (${default})."`
}

// Run prints an example holding file.
func (c exampleCommand) Run(t terminal) error {
	text, err := examples.Get(c.Name)
	if err != nil {
		return badInput{err}
	}
	_, err = t.out.Write(text)
	return err
}

func exampleNames() string { return strings.Join(examples.List(), ", ") }
