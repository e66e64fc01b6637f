package chance

import (
	"cmp"
	"context"
	"math"
	"slices"

	"henyear/measure"
)

// yearRecord is what is kept of one year of one replicate.
type yearRecord struct {
	figure    [figures]float64
	flags     flag
	replicate int32
	year      int32
}

// Odds lives the plan through many random years. progress may be nil; it is told
// of replicates done. When ctx ends the error is ctx's and nothing is returned.
func (w *World) Odds(ctx context.Context, opt Options, progress func(done, total int)) (*Odds, error) {
	if err := opt.Check(); err != nil {
		return nil, err
	}
	n := opt.replicates()
	years := len(w.years)
	records := make([]yearRecord, n*years)
	workers := opt.workers()
	runners := make([]*runner, workers)
	tallies := make([]*weekTally, workers)
	seeds := seedsOf(opt.Seed)
	var tell func(int)
	if progress != nil {
		tell = func(done int) { progress(done, n) }
	}
	err := spreadOver(ctx, n, workers, tell, func(k, i int) {
		if runners[k] == nil {
			runners[k], tallies[k] = w.newRunner(), w.newWeekTally()
		}
		r := runners[k]
		r.live(&seeds, uint64(i))
		tallies[k].add(r)
		for y := range r.years {
			rec := &records[i*years+y]
			rec.flags, rec.replicate, rec.year = r.years[y].flags, int32(i), int32(y)
			rec.figure = r.years[y].figure
		}
	})
	if err != nil {
		return nil, err
	}
	all := w.newWeekTally()
	for _, t := range tallies {
		if t != nil {
			all.merge(t)
		}
	}
	return w.sum(records, all, n, opt.Seed), nil
}

// part is the share of a calendar year that the plan covers.
func (w *World) part(y int) float64 {
	weeks := 0
	for _, of := range w.yearOf {
		if of == y {
			weeks++
		}
	}
	return min(1, float64(weeks)*7/measure.DaysPerYear)
}

// counts reports whether a year is long enough to be judged.
func (w *World) judged(y int) bool { return w.part(y) >= 0.5 }

func (w *World) sum(records []yearRecord, all *weekTally, n int, seed uint64) *Odds {
	h, p := w.h, w.plan
	out := &Odds{Format: Format, Holding: h.Name, AsOf: p.AsOf, From: p.From, To: p.To, Currency: h.Currency, Units: h.Units,
		Replicates: n, Seed: seed, Generator: Generator}
	for t := range w.weeks {
		row := &p.Weeks[t]
		out.Weeks = append(out.Weeks, WeekOdds{Week: row.Week, Date: row.Date, Eggs: all.eggs[t].spread(), Needed: w.means[t].need,
			Short: float64(all.short[t]) / float64(n), Hens: all.hens[t].spread()})
	}
	for m, at := range w.month {
		need := 0.0
		for t := range w.weeks {
			if w.months[t] == m {
				need += math.Round(w.means[t].need)
			}
		}
		out.Months = append(out.Months, MonthOdds{Year: at.year, Month: at.month, Eggs: all.month[m].spread(), Needed: need,
			Short: float64(all.monthShort[m]) / float64(n)})
	}
	allowed := h.Needs.RiskShortWeeks
	for y := range w.years {
		out.Years = append(out.Years, w.yearOdds(records, y, n, allowed))
	}
	out.Risk = w.risk(records, n, allowed)
	out.Chance = w.events(records, n)
	out.Outcomes = w.outcomes(records, n, allowed)
	out.Poor = w.poor(records)
	out.Words = w.words(out)
	return out
}

func (w *World) yearOdds(records []yearRecord, y, n, allowed int) YearOdds {
	years := len(w.years)
	values := make([]float64, n)
	get := func(f figure) Range {
		for i := range values {
			values[i] = float64(records[i*years+y].figure[f])
		}
		return spreadOf(values)
	}
	over := 0
	for i := range n {
		if records[i*years+y].figure[figShort] > float64(allowed) {
			over++
		}
	}
	return YearOdds{Year: w.years[y], Part: w.part(y), ShortWeeks: get(figShort), OverK: float64(over) / float64(n),
		Eggs: get(figEggs), EggsBought: get(figBought), WinterEggs: get(figWinter), TableBirds: get(figTable), Chicks: get(figChicks),
		Lost: get(figLost), Taken: get(figTaken), Cost: get(figCost), FeedKg: get(figFeed), HensWinter: get(figHens),
		Pullets: get(figPullets), Missed: get(figMissed)}
}

// risk is the share of judged years with more than the allowed short weeks. The
// error counts replicates, since the years of one hang together.
func (w *World) risk(records []yearRecord, n, allowed int) Risk {
	years := len(w.years)
	judged := 0
	for y := range w.years {
		if w.judged(y) {
			judged++
		}
	}
	out := Risk{ShortWeeksAllowed: allowed, Accepted: w.h.Needs.RiskShare}
	if judged == 0 {
		out.Met = true
		return out
	}
	sum, squares := 0.0, 0.0
	for i := range n {
		over := 0.0
		for y := range w.years {
			if w.judged(y) && records[i*years+y].figure[figShort] > float64(allowed) {
				over++
			}
		}
		over /= float64(judged)
		sum += over
		squares += over * over
	}
	out.Share = sum / float64(n)
	out.Error = math.Sqrt(max(0, squares/float64(n)-out.Share*out.Share) / float64(n))
	out.Met = out.Share <= out.Accepted
	return out
}

var events = []struct {
	flag       flag
	code, what string
}{
	{shortWeek, "short_week", "a week with fewer eggs, laid and in store, than the household needs"},
	{shortMonth, "short_month", "a month in which eggs must be bought"},
	{freezerEmpty, "freezer_empty", "four weeks on end without half the meat that was planned"},
	{noCock, "no_cock", "no cock when eggs are to be set"},
	{noBroody, "no_broody", "no hen broody when eggs wait for one"},
	{tooManyBirds, "too_many_birds", "more birds than there is room for"},
	{hatchFailed, "hatch_failed", "a hatch of fewer than half the chicks expected"},
	{raided, "raid", "grown birds taken by predators"},
	{bigRaid, "big_raid", "four grown birds or more taken at once"},
	{ill, "illness", "an outbreak of illness in the flock"},
	{combFrozen, "comb_frozen", "a cock with a frozen comb"},
	{powerCut, "power_cut", "a setting lost to a power cut"},
	{chilled, "brood_chilled", "a brood chilled in its first weeks"},
}

func (w *World) events(records []yearRecord, n int) []Event {
	years := len(w.years)
	var out []Event
	for _, e := range events {
		lives, times, judged := 0, 0, 0
		for i := range n {
			any := false
			for y := range w.years {
				has := records[i*years+y].flags&e.flag != 0
				any = any || has
				if w.judged(y) {
					judged++
					if has {
						times++
					}
				}
			}
			if any {
				lives++
			}
		}
		share := float64(lives) / float64(n)
		out = append(out, Event{Code: e.code, What: e.what, Share: share, Year: float64(times) / float64(max(1, judged)), Error: shareError(share, n)})
	}
	return out
}

func (w *World) outcomes(records []yearRecord, n, allowed int) []Outcome {
	years := len(w.years)
	out := make([]Outcome, n)
	for i := range out {
		o := &out[i]
		for y := range w.years {
			f := &records[i*years+y].figure
			o.Eggs += float64(f[figEggs])
			o.WinterEggs += float64(f[figWinter])
			o.Bought += float64(f[figBought])
			o.Cost += float64(f[figCost])
			o.ShortWeeks += int(f[figShort])
			if w.judged(y) {
				o.Years++
				if f[figShort] > float64(allowed) {
					o.YearsOver++
				}
			}
		}
	}
	return out
}

var causes = []struct {
	flag       flag
	code, what string
}{
	{lowYear, "year_effect", "the hens laid at least 15 % below their usual level all year"},
	{hatchFailed, "hatch", "a hatch gave fewer than half its chicks"},
	{fewHens, "hens", "at least a quarter of the winter's hens was missing"},
	{bigRaid, "raids", "a raid took four grown birds or more"},
	{ill, "illness", "illness went through the flock"},
	{heavyLosses, "losses", "losses in all came to more than half as many birds as there are hens"},
	{noCock, "cock", "there was no cock when eggs were to be set"},
	{noBroody, "broody", "no hen went broody in time"},
	{chilled, "chill", "a brood was chilled"},
	{powerCut, "power_cut", "the power failed while eggs were in the machine"},
}

// poor looks into the worst twentieth of the judged years: those with most short
// weeks, and of the like those with most eggs bought.
func (w *World) poor(records []yearRecord) Poor {
	years := len(w.years)
	var pool []int
	for i := range records {
		if w.judged(i % years) {
			pool = append(pool, i)
		}
	}
	if len(pool) == 0 {
		return Poor{}
	}
	slices.SortFunc(pool, func(a, b int) int {
		x, y := &records[a].figure, &records[b].figure
		return cmp.Or(cmp.Compare(y[figShort], x[figShort]), cmp.Compare(y[figBought], x[figBought]), cmp.Compare(x[figEggs], y[figEggs]), cmp.Compare(a, b))
	})
	worst := pool[:max(1, len(pool)/20)]
	out := Poor{Years: len(worst)}
	for _, i := range worst {
		f := &records[i].figure
		out.ShortWeeks += float64(f[figShort]) / float64(len(worst))
		out.Bought += float64(f[figBought]) / float64(len(worst))
		out.Cost += float64(f[figCost]) / float64(len(worst))
	}
	// A bad hatch is felt in the winter after it, which may be the next year's.
	has := func(i int, f flag) bool {
		seen := records[i].flags
		if i%years > 0 {
			seen |= records[i-1].flags & (hatchFailed | bigRaid | noCock | noBroody | powerCut | chilled)
		}
		return seen&f != 0
	}
	for _, c := range causes {
		share := func(list []int) float64 {
			n := 0
			for _, i := range list {
				if has(i, c.flag) {
					n++
				}
			}
			return float64(n) / float64(len(list))
		}
		out.Causes = append(out.Causes, Cause{c.code, c.what, share(worst), share(pool)})
	}
	slices.SortStableFunc(out.Causes, func(a, b Cause) int { return cmp.Compare(b.Poor-b.All, a.Poor-a.All) })
	return out
}
