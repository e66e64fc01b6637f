//go:build unix

package store

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// errHeld says that another program holds a lock.
var errHeld = errors.New("held by another program")

// grab takes the lock of an open file without waiting. The system lets go of it
// when the file is closed, and so also when the program is killed.
func grab(f *os.File) error {
	for {
		err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
		switch {
		case errors.Is(err, unix.EINTR):
			continue
		case errors.Is(err, unix.EWOULDBLOCK):
			return errHeld
		}
		return err
	}
}

// flushFolder waits until the names in a folder are on the disk.
func flushFolder(name string) error {
	f, err := os.Open(name)
	if err != nil {
		return err
	}
	err = f.Sync()
	if errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOTSUP) {
		err = nil // a file system that cannot do so
	}
	return errors.Join(err, f.Close())
}
