package web

import (
	"encoding/json"
	"fmt"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"henyear/daybook"
	"henyear/internal/browser"
	"henyear/measure"
	"henyear/store"
)

// stocked is a house whose book has begun with the birds of the holding.
func stocked(t testing.TB) *house {
	h := open(t, nil).settled(t)
	today := measure.DateOf(time.Now())
	h.server.Today = func() measure.Date { return today }
	events := beginning(h.shelf.holding, today.AddDays(-30), time.Now().AddDate(0, 0, -30))
	if outcomes, err := h.book.AddEvents(t.Context(), events, time.Now()); err != nil || outcomes[0].Why != nil {
		t.Fatal(outcomes, err)
	}
	return h
}

// written lists what the house has of one kind.
func (h *house) written(t testing.TB, kind string) []daybook.Event {
	t.Helper()
	all, err := h.book.EventsSince(t.Context(), 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	var list []daybook.Event
	for _, e := range all {
		if e.Event.Kind == kind {
			list = append(list, e.Event)
		}
	}
	return list
}

// waitFor asks the page until an expression is true.
func waitFor(t testing.TB, tab *browser.Tab, expression string) {
	t.Helper()
	if !browser.Evaluate[bool](tab, fmt.Sprintf(`new Promise(async done => { for (let i = 0; i < 200; i++) { try { if (%s) return done(true) } catch {} await new Promise(r => setTimeout(r, 50)) } done(false) })`, expression)) {
		t.Fatalf("never true: %s\n%s", expression, tab.Text("main"))
	}
}

// controlled waits until the page opens without the house.
func controlled(t testing.TB, tab *browser.Tab) {
	t.Helper()
	waitFor(t, tab, `navigator.serviceWorker.controller && await caches.match("/daybook")`)
}

func TestTodaysEggsTakeTwoTapsAndCanBeUndone(t *testing.T) {
	h := stocked(t)
	tab := browser.Open(t, h.web.URL+"/daybook", browser.Phone)
	waitFor(t, tab, `document.querySelector("#news .safe")`)
	tab.Click(`.tiles input[value="7"]`)
	tab.Click(`.eggs .main`)
	tab.Wait("#undo")
	waitFor(t, tab, `document.querySelector("#news").dataset.queue === "0"`)
	list := h.written(t, "eggs")
	if len(list) != 1 || !strings.Contains(string(list[0].Payload), `"number":7`) || list[0].Device.IsZero() {
		t.Fatalf("%v", list)
	}
	tab.Click("#undo")
	waitFor(t, tab, `document.querySelector("#phone .gone")`)
	waitFor(t, tab, `document.querySelector("#news").dataset.queue === "0"`)
	strikes := h.written(t, "strike")
	if len(strikes) != 1 || strikes[0].Supersedes[0] != list[0].ID {
		t.Fatalf("%v", strikes)
	}
}

func TestRecordsWrittenOutOfReachComeHomeOnce(t *testing.T) {
	h := stocked(t)
	tab := browser.Open(t, h.web.URL+"/daybook", browser.Phone)
	controlled(t, tab)
	h.reach.set("127.0.0.1", true)
	tab.Go(h.web.URL + "/daybook") // opens without the house
	for _, n := range []string{"3", "5", "8"} {
		tab.Click(`.tiles input[value="` + n + `"]`)
		tab.Click(`.eggs .main`)
		waitFor(t, tab, fmt.Sprintf(`document.querySelector("#news .saved").textContent.includes(": %s")`, n))
	}
	waitFor(t, tab, `document.querySelector("#news .waiting").textContent.startsWith("3 ")`)
	keepPicture(t, tab, "offline", "phone")
	if n := len(h.written(t, "eggs")); n != 0 {
		t.Fatalf("%d records reached the house through no network", n)
	}
	tab.Go(h.web.URL + "/daybook") // the phone was put away and taken out again
	waitFor(t, tab, `document.querySelector("#news .waiting").textContent.startsWith("3 ")`)
	h.reach.set("127.0.0.1", false)
	tab.Click("#try")
	waitFor(t, tab, `document.querySelector("#news").dataset.queue === "0"`)
	if n := len(h.written(t, "eggs")); n != 3 {
		t.Fatalf("%d records in the house, not 3", n)
	}
	tab.Go(h.web.URL + "/daybook")
	waitFor(t, tab, `document.querySelector("#news .safe")`)
	if n := len(h.written(t, "eggs")); n != 3 {
		t.Fatalf("%d records in the house after opening again, not 3", n)
	}
}

func TestAnAnswerThatIsLostOnTheWayMakesNoSecondRecord(t *testing.T) {
	h := stocked(t)
	tab := browser.Open(t, h.web.URL+"/daybook", browser.Phone)
	waitFor(t, tab, `document.querySelector("#news .safe")`)
	// The house takes the record, but its answer never arrives.
	browser.Evaluate[struct{}](tab, `(() => { const real = fetch; let lose = true; window.fetch = async (...a) => { const answer = await real(...a); if (lose && String(a[0]).endsWith("/records")) { lose = false; throw new TypeError("lost") } return answer } })()`)
	tab.Click(`.tiles input[value="4"]`)
	tab.Click(`.eggs .main`)
	waitFor(t, tab, `document.querySelector("#news .waiting")`)
	tab.Click("#try")
	waitFor(t, tab, `document.querySelector("#news").dataset.queue === "0"`)
	if n := len(h.written(t, "eggs")); n != 1 {
		t.Fatalf("%d records, not 1", n)
	}
}

func TestTwoPhonesAtOnceLoseNothing(t *testing.T) {
	h := stocked(t)
	first := browser.Open(t, h.web.URL+"/daybook", browser.Phone)
	// A second name of the same computer is another phone to the browser.
	second := browser.Open(t, strings.Replace(h.web.URL, "127.0.0.1", "localhost", 1)+"/daybook", browser.Phone)
	for name, tab := range map[string]*browser.Tab{"127.0.0.1": first, "localhost": second} {
		controlled(t, tab)
		h.reach.set(name, true)
	}
	for i, n := range []string{"2", "6", "1", "9"} {
		tab := []*browser.Tab{first, second}[i%2]
		tab.Click(`.tiles input[value="` + n + `"]`)
		tab.Click(`.eggs .main`)
		waitFor(t, tab, fmt.Sprintf(`document.querySelector("#news .saved").textContent.includes(": %s")`, n))
	}
	h.reach.set("localhost", false)
	h.reach.set("127.0.0.1", false)
	for _, tab := range []*browser.Tab{second, first} {
		tab.Click("#try")
	}
	for _, tab := range []*browser.Tab{first, second} {
		waitFor(t, tab, `document.querySelector("#news").dataset.queue === "0"`)
	}
	list := h.written(t, "eggs")
	devices := map[daybook.ID]int{}
	for _, e := range list {
		devices[e.Device]++
	}
	if len(list) != 4 || len(devices) != 2 {
		t.Fatalf("%d records of %d devices", len(list), len(devices))
	}
}

func TestARecordThatTheHouseRefusesIsShownAndDoesNotHoldUpTheOthers(t *testing.T) {
	h := stocked(t)
	tab := browser.Open(t, h.web.URL+"/daybook", browser.Phone)
	waitFor(t, tab, `document.querySelector("#news .safe")`)
	tab.Click("#open-feed summary")
	tab.Type("#feed-what", "opened")
	tab.Type("#feed-feed", "layer pellets")
	tab.Type("#feed-kg", "0")
	tab.Click("#open-feed .main")
	waitFor(t, tab, `document.querySelector("#phone .refused")`)
	tab.Click(`.tiles input[value="4"]`)
	tab.Click(`.eggs .main`)
	waitFor(t, tab, `document.querySelectorAll("#phone .line.safe").length === 1`)
	if len(h.written(t, "feed")) != 0 || len(h.written(t, "eggs")) != 1 {
		t.Error("the wrong records are in the house")
	}
	tab.Click("#phone .refused button")
	waitFor(t, tab, `!document.querySelector("#phone .refused")`)
}

func TestEveryFormOfTheDaybookMakesTheSameRecordWithAndWithoutScripts(t *testing.T) {
	h := stocked(t)
	group := derivedID("group on hand", h.shelf.holding.Name, "pullets-2025").String()
	script := browser.Open(t, h.web.URL+"/daybook", browser.Phone)
	waitFor(t, script, `document.querySelector("#news .safe")`)
	plain := browser.Open(t, h.web.URL+"/daybook", browser.View{Width: 390, Height: 844, NoScript: true})
	for _, c := range []struct {
		entry, kind string
		boxes       [][2]string
	}{
		{"loss", "birds_out", [][2]string{{"how", "taken"}, {"number", "2"}, {"group", group}, {"predator", "fox"}}},
		{"feed", "feed", [][2]string{{"what", "bought"}, {"feed", "wheat"}, {"kg", "25,5"}, {"paid_minor", "12.30"}}},
		{"count", "count", [][2]string{{"number", "8"}}},
		{"weighing", "weighing", [][2]string{{"group", group}, {"each_g", "2350 2410"}}},
		{"treatment", "treatment", [][2]string{{"product", "Wormer"}, {"egg_days", "7"}, {"meat_days", "0"}}},
		{"broody", "broody", [][2]string{{"phase", "begins"}, {"group", group}}},
	} {
		before := len(h.written(t, c.kind))
		for _, tab := range []*browser.Tab{script, plain} {
			tab.Click("#open-" + c.entry + " summary")
			for _, box := range c.boxes {
				tab.Type("#"+c.entry+"-"+box[0], box[1])
			}
			tab.Click("#open-" + c.entry + " .main")
			want := before + 1
			if tab == plain {
				want++
			}
			for late := time.Now().Add(5 * time.Second); len(h.written(t, c.kind)) < want && time.Now().Before(late); {
				time.Sleep(20 * time.Millisecond)
			}
			tab.Wait("#news .saved")
		}
		list := h.written(t, c.kind)[before:]
		if len(list) != 2 {
			t.Errorf("%s: %d records", c.entry, len(list))
			continue
		}
		if a, b := sameJSON(list[0].Payload), sameJSON(list[1].Payload); a != b {
			t.Errorf("%s: %s with scripts, %s without", c.entry, a, b)
		}
	}
}

func sameJSON(b []byte) string {
	var v any
	json.Unmarshal(b, &v)
	out, _ := json.Marshal(v)
	return string(out)
}

func TestTheDaybookIsLargeEnoughForGloves(t *testing.T) {
	h := stocked(t)
	tab := browser.Open(t, h.web.URL+"/daybook", browser.Phone)
	waitFor(t, tab, `document.querySelector("#news .safe")`)
	browser.Evaluate[struct{}](tab, `document.querySelectorAll(".others details").forEach(d => d.open = true)`)
	for _, s := range browser.Evaluate[[]string](tab, `[...document.querySelectorAll("main button, main summary, main select, main input:not([type=checkbox]):not([type=radio]):not([type=hidden]), .tiles span")].filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 55.5).map(e => e.outerHTML.slice(0, 90))`) {
		t.Errorf("less than 56 pixels high: %s", s)
	}
}

func TestThePagesOfTheDaybookServeEverybody(t *testing.T) {
	h := stocked(t)
	fill(t, h)
	eggs := h.written(t, "eggs")[0].ID.String()
	for name, view := range looks {
		t.Run(name, func(t *testing.T) {
			tab := browser.Open(t, h.web.URL+"/daybook", view)
			waitFor(t, tab, `document.querySelector("#news .safe")`)
			for _, path := range []string{"/daybook", "/daybook/last", "/daybook/flock", "/daybook/record/" + eggs} {
				tab.Go(h.web.URL + path)
				lookAt(t, tab, name, strings.Replace(path, eggs, "a-record", 1))
			}
		})
	}
}

// fill writes some weeks of records, with a medicine, a count that differs and
// two corrections that disagree.
func fill(t testing.TB, h *house) {
	t.Helper()
	today := h.server.date()
	at := time.Now().Add(-time.Hour)
	group := derivedID("group on hand", h.shelf.holding.Name, "pullets-2025").String()
	var list []daybook.Event
	add := func(daysAgo int, kind string, content map[string]any) daybook.Event {
		at = at.Add(time.Second)
		e := rawEvent(derivedID(fmt.Sprint(len(list))), kind, today.AddDays(-daysAgo), at, "Ann", content)
		list = append(list, e)
		return e
	}
	for day := 20; day >= 0; day-- {
		add(day, "eggs", map[string]any{"number": 4 + day%3})
	}
	add(20, "feed", map[string]any{"what": "bought", "feed": "layer pellets", "kg": 50, "paid_minor": 2500})
	add(20, "feed", map[string]any{"what": "opened", "feed": "layer pellets", "kg": 25})
	add(3, "treatment", map[string]any{"product": "Wormer", "egg_days": 7, "group": group})
	add(2, "setting", map[string]any{"setting": derivedID("s").String(), "eggs": 12, "under": "hen", "name": "Nell"})
	add(1, "count", map[string]any{"number": 9})
	wrong := list[0].ID
	for _, n := range []int{7, 8} {
		e := add(20, "eggs", map[string]any{"number": n})
		e.Supersedes = []daybook.ID{wrong}
		list[len(list)-1] = e
	}
	outcomes, err := h.book.AddEvents(t.Context(), list, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range outcomes {
		if o.Status != store.New {
			t.Fatal(o)
		}
	}
}

func TestACorrectionStandsInThePlaceOfTheOldRecordWhichStaysReadable(t *testing.T) {
	h := stocked(t)
	fill(t, h)
	all := h.written(t, "eggs")
	old := all[5].ID.String()
	tab := browser.Open(t, h.web.URL+"/daybook/record/"+old, browser.Phone)
	tab.Type("#eggs-number", "11")
	tab.Click(".record-form .main")
	tab.Wait("ol.lines .gone")
	text := tab.Text("main")
	if !strings.Contains(text, "11 eggs") || !strings.Contains(text, say("standing.corrected")) {
		t.Errorf("%s", text)
	}
	w := httptest.NewRecorder()
	h.server.Handler().ServeHTTP(w, request("GET", "/daybook/record/"+old, nil))
	if w.Code != 200 || !strings.Contains(w.Body.String(), say("standing.corrected")) {
		t.Error("the old record cannot be read any more")
	}
}
