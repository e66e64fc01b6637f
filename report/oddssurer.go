package report

import (
	"cmp"
	"slices"

	"henyear/advise"
	"henyear/measure"
)

// SurerCurve draws what being surer costs: the cash of a year against the chance
// of a year with too many short weeks, for plans from bold to safe, each with
// twice its standard error, the risk that the household accepts, and the plan to
// follow.
func SurerCurve(s *advise.Surer) Drawing {
	table := Table{Caption: say("surer.caption", s.Currency.Code), Head: []Column{{say("surer.plan"), true}, {say("surer.cost"), false}, {say("surer.more"), false}, {say("surer.risk"), false}, {say("surer.short"), false}, {say("surer.winter"), false},
		{say("surer.hens"), false}, {say("surer.pullets"), false}, {say("surer.set"), false}, {say("surer.meets"), true}}}
	for _, p := range s.Points {
		name := Capital(p.Name)
		if p.Chosen {
			name = say(chosenCode(s), name)
		}
		table.Rows = append(table.Rows, []string{name, say("surer.give_take", whole(p.CashAYear), Number(2*p.CashError, 0)), moreCash(s, p), say("surer.give_take", Percent(p.Risk), Number(200*p.RiskError, 1)),
			Number(p.ShortWeeks, 1), whole(p.WinterEggs), Number(p.HensWinter, 1), Number(p.PulletsWinter, 1), whole(p.EggsSet), say("text." + yes(p.Meets))})
	}
	return draw("odds-surer", say("surer.title"), surerMessage(s), table, func(pen *pen) { drawSurer(pen, s) })
}

// chosenCode names the plan to follow: the surest, where none is sure enough.
func chosenCode(s *advise.Surer) string {
	if s.Reachable {
		return "surer.chosen"
	}
	return "surer.surest"
}

// moreCash writes what a plan costs beyond the plain one, which the same luck
// tells better than the cost itself.
func moreCash(s *advise.Surer, p advise.SafetyPoint) string {
	if s.Plain < 0 || s.Plain < len(s.Points) && s.Points[s.Plain].Name == p.Name {
		return "–"
	}
	return say("surer.give_take", whole(p.MoreCash), Number(2*p.MoreCashError, 0))
}

func surerMessage(s *advise.Surer) string {
	if len(s.Points) == 0 {
		return ""
	}
	first, last := s.Points[0], s.Points[len(s.Points)-1]
	text := say("surer.message", whole(float64(len(s.Points))), Amount(s.Currency, first.CashAYear), Percent(first.Risk), Amount(s.Currency, last.CashAYear), Percent(last.Risk))
	if c := s.Chosen; c >= 0 && c < len(s.Points) {
		text += " " + say("surer.message.chosen", Amount(s.Currency, s.Points[c].CashAYear), Percent(s.Points[c].Risk), Percent(s.Accepted))
	}
	return text
}

// across places money on the width of a frame.
type across struct {
	frame
	from, to float64
}

func (a across) x(v float64) float64 {
	return a.left + (v-a.from)/(a.to-a.from)*(a.right-a.left)
}

func drawSurer(pen *pen, s *advise.Surer) {
	lowX, highX, high := s.Points[0].CashAYear, s.Points[0].CashAYear, s.Accepted
	for _, p := range s.Points {
		lowX, highX = min(lowX, p.CashAYear-2*p.CashError), max(highX, p.CashAYear+2*p.CashError)
		high = max(high, p.Risk+2*p.RiskError)
	}
	keys := []key{{"own", say("surer.key.point"), false}}
	if slices.ContainsFunc(s.Points, func(p advise.SafetyPoint) bool { return p.Dominated }) {
		keys = append(keys, key{"spare", say("surer.key.worse"), false})
	}
	chosen := say("surer.key.chosen")
	if !s.Reachable {
		chosen = say("surer.key.surest")
	}
	keys = append(keys, key{"sold", chosen, false}, key{"limit", say("surer.key.accepted", Percent(s.Accepted)), true})
	top := pen.legend(0, 2, keys)
	f := pen.field(top, pick(pen, 240, 210))
	pen.scale(&f, 0, 100*max(high, 0.02), say("surer.axis.risk", whole(float64(s.ShortWeeksAllowed))))
	ticks := steps(lowX, highX, pick2(pen, 6, 4))
	a := across{f, ticks[0], ticks[len(ticks)-1]}
	a.left += 8 // room for a point on the axis
	a.right -= 20
	for _, t := range ticks {
		pen.line("rule", a.x(t), f.bottom, a.x(t), f.bottom+4)
		pen.text("label", "middle", a.x(t), f.bottom+17, whole(t))
	}
	pen.text("strong", "end", f.right, f.bottom+34, say("surer.axis.cost", s.Currency.Code))
	pen.line("limit", f.left, f.y(100*s.Accepted), f.right, f.y(100*s.Accepted))
	best := undominated(s)
	d := ""
	for i, p := range best {
		d += map[bool]string{true: "M", false: "L"}[i == 0] + short(a.x(p.CashAYear)) + " " + short(f.y(100*p.Risk))
	}
	pen.path("expect", d)
	free := map[int]bool{} // rows of text that have their word
	for i, p := range best {
		if plain := s.Plain >= 0 && s.Points[s.Plain].Name == p.Name; !plain && !p.Chosen && i > 0 && i < len(best)-1 {
			continue
		}
		x, y := max(f.left+2, min(a.x(p.CashAYear)+11, pen.width-2-textWidth(Capital(p.Name)))), f.y(100*p.Risk)-8
		if row := int(y / 14); !free[row] {
			free[row] = true
			pen.haloText(x, y, Capital(p.Name))
		}
	}
	inOrder := slices.Clone(s.Points) // the one chosen on top
	slices.SortStableFunc(inOrder, func(a, b advise.SafetyPoint) int { return rank(a) - rank(b) })
	for _, p := range inOrder {
		x, y := a.x(p.CashAYear), f.y(100*p.Risk)
		pen.line("axis", x, f.y(100*max(0, p.Risk-2*p.RiskError)), x, f.y(100*(p.Risk+2*p.RiskError)))
		pen.line("axis", a.x(p.CashAYear-2*p.CashError), y, a.x(p.CashAYear+2*p.CashError), y)
		half, class := 4.5, "own"
		switch {
		case p.Chosen:
			half, class = 8, "sold"
			pen.rect("paper", x-half-2, y-half-2, 2*half+4, 2*half+4)
		case p.Dominated:
			half, class = 3.5, "spare"
		}
		pen.rect(class, x-half, y-half, 2*half, 2*half)
	}
}

// rank is the order in which points are drawn over each other.
func rank(p advise.SafetyPoint) int {
	switch {
	case p.Chosen:
		return 2
	case p.Dominated:
		return 0
	}
	return 1
}

// undominated lists the plans that no other betters, the cheapest first.
func undominated(s *advise.Surer) []advise.SafetyPoint {
	var list []advise.SafetyPoint
	for _, p := range s.Points {
		if !p.Dominated {
			list = append(list, p)
		}
	}
	slices.SortStableFunc(list, func(a, b advise.SafetyPoint) int { return cmp.Compare(a.CashAYear, b.CashAYear) })
	return list
}

func pick2(p *pen, wide, narrow int) int {
	if p.narrow() {
		return narrow
	}
	return wide
}

// ConfinedTable is one winter with all birds shut in: what it asks, what there
// is, and whether it holds.
func ConfinedTable(w advise.ConfinedWinter, u measure.Units) Table {
	t := Table{Caption: say("confined.caption", w.Name, Day(w.From), Day(w.To), whole(w.Birds), Quantity(u, measure.MassKg, w.FeedKg, 0)),
		Head: []Column{{say("confined.what"), true}, {say("confined.value"), false}, {say("confined.limit"), false}, {say("confined.holds"), true}}}
	for _, r := range w.Rows {
		code := "confined.at_least"
		if r.AtMost {
			code = "confined.at_most"
		}
		t.Rows = append(t.Rows, []string{Capital(r.What), Limit(u, r.Value, r.Unit), say(code, Limit(u, r.Limit, r.Unit)), say("text." + yes(r.Holds))})
	}
	return t
}
