package web

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"henyear/advise"
	"henyear/chance"
	"henyear/holding"
	"henyear/internal/browser"
	"henyear/plan"
	"henyear/report"
)

// cast gives odds written beforehand. The channels keep each of its methods at
// work until they close or the work is stopped.
type cast struct {
	odds    *chance.Odds
	matters *chance.Matters
	surer   *advise.Surer

	mu                  sync.Mutex
	holdOdds, holdSurer chan struct{}
	fault               error
	asked               int // how often Odds was called
}

func madeUpLots(t testing.TB) *cast {
	c := &cast{odds: new(chance.Odds), matters: new(chance.Matters), surer: new(advise.Surer)}
	readJSON(t, "../report/testdata/odds.json", c.odds)
	readJSON(t, "../report/testdata/matters.json", c.matters)
	readJSON(t, "../report/testdata/surer.json", c.surer)
	return c
}

func (c *cast) hold(odds, surer bool) (release func()) {
	c.mu.Lock()
	defer c.mu.Unlock()
	hold := make(chan struct{})
	c.holdOdds, c.holdSurer = nil, nil
	if odds {
		c.holdOdds = hold
	}
	if surer {
		c.holdSurer = hold
	}
	return func() { close(hold) }
}

func await(ctx context.Context, hold chan struct{}) error {
	if hold == nil {
		return nil
	}
	select {
	case <-hold:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (c *cast) Odds(ctx context.Context, _ *holding.Holding, _ *plan.Plan, told func(done, total int)) (*chance.Odds, error) {
	c.mu.Lock()
	c.asked++
	hold, fault := c.holdOdds, c.fault
	c.mu.Unlock()
	told(800, 2000)
	if err := await(ctx, hold); err != nil {
		return nil, err
	}
	return c.odds, fault
}

func (c *cast) Matters(context.Context, *holding.Holding, *plan.Plan, func(done, total int)) (*chance.Matters, error) {
	return c.matters, nil
}

func (c *cast) Surer(ctx context.Context, _ *holding.Holding, _ *plan.Plan, told advise.SafetyProgress) (*advise.Surer, error) {
	c.mu.Lock()
	hold := c.holdSurer
	c.mu.Unlock()
	told(advise.SafetyStep{Done: 2, Planned: 6})
	if err := await(ctx, hold); err != nil {
		part := *c.surer
		part.Status, part.Points, part.Chosen, part.Surest = "cancelled", part.Points[:2], 1, 1
		return &part, nil
	}
	return c.surer, nil
}

// until waits for a state of the work.
func (h *house) until(t testing.TB, is func(state) bool) {
	t.Helper()
	late := time.After(10 * time.Second)
	for {
		st, changed := h.server.job.snapshot()
		if is(st) {
			return
		}
		select {
		case <-changed:
		case <-late:
			t.Fatal("this does not come about")
		}
	}
}

func TestTheOddsFollowThePlanByThemselves(t *testing.T) {
	h := open(t, nil).settled(t)
	code, page := h.get(t, "/odds")
	if code != 200 {
		t.Fatal(code)
	}
	for _, want := range []string{"lived through 2\u202f000 times", "have more than 2 weeks short of eggs; you accept 20\u00a0%", "The plan is as sure as you ask.", "drawing-odds-eggs", "drawing-odds-cost", "drawing-odds-luck",
		"Grown birds taken by predators", "6 years in 10", "In the worst twentieth of years 7 weeks are short", "/sources#guess", `action="/odds/surer"`, "a chance of one in ten may move by 1.3 in a hundred", "PCG, streams by name"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if _, page := h.get(t, "/"); !strings.Contains(page, "In 14\u00a0% of years more than 2 weeks are short of eggs; you accept 20\u00a0%.") || !strings.Contains(page, `href="/odds"`) {
		t.Error("the page of the plan does not say how sure it is")
	}
	var a report.OddsAnswer
	if code, text := h.get(t, "/odds.json"); code != 200 || json.Unmarshal([]byte(text), &a) != nil || a.Format != 1 || a.Odds.Replicates != 2000 || a.Matters == nil || a.Surer != nil {
		t.Errorf("%d %+v", code, a)
	}
	if code, text := h.get(t, "/drawing/odds-luck-narrow.svg"); code != 200 || !strings.HasPrefix(text, "<svg") {
		t.Error(code)
	}
	if n := h.lots.asked; n != 1 {
		t.Errorf("the odds were cast %d times", n)
	}
}

func TestWhatBeingSurerCostsIsWorkedOutWhenAsked(t *testing.T) {
	h := open(t, nil).settled(t)
	release := h.lots.hold(false, true)
	if w := h.send(request("POST", "/odds/surer", url.Values{})); w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/odds#surer" {
		t.Fatal(w.Code)
	}
	h.until(t, func(s state) bool { return s.luck.step.Done == 2 })
	if _, page := h.get(t, "/odds"); !strings.Contains(page, say("busy.surer.count", "2", "6")) || !strings.Contains(page, `action="/odds/stop"`) || strings.Contains(page, `action="/odds/surer"`) {
		t.Error("the page does not say how far it is")
	}
	release()
	h.settled(t)
	_, page := h.get(t, "/odds")
	for _, want := range []string{"costs 27 EUR a year more", "drawing-odds-surer", "The house is full with 19 hens", "Safer 1, chosen", say("odds.surer.again")} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if _, text := h.get(t, "/odds.json"); !strings.Contains(text, `"hatch_share"`) {
		t.Error("the JSON lacks the curve")
	}
}

func TestStoppingThePriceKeepsThePlansThatAreDone(t *testing.T) {
	h := open(t, nil).settled(t)
	h.lots.hold(false, true)
	h.send(request("POST", "/odds/surer", url.Values{}))
	h.until(t, func(s state) bool { return s.luck.step.Done == 2 })
	h.send(request("POST", "/odds/stop", url.Values{}))
	h.settled(t)
	if _, page := h.get(t, "/odds"); !strings.Contains(page, "stopped after 2 plans") {
		t.Error("what was found before the stop is lost")
	}
}

func TestStoppedOddsCanBeReckonedAgain(t *testing.T) {
	h := open(t, func(w *written, _ *shelf) { w.hold = make(chan struct{}) })
	release := h.lots.hold(true, false)
	close(h.planner.hold)
	h.until(t, func(s state) bool { return s.luck.casting && !s.planning })
	if _, page := h.get(t, "/odds"); !strings.Contains(page, say("busy.odds", "40\u00a0%")) {
		t.Error("the page does not say how far it is")
	}
	h.send(request("POST", "/odds/stop", url.Values{}))
	h.settled(t)
	if _, page := h.get(t, "/odds"); !strings.Contains(page, say("odds.stopped")) || !strings.Contains(page, say("odds.again")) {
		t.Error("the page does not say that it was stopped")
	}
	release()
	h.send(request("POST", "/odds/again", url.Values{}))
	h.settled(t)
	if _, page := h.get(t, "/odds"); !strings.Contains(page, "drawing-odds-eggs") || strings.Contains(page, say("odds.stopped")) {
		t.Error("the odds did not come")
	}
}

func TestAPlanThatCannotBeLivedThroughIsToldInASentence(t *testing.T) {
	h := open(t, func(w *written, _ *shelf) { w.hold = make(chan struct{}) })
	h.lots.fault = errors.New("the plan has no birds; plan with birds on hand")
	close(h.planner.hold)
	h.settled(t)
	if code, page := h.get(t, "/odds"); code != 200 || !strings.Contains(page, "The plan has no birds; plan with birds on hand.") {
		t.Error(code)
	}
	if code, _ := h.get(t, "/odds.json"); code != 404 {
		t.Error(code)
	}
}

func TestOddsOfAPlanOnTheWayAreMarkedAsThoseOfAnEarlierOne(t *testing.T) {
	h := open(t, func(w *written, _ *shelf) { w.hold = make(chan struct{}) })
	h.until(t, func(s state) bool { return s.plan != nil })
	h.get(t, "/odds")
	h.until(t, func(s state) bool { return s.luck.odds != nil })
	_, page := h.get(t, "/odds")
	if !strings.Contains(page, say("odds.older")) || !strings.Contains(page, say("busy.odds.better")) || !strings.Contains(page, say("odds.surer.later")) {
		t.Error("the page takes them for those of the plan that is sought")
	}
	close(h.planner.hold)
	h.settled(t)
	if _, page = h.get(t, "/odds"); strings.Contains(page, say("odds.older")) {
		t.Error("the odds of the final plan did not follow")
	}
}

func TestTheOddsPageStandsBeforeThereIsAPlan(t *testing.T) {
	h := open(t, func(w *written, _ *shelf) { w.plan, w.hold = nil, make(chan struct{}) })
	if code, page := h.get(t, "/odds"); code != 200 || !strings.Contains(page, say("odds.later")) || !strings.Contains(page, `<noscript><meta http-equiv="refresh"`) {
		t.Error(code)
	}
	if w := h.send(request("POST", "/odds/surer", url.Values{})); w.Code != http.StatusSeeOther {
		t.Error(w.Code)
	}
}

func TestProgressOfTheOddsHasItsOwnWords(t *testing.T) {
	h := open(t, nil).settled(t)
	release := h.lots.hold(false, true)
	h.send(request("POST", "/odds/surer", url.Values{}))
	h.until(t, func(s state) bool { return s.luck.step.Done == 2 })
	answer, err := http.Get(h.web.URL + "/progress?of=odds")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	lines := bufio.NewScanner(answer.Body)
	if !lines.Scan() || !strings.Contains(lines.Text(), "2 of 6 plans done") {
		t.Errorf("%q", lines.Text())
	}
	release()
	last := ""
	for lines.Scan() {
		if lines.Text() != "" {
			last = lines.Text()
		}
	}
	if !strings.Contains(last, `"running":false`) {
		t.Error(last)
	}
}

func TestEverybodyCanUseTheWholePageOfTheOdds(t *testing.T) {
	h := open(t, nil).settled(t)
	h.send(request("POST", "/odds/surer", url.Values{}))
	h.settled(t)
	for name, view := range looks {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			tab := browser.Open(t, h.web.URL+"/odds", view)
			tab.Wait("#drawing-odds-surer")
			lookAt(t, tab, name, "/odds-whole")
		})
	}
}

func TestTheOddsFillThemselvesInWithoutALoss(t *testing.T) {
	h := open(t, nil).settled(t)
	release := h.lots.hold(false, true)
	tab := browser.Open(t, h.web.URL+"/odds", browser.Phone)
	tab.Click("#months summary")
	tab.Click("#surer ~ form button")
	tab.Wait(".busy-words")
	tab.Click("#months summary")
	release()
	tab.Wait("#drawing-odds-surer")
	if !browser.Evaluate[bool](tab, `document.querySelector("#months").open`) {
		t.Error("what the reader opened was shut")
	}
}

func TestTheMarkedPlanIsFollowedAndKept(t *testing.T) {
	h := open(t, nil).settled(t)
	h.send(request("POST", "/odds/surer", url.Values{}))
	h.settled(t)
	chosen := madeUpPlan(t)
	chosen.Margin = plan.MarginUse{Eggs: 2}
	job := h.server.job
	job.mu.Lock()
	job.state.luck.surer.Plan = chosen
	job.mu.Unlock()
	if _, page := h.get(t, "/odds"); !strings.Contains(page, say("odds.surer.follow")) {
		t.Error("the marked plan cannot be followed")
	}
	if w := h.send(request("POST", "/odds/follow", url.Values{})); w.Code != http.StatusSeeOther {
		t.Fatal(w.Code)
	}
	h.settled(t)
	if s, _ := job.snapshot(); s.plan != chosen {
		t.Error("the pages show another plan than the one that is followed")
	}
}
