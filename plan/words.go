package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"henyear/bird"
	"henyear/breed"
	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
	"henyear/solve"
)

func say(code, source string, args map[string]any, format string, a ...any) Sentence {
	return Sentence{Code: code, Args: args, Text: fmt.Sprintf(format, a...), Source: source}
}

// binding lists the limits that the answer runs against, each with the first and
// last period in which it does. Rows within half a percent of their limit count.
func (a answer) binding() []Binding {
	pr := a.pr
	act := pr.m.Activity(a.x)
	var out []Binding
	add := func(code, text string, rows []solve.Row, limit float64, unit string, over func(p int) float64) {
		first, last, n := -1, -1, 0
		for p, r := range rows {
			_, hi := pr.m.RowBounds(r)
			if hi <= 0 || math.IsInf(hi, 1) {
				continue
			}
			if act[r]+over(p) >= hi*0.995 {
				if first < 0 {
					first = p
				}
				last = p
				n++
			}
		}
		if n == 0 {
			return
		}
		f, l := pr.g.periods[first], pr.g.periods[last]
		weeks := 0
		for p := first; p <= last; p++ {
			weeks += pr.g.periods[p].weeks
		}
		out = append(out, Binding{
			What: say(code, "", map[string]any{"limit": limit}, "%s", text), Limit: limit, Unit: unit,
			From: pr.g.date(f.first), To: pr.g.date(l.first + l.weeks - 1).AddDays(6),
		})
	}
	nothing := func(int) float64 { return 0 }
	add("house-full", "The houses are as full as birds can bear.", pr.house, pr.houseM2(), "m2", nothing)
	add("pens-taken", "Every pen is taken.", pr.pens, float64(pr.penCount()), "pens", nothing)
	add("minutes-spent", "The daily round takes all the time there is.", pr.minutes, pr.h.Means.MinutesADay, "min a day", nothing)
	add("brooder-full", "The brooder is full.", pr.brooder, float64(pr.h.Means.BrooderChicks), "chicks", nothing)
	add("birds-allowed", "Local rules allow no more grown birds.", pr.adults, float64(pr.h.Place.MaxBirds), "birds", nothing)
	add("freezer-full", "The freezer is full after butchering.", pr.full, pr.h.Means.FreezerL, "l", nothing)
	for _, y := range pr.years {
		if r, ok := pr.sales[100*y+limitDays]; ok {
			if _, hi := pr.m.RowBounds(r); hi > 0 && act[r] > hi-1e-6 {
				out = append(out, Binding{What: say("butcher-days", "", nil, "All butcher days of %d are used.", y), Limit: hi, Unit: "days",
					From: pr.firstDay(y), To: pr.lastDay(y)})
			}
		}
	}
	weeks := make([]int, 0, len(pr.machine))
	for t := range pr.machine {
		weeks = append(weeks, t)
	}
	slices.Sort(weeks)
	for _, t := range weeks {
		r := pr.machine[t]
		if _, hi := pr.m.RowBounds(r); hi > 0 && act[r] > hi*0.995 {
			if n := len(out); n > 0 && out[n-1].What.Code == "machine-full" && pr.g.date(t).DaysSince(out[n-1].To) <= 8 {
				out[n-1].To = pr.g.date(t).AddDays(6)
				continue
			}
			out = append(out, Binding{What: say("machine-full", "", nil, "The machine is full."), Limit: hi, Unit: "eggs",
				From: pr.g.date(t), To: pr.g.date(t).AddDays(6)})
		}
	}
	for _, set := range pr.broodyWeeks {
		if act[pr.spells[set]] > -0.1 && a.setUnderHens(set) > 0 {
			out = append(out, Binding{What: say("broodies-set", "", nil, "No more hens can be counted on to go broody."),
				Limit: a.setUnderHens(set), Unit: "hens", From: pr.g.date(set), To: pr.g.date(set).AddDays(6)})
		}
	}
	for _, f := range pr.fit {
		if act[f.row] > -0.5 && a.setIn(f) > 0.5 {
			out = append(out, Binding{What: say("eggs-fit", "", map[string]any{"breed": f.breed}, "No more eggs fit for setting are laid that week."),
				Limit: a.setIn(f), Unit: "eggs", From: pr.g.date(f.week - 1), To: pr.g.date(f.week)})
		}
	}
	return out
}

// setUnderHens counts the broody hens that are given eggs in week t.
func (a answer) setUnderHens(t int) float64 {
	n := 0.0
	for i, s := range a.pr.slots {
		if s.from.underHen() && s.set == t && a.x[a.pr.cols[i].units] > 0.5 {
			n++
		}
	}
	return n
}

func (a answer) setIn(f fitRow) float64 {
	n := 0.0
	for i, s := range a.pr.slots {
		if s.from.own() && s.set == f.week && s.breed.ID == f.breed {
			n += a.x[a.pr.cols[i].units]
		}
	}
	return n
}

func (pr *programme) firstDay(y int) measure.Date {
	d := measure.Date{Year: y, Month: 1, Day: 1}
	if d.Before(pr.g.date(0)) {
		return pr.g.date(0)
	}
	return d
}

func (pr *programme) lastDay(y int) measure.Date { return measure.Date{Year: y, Month: 12, Day: 31} }

// fewEggs is a gap not worth a sentence.
const fewEggs = 6

// shortfalls lists the needs that the answer does not meet, and what would help.
func (a answer) shortfalls(flow []eggFlow) []Shortfall {
	pr := a.pr
	var out []Shortfall
	for t := 0; t < len(flow); {
		if flow[t].bought < 0.5 {
			t++
			continue
		}
		from, sum := t, 0.0
		quiet := 0
		end := t
		for ; t < len(flow) && quiet < 3; t++ {
			sum += flow[t].bought
			if flow[t].bought < 0.5 {
				quiet++
			} else {
				quiet, end = 0, t
			}
		}
		if sum < fewEggs {
			continue // less than the scatter of a single week
		}
		out = append(out, Shortfall{
			What: say("eggs-short", "", map[string]any{"eggs": math.Round(sum)}, "About %s short between %s and %s.", count(sum, "egg"), pr.g.date(from).Words(), pr.g.date(end).AddDays(6).Words()),
			From: pr.g.date(from), To: pr.g.date(end).AddDays(6), Amount: sum, Unit: "eggs", Help: a.eggHelp(from, end, sum),
		})
	}
	out = append(out, a.promisesMissed(flow)...)
	for _, y := range pr.years {
		if n := a.x[pr.tableShort[y]]; n > 0.3 {
			out = append(out, Shortfall{
				What: say("table-short", "", map[string]any{"birds": n, "year": y}, "About %s for the table short in %d.", count(math.Max(1, n), "bird"), y),
				From: pr.firstDay(y), To: pr.lastDay(y), Amount: n, Unit: "birds", Help: a.tableHelp(y),
			})
		}
	}
	over := func(code, what, unit, help string, col func(u *useColumns) solve.Col) {
		worst, first, last := 0.0, -1, -1
		for p := range pr.use {
			if x := a.x[col(&pr.use[p])]; x > 0.05 {
				worst = math.Max(worst, x)
				if first < 0 {
					first = p
				}
				last = p
			}
		}
		if first >= 0 {
			shown := measure.Round(worst, 0)
			if unit == "m2" {
				shown = pr.inUnits(measure.AreaM2, worst, 1)
			}
			out = append(out, Shortfall{What: say(code, "", map[string]any{"amount": worst}, what, shown), Amount: worst, Unit: unit,
				From: pr.g.date(pr.g.periods[first].first), To: pr.g.date(pr.g.periods[last].first),
				Help: say(code+"-help", "", nil, "%s", help)})
		}
	}
	over("crowded", "At the worst, %s of house is missing.", "m2", "Sell, give or eat birds now, or add floor under a roof.", func(u *useColumns) solve.Col { return u.overHouse })
	over("busy", "At the worst, the round takes %s minutes a day more than there are.", "min a day", "Fewer birds, or more minutes in those weeks.", func(u *useColumns) solve.Col { return u.overMinutes })
	if pr.adults != nil {
		over("too-many", "At the worst, there are %s grown birds more than local rules allow.", "birds", "Sell, give or eat birds before then, or ask for leave.", func(u *useColumns) solve.Col { return u.overBirds })
	}
	if pr.endShort != none && a.x[pr.endShort] > 0.5 {
		out = append(out, Shortfall{What: say("few-pullets", "", nil, "The flock it hands on has about %s fewer than at the start.", count(a.x[pr.endShort], "young hen")),
			From: pr.g.date(pr.g.weeks - 1), To: pr.g.date(pr.g.weeks - 1), Amount: a.x[pr.endShort], Unit: "hens",
			Help: say("few-pullets-help", "", nil, "Room for one more hatch, or a few bought pullets, in the last spring.")})
	}
	return out
}

// promisesMissed lists eggs promised to customers that are not there, by year.
func (a answer) promisesMissed(flow []eggFlow) []Shortfall {
	pr := a.pr
	var out []Shortfall
	for _, y := range pr.years {
		sum, first, last := 0.0, -1, -1
		for t, f := range flow {
			if pr.g.periods[pr.g.of[t]].year != y || f.missed < 0.5 {
				continue
			}
			sum += f.missed
			if first < 0 {
				first = t
			}
			last = t
		}
		if sum < fewEggs {
			continue
		}
		out = append(out, Shortfall{
			What: say("promise-short", "", map[string]any{"eggs": math.Round(sum)}, "About %s fewer than promised to customers between %s and %s.",
				count(sum, "egg"), pr.g.date(first).Words(), pr.g.date(last).AddDays(6).Words()),
			From: pr.g.date(first), To: pr.g.date(last).AddDays(6), Amount: sum, Unit: "eggs", Help: a.eggHelp(first, last, sum)})
	}
	return out
}

// eggHelp names the least change that would fill a gap in eggs, by what stands
// in the way then.
func (a answer) eggHelp(from, end int, eggs float64) Sentence {
	pr := a.pr
	act := pr.m.Activity(a.x)
	weeks := float64(end - from + 1)
	rate := a.pulletRate(from, end)
	hens := math.Ceil(eggs / weeks / math.Max(rate, 0.3))
	full := func(rows []solve.Row) bool {
		for t := from; t <= end; t++ {
			if rows == nil {
				return false
			}
			r := rows[pr.g.of[t]]
			if _, hi := pr.m.RowBounds(r); act[r] > hi*0.98 {
				return true
			}
		}
		return false
	}
	switch {
	case from < 30 && weeks < 40:
		return say("help-soon", "", map[string]any{"hens": hens}, "Too soon for a hatch to help: about %s bought at point of lay would fill it, or buy the eggs.", count(hens, "pullet"))
	case full(pr.house):
		return say("help-house", "", map[string]any{"hens": hens}, "The house is full: floor for about %s more would fill it, or fewer eggs promised then.", count(hens, "young hen"))
	case full(pr.minutes):
		return say("help-minutes", "", map[string]any{"minutes": hens * minutesPerBird}, "Time is short: about %.0f minutes a day more would let you keep the %s it takes.", math.Ceil(hens*minutesPerBird), count(hens, "hen"))
	}
	return say("help-hens", "", map[string]any{"hens": hens}, "About %s more in lay then would fill it.", count(hens, "young hen"))
}

// pulletRate is the eggs a week of a hen in lay age over some weeks.
func (a answer) pulletRate(from, end int) float64 {
	weeks := a.weekly()
	eggs, hens := 0.0, 0.0
	for t := from; t <= end; t++ {
		eggs += weeks[t].eggs
		hens += weeks[t].hens
	}
	if hens < 1 {
		return 2
	}
	return eggs / hens
}

func (a answer) tableHelp(year int) Sentence {
	pr := a.pr
	switch {
	case !pr.h.Means.WillKill:
		return say("help-kill", "", nil, "You do not kill birds, so the meat must be bought, or someone must do it for you.")
	case pr.h.Means.ButcherDaysAYear == 0:
		return say("help-days", "", nil, "Allow at least one butcher day a year.")
	case pr.h.Means.FreezerL <= 0:
		return say("help-freezer", "", nil, "Without a freezer birds must be eaten within days; a freezer of %s changes that.", pr.inUnits(measure.VolumeL, 60, 0))
	}
	act := pr.m.Activity(a.x)
	if r, ok := pr.sales[100*year+limitDays]; ok {
		if _, hi := pr.m.RowBounds(r); act[r] > hi-1e-6 {
			return say("help-butcher-day", "", nil, "One more butcher day in %d would help.", year)
		}
	}
	return say("help-meat-birds", "", nil, "A dozen bought meat chicks, or one more hatch, would fill it.")
}

// shop sets the plan beside a household that keeps no birds.
func (a answer) shop(years []YearRow) Shop {
	pr := a.pr
	eggs := 0.0
	for slot := range measure.SlotsPerYear {
		eggs += pr.h.Needs.EggsPerWeek(int(measure.SlotMonth(slot)))
	}
	kg := pr.tableKgPerYear()
	prices := pr.h.Prices
	out := Shop{Eggs: eggs, MeatKg: kg, PerYear: eggs*prices.ShopEggsPerDozen/12 + kg*prices.ShopChickenPerKg}
	part, cost := 0.0, 0.0
	for _, y := range years {
		part += y.Part
		cost += pr.h.Currency.Amount(y.FeedCost+y.OtherCost-y.Income) + y.EggsBought*prices.ShopEggsPerDozen/12
	}
	for _, col := range pr.tableShort {
		cost += a.x[col] * tableBirdKg * prices.ShopChickenPerKg
	}
	if part > 0 {
		out.FlockPerYear = cost / part
	}
	cur := pr.h.Currency
	buy, flock := cur.FormatWhole(cur.Minor(out.PerYear)), cur.FormatWhole(cur.Minor(out.FlockPerYear))
	word := "costs about as much as"
	switch {
	case out.FlockPerYear < 0.93*out.PerYear:
		word = "costs less than"
	case out.FlockPerYear > 1.07*out.PerYear:
		word = "costs more than"
	}
	out.Text = say("shop", "", map[string]any{"shop": out.PerYear, "flock": out.FlockPerYear},
		"Buying all of it at the shop would cost %s a year. The flock costs %s a year after sales, with what it fails to give bought, in cash and without your work: it %s the shop.", buy, flock, word)
	return out
}

// warnings are cautions that follow from place, birds and plan.
func (a answer) warnings(weeks []week) []Sentence {
	pr := a.pr
	var out []Sentence
	seen := map[string]bool{}
	for i, s := range pr.slots {
		if a.x[pr.cols[i].units] < 0.5 || seen[s.breed.ID] {
			continue
		}
		seen[s.breed.ID] = true
		out = append(out, pr.breedWarnings(s.breed, s.meatOnly)...)
	}
	cocks := 0.0
	for t := range weeks {
		cocks = math.Max(cocks, weeks[t].cocks)
	}
	if cocks > 0.5 && cocks < 1.5 && pr.anyOwnHatch(a) {
		out = append(out, say("one-cock", "practice", nil, "With a single cock, one fox or one frozen comb costs the hatching season: keep a spare."))
	}
	out = append(out, pr.confinement(weeks)...)
	for _, h := range pr.h.Means.Houses {
		if h.PerchM > 0 {
			if most := maxGrown(weeks); h.PerchM*100 < most*20 && len(pr.h.Means.Houses) == 1 {
				out = append(out, say("perch", "practice", nil, "The perches are short: %.1f m for %.0f grown birds; 20 to 25 cm a bird is usual.", h.PerchM, most))
			}
		}
	}
	if pr.anyOwnHatch(a) {
		out = append(out, pr.inbreedingWarning(weeks)...)
	}
	return out
}

func maxGrown(weeks []week) float64 {
	most := 0.0
	for _, w := range weeks {
		most = math.Max(most, w.hens+w.cocks)
	}
	return most
}

func (pr *programme) anyOwnHatch(a answer) bool {
	for i, s := range pr.slots {
		if s.from.own() && a.x[pr.cols[i].units] > 0.5 {
			return true
		}
	}
	return false
}

// inbreedingWarning states what a closed flock of this size loses: inbreeding
// rises by 1/(8 cocks) + 1/(8 hens) a generation.
func (pr *programme) inbreedingWarning(weeks []week) []Sentence {
	hens, cocks, n := 0.0, 0.0, 0
	for _, w := range weeks {
		if w.hens > 0.5 && w.cocks > 0.5 {
			hens += w.hens
			cocks += w.cocks
			n++
		}
	}
	if n == 0 {
		return nil
	}
	hens, cocks = hens/float64(n), cocks/float64(n)
	rise := 1/(8*math.Max(1, cocks)) + 1/(8*math.Max(1, hens))
	if rise < 0.03 {
		return nil
	}
	return []Sentence{say("inbreeding", "practice", map[string]any{"rise": rise},
		"Kept closed, a flock of this size gains about %.0f %% inbreeding a generation; bring in an unrelated cock every generation or two, after 30 days apart.", 100*rise)}
}

// ConfinedFloor is the floor under a roof that is left for each grown bird, in
// square metres, with every bird shut in: houses and covered run, less what growing
// birds (six weeks and older, half the floor of a grown one) need beyond their own
// shelter. missing is what is lacking to the floor that birds without a run need
// (housing.ConfinedAreaM2), in square metres, zero where there is enough.
func ConfinedFloor(means *holding.Means, grown, growers float64) (each, missing float64) {
	roof := means.CoveredRunM2
	for _, house := range means.Houses {
		roof += house.AreaM2
	}
	roof -= max(0, growers*housing.ConfinedAreaM2/2-means.GrowOutM2)
	return max(0, roof) / max(grown, 1e-9), max(0, grown*housing.ConfinedAreaM2-roof)
}

// ConfinedWeeks is how long all birds are kept in for the test: the length of a
// housing order that was given (key plan-confinement).
const ConfinedWeeks = 22

// confinement tests the winter weeks with all birds shut in, as housing orders
// demand: is there a roof for them?
func (pr *programme) confinement(weeks []week) []Sentence {
	each, missing := math.Inf(1), 0.0
	for t := range weeks {
		d := (pr.g.slot[t] - pr.winterSlot() + measure.SlotsPerYear + 26) % measure.SlotsPerYear
		grown := weeks[t].hens + weeks[t].cocks
		if d < 26-ConfinedWeeks/2 || d > 26+ConfinedWeeks/2 || grown+weeks[t].growers < 1 {
			continue
		}
		m2, lack := ConfinedFloor(&pr.h.Means, grown, weeks[t].growers)
		each, missing = min(each, m2), max(missing, lack)
	}
	switch {
	case math.IsInf(each, 1):
		return nil
	case missing == 0:
		return []Sentence{say("confined-ok", "practice", map[string]any{"m2": each},
			"Shut in for 22 winter weeks by a housing order, each grown bird would have %s under cover: enough, with litter kept dry and something to do.", pr.inUnits(measure.AreaM2, each, 1))}
	}
	return []Sentence{say("confined-tight", "practice", map[string]any{"m2": each, "missing": missing},
		"Shut in for 22 winter weeks by a housing order, each grown bird would have %s under cover; about %s more covered run would make it bearable.",
		pr.inUnits(measure.AreaM2, each, 1), pr.inUnits(measure.AreaM2, math.Ceil(missing), 0))}
}

// breedWarnings holds a breed against the place.
func (pr *programme) breedWarnings(b *breed.Breed, meatOnly bool) []Sentence {
	var out []Sentence
	p := &pr.h.Place
	extreme := p.Climate.ExtremeMin()
	if bird.CombRuledOut(b.Comb, b.CombSize, extreme) {
		out = append(out, say("comb-ruled-out", "practice", map[string]any{"breed": b.ID}, "%s: a comb this large does not come through winters of %s; choose a low comb.", b.Name, pr.inUnits(measure.TempC, extreme, 0)))
	} else if !meatOnly {
		nights := 0.0
		for slot := range measure.SlotsPerYear {
			nights += bird.CombNights(bird.CombOf(b.Comb, b.CombSize, bird.Cock), bird.Cock, *pr.book.Week(slot))
		}
		if nights >= 1 {
			out = append(out, say("comb-nights", "guess", map[string]any{"breed": b.ID, "nights": nights},
				"%s: about %.0f nights a year can freeze a cock's comb in this house. Low-comb birds come first; then dry, draught-free air at the perch. Never close all vents, and no heat lamp to save combs.", b.Name, nights))
		}
	}
	if b.FeatheredShanks && p.WetGround {
		out = append(out, say("feathered-mud", "practice", nil, "%s: feathered legs cake in wet ground.", b.Name))
	}
	if b.Crested && p.AirPredators >= holding.Some {
		out = append(out, say("crest-hawk", "practice", nil, "%s: a crested bird sees the hawk late; keep them under a net.", b.Name))
	}
	if meatOnly && b.GrowthClass == "fast meat" {
		out = append(out, say("fast-meat", "practice", nil, "%s: butcher by ten weeks at the latest and never breed from them; their legs and hearts do not last.", b.Name))
		if p.Climate.AltitudeM > 1500 {
			out = append(out, say("fast-altitude", "practice", nil, "%s: above 1500 m fast meat birds die of too little oxygen; take slow or old breeds.", b.Name))
		}
	}
	return out
}

// notConsidered lists what the programme leaves out without proof that it could
// not be better.
func notConsidered(pr *programme) []Sentence {
	list := []Sentence{
		say("out-of-season", "", nil, "Hatches outside the season of lengthening days (and the fortnight after it), and those whose chicks would meet days hotter than %s before eight weeks.", pr.inUnits(measure.TempC, 33, 0)),
		say("every-other-week", "", nil, "Hatches in the weeks between: the plan chooses among every second week, orders among every fourth."),
		say("cull-points", "", nil, "Taking out layers at other times than early summer and early autumn (hens on hand also with the first butcher day)."),
		say("egg-preserving", "", nil, "Keeping eggs by other means than cold, fresh for five weeks, and frozen beaten for cooking."),
	}
	if pr.h.Needs.SelfRenewing {
		list = append(list, say("bought-layers", "", nil, "Bought replacements for the layers: the holding asks for a flock that renews itself."))
	}
	return list
}

// summary is what a keeper can read aloud.
func (a answer) summary(p *Plan) []Sentence {
	pr := a.pr
	var out []Sentence
	year := fullYear(p.Years)
	if year != nil {
		season := "1 November"
		if pr.h.Place.Climate.Southern() {
			season = "1 May"
		}
		out = append(out, say("flock", "", map[string]any{"hens": year.HensNov, "pullets": year.NewPullets, "cocks": year.Cocks},
			"Go into the winter of %d with %s (at %s), %s of them new pullets, and %s.", year.Year, count(year.HensNov, "hen"), season, number(year.NewPullets), count(year.Cocks, "cock")))
	}
	out = append(out, hatchSentence(pr, p)...)
	if year != nil {
		out = append(out, say("eggs", "", map[string]any{"lean": year.LeanestWeek, "best": year.BestWeek},
			"Expect %s a week in %s, the leanest month, and %.0f in %s, the best; a usual year may lie a fifth to a quarter above or below.", count(year.LeanestWeek, "egg"), year.LeanestMonth, year.BestWeek, year.BestMonth))
		out = append(out, say("table", "", map[string]any{"birds": year.TableBirds, "kg": year.TableKg},
			"%s go to the table in %d, about %s dressed.", Count(year.TableBirds, "bird"), year.Year, pr.inUnits(measure.MassKg, year.TableKg, 0)))
		cur := p.Currency
		out = append(out, say("cost", "", map[string]any{"feed_kg": year.FeedKg},
			"Feed comes to about %s, and all cash before sales to %s; sales bring %s.", pr.inUnits(measure.MassKg, year.FeedKg, 0), cur.FormatWhole(year.FeedCost+year.OtherCost), cur.FormatWhole(year.Income)))
	}
	if p.Lights {
		out = append(out, say("lights", "practice", nil, "Lamps hold the layers' day at 14.5 hours through the dark months; lengthen it by half an hour a week at most, never shorten it while they lay."))
	}
	out = append(out, a.beginning(p)...)
	if len(p.Shortfalls) > 0 {
		out = append(out, say("short", "", nil, "%s", p.Shortfalls[0].What.Text+" "+p.Shortfalls[0].Help.Text))
	} else {
		out = append(out, say("met", "", nil, "In a usual year every need is met."))
	}
	return out
}

// beginning tells a household without birds when the first eggs come.
func (a answer) beginning(p *Plan) []Sentence {
	if len(a.pr.h.Birds) > 0 {
		return nil
	}
	egg, meat := "", ""
	for t := range p.Weeks {
		w := &p.Weeks[t]
		if egg == "" && w.EggsExpected >= 1 {
			egg = w.Date.Words()
		}
		if meat == "" && w.TableBirds >= 1 {
			meat = w.Date.Words()
		}
	}
	if egg == "" {
		return []Sentence{say("no-start", "", nil, "No eggs come within the plan: nothing that can be had would pay for itself here.")}
	}
	text := "Starting from nothing, expect the first egg about " + egg
	if meat != "" {
		text += " and the first meat about " + meat
	}
	return []Sentence{say("start", "", nil, "%s.", text)}
}

func hatchSentence(pr *programme, p *Plan) []Sentence {
	var parts []string
	for _, b := range p.Batches {
		if len(parts) == 5 || b.Source == "on hand" {
			continue
		}
		switch {
		case b.EggsSet > 0:
			where := "in the machine"
			if strings.Contains(b.Source, "broody") {
				where = "under a broody"
			}
			parts = append(parts, fmt.Sprintf("set %d %s eggs %s on %s", b.EggsSet, b.BreedName, where, b.Set.Words()))
		default:
			on := b.Hatched
			if b.Source == "started pullets" {
				on = on.AddDays(7 * startedWeeks)
			}
			parts = append(parts, fmt.Sprintf("buy %s of %s on %s", count(b.Chicks, strings.TrimSuffix(b.Source, "s")), b.BreedName, on.Words()))
		}
	}
	if len(parts) == 0 {
		return []Sentence{say("no-hatch", "", nil, "No hatch and no purchase is worth its cost within the plan.")}
	}
	text := strings.Join(parts, "; ")
	return []Sentence{say("hatches", "", nil, "%s.", strings.ToUpper(text[:1])+text[1:])}
}

func number(n float64) string { return fmt.Sprintf("%.0f", math.Round(n)) }

// fullYear is the first year that is planned whole and has a winter in it.
func fullYear(years []YearRow) *YearRow {
	var best *YearRow
	for i := range years {
		if y := &years[i]; y.Part > 0.97 && (y.HensNov > 0 || best == nil) {
			if best == nil || best.HensNov == 0 {
				best = y
			}
		}
	}
	return best
}
