package report

import (
	"math"

	"henyear/advise"
	"henyear/course"
	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
)

// PlaceHouse is the air of one house with the birds that sleep in it.
type PlaceHouse struct {
	Name      string  `json:"name"`
	FloorM2   float64 `json:"floor_m2"`
	Insulated bool    `json:"insulated"`
	OpenSided bool    `json:"open_sided"`
	Built     bool    `json:"layers_told"` // the keeper told what it is made of
	LossWK    float64 `json:"loss_w_k"`    // warmth that leaves through walls, roof and floor
	VentM2    float64 `json:"vents_m2"`    // all openings that can be set
	VentsTold bool    `json:"vents_told"`
	Birds     float64 `json:"birds"`
	BirdKg    float64 `json:"bird_kg"`

	Cold  PlaceDay    `json:"coldest_day"`
	Hot   PlaceDay    `json:"hottest_day"`
	Vents []PlaceVent `json:"vents_by_temperature"`
	Shut  PlaceShut   `json:"vents_shut"`
	Heat  []PlaceHeat `json:"heat_of_birds"`
	Beds  []PlaceBed  `json:"beds"`

	coop  housing.Coop
	birds []housing.Occupant
	steps []housing.VentStep
	bed   housing.Litter
}

// PlaceDay is a day hour by hour, with the vents as advised for its night and its
// light hours.
type PlaceDay struct {
	LowC        float64     `json:"low_c"`
	HighC       float64     `json:"high_c"`
	NightOpenM2 float64     `json:"night_open_m2"`
	DayOpenM2   float64     `json:"day_open_m2"`
	Hours       []PlaceHour `json:"hours"`
}

// PlaceHour is the house at a full hour.
type PlaceHour struct {
	Hour        float64 `json:"hour"`
	OutC        float64 `json:"out_c"`
	InC         float64 `json:"in_c"`
	HumidityPct float64 `json:"humidity_pct"` // over ice below 0 C
	Light       bool    `json:"light"`
	FallingGH   float64 `json:"water_falling_out_g_h"`
	WindowWet   bool    `json:"window_wet"` // or frosted
	WallWet     bool    `json:"wall_wet"`
	RoofWet     bool    `json:"roof_wet"`
	BirdsDamp   bool    `json:"birds_damp"`
	CO2ppm      float64 `json:"co2_ppm"`
	AirM3h      float64 `json:"air_m3_h"`
}

// PlaceVent is how far to open at one temperature outdoors.
type PlaceVent struct {
	OutC        float64  `json:"out_c"`
	OpenM2      float64  `json:"open_m2"`
	WantM2      float64  `json:"want_m2"` // more than there are: the goal is not reached
	Share       float64  `json:"share"`   // of the vents there are
	Goal        string   `json:"goal"`    // dry, driest, no-fog, all-open, open-side
	Enough      bool     `json:"enough"`
	InC         float64  `json:"in_c"`
	HumidityPct float64  `json:"humidity_pct"`
	FallingGH   float64  `json:"water_falling_out_g_h"`
	AirM3h      float64  `json:"air_m3_h"`
	CO2ppm      float64  `json:"co2_ppm"`
	BirdsDamp   bool     `json:"birds_damp"`
	Codes       []string `json:"advice"`
}

// PlaceShut is what shut vents would do on the coldest night, against the vents
// advised.
type PlaceShut struct {
	OutC      float64 `json:"out_c"`
	WarmerK   float64 `json:"warmer_k"`
	FallingGH float64 `json:"water_falling_out_g_h"`
	OpenGH    float64 `json:"with_vents_open_g_h"`
	CO2ppm    float64 `json:"co2_ppm"`
}

// PlaceHeat is what all birds of a house give off at one temperature of its air.
type PlaceHeat struct {
	AirC     float64 `json:"air_c"`
	HeatW    float64 `json:"heat_w"`
	WarmthW  float64 `json:"warmth_of_air_w"` // the part that warms the air
	VapourGH float64 `json:"water_g_h"`
}

// PlaceBed is the litter and the air over it in the usual weather of one week.
type PlaceBed struct {
	Season   string  `json:"season"` // coldest, warmest
	MeanC    float64 `json:"mean_c"`
	InC      float64 `json:"in_c"`
	DepthM   float64 `json:"depth_m"`
	AddedKg  float64 `json:"water_added_kg_a_day"`
	DriedKg  float64 `json:"water_dried_kg_a_day"`
	CakeDays float64 `json:"days_to_cake"` // below zero: never
	Ammonia  string  `json:"ammonia"`      // frozen, low, some, high
	FromPPM  float64 `json:"ammonia_from_ppm"`
	ToPPM    float64 `json:"ammonia_to_ppm"`
	RiseGKg  float64 `json:"water_rise_g_kg"`
	CO2ppm   float64 `json:"co2_ppm"`

	advice housing.Advice
	air    housing.Inside
}

// PlaceWinterWeek is a week of the 22 coldest with every bird of the fullest house
// shut in and the litter left alone.
type PlaceWinterWeek struct {
	House     string  `json:"house"`
	WeekOf    string  `json:"week_of"`
	LowC      float64 `json:"low_c"`
	InNightC  float64 `json:"in_night_c"`
	BirdsDamp bool    `json:"birds_damp"`
	LitterPct float64 `json:"litter_pct"`
	Ammonia   string  `json:"ammonia"`

	slot int
}

// houses reckons the air of every house of the file.
func (a *PlaceAnswer) houses(h *holding.Holding, book *course.Book) {
	for i, air := range book.Houses() {
		house := h.Means.Houses[i]
		p := PlaceHouse{Name: air.Name, FloorM2: house.AreaM2, Insulated: air.Coop.Insulated, OpenSided: air.Coop.OpenSided,
			Built: house.Build != nil, VentsTold: house.Build != nil && house.Build.Vents.AreaM2 > 0,
			coop: air.Coop, birds: air.Birds, bed: course.BedOf(house)}
		for _, o := range air.Birds {
			p.Birds += o.Count
			p.BirdKg += o.Count * o.Kg
		}
		p.LossWK, p.VentM2 = p.coop.LossWK(), p.coop.VentAreaM2()
		if p.Birds > 0 {
			p.BirdKg /= p.Birds
			p.reckon(a)
		}
		a.Houses = append(a.Houses, p)
	}
	a.winter()
}

func (p *PlaceHouse) reckon(a *PlaceAnswer) {
	cold, hot := housing.ColdestDay(a.place), housing.HottestDay(a.place)
	first, last := max(coldestC, 5*math.Floor(min(cold.LowC, 0)/5)), min(hottestC, 5*math.Ceil(max(hot.HighC, 20)/5))
	for out := first; out <= last; out += 5 {
		s := housing.VentStepAt(p.coop, p.birds, out, housing.VentWeather{})
		p.steps = append(p.steps, s)
		p.Vents = append(p.Vents, ventOf(s))
	}
	p.Cold, p.Hot = p.day(cold), p.day(hot)
	p.shut(cold.LowC)
	for _, air := range []float64{-20, 0, 20, 30} {
		for _, row := range housing.HeatTable(p.birds[0], false, air) {
			p.Heat = append(p.Heat, PlaceHeat{air, p.Birds * row.TotalW, p.Birds * row.SensibleW, p.Birds * row.VapourGH})
		}
	}
	coldest, warmest := 0, 0
	for slot, w := range a.year {
		if w.MeanC < a.year[coldest].MeanC {
			coldest = slot
		}
		if w.MeanC > a.year[warmest].MeanC {
			warmest = slot
		}
	}
	p.Beds = []PlaceBed{p.bedIn(a, "coldest", coldest), p.bedIn(a, "warmest", warmest)}
}

// The air of a house is reckoned within these temperatures outdoors.
const coldestC, hottestC = -45, 45

func ventOf(s housing.VentStep) PlaceVent {
	v := PlaceVent{OutC: s.OutC, OpenM2: s.OpenM2, WantM2: orZero(s.NeedM2), Share: s.Share, Goal: s.Goal, Enough: s.Enough, InC: s.TempC,
		HumidityPct: s.HumidityPct, FallingGH: s.CondensingGH, AirM3h: s.VentM3h, CO2ppm: s.CO2ppm, BirdsDamp: s.Fog}
	for _, advice := range s.Advice {
		v.Codes = append(v.Codes, advice.Code)
	}
	return v
}

// openAt is the opening advised at a temperature.
func (p *PlaceHouse) openAt(outC float64) float64 {
	return housing.VentStepAt(p.coop, p.birds, outC, housing.VentWeather{}).OpenM2
}

// day sets the vents as advised for the low by night, and by day for the high if that
// wants them wider.
func (p *PlaceHouse) day(w housing.DayWeather) PlaceDay {
	d := PlaceDay{LowC: w.LowC, HighC: w.HighC, NightOpenM2: p.openAt(w.LowC), DayOpenM2: p.openAt(w.HighC)}
	d.DayOpenM2 = max(d.DayOpenM2, d.NightOpenM2)
	set := func(m2 float64) float64 {
		if m2 <= 0 {
			return -1
		}
		return m2
	}
	w.OpenNightM2, w.OpenDayM2 = set(d.NightOpenM2), set(d.DayOpenM2)
	for _, at := range p.coop.Day(p.birds, w) {
		d.Hours = append(d.Hours, PlaceHour{Hour: at.Hour, OutC: at.OutC, InC: at.TempC, HumidityPct: at.HumidityPct, Light: at.Lit,
			FallingGH: at.CondensingGH, WindowWet: at.WindowWet, WallWet: at.WallWet, RoofWet: at.RoofWet, BirdsDamp: at.Fog, CO2ppm: at.CO2ppm, AirM3h: at.VentM3h})
	}
	return d
}

func (p *PlaceHouse) shut(outC float64) {
	if p.OpenSided {
		return
	}
	w := housing.Weather{OutC: outC, HumidityPct: housing.UsualHumidityPct(outC), WindMS: usualVentWindMS}
	open := p.coop.AtOpening(w, p.birds, p.openAt(outC), housing.NightShare)
	shut := p.coop.AtOpening(w, p.birds, 0, housing.NightShare)
	p.Shut = PlaceShut{OutC: outC, WarmerK: shut.TempC - open.TempC, FallingGH: shut.CondensingGH, OpenGH: open.CondensingGH, CO2ppm: shut.CO2ppm}
}

// usualVentWindMS is the light air for which vents are set.
const usualVentWindMS = 2

// bedIn is the litter in the usual weather of a slot, its vents as advised for the
// usual night, all birds inside.
func (p *PlaceHouse) bedIn(a *PlaceAnswer, season string, slot int) PlaceBed {
	w := a.year[slot]
	open := p.openAt(w.MinC)
	if season == "warmest" {
		open = p.openAt(w.MeanC)
	}
	air := p.coop.AtOpening(housing.Weather{OutC: w.MeanC, HumidityPct: w.HumidityPct, WindMS: w.WindMS}, p.birds, open, 1)
	day := p.bed.After(p.coop, p.birds, air)
	ammonia := housing.AmmoniaOf(air, max(p.bed.MoisturePct, freshBedPct))
	depth := p.bed.DepthM
	if depth == 0 {
		depth = usualBedM
	}
	return PlaceBed{Season: season, MeanC: w.MeanC, InC: air.TempC, DepthM: depth, AddedKg: day.AddedKg, DriedKg: day.DriedKg, CakeDays: day.DaysToCake,
		Ammonia: ammonia.Class, FromPPM: ammonia.FromPPM, ToPPM: ammonia.PPM, RiseGKg: air.RiseGKg, CO2ppm: air.CO2ppm, advice: ammonia.Advice, air: air}
}

const (
	freshBedPct = 20
	usualBedM   = 0.10
)

// winter shuts the birds of the house that is fullest in for the coldest weeks.
func (a *PlaceAnswer) winter() {
	at := -1
	for i, p := range a.Houses {
		if p.Birds > 0 && !p.OpenSided && (at < 0 || p.Birds > a.Houses[at].Birds) {
			at = i
		}
	}
	if at < 0 {
		return
	}
	p := &a.Houses[at]
	for _, w := range housing.ConfinedWinter(p.coop, p.birds, a.year, advise.ConfinedWeeks, p.bed) {
		a.Winter = append(a.Winter, PlaceWinterWeek{House: p.Name, WeekOf: slotDay(w.Slot, 0).Format("--01-02"), LowC: w.LowC, InNightC: w.Vent.TempC,
			BirdsDamp: w.Vent.Fog, LitterPct: w.LitterPct, Ammonia: w.Ammonia.Class, slot: w.Slot})
	}
}

// Words of a house: what it is and what stands in it.
func (p *PlaceHouse) Words(u measure.Units) string {
	kind := "place.kind.boarded"
	switch {
	case p.OpenSided:
		kind = "place.kind.open"
	case p.Insulated:
		kind = "place.kind.insulated"
	}
	vents := say("place.vents.usual", opening(u, p.VentM2))
	switch {
	case p.OpenSided:
		vents = say("place.vents.open")
	case p.VentsTold:
		vents = say("place.vents.told", opening(u, p.VentM2))
	}
	return say("place.house.words", say(kind), area(u, p.FloorM2), whole(p.Birds), Quantity(u, measure.MassKg, p.BirdKg, 1), vents)
}

func decimalsBelow(x, limit float64) int {
	if x < limit && math.Abs(x-math.Round(x)) > 0.05 {
		return 1
	}
	return 0
}
