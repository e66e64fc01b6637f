package store

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// twoStates makes a data file and a backup of it from before its last record.
func twoStates(t *testing.T) (path, backup string) {
	t.Helper()
	path = newFile(t)
	s := mustOpen(t, path)
	fillWith(t, s, 5)
	b, _, err := BackUpInto(t.Context(), path, "", newYear)
	if err != nil {
		t.Fatal(err)
	}
	mustAdd(t, s, record(77))
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path, b.Path
}

func mustRestore(t *testing.T, path, from string, now time.Time) string {
	t.Helper()
	aside, _, err := Restore(t.Context(), path, from, now)
	if err != nil {
		t.Fatal(err)
	}
	return aside
}

func hasRecord(t *testing.T, path string, n int) bool {
	t.Helper()
	s := mustOpen(t, path)
	defer s.Close()
	_, err := s.EventByID(t.Context(), record(n).ID)
	if err != nil && !errors.Is(err, ErrNone) {
		t.Fatal(err)
	}
	return err == nil
}

func TestRestorePutsTheBackupInPlaceAndSetsTheOldFileAside(t *testing.T) {
	path, backup := twoStates(t)
	aside := mustRestore(t, path, backup, newYear)
	if filepath.Base(aside) != "henyear-set-aside-2027-01-01-083000.db" || filepath.Dir(aside) != filepath.Dir(path) {
		t.Errorf("set aside as %s", aside)
	}
	if hasRecord(t, path, 77) || !hasRecord(t, path, 104) {
		t.Error("the file does not hold what the backup held")
	}
	if !hasRecord(t, aside, 77) {
		t.Error("the file that was set aside has lost its last record")
	}
	again := mustRestore(t, path, aside, newYear) // changed one's mind, in the same second
	if again == aside || !hasRecord(t, path, 77) || hasRecord(t, again, 77) {
		t.Errorf("going back again, with %s set aside", again)
	}
}

func TestRestoreKeepsSavesThatWaitInTheJournalOfACutOffProgram(t *testing.T) {
	path, backup := twoStates(t)
	s := mustOpen(t, path)
	mustAdd(t, s, record(88))
	for _, name := range []string{path, path + "-wal"} { // as they lie when the power goes
		content, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(strings.Replace(name, path, path+".cut", 1), content, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	s.Close()
	cut := path + ".cut"
	aside := mustRestore(t, cut, backup, newYear)
	if hasRecord(t, cut, 88) || hasRecord(t, cut, 77) {
		t.Error("the journal of the old file was played into the backup")
	}
	if !hasRecord(t, aside, 88) {
		t.Error("the last save is not in the file that was set aside")
	}
}

func TestRestoreOfADamagedFileKeepsItAsItIs(t *testing.T) {
	path, backup := twoStates(t)
	content := []byte("hens have eaten it")
	if err := os.WriteFile(path, content, 0o600); err != nil {
		t.Fatal(err)
	}
	aside := mustRestore(t, path, backup, newYear)
	if got, _ := os.ReadFile(aside); !bytes.Equal(got, content) {
		t.Errorf("set aside: %q", got)
	}
	if !hasRecord(t, path, 104) {
		t.Error("not restored")
	}
}

func TestRestoreIntoAnEmptyFolderSetsNothingAside(t *testing.T) {
	_, backup := twoStates(t)
	path := newFile(t)
	if aside := mustRestore(t, path, backup, newYear); aside != "" {
		t.Errorf("set aside: %s", aside)
	}
	if !hasRecord(t, path, 104) {
		t.Error("not restored")
	}
}

func TestBackupOfAnOlderFormIsRestoredAndBroughtUpToDate(t *testing.T) {
	path, _ := twoStates(t)
	mustRestore(t, path, releasedFile(1), newYear)
	holdsWhatWasReleased(t, mustOpen(t, path), 1)
}

func TestNothingChangesWhenTheBackupIsNotWholeOrTheProgramRuns(t *testing.T) {
	path, backup := twoStates(t)
	before, _ := os.ReadFile(path)
	good, _ := os.ReadFile(backup)
	folder := t.TempDir()
	for name, c := range map[string]struct {
		content []byte
		kind    error
	}{
		"cut short": {good[:len(good)-5000], ErrDamaged},
		"a letter":  {bytes.Replace(good, []byte("wording 3"), []byte("wording 4"), 1), ErrDamaged},
		"newer":     {newerFile(good), ErrNewer},
		"text":      {[]byte("eggs: 4"), ErrForeign},
		"foreign":   {foreign(t), ErrForeign},
		"empty":     {nil, ErrForeign},
	} {
		from := filepath.Join(folder, name)
		if err := os.WriteFile(from, c.content, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, _, err := Restore(t.Context(), path, from, newYear); !errors.Is(err, c.kind) || !strings.Contains(err.Error(), from) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, from := range []string{filepath.Join(folder, "nowhere"), path} {
		if _, _, err := Restore(t.Context(), path, from, newYear); !IsKeepers(err) {
			t.Errorf("%s: %v", from, err)
		}
	}
	if after, _ := os.ReadFile(path); !bytes.Equal(after, before) {
		t.Error("the data file was changed")
	}

	s := mustOpen(t, path)
	if _, _, err := Restore(t.Context(), path, backup, newYear); !errors.Is(err, ErrInUse) || !strings.Contains(err.Error(), "end it") {
		t.Errorf("while the program runs: %v", err)
	}
	mustAdd(t, s, record(99))
	s.Close()
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*set-aside*")); len(left) > 0 {
		t.Errorf("set aside: %v", left)
	}
	if !hasRecord(t, path, 99) {
		t.Error("a record was lost")
	}
}

// TestRestoreThatWasCutShortIsNoticedAndFinished stops a restore between each
// two of its moves.
func TestRestoreThatWasCutShortIsNoticedAndFinished(t *testing.T) {
	for _, moved := range []string{"nothing", "journal", "file", "all"} {
		path, backup := twoStates(t)
		wal := []byte("a journal that nobody may play into another file")
		aside := filepath.Join(filepath.Dir(path), "henyear-set-aside-2027-01-01-083000.db")
		if err := os.WriteFile(path+"-wal", wal, 0o600); err != nil {
			t.Fatal(err)
		}
		old, _ := os.ReadFile(path)
		if err := writeFlushed(markName(path), backup+"\n"+aside+"\n"); err != nil {
			t.Fatal(err)
		}
		if moved != "nothing" {
			os.Rename(path+"-wal", aside+"-wal")
		}
		if moved == "file" || moved == "all" {
			os.Rename(path, aside)
		}
		if moved == "all" {
			good, _ := os.ReadFile(backup)
			os.WriteFile(path, good, 0o600)
		}
		for name, open := range map[string]func() error{
			"open":    func() error { _, err := Open(path); return err },
			"read":    func() error { _, err := OpenReading(path); return err },
			"back up": func() error { _, _, err := BackUpInto(t.Context(), path, t.TempDir(), newYear); return err },
		} {
			if err := open(); !errors.Is(err, ErrCutShort) || !strings.Contains(err.Error(), "henyear restore "+backup) || !strings.Contains(err.Error(), aside) {
				t.Errorf("%s moved, %s: %v", moved, name, err)
			}
		}
		mustRestore(t, path, backup, newYear.Add(time.Hour))
		if hasRecord(t, path, 77) || !hasRecord(t, path, 104) {
			t.Errorf("%s moved: not what the backup held", moved)
		}
		if got, _ := os.ReadFile(aside); !bytes.Equal(got, old) {
			t.Errorf("%s moved: the old file is not where it was put", moved)
		}
		if got, _ := os.ReadFile(aside + "-wal"); !bytes.Equal(got, wal) {
			t.Errorf("%s moved: the old file has lost its journal", moved)
		}
	}
}
