package butcher

import (
	"embed"

	"henyear/source"
)

//go:embed testdata/published/*.csv
var published embed.FS

// Evidence holds published values against what this room computes.
func Evidence() ([]source.Check, error) {
	pick := func(r Range, in source.Inputs) float64 {
		switch in["bound"] {
		case "low":
			return r.Low
		case "high":
			return r.High
		}
		return r.Plan
	}
	return source.ReadChecks("butcher", published, "testdata/published", map[string]source.Model{
		"hours":        func(in source.Inputs) float64 { return pick(sheetOf(in).TotalH, in) },
		"pace":         func(in source.Inputs) float64 { return pick(Pace(practiceIn(in), int(in.Float("people"))), in) },
		"fast":         func(in source.Inputs) float64 { return pick(fastHours(in.Float("outdoor_c")), in) },
		"shrink":       func(in source.Inputs) float64 { return pick(shrinkAHour.times(in.Float("hours")), in) },
		"scald_c":      func(in source.Inputs) float64 { return pick(ScaldFor(classIn(in)).TempC, in) },
		"scald_s":      func(in source.Inputs) float64 { return pick(ScaldFor(classIn(in)).Seconds, in) },
		"soft_c":       func(in source.Inputs) float64 { return pick(SoftScald().TempC, in) },
		"soft_s":       func(in source.Inputs) float64 { return pick(SoftScald().Seconds, in) },
		"chill_h":      func(in source.Inputs) float64 { return ChillHours(in.Float("kg")) },
		"chill_c":      func(source.Inputs) float64 { return ChillC },
		"giblet_h":     func(source.Inputs) float64 { return GibletHours },
		"cut_c":        func(source.Inputs) float64 { return CutC },
		"rest":         func(in source.Inputs) float64 { return pick(RestHours(classIn(in)), in) },
		"ice":          func(in source.Inputs) float64 { return pick(iceShare(in.Float("outdoor_c")), in) },
		"freezer":      func(in source.Inputs) float64 { return pick(FreezerL(in.Float("kg"), packingIn(in)), in) },
		"litres_a_kg":  func(in source.Inputs) float64 { return pick(packingIn(in).litresAKg(), in) },
		"waste":        func(in source.Inputs) float64 { return pick(wasteShare.times(in.Float("live_kg")), in) },
		"stock":        func(in source.Inputs) float64 { return pick(stockLAKg.times(in.Float("kg")), in) },
		"pluck_min":    func(in source.Inputs) float64 { return pick(pluckMinutes(practiceIn(in)), in) },
		"bleed_min":    func(in source.Inputs) float64 { return pick(bleedMinutes, in) },
		"lots":         func(in source.Inputs) float64 { return float64(len(sheetOf(in).Lots)) },
		"fasted_least": func(in source.Inputs) float64 { least, _ := fasted(sheetOf(in)); return least },
		"fasted_most":  func(in source.Inputs) float64 { _, most := fasted(sheetOf(in)); return most },
	})
}

func practiceIn(in source.Inputs) Practice {
	p, _ := PracticeOf(in["practice"])
	return p
}

func classIn(in source.Inputs) Class {
	for c := FastMeat; c <= OldCock; c++ {
		if c.String() == in["class"] {
			return c
		}
	}
	return -1
}

func packingIn(in source.Inputs) Packing {
	if in["packing"] == "cut" {
		return CutUp
	}
	return Whole
}

func sheetOf(in source.Inputs) Sheet {
	s, err := Day(Input{Birds: int(in.Float("birds")), Class: YoungCockerel, LiveKg: 2.5, DressedKg: 1.6,
		People: int(in.Float("people")), Practice: practiceIn(in), OutdoorC: 12, Start: 8 * 60})
	if err != nil {
		panic(err) // a fault in the table
	}
	return s
}

// fasted is the shortest and the longest that any bird was without feed, hours.
func fasted(s Sheet) (least, most float64) {
	least = 1e9
	for _, l := range s.Lots {
		least = min(least, float64(l.First-l.FeedAt)/60)
		most = max(most, float64(l.Last-l.FeedAt)/60)
	}
	return least, most
}
