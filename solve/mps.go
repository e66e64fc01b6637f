package solve

import (
	"bufio"
	"io"
	"math"
	"strconv"
	"strings"
)

// WriteMPS writes the programme in free MPS, the format that other solvers
// read, with the same rounded figures that this program's own solver sees. The
// same model gives the same bytes. Names are made safe: C12.chicks_in_week_9.
// Rows without limits are left out, as they are to most readers. A constant cost
// becomes a column CONSTANT fixed at 1, because readers disagree about the sign
// of a constant in the right-hand side.
func (m *Model) WriteMPS(w io.Writer) error {
	p, err := m.freeze()
	if err != nil {
		return err
	}
	return p.writeMPS(w)
}

func (p *programme) writeMPS(to io.Writer) error {
	w := mpsWriter{bufio.NewWriter(to), p}
	w.line("NAME", safe("", -1, p.model.name), "FREE")
	w.rows()
	w.columns()
	w.line("RHS")
	w.limits()
	w.bounds()
	w.line("ENDATA")
	return w.Flush()
}

const constantColumn = "CONSTANT"

type mpsWriter struct {
	*bufio.Writer
	p *programme
}

// line writes the parts with blanks between; an empty first part indents, as
// all lines but headings must be.
func (w mpsWriter) line(parts ...string) {
	w.WriteString(strings.Join(parts, " "))
	w.WriteByte('\n')
}

// figure is the shortest text that reads back as the same number.
func figure(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// safe makes a name of letters, digits and a few marks, short, and unique by
// its number.
func safe(letter string, number int, name string) string {
	clean := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '.', r == '-':
			return r
		}
		return '_'
	}, name)
	clean = clean[:min(len(clean), 40)]
	switch {
	case number >= 0 && clean != "":
		return letter + strconv.Itoa(number) + "." + clean
	case number >= 0:
		return letter + strconv.Itoa(number)
	case clean != "":
		return clean
	}
	return "programme"
}

func (w mpsWriter) columnName(j int) string { return safe("C", j, w.p.model.columns[j].name) }
func (w mpsWriter) rowName(i int) string    { return safe("R", i, w.p.model.rows[i].name) }

// kind is the MPS letter of a row, empty for one without limits. A row with two
// limits is written by its lower one and a range.
func (p *programme) kind(i int) string {
	lo, hi := p.RowLo[i], p.RowHi[i]
	switch {
	case lo == hi:
		return "E"
	case !math.IsInf(lo, -1):
		return "G"
	case !math.IsInf(hi, 1):
		return "L"
	}
	return ""
}

func (w mpsWriter) rows() {
	w.line("ROWS")
	w.line("", "N", "COST")
	for i := range w.p.RowLo {
		if kind := w.p.kind(i); kind != "" {
			w.line("", kind, w.rowName(i))
		}
	}
}

func (w mpsWriter) columns() {
	w.line("COLUMNS")
	whole, markers := false, 0
	mark := func(now bool) {
		if now != whole {
			w.line("", "MARKER"+strconv.Itoa(markers), "'MARKER'", map[bool]string{true: "'INTORG'", false: "'INTEND'"}[now])
			markers++
		}
		whole = now
	}
	if w.p.Offset != 0 {
		w.line("", constantColumn, "COST", figure(w.p.Offset))
	}
	x := w.p.Matrix
	for j := range w.p.Cost {
		mark(x.Whole[j])
		name := w.columnName(j)
		w.line("", name, "COST", figure(w.p.Cost[j])) // even when 0, for a column must appear
		for k := x.Start[j]; k < x.Start[j+1]; k++ {
			if i := int(x.Index[k]); w.p.kind(i) != "" {
				w.line("", name, w.rowName(i), figure(x.Value[k]))
			}
		}
	}
	mark(false)
}

func (w mpsWriter) limits() {
	var ranges []int
	for i := range w.p.RowLo {
		kind := w.p.kind(i)
		side := w.p.RowLo[i]
		if kind == "L" {
			side = w.p.RowHi[i]
		}
		if kind != "" && side != 0 {
			w.line("", "RHS", w.rowName(i), figure(side))
		}
		if kind == "G" && !math.IsInf(w.p.RowHi[i], 1) {
			ranges = append(ranges, i)
		}
	}
	if len(ranges) == 0 {
		return
	}
	w.line("RANGES")
	for _, i := range ranges {
		w.line("", "RANGE", w.rowName(i), figure(w.p.RowHi[i]-w.p.RowLo[i]))
	}
}

// bounds writes both bounds of every column, for readers differ in what they
// take for granted about whole ones.
func (w mpsWriter) bounds() {
	w.line("BOUNDS")
	if w.p.Offset != 0 {
		w.line("", "FX", "BOUND", constantColumn, "1")
	}
	for j := range w.p.Cost {
		lo, hi, name := w.p.ColLo[j], w.p.ColHi[j], w.columnName(j)
		bound := func(kind string, value ...string) {
			w.line(append([]string{"", kind, "BOUND", name}, value...)...)
		}
		if lo == hi {
			bound("FX", figure(lo))
			continue
		}
		switch {
		case math.IsInf(lo, -1) && math.IsInf(hi, 1):
			bound("FR")
			continue
		case math.IsInf(lo, -1):
			bound("MI")
		default:
			bound("LO", figure(lo))
		}
		if math.IsInf(hi, 1) {
			bound("PL")
		} else {
			bound("UP", figure(hi))
		}
	}
}
