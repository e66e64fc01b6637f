package weather

import (
	"math"
	"math/rand/v2"

	"henyear/measure"
)

// made describes weather that is made up, to see whether the reckoning finds again
// what was put in: a yearly wave, and days that hang together.
type made struct {
	firstYear, years int
	meanC, halfC     float64 // of the year, and how far summer lies above it
	southern         bool
	dayRangeC        float64 // high less low
	sdC              float64 // of a day about the wave
	dayPersistence   float64
	seed             uint64
}

// record makes the days. A day's deviation is persistence times that of the day
// before, plus a normal draw that keeps the standard deviation.
func (w made) record() *Record {
	chance := rand.New(rand.NewPCG(w.seed, 1))
	from := measure.Date{Year: w.firstYear, Month: 1, Day: 1}
	to := measure.Date{Year: w.firstYear + w.years - 1, Month: 12, Day: 31}
	off := w.sdC * chance.NormFloat64()
	r := &Record{Kind: DailyTable, Name: "made up", From: from, To: to}
	fresh := w.sdC * math.Sqrt(1-w.dayPersistence*w.dayPersistence)
	for d := from; !to.Before(d); d = d.AddDays(1) {
		mean := w.wave(d.YearDay()-1) + off
		rain := max(0, 6*chance.NormFloat64()-4)
		r.Days = append(r.Days, Day{Date: d, HighC: mean + w.dayRangeC/2, LowC: mean - w.dayRangeC/2, MeanC: mean,
			HumidityPct: 75, RainMM: rain, WindMS: 3})
		off = w.dayPersistence*off + fresh*chance.NormFloat64()
	}
	return r
}

// wave is the usual mean of a day of the year: coldest in the middle of January, or
// of July in the south.
func (w made) wave(yearDay int) float64 {
	c := math.Cos(2 * math.Pi * (float64(yearDay) + 0.5 - 15) / measure.DaysPerYear)
	if w.southern {
		c = -c
	}
	return w.meanC - w.halfC*c
}
