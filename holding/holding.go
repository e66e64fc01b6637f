// Package holding is the household's own description: place, means, needs,
// stock that can be had, prices and the birds on hand. Everything in it is
// metric; the reader converts what a keeper wrote in US units.
package holding

import (
	"henyear/bird"
	"henyear/breed"
	"henyear/climate"
	"henyear/housing"
	"henyear/measure"
)

// Holding is one household, checked and complete: every default is filled in.
type Holding struct {
	Name     string
	AsOf     measure.Date // day for which birds on hand are stated; zero means today
	TimeZone string
	Currency measure.Currency
	Units    measure.Units // for display
	Place    Place
	Means    Means
	Needs    Needs
	Stock    []Offer
	Prices   Prices
	Birds    []Group
}

// Level grades a pressure or a protection.
type Level int

const (
	None Level = iota
	Low
	Some
	High
)

type Place struct {
	Climate         climate.Place
	WetGround       bool
	GroundPredators Level
	AirPredators    Level
	Cover           Level // shrubs and shelters on the range
	LockedAtNight   bool
	ElectricFence   bool
	PastureM2       float64
	PastureMonths   [12]bool
	OffGrid         bool
	NettedM2        float64 // of run or range, under a net against hawks
	MaxBirds        int     // adults allowed by local rules; -1 no limit
	MaxCocks        int     // -1 no limit
}

// House is one building, divided into pens.
type House struct {
	Name      string
	AreaM2    float64
	Pens      int
	PerchM    float64 // 0: as much as the area carries
	Nests     int     // 0: enough
	Insulated bool
	OpenSided bool

	// What the air of the house hangs on; zero values are not known, and the
	// usual of housing.Coop is taken.
	Build       *housing.Build // measures, layers and vents; nil when not told
	LitterCM    float64        // depth of the bed
	BoardsClean bool           // droppings under the perch are taken out at least weekly
	DraughtMS   float64        // air that the keeper feels at the perch on a windy night; 0 not known
	PopHoles    int
	PopHighM    float64 // of one
	PopWideM    float64
	TroughM     float64 // edge of feeders
	DrinkerCups int     // nipples or cups
}

// Weeks away, both days included.
type Away struct{ From, To measure.Date }

type Means struct {
	Houses           []House
	CoveredRunM2     float64
	BrooderChicks    int     // chicks under six weeks the brooder holds
	GrowOutM2        float64 // shelter for growing birds beyond the houses
	MachineEggs      int     // places in the incubator, 0 none
	BroodyHens       bool    // broody hens may be set
	FreezerL         float64
	ShadeM2          float64 // outdoors in summer; 0 not told: as much as the birds need
	NoShade          bool    // told that there is none
	MinutesADay      float64
	ButcherDaysAYear int
	ButcherBirdsADay int
	Lights           string // "none", "possible" (the plan may choose), "on"
	WillKill         bool
	CockerelsTaken   int // a year, by others, when the keeper will not kill
	Away             []Away
	SpareCocks       int
	FeedWaste        float64 // share of feed bought that is not eaten
	EggLoss          float64 // share of eggs laid that is not usable
}

// EggNeed is eggs a week in the months marked.
type EggNeed struct {
	Months  [12]bool
	PerWeek float64
}

// EggSale is what customers take in the months marked, at most.
type EggSale struct {
	Months        [12]bool
	DozensPerWeek float64
	PricePerDozen float64
	Promised      bool // failing them counts as a shortfall
}

// BirdSale is what can be sold of live birds in a year, at most. Kind is
// "chick", "cockerel", "pullet" or "spent hen".
type BirdSale struct {
	Kind    string
	PerYear int
	Price   float64
}

type Needs struct {
	Eggs           []EggNeed
	TableBirds     float64 // a year
	TableKg        float64 // dressed, a year; 0 when birds are counted
	TableBirdMinKg float64 // smallest dressed bird that counts
	EggSales       []EggSale
	BirdSales      []BirdSale
	SelfRenewing   bool    // no bought replacements for layers
	RiskShare      float64 // accepted share of years with more than RiskShortWeeks short weeks
	RiskShortWeeks int
	FrozenEggShare float64 // of the need, that may be met by frozen beaten eggs
	PricedMinutes  float64 // price of an hour of work, 0 when not priced
}

// EggsPerWeek is the household's own need in a month (1-12), sales apart.
func (n Needs) EggsPerWeek(month int) float64 {
	sum := 0.0
	for _, e := range n.Eggs {
		if e.Months[month-1] {
			sum += e.PerWeek
		}
	}
	return sum
}

// Form is how stock arrives.
type Form string

const (
	HatchingEggs  Form = "hatching eggs"
	Chicks        Form = "chicks" // as hatched
	SexedChicks   Form = "pullet chicks"
	StartedPullet Form = "started pullets" // about 18 weeks
	GrownCock     Form = "cock"
)

// Offer is stock that the keeper can get.
type Offer struct {
	Breed         string // id in the catalogue
	Strain        breed.Strain
	Form          Form
	Price         float64 // each
	SmallestOrder int
	LargestOrder  int // 0: no limit
	Months        [12]bool
}

type Prices struct {
	FeedPerKg          float64 // layer or grower feed
	ChickFeedPerKg     float64 // starter
	ShopEggsPerDozen   float64
	ShopChickenPerKg   float64
	BeddingPerBirdYear float64
	PowerPerKWh        float64
	FixedPerYear       float64 // registration, worming, repairs
}

// Group is birds on hand of one breed, sex and age.
type Group struct {
	ID      string
	Breed   string
	Strain  breed.Strain
	Sex     bird.Sex
	Hatched measure.Date
	Number  int
}
