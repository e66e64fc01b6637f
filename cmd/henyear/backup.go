package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"henyear/store"
)

type backupCommand struct {
	Folder string `arg:"" optional:"" help:"Where to put the backup, such as a folder on another disk; without it, the backups folder beside the data file."`
	Data   string `placeholder:"DIR" help:"The folder that keeps your holding and records, instead of this user's usual one."`
}

// Run makes one backup by hand; the pages may be open meanwhile.
func (c backupCommand) Run(ctx context.Context, t terminal) error {
	path, err := dataFile(c.Data)
	if err != nil {
		return err
	}
	made, held, err := store.BackUpInto(ctx, path, c.Folder, time.Now())
	if err != nil {
		return ofTheData(err)
	}
	fmt.Fprintf(t.out, "Backed up to %s: %s.\nThe backup was read back and is the same as the file.\n", made.Path, inWords(held))
	return nil
}

// dataFile is the data file in the folder named, or in this user's own.
func dataFile(named string) (string, error) {
	folder, err := dataFolder(named)
	if err != nil {
		return "", err
	}
	return filepath.Abs(filepath.Join(folder, store.FileName))
}

// openKept opens the data file in the folder named, or in this user's own, for
// reading, also while the pages are open. An older one is brought up to date
// first, after a backup.
func openKept(named string) (*store.Store, error) {
	path, err := dataFile(named)
	if err != nil {
		return nil, err
	}
	file, err := store.OpenReading(path)
	if errors.Is(err, store.ErrOlder) {
		file, err = store.Open(path)
	}
	return file, ofTheData(err)
}

// ofTheData marks faults of the data file and its disk as the keeper's to mend.
func ofTheData(err error) error {
	if err != nil && store.IsKeepers(err) {
		return badInput{err}
	}
	return err
}

// inWords tells how much a data file holds.
func inWords(s store.State) string {
	parts := []string{
		counted(s.Holdings, "description of the holding", "descriptions of the holding"),
		counted(s.Plans, "plan", "plans"),
		counted(s.Events, "record", "records"),
		counted(s.Photos, "photo", "photos"),
	}
	if s.Conflicts > 0 {
		parts = append(parts, counted(s.Conflicts, "record that conflicts", "records that conflict"))
	}
	return strings.Join(parts, ", ")
}

func counted(n int64, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// keepBackups makes the rolling backups of an open file until the function that
// is returned is called or the context ends.
func keepBackups(ctx context.Context, t terminal, file *store.Store) (stop func()) {
	ctx, cancel := context.WithCancel(ctx)
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		file.BackUpWhileRunning(ctx, time.Now, func(err error) { fmt.Fprintln(t.err, "henyear:", err) })
	}()
	return func() {
		cancel()
		<-ended
	}
}
