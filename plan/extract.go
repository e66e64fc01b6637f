package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"henyear/bird"
	"henyear/hatch"
	"henyear/measure"
)

// Format is the version of the plan's JSON.
const Format = 1

// plan writes the best answer so far as the keeper will see it.
func (s *search) plan() *Plan {
	pr := s.j.pr
	a := answer{pr, s.best}
	gross, _ := a.outlay()
	out := &Plan{
		Format: Format, Holding: pr.h.Name, AsOf: pr.g.start.Monday(), From: pr.g.date(0),
		To: pr.g.date(pr.g.weeks - 1).AddDays(6), Currency: pr.h.Currency, Units: pr.h.Units,
		Cost: a.trueCost(s.bestCost), Bound: a.trueCost(s.allBound()), GrossOutlay: gross, Status: s.status, Lights: s.lit,
		FirstSeconds: s.firstSecs, SolveSeconds: time.Since(s.began).Seconds(),
		Size: ModelSize{s.j.model.Columns(), s.j.model.Wholes(), s.j.model.Rows(), s.j.model.NonZeros()},
	}
	if out.Status == "" {
		out.Status = "searching" // a plan on the way, told to who watches
	}
	if d, err := asOf(pr.h, s.opt); err == nil {
		out.AsOf = d
	}
	if gross > 0 {
		out.Gap = max(0, out.Cost-out.Bound) / gross
	}
	weeks := a.weekly()
	flow := a.flow(weeks)
	money := a.cash(weeks, flow)
	out.Margin = a.marginUse()
	out.Batches = a.batches()
	out.Weeks = a.weekRows(weeks, flow, money)
	out.Years = a.yearRows(weeks, flow, money)
	out.Tasks = a.tasks(out.Batches)
	out.Binding = a.binding()
	out.Shortfalls = a.shortfalls(flow)
	out.Shop = a.shop(out.Years)
	out.Warnings = a.warnings(weeks)
	out.NotConsidered = notConsidered(pr)
	out.Summary = a.summary(out)
	out.Point = make(map[string]float64, len(s.best)/4)
	for c, x := range s.best {
		if x != 0 {
			out.Point[pr.m.ColName(solveCol(c))] = x
		}
	}
	return out
}

func (a answer) batches() []Batch {
	pr := a.pr
	var out []Batch
	for i, s := range pr.slots {
		c := &pr.cols[i]
		units := a.x[c.units]
		if units < 1e-6 {
			continue
		}
		b := Batch{ID: s.id, Breed: s.breed.ID, BreedName: s.breed.Name, Strain: string(s.strain), Source: s.from.String(),
			Hatched: pr.g.date(s.hatch), Pullets: units * s.unitHens, Cockerels: units * s.unitCocks}
		if s.from.eggs() {
			b.Set = pr.g.date(s.set)
			b.EggsSet = int(math.Round(units))
		}
		if s.from == onHand {
			if s.unitHens > 0 {
				b.Pullets = s.most
			} else {
				b.Cockerels = s.most
			}
		}
		b.Chicks = b.Pullets + b.Cockerels
		b.Fates = a.fates(i)
		if first := firstEggAge(s); first > 0 && !s.meatOnly && b.Pullets > 0.5 {
			b.FirstEgg = pr.g.date(s.hatch + first)
		}
		out = append(out, b)
	}
	slices.SortStableFunc(out, func(x, y Batch) int {
		return x.Hatched.DaysSince(y.Hatched)
	})
	return out
}

// firstEggAge is the age in weeks by which half the living pullets have begun.
func firstEggAge(s *slot) int {
	begun := 0.0
	for age, w := range s.hens {
		begun = max(begun, w.InLay+w.Broody+w.Moulting+w.Waiting)
		if age > 12 && w.Alive > 0 && begun > w.Alive/2 {
			return age
		}
	}
	return 0
}

func (a answer) fates(i int) []Fate {
	pr := a.pr
	s, c := pr.slots[i], &pr.cols[i]
	var out []Fate
	add := func(sex bird.Sex, what string, week int, birds, kg float64) {
		if birds < 0.05 {
			return
		}
		out = append(out, Fate{Sex: sex.String(), What: what, On: pr.g.date(week), Birds: birds, DressedKg: kg})
	}
	for k, st := range c.layers {
		now := a.x[st.col]
		if k == 0 {
			add(bird.Hen, "layer", st.from, now*alive(s.hens, st.from-s.hatch), 0)
		}
		next := 0.0
		if k+1 < len(c.layers) {
			next = a.x[c.layers[k+1].col]
		}
		left := (now - next) * alive(s.hens, st.to-s.hatch)
		for _, f := range c.spent {
			if f.week == st.to {
				left -= a.x[f.col] * f.live
			}
		}
		what := "culled for the pot"
		if k+1 == len(c.layers) {
			what = "kept to the end"
		}
		add(bird.Hen, what, st.to, left, dressed(s.hens, st.to-s.hatch))
	}
	for _, list := range [][]fate{c.pot, c.meat, c.sold, c.given, c.chicks, c.spent} {
		for _, f := range list {
			add(f.sex, f.what, f.week, a.x[f.col]*f.live, f.kg)
		}
	}
	for k, st := range c.cocks {
		now := a.x[st.col]
		if k == 0 {
			add(bird.Cock, "breeding cock", st.from, now, 0)
		}
		next := 0.0
		if k+1 < len(c.cocks) {
			next = a.x[c.cocks[k+1].col]
		}
		what := "culled for the pot"
		if !pr.h.Means.WillKill {
			what = "given"
		}
		if k+1 == len(c.cocks) && st.to >= pr.g.weeks {
			what = "kept to the end"
		}
		add(bird.Cock, what, st.to, (now-next)*s.cocksLeft(c.cocks[0].from, st.to), dressed(s.cocks, st.to-s.hatch))
	}
	slices.SortStableFunc(out, func(x, y Fate) int { return x.On.DaysSince(y.On) })
	return out
}

// tableBirds lists what is butchered in each week: birds and dressed kilograms.
func (a answer) tableBirds() (birds, kg []float64) {
	pr := a.pr
	birds, kg = make([]float64, pr.g.weeks), make([]float64, pr.g.weeks)
	put := func(t int, n, each float64) {
		if u, ok := pr.g.in(t); ok && n > 0 {
			birds[u] += n
			kg[u] += n * each
		}
	}
	for i, s := range pr.slots {
		c := &pr.cols[i]
		for _, list := range [][]fate{c.pot, c.meat} {
			for _, f := range list {
				if f.what == "table" {
					put(f.week, a.x[f.col]*f.live, f.kg)
				}
			}
		}
		if !pr.h.Means.WillKill {
			continue
		}
		for k, st := range c.layers {
			next := 0.0
			if k+1 < len(c.layers) {
				next = a.x[c.layers[k+1].col]
			} else if !pr.g.cyclic {
				continue
			}
			gone := a.x[st.col] - next
			for _, f := range c.spent {
				if f.week == st.to {
					gone -= a.x[f.col]
				}
			}
			put(st.to, gone*alive(s.hens, st.to-s.hatch), dressed(s.hens, st.to-s.hatch))
		}
		for k, st := range c.cocks {
			next := 0.0
			if k+1 < len(c.cocks) {
				next = a.x[c.cocks[k+1].col]
			}
			put(st.to, (a.x[st.col]-next)*s.cocksLeft(c.cocks[0].from, st.to), dressed(s.cocks, st.to-s.hatch))
		}
	}
	return birds, kg
}

func (a answer) weekRows(weeks []week, flow []eggFlow, money []cash) []WeekRow {
	pr := a.pr
	birds, kg := a.tableBirds()
	pens := a.pens()
	out := make([]WeekRow, len(weeks))
	meat := 0.0
	for t := range weeks {
		w, f := weeks[t], flow[t]
		sd := math.Sqrt(w.variance + math.Pow(sharedYearCV*w.eggs, 2))
		p := pr.g.of[t]
		leaves := (a.x[pr.use[p].eaten] + a.x[pr.gift[p]]) / float64(pr.g.periods[p].weeks)
		meat = max(0, meat+kg[t]-leaves)
		out[t] = WeekRow{
			Week: (pr.g.start + measure.Week(t)).Label(), Date: pr.g.date(t),
			EggsExpected: w.eggs, EggsLow: max(0, w.eggs-1.2816*sd), EggsHigh: w.eggs + 1.2816*sd,
			EggsNeeded: f.need, EggsSold: f.sold, EggsSet: f.set, EggsFromStore: f.fromStore,
			EggsFrozen: f.frozen, EggsBought: f.bought, EggsSpare: f.spare,
			Birds: w.birds, Hens: w.hens, Pullets: w.pullets, Cocks: w.cocks, Chicks: w.chicks, Growers: w.growers,
			InLay: w.inLay, Moulting: w.moulting, Pens: pens[t], FeedKg: w.feedKg, FreezerL: meat * freezerLPerKg,
			TableBirds: birds[t], TableKg: kg[t], MinutesADay: w.daily, WaterL: w.waterL,
			Money: pr.h.Currency.Minor(money[t].feed + money[t].other - money[t].income),
		}
	}
	return out
}

// pens assigns the birds of each week to pens: the layers keep theirs, every
// other purpose takes the lowest free number and keeps it until it ends.
func (a answer) pens() [][]PenUse {
	pr := a.pr
	weeks := a.weekly()
	out := make([][]PenUse, pr.g.weeks)
	birds := map[string][]float64{}
	var purposes []string
	for i, s := range pr.slots {
		if a.x[pr.cols[i].units] < 1e-6 || s.from == onHand && -s.hatch >= joinWeeks {
			continue
		}
		units := a.x[pr.cols[i].units]
		for _, u := range pr.penUses(s) {
			if u.who == "cockerels" {
				u.to = max(a.lastMeat(i), u.from)
			}
			if birds[u.who] == nil {
				birds[u.who] = make([]float64, pr.g.weeks)
				purposes = append(purposes, u.who)
			}
			pr.eachWeek(max(u.from, 0), u.to, func(t int) {
				age := t - s.hatch
				if u.who != "cockerels" {
					birds[u.who][t] += units * s.unitHens * alive(s.hens, age)
				}
				if u.who != "pullets" {
					birds[u.who][t] += units * s.unitCocks * alive(s.cocks, age)
				}
			})
		}
	}
	pen := map[string]int{}
	for t := range out {
		if n := weeks[t].hens + weeks[t].cocks; n > 0.5 {
			out[t] = append(out[t], PenUse{Pen: "1", Who: "layers and cocks", Birds: n})
		}
		used := map[int]bool{1: true}
		for _, who := range purposes {
			if birds[who][t] < 0.05 {
				delete(pen, who)
			} else if pen[who] > 0 {
				used[pen[who]] = true
			}
		}
		for _, who := range purposes {
			n := birds[who][t]
			if n < 0.05 {
				continue
			}
			for k := 2; pen[who] == 0; k++ {
				if !used[k] {
					pen[who], used[k] = k, true
				}
			}
			out[t] = append(out[t], PenUse{Pen: fmt.Sprint(pen[who]), Who: who, Birds: n})
		}
	}
	return out
}

func (a answer) lastMeat(i int) int {
	last := 0
	for _, f := range a.pr.cols[i].meat {
		if f.sex == bird.Cock && a.x[f.col]*f.live > 0.05 {
			last = max(last, f.week)
		}
	}
	return last
}

func (a answer) yearRows(weeks []week, flow []eggFlow, money []cash) []YearRow {
	pr := a.pr
	birds, kg := a.tableBirds()
	var out []YearRow
	for _, y := range pr.years {
		r := YearRow{Year: y}
		var feed, other, income float64
		henDays := 0.0
		var months [12]struct{ eggs, weeks float64 }
		for t := range weeks {
			part := yearShare(pr.g.date(t), y)
			if part == 0 {
				continue
			}
			r.Part += part * 7 / measure.DaysPerYear
			r.Eggs += part * weeks[t].eggs
			r.EggsBought += part * flow[t].bought
			r.EggsSet += part * flow[t].set
			r.TableBirds += part * birds[t]
			r.TableKg += part * kg[t]
			r.FeedKg += part * weeks[t].feedKg
			feed += part * money[t].feed
			other += part * money[t].other
			income += part * money[t].income
			henDays += part * 7 * weeks[t].hens
			m := &months[int(pr.monthOf(t))-1]
			if (pr.g.start + measure.Week(t)).Year() == y {
				m.eggs += weeks[t].eggs
				m.weeks++
			}
		}
		r.Part = min(1, r.Part)
		if henDays > 0 {
			r.EggsPerHen = r.Eggs / henDays * measure.DaysPerYear
		}
		if t := pr.winterCount(y); t >= 0 {
			r.HensNov, r.NewPullets, r.Cocks = weeks[t].hens, a.newPullets(t), weeks[t].cocks
		}
		lean, best := math.Inf(1), -1.0
		for m := range months {
			if months[m].weeks < 3 {
				continue
			}
			mean := months[m].eggs / months[m].weeks
			if mean < lean {
				lean, r.LeanestMonth = mean, time.Month(m+1).String()
			}
			if mean > best {
				best, r.BestMonth = mean, time.Month(m+1).String()
			}
		}
		if best >= 0 {
			r.LeanestWeek, r.BestWeek = lean, best
		}
		cur := pr.h.Currency
		r.FeedCost, r.OtherCost, r.Income = cur.Minor(feed), cur.Minor(other), cur.Minor(income)
		if r.Eggs > 12 {
			r.CostPerDozen = cur.Minor((feed + other) / (r.Eggs / 12))
		}
		out = append(out, r)
	}
	return out
}

// yearShare is the share of the week from monday that falls into year y.
func yearShare(monday measure.Date, y int) float64 {
	n := 0
	for d := range 7 {
		if monday.AddDays(d).Year == y {
			n++
		}
	}
	return float64(n) / 7
}

// winterCount is the week of 1 November (north) or 1 May (south) of a year.
func (pr *programme) winterCount(y int) int {
	month := time.November
	if pr.h.Place.Climate.Southern() {
		month = time.May
	}
	t := int(measure.WeekOf(measure.Date{Year: y, Month: month, Day: 1}) - pr.g.start)
	if t < 0 || t >= pr.g.weeks {
		return -1
	}
	return t
}

// newPullets counts the hens in week t that hatched in the year before it.
func (a answer) newPullets(t int) float64 {
	n := 0.0
	for _, h := range a.heads() {
		if h.sex == bird.Hen && h.role == "layer" && t >= h.from && t < h.to && t-h.s.hatch < 52 {
			n += h.started * alive(h.s.hens, t-h.s.hatch)
		}
	}
	return n
}

// tasks writes the dated work of the batches.
func (a answer) tasks(batches []Batch) []Task {
	pr := a.pr
	var out []Task
	add := func(on measure.Date, kind, batch, text, caution string) {
		if on.Before(pr.g.date(0)) {
			return
		}
		out = append(out, Task{On: on, Kind: kind, Batch: batch, Text: text, Caution: caution})
	}
	for _, b := range batches {
		a.batchTasks(b, add)
	}
	birds, _ := a.tableBirds()
	for t, n := range birds {
		if n > 0.5 {
			over := ""
			if days := daysToButcher(n, pr.h.Means.ButcherBirdsADay); days > 1 {
				over = fmt.Sprintf(", over %d days", days)
			}
			add(pr.g.date(t).AddDays(5), "butcher", "", fmt.Sprintf("Butcher %s%s: %s.", count(n, "bird"), over, a.butcherWords(t)),
				fmt.Sprintf("Sharp knives and scalding water; take feed away 8 to 12 hours before, never water; chill below %s within four hours. Local law decides on slaughter and sale.", pr.inUnits(measure.TempC, 4, 0)))
		}
	}
	slices.SortStableFunc(out, func(x, y Task) int { return x.On.DaysSince(y.On) })
	return out
}

// daysToButcher is the days that n birds take at so many a day.
func daysToButcher(n float64, aDay int) int {
	return int(math.Ceil(n/float64(max(1, aDay)) - 0.05))
}

func (a answer) batchTasks(b Batch, add func(measure.Date, string, string, string, string)) {
	name := b.BreedName
	switch {
	case b.EggsSet > 0:
		where := "in the machine"
		if strings.Contains(b.Source, "broody") {
			where = "under a broody hen (wait until one sits firmly)"
		}
		if strings.HasPrefix(b.Source, "own") {
			add(b.Set.AddDays(-7), "save eggs", b.ID, fmt.Sprintf("Begin to save clean, well-shaped %s eggs for setting, 10 days at most; the cock with the hens since two weeks before.", name), "")
		} else {
			add(b.Set.AddDays(-3), "buy", b.ID, fmt.Sprintf("Have %d %s hatching eggs here and let them rest a day.", b.EggsSet, name), "")
		}
		add(b.Set, "set", b.ID, fmt.Sprintf("Set %d %s eggs %s.", b.EggsSet, name, where), "")
		add(b.Set.AddDays(hatch.CandleDays[0]), "candle", b.ID, "Candle; take out clear eggs.", "")
		add(b.Set.AddDays(hatch.LockdownDay), "lockdown", b.ID, "Stop turning, raise the humidity, leave shut until they hatch.", "")
		add(b.Hatched, "hatch", b.ID, fmt.Sprintf("Hatch: about %s expected, half of them pullets.", count(b.Chicks, "chick")),
			"A warming plate is safer than a lamp: heat lamps start fires. Wash hands after touching chicks; no small children's faces near them.")
	case b.Source == "chicks" || b.Source == "pullet chicks":
		add(b.Hatched, "buy", b.ID, fmt.Sprintf("Buy %s of %s.", count(b.Chicks, "day-old chick"), name), "A warming plate is safer than a lamp: heat lamps start fires.")
	case b.Source == "started pullets":
		add(b.Hatched.AddDays(7*startedWeeks), "buy", b.ID, fmt.Sprintf("Buy %s of %s; 30 days apart from your own birds.", count(b.Pullets, "started pullet"), name), "Ask the seller about vaccination and health; sick birds: isolate, move nothing, ring a vet.")
	case b.Source == "cock":
		add(b.Hatched.AddDays(7*grownCockWeeks), "buy", b.ID, fmt.Sprintf("Buy %s of %s, not related to your hens; 30 days apart.", count(b.Cockerels, "cock"), name), "")
	}
	if b.Source != "on hand" && b.Source != "started pullets" && b.Source != "cock" && b.Cockerels > 0.5 && !a.meat(b.Breed) {
		add(b.Hatched.AddDays(7*partWeeks), "part", b.ID, "Part the cockerels from the pullets; mark three for each breeding cock you want.", "")
	}
	for _, f := range b.Fates {
		switch f.What {
		case "layer":
			if b.Source != "on hand" {
				add(f.On, "move", b.ID, fmt.Sprintf("%s join the layers, as a group and at dusk; layer feed from now on, not before.", Count(f.Birds, "pullet")), "")
			}
		case "culled for the pot":
			if f.Birds >= 0.5 {
				add(f.On, "cull", b.ID, fmt.Sprintf("Handle every hen of this batch and take out the poorest %s: pale comb, tight vent, early moult.", count(f.Birds, "hen")), "")
			}
		case "sold as started pullet", "sold as cockerel", "sold as chick", "sold as spent hen", "given":
			add(f.On, "sell", b.ID, fmt.Sprintf("%s: %s.", Count(f.Birds, f.Sex), f.What), "Selling live birds has local rules; ask first.")
		}
	}
}

func (a answer) meat(id string) bool { return a.pr.breedOf(id).Purpose == breedMeat }

func (a answer) butcherWords(t int) string {
	pr := a.pr
	var parts []string
	for i, s := range pr.slots {
		c := &pr.cols[i]
		for _, list := range [][]fate{c.pot, c.meat} {
			for _, f := range list {
				if u, ok := pr.g.in(f.week); ok && u == t && a.x[f.col]*f.live >= 0.5 {
					what := "cockerel"
					switch {
					case s.meatOnly:
						what = "meat bird"
					case f.sex == bird.Hen:
						what = "surplus pullet"
					case f.week-s.hatch > 40:
						what = "old cock"
					}
					parts = append(parts, fmt.Sprintf("%s of %s, %d weeks old, about %s dressed each", count(a.x[f.col]*f.live, what), s.breed.Name, f.week-s.hatch, a.pr.inUnits(measure.MassKg, f.kg, 1)))
				}
			}
		}
		for k, st := range c.layers {
			if st.to != t || k+1 >= len(c.layers) {
				continue
			}
			if n := (a.x[st.col] - a.x[c.layers[k+1].col]) * alive(s.hens, st.to-s.hatch); n >= 0.5 {
				parts = append(parts, fmt.Sprintf("%s for the pot", count(n, "hen")))
			}
		}
		for k, st := range c.cocks {
			next := 0.0
			if k+1 < len(c.cocks) {
				next = a.x[c.cocks[k+1].col]
			}
			if n := (a.x[st.col] - next) * s.cocksLeft(c.cocks[0].from, st.to); st.to == t && t < pr.g.weeks && n >= 0.5 {
				parts = append(parts, fmt.Sprintf("%s that has served", count(n, "cock")))
			}
		}
	}
	return strings.Join(parts, "; ")
}

// count writes a whole number with its noun: "1 hen", "12 hens".
func count(n float64, noun string) string {
	k := int(math.Round(n))
	if k == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", k, noun)
}

// Count is count for the head of a sentence.
func Count(n float64, noun string) string { return count(n, noun) }
