package web

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"encoding/json"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"henyear/daybook"
	"henyear/report"
)

func TestEveryFileOnThePageOfFilesCanBeTaken(t *testing.T) {
	h := open(t, nil).settled(t)
	e, err := daybook.New(daybook.ID{7}, h.server.date(), h.server.now().UTC(), daybook.ID{}, "=Ann", &daybook.Eggs{Number: 5, Note: "@two"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := h.book.AddEvents(t.Context(), []daybook.Event{e}, h.server.now()); err != nil {
		t.Fatal(err)
	}
	_, page := h.get(t, "/tables")
	links := regexp.MustCompile(`href="(/(?:tables/|schema/|plan\.|odds\.|breeds\.)[^"]*)"`).FindAllStringSubmatch(page, -1)
	if len(links) < 20 {
		t.Errorf("only %d files", len(links))
	}
	for _, l := range links {
		code, text := h.get(t, l[1])
		switch {
		case code != http.StatusOK:
			t.Errorf("%s: %d", l[1], code)
		case strings.HasSuffix(l[1], ".csv"):
			rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
			if err != nil || len(rows) < 1 || !strings.Contains(text, "\r\n") {
				t.Errorf("%s: %v", l[1], err)
			}
		case strings.HasSuffix(l[1], ".json"), strings.HasSuffix(l[1], ".jsonl"):
			if !json.Valid([]byte(text)) {
				t.Errorf("%s is no JSON", l[1])
			}
		case strings.HasSuffix(l[1], ".xlsx"):
			if _, err := zip.NewReader(bytes.NewReader([]byte(text)), int64(len(text))); err != nil {
				t.Errorf("%s: %v", l[1], err)
			}
		}
	}
	if _, text := h.get(t, "/tables/eggs.csv"); !strings.Contains(text, "'=Ann") || !strings.Contains(text, "'@two") {
		t.Errorf("not guarded: %s", text)
	}
	for _, path := range []string{"/tables/nothing.csv", "/tables/weeks", "/schema/nothing.json", "/schema/plan", "/tables/..%2fplan.csv"} {
		if code, _ := h.get(t, path); code != http.StatusNotFound {
			t.Errorf("%s: %d", path, code)
		}
	}
}

func TestThePageOfFilesSaysWhenThereIsNoPlan(t *testing.T) {
	h := open(t, func(w *written, _ *shelf) { w.plan = nil }).settled(t)
	if code, page := h.get(t, "/tables"); code != http.StatusOK || !strings.Contains(page, say("tables.noplan")) || strings.Contains(page, "plan.xlsx") {
		t.Errorf("%d", code)
	}
	for _, path := range []string{"/plan.xlsx", "/tables/weeks.csv"} {
		if code, _ := h.get(t, path); code != http.StatusNotFound {
			t.Errorf("%s: %d", path, code)
		}
	}
}

func TestEveryTableIsSaidInWords(t *testing.T) {
	for _, name := range report.GridNames() {
		if tableWords[name] == "" || strings.HasPrefix(tableWords[name], "[") {
			t.Errorf("no words for %s", name)
		}
	}
}
