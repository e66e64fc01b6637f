package course

import (
	"math"
	"slices"
	"testing"

	"henyear/bird"
	"henyear/climate"
	"henyear/examples"
	"henyear/holding"
	"henyear/source"

	"pgregory.net/rapid"
)

func rowOf(t *testing.T, rows []CombRow, kind string, size int, sex bird.Sex) CombRow {
	t.Helper()
	for _, r := range rows {
		if r.Comb == kind && r.Size == size && r.Sex == sex {
			return r
		}
	}
	t.Fatalf("no row for a %s comb of size %d", kind, size)
	return CombRow{}
}

func ordered(r bird.Range) bool { return r.Low <= r.Best && r.Best <= r.High && r.Low >= 0 }

func finite(r bird.Range) bool {
	return !math.IsNaN(r.Low+r.Best+r.High) && !math.IsInf(r.Low+r.Best+r.High, 0)
}

func TestFlatCombsAndHensHaveFewerNightsThanSingleCombsAndCocks(t *testing.T) {
	for _, name := range examples.List() {
		rows := bookOf(example(t, name), false).Combs()
		for size := 1; size <= 3; size++ {
			for _, sex := range []bird.Sex{bird.Hen, bird.Cock} {
				single := rowOf(t, rows, "single", size, sex)
				for _, flat := range []string{"rose", "pea", "walnut", "cushion", "strawberry"} {
					r := rowOf(t, rows, flat, size, sex)
					if r.Nights.Low > single.Nights.Low+1e-9 || r.Nights.Best > single.Nights.Best+1e-9 || r.Nights.High > single.Nights.High+1e-9 {
						t.Errorf("%s: %s %+v, single %+v", name, flat, r.Nights, single.Nights)
					}
				}
			}
			for _, kind := range combKinds {
				hen, cock := rowOf(t, rows, kind, size, bird.Hen), rowOf(t, rows, kind, size, bird.Cock)
				if hen.Nights.High > cock.Nights.High+1e-9 || hen.Nights.Best > cock.Nights.Best+1e-9 {
					t.Errorf("%s: %s of hens %+v, of cocks %+v", name, kind, hen.Nights, cock.Nights)
				}
			}
		}
	}
}

func TestAWindyOrOpenHouseThreatensMoreCombsThanAnInsulatedOne(t *testing.T) {
	h := example(t, "forest")
	at := func(change func(*holding.Holding)) CombRow {
		c := h.Clone()
		c.Means.Houses[0].Build = nil // as usual for its kind, not as told
		change(c)
		return rowOf(t, bookOf(c, false).Combs(), "single", 2, bird.Cock)
	}
	insulated := at(func(h *holding.Holding) { h.Means.Houses[0].Insulated = true })
	boarded := at(func(h *holding.Holding) { h.Means.Houses[0].Insulated = false })
	open := at(func(h *holding.Holding) { h.Means.Houses[0].Insulated, h.Means.Houses[0].OpenSided = false, true })
	for _, worse := range []CombRow{boarded, open} {
		if n, w := insulated.Nights, worse.Nights; !(n.Low <= w.Low && n.Best < w.Best && n.High < w.High) {
			t.Errorf("%+v in the insulated house, %+v in the other", n, w)
		}
	}
	if boarded.Nights.Best >= open.Nights.Best {
		t.Errorf("%+v in the boarded house, %+v in the open one", boarded.Nights, open.Nights)
	}
	// And for one comb: each wind freezes it in milder air than the wind before.
	for _, r := range bookOf(h, false).Combs() {
		for i := range r.Limits {
			l := r.Limits[i]
			if l.WindMS != CombWinds[i] || l.LikelyC.Best > l.OnsetC.Best || l.LikelyC.Low > l.LikelyC.Best || l.LikelyC.Best > l.LikelyC.High {
				t.Fatalf("%s: %+v", r.Comb, l)
			}
			if i > 0 && l.LikelyC.Best < r.Limits[i-1].LikelyC.Best {
				t.Errorf("%s of a %s: %.1f C at %g m/s, %.1f C in calmer air", r.Comb, r.SexName, l.LikelyC.Best, l.WindMS, r.Limits[i-1].LikelyC.Best)
			}
		}
	}
}

// The nights are those that the law's own birds live through.
func TestCombNightsAreThoseOfTheTrajectories(t *testing.T) {
	for _, name := range []string{"forest", "valley"} {
		b := bookOf(example(t, name), false)
		r := record(t, "sussex")
		for _, sex := range []bird.Sex{bird.Hen, bird.Cock} {
			lived := 0.0
			for _, o := range b.Of(b.Key(r, "utility", 12, false), sex)[60:112] {
				lived += o.CombNights
			}
			row := rowOf(t, b.Combs(), r.Comb, r.CombSize, sex)
			weeks, _ := b.CombNightsOf(r, sex)
			if !near(lived, row.Nights.Best, 0.02) || !near(bird.Sum(weeks[:]...).Best, row.Nights.Best, 1e-9) {
				t.Errorf("%s, %s: %.3f nights lived through, %.3f in the table", name, sex, lived, row.Nights.Best)
			}
		}
	}
}

func TestEveryRowSaysWhereItComesFrom(t *testing.T) {
	for _, r := range bookOf(example(t, "forest"), false).Combs() {
		opened(t, r.Working)
		sum := 0.0
		for _, n := range r.MonthNights {
			sum += n
		}
		if !near(sum, r.Nights.Best, 1e-9) || r.WattleMM <= 0 || r.BladeMM <= 0 || r.SexName != r.Sex.String() {
			t.Errorf("%s: months %.3f, year %.3f", r.Comb, sum, r.Nights.Best)
		}
		if r.Comb == "single" && r.WorstMonth.String() != "January" {
			t.Errorf("worst month of a single comb: %d", r.WorstMonth)
		}
	}
}

func opened(t *testing.T, w source.Working) {
	t.Helper()
	if w.Code == "" || w.Formula == "" || len(w.Keys) == 0 || w.Confidence == "" {
		t.Errorf("%+v says too little", w)
	}
	for _, key := range w.Keys {
		if _, known := source.Lookup(key); !known {
			t.Errorf("%s: no source %q", w.Code, key)
		}
	}
	for _, in := range w.Inputs {
		if in.Name == "" || in.Text == "" && in.Unit == "" {
			t.Errorf("%s: input %+v", w.Code, in)
		}
	}
}

func southward(h *holding.Holding) *holding.Holding {
	south := h.Clone()
	c := &south.Place.Climate
	c.LatitudeDeg = -c.LatitudeDeg
	for _, v := range []*[12]float64{&c.MaxC, &c.MinC, &c.HumidityPct, &c.RainMM, &c.WindMS} {
		old := *v
		for m := range v {
			v[m] = old[(m+6)%12]
		}
	}
	for m := range 12 {
		south.Place.PastureMonths[m] = h.Place.PastureMonths[(m+6)%12]
	}
	return south
}

// July and August have three days more than January and February.
func TestCombsFreezeAsOftenInTheSouthHalfAYearLater(t *testing.T) {
	h := example(t, "forest")
	north, south := bookOf(h, false).Combs(), bookOf(southward(h), false).Combs()
	for i := range north {
		n, s := north[i], south[i]
		if !near(n.Nights.Best, s.Nights.Best, 0.06*n.Nights.Best+0.3) || !near(n.Nights.High, s.Nights.High, 0.06*n.Nights.High+0.3) {
			t.Errorf("%s: %+v north, %+v south", n.Comb, n.Nights, s.Nights)
		}
		if n.WorstMonth != 0 && s.WorstMonth != 0 && (int(n.WorstMonth)+6-int(s.WorstMonth))%12 > 1 {
			t.Errorf("%s: worst in %s north, in %s south", n.Comb, n.WorstMonth, s.WorstMonth)
		}
	}
}

func TestCombsAndBodiesAreInOrderAtEveryPlace(t *testing.T) {
	h := example(t, "valley")
	places := climate.Places()
	ids := []string{"leghorn", "wyandotte", "brahma", "polish", "cornish-cross", "silkie"}
	rapid.Check(t, func(t *rapid.T) {
		c := h.Clone()
		c.Place.Climate = rapid.SampledFrom(places).Draw(t, "place")
		c.Place.WetGround = rapid.Bool().Draw(t, "wet")
		c.Means.Houses[0].OpenSided = rapid.Bool().Draw(t, "open")
		c.Means.Houses[0].Insulated = rapid.Bool().Draw(t, "insulated")
		b := New(c, false, bird.NewRates())
		rows := b.Combs()
		for i := range rows {
			r := &rows[i]
			if !finite(r.Nights) || !ordered(r.Nights) || !ordered(r.WattleNights) || r.Nights.High > 364.0001 {
				t.Fatalf("%s: %+v, wattles %+v", r.Comb, r.Nights, r.WattleNights)
			}
		}
		coldest := slices.Min(c.Place.Climate.MinC[:])
		if coldest > 12 && rows[0].Nights.High > 0.01 {
			t.Fatalf("%+v nights of frost where nights stay above %.0f C", rows[0].Nights, coldest)
		}
		r, sex := findBreed(rapid.SampledFrom(ids).Draw(t, "breed")), rapid.SampledFrom([]bird.Sex{bird.Hen, bird.Cock}).Draw(t, "sex")
		body := b.BodyOf(r, "utility", sex)
		for _, f := range body.figures() {
			if !finite(f.Range) || !ordered(f.Range) {
				t.Fatalf("%s of %s: %+v", f.Working.Code, r.ID, f.Range)
			}
		}
	})
}

func TestThePolesAndTheEquatorHaveFiniteCombNights(t *testing.T) {
	for _, latitude := range []float64{-90, -66, 0, 66, 78, 90} {
		for _, cold := range []float64{-40, 0, 26} {
			h := example(t, "valley")
			h.Birds, h.Means.Houses = nil, nil
			h.Place.Climate.LatitudeDeg = latitude
			h.Place.Climate.ExtremeMinC, h.Place.Climate.DaysAbove38 = 0, 0
			for m := range 12 {
				h.Place.Climate.MinC[m], h.Place.Climate.MaxC[m] = cold, cold+6
			}
			b := bookOf(h, false)
			for _, r := range b.Combs() {
				if !finite(r.Nights) || !ordered(r.Nights) || cold > 20 && r.Nights.High > 0 {
					t.Errorf("%g degrees, %g C, %s: %+v", latitude, cold, r.Comb, r.Nights)
				}
			}
		}
	}
}

func BenchmarkCombs(b *testing.B) {
	book := bookOf(example(&testing.T{}, "forest"), false)
	for b.Loop() {
		book.Combs()
	}
}
