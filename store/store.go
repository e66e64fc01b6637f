// Package store keeps a household's data in one SQLite file that the keeper can
// copy, move and back up like any other file.
//
// What goes in stays as it was written. A holding that is edited becomes a new
// revision and the old one remains; so does every accepted plan, together with
// the revision of the holding and the version of the rates it was reckoned
// with. The answer to "what did we mean to do last spring, and why" is
// therefore always there.
//
// The file is written through a journal and flushed to the disk before a save
// is reported done, so a power cut loses at most the save that was under way.
// One connection writes and others only read. A file that is damaged, that
// belongs to another program or that a newer Henyear wrote is refused with a
// sentence and not touched.
package store

import (
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"
	"unicode/utf8"

	_ "modernc.org/sqlite" // the driver called "sqlite"
)

// FileName is what the file is called inside a data folder.
const FileName = "henyear.db"

// ErrNone says that nothing has been saved yet.
var ErrNone = errors.New("nothing has been saved yet")

// Revision numbers what was saved, from 1 upwards, separately for holdings and
// for plans. A later save always has a higher number.
type Revision int64

// ID is the lasting identifier of a holding: 128 random bits as 32 hexadecimal
// digits. Whoever first describes the holding makes it, with NewID, and every
// revision of that holding carries it, on whatever machine it is saved.
type ID string

// NewID draws an identifier.
func NewID() ID {
	var bits [16]byte
	rand.Read(bits[:]) // never fails
	return ID(hex.EncodeToString(bits[:]))
}

func (id ID) check() error {
	bits, err := hex.DecodeString(string(id))
	if err != nil || len(bits) != 16 || hex.EncodeToString(bits) != string(id) {
		return fmt.Errorf("%q is not an identifier of 32 hexadecimal digits", string(id))
	}
	return nil
}

// Holding is one saved revision of a household's description.
type Holding struct {
	Revision Revision
	ID       ID
	TOML     []byte    // as the holding room writes it
	SavedAt  time.Time // UTC
}

// Plan is one accepted plan.
type Plan struct {
	Revision        Revision
	HoldingRevision Revision
	RatesVersion    string // which rates of lay, growth and loss it was reckoned with
	JSON            []byte
	AcceptedAt      time.Time // UTC
}

// Store is an open file. Its methods may be called from several goroutines.
type Store struct {
	path        string
	write, read *sql.DB
}

// Open opens the file at path, makes it and its folder where there is none yet,
// and brings an older file up to date after copying it to a backup beside it.
// The error is a sentence for the keeper; a file that was there is then as it
// was.
func Open(path string) (*Store, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("the data file %s cannot be found: %w", path, err)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, fmt.Errorf("the data folder %s cannot be made: %w", filepath.Dir(path), err)
	}
	steps, err := readMigrations(embedded)
	if err != nil {
		return nil, err
	}
	return open(path, steps)
}

func open(path string, steps []migration) (*Store, error) {
	existed, err := inspect(path, len(steps))
	if err != nil {
		return nil, err
	}
	s := &Store{path: path}
	if s.write, err = connect(path, "mode=rwc", writing); err != nil {
		return nil, err
	}
	s.write.SetMaxOpenConns(1)
	if err := s.migrate(steps, existed); err != nil {
		s.Close()
		return nil, err
	}
	if s.read, err = connect(path, "mode=ro", reading); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// Path is where the file lies.
func (s *Store) Path() string { return s.path }

// Close folds the journal into the file and lets go of it. It may be called
// more than once.
func (s *Store) Close() error {
	var errs []error
	if s.read != nil {
		errs = append(errs, s.read.Close())
	}
	if s.write != nil {
		errs = append(errs, s.write.Close())
	}
	return errors.Join(errs...)
}

// SaveHolding keeps a description as a new revision of the holding id. Saving
// the very text that is already the current one of that holding changes nothing
// and returns its revision, so a save that is sent twice is stored once.
func (s *Store) SaveHolding(ctx context.Context, id ID, toml []byte, savedAt time.Time) (Revision, error) {
	if err := id.check(); err != nil {
		return 0, err
	}
	if len(toml) == 0 || !utf8.Valid(toml) {
		return 0, errors.New("the description of the holding is empty or not text")
	}
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return 0, s.explain("save the holding in", err)
	}
	defer tx.Rollback()
	current, err := currentHolding(ctx, tx)
	if err == nil && current.ID == id && string(current.TOML) == string(toml) {
		return current.Revision, nil
	}
	if err != nil && !errors.Is(err, ErrNone) {
		return 0, s.explain("save the holding in", err)
	}
	rev, err := insert(ctx, tx, `INSERT INTO holdings (id, toml, saved_at) VALUES (?, ?, ?)`,
		string(id), string(toml), instant(savedAt))
	if err != nil {
		return 0, s.explain("save the holding in", err)
	}
	return rev, nil
}

// CurrentHolding is the revision saved last; ErrNone when there is none.
func (s *Store) CurrentHolding(ctx context.Context) (Holding, error) {
	h, err := currentHolding(ctx, s.read)
	return h, s.explain("read", err)
}

// SavePlan keeps a plan that the keeper accepted. HoldingRevision must have
// been saved before, JSON must be JSON, and Revision is given by the store.
func (s *Store) SavePlan(ctx context.Context, p Plan) (Revision, error) {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return 0, s.explain("save the plan in", err)
	}
	defer tx.Rollback()
	rev, err := insert(ctx, tx,
		`INSERT INTO plans (holding_revision, rates_version, json, accepted_at) VALUES (?, ?, ?, ?)`,
		int64(p.HoldingRevision), p.RatesVersion, string(p.JSON), instant(p.AcceptedAt))
	if err != nil {
		return 0, s.explain("save the plan in", err)
	}
	return rev, nil
}

// LatestPlan is the plan accepted last; ErrNone when there is none.
func (s *Store) LatestPlan(ctx context.Context) (Plan, error) {
	var p Plan
	var at string
	err := s.read.QueryRowContext(ctx, `SELECT revision, holding_revision, rates_version, json, accepted_at
		FROM plans ORDER BY revision DESC LIMIT 1`).
		Scan(&p.Revision, &p.HoldingRevision, &p.RatesVersion, &p.JSON, &at)
	if err == nil {
		p.AcceptedAt, err = time.Parse(time.RFC3339Nano, at)
	}
	return p, s.explain("read", none(err))
}

type queryer interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

func currentHolding(ctx context.Context, q queryer) (Holding, error) {
	var h Holding
	var at string
	err := q.QueryRowContext(ctx, `SELECT revision, id, toml, saved_at
		FROM holdings ORDER BY revision DESC LIMIT 1`).Scan(&h.Revision, &h.ID, &h.TOML, &at)
	if err == nil {
		h.SavedAt, err = time.Parse(time.RFC3339Nano, at)
	}
	return h, none(err)
}

// insert adds one row, commits, and returns its number.
func insert(ctx context.Context, tx *sql.Tx, statement string, args ...any) (Revision, error) {
	done, err := tx.ExecContext(ctx, statement, args...)
	if err != nil {
		return 0, err
	}
	rev, err := done.LastInsertId()
	if err != nil {
		return 0, err
	}
	return Revision(rev), tx.Commit()
}

// instant writes a time so that text order is time order.
func instant(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000000000Z") }

func none(err error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return ErrNone
	}
	return err
}

// explain wraps a fault of the database with what was being done and what the
// keeper can do; ErrNone and cancelled contexts pass unchanged.
func (s *Store) explain(doing string, err error) error {
	switch {
	case err == nil, errors.Is(err, ErrNone), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("could not %s %s: the file has gone: %w", doing, s.path, err)
	}
	return fmt.Errorf("could not %s the data file %s: %w; see that the disk is not full and the file may be written, then try again", doing, s.path, err)
}
