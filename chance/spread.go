package chance

import (
	"math"
	"math/rand/v2"

	"henyear/climate"
)

// Spread says how luck is spread. The zero value has none: hens that differ only
// by the chances of the law.
//
// The lay of a hen in a week is the law's chance p, moved by what she is and by
// what all the hens of the household share:
//
//	p' = min(0.97, F (p + c z p (1-p)))      z: her own, mean 0, SD 1
//	F  = household x year x spell            lognormal, each of mean 1
//
// The household's level is drawn once, a year's each calendar year, a spell's
// every four weeks with some memory. Without her own records nobody knows a
// household's level; the records narrow it.
type Spread struct {
	HouseholdCV   float64 // between households of the same birds and place
	YearCV        float64 // between the years of one household
	SpellCV       float64 // between the months of a year
	SpellMemory   float64 // correlation of a spell with the one four weeks before
	Own           float64 // c above
	Growth        float64 // CV of live weight between siblings
	HatchSpread   float64 // between settings, as Own is between hens
	Weather       bool    // warm and cold weeks
	DayMemory     float64 // correlation of the anomalies of one day and the next
	Raids         bool
	RaidYearCV    float64 // between years: some years there is a den near by
	IllnessAYear  float64 // outbreaks in a flock in a year
	MachineFails  bool    // whole settings lost, broods chilled
	CocksFail     bool
	KeeperAdjusts bool // he keeps more pullets when short, sets again when a hatch fails

	weekMemory float64 // that of a week and the next, see prepared
}

// prepared returns s with what follows from it worked out.
func (s Spread) prepared() Spread {
	_, s.weekMemory = weekOfDays(s.DayMemory)
	return s
}

// at returns s for a place that tells how its weather strays; what it does not tell
// stays as it was, and so does the luck of every week but for its size and memory.
func (s Spread) at(t *climate.Stray) Spread {
	if t == nil {
		return s
	}
	if t.DayMemory != 0 {
		s.DayMemory = t.DayMemory
		s = s.prepared()
	}
	if t.WeekMemory != 0 {
		s.weekMemory = t.WeekMemory
	}
	return s
}

// UsualSpread is what a household meets that describes its own flock, place and
// feed. Year and spells together scatter the years of one keeper by a quarter, as
// those of Oregon and Louisiana do (variance of the logarithm 0.065, see
// docs/models/chance.md); how the quarter is parted between them, and the level of
// the household, are guesses. A flock of which only an index says something differs
// more, see StrangerSpread.
// Keys: chance-spread, chance-own-rate,
// chance-raid-years, chance-illness, chance-weather, chance-settings.
func UsualSpread() Spread {
	return Spread{
		HouseholdCV: 0.15, YearCV: 0.22, SpellCV: 0.30, SpellMemory: 0.5,
		Own: 0.50, Growth: 0.10, HatchSpread: 0.55,
		Weather: true, DayMemory: 0.75, Raids: true, RaidYearCV: 0.7, IllnessAYear: 0.15,
		MachineFails: true, CocksFail: true, KeeperAdjusts: true,
	}
}

// spellWeeks is how long a spell of good or bad lay holds before it changes.
const spellWeeks = 4

// lognormal is a factor of mean 1 with coefficient of variation cv, for a
// standard normal z.
func lognormal(cv, z float64) float64 {
	if cv <= 0 {
		return 1
	}
	v := math.Log(1 + cv*cv)
	return math.Exp(math.Sqrt(v)*z - v/2)
}

// levels fills F for each week: years[t] is the index of its calendar year.
func (s *Spread) levels(dst []float64, yearOf []int, st *streams) {
	g := st.open(ofLevel, 0)
	household := lognormal(s.HouseholdCV, normal(&g))
	yearNow, year := -1, 1.0
	memory, fresh := s.SpellMemory, math.Sqrt(1-s.SpellMemory*s.SpellMemory)
	z, spell := 0.0, 1.0
	if s.SpellCV > 0 {
		z = normal(&g)
	}
	for t := range dst {
		if yearOf[t] != yearNow {
			yearNow = yearOf[t]
			own := st.open(ofLevel, uint64(yearNow)+1)
			year = lognormal(s.YearCV, normal(&own))
		}
		if s.SpellCV > 0 && t%spellWeeks == 0 {
			z = memory*z + fresh*normal(&g)
			spell = lognormal(s.SpellCV, z)
		}
		dst[t] = household * year * spell
	}
}

// Weather. The anomaly of a week's mean temperature is a multiple of its own
// standard deviation, read to the nearest of a few steps; step 0 is the plain
// normal week, whatever the spread.
const (
	weatherSteps = 9
	stepSD       = 0.75
	bins         = weatherSteps + 1 // and the plain week
)

// anomaly of a bin in standard deviations.
func anomaly(bin int) float64 { return float64(bin-1-weatherSteps/2) * stepSD }

// weekOfDays gives, for days that follow each other with correlation memory, the
// standard deviation of a week's mean against a day's, and the correlation of one
// week's mean with the next (closed form of a first-order series).
func weekOfDays(memory float64) (sd, correlation float64) {
	same, next := 0.0, 0.0
	for i := range 7 {
		for j := range 7 {
			same += math.Pow(memory, math.Abs(float64(i-j)))
			next += math.Pow(memory, float64(7+j-i))
		}
	}
	return math.Sqrt(same / 49), next / same
}

// weather fills the bin of each week: 0 where the weather has no luck.
func (s *Spread) weather(dst []uint8, st *streams) {
	if !s.Weather {
		clear(dst)
		return
	}
	memory, fresh := s.weekMemory, math.Sqrt(1-s.weekMemory*s.weekMemory)
	g := st.open(ofWeather, 0)
	z := bell(&g)
	for t := range dst {
		if t > 0 {
			z = memory*z + fresh*bell(&g)
		}
		k := int(z*(1/stepSD) + weatherSteps/2 + 0.5)
		dst[t] = uint8(1 + min(weatherSteps-1, max(0, k)))
	}
}

// weekSD is the standard deviation of a week's mean temperature at a place: as the
// place tells it, or from that of its days.
func (s *Spread) weekSD(w climate.WeekNormal) float64 {
	if w.SDWeekC > 0 {
		return w.SDWeekC
	}
	sd, _ := weekOfDays(s.DayMemory)
	return sd * w.SDDayC
}

// makeOwn draws what a bird is made of: the time of her death, in units of
// hazard, and how she differs from her sisters.
func makeOwn(b *one, g *rand.PCG) {
	b.doom = exponential(g)
	b.own = float32(bell(g))
}
