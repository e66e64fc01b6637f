package report

import (
	"henyear/measure"
	"henyear/plan"
)

// Weeks is the whole plan week by week as one table, in the reader's units.
func Weeks(p *plan.Plan) Table {
	t := Table{Caption: say("weeks.caption"), Head: []Column{{say("column.week"), true},
		{say("weeks.eggs"), false}, {say("eggs.need"), false}, {say("use.sold"), false}, {say("use.set"), false}, {say("use.store"), false}, {say("use.bought"), false},
		{say("weeks.hens"), false}, {say("weeks.inlay"), false}, {say("weeks.moulting"), false}, {say("weeks.cocks"), false}, {say("weeks.chicks"), false}, {say("weeks.growing"), false},
		{say("weeks.feed", Unit(p.Units, measure.MassKg)), false}, {say("weeks.butchered"), false}, {say("weeks.minutes"), false}, {say("weeks.water"), false}, {say("weeks.money", p.Currency.Code), false}}}
	for _, w := range p.Weeks {
		feed, _ := p.Units.Show(measure.MassKg, w.FeedKg)
		t.Rows = append(t.Rows, []string{w.Date.Words(), Number(w.EggsExpected, 0) + " (" + Number(w.EggsLow, 0) + "–" + Number(w.EggsHigh, 0) + ")",
			Number(w.EggsNeeded, 0), Number(w.EggsSold, 0), Number(w.EggsSet, 0), Number(w.EggsFromStore, 0), Number(w.EggsBought, 0),
			Number(w.Hens, 0), Number(w.InLay, 0), Number(w.Moulting, 0), Number(w.Cocks, 0), Number(w.Chicks, 0), Number(w.Growers, 0),
			Number(feed, 1), Number(w.TableBirds, 0), Number(w.MinutesADay, 0), water(p.Units, w.WaterL), Number(p.Currency.Amount(w.Money), 0)})
	}
	return t
}

// water is written in litres or US gallons.
func water(u measure.Units, litres float64) string {
	if u == measure.US {
		return Number(litres/measure.LitrePerGallon, 1) + "\u00a0gal"
	}
	return Number(litres, 0) + "\u00a0l"
}
