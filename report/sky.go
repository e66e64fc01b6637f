package report

import (
	"time"

	"henyear/climate"
	"henyear/measure"
)

// slotMonth writes when a slot of the steady year begins: 8 January.
func slotDate(slot int) string {
	d := measure.Date{Year: 2025, Month: time.January, Day: 1}.AddDays(measure.SlotMiddle(slot) - 1)
	return DayMonth(d)
}

func slotted(y climate.Year, pick func(climate.WeekNormal) float64) []float64 {
	list := make([]float64, len(y))
	for i, w := range y {
		list[i] = pick(w)
	}
	return list
}

// months writes the twelve months below the frame of a steady year.
func (p *pen) months(f frame) {
	p.line("axis", f.left, f.bottom, f.right, f.bottom)
	for m := range 12 {
		name := time.Month(m + 1).String()[:3]
		if p.narrow() {
			name = name[:1]
		}
		p.text("label", "middle", f.slot(m, 12), f.bottom+16, name)
		if m > 0 {
			p.line("rule", f.edge(m, 12), f.bottom, f.edge(m, 12), f.bottom+5)
		}
	}
}

// hotDayC is the high above which a week's normals count a day as hot.
const hotDayC = 32

// Temperature draws the usual highs and lows through the year, how far single days
// and nights stray, the coldest night of a usual year, and below the nights of frost
// and the hot days of each week.
func Temperature(y climate.Year, extremeC float64, u measure.Units) Drawing {
	show := func(c float64) float64 { v, _ := u.Show(measure.TempC, c); return v }
	high := slotted(y, func(w climate.WeekNormal) float64 { return show(w.MaxC) })
	low := slotted(y, func(w climate.WeekNormal) float64 { return show(w.MinC) })
	warmest := slotted(y, func(w climate.WeekNormal) float64 { return show(w.MaxC + oneInTen*spreadOr(w.SDHighC, w.SDDayC)) })
	coolest := slotted(y, func(w climate.WeekNormal) float64 { return show(w.MinC - oneInTen*spreadOr(w.SDLowC, w.SDDayC)) })
	frost := slotted(y, func(w climate.WeekNormal) float64 { return w.FrostNights })
	hot := slotted(y, func(w climate.WeekNormal) float64 { return w.HotDays })
	unit := Unit(u, measure.TempC)
	table := Table{Caption: say("temperature.caption"), Head: []Column{{say("column.week_of"), true}, {say("temperature.high", unit), false}, {say("temperature.low", unit), false}, {say("temperature.warmest", unit), false}, {say("temperature.coolest", unit), false}, {say("temperature.frost"), false}, {say("temperature.hot"), false}}}
	for i := range y {
		table.Rows = append(table.Rows, []string{slotDate(i), Number(high[i], 0), Number(low[i], 0), Number(warmest[i], 0), Number(coolest[i], 0), Number(frost[i], 1), Number(hot[i], 1)})
	}
	hotDay := Quantity(u, measure.TempC, hotDayC, 0)
	coldest, _ := extremes(low)
	_, hottest := extremes(high)
	deepest, _ := extremes(coolest)
	_, tallest := extremes(warmest)
	desc := say("temperature.message", Quantity(u, measure.TempC, y[hottest].MaxC, 0), slotDate(hottest), Quantity(u, measure.TempC, y[coldest].MinC, 0), slotDate(coldest),
		Number(total(frost), 0), Number(total(hot), 0), hotDay) + " " + say("temperature.strays", Quantity(u, measure.TempC, extremeC, 0))
	return draw("temperature", say("temperature.title"), desc, table, func(p *pen) {
		top := p.legend(0, 2, []key{{"warm", say("temperature.key.high"), true}, {"cool", say("temperature.key.low"), true}, {"fan", say("temperature.key.strays"), false}, {"need", say("temperature.key.extreme"), true}, {"frost", say("temperature.key.frost"), false}, {"hot", say("temperature.key.hot", hotDay), false}})
		f := frame{left: pick(p, 40, 34), right: p.width - 2, top: top + 18}
		f.bottom = f.top + pick(p, 230, 190)
		p.scale(&f, min(show(0), coolest[deepest], show(extremeC)), warmest[tallest], unit)
		p.path("fan", f.between(coolest, warmest))
		p.path("between", f.between(low, high))
		p.path("warm", f.trace(high))
		p.path("cool", f.trace(low))
		p.line("need", f.left, f.y(show(extremeC)), f.right, f.y(show(extremeC)))
		days := frame{left: f.left, right: f.right, top: f.bottom + 30, bottom: f.bottom + 84, low: 0, high: 7}
		p.text("label", "start", 0, days.top-8, say("temperature.nights"))
		for _, t := range []float64{0, 7} {
			p.line("rule", days.left, days.y(t), days.right, days.y(t))
			p.text("label", "end", days.left-6, days.y(t)+4, Number(t, 0))
		}
		p.path("frost", days.blocks(make([]float64, len(frost)), frost))
		p.path("hot", days.blocks(make([]float64, len(hot)), hot))
		p.months(days)
		p.height = days.bottom + 24
		p.slots = &slots{f.left, f.right, f.top, days.bottom, len(y)}
	})
}

// oneInTen is how many spreads from the mean a tenth of a normal variable lies.
const oneInTen = 1.2816

func spreadOr(told, instead float64) float64 {
	if told > 0 {
		return told
	}
	return instead
}

// Daylight draws the hours of light through the year about the sun's noon: from
// sunrise to sunset, the longer day that hens outdoors see, and the day behind
// windows.
func Daylight(y climate.Year) Drawing {
	sun := slotted(y, func(w climate.WeekNormal) float64 { return w.SunH })
	civil := slotted(y, func(w climate.WeekNormal) float64 { return w.CivilH })
	window := slotted(y, func(w climate.WeekNormal) float64 { return w.WindowH })
	table := Table{Caption: say("daylight.caption"), Head: []Column{{say("column.week_of"), true}, {say("daylight.sun"), false}, {say("daylight.civil"), false}, {say("daylight.window"), false}}}
	for i := range y {
		table.Rows = append(table.Rows, []string{slotDate(i), Hours(sun[i]), Hours(civil[i]), Hours(window[i])})
	}
	short, long := extremes(sun)
	darkest, lightest := extremes(civil)
	desc := say("daylight.message", Hours(sun[short]), slotDate(short), Hours(sun[long]), slotDate(long), Hours(civil[darkest]), Hours(civil[lightest]))
	half := func(hours []float64, sign float64) []float64 {
		list := make([]float64, len(hours))
		for i, h := range hours {
			list[i] = 12 + sign*h/2
		}
		return list
	}
	return draw("daylight", say("daylight.title"), desc, table, func(p *pen) {
		top := p.legend(0, 2, []key{{"sun", say("daylight.key.sun"), false}, {"twilight", say("daylight.key.civil"), false}, {"window", say("daylight.key.window"), true}, {"dark", say("daylight.key.night"), false}})
		f := frame{left: pick(p, 40, 34), right: p.width - 2, top: top + 18, low: 0, high: 24}
		f.bottom = f.top + pick(p, 240, 200)
		p.rect("dark", f.left, f.top, f.right-f.left, f.bottom-f.top)
		p.path("twilight", widen(f, half(civil, -1), half(civil, 1)))
		p.path("sun", widen(f, half(sun, -1), half(sun, 1)))
		p.path("edge", f.trace(half(sun, 1)))
		p.path("edge", f.trace(half(sun, -1)))
		p.path("window", f.trace(half(window, 1)))
		p.path("window", f.trace(half(window, -1)))
		p.text("label", "start", 0, f.top-9, say("daylight.unit"))
		for _, t := range []float64{0, 6, 12, 18, 24} {
			p.line("rule", f.left, f.y(t), f.right, f.y(t))
			p.text("label", "end", f.left-6, f.y(t)+4, Number(t, 0))
		}
		p.months(f)
		p.height = f.bottom + 24
		p.slots = &slots{f.left, f.right, f.top, f.bottom, len(y)}
	})
}

// widen fills between two lines out to the edges of the frame, so that the year
// has no gap at its ends.
func widen(f frame, low, high []float64) string {
	n := len(high)
	d := "M" + short(f.left) + " " + short(f.y(high[0]))
	for i, v := range high {
		d += "L" + short(f.slot(i, n)) + " " + short(f.y(v))
	}
	d += "H" + short(f.right) + "V" + short(f.y(low[n-1]))
	for i := n - 1; i >= 0; i-- {
		d += "L" + short(f.slot(i, n)) + " " + short(f.y(low[i]))
	}
	return d + "H" + short(f.left) + "Z"
}

// Hours writes hours as 9 h 45 min.
func Hours(h float64) string {
	minutes := int(h*60 + 0.5)
	return say("hours", Number(float64(minutes/60), 0), Number(float64(minutes%60), 0))
}
