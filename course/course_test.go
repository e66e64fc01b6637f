package course

import (
	"math"
	"sync"
	"testing"

	"henyear/bird"
	"henyear/breed"
	"henyear/examples"
	"henyear/holding"
	"henyear/measure"
)

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

func record(t *testing.T, id string) *breed.Breed {
	t.Helper()
	b, err := breed.Find(id)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func bookOf(h *holding.Holding, lit bool) *Book { return New(h, lit, bird.NewRates()) }

// eggsOverWinter is the eggs that a hen still kept lays in the twelve slots
// around the shortest day of her first winter.
func eggsOverWinter(t *testing.T, b *Book, id string, hatched, shortest int) float64 {
	o := b.Of(b.Key(record(t, id), breed.Utility, hatched, false), bird.Hen)
	sum := 0.0
	for age := range o[:70] {
		slot := (hatched + age) % measure.SlotsPerYear
		d := (slot - shortest + measure.SlotsPerYear + 26) % measure.SlotsPerYear
		if age > 20 && d >= 20 && d < 32 {
			sum += o[age].Eggs
		}
	}
	return sum
}

func TestFewerBirdsAreAliveEachWeekAndHardlyOneLaysBeforeSixteenWeeks(t *testing.T) {
	for _, name := range examples.List() {
		b := bookOf(example(t, name), false)
		for _, id := range []string{"sussex", "wyandotte", "red-sex-link", "cornish-cross"} {
			for _, sex := range []bird.Sex{bird.Hen, bird.Cock} {
				for _, underHen := range []bool{false, true} {
					o := b.Of(b.Key(record(t, id), breed.Utility, 12, underHen), sex)
					if len(o) != Weeks {
						t.Fatalf("%d weeks", len(o))
					}
					last := 1.0
					for age, w := range o {
						if w.AliveEnd > last+1e-12 || w.AliveEnd < 0 || w.Alive > last+1e-12 || w.Alive < w.AliveEnd-1e-12 {
							t.Fatalf("%s %s %s: %.4f alive in week %d, %.4f before", name, id, sex, w.AliveEnd, age, last)
						}
						if !near(last-w.AliveEnd, w.LostRaids+w.LostOther, 1e-9) {
							t.Fatalf("%s %s: week %d loses %.5f, by cause %.5f", name, id, age, last-w.AliveEnd, w.LostRaids+w.LostOther)
						}
						if sex == bird.Cock && w.Eggs > 0 || age < 16 && w.Eggs > 0.02 {
							t.Fatalf("%s %s %s: %.3f eggs at %d weeks", name, id, sex, w.Eggs, age)
						}
						if w.Eggs > 7*w.Alive+1e-9 || w.FeedKg < 0 || w.DressedKg > w.LiveKg {
							t.Fatalf("%s %s: %+v", name, id, w)
						}
						last = w.AliveEnd
					}
				}
			}
		}
	}
}

func near(x, y, slack float64) bool { return math.Abs(x-y) <= slack }

func TestLampsHoldTheDayOfGrownHensOnly(t *testing.T) {
	h := example(t, "forest")
	dark, lit := bookOf(h, false), bookOf(h, true)
	for slot := range measure.SlotsPerYear {
		if got := lit.Week(slot).LightH; got < LightsH-1e-9 {
			t.Errorf("slot %d: %.1f hours with lamps", slot, got)
		}
		if dark.Week(slot).LightH > lit.Week(slot).LightH {
			t.Errorf("slot %d: lamps shorten the day", slot)
		}
		for _, age := range []int{0, 6, 12, litFromWeeks - 1} {
			if lit.at(age, slot, false).LightH != dark.at(age, slot, false).LightH {
				t.Errorf("slot %d: lamps at %d weeks", slot, age)
			}
		}
	}
	const midwinter = 50
	without, with := eggsOverWinter(t, dark, "wyandotte", 14, midwinter), eggsOverWinter(t, lit, "wyandotte", 14, midwinter)
	if with < 1.5*without || with < 15 {
		t.Errorf("%.1f winter eggs without lamps, %.1f with", without, with)
	}
	if dark.Lit() || !lit.Lit() {
		t.Error("the book does not know its lamps")
	}
}

// Hatched at the same distance from the shortest day, a pullet lays the same in
// both hemispheres.
func TestTheSouthIsTheNorthHalfAYearLater(t *testing.T) {
	h := example(t, "valley")
	south := h.Clone()
	c := &south.Place.Climate
	c.LatitudeDeg = -c.LatitudeDeg
	turn := func(v [12]float64) (out [12]float64) {
		for m := range v {
			out[m] = v[(m+6)%12]
		}
		return out
	}
	c.MaxC, c.MinC, c.HumidityPct, c.RainMM, c.WindMS = turn(c.MaxC), turn(c.MinC), turn(c.HumidityPct), turn(c.RainMM), turn(c.WindMS)
	for m := range 12 {
		south.Place.PastureMonths[m] = h.Place.PastureMonths[(m+6)%12]
	}
	north, other := bookOf(h, false), bookOf(south, false)
	for _, hatched := range []int{10, 16, 22} {
		n := eggsOverWinter(t, north, "sussex", hatched, 50)
		s := eggsOverWinter(t, other, "sussex", (hatched+26)%52, 24)
		if !near(n, s, 0.12*n+1) {
			t.Errorf("hatched in slot %d: %.1f winter eggs in the north, %.1f in the south", hatched, n, s)
		}
	}
}

func TestEarlierPulletsLayMoreInTheirFirstWinter(t *testing.T) {
	b := bookOf(example(t, "valley"), false)
	march, may, july := eggsOverWinter(t, b, "sussex", 10, 50), eggsOverWinter(t, b, "sussex", 20, 50), eggsOverWinter(t, b, "sussex", 28, 50)
	if !(march > may && may > july) {
		t.Errorf("winter eggs of pullets hatched in March %.1f, May %.1f, July %.1f", march, may, july)
	}
}

func raids(o []bird.Outputs) float64 {
	sum := 0.0
	for _, w := range o[20:72] {
		sum += w.LostRaids
	}
	return sum
}

func TestFoxAndHawkTakeWhatFenceAndCoverLeave(t *testing.T) {
	base := example(t, "valley")
	lost := func(change func(p *holding.Place)) float64 {
		h := base.Clone()
		change(&h.Place)
		b := bookOf(h, false)
		return raids(b.Of(b.Key(record(t, "sussex"), breed.Utility, 12, false), bird.Hen))
	}
	usual := lost(func(*holding.Place) {})
	for what, c := range map[string]struct {
		change func(p *holding.Place)
		more   bool
	}{
		"a live fence":             {func(p *holding.Place) { p.ElectricFence = true }, false},
		"more cover":               {func(p *holding.Place) { p.Cover = holding.High }, false},
		"no hawks":                 {func(p *holding.Place) { p.AirPredators = holding.None }, false},
		"no pasture":               {func(p *holding.Place) { p.PastureM2 = 0 }, false},
		"many foxes":               {func(p *holding.Place) { p.GroundPredators = holding.High }, true},
		"a door left open":         {func(p *holding.Place) { p.LockedAtNight = false }, true},
		"bare ground without edge": {func(p *holding.Place) { p.Cover = holding.None }, true},
	} {
		if got := lost(c.change); c.more && got <= usual || !c.more && got >= usual {
			t.Errorf("%s: %.4f taken in a year, %.4f as usual", what, got, usual)
		}
	}
	if none := lost(func(p *holding.Place) { p.GroundPredators, p.AirPredators = holding.None, holding.None }); none != 0 {
		t.Errorf("%.4f taken where nothing hunts", none)
	}
}

func TestAnInsulatedHouseIsWarmerAtNightThanAnOpenOne(t *testing.T) {
	h := example(t, "forest")
	warm := bookOf(h, false)
	h = h.Clone()
	h.Means.Houses[0].Insulated, h.Means.Houses[0].OpenSided = false, true
	open := bookOf(h, false)
	const january = 2
	if w, o := warm.Night(january).TempC, open.Night(january).TempC; w < o+1 || o < warm.Normal(january).MinC-0.5 {
		t.Errorf("%.1f C in the insulated house, %.1f in the open one, %.1f outside", w, o, warm.Normal(january).MinC)
	}
}

func TestChicksAreWarmInTheirFirstSixWeeksAndInDaylight(t *testing.T) {
	b := bookOf(example(t, "valley"), true)
	for slot := range measure.SlotsPerYear {
		if !b.at(3, slot, false).Brooder || b.at(3, slot, false).UnderHen {
			t.Error("a brood in the machine's brooder")
		}
		if !b.at(3, slot, true).UnderHen || b.at(8, slot, true).UnderHen || b.at(8, slot, false).Brooder {
			t.Error("a brood with its hen")
		}
	}
}

func TestALongLifeBeginsLikeAShortOne(t *testing.T) {
	b := bookOf(example(t, "valley"), false)
	k := b.Key(record(t, "sussex"), breed.Utility, 12, false)
	short, long := b.Of(k, bird.Hen), b.Long(k, bird.Hen, 400)
	if len(long) != 400 || len(b.Long(k, bird.Hen, 1<<30)) != 20*measure.SlotsPerYear {
		t.Fatalf("%d weeks", len(long))
	}
	for age := range short {
		if short[age] != long[age] {
			t.Fatalf("week %d differs", age)
		}
	}
	if &b.Of(k, bird.Hen)[0] != &short[0] {
		t.Error("the same course is worked out twice")
	}
}

func TestManyMayReadTheBookAtOnce(t *testing.T) {
	b := bookOf(example(t, "plain"), false)
	a := record(t, "australorp")
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			for slot := range 6 {
				b.Of(b.Key(a, breed.Production, (slot*8+i)%52, i%2 == 0), bird.Sex(i%2))
			}
		})
	}
	wg.Wait()
}

// Of a hundred eggs 60 to 80 hatch at home in spring, fewer in midwinter and in
// great heat, and 0.6 of them when they came by post.
func TestChicksOfAnEggFollowTheSeasonAndThePost(t *testing.T) {
	valley, plain := bookOf(example(t, "valley"), false), bookOf(example(t, "plain"), false)
	sussex := record(t, "sussex")
	spring, winter := valley.ChicksPerEgg(sussex, 15, false, false), valley.ChicksPerEgg(sussex, 51, false, false)
	if spring < 0.6 || spring > 0.8 || winter >= spring || winter < 0.4 {
		t.Errorf("%.2f chicks of an egg in April, %.2f in December", spring, winter)
	}
	if posted := valley.ChicksPerEgg(sussex, 15, false, true); !near(posted, 0.6*spring, 1e-9) {
		t.Errorf("%.3f of a posted egg, %.3f of an own one", posted, spring)
	}
	if hot, mild := plain.ChicksPerEgg(sussex, 2, false, false), plain.ChicksPerEgg(sussex, 38, false, false); hot >= mild {
		t.Errorf("%.3f in January's heat, %.3f in September", hot, mild)
	}
}

func TestBreedersLayAsYoungHensOrOld(t *testing.T) {
	b := bookOf(example(t, "valley"), false)
	for _, id := range []string{"sussex", "red-sex-link", "brahma"} {
		for slot := range measure.SlotsPerYear {
			adult, breeder := b.AdultEggs(record(t, id), breed.Utility, slot), b.BreederEggs(record(t, id), breed.Utility, slot)
			if adult < 0 || adult > 7 || breeder < adult || breeder > 7 {
				t.Errorf("%s in slot %d: %.2f eggs a week, breeders %.2f", id, slot, adult, breeder)
			}
		}
	}
}

func TestAHoldingWithoutHouseOrBirdsStillHasACourse(t *testing.T) {
	for _, latitude := range []float64{-90, -31, 0, 52, 78, 90} {
		h := example(t, "valley")
		h.Birds, h.Means.Houses = nil, nil
		h.Place.Climate.LatitudeDeg = latitude
		b := bookOf(h, false)
		for _, w := range b.Of(b.Key(record(t, "sussex"), breed.Utility, 30, true), bird.Hen) {
			if math.IsNaN(w.Eggs) || math.IsNaN(w.FeedKg) || math.IsNaN(w.Alive) || math.IsInf(w.FeedKg, 0) {
				t.Fatalf("at %g degrees: %+v", latitude, w)
			}
		}
	}
}
