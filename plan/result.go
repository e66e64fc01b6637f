package plan

import "henyear/measure"

// A Plan is the answer for one holding. Money is in minor units of Currency;
// an expectation carries its spread as Low and High, the 10th and 90th
// percentile of a normal approximation.
type Plan struct {
	Format        int              `json:"format"`
	Holding       string           `json:"holding"`
	AsOf          measure.Date     `json:"as_of"`
	From          measure.Date     `json:"from"`
	To            measure.Date     `json:"to"`
	Currency      measure.Currency `json:"currency"`
	Units         measure.Units    `json:"units"`
	Cost          float64          `json:"cost"`         // objective of the best plan, main units of money: outlay less income, shortfalls at their price
	Bound         float64          `json:"bound"`        // no plan of the programme as written can cost less
	Gap           float64          `json:"gap"`          // (cost - bound) / gross outlay
	GrossOutlay   float64          `json:"gross_outlay"` // before income
	SolveSeconds  float64          `json:"solve_seconds"`
	Status        string           `json:"status"`        // "within gap", "work limit", "stopped by the clock", "cancelled"; "searching" while it goes on
	FirstSeconds  float64          `json:"first_seconds"` // until the first full plan was there
	Lights        bool             `json:"lights"`
	Summary       []Sentence       `json:"summary"` // read aloud
	Batches       []Batch          `json:"batches"`
	Weeks         []WeekRow        `json:"weeks"`
	Years         []YearRow        `json:"years"`
	Tasks         []Task           `json:"tasks"` // the dated work, in order
	Binding       []Binding        `json:"binding"`
	Shortfalls    []Shortfall      `json:"shortfalls"`
	Worth         []Worth          `json:"worth"`
	Shop          Shop             `json:"shop"`
	NotConsidered []Sentence       `json:"not_considered"`
	Warnings      []Sentence       `json:"warnings"`
	Size          ModelSize        `json:"model"`
	Margin        MarginUse        `json:"margin,omitzero"` // safety asked for; left out of a plain plan

	// Point is the answer by the names of the programme's columns: a first plan
	// for the next solve of the same or a slightly changed holding.
	Point map[string]float64 `json:"-"`
}

// Sentence is a message with a stable code, for translation; Text is English.
type Sentence struct {
	Code   string         `json:"code"`
	Args   map[string]any `json:"args,omitempty"`
	Text   string         `json:"text"`
	Source string         `json:"source,omitempty"` // key in the bibliography
}

// Batch is one lot of birds that begins on one date: a hatch, a purchase, or a
// group on hand. Counts are planned whole birds.
type Batch struct {
	ID        string       `json:"id"`
	Breed     string       `json:"breed"`
	BreedName string       `json:"breed_name"`
	Strain    string       `json:"strain"`
	Source    string       `json:"source"` // "on hand", "own eggs, machine", "own eggs, broody hen", "hatching eggs, machine", "hatching eggs, broody hen", "chicks", "pullet chicks", "started pullets", "cock"
	Set       measure.Date `json:"set,omitzero"`
	Hatched   measure.Date `json:"hatched"`
	EggsSet   int          `json:"eggs_set"`
	Chicks    float64      `json:"chicks"` // expected hatched or bought, both sexes; for groups on hand the number
	Pullets   float64      `json:"pullets"`
	Cockerels float64      `json:"cockerels"`
	Fates     []Fate       `json:"fates"`
	FirstEgg  measure.Date `json:"first_egg,omitzero"` // date by which half the pullets lay
}

// Fate is what becomes of some birds of a batch.
type Fate struct {
	Sex       string       `json:"sex"`  // hen, cock, both
	What      string       `json:"what"` // "table", "layer", "breeding cock", "sold as chick", "sold as started pullet", "sold as cockerel", "given", "culled for the pot", "kept to the end"
	On        measure.Date `json:"on"`
	Birds     float64      `json:"birds"`
	DressedKg float64      `json:"dressed_kg"` // each
}

// WeekRow is one week of the plan.
type WeekRow struct {
	Week          string        `json:"week"`          // ISO label
	Date          measure.Date  `json:"date"`          // Monday
	EggsExpected  float64       `json:"eggs_expected"` // usable, before use
	EggsLow       float64       `json:"eggs_low"`
	EggsHigh      float64       `json:"eggs_high"`
	EggsNeeded    float64       `json:"eggs_needed"` // household
	EggsSold      float64       `json:"eggs_sold"`
	EggsSet       float64       `json:"eggs_set"`
	EggsFromStore float64       `json:"eggs_from_store"`
	EggsFrozen    float64       `json:"eggs_frozen"`
	EggsBought    float64       `json:"eggs_bought"` // shortfall met at the shop
	EggsSpare     float64       `json:"eggs_spare"`
	Birds         float64       `json:"birds"`
	Hens          float64       `json:"hens"`
	Pullets       float64       `json:"pullets"` // hens in their first laying year
	Cocks         float64       `json:"cocks"`
	Chicks        float64       `json:"chicks"` // under six weeks
	Growers       float64       `json:"growers"`
	InLay         float64       `json:"in_lay"`
	Moulting      float64       `json:"moulting"`
	Pens          []PenUse      `json:"pens"`
	FeedKg        float64       `json:"feed_kg"` // bought
	FreezerL      float64       `json:"freezer_l"`
	TableBirds    float64       `json:"table_birds"` // butchered
	TableKg       float64       `json:"table_kg"`
	MinutesADay   float64       `json:"minutes_a_day"`
	Money         measure.Money `json:"money_minor"` // outlay less income
	WaterL        float64       `json:"water_l_a_day"`
}

// PenUse says who lives in a pen.
type PenUse struct {
	Pen   string  `json:"pen"`
	Who   string  `json:"who"`
	Birds float64 `json:"birds"`
}

// YearRow sums a calendar year (split by day).
type YearRow struct {
	Year         int           `json:"year"`
	Part         float64       `json:"part"` // share of the year that is planned
	Eggs         float64       `json:"eggs"`
	EggsPerHen   float64       `json:"eggs_per_hen"` // a hen kept
	EggsBought   float64       `json:"eggs_bought"`
	TableBirds   float64       `json:"table_birds"`
	TableKg      float64       `json:"table_kg"`
	FeedKg       float64       `json:"feed_kg"`
	FeedCost     measure.Money `json:"feed_cost_minor"`
	OtherCost    measure.Money `json:"other_cost_minor"`
	Income       measure.Money `json:"income_minor"`
	HensNov      float64       `json:"hens_winter"` // at 1 November (north), 1 May (south)
	NewPullets   float64       `json:"new_pullets_winter"`
	Cocks        float64       `json:"cocks_winter"`
	EggsSet      float64       `json:"eggs_set"`
	LeanestWeek  float64       `json:"leanest_week_eggs"` // mean of the leanest four weeks
	LeanestMonth string        `json:"leanest_month"`
	BestWeek     float64       `json:"best_week_eggs"`
	BestMonth    string        `json:"best_month"`
	CostPerDozen measure.Money `json:"cost_per_dozen_minor"`
}

// Task is one job on a date.
type Task struct {
	On      measure.Date `json:"on"`
	Kind    string       `json:"kind"` // save eggs, set, candle, hatch, buy, part cockerels, move, butcher, cull, sell, join cock
	Batch   string       `json:"batch,omitempty"`
	Text    string       `json:"text"`
	Caution string       `json:"caution,omitempty"`
}

// Binding is a limit that the plan runs against.
type Binding struct {
	What  Sentence     `json:"what"`
	From  measure.Date `json:"from"`
	To    measure.Date `json:"to"`
	Limit float64      `json:"limit"`
	Unit  string       `json:"unit"`
}

// Shortfall is a need that the plan does not meet, and the least change that
// would help where one was found.
type Shortfall struct {
	What   Sentence     `json:"what"`
	From   measure.Date `json:"from"`
	To     measure.Date `json:"to"`
	Amount float64      `json:"amount"`
	Unit   string       `json:"unit"`
	Help   Sentence     `json:"help"`
}

// Worth is what one change would be worth over the horizon: the plan solved
// again, as an interval from both bounds. Known is false where the interval
// includes zero.
type Worth struct {
	Code  string  `json:"code"`
	What  string  `json:"what"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Known bool    `json:"known"`
	Text  string  `json:"text"`
}

// Shop is the honest alternative: no flock, everything bought.
type Shop struct {
	PerYear      float64  `json:"per_year"`
	Eggs         float64  `json:"eggs_a_year"`
	MeatKg       float64  `json:"meat_kg_a_year"`
	FlockPerYear float64  `json:"flock_per_year"` // the plan, cash, shortfalls at the single shop price
	Text         Sentence `json:"text"`
}

// ModelSize is the programme's size.
type ModelSize struct {
	Columns  int `json:"columns"`
	Integers int `json:"integers"` // columns that must be whole
	Rows     int `json:"rows"`
	NonZeros int `json:"non_zeros"`
}

// BreedYear is the household's steady year with one breed (or a pair of a layer
// and a meat bird) alone.
type BreedYear struct {
	ID           string      `json:"id"` // breed id, or layer+meat
	Name         string      `json:"name"`
	Purpose      string      `json:"purpose"`
	Strain       string      `json:"strain"`
	Available    bool        `json:"available"` // marked by the keeper as to be had
	LeanestEggs  float64     `json:"leanest_month_eggs_a_week"`
	LeanestMonth string      `json:"leanest_month"`
	BestEggs     float64     `json:"best_month_eggs_a_week"`
	BestMonth    string      `json:"best_month"`
	MonthlyEggs  [12]float64 `json:"monthly_eggs_a_week"`
	EggsPerHen   float64     `json:"eggs_a_hen_kept"`
	DressedKg    float64     `json:"dressed_kg_a_year"`
	TableBirds   float64     `json:"table_birds_a_year"`
	Hens         float64     `json:"hens"`
	Cocks        float64     `json:"cocks"`
	Hatched      float64     `json:"chicks_hatched"`
	Bought       float64     `json:"birds_bought"`
	FeedKg       float64     `json:"feed_kg"`
	FeedCost     float64     `json:"feed_cost"`
	Cost         float64     `json:"cost"` // net, shortfalls at their price
	CashCost     float64     `json:"cash_cost"`
	EggsShort    float64     `json:"eggs_short"`
	MeatShort    float64     `json:"meat_birds_short"`
	CostPerDozen float64     `json:"cost_per_dozen"`
	CostPerKg    float64     `json:"cost_per_kg"`
	MinutesAWeek float64     `json:"minutes_a_week"`
	CombNights   float64     `json:"comb_nights"`
	HeatDays     float64     `json:"heat_days"`
	LostRaids    float64     `json:"lost_to_predators"`

	CombNightsLow   float64 `json:"comb_nights_low"` // of the same cocks, with as much blood in the comb as is known
	CombNightsHigh  float64 `json:"comb_nights_high"`
	WattleNights    float64 `json:"wattle_nights"`      // that threaten their wattles
	HeatHours       float64 `json:"heat_hours"`         // of strain of a grown hen
	MudDays         float64 `json:"mud_days"`           // on which feathered legs go through mud; 0 for others
	HawkTimes       float64 `json:"hawk_times"`         // how many times as easily taken as a usual bird
	HawkLoss        float64 `json:"hawk_loss"`          // of ten grown birds kept a year
	CombCare        bool    `json:"comb_care"`          // some week calls for care of a cock's comb
	ExtraFeedColdKg float64 `json:"extra_feed_cold_kg"` // part of FeedKg that grown birds eat for the cold

	RenewsItself bool       `json:"renews_itself"`
	OwnSpells    float64    `json:"broody_spells_on_offer"`
	RoundingLoss float64    `json:"rounding_loss"` // cost of whole birds over the continuous answer
	Undominated  bool       `json:"undominated"`
	Suits        bool       `json:"suits"`
	Verdict      Sentence   `json:"verdict"`
	Reasons      []Sentence `json:"reasons"`
}

// Progress is told of every better plan while the solver works. It must return
// quickly.
type Progress func(Step)

// Step is one report of a running solve.
type Step struct {
	Seconds float64 `json:"seconds"`
	Stage   string  `json:"stage"`
	Cost    float64 `json:"cost"`
	Bound   float64 `json:"bound"`
	Gap     float64 `json:"gap"`
	Best    *Plan   `json:"-"` // a full plan, when there is one
}
