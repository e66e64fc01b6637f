package main

import (
	"context"
	"fmt"

	"henyear/daybook"
)

type exportCommand struct {
	Folder string `arg:"" help:"The folder to write; it must be new, empty, or hold an earlier export."`
	Data   string `placeholder:"DIR" help:"The folder that keeps your holding and records, instead of this user's usual one."`
}

// Run writes everything as plain files; the pages may be open meanwhile.
func (c exportCommand) Run(ctx context.Context, t terminal) error {
	file, err := openKept(c.Data)
	if err != nil {
		return err
	}
	defer file.Close()
	held, err := file.Export(ctx, c.Folder, daybook.ExportTables)
	if err != nil {
		return ofTheData(err)
	}
	fmt.Fprintf(t.out, "Exported to %s: %s.\n", c.Folder, inWords(held))
	return nil
}
