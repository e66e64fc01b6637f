package store

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"henyear/daybook"
)

// An export is a folder of plain files that other programs can read. The lists
// are there twice: as JSON, one row a line, which is what Import reads, and as
// CSV for spreadsheets. Descriptions, plans and photos are files of their own.
// Nothing in it tells when it was made, so two exports of the same state are the
// same to the byte.
const (
	exportFormat = 1
	manifestName = "henyear-export.json"
	readMeName   = "read-me.txt"
)

const readMe = `This folder was written by Henyear (henyear export).

The files that end in .csv open in a spreadsheet; those in the folder tables have
the records of each kind in columns. Changing them changes nothing in Henyear.

The files that end in .jsonl, and those in the folders holdings, plans and
photos, are what "henyear import" reads. They hold everything: each description
of the holding, each accepted plan, each record as it was written, and the
photos. henyear-export.json lists all files with their SHA-256; a file that was
changed is not read back.
`

// manifest lists what is in an export.
type manifest struct {
	Format    int            `json:"format"`
	Holdings  int64          `json:"holdings"`
	Plans     int64          `json:"plans"`
	Records   int64          `json:"records"`
	Conflicts int64          `json:"conflicts"`
	Photos    int64          `json:"photos"`
	Digest    string         `json:"digest"` // over all rows, as State has it
	Files     []exportedFile `json:"files"`
}

type exportedFile struct {
	Name   string `json:"name"` // with slashes
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// The rows of the lists that are read back.
type (
	holdingLine struct {
		Revision int64     `json:"revision"`
		ID       string    `json:"id"`
		SavedAt  time.Time `json:"saved_at"`
		File     string    `json:"file"`
	}
	planLine struct {
		Revision        int64     `json:"revision"`
		HoldingRevision int64     `json:"holding_revision"`
		RatesVersion    string    `json:"rates_version"`
		AcceptedAt      time.Time `json:"accepted_at"`
		File            string    `json:"file"`
	}
	recordLine struct {
		Sequence   int64         `json:"sequence"`
		ReceivedAt time.Time     `json:"received_at"`
		Record     daybook.Event `json:"record"`
	}
	conflictLine struct {
		Number       int64         `json:"number"`
		LastSequence int64         `json:"last_sequence"`
		ReceivedAt   time.Time     `json:"received_at"`
		Record       daybook.Event `json:"record"`
	}
	photoLine struct {
		Number     int64     `json:"number"`
		SHA256     PhotoID   `json:"sha256"`
		Type       string    `json:"type"`
		ReceivedAt time.Time `json:"received_at"`
		File       string    `json:"file"`
	}
)

// Export writes everything in the file into a folder. The folder must not be
// there, or be empty, or hold an earlier export that nobody has changed, which
// is then replaced once the new one is whole. tables, which may be nil, turns
// the records into further tables for spreadsheets.
func (s *Store) Export(ctx context.Context, folder string, tables func([]daybook.Event) ([]daybook.Table, error)) (State, error) {
	folder, err := filepath.Abs(folder)
	if err != nil {
		return State{}, err
	}
	if err := mayBeReplaced(folder); err != nil {
		return State{}, err
	}
	there := exists(folder)
	beside := filepath.Dir(folder)
	if there {
		beside = folder // which may be the root of a disk of its own
	}
	if err := os.MkdirAll(beside, 0o755); err != nil {
		return State{}, noExport(folder, err)
	}
	scratch, err := os.MkdirTemp(beside, ".henyear-export-*")
	if err != nil {
		return State{}, noExport(folder, err)
	}
	defer os.RemoveAll(scratch)
	state, err := s.exportInto(ctx, scratch, tables)
	switch {
	case err != nil:
	case there:
		err = moveFiles(scratch, folder)
	default:
		err = errors.Join(os.Chmod(scratch, 0o755), os.Rename(scratch, folder))
	}
	if err != nil {
		return State{}, noExport(folder, err)
	}
	return state, nil
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

func noExport(folder string, err error) error {
	switch {
	case errors.Is(err, context.Canceled), errors.Is(err, ErrDamaged), errors.Is(err, ErrOccupied):
		return err
	case kindOf(err) == ErrFull:
		return faultOf(ErrFull, err, "nothing was exported to %s, because the disk is full; make room, or name a folder on another disk", folder)
	case kindOf(err) == ErrReadOnly:
		return faultOf(ErrReadOnly, err, "nothing was exported to %s, because the folder may not be written; name another", folder)
	}
	return fmt.Errorf("nothing was exported to %s: %w", folder, err)
}

func (s *Store) exportInto(ctx context.Context, folder string, tables func([]daybook.Event) ([]daybook.Table, error)) (State, error) {
	tx, err := s.read.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return State{}, s.explain("read", err)
	}
	defer tx.Rollback()
	state, err := count(ctx, tx)
	if err == nil {
		state, err = readRows(ctx, tx, state)
	}
	if err != nil {
		return State{}, s.explain("read", err)
	}
	e := exporter{ctx: ctx, tx: tx, folder: folder}
	for _, write := range []func() error{
		func() error { return e.file(readMeName, []byte(readMe)) },
		e.holdings, e.plans, e.records, e.conflicts, e.photos,
		func() error { return e.tables(tables) },
		func() error { return e.manifest(state) },
	} {
		if err := write(); err != nil {
			return State{}, err
		}
	}
	return state, nil
}

// exporter writes one export.
type exporter struct {
	ctx    context.Context
	tx     *sql.Tx
	folder string
	files  []exportedFile
	events []daybook.Event
}

// file writes a file and lists it.
func (e *exporter) file(name string, content []byte) error {
	path := filepath.Join(e.folder, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(content)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	sum := sha256.Sum256(content)
	e.files = append(e.files, exportedFile{name, int64(len(content)), hex.EncodeToString(sum[:])})
	return nil
}

// list writes a list in both forms.
type list struct {
	name  string
	lines bytes.Buffer
	table [][]string
}

func newList(name string, heading ...string) *list {
	return &list{name: name, table: [][]string{heading}}
}

func (l *list) add(line any, cells ...string) error {
	l.table = append(l.table, cells)
	return encodeLine(&l.lines, line)
}

func encodeLine(w io.Writer, line any) error {
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false) // a record stays as it was written
	return encoder.Encode(line)
}

func (e *exporter) list(l *list) error {
	if err := e.file(l.name+".jsonl", l.lines.Bytes()); err != nil {
		return err
	}
	var text bytes.Buffer
	for _, row := range l.table {
		daybook.WriteRow(&text, row)
	}
	return e.file(l.name+".csv", text.Bytes())
}

var tableName = regexp.MustCompile(`^[a-z0-9_]+\.csv$`)

func number(n int64) string { return strconv.FormatInt(n, 10) }

func (e *exporter) holdings() error {
	l := newList("holdings", "revision", "id", "saved_at", "file")
	rows, err := e.tx.QueryContext(e.ctx, selectHoldings+` ORDER BY h.revision`)
	err = eachHolding(rows, err, true, func(h Holding, _ seal) error {
		name := fmt.Sprintf("holdings/%06d.toml", h.Revision)
		if err := e.file(name, h.TOML); err != nil {
			return err
		}
		return l.add(holdingLine{int64(h.Revision), string(h.ID), h.SavedAt, name},
			number(int64(h.Revision)), string(h.ID), instant(h.SavedAt), name)
	})
	if err != nil {
		return err
	}
	return e.list(l)
}

func (e *exporter) plans() error {
	l := newList("plans", "revision", "holding_revision", "rates_version", "accepted_at", "file")
	rows, err := e.tx.QueryContext(e.ctx, selectPlans+` ORDER BY p.revision`)
	err = eachPlan(rows, err, true, func(p Plan, _ seal) error {
		name := fmt.Sprintf("plans/%06d.json", p.Revision)
		if err := e.file(name, p.JSON); err != nil {
			return err
		}
		return l.add(planLine{int64(p.Revision), int64(p.HoldingRevision), p.RatesVersion, p.AcceptedAt, name},
			number(int64(p.Revision)), number(int64(p.HoldingRevision)), daybook.Guarded(p.RatesVersion), instant(p.AcceptedAt), name)
	})
	if err != nil {
		return err
	}
	return e.list(l)
}

var recordHeading = []string{"kind", "version", "happened_on", "recorded_at", "received_at", "author", "device", "id", "supersedes", "payload"}

func recordCells(r row) []string {
	return []string{daybook.Guarded(r.kind), number(r.version), r.happened, r.recorded, r.received, daybook.Guarded(r.author),
		hex.EncodeToString(r.device), hex.EncodeToString(r.id), r.superseded, daybook.Guarded(r.payload)}
}

func (e *exporter) records() error {
	l := newList("records", append([]string{"sequence"}, recordHeading...)...)
	rows, err := e.tx.QueryContext(e.ctx, selectEvents+` ORDER BY e.sequence`)
	err = eachEvent(rows, err, func(r row, _ seal) error {
		received, err := r.asReceived()
		if err != nil {
			return err
		}
		e.events = append(e.events, received.Event)
		return l.add(recordLine{r.sequence, received.ReceivedAt, received.Event}, append([]string{number(r.sequence)}, recordCells(r)...)...)
	})
	if err != nil {
		return err
	}
	return e.list(l)
}

func (e *exporter) conflicts() error {
	l := newList("conflicts", append([]string{"number", "last_sequence"}, recordHeading...)...)
	rows, err := e.tx.QueryContext(e.ctx, selectConflicts+` ORDER BY c.number`)
	err = eachConflict(rows, err, func(r row, _ bool, _ seal) error {
		received, err := r.asReceived()
		if err != nil {
			return err
		}
		return l.add(conflictLine{r.number, r.lastCounted, received.ReceivedAt, received.Event},
			append([]string{number(r.number), number(r.lastCounted)}, recordCells(r)...)...)
	})
	if err != nil {
		return err
	}
	return e.list(l)
}

func (e *exporter) photos() error {
	l := newList("photos", "number", "sha256", "type", "received_at", "bytes", "file")
	rows, err := e.tx.QueryContext(e.ctx, selectPhotos+` ORDER BY number`)
	err = eachPhoto(rows, err, func(p Photo, _ seal) error {
		name := "photos/" + string(p.ID) + PhotoEnding(p.Type)
		if err := e.file(name, p.Bytes); err != nil {
			return err
		}
		return l.add(photoLine{p.Number, p.ID, p.Type, p.ReceivedAt, name},
			number(p.Number), string(p.ID), p.Type, instant(p.ReceivedAt), number(int64(len(p.Bytes))), name)
	})
	if err != nil {
		return err
	}
	return e.list(l)
}

func (e *exporter) tables(reckon func([]daybook.Event) ([]daybook.Table, error)) error {
	if reckon == nil {
		return nil
	}
	daybook.SortEvents(e.events)
	tables, err := reckon(e.events)
	if err != nil {
		return err
	}
	for _, t := range tables {
		if !tableName.MatchString(t.Name) {
			return fmt.Errorf("%q cannot be the name of a table", t.Name)
		}
		if err := e.file("tables/"+t.Name, t.CSV); err != nil {
			return err
		}
	}
	return nil
}

// manifest writes the list of all files, which makes the export whole.
func (e *exporter) manifest(s State) error {
	slices.SortFunc(e.files, func(a, b exportedFile) int { return strings.Compare(a.Name, b.Name) })
	text, err := json.MarshalIndent(manifest{exportFormat, s.Holdings, s.Plans, s.Events, s.Conflicts, s.Photos, s.Digest, e.files}, "", "  ")
	if err != nil {
		return err
	}
	return e.file(manifestName, append(text, '\n'))
}

// readManifest reads the list of an export; fs.ErrNotExist when there is none.
func readManifest(folder string) (manifest, error) {
	var m manifest
	text, err := os.ReadFile(filepath.Join(folder, manifestName))
	if err != nil {
		return m, err
	}
	if err := json.Unmarshal(text, &m); err != nil || m.Format < 1 {
		return m, faultOf(ErrDamaged, err, "%s is not the list of an export of Henyear, or it is damaged", filepath.Join(folder, manifestName))
	}
	if m.Format > exportFormat {
		return m, faultOf(ErrNewer, nil, "the export in %s was written by a newer Henyear (its format is %d, this program knows up to %d); use the newer program", folder, m.Format, exportFormat)
	}
	return m, nil
}

// check holds a file of an export against the list.
func (f exportedFile) check(folder string) error {
	if !filepath.IsLocal(filepath.FromSlash(f.Name)) {
		return faultOf(ErrDamaged, nil, "the list of the export in %s names a file outside it, %q", folder, f.Name)
	}
	file, err := os.Open(filepath.Join(folder, filepath.FromSlash(f.Name)))
	if errors.Is(err, fs.ErrNotExist) {
		return faultOf(ErrDamaged, err, "%s is missing in the export %s", f.Name, folder)
	}
	if err != nil {
		return err
	}
	defer file.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, bufio.NewReader(file)); err != nil {
		return err
	}
	if hex.EncodeToString(sum.Sum(nil)) != f.SHA256 {
		return faultOf(ErrDamaged, nil, "%s in the export %s is not as it was exported; it was changed or is damaged", f.Name, folder)
	}
	return nil
}

// mayBeReplaced allows a folder that is not there, is empty, or holds nothing
// but an export as it was written.
func mayBeReplaced(folder string) error {
	entries, err := os.ReadDir(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return faultOf(ErrOccupied, err, "%s is not a folder that can be exported to: %s; name another", folder, reason(err))
	case len(entries) == 0:
		return nil
	}
	m, err := readManifest(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return faultOf(ErrOccupied, nil, "the folder %s is not empty and holds no export; nothing was written: name a new folder", folder)
	}
	if err != nil {
		return faultOf(ErrOccupied, err, "%s; nothing was written: name a new folder", err)
	}
	listed := map[string]bool{manifestName: true}
	for _, f := range m.Files {
		listed[f.Name] = true
		if err := f.check(folder); err != nil {
			return faultOf(ErrOccupied, err, "%s; nothing was written, so that your change is not lost: name a new folder", err)
		}
	}
	return filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		name, err := filepath.Rel(folder, path)
		if err == nil && !listed[filepath.ToSlash(name)] {
			err = faultOf(ErrOccupied, nil, "%s in %s is not of the export; nothing was written: move it away, or name a new folder", name, folder)
		}
		return err
	})
}

// moveFiles empties a folder that may be replaced, but for the scratch folder in
// it, and moves the finished files up, the list last, since it makes the export
// whole.
func moveFiles(scratch, folder string) error {
	if err := os.Remove(filepath.Join(folder, manifestName)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	olds, err := os.ReadDir(folder)
	if err != nil {
		return err
	}
	for _, old := range olds {
		if old.Name() == filepath.Base(scratch) {
			continue
		}
		if err := os.RemoveAll(filepath.Join(folder, old.Name())); err != nil {
			return err
		}
	}
	news, err := os.ReadDir(scratch)
	if err != nil {
		return err
	}
	slices.SortFunc(news, func(a, b fs.DirEntry) int {
		return strings.Compare(lastIfList(a.Name()), lastIfList(b.Name()))
	})
	for _, entry := range news {
		if err := os.Rename(filepath.Join(scratch, entry.Name()), filepath.Join(folder, entry.Name())); err != nil {
			return err
		}
	}
	return nil
}

func lastIfList(name string) string {
	if name == manifestName {
		return "~"
	}
	return name
}
