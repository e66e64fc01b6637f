// Package store keeps a household's data in one SQLite file that the keeper can
// copy, move and back up like any other file.
//
// What goes in stays as it was written. A holding that is edited becomes a new
// revision and the old one remains; so does every accepted plan, together with
// the revision of the holding and the version of the rates it was reckoned
// with. The records of the daybook and their photos are only ever added. The
// answer to "what did we mean to do last spring, and why" is therefore always
// there.
//
// The file is written through a journal and flushed to the disk before a save
// is reported done, so a power cut loses at most the save that was under way.
// One connection writes and others only read; one program at a time has the
// file. Each row carries a seal, its SHA-256, that is held against it whenever
// it is read. A file that is damaged, that belongs to another program or that a
// newer Henyear wrote is refused with a sentence, which names the newest good
// backup, and is not touched.
//
// The room knows the envelope of a record (its identifier, kind, day) and not
// what is in it.
package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	_ "modernc.org/sqlite" // the driver called "sqlite"
)

// FileName is what the file is called inside a data folder.
const FileName = "henyear.db"

// Store is an open file. Its methods may be called from several goroutines.
type Store struct {
	path        string
	lock        *lock
	write, read *sql.DB
}

// Open opens the file at path, makes it and its folder where there is none yet,
// and brings an older file up to date after copying it to a backup. No other
// program can open it until Close. The error is a sentence for the keeper; a
// file that was there is then as it was.
func Open(path string) (*Store, error) {
	steps, err := ownSteps()
	if err != nil {
		return nil, err
	}
	return open(path, steps)
}

func open(path string, steps []migration) (*Store, error) {
	path, err := placed(path)
	if err != nil {
		return nil, err
	}
	s := &Store{path: path}
	if s.lock, err = takeLock(path); err != nil {
		return nil, err
	}
	if err := s.start(context.Background(), steps); err != nil {
		// Whatever was wrong, the next start looks at the file as closely.
		cutOff := s.lock.cutOff
		s.closeFile()
		s.lock.release(!cutOff)
		return nil, err
	}
	return s, nil
}

// absolute is the full name of a file. A link in its place is followed, since
// lock and journal lie beside the file that it leads to.
func absolute(path string) (string, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return "", fmt.Errorf("the data file %s cannot be found: %w", path, err)
	}
	if info, err := os.Lstat(full); err == nil && info.Mode()&os.ModeSymlink != 0 {
		if full, err = filepath.EvalSymlinks(full); err != nil {
			return "", faultOf(ErrNone, err, "%s is a link that leads nowhere; remove it, or mend what it leads to", path)
		}
	}
	return full, nil
}

// placed makes a path absolute and sees that its folder is there.
func placed(path string) (string, error) {
	path, err := absolute(path)
	if err != nil {
		return "", err
	}
	folder := filepath.Dir(path)
	if info, err := os.Stat(folder); err == nil && info.IsDir() {
		return path, nil
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", faultOf(ErrReadOnly, err, "the data folder %s cannot be made: %s; name another with --data", folder, reason(err))
	}
	return path, flushFolder(filepath.Dir(folder))
}

// start opens the connections of a file whose lock is held.
func (s *Store) start(ctx context.Context, steps []migration) error {
	if err := restoreWasWhole(s.path); err != nil {
		return err
	}
	existed, err := inspect(s.path, len(steps), s.lock.cutOff)
	if err != nil {
		return err
	}
	if s.write, err = connect(s.path, toWrite, writing); err != nil {
		return err
	}
	s.write.SetMaxOpenConns(1)
	if err := s.migrate(ctx, steps, existed); err != nil {
		return err
	}
	if !existed {
		if err := flushFolder(filepath.Dir(s.path)); err != nil {
			return s.explain("make", err)
		}
	}
	s.read, err = connect(s.path, toRead, reading)
	return err
}

// OpenReading opens a file to read, also while another program has it open for
// writing. What writes then fails with ErrReadOnly. It is an error when there is
// no file, and when the file has an older form: then Open it.
func OpenReading(path string) (*Store, error) {
	path, err := absolute(path)
	if err != nil {
		return nil, err
	}
	if err := restoreWasWhole(path); err != nil {
		return nil, err
	}
	existed, err := glance(path)
	if err != nil {
		return nil, err
	}
	if !existed {
		return nil, faultOf(ErrNone, nil, "there is no data file %s; name its folder with --data", path)
	}
	db, err := connect(path, liveMode(path), reading)
	if err != nil {
		if kindOf(err) == ErrDamaged {
			err = damaged(path, err)
		}
		return nil, err
	}
	s := &Store{path: path, write: db, read: db}
	form, err := formOf(context.Background(), db, path, knownForm())
	if err == nil && form < knownForm() {
		err = faultOf(ErrOlder, nil, "the data file %s was written by an older Henyear; open it once with this one: henyear serve", path)
	}
	if err != nil {
		db.Close()
		return nil, err
	}
	return s, nil
}

// Path is where the file lies.
func (s *Store) Path() string { return s.path }

// Close folds the journal into the file and lets go of it. It may be called
// more than once.
func (s *Store) Close() error {
	err := s.closeFile()
	return errors.Join(err, s.lock.release(err == nil))
}

func (s *Store) closeFile() error {
	var errs []error
	for _, db := range []*sql.DB{s.read, s.write} {
		if db != nil {
			errs = append(errs, db.Close())
		}
	}
	return errors.Join(errs...)
}
