package web

import (
	"math"

	"henyear/butcher"
	"henyear/calendar"
	"henyear/measure"
	"henyear/report"
)

// kitFacts lists what must stand ready.
func kitFacts(d *calendar.ButcherDay, u measure.Units) []fact {
	k := d.Kit
	n := func(x int) string { return countOf(x) }
	kilos := func(x float64) string { return report.Quantity(u, measure.MassKg, x, 0) }
	litres := func(x float64) string { return liquid(u, x) }
	plucking, scale := say("butcher.kit.hands"), say("butcher.kit.scale.metric")
	if u == measure.US {
		scale = say("butcher.kit.scale.us")
	}
	if k.Plucker {
		plucking = say("butcher.kit.tub")
	}
	return []fact{
		{say("butcher.kit.cones"), n(k.Cones)},
		{say("butcher.kit.scalder"), liquid(u, k.ScalderL)},
		{say("butcher.kit.thermometers"), say("butcher.kit.thermometers.words")},
		{say("butcher.kit.plucking"), plucking},
		{say("butcher.kit.tables"), n(k.Tables)},
		{say("butcher.kit.knives"), n(k.Knives)},
		{say("butcher.kit.gloves"), n(k.Gloves)},
		{say("butcher.kit.tubs"), say("butcher.kit.tubs.words", n(k.Tubs), liquid(u, k.TubL))},
		{say("butcher.kit.ice"), within(k.IceKg, kilos)},
		{say("butcher.kit.water"), within(k.WaterL, litres)},
		{say("butcher.kit.bags"), say("butcher.kit.bags.words", n(k.BirdBags), n(k.GibletBags))},
		{say("butcher.kit.crates"), say("butcher.kit.crates.words", n(k.Crates), n(k.BirdsACrate))},
		{say("butcher.kit.buckets"), n(k.WasteBuckets)},
		{say("butcher.kit.scale"), say("butcher.kit.scale.words", scale)},
	}
}

// frozenC is the usual temperature of a freezer.
const frozenC = -18

// A stepWriter writes the stations of one day in the reader's units.
type stepWriter struct {
	d    *calendar.ButcherDay
	u    measure.Units
	list []butcherStep
}

func (w *stepWriter) step(code, when string) {
	w.list = append(w.list, butcherStep{Code: code, Title: say("butcher.step." + code), When: when})
}

func (w *stepWriter) line(code, key string, args ...string) {
	at := &w.list[len(w.list)-1]
	at.Lines = append(at.Lines, butcherLine{say("butcher."+code, args...), key})
}

func (w *stepWriter) caution(code, key string) {
	at := &w.list[len(w.list)-1]
	at.Cautions = append(at.Cautions, butcherLine{say("butcher.caution." + code), key})
}

func (w *stepWriter) at(minutes int) string { return when(w.u, w.d.On, minutes) }

// each writes a line for every class of bird; with one class the name of it is
// left out.
func (w *stepWriter) each(code, key string, args func(calendar.ButcherSheet) []string) {
	for _, s := range w.d.Sheets {
		w.ofClass(s, say("butcher."+code, args(s)...), key)
	}
}

func (w *stepWriter) ofClass(s calendar.ButcherSheet, text, key string) {
	if len(w.d.Sheets) > 1 {
		text = say("butcher.of", say("butcher.class."+s.Class.String()), text)
	}
	at := &w.list[len(w.list)-1]
	at.Lines = append(at.Lines, butcherLine{text, key})
}

// butcherSteps is the day in its order, from the days before to the freezer.
func butcherSteps(d *calendar.ButcherDay, u measure.Units) []butcherStep {
	w := &stepWriter{d: d, u: u}
	first, last := d.Sheets[0], d.Sheets[len(d.Sheets)-1]
	seconds := func(x float64) string { return report.Number(x, 0) }
	heat := func(x float64) string { return warmth(u, x) }

	w.step("before", say("butcher.when.before"))
	w.line("line.health", "butcher-cautions")
	w.line("line.law", "")
	w.caution("sick", "butcher-cautions")
	w.caution("law", "")

	w.step("feed", w.at(first.Lots[0].FeedAt))
	for _, s := range d.Sheets {
		for _, l := range s.Lots {
			w.line("line.feed", s.FastH.Source, w.at(l.FeedAt), countOf(l.Birds), clockWords(u, l.First), clockWords(u, l.Last))
		}
	}
	w.line("line.fast", first.FastH.Source, within(first.FastH, hoursWords), within(first.ShrinkPct, plainNumber(1)))
	if len(first.Lots) > 1 {
		w.line("line.lots", first.FastH.Source, hoursWords(first.FastH.Low), hoursWords(first.FastH.High))
	}
	w.line("line.catch", "practice", countOf(d.Kit.BirdsACrate))

	w.step("setup", w.at(first.Clock.SetUp))
	w.line("line.fixed", first.FixedH.Source, within(first.FixedH, hoursWords))
	w.line("line.apart", "butcher-hygiene")
	w.caution("fire", "butcher-cautions")
	w.caution("children", "butcher-cautions")

	w.step("kill", w.at(first.Clock.First))
	w.each("line.pace", first.Pace.Source, func(s calendar.ButcherSheet) []string {
		return []string{within(s.Pace, plainNumber(1)), clockWords(u, s.Clock.First), clockWords(u, s.Clock.Last), clockWords(u, s.Clock.LastLate)}
	})
	w.line("line.bleed", first.BleedMin.Source, within(first.BleedMin, plainNumber(1)))
	w.caution("kill", "")
	w.caution("knife", "butcher-cautions")

	w.step("scald", "")
	w.each("line.scald", first.Scald.TempC.Source, func(s calendar.ButcherSheet) []string {
		return []string{within(s.Scald.TempC, heat), within(s.Scald.Seconds, seconds)}
	})
	w.line("line.soft", first.Soft.TempC.Source, heat(first.Soft.TempC.Low), heat(first.Soft.TempC.High), seconds(first.Soft.Seconds.Low), seconds(first.Soft.Seconds.High))
	w.line("line.tears", "butcher-scald-tears", heat(butcher.TearsC))
	w.caution("scald", "butcher-cautions")

	w.step("pluck", "")
	if d.Kit.Plucker {
		w.line("line.tub", first.PluckMin.Source, within(first.PluckMin, func(x float64) string { return report.Number(60*x, 0) }))
		w.caution("plucker", "")
	} else {
		w.line("line.hand", first.PluckMin.Source, within(first.PluckMin, plainNumber(0)))
	}
	w.caution("dust", "butcher-cautions")

	w.step("draw", "")
	w.line("line.draw", first.DrawH.Source)
	w.line("line.look", "butcher-cautions")
	w.caution("gut", "butcher-cautions")

	w.step("chill", "")
	w.line("line.ice", d.Kit.IceKg.Source, within(d.Kit.IceKg, func(x float64) string { return report.Quantity(u, measure.MassKg, x, 0) }))
	for _, s := range d.Sheets {
		code := "line.chill"
		if hoursWords(s.ChillHours) == hoursWords(s.ChillHeavy) {
			code = "line.chill.even"
		}
		w.ofClass(s, say("butcher."+code, heat(butcher.ChillC), hoursWords(s.ChillHours), hoursWords(s.ChillHeavy), w.at(s.Clock.Cold)), "butcher-chill-table")
	}
	w.line("line.giblets", "butcher-giblets-chill", hoursWords(butcher.GibletHours), within(w.sum(func(s calendar.ButcherSheet) butcher.Range { return s.GibletKg }), func(x float64) string { return fineKg(u, x) }))
	w.line("line.taken", first.TakenUp.Source, within(first.TakenUp, plainNumber(0)))
	w.caution("cold", "butcher-chill")

	w.step("weigh", "")
	w.line("line.weigh", "")

	w.step("clean", w.at(last.Clock.Last))
	waste := w.sum(func(s calendar.ButcherSheet) butcher.Range { return s.WasteKg })
	w.line("line.waste", waste.Source, within(waste, func(x float64) string { return report.Quantity(u, measure.MassKg, x, 0) }))
	w.line("line.clean", "butcher-hygiene", w.at(last.Clock.Done))
	w.caution("wash", "butcher-cautions")

	w.step("rest", "")
	w.each("line.rest", first.RestH.Source, func(s calendar.ButcherSheet) []string {
		return []string{within(s.RestH, hoursWords), w.at(s.Clock.Freeze), heat(0), heat(4)}
	})
	w.line("line.stiff", "butcher-rest-stiff", hoursWords(butcher.StiffHours))
	w.line("line.cut", "butcher-giblets-chill", heat(butcher.CutC))

	w.step("freeze", w.at(latestOf(d.Sheets, func(c butcher.Clock) int { return c.Freeze })))
	room := w.sum(func(s calendar.ButcherSheet) butcher.Range { return s.FreezerL })
	w.line("line.freezer", room.Source, within(room, func(x float64) string { return report.Quantity(u, measure.VolumeL, x, rainDecimals(u)) }))
	w.line("line.keeps", first.KeepsM.Source, within(first.KeepsM, plainNumber(0)), within(butcher.FrozenGibletMonths, plainNumber(0)), within(butcher.FridgeDays, plainNumber(0)), heat(frozenC))
	bones, stock := w.sum(func(s calendar.ButcherSheet) butcher.Range { return s.BonesKg }), w.sum(func(s calendar.ButcherSheet) butcher.Range { return s.StockL })
	w.line("line.stock", stock.Source, within(bones, func(x float64) string { return fineKg(u, x) }), within(stock, func(x float64) string { return liquid(u, math.Max(x, 0.5)) }))

	w.step("cook", "")
	w.each("line.pot", "butcher-kitchen-rule", func(s calendar.ButcherSheet) []string { return []string{say("butcher.pot." + string(s.Pot))} })
	w.line("line.cook", "butcher-cook", heat(math.Round(butcher.CookC)))
	w.caution("raw", "butcher-cautions")
	return w.list
}

func (w *stepWriter) sum(of func(calendar.ButcherSheet) butcher.Range) butcher.Range {
	total := of(w.d.Sheets[0])
	for _, s := range w.d.Sheets[1:] {
		total = total.Plus(of(s))
	}
	return total
}

func latestOf(sheets []calendar.ButcherSheet, of func(butcher.Clock) int) int {
	latest := of(sheets[0].Clock)
	for _, s := range sheets[1:] {
		latest = max(latest, of(s.Clock))
	}
	return latest
}
