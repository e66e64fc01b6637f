package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"syscall"

	"modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"
)

// What may be wrong with a data file or its disk. An error of this package is a
// sentence for the keeper; errors.Is tells which of these it is about.
var (
	ErrNone     = errors.New("nothing has been saved yet")
	ErrFull     = errors.New("the disk is full")
	ErrReadOnly = errors.New("the folder may not be written")
	ErrInUse    = errors.New("another henyear is using the data file")
	ErrDamaged  = errors.New("the data file is damaged")
	ErrForeign  = errors.New("the file is not one of Henyear's")
	ErrOlder    = errors.New("an older Henyear wrote the file")
	ErrNewer    = errors.New("a newer Henyear wrote the file")
	ErrCutShort = errors.New("a restore was cut short")
	ErrOccupied = errors.New("something is in the way")
)

// fault is a sentence of its own that is also one of the kinds above.
type fault struct {
	sentence string
	kind     error
	cause    error
}

func (f fault) Error() string { return f.sentence }

func (f fault) Unwrap() []error {
	if f.cause == nil {
		return []error{f.kind}
	}
	return []error{f.kind, f.cause}
}

func faultOf(kind, cause error, sentence string, args ...any) error {
	return fault{fmt.Sprintf(sentence, args...), kind, cause}
}

// IsKeepers reports whether an error of this package is about something that
// the keeper can mend: the disk, the folder, the file or another program.
func IsKeepers(err error) bool {
	for _, kind := range []error{ErrNone, ErrFull, ErrReadOnly, ErrInUse, ErrDamaged, ErrForeign, ErrOlder, ErrNewer, ErrCutShort, ErrOccupied, fs.ErrNotExist, fs.ErrPermission} {
		if errors.Is(err, kind) {
			return true
		}
	}
	return false
}

// kindOf tells what the database or the system complains of; nil when it is
// none of the kinds above.
func kindOf(err error) error {
	var said *sqlite.Error
	if errors.As(err, &said) {
		if said.Code() == codes.SQLITE_IOERR_SHMSIZE {
			return ErrFull // no room for the list of what is in the journal
		}
		switch said.Code() & 0xff {
		case codes.SQLITE_FULL:
			return ErrFull
		case codes.SQLITE_READONLY:
			return ErrReadOnly
		case codes.SQLITE_CORRUPT, codes.SQLITE_NOTADB:
			return ErrDamaged
		case codes.SQLITE_BUSY, codes.SQLITE_LOCKED:
			return ErrInUse
		}
	}
	switch {
	case errors.Is(err, ErrDamaged):
		return ErrDamaged
	case errors.Is(err, ErrFull), errors.Is(err, errDiskFull), errors.Is(err, syscall.EFBIG):
		return ErrFull
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return ErrReadOnly
	}
	return nil
}

// forbidden reports whether a rule of the tables, and not the disk, was in the
// way.
func forbidden(err error) bool {
	var said *sqlite.Error
	return errors.As(err, &said) && said.Code()&0xff == codes.SQLITE_CONSTRAINT
}

// explain wraps a fault of the database with what was being done and what the
// keeper can do; ErrNone and cancelled contexts pass unchanged.
func (s *Store) explain(doing string, err error) error {
	if err == nil || errors.Is(err, ErrNone) || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	switch kindOf(err) {
	case ErrFull:
		return faultOf(ErrFull, err, "could not %s the data file %s, because the disk is full; what was saved before is safe: make room, then try again", doing, s.path)
	case ErrReadOnly:
		return faultOf(ErrReadOnly, err, "could not %s the data file %s, because it may not be written; see to the permissions of its folder, then try again", doing, s.path)
	case ErrDamaged:
		return damaged(s.path, err)
	case ErrInUse:
		return faultOf(ErrInUse, err, "could not %s the data file %s, because another program holds it; end that program, then try again", doing, s.path)
	}
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("could not %s %s: the file has gone: %w", doing, s.path, err)
	}
	return fmt.Errorf("could not %s the data file %s: %w; see that the disk is not full and the file may be written, then try again", doing, s.path, err)
}
