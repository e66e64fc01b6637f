package store

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"henyear/daybook"
)

// folderOf reads every file of a folder.
func folderOf(t *testing.T, folder string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		content, err := os.ReadFile(path)
		name, _ := filepath.Rel(folder, path)
		files[filepath.ToSlash(name)] = string(content)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// eggTable is a table as the daybook may reckon one.
func eggTable(events []daybook.Event) ([]daybook.Table, error) {
	text := "day,record\n"
	for n, e := range events {
		text += fmt.Sprintf("%s,%d\n", e.HappenedOn, n)
	}
	return []daybook.Table{{Name: "eggs.csv", CSV: []byte(text)}}, nil
}

func exported(t *testing.T) (s *Store, folder string) {
	t.Helper()
	s = mustOpen(t, newFile(t))
	fillWith(t, s, 20)
	folder = filepath.Join(t.TempDir(), "out")
	if _, err := s.Export(t.Context(), folder, eggTable); err != nil {
		t.Fatal(err)
	}
	return s, folder
}

func TestExportIsReadBackToTheSameStateAndIsTheSameToTheByteTheSecondTime(t *testing.T) {
	s, first := exported(t)
	want, err := s.State(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	other := mustOpen(t, newFile(t))
	got, err := other.Import(t.Context(), first)
	if err != nil || got != want {
		t.Fatalf("%+v instead of %+v, %v", got, want, err)
	}
	second := filepath.Join(t.TempDir(), "again")
	if _, err := other.Export(t.Context(), second, eggTable); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(folderOf(t, first), folderOf(t, second)); d != "" {
		t.Error(d)
	}
	holdsWhatWasReleased(t, other, knownForm())
	mustAdd(t, other, record(999)) // and it goes on from there
	mustSave(t, other, "a = 1\n")
}

func TestExportOpensInASpreadsheet(t *testing.T) {
	s := mustOpen(t, newFile(t))
	e := record(1)
	e.Author = "=HYPERLINK(1)"
	mustAdd(t, s, e, record(2))
	folder := filepath.Join(t.TempDir(), "out")
	if _, err := s.Export(t.Context(), folder, eggTable); err != nil {
		t.Fatal(err)
	}
	for name, rows := range map[string]int{
		"holdings.csv": 1, "plans.csv": 1, "records.csv": 3, "conflicts.csv": 1, "photos.csv": 1, "tables/eggs.csv": 3,
	} {
		text, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			t.Fatal(err)
		}
		table, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
		if err != nil || len(table) != rows {
			t.Errorf("%s: %d rows, %v", name, len(table), err)
		}
	}
	table := folderOf(t, folder)["records.csv"]
	if !strings.Contains(table, "'=HYPERLINK") || strings.Contains(table, ",=HYPERLINK") {
		t.Error("a spreadsheet would take a name for a formula")
	}
}

func TestExportNeverOverwritesWhatIsNotAnExportAsItWasWritten(t *testing.T) {
	s, folder := exported(t)
	mustAdd(t, s, record(500))
	if _, err := s.Export(t.Context(), folder, eggTable); err != nil {
		t.Fatalf("an unchanged export is not replaced: %v", err)
	}
	if !strings.Contains(folderOf(t, folder)["records.jsonl"], record(500).ID.String()) {
		t.Error("the new record is not in the export")
	}
	for what, change := range map[string]func(folder string) string{
		"a changed table": func(f string) string { return write(t, f, "records.csv", "mine") },
		"a further file":  func(f string) string { return write(t, f, "photos/mine.txt", "mine") },
		"no list":         func(f string) string { os.Remove(filepath.Join(f, manifestName)); return "is not empty" },
		"a broken list":   func(f string) string { return write(t, f, manifestName, "{") },
		"a newer list":    func(f string) string { write(t, f, manifestName, `{"format":99}`); return "newer Henyear" },
	} {
		folder := filepath.Join(t.TempDir(), "out")
		if _, err := s.Export(t.Context(), folder, eggTable); err != nil {
			t.Fatal(err)
		}
		says := change(folder)
		before := folderOf(t, folder)
		if _, err := s.Export(t.Context(), folder, eggTable); !errors.Is(err, ErrOccupied) || !strings.Contains(err.Error(), says) || !strings.Contains(err.Error(), "nothing was written") {
			t.Errorf("%s: %v", what, err)
		}
		if d := cmp.Diff(before, folderOf(t, folder)); d != "" {
			t.Errorf("%s: %s", what, d)
		}
	}
	file := filepath.Join(t.TempDir(), "file")
	os.WriteFile(file, []byte("mine"), 0o600)
	if _, err := s.Export(t.Context(), file, nil); !errors.Is(err, ErrOccupied) {
		t.Errorf("a file in the way: %v", err)
	}
	if _, err := s.Export(t.Context(), t.TempDir(), nil); err != nil {
		t.Errorf("an empty folder: %v", err)
	}
}

func write(t *testing.T, folder, name, text string) string {
	t.Helper()
	if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return filepath.Base(name)
}

func TestFailedExportLeavesTheEarlierOneWhole(t *testing.T) {
	s, folder := exported(t)
	before := folderOf(t, folder)
	wrong := func([]daybook.Event) ([]daybook.Table, error) { return nil, fmt.Errorf("no tables today") }
	if _, err := s.Export(t.Context(), folder, wrong); err == nil {
		t.Error("no error")
	}
	if _, err := s.Export(t.Context(), folder, func([]daybook.Event) ([]daybook.Table, error) {
		return []daybook.Table{{Name: "../../escaped.csv"}}, nil
	}); err == nil {
		t.Error("a table was written outside")
	}
	if d := cmp.Diff(before, folderOf(t, folder)); d != "" {
		t.Error(d)
	}
}

func TestDamagedExportIsRefusedWholeAndTheFileStaysEmpty(t *testing.T) {
	for what, change := range map[string]func(folder string){
		"a changed record":      func(f string) { replaceIn(t, f, "records.jsonl", `"eggs":2,`, `"eggs":9,`) },
		"a changed description": func(f string) { write(t, f, "holdings/000001.toml", "format = 1\n") },
		"a missing photo":       func(f string) { os.RemoveAll(filepath.Join(f, "photos")) },
		"a missing list":        func(f string) { os.Remove(filepath.Join(f, manifestName)) },
		"a list that leaves":    func(f string) { replaceIn(t, f, manifestName, `"records.csv"`, `"../records.csv"`) },
		"another digest":        func(f string) { replaceIn(t, f, manifestName, `"digest": "`, `"digest": "0`) },
		"a newer one":           func(f string) { replaceIn(t, f, manifestName, `"format": 1`, `"format": 2`) },
	} {
		_, folder := exported(t)
		change(folder)
		s := mustOpen(t, newFile(t))
		if _, err := s.Import(t.Context(), folder); err == nil || !IsKeepers(err) || !strings.Contains(err.Error(), folder) {
			t.Errorf("%s: %v", what, err)
		}
		if got, err := s.State(t.Context()); err != nil || !got.empty() {
			t.Errorf("%s: %+v, %v", what, got, err)
		}
	}
}

func replaceIn(t *testing.T, folder, name, old, new string) {
	t.Helper()
	path := filepath.Join(folder, name)
	text, err := os.ReadFile(path)
	if err != nil || !bytes.Contains(text, []byte(old)) {
		t.Fatal(name, err)
	}
	if err := os.WriteFile(path, bytes.Replace(text, []byte(old), []byte(new), 1), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestImportIntoAFileThatHoldsSomethingIsRefused(t *testing.T) {
	s, folder := exported(t)
	before, err := s.State(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Import(t.Context(), folder); !errors.Is(err, ErrOccupied) || !strings.Contains(err.Error(), "--data") {
		t.Errorf("got %v", err)
	}
	if after, err := s.State(t.Context()); err != nil || after != before {
		t.Errorf("%+v after %+v, %v", after, before, err)
	}
}
