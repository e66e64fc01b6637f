package daybook

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"henyear/measure"
)

// A heading stands in one of the first lines.
const headingLines = 15

// findHeader takes the line with the most known words among the first as the
// heading; lines above it are told as left out.
func (im *importer) findHeader() {
	best, most := -1, 0
	for i, r := range im.rows[:min(len(im.rows), headingLines)] {
		if im.o.NoHeader {
			break
		}
		known := 0
		for _, c := range r.cells {
			if _, err := im.dates.read(c); err == nil {
				known = 0 // a heading holds no date
				break
			}
			if _, _, how := matchHeading(c); how == Sure || how == Likely && len(strings.Fields(c)) <= 5 {
				known++
			}
		}
		if known > most {
			best, most = i, known
		}
	}
	width := 0
	for _, r := range im.rows {
		width = max(width, len(r.cells))
	}
	names := make([]string, width)
	for i := range names {
		names[i] = fmt.Sprintf("column %d", i+1)
	}
	if best >= 0 {
		im.p.Header = true
		for i, c := range im.rows[best].cells {
			if name := strings.TrimSpace(c); name != "" {
				names[i] = name
			}
		}
		for _, r := range im.rows[:best] {
			im.refuse(r.line, errors.New("this stands above the heading"))
		}
		im.rows = im.rows[best+1:]
	}
	seen := map[string]int{}
	for i, name := range names {
		if seen[name]++; seen[name] > 1 {
			name = fmt.Sprintf("%s (%d)", name, seen[name])
		}
		im.p.Columns = append(im.p.Columns, ImportColumn{Name: name, index: i, Confidence: No})
	}
}

func (im *importer) refuse(line int, err error) {
	im.p.Refused = append(im.p.Refused, refuse("", line, err))
}

func (r tableRow) cell(i int) string {
	if i >= len(r.cells) {
		return ""
	}
	return strings.TrimSpace(r.cells[i])
}

// severalColumns are fields that more than one column may hold.
var severalColumns = map[string]bool{"note": true, "ignore": true}

func (im *importer) matchColumns() {
	byField := map[string][]int{}
	for i := range im.p.Columns {
		c := &im.p.Columns[i]
		im.examples(c)
		if choice, chosen := im.o.Columns[c.Name]; chosen {
			c.Field, c.Unit, c.pen, c.group, c.Confidence = choice.Field, choice.Unit, choice.Pen, choice.Group, Chosen
			if !slices.Contains(vocabulary().order, c.Field) {
				c.Field, c.Confidence = "", No
			}
			if c.Unit == "" {
				_, c.Unit, _ = matchHeading(c.Name)
			}
		} else if im.p.Header {
			c.Field, c.Unit, c.Confidence = matchHeading(c.Name)
		}
		byField[c.Field] = append(byField[c.Field], i)
	}
	for _, field := range vocabulary().order {
		if len(byField[field]) > 1 && !severalColumns[field] {
			im.chooseAmong(field, byField[field])
		}
	}
	if im.column("date") == nil {
		im.findDates()
	}
	im.askForColumns()
	for i := range im.p.Columns {
		if c := &im.p.Columns[i]; c.Field == "ignore" || c.Field == "" {
			c.Field = ""
			if c.Confidence != Chosen {
				c.Confidence = No
			}
		}
	}
}

// The most examples of a column.
const mostExamples = 3

func (im *importer) examples(c *ImportColumn) {
	for _, r := range im.rows {
		if cell := r.cell(c.index); cell != "" && len(c.Examples) < mostExamples {
			c.Examples = append(c.Examples, shorten(cell))
		}
	}
}

// chooseAmong keeps the columns chosen by the keeper, or else the only one whose
// heading is surely the field; between equals it asks.
func (im *importer) chooseAmong(field string, columns []int) {
	for _, how := range []Confidence{Chosen, Sure, Likely} {
		var with []int
		for _, i := range columns {
			if im.p.Columns[i].Confidence == how {
				with = append(with, i)
			}
		}
		if len(with) == 0 {
			continue
		}
		keep := len(with) == 1 || how == Chosen && field != "date"
		var names []string
		for _, i := range columns {
			names = append(names, im.p.Columns[i].Name)
			if !keep || !slices.Contains(with, i) {
				im.p.Columns[i].Field, im.p.Columns[i].Confidence = "", No
			}
		}
		if keep && how != Chosen {
			im.p.Notes = append(im.p.Notes, say("one-of-several", map[string]any{"field": field, "columns": names, "taken": im.p.Columns[with[0]].Name},
				"Several columns look like %s (%s); only “%s” was taken.", field, strings.Join(names, ", "), im.p.Columns[with[0]].Name))
		}
		if keep {
			return
		}
		im.ask(Question{Code: "two-columns", Column: names[0], Answer: "Columns", Choices: names, What: say("two-columns", map[string]any{"field": field, "columns": names},
			"Several columns look like %s: %s. Say which one counts, or, if they are of different pens, which pen each is.", field, strings.Join(names, ", "))})
		return
	}
}

func (im *importer) column(field string) *ImportColumn {
	for i := range im.p.Columns {
		if im.p.Columns[i].Field == field {
			return &im.p.Columns[i]
		}
	}
	return nil
}

// findDates takes the only column without a field in which nearly all cells are
// dates.
func (im *importer) findDates() {
	found := []*ImportColumn{}
	for i := range im.p.Columns {
		c := &im.p.Columns[i]
		if c.Field != "" || c.Confidence == Chosen {
			continue
		}
		dates, all := 0, 0
		for _, r := range im.rows[:min(len(im.rows), 500)] {
			if cell := r.cell(c.index); cell != "" {
				all++
				if _, err := im.dates.read(cell); err == nil {
					dates++
				}
			}
		}
		if dates > 0 && 10*dates >= 8*all {
			found = append(found, c)
		}
	}
	if len(found) == 1 {
		found[0].Field, found[0].Confidence = "date", Likely
	}
}

func (im *importer) askForColumns() {
	var names []string
	useful := false
	for _, c := range im.p.Columns {
		names = append(names, c.Name)
		switch c.Field {
		case "", "ignore", "date", "days", "pen", "group", "breed", "size", "predator", "cause", "feed_name", "money_for":
		default:
			useful = true
		}
	}
	if im.column("date") == nil {
		im.ask(Question{Code: "no-date", Answer: "Columns", Choices: names, What: say("no-date", nil, "No column could be known as the date. Say which one it is.")})
	}
	if !useful {
		im.ask(Question{Code: "nothing-known", Answer: "Columns", Choices: names, What: say("nothing-known", nil, "No column could be known as eggs, birds, feed, money or notes. Say what the columns are.")})
	}
}

func (im *importer) readDates() {
	im.read, im.noDate = make([]readDate, len(im.rows)), make([]error, len(im.rows))
	c := im.column("date")
	if c == nil {
		return
	}
	for i, r := range im.rows {
		if cell := r.cell(c.index); cell != "" {
			im.read[i], im.noDate[i] = im.dates.read(cell)
		} else {
			im.noDate[i] = errors.New("the line has no date")
		}
	}
	order, choices, likely := im.dates.decideOrder(im.read)
	if im.o.DateOrder != "" && (order == "" || slices.Contains(choices, im.o.DateOrder)) {
		order, choices = im.o.DateOrder, nil
	}
	im.p.DateOrder = order
	if len(choices) > 0 {
		im.ask(Question{Code: "date-order", Column: c.Name, Answer: "DateOrder", Choices: choices, Likely: likely,
			What: say("date-order", map[string]any{"column": c.Name, "example": im.openExample(c)},
				"Dates like %s can be read in more than one way, and no other date in the column decides. Which is it?", im.openExample(c))})
		return
	}
	for i := range im.read {
		if r := &im.read[i]; im.noDate[i] == nil && r.open() && order != "" {
			date, err := im.dates.inOrder(*r, order)
			if err != nil {
				im.noDate[i] = fmt.Errorf("%q is no date with the %s: %w", shorten(im.rows[i].cell(c.index)), order, err)
				continue
			}
			r.date = date
		}
	}
}

func (im *importer) openExample(c *ImportColumn) string {
	for i, r := range im.read {
		if im.noDate[i] == nil && r.open() {
			return shorten(im.rows[i].cell(c.index))
		}
	}
	return ""
}

// Fields by what their cells hold.
var (
	decimalFields = []string{"feed", "feed_bought", "feed_price", "egg_weight", "live_weight", "dressed_weight", "money_out", "money_in", "egg_income"}
	weightFields  = []string{"feed", "feed_bought", "egg_weight", "live_weight", "dressed_weight"}
)

// findDecimal looks for numbers that show which sign parts decimals.
func (im *importer) findDecimal() {
	if im.o.Decimal == "," || im.o.Decimal == "." {
		im.decimal = rune(im.o.Decimal[0])
		return
	}
	shown := map[rune]bool{}
	var openColumn, example string
	for _, c := range im.p.Columns {
		if !slices.Contains(decimalFields, c.Field) {
			continue
		}
		for _, r := range im.rows {
			n, err := parseNumber(r.cell(c.index))
			if err != nil {
				continue
			}
			if n.proves != 0 {
				shown[n.proves] = true
			}
			if (n.comma || n.point) && openColumn == "" {
				openColumn, example = c.Name, shorten(r.cell(c.index))
			}
		}
	}
	switch {
	case len(shown) == 1 && shown[',']:
		im.decimal = ','
	case len(shown) == 1:
		im.decimal = '.'
	case openColumn != "":
		likely := "."
		if im.p.Delimiter == ";" {
			likely = ","
		}
		im.ask(Question{Code: "decimal", Column: openColumn, Answer: "Decimal", Choices: []string{",", "."}, Likely: likely,
			What: say("decimal", map[string]any{"column": openColumn, "example": example}, "%s can be read in two ways. Which sign parts the decimals, the comma or the full stop?", example)})
	}
}

// askUnits asks for the unit of weights that bear none.
func (im *importer) askUnits() {
	for i := range im.p.Columns {
		c := &im.p.Columns[i]
		if !slices.Contains(weightFields, c.Field) || c.Unit != "" {
			continue
		}
		if im.o.Units != "" {
			continue
		}
		for _, r := range im.rows {
			if n, err := parseNumber(r.cell(c.index)); err == nil && n.unit == "" {
				im.ask(Question{Code: "units", Column: c.Name, Answer: "Units", Choices: []string{string(measure.Metric), string(measure.US)},
					What: say("units", map[string]any{"column": c.Name}, "The column “%s” bears no unit. Is it metric (kg; g for birds and eggs) or US (lb; oz for eggs)?", c.Name)})
				break
			}
		}
	}
}

// unitOf is the unit of a weight that bears none.
func (im *importer) unitOf(c *ImportColumn) string {
	switch {
	case c.Unit != "":
		return c.Unit
	case im.o.Units == "":
		return ""
	case im.o.Units == measure.US && c.Field == "egg_weight":
		return "oz"
	case im.o.Units == measure.US:
		return "lb"
	case c.Field == "feed" || c.Field == "feed_bought":
		return "kg"
	}
	return "g"
}
