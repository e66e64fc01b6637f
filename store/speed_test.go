package store

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"henyear/daybook"
	"henyear/measure"
)

func BenchmarkOpenAFileOfFortyRevisions(b *testing.B) {
	path := b.TempDir() + "/" + FileName
	s, err := Open(path)
	if err != nil {
		b.Fatal(err)
	}
	for i := range 40 {
		if _, err := s.SaveHolding(b.Context(), someID, fmt.Appendf(nil, "a = %d # %01900d\n", i, i), newYear); err != nil {
			b.Fatal(err)
		}
	}
	s.Close()
	for b.Loop() {
		s, err := Open(path)
		if err != nil {
			b.Fatal(err)
		}
		s.Close()
	}
}

func BenchmarkSaveAHolding(b *testing.B) {
	s, err := Open(b.TempDir() + "/" + FileName)
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	for i := 0; b.Loop(); i++ {
		if _, err := s.SaveHolding(b.Context(), someID, fmt.Appendf(nil, "a = %d\n", i), newYear); err != nil {
			b.Fatal(err)
		}
	}
}

const manyRecords = 100_000

// manyFolder is where many puts its file, to be removed at the end.
var manyFolder string

// many is a closed file of 100,000 records, made once: a large household writes
// some ten a day, so this is the work of a lifetime.
var many = sync.OnceValues(func() (string, error) {
	folder, err := os.MkdirTemp("", "henyear-test-")
	if err != nil {
		return "", err
	}
	manyFolder = folder
	path := filepath.Join(folder, FileName)
	s, err := Open(path)
	if err != nil {
		return "", err
	}
	for from := 0; from < manyRecords; from += MostEventsAtOnce {
		var batch []daybook.Event
		for n := range MostEventsAtOnce {
			batch = append(batch, record(from+n))
		}
		if _, err := s.AddEvents(context.Background(), batch, newYear); err != nil {
			return "", err
		}
	}
	return path, s.Close()
})

func manyPath(b *testing.B) string {
	b.Helper()
	path, err := many()
	if err != nil {
		b.Fatal(err)
	}
	return path
}

func openMany(b *testing.B) *Store {
	b.Helper()
	s, err := Open(manyPath(b))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { s.Close() })
	return s
}

func BenchmarkOpenAFileOfManyRecords(b *testing.B) {
	path := manyPath(b)
	for b.Loop() {
		s, err := Open(path)
		if err != nil {
			b.Fatal(err)
		}
		s.Close()
	}
}

func BenchmarkOpenAFileOfManyRecordsAfterAKill(b *testing.B) {
	path := manyPath(b)
	for b.Loop() {
		if err := os.WriteFile(lockName(path), []byte("process 1\n"), 0o600); err != nil {
			b.Fatal(err)
		}
		s, err := Open(path)
		if err != nil {
			b.Fatal(err)
		}
		s.Close()
	}
}

func BenchmarkReadManyRecordsForTheReplay(b *testing.B) {
	s := openMany(b)
	for b.Loop() {
		if got, err := s.EventsSince(b.Context(), 0, 0); err != nil || len(got) < manyRecords {
			b.Fatal(len(got), err)
		}
	}
}

func BenchmarkReadAMonthOutOfManyRecords(b *testing.B) {
	s := openMany(b)
	first := measure.DateOf(newYear).AddDays(60)
	for b.Loop() {
		if _, err := s.EventsBetween(b.Context(), first, first.AddDays(3)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReadTheLatestOfManyRecords(b *testing.B) {
	s := openMany(b)
	for b.Loop() {
		if _, err := s.LatestEvents(b.Context(), 20); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAddARecordToManyUntilItIsOnTheDisk(b *testing.B) {
	s := openMany(b)
	last, err := s.LastSequence(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	for n := int(last); b.Loop(); n++ {
		if outcomes, err := s.AddEvents(b.Context(), []daybook.Event{record(n)}, newYear); err != nil || outcomes[0].Status != New {
			b.Fatal(outcomes, err)
		}
	}
}

func BenchmarkBackUpManyRecords(b *testing.B) {
	path := manyPath(b)
	for b.Loop() {
		folder := b.TempDir()
		if _, _, err := BackUpInto(b.Context(), path, folder, newYear); err != nil {
			b.Fatal(err)
		}
		os.RemoveAll(folder)
	}
}
