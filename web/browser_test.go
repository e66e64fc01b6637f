package web

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"henyear/internal/browser"
)

var pictures = flag.String("pictures", "", "folder for pictures of every page")

func TestMain(m *testing.M) {
	code := m.Run()
	browser.Close()
	os.Exit(code)
}

// looks are the ways in which every page is looked at.
var looks = map[string]browser.View{
	"phone-light":  browser.Phone,
	"phone-dark":   {Width: 390, Height: 844, Dark: true},
	"laptop-light": browser.Laptop,
	"laptop-dark":  {Width: 1280, Height: 900, Dark: true},
}

func TestEverybodyCanUseEveryPageOnPhoneAndLaptopInLightAndDark(t *testing.T) {
	h := open(t, func(w *written, _ *shelf) {
		if *pictures == "" {
			w.plan.Weeks = w.plan.Weeks[:20] // the cells of a table are all alike
		}
	}).settled(t)
	for name, view := range looks {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			tab := browser.Open(t, h.web.URL+"/", view)
			for _, path := range everyPage {
				tab.Go(h.web.URL + path)
				lookAt(t, tab, name, path)
			}
		})
	}
}

// lookAt asks whether everybody can use a page as it stands, with its first
// tables open, and whether it fits the window.
func lookAt(t *testing.T, tab *browser.Tab, name, path string) {
	t.Helper()
	browser.Evaluate[struct{}](tab, `document.querySelectorAll("main details").forEach((d, i) => { if (i < 2) d.open = true })`)
	for _, f := range tab.Faults() {
		if f.Serious() {
			t.Errorf("%s: %s (%s) %v", path, f.Help, f.ID, f.Targets)
		} else {
			t.Logf("%s: %s (%s) %v", path, f.Help, f.ID, f.Targets)
		}
	}
	if wide := browser.Evaluate[int](tab, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
		t.Errorf("%s: the page is %d pixels wider than the window", path, wide)
	}
	browser.Evaluate[struct{}](tab, `document.querySelectorAll("main details").forEach(d => d.open = false)`)
	keepPicture(t, tab, name, path)
}

func keepPicture(t *testing.T, tab *browser.Tab, name, path string) {
	t.Helper()
	if *pictures == "" {
		return
	}
	file := filepath.Join(*pictures, plainID(name+"-"+filepath.Base(path))+".png")
	if err := os.WriteFile(file, tab.Picture(), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestTargetsAreLargeEnoughForColdHands(t *testing.T) {
	h := open(t, nil).settled(t)
	tab := browser.Open(t, h.web.URL+"/", browser.Phone)
	for _, path := range everyPage {
		tab.Go(h.web.URL + path)
		small := browser.Evaluate[[]string](tab, `[...document.querySelectorAll("nav a, button, summary, select, input:not([type=checkbox]):not([type=hidden])")].filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 43.5).map(e => e.outerHTML.slice(0, 80))`)
		for _, s := range small {
			t.Errorf("%s: less than 44 pixels high: %s", path, s)
		}
	}
}

func TestADrawingIsReadByTheArrowKeysAndByPointing(t *testing.T) {
	h := open(t, nil).settled(t)
	tab := browser.Open(t, h.web.URL+"/", browser.Laptop)
	tab.Wait("#drawing-eggs input[type=range]")
	tab.Press("#drawing-eggs input[type=range]", browser.ArrowRight)
	got := browser.Evaluate[string](tab, `document.querySelector("#drawing-eggs input").getAttribute("aria-valuetext")`)
	if want := "12 January 2026: Expected"; len(got) < len(want) || got[:len(want)] != want {
		t.Errorf("the slider says %q", got)
	}
	browser.Evaluate[struct{}](tab, `(() => { const s = document.querySelector("#drawing-eggs .wide-drawing svg"), f = s.getBoundingClientRect();
		s.dispatchEvent(new PointerEvent("pointermove", {clientX: f.right - 3, clientY: f.top + 50, bubbles: true})) })()`)
	if last := browser.Evaluate[string](tab, `document.querySelector("#drawing-eggs input").value`); last != "155" {
		t.Errorf("pointing at the end picks week %s", last)
	}
}

func TestThePageFillsItselfInWhenThePlanIsReady(t *testing.T) {
	hold := make(chan struct{})
	h := open(t, func(w *written, _ *shelf) { w.hold = hold })
	tab := browser.Open(t, h.web.URL+"/", browser.Phone)
	tab.Wait(".busy-words")
	if !browser.Evaluate[bool](tab, `document.querySelector("#certain") !== null`) {
		t.Error("the first plan is not shown while a better one is sought")
	}
	close(hold)
	tab.Wait(`#part-busy:not(:has(p)), main:not(:has(.busy-words))`)
	if got := tab.Text("#certain ~ .pairs"); got == "" {
		t.Error("what a change is worth did not appear")
	}
}

func TestTheFormWorksWithoutScripts(t *testing.T) {
	h := open(t, nil).settled(t)
	view := browser.Phone
	view.NoScript = true
	tab := browser.Open(t, h.web.URL+"/change", view)
	tab.Type("#minutes", "soon")
	tab.Click(".send button")
	tab.Wait("#minutes-error")
	tab.Type("#minutes", "31")
	tab.Click(".send button")
	tab.Wait(".figures")
	if h.shelf.holding.Means.MinutesADay != 31 {
		t.Errorf("%v minutes", h.shelf.holding.Means.MinutesADay)
	}
}

func TestADrawingHasOneSliderWhileWorkRuns(t *testing.T) {
	hold := make(chan struct{})
	h := open(t, func(w *written, _ *shelf) { w.hold = hold })
	h.until(t, func(s state) bool { return s.plan != nil })
	tab := browser.Open(t, h.web.URL+"/", browser.Laptop)
	tab.Wait("#drawing-eggs .read-along")
	if n := browser.Evaluate[int](tab, `document.querySelectorAll("#drawing-eggs input[type=range]").length`); n != 1 {
		t.Errorf("%d sliders under one drawing", n)
	}
	close(hold)
	h.settled(t)
}
