package report

import (
	"strconv"

	"github.com/xuri/excelize/v2"

	"henyear/plan"
	"henyear/source"
)

// aboutLine is one line of the first sheet: what it is about, and what is said.
type aboutLine struct{ label, text string }

// aboutLines tell what the workbook is, when and how it was planned, what its
// figures are worth, and where they come from.
func aboutLines(in WorkbookInput, pages []*leaf) []aboutLine {
	p := in.Plan
	line := func(code string, args ...string) aboutLine {
		return aboutLine{say("about." + code), say("about."+code+".text", args...)}
	}
	list := []aboutLine{
		{say("about.holding"), in.Holding.Name},
		line("planned", Day(p.AsOf), Day(p.From), Day(p.To)),
		{say("about.status"), p.Status + ". " + say("about.gap", Amount(p.Currency, max(0, p.Cost-p.Bound)), Percent(p.Gap))},
		line("units"+string(unitsCode(in)), p.Currency.Code),
		line("formulas"), line("expected"), line("weeks"), line("money"), line("notes"), line("change"),
	}
	if in.Odds != nil {
		list = append(list, line("odds", strconv.Itoa(in.Odds.Replicates), strconv.FormatUint(in.Odds.Seed, 10)))
	}
	for i, page := range pages {
		label := ""
		if i == 0 {
			label = say("about.sheets")
		}
		list = append(list, aboutLine{label, page.name + ": " + page.note})
	}
	list = append(list, sentenceLines("about.summary", p.Summary)...)
	list = append(list, sentenceLines("about.warnings", p.Warnings)...)
	list = append(list, sentenceLines("about.left", p.NotConsidered)...)
	list = append(list, sourceLines(p)...)
	if in.Version != "" {
		list = append(list, line("version", in.Version))
	}
	return list
}

func unitsCode(in WorkbookInput) string {
	if in.Holding.Units == "us" {
		return ".us"
	}
	return ".metric"
}

func sentenceLines(label string, list []plan.Sentence) []aboutLine {
	var lines []aboutLine
	for i, s := range list {
		l := aboutLine{"", s.Text}
		if i == 0 {
			l.label = say(label)
		}
		lines = append(lines, l)
	}
	return lines
}

// sourceLines are the entries of the bibliography that the sentences of a plan
// rest on, each once.
func sourceLines(p *plan.Plan) []aboutLine {
	var lines []aboutLine
	seen := map[string]bool{}
	for _, s := range joined(p.Summary, p.Warnings, p.NotConsidered) {
		e, known := source.Lookup(s.Source)
		if !known || seen[s.Source] {
			continue
		}
		seen[s.Source] = true
		lines = append(lines, aboutLine{"", e.Key + ": " + e.Text})
	}
	lines = append(lines, aboutLine{"", say("about.sources.text")})
	lines[0].label = say("about.sources")
	return lines
}

// about makes the first sheet.
func (b *binder) about(lines []aboutLine) error {
	name := b.file.GetSheetName(0)
	if err := b.printing(name, 0, 0, 1); err != nil {
		return err
	}
	if err := b.file.SetSheetDimension(name, "A1:B"+strconv.Itoa(len(lines)+2)); err != nil {
		return err
	}
	out, err := b.file.NewStreamWriter(name)
	if err != nil {
		return err
	}
	if err := out.SetColWidth(1, 1, 22); err != nil {
		return err
	}
	if err := out.SetColWidth(2, 2, 100); err != nil {
		return err
	}
	title, err := b.style(leafLook{asText, titleCell, false})
	if err != nil {
		return err
	}
	label, err := b.style(leafLook{asText, labelCell, false})
	if err != nil {
		return err
	}
	text, err := b.style(leafLook{asText, wrappedCell, true})
	if err != nil {
		return err
	}
	if err := out.SetRow("A1", []any{excelize.Cell{StyleID: title, Value: say("workbook.heading")}}, excelize.RowOpts{Height: 21}); err != nil {
		return err
	}
	for i, l := range lines {
		said := cellText(l.text)
		height := 15.5 * float64(min(20, 1+len([]rune(said))/105))
		cells := []any{excelize.Cell{StyleID: label, Value: l.label}, excelize.Cell{StyleID: text, Value: said}}
		if err := out.SetRow("A"+strconv.Itoa(i+3), cells, excelize.RowOpts{Height: height}); err != nil {
			return err
		}
	}
	return out.Flush()
}
