package web

import (
	"html/template"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"henyear/calendar"
	"henyear/daybook"
	"henyear/internal/browser"
	"henyear/measure"
)

// workDay is a day in the plan of the tests on which a hatch stands in the machine.
var workDay = measure.Date{Year: 2026, Month: 3, Day: 20}

func openWork(t testing.TB) *house {
	h := open(t, nil).settled(t)
	h.server.Today = func() measure.Date { return workDay }
	return h
}

// ticks are the records of work done that count.
func ticks(t testing.TB, h *house) []daybook.Event {
	t.Helper()
	b, _, err := h.server.book(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var list []daybook.Event
	for _, r := range b.Records {
		if r.Event.Kind == "task_done" {
			list = append(list, r.Event)
		}
	}
	return list
}

func TestTheWorkOfTodayComesFirst(t *testing.T) {
	_, body := openWork(t).get(t, "/work")
	at := 0
	for _, id := range []string{`id="today"`, `id="week"`, `id="month"`, `id="missed"`} {
		next := strings.Index(body, id)
		if next < at {
			t.Errorf("%s stands too early, or not at all", id)
		}
		at = next
	}
	for _, want := range []string{"Turn the eggs three times a day", "Friday, 20 March 2026", `href="/daybook#open-setting"`, `name="task" value="machine-2026/turn"`, "Salmonella"} {
		if !strings.Contains(body, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}

func TestATickIsARecordAndCanBeTakenBack(t *testing.T) {
	h := openWork(t)
	tick := func() string {
		w := h.send(request("POST", "/work/done", url.Values{"task": {"machine-2026/turn"}, "who": {"anyone"}}))
		if w.Code != http.StatusSeeOther {
			t.Fatalf("%d: %s", w.Code, w.Body.String())
		}
		return w.Header().Get("Location")
	}
	back := tick()
	tick() // a thumb that hits twice
	done := ticks(t, h)
	if len(done) != 1 || done[0].HappenedOn != h.server.date() || !strings.Contains(back, "who=anyone") {
		t.Fatalf("%d records after two taps, back to %s", len(done), back)
	}
	_, body := h.get(t, back)
	if !strings.Contains(body, say("work.saved")) || !regexp.MustCompile(`class="job done"`).MatchString(body) {
		t.Error("the page does not show what was ticked")
	}
	h.send(request("POST", "/work/undo", url.Values{"record": {done[0].ID.String()}}))
	if left := ticks(t, h); len(left) != 0 {
		t.Error("the tick stays")
	}
	tick()
	if again := ticks(t, h); len(again) != 1 {
		t.Error("it cannot be ticked again")
	}
}

func TestTicksThatCannotBeAreRefusedInASentence(t *testing.T) {
	h := openWork(t)
	for name, sent := range map[string]url.Values{
		"no such job":  {"task": {"nobody/knows"}},
		"tomorrow":     {"task": {"machine-2026/turn"}, "on": {"2026-03-21"}},
		"no day":       {"task": {"machine-2026/turn"}, "on": {"2026-02-30"}},
		"half minutes": {"task": {"machine-2026/turn"}, "minutes": {"2.5"}},
	} {
		if w := h.send(request("POST", "/work/done", sent)); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), `role="alert"`) {
			t.Errorf("%s: %d", name, w.Code)
		}
	}
	if n := len(ticks(t, h)); n != 0 {
		t.Errorf("%d records were made", n)
	}
	note := rawEvent(freshID(), "note", h.server.date(), h.server.now(), "", map[string]any{"text": "x"})
	if _, err := h.book.AddEvents(t.Context(), []daybook.Event{note}, h.server.now()); err != nil {
		t.Fatal(err)
	}
	if w := h.send(request("POST", "/work/undo", url.Values{"record": {note.ID.String()}})); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a note was struck out through the work: %d", w.Code)
	}
}

func TestAHelperSeesTheWorkAndTicks(t *testing.T) {
	h, _, _ := letIn(t, false)
	h.server.Today = func() measure.Date { return workDay }
	c := h.signIn(t, helperWords)
	w := h.door(t, true, request("GET", "/work", nil), c)
	if w.Code != 200 || strings.Contains(w.Body.String(), "/sources") || strings.Contains(w.Body.String(), "/work/calendar") {
		t.Errorf("%d: the helper's page shows too much", w.Code)
	}
	if w := h.door(t, true, request("POST", "/work/done", url.Values{"task": {"machine-2026/turn"}}), c); w.Code != http.StatusSeeOther {
		t.Errorf("%d: %s", w.Code, w.Body.String())
	}
	done := ticks(t, h)
	if len(done) != 1 {
		t.Fatalf("%d ticks", len(done))
	}
	if w := h.door(t, true, request("POST", "/work/undo", url.Values{"record": {done[0].ID.String()}}), c); w.Code != http.StatusSeeOther || len(ticks(t, h)) != 0 {
		t.Errorf("a helper cannot take back a tick: %d", w.Code)
	}
}

func TestTheWorkPageIsForColdHands(t *testing.T) {
	h := openWork(t)
	h.send(request("POST", "/work/done", url.Values{"task": {"machine-2026/turn"}}))
	for name, view := range looks {
		t.Run(name, func(t *testing.T) {
			tab := browser.Open(t, h.web.URL+"/work", view)
			lookAt(t, tab, name, "/work")
			small := browser.Evaluate[int](tab, `[...document.querySelectorAll("button.box")].filter(e => e.getBoundingClientRect().height < 56 || e.getBoundingClientRect().width < 56).length`)
			if small > 0 {
				t.Errorf("%d boxes are too small for gloves", small)
			}
		})
	}
}

func TestThePlanNamesTheNextJobsOfTheWork(t *testing.T) {
	h := openWork(t)
	list, _, err := h.server.workList(t.Context(), h.shelf.holding, h.planner.plan, measure.Date{}, measure.Date{})
	if err != nil {
		t.Fatal(err)
	}
	_, page := h.get(t, "/")
	for _, job := range list.With(calendar.Due, calendar.Ahead) {
		if job.Every == 0 {
			if !strings.Contains(page, template.HTMLEscapeString(job.What.Text)) {
				t.Errorf("the page of the plan does not name %q", job.What.Text)
			}
			return
		}
	}
	t.Fatal("no job lies ahead")
}
