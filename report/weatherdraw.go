package report

import (
	"strconv"

	"henyear/climate"
	"henyear/climate/weather"
	"henyear/measure"
)

// WeatherRange draws the usual highs and lows of the record with the room that two
// days in three keep to, and beside them those of the present place. It is empty
// where the record lacks highs or lows of a month.
func (a *WeatherAnswer) WeatherRange(now climate.Place) Drawing {
	u := a.Units
	unit := Unit(u, measure.TempC)
	mine, whole := monthsPlace(a.Summary.Months)
	if !whole {
		return Drawing{Name: "weather-range"}
	}
	show := func(c float64) float64 { v, _ := u.Show(measure.TempC, c); return v }
	own, before := mine.Year(), now.Year()
	list := func(y climate.Year, pick func(climate.WeekNormal) float64) []float64 {
		return slotted(y, func(w climate.WeekNormal) float64 { return show(pick(w)) })
	}
	maxC := func(w climate.WeekNormal) float64 { return w.MaxC }
	minC := func(w climate.WeekNormal) float64 { return w.MinC }
	high, low, oldHigh, oldLow := list(own, maxC), list(own, minC), list(before, maxC), list(before, minC)
	top, bottom := outer(high, low, a.Summary.Spread, u)
	t := Table{Caption: say("weather.range.caption"), Head: []Column{{say("weather.month"), true}, {say("weather.range.high", unit), false}, {say("weather.range.low", unit), false},
		{say("weather.range.high.now", unit), false}, {say("weather.range.low.now", unit), false}}}
	warmer := 0.0
	for m := range 12 {
		t.Rows = append(t.Rows, []string{longMonth(m), Number(show(mine.MaxC[m]), 1), Number(show(mine.MinC[m]), 1), Number(show(now.MaxC[m]), 1), Number(show(now.MinC[m]), 1)})
		warmer += (mine.MaxC[m] + mine.MinC[m] - now.MaxC[m] - now.MinC[m]) / 24
	}
	coldest, _ := extremes(low)
	_, hottest := extremes(high)
	desc := say("weather.range.message", Quantity(u, measure.TempC, own[hottest].MaxC, 0), slotDate(hottest), Quantity(u, measure.TempC, own[coldest].MinC, 0), slotDate(coldest),
		signed(difference(u, warmer), 1)+"\u00a0"+unit, now.Name)
	keys := []key{{"warm", say("weather.range.key.high"), true}, {"cool", say("weather.range.key.low"), true}, {"window", say("weather.range.key.now"), true}}
	if a.Summary.Spread != nil {
		desc += " " + say("weather.range.message.band")
		keys = append(keys, key{"between", say("weather.range.key.band"), false})
	}
	return draw("weather-range", say("weather.range.title"), desc, t, func(p *pen) {
		head := p.legend(0, 2, keys)
		f := frame{left: pick(p, 40, 34), right: p.width - 2, top: head + 18}
		f.bottom = f.top + pick(p, 260, 220)
		p.scale(&f, lowest(bottom, oldLow), highestOf(top, oldHigh), unit)
		if a.Summary.Spread != nil {
			p.path("between", f.between(bottom, top))
		}
		p.path("window", f.trace(oldHigh))
		p.path("window", f.trace(oldLow))
		p.path("warm", f.trace(high))
		p.path("cool", f.trace(low))
		p.months(f)
		p.height = f.bottom + 24
		p.slots = &slots{f.left, f.right, f.top, f.bottom, 12}
	})
}

// monthsPlace puts months into a place without position; false where one lacks its
// high or low.
func monthsPlace(months [12]weather.Month) (p climate.Place, whole bool) {
	whole = true
	for m, month := range months {
		whole = whole && month.HighC.Known() && month.LowC.Known()
		p.MaxC[m], p.MinC[m] = month.HighC.Value, month.LowC.Value
	}
	return p, whole
}

// outer is how high the highs and how low the lows go on two days in three.
func outer(high, low []float64, s *weather.Spread, u measure.Units) (top, bottom []float64) {
	top, bottom = make([]float64, len(high)), make([]float64, len(low))
	for i := range high {
		top[i], bottom[i] = high[i], low[i]
		if s != nil {
			top[i] += difference(u, s.HighSDC[i])
			bottom[i] -= difference(u, s.LowSDC[i])
		}
	}
	return top, bottom
}

func lowest(lists ...[]float64) float64 {
	least := lists[0][0]
	for _, list := range lists {
		for _, v := range list {
			least = min(least, v)
		}
	}
	return least
}

func highestOf(lists ...[]float64) float64 {
	most := lists[0][0]
	for _, list := range lists {
		for _, v := range list {
			most = max(most, v)
		}
	}
	return most
}

// WeatherNights draws the coldest night of each winter as icicles that hang from
// the top, with the levels passed once in so many years. It is empty without three
// winters.
func (a *WeatherAnswer) WeatherNights(now climate.Place) Drawing {
	u, nights := a.Units, a.Nights
	if len(nights) < 3 {
		return Drawing{Name: "weather-nights"}
	}
	unit := Unit(u, measure.TempC)
	show := func(c float64) float64 { v, _ := u.Show(measure.TempC, c); return v }
	t := Table{Caption: say("weather.nights.caption"), Head: []Column{{say("weather.nights.winter"), true}, {say("weather.nights.low", unit), false}, {say("weather.nights.on"), true}}}
	first := winterOf(nights[0], a.Summary.Southern)
	count := winterOf(nights[len(nights)-1], a.Summary.Southern) - first + 1
	low, there := make([]float64, count), make([]bool, count)
	worst := 0
	for i := range count {
		t.Rows = append(t.Rows, []string{winterName(first+i, a.Summary.Southern), noFigure, noFigure})
	}
	for i, n := range nights {
		at := winterOf(n, a.Summary.Southern) - first
		low[at], there[at] = show(n.TempC), true
		t.Rows[at][1], t.Rows[at][2] = Number(show(n.TempC), 1), Day(n.On)
		if n.TempC < nights[worst].TempC {
			worst = i
		}
	}
	usual := show(now.ExtremeMin())
	e := a.Summary.Coldest
	desc := say("weather.nights.message", strconv.Itoa(len(nights)), Quantity(u, measure.TempC, e.MeanC, 0), Quantity(u, measure.TempC, nights[worst].TempC, 0), Day(nights[worst].On),
		now.Name, Quantity(u, measure.TempC, now.ExtremeMin(), 0))
	var levels []weather.Level
	for _, l := range e.Levels {
		if l.Years == 2 || l.Years == 10 || l.Years == 50 {
			levels = append(levels, l)
			desc += " " + say("weather.nights.message.level", strconv.Itoa(l.Years), Quantity(u, measure.TempC, l.TempC, 0))
		}
	}
	return draw("weather-nights", say("weather.nights.title"), desc, t, func(p *pen) {
		keys := []key{{"ice", say("weather.nights.key.low"), false}, {"window", say("weather.nights.key.now"), true}}
		if len(levels) > 0 {
			keys = append(keys, key{"limit", say("weather.nights.key.level"), true})
		}
		head := p.legend(0, 2, keys)
		right := p.width - 2
		if len(levels) > 0 {
			right = p.width - 62
		}
		f := frame{left: pick(p, 40, 34), right: right, top: head + 18}
		f.bottom = f.top + pick(p, 230, 200)
		least, most := usual, usual
		for i := range low {
			if there[i] {
				least, most = min(least, low[i]), max(most, low[i])
			}
		}
		for _, l := range levels {
			least = min(least, show(l.TempC))
		}
		p.scale(&f, least, most+1, unit)
		for i := range low {
			if there[i] {
				gap := (f.right - f.left) / float64(count)
				p.rect("ice", f.edge(i, count)+gap*0.15, f.top, gap*0.7, f.y(low[i])-f.top)
			}
		}
		p.across(f, "window", f.y(usual))
		last := f.top
		for _, l := range levels {
			y := f.y(show(l.TempC))
			p.across(f, "limit", y)
			last = max(last+14, y+4)
			p.text("strong", "start", f.right+4, last, say("weather.nights.years", strconv.Itoa(l.Years)))
		}
		p.winters(f, first, count)
		p.height = f.bottom + 24
		p.slots = &slots{f.left, f.right, f.top, f.bottom, count}
	})
}

// across rules a line through the frame that stands out from what lies below it.
func (p *pen) across(f frame, class string, y float64) {
	p.rect("halo", f.left, y-2.5, f.right-f.left, 5)
	p.line(class, f.left, y, f.right, y)
}

// winters writes years below the frame, as many as there is room for.
func (p *pen) winters(f frame, first, count int) {
	p.line("axis", f.left, f.bottom, f.right, f.bottom)
	every := 1
	for _, e := range []int{1, 2, 5, 10, 20, 50} {
		every = e
		if (f.right-f.left)/float64(count)*float64(e) >= 40 {
			break
		}
	}
	for i := range count {
		if year := first + i; year%every == 0 {
			x := f.slot(i, count)
			p.line("rule", x, f.bottom, x, f.bottom+4)
			if x > f.left+14 && x < f.right-8 {
				p.text("label", "middle", x, f.bottom+17, strconv.Itoa(year))
			}
		}
	}
}

// winterOf is the year in which a winter ends; in the south that of the winter.
func winterOf(n weather.ColdNight, southern bool) int {
	if !southern && n.On.Month >= 7 {
		return n.On.Year + 1
	}
	return n.On.Year
}

func winterName(year int, southern bool) string {
	if southern {
		return strconv.Itoa(year)
	}
	return say("weather.nights.winter.name", strconv.Itoa(year-1), strconv.Itoa(year))
}
