package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"henyear/holding"
	"henyear/internal/browser"
)

func TestWhatWouldBetterThePlaceIsWorkedOutWhenAsked(t *testing.T) {
	h := open(t, nil).settled(t)
	if code, page := h.get(t, "/place/improve"); code != 200 || !strings.Contains(page, say("improve.none")) || !strings.Contains(page, say("improve.go")) {
		t.Fatal(code)
	}
	if w := h.send(request("POST", "/place/improve", url.Values{})); w.Code != http.StatusSeeOther {
		t.Fatal(w.Code)
	}
	h.settled(t)
	_, page := h.get(t, "/place/improve")
	for _, want := range []string{"A net over 100 m2 more of the range", "Worth between 12 and 40 EUR a year.", "It pays for itself in 2.5 to 33 years.", "Of ten hens a year to hawks: 0.42 now, 0.10 then", `name="cost_netting"`} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	h.send(request("POST", "/place/improve", url.Values{"cost_netting": {"150,5"}}))
	h.settled(t)
	if _, page := h.get(t, "/place/improve"); !strings.Contains(page, `value="150.5"`) || !strings.Contains(page, "by your own figure") {
		t.Error("the keeper's own cost is lost")
	}
}

func TestACostThatIsNoneIsRefusedInASentence(t *testing.T) {
	h := open(t, nil).settled(t)
	for _, text := range []string{"much", "-3", "NaN", "Inf", "1e300", "<b>"} {
		w := h.send(request("POST", "/place/improve", url.Values{"cost_netting": {text}}))
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "A cost is a number from 0 up") || strings.Contains(w.Body.String(), "<b>") {
			t.Errorf("%q: %d", text, w.Code)
		}
	}
}

func TestAnotherHoldingDropsWhatWasWorkedOutForThisOne(t *testing.T) {
	h := open(t, nil).settled(t)
	h.send(request("POST", "/place/improve", url.Values{}))
	h.settled(t)
	h.shelf.Lock()
	other := *h.shelf.holding
	other.Needs.Eggs = []holding.EggNeed{{Months: [12]bool{true}, PerWeek: 7}}
	h.shelf.holding = &other
	h.shelf.Unlock()
	h.get(t, "/")
	h.settled(t)
	if _, page := h.get(t, "/place/improve"); strings.Contains(page, "A net over") {
		t.Error("changes for another holding are shown")
	}
}

func TestEverybodyCanUseThePageOfABetterPlace(t *testing.T) {
	h := open(t, nil).settled(t)
	h.send(request("POST", "/place/improve", url.Values{}))
	h.settled(t)
	for name, view := range looks {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			tab := browser.Open(t, h.web.URL+"/place/improve", view)
			lookAt(t, tab, name, "/place-improve")
		})
	}
}
