package report

import (
	"henyear/plan"
)

// Eggs draws the usable eggs of every week against the need: the expectation,
// the range that holds four weeks in five, the need as a broken line, and what
// must be bought because neither the flock nor the store gives it. The need is
// the household's own and the eggs to be set; promised sales are not part of it.
func Eggs(p *plan.Plan) Drawing {
	need := weekly(p, func(w plan.WeekRow) float64 { return w.EggsNeeded + w.EggsSet })
	met := weekly(p, func(w plan.WeekRow) float64 { return w.EggsNeeded + w.EggsSet - w.EggsBought })
	expected := weekly(p, func(w plan.WeekRow) float64 { return w.EggsExpected })
	low := weekly(p, func(w plan.WeekRow) float64 { return w.EggsLow })
	high := weekly(p, func(w plan.WeekRow) float64 { return w.EggsHigh })

	table := Table{Caption: say("eggs.caption"), Head: []Column{
		{say("column.week"), true}, {say("eggs.expected"), false}, {say("eggs.low"), false}, {say("eggs.high"), false}, {say("eggs.need"), false}, {say("eggs.set"), false}, {say("eggs.bought"), false}}}
	for i, w := range p.Weeks {
		table.Rows = append(table.Rows, []string{w.Date.Words(), Number(expected[i], 0), Number(low[i], 0), Number(high[i], 0), Number(w.EggsNeeded, 0), Number(w.EggsSet, 0), Number(w.EggsBought, 0)})
	}
	return draw("eggs", say("eggs.title"), eggsMessage(p, expected), table, func(pen *pen) {
		top := pen.legend(0, 2, []key{{"expect", say("eggs.key.expected"), true}, {"band", say("eggs.key.band"), false}, {"need", say("eggs.key.need"), true}, {"lack", say("eggs.key.lack"), false}})
		f := pen.field(top, pick(pen, 300, 230))
		pen.scale(&f, 0, highest(high, need), say("unit.eggs_week"))
		pen.path("band", f.between(low, high))
		pen.path("lack", f.blocks(met, need))
		pen.path("need", f.stairs(need))
		pen.path("expect", f.trace(expected))
		pen.calendar(f, firstMonday(p), len(p.Weeks))
		pen.weeks(f, len(p.Weeks))
	})
}

func eggsMessage(p *plan.Plan, expected []float64) string {
	if len(expected) == 0 {
		return ""
	}
	low, high := extremes(expected)
	weeks, eggs := 0, 0.0
	for _, w := range p.Weeks {
		if w.EggsBought >= 0.5 {
			weeks++
		}
		eggs += w.EggsBought
	}
	text := say("eggs.message", Number(expected[low], 0), p.Weeks[low].Date.Words(), Number(expected[high], 0), p.Weeks[high].Date.Words())
	if weeks == 0 {
		return text + " " + say("eggs.message.enough", Number(float64(len(expected)), 0))
	}
	return text + " " + say("eggs.message.short", Number(float64(weeks), 0), Number(float64(len(expected)), 0), Number(eggs, 0))
}

// EggUse draws what becomes of the eggs: eaten fresh, out of the store, bought,
// set, sold, put by, and to spare.
func EggUse(p *plan.Plan) Drawing {
	in, out := make([]float64, len(p.Weeks)), make([]float64, len(p.Weeks))
	for i, w := range p.Weeks {
		in[i], out[i] = storeFlow(w)
	}
	eaten := weekly(p, func(w plan.WeekRow) float64 { return w.EggsNeeded - w.EggsBought })
	for i := range eaten {
		eaten[i] = max(0, eaten[i]-out[i])
	}
	layers := []layer{
		{"own", say("use.own"), eaten},
		{"kept", say("use.store"), out},
		{"bought", say("use.bought"), weekly(p, func(w plan.WeekRow) float64 { return w.EggsBought })},
		{"setting", say("use.set"), weekly(p, func(w plan.WeekRow) float64 { return w.EggsSet })},
		{"sold", say("use.sold"), weekly(p, func(w plan.WeekRow) float64 { return w.EggsSold })},
		{"frozen", say("use.frozen"), weekly(p, func(w plan.WeekRow) float64 { return w.EggsFrozen })},
		{"later", say("use.later"), in},
		{"spare", say("use.spare"), weekly(p, func(w plan.WeekRow) float64 { return w.EggsSpare })},
	}
	sums := make([]string, 0, len(layers))
	for _, l := range layers {
		if l.class != "later" { // they are among those that come out of the store
			sums = append(sums, Number(total(l.values), 0))
		}
	}
	return stack(p, "use", say("use.title"), say("use.message", sums...), say("use.caption"), say("unit.eggs_week"), 0, layers)
}

// storeFlow is what goes into the store for later weeks and what comes out of
// it. A plan may turn the store over, new eggs in and old ones out in one week;
// only the difference is worth a reader's while.
func storeFlow(w plan.WeekRow) (in, out float64) {
	used := w.EggsNeeded - w.EggsFromStore - w.EggsBought + w.EggsSet + w.EggsSold + w.EggsFrozen + w.EggsSpare
	in = max(0, w.EggsExpected-used)
	turned := min(in, w.EggsFromStore)
	in, out = in-turned, w.EggsFromStore-turned
	if in < 0.05 {
		in = 0
	}
	return in, max(0, out)
}

func total(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum
}

// A layer is one part of a stack.
type layer struct {
	class  string
	words  string
	values []float64
}

// stack draws weekly layers on top of each other, leaving out those that are
// never there.
func stack(p *plan.Plan, name, title, desc, caption, unit string, decimals int, layers []layer) Drawing {
	var present []layer
	for _, l := range layers {
		if highest(l.values) > 0 {
			present = append(present, l)
		}
	}
	table := Table{Caption: caption, Head: []Column{{say("column.week"), true}}}
	for _, l := range present {
		table.Head = append(table.Head, Column{l.words, false})
	}
	for i, w := range p.Weeks {
		row := []string{w.Date.Words()}
		for _, l := range present {
			row = append(row, Number(l.values[i], decimals))
		}
		table.Rows = append(table.Rows, row)
	}
	return draw(name, title, desc, table, func(pen *pen) {
		var keys []key
		for _, l := range present {
			keys = append(keys, key{l.class, l.words, false})
		}
		top := pen.legend(0, 2, keys)
		f := pen.field(top, pick(pen, 280, 220))
		below := make([]float64, len(p.Weeks))
		tops := make([][]float64, len(present))
		for k, l := range present {
			tops[k] = add(below, l.values)
			below = tops[k]
		}
		pen.scale(&f, 0, max(1, highest(below)), unit)
		below = make([]float64, len(p.Weeks))
		for k, l := range present {
			pen.path(l.class, f.blocks(below, tops[k]))
			below = tops[k]
		}
		pen.calendar(f, firstMonday(p), len(p.Weeks))
		pen.weeks(f, len(p.Weeks))
	})
}

func add(a, b []float64) []float64 {
	sum := make([]float64, len(a))
	for i := range a {
		sum[i] = a[i] + max(0, b[i])
	}
	return sum
}

// Birds draws the flock by class.
func Birds(p *plan.Plan) Drawing {
	layers := []layer{
		{"old", say("birds.old"), weekly(p, func(w plan.WeekRow) float64 { return max(0, w.Hens-w.Pullets) })},
		{"young", say("birds.young"), weekly(p, func(w plan.WeekRow) float64 { return w.Pullets })},
		{"male", say("birds.cocks"), weekly(p, func(w plan.WeekRow) float64 { return w.Cocks })},
		{"growing", say("birds.growing"), weekly(p, func(w plan.WeekRow) float64 { return w.Growers })},
		{"chick", say("birds.chicks"), weekly(p, func(w plan.WeekRow) float64 { return w.Chicks })},
	}
	desc := ""
	if len(p.Weeks) > 0 {
		all := weekly(p, func(w plan.WeekRow) float64 { return w.Birds })
		low, high := extremes(all)
		desc = say("birds.message", Number(all[low], 0), p.Weeks[low].Date.Words(), Number(all[high], 0), p.Weeks[high].Date.Words())
	}
	return stack(p, "birds", say("birds.title"), desc, say("birds.caption"), say("unit.birds"), 0, layers)
}

// pick takes one of two sizes, for the wide and the narrow drawing.
func pick(p *pen, wide, narrow float64) float64 {
	if p.narrow() {
		return narrow
	}
	return wide
}

// field lays out the frame of a weekly drawing below its legend and fixes the
// height of the drawing.
func (p *pen) field(top, height float64) frame {
	f := frame{left: pick(p, 40, 34), right: p.width - 2, top: top + 18}
	f.bottom = f.top + height
	p.height = f.bottom + calendarPx
	return f
}

// weeks lets the reader's pointer find the weeks.
func (p *pen) weeks(f frame, count int) {
	p.slots = &slots{left: f.left, right: f.right, top: f.top, bottom: f.bottom, count: count}
}
