package chance

import (
	"context"
	"math"
	"slices"

	"henyear/bird"
	"henyear/course"
	"henyear/holding"
	"henyear/measure"
)

// A Cast is one count of a history beside what the simulator makes of it:
// hen-day lay of the same days, percent.
type Cast struct {
	Count Count
	Pct   Range
	// rates is hen-day lay by replicate; NaN where no hen was left.
	rates []float64
}

// In50 and In90 report whether the counted rate lies in the range, ends
// included.
func (c Cast) In50() bool { return inside(c.Count.HenDayPct(), c.Pct.P25, c.Pct.P75) }
func (c Cast) In90() bool { return inside(c.Count.HenDayPct(), c.Pct.P05, c.Pct.P95) }

func inside(x, low, high float64) bool { return low <= x && x <= high }

// A HistoryCast is a history cast back: its scored counts in the order of the
// tables.
type HistoryCast struct {
	History *History
	Casts   []Cast
}

// BackCast simulates a history and holds each scored count against it. The
// simulator is told the place, the light and the groups, nothing that was
// counted; what the record leaves open is shared out among the lives (see
// readings). The rates of the law are neutral.
func (h *History) BackCast(ctx context.Context, spread Spread, opt Options) (HistoryCast, error) {
	readings := h.readings()
	opt.Replicates = (opt.replicates() + len(readings) - 1) / len(readings)
	cast := HistoryCast{History: h}
	for _, c := range h.Counts {
		if c.Scored {
			cast.Casts = append(cast.Casts, Cast{Count: c})
		}
	}
	for _, reading := range readings {
		if err := reading.cast(ctx, spread, opt, cast.Casts); err != nil {
			return HistoryCast{}, err
		}
		opt.Seed++
	}
	for i := range cast.Casts {
		cast.Casts[i].Pct = rangeOfRates(cast.Casts[i].rates)
	}
	return cast, nil
}

// cast lives one reading of a history and adds its rates to each count.
func (h *History) cast(ctx context.Context, spread Spread, opt Options, casts []Cast) error {
	from, to := h.reach()
	bare := h.bare(from, to)
	bare.Spread = spread
	res, err := bare.Run(ctx, opt)
	if err != nil {
		return err
	}
	for i := range casts {
		casts[i].rates = append(casts[i].rates, henDayRates(res, from, casts[i].Count)...)
	}
	return nil
}

// BackCastAll casts back, in order, the histories of the sets that are named, or
// all of them.
func BackCastAll(ctx context.Context, spread Spread, opt Options, sets ...HistorySet) ([]HistoryCast, error) {
	histories, err := Histories()
	if err != nil {
		return nil, err
	}
	var casts []HistoryCast
	for i := range histories {
		h := &histories[i]
		if len(sets) > 0 && !slices.Contains(sets, h.Set) {
			continue
		}
		cast, err := h.BackCast(ctx, spread, opt)
		if err != nil {
			return nil, err
		}
		casts = append(casts, cast)
	}
	return casts, nil
}

// StrangerSpread is the luck of a household whose hens nobody has counted before,
// as the odd half of the open histories shows it by the rule in
// docs/models/chance.md. It holds more than luck: where the law's season does
// not fit a flock, the misfit counts as spells. Key chance-spread.
func StrangerSpread() Spread {
	s := UsualSpread()
	s.HouseholdCV, s.YearCV, s.SpellCV = strangerHouseholdCV, strangerYearCV, strangerSpellCV
	return s
}

const (
	strangerHouseholdCV = 0.45
	strangerYearCV      = 0.10
	strangerSpellCV     = 0.55
)

// reach is the first and the last week with a scored count.
func (h *History) reach() (from, to measure.Week) {
	first := true
	for _, c := range h.Counts {
		if !c.Scored {
			continue
		}
		a, b := measure.WeekOf(c.From), measure.WeekOf(c.To)
		if first {
			from, to, first = a, b, false
		}
		from, to = min(from, a), max(to, b)
	}
	return from, to
}

// bare is the flock from one week to another, both included, without luck that
// all its hens share.
func (h *History) bare(from, to measure.Week) *Bare {
	place := h.holding()
	b := &Bare{
		Book: course.New(place, false, bird.NewRates()), EggLoss: place.Means.EggLoss,
		From: from, Weeks: int(to-from) + 1, Spread: unshared(),
	}
	if !h.LitFrom.IsZero() {
		b.Lit = course.New(place, true, bird.NewRates())
		first, last := measure.WeekOf(h.LitFrom), measure.WeekOf(h.LitTo)
		b.LitWeek = func(w measure.Week) bool { return first <= w && w <= last }
	}
	for _, g := range h.Groups {
		group := BareGroup{
			Breed: g.Breed, Strain: g.Strain, Number: g.Number,
			Hatched: measure.WeekOf(g.Hatched), From: measure.WeekOf(g.From), To: measure.WeekOf(g.To),
		}
		if group.From <= to && group.To > from {
			b.Groups = append(b.Groups, group)
		}
	}
	return b
}

// unshared is the usual luck without that which all the hens of a household share
// in their lay.
func unshared() Spread {
	s := UsualSpread()
	s.HouseholdCV, s.YearCV, s.SpellCV = 0, 0, 0
	return s
}

// holding is what these keepers have in common, since hardly one says more: hens
// that range by day the year round, are locked in at night, with some
// predators and some cover (key chance-stand-ins).
func (h *History) holding() *holding.Holding {
	const floorPerHenM2, rangePerHenM2 = 0.4, 20
	most := 0.0
	for _, c := range h.Counts {
		most = max(most, c.Hens)
	}
	f := &holding.Holding{Name: h.Name}
	f.Place = holding.Place{
		Climate: h.Place, GroundPredators: holding.Some, AirPredators: holding.Some, Cover: holding.Some,
		LockedAtNight: true, PastureM2: rangePerHenM2 * most, MaxBirds: -1, MaxCocks: -1,
	}
	for m := range f.Place.PastureMonths {
		f.Place.PastureMonths[m] = true
	}
	f.Means.Houses = []holding.House{{Name: "house", AreaM2: floorPerHenM2 * most, Pens: 1}}
	f.Means.EggLoss = usualEggLoss
	return f
}

// usualEggLoss is the share of eggs laid that a household does not collect
// usable, where its record says nothing: 4 % (practice).
const usualEggLoss = 0.04

// henDayRates is eggs over hen-days in the days of a count, percent, by
// replicate. A week that belongs to the count in part counts by its days.
func henDayRates(res *BareResult, from measure.Week, c Count) []float64 {
	rates := make([]float64, len(res.Eggs[0]))
	for r := range rates {
		henDays := 0.0
		for w := measure.WeekOf(c.From); w <= measure.WeekOf(c.To); w++ {
			henDays += float64(res.Hens[w-from][r]) * daysIn(w, c)
		}
		rates[r] = math.NaN()
		if henDays > 0 {
			rates[r] = 100 * eggsIn(res, from, c, r) / henDays
		}
	}
	return rates
}

// daysIn is how many days of a week fall in the count.
func daysIn(w measure.Week, c Count) float64 {
	before := max(0, c.From.DaysSince(w.Monday()))
	after := max(0, w.Monday().AddDays(6).DaysSince(c.To))
	return float64(7 - before - after)
}

func rangeOfRates(rates []float64) Range {
	sorted := slices.DeleteFunc(slices.Clone(rates), math.IsNaN)
	if len(sorted) == 0 {
		return Range{}
	}
	slices.Sort(sorted)
	at := func(p float64) float64 {
		x := p * float64(len(sorted)-1)
		i := min(int(x), len(sorted)-2)
		if i < 0 {
			return sorted[0]
		}
		return sorted[i] + (x-float64(i))*(sorted[i+1]-sorted[i])
	}
	sum := 0.0
	for _, v := range sorted {
		sum += v
	}
	return Range{P05: at(0.05), P25: at(0.25), P50: at(0.5), P75: at(0.75), P95: at(0.95), Mean: sum / float64(len(sorted))}
}
