package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"henyear/daybook"
)

// The data files in testdata/released were written by the program as it was when
// their form was the newest, all with the same holdings, plans and, from form 2
// on, records. A form is released once it is on main; its file is never made
// again.
func releasedFile(form int) string {
	return filepath.Join("testdata", "released", fmt.Sprintf("form-%d.db", form))
}

// releasedSteps are the SHA-256 of the steps that are released.
var releasedSteps = []string{
	"ee343d2f", // 0001
	"ae05b84f", // 0002
}

func TestReleasedStepsAreNeverChanged(t *testing.T) {
	steps, err := readMigrations(embedded)
	if err != nil {
		t.Fatal(err)
	}
	if len(steps) != len(releasedSteps) {
		t.Fatalf("%d steps, %d released; a new step needs a line above and a file of its form", len(steps), len(releasedSteps))
	}
	for i, step := range steps {
		sum := sha256.Sum256([]byte(step.sql))
		if got := hex.EncodeToString(sum[:4]); got != releasedSteps[i] {
			t.Errorf("step %s is %s, was released as %s", step.name, got, releasedSteps[i])
		}
	}
}

// fill saves what each released file holds.
func fill(t *testing.T, s *Store) {
	t.Helper()
	for i := range 3 {
		rev, err := s.SaveHolding(t.Context(), someID, releasedHolding(i), newYear.AddDate(0, i, 0))
		if err != nil {
			t.Fatal(err)
		}
		if i == 0 {
			continue
		}
		if _, err := s.SavePlan(t.Context(), Plan{HoldingRevision: rev, RatesVersion: "book", JSON: releasedPlan(i), AcceptedAt: newYear.AddDate(0, i, 0).Add(time.Hour)}); err != nil {
			t.Fatal(err)
		}
	}
	events, conflict := releasedEvents()
	if _, err := s.AddEvents(t.Context(), append(events, conflict), newYear); err != nil {
		t.Fatal(err)
	}
	for _, photo := range releasedPhotos {
		if _, err := s.AddPhoto(t.Context(), photo, newYear); err != nil {
			t.Fatal(err)
		}
	}
}

// releasedPhotos begin like photos, which is all that is looked at.
var releasedPhotos = [][]byte{[]byte("\xff\xd8\xff\xe0 a hen"), []byte("\x89PNG\r\n\x1a\n a cock")}

func releasedHolding(i int) []byte {
	return fmt.Appendf(nil, "format = 1\nname = \"Höfli\" # wording %d\n", i+1)
}

func releasedPlan(i int) []byte { return fmt.Appendf(nil, `{"format":1,"plan":%d}`, i) }

func releasedEvents() (events []daybook.Event, conflict daybook.Event) {
	events = []daybook.Event{record(1), record(2), record(3)}
	events[2].Supersedes = []daybook.ID{events[0].ID, numberedID("record", 4)}
	conflict = record(1)
	conflict.Author = "Ben"
	return events, conflict
}

func TestFilesOfEveryReleasedFormOpenWithAllThatIsInThem(t *testing.T) {
	for form := 1; form <= knownForm(); form++ {
		t.Run(fmt.Sprint(form), func(t *testing.T) {
			content, err := os.ReadFile(releasedFile(form))
			if err != nil {
				t.Fatal(err)
			}
			path := filepath.Join(t.TempDir(), FileName)
			if err := os.WriteFile(path, content, 0o600); err != nil {
				t.Fatal(err)
			}
			s := mustOpen(t, path)
			holdsWhatWasReleased(t, s, form)
			sameShapeAsANewFile(t, s)
			mustSave(t, s, "a = 1\n")
			mustAdd(t, s, record(50))
			backups, err := Backups(path)
			if err != nil {
				t.Fatal(err)
			}
			if form < knownForm() {
				if len(backups) != 1 || backups[0].BeforeForm != knownForm() {
					t.Fatalf("backups before the file was brought up to date: %v", backups)
				}
				if held, err := CheckBackup(t.Context(), backups[0].Path); err != nil || held.Form != form || held.Holdings != 3 {
					t.Errorf("the backup holds %+v, %v", held, err)
				}
			} else if len(backups) != 0 {
				t.Errorf("backups without need: %v", backups)
			}
		})
	}
}

func holdsWhatWasReleased(t *testing.T, s *Store, form int) {
	t.Helper()
	for i := range 3 {
		h, err := s.HoldingOf(t.Context(), Revision(i+1))
		want := Holding{Revision(i + 1), someID, releasedHolding(i), newYear.AddDate(0, i, 0)}
		if d := cmp.Diff(want, h); err != nil || d != "" {
			t.Error(err, d)
		}
	}
	p, err := s.LatestPlan(t.Context())
	want := Plan{2, 3, "book", releasedPlan(2), newYear.AddDate(0, 2, 0).Add(time.Hour)}
	if d := cmp.Diff(want, p); err != nil || d != "" {
		t.Error(err, d)
	}
	if form < 2 {
		return
	}
	events, conflict := releasedEvents()
	got, err := s.EventsSince(t.Context(), 0, 0)
	if err != nil || len(got) < len(events) {
		t.Fatalf("%d records, %v", len(got), err)
	}
	for i, e := range events {
		if d := cmp.Diff(Received{int64(i + 1), newYear, e}, got[i]); d != "" {
			t.Error(d)
		}
	}
	conflicts, err := s.Conflicts(t.Context())
	if d := cmp.Diff([]Conflict{{1, conflict, newYear, false}}, conflicts); err != nil || d != "" {
		t.Error(err, d)
	}
	for _, photo := range releasedPhotos {
		if p, err := s.Photo(t.Context(), PhotoIDOf(photo)); err != nil || !bytes.Equal(p.Bytes, photo) {
			t.Error(err)
		}
	}
}

func sameShapeAsANewFile(t *testing.T, s *Store) {
	t.Helper()
	got, err := shapeOf(t.Context(), s.read)
	if err != nil {
		t.Fatal(err)
	}
	want, err := shapeOf(t.Context(), mustOpen(t, newFile(t)).read)
	if err != nil || got != want {
		t.Errorf("a file that was brought up to date has another shape than a new one (%v)", err)
	}
}

// TestMakeTheFileOfTheNewestForm makes the file of a form that is about to be
// released: HENYEAR_MAKE_RELEASED=1 go test -run TheNewestForm ./store
func TestMakeTheFileOfTheNewestForm(t *testing.T) {
	name := releasedFile(knownForm())
	if os.Getenv("HENYEAR_MAKE_RELEASED") == "" {
		t.Skip("only before a release")
	}
	if _, err := os.Stat(name); err == nil {
		t.Fatalf("%s is there and is never made again", name)
	}
	path := newFile(t)
	s := mustOpen(t, path)
	fill(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, content, 0o644); err != nil {
		t.Fatal(err)
	}
}
