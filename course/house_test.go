package course

import (
	"math"
	"testing"

	"henyear/bird"
	"henyear/breed"
	"henyear/climate"
	"henyear/examples"
	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
)

// plain takes out of an example whatever it tells of its house, range and weather.
func plain(t *testing.T, name string) *holding.Holding {
	h := example(t, name)
	for i := range h.Means.Houses {
		o := &h.Means.Houses[i]
		*o = holding.House{Name: o.Name, AreaM2: o.AreaM2, Pens: o.Pens, Insulated: o.Insulated, OpenSided: o.OpenSided}
	}
	h.Place.NettedM2, h.Place.Climate.Stray, h.Means.NoShade = 0, nil, false
	return h
}

// A holding that tells nothing beside areas has the nights of a plain house of its
// whole floor, to the last bit.
func TestWhatIsNotToldChangesNothing(t *testing.T) {
	for _, name := range examples.List() {
		h := plain(t, name)
		b := bookOf(h, false)
		coop := housing.Coop{AltitudeM: h.Place.Climate.AltitudeM}
		insulated, open := 0.0, 0.0
		for _, o := range h.Means.Houses {
			coop.FloorM2 += o.AreaM2
			if o.Insulated {
				insulated += o.AreaM2
			}
			if o.OpenSided {
				open += o.AreaM2
			}
		}
		coop.Insulated, coop.OpenSided = 2*insulated > coop.FloorM2, 2*open > coop.FloorM2
		for slot, w := range h.Place.Climate.Year() {
			night := coop.Night(w.MinC, w.NightHumidityPct(), w.WindMS, b.referenceStocking())
			s := b.Week(slot)
			if b.Night(slot) != night || s.NightC != night.TempC || s.AirMS != night.MS || s.DampPerch != night.Condensation ||
				s.NightSDC != w.SDDayC || s.DaySDC != w.SDDayC || s.DayMaxC != w.MaxC || s.MeanC != w.MeanC+(night.TempC-w.MinC)/2 {
				t.Fatalf("%s slot %d: %+v %+v", name, slot, s, night)
			}
		}
		// As much shade as the birds need is what an untold holding has.
		h.Means.ShadeM2 = 1000
		for slot := range measure.SlotsPerYear {
			if *bookOf(h, false).Week(slot) != *b.Week(slot) {
				t.Fatalf("%s slot %d: plenty of shade changes the week", name, slot)
			}
		}
	}
}

// built gives the example's first house walls and roof with so much wool, and vents.
func built(h *holding.Holding, woolMM, ventM2 float64) *holding.Holding {
	o := &h.Means.Houses[0]
	wall := housing.Section{Layers: []housing.Layer{{Material: "softwood", MM: 18}, {Material: "batt", MM: woolMM, Between: true}, {Material: "softwood", MM: 18}}}
	o.Build = &housing.Build{LengthM: o.AreaM2 / 2, WidthM: 2, Walls: wall, Roof: wall,
		Floor: housing.Section{Layers: []housing.Layer{{Material: "shavings", MM: 80}, {Material: "softwood", MM: 20}}}, Vents: housing.Vents{AreaM2: ventM2, RiseM: 0.8}}
	return h
}

func TestMoreWoolMakesWarmerNights(t *testing.T) {
	for slot := range measure.SlotsPerYear {
		last := math.Inf(-1)
		for _, wool := range []float64{1, 25, 50, 150} {
			// Vents as told hold the air exchange alike whatever the walls are.
			b := bookOf(built(example(t, "forest"), wool, 0.02), false)
			if c := b.Week(slot).NightC; c <= last {
				t.Fatalf("slot %d: %g mm of wool give %.2f C, less gave %.2f", slot, wool, c, last)
			} else {
				last = c
			}
		}
	}
}

func TestShutVentsRainOnTheBirds(t *testing.T) {
	damp := map[float64]int{}
	var wide, shut housing.Air
	for _, vent := range []float64{0.5, 0.02, 0.001} {
		b := bookOf(built(example(t, "forest"), 50, vent), false)
		for slot := range measure.SlotsPerYear {
			if b.Week(slot).DampPerch {
				damp[vent]++
			}
		}
		if vent == 0.5 {
			wide = b.Night(2)
		}
		shut = b.Night(2)
	}
	if damp[0.001] <= damp[0.5] || damp[0.02] < damp[0.5] || damp[0.001] < 20 {
		t.Errorf("damp weeks by vents: %v", damp)
	}
	if shut.TempC <= wide.TempC || shut.CO2ppm <= wide.CO2ppm || shut.VentM3h >= wide.VentM3h || shut.CondensingGH <= wide.CondensingGH {
		t.Errorf("shut %+v, wide %+v", shut, wide)
	}
}

func TestEverythingUnderANetMeetsNoHawk(t *testing.T) {
	for _, name := range examples.List() {
		h := plain(t, name)
		open := bookOf(h, false)
		h.Place.NettedM2 = h.Place.PastureM2 + h.Means.CoveredRunM2 + 50
		all := bookOf(h, false)
		h.Place.NettedM2 = h.Place.PastureM2 / 4
		part := bookOf(h, false)
		for slot := range measure.SlotsPerYear {
			o, a, p := open.Week(slot), all.Week(slot), part.Week(slot)
			if a.AirRisk != 0 || a.GroundRisk != o.GroundRisk || p.AirRisk > o.AirRisk {
				t.Fatalf("%s slot %d: %g under nets, %g in part, %g open", name, slot, a.AirRisk, p.AirRisk, o.AirRisk)
			}
			if o.OnPasture && h.Place.PastureM2 > 0 && !near(p.AirRisk, 0.75*o.AirRisk, 1e-12) {
				t.Fatalf("%s slot %d: a quarter netted leaves %g of %g", name, slot, p.AirRisk, o.AirRisk)
			}
		}
	}
}

func TestWantOfShadeIsFeltInTheHeat(t *testing.T) {
	h := plain(t, "plain")
	h.Means.ShadeM2 = 0
	usual := bookOf(h, false)
	lack := func(shade, run float64, none bool) *Book {
		g := h.Clone()
		g.Means.ShadeM2, g.Means.CoveredRunM2, g.Means.NoShade = shade, run, none
		return bookOf(g, false)
	}
	bare, some, roofed, enough := lack(0, 0, true), lack(4, 0, false), lack(0, 40, true), lack(40, 0, false)
	const january = 2
	at := func(b *Book) float64 { return b.Week(january).DayMaxC }
	if !(at(bare) > at(some) && at(some) > at(enough)) || at(enough) != at(usual) || at(roofed) != at(usual) {
		t.Errorf("highs felt: bare %.1f, 4 m2 %.1f, 40 m2 %.1f, roof %.1f, not told %.1f", at(bare), at(some), at(enough), at(roofed), at(usual))
	}
	if d := at(bare) - at(usual); d < 4 || d > 5 {
		t.Errorf("no shade adds %.1f C in the southern January", d)
	}
	key := usual.Key(record(t, "australorp"), breed.Utility, 30, false)
	last := func(b *Book) float64 { return b.Of(key, bird.Hen)[80].AliveEnd }
	if last(bare) >= last(usual) {
		t.Errorf("%.3f alive without shade, %.3f with", last(bare), last(usual))
	}
}

func TestADraughtReachesThePerch(t *testing.T) {
	h := plain(t, "forest")
	h.Means.Houses[0].DraughtMS = 1.2
	second := h.Means.Houses[0]
	second.Name, second.DraughtMS = "second", 0
	calm := bookOf(plain(t, "forest"), false)
	one := bookOf(h, false)
	h = h.Clone()
	h.Means.Houses = append(h.Means.Houses, second)
	two := bookOf(h, false)
	for slot := range measure.SlotsPerYear {
		usual := calm.Week(slot).AirMS
		if one.Week(slot).AirMS != 1.2 || !near(two.Week(slot).AirMS, (1.2+usual)/2, 1e-12) {
			t.Fatalf("slot %d: %g in one house, %g in two, %g usual", slot, one.Week(slot).AirMS, two.Week(slot).AirMS, usual)
		}
	}
	if houses := two.Houses(); houses[0].Nights[0].MS != 1.2 || houses[1].Nights[0].MS == 1.2 {
		t.Error("each house has its own draught")
	}
}

func TestABedKeptCleanIsDrier(t *testing.T) {
	h := plain(t, "forest")
	litter := func(cm float64, clean bool) *Book {
		g := h.Clone()
		g.Means.Houses[0].LitterCM, g.Means.Houses[0].BoardsClean = cm, clean
		return bookOf(g, false)
	}
	most := func(b *Book) float64 {
		worst := 0.0
		for _, w := range b.Houses()[0].Bed {
			worst = max(worst, w.LitterPct)
		}
		return worst
	}
	thin, deep, clean := litter(5, false), litter(20, false), litter(20, true)
	if !(most(thin) > most(deep) && most(deep) > most(clean)) {
		t.Errorf("wettest: thin %.0f %%, deep %.0f %%, deep and clean %.0f %%", most(thin), most(deep), most(clean))
	}
	damp := func(b *Book) (n int) {
		for slot := range measure.SlotsPerYear {
			if b.Week(slot).DampPerch {
				n++
			}
		}
		return n
	}
	if damp(thin) <= damp(clean) || damp(clean) < damp(bookOf(h, false)) {
		t.Errorf("damp weeks: thin %d, deep and clean %d, not told %d", damp(thin), damp(clean), damp(bookOf(h, false)))
	}
	wetter := built(h.Clone(), 50, 0)
	wetter.Means.Houses[0].Build.WetLitter = true
	if damp(bookOf(wetter, false)) <= damp(bookOf(built(h.Clone(), 50, 0), false)) {
		t.Error("litter told to be wet damps the house")
	}
}

func TestHousesShareTheBirdsByTheirFloors(t *testing.T) {
	h := built(plain(t, "valley"), 50, 0.3)
	second := holding.House{Name: "shed", AreaM2: 2 * h.Means.Houses[0].AreaM2, Pens: 1}
	h.Means.Houses = append(h.Means.Houses, second)
	b := bookOf(h, false)
	list := b.Houses()
	sum, loss := 0.0, 0.0
	for _, a := range list {
		sum += a.Birds[0].Count
		loss += a.Coop.LossWK()
	}
	if !near(sum, b.referenceStocking()[0].Count, 1e-9) || !near(list[1].Birds[0].Count, 2*list[0].Birds[0].Count, 1e-9) {
		t.Errorf("%g birds in all houses", sum)
	}
	if c := b.Coop(); !near(c.LossWK(), loss, 1e-9) || !near(c.FloorM2, 3*h.Means.Houses[0].AreaM2, 1e-9) || c.Insulated {
		t.Errorf("together %+v lose %g W/K, apart %g", c, c.LossWK(), loss)
	}
	if list[0].Nights[2].TempC <= list[1].Nights[2].TempC {
		t.Error("the filled house is warmer than the shed")
	}
	night := b.Night(2).TempC
	if night <= list[1].Nights[2].TempC || night >= list[0].Nights[2].TempC {
		t.Errorf("together %.2f C, between %.2f and %.2f", night, list[1].Nights[2].TempC, list[0].Nights[2].TempC)
	}
}

func TestNightsAndDaysStrayAsThePlaceTells(t *testing.T) {
	h := plain(t, "forest")
	stray := &climate.Stray{}
	for m := range 12 {
		stray.DayC[m], stray.LowC[m], stray.HighC[m] = 5, 8, 4
	}
	usual := bookOf(h.Clone(), false)
	h.Place.Climate.Stray = stray
	b := bookOf(h, false)
	for slot := range measure.SlotsPerYear {
		if s := b.Week(slot); !near(s.NightSDC, 8, 1e-9) || !near(s.DaySDC, 4, 1e-9) || s.NightC != usual.Week(slot).NightC {
			t.Fatalf("slot %d: nights stray %g, days %g", slot, s.NightSDC, s.DaySDC)
		}
	}
	if b.Stray() != stray || usual.Stray() != nil {
		t.Error("the book hands on how the weather strays")
	}
}

// A told house that cannot be built, as only a change made by hand could bring, counts
// as a usual one of its area.
func TestAHouseThatCannotBeFallsBackOnItsArea(t *testing.T) {
	h := plain(t, "valley")
	want := *bookOf(h, false).Week(3)
	for _, b := range []housing.Build{{}, {LengthM: math.NaN(), WidthM: 2}, {LengthM: 2, WidthM: 2, WindowM2: 900},
		{LengthM: 2, WidthM: 3, Walls: housing.Section{Layers: []housing.Layer{{Material: "gingerbread", MM: 20}}}}} {
		g := h.Clone()
		g.Means.Houses[0].Build = &b
		got := *bookOf(g, false).Week(3)
		if math.IsNaN(got.NightC) || !near(got.NightC, want.NightC, 0.05) {
			t.Errorf("%+v gives %g C, usual is %g", b, got.NightC, want.NightC)
		}
	}
}
