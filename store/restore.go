package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// markName is a file that is there only while a restore moves files about. Until
// it has gone, the data file is not opened: it may be without its journal, or
// not there at all.
func markName(path string) string { return path + ".restoring" }

// restoreWasWhole refuses a data file whose restore was cut short.
func restoreWasWhole(path string) error {
	from, aside, err := readMark(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("the data file %s cannot be read: %w", path, err)
	}
	return faultOf(ErrCutShort, nil, "restoring the data file %s was cut short; what was there before is kept as %s: finish with henyear restore %s", path, aside, quoted(from))
}

// readMark tells what a restore under way takes and where it sets the old file
// aside.
func readMark(path string) (from, aside string, err error) {
	text, err := os.ReadFile(markName(path))
	from, aside, _ = strings.Cut(strings.TrimSpace(string(text)), "\n")
	return from, aside, err
}

// Restore puts a backup in the place of the data file at path. The backup is
// read through first, and the file that was there is never destroyed: it is set
// aside beside it, under a name with the date and time, which is returned; ""
// when there was none. It is an error, and nothing has changed, when the backup
// is not whole or a program is using the file.
func Restore(ctx context.Context, path, from string, now time.Time) (aside string, s State, err error) {
	if from, err = filepath.Abs(from); err != nil {
		return "", State{}, err
	}
	if same(path, from) {
		return "", State{}, faultOf(ErrOccupied, nil, "%s is the data file itself; name a backup of it", from)
	}
	if _, err := CheckBackup(ctx, from); err != nil {
		return "", State{}, err
	}
	if path, err = placed(path); err != nil {
		return "", State{}, err
	}
	held, err := takeLock(path)
	if err != nil {
		return "", State{}, err
	}
	aside, s, err = restoreLocked(ctx, path, from, now)
	// What lies there now is as sound as a check can tell, so the next start
	// need not be careful; after a fault it looks at all of it.
	return aside, s, errors.Join(err, held.release(err == nil))
}

func restoreLocked(ctx context.Context, path, from string, now time.Time) (string, State, error) {
	fresh := path + ".fresh"
	state, err := copyOut(ctx, from, modeFor(from), fresh)
	if err != nil {
		return "", State{}, noRestore(path, err)
	}
	aside, err := asideName(path, now)
	if err == nil {
		err = exchange(path, fresh, aside, from)
	}
	if err != nil {
		return "", State{}, noRestore(path, err)
	}
	if sizeOf(aside) == 0 && sizeOf(aside+"-wal") == 0 {
		os.Remove(aside)
		aside = ""
	}
	return aside, state, nil
}

// exchange sets aside the file at path with its journal, and puts fresh in its
// place. A mark is left until it is done.
func exchange(path, fresh, aside, from string) error {
	folder := filepath.Dir(path)
	if err := writeFlushed(markName(path), from+"\n"+aside+"\n"); err != nil {
		return err
	}
	if err := flushFolder(folder); err != nil {
		return err
	}
	for _, move := range [][2]string{
		{path + "-wal", aside + "-wal"},
		{path + "-journal", aside + "-journal"},
		{path, aside},
	} {
		if err := os.Rename(move[0], move[1]); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	if err := os.Remove(path + "-shm"); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := os.Rename(fresh, path); err != nil {
		return err
	}
	if err := flushFolder(folder); err != nil {
		return err
	}
	if err := os.Remove(markName(path)); err != nil {
		return err
	}
	return flushFolder(folder)
}

// asideName is where the old file goes: where a restore that was cut short had
// begun to put it, so that file and journal stay together, or a new name.
func asideName(path string, now time.Time) (string, error) {
	if _, begun, err := readMark(path); err == nil && begun != "" {
		if _, err := os.Lstat(begun); errors.Is(err, fs.ErrNotExist) {
			return begun, nil
		}
	}
	return freeName(filepath.Join(filepath.Dir(path), "henyear-set-aside-"+now.Format("2006-01-02-150405")))
}

func writeFlushed(name, text string) error {
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		return err
	}
	return flush(name)
}

// freeName finds a name for a database that nothing has yet.
func freeName(stem string) (string, error) {
	for i := range 100 {
		name := stem + ".db"
		if i > 0 {
			name = fmt.Sprintf("%s-%d.db", stem, i+1)
		}
		if _, err := os.Lstat(name); errors.Is(err, fs.ErrNotExist) {
			return name, nil
		}
	}
	return "", faultOf(ErrOccupied, nil, "there are too many files named %s; move them away", stem)
}

func same(a, b string) bool {
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}

func noRestore(path string, err error) error {
	switch {
	case errors.Is(err, context.Canceled):
		return err
	case kindOf(err) == ErrFull:
		return faultOf(ErrFull, err, "the backup could not be put in the place of %s, because the disk is full; make room, then try again", path)
	case kindOf(err) == ErrReadOnly:
		return folderFault(filepath.Dir(path), err)
	}
	return fmt.Errorf("the backup could not be put in the place of %s: %w; try again", path, err)
}
