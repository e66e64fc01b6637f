package store

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"henyear/daybook"
)

// Import reads an export back into the file, which must hold nothing yet, and
// returns what it then holds: the same as when it was exported, numbers and
// times of arrival included. All of it is kept or, after an error, nothing. An
// export of which a file is missing or was changed is refused.
func (s *Store) Import(ctx context.Context, folder string) (State, error) {
	m, err := readManifest(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return State{}, faultOf(fs.ErrNotExist, nil, "%s holds no whole export of Henyear: there is no %s in it", folder, manifestName)
	}
	if err != nil {
		return State{}, err
	}
	for _, f := range m.Files {
		if err := f.check(folder); err != nil {
			return State{}, err
		}
	}
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return State{}, s.explain("write into", err)
	}
	defer tx.Rollback()
	switch held, err := count(ctx, tx); {
	case err != nil:
		return State{}, s.explain("read", err)
	case !held.empty():
		return State{}, faultOf(ErrOccupied, nil, "the data file %s holds something already, and an import would mix the two; name an empty folder with --data", s.path)
	}
	i := importer{ctx: ctx, tx: tx, folder: folder, listed: m.names()}
	for _, read := range []func() error{i.holdings, i.plans, i.records, i.conflicts, i.photos} {
		if err := read(); err != nil {
			return State{}, s.importFault(err)
		}
	}
	got, err := i.same(m)
	if err == nil {
		err = s.explain("write into", tx.Commit())
	}
	return got, err
}

func (m manifest) names() []string {
	var names []string
	for _, f := range m.Files {
		names = append(names, f.Name)
	}
	return names
}

// same reads back what was imported and holds it against the list.
func (i *importer) same(m manifest) (State, error) {
	got, err := count(i.ctx, i.tx)
	if err == nil {
		got, err = readRows(i.ctx, i.tx, got)
	}
	if err != nil {
		return State{}, err
	}
	if got.Digest != m.Digest {
		return State{}, faultOf(ErrDamaged, nil, "what the export in %s holds is not what its list says; nothing was imported", i.folder)
	}
	return got, nil
}

// importFault keeps a sentence about the export and explains a fault of the
// data file.
func (s *Store) importFault(err error) error {
	var said fault
	if errors.As(err, &said) {
		return err
	}
	return s.explain("write into", err)
}

// importer reads one export.
type importer struct {
	ctx    context.Context
	tx     *sql.Tx
	folder string
	listed []string
}

// bytes reads a file that the list names, and no other.
func (i *importer) bytes(name string) ([]byte, error) {
	if !slices.Contains(i.listed, name) {
		return nil, faultOf(ErrDamaged, nil, "the list of the export in %s does not name %q", i.folder, name)
	}
	return os.ReadFile(filepath.Join(i.folder, filepath.FromSlash(name)))
}

// lines reads a list and hands on its rows. The n-th row must have the number n
// that do returns.
func lines[L any](i *importer, name string, do func(L) (int64, error)) error {
	text, err := i.bytes(name)
	if err != nil {
		return err
	}
	reader := bufio.NewReader(bytes.NewReader(text))
	for n := int64(1); ; n++ {
		line, err := reader.ReadBytes('\n')
		if len(line) == 0 && errors.Is(err, io.EOF) {
			return nil
		}
		var row L
		if err := json.Unmarshal(line, &row); err != nil {
			return faultOf(ErrDamaged, err, "line %d of %s in the export %s cannot be read: %v", n, name, i.folder, err)
		}
		number, err := do(row)
		if err != nil {
			return err
		}
		if number != n {
			return faultOf(ErrDamaged, nil, "line %d of %s in the export %s has number %d", n, name, i.folder, number)
		}
	}
}

func (i *importer) holdings() error {
	return lines(i, "holdings.jsonl", func(l holdingLine) (int64, error) {
		text, err := i.bytes(l.File)
		if err != nil {
			return 0, err
		}
		if err := ID(l.ID).check(); err != nil {
			return 0, err
		}
		revision, err := insertHolding(i.ctx, i.tx, Holding{ID: ID(l.ID), TOML: text, SavedAt: l.SavedAt})
		return l.Revision, unlike(err, int64(revision), l.Revision)
	})
}

func (i *importer) plans() error {
	return lines(i, "plans.jsonl", func(l planLine) (int64, error) {
		text, err := i.bytes(l.File)
		if err != nil {
			return 0, err
		}
		revision, err := insertPlan(i.ctx, i.tx, Plan{HoldingRevision: Revision(l.HoldingRevision), RatesVersion: l.RatesVersion, JSON: text, AcceptedAt: l.AcceptedAt})
		return l.Revision, unlike(err, int64(revision), l.Revision)
	})
}

// unlike is an error when a row got another number than it had.
func unlike(err error, got, want int64) error {
	if err == nil && got != want {
		err = faultOf(ErrDamaged, nil, "the export counts %d where %d is next", want, got)
	}
	return err
}

func (i *importer) records() error {
	return lines(i, "records.jsonl", func(l recordLine) (int64, error) {
		r, err := i.row(l.Record)
		if err != nil {
			return 0, err
		}
		sequence, err := r.insert(i.ctx, i.tx, instant(l.ReceivedAt))
		return l.Sequence, unlike(err, sequence, l.Sequence)
	})
}

// row checks the envelope only: a record that was kept once is kept again, also
// when this program is stricter.
func (i *importer) row(e daybook.Event) (row, error) {
	if err := daybook.CheckEnvelope(e); err != nil {
		return row{}, faultOf(ErrDamaged, err, "the record %s in the export %s cannot be read: %v", e.ID, i.folder, err)
	}
	return rowOf(e)
}

func (i *importer) conflicts() error {
	return lines(i, "conflicts.jsonl", func(l conflictLine) (int64, error) {
		r, err := i.row(l.Record)
		if err != nil {
			return 0, err
		}
		r.number, r.lastCounted = l.Number, l.LastSequence
		return l.Number, r.putConflict(i.ctx, i.tx, instant(l.ReceivedAt))
	})
}

func (i *importer) photos() error {
	return lines(i, "photos.jsonl", func(l photoLine) (int64, error) {
		content, err := i.bytes(l.File)
		if err != nil {
			return 0, err
		}
		if PhotoIDOf(content) != l.SHA256 || PhotoType(content) != l.Type {
			return 0, faultOf(ErrDamaged, nil, "%s in the export %s is not the photo that it should be", l.File, i.folder)
		}
		return l.Number, insertPhoto(i.ctx, i.tx, l.Type, content, instant(l.ReceivedAt))
	})
}
