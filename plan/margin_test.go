package plan

import (
	"math"
	"strings"
	"testing"
	"time"

	"henyear/holding"
	"henyear/solve"
)

// henBuyers have six hens and may buy pullets at point of lay in any autumn: a
// plan of theirs is soon proven.
func henBuyers(t testing.TB) *holding.Holding {
	h := cottage(t)
	h.Needs.TableBirds = 0
	h.Stock = []holding.Offer{offer("red-sex-link", holding.StartedPullet, 17, time.September)}
	return h
}

func withMargin(k float64) Options {
	return Options{TimeLimit: 1500 * time.Millisecond, Gap: 0.01, Margin: Margin{Eggs: k}}
}

// winterEggs is the mean week from November to January.
func winterEggs(p *Plan) float64 {
	sum, n := 0.0, 0.0
	for _, w := range p.Weeks {
		if m := w.Date.Month; m >= 11 || m == 1 {
			sum += w.EggsExpected
			n++
		}
	}
	return sum / n
}

func TestAPlainPlanHoldsNoTraceOfAMargin(t *testing.T) {
	h := example(t, "valley")
	text := mpsText(t, over(t, h, Options{}, 60).m)
	for _, word := range []string{"behind_", "dared_", "margin_"} {
		if strings.Contains(text, word) {
			t.Errorf("the programme of the plain plan speaks of %s", word)
		}
	}
	spread := []float64{0.3, 0.3, 0.3}
	if mpsText(t, over(t, h, Options{Margin: Margin{Spread: spread}}, 60).m) != text {
		t.Error("a spread without a margin changes the programme")
	}
	p := planned(t, cottage(t), quick).plan
	if p.Margin != (MarginUse{}) {
		t.Errorf("a plain plan reports a margin: %+v", p.Margin)
	}
}

// Weeks of one period are good or poor together: four weeks of 10 eggs with a
// spread of a fifth make 8 eggs, two margins of which are 16.
func TestTheMarginOfAPeriodWorkedByHand(t *testing.T) {
	h := cottage(t)
	h.Needs.Eggs = []holding.EggNeed{{Months: allYear, PerWeek: 10}}
	spread := make([]float64, 60)
	for i := range spread {
		spread[i] = 0.2
	}
	pr := over(t, h, Options{Margin: Margin{Eggs: 2, Spread: spread}}, 40)
	for p, per := range pr.g.periods {
		want := 2 * 0.2 * 10 * float64(per.weeks)
		if got := pr.use[p].margin.aimed; !near(got, want, 1e-9) {
			t.Errorf("period %d of %d weeks aims at %g eggs more, want %g", p, per.weeks, got, want)
		}
	}
}

func TestAShortFlockIsLessSureForItsSizeThanALargeOne(t *testing.T) {
	pr := over(t, cottage(t), Options{Margin: Margin{Eggs: 1}}, 40)
	few, many := pr.ownSpread(0, 5), pr.ownSpread(0, 500)
	if !(few > many) || many < sharedYearCV {
		t.Errorf("spread %.2f of 5 eggs, %.2f of 500; a year's luck alone is %.2f", few, many, sharedYearCV)
	}
}

func TestAGreaterMarginNeverCostsTheProgrammeLess(t *testing.T) {
	s := session(t)
	for _, name := range []string{"valley", "plain"} {
		before := math.Inf(-1)
		for _, k := range []float64{-1, 0, 0.5, 1, 2, 4} {
			cost := relaxed(t, s, over(t, example(t, name), Options{Margin: Margin{Eggs: k}}, 110))
			if cost < before-1e-6*math.Abs(before) {
				t.Errorf("%s: margin %g costs %.2f, the smaller one %.2f", name, k, cost, before)
			}
			before = cost
		}
	}
}

func TestMoreMarginMeansMoreWinterEggsAndABolderPlanFewer(t *testing.T) {
	h := henBuyers(t)
	before := -1.0
	for _, k := range []float64{-1, 0, 1, 3} {
		p := planned(t, h, withMargin(k)).plan
		eggs := winterEggs(p)
		t.Logf("margin %g: %.1f eggs a week in winter, cost %.0f, %s in %.1f s", k, eggs, p.Cost, p.Status, p.SolveSeconds)
		if eggs < before-0.3 {
			t.Errorf("margin %g gives %.1f eggs a week in winter, the smaller one %.1f", k, eggs, before)
		}
		before = eggs
	}
}

// What a plan costs is what the same birds would cost in the plain programme.
func TestTheCostOfASafePlanIsThatOfTheTrueNeed(t *testing.T) {
	h := henBuyers(t)
	for _, k := range []float64{-1, 2} {
		p := planned(t, h, withMargin(k)).plan
		plain, err := planner(t).build(h, Options{}, p.Lights)
		if err != nil {
			t.Fatal(err)
		}
		x := make([]float64, plain.model.Columns())
		for c := range x {
			x[c] = p.Point[plain.model.ColName(solve.Col(c))]
		}
		for q := range plain.pr.use { // eggs that a bold plan did not count are short
			x[plain.pr.use[q].short] += p.Point[strings.Replace(plain.model.ColName(plain.pr.use[q].short), "short", "dared", 1)]
		}
		if err := plain.model.Check(x, 1e-4); err != nil {
			t.Errorf("margin %g: the plan is none of the plain programme: %v", k, err)
		}
		if cost := plain.model.Objective(x); !near(cost, p.Cost, 0.01) {
			t.Errorf("margin %g: the plan says it costs %.2f, the plain programme %.2f", k, p.Cost, cost)
		}
		if p.Bound > p.Cost+1e-6 || p.Gap < 0 {
			t.Errorf("margin %g: bound %.2f above cost %.2f", k, p.Bound, p.Cost)
		}
	}
}

// Who can get no birds gains nothing by wishing for more eggs: bought eggs are no
// margin.
func TestEggsFromTheShopAreNoMargin(t *testing.T) {
	h := cottage(t)
	plain := planned(t, h, Options{TimeLimit: 2 * time.Second}).plan
	safe := planned(t, h, withMargin(2)).plan
	bought := func(p *Plan) float64 {
		n := 0.0
		for _, w := range p.Weeks {
			n += w.EggsBought
		}
		return n
	}
	if bought(safe) > bought(plain)+0.5 {
		t.Errorf("with a margin %.0f eggs are bought, without %.0f", bought(safe), bought(plain))
	}
	if safe.Margin.Behind <= 0 || safe.Margin.Aimed <= 0 {
		t.Errorf("a household without stock is not behind its margin: %+v", safe.Margin)
	}
}

func TestTheHatchMarginRearsMorePulletsForEachThatJoins(t *testing.T) {
	h := cottage(t)
	h.Stock = []holding.Offer{offer("sussex", holding.Chicks, 4, time.April)}
	for _, more := range []float64{0, 0.5} {
		pr := over(t, h, Options{Margin: Margin{Hatch: more}}, 60)
		for i, s := range pr.slots {
			if s.from != boughtChicks || len(pr.cols[i].layers) == 0 {
				continue
			}
			// As many join as ever may: the row that bounds them, for one chick bought.
			x := make([]float64, pr.m.Columns())
			x[pr.cols[i].units] = 1
			room := 0.0
			for r, a := range pr.m.Activity(x) {
				if pr.m.RowName(solve.Row(r)) == "choose_"+s.id {
					room = -a
				}
			}
			if want := s.unitHens / 1.3 / (1 + more); !near(room, want, 1e-5) {
				t.Errorf("margin %g: of a chick %.3f may join, want %.3f", more, room, want)
			}
		}
	}
}
