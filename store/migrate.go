package store

import (
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"strconv"
	"strings"
)

// The shape of the file is a row of numbered steps, each an SQL file that is
// never changed once it has been on main. The number of the last step taken is
// the user_version in the file's header.
//
//go:embed migrations/*.sql
var embedded embed.FS

// migration is one step; the n-th step is number n.
type migration struct {
	name, sql string
}

// readMigrations reads the steps in order and insists that they are numbered
// 1, 2, 3 ... without a hole.
func readMigrations(files fs.FS) ([]migration, error) {
	names, err := fs.Glob(files, "migrations/*.sql") // sorted
	if err != nil {
		return nil, err
	}
	steps := make([]migration, 0, len(names))
	for i, name := range names {
		number, _, _ := strings.Cut(path.Base(name), "_")
		if n, err := strconv.Atoi(number); err != nil || n != i+1 {
			return nil, fmt.Errorf("%s is not step number %d", name, i+1)
		}
		text, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, err
		}
		steps = append(steps, migration{strings.TrimSuffix(path.Base(name), ".sql"), string(text)})
	}
	return steps, nil
}

// migrate takes the steps that the file has not had, all or none of them. A
// file that existed is first copied to a backup beside it.
func (s *Store) migrate(steps []migration, existed bool) error {
	var version int
	if err := s.write.QueryRow("PRAGMA user_version").Scan(&version); err != nil {
		return damaged(s.path, err)
	}
	if version >= len(steps) {
		return nil
	}
	if existed && version > 0 {
		if err := s.backUp(fmt.Sprintf("%s.before-%s", s.path, steps[version].name)); err != nil {
			return err
		}
	}
	if err := s.take(steps); err != nil {
		return fmt.Errorf("the data file %s could not be brought up to date: %w; it has been left as it was", s.path, err)
	}
	return nil
}

func (s *Store) take(steps []migration) error {
	tx, err := s.write.Begin()
	if err != nil {
		return err
	}
	defer tx.Rollback()
	var version int // read again: another copy of the program may have been first
	if err := tx.QueryRow("PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	for ; version < len(steps); version++ {
		if _, err := tx.Exec(steps[version].sql); err != nil {
			return fmt.Errorf("step %s: %w", steps[version].name, err)
		}
	}
	// Both numbers live in the file's header and are part of the transaction.
	if _, err := tx.Exec(fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", version, applicationID)); err != nil {
		return err
	}
	return tx.Commit()
}

// backUp writes a sound copy of the file to name and proves it by reading it
// through. A backup of that name from an earlier, failed attempt is replaced
// only once the new one is complete.
func (s *Store) backUp(name string) error {
	failed := func(err error) error {
		return fmt.Errorf("no backup of %s could be made (%w), so it has been left as it is; see that there is room on the disk", s.path, err)
	}
	unfinished := name + ".unfinished"
	if err := os.Remove(unfinished); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return failed(err)
	}
	if _, err := s.write.Exec("VACUUM INTO ?", unfinished); err != nil {
		return failed(err)
	}
	if err := errors.Join(flush(unfinished), proveCopy(unfinished)); err != nil {
		os.Remove(unfinished)
		return failed(err)
	}
	if err := os.Rename(unfinished, name); err != nil {
		return failed(err)
	}
	return nil
}

// flush waits until a file is on the disk, which VACUUM INTO does not.
func flush(name string) error {
	f, err := os.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

func proveCopy(name string) error {
	db, err := connect(name, "mode=ro", looking)
	if err != nil {
		return err
	}
	defer db.Close()
	if err := sound(db, name, "integrity_check"); err != nil {
		return err
	}
	return foreignKeysHold(db)
}

func foreignKeysHold(db *sql.DB) error {
	var broken int
	if err := db.QueryRow("SELECT count(*) FROM pragma_foreign_key_check").Scan(&broken); err != nil {
		return err
	}
	if broken > 0 {
		return fmt.Errorf("%d rows point to rows that are not there", broken)
	}
	return nil
}
