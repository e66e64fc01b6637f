package store

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// errHeld says that another program holds a lock.
var errHeld = errors.New("held by another program")

// grab takes the lock of an open file without waiting. The system lets go of it
// when the file is closed, and so also when the program is killed. One byte far
// behind the text is locked, since others may not read a byte that is.
func grab(f *os.File) error {
	far := &windows.Overlapped{Offset: 1 << 30}
	err := windows.LockFileEx(windows.Handle(f.Fd()),
		windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, far)
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
		return errHeld
	}
	return err
}

// flushFolder does nothing: Windows writes the names of files by itself.
func flushFolder(string) error { return nil }
