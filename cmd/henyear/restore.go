package main

import (
	"context"
	"fmt"
	"time"

	"henyear/store"
)

type restoreCommand struct {
	File string `arg:"" help:"The backup to go back to."`
	Data string `placeholder:"DIR" help:"The folder that keeps your holding and records, instead of this user's usual one."`
}

// Run puts a backup in the place of the data file, which is set aside.
func (c restoreCommand) Run(ctx context.Context, t terminal) error {
	path, err := dataFile(c.Data)
	if err != nil {
		return err
	}
	aside, held, err := store.Restore(ctx, path, c.File, time.Now())
	if err != nil {
		return ofTheData(err)
	}
	fmt.Fprintf(t.out, "Went back to %s: %s.\n", c.File, inWords(held))
	if aside != "" {
		fmt.Fprintf(t.out, "The file that was there is kept as %s.\n", aside)
	}
	return nil
}
