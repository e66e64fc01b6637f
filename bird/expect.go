package bird

// yearShares is how the living hens of one laying year are spread over states.
type yearShares struct {
	ramp    [rampWeeks]float64
	lay     [layStages]float64
	broody  [2]float64
	moult   [moultSteps]float64
	waiting float64
}

// shares is the spread of living birds over all states; the sum is 1.
type shares struct {
	growing float64
	last    int // last laying year, less one, that holds any hens; -1 none
	years   [Years]yearShares
}

// Expect computes the exact expectation of a batch, week by week for n weeks
// from hatch (or from the arrival of chicks), by forward recursion of the law.
// weeks(i) returns the surroundings in week i of life and may return the same
// pointer each time. Results go to dst, which is used again when it has room:
// then nothing is allocated.
func (l *Law) Expect(dst []Outputs, weeks func(i int) *Surroundings, n int) []Outputs {
	if cap(dst) < n {
		dst = make([]Outputs, n)
	}
	dst = dst[:n]
	var life Life
	var w Week
	var at shares
	at.growing, at.last = 1, -1
	alive := 1.0
	for i := range dst {
		l.Step(&life, weeks(i), &w)
		out := &dst[i]
		*out = Outputs{}
		other := alive * w.LossOther
		raids := (alive - other) * w.LossRaid
		out.LostOther, out.LostRaids = other, raids
		out.AliveEnd = alive - other - raids
		out.Alive = (alive + out.AliveEnd) / 2
		out.LiveKg, out.DressedKg = w.LiveKg, w.DressedKg
		out.CombNights, out.HeatDays = w.CombNights, w.HeatDays
		feed := w.GrowingKg
		if l.sex == Hen {
			spells := at.pass(&w)
			out.BroodySpells = alive * spells
			l.yield(out, &at, &w)
			feed = at.growing*w.GrowingKg + (1-at.growing)*w.HenFeedKg
		}
		out.FeedKg = out.Alive*feed + out.EggKg*w.EggFeed
		alive = out.AliveEnd
	}
	return dst
}

// pass moves the living from state to state with the chances of the week and
// returns the broody spells begun, per living bird.
func (a *shares) pass(w *Week) (spells float64) {
	began := a.growing * w.Begin
	a.growing -= began
	last := a.last
	carried := began // hens that come into lay: into the first year, then from each to the next
	for year := 0; year <= last; year++ {
		y := &a.years[year]
		resumed := y.waiting * w.Resume
		m, b := w.MoultChance(year), w.BroodyChance(year)
		var toMoult, toBroody, worn float64
		for k := range y.lay {
			moults := y.lay[k] * m
			sits := (y.lay[k] - moults) * b
			left := y.lay[k] - moults - sits
			y.lay[k] = left + worn
			toMoult, toBroody, worn = toMoult+moults, toBroody+sits, 0
			if k < layStages-1 {
				worn = left * layStepChance
				y.lay[k] -= worn
			}
		}
		spells += toBroody
		y.waiting += y.moult[moultSteps-1]*w.MoultStep - resumed
		for k := moultSteps - 1; k > 0; k-- {
			y.moult[k] += (y.moult[k-1] - y.moult[k]) * w.MoultStep
		}
		y.moult[0] -= y.moult[0] * w.MoultStep
		y.moult[w.MoultFrom] += toMoult
		stays := y.broody[0] * w.StaysBroody
		back := y.broody[0] - stays + y.broody[1]
		y.broody[0], y.broody[1] = toBroody, stays
		y.lay[0] += y.ramp[rampWeeks-1]
		y.lay[afterBroody] += back
		for k := rampWeeks - 1; k > 0; k-- {
			y.ramp[k] = y.ramp[k-1]
		}
		y.ramp[0] = carried
		carried = resumed
	}
	switch {
	case last < 0 && began > 0:
		a.last = 0
		a.years[0].ramp[0] = began
	case last >= 0 && last < Years-1 && carried > 0:
		a.last = last + 1
		a.years[a.last].ramp[0] = carried
	case last == Years-1:
		a.years[last].ramp[0] += carried
	}
	return spells
}

// yield sums what the hens of all states give.
func (l *Law) yield(out *Outputs, a *shares, w *Week) {
	var inLay, broody, moulting, waiting, eggs, eggKg, years float64
	for year := 0; year <= a.last; year++ {
		y := &a.years[year]
		lay, full := 0.0, 0.0
		cycle := &l.cycle[min(year, 1)]
		for k, share := range y.lay {
			lay += share
			full += share * cycle[k]
		}
		for k, share := range y.ramp {
			lay += share
			full += share * rampShare[k]
		}
		inLay += lay
		years += lay * float64(year+1)
		broody += y.broody[0] + y.broody[1]
		for _, share := range y.moult {
			moulting += share
		}
		waiting += y.waiting
		if year == 0 {
			eggs += full * w.EggADay
			eggKg += full * w.EggADay * w.EggKg
		} else {
			e := full * w.LaterDay * l.yearRate[year]
			eggs += e
			eggKg += e * w.EggKg * laterEggFactor
		}
	}
	out.InLay, out.Broody = out.Alive*inLay, out.Alive*broody
	out.Moulting, out.Waiting = out.Alive*moulting, out.Alive*waiting
	out.Eggs, out.EggKg = 7*out.Alive*eggs, 7*out.Alive*eggKg
	if inLay > 0 {
		out.LayingYear = years / inLay
	}
}
