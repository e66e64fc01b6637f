package course

import (
	"math"

	"henyear/bird"
	"henyear/breed"
	"henyear/measure"
	"henyear/source"
)

// Wet ground and rain for feathered legs and crests. No measurement ties rain to mud
// under hens; this is a guess that a keeper may check against a winter (keys
// mud_rule, rain_days):
//
//	a week dries away 6 mm of rain at freezing and 1 mm more for each degree of its
//	mean above; heavy wet ground 0.7 of that
//	muddy share = (rain - dried)/rain, not below 0
//	frozen ground is hard: times the share of days with a mean above 0 C
const (
	driesMM       = 6
	driesMMPerC   = 1
	wetGroundPart = 0.7
	// rainDayMM is the rain of one rainy day: there is a day for each 6 mm.
	rainDayMM = 6
)

// MudDays is the days of each week of the steady year on which birds that range
// walk on mud; none while they are kept off the range.
func (b *Book) MudDays() (days [measure.SlotsPerYear]float64) {
	for slot, w := range b.year {
		if b.grown[slot].OnPasture {
			days[slot] = 7 * muddyShare(w.RainMM, w.MeanC, w.SDDayC, b.h.Place.WetGround)
		}
	}
	return days
}

func muddyShare(rainMM, meanC, sdC float64, wetGround bool) float64 {
	dries := driesMM + driesMMPerC*max(0, meanC)
	if wetGround {
		dries *= wetGroundPart
	}
	if rainMM <= dries {
		return 0
	}
	thawed := 1.0
	if sdC > 0 {
		thawed = 0.5 * math.Erfc(-meanC/(sdC*math.Sqrt2))
	} else if meanC <= 0 {
		thawed = 0
	}
	return (rainMM - dries) / rainMM * thawed
}

// RainDays is the rainy days of each week on which birds are out on the range.
func (b *Book) RainDays() (days [measure.SlotsPerYear]float64) {
	for slot, w := range b.year {
		if b.grown[slot].OnPasture {
			days[slot] = min(7, w.RainMM/rainDayMM)
		}
	}
	return days
}

func (b *Book) groundFigures(body *Body, r *breed.Breed) {
	mud, rain := 0.0, 0.0
	mudDays, rainDays := b.MudDays(), b.RainDays()
	out, fallen := 0.0, 0.0
	for slot := range mudDays {
		mud += mudDays[slot]
		rain += rainDays[slot]
		fallen += b.year[slot].RainMM
		if b.grown[slot].OnPasture {
			out += 7
		}
	}
	if !r.FeatheredShanks {
		mud = 0
	}
	if !r.Crested {
		rain = 0
	}
	year := source.WorkingInput{Name: "rain of the year", Value: fallen, Unit: "mm", Key: "climate_normals"}
	outside := source.WorkingInput{Name: "days on the range", Value: out, Unit: "days"}
	body.MudDays = Figure{bird.Just(mud), "days", source.NewWorking("mud-days",
		"Only birds with feathered legs: sum over the weeks on the range of 7 x (rain - dried)/rain x share of days above 0 °C. A week dries 6 mm and 1 mm more for each degree of its mean above 0 °C; heavy wet ground 0.7 of that.",
		"", []string{"mud_rule", "breed-osu-cochin"}, year, outside,
		source.WorkingInput{Name: "feathered legs", Text: yesNo(r.FeatheredShanks), Key: r.Sources["plumage"]},
		source.WorkingInput{Name: "heavy wet ground", Text: yesNo(b.h.Place.WetGround)})}
	body.CrestDays = Figure{bird.Just(rain), "days", source.NewWorking("crest-days",
		"Only crested birds: sum over the weeks on the range of one rainy day for each 6 mm, seven at most. A wet crest chills and hides the eyes: keep such birds roofed and dry.",
		"", []string{"rain_days", "practice"}, year, outside,
		source.WorkingInput{Name: "crest", Text: yesNo(r.Crested), Key: r.Sources["plumage"]})}
}
