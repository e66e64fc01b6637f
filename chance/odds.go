package chance

import "henyear/measure"

// Format is the version of the odds' JSON.
const Format = 1

// Odds is what thousands of lived-through plans came to. Shares and chances are
// between 0 and 1. Error is the Monte Carlo standard error of the figure beside
// it.
type Odds struct {
	Format     int              `json:"format"`
	Holding    string           `json:"holding"`
	AsOf       measure.Date     `json:"as_of"`
	From       measure.Date     `json:"from"`
	To         measure.Date     `json:"to"`
	Currency   measure.Currency `json:"currency"`
	Units      measure.Units    `json:"units"`
	Replicates int              `json:"replicates"`
	Seed       uint64           `json:"seed"`
	Generator  string           `json:"generator"` // name and version of the random generator and of the way it is used

	Risk   Risk        `json:"risk"`
	Weeks  []WeekOdds  `json:"weeks"`
	Months []MonthOdds `json:"months"` // calendar months of the plan, in order
	Years  []YearOdds  `json:"years"`  // calendar years of the plan, in order
	Chance []Event     `json:"chances"`
	Poor   Poor        `json:"poor_years"`
	Words  []Sentence  `json:"summary"` // plain sentences, read aloud

	// Outcomes holds one figure for each replicate, for whoever compares plans
	// under the same luck. It is not part of the JSON.
	Outcomes []Outcome `json:"-"`
}

// Sentence is a message with a stable code and arguments, for translation; Text
// is English. Source is a key of the bibliography or empty.
type Sentence struct {
	Code   string         `json:"code"`
	Args   map[string]any `json:"args,omitempty"`
	Text   string         `json:"text"`
	Source string         `json:"source,omitempty"`
}

// Risk is the share of simulated years with more short weeks than the household
// accepts. A week is short when eggs laid and eggs in store fall below the
// household's need before any are bought. Years of the plan that cover less
// than half a calendar year are left out.
type Risk struct {
	ShortWeeksAllowed int     `json:"short_weeks_allowed"` // K
	Accepted          float64 `json:"accepted"`            // share of years the household accepts
	Share             float64 `json:"share"`               // share of simulated years with more than K short weeks
	Error             float64 `json:"error"`
	Met               bool    `json:"met"`
}

// Range is a spread of outcomes: percentiles of the replicates, and their mean.
type Range struct {
	P05  float64 `json:"p05"`
	P25  float64 `json:"p25"`
	P50  float64 `json:"p50"`
	P75  float64 `json:"p75"`
	P95  float64 `json:"p95"`
	Mean float64 `json:"mean"`
}

// WeekOdds is one week of the plan over all replicates.
type WeekOdds struct {
	Week   string       `json:"week"` // ISO label
	Date   measure.Date `json:"date"` // Monday
	Eggs   Range        `json:"eggs"` // usable eggs laid, before any are set, eaten or sold
	Needed float64      `json:"needed"`
	Short  float64      `json:"chance_short"`
	Hens   Range        `json:"hens"` // laying age
}

// MonthOdds is one calendar month; a week belongs to the month of its Thursday.
type MonthOdds struct {
	Year   int     `json:"year"`
	Month  int     `json:"month"` // 1 to 12
	Eggs   Range   `json:"eggs"`
	Needed float64 `json:"needed"`
	Short  float64 `json:"chance_short"` // eggs laid and in store fall below the month's need
}

// YearOdds is one calendar year, or the part of it that the plan covers.
type YearOdds struct {
	Year       int     `json:"year"`
	Part       float64 `json:"part"`        // share of the year that is planned
	ShortWeeks Range   `json:"short_weeks"` // number of short weeks
	OverK      float64 `json:"share_over_allowed"`
	Eggs       Range   `json:"eggs"`
	EggsBought Range   `json:"eggs_bought"`
	WinterEggs Range   `json:"winter_eggs_a_week"` // the leanest thirteen weeks about the shortest day
	TableBirds Range   `json:"table_birds"`
	Chicks     Range   `json:"chicks_hatched"`
	Lost       Range   `json:"birds_lost"`          // died or taken, all ages
	Taken      Range   `json:"taken_by_predators"`  // of them
	Cost       Range   `json:"cost"`                // cash of the year in main units: outlay and eggs bought, less income
	FeedKg     Range   `json:"feed_kg"`             // feed bought
	HensWinter Range   `json:"hens_winter"`         // at 1 November (north), 1 May (south)
	Pullets    Range   `json:"new_pullets_winter"`  // of them hatched in the year before
	Missed     Range   `json:"promised_eggs_short"` // promised to customers and not there
}

// Event is the chance that something happens at least once in the horizon, and
// in a year of it on the mean.
type Event struct {
	Code  string  `json:"code"` // short_week, short_month, freezer_empty, no_cock, no_broody, too_many_birds, hatch_failed, raid, big_raid, illness, comb_frozen, power_cut
	What  string  `json:"what"`
	Share float64 `json:"share"`        // of replicates in which it happens
	Year  float64 `json:"share_a_year"` // of simulated years in which it happens
	Error float64 `json:"error"`        // of Share
}

// Poor tells what happened in the worst twentieth of the simulated years.
type Poor struct {
	Years      int        `json:"years"` // how many simulated years that is
	ShortWeeks float64    `json:"short_weeks"`
	Bought     float64    `json:"eggs_bought"`
	Cost       float64    `json:"cost"`
	Causes     []Cause    `json:"causes"` // the most telling first
	Words      []Sentence `json:"words"`
}

// Cause compares how often something happened in the poor years and in all.
type Cause struct {
	Code string  `json:"code"` // year_effect, hatch, raids, illness, losses, weather, broody, cock, hens
	What string  `json:"what"`
	Poor float64 `json:"share_of_poor_years"`
	All  float64 `json:"share_of_all_years"`
}

// Outcome sums one replicate.
type Outcome struct {
	Eggs       float64 // usable, whole horizon
	WinterEggs float64 // of the leanest thirteen weeks of each winter
	Bought     float64
	Cost       float64 // main units, whole horizon
	ShortWeeks int
	YearsOver  int // years with more than K short weeks
	Years      int // years that count
}

// Matters says which luck makes the spread of a plan: for each kind of luck the
// share of the variance that vanishes when it alone is fixed (First), and the
// share that is left when all else is fixed (Total), by a variance-based analysis
// with common random numbers.
type Matters struct {
	Replicates int        `json:"replicates"` // of each of the paired runs
	Seed       uint64     `json:"seed"`
	Eggs       []Share    `json:"eggs"`        // of eggs in the whole horizon
	Winter     []Share    `json:"winter_eggs"` // of eggs in the lean weeks
	Cost       []Share    `json:"cost"`
	Words      []Sentence `json:"words"`
}

// Share is one kind of luck.
type Share struct {
	Code  string  `json:"code"` // hatch, predators, weather, hens, year, illness
	What  string  `json:"what"`
	First float64 `json:"first"`
	Total float64 `json:"total"`
	Error float64 `json:"error"` // of Total
}
