package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"hash"
	"strings"
)

// State counts what a file holds. Since rows are only ever added, two states of
// one file with the same counts are the same state.
type State struct {
	Form                                       int // number of the last step of the file's shape
	Holdings, Plans, Events, Conflicts, Photos int64
	// Digest is the SHA-256 over all of it, as hexadecimal digits; empty where
	// it was not asked for.
	Digest string
}

// counted are the tables whose rows are numbered from 1 without a gap.
func (s *State) counted() []struct {
	table, number string
	since         int // the form that brought the table
	rows          *int64
} {
	return []struct {
		table, number string
		since         int
		rows          *int64
	}{
		{"holdings", "revision", 1, &s.Holdings},
		{"plans", "revision", 1, &s.Plans},
		{"events", "sequence", formOfSeals, &s.Events},
		{"conflicts", "number", formOfSeals, &s.Conflicts},
		{"photos", "number", formOfSeals, &s.Photos},
	}
}

// sameRows reports whether two states of one file are the same, whatever the
// form.
func (s State) sameRows(o State) bool {
	return s.Holdings == o.Holdings && s.Plans == o.Plans && s.Events == o.Events && s.Conflicts == o.Conflicts && s.Photos == o.Photos
}

// empty reports whether nothing has been saved.
func (s State) empty() bool { return s.sameRows(State{}) }

// atLeast reports whether a state has all rows of an earlier one.
func (s State) atLeast(o State) bool {
	return s.Holdings >= o.Holdings && s.Plans >= o.Plans && s.Events >= o.Events && s.Conflicts >= o.Conflicts && s.Photos >= o.Photos
}

// count reads how much a file holds, without looking at the rows.
func count(ctx context.Context, q queryer) (State, error) {
	var s State
	if err := q.QueryRowContext(ctx, `SELECT user_version FROM pragma_user_version`).Scan(&s.Form); err != nil {
		return s, err
	}
	for _, t := range s.counted() {
		if s.Form < t.since {
			continue
		}
		query := fmt.Sprintf(`SELECT coalesce(max(%s), 0) FROM %s`, t.number, t.table)
		if err := q.QueryRowContext(ctx, query).Scan(t.rows); err != nil {
			return s, err
		}
	}
	return s, nil
}

// State reads the whole file through and returns what it holds, with its
// digest. A row that is missing or not as it was written is an error.
func (s *Store) State(ctx context.Context) (State, error) {
	found, err := count(ctx, s.read)
	if err == nil {
		found, err = readThrough(ctx, s.read, found)
	}
	return found, s.explain("read", err)
}

// structure runs the database's own checks: all of them, or the quick ones that
// leave out the indexes and the pages of the photos.
func structure(ctx context.Context, db *sql.DB, all bool) error {
	if all {
		if err := asks(ctx, db, "PRAGMA integrity_check(1)"); err != nil {
			return err
		}
		return foreignKeysHold(ctx, db)
	}
	tables, err := tablesOf(ctx, db)
	if err != nil {
		return err
	}
	for _, table := range tables {
		if table == "photos" {
			continue // each is checked against its name when it is read
		}
		if err := asks(ctx, db, `PRAGMA quick_check("`+strings.ReplaceAll(table, `"`, `""`)+`")`); err != nil {
			return err
		}
	}
	return nil
}

func tablesOf(ctx context.Context, db *sql.DB) ([]string, error) {
	rows, err := db.QueryContext(ctx, `SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite\_%' ESCAPE '\' ORDER BY name`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var names []string
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			return nil, err
		}
		names = append(names, name)
	}
	return names, rows.Err()
}

// asks runs one of the database's checks and wants the answer ok.
func asks(ctx context.Context, db *sql.DB, check string) error {
	var verdict string
	if err := db.QueryRowContext(ctx, check).Scan(&verdict); err != nil {
		return err
	}
	if verdict != "ok" {
		return fmt.Errorf("%w: %s", ErrDamaged, verdict)
	}
	return nil
}

func foreignKeysHold(ctx context.Context, q queryer) error {
	var broken int
	if err := q.QueryRowContext(ctx, "SELECT count(*) FROM pragma_foreign_key_check").Scan(&broken); err != nil {
		return err
	}
	if broken > 0 {
		return fmt.Errorf("%w: %d rows point to rows that are not there", ErrDamaged, broken)
	}
	return nil
}

// readThrough reads every row up to the counts of most, holds it against its
// seal, and returns the state that it found, with its digest. A missing row is
// an error, as is one that is not as it was written.
func readThrough(ctx context.Context, db *sql.DB, most State) (State, error) {
	tx, err := db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return State{}, err
	}
	defer tx.Rollback()
	return readRows(ctx, tx, most)
}

// readRows is readThrough inside a transaction.
func readRows(ctx context.Context, tx queryer, most State) (State, error) {
	found := State{Form: most.Form}
	r := reader{ctx: ctx, tx: tx, most: most, found: &found, digest: sha256.New()}
	steps := []func() error{r.holdings, r.plans}
	if r.sealed() {
		steps = append(steps, r.events, r.conflicts, r.photos)
	}
	for _, step := range steps {
		if err := step(); err != nil {
			return State{}, err
		}
	}
	if !found.sameRows(most) {
		return State{}, fmt.Errorf("%w: rows are missing", ErrDamaged)
	}
	found.Digest = hex.EncodeToString(r.digest.Sum(nil))
	return found, nil
}

// reader goes through a file row by row.
type reader struct {
	ctx    context.Context
	tx     queryer
	most   State
	found  *State
	digest hash.Hash
}

// row counts a row that is as it was written, and refuses a gap before it.
func (r *reader) row(what string, number int64, counted *int64, s seal) error {
	if *counted++; number != *counted {
		return fmt.Errorf("%w: %s number %d is missing", ErrDamaged, what, *counted)
	}
	fmt.Fprintf(r.digest, "%s %d %x\n", what, number, s)
	return nil
}

func (r *reader) sealed() bool { return r.most.Form >= formOfSeals }

func (r *reader) holdings() error {
	query := selectHoldings
	if !r.sealed() {
		query = selectBareHoldings
	}
	rows, err := r.tx.QueryContext(r.ctx, query+` WHERE h.revision <= ? ORDER BY h.revision`, r.most.Holdings)
	return eachHolding(rows, err, r.sealed(), func(h Holding, s seal) error {
		return r.row("holding", int64(h.Revision), &r.found.Holdings, s)
	})
}

func (r *reader) plans() error {
	query := selectPlans
	if !r.sealed() {
		query = selectBarePlans
	}
	rows, err := r.tx.QueryContext(r.ctx, query+` WHERE p.revision <= ? ORDER BY p.revision`, r.most.Plans)
	return eachPlan(rows, err, r.sealed(), func(p Plan, s seal) error {
		return r.row("plan", int64(p.Revision), &r.found.Plans, s)
	})
}

func (r *reader) events() error {
	rows, err := r.tx.QueryContext(r.ctx, selectEvents+` WHERE e.sequence <= ? ORDER BY e.sequence`, r.most.Events)
	return eachEvent(rows, err, func(e row, s seal) error {
		return r.row("record", e.sequence, &r.found.Events, s)
	})
}

func (r *reader) conflicts() error {
	rows, err := r.tx.QueryContext(r.ctx, selectConflicts+` WHERE c.number <= ? ORDER BY c.number`, r.most.Conflicts)
	return eachConflict(rows, err, func(c row, _ bool, s seal) error {
		return r.row("conflicting record", c.number, &r.found.Conflicts, s)
	})
}

func (r *reader) photos() error {
	rows, err := r.tx.QueryContext(r.ctx, selectPhotos+` WHERE number <= ? ORDER BY number`, r.most.Photos)
	return eachPhoto(rows, err, func(p Photo, s seal) error {
		return r.row("photo", p.Number, &r.found.Photos, s)
	})
}

// lastRowsThere holds the last row of each table against the number that the
// database keeps of it, so that rows missing at the end are noticed.
func lastRowsThere(ctx context.Context, q queryer, form int) error {
	s := State{}
	for _, t := range s.counted() {
		if form < t.since {
			continue
		}
		var last, given int64
		query := fmt.Sprintf(`SELECT coalesce(max(%s), 0), coalesce((SELECT seq FROM sqlite_sequence WHERE name = '%s'), 0) FROM %s`, t.number, t.table, t.table)
		if err := q.QueryRowContext(ctx, query).Scan(&last, &given); err != nil {
			return err
		}
		if last != given {
			return fmt.Errorf("%w: the last of %d %s is missing", ErrDamaged, given, t.table)
		}
	}
	return nil
}
