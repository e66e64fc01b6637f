package report

import (
	"math"
	"time"

	"henyear/advise"
	"henyear/bird"
	"henyear/breed"
	"henyear/climate"
	"henyear/course"
	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
	"henyear/plan"
	"henyear/source"
)

// PlaceAnswer is all that is told of a place: its weather, light, the air of its
// houses, what standards ask, and what cold, heat, mud and hawks do to the birds
// that the household has or can get. Figures are metric, with the unit in the name;
// the page, the command and the file are three ways to read the same answer.
type PlaceAnswer struct {
	Format   int              `json:"format"`
	Holding  string           `json:"holding"`
	Units    measure.Units    `json:"units"` // in which the texts are written
	Currency measure.Currency `json:"currency"`

	Weather  PlaceWeather        `json:"weather"`
	Light    PlaceLight          `json:"light"`
	Flock    PlaceFlock          `json:"flock"`
	Houses   []PlaceHouse        `json:"houses"`
	Needs    []PlaceNeed         `json:"needs"`
	Combs    []PlaceComb         `json:"combs"`
	Bodies   []PlaceBody         `json:"bodies"`
	Winter   []PlaceWinterWeek   `json:"winter"`
	Confined *advise.Confinement `json:"confined,omitempty"` // nil until there is a plan
	Workings []PlaceWorking      `json:"workings"`
	Sources  []source.Entry      `json:"sources"` // of all that stands here, by key

	place climate.Place
	year  climate.Year
}

// PlaceFlock is the birds for which houses are judged.
type PlaceFlock struct {
	Count float64 `json:"count"`
	Kg    float64 `json:"kg_each"`
	// From says whose number it is: "hand", birds on hand, or "floor", as many as
	// the houses carry, where there are none.
	From  string          `json:"from"`
	Stock []housing.Stock `json:"-"`
}

// PlaceWeather is the year outdoors. Dates are days of a usual year.
type PlaceWeather struct {
	Name         string  `json:"name"`
	LatitudeDeg  float64 `json:"latitude_deg"`
	LongitudeDeg float64 `json:"longitude_deg"`
	AltitudeM    float64 `json:"altitude_m"`
	Class        string  `json:"class"` // Koppen-Geiger
	Zone         string  `json:"hardiness_zone"`
	// ExtremeC is the coldest night of a usual year; Told: the keeper or the
	// catalogue gave it, else it is estimated from the coldest month.
	ExtremeC    float64 `json:"extreme_low_c"`
	ExtremeTold bool    `json:"extreme_low_told"`
	FrostNights float64 `json:"frost_nights_a_year"`
	HotDays     float64 `json:"days_above_32_c_a_year"`
	// FrostFree is the run of weeks that see a frost in fewer than one year in two.
	FrostFree  PlaceSeason   `json:"frost_free"`
	GrassGrows PlaceSeason   `json:"grass_grows"`
	Spread     string        `json:"spread_from"` // "record" of this place, or "rule"
	Months     []PlaceMonth  `json:"months"`
	Weeks      []PlaceWeekOf `json:"weeks"`
}

// PlaceSeason is a run of weeks; Weeks is 0 for none and 52 for all year.
type PlaceSeason struct {
	Weeks int    `json:"weeks"`
	From  string `json:"from,omitempty"` // "--04-20", month and day
	To    string `json:"to,omitempty"`

	season climate.Season
}

// PlaceMonth is the means of a month, January first.
type PlaceMonth struct {
	Month       int     `json:"month"`
	HighC       float64 `json:"high_c"`
	LowC        float64 `json:"low_c"`
	HumidityPct float64 `json:"humidity_pct"`
	RainMM      float64 `json:"rain_mm"`
}

// PlaceWeekOf is one of 52 weeks from 1 January.
type PlaceWeekOf struct {
	Week        int     `json:"week"` // 0 to 51
	HighC       float64 `json:"high_c"`
	LowC        float64 `json:"low_c"`
	SpreadC     float64 `json:"spread_c"` // standard deviation of one day
	FrostNights float64 `json:"frost_nights"`
	HotDays     float64 `json:"hot_days"`
	SunH        float64 `json:"sun_h"`
	WindowH     float64 `json:"window_h"` // behind windows
	CivilH      float64 `json:"civil_h"`  // dawn to dusk
}

// PlaceOf reckons all that is told of the place of a holding. With a plan of this
// holding it also tries the plan's winters indoors; p may be nil. It takes a
// fifth of a second, so that callers keep the answer.
func PlaceOf(h *holding.Holding, p *plan.Plan) *PlaceAnswer {
	c := h.Place.Climate
	a := &PlaceAnswer{Format: 1, Holding: h.Name, Units: h.Units, Currency: h.Currency, place: c, year: c.Year()}
	book := course.New(h, h.Means.Lights == "on", bird.NewRates())
	a.weather(h)
	a.light(h)
	a.flock(h, book)
	a.houses(h, book)
	a.needs(h)
	a.combs(h, book)
	a.bodies(h, book)
	a.workings(h, book)
	a.cite()
	if p != nil {
		a.Confine(h, p)
	}
	return a
}

// Confine tries the winters of a plan with all birds shut in. A plan of another
// holding is passed over.
func (a *PlaceAnswer) Confine(h *holding.Holding, p *plan.Plan) {
	if c, err := advise.Confined(h, p); err == nil {
		a.Take(c)
	}
}

// Take takes over winters that were tried before.
func (a *PlaceAnswer) Take(c *advise.Confinement) {
	a.Confined = c
	a.cite()
}

func (a *PlaceAnswer) weather(h *holding.Holding) {
	c := a.place
	w := &a.Weather
	*w = PlaceWeather{Name: c.Name, LatitudeDeg: c.LatitudeDeg, LongitudeDeg: c.LongitudeDeg, AltitudeM: c.AltitudeM,
		Class: c.Class(), Zone: climate.HardinessZone(c.ExtremeMin()), ExtremeC: c.ExtremeMin(), ExtremeTold: c.ExtremeMinC != 0,
		FrostFree: seasonOf(a.year.FrostFree()), GrassGrows: seasonOf(a.year.GrassGrows()), Spread: "rule"}
	if c.Stray != nil {
		w.Spread = "record"
	}
	humidity := c.Humidity()
	for m := range 12 {
		w.Months = append(w.Months, PlaceMonth{m + 1, c.MaxC[m], c.MinC[m], humidity[m], c.RainMM[m]})
	}
	for i, n := range a.year {
		w.FrostNights += n.FrostNights
		w.HotDays += n.HotDays
		w.Weeks = append(w.Weeks, PlaceWeekOf{i, n.MaxC, n.MinC, n.SDDayC, n.FrostNights, n.HotDays, n.SunH, n.WindowH, n.CivilH})
	}
}

func seasonOf(s climate.Season) PlaceSeason {
	out := PlaceSeason{Weeks: s.Weeks, season: s}
	if s.Weeks > 0 && s.Weeks < measure.SlotsPerYear {
		out.From = slotDay(s.FirstSlot, -3).Format("--01-02")
		out.To = slotDay((s.FirstSlot+s.Weeks-1)%measure.SlotsPerYear, 3).Format("--01-02")
	}
	return out
}

// slotDay is a day of a common year about the middle of a slot.
func slotDay(slot, after int) time.Time {
	return time.Date(2025, 1, measure.SlotMiddle(slot)+after, 12, 0, 0, 0, time.UTC)
}

// Words tells a season as a reader would: from 24 April to 14 October.
func (s PlaceSeason) Words() string {
	switch {
	case s.Weeks == 0:
		return say("place.season.never")
	case s.Weeks >= measure.SlotsPerYear:
		return say("place.season.always")
	}
	date := func(t time.Time) string {
		return DayMonth(measure.DateOf(t))
	}
	first := s.season.FirstSlot
	return say("place.season", date(slotDay(first, -3)), date(slotDay((first+s.Weeks-1)%measure.SlotsPerYear, 3)))
}

// usualHenKg is the hen that stands in where no birds are on hand.
const usualHenKg = 2.5

// flock is the birds on hand; without any as many hens as the floor carries.
func (a *PlaceAnswer) flock(h *holding.Holding, _ *course.Book) {
	f := &a.Flock
	f.From = "hand"
	for _, g := range h.Birds {
		r, err := breed.Find(g.Breed)
		if err != nil || g.Number <= 0 {
			continue
		}
		class, kg := housing.ClassOf(g.Sex == bird.Cock, r.HenKg), r.HenKg
		if g.Sex == bird.Cock {
			kg = r.CockKg
		}
		if r.Purpose == breed.Meat {
			class = "meat"
		}
		age := grownHenWeeks
		if !g.Hatched.IsZero() && !h.AsOf.IsZero() {
			age = max(0, h.AsOf.DaysSince(g.Hatched)/7)
		}
		f.Stock = append(f.Stock, housing.Stock{Class: class, AgeWeeks: age, Kg: kg, Count: float64(g.Number)})
		f.Count += float64(g.Number)
		f.Kg += kg * float64(g.Number)
	}
	if f.Count > 0 {
		f.Kg /= f.Count
		return
	}
	n := 0
	for _, house := range h.Means.Houses {
		n += house.HensThatFit()
	}
	*f = PlaceFlock{Count: float64(n), Kg: usualHenKg, From: "floor"}
	if n > 0 {
		f.Stock = []housing.Stock{{Class: "hen", AgeWeeks: grownHenWeeks, Kg: usualHenKg, Count: f.Count}}
	}
}

// grownHenWeeks is the age of birds whose hatching day is not known.
const grownHenWeeks = 52

// orZero keeps a figure that does not exist out of the file.
func orZero(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return x
}
