package course

import (
	"time"

	"henyear/bird"
	"henyear/source"
)

// What the place does to a bird's comb, wattles, body and feet in a steady year.
// Every figure can be opened: it carries its working.

// A Figure is a number with its range, and how it was reckoned. Low, Best and
// High are equal where no range is known.
type Figure struct {
	bird.Range
	Unit    string         `json:"unit"` // nights, days, hours, eggs, kg or birds; of a year unless the working says otherwise
	Working source.Working `json:"working"`
}

// CombLimit is the air in which a comb freezes in one wind. The high end of a
// range, the mildest air, is that of a bird with little blood in its comb.
type CombLimit struct {
	WindMS  float64    `json:"wind_m_s"` // 0.1 is a still perch
	OnsetC  bird.Range `json:"onset_c"`  // the tip begins to be able to freeze
	LikelyC bird.Range `json:"likely_c"` // a night that counts: freezing is likely
}

// CombRow is one kind of comb on this holding, on a grown bird at the perch.
type CombRow struct {
	Comb     string      `json:"comb"` // single, rose, pea, walnut, cushion, strawberry, buttercup, v, carnation
	Size     int         `json:"size"` // 1 small, 2 medium, 3 large (of the breed's cock)
	Sex      bird.Sex    `json:"-"`
	SexName  string      `json:"sex"` // hen or cock
	BladeMM  float64     `json:"blade_mm"`
	ThickMM  float64     `json:"thick_mm"`
	WattleMM float64     `json:"wattle_mm"`
	Limits   []CombLimit `json:"limits"` // still perch, 1 m/s, 2 m/s; dry comb

	Nights       bird.Range     `json:"nights"`        // a year, at the perch of this house
	WattleNights bird.Range     `json:"wattle_nights"` // a year, of wattles of the same size
	MonthNights  [12]float64    `json:"month_nights"`  // best figure, January to December
	WorstMonth   time.Month     `json:"worst_month"`   // 0 where no night threatens
	RuledOut     bool           `json:"ruled_out"`     // the place is too cold for such a comb
	Working      source.Working `json:"working"`       // of Nights
}

// Body is what a year here does to a grown bird of one breed, strain and sex.
type Body struct {
	Breed  string   `json:"breed"`
	Strain string   `json:"strain"`
	Sex    bird.Sex `json:"-"`

	CombNights   Figure `json:"comb_nights"`
	WattleNights Figure `json:"wattle_nights"`

	HeatDays    Figure `json:"heat_days"`    // on which heat strains it
	HeatHours   Figure `json:"heat_hours"`   // in which it does
	HeatEggs    Figure `json:"heat_eggs"`    // a hen lays fewer for the heat, in a year kept
	HeatDressed Figure `json:"heat_dressed"` // kg a table bird is lighter for the heat, mean of starts over the year
	HeatLives   Figure `json:"heat_lives"`   // birds of ten lost to heat in a year (of meat birds: by butchering)

	ColdFeed    Figure `json:"cold_feed"`    // kg more that it eats for the cold, in a year kept (a meat bird: to butchering)
	ColdEggs    Figure `json:"cold_eggs"`    // a hen lays fewer for the cold
	ColdDressed Figure `json:"cold_dressed"` // kg a table bird is lighter for the cold

	MudDays   Figure `json:"mud_days"`   // out on muddy ground, of birds with feathered legs; else 0
	CrestDays Figure `json:"crest_days"` // out in rain, of birds with a crest; else 0
	HawkLoss  Figure `json:"hawk_loss"`  // birds of ten taken by hawks in a year
	HawkTimes Figure `json:"hawk_times"` // how many times as easily taken as a usual bird
}
