package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"henyear/daybook"
	"henyear/measure"
	"henyear/store"
)

// TestDataFileOnTheCommandLine runs the scripts about backups and exports, which
// need a data file with records in it.
func TestDataFileOnTheCommandLine(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/data",
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exitcode": exitCode,
			"records":  addRecords,
			"cut":      cutFile,
		},
		Setup: func(e *testscript.Env) error {
			e.Setenv("HOME", e.WorkDir)
			e.Setenv("XDG_DATA_HOME", filepath.Join(e.WorkDir, "own"))
			e.Setenv("CI", "true")
			return nil
		},
	})
}

// addRecords is the script command that adds records to the data file of a
// folder: records FOLDER 1 20.
func addRecords(script *testscript.TestScript, not bool, args []string) {
	if not || len(args) != 3 {
		script.Fatalf("usage: records folder first last")
	}
	first, err := strconv.Atoi(args[1])
	script.Check(err)
	last, err := strconv.Atoi(args[2])
	script.Check(err)
	script.Check(fillFile(filepath.Join(script.MkAbs(args[0]), store.FileName), first, last))
}

func fillFile(path string, first, last int) error {
	s, err := store.Open(path)
	if err != nil {
		return err
	}
	now := time.Date(2026, time.November, 25, 7, 0, 0, 0, time.UTC)
	var events []daybook.Event
	for n := first; n <= last; n++ {
		events = append(events, eggRecord(n, now))
	}
	if _, err := s.AddEvents(context.Background(), events, now); err != nil {
		return errors.Join(err, s.Close())
	}
	_, err = s.AddPhoto(context.Background(), []byte("\xff\xd8\xff\xe0 a hen"), now)
	return errors.Join(err, s.Close())
}

func eggRecord(n int, now time.Time) daybook.Event {
	id := daybook.ID{15: byte(n), 14: byte(n >> 8), 0: 1}
	return daybook.Event{
		ID: id, Kind: "from_a_test", Version: 1, HappenedOn: measure.DateOf(now).AddDays(-n),
		RecordedAt: now, Device: daybook.ID{0: 2}, Author: "Ann", Payload: fmt.Appendf(nil, `{"eggs":%d}`, n),
	}
}

// cutFile is the script command that cuts a file to half its length.
func cutFile(script *testscript.TestScript, not bool, args []string) {
	if not || len(args) != 1 {
		script.Fatalf("usage: cut file")
	}
	info, err := os.Stat(script.MkAbs(args[0]))
	script.Check(err)
	script.Check(os.Truncate(script.MkAbs(args[0]), info.Size()/2))
}

// ran runs the program to its end.
func ran(t *testing.T, args ...string) (code int, said string) {
	t.Helper()
	var both bytes.Buffer
	command := exec.Command("henyear", args...)
	command.Stdout, command.Stderr = &both, &both
	if err := command.Run(); err != nil && command.ProcessState == nil {
		t.Fatal(err)
	}
	return command.ProcessState.ExitCode(), both.String()
}

func TestWhileThePagesAreOpenBackupsAndExportsWorkAndNothingElseMayWrite(t *testing.T) {
	data := t.TempDir()
	if err := fillFile(filepath.Join(data, store.FileName), 1, 5); err != nil {
		t.Fatal(err)
	}
	pages := start(t, nil, "serve", exampleFile(t), "--port", "0", "--data", data)
	elsewhere := t.TempDir()
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{[]string{"backup", elsewhere}, 0, "5 records"},
		{[]string{"export", filepath.Join(elsewhere, "out")}, 0, "5 records"},
		{[]string{"import", filepath.Join(elsewhere, "out")}, 2, "another henyear"},
		{[]string{"serve", "--port", "0"}, 2, "another henyear"},
	} {
		if code, said := ran(t, append(c.args, "--data", data)...); code != c.code || !strings.Contains(said, c.says) {
			t.Errorf("%v: %d %s", c.args, code, said)
		}
	}
	backups, _ := filepath.Glob(filepath.Join(elsewhere, "henyear-*.db"))
	if len(backups) != 1 {
		t.Fatalf("backups: %v", backups)
	}
	if code, said := ran(t, "restore", backups[0], "--data", data); code != 2 || !strings.Contains(said, "end it and try again") {
		t.Errorf("restore: %d %s", code, said)
	}
	pages.interrupt(t)
	if code, said := ran(t, "restore", backups[0], "--data", data); code != 0 || !strings.Contains(said, "is kept as") {
		t.Errorf("restore once the pages are closed: %d %s", code, said)
	}
}

func TestServedPagesMakeTheBackupOfTheDay(t *testing.T) {
	data := t.TempDir()
	pages := start(t, nil, "serve", exampleFile(t), "--port", "0", "--data", data)
	made := 0
	for began := time.Now(); made == 0 && time.Since(began) < 20*time.Second; { // in the background
		names, _ := filepath.Glob(filepath.Join(data, store.BackupsFolder, "henyear-????-??-??.db"))
		made = len(names)
		time.Sleep(5 * time.Millisecond)
	}
	if made != 1 {
		t.Errorf("%d backups", made)
	}
	pages.interrupt(t)
}
