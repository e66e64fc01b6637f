package store

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"henyear/measure"
)

func backupNames(t *testing.T, path string) []string {
	t.Helper()
	list, err := Backups(path)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, b := range list {
		names = append(names, filepath.Base(b.Path))
	}
	slices.Sort(names)
	return names
}

func TestBackupHoldsExactlyWhatTheFileHolds(t *testing.T) {
	path := newFile(t)
	s := mustOpen(t, path)
	fillWith(t, s, 30)
	b, state, err := BackUpInto(t.Context(), path, t.TempDir(), newYear) // while it is open
	if err != nil {
		t.Fatal(err)
	}
	own, err := count(t.Context(), s.read)
	if err != nil {
		t.Fatal(err)
	}
	if !own.sameRows(state) || state.Digest == "" || b.Day != measure.DateOf(newYear) || b.Of != "083000" {
		t.Errorf("%+v of %+v, %+v", state, own, b)
	}
	copied := mustOpen(t, b.Path)
	want, err := s.EventsSince(t.Context(), 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	got, err := copied.EventsSince(t.Context(), 0, 0)
	if err != nil || fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("other records: %v", err)
	}
	again, _, err := BackUpInto(t.Context(), path, filepath.Dir(b.Path), newYear)
	if err != nil || filepath.Base(again.Path) != "henyear-2027-01-01-083000-2.db" || again.Of != b.Of {
		t.Errorf("a backup of the same second: %v, %v", again, err)
	}
}

func TestBackupsTakenWhileRecordsArriveAreWholeAndHoldAllThatWasAcknowledged(t *testing.T) {
	path := newFile(t)
	s := mustOpen(t, path)
	mustAdd(t, s, record(0))
	ctx, stop := context.WithCancel(t.Context())
	var writers sync.WaitGroup
	for w := range 3 {
		writers.Go(func() {
			for n := 1; ctx.Err() == nil; n++ {
				if _, err := s.AddEvents(context.Background(), someBatch(w, n), newYear); err != nil {
					t.Error(err)
					return
				}
			}
		})
	}
	for n := range 5 {
		acknowledged, err := s.LastSequence(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		b, made, err := s.BackUpOfDay(t.Context(), measure.DateOf(newYear).AddDays(n))
		if err != nil || !made {
			t.Fatal(made, err)
		}
		if held, err := CheckBackup(t.Context(), b.Path); err != nil || held.Events < acknowledged {
			t.Errorf("%d records of %d, %v", held.Events, acknowledged, err)
		}
	}
	stop()
	writers.Wait()
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), BackupsFolder, "*.unfinished*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

func TestBackupOfTheDayIsRenewedOnlyWhenSomethingWasSaved(t *testing.T) {
	path := newFile(t)
	s := mustOpen(t, path)
	day := measure.DateOf(newYear)
	steps := []struct {
		what string
		day  int
		made bool
		save func()
	}{
		{"a new file", 0, false, func() {}},
		{"the first record", 0, true, func() { mustAdd(t, s, record(1)) }},
		{"nothing new", 0, false, func() {}},
		{"a record on the same day", 0, true, func() { mustAdd(t, s, record(2)) }},
		{"a day without records", 1, false, func() {}},
		{"a plan", 2, true, func() { mustSave(t, s, "a = 1\n") }},
		{"a photo", 3, true, func() { s.AddPhoto(t.Context(), somePNG(1), newYear) }},
		{"the newest is damaged", 3, true, func() { os.Truncate(filepath.Join(backupsFolder(path), "henyear-2027-01-04.db"), 5000) }},
	}
	for _, step := range steps {
		step.save()
		if _, made, err := s.BackUpOfDay(t.Context(), day.AddDays(step.day)); err != nil || made != step.made {
			t.Errorf("%s: made %v, %v", step.what, made, err)
		}
	}
	want := []string{"henyear-2027-01-01.db", "henyear-2027-01-03.db", "henyear-2027-01-04.db"}
	if got := backupNames(t, path); !slices.Equal(got, want) {
		t.Errorf("got %v", got)
	}
}

func TestOldBackupsAreThinnedOutToDaysWeeksAndMonths(t *testing.T) {
	first := measure.Date{Year: 2025, Month: time.January, Day: 1}
	var kept []Backup
	for n := range 800 { // one each day, and the thinning each day, as it happens
		today := Backup{Path: fmt.Sprintf("henyear-%s.db", first.AddDays(n)), Day: first.AddDays(n)}
		kept = append([]Backup{today}, kept...)
		for _, old := range outlived(kept) {
			kept = slices.DeleteFunc(kept, func(b Backup) bool { return b == old })
		}
	}
	last := first.AddDays(799) // Thursday, 11 March 2027
	var got []string
	for _, b := range kept {
		got = append(got, b.Day.String())
	}
	for n := range DailyKept {
		if !slices.Contains(got, last.AddDays(-n).String()) {
			t.Errorf("the day %d days ago is missing", n)
		}
	}
	for n := range WeeklyKept {
		sunday := measure.WeekOf(last).Monday().AddDays(-1 - 7*n)
		if n < WeeklyKept-1 && !slices.Contains(got, sunday.String()) {
			t.Errorf("the end of the week %d weeks ago, %s, is missing", n+1, sunday)
		}
	}
	months := map[string]bool{}
	for _, day := range got {
		months[day[:7]] = true
	}
	if len(months) != MonthlyKept || !slices.Contains(got, "2026-04-30") || len(got) > DailyKept+WeeklyKept+MonthlyKept {
		t.Errorf("%d months in %v", len(months), got)
	}
}

func TestBackupsMadeByHandAreNeverRemovedAndThoseBeforeANewFormAreThinned(t *testing.T) {
	day := measure.DateOf(newYear)
	var list []Backup
	for n := range 50 {
		list = append(list, Backup{Path: fmt.Sprint("hand ", n), Day: day.AddDays(-30 * n), Of: "101500"})
		list = append(list, Backup{Path: fmt.Sprint("before ", n), Day: day.AddDays(-30 * n), BeforeForm: 60 - n})
	}
	old := outlived(list)
	if len(old) != 50-BeforeKept || old[0].Path != "before 3" {
		t.Errorf("%d would go: %v", len(old), old)
	}
}

func TestFilesThatAreNoBackupsAreNotTouchedByTheThinning(t *testing.T) {
	path := newFile(t)
	s := mustOpen(t, path)
	folder := backupsFolder(path)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	foreign := []string{"notes.txt", "henyear-2020-01-01.db.txt", "henyear-2020-13-45.db", "my-henyear-2020-01-01.db", "henyear-2020-01-01-copy.db"}
	for _, name := range foreign {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(name), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(filepath.Join(folder, "henyear-2020-01-01.db"), 0o700); err != nil {
		t.Fatal(err)
	}
	for n := range 12 {
		mustAdd(t, s, record(n))
		if _, _, err := s.BackUpOfDay(t.Context(), measure.DateOf(newYear).AddDays(n)); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range foreign {
		if text, err := os.ReadFile(filepath.Join(folder, name)); err != nil || string(text) != name {
			t.Errorf("%s: %v", name, err)
		}
	}
	if got := backupNames(t, path); len(got) != 8 { // 7 days, and the end of the week before them
		t.Errorf("got %v", got)
	}
}

func TestProgramMakesBackupsByItselfAndFoldsTheJournal(t *testing.T) {
	path := newFile(t)
	s := mustOpen(t, path)
	mustAdd(t, s, record(1))
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() {
		s.BackUpWhileRunning(ctx, func() time.Time { return newYear }, func(err error) { t.Error(err) })
		close(ended)
	}()
	for began := time.Now(); len(backupNames(t, path)) == 0 || journalLeft(path); time.Sleep(time.Millisecond) {
		if time.Since(began) > 20*time.Second {
			t.Error("no backup was made, or the journal is left")
			break
		}
	}
	stop()
	<-ended
}

func TestFaultOfABackupIsToldOnceUntilItChanges(t *testing.T) {
	path := newFile(t)
	s := mustOpen(t, path)
	mustAdd(t, s, record(1))
	if err := os.WriteFile(backupsFolder(path), []byte("in the way"), 0o600); err != nil {
		t.Fatal(err)
	}
	var told []string
	tell := func(err error) { told = append(told, err.Error()) }
	said := s.backUpNow(t.Context(), newYear, "", tell)
	said = s.backUpNow(t.Context(), newYear.Add(time.Hour), said, tell)
	if len(told) != 1 || !strings.Contains(told[0], "backup") || !strings.Contains(told[0], backupsFolder(path)) {
		t.Errorf("told: %q", told)
	}
	os.Remove(backupsFolder(path))
	if said = s.backUpNow(t.Context(), newYear, said, tell); said != "" || len(told) != 1 {
		t.Errorf("after it was mended: %q, %q", said, told)
	}
}
