package report

import (
	"math"
	"strconv"
	"strings"
	"time"

	"henyear/advise"
	"henyear/chance"
	"henyear/measure"
	"henyear/source"
)

// OddsAnswer is all that is known of the odds of a plan, in the JSON that the
// program and the pages hand out. What was not asked for is left out.
type OddsAnswer struct {
	Format   int                 `json:"format"`
	Odds     *chance.Odds        `json:"odds"`
	Matters  *chance.Matters     `json:"matters,omitempty"`
	Surer    *advise.Surer       `json:"surer,omitempty"`
	Confined *advise.Confinement `json:"confined,omitempty"`
}

// OddsFormat is the version of the JSON of an OddsAnswer.
const OddsFormat = 1

// OddsSummary returns the sentences of the odds that a keeper reads first. What
// may go wrong is left to OddsChances, which says the same of every event.
func OddsSummary(o *chance.Odds) []chance.Sentence {
	var list []chance.Sentence
	for _, s := range o.Words {
		if !strings.HasPrefix(s.Code, "chance_") {
			list = append(list, s)
		}
	}
	return list
}

// RiskWords says what the summary does not: that a plan is as sure as the
// household asks, or that so few lives cannot tell; nothing where it is not sure
// enough. Twice the standard error is taken for the difference that another seed
// may make.
func RiskWords(r chance.Risk) string {
	switch {
	case math.Abs(r.Share-r.Accepted) < 2*r.Error:
		return say("odds.risk.close", Percent(2*r.Error))
	case r.Met:
		return say("odds.risk.met")
	}
	return ""
}

// ErrorWords says how far the figures of so many lives may lie from those of
// ever so many: twice the standard error of a chance of one in ten and of one in
// two.
func ErrorWords(o *chance.Odds) string {
	if o.Replicates <= 0 {
		return ""
	}
	n := float64(o.Replicates)
	return say("odds.error", Number(n, 0), strconv.FormatUint(o.Seed, 10), Number(200*math.Sqrt(0.1*0.9/n), 1), Number(200*math.Sqrt(0.25/n), 1))
}

// luckKeys are the entries of the bibliography on which the spread of luck rests.
var luckKeys = []string{"chance-spread", "chance-own-rate", "chance-raids", "chance-illness", "chance-weather"}

// LuckSources returns what the spread of luck rests on, with its kind.
func LuckSources() []source.Entry {
	var list []source.Entry
	for _, key := range luckKeys {
		if e, known := source.Lookup(key); known {
			list = append(list, e)
		}
	}
	return list
}

// percentages heads five columns of a Range in a keeper's words.
func percentages() []Column {
	return []Column{{say("odds.p05"), false}, {say("odds.p25"), false}, {say("odds.p50"), false}, {say("odds.p75"), false}, {say("odds.p95"), false}}
}

func rangeCells(r chance.Range, write func(float64) string) []string {
	return []string{write(r.P05), write(r.P25), write(r.P50), write(r.P75), write(r.P95)}
}

// briefYear is the share of a year below which its figures say nothing.
const briefYear = 0.1

// fullYears lists the calendar years of which the plan covers more than a few
// weeks; all of them where there is no such year.
func fullYears(o *chance.Odds) []chance.YearOdds {
	var list []chance.YearOdds
	for _, y := range o.Years {
		if y.Part >= briefYear {
			list = append(list, y)
		}
	}
	if len(list) == 0 {
		return o.Years
	}
	return list
}

func whole(x float64) string { return Number(x, 0) }

// OddsEggs draws the usable eggs of every week as a fan: the middle life, the
// half of all lives about it, nine lives in ten, the need, and below it the
// chance of a short week.
func OddsEggs(o *chance.Odds) Drawing {
	n := len(o.Weeks)
	pick5 := make([][]float64, 5)
	for k := range pick5 {
		pick5[k] = make([]float64, n)
	}
	need, short := make([]float64, n), make([]float64, n)
	table := Table{Caption: say("odds.eggs.caption"), Head: append([]Column{{say("column.week"), true}, {say("eggs.need"), false}, {say("odds.short"), false}}, percentages()...)}
	for i, w := range o.Weeks {
		for k, v := range []float64{w.Eggs.P05, w.Eggs.P25, w.Eggs.P50, w.Eggs.P75, w.Eggs.P95} {
			pick5[k][i] = v
		}
		need[i], short[i] = w.Needed, 100*w.Short
		table.Rows = append(table.Rows, append([]string{w.Date.Words(), whole(w.Needed), chanceCell(w.Short)}, rangeCells(w.Eggs, whole)...))
	}
	return draw("odds-eggs", say("odds.eggs.title"), oddsEggsMessage(o), table, func(pen *pen) {
		top := pen.legend(0, 2, []key{{"expect", say("odds.key.middle"), true}, {"half", say("odds.key.half"), false}, {"fan", say("odds.key.nine"), false}, {"need", say("odds.key.need"), true}, {"lack", say("odds.key.short"), false}})
		f := pen.field(top, pick(pen, 270, 210))
		pen.scale(&f, 0, highest(pick5[4], need), say("unit.eggs_week"))
		pen.path("fan", f.between(pick5[0], pick5[4]))
		pen.path("half", f.between(pick5[1], pick5[3]))
		pen.path("need", f.stairs(need))
		pen.path("expect", f.trace(pick5[2]))
		both := pen.shortStrip(f, short)
		pen.calendar(both, o.Weeks[0].Date, n)
		pen.rect("halo", 0, f.bottom+10, textWidth(say("odds.strip")), 15)
		pen.text("label", "start", 0, f.bottom+21, say("odds.strip"))
		pen.weeks(both, n)
	})
}

const stripPx = 46

// shortStrip draws the chance of a short week, in percent, under the frame of
// the eggs, and returns the frame of both.
func (p *pen) shortStrip(f frame, short []float64) frame {
	s := frame{left: f.left, right: f.right, top: f.bottom + 30}
	s.bottom = s.top + stripPx
	s.high = 100
	for _, top := range []float64{50, 25, 10} {
		if highest(short) <= top {
			s.high = top
		}
	}
	for _, v := range []float64{0, s.high / 2, s.high} {
		p.line("rule", s.left, s.y(v), s.right, s.y(v))
	}
	p.text("label", "end", s.left-6, s.y(s.high)+4, whole(s.high))
	p.text("label", "end", s.left-6, s.y(0)+4, "0")
	p.path("lack", s.blocks(make([]float64, len(short)), short))
	p.height = s.bottom + calendarPx
	return frame{left: f.left, right: f.right, top: f.top, bottom: s.bottom}
}

// riskyWeek is the chance of falling short from which a week is counted in the
// sentence of the drawing.
const riskyWeek = 0.1

func oddsEggsMessage(o *chance.Odds) string {
	if len(o.Weeks) == 0 {
		return ""
	}
	lean, worst, risky := 0, 0, 0
	for i, w := range o.Weeks {
		if w.Eggs.P50 < o.Weeks[lean].Eggs.P50 {
			lean = i
		}
		if w.Short > o.Weeks[worst].Short {
			worst = i
		}
		if w.Short > riskyWeek {
			risky++
		}
	}
	l, w := o.Weeks[lean], o.Weeks[worst]
	text := say("odds.eggs.message", l.Date.Words(), whole(l.Eggs.P05), whole(l.Eggs.P95), whole(l.Needed))
	if w.Short <= 0 {
		return text + " " + say("odds.eggs.never")
	}
	return text + " " + say("odds.eggs.worst", w.Date.Words(), Percent(w.Short), whole(float64(risky)), whole(float64(len(o.Weeks))))
}

// OddsMonths is the months of the plan against their need.
func OddsMonths(o *chance.Odds) Table {
	t := Table{Caption: say("odds.months.caption"), Head: append([]Column{{say("odds.month"), true}, {say("eggs.need"), false}, {say("odds.short"), false}}, percentages()...)}
	for _, m := range o.Months {
		t.Rows = append(t.Rows, append([]string{monthName(m.Month) + " " + strconv.Itoa(m.Year), whole(m.Needed), chanceCell(m.Short)}, rangeCells(m.Eggs, whole)...))
	}
	return t
}

// chanceCell writes a chance in a table: a dash for what was never seen, and no
// nought for what was.
func chanceCell(share float64) string {
	switch {
	case share <= 0:
		return "–"
	case share < 0.0005:
		return say("odds.tiny")
	}
	return Percent(share)
}

func monthName(month int) string {
	if month < 1 || month > 12 {
		return "–"
	}
	return time.Month(month).String()[:3]
}

// OddsChances is what may happen: in a year, in the whole plan, and how well the
// second is known.
func OddsChances(o *chance.Odds) Table {
	t := Table{Caption: say("odds.chances.caption", whole(float64(o.Replicates))), Head: []Column{{say("odds.what"), true}, {say("odds.a_year"), false}, {say("odds.in_plan"), false}, {say("odds.give_take"), false}}}
	for _, e := range o.Chance {
		t.Rows = append(t.Rows, []string{Capital(e.What), InYears(e.Year), seen(e.Share, o.Replicates), errorOf(e, o.Replicates)})
	}
	return t
}

// errorOf is twice the standard error of an event, in percentage points. What
// was never seen in n lives may still come as often as three in n of them, and
// what was always seen may stay away as often, nineteen times in twenty.
func errorOf(e chance.Event, n int) string {
	e2 := 2 * e.Error
	if (e.Share <= 0 || e.Share >= 1) && n > 0 {
		e2 = 3 / float64(n)
	}
	return Number(100*e2, 1)
}

// seen writes a share of n lives; what was seen in none or in all of them is
// said so.
func seen(share float64, n int) string {
	switch {
	case n > 0 && share <= 0:
		return say("odds.never_seen")
	case n > 0 && share >= 1:
		return say("odds.always_seen")
	}
	return Percent(share)
}

// InYears writes a share of years as a keeper would say it: 1 year in 14, or 6
// years in 10.
func InYears(share float64) string {
	switch {
	case math.IsNaN(share):
		return "–"
	case share <= 0:
		return say("odds.never")
	case share < 0.002:
		return say("odds.hardly")
	case share < 0.2:
		return say("odds.one_in", whole(math.Round(1/share)))
	case share >= 0.95:
		return say("odds.nearly_all")
	case math.Abs(share-0.25) < 0.025:
		return say("odds.one_in", "4")
	}
	return say("odds.in_ten", whole(math.Round(10*share)))
}

// Capital begins a text with a capital letter.
func Capital(text string) string {
	for i, c := range text {
		return strings.ToUpper(string(c)) + text[i+len(string(c)):]
	}
	return text
}

// OddsYears is the spread of each calendar year: what a keeper would look up
// when one year has been poor.
func OddsYears(o *chance.Odds) Table {
	t := Table{Caption: say("odds.years.caption"), Head: append([]Column{{say("odds.figure"), true}}, percentages()...)}
	feed := Unit(o.Units, measure.MassKg)
	for _, y := range fullYears(o) {
		row := func(code string, r chance.Range, decimals int, args ...string) {
			cells := []string{strconv.Itoa(y.Year) + " " + say(code, args...)}
			t.Rows = append(t.Rows, append(cells, rangeCells(r, func(x float64) string { return Number(x, decimals) })...))
		}
		row("odds.year.short", y.ShortWeeks, 0)
		row("odds.year.bought", y.EggsBought, 0)
		row("odds.year.eggs", y.Eggs, 0)
		row("odds.year.winter", y.WinterEggs, 0)
		row("odds.year.table", y.TableBirds, 0)
		row("odds.year.chicks", y.Chicks, 0)
		row("odds.year.lost", y.Lost, 0)
		row("odds.year.taken", y.Taken, 0)
		if y.HensWinter.P95 > 0 {
			row("odds.year.hens", y.HensWinter, 0)
			row("odds.year.pullets", y.Pullets, 0)
		}
		row("odds.year.feed", scaled(y.FeedKg, o.Units), 0, feed)
		row("odds.year.cost", y.Cost, 0, o.Currency.Code)
	}
	return t
}

// scaled turns a range in kilograms into the reader's units.
func scaled(r chance.Range, u measure.Units) chance.Range {
	show := func(kg float64) float64 { v, _ := u.Show(measure.MassKg, kg); return v }
	return chance.Range{P05: show(r.P05), P25: show(r.P25), P50: show(r.P50), P75: show(r.P75), P95: show(r.P95), Mean: show(r.Mean)}
}

// OddsCost draws the spread of the cash of each calendar year: a bar for the
// middle half of all lives, a line for nine in ten, a stroke for the middle one.
func OddsCost(o *chance.Odds) Drawing {
	c := o.Currency
	years := fullYears(o)
	n := len(years)
	table := Table{Caption: say("odds.cost.caption", c.Code), Head: append(append([]Column{{say("column.year"), true}}, percentages()...), Column{say("odds.mean"), false})}
	desc := ""
	low, high := 0.0, 1.0
	for _, y := range years {
		table.Rows = append(table.Rows, append(append([]string{yearName(y)}, rangeCells(y.Cost, whole)...), whole(y.Cost.Mean)))
		low, high = min(low, y.Cost.P05), max(high, y.Cost.P95)
		desc = strings.TrimSpace(desc + " " + say("odds.cost.message", yearName(y), whole(y.Cost.P05), Amount(c, y.Cost.P95), Amount(c, y.Cost.P50)))
	}
	return draw("odds-cost", say("odds.cost.title"), desc, table, func(pen *pen) {
		top := pen.legend(0, 2, []key{{"expect", say("odds.key.middle"), true}, {"half", say("odds.key.half"), false}, {"money", say("odds.key.nine"), true}})
		f := pen.field(top, pick(pen, 210, 180))
		f.left = pick(pen, 52, 44)
		pen.height -= 16
		pen.scale(&f, low, high, c.Code)
		for i, y := range years {
			x := f.slot(i, n)
			w := min(64, (f.right-f.left)/float64(n)*0.4)
			pen.line("money", x, f.y(y.Cost.P05), x, f.y(y.Cost.P95))
			for _, v := range []float64{y.Cost.P05, y.Cost.P95} {
				pen.line("money", x-w/5, f.y(v), x+w/5, f.y(v))
			}
			pen.rect("half", x-w/2, f.y(y.Cost.P75), w, f.y(y.Cost.P25)-f.y(y.Cost.P75))
			pen.line("expect", x-w/2, f.y(y.Cost.P50), x+w/2, f.y(y.Cost.P50))
			pen.text("strong", "middle", x, f.bottom+18, yearName(y))
		}
	})
}

// yearName names a calendar year, and says so when the plan covers only a part
// of it.
func yearName(y chance.YearOdds) string {
	if y.Part < 0.95 {
		return say("odds.year.part", strconv.Itoa(y.Year), whole(math.Round(y.Part*365.25/7)))
	}
	return strconv.Itoa(y.Year)
}

// OddsCauses compares how often something stood behind the poor years and in
// all.
func OddsCauses(o *chance.Odds) Table {
	t := Table{Caption: say("odds.causes.caption", whole(float64(o.Poor.Years))), Head: []Column{{say("odds.cause"), true}, {say("odds.poor_years"), false}, {say("odds.all_years"), false}}}
	for _, c := range o.Poor.Causes {
		if c.Poor > 0 || c.All > 0 {
			t.Rows = append(t.Rows, []string{Capital(c.What), Percent(c.Poor), Percent(c.All)})
		}
	}
	return t
}
