package report

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"henyear/measure"
	"henyear/plan"
)

const leastWidth = 60 // columns; a narrower terminal gets lines that it must wrap itself

// A sheet is plain text of a given width, made in memory and written at once.
type sheet struct {
	bytes.Buffer
	width int
}

func newSheet(width int) *sheet { return &sheet{width: max(width, leastWidth)} }

// plainText replaces the fixed and thin blanks of pages by ordinary ones: not
// every terminal knows them.
var plainText = strings.NewReplacer("\u00a0", " ", "\u202f", " ")

func (s *sheet) to(w io.Writer) error {
	_, err := io.WriteString(w, plainText.Replace(s.String()))
	return err
}

func (s *sheet) line(text string) { fmt.Fprintln(s, strings.TrimRight(text, " ")) }

// heading writes a title with a rule below it, and a blank line before.
func (s *sheet) heading(text string) {
	if s.Len() > 0 {
		s.line("")
	}
	s.line(text)
	s.line(strings.Repeat("-", utf8.RuneCountInString(text)))
}

// paragraph wraps text; first stands before the first line and indent, equally
// wide, before the others.
func (s *sheet) paragraph(first, indent, text string) {
	for i, l := range wrap(text, s.width-utf8.RuneCountInString(indent)) {
		if i == 0 {
			s.line(first + l)
		} else {
			s.line(indent + l)
		}
	}
}

func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(plainText.Replace(text)) {
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// table writes columns side by side, figures to the right. When the sheet is
// too narrow the last column of words is wrapped.
func (s *sheet) table(t Table) {
	widths := make([]int, len(t.Head))
	heads := headLines(t.Head)
	for i := range t.Head {
		for _, l := range heads {
			widths[i] = max(widths[i], utf8.RuneCountInString(l[i]))
		}
		for _, row := range t.Rows {
			widths[i] = max(widths[i], utf8.RuneCountInString(row[i]))
		}
	}
	last := len(widths) - 1
	before := 2 * last
	for _, w := range widths[:last] {
		before += w
	}
	if t.Head[last].Word {
		widths[last] = min(widths[last], max(20, s.width-before))
	}
	for _, l := range heads {
		s.row(t.Head, widths, l)
	}
	for _, row := range t.Rows {
		s.row(t.Head, widths, row)
	}
}

// headLines breaks every heading at its blanks, so that a narrow column of
// figures may have a long name.
func headLines(head []Column) [][]string {
	most := 0
	broken := make([][]string, len(head))
	for i, c := range head {
		broken[i] = wrap(c.Name, 7)
		if c.Word {
			broken[i] = wrap(c.Name, 30)
		}
		most = max(most, len(broken[i]))
	}
	lines := make([][]string, most)
	for l := range lines {
		lines[l] = make([]string, len(head))
		for i := range head {
			if k := l - (most - len(broken[i])); k >= 0 {
				lines[l][i] = broken[i][k]
			}
		}
	}
	return lines
}

func (s *sheet) row(head []Column, widths []int, cells []string) {
	last := len(cells) - 1
	parts := []string{cells[last]}
	if head[last].Word && cells[last] != "" {
		parts = wrap(cells[last], widths[last])
	}
	for n, part := range parts {
		var b strings.Builder
		for i := range cells {
			text := cells[i]
			if i == last {
				text = part
			} else if n > 0 {
				text = ""
			}
			pad := strings.Repeat(" ", max(0, widths[i]-utf8.RuneCountInString(text)))
			if i > 0 {
				b.WriteString("  ")
			}
			if head[i].Word {
				b.WriteString(text + pad)
			} else {
				b.WriteString(pad + text)
			}
		}
		s.line(b.String())
	}
}

// PlanText writes a plan as plain text for a terminal of the given width in
// columns: what to keep, what to do next, the batches, the eggs month by month,
// the money, and how good the plan is. It returns the error of the writer.
func PlanText(w io.Writer, p *plan.Plan, width int) error {
	s := newSheet(width)
	s.heading(say("text.plan", p.Holding))
	s.paragraph("", "", SpanWords(p))
	for _, t := range p.Summary {
		s.paragraph("", "", t.Text)
	}
	s.shortfalls(p)
	s.sentences(say("text.warnings"), p.Warnings)
	s.tasks(p)
	s.batches(p)
	s.eggs(p)
	s.years(p)
	s.certainty(p)
	return s.to(w)
}

func (s *sheet) sentences(title string, list []plan.Sentence) {
	if len(list) == 0 {
		return
	}
	s.heading(title)
	for _, t := range list {
		s.paragraph("- ", "  ", withSource(t))
	}
}

func (s *sheet) shortfalls(p *plan.Plan) {
	if len(p.Shortfalls) == 0 {
		return
	}
	s.heading(say("text.short"))
	for _, f := range p.Shortfalls {
		s.paragraph("- ", "  ", f.What.Text+" "+f.Help.Text)
	}
}

const textTasks = 12 // the next jobs that a terminal shows

func (s *sheet) tasks(p *plan.Plan) {
	if len(p.Tasks) == 0 {
		return
	}
	s.heading(say("text.tasks"))
	t := Table{Head: []Column{{say("text.on"), true}, {say("text.job"), true}}}
	for _, task := range p.Tasks[:min(textTasks, len(p.Tasks))] {
		words := task.Text
		if task.Caution != "" {
			words += " " + say("text.caution") + " " + task.Caution
		}
		t.Rows = append(t.Rows, []string{task.On.String(), words})
	}
	s.table(t)
	if more := len(p.Tasks) - textTasks; more > 0 {
		s.line(say("text.more", strconv.Itoa(more)))
	}
}

func (s *sheet) batches(p *plan.Plan) {
	if len(p.Batches) == 0 {
		return
	}
	s.heading(say("text.batches"))
	for _, b := range p.Batches {
		first := b.Hatched
		words := say("flock.lane.long", b.BreedName, Number(b.Chicks, 0), SourceWords(b.Source))
		if b.EggsSet > 0 {
			words += "; " + say("text.set", strconv.Itoa(b.EggsSet), Day(b.Set))
		}
		s.paragraph(first.String()+"  ", strings.Repeat(" ", 12), words+": "+FateWords(b)+".")
	}
}

// monthly is one month of the weeks.
type monthly struct {
	label          string
	eggs, low      float64
	high, need, no float64
}

func months(p *plan.Plan) []monthly {
	var list []monthly
	for _, w := range p.Weeks {
		middle := measure.WeekOf(w.Date).Middle()
		label := strconv.Itoa(middle.Year) + " " + middle.Month.String()[:3]
		if n := len(list); n == 0 || list[n-1].label != label {
			list = append(list, monthly{label: label})
		}
		m := &list[len(list)-1]
		m.eggs += w.EggsExpected
		m.low += w.EggsLow
		m.high += w.EggsHigh
		m.need += w.EggsNeeded
		m.no++
	}
	for i := range list {
		m := &list[i]
		m.eggs, m.low, m.high, m.need = m.eggs/m.no, m.low/m.no, m.high/m.no, m.need/m.no
	}
	return list
}

// eggs draws the eggs a week of every month as bars of signs; a stroke marks
// the need.
func (s *sheet) eggs(p *plan.Plan) {
	list := months(p)
	if len(list) == 0 {
		return
	}
	s.heading(say("text.eggs"))
	s.line(say("text.eggs.key"))
	high := 1.0
	for _, m := range list {
		high = max(high, m.eggs, m.need)
	}
	room := float64(max(10, s.width-34))
	for _, m := range list {
		bar := []rune(strings.Repeat("=", int(math.Round(m.eggs/high*room))))
		at := int(math.Round(m.need / high * room))
		for len(bar) < at {
			bar = append(bar, ' ')
		}
		if at > 0 {
			bar[at-1] = '|'
		}
		s.line(fmt.Sprintf("%s %4s %-9s %s %3s  %s", m.label, Number(m.eggs, 0), "("+Number(m.low, 0)+"–"+Number(m.high, 0)+")", say("text.need"), Number(m.need, 0), string(bar)))
	}
}

func (s *sheet) years(p *plan.Plan) {
	if len(p.Years) == 0 {
		return
	}
	s.heading(say("text.years"))
	kg := func(x float64) string { v, _ := p.Units.Show(measure.MassKg, x); return Number(v, 0) }
	unit := Unit(p.Units, measure.MassKg)
	t := Table{Head: []Column{{say("column.year"), true}, {say("text.eggs.short"), false}, {say("text.bought"), false}, {say("text.table"), false}, {say("text.meat", unit), false}, {say("text.feed", unit), false},
		{say("costs.feed"), false}, {say("costs.other"), false}, {say("costs.income"), false}, {say("costs.dozen"), false}}}
	for _, y := range p.Years {
		money := func(m measure.Money) string { return Number(p.Currency.Amount(m), 0) }
		t.Rows = append(t.Rows, []string{strconv.Itoa(y.Year), Number(y.Eggs, 0), Number(y.EggsBought, 0), Number(y.TableBirds, 0), kg(y.TableKg), kg(y.FeedKg),
			money(y.FeedCost), money(y.OtherCost), money(y.Income), strings.TrimSuffix(DozenCost(p.Currency, y), "\u00a0"+p.Currency.Code)})
	}
	s.table(t)
	s.line(say("text.currency", p.Currency.Code))
	if p.Shop.Text.Text != "" {
		s.paragraph("", "", p.Shop.Text.Text)
	}
}

func (s *sheet) certainty(p *plan.Plan) {
	s.heading(say("text.certain"))
	s.paragraph("", "", GapWords(p)+" "+GapMeaning(p))
	for _, b := range p.Binding {
		s.paragraph("- ", "  ", b.What.Text+" "+say("text.binding", Limit(p.Units, b.Limit, b.Unit), Day(b.From), Day(b.To)))
	}
	for _, w := range p.Worth {
		s.paragraph("- ", "  ", w.What+": "+w.Text)
	}
	for _, t := range p.NotConsidered {
		s.paragraph("- ", "  ", t.Text)
	}
}

// SpanWords says from which day to which a plan counts. Its weeks are whole
// ones, so the first may begin a few days earlier.
func SpanWords(p *plan.Plan) string {
	from := p.AsOf
	if from.Before(p.From) {
		from = p.From
	}
	return say("span", Day(from), Day(p.To))
}

// wideGap is a share of the outlay from which a better plan may well be found.
const wideGap = 0.05

// GapMeaning says what the gap of a plan means for the keeper.
func GapMeaning(p *plan.Plan) string {
	if p.Gap > wideGap {
		return say("gap.meaning.wide")
	}
	return say("gap.meaning")
}

// GapWords says in a sentence how much a better plan could save, and why the
// search ended.
func GapWords(p *plan.Plan) string {
	code := "gap." + strings.ReplaceAll(p.Status, " ", "_")
	if _, ok := english[code]; !ok {
		code = "gap.other"
	}
	args := []string{Percent(p.Gap), Number(p.SolveSeconds, 0), Amount(p.Currency, max(0, p.Cost-p.Bound))}
	if code == "gap.other" {
		args = append(args, p.Status)
	}
	return say(code, args...)
}
