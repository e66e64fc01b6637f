package bird

import (
	"math"

	"henyear/breed"
	"henyear/climate"
	"henyear/measure"
)

// A trial place and trial flocks, plain enough to stand beside published counts:
// daylight by latitude, temperature a cosine between the means of January and
// July, lamps that hold the day. Real places come from the holding.

type place struct {
	latDeg, janC, julC float64 // south is negative
	litH               float64 // hours that lamps hold; 0 none
	risk               float64 // predators; 0 takes a secure run
	indoors            bool
}

func (p place) lightH(day int) float64 {
	return max(p.litH, climate.DayLengthH(p.latDeg, day, -0.833))
}

// season is the steady year of a place.
type season [measure.SlotsPerYear]Surroundings

func newSeason(p place) *season {
	if p.risk == 0 {
		p.risk = RiskSecureRun
	}
	var y season
	for slot := range y {
		day := measure.SlotMiddle(slot)
		h := p.lightH(day)
		mean := (p.janC+p.julC)/2 + (p.janC-p.julC)/2*math.Cos(2*math.Pi*float64(day-20)/365)
		y[slot] = Surroundings{MeanC: mean, NightC: mean - 4, NightSDC: 3, DayMaxC: mean + 5, DaySDC: 3,
			AirMS: 0.15, LightH: h, LightTrendH: h - p.lightH(day-28), LatitudeDeg: math.Abs(p.latDeg),
			GroundRisk: p.risk, AirRisk: p.risk, Brooder: true, OnPasture: !p.indoors}
	}
	return &y
}

func slotOf(day int) int { return min(measure.SlotsPerYear-1, int(float64(day-1)/measure.DaysPerSlot)) }

// from gives the weeks of life of a bird hatched on a day of the year.
func (y *season) from(hatchDay int) func(i int) *Surroundings {
	slot := slotOf(hatchDay)
	return func(i int) *Surroundings { return &y[(slot+i)%len(y)] }
}

// flock is hens of one stock hatched on one day of successive years. Its year
// begins in the month in which the youngest are counted among the hens.
type flock struct {
	law      *Law
	weeks    *season
	hatchDay int
	begins   int       // month, 1 to 12
	ages     []float64 // shares of the hens by age, the youngest first
}

func stock(id string, s breed.Strain, r Rates) *Law {
	b, err := breed.Find(id)
	if err != nil {
		panic(err) // a fault of the table of checks
	}
	return NewLaw(b, s, Hen, r)
}

// byMonth is the mean over the flock of a yield of a living hen, by calendar
// month (index 1 to 12).
func (f flock) byMonth(yield func(o *Outputs) float64) (month [13]float64) {
	const slots = measure.SlotsPerYear
	out := f.law.Expect(nil, f.weeks.from(f.hatchDay), slots*(len(f.ages)+2))
	begin := 0
	for int(measure.SlotMonth(begin)) != f.begins {
		begin++
	}
	young := ((begin-slotOf(f.hatchDay))%slots + slots) % slots
	total := 0.0
	for _, share := range f.ages {
		total += share
	}
	var weeks [13]float64
	for j := range slots {
		m := int(measure.SlotMonth((begin + j) % slots))
		weeks[m]++
		for k, share := range f.ages {
			o := &out[young+j+slots*k]
			month[m] += share / total * yield(o) / o.Alive
		}
	}
	for m := 1; m <= 12; m++ {
		month[m] /= weeks[m]
	}
	return month
}

var monthDays = [13]float64{0, 31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// henDayPct by month.
func (f flock) henDayPct() [13]float64 {
	return f.byMonth(func(o *Outputs) float64 { return 100 * o.Eggs / 7 })
}

// eggsAYear of a hen kept.
func (f flock) eggsAYear() float64 {
	sum := 0.0
	for m, pct := range f.henDayPct() {
		sum += pct / 100 * monthDays[m]
	}
	return sum
}
