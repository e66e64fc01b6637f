package store

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
)

// A lock keeps every other program from the data file. It is a file of its own
// beside it, so that nothing is ever read from or locked in the data file but by
// the database. Its text names the program that holds it, and is taken out
// again at the end: text that is left tells that the program was cut off.
type lock struct {
	file *os.File
	// cutOff tells that the program that held the lock before did not end as
	// it should.
	cutOff bool
}

// lockName is the lock of a data file.
func lockName(path string) string { return path + ".lock" }

// takeLock takes the lock of the data file at path, whose folder must be there.
func takeLock(path string) (*lock, error) {
	f, err := os.OpenFile(lockName(path), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, folderFault(filepath.Dir(path), err)
	}
	text, err := readShort(f)
	if err == nil {
		err = grab(f)
	}
	if errors.Is(err, errHeld) {
		f.Close()
		return nil, faultOf(ErrInUse, err, "another henyear%s is using the data file %s; use its pages, or end it and try again", holder(text), path)
	}
	if err != nil {
		f.Close()
		return nil, fmt.Errorf("the data file %s cannot be kept from other programs: %w; name a folder on a disk of this computer with --data", path, err)
	}
	text, err = readShort(f) // again, now that nobody else writes it
	if err == nil {
		err = rewrite(f, fmt.Sprintf("process %d\n", os.Getpid()))
	}
	if err != nil && kindOf(err) != ErrFull { // on a full disk the lock holds without its text
		f.Close()
		return nil, folderFault(filepath.Dir(path), err)
	}
	return &lock{f, strings.TrimSpace(text) != ""}, nil
}

// release lets go of the lock. ended says whether all is well with the file.
func (l *lock) release(ended bool) error {
	if l == nil || l.file == nil {
		return nil
	}
	var err error
	if ended {
		err = l.file.Truncate(0)
	}
	err = errors.Join(err, l.file.Close())
	l.file = nil
	return err
}

func holder(text string) string {
	if text = strings.TrimSpace(text); text != "" {
		return " (" + text + ")"
	}
	return ""
}

func readShort(f *os.File) (string, error) {
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return "", err
	}
	text, err := io.ReadAll(io.LimitReader(f, 100))
	return string(text), err
}

func rewrite(f *os.File, text string) error {
	if err := f.Truncate(0); err != nil {
		return err
	}
	_, err := f.WriteAt([]byte(text), 0)
	return err
}

// folderFault says why nothing can be written in a folder.
func folderFault(folder string, err error) error {
	switch kindOf(err) {
	case ErrFull:
		return faultOf(ErrFull, err, "nothing can be written in the folder %s, because the disk is full; make room, then try again", folder)
	case ErrReadOnly:
		return faultOf(ErrReadOnly, err, "the folder %s may not be written; see to its permissions or its disk, or name another with --data", folder)
	}
	return faultOf(ErrReadOnly, err, "nothing can be written in the folder %s: %s; name another with --data", folder, reason(err))
}

// reason is the last part of an error of the system, without the name of the
// file, which the sentence says already.
func reason(err error) string {
	var path *os.PathError
	if errors.As(err, &path) {
		return path.Err.Error()
	}
	return err.Error()
}
