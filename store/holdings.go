package store

import (
	"bytes"
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"time"
	"unicode/utf8"
)

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
	h := Holding{ID: id, TOML: toml, SavedAt: savedAt}
	if h.Revision, err = insertHolding(ctx, tx, h); err == nil {
		err = tx.Commit()
	}
	if err != nil {
		return 0, s.explain("save the holding in", err)
	}
	return h.Revision, nil
}

func insertHolding(ctx context.Context, tx *sql.Tx, h Holding) (Revision, error) {
	revision, err := inserted(tx.ExecContext(ctx, `INSERT INTO holdings (id, toml, saved_at) VALUES (?, ?, ?)`,
		string(h.ID), string(h.TOML), instant(h.SavedAt)))
	if err != nil {
		return 0, err
	}
	return Revision(revision), putSeal(ctx, tx, "holding", revision, holdingSeal(revision, string(h.ID), h.TOML, instant(h.SavedAt)))
}

func holdingSeal(revision int64, id string, toml []byte, savedAt string) seal {
	return sealOf(revision, id, toml, savedAt)
}

// The holdings with their seals; bare is for files from before there were any.
const (
	selectHoldings = `SELECT h.revision, h.id, h.toml, h.saved_at,
		(SELECT seal FROM seals s WHERE s.subject = 'holding' AND s.revision = h.revision) FROM holdings h`
	selectBareHoldings = `SELECT h.revision, h.id, h.toml, h.saved_at, NULL FROM holdings h`
)

// eachHolding hands on the rows of a query that begins with one of the two
// above; those with seals once each has been held against its seal.
func eachHolding(rows *sql.Rows, err error, sealed bool, do func(Holding, seal) error) error {
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var h Holding
		var at string
		var kept []byte
		if err := rows.Scan(&h.Revision, &h.ID, &h.TOML, &at, &kept); err != nil {
			return err
		}
		right := holdingSeal(int64(h.Revision), string(h.ID), h.TOML, at)
		if sealed && !bytes.Equal(kept, right[:]) {
			return errBroken("holding", int64(h.Revision))
		}
		if h.SavedAt, err = time.Parse(time.RFC3339Nano, at); err != nil {
			return err
		}
		if err := do(h, right); err != nil {
			return err
		}
	}
	return rows.Err()
}

// CurrentHolding is the revision saved last; ErrNone when there is none.
func (s *Store) CurrentHolding(ctx context.Context) (Holding, error) {
	h, err := currentHolding(ctx, s.read)
	return h, s.explain("read", err)
}

func currentHolding(ctx context.Context, q queryer) (Holding, error) {
	return holdingOf(ctx, q, ` ORDER BY h.revision DESC LIMIT 1`)
}

// HoldingOf is the description that had a revision; ErrNone when there is none.
func (s *Store) HoldingOf(ctx context.Context, revision Revision) (Holding, error) {
	h, err := holdingOf(ctx, s.read, ` WHERE h.revision = ?`, int64(revision))
	return h, s.explain("read", err)
}

func holdingOf(ctx context.Context, q queryer, rest string, args ...any) (Holding, error) {
	var found Holding
	rows, err := q.QueryContext(ctx, selectHoldings+rest, args...)
	err = eachHolding(rows, err, true, func(h Holding, _ seal) error {
		found = h
		return nil
	})
	if err == nil && found.Revision == 0 {
		err = ErrNone
	}
	return found, err
}

// SavePlan keeps a plan that the keeper accepted. HoldingRevision must have
// been saved before, JSON must be JSON, and Revision is given by the store.
func (s *Store) SavePlan(ctx context.Context, p Plan) (Revision, error) {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return 0, s.explain("save the plan in", err)
	}
	defer tx.Rollback()
	revision, err := insertPlan(ctx, tx, p)
	if err == nil {
		err = tx.Commit()
	}
	if err != nil {
		return 0, s.explain("save the plan in", err)
	}
	return revision, nil
}

func insertPlan(ctx context.Context, tx *sql.Tx, p Plan) (Revision, error) {
	revision, err := inserted(tx.ExecContext(ctx, `INSERT INTO plans (holding_revision, rates_version, json, accepted_at) VALUES (?, ?, ?, ?)`,
		int64(p.HoldingRevision), p.RatesVersion, string(p.JSON), instant(p.AcceptedAt)))
	if err != nil {
		return 0, err
	}
	return Revision(revision), putSeal(ctx, tx, "plan", revision,
		planSeal(revision, int64(p.HoldingRevision), p.RatesVersion, p.JSON, instant(p.AcceptedAt)))
}

func planSeal(revision, holdingRevision int64, ratesVersion string, json []byte, acceptedAt string) seal {
	return sealOf(revision, holdingRevision, ratesVersion, json, acceptedAt)
}

// The plans with their seals; bare is for files from before there were any.
const (
	selectPlans = `SELECT p.revision, p.holding_revision, p.rates_version, p.json, p.accepted_at,
		(SELECT seal FROM seals s WHERE s.subject = 'plan' AND s.revision = p.revision) FROM plans p`
	selectBarePlans = `SELECT p.revision, p.holding_revision, p.rates_version, p.json, p.accepted_at, NULL FROM plans p`
)

// eachPlan hands on the rows of a query that begins with one of the two above;
// those with seals once each has been held against its seal.
func eachPlan(rows *sql.Rows, err error, sealed bool, do func(Plan, seal) error) error {
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var p Plan
		var at string
		var kept []byte
		if err := rows.Scan(&p.Revision, &p.HoldingRevision, &p.RatesVersion, &p.JSON, &at, &kept); err != nil {
			return err
		}
		right := planSeal(int64(p.Revision), int64(p.HoldingRevision), p.RatesVersion, p.JSON, at)
		if sealed && !bytes.Equal(kept, right[:]) {
			return errBroken("plan", int64(p.Revision))
		}
		if p.AcceptedAt, err = time.Parse(time.RFC3339Nano, at); err != nil {
			return err
		}
		if err := do(p, right); err != nil {
			return err
		}
	}
	return rows.Err()
}

// LatestPlan is the plan accepted last; ErrNone when there is none.
func (s *Store) LatestPlan(ctx context.Context) (Plan, error) {
	var found Plan
	rows, err := s.read.QueryContext(ctx, selectPlans+` ORDER BY p.revision DESC LIMIT 1`)
	err = eachPlan(rows, err, true, func(p Plan, _ seal) error {
		found = p
		return nil
	})
	if err == nil && found.Revision == 0 {
		err = ErrNone
	}
	return found, s.explain("read", err)
}

// queryer is a pool of connections or a transaction.
type queryer interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// inserted is the number of a row that was added.
func inserted(done sql.Result, err error) (int64, error) {
	if err != nil {
		return 0, err
	}
	return done.LastInsertId()
}

// instant writes a time so that text order is time order.
func instant(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000000000Z") }
