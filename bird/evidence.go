package bird

import (
	"embed"
	"fmt"
	"maps"
	"math"
	"strconv"
	"strings"

	"henyear/breed"
	"henyear/source"
)

//go:embed testdata/published/*.csv
var published embed.FS

// Evidence holds published counts, weights, feeds and losses against what the law
// computes, and the comb and heat models against theirs.
func Evidence() ([]source.Check, error) {
	models := maps.Clone(lawModels)
	maps.Copy(models, combHeatModels)
	return source.ReadChecks("bird", published, "testdata/published", models)
}

var lawModels = map[string]source.Model{
	"light_rate": func(in source.Inputs) float64 {
		return in.Float("full") * LightFactor(in.Float("slope"), in.Float("light"))
	},
	"hen_day":     func(in source.Inputs) float64 { return flockOf(in).henDayPct()[month(in)] },
	"eggs_a_year": func(in source.Inputs) float64 { return flockOf(in).eggsAYear() },
	"month_share": monthShare,
	"year_swing": func(in source.Inputs) float64 {
		pct := flockOf(in).henDayPct()
		low, high := math.Inf(1), 0.0
		for _, p := range pct[1:] {
			low, high = min(low, p), max(high, p)
		}
		return high - low
	},
	"year_ratio": func(in source.Inputs) float64 {
		f := flockOf(in)
		f.ages = []float64{0, 1}
		second := f.eggsAYear()
		f.ages = []float64{1}
		return second / f.eggsAYear()
	},
	"lights_ratio": func(in source.Inputs) float64 {
		f := flockOf(in)
		dark := placeOf(in)
		dark.litH = 0
		lit := f.eggsAYear()
		f.weeks = newSeason(dark)
		return lit / f.eggsAYear()
	},
	"hen_day_at": func(in source.Inputs) float64 { o := henAt(in); return 100 * o.Eggs / 7 / o.Alive },
	"egg_g_at":   func(in source.Inputs) float64 { o := henAt(in); return 1000 * o.EggKg / o.Eggs },
	"egg_curve": func(in source.Inputs) float64 {
		return EggG(breed.Lay{EggG: in.Float("mature"), FirstEggWeeks: in.Float("first")}, in.Float("week"))
	},
	"hen_day_to": henDayTo,
	"live_g":     func(in source.Inputs) float64 { return 1000 * liveKg(in) },
	"dressed_kg": func(in source.Inputs) float64 { o := birdAt(in); return o.DressedKg },
	"dressing_pct": func(in source.Inputs) float64 {
		o := birdAt(in)
		return 100 * o.DressedKg / o.LiveKg
	},
	"feed_to_kg":   feedToKg,
	"bought_to_kg": func(in source.Inputs) float64 { return feedToKg(in) / (1 - wasteUsual) },
	"feed_g_day":   func(in source.Inputs) float64 { o := henAt(in); return 1000 * o.FeedKg / 7 / o.Alive },
	"hen_kcal":     henKcalOf,
	"kcal_slope":   kcalSlopePct,
	"lost_pct":     lostPct,
	"alive_pct":    func(in source.Inputs) float64 { return 100 - lostPct(in) },
	"broken_days":  func(source.Inputs) float64 { return 7 * (1 + broodySecondWeekStays) },
	"broody_pct":   broodyPct,
	"spells":       func(in source.Inputs) float64 { return spellsAYear(in) },
	"moult_days":   func(in source.Inputs) float64 { feathers, _ := moultDays(in); return feathers },
	"out_days":     func(in source.Inputs) float64 { _, out := moultDays(in); return out },
	"begin_days":   beginDays,
	"in_lay_share": func(in source.Inputs) float64 { return inLayPct(flockOf(in))[month(in)] },
}

// wasteUsual is the share of feed bought that is not eaten, where records hold
// what was bought.
const wasteUsual = 0.10

var monthNames = [...]string{"", "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}

func month(in source.Inputs) int {
	for m, name := range monthNames {
		if m > 0 && in["month"] == name {
			return m
		}
	}
	panic(fmt.Sprintf("input month: %q is not a month", in["month"]))
}

func number(in source.Inputs, name string, otherwise float64) float64 {
	if in[name] == "" {
		return otherwise
	}
	return in.Float(name)
}

func placeOf(in source.Inputs) place {
	return place{latDeg: number(in, "lat", 50), janC: number(in, "jan", 20), julC: number(in, "jul", 20),
		litH: number(in, "lit", 0), risk: number(in, "risk", 0), indoors: in["indoors"] == "yes"}
}

// lawOf reads breed, strain and sex, and rates that set the stock of a trial
// apart: "late" weeks added to the first egg, "broody" times as broody.
func lawOf(in source.Inputs, sex Sex) *Law {
	r := NewRates()
	r.FirstEggWeeks = number(in, "late", 0)
	r.Broody = number(in, "broody", 1)
	b, err := breed.Find(in["breed"])
	if err != nil {
		panic(err)
	}
	s := breed.Strain(in["strain"])
	if s == "" {
		s = breed.Utility
	}
	lay := b.LayFor(s)
	lay.BroodyShare = number(in, "broody_share", lay.BroodyShare)
	lay.FirstEggSDWeeks = number(in, "spread", lay.FirstEggSDWeeks)
	return newLaw(b, lay, b.GrowthFor(s, sex == Cock), sex, r)
}

func flockOf(in source.Inputs) flock {
	f := flock{law: lawOf(in, Hen), weeks: newSeason(placeOf(in)), hatchDay: int(number(in, "hatch", 91)),
		begins: int(number(in, "begins", 11)), ages: []float64{1}}
	if in["ages"] != "" {
		f.ages = nil
		for _, share := range strings.Split(in["ages"], "/") {
			v, err := strconv.ParseFloat(share, 64)
			if err != nil {
				panic(err)
			}
			f.ages = append(f.ages, v)
		}
	}
	return f
}

// monthShare is a month's percent of the eggs of the months from "first" to
// "last", or of the year.
func monthShare(in source.Inputs) float64 {
	pct := flockOf(in).henDayPct()
	first, last := int(number(in, "first", 1)), int(number(in, "last", 12))
	sum := 0.0
	for m := first; m <= last; m++ {
		sum += pct[m] * monthDays[m]
	}
	m := month(in)
	return 100 * pct[m] * monthDays[m] / sum
}

func inLayPct(f flock) [13]float64 {
	return f.byMonth(func(o *Outputs) float64 { return 100 * o.InLay })
}

func course(in source.Inputs, sex Sex, weeks int) []Outputs {
	hatch := int(number(in, "hatch", 91))
	return lawOf(in, sex).Expect(nil, newSeason(placeOf(in)).from(hatch), weeks)
}

func sexNamed(in source.Inputs) Sex {
	if in["sex"] == "cock" {
		return Cock
	}
	return Hen
}

func henAt(in source.Inputs) Outputs {
	weeks := int(in.Float("week"))
	return course(in, Hen, weeks+1)[weeks]
}

// birdAt is the week that ends at the age "week" (or at the age "day").
func birdAt(in source.Inputs) Outputs {
	weeks := int(math.Ceil(ageDays(in) / 7))
	return course(in, sexNamed(in), weeks)[weeks-1]
}

func ageDays(in source.Inputs) float64 { return number(in, "day", 7*number(in, "week", 0)) }

// liveKg at an age, on a line between the ends of weeks; "sex=both" is the mean.
func liveKg(in source.Inputs) float64 {
	at := func(sex Sex) float64 {
		days := ageDays(in)
		out := course(in, sex, int(days/7)+2)
		w := int(days/7) - 1
		f := days/7 - float64(w+1)
		return out[w].LiveKg + f*(out[w+1].LiveKg-out[w].LiveKg)
	}
	if in["sex"] == "both" {
		return (at(Hen) + at(Cock)) / 2
	}
	return at(sexNamed(in))
}

// feedToKg is feed eaten from hatch to "week" by a bird that lives, kg; with
// "to_kg" to the week in which it reaches that weight.
func feedToKg(in source.Inputs) float64 {
	to := func(sex Sex) float64 {
		sum := 0.0
		for _, o := range course(in, sex, int(in.Float("week"))) {
			sum += o.FeedKg / o.Alive
			if in["to_kg"] != "" && o.LiveKg >= in.Float("to_kg") {
				break
			}
		}
		return sum
	}
	if in["sex"] == "both" {
		return (to(Hen) + to(Cock)) / 2
	}
	return to(sexNamed(in))
}

func henDayTo(in source.Inputs) float64 {
	eggs, days := 0.0, 0.0
	l := lawOf(in, Hen)
	for i, o := range course(in, Hen, int(in.Float("week"))) {
		if float64(i) >= l.firstEggWeeks {
			eggs += o.Eggs / o.Alive
			days += 7
		}
	}
	return 100 * eggs / days
}

func henKcalOf(in source.Inputs) float64 {
	return HenKcal(in.Float("kg"), in.Float("temp"), number(in, "gain", 0), in.Float("egg"), number(in, "active", 1))
}

// kcalSlopePct is the rise of a hen's need for each degree of cooling, percent.
func kcalSlopePct(in source.Inputs) float64 {
	from, to := in.Float("from"), in.Float("to")
	warm, cold := HenKcal(2, from, 0, 45, 1), HenKcal(2, to, 0, 45, 1)
	return 100 * (cold/warm - 1) / (from - to)
}

// lostPct is the share of birds alive at "from" weeks that is lost by "to".
func lostPct(in source.Inputs) float64 {
	b := placeOf(in)
	weeks := newSeason(b)
	if in["under"] == "hen" {
		for slot := range weeks {
			weeks[slot].Brooder, weeks[slot].UnderHen = false, true
		}
	}
	from, to := int(number(in, "from", 0)), int(in.Float("to"))
	out := lawOf(in, sexNamed(in)).Expect(nil, weeks.from(int(number(in, "hatch", 91))), to)
	start := 1.0
	if from > 0 {
		start = out[from-1].AliveEnd
	}
	return 100 * (1 - out[to-1].AliveEnd/start)
}

func spellsAYear(in source.Inputs) float64 {
	f := flockOf(in)
	sum := 0.0
	for m, each := range f.byMonth(func(o *Outputs) float64 { return o.BroodySpells }) {
		sum += each * monthDays[m] / 7
	}
	return sum
}

func broodyPct(in source.Inputs) float64 { return 100 * (1 - math.Exp(-spellsAYear(in))) }

// moultDays follows a hen of two years that begins to moult on day "begin": days
// until she is in full feather, and until her next egg.
func moultDays(in source.Inputs) (feathers, out float64) {
	l, weeks := lawOf(in, Hen), newSeason(placeOf(in))
	slot := slotOf(int(in.Float("begin")))
	var w Week
	life := Life{AgeWeeks: 120}
	var at shares
	at.last = 1
	l.Step(&life, &weeks[slot], &w)
	at.years[1].moult[w.MoultFrom] = 1
	for i := 1; i < 80; i++ {
		l.Step(&life, &weeks[(slot+i)%len(weeks)], &w)
		w.MoultHen = 0
		at.pass(&w)
		y := &at.years[1]
		moulting := 0.0
		for _, share := range y.moult {
			moulting += share
		}
		feathers += 7 * moulting
		out += 7 * (moulting + y.waiting)
	}
	return feathers + 7, out + 7
}

// beginDays is by how many days the median pullet begins later under "light"
// hours from "change" days on than under "light0" all her life, with the light
// of "before" hours until then.
func beginDays(in source.Inputs) float64 {
	median := func(before, after, change float64) float64 {
		l := lawOf(in, Hen)
		var life Life
		var w Week
		growing := 1.0
		s := Surroundings{MeanC: 20, LightH: before, LatitudeDeg: 51, Brooder: true}
		for i := range 120 {
			if float64(7*i) >= change {
				s.LightTrendH = 0
				if float64(7*i) < change+28 {
					s.LightTrendH = after - before
				}
				s.LightH = after
			}
			l.Step(&life, &s, &w)
			if left := growing * (1 - w.Begin); left < 0.5 {
				return 7 * (float64(i) + (growing-0.5)/(growing-left))
			}
			growing *= 1 - w.Begin
		}
		return math.Inf(1)
	}
	return median(in.Float("before"), in.Float("light"), number(in, "change", 0)) -
		median(in.Float("light0"), in.Float("light0"), 0)
}
