package report

import (
	"bytes"
	"io"
	"slices"
	"strconv"

	"henyear/daybook"
	"henyear/measure"
)

// A Grid is one table of figures for other programs. Figures are metric and not
// rounded. The CSV files and the sheets of a workbook are made of the same
// grids, so that one cannot say another thing than the other.
type Grid struct {
	Name     string // of the file, in small letters
	Currency measure.Currency
	Fields   []Field
	Rows     [][]any // a value for each field: string, bool, int, float64, measure.Date, measure.Money, or nil where there is none
}

// A Field is one column of a grid. Its name is the heading in a CSV file, with
// the unit in it where the name alone leaves a doubt.
type Field struct {
	Name string
	Kind kind
}

// kind says what the figures of a field are, for whoever shows them.
type kind int

const (
	asText   kind = iota
	asFlag        // yes or no
	asDay         // a date
	asWhole       // a whole number
	asNumber      // an expectation, with decimals
	asShare       // from 0 to 1
	asMoney       // in the main unit of the currency, or a measure.Money
	asMass        // kg
	asRoom        // l, of a freezer
	asWater       // l, of drinking water
	asYear        // a calendar year, written without a mark for thousands
)

// fields makes fields of one kind.
func fields(k kind, names ...string) []Field {
	list := make([]Field, len(names))
	for i, name := range names {
		list[i] = Field{name, k}
	}
	return list
}

func joined[T any](parts ...[]T) []T {
	var list []T
	for _, p := range parts {
		list = append(list, p...)
	}
	return list
}

// figures makes a row of floats ready to stand among other values.
func figures(list ...float64) []any {
	row := make([]any, len(list))
	for i, x := range list {
		row[i] = x
	}
	return row
}

// CSV writes the grid as RFC 4180 has it: UTF-8 without a mark, lines closed
// with CR LF, one heading. Numbers have a point and no separators, dates are ISO
// 8601, flags yes or no; texts are guarded as daybook.Guarded has it. It returns
// the error of the writer.
func (g Grid) CSV(w io.Writer) error {
	var out bytes.Buffer
	head := make([]string, len(g.Fields))
	for i, f := range g.Fields {
		head[i] = f.Name
	}
	daybook.WriteRow(&out, head)
	cells := make([]string, len(g.Fields))
	for _, row := range g.Rows {
		for i, v := range row {
			cells[i] = g.cell(v)
		}
		daybook.WriteRow(&out, cells)
	}
	_, err := out.WriteTo(w)
	return err
}

func (g Grid) cell(v any) string {
	switch x := v.(type) {
	case string:
		return daybook.Guarded(x)
	case bool:
		return yes(x)
	case int:
		return strconv.Itoa(x)
	case float64:
		return plainNumber(x)
	case measure.Money:
		return measure.Round(g.Currency.Amount(x), g.Currency.Exponent)
	case measure.Date:
		if !x.IsZero() {
			return x.String()
		}
	}
	return ""
}

// plainNumber writes a figure with all the digits that it has, never as -0.
func plainNumber(x float64) string {
	if x == 0 {
		return "0"
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// without leaves a field out, if there is one of that name.
func (g Grid) without(name string) Grid {
	at := slices.IndexFunc(g.Fields, func(f Field) bool { return f.Name == name })
	if at < 0 {
		return g
	}
	g.Fields = slices.Delete(slices.Clone(g.Fields), at, at+1)
	rows := make([][]any, len(g.Rows))
	for i, row := range g.Rows {
		rows[i] = slices.Delete(slices.Clone(row), at, at+1)
	}
	g.Rows = rows
	return g
}

// gridNames are the tables that can be had of a household, in order.
var gridNames = []string{"weeks", "years", "batches", "fates", "tasks", "odds_weeks", "odds_years", "odds_chances", "breeds", "payments"}

// GridNames lists the tables that Grids can make.
func GridNames() []string { return slices.Clone(gridNames) }

// GridNamed makes one of the tables; false if there is none of that name, or
// nothing to make it of.
func GridNamed(in WorkbookInput, name string) (Grid, bool) {
	c := in.Plan.Currency
	switch name {
	case "weeks":
		return WeeksGrid(in.Plan), true
	case "years":
		return YearsGrid(in.Plan), true
	case "batches":
		return BatchesGrid(in.Plan), true
	case "fates":
		return FatesGrid(in.Plan), true
	case "tasks":
		return TasksGrid(in.Plan, in.Work), true
	}
	switch {
	case name == "breeds" && len(in.Breeds) > 0:
		return BreedsGrid(in.Breeds, c), true
	case name == "payments" && in.Book != nil:
		return PaymentsGrid(in.Book, c), true
	case in.Odds == nil:
	case name == "odds_weeks":
		return OddsWeeksGrid(in.Odds), true
	case name == "odds_years":
		return OddsYearsGrid(in.Odds), true
	case name == "odds_chances":
		return OddsChancesGrid(in.Odds), true
	}
	return Grid{}, false
}

// Grids makes all tables for which there is something.
func Grids(in WorkbookInput) []Grid {
	var list []Grid
	for _, name := range gridNames {
		if g, ok := GridNamed(in, name); ok {
			list = append(list, g)
		}
	}
	return list
}
