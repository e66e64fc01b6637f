package report

import (
	"io"
	"strings"

	"henyear/advise"
	"henyear/chance"
	"henyear/measure"
	"henyear/plan"
)

// OddsText writes the odds of a plan as plain text for a terminal of the given
// width in columns: sentences first, then what may happen, the months, the
// spread of cost, the poor years, which luck matters, what being surer costs and
// a winter indoors, each where it is known, and how sure the figures are. It
// returns the error of the writer.
func OddsText(w io.Writer, a OddsAnswer, width int) error {
	s := newSheet(width)
	o := a.Odds
	s.heading(say("odds.text.title", o.Holding))
	for _, t := range OddsSummary(o) {
		s.paragraph("", "", withChanceSource(t))
	}
	s.paragraph("", "", RiskWords(o.Risk))
	if !o.Risk.Met && a.Surer == nil {
		s.paragraph("", "", say("odds.risk.hint"))
	}
	s.part(say("odds.chances.title"), wordsLast(OddsChances(o)))
	s.part(say("odds.months.title"), OddsMonths(o))
	s.part(say("odds.cost.title"), OddsCost(o).Table)
	if len(o.Poor.Words) > 0 {
		s.heading(say("odds.poor.title"))
		for _, t := range o.Poor.Words {
			s.paragraph("", "", withChanceSource(t))
		}
	}
	if a.Matters != nil {
		s.luck(a.Matters)
	}
	if a.Surer != nil {
		s.surer(a.Surer)
	}
	if a.Confined != nil {
		s.confined(a.Confined, o.Units)
	}
	s.sureness(o)
	return s.to(w)
}

// withChanceSource writes a sentence with the key of its source behind it.
func withChanceSource(t chance.Sentence) string {
	return withSource(plan.Sentence{Text: t.Text, Source: t.Source})
}

// part writes a heading, what the table is of, and the table.
func (s *sheet) part(title string, t Table) {
	if len(t.Rows) == 0 {
		return
	}
	s.heading(title)
	if t.Caption != "" && t.Caption != title {
		s.paragraph("", "", t.Caption+".")
	}
	s.table(s.slim(t))
}

// slim leaves the quarters of a spread out where the sheet has no room for them.
func (s *sheet) slim(t Table) Table {
	if s.width >= slimBelow {
		return t
	}
	var kept []int
	for i, c := range t.Head {
		if c.Name != say("odds.p25") && c.Name != say("odds.p75") {
			kept = append(kept, i)
		}
	}
	return columns(t, kept...)
}

// columns keeps some columns of a table, in the order named.
func columns(t Table, kept ...int) Table {
	out := Table{Caption: t.Caption}
	for _, k := range kept {
		out.Head = append(out.Head, t.Head[k])
	}
	for _, row := range t.Rows {
		var cells []string
		for _, k := range kept {
			cells = append(cells, row[k])
		}
		out.Rows = append(out.Rows, cells)
	}
	return out
}

// wordsLast puts the words that name a row behind its figures, where a terminal
// can wrap them.
func wordsLast(t Table) Table {
	var order []int
	for i := 1; i < len(t.Head); i++ {
		order = append(order, i)
	}
	return columns(t, append(order, 0)...)
}

const slimBelow = 72 // columns that the whole spread of a month takes

// luck writes each kind of luck with its part in the spread of three outcomes.
func (s *sheet) luck(m *chance.Matters) {
	s.heading(say("odds.luck.title"))
	for _, t := range m.Words {
		s.paragraph("", "", withChanceSource(t))
	}
	t := Table{Head: []Column{{say("odds.luck.kind"), true}, {say("odds.luck.winter"), false}, {say("odds.luck.eggs"), false}, {say("odds.luck.cost"), false}}}
	for _, r := range luckRows(m) {
		t.Rows = append(t.Rows, []string{luckName(r), Percent(r.share[0].Total), Percent(r.share[1].Total), Percent(r.share[2].Total)})
	}
	s.table(t)
	s.paragraph("", "", say("odds.luck.message"))
}

func (s *sheet) surer(u *advise.Surer) {
	s.heading(say("surer.title"))
	for _, t := range u.Summary {
		s.paragraph("", "", withSource(t))
	}
	for _, t := range u.Limits {
		s.paragraph("- ", "  ", withSource(t))
	}
	if len(u.Points) == 0 {
		return
	}
	t := SurerCurve(u).Table
	if s.width < slimBelow {
		t = columns(t, 0, 1, 3, 9)
	} else {
		t = columns(t, 0, 1, 2, 3, 5, 6, 9)
	}
	s.paragraph("", "", t.Caption+".")
	s.table(t)
	s.paragraph("", "", SurerStatus(u))
}

func (s *sheet) confined(c *advise.Confinement, u measure.Units) {
	s.heading(say("confined.title", whole(float64(c.Weeks))))
	for _, t := range c.Summary {
		s.paragraph("", "", withSource(t))
	}
	for _, w := range c.Winters {
		t := ConfinedTable(w, u)
		s.line("")
		if w.Holds {
			s.paragraph("", "", say("confined.winter.holds", t.Caption))
			continue
		}
		s.paragraph("", "", t.Caption+".")
		for _, row := range t.Rows {
			s.paragraph("- ", "  ", say("confined.line", row[0], row[1], row[2], row[3]))
		}
	}
}

// sureness says how well the figures are known, and what they rest on.
func (s *sheet) sureness(o *chance.Odds) {
	s.heading(say("odds.sure.title"))
	var keys []string
	for _, e := range LuckSources() {
		keys = append(keys, say("odds.sure.source", e.Key, string(e.Kind)))
	}
	s.paragraph("", "", ErrorWords(o)+" "+say("odds.sure.luck")+" "+strings.Join(keys, ", ")+".")
	s.paragraph("", "", say("odds.sure.generator", o.Generator))
}

// SurerStatus says why a curve ended where it did.
func SurerStatus(u *advise.Surer) string {
	switch u.Status {
	case "complete":
		return say("surer.status.complete", whole(float64(len(u.Points))), whole(float64(u.Replicates)), whole(u.Seconds))
	case "cancelled":
		return say("surer.status.cancelled", whole(float64(len(u.Points))))
	}
	return say("surer.status.clock", whole(float64(len(u.Points))), whole(u.Seconds))
}

// SurerText writes what being surer costs as plain text, to stand behind the plan
// that was chosen. It returns the error of the writer.
func SurerText(w io.Writer, u *advise.Surer, width int) error {
	s := newSheet(width)
	s.surer(u)
	return s.to(w)
}
