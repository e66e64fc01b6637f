package report

import (
	"bytes"
	"io"
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
