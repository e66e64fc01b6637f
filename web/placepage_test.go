package web

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"henyear/advise"
	"henyear/holding"
	"henyear/internal/browser"
	"henyear/report"
)

// exampleHolding reads a holding of the examples and lets a test change it.
func exampleHolding(t testing.TB, name string, change func(*holding.Holding)) *holding.Holding {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "examples", name+".toml"))
	if err != nil {
		t.Fatal(err)
	}
	h, _, err := holding.Read(b, name)
	if err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(h)
	}
	return h
}

// placesToShow are holdings whose pages differ: cold with told houses, US units, the
// south with an open side, the far north, the equator, no house, no birds.
func placesToShow(t testing.TB) map[string]*holding.Holding {
	return map[string]*holding.Holding{
		"forest": exampleHolding(t, "forest", nil),
		"us":     exampleHolding(t, "us-units", nil),
		"plain":  exampleHolding(t, "plain", nil),
		"78-n": exampleHolding(t, "forest", func(h *holding.Holding) {
			c := &h.Place.Climate
			c.LatitudeDeg, c.ExtremeMinC = 78, 0
			c.MaxC = [12]float64{-12, -13, -12, -8, -1, 4, 7, 6, 2, -4, -8, -10}
			for m := range 12 {
				c.MinC[m] = c.MaxC[m] - 7
			}
		}),
		"equator": exampleHolding(t, "valley", func(h *holding.Holding) {
			c := &h.Place.Climate
			c.LatitudeDeg, c.ExtremeMinC = 0, 0
			for m := range 12 {
				c.MaxC[m], c.MinC[m] = 31, 23
			}
		}),
		"no-house": exampleHolding(t, "valley", func(h *holding.Holding) { h.Means.Houses = nil }),
		"no-birds": exampleHolding(t, "valley", func(h *holding.Holding) { h.Birds, h.Stock = nil, nil }),
	}
}

// openPlace serves a holding without a plan.
func openPlace(t testing.TB, h *holding.Holding) *house {
	return open(t, func(w *written, sh *shelf) { sh.holding, w.plan = h, nil })
}

// openOwnPlan serves a holding with a plan that is its own.
func openOwnPlan(t testing.TB) *house {
	return open(t, func(w *written, sh *shelf) { sh.holding.Name = w.plan.Holding }).settled(t)
}

var unsaid = regexp.MustCompile(`\[[a-z_]+\.[a-z_.-]+\]|%!|%%|NaN|[+−-]Inf`)

func TestThePlaceOfEveryHoldingIsShownWhole(t *testing.T) {
	for name, holding := range placesToShow(t) {
		_, page := openPlace(t, holding).get(t, "/place")
		if bad := unsaid.FindString(page); bad != "" {
			t.Errorf("%s: the page holds %q", name, bad)
		}
		for _, m := range regexp.MustCompile(`class="contents".*?</nav>`).FindAllString(page, -1) {
			for _, id := range regexp.MustCompile(`href="#([a-z-]+)"`).FindAllStringSubmatch(m, -1) {
				if !strings.Contains(page, `id="`+id[1]+`"`) {
					t.Errorf("%s: the contents lead to %s, which is not there", name, id[1])
				}
			}
		}
		if twice := twiceGiven(page); twice != "" {
			t.Errorf("%s: two elements are called %s", name, twice)
		}
	}
}

func twiceGiven(page string) string {
	seen := map[string]bool{}
	for _, m := range regexp.MustCompile(`\sid="([^"]+)"`).FindAllStringSubmatch(page, -1) {
		if seen[m[1]] {
			return m[1]
		}
		seen[m[1]] = true
	}
	return ""
}

func TestUSUnitsOfThePlaceLeaveNoMetricOnes(t *testing.T) {
	_, page := openPlace(t, exampleHolding(t, "us-units", nil)).get(t, "/place")
	page = regexp.MustCompile(`(?s)<details class="opened">.*?</details>`).ReplaceAllStringFunc(page, func(open string) string {
		head, _, _ := strings.Cut(open, "</summary>") // formulas hold in metric units
		return head
	})
	text := regexp.MustCompile(`<[^>]+>`).ReplaceAllString(page, "\n")
	for _, m := range regexp.MustCompile(`[0-9][\x{00a0} ](°C|cm²|m²|m³/h|m/s|kg|mm|g)\n`).FindAllString(text, -1) {
		t.Errorf("%q is left", m)
	}
	if !strings.Contains(page, "sq\u00a0in") || !strings.Contains(page, "°F") {
		t.Error("vents or temperatures are not in US units")
	}
}

func TestThePlaceAsAFileHoldsWhatThePageShows(t *testing.T) {
	h := openOwnPlan(t)
	code, body := h.get(t, "/place.json")
	var a report.PlaceAnswer
	if err := json.Unmarshal([]byte(body), &a); err != nil || code != 200 {
		t.Fatalf("%d: %v", code, err)
	}
	if a.Format != 1 || a.Holding != h.planner.plan.Holding || len(a.Houses) != 1 || len(a.Houses[0].Cold.Hours) != 24 || len(a.Light.Months) != 12 || len(a.Workings) < 10 {
		t.Errorf("format %d, %q, %d houses, %d workings", a.Format, a.Holding, len(a.Houses), len(a.Workings))
	}
	confined, err := advise.Confined(h.shelf.holding, h.planner.plan)
	if err != nil || a.Confined == nil || len(a.Confined.Winters) != len(confined.Winters) || a.Confined.Holds != confined.Holds {
		t.Errorf("the winters of the file are not those of the test: %v, %v", a.Confined, err)
	}
	if bad := regexp.MustCompile(`"[A-Z][A-Za-z]*":`).FindString(body); bad != "" {
		t.Errorf("the file has a name that is not in snake case: %s", bad)
	}
}

func TestDrawingsOfThePlaceComeAsFiles(t *testing.T) {
	h := open(t, nil).settled(t)
	_, page := h.get(t, "/place")
	names := regexp.MustCompile(`/drawing/([a-z0-9-]+)\.svg`).FindAllStringSubmatch(page, -1)
	if len(names) < 6 {
		t.Errorf("only %d drawings", len(names))
	}
	for _, m := range names {
		for _, file := range []string{"/drawing/" + m[1] + ".svg", "/drawing/" + m[1] + "-narrow.svg"} {
			if code, body := h.get(t, file); code != 200 || !strings.HasPrefix(body, "<svg") {
				t.Errorf("%s: %d", file, code)
			}
		}
	}
}

// The answer is kept: a second look reckons nothing.
func TestThePlaceIsReckonedOnceForAHoldingAndAPlan(t *testing.T) {
	h := openOwnPlan(t)
	st, _ := h.server.job.snapshot()
	first := h.server.placed(st)
	if h.server.placed(st) != first {
		t.Error("the same holding and plan are reckoned twice")
	}
	st.plan = nil
	without := h.server.placed(st)
	if without.Confined != nil || first.Confined == nil {
		t.Error("winters belong to a plan")
	}
	st.version += "x"
	if h.server.placed(st) == without {
		t.Error("a changed holding shows the old place")
	}
}

func BenchmarkThePageOfThePlace(b *testing.B) {
	h := open(b, nil).settled(b)
	h.get(b, "/place")
	for b.Loop() {
		h.get(b, "/place")
	}
}

func BenchmarkThePlaceOfANewHolding(b *testing.B) {
	holding := exampleHolding(b, "forest", nil)
	for b.Loop() {
		report.PlaceOf(holding, nil)
	}
}

// Light and dark, phone and laptop: everybody can use the page, also where houses,
// birds or the sun are missing.
func TestEverybodyCanUseThePlaceOfEveryHolding(t *testing.T) {
	for name, holding := range placesToShow(t) {
		h := openPlace(t, holding)
		tab := browser.Open(t, h.web.URL+"/place", browser.Phone)
		browser.Evaluate[struct{}](tab, `document.querySelectorAll("main .all-opened, .opened").forEach((d, i) => { if (i < 4) d.open = true })`)
		lookAt(t, tab, "phone-light", "/place-"+name)
		if name != "forest" && *pictures == "" {
			continue
		}
		for look, view := range looks {
			tab := browser.Open(t, h.web.URL+"/place", view)
			lookAt(t, tab, look, "/place-"+name)
		}
	}
}

// On paper nothing is lost: sources and folded tables stand there, controls do not.
func TestThePlacePrintsWhole(t *testing.T) {
	h := openOwnPlan(t)
	tab := browser.Open(t, h.web.URL+"/place", browser.Laptop)
	pdf := tab.PDF()
	if len(pdf) < 50_000 {
		t.Errorf("the print has %d bytes", len(pdf))
	}
	if *pictures != "" {
		if err := os.WriteFile(filepath.Join(*pictures, "place.pdf"), pdf, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
