package plan

import (
	"math"
	"testing"
	"time"

	"henyear/holding"
)

// A plan carried out where it was made costs what it costs; dearer feed makes it
// dearer by the feed, and a plan of other weeks cannot be kept.
func TestAPlanKeptAsItIsCostsWhatItsFeedAndEggsDo(t *testing.T) {
	p, h, opt := planner(t), cottage(t), Options{TimeLimit: 2 * time.Second}
	base, err := p.Plan(t.Context(), h, opt, nil)
	if err != nil {
		t.Fatal(err)
	}
	at := func(change func(*holding.Holding)) float64 {
		c := h.Clone()
		change(c)
		cost, can, err := p.Kept(t.Context(), c, opt, base, base.Lights)
		if err != nil || !can {
			t.Fatalf("cannot be kept: %v", err)
		}
		return cost
	}
	same := at(func(*holding.Holding) {})
	if math.Abs(same-base.Cost) > 1e-4*base.GrossOutlay {
		t.Errorf("kept %.4f, the plan itself %.4f", same, base.Cost)
	}
	feed := 0.0
	for _, w := range base.Weeks {
		feed += w.FeedKg
	}
	dearer := at(func(h *holding.Holding) { h.Prices.FeedPerKg += 0.1; h.Prices.ChickFeedPerKg += 0.1 })
	if more := dearer - same; more < 0.05*feed || more > 0.2*feed {
		t.Errorf("%.2f dearer for %.0f kg of feed at 0.10 more a kg", more, feed)
	}
	other := *base
	other.Point = map[string]float64{"is_nothing-of-the-kind": 1}
	if _, can, err := p.Kept(t.Context(), h, opt, &other, false); can || err != nil {
		t.Errorf("a plan of other weeks was kept: %v", err)
	}
}
