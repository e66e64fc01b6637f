package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"henyear/source"
)

func TestEveryRoomWithEvidenceIsAsked(t *testing.T) {
	files, err := filepath.Glob("../../*/evidence.go")
	if err != nil {
		t.Fatal(err)
	}
	wiring, err := os.ReadFile("rooms.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		room := filepath.Base(filepath.Dir(file))
		if !regexp.MustCompile(`\b` + room + `\.Evidence\b`).Match(wiring) {
			t.Errorf("%s has evidence, but rooms.go does not ask for it", room)
		}
	}
}

func TestNoPublishedValueIsMissedUnawares(t *testing.T) {
	checks, err := gather()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range checks {
		if surprise(c) {
			t.Errorf("%s %s: %s: published %g, computed %g, may differ by %g", c.Room, c.ID, c.What, c.Published, c.Computed, c.Tolerance)
		}
		if c.Pass() && strings.HasPrefix(c.Note, knownMiss) {
			t.Errorf("%s %s is marked as a known miss but agrees", c.Room, c.ID)
		}
	}
}

func TestEvidenceSaysOpenlyWhatMisses(t *testing.T) {
	checks := []source.Check{
		{Room: "a", ID: "1", What: "agrees", Published: 10, Computed: 10.5, Tolerance: 1, Source: "practice"},
		{Room: "a", ID: "2", What: "misses", Published: 10, Computed: 20, Tolerance: 1, Source: "practice"},
		{Room: "b", ID: "3", What: "is known to miss", Published: 10, Computed: 20, Tolerance: 1, Source: "practice", Note: "known miss: a wet year"},
	}
	var text bytes.Buffer
	if err := evidenceTable(&text, checks); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"ok ", "MISS ", "known miss ", "a wet year",
		"3 figures held against published ones: 1 agree within the tolerance, 1 are known misses, 1 are misses."} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("%q is missing in:\n%s", want, text.String())
		}
	}
}

func TestEvidenceForAnotherProgramIsReadable(t *testing.T) {
	var text bytes.Buffer
	if err := evidenceJSON(&text, []source.Check{{Room: "a", ID: "1", Published: 10, Computed: 12, Tolerance: 1}}); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Format int
		Checks []struct {
			ID        string
			Deviation float64
			Pass      bool
		}
	}
	if err := json.Unmarshal(text.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if got.Format != 1 || len(got.Checks) != 1 || got.Checks[0].Deviation != 2 || got.Checks[0].Pass {
		t.Errorf("got %+v", got)
	}
}
