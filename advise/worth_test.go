package advise

import (
	"context"
	"math"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"henyear/examples"
	"henyear/holding"
	"henyear/plan"
	"henyear/solve"
)

// planner opens the solver once for all tests of the package; without it they
// are skipped, but not where a build is checked.
func planner(t *testing.T) *plan.Planner {
	t.Helper()
	engine, err := solve.Open(t.Context(), solve.DefaultCacheDir())
	if err == solve.ErrNotBuilt && os.Getenv("HENYEAR_CI") != "1" {
		t.Skip("the solver is not in this build; run scripts/fetch-solver first")
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { engine.Close(context.WithoutCancel(t.Context())) })
	return plan.New(engine)
}

func example(t *testing.T, name string) *holding.Holding {
	t.Helper()
	text, err := examples.Get(name)
	if err != nil {
		t.Fatal(err)
	}
	h, _, err := holding.Read(text, name)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// cottage is a household that hatches nothing and buys meat chicks twice a year
// at most: a plan of it is proven in a fifth of a second.
func cottage(t *testing.T) *holding.Holding {
	h := example(t, "forest")
	h.Place.OffGrid = true
	h.Means.Lights = "none"
	h.Means.BroodyHens = false
	h.Means.MachineEggs = 0
	chicks := holding.Offer{Breed: "ranger-coloured", Strain: "production", Form: holding.Chicks, Price: 2.2, SmallestOrder: 10, LargestOrder: 20}
	chicks.Months[4], chicks.Months[5] = true, true
	h.Stock = []holding.Offer{chicks}
	return h
}

var quick = plan.Options{TimeLimit: 4 * time.Second}

func planOf(t *testing.T, p *plan.Planner, h *holding.Holding, opt plan.Options) *plan.Plan {
	t.Helper()
	base, err := p.Plan(t.Context(), h, opt, nil)
	if err != nil {
		t.Fatal(err)
	}
	return base
}

func TestMoreOfAnythingIsNeverWorthLessThanNothing(t *testing.T) {
	p, h := planner(t), cottage(t)
	base := planOf(t, p, h, quick)
	before := h.Clone()
	told := 0
	worth, err := Worth(t.Context(), p, h, base, quick, func(s plan.Step) {
		told++
		if s.Best != nil || !strings.HasPrefix(s.Stage, "worth of ") {
			t.Errorf("told of %q with a plan %v; a change is only a thought", s.Stage, s.Best != nil)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(worth) < 5 || told != len(worth) {
		t.Fatalf("%d answers, %d changes named", len(worth), told)
	}
	for i, w := range worth {
		if w.Low < 0 || w.High < w.Low || math.IsInf(w.High, 0) || math.IsNaN(w.High) {
			t.Errorf("%s: worth from %g to %g", w.What, w.Low, w.High)
		}
		if w.Known && w.Low == 0 {
			t.Errorf("%s: known, though it may be worth nothing", w.What)
		}
		if w.Text == "" || w.What == "" || w.Code == "" {
			t.Errorf("no words for %+v", w)
		}
		if i > 0 && w.Known && !worth[i-1].Known {
			t.Errorf("%s is known and stands behind %s, which is not", w.What, worth[i-1].What)
		}
	}
	if !reflect.DeepEqual(h, before) {
		t.Error("the household itself was changed")
	}
}

// What can be done within tight limits can be done within loose ones: the best
// plan known for the household must not lie under the bound of the looser one,
// or one of the two is wrong.
func TestABoundOfLooserLimitsHoldsForTheTighterOnes(t *testing.T) {
	p, h := planner(t), cottage(t)
	h.Needs.EggSales = []holding.EggSale{{DozensPerWeek: 1, PricePerDozen: 3, Promised: true}}
	for m := range 12 {
		h.Needs.EggSales[0].Months[m] = true
	}
	base := planOf(t, p, h, quick)
	loosening := 0
	for _, c := range changes(h, quick) {
		if !c.loosens {
			continue
		}
		loosening++
		changed, opt := h.Clone(), quick
		opt.Start = base.Point
		c.make(changed, &opt)
		with := planOf(t, p, changed, opt)
		if with.Bound > base.Cost+blur(base) {
			t.Errorf("%s: no plan under %.2f, yet there is one for %.2f without it", c.what, with.Bound, base.Cost)
		}
	}
	if loosening < 5 {
		t.Errorf("only %d changes loosen a limit", loosening)
	}
}

// Six birds more in each of three years, each of which counts three times the
// shop's price of 1.6 kg, less what chicks and feed cost.
func TestAHouseholdShortOfButcherDaysIsToldWhatOneMoreIsWorth(t *testing.T) {
	p, h := planner(t), cottage(t)
	h.Means.ButcherDaysAYear, h.Means.ButcherBirdsADay, h.Stock[0].SmallestOrder = 1, 6, 6
	base := planOf(t, p, h, quick)
	answers, err := weigh(t.Context(), p, h, base, quick, only(h, "butcher-day"), nil)
	if err != nil {
		t.Fatal(err)
	}
	worth := tell(base, answers)
	w := worth[0]
	most := 3.0 * 6 * 3 * 1.6 * h.Prices.ShopChickenPerKg
	if !w.Known || w.Low > most || w.Low < most/2 {
		t.Errorf("worth from %.0f to %.0f (%s); eighteen birds more are missed at %.0f", w.Low, w.High, w.Text, most)
	}
}

func TestAHenSureToSitIsWorthMostWhereThereIsNoMachine(t *testing.T) {
	p, h := planner(t), cottage(t)
	h.Means.BroodyHens, h.Stock = true, nil
	base := planOf(t, p, h, quick)
	answers, err := weigh(t.Context(), p, h, base, quick, only(h, "broody"), nil)
	if err != nil {
		t.Fatal(err)
	}
	worth := tell(base, answers)
	if w := worth[0]; !w.Known || !strings.Contains(w.Text, "her feed is not") {
		t.Errorf("%.0f to %.0f: %s", w.Low, w.High, w.Text)
	}
}

func TestWhoStopsTheReckoningKeepsWhatIsDone(t *testing.T) {
	p, h := planner(t), cottage(t)
	base := planOf(t, p, h, quick)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	named := 0
	began := time.Now()
	worth, err := Worth(ctx, p, h, base, quick, func(plan.Step) {
		if named++; named == 3 {
			cancel()
		}
	})
	if err != nil || len(worth) != 2 || named != 3 {
		t.Errorf("%d answers of %d changes begun, error %v; want the two that were done", len(worth), named, err)
	}
	if late := time.Since(began); late > 10*time.Second {
		t.Errorf("stopping took %v", late)
	}
	cancel()
	if worth, err := Worth(ctx, p, h, base, quick, nil); len(worth) != 0 || err != nil {
		t.Errorf("stopped before the first: %v, %v", worth, err)
	}
}

func TestWithoutAPlanThereIsNothingToCompare(t *testing.T) {
	if _, err := Worth(t.Context(), nil, cottage(t), nil, quick, nil); err == nil {
		t.Error("no word that the plan is missing")
	}
}

func TestAChangeTakesHalfThePlansTimeOrWork(t *testing.T) {
	for _, c := range []struct{ given, want plan.Options }{
		{plan.Options{}, plan.Options{TimeLimit: longest}},
		{plan.Options{TimeLimit: time.Hour}, plan.Options{TimeLimit: longest}},
		{plan.Options{TimeLimit: 4 * time.Second}, plan.Options{TimeLimit: 2 * time.Second}},
		{plan.Options{TimeLimit: 4 * time.Second, Nodes: 9}, plan.Options{TimeLimit: 2 * time.Second, Nodes: 4}},
		{plan.Options{TimeLimit: 4 * time.Second, Nodes: 1}, plan.Options{TimeLimit: 2 * time.Second, Nodes: 1}},
	} {
		if got := shorter(c.given); got.TimeLimit != c.want.TimeLimit || got.Nodes != c.want.Nodes {
			t.Errorf("of %v and %d nodes a change gets %v and %d", c.given.TimeLimit, c.given.Nodes, got.TimeLimit, got.Nodes)
		}
	}
}

// only is the one change of that code.
func only(h *holding.Holding, code string) []change {
	return slices.DeleteFunc(changes(h, quick), func(c change) bool { return c.code != code })
}
