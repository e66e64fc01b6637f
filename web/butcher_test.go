package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"henyear/butcher"
	"henyear/calendar"
	"henyear/daybook"
	"henyear/internal/browser"
	"henyear/measure"

	"pgregory.net/rapid"
)

// cockerels gives the house twelve Sussex cockerels, 17 weeks old today, and
// returns their group.
func cockerels(t testing.TB, h *house, more ...daybook.Event) string {
	t.Helper()
	today := h.server.date()
	group := derivedID("cockerels of a test")
	hatched := today.AddDays(-17 * 7)
	at := time.Now().Add(-2 * time.Hour)
	events := append([]daybook.Event{
		rawEvent(freshID(), "group", today.AddDays(-30), at, "", map[string]any{"group": group.String(), "name": "Cockerels", "breed": "sussex", "sex": "cocks", "hatched": hatched.String()}),
		rawEvent(freshID(), "birds_in", today.AddDays(-30), at, "", map[string]any{"group": group.String(), "number": 12, "how": "hatched"}),
	}, more...)
	if outcomes, err := h.book.AddEvents(t.Context(), events, time.Now()); err != nil || outcomes[0].Why != nil {
		t.Fatal(outcomes, err)
	}
	return group.String()
}

// butcherPath is the sheet of today for so many of them.
func butcherPath(h *house, group, birds string, more ...string) string {
	q := url.Values{"chosen": {"yes"}, "on": {h.server.date().String()}, "birds-g-" + group: {birds}, "people": {"2"}}
	for i := 0; i+1 < len(more); i += 2 {
		q.Set(more[i], more[i+1])
	}
	return "/work/butcher?" + q.Encode()
}

func TestTheButcherDayShowsTheSheetOfTheChosenBirds(t *testing.T) {
	h := stocked(t)
	group := cockerels(t, h)
	code, text := h.get(t, butcherPath(h, group, "12", "start", "08:00"))
	if code != http.StatusOK {
		t.Fatalf("%d: %s", code, text)
	}
	text = strings.ReplaceAll(text, "\u00a0", " ")
	for _, want := range []string{"3.5</b> hours", "22:45", "Killing cones", "4.4 °C", "Local law decides", "ring the vet", "Start recording: Cockerels"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the sheet", want)
		}
	}
	if code, text := h.get(t, "/work/butcher"); code != http.StatusOK || !strings.Contains(text, "Cockerels") {
		t.Errorf("without a choice: %d", code)
	}
}

func TestEveryStationOfTheButcherDayHasItsWords(t *testing.T) {
	in := calendar.Input{Holding: madeUpHolding(), Plan: madeUpPlan(t), Today: measure.Date{Year: 2026, Month: 8, Day: 1}}
	for _, u := range []measure.Units{measure.Metric, measure.US} {
		for p := butcher.Beginner; p <= butcher.Crew; p++ {
			for _, day := range calendar.ButcherDates(in) {
				d, err := calendar.PlanButcherDay(in, calendar.ButcherChoice{On: day, People: 3, Practice: p, Start: -1})
				if err != nil {
					t.Fatal(err)
				}
				if d.Birds == 0 {
					continue
				}
				for _, s := range butcherSteps(d, u) {
					if strings.Contains(s.Title, "[") || len(s.Lines) == 0 {
						t.Errorf("%s: %q", s.Code, s.Title)
					}
					for _, l := range append(s.Lines, s.Cautions...) {
						if strings.Contains(l.Text, "[butcher") || strings.Contains(l.Text, "%!") || strings.Contains(l.Text, "–") && strings.Contains(l.Text, "NaN") ||
							u == measure.US && (strings.Contains(l.Text, "°C") || strings.Contains(l.Text, " l ") || strings.Contains(l.Text, " 0\u00a0gal")) {
							t.Errorf("%s: %q", s.Code, l.Text)
						}
					}
				}
			}
		}
	}
}

func TestWhatCannotBeOnAButcherDayIsSaidAndNeverBreaksThePage(t *testing.T) {
	h := stocked(t)
	group := cockerels(t, h)
	for name, c := range map[string]struct {
		birds string
		more  []string
		code  int
		want  string
	}{
		"none":          {"0", nil, 200, say("butcher.nothing")},
		"five thousand": {"5000", nil, 200, "there are 12, not 5000"},
		"letters":       {"many", nil, 422, "many"},
		"below none":    {"-3", nil, 422, ""},
		"half a bird":   {"2.5", nil, 422, "2.5"},
		"NaN":           {"NaN", nil, 422, ""},
		"live NaN":      {"3", []string{"live-g-" + group, "NaN"}, 422, ""},
		"live huge":     {"3", []string{"live-g-" + group, "49"}, 422, "live weight"},
		"crew of one":   {"3", []string{"practice", "crew", "people", "1"}, 422, "crew"},
		"no people":     {"3", []string{"people", "0"}, 422, ""},
		"no date":       {"3", []string{"on", "someday"}, 422, "someday"},
		"far date":      {"3", []string{"on", "2099-01-01"}, 422, "too far"},
		"no time":       {"3", []string{"start", "25:99"}, 422, "25:99"},
		"no practice":   {"3", []string{"practice", "magic"}, 422, ""},
		"a script":      {"<script>alert(1)</script>", nil, 422, "&lt;script&gt;"},
	} {
		code, text := h.get(t, butcherPath(h, group, c.birds, c.more...))
		if code != c.code || !strings.Contains(strings.ToLower(text), strings.ToLower(c.want)) || strings.Contains(text, "<script>alert") {
			t.Errorf("%s: %d, %q not found", name, code, c.want)
		}
	}
	h.shelf.holding.Place.Climate.LatitudeDeg = 78
	if code, _ := h.get(t, butcherPath(h, group, "3")); code != 200 {
		t.Errorf("78 N: %d", code)
	}
}

func TestWhateverIsTypedIntoADayOfWorkGivesAPage(t *testing.T) {
	h := stocked(t)
	group := cockerels(t, h)
	setting := eggsInMachine(t, h, 7)
	rapid.Check(t, func(t *rapid.T) {
		any := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"", "0", "-1", "1e309", "NaN", "Inf", "12", "2026-02-30", "9999-12-31", "0001-01-01", "00:00", "24:00", "crew", "cut", "<b>", "%s%d"}))
		q := url.Values{}
		for _, name := range []string{"chosen", "on", "start", "people", "practice", "packing", "birds-g-" + group, "live-g-" + group, "birds-", "air", "hour", "want", "alarm", "group", "saved"} {
			if rapid.Bool().Draw(t, name) {
				q.Set(name, any.Draw(t, "value of "+name))
			}
		}
		for _, path := range []string{"/work/butcher", "/work/butcher/record", setting} {
			r := httptest.NewRecorder()
			h.server.Handler().ServeHTTP(r, request(http.MethodGet, path+"?"+q.Encode(), nil))
			if r.Code != 200 && r.Code != 404 && r.Code != 422 {
				t.Fatalf("%s?%s: %d", path, q.Encode(), r.Code)
			}
		}
	})
}

func TestTreatedBirdsAreRefusedOnTheSheetAndMarkedWhenRecorded(t *testing.T) {
	h := stocked(t)
	id := derivedID("cockerels of a test").String()
	group := cockerels(t, h, rawEvent(freshID(), "treatment", h.server.date().AddDays(-1), time.Now().Add(-time.Hour), "", map[string]any{"product": "Wormer", "group": id, "meat_days": 14, "egg_days": 14}))
	code, text := h.get(t, butcherPath(h, group, "6"))
	if code != 200 || !strings.Contains(text, "not to be butchered for eating") || strings.Contains(text, "Start recording") {
		t.Errorf("%d", code)
	}
	if _, text := h.get(t, "/work/butcher/record?group="+group); !strings.Contains(text, "Wormer") {
		t.Error("the page for carcasses does not warn")
	}
}

func (h *house) carcass(t testing.TB, group, dressed, live string) *httptest.ResponseRecorder {
	t.Helper()
	return h.send(request("POST", "/work/butcher/record", url.Values{"id": {freshID().String()}, "group": {group},
		"happened_on": {h.server.date().String()}, "dressed": {dressed}, "live": {live}}))
}

func TestACarcassWithoutScriptsIsOneRecordAndCanBeTakenBack(t *testing.T) {
	h := stocked(t)
	group := cockerels(t, h)
	if w := h.carcass(t, group, "1620", "2500"); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	w := h.carcass(t, group, "1580", "")
	list := h.written(t, "butchered")
	if len(list) != 2 || sameJSON(list[0].Payload) != sameJSON([]byte(`{"group":"`+group+`","number":1,"each":[{"dressed_g":1620,"live_g":2500}]}`)) {
		t.Fatalf("%s", list[0].Payload)
	}
	_, page := h.get(t, w.Header().Get("Location"))
	page = strings.ReplaceAll(page, "\u00a0", " ")
	for _, want := range []string{"Birds so far: 2, 3.20 kg in all, 1.60 kg each", "10 left", "Yield 65 %"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not on the page", want)
		}
	}
	h.send(request("POST", "/work/butcher/undo", url.Values{"record": {list[1].ID.String()}, "group": {group}, "on": {h.server.date().String()}}))
	if _, page = h.get(t, "/work/butcher/record?group="+group); !strings.Contains(page, "11 left") {
		t.Error("the bird did not come back")
	}
	// The same form sent twice, as by a reload, is one record.
	again := url.Values{"id": {freshID().String()}, "group": {group}, "happened_on": {h.server.date().String()}, "dressed": {"1500"}}
	h.send(request("POST", "/work/butcher/record", again))
	h.send(request("POST", "/work/butcher/record", again))
	if n := len(h.written(t, "butchered")); n != 3 {
		t.Errorf("%d records, not 3", n)
	}
}

func TestACarcassThatCannotBeIsAskedForAgain(t *testing.T) {
	h := stocked(t)
	group := cockerels(t, h)
	for _, c := range [][2]string{{"", ""}, {"abc", ""}, {"NaN", ""}, {"-5", ""}, {"9", ""}, {"99999", ""}, {"1620", "1500"}, {"1620", "x"}} {
		if w := h.carcass(t, group, c[0], c[1]); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), `class="error"`) {
			t.Errorf("%v: %d", c, w.Code)
		}
	}
	for _, path := range []string{"/work/butcher/record", "/work/butcher/record?group=zz", "/work/butcher/record?group=" + freshID().String()} {
		if code, _ := h.get(t, path); code != http.StatusNotFound {
			t.Errorf("%s: %d", path, code)
		}
	}
	if n := len(h.written(t, "butchered")); n != 0 {
		t.Errorf("%d records were kept", n)
	}
}

func TestCarcassesInPoundsAreKeptInGrams(t *testing.T) {
	h := stocked(t)
	h.shelf.holding.Units = measure.US
	group := cockerels(t, h)
	h.carcass(t, group, "3.6", "5.5")
	list := h.written(t, "butchered")
	// 3.6 and 5.5 pounds of 453.59237 g.
	if len(list) != 1 || !strings.Contains(string(list[0].Payload), `"dressed_g":1633`) || !strings.Contains(string(list[0].Payload), `"live_g":2495`) {
		t.Fatalf("%v", list)
	}
	if code, text := h.get(t, butcherPath(h, group, "5")); code != 200 || !strings.Contains(text, "°F") || !strings.Contains(text, "gal") {
		t.Error("the sheet is not in US units")
	}
}

// One thumb: three figures and the large button are a bird in the house; a
// reload, a lost house and a slip of the thumb lose nothing.
func TestCarcassesAreTakenWithOneThumbAndSurviveAReload(t *testing.T) {
	h := stocked(t)
	group := cockerels(t, h)
	tab := browser.Open(t, h.web.URL+"/work/butcher/record?group="+group, browser.Phone)
	waitFor(t, tab, `document.querySelector("#news .safe")`)
	tap := func(keys ...string) {
		for _, k := range keys {
			tab.Click(`.pad button[value="` + k + `"]`)
		}
	}
	tap("1", "6", "5", "0")
	tab.Click(".carcass .main")
	waitFor(t, tab, `document.querySelector("#part-tally").textContent.includes("Birds so far: 1,") && document.querySelector("#dressed").value === ""`)
	if list := h.written(t, "butchered"); len(list) != 1 || sameJSON(list[0].Payload) != sameJSON([]byte(`{"group":"`+group+`","number":1,"each":[{"dressed_g":1650}]}`)) || list[0].Device.IsZero() {
		t.Fatalf("%s", list[0].Payload)
	}
	// Reload, then a live weight and a rubbed-out figure.
	tab.Go(h.web.URL + "/work/butcher/record?group=" + group)
	waitFor(t, tab, `document.querySelector("#part-tally").textContent.includes("Birds so far: 1,")`)
	tab.Click("#live")
	tap("2", "6", "00")
	tab.Click("#dressed")
	tap("1", "7", "3", "rub", "0", "0")
	tab.Click(".carcass .main")
	waitFor(t, tab, `document.querySelector("#part-tally").textContent.includes("Birds so far: 2,")`)
	if list := h.written(t, "butchered"); len(list) != 2 || !strings.Contains(string(list[1].Payload), `"live_g":2600`) || !strings.Contains(string(list[1].Payload), `"dressed_g":1700`) {
		t.Fatalf("%v", list)
	}
	// A dressed bird heavier than the live one does not go.
	tab.Click("#live")
	tap("1", "5", "00")
	tab.Click("#dressed")
	tap("1", "6", "00")
	tab.Click(".carcass .main")
	if got := tab.Text(".odd"); got != say("butcher.record.above") {
		t.Errorf("%q", got)
	}
	// The house goes out of reach, and the page with it; the bird waits on the phone.
	tap("rub", "rub", "rub", "rub")
	tap("1", "4", "00")
	h.reach.set("127.0.0.1", true)
	tab.Click(".carcass .main")
	waitFor(t, tab, `document.querySelector("#news .waiting")`)
	h.reach.set("127.0.0.1", false)
	tab.Go(h.web.URL + "/work/butcher/record?group=" + group)
	waitFor(t, tab, `document.querySelector("#news").dataset.queue === "0" && document.querySelector("#part-tally").textContent.includes("Birds so far: 3,")`)
	if list := h.written(t, "butchered"); len(list) != 3 {
		t.Fatalf("%d records", len(list))
	}
	tab.Click("#part-carcasses button") // a form of its own, which opens the page again
	for late := time.Now().Add(5 * time.Second); len(h.written(t, "strike")) == 0 && time.Now().Before(late); {
		time.Sleep(20 * time.Millisecond)
	}
	if _, page := h.get(t, "/work/butcher/record?group="+group); !strings.Contains(page, "Birds so far: 2,") {
		t.Error("the bird was not taken back")
	}
}

func TestACarcassIsTakenByTheKeysOfAComputerToo(t *testing.T) {
	h := stocked(t)
	group := cockerels(t, h)
	tab := browser.Open(t, h.web.URL+"/work/butcher/record?group="+group, browser.Laptop)
	waitFor(t, tab, `document.querySelector("#news .safe")`)
	tab.Press("#dressed", "1650\r")
	waitFor(t, tab, `document.querySelector("#part-tally").textContent.includes("Birds so far: 1,") && document.querySelector("#dressed").value === ""`)
	if list := h.written(t, "butchered"); len(list) != 1 || !strings.Contains(string(list[0].Payload), `"dressed_g":1650`) {
		t.Fatalf("%v", list)
	}
}

func TestTheButcherDayServesEverybody(t *testing.T) {
	h := stocked(t)
	group := cockerels(t, h)
	for range 3 {
		h.carcass(t, group, "1630", "2500")
	}
	for name, view := range looks {
		t.Run(name, func(t *testing.T) {
			tab := browser.Open(t, h.web.URL+butcherPath(h, group, "9"), view)
			lookAt(t, tab, name, "/butcher")
			tab.Go(h.web.URL + "/work/butcher/record?group=" + group)
			waitFor(t, tab, `document.querySelector("#news .safe")`)
			lookAt(t, tab, name, "/carcass")
			if small := browser.Evaluate[[]string](tab, `[...document.querySelectorAll(".carcass button, .carcass input:not([type=hidden])")].filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 55.5).map(e => e.outerHTML.slice(0, 90))`); len(small) > 0 {
				t.Errorf("less than 56 pixels high: %v", small)
			}
			if view == browser.Phone {
				if bottom := browser.Evaluate[int](tab, `Math.round(document.querySelector(".carcass .main").getBoundingClientRect().bottom + scrollY)`); bottom > 844 {
					t.Errorf("the large button ends at %d of 844 pixels", bottom)
				}
			}
		})
	}
	if *pictures != "" {
		tab := browser.Open(t, h.web.URL+butcherPath(h, group, "9"), browser.View{Width: 794, Height: 1123, Print: true})
		keepPicture(t, tab, "print", filepath.Base("/butcher"))
	}
}
