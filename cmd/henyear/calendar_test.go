package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"henyear/daybook"
	"henyear/examples"
	"henyear/measure"
	"henyear/plan"
	"henyear/store"
)

// keptHousehold is a data folder with the first example, a plan and a record.
func keptHousehold(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	file, err := store.Open(filepath.Join(folder, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	text, err := examples.Get(examples.Demo)
	if err != nil {
		t.Fatal(err)
	}
	h, _, err := parseHolding(text, "example", noDate)
	if err != nil {
		t.Fatal(err)
	}
	k := keptHoldings{file}
	if err := k.Save(t.Context(), h); err != nil {
		t.Fatal(err)
	}
	var p plan.Plan
	b, err := os.ReadFile("../../report/testdata/plan.json")
	if err == nil {
		err = json.Unmarshal(b, &p)
	}
	if err == nil {
		err = k.SavePlan(t.Context(), &p)
	}
	if err != nil {
		t.Fatal(err)
	}
	return folder
}

func writeCalendar(t *testing.T, folder string) string {
	t.Helper()
	var out, complaints bytes.Buffer
	code := run([]string{"calendar", "--data", folder, "--as-of", "2026-01-10"}, terminal{strings.NewReader(""), &out, &complaints})
	if code != exitDone || complaints.Len() > 0 {
		t.Fatal(code, complaints.String())
	}
	return out.String()
}

func TestTheKeptPlanIsWrittenAsTheSameEventsAfterTheHoldingWasRenamed(t *testing.T) {
	folder := keptHousehold(t)
	first := writeCalendar(t, folder)
	if first != writeCalendar(t, folder) {
		t.Error("the same list is another file")
	}
	path := filepath.Join(folder, store.FileName)
	file, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	k := keptHoldings{file}
	h, err := k.Current(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	h.Name = "Another name"
	if err := k.Save(t.Context(), h); err != nil {
		t.Fatal(err)
	}
	file.Close()
	second := writeCalendar(t, folder)
	if !strings.Contains(second, "\r\nNAME:Another name: hens\r\n") || lines(first, "UID:") == "" || lines(first, "UID:") != lines(second, "UID:") {
		t.Error("the events of a renamed holding are others")
	}
	if lines(first, "SEQUENCE:") > lines(second, "SEQUENCE:") {
		t.Error("the later file has earlier versions")
	}
}

func lines(file, prefix string) string {
	var list []string
	for line := range strings.SplitSeq(file, "\r\n") {
		if strings.HasPrefix(line, prefix) {
			list = append(list, line)
		}
	}
	return strings.Join(list, "\n")
}

func TestARecordMakesTheCalendarALaterVersion(t *testing.T) {
	folder := keptHousehold(t)
	before := writeCalendar(t, folder)
	file, err := store.Open(filepath.Join(folder, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2031, 5, 1, 6, 0, 0, 0, time.UTC)
	e := daybook.Event{ID: daybook.ID{1}, Kind: "note", Version: 1, HappenedOn: measure.Date{Year: 2026, Month: 1, Day: 9}, RecordedAt: at, Device: daybook.ID{2}, Payload: []byte(`{"text":"Snow"}`)}
	if _, err := file.AddEvents(t.Context(), []daybook.Event{e}, at); err != nil {
		t.Fatal(err)
	}
	file.Close()
	after := writeCalendar(t, folder)
	if strings.Contains(before, "20310501T060000Z") || !strings.Contains(after, "\r\nLAST-MODIFIED:20310501T060000Z\r\n") {
		t.Error("the time of the newest record is not that of the list")
	}
}

func TestNothingKeptIsSaid(t *testing.T) {
	folder := t.TempDir()
	file, err := store.Open(filepath.Join(folder, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	file.Close()
	var out, complaints bytes.Buffer
	if code := run([]string{"calendar", "--data", folder}, terminal{strings.NewReader(""), &out, &complaints}); code != exitBadInput || out.Len() > 0 || !strings.Contains(complaints.String(), "nothing has been saved yet") {
		t.Error(code, out.String(), complaints.String())
	}
}
