package report

import (
	"strconv"

	"henyear/measure"
	"henyear/plan"
)

// Costs draws outlay and income of each calendar year.
func Costs(p *plan.Plan) Drawing {
	c := p.Currency
	n := len(p.Years)
	feed, other, income := make([]float64, n), make([]float64, n), make([]float64, n)
	table := Table{Caption: say("costs.caption"), Head: []Column{{say("column.year"), true}, {say("costs.feed"), false}, {say("costs.other"), false}, {say("costs.income"), false}, {say("costs.net"), false}, {say("costs.dozen"), false}}}
	desc := ""
	for i, y := range p.Years {
		feed[i], other[i], income[i] = c.Amount(y.FeedCost), c.Amount(y.OtherCost), c.Amount(y.Income)
		net := y.FeedCost + y.OtherCost - y.Income
		table.Rows = append(table.Rows, []string{strconv.Itoa(y.Year), c.FormatWhole(y.FeedCost), c.FormatWhole(y.OtherCost), c.FormatWhole(y.Income), c.FormatWhole(net), DozenCost(c, y)})
		if desc != "" {
			desc += " "
		}
		desc += say("costs.message", strconv.Itoa(y.Year), Amount(c, feed[i]+other[i]), Amount(c, income[i]), Amount(c, feed[i]+other[i]-income[i]))
	}
	return draw("costs", say("costs.title"), desc, table, func(pen *pen) {
		top := pen.legend(0, 2, []key{{"feed", say("costs.feed"), false}, {"other", say("costs.other"), false}, {"income", say("costs.income"), false}})
		f := pen.field(top, pick(pen, 230, 200))
		f.left = pick(pen, 52, 44)
		pen.height -= 16
		pen.scale(&f, 0, max(1, highest(add(feed, other), income)), c.Code)
		for i, y := range p.Years {
			x := f.slot(i, n)
			w := min(56, (f.right-f.left)/float64(n)*0.34)
			pen.rect("feed", x-w-2, f.y(feed[i]), w, f.y(0)-f.y(feed[i]))
			pen.rect("other", x-w-2, f.y(feed[i]+other[i]), w, f.y(feed[i])-f.y(feed[i]+other[i]))
			pen.rect("income", x+2, f.y(income[i]), w, f.y(0)-f.y(income[i]))
			pen.text("strong", "middle", x, f.bottom+18, strconv.Itoa(y.Year))
		}
		pen.line("axis", f.left, f.y(0), f.right, f.y(0))
		pen.weeks(f, n)
	})
}

// Money draws the money spent so far, less income, week by week.
func Money(p *plan.Plan) Drawing {
	c := p.Currency
	sofar := make([]float64, len(p.Weeks))
	table := Table{Caption: say("money.caption"), Head: []Column{{say("column.week"), true}, {say("money.week"), false}, {say("money.sofar"), false}}}
	var sum measure.Money
	low := 0.0
	for i, w := range p.Weeks {
		sum += w.Money
		sofar[i] = c.Amount(sum)
		low = min(low, sofar[i])
		table.Rows = append(table.Rows, []string{w.Date.Words(), c.FormatWhole(w.Money), c.FormatWhole(sum)})
	}
	desc := say("money.message", c.FormatWhole(sum), Day(p.To))
	return draw("money", say("money.title"), desc, table, func(pen *pen) {
		f := pen.field(2, pick(pen, 230, 200))
		f.left = pick(pen, 52, 44)
		pen.scale(&f, low, max(1, highest(sofar)), c.Code)
		pen.path("money", f.trace(sofar))
		pen.calendar(f, firstMonday(p), len(p.Weeks))
		pen.weeks(f, len(p.Weeks))
	})
}

// Freezer draws how full the freezer is. roomL is what it holds; 0 leaves the
// limit out.
func Freezer(p *plan.Plan, roomL float64) Drawing {
	show := func(l float64) float64 { v, _ := p.Units.Show(measure.VolumeL, l); return v }
	full := weekly(p, func(w plan.WeekRow) float64 { return show(w.FreezerL) })
	decimals := 0
	if p.Units == measure.US {
		decimals = 1
	}
	unit := Unit(p.Units, measure.VolumeL)
	table := Table{Caption: say("freezer.caption"), Head: []Column{{say("column.week"), true}, {say("freezer.column", unit), false}, {say("freezer.birds"), false}}}
	for i, w := range p.Weeks {
		table.Rows = append(table.Rows, []string{w.Date.Words(), Number(full[i], decimals), Number(w.TableBirds, 0)})
	}
	desc := ""
	if len(full) > 0 {
		_, high := extremes(full)
		desc = say("freezer.message", Number(full[high], decimals)+"\u00a0"+unit, p.Weeks[high].Date.Words(), Quantity(p.Units, measure.VolumeL, roomL, decimals))
		if roomL <= 0 {
			desc = say("freezer.message.open", Number(full[high], decimals)+"\u00a0"+unit, p.Weeks[high].Date.Words())
		}
	}
	return draw("freezer", say("freezer.title"), desc, table, func(pen *pen) {
		keys := []key{{"ice", say("freezer.key"), false}}
		if roomL > 0 {
			keys = append(keys, key{"limit", say("freezer.limit"), true})
		}
		top := pen.legend(0, 2, keys)
		f := pen.field(top, pick(pen, 180, 160))
		pen.scale(&f, 0, max(1, show(roomL), highest(full)), say("freezer.unit", unit))
		pen.path("ice", f.blocks(make([]float64, len(full)), full))
		if roomL > 0 {
			pen.line("limit", f.left, f.y(show(roomL)), f.right, f.y(show(roomL)))
		}
		pen.calendar(f, firstMonday(p), len(p.Weeks))
		pen.weeks(f, len(p.Weeks))
	})
}

// DozenCost is what a dozen eggs of a year cost, and a dash for a year without
// eggs.
func DozenCost(c measure.Currency, y plan.YearRow) string {
	if y.Eggs < 12 {
		return "–"
	}
	return AmountFine(c, c.Amount(y.CostPerDozen))
}
