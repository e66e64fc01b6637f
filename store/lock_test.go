package store

import (
	"errors"
	"os"
	"strconv"
	"strings"
	"testing"

	"henyear/daybook"
)

func TestSecondProgramOnTheSameFileIsRefusedAndTheFirstWorksOn(t *testing.T) {
	path := newFile(t)
	first := mustOpen(t, path)
	mustAdd(t, first, record(1))
	_, err := Open(path)
	if !errors.Is(err, ErrInUse) || !IsKeepers(err) {
		t.Fatalf("got %v", err)
	}
	for _, want := range []string{path, "process " + strconv.Itoa(os.Getpid()), "use its pages, or end it"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q is missing in: %v", want, err)
		}
	}
	mustAdd(t, first, record(2))
	first.Close()
	second := mustOpen(t, path)
	if last, err := second.LastSequence(t.Context()); last != 2 || err != nil {
		t.Errorf("%d records, %v", last, err)
	}
}

func TestReadingGoesOnBesideAProgramThatWritesAndNeverWrites(t *testing.T) {
	path := newFile(t)
	writer := mustOpen(t, path)
	mustAdd(t, writer, record(1))
	reader, err := OpenReading(path)
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Close()
	mustAdd(t, writer, record(2))
	if last, err := reader.LastSequence(t.Context()); last != 2 || err != nil {
		t.Errorf("%d records, %v", last, err)
	}
	if _, err := reader.AddEvents(t.Context(), []daybook.Event{record(3)}, newYear); !errors.Is(err, ErrReadOnly) {
		t.Errorf("writing: %v", err)
	}
	writer.Close()
	if last, err := reader.LastSequence(t.Context()); last != 2 || err != nil {
		t.Errorf("%d records once the writer has gone, %v", last, err)
	}
}

func TestReadingMakesNoFileAndTouchesNoOldOne(t *testing.T) {
	path := newFile(t)
	if _, err := OpenReading(path); !errors.Is(err, ErrNone) {
		t.Errorf("no file: %v", err)
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("a file was made")
	}
	content, err := os.ReadFile(releasedFile(1))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := OpenReading(mustPlace(t, content)); !errors.Is(err, ErrOlder) {
		t.Errorf("an older one: %v", err)
	}
}

func TestLockOfAProgramThatEndedIsEmptyAndOfOneThatWasCutOffIsNot(t *testing.T) {
	path := newFile(t)
	s := mustOpen(t, path)
	if s.lock.cutOff {
		t.Error("nobody was cut off before a new file")
	}
	s.Close()
	if sizeOf(lockName(path)) != 0 {
		t.Error("the lock is not empty")
	}
	if err := os.WriteFile(lockName(path), []byte("process 1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	s = mustOpen(t, path)
	if !s.lock.cutOff {
		t.Error("a program that was cut off was not noticed")
	}
}

func TestLinkToTheFileHasTheSameLockAndJournal(t *testing.T) {
	path := newFile(t)
	s := mustOpen(t, path)
	mustAdd(t, s, record(1))
	link := t.TempDir() + "/" + FileName
	if err := os.Symlink(path, link); err != nil {
		t.Skip("no links here: ", err)
	}
	if _, err := Open(link); !errors.Is(err, ErrInUse) {
		t.Errorf("opened twice: %v", err)
	}
	if _, state, err := BackUpInto(t.Context(), link, t.TempDir(), newYear); err != nil || state.Events != 1 {
		t.Errorf("backed up through the link: %+v, %v", state, err)
	}
	s.Close()
	if got := mustOpen(t, link).Path(); got == link {
		t.Errorf("the lock of %s lies beside the link", got)
	}
	dangling := t.TempDir() + "/" + FileName
	os.Symlink("nowhere", dangling)
	if _, err := Open(dangling); !IsKeepers(err) {
		t.Errorf("a link that leads nowhere: %v", err)
	}
}
