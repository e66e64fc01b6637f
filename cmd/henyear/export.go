package main

import (
	"context"
	"errors"
	"fmt"

	"henyear/daybook"
	"henyear/store"
)

type exportCommand struct {
	Folder string `arg:"" help:"The folder to write; it must be new, empty, or hold an earlier export."`
	Data   string `placeholder:"DIR" help:"The folder that keeps your holding and records, instead of this user's usual one."`
}

// Run writes everything as plain files; the pages may be open meanwhile.
func (c exportCommand) Run(ctx context.Context, t terminal) error {
	path, err := dataFile(c.Data)
	if err != nil {
		return err
	}
	file, err := store.OpenReading(path)
	if errors.Is(err, store.ErrOlder) { // brought up to date first, after a backup
		file, err = store.Open(path)
	}
	if err != nil {
		return ofTheData(err)
	}
	defer file.Close()
	held, err := file.Export(ctx, c.Folder, daybook.ExportTables)
	if err != nil {
		return ofTheData(err)
	}
	fmt.Fprintf(t.out, "Exported to %s: %s.\n", c.Folder, inWords(held))
	return nil
}
