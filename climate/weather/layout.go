package weather

import (
	"bytes"
	"slices"
	"strings"
)

// A layout is how a table is divided and what its columns hold.
type layout struct {
	delimiter byte
	columns   []column // of use, in the order of the file
	width     int      // fields of the header
	first     string   // first field of the header, to know it again
	order     dateOrder
	idle      []string // columns passed over because an earlier one holds the same
	by        [roles]int
}

// delimiters in the order in which they are tried; a blank last, because names of
// columns may hold blanks.
var delimiters = []byte{',', ';', '\t', '|', ' '}

// layoutOf reads a line as the header of a table; it reports false when the line
// does not name a date and something measured.
func layoutOf(line []byte) (layout, bool) {
	best, found := layout{}, false
	for _, d := range delimiters {
		fields, ok := split(bytes.TrimPrefix(bytes.TrimSpace(line), []byte("#")), d, nil)
		if !ok || len(fields) < 2 {
			continue
		}
		l := nameColumns(fields, d)
		if d == ' ' && 2*len(l.columns) < l.width {
			continue // a sentence that happens to speak of dates and rain
		}
		if l.useful() && (!found || len(l.columns) > len(best.columns)) {
			best, found = l, true
		}
	}
	return best, found
}

func nameColumns(fields [][]byte, delimiter byte) layout {
	l := layout{delimiter: delimiter, width: len(fields), first: string(fields[0])}
	for r := range l.by {
		l.by[r] = -1
	}
	flagged := map[role]bool{}
	blended := strings.EqualFold(l.first, "STAID")
	for i, f := range fields {
		c, ok := recognise(string(f), i)
		if !ok {
			continue
		}
		if blended && c.open {
			c.unit, c.open = tenth, false // the European blended series
		}
		if c.role == roleDate && l.has(roleDate) && !l.has(roleHour) {
			c.role = roleHour // "date" and "time" in columns of their own
		}
		if c.role == roleFlags {
			if flagged[c.flags] {
				continue
			}
			flagged[c.flags] = true
		} else if l.has(c.role) {
			l.idle = append(l.idle, c.name)
			continue
		} else {
			l.by[c.role] = len(l.columns)
		}
		l.columns = append(l.columns, c)
	}
	return l
}

func (l *layout) has(r role) bool { return l.by[r] >= 0 }

// field finds the text of a role in a row; nil when the table has no such column.
func (l *layout) field(r role, row [][]byte) []byte {
	if !l.has(r) {
		return nil
	}
	return row[l.columns[l.by[r]].index]
}

func (l *layout) useful() bool {
	warm := l.has(roleHigh) || l.has(roleLow) || l.has(roleAir)
	dated := l.has(roleDate) || l.has(roleYear) && (l.has(roleMonth) || l.has(roleDayOfYear))
	measured := warm || l.has(roleRain) || l.has(roleHumidity) || l.has(roleWind) || l.has(roleDew)
	return dated && measured || l.has(roleMonth) && (l.has(roleHigh) || l.has(roleLow))
}

// again reports whether a row is the header once more.
func (l *layout) again(row [][]byte) bool {
	return len(row) > 0 && strings.EqualFold(string(row[0]), l.first)
}

// fits reports whether a row has as many fields as the header; one empty field more,
// and words behind a table divided by blanks, are let pass.
func (l *layout) fits(row [][]byte) bool {
	n := len(row)
	return n == l.width || n == l.width+1 && len(row[n-1]) == 0 || l.delimiter == ' ' && n > l.width
}

// findOrder looks at the rows that follow for the order of day and month. Dates that
// begin with the year, and dates with points (day first), need no looking; with
// strokes a part above 12 tells. It refuses dates that can be read both ways.
func (l *layout) findOrder(ahead []byte) error {
	if !l.has(roleDate) {
		return nil
	}
	var row [][]byte
	example := ""
	firstMost, secondMost := 0, 0
	for _, line := range bytes.Split(ahead, []byte("\n")) {
		row, _ = split(bytes.TrimRight(line, "\r"), l.delimiter, row)
		if !l.fits(row) {
			continue
		}
		text, _, _ := bytes.Cut(l.field(roleDate, row), []byte(" "))
		parts := bytes.FieldsFunc(text, func(r rune) bool { return r == '/' || r == '-' })
		if len(parts) != 3 || len(parts[0]) > 2 {
			continue
		}
		a, ok := integer(parts[0])
		b, good := integer(parts[1])
		if ok && good {
			firstMost, secondMost = max(firstMost, a), max(secondMost, b)
			example = string(text)
		}
	}
	switch {
	case example == "":
		return nil // another form, or nothing to see yet
	case firstMost > 12 && secondMost <= 12:
		l.order = dayFirst
	case secondMost > 12 && firstMost <= 12:
		l.order = monthFirst
	default:
		return refuse("date-order", map[string]any{"example": example},
			"has dates such as %s, of which day and month cannot be told apart; write them as year-month-day.", example)
	}
	return nil
}

// unsureNames lists the columns whose unit the header leaves open.
func (l *layout) unsureNames() []string {
	var names []string
	for _, c := range l.columns {
		if _, measured := c.role.measured(); measured && c.open {
			names = append(names, c.name)
		}
	}
	slices.Sort(names)
	return names
}
