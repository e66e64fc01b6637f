package report

import (
	"math"

	"henyear/measure"
)

// DayDrawing draws a day of one house: outdoors and indoors by the hour, the
// humidity indoors, and below when water or frost settles and on what. name tells
// the drawings of several houses apart.
func (p *PlaceHouse) DayDrawing(name string, hot bool, u measure.Units) Drawing {
	d, kind := p.Cold, "cold"
	if hot {
		d, kind = p.Hot, "hot"
	}
	unit := Unit(u, measure.TempC)
	table := Table{Caption: say("place.day."+kind+".caption", p.Name), Head: []Column{{say("day.hour"), true}, {say("day.out", unit), false}, {say("day.in", unit), false}, {say("day.humidity"), false}, {say("day.falling", weightUnit(u)), false}, {say("day.wet"), true}, {say("day.air"), false}, {say("day.co2"), false}}}
	show := func(c float64) float64 { v, _ := u.Show(measure.TempC, c); return v }
	var out, in, humid []float64
	anyWet := false
	for _, h := range d.Hours {
		out, in, humid = append(out, show(h.OutC)), append(in, show(h.InC)), append(humid, h.HumidityPct)
		anyWet = anyWet || h.wetWords() != say("day.dry")
		table.Rows = append(table.Rows, []string{Clock(h.Hour), Number(show(h.OutC), 0), Number(show(h.InC), 0), Number(h.HumidityPct, 0), waterOut(u, h.FallingGH), h.wetWords(), flow(u, h.AirM3h), whole(h.CO2ppm)})
	}
	return draw(name, say("place.day."+kind+".title", p.Name), p.dayWords(d, kind, u), table, func(p *pen) {
		keys := []key{{"cool", say("day.key.out"), true}, {"warm", say("day.key.in"), true}, {"need", say("day.key.humidity"), true}, {"dark", say("day.key.dark"), false}}
		if anyWet {
			keys = append(keys, key{"frost", say("day.key.wet"), false})
		}
		top := p.legend(0, 2, keys)
		f := frame{left: 58, right: p.width - 2, top: top + 18}
		f.bottom = f.top + pick(p, 170, 150)
		stripe := func(class string, top, height float64, holds func(PlaceHour) bool) {
			for i := 0; i < len(d.Hours); i++ {
				from := i
				for i < len(d.Hours) && holds(d.Hours[i]) {
					i++
				}
				p.rect(class, f.edge(from, 24), top, f.edge(i, 24)-f.edge(from, 24), height)
			}
		}
		stripe("dark", f.top, f.bottom-f.top, func(h PlaceHour) bool { return !h.Light })
		lowOut, highOut := extremes(out)
		lowIn, highIn := extremes(in)
		p.scale(&f, min(out[lowOut], in[lowIn]), max(out[highOut], in[highIn]), unit)
		p.path("cool", f.trace(out))
		p.path("warm", f.trace(in))

		g := frame{left: f.left, right: f.right, top: f.bottom + 32, bottom: f.bottom + 92, low: 40, high: 100}
		low, _ := extremes(humid)
		g.low = min(40, 10*math.Floor(humid[low]/10))
		p.text("label", "start", 0, g.top-8, say("day.humidity.axis"))
		for _, t := range []float64{g.low, 80, 100} {
			p.line("rule", g.left, g.y(t), g.right, g.y(t))
			p.text("label", "end", g.left-6, g.y(t)+4, Number(t, 0))
		}
		p.path("need", g.trace(humid))

		y := g.bottom + 10
		if anyWet {
			y = g.bottom + 30
			p.text("label", "start", 0, y-6, say("day.wet.axis"))
		}
		rows := []struct {
			code string
			wet  func(PlaceHour) bool
		}{
			{"day.window", func(h PlaceHour) bool { return h.WindowWet }},
			{"day.wall", func(h PlaceHour) bool { return h.WallWet }},
			{"day.roof", func(h PlaceHour) bool { return h.RoofWet }},
			{"day.birds", func(h PlaceHour) bool { return h.BirdsDamp }},
		}
		for _, r := range rows {
			if !anyWet {
				break
			}
			p.text("label", "start", 0, y+11, say(r.code))
			p.line("rule", f.left, y+16, f.right, y+16)
			stripe("frost", y+2, 11, r.wet)
			y += 20
		}
		p.line("axis", f.left, y, f.right, y)
		for _, hour := range []int{0, 6, 12, 18, 24} {
			p.line("rule", f.edge(hour, 24), y, f.edge(hour, 24), y+5)
			anchor := "middle"
			if hour == 24 {
				anchor = "end"
			}
			p.text("label", anchor, f.edge(hour, 24), y+17, Clock24(hour))
		}
		p.height = y + 24
		p.slots = &slots{f.left, f.right, f.top, y, 24}
	})
}

// Clock24 writes a full hour; midnight at the end of the day is 24:00.
func Clock24(hour int) string {
	if hour == 24 {
		return "24:00"
	}
	return Clock(float64(hour))
}

// wetWords names what is wet at an hour.
func (h PlaceHour) wetWords() string {
	var list []string
	for _, x := range []struct {
		wet  bool
		code string
	}{{h.WindowWet, "day.window"}, {h.WallWet, "day.wall"}, {h.RoofWet, "day.roof"}, {h.BirdsDamp, "day.birds"}} {
		if x.wet {
			list = append(list, say(x.code))
		}
	}
	if len(list) == 0 {
		return say("day.dry")
	}
	return listed(list)
}

func listed(words []string) string {
	text := ""
	for i, w := range words {
		if i > 0 {
			text += ", "
		}
		text += w
	}
	return text
}

// dayWords says what a day does in the house.
func (p *PlaceHouse) dayWords(d PlaceDay, kind string, u measure.Units) string {
	if len(d.Hours) == 0 {
		return ""
	}
	low, high := d.Hours[0], d.Hours[0]
	wet := PlaceHour{}
	damp := 0
	for _, h := range d.Hours {
		if h.InC < low.InC {
			low = h
		}
		if h.InC > high.InC {
			high = h
		}
		wet.WindowWet = wet.WindowWet || h.WindowWet
		wet.WallWet = wet.WallWet || h.WallWet
		wet.RoofWet = wet.RoofWet || h.RoofWet
		if h.BirdsDamp {
			damp++
		}
	}
	var text string
	if kind == "cold" {
		text = say("place.day.cold.words", temp(u, d.LowC), temp(u, low.InC), whole(low.HumidityPct))
	} else {
		text = say("place.day.hot.words", temp(u, d.HighC), temp(u, high.InC), Clock(high.Hour))
	}
	if words := wet.wetWords(); words != say("day.dry") {
		text += " " + say("day.settles", words)
	} else {
		text += " " + say("day.stays_dry")
	}
	if damp > 0 {
		text += " " + say("day.damp", whole(float64(damp)))
	}
	if !p.OpenSided {
		night, day := opening(u, d.NightOpenM2), opening(u, d.DayOpenM2)
		if night == day {
			text += " " + say("day.vents.same", night)
		} else {
			text += " " + say("day.vents", night, day)
		}
	}
	return text
}

// VentDrawing draws how far to open the vents at each temperature outdoors, against
// all that there are.
func (p *PlaceHouse) VentDrawing(name string, u measure.Units) Drawing {
	table := p.VentTable(u)
	if p.OpenSided {
		table.Rows = nil // nothing to set
	}
	_, unit := openingIn(u, 1)
	scaleTo := func(m2 float64) float64 {
		if u == measure.US {
			return m2 / measure.M2PerFoot2 * in2PerFoot2
		}
		return m2 * cm2PerM2
	}
	most := scaleTo(p.VentM2)
	n := len(p.Vents)
	var open, want []float64
	for _, v := range p.Vents {
		open = append(open, scaleTo(v.OpenM2))
		want = append(want, min(scaleTo(v.WantM2), 1.6*most))
	}
	return draw(name, say("vents.title", p.Name), p.ventWords(u), table, func(pn *pen) {
		top := pn.legend(0, 2, []key{{"own", say("vents.key.open"), false}, {"bought", say("vents.key.want"), false}, {"need", say("vents.key.all"), true}})
		f := frame{left: pick(pn, 48, 44), right: pn.width - 2, top: top + 18}
		f.bottom = f.top + pick(pn, 190, 160)
		pn.scale(&f, 0, max(most, highest(want)), unit)
		zero := make([]float64, n)
		pn.path("bought", f.blocks(open, want))
		pn.path("own", f.blocks(zero, open))
		pn.line("need", f.left, f.y(most), f.right, f.y(most))
		for i, v := range p.Vents {
			if i > 0 {
				pn.line("rule", f.edge(i, n), f.top, f.edge(i, n), f.bottom)
			}
			t, _ := u.Show(measure.TempC, v.OutC)
			if !pn.narrow() || i%2 == 0 || n < 9 {
				pn.text("label", "middle", f.slot(i, n), f.bottom+16, Number(t, 0))
			}
			if !pn.narrow() {
				pn.text("strong", "middle", f.slot(i, n), f.y(max(open[i], want[i]))-5, Percent(math.Round(100*v.Share)/100))
			}
		}
		pn.line("axis", f.left, f.bottom, f.right, f.bottom)
		pn.text("label", "end", f.right, f.bottom+33, say("vents.axis", Unit(u, measure.TempC)))
		pn.height = f.bottom + 40
		pn.slots = &slots{f.left, f.right, f.top, f.bottom, n}
	})
}

// VentTable is how far to open, by temperature outdoors.
func (p *PlaceHouse) VentTable(u measure.Units) Table {
	t := Table{Caption: say("vents.caption", p.Name), Head: []Column{{say("vents.out"), true}, {say("vents.open"), false}, {say("vents.share"), false}, {say("vents.in"), false}, {say("vents.humidity"), false}, {say("vents.falls"), false}, {say("vents.goal"), true}}}
	for _, v := range p.Vents {
		open, share := opening(u, v.OpenM2), Percent(math.Round(100*v.Share)/100)
		if v.Goal == "open-side" {
			open, share = "–", "–"
		}
		goal := say("place.goal." + v.Goal)
		if !v.Enough && v.OutC <= 15 {
			goal = say("vents.missed", opening(u, v.WantM2))
		}
		t.Rows = append(t.Rows, []string{temp(u, v.OutC), open, share, temp(u, v.InC), whole(v.HumidityPct) + "\u00a0%", waterOut(u, v.FallingGH), goal})
	}
	return t
}

func (p *PlaceHouse) ventWords(u measure.Units) string {
	if len(p.Vents) == 0 || p.OpenSided {
		return ""
	}
	least := p.Vents[0]
	at0 := least
	for _, v := range p.Vents {
		if v.OpenM2 < least.OpenM2 {
			least = v
		}
		if v.OutC == 0 {
			at0 = v
		}
	}
	first := p.Vents[0]
	return say("vents.message", opening(u, p.VentM2), temp(u, first.OutC), opening(u, first.OpenM2), temp(u, 0), opening(u, at0.OpenM2), temp(u, least.OutC), opening(u, least.OpenM2))
}

// WinterDrawing draws the 22 coldest weeks with every bird shut in: how damp
// litter that nobody touches grows, and the weeks whose nights wet the birds.
func (a *PlaceAnswer) WinterDrawing() Drawing {
	u := a.Units
	table := Table{Caption: say("winter.caption"), Head: []Column{{say("column.week_of"), true}, {say("winter.low"), false}, {say("winter.in"), false}, {say("winter.litter"), false}, {say("winter.ammonia"), true}, {say("winter.birds"), true}}}
	var litter []float64
	damp, caked := 0, -1
	for i, w := range a.Winter {
		litter = append(litter, w.LitterPct)
		birds := say("winter.dry")
		if w.BirdsDamp {
			birds = say("winter.damp")
			damp++
		}
		if caked < 0 && w.LitterPct > 35 {
			caked = i
		}
		table.Rows = append(table.Rows, []string{slotDate(w.slot), temp(u, w.LowC), temp(u, w.InNightC), whole(w.LitterPct) + "\u00a0%", say("place.ammonia." + w.Ammonia), birds})
	}
	desc := ""
	if len(litter) > 0 {
		desc = say("winter.message.never", whole(litter[len(litter)-1]))
		if caked >= 0 {
			desc = say("winter.message.cakes", slotDate(a.Winter[caked].slot), whole(litter[len(litter)-1]))
		}
		if damp > 0 {
			desc += " " + say("winter.message.damp", whole(float64(damp)))
		} else {
			desc += " " + say("winter.message.dry")
		}
	}
	return draw("winter", say("winter.title"), desc, table, func(p *pen) {
		top := p.legend(0, 2, []key{{"half", say("winter.key.litter"), false}, {"need", say("winter.key.cakes"), true}, {"frost", say("winter.key.damp"), false}})
		f := frame{left: pick(p, 40, 34), right: p.width - 2, top: top + 18}
		f.bottom = f.top + pick(p, 150, 130)
		p.scale(&f, 0, max(50, highest(litter)), say("winter.axis"))
		n := len(litter)
		p.path("half", f.blocks(make([]float64, n), litter))
		p.line("need", f.left, f.y(35), f.right, f.y(35))
		y := f.bottom + 8
		for i, w := range a.Winter {
			if w.BirdsDamp {
				p.rect("frost", f.edge(i, n), y, f.edge(i+1, n)-f.edge(i, n), 12)
			}
		}
		p.line("axis", f.left, y+16, f.right, y+16)
		for i, w := range a.Winter {
			if step := int(pick(p, 3, 7)); i%step == 0 {
				d := slotDay(w.slot, 0)
				words := whole(float64(d.Day())) + " " + d.Month().String()[:3]
				if f.edge(i, n)+textWidth(words) < p.width {
					p.text("label", "start", f.edge(i, n), y+32, words)
				}
			}
		}
		p.height = y + 40
		p.slots = &slots{f.left, f.right, f.top, y + 16, n}
	})
}
