package store

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"
)

const someID = ID("0123456789abcdef0123456789abcdef")

var newYear = time.Date(2027, time.January, 1, 8, 30, 0, 0, time.UTC)

func newFile(t *testing.T) string { return filepath.Join(t.TempDir(), "data", FileName) }

func mustOpen(t *testing.T, path string) *Store {
	t.Helper()
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func mustSave(t *testing.T, s *Store, text string) Revision {
	t.Helper()
	rev, err := s.SaveHolding(t.Context(), someID, []byte(text), newYear)
	if err != nil {
		t.Fatal(err)
	}
	return rev
}

func TestHoldingAndPlanAreThereAfterReopening(t *testing.T) {
	path := newFile(t)
	s := mustOpen(t, path)
	rev := mustSave(t, s, "name = 'Höfli'\n")
	plan := Plan{HoldingRevision: rev, RatesVersion: "book", JSON: []byte(`{"format":1}`), AcceptedAt: newYear}
	var err error
	if plan.Revision, err = s.SavePlan(t.Context(), plan); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}

	s = mustOpen(t, path)
	got, err := s.CurrentHolding(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	want := Holding{Revision: rev, ID: someID, TOML: []byte("name = 'Höfli'\n"), SavedAt: newYear}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	gotPlan, err := s.LatestPlan(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(plan, gotPlan); d != "" {
		t.Error(d)
	}
}

func TestNewDataFolderHoldsNothingYet(t *testing.T) {
	s := mustOpen(t, newFile(t))
	if _, err := s.CurrentHolding(t.Context()); !errors.Is(err, ErrNone) {
		t.Errorf("holding: got %v", err)
	}
	if _, err := s.LatestPlan(t.Context()); !errors.Is(err, ErrNone) {
		t.Errorf("plan: got %v", err)
	}
}

func TestLaterDescriptionIsCurrentAndTheEarlierOneIsKept(t *testing.T) {
	s := mustOpen(t, newFile(t))
	first := mustSave(t, s, "a = 1\n")
	second := mustSave(t, s, "a = 2\n")
	if second <= first {
		t.Errorf("revision %d after %d", second, first)
	}
	back := mustSave(t, s, "a = 1\n")
	if back <= second {
		t.Errorf("going back to an earlier text is a new revision: got %d after %d", back, second)
	}
	var rows int
	if err := s.read.QueryRow("SELECT count(*) FROM holdings").Scan(&rows); err != nil || rows != 3 {
		t.Errorf("%d rows, %v", rows, err)
	}
}

func TestSameSaveSentTwiceIsStoredOnce(t *testing.T) {
	s := mustOpen(t, newFile(t))
	if a, b := mustSave(t, s, "a = 1\n"), mustSave(t, s, "a = 1\n"); a != b {
		t.Errorf("revisions %d and %d", a, b)
	}
}

func TestSavedTextCannotBeChangedOrDeletedEvenBySQL(t *testing.T) {
	s := mustOpen(t, newFile(t))
	rev := mustSave(t, s, "a = 1\n")
	if _, err := s.SavePlan(t.Context(), Plan{HoldingRevision: rev, JSON: []byte("{}"), AcceptedAt: newYear}); err != nil {
		t.Fatal(err)
	}
	for _, statement := range []string{
		"UPDATE holdings SET toml = 'x'", "DELETE FROM holdings",
		"UPDATE plans SET json = '{}'", "DELETE FROM plans",
	} {
		if _, err := s.write.Exec(statement); err == nil || !strings.Contains(err.Error(), "never") {
			t.Errorf("%s: %v", statement, err)
		}
	}
}

func TestWrongInputIsRefused(t *testing.T) {
	s := mustOpen(t, newFile(t))
	ctx := t.Context()
	for name, save := range map[string]func() error{
		"short identifier": func() error { _, err := s.SaveHolding(ctx, "abc", []byte("a"), newYear); return err },
		"capital letters": func() error {
			_, err := s.SaveHolding(ctx, ID(strings.ToUpper(string(someID))), []byte("a"), newYear)
			return err
		},
		"empty text":    func() error { _, err := s.SaveHolding(ctx, someID, nil, newYear); return err },
		"not text":      func() error { _, err := s.SaveHolding(ctx, someID, []byte{0xff}, newYear); return err },
		"no holding":    func() error { _, err := s.SavePlan(ctx, Plan{HoldingRevision: 7, JSON: []byte("{}")}); return err },
		"plan not JSON": func() error { _, err := s.SavePlan(ctx, Plan{HoldingRevision: 1, JSON: []byte("{")}); return err },
	} {
		if save() == nil {
			t.Errorf("%s was saved", name)
		}
	}
}

func TestIdentifiersDifferAndAreWellFormed(t *testing.T) {
	a, b := NewID(), NewID()
	if a == b || a.check() != nil || b.check() != nil {
		t.Errorf("%s, %s", a, b)
	}
}

func TestConnectionIsDurableAndStrict(t *testing.T) {
	s := mustOpen(t, newFile(t))
	for pragma, want := range map[string]string{
		"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": "5000",
	} {
		var got string
		if err := s.write.QueryRow("PRAGMA " + pragma).Scan(&got); err != nil || got != want {
			t.Errorf("%s is %q, want %q (%v)", pragma, got, want, err)
		}
	}
	for pragma, want := range map[string]string{"fullfsync": "1", "checkpoint_fullfsync": "1", "recursive_triggers": "1"} {
		var got string
		if err := s.write.QueryRow("PRAGMA " + pragma).Scan(&got); err != nil || got != want {
			t.Errorf("%s is %q, want %q (%v)", pragma, got, want, err)
		}
	}
	if _, err := s.read.Exec("INSERT INTO holdings (id, toml, saved_at) VALUES ('', '', '')"); err == nil {
		t.Error("the reading connections can write")
	}
	var loose int
	if err := s.read.QueryRow(`SELECT count(*) FROM pragma_table_list WHERE schema = 'main' AND type = 'table'
		AND name NOT LIKE 'sqlite_%' AND NOT strict`).Scan(&loose); err != nil || loose != 0 {
		t.Errorf("%d tables are not STRICT, %v", loose, err)
	}
}

func TestSavesFromSeveralHandsAtOnceAllArrive(t *testing.T) {
	s := mustOpen(t, newFile(t))
	var wait sync.WaitGroup
	for i := range 20 {
		wait.Go(func() {
			if _, err := s.SaveHolding(context.Background(), someID, fmt.Appendf(nil, "a = %d\n", i), newYear); err != nil {
				t.Error(err)
			}
			if _, err := s.CurrentHolding(context.Background()); err != nil {
				t.Error(err)
			}
		})
	}
	wait.Wait()
	var rows int
	if err := s.read.QueryRow("SELECT count(*) FROM holdings").Scan(&rows); err != nil || rows != 20 {
		t.Errorf("%d rows, %v", rows, err)
	}
}

// saved makes a file with enough in it to span many pages, and returns its path.
func saved(t *testing.T) string {
	t.Helper()
	path := newFile(t)
	s := mustOpen(t, path)
	for i := range 40 {
		mustSave(t, s, fmt.Sprintf("a = %d # %s\n", i, strings.Repeat("eggs ", 400)))
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestDamagedOrForeignFileIsRefusedWithASentenceAndLeftAsItWas(t *testing.T) {
	sound, err := os.ReadFile(saved(t))
	if err != nil {
		t.Fatal(err)
	}
	holed := bytes.Clone(sound)
	for i := 4096; i < 3*4096; i++ {
		holed[i] = 0xaa
	}
	cases := map[string]struct {
		content []byte
		says    string
	}{
		"half of it":      {sound[:len(sound)/2], "damaged"},
		"half a page":     {sound[:2000], "damaged"},
		"header only":     {sound[:16], "damaged"},
		"part of header":  {sound[:9], "not a data file"},
		"garbled pages":   {holed, "damaged"},
		"text":            {[]byte("name = 'my holding'\n"), "not a data file"},
		"random nonsense": {bytes.Repeat([]byte{7, 99, 201}, 5000), "not a data file"},
		"other program":   {foreign(t), "another program"},
		"newer program":   {newer(t), "newer Henyear"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), FileName)
			if err := os.WriteFile(path, c.content, 0o600); err != nil {
				t.Fatal(err)
			}
			s, err := Open(path)
			if err == nil {
				s.Close()
				t.Fatal("opened")
			}
			if !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), path) {
				t.Errorf("message: %v", err)
			}
			if after, _ := os.ReadFile(path); !bytes.Equal(after, c.content) {
				t.Error("the file was changed")
			}
		})
	}
}

// alter makes a database, runs a statement in it and returns its bytes.
func alter(t *testing.T, path, statement string) []byte {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec(statement); err != nil {
		t.Fatal(err)
	}
	db.Close()
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return content
}

func foreign(t *testing.T) []byte {
	return alter(t, filepath.Join(t.TempDir(), "other.db"), "CREATE TABLE notes (text TEXT)")
}

func newer(t *testing.T) []byte {
	return alter(t, saved(t), "PRAGMA user_version = 9999")
}

func TestFolderThatCannotBeMadeIsASentence(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a-file")
	if err := os.WriteFile(file, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(filepath.Join(file, FileName)); err == nil || !strings.Contains(err.Error(), "cannot be made") {
		t.Errorf("got %v", err)
	}
}

func TestFolderNamesWithOddSignsWork(t *testing.T) {
	path := filepath.Join(t.TempDir(), "hens & eggs? 100% #1 ü", FileName)
	s := mustOpen(t, path)
	mustSave(t, s, "a = 1\n")
	if _, err := os.Stat(path); err != nil {
		t.Error(err)
	}
}

func TestEmptyFileLeftByAStoppedStartIsFilled(t *testing.T) {
	path := filepath.Join(t.TempDir(), FileName)
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	mustSave(t, mustOpen(t, path), "a = 1\n")
}

// nextStep is a later version of the file's shape.
func nextStep(t *testing.T, sql string) []migration {
	t.Helper()
	steps, err := readMigrations(embedded)
	if err != nil {
		t.Fatal(err)
	}
	return append(steps, migration{fmt.Sprintf("%04d_next", len(steps)+1), sql})
}

func TestOlderFileIsBackedUpBeforeItIsBroughtUpToDate(t *testing.T) {
	path := saved(t)
	s, err := open(path, nextStep(t, "CREATE TABLE hatches (id TEXT) STRICT; INSERT INTO hatches VALUES ('x')"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var n int
	if err := s.read.QueryRow("SELECT count(*) FROM hatches").Scan(&n); err != nil || n != 1 {
		t.Errorf("the step was not taken: %d, %v", n, err)
	}
	backups, _ := filepath.Glob(filepath.Join(filepath.Dir(path), BackupsFolder, "henyear-*-before-form-3.db"))
	if len(backups) != 1 {
		t.Fatalf("backups: %v", backups)
	}
	old := mustOpen(t, backups[0]) // the program that wrote it can read it
	h, err := old.CurrentHolding(t.Context())
	if err != nil || !strings.HasPrefix(string(h.TOML), "a = 39 ") {
		t.Errorf("backup holds %.10q, %v", h.TOML, err)
	}
}

func TestFailedStepLeavesTheOldFileWorking(t *testing.T) {
	path := saved(t)
	if _, err := open(path, nextStep(t, "CREATE TABLE hatches (id TEXT) STRICT; CREATE NONSENSE")); err == nil ||
		!strings.Contains(err.Error(), "left as it was") {
		t.Fatalf("got %v", err)
	}
	s := mustOpen(t, path)
	var tables int
	if err := s.read.QueryRow("SELECT count(*) FROM sqlite_schema WHERE name = 'hatches'").Scan(&tables); err != nil || tables != 0 {
		t.Errorf("half a step was taken: %d, %v", tables, err)
	}
	mustSave(t, s, "a = 1\n")
}

func TestStepsAreNumberedWithoutAHole(t *testing.T) {
	if _, err := readMigrations(embedded); err != nil {
		t.Error(err)
	}
	holed := fstest.MapFS{"migrations/0001_a.sql": {}, "migrations/0003_b.sql": {}}
	if _, err := readMigrations(holed); err == nil {
		t.Error("a missing step 2 was not noticed")
	}
}
