package report

import (
	"bytes"
	"encoding/xml"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"henyear/measure"
	"henyear/plan"
)

var update = flag.Bool("update", false, "write the drawings under testdata/drawings anew")

func allDrawings(t testing.TB) []Drawing {
	p, y := readPlan(t), readYear(t)
	return []Drawing{Eggs(p), EggUse(p), Flock(p), Birds(p), Freezer(p, 120), Costs(p), Money(p),
		Temperature(y, -9, measure.Metric), Daylight(y)}
}

func TestDrawingsAreTheSameBytesAsBefore(t *testing.T) {
	for _, d := range allDrawings(t) {
		for w, ending := range map[Width]string{Wide: "-wide.svg", Narrow: "-narrow.svg"} {
			name := filepath.Join("testdata", "drawings", d.Name+ending)
			if *update {
				os.MkdirAll(filepath.Dir(name), 0o755)
				os.WriteFile(name, d.SVG(w), 0o644)
				continue
			}
			want, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(want, d.SVG(w)) {
				t.Errorf("%s has changed; look at it, then run with -update", name)
			}
		}
	}
}

func TestEveryDrawingSaysInWordsWhatItShows(t *testing.T) {
	ids := map[string]bool{}
	for _, d := range allDrawings(t) {
		if d.Title == "" || len(d.Desc) < 40 || !strings.HasSuffix(d.Desc, ".") {
			t.Errorf("%s: title %q, description %q", d.Name, d.Title, d.Desc)
		}
		if len(d.Table.Rows) == 0 || d.Table.Caption == "" {
			t.Errorf("%s has no table behind it", d.Name)
		}
		for _, row := range d.Table.Rows {
			if len(row) != len(d.Table.Head) {
				t.Fatalf("%s: a row of %d cells under %d heads", d.Name, len(row), len(d.Table.Head))
			}
		}
		for _, w := range []Width{Wide, Narrow} {
			checkSVG(t, d, d.SVG(w), ids)
		}
	}
}

func checkSVG(t *testing.T, d Drawing, svg []byte, ids map[string]bool) {
	t.Helper()
	text := string(svg)
	for _, need := range []string{`role="img"`, "<title", "<desc", "aria-labelledby"} {
		if !strings.Contains(text, need) {
			t.Errorf("%s: no %s", d.Name, need)
		}
	}
	for _, bad := range []string{"style=", "NaN", "Inf", "<script", "[eggs", "%!"} {
		if strings.Contains(text, bad) {
			t.Errorf("%s holds %q", d.Name, bad)
		}
	}
	dec := xml.NewDecoder(bytes.NewReader(svg))
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			return
		}
		if err != nil {
			t.Fatalf("%s is not well formed: %v", d.Name, err)
		}
		if e, ok := tok.(xml.StartElement); ok {
			for _, a := range e.Attr {
				if a.Name.Local == "id" {
					if ids[a.Value] {
						t.Errorf("%s: id %s stands twice on a page", d.Name, a.Value)
					}
					ids[a.Value] = true
				}
			}
		}
	}
}

func TestAnEmptyPlanDrawsNothingAndDoesNotPanic(t *testing.T) {
	for _, d := range []Drawing{Eggs(&plan.Plan{}), EggUse(&plan.Plan{}), Flock(&plan.Plan{}), Birds(&plan.Plan{}), Freezer(&plan.Plan{}, 0), Costs(&plan.Plan{}), Money(&plan.Plan{})} {
		if !d.Empty() || len(d.SVG(Wide)) != 0 {
			t.Errorf("%s drew something out of nothing", d.Name)
		}
	}
}

func TestNamesFromAHoldingCannotBreakOutOfADrawing(t *testing.T) {
	p := readPlan(t)
	p.Batches[0].BreedName = `<script>alert("x")</script>`
	svg := string(Flock(p).SVG(Wide))
	if strings.Contains(svg, "<script") {
		t.Error("a breed's name was written unescaped")
	}
	b := readBreeds(t)[0]
	b.ID, b.Name = `"><x`, `"><img src=x>`
	if s := string(MonthlyEggs(b, 80, nil)); strings.Contains(s, "<img") || strings.Contains(s, `"><x`) {
		t.Error("a breed's name was written unescaped")
	}
}
