// Package breed is the catalogue of breeds, landraces and crosses: one record a
// breed, each trait with its source and the confidence it deserves.
//
// A breed's name hides its strain. The same name is sold as a production line
// that lays well and stays light, as ordinary farm stock, and as a show line
// that is heavy, late and lays least; LayFor and GrowthFor take the strain.
//
// The figures in data/breeds.csv are mostly claims: sellers' eggs, show
// standards, remembered descriptions. Each group of traits carries a mark
// (measured, read, memory, rule, judged) and keys into the bibliography. A lay
// curve therefore starts from the class of hen (data/lay_classes.csv), which
// rests on counts, and the breed's claim moves it only part of the way.
//
// Every weight is kg unless the name says G, ages are weeks unless the name says
// day, shares of live weight are percent.
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

// The classes of data/lay_classes.csv.
const (
	BrownHybrid LayClass = "brown-hybrid"
	WhiteHybrid LayClass = "white-hybrid"
	DualHybrid  LayClass = "dual-hybrid" // planned cross of an old breed and a layer line
	Productive  LayClass = "production"  // production strain of an old breed
	Heritage    LayClass = "heritage"
	Heavy       LayClass = "heavy"
	Light       LayClass = "light"
	Bantam      LayClass = "bantam"
	Sitter      LayClass = "sitter" // village and game fowl
)

// Marks say how a group of traits came to be known.
const (
	Measured = "measured" // a trial or a keeper's count
	Read     = "read"     // a description or standard that was read
	Memory   = "memory"   // a known standard or claim, not read again
	Rule     = "rule"     // computed from other traits by a rule
	Judged   = "judged"   // a mark of 0-3 or a size word set by judgement
)

// Traits are the groups that Sources, AllSources and Marks are keyed by. Status
// and mating have sources but no mark.
var Traits = []string{"weights", "eggs", "egg_weight", "first_egg", "growth", "comb", "plumage", "behaviour", "climate"}

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

	Aliases             []string
	LayClass            LayClass
	EggG                float64             // grown hen's egg as described; Lay.EggG is the same for utility stock
	FirstEggLow         float64             // claimed age at first egg, weeks
	FirstEggHigh        float64             // weeks
	TrialEggs           float64             // eggs a hen laid in a trial, 0 when none was found
	TrialWeeks          float64             // weeks from first egg over which the trial counted
	WeightsAreStandard  bool                // weights are show standards, not weighings
	Marks               map[string]string   // trait -> measured, read, memory, rule, judged
	AllSources          map[string][]string // trait -> every key; Sources holds the first
	cross               *crossing           // of a record made by Cross, nil in the catalogue
	measuredDressingPct float64             // 0 when the class's share is used
}
