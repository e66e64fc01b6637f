package store

import (
	"bytes"
	"database/sql"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"henyear/daybook"
	"henyear/measure"
)

// filled makes a file with something of every kind in it, closes it and returns
// its path.
func filled(t *testing.T, records int) string {
	t.Helper()
	path := newFile(t)
	s := mustOpen(t, path)
	fillWith(t, s, records)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

func fillWith(t *testing.T, s *Store, records int) {
	t.Helper()
	fill(t, s)
	for n := range records {
		e := record(100 + n)
		if n%7 == 3 {
			e.Supersedes = append(e.Supersedes, numberedID("record", 99+n), numberedID("record", 1000+n))
		}
		mustAdd(t, s, e)
	}
	for n := range 3 {
		if _, err := s.AddPhoto(t.Context(), someJPEG(10+n), newYear); err != nil {
			t.Fatal(err)
		}
	}
}

// TestNoTurnedBitGoesUnnoticed turns single bits all over a file. Each is either
// noticed or changes nothing that the keeper would read.
func TestNoTurnedBitGoesUnnoticed(t *testing.T) {
	path := filled(t, 40)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	right, err := CheckBackup(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	copied := filepath.Join(t.TempDir(), FileName)
	noticed, harmless := 0, 0
	r := rand.New(rand.NewPCG(7, 7))
	for range 400 {
		at, bit := r.IntN(len(whole)), byte(1)<<r.IntN(8)
		broken := bytes.Clone(whole)
		broken[at] ^= bit
		if err := os.WriteFile(copied, broken, 0o600); err != nil {
			t.Fatal(err)
		}
		got, err := CheckBackup(t.Context(), copied)
		switch {
		case err != nil:
			noticed++
			if !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrForeign) && !errors.Is(err, ErrNewer) {
				t.Errorf("byte %d bit %#x: %v", at, bit, err)
			}
		case got != right:
			t.Errorf("byte %d bit %#x: the file holds something else, and nobody says so: %+v", at, bit, got)
		default:
			harmless++
		}
	}
	t.Logf("%d bits were noticed, %d lie where nothing is", noticed, harmless)
	if noticed < 100 {
		t.Error("too few bits were noticed for this test to tell anything")
	}
}

// TestTurnedLetterIsNoticedWhenItIsRead changes letters that no check of the
// database looks at.
func TestTurnedLetterIsNoticedWhenItIsRead(t *testing.T) {
	path := filled(t, 10)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for what, c := range map[string]struct {
		old, new string
		read     func(*Store) error
	}{
		"holding": {"wording 3", "wording 8", func(s *Store) error { _, err := s.CurrentHolding(t.Context()); return err }},
		"plan":    {`"plan":2`, `"plan":6`, func(s *Store) error { _, err := s.LatestPlan(t.Context()); return err }},
		"record":  {`{"eggs":3,`, `{"eggs":7,`, func(s *Store) error { _, err := s.EventsSince(t.Context(), 0, 0); return err }},
		"photo": {"\xff\xe0 a hen", "\xff\xe0 a pen", func(s *Store) error {
			_, err := s.Photo(t.Context(), PhotoIDOf(releasedPhotos[0]))
			return err
		}},
	} {
		if bytes.Count(whole, []byte(c.old)) != 1 {
			t.Fatalf("%s: %q is there %d times", what, c.old, bytes.Count(whole, []byte(c.old)))
		}
		changed := filepath.Join(t.TempDir(), FileName)
		if err := os.WriteFile(changed, bytes.Replace(whole, []byte(c.old), []byte(c.new), 1), 0o600); err != nil {
			t.Fatal(err)
		}
		s := mustOpen(t, changed)
		if err := c.read(s); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), what+" number") {
			t.Errorf("%s: %v", what, err)
		}
		if _, _, err := s.BackUpOfDay(t.Context(), measure.DateOf(newYear)); !errors.Is(err, ErrDamaged) {
			t.Errorf("%s: a backup was made of the damaged file: %v", what, err)
		}
		s.Close()
	}
}

// TestMissingRowIsNoticedWhereverItStood takes rows out, as no program of ours
// can: the trigger is taken away for it and put back.
func TestMissingRowIsNoticedWhereverItStood(t *testing.T) {
	for _, row := range []string{"events WHERE sequence = 20", "events WHERE sequence = 43", "photos WHERE number = 5", "conflicts", "plans WHERE revision = 2", "plans WHERE revision = 1"} {
		path := filled(t, 40)
		db, err := sql.Open("sqlite", path)
		if err != nil {
			t.Fatal(err)
		}
		db.SetMaxOpenConns(1)
		table, _, _ := strings.Cut(row, " ")
		var trigger string
		if err := db.QueryRow(`SELECT sql FROM sqlite_schema WHERE name = ?`, table+"_are_kept").Scan(&trigger); err != nil {
			t.Fatal(err)
		}
		for _, statement := range []string{"PRAGMA foreign_keys = OFF", "DROP TRIGGER " + table + "_are_kept", "DELETE FROM " + row, trigger} {
			if _, err := db.Exec(statement); err != nil {
				t.Fatal(statement, err)
			}
		}
		db.Close()
		if _, err := CheckBackup(t.Context(), path); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "missing") {
			t.Errorf("without %s: %v", row, err)
		}
	}
}

// TestFileThatCannotBeUsedIsLeftAloneAndTheNewestGoodBackupOffered breaks a file
// that has three backups, of which the newest is broken too.
func TestFileThatCannotBeUsedIsLeftAloneAndTheNewestGoodBackupOffered(t *testing.T) {
	path := newFile(t)
	s := mustOpen(t, path)
	day := measure.DateOf(newYear)
	for n := range 3 {
		mustAdd(t, s, record(n))
		if _, made, err := s.BackUpOfDay(t.Context(), day.AddDays(n)); err != nil || !made {
			t.Fatal(made, err)
		}
	}
	fillWith(t, s, 100)
	s.Close()
	folder := filepath.Join(filepath.Dir(path), BackupsFolder)
	if err := os.Truncate(filepath.Join(folder, "henyear-2027-01-03.db"), 20000); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		content []byte
		kind    error
	}{
		"cut short":        {whole[:len(whole)/2], ErrDamaged},
		"cut in a page":    {whole[:len(whole)-100], ErrDamaged},
		"a turned bit":     {turned(whole, 4096+4), ErrDamaged},
		"turned in header": {turned(whole, 3), ErrForeign},
		"zeros":            {make([]byte, len(whole)), ErrForeign},
		"newer":            {newerFile(whole), ErrNewer},
	} {
		if err := os.WriteFile(path, c.content, 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := Open(path)
		if !errors.Is(err, c.kind) {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, want := range []string{path, filepath.Join(folder, "henyear-2027-01-02.db") + " of 2 January 2027", "henyear restore"} {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %q is missing in: %v", name, want, err)
			}
		}
		if strings.Contains(err.Error(), "2027-01-03") {
			t.Errorf("%s: the broken backup is offered: %v", name, err)
		}
		if after, _ := os.ReadFile(path); !bytes.Equal(after, c.content) {
			t.Errorf("%s: the file was changed", name)
		}
		if c.kind != ErrNewer {
			if _, _, err := BackUpInto(t.Context(), path, t.TempDir(), newYear); err == nil {
				t.Errorf("%s: a backup was made of it", name)
			}
		}
	}
}

func turned(content []byte, at int) []byte {
	content = bytes.Clone(content)
	content[at] ^= 4
	return content
}

// newerFile raises the user_version, which stands in bytes 60 to 63 of the
// header (SQLite's file format).
func newerFile(content []byte) []byte {
	content = bytes.Clone(content)
	content[62] = 0x27
	return content
}

// brokenIndex makes a file that is too large to be checked in full each time and
// whose index has lost an entry, which the quick checks do not see.
func brokenIndex(t *testing.T) string {
	t.Helper()
	path := newFile(t)
	s := mustOpen(t, path)
	var batch []daybook.Event
	for n := range 200 {
		e := record(n)
		e.Payload = append(append([]byte(`{"note":"`), bytes.Repeat([]byte("eggs "), 10000)...), `"}`...)
		batch = append(batch, e)
	}
	mustAdd(t, s, batch...)
	s.Close()
	if sizeOf(path) <= largestFullyChecked {
		t.Fatal("the file is too small for this test")
	}
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	// The identifier stands once in the table and once in each of two indexes.
	id := record(100).ID
	at := bytes.LastIndex(content, id[:])
	content[at+15] ^= 1
	if err := os.WriteFile(path, content, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestLargeFileIsCheckedQuicklyUnlessTheProgramWasCutOff(t *testing.T) {
	path := brokenIndex(t)
	s, err := Open(path)
	if err != nil {
		t.Skip("the entry that was broken is one that quick checks see: ", err)
	}
	s.Close()
	if err := os.WriteFile(lockName(path), []byte("process 1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(path); !errors.Is(err, ErrDamaged) {
		t.Errorf("after a program that was cut off: %v", err)
	}
	if _, err := Open(path); !errors.Is(err, ErrDamaged) {
		t.Errorf("and at the next start: %v", err)
	}
}

func TestBrokenIndexOfALargeFileIsFoundByTheNextBackup(t *testing.T) {
	s := mustOpen(t, brokenIndex(t))
	if _, _, err := s.BackUpOfDay(t.Context(), measure.DateOf(newYear)); !errors.Is(err, ErrDamaged) {
		t.Errorf("got %v", err)
	}
}
