package report

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"henyear/measure"
)

// A page is one sheet of a workbook: a title, a line about it, a row of
// headings, the rows of a grid, and rows below that sum them up. Some columns are
// formulas; what they come to is written with them, for readers that do not
// reckon.
type leaf struct {
	name    string // of the tab
	title   string
	note    string
	grid    Grid
	units   measure.Units
	formula map[string]func(leafRow) string // by field
	feet    []leafFoot
}

// leafFoot is a row below the grid: a function over whole columns.
type leafFoot struct {
	words, function string
	reckon          func([]float64) float64
	fields          []string
}

// The rows of a page before its first row of figures: title, note, headings.
const headRows = 3

// headRow is the row of the headings.
const headRow = headRows

func (p *leaf) first() int { return headRows + 1 }
func (p *leaf) last() int  { return headRows + max(1, len(p.grid.Rows)) }

func (p *leaf) at(field string) int {
	for i, f := range p.grid.Fields {
		if f.Name == field {
			return i
		}
	}
	panic("a workbook page has no field " + field) // a slip of ours; every formula is made by a test
}

func letters(column int) string {
	name, err := excelize.ColumnNumberToName(column + 1)
	if err != nil {
		panic(err) // the pages have far fewer columns
	}
	return name
}

// all names a whole column from another page.
func (p *leaf) all(field string) string {
	c := letters(p.at(field))
	return p.quoted() + "!$" + c + "$" + strconv.Itoa(p.first()) + ":$" + c + "$" + strconv.Itoa(p.last())
}

func (p *leaf) quoted() string { return "'" + strings.ReplaceAll(p.name, "'", "''") + "'" }

// leafRow is where a formula stands.
type leafRow struct {
	page *leaf
	row  int // as the workbook counts
}

// cell names the figure of a field in the same row.
func (r leafRow) cell(field string) string { return letters(r.page.at(field)) + strconv.Itoa(r.row) }

// above names the figure of a field in the row before; "0" in the first row.
func (r leafRow) above(field string) string {
	if r.row == r.page.first() {
		return "0"
	}
	return letters(r.page.at(field)) + strconv.Itoa(r.row-1)
}

// add puts a column of formulas at the end of a page. value gives what the
// formula comes to in row i, in the units of the grid.
func (p *leaf) add(f Field, formula func(leafRow) string, value func(i int) any) {
	p.grid.Fields = append(p.grid.Fields[:len(p.grid.Fields):len(p.grid.Fields)], f)
	rows := make([][]any, len(p.grid.Rows))
	for i, row := range p.grid.Rows {
		rows[i] = append(row[:len(row):len(row)], value(i))
		p.grid.Rows[i] = rows[i]
	}
	p.put(f.Name, formula)
}

func (p *leaf) put(field string, formula func(leafRow) string) {
	if p.formula == nil {
		p.formula = map[string]func(leafRow) string{}
	}
	p.formula[field] = formula
}

// figure is the figure of a field in row i, 0 where there is none; money in the
// main unit.
func (p *leaf) figure(field string, i int) float64 {
	return p.grid.float(p.grid.Rows[i][p.at(field)])
}

func (g Grid) float(v any) float64 {
	switch x := v.(type) {
	case int:
		return float64(x)
	case float64:
		return x
	case measure.Money:
		return g.Currency.Amount(x)
	}
	return 0
}

// sums adds a row with the sums of some columns, and means one with their means.
func (p *leaf) sums(names ...string) {
	p.feet = append(p.feet, leafFoot{say("workbook.sum"), "SUM", total, names})
}

func (p *leaf) means(names ...string) {
	p.feet = append(p.feet, leafFoot{say("workbook.mean"), "AVERAGE", func(list []float64) float64 { return total(list) / float64(len(list)) }, names})
}

// shown converts a figure to the units of the workbook.
func shown(u measure.Units, k kind, x float64) float64 {
	switch k {
	case asMass:
		x, _ = u.Show(measure.MassKg, x)
	case asRoom:
		x, _ = u.Show(measure.VolumeL, x)
	case asWater:
		if u == measure.US {
			x /= measure.LitrePerGallon
		}
	}
	return x
}

// unitOf is the unit that stands in a heading; empty where none is needed.
func unitOf(u measure.Units, k kind, c measure.Currency) string {
	switch k {
	case asMass:
		return Unit(u, measure.MassKg)
	case asRoom:
		return Unit(u, measure.VolumeL)
	case asWater:
		if u == measure.US {
			return say("unit.gallon")
		}
		return Unit(u, measure.VolumeL)
	case asMoney:
		return c.Code
	}
	return ""
}

// heading is the name of a column with its unit.
func heading(u measure.Units, f Field, c measure.Currency) string {
	text, ok := english["table."+f.Name]
	if month, isMonth := strings.CutPrefix(f.Name, "eggs_a_week_month_"); isMonth {
		n, _ := strconv.Atoi(month)
		text, ok = say("table.eggs_a_week_month", monthName(n)), true
	}
	if !ok {
		text = Capital(strings.ReplaceAll(f.Name, "_", " "))
	}
	if unit := unitOf(u, f.Kind, c); unit != "" {
		text += " (" + unit + ")"
	}
	return text
}

// longestCell is the most that one cell of a workbook holds, in units of UTF-16
// (ECMA-376 part 1, 18.4.12 and the limits of the usual programs).
const longestCell = 32767

// cellText is a text as a workbook can hold it: signs that XML has no place for
// become a mark, line ends are one sign, and what is too long is cut with an
// ellipsis.
func cellText(text string) string {
	text = strings.ReplaceAll(strings.ToValidUTF8(text, "\ufffd"), "\r\n", "\n")
	text = strings.Map(func(r rune) rune {
		switch {
		case r == '\r':
			return '\n'
		case r < ' ' && r != '\t' && r != '\n', r == 0xfffe, r == 0xffff:
			return utf8.RuneError
		}
		return r
	}, text)
	if len(text) <= longestCell {
		return text
	}
	length := 0
	for i, r := range text {
		n := utf16.RuneLen(r)
		if length+n > longestCell-1 {
			if length+len(utf16.Encode([]rune(text[i:]))) <= longestCell {
				return text
			}
			return text[:i] + "…"
		}
		length += n
	}
	return text
}

// tabName makes a text fit for a tab: at most 31 signs, none of those that
// formulas and programs keep for themselves, and not taken yet.
func tabName(text string, taken func(string) bool) string {
	clean := strings.Map(func(r rune) rune {
		if strings.ContainsRune(`[]:*?/\`, r) || r < ' ' {
			return ' '
		}
		return r
	}, text)
	clean = strings.Trim(clean, "' ")
	if clean == "" || strings.EqualFold(clean, "History") {
		clean += "_"
	}
	for n := 1; ; n++ {
		tail := ""
		if n > 1 {
			tail = " " + strconv.Itoa(n)
		}
		name := cutTo(clean, 31-len(tail)) + tail
		if !taken(name) {
			return name
		}
	}
}

// cutTo keeps as much of a text as fits into so many units of UTF-16.
func cutTo(text string, most int) string {
	n := 0
	for i, r := range text {
		if n += utf16.RuneLen(r); n > most {
			return strings.TrimRight(text[:i], "' ")
		}
	}
	return text
}

// serial is a date as a workbook counts days; 0 for those before March 1900,
// where programs disagree.
func serial(d measure.Date) int {
	if d.IsZero() || d.Before(measure.Date{Year: 1900, Month: 3, Day: 1}) {
		return 0
	}
	return d.DaysSince(measure.Date{Year: 1899, Month: 12, Day: 30})
}

// finite keeps what no cell can hold out of a workbook.
func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
