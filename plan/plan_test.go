package plan

import (
	"math"
	"strings"
	"testing"

	"henyear/bird"
	"henyear/breed"
	"henyear/holding"
	"henyear/measure"
	"henyear/solve"
)

func TestEveryPlanKeepsEveryRowOfItsProgramme(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		m := l.a.pr.m
		if err := m.Check(l.a.x, 1e-5); err != nil {
			t.Error(err)
		}
		if have := m.Objective(l.a.x); !alike(have, l.plan.Cost) {
			t.Errorf("the answer costs %.4f, the plan says %.4f", have, l.plan.Cost)
		}
	})
}

func TestGapIsWhatMightStillBeSavedOverWhatIsPaid(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		p, m := l.plan, l.a.pr.m
		if p.Cost < p.Bound-1e-6 {
			t.Errorf("costs %.4f, less than the bound %.4f", p.Cost, p.Bound)
		}
		gross := 0.0
		for c, x := range l.a.x {
			gross += max(0, m.Cost(solve.Col(c))*x)
		}
		if !alike(p.GrossOutlay, gross) {
			t.Errorf("gross outlay %.4f, the columns that cost sum to %.4f", p.GrossOutlay, gross)
		}
		if want := (p.Cost - p.Bound) / gross; !near(p.Gap, want, 1e-6) {
			t.Errorf("gap %.6f, by its definition %.6f", p.Gap, want)
		}
		if p.Status == "within gap" && p.Gap > 0.02 { // 1 %, before eggs and birds are made whole
			t.Errorf("within the gap, at %.4f", p.Gap)
		}
	})
}

func TestEveryColumnHasANameOfItsOwn(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		seen := map[string]bool{}
		m := l.a.pr.m
		for c := range m.Columns() {
			name := m.ColName(solve.Col(c))
			if seen[name] {
				t.Errorf("two columns are called %s: a former plan cannot be read back", name)
			}
			seen[name] = true
		}
	})
}

// ageAt is the age in whole weeks on the day of a fate.
func ageAt(b Batch, on measure.Date) int { return on.DaysSince(b.Hatched) / 7 }

func TestNoFateComesBeforeItsAge(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		for _, b := range l.plan.Batches {
			kind, err := breed.Find(b.Breed)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range b.Fates {
				age, least := ageAt(b, f.On), 0
				switch {
				case f.What == "table" && kind.Purpose == breed.Meat:
					least = int(kind.ButcherWeeksLow)
				case f.What == "table" && isCock(f):
					least = 14
				case f.What == "table", f.What == "layer", f.What == "sold as started pullet", f.What == "breeding cock":
					least = joinWeeks
				case f.What == "culled for the pot", f.What == "sold as spent hen":
					least = joinWeeks
				case f.What == "sold as cockerel", f.What == "given":
					least = partWeeks
				}
				if age < least {
					t.Errorf("%s: %s at %d weeks, not before %d", b.ID, f.What, age, least)
				}
				if f.Birds < 0 || f.DressedKg < 0 || f.DressedKg > 6 {
					t.Errorf("%s: %g birds of %g kg", b.ID, f.Birds, f.DressedKg)
				}
			}
		}
	})
}

func TestFastMeatBirdsNeverLiveBeyondTenWeeks(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		for _, b := range l.plan.Batches {
			kind, _ := breed.Find(b.Breed)
			if kind.GrowthClass != "fast meat" {
				continue
			}
			for _, f := range b.Fates {
				if age := ageAt(b, f.On); age > 10 || f.What == "layer" || f.What == "breeding cock" {
					t.Errorf("%s: %s at %d weeks", b.ID, f.What, age)
				}
			}
			if !b.FirstEgg.IsZero() {
				t.Errorf("%s is expected to lay on %s", b.ID, b.FirstEgg)
			}
		}
	})
}

func TestLayerFeedBeginsAtEighteenWeeks(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		hatched := map[string]measure.Date{}
		for _, b := range l.plan.Batches {
			hatched[b.ID] = b.Hatched
		}
		moves := 0
		for _, k := range l.plan.Tasks {
			if k.Kind != "move" {
				continue
			}
			moves++
			if age := k.On.DaysSince(hatched[k.Batch]) / 7; age < 18 {
				t.Errorf("%s: pullets join the layers at %d weeks", k.Batch, age)
			}
		}
		for _, h := range l.a.heads() {
			if h.role == "layer" && h.from-h.s.hatch < 18 {
				t.Errorf("%s: a layer at %d weeks", h.s.id, h.from-h.s.hatch)
			}
		}
	})
}

func TestCocksAreWholeAndASpareIsKept(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		pr := l.a.pr
		for i, s := range pr.slots {
			for _, st := range pr.cols[i].cocks {
				if x := l.a.x[st.col]; !near(x, math.Round(x), 1e-6) {
					t.Errorf("%s: %g cocks from week %d", s.id, x, st.from)
				}
			}
		}
		for _, b := range l.plan.Batches {
			if !strings.HasPrefix(b.Source, "own") {
				continue
			}
			cocks := 0.0
			for i, s := range pr.slots {
				for _, st := range pr.cols[i].cocks {
					set := l.week(b.Set)
					if s.breed.ID == b.Breed && set >= st.from && set < st.to && set-s.hatch >= breedCockWeeks {
						cocks += l.a.x[st.col]
					}
				}
			}
			if want := float64(1 + l.h.Means.SpareCocks); cocks < min(want, pr.cocksOnHand())-1e-6 || b.Set.Year > pr.years[0] && cocks < want-1e-6 {
				t.Errorf("%s: %g cocks when its eggs are set", b.ID, cocks)
			}
		}
	})
}

func TestPensAreNeverUsedTwice(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		pens := l.a.pr.penCount()
		for _, w := range l.plan.Weeks {
			who := map[string]string{}
			for _, u := range w.Pens {
				if other, taken := who[u.Pen]; taken {
					t.Errorf("%s: %s and %s in pen %s", w.Week, other, u.Who, u.Pen)
				}
				who[u.Pen] = u.Who
			}
			if len(who) > pens {
				t.Errorf("%s: %d pens used, there are %d", w.Week, len(who), pens)
			}
		}
	})
}

func TestFreezerIsNeverOverfull(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		// The programme looks at the fullest moment of a period; a cull at its
		// beginning may stand above that for a week by half of what is eaten in it.
		slack := freezerLPerKg * l.a.pr.tableKgPerYear() / measure.SlotsPerYear * 4
		for _, w := range l.plan.Weeks {
			if w.FreezerL > l.h.Means.FreezerL+slack {
				t.Errorf("%s: %.1f l in a freezer of %.0f l", w.Week, w.FreezerL, l.h.Means.FreezerL)
			}
		}
	})
}

func TestNothingHatchesAndNothingIsButcheredWhileTheFamilyIsAway(t *testing.T) {
	eachPlan(t, checkAway)
}

func checkAway(t *testing.T, l lived) {
	t.Helper()
	away := func(d measure.Date) bool {
		for _, a := range l.h.Means.Away {
			if !d.Before(a.From) && !a.To.Before(d) {
				return true
			}
		}
		return false
	}
	for _, b := range l.plan.Batches {
		if b.Source == "on hand" || b.Source == "started pullets" || b.Source == "cock" {
			continue
		}
		for day := range 21 {
			if away(b.Hatched.AddDays(day)) {
				t.Errorf("%s: chicks of %d days while nobody is at home", b.ID, day)
				break
			}
		}
	}
	for _, k := range l.plan.Tasks {
		if away(k.On) && (k.Kind == "butcher" || k.Kind == "buy" || k.Kind == "cull" || k.Kind == "move") {
			t.Errorf("%s on %s, when nobody is at home: %s", k.Kind, k.On, k.Text)
		}
	}
}

// The identity of a keeper's yearly account: opening + hatched + bought = closing
// + died + eaten + sold + given.
func TestTheYearlyAccountOfBirdsCloses(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		pr := l.a.pr
		came, left := make([]float64, pr.g.weeks+1), make([]float64, pr.g.weeks+1)
		for _, b := range l.plan.Batches {
			arrive := l.week(b.Hatched)
			switch b.Source {
			case "on hand":
				arrive = 0
			case "started pullets":
				arrive += startedWeeks
			case "cock":
				arrive += grownCockWeeks
			}
			came[arrive] += b.Chicks
			for _, f := range b.Fates {
				if f.What != "layer" && f.What != "breeding cock" && f.What != "kept to the end" {
					left[l.week(f.On)] += f.Birds
				}
			}
		}
		alivePerWeek := make([]float64, pr.g.weeks+1) // at the beginning of the week
		for _, h := range l.a.heads() {
			for w := max(0, h.from); w <= min(h.to, pr.g.weeks); w++ {
				if w < h.to || w == pr.g.weeks {
					alivePerWeek[w] += h.started * alive(h.course(), w-h.s.hatch)
				}
			}
		}
		weeks := l.a.weekly()
		account, slack := 0.0, 0.0
		for w := range alivePerWeek {
			account += came[w] - left[w]
			if !near(account, alivePerWeek[w], 0.4+slack) {
				t.Fatalf("week %d: the account says %.2f birds, %.2f live", w, account, alivePerWeek[w])
			}
			if w < len(weeks) {
				account -= weeks[w].lostRaids + weeks[w].lostOther
			}
		}
	})
}

// Laid = eaten, sold, set, frozen, spoilt, or still in the larder, which never
// holds more than five weeks' eggs.
func TestTheAccountOfEggsClosesEachWeek(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		larder := 0.0
		rows := l.plan.Weeks
		flow := l.a.flow(l.a.weekly())
		for i, w := range rows {
			eaten := w.EggsNeeded - w.EggsBought - flow[i].thawed
			larder += w.EggsExpected - w.EggsSet - eaten - w.EggsSold - w.EggsFrozen - w.EggsSpare
			most := 0.0
			for k := max(0, i-4); k <= i; k++ {
				most += rows[k].EggsExpected
			}
			if larder < -1e-6 || larder > most+1e-6 {
				t.Fatalf("%s: %.2f eggs in the larder, %.2f laid in five weeks", w.Week, larder, most)
			}
			if eaten < -1e-6 || w.EggsFromStore > eaten+1e-6+w.EggsSold {
				t.Errorf("%s: %.2f eggs eaten, %.2f of them from the larder", w.Week, eaten, w.EggsFromStore)
			}
		}
	})
}

// Eggs for setting are those of the week before, fit ones only.
func TestNoMoreEggsAreSetThanAreLaidFitForIt(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		weeks := l.a.weekly()
		for i, n := range l.a.eggsSet() {
			if n > 0.5 && (i == 0 || n > fitShare*weeks[i-1].eggs/(1-l.h.Means.EggLoss)+1e-3) {
				t.Errorf("%s: %.0f eggs set, %.0f laid the week before", l.plan.Weeks[i].Week, n, weeks[max(0, i-1)].eggs)
			}
		}
	})
}

func TestSettingsAndOrdersAreWhole(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		for i, s := range l.a.pr.slots {
			if x := l.a.x[l.a.pr.cols[i].units]; !near(x, math.Round(x), 1e-4) {
				t.Errorf("%s: %g of them", s.id, x)
			}
		}
	})
}

func TestBatchesStayWithinMachineHenAndOrder(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		machine := make([]float64, l.a.pr.g.weeks)
		for i, s := range l.a.pr.slots {
			x := l.a.x[l.a.pr.cols[i].units]
			if s.from == onHand || x < 1e-6 {
				continue
			}
			if x < s.least-1e-4 || x > s.most+1e-4 {
				t.Errorf("%s: %g, allowed %g to %g", s.id, x, s.least, s.most)
			}
			if s.from.inMachine() {
				for w := s.set; w < s.hatch; w++ {
					machine[w] += x
				}
			}
		}
		for w, n := range machine {
			if n > float64(l.h.Means.MachineEggs)+1e-3 {
				t.Errorf("%s: %.1f eggs in the machine", l.plan.Weeks[w].Week, n)
			}
		}
	})
}

// A figure that no flock can have is a fault of arithmetic.
func TestEveryFigureOfAPlanIsPossible(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		for _, w := range l.plan.Weeks {
			for what, x := range map[string]float64{"eggs": w.EggsExpected, "low": w.EggsLow, "sold": w.EggsSold, "set": w.EggsSet,
				"bought": w.EggsBought, "birds": w.Birds, "hens": w.Hens, "pullets": w.Pullets, "cocks": w.Cocks, "chicks": w.Chicks,
				"growers": w.Growers, "in lay": w.InLay, "moulting": w.Moulting, "feed": w.FeedKg, "freezer": w.FreezerL, "minutes": w.MinutesADay, "water": w.WaterL} {
				if !(x >= -1e-9) || math.IsInf(x, 1) {
					t.Errorf("%s: %s is %g", w.Week, what, x)
				}
			}
			if w.EggsLow > w.EggsExpected || w.EggsHigh < w.EggsExpected {
				t.Errorf("%s: %g eggs, between %g and %g", w.Week, w.EggsExpected, w.EggsLow, w.EggsHigh)
			}
			if sum := w.Hens + w.Cocks + w.Chicks + w.Growers; !near(sum, w.Birds, 0.01) {
				t.Errorf("%s: %.2f birds, by kind %.2f", w.Week, w.Birds, sum)
			}
			if w.Hens > 1 && (w.EggsExpected > 7*w.Hens || w.InLay+w.Moulting > w.Hens+0.01 || w.Pullets > w.Hens+0.01) {
				t.Errorf("%s: %.1f hens, %.1f pullets, %.1f in lay, %.1f moulting, %.1f eggs", w.Week, w.Hens, w.Pullets, w.InLay, w.Moulting, w.EggsExpected)
			}
			if w.Birds > 1 && (w.FeedKg/w.Birds < 0.05 || w.FeedKg/w.Birds > 1.6) {
				t.Errorf("%s: %.2f kg of feed for %.1f birds", w.Week, w.FeedKg, w.Birds)
			}
		}
	})
}

func TestPulletsOfTheFlockAreHensInTheirFirstLayingYear(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		first := l.plan.Weeks[0]
		pullets := 0.0
		for _, g := range l.h.Birds {
			if age := l.plan.From.DaysSince(g.Hatched) / 7; g.Sex == bird.Hen && age <= firstYearWeeks {
				pullets += float64(g.Number)
			}
		}
		if !near(first.Pullets, pullets, 0.2) {
			t.Errorf("%.1f pullets in the first week, %g on hand", first.Pullets, pullets)
		}
	})
}

func TestYearsSumTheWeeks(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		var weeks, years struct{ eggs, feed, birds, money float64 }
		for _, w := range l.plan.Weeks {
			weeks.eggs += w.EggsExpected
			weeks.feed += w.FeedKg
			weeks.birds += w.TableBirds
			weeks.money += l.plan.Currency.Amount(w.Money)
		}
		for _, y := range l.plan.Years {
			years.eggs += y.Eggs
			years.feed += y.FeedKg
			years.birds += y.TableBirds
			years.money += l.plan.Currency.Amount(y.FeedCost + y.OtherCost - y.Income)
		}
		// The first days of the first week may lie in the year before.
		if r := years.eggs / weeks.eggs; r > 1+1e-9 || r < 0.993 {
			t.Errorf("%.0f eggs by weeks, %.0f by years", weeks.eggs, years.eggs)
		}
		if r := years.feed / weeks.feed; r > 1+1e-9 || r < 0.993 {
			t.Errorf("%.0f kg of feed by weeks, %.0f by years", weeks.feed, years.feed)
		}
		if !near(years.birds, weeks.birds, 0.5) || !near(years.money, weeks.money, 0.01*math.Abs(weeks.money)+5) {
			t.Errorf("%.1f birds and %.0f by weeks, %.1f and %.0f by years", weeks.birds, weeks.money, years.birds, years.money)
		}
	})
}

func TestTasksComeInTheOrderOfTheirDaysAndBelongToABatch(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		known := map[string]bool{"": true}
		for _, b := range l.plan.Batches {
			if known[b.ID] {
				t.Errorf("two batches are called %s", b.ID)
			}
			known[b.ID] = true
		}
		for i, k := range l.plan.Tasks {
			if i > 0 && k.On.Before(l.plan.Tasks[i-1].On) {
				t.Errorf("%s comes after %s", k.On, l.plan.Tasks[i-1].On)
			}
			if !known[k.Batch] || k.Text == "" || k.On.Before(l.plan.From) || l.plan.To.Before(k.On) {
				t.Errorf("%+v", k)
			}
			if (k.Kind == "butcher" || k.Kind == "hatch") && k.Caution == "" {
				t.Errorf("%s on %s without a caution", k.Kind, k.On)
			}
		}
	})
}

func TestBoughtLayersAreLeftOutWhereTheFlockRenewsItself(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		if !l.h.Needs.SelfRenewing {
			t.Skip("layers may be bought")
		}
		for _, b := range l.plan.Batches {
			kind, _ := breed.Find(b.Breed)
			if b.Source != "on hand" && !strings.HasPrefix(b.Source, "own") && kind.Purpose != breed.Meat && b.Source != "cock" {
				t.Errorf("%s is bought", b.ID)
			}
		}
	})
}

func TestNoMoreButcherDaysStandOnTheCalendarThanTheKeeperHas(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		days := map[int]int{}
		for _, w := range l.plan.Weeks {
			if w.TableBirds >= 0.5 {
				days[w.Date.AddDays(5).Year] += daysToButcher(w.TableBirds, l.a.pr.h.Means.ButcherBirdsADay)
			}
		}
		for y, n := range days {
			if n > l.a.pr.h.Means.ButcherDaysAYear {
				t.Errorf("%d butcher days in %d", n, y)
			}
		}
	})
}

func TestKillingNothingLeavesEveryBirdAlive(t *testing.T) {
	h := cottage(t)
	h.Means.WillKill, h.Means.CockerelsTaken = false, 20
	h.Stock = []holding.Offer{offer("sussex", holding.Chicks, 4, 4, 5)}
	l := planned(t, h, quick)
	for _, w := range l.plan.Weeks {
		if w.TableBirds > 1e-6 {
			t.Errorf("%s: %g birds butchered", w.Week, w.TableBirds)
		}
	}
	for _, b := range l.plan.Batches {
		for _, f := range b.Fates {
			if f.What == "table" || f.What == "culled for the pot" {
				t.Errorf("%s: %.1f %s", b.ID, f.Birds, f.What)
			}
		}
	}
}
