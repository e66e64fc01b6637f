package breed

import (
	"embed"
	"math"
	"strings"

	"henyear/source"
)

//go:embed testdata/published/*.csv
var published embed.FS

// Evidence holds published values against the catalogue. A row whose note begins
// with "known miss" is expected to fail, and says why.
func Evidence() ([]source.Check, error) {
	return source.ReadChecks("breed", published, "testdata/published", models)
}

// models are the quantities that the tables in testdata/published name. A breed or
// class that does not exist gives NaN, which no tolerance accepts.
var models = map[string]source.Model{
	// eggs a hen from the first egg of a class's curve: class, weeks (or until_age)
	"class_eggs": func(in source.Inputs) float64 {
		l, err := ClassLay(LayClass(in["class"]))
		if err != nil {
			return math.NaN()
		}
		return eggsWithin(l, in)
	},
	// rate left of a hen in lay at a day length: class, day_h
	"light_factor": func(in source.Inputs) float64 {
		l, err := ClassLay(LayClass(in["class"]))
		if err != nil {
			return math.NaN()
		}
		return 1 - l.LightSlope*(13-in.Float("day_h"))
	},
	"eggs":         ofLay(eggsWithin),
	"first_egg":    ofLay(func(l Lay, _ source.Inputs) float64 { return l.FirstEggWeeks }),
	"peak":         ofLay(func(l Lay, _ source.Inputs) float64 { return l.PeakPct }),
	"hen_day":      ofLay(func(l Lay, in source.Inputs) float64 { return l.HenDayPct(in.Float("week")) }),
	"broody_share": ofLay(func(l Lay, _ source.Inputs) float64 { return l.BroodyShare }),
	"second_year":  ofLay(func(l Lay, _ source.Inputs) float64 { return l.YearFactor[1] }),
	// production against show strain of one breed
	"strain_eggs": ofBreed(func(b *Breed, _ source.Inputs) float64 {
		return b.LayFor(Production).EggsFromFirstEgg(52) / b.LayFor(Show).EggsFromFirstEgg(52)
	}),
	"strain_weight": ofBreed(func(b *Breed, _ source.Inputs) float64 {
		return b.GrownKg(Production, false) / b.GrownKg(Show, false)
	}),
	// kg at an age: breed, sex (cock, hen, mixed), day or week, strain, pasture=1
	"live_kg": ofBreed(liveKg),
	"dressed_kg": ofBreed(func(b *Breed, in source.Inputs) float64 {
		return liveKg(b, in) * b.DressingPctAt(in["sex"] != "hen", ageDays(in)/7) / 100
	}),
	// the companies' table, the household's reduction taken out again
	"table_kg": ofBreed(func(b *Breed, in source.Inputs) float64 { return liveKg(b, in) / householdFast }),
	"dressing": ofBreed(func(b *Breed, in source.Inputs) float64 {
		return b.DressingPctAt(in["sex"] != "hen", ageDays(in)/7)
	}),
	"hens_per_cock": ofBreed(func(b *Breed, _ source.Inputs) float64 { return b.HensPerCock }),
	"frost_index":   ofBreed(func(b *Breed, _ source.Inputs) float64 { return float64(b.FrostIndex().Value) }),
	"heat_index":    ofBreed(func(b *Breed, _ source.Inputs) float64 { return float64(b.HeatIndex().Value) }),
	// 1 if the breed has the feature
	"has": ofBreed(func(b *Breed, in source.Inputs) float64 {
		if hasFeature(b, in["feature"]) {
			return 1
		}
		return 0
	}),
}

func ofBreed(value func(*Breed, source.Inputs) float64) source.Model {
	return func(in source.Inputs) float64 {
		b, err := Find(in["breed"])
		if err != nil {
			return math.NaN()
		}
		return value(b, in)
	}
}

func ofLay(value func(Lay, source.Inputs) float64) source.Model {
	return ofBreed(func(b *Breed, in source.Inputs) float64 { return value(b.LayFor(strainOf(in)), in) })
}

func strainOf(in source.Inputs) Strain {
	if in["strain"] == "" {
		return Utility
	}
	return Strain(in["strain"])
}

func eggsWithin(l Lay, in source.Inputs) float64 {
	if in["until_age"] != "" {
		return l.EggsFromFirstEgg(int(math.Round(in.Float("until_age") - l.FirstEggWeeks)))
	}
	return l.EggsFromFirstEgg(int(in.Float("weeks")))
}

func ageDays(in source.Inputs) float64 {
	if in["day"] != "" {
		return in.Float("day")
	}
	return 7 * in.Float("week")
}

func liveKg(b *Breed, in source.Inputs) float64 {
	weigh := func(cock bool) float64 {
		g := b.GrowthFor(strainOf(in), cock)
		kg := g.WeightG(ageDays(in)) / 1000
		if in["pasture"] != "" {
			kg *= g.PastureFactor
		}
		return kg
	}
	switch in["sex"] {
	case "cock":
		return weigh(true)
	case "hen":
		return weigh(false)
	}
	return mean(weigh(true), weigh(false))
}

func hasFeature(b *Breed, feature string) bool {
	switch feature {
	case "feathered-shanks":
		return b.FeatheredShanks
	case "crest":
		return b.Crested
	case "muffs":
		return b.Muffed
	case "naked-neck":
		return b.NakedNeck
	case "comb-of-5-cm":
		return b.CombOf(true).HeightMM >= 50
	}
	comb, found := strings.CutSuffix(feature, "-comb")
	return found && b.Comb == comb
}
