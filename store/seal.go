package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
)

// A seal is the SHA-256 of everything in a row. The database's own checks see a
// broken page but not a letter that turned into another one on a failing disk;
// the seal does. It guards against decay and not against people, who could
// write a new seal as well.
type seal [sha256.Size]byte

// sealOf reckons the seal over texts, bytes and whole numbers. Each is preceded
// by its length, so that no two rows run together into the same bytes.
func sealOf(parts ...any) seal {
	var all []byte
	for _, part := range parts {
		switch v := part.(type) {
		case int64:
			all = binary.BigEndian.AppendUint64(append(all, 'n'), uint64(v))
		case string:
			all = append(binary.BigEndian.AppendUint64(append(all, 't'), uint64(len(v))), v...)
		case []byte:
			all = append(binary.BigEndian.AppendUint64(append(all, 't'), uint64(len(v))), v...)
		default:
			panic(fmt.Sprintf("no seal over a %T", part)) // a mistake in this package
		}
	}
	return sha256.Sum256(all)
}

// errBroken says that a row and its seal disagree.
func errBroken(what string, number int64) error {
	return fmt.Errorf("%w: %s number %d is not as it was written", ErrDamaged, what, number)
}

// formOfSeals is the first form of the file that has seals.
const formOfSeals = 2

// sealOld seals the holdings and plans that were there before seals were.
func sealOld(ctx context.Context, tx *sql.Tx) error {
	seals := map[string][]seal{}
	keep := func(subject string, revision Revision, s seal) error {
		seals[subject] = append(seals[subject], s)
		if revision != Revision(len(seals[subject])) {
			return fmt.Errorf("%w: %s number %d is missing", ErrDamaged, subject, len(seals[subject]))
		}
		return nil
	}
	rows, err := tx.QueryContext(ctx, selectBareHoldings+` ORDER BY h.revision`)
	if err := eachHolding(rows, err, false, func(h Holding, s seal) error { return keep("holding", h.Revision, s) }); err != nil {
		return err
	}
	rows, err = tx.QueryContext(ctx, selectBarePlans+` ORDER BY p.revision`)
	if err := eachPlan(rows, err, false, func(p Plan, s seal) error { return keep("plan", p.Revision, s) }); err != nil {
		return err
	}
	for subject, list := range seals {
		for i, s := range list {
			if err := putSeal(ctx, tx, subject, int64(i+1), s); err != nil {
				return err
			}
		}
	}
	return nil
}

func putSeal(ctx context.Context, tx *sql.Tx, subject string, revision int64, s seal) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO seals (subject, revision, seal) VALUES (?, ?, ?)`, subject, revision, s[:])
	return err
}

// sealShape seals the text of all tables and triggers as the form of a number.
func sealShape(ctx context.Context, tx *sql.Tx, form int) error {
	s, err := shapeOf(ctx, tx)
	if err != nil {
		return err
	}
	return putSeal(ctx, tx, "shape", int64(form), s)
}

// shapeOf is the seal over the tables, indexes and triggers of a file.
func shapeOf(ctx context.Context, q queryer) (seal, error) {
	var text string
	err := q.QueryRowContext(ctx, `SELECT coalesce(group_concat(line, char(10)), '') FROM
		(SELECT type || ' ' || name || ' ' || tbl_name || ' ' || coalesce(sql, '') AS line
		FROM sqlite_schema WHERE name NOT LIKE 'sqlite\_%' ESCAPE '\' ORDER BY type, name)`).Scan(&text)
	return sealOf(text), err
}

// shapeHolds compares the shape of a file with the one that it was given.
func shapeHolds(ctx context.Context, q queryer, form int) error {
	if form < formOfSeals {
		return nil
	}
	var kept []byte
	err := q.QueryRowContext(ctx, `SELECT seal FROM seals WHERE subject = 'shape' AND revision = ?`, form).Scan(&kept)
	if errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("%w: the seal of its shape is missing", ErrDamaged)
	}
	if err != nil {
		return err
	}
	if s, err := shapeOf(ctx, q); err != nil || string(kept) != string(s[:]) {
		return errors.Join(fmt.Errorf("%w: its tables are not as they were made", ErrDamaged), err)
	}
	return nil
}
