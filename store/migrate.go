package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strconv"
	"strings"
	"sync"
	"time"
)

// The shape of the file is a row of numbered steps, each an SQL file that is
// never changed once it has been on main. The number of the last step taken is
// the user_version in the file's header, and is called the form of the file.
//
//go:embed migrations/*.sql
var embedded embed.FS

// migration is one step; the n-th step is number n.
type migration struct {
	name, sql string
}

// ownSteps are the steps that this program knows.
var ownSteps = sync.OnceValues(func() ([]migration, error) { return readMigrations(embedded) })

// knownForm is the newest form of the file that this program knows.
func knownForm() int {
	steps, _ := ownSteps()
	return len(steps)
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
// file that existed is first copied to a backup.
func (s *Store) migrate(ctx context.Context, steps []migration, existed bool) error {
	var form int
	if err := s.write.QueryRowContext(ctx, "PRAGMA user_version").Scan(&form); err != nil {
		return damaged(s.path, err)
	}
	if form >= len(steps) {
		return nil
	}
	if existed && form > 0 {
		if err := s.backUpBefore(ctx, len(steps), time.Now()); err != nil {
			return err
		}
	}
	err := s.take(ctx, steps)
	switch {
	case err == nil:
		return nil
	case kindOf(err) == ErrFull:
		return faultOf(ErrFull, err, "the data file %s could not be brought up to date, because the disk is full; it has been left as it was: make room, then try again", s.path)
	case errors.Is(err, ErrDamaged):
		return damaged(s.path, err)
	}
	return fmt.Errorf("the data file %s could not be brought up to date: %w; it has been left as it was", s.path, err)
}

func (s *Store) take(ctx context.Context, steps []migration) error {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	var before int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&before); err != nil {
		return err
	}
	for _, step := range steps[before:] {
		if _, err := tx.ExecContext(ctx, step.sql); err != nil {
			return fmt.Errorf("step %s: %w", step.name, err)
		}
	}
	if err := sealAfter(ctx, tx, before, len(steps)); err != nil {
		return err
	}
	// Both numbers live in the file's header and are part of the transaction.
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", len(steps), applicationID)); err != nil {
		return err
	}
	return tx.Commit()
}

// sealAfter seals the new shape, and the rows that had no seal before.
func sealAfter(ctx context.Context, tx *sql.Tx, before, form int) error {
	if form < formOfSeals {
		return nil
	}
	if before < formOfSeals {
		if err := sealOld(ctx, tx); err != nil {
			return err
		}
	}
	return sealShape(ctx, tx, form)
}
