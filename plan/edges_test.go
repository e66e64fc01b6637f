package plan

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"henyear/bird"
	"henyear/holding"
	"henyear/measure"
)

// odd is a holding at the edge of what a file may say. Each is planned, or
// refused in a sentence.
type odd struct {
	name    string
	hatches bool // own eggs in a machine, which takes the search longer
	change  func(h *holding.Holding)
}

func oddHoldings() []odd {
	return []odd{
		{"no birds on hand", false, func(h *holding.Holding) { h.Birds = nil }},
		{"no birds and a flock that renews itself", true, func(h *holding.Holding) { h.Birds, h.Needs.SelfRenewing = nil, true }},
		{"no need of any kind", false, func(h *holding.Holding) {
			h.Needs.Eggs, h.Needs.TableBirds, h.Needs.TableKg, h.Needs.EggSales = nil, 0, 0, nil
		}},
		{"meat alone", false, func(h *holding.Holding) { h.Needs.Eggs, h.Needs.TableBirds, h.Needs.TableKg = nil, 0, 12 }},
		{"no house", false, func(h *holding.Holding) { h.Means.Houses = nil }},
		{"no space at all", false, func(h *holding.Holding) {
			h.Means.Houses, h.Means.CoveredRunM2, h.Means.GrowOutM2, h.Place.PastureM2 = nil, 0, 0, 0
		}},
		{"no cocks allowed", true, func(h *holding.Holding) { h.Place.MaxCocks = 0 }},
		{"no birds allowed", false, func(h *holding.Holding) { h.Place.MaxBirds = 0 }},
		{"nobody kills and nobody takes a bird", false, func(h *holding.Holding) { h.Means.WillKill, h.Means.CockerelsTaken = false, 0 }},
		{"no time", false, func(h *holding.Holding) { h.Means.MinutesADay = 0 }},
		{"no brooder and no freezer", false, func(h *holding.Holding) { h.Means.BrooderChicks, h.Means.FreezerL = 0, 0 }},
		{"no butcher day", false, func(h *holding.Holding) { h.Means.ButcherDaysAYear = 0 }},
		{"frozen eggs", false, func(h *holding.Holding) { h.Needs.FrozenEggShare = 0.5 }},
		{"birds of every kind sold", false, func(h *holding.Holding) {
			for _, kind := range []string{"chick", "cockerel", "pullet", "spent hen"} {
				h.Needs.BirdSales = append(h.Needs.BirdSales, holding.BirdSale{Kind: kind, PerYear: 5, Price: 6})
			}
		}},
		{"at the north pole", true, func(h *holding.Holding) { h.Place.Climate.LatitudeDeg = 90 }},
		{"at the south pole", true, func(h *holding.Holding) { h.Place.Climate.LatitudeDeg = -90 }},
		{"at 78 degrees north", true, func(h *holding.Holding) { h.Place.Climate.LatitudeDeg = 78 }},
		{"on the equator", true, func(h *holding.Holding) { h.Place.Climate.LatitudeDeg = 0 }},
		{"on 29 February", true, func(h *holding.Holding) { h.AsOf = measure.Date{Year: 2028, Month: time.February, Day: 29} }},
		{"on the last day of a year", false, func(h *holding.Holding) { h.AsOf = measure.Date{Year: 2027, Month: time.December, Day: 31} }},
		{"over a year of 53 weeks", true, func(h *holding.Holding) {
			// 2026 has 53 weeks; the plan runs from January 2024 to its last one.
			h.AsOf = measure.Date{Year: 2024, Month: time.January, Day: 15}
			for i := range h.Birds {
				h.Birds[i].Hatched.Year -= 3
			}
		}},
		{"away all the time", true, func(h *holding.Holding) {
			h.Means.Away = []holding.Away{{From: h.AsOf, To: h.AsOf.AddDays(2000)}}
		}},
		{"birds fifteen years old", false, func(h *holding.Holding) {
			for i := range h.Birds {
				h.Birds[i].Hatched.Year = 2012
			}
		}},
		{"birds hatched today", false, func(h *holding.Holding) {
			for i := range h.Birds {
				h.Birds[i].Hatched = h.AsOf
			}
		}},
		{"a hundred hens in a house for ten", false, func(h *holding.Holding) { h.Birds[0].Number = 100 }},
		{"cocks alone", true, func(h *holding.Holding) { h.Birds[0].Sex = bird.Cock }},
		{"an order that cannot be smaller than all there is room for", false, func(h *holding.Holding) { h.Stock[0].SmallestOrder = 500 }},
		{"two offers of the same stock", false, func(h *holding.Holding) { h.Stock = append(h.Stock, h.Stock[0]) }},
		{"two strains of one breed", true, func(h *holding.Holding) {
			h.Stock = append(h.Stock, h.Stock[0])
			h.Stock[len(h.Stock)-1].Strain = "show"
		}},
	}
}

func TestEveryOddHoldingGetsAPlanOrASentence(t *testing.T) {
	for _, o := range oddHoldings() {
		t.Run(o.name, func(t *testing.T) {
			t.Parallel()
			h := example(t, "valley")
			h.Needs.EggSales, h.Means.Away = nil, nil
			h.Means.BroodyHens, h.Means.MachineEggs = false, 0
			if o.hatches {
				h.Means.MachineEggs = 24
			}
			h.Birds = h.Birds[1:]
			h.Needs.SelfRenewing = false
			h.Stock = []holding.Offer{offer("sussex", holding.Chicks, 4, time.April)}
			o.change(h)
			p, err := planner(t).Plan(t.Context(), h, Options{TimeLimit: 400 * time.Millisecond}, nil)
			if err != nil {
				t.Logf("refused: %v", err)
				if p != nil || strings.Contains(err.Error(), "fault") {
					t.Error("that is no sentence for a keeper, or one too many")
				}
				return
			}
			if !(p.Cost >= p.Bound-1e-6) || math.IsInf(p.Cost, 0) || !(p.Gap >= 0) {
				t.Errorf("costs %g, bound %g, gap %g", p.Cost, p.Bound, p.Gap)
			}
			if len(p.Weeks) < 104 || len(p.Years) < 3 || len(p.Summary) == 0 {
				t.Errorf("%d weeks, %d years, %d sentences", len(p.Weeks), len(p.Years), len(p.Summary))
			}
			if err := sound(p); err != nil {
				t.Error(err)
			}
			a, err := reread(planner(t), h, Options{}, p)
			if err != nil {
				t.Fatal(err)
			}
			if err := a.pr.m.Check(a.x, 1e-5); err != nil {
				t.Error(err)
			}
		})
	}
}

func TestNothingToPlanIsSaid(t *testing.T) {
	h := cottage(t)
	h.Birds = nil
	if _, err := planner(t).Plan(t.Context(), h, quick, nil); !errors.Is(err, ErrNothingToPlan) {
		t.Errorf("have %v", err)
	}
	h = cottage(t)
	h.AsOf = measure.Date{}
	if _, err := planner(t).Plan(t.Context(), h, quick, nil); err == nil {
		t.Error("planned from no day at all")
	}
}

func TestStoppingGivesTheBestPlanSoFar(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	p, err := planner(t).Plan(ctx, example(t, "valley"), Options{TimeLimit: 20 * time.Second}, func(s Step) {
		if s.Best != nil {
			stop()
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if p.Status != "cancelled" || p.SolveSeconds > 8 {
		t.Errorf("%q after %.1f s", p.Status, p.SolveSeconds)
	}
}

// Culls, pullets that move and the end of a cock's service wait for the keeper
// too, not only hatches.
func TestEveryJobWithTheKnifeWaitsUntilTheKeeperIsBack(t *testing.T) {
	h := example(t, "valley")
	h.Means.BroodyHens = false
	h.Means.Away = nil
	for _, year := range []int{2027, 2028, 2029} {
		for _, months := range [][2]time.Month{{time.January, time.January}, {time.June, time.July}, {time.September, time.September}} {
			h.Means.Away = append(h.Means.Away, holding.Away{
				From: measure.Date{Year: year, Month: months[0], Day: 8}, To: measure.Date{Year: year, Month: months[1], Day: 28}})
		}
	}
	l := planned(t, h, Options{TimeLimit: 3 * time.Second})
	checkAway(t, l)
	killed := 0.0
	for _, w := range l.plan.Weeks {
		killed += w.TableBirds
	}
	if killed < 10 {
		t.Errorf("%.0f birds butchered in three years", killed)
	}
}
