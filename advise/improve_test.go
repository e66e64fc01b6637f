package advise

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"henyear/examples"
	"henyear/holding"
	"henyear/plan"
)

func TestEveryExampleIsOfferedChangesOfItsPlaceAndStaysAsItIs(t *testing.T) {
	for _, name := range examples.List() {
		h := example(t, name)
		before := h.Clone()
		offers := placeChanges(h, quick)
		if len(offers) < 3 {
			t.Errorf("%s: only %d changes", name, len(offers))
		}
		for _, c := range offers {
			changed, opt := h.Clone(), quick
			c.make(changed, &opt)
			if reflect.DeepEqual(changed, before) && reflect.DeepEqual(opt, quick) {
				t.Errorf("%s: %s changes nothing", name, c.what)
			}
			if !(c.feedKg > 0) || math.IsInf(c.feedKg, 0) || c.what == "" || c.code == "" {
				t.Errorf("%s: %+v", name, c)
			}
		}
		if !reflect.DeepEqual(h, before) {
			t.Errorf("%s: the household itself was changed", name)
		}
	}
}

func TestWhatGivesMostForItsCostStandsFirst(t *testing.T) {
	at := func(code string, low, high, cost float64) Improvement {
		return Improvement{Worth: plan.Worth{Code: code, Low: low, High: high, Known: low > 0}, CostLow: cost / 2, CostHigh: 1.5 * cost}
	}
	list := []Improvement{at("unknown-dear", 0, 90, 900), at("dear", 90, 110, 1000), at("cheap", 9, 11, 20), at("unknown-cheap", 0, 90, 30)}
	byValueForCost(list)
	var got []string
	for _, i := range list {
		got = append(got, i.Code)
	}
	if want := []string{"cheap", "dear", "unknown-cheap", "unknown-dear"}; !slices.Equal(got, want) {
		t.Errorf("order %v, want %v", got, want)
	}
}

func TestANetAndWoolAreFeltByTheBirds(t *testing.T) {
	h := example(t, "forest")
	h.Place.PastureM2, h.Place.NettedM2 = 100, 0
	for m := range 12 {
		h.Place.PastureMonths[m] = true
	}
	for i := range h.Means.Houses {
		h.Means.Houses[i].Insulated, h.Means.Houses[i].Build = false, nil
	}
	felt := func(code string) map[string]Effect {
		for _, c := range placeChanges(h, quick) {
			if c.code == code {
				changed, o := h.Clone(), quick
				c.make(changed, &o)
				m := map[string]Effect{}
				for _, e := range effects(h, changed, false, false) {
					m[e.Code] = e
				}
				return m
			}
		}
		t.Fatalf("no change %q", code)
		return nil
	}
	if e := felt("netting")["hawk_losses"]; !(e.Before > 0 && e.After < 0.5*e.Before) {
		t.Errorf("a net over the whole range: of ten hens %.2f to hawks before, %.2f after", e.Before, e.After)
	}
	if e := felt("insulation")["comb_nights"]; !(e.Before > 1 && e.After < e.Before) {
		t.Errorf("wool in a cold house: %.1f nights for the comb before, %.1f after", e.Before, e.After)
	}
}

func TestAPlaceIsBetteredOnPaperOnly(t *testing.T) {
	p, h := planner(t), cottage(t)
	base := planOf(t, p, h, quick)
	before := h.Clone()
	list, err := Improve(t.Context(), p, h, base, quick, map[string]float64{"house": 300}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(list) < 3 {
		t.Fatalf("%d answers", len(list))
	}
	for _, i := range list {
		if i.Low < 0 || i.High < i.Low || i.CostLow < 0 || i.CostHigh < i.CostLow || i.CostText == "" || i.Text == "" {
			t.Errorf("%+v", i)
		}
		if i.Known != (i.YearsHigh > 0) {
			t.Errorf("%s: known %v, paid after %g to %g years", i.Code, i.Known, i.YearsLow, i.YearsHigh)
		}
		if i.Code == "house" && (i.Guessed || i.CostLow != 300 || i.CostHigh != 300) {
			t.Errorf("the keeper's own price was not taken: %+v", i)
		}
	}
	if !reflect.DeepEqual(h, before) {
		t.Error("the household itself was changed")
	}
}

func TestAHoldingWithoutHousesOrBirdsIsNoReasonToStop(t *testing.T) {
	h := &holding.Holding{}
	for _, c := range placeChanges(h, plan.Options{}) {
		changed, o := h.Clone(), plan.Options{}
		c.make(changed, &o)
		effects(h, changed, false, false)
	}
}

func TestEveryChangeOfAPlaceIsListedByItsCode(t *testing.T) {
	for _, name := range examples.List() {
		for _, c := range placeChanges(example(t, name), quick) {
			if !slices.Contains(PlaceCodes(), c.code) {
				t.Errorf("%s: %q is not listed", name, c.code)
			}
		}
	}
}

func TestLitterAndShadeAreAskedAboutOnceTheyAreTold(t *testing.T) {
	h := example(t, "plain")
	h.Means.ShadeM2, h.Means.NoShade = 0, false
	codes := func() (list []string) {
		for _, c := range placeChanges(h, quick) {
			list = append(list, c.code)
		}
		return list
	}
	if len(Untold(h)) != 2 || slices.Contains(codes(), "shade") || slices.Contains(codes(), "litter") {
		t.Errorf("untold: %v, changes %v", Untold(h), codes())
	}
	h.Means.NoShade, h.Means.Houses[0].LitterCM = true, 5
	if len(Untold(h)) != 0 || !slices.Contains(codes(), "shade") || !slices.Contains(codes(), "litter") {
		t.Errorf("told: %v, changes %v", Untold(h), codes())
	}
	for _, c := range placeChanges(h, quick) {
		if c.code != "shade" {
			continue
		}
		changed, o := h.Clone(), quick
		c.make(changed, &o)
		for _, e := range effects(h, changed, false, false) {
			if e.Code == "heat_days" && e.After < e.Before {
				return
			}
		}
	}
	t.Error("shade on a plain with none takes no day of heat strain away")
}

// What the plan that stands gains by a change is exact, lies within what the change
// may be worth, and gives the order where nothing else does.
func TestThePlanThatStandsIsHeldAgainstEachChange(t *testing.T) {
	p, h := planner(t), cottage(t)
	base := planOf(t, p, h, quick)
	list, err := Improve(t.Context(), p, h, base, quick, nil, nil)
	if err != nil || len(list) == 0 {
		t.Fatal(list, err)
	}
	for _, i := range list {
		if i.KeptText == "" {
			t.Errorf("%s: nothing is told of the plan that stands", i.Code)
		}
		if i.KeptKnown && i.Kept > i.High+2*blur(base) {
			t.Errorf("%s: the plan that stands gains %.2f, the best plans at most %.2f", i.Code, i.Kept, i.High)
		}
		if i.Code == "covered-run" && i.Kept < -blur(base) {
			t.Errorf("more run costs the plan that stands %.2f", -i.Kept)
		}
	}
	at := func(code string, high, kept, cost float64) Improvement {
		return Improvement{Worth: plan.Worth{Code: code, High: high}, Kept: kept, KeptKnown: true, CostLow: cost, CostHigh: cost}
	}
	order := []Improvement{at("feigned", 90, 0, 10), at("dear", 20, 10, 100), at("cheap", 20, 10, 50)}
	byValueForCost(order)
	if order[0].Code != "cheap" || order[2].Code != "feigned" {
		t.Errorf("%s, %s, %s", order[0].Code, order[1].Code, order[2].Code)
	}
}

func TestNotesStandWhereFiguresAreEasilyMisread(t *testing.T) {
	worse := []Effect{{Code: "damp_nights", Before: 200, After: 260}}
	for _, c := range []struct {
		code string
		felt []Effect
		want bool
	}{{"vents", nil, true}, {"vents", worse, false}, {"house", worse, true}, {"house", nil, false}, {"netting", nil, false}} {
		if got := note(c.code, c.felt); (got != "") != c.want {
			t.Errorf("%s: %q", c.code, got)
		}
	}
}
