package report

import (
	"slices"
	"strings"

	"henyear/bird"
	"henyear/breed"
	"henyear/course"
	"henyear/holding"
	"henyear/measure"
)

// PlaceComb is one kind of comb in the frost of this place.
type PlaceComb struct {
	course.CombRow
	Here bool `json:"here"` // birds on hand or on offer have it
}

// PlaceBody is what a year here does to birds of one breed that the household has
// or can get.
type PlaceBody struct {
	course.Body
	Name   string `json:"name"`
	OnHand bool   `json:"on_hand"` // else it is on offer
	Comb   string `json:"comb"`
}

// SexName is hen or cock.
func (b PlaceBody) SexName() string { return b.Sex.String() }

// kept is a breed on hand or on offer.
type kept struct {
	record *breed.Breed
	strain breed.Strain
	hand   bool
}

// keptBreeds lists the breeds on hand, then those on offer, each once.
func keptBreeds(h *holding.Holding) []kept {
	var list []kept
	add := func(id string, strain breed.Strain, hand bool) {
		r, err := breed.Find(id)
		if err != nil || slices.ContainsFunc(list, func(k kept) bool { return k.record.ID == r.ID && k.strain == strain }) {
			return
		}
		list = append(list, kept{r, strain, hand})
	}
	for _, g := range h.Birds {
		if g.Number > 0 {
			add(g.Breed, g.Strain, true)
		}
	}
	for _, o := range h.Stock {
		add(o.Breed, o.Strain, false)
	}
	return list
}

func (a *PlaceAnswer) combs(h *holding.Holding, book *course.Book) {
	marked := keptBreeds(h)
	for _, row := range book.Combs() {
		here := slices.ContainsFunc(marked, func(k kept) bool {
			return strings.EqualFold(k.record.Comb, row.Comb) && k.record.CombSize == row.Size
		})
		a.Combs = append(a.Combs, PlaceComb{row, here})
	}
}

func (a *PlaceAnswer) bodies(h *holding.Holding, book *course.Book) {
	for _, k := range keptBreeds(h) {
		for _, sex := range []bird.Sex{bird.Hen, bird.Cock} {
			a.Bodies = append(a.Bodies, PlaceBody{Body: book.BodyOf(k.record, k.strain, sex), Name: k.record.Name, OnHand: k.hand, Comb: k.record.Comb})
		}
	}
}

// RangeWords writes a figure with its range where it has one: 12 (5 to 30).
func RangeWords(r bird.Range, decimals int) string {
	best, low, high := Number(r.Best, decimals), Number(r.Low, decimals), Number(r.High, decimals)
	if low == best && high == best {
		return best
	}
	return say("range", best, low, high)
}

// usualCombSize stands for its kind among the combs that the household has not.
const usualCombSize = 2

// CombTable is the nights a year that threaten each kind of comb, those of the
// household's own birds first where here is true.
func (a *PlaceAnswer) CombTable(here bool) Table {
	u := a.Units
	t := Table{Caption: say("combs.caption"), Head: []Column{{say("combs.kind"), true}, {say("combs.nights"), false}, {say("combs.still"), false}, {say("combs.wind1", speed(u, 1)), false}, {say("combs.wind2", speed(u, 2)), false}, {say("combs.worst"), true}}}
	for _, c := range a.Combs {
		if c.Here != here || !here && c.Size != usualCombSize {
			continue
		}
		row := []string{combName(c.CombRow), RangeWords(c.Nights, 0), "–", "–", "–", "–"}
		if c.WorstMonth > 0 {
			row[5] = c.WorstMonth.String()
		}
		if c.RuledOut {
			row[5] = say("combs.ruled_out")
		}
		for i, l := range c.Limits {
			if i < 3 {
				row[2+i] = freezesAt(u, l.LikelyC.Best)
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// freezesAt writes the air at which a comb freezes; below what the model holds for it
// says so.
func freezesAt(u measure.Units, c float64) string {
	if c <= coldestC+0.5 {
		return say("combs.below", temp(u, coldestC))
	}
	return temp(u, c)
}

// leastNights of frost a year are spoken of.
const leastNights = 0.5

// combName is large single comb, cock.
func combName(c course.CombRow) string {
	size := [...]string{"combs.small", "combs.medium", "combs.large"}[min(2, max(0, c.Size-1))]
	return say("combs.name", say(size), c.Comb, c.SexName)
}

// CombDrawing draws the nights a year that threaten each kind of comb, from the fewest.
func (a *PlaceAnswer) CombDrawing() Drawing {
	rows := slices.Clone(a.Combs)
	rows = slices.DeleteFunc(rows, func(c PlaceComb) bool {
		return !c.Here && (c.Size != usualCombSize && c.Comb != "single" || c.Comb == "cushion" || c.Comb == "strawberry")
	})
	slices.SortStableFunc(rows, func(x, y PlaceComb) int {
		switch {
		case x.Nights.Best < y.Nights.Best:
			return -1
		case x.Nights.Best > y.Nights.Best:
			return 1
		}
		return 0
	})
	table := Table{Caption: say("combs.caption"), Head: []Column{{say("combs.kind"), true}, {say("combs.low"), false}, {say("combs.best"), false}, {say("combs.high"), false}}}
	most := 0.0
	for _, c := range a.Combs {
		most = max(most, c.Nights.High)
	}
	if most < leastNights {
		rows = nil // nothing to see
	}
	most = max(1, most)
	for _, c := range rows {
		table.Rows = append(table.Rows, []string{combName(c.CombRow), whole(c.Nights.Low), whole(c.Nights.Best), whole(c.Nights.High)})
		most = max(most, c.Nights.High)
	}
	return draw("combs", say("combs.title"), a.CombWords(), table, func(p *pen) {
		top := p.legend(0, 2, []key{{"half", say("combs.key.best"), false}, {"money", say("combs.key.range"), true}})
		wide := pick(p, 190, 158)
		f := frame{left: wide, right: p.width - 12, top: top + 4}
		pitch := 26.0
		f.bottom = f.top + pitch*float64(len(rows))
		ticks := steps(0, most, int(pick(p, 5, 3)))
		high := ticks[len(ticks)-1]
		x := func(v float64) float64 { return f.left + v/high*(f.right-f.left) }
		for _, t := range ticks {
			p.line("rule", x(t), f.top, x(t), f.bottom)
			p.text("label", "middle", x(t), f.bottom+16, whole(t))
		}
		for i, c := range rows {
			y := f.top + pitch*float64(i)
			name := combName(c.CombRow)
			class := "label"
			if c.Here {
				class = "strong"
			}
			p.text(class, "end", f.left-8, y+17, name)
			p.rect("half", f.left, y+5, x(c.Nights.Best)-f.left, pitch-10)
			p.line("money", x(c.Nights.Low), y+pitch/2, x(c.Nights.High), y+pitch/2)
			p.line("money", x(c.Nights.Low), y+pitch/2-4, x(c.Nights.Low), y+pitch/2+4)
			p.line("money", x(c.Nights.High), y+pitch/2-4, x(c.Nights.High), y+pitch/2+4)
		}
		p.line("axis", f.left, f.top, f.left, f.bottom)
		p.text("label", "end", f.right, f.bottom+32, say("combs.axis"))
		p.height = f.bottom + 40
	})
}

// CombWords sums the frost on combs up, low combs first.
func (a *PlaceAnswer) CombWords() string {
	low, high := -1, -1
	own := slices.ContainsFunc(a.Combs, func(c PlaceComb) bool { return c.Here })
	for i, c := range a.Combs {
		if own && !c.Here {
			continue
		}
		if low < 0 || c.Nights.Best < a.Combs[low].Nights.Best {
			low = i
		}
		if high < 0 || c.Nights.Best > a.Combs[high].Nights.Best {
			high = i
		}
	}
	if low < 0 {
		return ""
	}
	if a.Combs[high].Nights.High < leastNights {
		if slices.ContainsFunc(a.Combs, func(c PlaceComb) bool { return c.Nights.High >= leastNights }) {
			return say("combs.message.own")
		}
		return say("combs.message.none")
	}
	code := "combs.message"
	if own {
		code = "combs.message.yours"
	}
	return say(code, combName(a.Combs[low].CombRow), RangeWords(a.Combs[low].Nights, 0), combName(a.Combs[high].CombRow), RangeWords(a.Combs[high].Nights, 0))
}

// CombAdvice is what to do about it: birds first, air second.
func (a *PlaceAnswer) CombAdvice() []string {
	worst := 0.0
	for _, c := range a.Combs {
		worst = max(worst, c.Nights.High)
	}
	if worst < leastNights {
		return nil
	}
	u := a.Units
	return []string{say("combs.advice.birds") + " " + say("combs.advice.sizes"), say("combs.advice.air"), say("combs.advice.never"),
		say("combs.advice.cocks", Quantity(u, measure.TempC, -7, 0)), say("combs.advice.eggs")}
}

// CombWorkings opens the nights of the combs that the household has or can get.
func (a *PlaceAnswer) CombWorkings() []PlaceWorking {
	var list []PlaceWorking
	for _, c := range a.Combs {
		if c.Here {
			list = append(list, PlaceWorking{ID: "comb-nights", Section: "combs", Name: Capital(combName(c.CombRow)), Shown: say("combs.shown", RangeWords(c.Nights, 0)), Working: c.Working})
		}
	}
	return list
}

// BodyFact is one figure of what a year does to a bird, with its working.
type BodyFact struct {
	Name, Value string
	Working     PlaceWorking
}

// BodyFacts lists what a year here does to one breed and sex; figures that are
// nothing are left out but for those a keeper asks for.
func (a *PlaceAnswer) BodyFacts(b PlaceBody) []BodyFact {
	var list []BodyFact
	id := b.Breed + "-" + b.Strain + "-" + b.Sex.String() + "-"
	add := func(code string, f course.Figure, decimals int, always bool) {
		if f.Working.Code == "" || !always && RangeWords(f.Range, decimals) == Number(0, decimals) {
			return // nothing to tell of
		}
		list = append(list, BodyFact{say("place.body." + code), RangeWords(f.Range, decimals) + "\u00a0" + a.bodyUnit(f), PlaceWorking{ID: id + code, Section: "bodies", Name: say("place.body." + code), Shown: RangeWords(f.Range, decimals) + "\u00a0" + a.bodyUnit(f), Working: f.Working}})
	}
	show := func(f course.Figure) course.Figure {
		if f.Unit == "kg" {
			for _, x := range []*float64{&f.Low, &f.Best, &f.High} {
				*x, _ = a.Units.Show(measure.MassKg, *x)
			}
		}
		return f
	}
	add("comb_nights", b.CombNights, 0, true)
	add("wattle_nights", b.WattleNights, 0, false)
	add("heat_hours", b.HeatHours, 0, true)
	add("heat_days", b.HeatDays, 0, false)
	if b.Sex == bird.Hen {
		add("heat_eggs", b.HeatEggs, 1, false)
		add("cold_eggs", b.ColdEggs, 1, false)
	}
	add("heat_dressed", show(b.HeatDressed), 2, false)
	add("cold_dressed", show(b.ColdDressed), 2, false)
	add("heat_lives", b.HeatLives, 2, false)
	add("cold_feed", show(b.ColdFeed), 1, true)
	add("mud_days", b.MudDays, 0, false)
	add("crest_days", b.CrestDays, 0, false)
	add("hawk_loss", b.HawkLoss, 2, true)
	add("hawk_times", b.HawkTimes, 1, false)
	return list
}

func (a *PlaceAnswer) bodyUnit(f course.Figure) string {
	switch f.Unit {
	case "kg":
		return Unit(a.Units, measure.MassKg)
	case "birds of ten":
		return say("body.of_ten")
	case "":
		return say("body.times")
	}
	return f.Unit
}

// BodyName heads the figures of one breed and sex.
func (a *PlaceAnswer) BodyName(b PlaceBody) string {
	code := "body.offer"
	if b.OnHand {
		code = "body.hand"
	}
	return say(code, b.Name, b.Strain, b.Sex.String(), b.Comb)
}
