// Package housing answers how much room birds need, and what air an unheated
// coop gives them.
//
// Room is floor, run, perch and nest for each class of bird by age (Space). A
// house that is roomy enough in summer is judged by its winter weeks, when birds
// stay in.
//
// Air is a steady balance of one night (Coop.Night). A hen gives off about 14 W:
// most of it warms the house, the rest leaves as 5 to 10 g of water an hour. Walls
// and moving air carry the warmth off, only moving air carries the water off. Two
// lessons follow, and the numbers show them: insulation keeps a coop warmer than
// closed vents do; and closed vents gain a degree or two and rain on the birds. Wet
// combs freeze at milder frost than dry ones.
//
// Beyond that night stand a house built up in layers (Build), openings by area and
// height (Vents), the air with the vents at any state (Coop.AtOpening), hour by hour
// through a day (Coop.Day), how far to open at each temperature (VentPlan), a winter
// shut in (ConfinedWinter), litter and ammonia, and what named standards ask (Needs).
package housing

import (
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
)

// Space is what one bird needs. Zero run, perch, feeder or drinker means none is
// needed at that age.
type Space struct {
	AreaM2    float64 // floor of the house, birds having a run
	RunM2     float64 // bare-soil run; three times as much to keep grass
	PerchM    float64
	FeederM   float64 // of trough edge
	DrinkerM  float64 // of trough edge
	SourceKey string  // of the floor area
}

const (
	// HensPerNest is the most hens that share a nest without laying on the
	// floor (common practice 4-5; the law of the European Union allows 7).
	HensPerNest = 5
	// ConfinedAreaM2 is the floor of a grown bird that has no run at all.
	ConfinedAreaM2 = 0.75
	// GrassRunM2 is the run that keeps its grass under a hen (common practice
	// 4-10).
	GrassRunM2 = 6
	// PopHoleWideM and PopHoleHighM let a large cock through.
	PopHoleWideM = 0.35
	PopHoleHighM = 0.40
)

//go:embed data/space.csv
var spaceCSV string

//go:embed data/standards.csv
var standardsCSV string

type spaceRow struct {
	class            string
	fromWeek, toWeek int
	atKg             float64
	space            Space
}

var loadSpaces = sync.OnceValues(func() ([]spaceRow, error) {
	rows, err := csv.NewReader(strings.NewReader(spaceCSV)).ReadAll()
	if err != nil {
		return nil, err
	}
	var list []spaceRow
	for i, r := range rows[1:] {
		var v [8]float64
		var failed error
		for k := range v {
			var err error
			v[k], err = strconv.ParseFloat(r[k+1], 64)
			failed = errors.Join(failed, err)
		}
		if failed != nil {
			return nil, fmt.Errorf("space.csv line %d: %w", i+2, failed)
		}
		list = append(list, spaceRow{r[0], int(v[0]), int(v[1]), v[2],
			Space{v[3], v[4], v[5], v[6], v[7], r[9]}})
	}
	return list, nil
})

// ClassOf is the class of space of a bird that is not fast meat stock, from its
// sex and the grown weight of the breed's hens in kg: "bantam" below 1.3 kg, else
// "cock" or "hen".
func ClassOf(cock bool, henKg float64) string {
	switch {
	case henKg > 0 && henKg < 1.3:
		return "bantam"
	case cock:
		return "cock"
	}
	return "hen"
}

// SpaceFor is what one bird of a class needs at an age in whole weeks and a live
// weight. Classes: "hen", "cock", "grower" (any young bird kept for lay or
// breeding), "chick" (the same), "bantam", "meat". Age decides first: a hen of 10
// weeks is a grower, a grower of 30 weeks a hen. Between the weights of the table
// a grown bird's needs lie on a line; weight zero means a heavy one. An unknown
// class is treated as a hen. A fast meat bird gets at least a square metre for
// each 21 kg.
func SpaceFor(class string, ageWeeks int, kg float64) Space {
	rows, err := loadSpaces()
	if err != nil {
		panic(err) // the table is embedded and checked by a test
	}
	ageWeeks = max(0, ageWeeks)
	row := classAt(class, ageWeeks)
	var below, above *spaceRow
	for i := range rows {
		r := &rows[i]
		if r.class != row || ageWeeks < r.fromWeek || ageWeeks >= r.toWeek {
			continue
		}
		if below == nil || kg <= 0 || r.atKg <= kg {
			below = r
		} else if above == nil {
			above = r
		}
	}
	s := below.space // every class and age has a row, by test
	if above != nil && kg > below.atKg {
		s = between(below.space, above.space, (kg-below.atKg)/(above.atKg-below.atKg))
	}
	if row == "meat" && kg > 0 {
		s.AreaM2 = max(s.AreaM2, kg/21)
	}
	return s
}

func between(a, b Space, u float64) Space {
	line := func(x, y float64) float64 { return x + u*(y-x) }
	key := a.SourceKey
	if u > 0.5 {
		key = b.SourceKey
	}
	return Space{line(a.AreaM2, b.AreaM2), line(a.RunM2, b.RunM2), line(a.PerchM, b.PerchM),
		line(a.FeederM, b.FeederM), line(a.DrinkerM, b.DrinkerM), key}
}

func classAt(class string, ageWeeks int) string {
	switch {
	case class == "meat":
		return "meat"
	case ageWeeks < 8:
		return "chick"
	case ageWeeks < 20 && class == "bantam":
		return "bantam"
	case ageWeeks < 20:
		return "grower"
	case class == "cock":
		return "cock"
	}
	return "hen"
}

// AreaM2 is the house floor that one bird needs; see SpaceFor.
func AreaM2(class string, ageWeeks int, kg float64) float64 {
	return SpaceFor(class, ageWeeks, kg).AreaM2
}

// A Standard is one figure of a rule or a bulletin, for comparison. Local law
// comes first: farms and sellers are bound by more than a household is.
type Standard struct {
	Authority, Item string
	Value           float64
	Unit, SourceKey string
}

// Standards lists the published figures beside which the defaults were chosen.
func Standards() []Standard {
	rows, err := csv.NewReader(strings.NewReader(standardsCSV)).ReadAll()
	if err != nil {
		panic(err) // embedded and checked by a test
	}
	list := make([]Standard, 0, len(rows))
	for _, r := range rows[1:] {
		value, err := strconv.ParseFloat(r[2], 64)
		if err != nil {
			panic(fmt.Sprintf("standards.csv: %s, %s: %v", r[0], r[1], err))
		}
		list = append(list, Standard{r[0], r[1], value, r[3], r[4]})
	}
	return list
}
