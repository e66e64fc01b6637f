package daybook

import (
	"math"
	"slices"

	"henyear/measure"
)

// Measure is one of the trade's measures over a period, for some of the birds.
// When the records do not carry it, it is not stated, and Missing says in words
// what would be needed; Missing of a stated measure says what it leaves out.
type Measure struct {
	Code    string     `json:"code"`
	Name    string     `json:"name"`
	Unit    string     `json:"unit"`
	Stated  bool       `json:"stated"`
	Value   float64    `json:"value"` // 0 when not stated
	Missing []Sentence `json:"missing,omitempty"`
	Means   string     `json:"means"` // the definition in one line
}

// The codes of the measures, in the order in which Measures gives them.
//
//	hen_days            sum over the days of the hens alive at the end of each day; a hen is a
//	                    female of LayingAgeDays or more, laying or not, or of unknown age
//	eggs_laid           eggs seen: whole, broken and eaten by hens, by the rule of gaps
//	eggs_usable         whole eggs, by the same rule
//	hen_day_pct         100 eggs laid / hen-days, over the days that have a collection
//	hen_housed_pct      100 eggs laid / sum over those days of hens housed; housed are the hens
//	                    alive and all that died, were lost, culled, butchered or sold since the
//	                    period began; so hens that join count from their day on
//	eggs_per_hen_housed eggs laid / hens housed by the end of the period
//	eggs_per_hen        eggs laid / (hen-days / days): eggs of a hen kept all the period
//	egg_mass_g          hen_day_pct/100 x mean weight of an egg, g a hen-day
//	livability_pct      100 (1 - died, taken or missing and not returned / birds at risk); at risk
//	                    are the birds alive at the end and all that left; all sexes and ages
//	livability_culled_pct  the same with culled birds among the losses
//	feed_kg             feed given out; see feedUsed
//	feed_per_hen_day_g  1000 feed / hen-days: the share of cocks and chicks is in it
//	feed_per_dozen_kg   12 feed / eggs laid
//	feed_conversion     feed / kg of eggs laid
//	feed_cost_per_dozen price of the feed / dozens of usable eggs, in the smallest coin
//	cost_per_dozen      (price of the feed eaten + birds, eggs for setting, bedding and all else
//	                    paid - received for birds and all else but eggs) / dozens of usable eggs
//	fertility_pct       100 (eggs set - clear) / eggs set, of settings that ended in the period
//	hatch_of_fertile_pct 100 chicks hatched alive / (eggs set - clear)
//	hatch_of_set_pct    100 chicks hatched alive / eggs set
//	dressing_pct        100 dressed / live weight of butchered birds with both weights
//	dressed_kg          dressed weight of all butchered birds
//	feed_per_kg_gain    of one group: feed / (live weight butchered and alive at the end - at the
//	                    start - brought in); birds that died add nothing
//	feed_per_kg_dressed of one group: feed / dressed weight
//	cost_per_kg         of one group: (price of its feed + paid - received) / dressed kg
const (
	HenDaysCode         = "hen_days"
	EggsLaid            = "eggs_laid"
	EggsUsable          = "eggs_usable"
	HenDayPct           = "hen_day_pct"
	HenHousedPct        = "hen_housed_pct"
	EggsPerHenHoused    = "eggs_per_hen_housed"
	EggsPerHen          = "eggs_per_hen"
	EggMassG            = "egg_mass_g"
	LivabilityPct       = "livability_pct"
	LivabilityCulledPct = "livability_culled_pct"
	FeedKg              = "feed_kg"
	FeedPerHenDayG      = "feed_per_hen_day_g"
	FeedPerDozenKg      = "feed_per_dozen_kg"
	FeedConversion      = "feed_conversion"
	FeedCostPerDozen    = "feed_cost_per_dozen"
	CostPerDozen        = "cost_per_dozen"
	FertilityPct        = "fertility_pct"
	HatchOfFertilePct   = "hatch_of_fertile_pct"
	HatchOfSetPct       = "hatch_of_set_pct"
	DressingPct         = "dressing_pct"
	DressedKg           = "dressed_kg"
	FeedPerKgGain       = "feed_per_kg_gain"
	FeedPerKgDressed    = "feed_per_kg_dressed"
	CostPerKg           = "cost_per_kg"
	DaysToFirstEgg      = "days_to_first_egg"
	DaysTo5Pct          = "days_to_5_pct"
	DaysTo50Pct         = "days_to_50_pct"
)

// definition is the name, unit and meaning of a measure as the keeper reads them.
var definitions = map[string][3]string{
	HenDaysCode:         {"Hen-days", "hen-days", "hens alive at the end of each day, added up"},
	EggsLaid:            {"Eggs laid", "eggs", "whole, broken and eaten by the hens"},
	EggsUsable:          {"Usable eggs", "eggs", "whole eggs collected"},
	HenDayPct:           {"Hen-day lay", "%", "eggs laid for 100 hens a day, of the hens alive"},
	HenHousedPct:        {"Hen-housed lay", "%", "eggs laid for 100 hens a day, of all hens that began, the lost ones included"},
	EggsPerHenHoused:    {"Eggs a hen housed", "eggs", "eggs laid by the number of hens that began"},
	EggsPerHen:          {"Eggs a hen kept", "eggs", "eggs laid by the mean number of hens alive"},
	EggMassG:            {"Egg mass", "g a hen-day", "hen-day lay times the mean weight of an egg"},
	LivabilityPct:       {"Livability", "%", "birds that did not die, were not taken and not lost; culled ones are no losses"},
	LivabilityCulledPct: {"Livability, culls counted as losses", "%", "as livability, with culled birds among the losses"},
	FeedKg:              {"Feed", "kg", "feed given out, what was wasted in the trough included"},
	FeedPerHenDayG:      {"Feed a hen-day", "g", "feed by hen-days; what cocks and chicks ate is in it"},
	FeedPerDozenKg:      {"Feed a dozen", "kg", "feed for twelve eggs laid; what cocks and chicks ate is in it"},
	FeedConversion:      {"Feed for a kg of eggs", "kg", "feed by the weight of the eggs laid"},
	FeedCostPerDozen:    {"Feed cost a dozen", "smallest coin", "price of the feed given out for twelve usable eggs"},
	CostPerDozen:        {"Cost a dozen", "smallest coin", "feed given out, birds, bedding and all else paid, less what birds brought, for twelve usable eggs; your work is not in it"},
	FertilityPct:        {"Fertility", "%", "eggs set that were not clear"},
	HatchOfFertilePct:   {"Hatch of fertile", "%", "chicks hatched alive by eggs that were not clear"},
	HatchOfSetPct:       {"Hatch of eggs set", "%", "chicks hatched alive by eggs set"},
	DressingPct:         {"Dressing", "%", "dressed by live weight, of birds with both weights"},
	DressedKg:           {"Dressed weight", "kg", "of all butchered birds"},
	FeedPerKgGain:       {"Feed for a kg of gain", "kg", "feed of the group by what it put on alive"},
	FeedPerKgDressed:    {"Feed for a kg dressed", "kg", "feed of the group by its dressed weight"},
	CostPerKg:           {"Cost a kg dressed", "smallest coin", "feed, chicks and all else paid for the group, less what was received, by its dressed weight"},
	DaysToFirstEgg:      {"First egg", "days old", "age at the first egg of the group"},
	DaysTo5Pct:          {"Five in a hundred", "days old", "age in the middle of the first seven days with a hen-day lay of 5 % or more"},
	DaysTo50Pct:         {"Half in lay", "days old", "age in the middle of the first seven days with a hen-day lay of 50 % or more"},
}

func stated(code string, value float64, missing ...Sentence) Measure {
	m := notStated(code, missing...)
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return m
	}
	m.Stated, m.Value = true, value
	return m
}

func notStated(code string, missing ...Sentence) Measure {
	d := definitions[code]
	return Measure{Code: code, Name: d[0], Unit: d[1], Means: d[2], Missing: missing}
}

// reckoning is one period and scope on the way to its measures.
type reckoning struct {
	b        *Book
	a, z     dayNumber
	s        Scope
	y        yield
	days     int
	covered  int     // days with a collection
	laid     float64 // on them
	usable   float64
	henDays  float64 // all days
	onCover  float64 // hen-days of covered days
	housed   float64 // housed hen-days of covered days
	begun    float64 // hens housed by the end
	feed     feedUse
	kgOfEggs float64
}

// Measures gives the trade's measures over a period for the birds of a scope, in
// the order of their codes above. Measures that make no sense for the scope are
// left out; those of one group need Scope.Group. The period is cut at the last
// day of the book.
func (b *Book) Measures(p Period, s Scope) []Measure {
	if compareDates(p.Through, b.Through) > 0 {
		p.Through = b.Through
	}
	if p.Days() < 1 {
		return nil
	}
	r := b.reckon(p, s)
	list := r.lay()
	list = append(list, r.livability()...)
	list = append(list, r.feeding()...)
	list = append(list, r.hatching()...)
	return append(list, r.meat()...)
}

// MeasureOf gives one of the measures; false if it is not among them.
func (b *Book) MeasureOf(code string, p Period, s Scope) (Measure, bool) {
	for _, m := range b.Measures(p, s) {
		if m.Code == code {
			return m, true
		}
	}
	return Measure{}, false
}

func (b *Book) reckon(p Period, s Scope) *reckoning {
	r := &reckoning{b: b, a: numberOf(p.From), z: numberOf(p.Through), s: s, days: p.Days()}
	r.y = b.yield(r.a, r.z, s)
	alive, gone := r.hensByDay()
	for i := range r.days {
		r.henDays += alive[i]
		if r.y.recorded[i] {
			r.covered++
			r.laid += r.y.laid[i]
			r.usable += r.y.usable[i]
			r.onCover += alive[i]
			r.housed += alive[i] + gone[i]
		}
	}
	r.begun = alive[r.days-1] + gone[r.days-1]
	r.feed = b.feedUsed(r.a, r.z, s)
	if r.y.weighed > 0 {
		r.kgOfEggs = r.laid * r.y.grams / r.y.weighed / 1000
	}
	return r
}

// hensByDay gives the hens alive at the end of each day, and those that left for
// good since the period began.
func (r *reckoning) hensByDay() (alive, gone []float64) {
	alive, gone = make([]float64, r.days), make([]float64, r.days)
	for key, c := range r.b.cells {
		first, last, ok := r.b.henDays(r.s, key)
		if !ok {
			continue
		}
		for day := max(r.a, first); day <= min(r.z, last); day++ {
			alive[day-r.a] += float64(c.at(day))
		}
	}
	for _, x := range r.b.changesWithin(r.a, r.z) {
		if first, last, ok := r.b.henDays(r.s, x.cellKey); ok && x.number < 0 && x.how != "moved" && first <= x.day && x.day <= last {
			gone[x.day-r.a] -= float64(x.number)
		}
	}
	for i := 1; i < r.days; i++ {
		gone[i] += gone[i-1]
	}
	return alive, gone
}

// changesWithin is the part of the changes of some days; they are in order.
func (b *Book) changesWithin(a, z dayNumber) []change {
	byDay := func(x change, day dayNumber) int { return int(x.day - day) }
	from, _ := slices.BinarySearchFunc(b.changes, a, byDay)
	to, _ := slices.BinarySearchFunc(b.changes, z+1, byDay)
	return b.changes[from:to]
}

// enoughDays is the share of days with a collection below which figures that set
// all feed or all cost against the eggs would mislead.
const enoughDays = 0.8

func (r *reckoning) eggsMissing() []Sentence {
	var list []Sentence
	switch {
	case r.covered == 0 && r.y.mixed > 0:
		list = append(list, say("eggs-not-apart", map[string]any{"days": r.y.mixed}, "These hens' eggs are not written down apart from those of others."))
	case r.covered == 0:
		list = append(list, say("no-eggs-written", nil, "No eggs are written down for these days."))
	case r.covered < r.days:
		list = append(list, say("days-without-eggs", map[string]any{"days": r.days - r.covered, "of": r.days},
			"On %d of %d days no collection is written down.", r.days-r.covered, r.days))
	}
	if r.y.partial > 0 {
		list = append(list, say("some-pens-without-eggs", map[string]any{"days": r.y.partial},
			"On %s a pen or group whose eggs are written down apart has no collection.", count(r.y.partial, "day")))
	}
	if r.covered > 0 && r.y.mixed > 0 {
		list = append(list, say("some-eggs-not-apart", map[string]any{"days": r.y.mixed},
			"On %s some eggs could not be told apart from those of other hens; they are left out.", count(r.y.mixed, "day")))
	}
	return list
}

func (r *reckoning) hensMissing() []Sentence {
	var list []Sentence
	if r.henDays == 0 {
		list = append(list, say("no-hens", nil, "The book has no hens of laying age in these days."))
	}
	for _, c := range r.b.sortedCells() {
		g := r.b.groups[c.group]
		first, last, ok := r.b.covers(r.s, c.cellKey)
		first = max(first, g.grownFrom())
		if ok && g.Sex == Unsexed && c.birdDays(max(r.a, first), min(r.z, last)) > 0 {
			list = append(list, say("not-sexed", map[string]any{"group": r.b.names.group(c.group)},
				"%s is old enough to lay, but not parted into hens and cocks; its hens are not counted.", r.b.names.group(c.group)))
		}
	}
	return list
}

func (r *reckoning) lay() []Measure {
	eggs, hens := r.eggsMissing(), r.hensMissing()
	both := with(hens, eggs...)
	list := []Measure{stated(HenDaysCode, r.henDays, hens...)}
	if r.covered == 0 {
		for _, code := range []string{EggsLaid, EggsUsable, HenDayPct, HenHousedPct, EggsPerHenHoused, EggsPerHen, EggMassG} {
			list = append(list, notStated(code, both...))
		}
		return list
	}
	list = append(list, stated(EggsLaid, r.laid, eggs...), stated(EggsUsable, r.usable, eggs...),
		stated(HenDayPct, 100*r.laid/r.onCover, both...), stated(HenHousedPct, 100*r.laid/r.housed, both...),
		stated(EggsPerHenHoused, r.laid/r.begun, both...), stated(EggsPerHen, r.laid/(r.henDays/float64(r.days)), both...))
	if r.kgOfEggs == 0 {
		return append(list, notStated(EggMassG, with(both, r.noEggWeights())...))
	}
	return append(list, stated(EggMassG, 1000*r.kgOfEggs/r.onCover, both...))
}

func (r *reckoning) noEggWeights() Sentence {
	return say("no-egg-weights", nil, "No eggs were weighed: weigh ten now and then and write down the mean.")
}

// Flow is where birds came from and went within a period. Opening and all that
// came make closing and all that went.
type Flow struct {
	Opening int            `json:"opening"`
	Closing int            `json:"closing"`
	In      map[string]int `json:"in"`
	Out     map[string]int `json:"out"` // by how, as in the records; "moved" into and out of the scope
}

// Flow balances the birds of a scope over a period. An age in the scope is passed
// over, since birds grow out of it without leaving.
func (b *Book) Flow(p Period, s Scope) Flow {
	s.AgeFromWeeks, s.AgeToWeeks = 0, 0
	a, z := numberOf(p.From), numberOf(p.Through)
	f := Flow{Opening: b.birdsAt(a-1, s), Closing: b.birdsAt(z, s), In: map[string]int{}, Out: map[string]int{}}
	for _, x := range b.changesWithin(a, z) {
		if _, _, ok := b.covers(s, x.cellKey); !ok || s.whole() && x.how == "moved" {
			continue
		}
		if x.number > 0 {
			f.In[x.how] += x.number
		} else {
			f.Out[x.how] -= x.number
		}
	}
	return f
}

// Loss is birds lost within a period in one way and to one cause.
type Loss struct {
	How    string `json:"how,omitzero"`   // died, taken, missing, culled
	Cause  string `json:"cause,omitzero"` // the predator, or what they died of; empty: not known
	Number int    `json:"number"`
}

// Losses lists what was lost within a period, in the order of the book, added up
// by way and cause.
func (b *Book) Losses(p Period, s Scope) []Loss {
	var list []Loss
	for _, x := range b.changesWithin(numberOf(p.From), numberOf(p.Through)) {
		out, isOut := b.Records[x.event].Payload.(*BirdsOut)
		first, last, ok := b.covers(s, x.cellKey)
		if !isOut || !ok || x.day < first || x.day > last || out.How == "sold" || out.How == "given" {
			continue
		}
		loss := Loss{out.How, out.Cause, -x.number}
		if out.Predator != "" {
			loss.Cause = out.Predator
		}
		found := false
		for i := range list {
			if list[i].How == loss.How && list[i].Cause == loss.Cause {
				list[i].Number += loss.Number
				found = true
			}
		}
		if !found {
			list = append(list, loss)
		}
	}
	return list
}

// A count some days after the period still tells of it.
const countSlackDays = 7

func (r *reckoning) livability() []Measure {
	atRisk, lost, culled, unknown := float64(r.b.birdsAt(r.z, r.s)), 0.0, 0.0, 0.0
	left := atRisk
	for _, x := range r.b.changesWithin(r.a, r.z) {
		first, last, ok := r.b.covers(r.s, x.cellKey)
		if !ok || x.how == "moved" || x.day < first || x.day > last {
			continue
		}
		n := -float64(x.number)
		switch x.how {
		case "died", "taken", "missing", "returned":
			lost += n // birds that returned have a number above 0 and take their loss back
			atRisk += n
		case "culled":
			culled += n
			atRisk += n
		case "not known":
			unknown += n
			atRisk += n
		case "sold", "given", "butchered":
			if n > 0 {
				atRisk += n
			}
		}
	}
	switch {
	case atRisk <= 0:
		missing := say("no-birds", nil, "The book has no birds in these days.")
		return []Measure{notStated(LivabilityPct, missing), notStated(LivabilityCulledPct, missing)}
	case unknown > 0:
		missing := say("gone-unknown", map[string]any{"number": unknown}, "Birds went and nobody wrote down how: they may have died or been sold.")
		return []Measure{notStated(LivabilityPct, missing), notStated(LivabilityCulledPct, missing)}
	case left > 0 && !r.wasCounted():
		missing := say("no-count", nil, "Nobody counted the birds in these days or the week after, so losses may have gone unseen. Count them and write it down.")
		return []Measure{notStated(LivabilityPct, missing), notStated(LivabilityCulledPct, missing)}
	}
	return []Measure{stated(LivabilityPct, 100*(1-lost/atRisk)), stated(LivabilityCulledPct, 100*(1-(lost+culled)/atRisk))}
}

// wasCounted reports whether somebody counted all birds of the scope that are
// there at the end.
func (r *reckoning) wasCounted() bool {
	for key, c := range r.b.cells {
		if _, _, ok := r.b.covers(r.s, key); !ok || c.at(r.z) == 0 {
			continue
		}
		if !slices.ContainsFunc(r.b.counts, func(x counted) bool {
			return x.day >= r.a && x.day <= r.z+countSlackDays && r.b.inCount(&x.Count, key)
		}) {
			return false
		}
	}
	return true
}

func (r *reckoning) feedMissing() []Sentence {
	var list []Sentence
	switch {
	case !r.feed.any && r.feed.mixed:
		return []Sentence{say("feed-not-apart", nil, "The feed of these birds is not written down apart from that of others.")}
	case !r.feed.any:
		return []Sentence{say("no-feed-written", nil, "No feed is written down for these days.")}
	case r.feed.mixed:
		list = append(list, say("some-feed-not-apart", nil, "Some feed went to other birds as well and is left out."))
	}
	if !r.feed.opened {
		list = append(list, say("feed-as-bought", nil, "Feed counts on the day it was bought, since no bag is written down as opened."))
	}
	if !r.feed.weighed {
		list = append(list, say("feed-not-weighed", nil, "What was left at the end was not weighed."))
	}
	return list
}

func (r *reckoning) feeding() []Measure {
	codes := []string{FeedKg, FeedPerHenDayG, FeedPerDozenKg, FeedConversion, FeedCostPerDozen, CostPerDozen}
	feed := r.feedMissing()
	if !r.feed.any {
		var list []Measure
		for _, code := range codes {
			list = append(list, notStated(code, feed...))
		}
		return list
	}
	list := []Measure{stated(FeedKg, r.feed.kg, feed...)}
	if r.henDays == 0 {
		list = append(list, notStated(FeedPerHenDayG, with(r.hensMissing(), feed...)...))
	} else {
		list = append(list, stated(FeedPerHenDayG, 1000*r.feed.kg/r.henDays, feed...))
	}
	missing := with(r.eggsMissing(), feed...)
	if float64(r.covered) < enoughDays*float64(r.days) || r.laid == 0 || r.usable == 0 {
		if r.covered > 0 && r.laid == 0 {
			missing = with(missing, say("no-eggs-laid", nil, "No eggs were laid."))
		}
		for _, code := range codes[2:] {
			list = append(list, notStated(code, missing...))
		}
		return list
	}
	list = append(list, stated(FeedPerDozenKg, 12*r.feed.kg/r.laid, missing...))
	if r.kgOfEggs == 0 {
		list = append(list, notStated(FeedConversion, with(missing, r.noEggWeights())...))
	} else {
		list = append(list, stated(FeedConversion, r.feed.kg/r.kgOfEggs, missing...))
	}
	return append(list, r.costs(missing)...)
}

func (r *reckoning) costs(missing []Sentence) []Measure {
	if !r.feed.priced {
		missing = with(missing, r.noPrice())
		return []Measure{notStated(FeedCostPerDozen, missing...), notStated(CostPerDozen, missing...)}
	}
	dozens := r.usable / 12
	feed := stated(FeedCostPerDozen, r.feed.minor/dozens, missing...)
	if !r.moneyKnown() {
		return []Measure{feed, notStated(CostPerDozen, with(missing, r.moneyNotApart())...)}
	}
	if !r.s.whole() {
		missing = with(missing, r.sharedLeftOut())
	}
	return []Measure{feed, stated(CostPerDozen, (r.feed.minor+float64(r.b.besideFeed(r.a, r.z, r.s)))/dozens, missing...)}
}

// moneyKnown reports whether money can be told apart for the scope: for the whole
// flock and for one group.
func (r *reckoning) moneyKnown() bool {
	return r.s.whole() || r.s == Scope{Group: r.s.Group}
}

func (r *reckoning) noPrice() Sentence {
	return say("no-feed-price", nil, "The price of a feed is not known: write down what was paid when it was bought.")
}

func (r *reckoning) moneyNotApart() Sentence {
	return say("money-not-apart", nil, "Money is written down for the flock or a group, not for a pen, a breed or an age.")
}

func (r *reckoning) sharedLeftOut() Sentence {
	return say("shared-left-out", nil, "Costs that the flock shares are not in it.")
}

func (r *reckoning) hatching() []Measure {
	if r.s.AgeFromWeeks != 0 || r.s.AgeToWeeks != 0 {
		return nil
	}
	set, clear, chicks, candled, settings := 0, 0, 0, true, 0
	for _, x := range r.b.sortedSettings() {
		if !x.ended || x.end < r.a || x.end > r.z || r.s.Pen != "" && x.Pen != r.s.Pen ||
			!r.s.Group.IsZero() && x.Group != r.s.Group || r.s.Breed != "" && x.Breed != r.s.Breed {
			continue
		}
		settings++
		set += x.Eggs
		clear += x.clear
		chicks += x.chicks
		candled = candled && x.candled
	}
	codes := []string{FertilityPct, HatchOfFertilePct, HatchOfSetPct}
	if settings == 0 {
		var list []Measure
		for _, code := range codes {
			list = append(list, notStated(code, say("no-hatch", nil, "No setting of these birds' eggs ended in these days.")))
		}
		return list
	}
	ofSet := stated(HatchOfSetPct, 100*float64(chicks)/float64(set))
	if !candled {
		missing := say("not-candled", nil, "Not all eggs were candled, so clear ones are not known.")
		return []Measure{notStated(codes[0], missing), notStated(codes[1], missing), ofSet}
	}
	fertile := float64(set - clear)
	return []Measure{stated(codes[0], 100*fertile/float64(set)), stated(codes[1], 100*float64(chicks)/fertile), ofSet}
}

// Words writes a cost measure in the holding's currency; others with their
// unit. Figures that are not stated are an empty text.
func (m Measure) Words(c measure.Currency) string {
	switch {
	case !m.Stated:
		return ""
	case m.Unit == "smallest coin":
		return c.Format(measure.Money(math.RoundToEven(m.Value)))
	case m.Unit == "%" || m.Unit == "g" || m.Unit == "eggs" || m.Unit == "g a hen-day":
		return measure.Round(m.Value, 1) + " " + m.Unit
	case m.Unit == "hen-days" || m.Unit == "days old":
		return measure.Round(m.Value, 0) + " " + m.Unit
	}
	return measure.Round(m.Value, 2) + " " + m.Unit
}
