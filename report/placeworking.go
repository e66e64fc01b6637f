package report

import (
	"cmp"
	"slices"
	"strings"

	"henyear/climate"
	"henyear/course"
	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
	"henyear/source"
)

// PlaceWorking is how a figure of the place was reckoned.
type PlaceWorking struct {
	ID      string `json:"id"`
	Section string `json:"section"` // weather, light, air
	House   string `json:"house,omitempty"`
	Name    string `json:"name"`  // of the figure, in words
	Shown   string `json:"shown"` // the figure, in the reader's units
	source.Working
}

// workings opens the figures of weather, light and houses. Combs and bodies carry
// their own.
func (a *PlaceAnswer) workings(_ *holding.Holding, _ *course.Book) {
	u, c, w := a.Units, a.place, &a.Weather
	add := func(section, house, id, shown string, work source.Working) {
		a.Workings = append(a.Workings, PlaceWorking{ID: id, Section: section, House: house, Name: say("place.open." + work.Code), Shown: shown, Working: work})
	}
	coldest, hottest := 0, 0
	for slot, n := range a.year {
		if n.MinC < a.year[coldest].MinC {
			coldest = slot
		}
		if n.MaxC > a.year[hottest].MaxC {
			hottest = slot
		}
	}
	add("weather", "", "coldest-night", temp(u, w.ExtremeC), c.ExtremeWorking())
	add("weather", "", "hardiness-zone", w.Zone, c.ZoneWorking())
	add("weather", "", "climate-class", w.Class, c.ClassWorking())
	add("weather", "", "frost-nights", say("open.week", Number(a.year[coldest].FrostNights, 1), slotDate(coldest)), a.year[coldest].FrostWorking())
	add("weather", "", "hot-days", say("open.week", Number(a.year[hottest].HotDays, 1), slotDate(hottest)), a.year[hottest].HotWorking())

	sun := slotted(a.year, func(n climate.WeekNormal) float64 { return n.SunH })
	short, _ := extremes(sun)
	n := a.year[short]
	for _, day := range []struct {
		id    string
		hours float64
		deg   float64
	}{{"day-sun", n.SunH, climate.SunUpDeg}, {"day-window", n.WindowH, climate.WindowDeg}, {"day-outdoors", n.CivilH, climate.CivilDeg}} {
		work := climate.DayLengthWorking(c.LatitudeDeg, short, day.deg)
		add("light", "", day.id, Hours(day.hours), work)
		a.Workings[len(a.Workings)-1].Name = say("place.open."+day.id, slotDate(short))
	}
	add("light", "", "lamp-power", kWh(a.Light.lamps.KWh), a.lampsFor(a.Light.DayH).LampsWorking())

	for i := range a.Houses {
		if p := &a.Houses[i]; p.Birds > 0 {
			p.workings(u, func(id, shown string, work source.Working) { add("air", p.Name, id, shown, work) })
		}
	}
}

// workings of a house are those of its coldest night, with the vents as advised.
func (p *PlaceHouse) workings(u measure.Units, add func(id, shown string, work source.Working)) {
	add("loss", Number(p.LossWK, 1)+"\u00a0W/°C", p.coop.LossWorking())
	add("heat", whole(p.Birds*p.birds[0].HeatW(0))+"\u00a0W", housing.HeatWorking(p.birds[0], 0))
	coldest := p.steps[0]
	w := housing.Weather{OutC: coldest.OutC, HumidityPct: housing.UsualHumidityPct(coldest.OutC), WindMS: usualVentWindMS}
	if !p.OpenSided {
		add("opening", opening(u, coldest.OpenM2), coldest.VentWorking(p.coop))
		add("flow", flow(u, coldest.VentM3h), p.coop.FlowWorking(w, p.birds, coldest.OpenM2, housing.NightShare))
	}
	add("warmth", temp(u, coldest.TempC), p.coop.WarmthWorking(w, p.birds, coldest.OpenM2, housing.NightShare))
	if !p.OpenSided {
		add("humidity", whole(coldest.HumidityPct)+"\u00a0%", p.coop.HumidityWorking(w, p.birds, coldest.OpenM2, housing.NightShare))
		add("co2", whole(coldest.CO2ppm)+"\u00a0ppm", p.coop.CO2Working(w, p.birds, coldest.OpenM2, housing.NightShare))
	}
	bed := p.Beds[0]
	add("ammonia", say("place.ammonia."+bed.Ammonia), housing.AmmoniaWorking(bed.air, max(p.bed.MoisturePct, freshBedPct)))
	days := say("open.never")
	if bed.CakeDays >= 0 {
		days = say("open.days", whole(bed.CakeDays))
	}
	add("litter", days, p.bed.LitterWorking(p.coop, p.birds, bed.air))
}

// Opened lists the workings of a section, and of a house where one is named.
func (a *PlaceAnswer) Opened(section, house string) []PlaceWorking {
	var list []PlaceWorking
	for _, w := range a.Workings {
		if w.Section == section && w.House == house {
			list = append(list, w)
		}
	}
	return list
}

// WorkingInputWords writes an input of a working in metric units, whatever the
// reader's: formulas hold for these.
func WorkingInputWords(in source.WorkingInput) string {
	if in.Text != "" {
		return in.Text
	}
	unit, known := map[string]string{"C": "°C", "F": "°F", "m2": "m²", "m3/h": "m³/h", "W/m2K": "W/m²K"}[in.Unit]
	if !known {
		unit = in.Unit
	}
	if unit == "" {
		return threeDigits(in.Value)
	}
	return threeDigits(in.Value) + "\u00a0" + unit
}

// threeDigits writes a figure of any size with three digits that count.
func threeDigits(x float64) string {
	x = measure.Significant(x, 3)
	abs := x
	if abs < 0 {
		abs = -abs
	}
	decimals := 0
	for limit := 100.0; decimals < 6 && abs > 0 && abs < limit; limit /= 10 {
		decimals++
	}
	text := Number(x, decimals)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// cite lists the sources of everything in the answer, by key.
func (a *PlaceAnswer) cite() {
	var keys []string
	note := func(w source.Working) { keys = append(keys, w.Keys...) }
	for _, w := range a.Workings {
		note(w.Working)
	}
	for _, n := range a.Needs {
		keys = append(keys, n.Source)
	}
	for _, c := range a.Combs {
		note(c.Working)
	}
	for _, b := range a.Bodies {
		for _, f := range figuresOf(b.Body) {
			note(f.Working)
		}
	}
	if a.Confined != nil {
		for _, s := range a.Confined.Summary {
			keys = append(keys, s.Source)
		}
		for _, winter := range a.Confined.Winters {
			for _, row := range winter.Rows {
				keys = append(keys, row.Words.Source)
			}
		}
	}
	slices.Sort(keys)
	a.Sources = nil // a copy of the answer has its own
	for _, key := range slices.Compact(keys) {
		if e, ok := source.Lookup(key); ok {
			a.Sources = append(a.Sources, e)
		}
	}
	slices.SortStableFunc(a.Sources, func(x, y source.Entry) int { return cmp.Compare(x.Key, y.Key) })
}

func figuresOf(b course.Body) []course.Figure {
	return []course.Figure{b.CombNights, b.WattleNights, b.HeatDays, b.HeatHours, b.HeatEggs, b.HeatDressed, b.HeatLives, b.ColdFeed, b.ColdEggs, b.ColdDressed, b.MudDays, b.CrestDays, b.HawkLoss, b.HawkTimes}
}
