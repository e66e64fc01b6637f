// Package breed is the catalogue of breeds, landraces and crosses: one record a
// breed, each trait with its source and the confidence it deserves.
package breed

// Purpose is what a breed is mainly kept for.
type Purpose string

const (
	Egg        Purpose = "egg"
	Dual       Purpose = "dual"
	Meat       Purpose = "meat"
	Ornamental Purpose = "ornamental"
)

// LayClass names the family of lay curves that fits a breed.
type LayClass string

// Strain is how a line within a breed was bred; it moves lay and weight.
type Strain string

const (
	Production Strain = "production" // bred for eggs within the breed
	Utility    Strain = "utility"    // ordinary farm stock, the default
	Show       Strain = "show"       // bred for the standard
)

// Lay holds the lay curve of a strain, unlit, well kept, before season.
type Lay struct {
	FirstEggWeeks   float64 // median age at first egg of spring-hatched pullets
	FirstEggSDWeeks float64
	PeakPct         float64    // hen-day percent at the peak of hens in lay in full light
	PeakWeeks       float64    // age at that peak
	DeclinePerWeek  float64    // points of hen-day percent a week after the peak
	EggG            float64    // mature egg
	YearFactor      [6]float64 // rate of laying year 1, 2, ... against year 1
	LightSlope      float64    // loss of rate for each hour of day below 13
	BroodyShare     float64    // share of hens broody at least once a year
	BetweenHenCV    float64    // of a year's eggs
}

// Breed is one record of the catalogue.
type Breed struct {
	ID, Name, Class, Origin                     string
	Purpose                                     Purpose
	Kind                                        string // heritage, landrace, modern breed, modern cross, modern hybrid
	BreedsTrue                                  bool   // own chicks are like their parents
	CockKg, HenKg                               float64
	CockerelKg, PulletKg                        float64
	EggsLow, EggsHigh                           float64 // claimed first-year eggs
	EggColour                                   string
	Lay                                         Lay
	ButcherWeeksLow, ButcherWeeksHigh           float64 // surplus cockerels, or both sexes of meat stock
	DressedKgLow, DressedKgHigh                 float64
	DressingPct                                 float64 // at that age, without giblets
	GrowthClass                                 string  // fast meat, slow meat, dual hybrid, dual, heavy, egg, light, bantam
	Comb                                        string  // single, rose, pea, walnut, cushion, buttercup, v, strawberry, carnation
	CombSize, WattleSize                        int     // 1 small, 2 medium, 3 large (of the cock)
	FeatheredShanks, Crested, Muffed, NakedNeck bool
	Plumage                                     string // tight, medium, loose
	PlumageColour                               string
	Broodiness, Foraging, Flightiness           int // 0-3
	ColdStated, HeatStated                      int // 0-3
	HensPerCock                                 float64
	Status, Notes                               string
	Confidence                                  string            // sourced, partly, memory
	Sources                                     map[string]string // trait -> key in the bibliography
}
