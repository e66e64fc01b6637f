package course

import (
	"testing"

	"henyear/bird"
	"henyear/breed"
	"henyear/climate"
	"henyear/examples"
	"henyear/holding"
	"henyear/housing"
)

func findBreed(id string) *breed.Breed {
	b, err := breed.Find(id)
	if err != nil {
		panic(err)
	}
	return b
}

func (b Body) figures() []Figure {
	return []Figure{b.CombNights, b.WattleNights, b.HeatDays, b.HeatHours, b.HeatEggs, b.HeatDressed, b.HeatLives,
		b.ColdFeed, b.ColdEggs, b.ColdDressed, b.MudDays, b.CrestDays, b.HawkLoss, b.HawkTimes}
}

func TestEveryFigureOfABodyCanBeOpened(t *testing.T) {
	for _, name := range examples.List() {
		b := bookOf(example(t, name), false)
		for _, id := range []string{"sussex", "brahma", "polish", "cornish-cross"} {
			codes := map[string]bool{}
			for _, f := range b.BodyOf(findBreed(id), breed.Utility, bird.Hen).figures() {
				opened(t, f.Working)
				if f.Unit == "" || codes[f.Working.Code] {
					t.Errorf("%s: %q", f.Working.Code, f.Unit)
				}
				codes[f.Working.Code] = true
				if f.Low != f.High && f.Working.Range == "" {
					t.Errorf("%s does not say what its range means", f.Working.Code)
				}
			}
		}
	}
}

func TestEveryBreedHasABodyHere(t *testing.T) {
	b := bookOf(example(t, "plain"), false)
	list := append(breed.All(), breed.Cross(record(t, "leghorn"), record(t, "sussex")))
	for _, r := range list {
		for _, sex := range []bird.Sex{bird.Hen, bird.Cock} {
			body := b.BodyOf(r, breed.Utility, sex)
			for _, f := range body.figures() {
				if !finite(f.Range) || !ordered(f.Range) {
					t.Errorf("%s of %s: %+v", f.Working.Code, r.ID, f.Range)
				}
			}
			if body.HeatHours.Best > 24*body.HeatDays.Best || body.HeatDays.Best > 364 {
				t.Errorf("%s: %.1f days, %.1f hours", r.ID, body.HeatDays.Best, body.HeatHours.Best)
			}
		}
	}
}

// Hours counted through the clock agree with the closed form, on days without spread.
func TestHeatHoursFollowTheCourseOfADay(t *testing.T) {
	for _, limit := range []float64{22, 28, 33} {
		day := housing.DayWeather{LowC: 20, HighC: 35}
		clock := 0.0
		const step = 0.01
		for hour := 0.0; hour < 24; hour += step {
			if day.OutsideC(hour) > limit {
				clock += step
			}
		}
		tolerance := bird.HeatTolerance{Kg: 2.2, Plumage: "medium", CombSize: 2}
		s := bird.Surroundings{NightC: 30, DayMaxC: 35, AirMS: 0.2}
		s.DayMaxC += bird.HeatLimitC(tolerance, s) - limit // the limit of this body lies so much higher
		if got := bird.HeatHours(tolerance, s, 15) / 7; !near(got, clock, 0.05) {
			t.Errorf("above %g C: %.2f hours, %.2f by the clock", limit, got, clock)
		}
	}
}

func TestHeatAndColdTakeWhatTheirLawsTake(t *testing.T) {
	plain, forest := bookOf(example(t, "plain"), false), bookOf(example(t, "forest"), false)
	for _, id := range []string{"leghorn", "sussex", "brahma"} {
		r := record(t, id)
		hot, cold := plain.BodyOf(r, breed.Utility, bird.Hen), forest.BodyOf(r, breed.Utility, bird.Hen)
		if hot.HeatEggs.Best <= cold.HeatEggs.Best || hot.HeatHours.Best <= cold.HeatHours.Best || hot.HeatDressed.Best <= cold.HeatDressed.Best {
			t.Errorf("%s: heat takes no more on the plain than in the forest", id)
		}
		if cold.ColdEggs.Best <= hot.ColdEggs.Best || cold.ColdFeed.Best <= hot.ColdFeed.Best || cold.ColdDressed.Best <= hot.ColdDressed.Best {
			t.Errorf("%s: cold takes no more in the forest than on the plain", id)
		}
		if cock := forest.BodyOf(r, breed.Utility, bird.Cock); cock.ColdEggs.Best != 0 || cock.HeatEggs.Best != 0 {
			t.Errorf("%s: a cock's eggs", id)
		}
	}
	// Heavy loose-feathered birds first (common practice).
	if brahma, leghorn := plain.BodyOf(record(t, "brahma"), breed.Utility, bird.Hen), plain.BodyOf(record(t, "leghorn"), breed.Utility, bird.Hen); brahma.HeatHours.Best < 2*leghorn.HeatHours.Best {
		t.Errorf("%.0f hours of strain for a Brahma, %.0f for a Leghorn", brahma.HeatHours.Best, leghorn.HeatHours.Best)
	}
}

// Where no week is hot or cold, neither takes anything: the two courses are the same.
func TestAMildPlaceTakesNothing(t *testing.T) {
	h := example(t, "valley")
	c := &h.Place.Climate
	for m := range 12 {
		c.MinC[m], c.MaxC[m] = 16, 22
	}
	c.ExtremeMinC, c.DaysAbove38 = 0, 0
	body := bookOf(h, false).BodyOf(record(t, "sussex"), breed.Utility, bird.Hen)
	for _, f := range []Figure{body.HeatEggs, body.HeatDressed, body.HeatLives, body.ColdFeed, body.ColdEggs, body.ColdDressed, body.CombNights} {
		if f.High > 1e-9 {
			t.Errorf("%s: %+v", f.Working.Code, f.Range)
		}
	}
}

// The extra feed of cold agrees with the published rise of 1.0 to 1.4 % a degree on the
// mean shortfall below 16 C, and lies within its own range.
func TestColdFeedAgreesWithTrials(t *testing.T) {
	b := bookOf(example(t, "forest"), false)
	f := b.BodyOf(record(t, "wyandotte"), breed.Utility, bird.Hen).ColdFeed
	short := 0.0
	for slot := range 52 {
		short += max(0, comfortColdC-max(-15, b.Week(slot).MeanC)) / 52
	}
	mild := f.Working.Inputs[len(f.Working.Inputs)-1].Value
	for _, got := range []float64{f.Low, f.High} {
		if pct := 100 * got / mild / short; pct < 0.8 || pct > 1.6 {
			t.Errorf("%.2f kg is %.2f %% a degree", got, pct)
		}
	}
	if pct := coldFeedPct(); pct < coldPctLow || pct > coldPctHigh {
		t.Errorf("the law has %.2f %% a degree", pct)
	}
}

// Of a hundred grown birds on a day range hawks take about three in a year (0.4 of
// 8 %, this program's default); fewer under cover, none without hawks, more of the
// crested.
func TestHawksTakeWhatTheLawSays(t *testing.T) {
	h := example(t, "valley")
	loss := func(change func(*holding.Place), id string) float64 {
		c := h.Clone()
		c.Place.Cover, c.Place.AirPredators, c.Place.GroundPredators = holding.None, holding.Some, holding.None
		for m := range c.Place.PastureMonths {
			c.Place.PastureMonths[m] = true
		}
		change(&c.Place)
		return bookOf(c, false).BodyOf(record(t, id), breed.Utility, bird.Hen).HawkLoss.Best
	}
	usual := loss(func(*holding.Place) {}, "sussex")
	times := bird.HawkTimes(record(t, "sussex"))
	if !near(usual/times, 0.32, 0.02) {
		t.Errorf("%.3f of ten, %.3f for a usual bird", usual, usual/times)
	}
	if loss(func(p *holding.Place) { p.Cover = holding.High }, "sussex") >= usual || loss(func(p *holding.Place) { p.AirPredators = holding.None }, "sussex") != 0 {
		t.Error("cover and the want of hawks change nothing")
	}
	if loss(func(*holding.Place) {}, "polish") <= usual*0.9 {
		t.Error("a crested bird is no safer")
	}
}

func TestMudNeedsRainThawAndFeatheredLegs(t *testing.T) {
	for _, c := range []struct {
		rain, mean, sd float64
		wet            bool
		low, high      float64
	}{
		{0, 10, 3, true, 0, 0},
		{20, 5, 3, false, 0.3, 0.6}, {20, 5, 3, true, 0.5, 0.8}, // a wet autumn
		{20, 18, 3, false, 0, 0}, {20, 18, 3, true, 0, 0.3}, // a summer
		{20, -12, 4, true, 0, 0.02}, // hard frost
		{60, 26, 1, false, 0.4, 0.6}, {20, 3, 0, false, 0.4, 0.6}, {20, -1, 0, false, 0, 0},
	} {
		if got := muddyShare(c.rain, c.mean, c.sd, c.wet); got < c.low || got > c.high {
			t.Errorf("%+v: %.2f", c, got)
		}
	}
	h := example(t, "valley")
	b := bookOf(h, false)
	brahma, sussex := b.BodyOf(record(t, "brahma"), breed.Utility, bird.Hen), b.BodyOf(record(t, "sussex"), breed.Utility, bird.Hen)
	if brahma.MudDays.Best < 30 || sussex.MudDays.Best != 0 || brahma.CrestDays.Best != 0 || b.BodyOf(record(t, "polish"), breed.Utility, bird.Hen).CrestDays.Best < 30 {
		t.Errorf("%.0f mud days of a Brahma, %.0f of a Sussex", brahma.MudDays.Best, sussex.MudDays.Best)
	}
	h = h.Clone()
	h.Place.PastureM2 = 0
	if got := bookOf(h, false).BodyOf(record(t, "brahma"), breed.Utility, bird.Hen).MudDays.Best; got != 0 {
		t.Errorf("%.0f mud days of birds that do not range", got)
	}
}

// Over the catalogue of places mud is a matter of wet cool ones, and no place has more
// days of it than the year.
func TestMudDaysOfPlacesStayWithinTheYear(t *testing.T) {
	h := example(t, "valley")
	for m := range h.Place.PastureMonths {
		h.Place.PastureMonths[m] = true
	}
	for _, p := range climate.Places() {
		h.Place.Climate = p
		sum := 0.0
		b := bookOf(h, false)
		for _, d := range b.MudDays() {
			sum += d
		}
		if !(sum >= 0 && sum <= 364) {
			t.Errorf("%s: %.0f mud days", p.Name, sum)
		}
	}
}

func BenchmarkBodyOf(b *testing.B) {
	book := bookOf(example(&testing.T{}, "plain"), false)
	r := findBreed("sussex")
	for b.Loop() {
		book.BodyOf(r, breed.Utility, bird.Hen)
	}
}
