package housing

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"
)

// What named standards ask of a house and run, beside what there is. Most bind
// farms above a size or sellers under a label; a household reads them to know where
// it stands. Local law comes first.

//go:embed data/needs.csv
var needsCSV string

type rule struct {
	standard, item, class, per string
	value                      float64
	source                     string
}

var loadRules = sync.OnceValues(func() ([]rule, error) {
	rows, err := csv.NewReader(strings.NewReader(needsCSV)).ReadAll()
	if err != nil {
		return nil, err
	}
	var list []rule
	for i, r := range rows[1:] {
		v, err := strconv.ParseFloat(r[4], 64)
		if err != nil {
			return nil, fmt.Errorf("needs.csv line %d: %w", i+2, err)
		}
		list = append(list, rule{r[0], r[1], r[2], r[3], v, r[5]})
	}
	return list, nil
})

// Household is the name of this program's own figures among the standards.
const Household = "Household"

// Stock is a number of like birds to be housed; Class as in SpaceFor.
type Stock struct {
	Class    string
	AgeWeeks int
	Kg       float64 // live weight of one
	Count    float64
}

// Have is what a holding has. A figure below zero is not known; zero is none.
type Have struct {
	FloorM2  float64
	PerchM   float64
	Nests    float64
	RunM2    float64
	LitterM2 float64
	TroughM  float64
	Cups     float64 // nipples or cups to drink from
	// HeadroomM is the least clear height over the floor and raised floors.
	HeadroomM         float64
	PopHoles          float64
	PopHighM, PopWidM float64 // of one hole
}

// Unknown is a holding that has told nothing.
func Unknown() Have { return Have{-1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1} }

// Need is one demand of one standard on a holding.
type Need struct {
	Standard string
	Item     string // floor, perch, nests, run, litter, trough, cups, headroom, pop_high, pop_wide, pop_total, flock
	Unit     string // m2, m, or empty for a number
	Required float64
	Have     float64
	Known    bool // false when the holding did not say
	Meets    bool // false when not known
	AtMost   bool // Required is an upper bound
	Source   string
}

var itemUnits = map[string]string{
	"floor": "m2", "run": "m2", "litter": "m2", "perch": "m", "trough": "m", "headroom": "m",
	"pop_high": "m", "pop_wide": "m", "pop_total": "m", "nests": "", "cups": "", "flock": "",
}

func (h Have) of(item string) float64 {
	switch item {
	case "floor":
		return h.FloorM2
	case "perch":
		return h.PerchM
	case "nests":
		return h.Nests
	case "run":
		return h.RunM2
	case "litter":
		return h.LitterM2
	case "trough":
		return h.TroughM
	case "cups":
		return h.Cups
	case "headroom":
		return h.HeadroomM
	case "pop_high":
		return h.PopHighM
	case "pop_wide":
		return h.PopWidM
	case "pop_total":
		switch {
		case h.PopHoles == 0:
			return 0
		case h.PopHoles < 0 || h.PopWidM < 0:
			return -1
		}
		return min(h.PopHoles, 1e6) * h.PopWidM
	}
	return -1
}

// lawClass is under which heading of the standards a bird falls: cocks and bantams
// count as hens, chicks below eight weeks under none.
func lawClass(s Stock) string {
	switch at := classAt(s.Class, max(0, s.AgeWeeks)); at {
	case "cock", "hen":
		return "hen"
	case "bantam", "grower":
		return "grower"
	case "chick":
		return "chick"
	default:
		return at
	}
}

// Needs sets every standard's demands beside what a holding has, the household's own
// figures first. Classes that share a house add up. Standards that say nothing about
// the birds at hand are left out.
func Needs(have Have, stock []Stock) []Need {
	rules, err := loadRules()
	if err != nil {
		panic(err) // embedded and checked by a test
	}
	needs := household(have, stock)
	type name struct{ standard, item string }
	at := map[name]int{}
	for _, r := range rules {
		required, applies := r.required(have, stock)
		if !applies {
			continue
		}
		n := name{r.standard, r.item}
		i, twice := at[n]
		switch {
		case !twice:
			at[n] = len(needs)
			needs = append(needs, Need{Standard: r.standard, Item: r.item, Unit: itemUnits[r.item],
				Required: required, AtMost: r.per == "most", Source: r.source})
		case r.adds():
			needs[i].Required += required
		case required > needs[i].Required:
			needs[i].Required, needs[i].Source = required, r.source
		}
	}
	for i := range needs {
		needs[i].judge(have, stock)
	}
	return needs
}

func (r rule) adds() bool { return r.per == "m2_bird" || r.per == "m_bird" || r.per == "kg_m2" }

func (r rule) required(have Have, stock []Stock) (float64, bool) {
	n, kg := 0.0, 0.0
	for _, s := range stock {
		if lawClass(s) == r.class && s.Count > 0 {
			n += s.Count
			kg += s.Count * max(0, s.Kg)
		}
	}
	if n == 0 {
		return 0, false
	}
	switch r.per {
	case "kg_m2":
		return kg / r.value, true
	case "birds_each":
		if r.item == "nests" {
			if n = hensOf(stock); n == 0 {
				return 0, false
			}
		}
		return math.Ceil(n/r.value - 1e-9), true
	case "floor_share", "m_floor_m2":
		return r.value * max(0, have.FloorM2), have.FloorM2 >= 0
	case "m", "most":
		return r.value, true
	}
	return r.value * n, true
}

func hensOf(stock []Stock) float64 {
	n := 0.0
	for _, s := range stock {
		if lawClass(s) == "hen" && s.Class != "cock" {
			n += max(0, s.Count)
		}
	}
	return n
}

func (n *Need) judge(have Have, stock []Stock) {
	n.Have = have.of(n.Item)
	if n.Item == "flock" {
		n.Have = 0
		for _, s := range stock {
			if lawClass(s) == "hen" {
				n.Have += max(0, s.Count)
			}
		}
	}
	n.Known = n.Have >= 0
	if n.AtMost {
		n.Meets = n.Known && n.Have <= n.Required
		return
	}
	n.Meets = n.Known && n.Have >= n.Required*(1-1e-6)
}

// household is what SpaceFor and the constants beside it ask.
func household(have Have, stock []Stock) []Need {
	var sum Space
	grown := false
	for _, s := range stock {
		if !(s.Count > 0) {
			continue
		}
		one := SpaceFor(s.Class, s.AgeWeeks, s.Kg)
		if have.RunM2 == 0 && lawClass(s) == "hen" { // shut in for good
			one.AreaM2, one.RunM2 = max(one.AreaM2, ConfinedAreaM2), 0
		}
		sum.AreaM2 += s.Count * one.AreaM2
		sum.RunM2 += s.Count * one.RunM2
		sum.PerchM += s.Count * one.PerchM
		sum.FeederM += s.Count * one.FeederM
		sum.SourceKey = one.SourceKey
		grown = grown || lawClass(s) == "hen"
	}
	var needs []Need
	add := func(item string, required float64, key string) {
		if required > 0 {
			needs = append(needs, Need{Standard: Household, Item: item, Unit: itemUnits[item], Required: required, Source: key})
		}
	}
	add("floor", sum.AreaM2, sum.SourceKey)
	add("perch", sum.PerchM, "extension_space")
	add("nests", math.Ceil(hensOf(stock)/HensPerNest-1e-9), "extension_space")
	add("run", sum.RunM2, "coop_practice")
	add("trough", sum.FeederM, sum.SourceKey)
	if grown {
		add("pop_high", PopHoleHighM, "coop_practice")
		add("pop_wide", PopHoleWideM, "coop_practice")
	}
	return needs
}
