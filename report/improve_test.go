package report

import (
	"strings"
	"testing"

	"henyear/advise"
	"henyear/plan"
)

func TestChangesOfAPlaceAreToldWithWorthCostAndWhatBirdsNotice(t *testing.T) {
	list := []advise.Improvement{{
		Worth:   plan.Worth{Code: "shade", What: "12 m2 more shade outdoors", Low: 10, High: 40, Known: true, Text: "Worth between 10 and 40 EUR a year."},
		CostLow: 30, CostHigh: 120, CostText: "It may cost between 30 and 120 EUR to make.", YearsLow: 0.75, YearsHigh: 12,
		Effects: []advise.Effect{{Code: "heat_days", Before: 12.4, After: 7.96}},
	}}
	var b strings.Builder
	if err := ImproveText(&b, list, nil, 80); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"* 12 m2 more shade outdoors", "Worth between 10 and 40 EUR a year.", "It pays for itself in 0.8 to 12 years.", "12 now, 8 then"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("%q is missing in\n%s", want, b.String())
		}
	}
	for _, l := range strings.Split(b.String(), "\n") {
		if len(l) > 80 {
			t.Errorf("line of %d columns: %s", len(l), l)
		}
	}
}

func TestEveryEffectHasWords(t *testing.T) {
	for _, code := range []string{"comb_nights", "damp_nights", "heat_days", "hawk_losses", "fox_losses", "eggs"} {
		if text := EffectWords(advise.Effect{Code: code, Before: 1, After: 2}); strings.Contains(text, "[") {
			t.Error(text)
		}
	}
}
