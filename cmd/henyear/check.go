package main

import (
	"fmt"

	"henyear/measure"
)

type checkCommand struct {
	File string       `arg:"" help:"The holding file; - for standard input."`
	AsOf measure.Date `name:"as-of" placeholder:"DATE" help:"The day for which the birds on hand are stated, instead of the file's own or today."`
}

// Run reads a holding file and says what is wrong with it; where nothing is, it
// lists what the program takes for figures that the file leaves out.
func (c checkCommand) Run(t terminal) error {
	h, notes, err := readHolding(t, c.File, c.AsOf)
	if err != nil {
		return err
	}
	fmt.Fprintf(t.out, "%s is in order, for %s.\n", h.Name, h.AsOf.Words())
	if len(notes) > 0 {
		fmt.Fprintln(t.out, "\nTaken where the file gives no figure:")
	}
	for _, n := range notes {
		fmt.Fprintf(t.out, "  %s\n", n)
	}
	return nil
}
