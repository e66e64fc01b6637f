package main

import (
	"context"
	"fmt"

	"henyear/store"
)

type importCommand struct {
	Folder string `arg:"" help:"A folder that henyear export wrote."`
	Data   string `placeholder:"DIR" help:"The folder to keep it in, which must hold nothing yet, instead of this user's usual one."`
}

// Run reads an export into a data file that holds nothing yet.
func (c importCommand) Run(ctx context.Context, t terminal) error {
	path, err := dataFile(c.Data)
	if err != nil {
		return err
	}
	file, err := store.Open(path)
	if err != nil {
		return ofTheData(err)
	}
	defer file.Close()
	held, err := file.Import(ctx, c.Folder)
	if err != nil {
		return ofTheData(err)
	}
	fmt.Fprintf(t.out, "Imported from %s: %s.\n", c.Folder, inWords(held))
	return file.Close()
}
