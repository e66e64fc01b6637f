package plan

import (
	"context"
	"encoding/json"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"

	"henyear/breed"
	"henyear/holding"
	"henyear/measure"
	"henyear/source"
)

// The comparison for the forest village, where frost, heat and hawks all tell.
var compared = sync.OnceValues(func() ([]BreedYear, error) {
	e, err := openEngine()
	if err != nil {
		return nil, err
	}
	return New(e).Breeds(context.Background(), must(readExample("forest")), Options{}, nil)
})

func forestBreeds(t *testing.T) map[string]*BreedYear {
	t.Helper()
	planner(t)
	list, err := compared()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]*BreedYear{}
	for i := range list {
		if out[list[i].ID] != nil {
			t.Errorf("%s is compared twice", list[i].ID)
		}
		out[list[i].ID] = &list[i]
	}
	return out
}

func TestEveryBreedOfTheCatalogueIsComparedInItsOrder(t *testing.T) {
	planner(t)
	list, err := compared()
	if err != nil {
		t.Fatal(err)
	}
	for i, b := range breed.All() {
		if list[i].ID != b.ID {
			t.Fatalf("place %d has %s, the catalogue %s", i, list[i].ID, b.ID)
		}
	}
	rest := list[len(breed.All()):]
	pair := slices.IndexFunc(rest, func(y BreedYear) bool { return y.Purpose == "pair" })
	if pair < 1 {
		t.Fatal("no first crosses, or no pairs")
	}
	for i, y := range rest {
		if (y.Purpose == "pair") != (i >= pair) || (y.Purpose == "pair") != strings.Contains(y.ID, "+") {
			t.Errorf("%s stands in the wrong place", y.ID)
		}
	}
}

func TestEveryFigureOfTheComparisonIsPossible(t *testing.T) {
	h := example(t, "forest")
	need := 0.0
	for slot := range measure.SlotsPerYear {
		need += h.Needs.EggsPerWeek(int(measure.SlotMonth(slot)))
	}
	for id, y := range forestBreeds(t) {
		if _, err := json.Marshal(y); err != nil {
			t.Errorf("%s: %v", id, err)
		}
		for what, x := range map[string]float64{"eggs": y.EggsPerHen, "meat": y.DressedKg, "birds": y.TableBirds, "hens": y.Hens, "cocks": y.Cocks,
			"hatched": y.Hatched, "bought": y.Bought, "feed": y.FeedKg, "cash": y.CashCost, "short": y.EggsShort, "meat short": y.MeatShort,
			"minutes": y.MinutesAWeek, "comb": y.CombNights, "heat": y.HeatDays, "raids": y.LostRaids, "spells": y.OwnSpells, "loss": y.RoundingLoss} {
			if !(x >= -1e-6) || math.IsInf(x, 1) {
				t.Errorf("%s: %s is %g", id, what, x)
			}
		}
		if y.EggsPerHen > 340 || y.CombNights > 366 || y.HeatDays > 366 || y.EggsShort > need+1 || y.MeatShort > h.Needs.TableBirds+1e-6 {
			t.Errorf("%s: %.0f eggs a hen, %.0f comb nights, %.0f heat days, %.0f eggs and %.1f birds short", id, y.EggsPerHen, y.CombNights, y.HeatDays, y.EggsShort, y.MeatShort)
		}
		low, high := slices.Min(y.MonthlyEggs[:]), slices.Max(y.MonthlyEggs[:])
		if !near(y.LeanestEggs, low, 1e-9) || !near(y.BestEggs, high, 1e-9) {
			t.Errorf("%s: months from %.2f to %.2f, told %.2f and %.2f", id, low, high, y.LeanestEggs, y.BestEggs)
		}
		if y.Hens > 0.2 && !near(total(y.MonthlyEggs[:])/12*measure.SlotsPerYear, y.EggsPerHen*y.Hens, 0.08*y.EggsPerHen*y.Hens) { // months hold four slots or five
			t.Errorf("%s: %.0f eggs by months, %.0f by hens", id, total(y.MonthlyEggs[:])/12*measure.SlotsPerYear, y.EggsPerHen*y.Hens)
		}
	}
}

func TestABreedIsDominatedOnlyByOneThatIsNoWorseInAnything(t *testing.T) {
	all := forestBreeds(t)
	figures := func(y *BreedYear) []float64 {
		return []float64{y.LeanestEggs, y.DressedKg, -y.Cost, -y.MinutesAWeek, -y.CombNights, -y.HeatDays}
	}
	beats := func(b, a *BreedYear) bool {
		better := false
		for k, x := range figures(b) {
			y := figures(a)[k]
			if x < y-1e-9 {
				return false
			}
			better = better || x > y+max(0.02*math.Abs(y), 0.5)
		}
		return better
	}
	some := 0
	for id, a := range all {
		beaten := false
		for _, b := range all {
			beaten = beaten || b != a && beats(b, a)
		}
		if a.Undominated == beaten && (a.Hens > 0.5 || a.TableBirds > 0.5) {
			t.Errorf("%s: undominated %v, beaten %v", id, a.Undominated, beaten)
		}
		if a.Undominated {
			some++
		}
	}
	if some < 3 || some > len(all)/2 {
		t.Errorf("%d of %d breeds are undominated", some, len(all))
	}
}

func TestBreedsDifferAsKeepersKnow(t *testing.T) {
	y := forestBreeds(t)
	for _, c := range []struct {
		what       string
		more, less float64
	}{
		{"nights that threaten a large single comb, against a rose comb", y["leghorn"].CombNights, y["wyandotte"].CombNights + 10},
		{"eggs of a brown hybrid, against a Brahma", y["isa-brown"].EggsPerHen, 2 * y["brahma"].EggsPerHen},
		{"eggs of an Australorp, against a Brahma", y["australorp"].EggsPerHen, y["brahma"].EggsPerHen},
		{"a cockerel of Brahma, against one of Leghorn", y["brahma"].DressedKg / y["brahma"].TableBirds, y["leghorn"].DressedKg / y["leghorn"].TableBirds},
		{"meat missing with Leghorns, against Wyandottes", y["leghorn"].MeatShort, y["wyandotte"].MeatShort},
		{"eggs missing with meat birds alone, against layers", y["cornish-cross"].EggsShort, y["isa-brown"].EggsShort + 500},
		{"hens going broody, Silkies against Leghorns", y["silkie"].OwnSpells, y["leghorn"].OwnSpells},
	} {
		if !(c.more > c.less) {
			t.Errorf("%s: %.1f is not above %.1f", c.what, c.more, c.less)
		}
	}
	for _, id := range []string{"wyandotte", "sussex", "australorp"} {
		if y[id].Hatched < 4 || y[id].Cocks < 1.5 {
			t.Errorf("%s: %.1f chicks hatched, %.1f cocks: it should renew itself with a spare", id, y[id].Hatched, y[id].Cocks)
		}
	}
	for _, id := range []string{"isa-brown", "cornish-cross"} {
		if y[id].Hatched > 0 || y[id].RenewsItself || y[id].Bought < 1 {
			t.Errorf("%s: %.1f hatched, %.1f bought: a cross does not breed true", id, y[id].Hatched, y[id].Bought)
		}
	}
}

func TestEveryVerdictHasItsReasonsAndTheirSources(t *testing.T) {
	for id, y := range forestBreeds(t) {
		if y.Verdict.Text == "" || y.Verdict.Code == "" {
			t.Errorf("%s has no verdict", id)
		}
		for _, r := range append(y.Reasons, y.Verdict) {
			if _, known := source.Lookup(r.Source); r.Source != "" && !known {
				t.Errorf("%s: %q rests on %s, which the bibliography lacks", id, r.Text, r.Source)
			}
		}
	}
}

func TestWholeBirdsNeverCostLessThanFractions(t *testing.T) {
	h := example(t, "valley")
	s := session(t)
	for _, id := range []string{"sussex", "brahma", "isa-brown"} {
		b := must(breed.Find(id))
		stocks := []stock{{b, strainFor(h, b)}}
		a, cost, _, err := steadyAnswer(t.Context(), s, alone(h, stocks, canRenew(h, b)), Options{}, false, stocks)
		if err != nil {
			t.Fatal(err)
		}
		loss, err := a.roundingLoss(t.Context(), s, cost)
		if err != nil || loss < 0 || loss > 0.15*cost {
			t.Errorf("%s: whole birds cost %.2f more than %.2f (%v)", id, loss, cost, err)
		}
		if err := a.pr.m.Check(a.x, 1e-5); err != nil {
			t.Errorf("%s: %v", id, err)
		}
	}
}

// What hatches in a year that repeats itself leaves in it.
func TestInASteadyYearAsManyBirdsLeaveAsCome(t *testing.T) {
	h := example(t, "valley")
	b := must(breed.Find("sussex"))
	stocks := []stock{{b, strainFor(h, b)}}
	a, _, _, err := steadyAnswer(t.Context(), session(t), alone(h, stocks, true), Options{}, false, stocks)
	if err != nil {
		t.Fatal(err)
	}
	came, died := 0.0, 0.0
	for i, s := range a.pr.slots {
		x := a.x[a.pr.cols[i].units]
		came += x * (s.unitHens + s.unitCocks)
	}
	for _, w := range a.weekly() {
		died += w.lostRaids + w.lostOther
	}
	eaten, _ := a.tableBirds()
	if left := died + total(eaten); !near(came, left, 0.06*came) {
		t.Errorf("%.1f birds hatch in a year, %.1f die or are eaten", came, left)
	}
}

func TestBreedsThatNoKeeperCanGetAreComparedAndNotPlanned(t *testing.T) {
	y := forestBreeds(t)
	h := example(t, "forest")
	for id, b := range y {
		offered := slices.ContainsFunc(h.Stock, func(o holding.Offer) bool { return o.Breed == id }) ||
			slices.ContainsFunc(h.Birds, func(g holding.Group) bool { return g.Breed == id })
		if b.Purpose != "pair" && b.Available != offered {
			t.Errorf("%s: available %v, offered %v", id, b.Available, offered)
		}
	}
	for _, l := range must(plans()) {
		for _, b := range l.plan.Batches {
			if !slices.ContainsFunc(l.h.Stock, func(o holding.Offer) bool { return o.Breed == b.Breed }) &&
				!slices.ContainsFunc(l.h.Birds, func(g holding.Group) bool { return g.Breed == b.Breed }) {
				t.Errorf("%s plans %s, which cannot be had", l.name, b.Breed)
			}
		}
	}
}
