package daybook

import (
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"

	"henyear/measure"
)

// The orders in which a keeper may write a date in figures.
const (
	DayFirst   = "day first"
	MonthFirst = "month first"
	YearFirst  = "year first"
)

// readDate is what one cell can mean as a date.
type readDate struct {
	date    measure.Date // sure
	period  int          // days that the cell stands for: of a month, or 1
	a, b, c int          // figures whose order is open, when date is zero
	twoEach bool         // written 26-03-04, where the year may come first
}

func (r readDate) open() bool { return r.date.IsZero() }

// dateReader reads the cells of one column.
type dateReader struct {
	today measure.Date
	year  int // for dates without a year
}

// read takes a cell apart. The error is a sentence.
func (d dateReader) read(cell string) (readDate, error) {
	words, sep := dateWords(cell)
	month, at, figures := 0, -1, []string{}
	for _, w := range words {
		switch class, n := wordClass(w); {
		case class == "figure":
			figures = append(figures, w)
		case class == "month" && month == 0:
			month, at = n, len(figures)
		case class == "skip":
		default:
			return readDate{}, fmt.Errorf("%q is not a date", shorten(cell))
		}
	}
	if len(figures) == 0 && month == 0 {
		return readDate{}, fmt.Errorf("%q is not a date", shorten(cell))
	}
	for _, f := range figures {
		if len(f) > 8 {
			return readDate{}, fmt.Errorf("%q is not a date", shorten(cell))
		}
	}
	if month > 0 {
		return d.withMonthName(cell, month, at, figures)
	}
	return d.inFigures(cell, figures, sep)
}

// dateWords cuts a cell into runs of figures and of letters, without the time of
// day, and tells the first sign between figures.
func dateWords(cell string) (words []string, sep rune) {
	cell = strings.ToLower(strings.TrimSpace(cell))
	if i := strings.IndexByte(cell, ':'); i > 0 { // a time of day follows
		cell = strings.TrimRightFunc(cell[:i], unicode.IsDigit)
	}
	if len(cell) > 60 {
		return []string{cell}, 0
	}
	if n := len(cell); n > 10 && cell[n-1] == 't' && cell[n-2] >= '0' && cell[n-2] <= '9' { // 2026-03-04T
		cell = cell[:n-1]
	}
	var run strings.Builder
	kind := 0
	flush := func() {
		if run.Len() > 0 {
			words = append(words, run.String())
			run.Reset()
		}
	}
	for _, r := range cell {
		next := 0
		switch {
		case r >= '0' && r <= '9':
			next = 1
		case unicode.IsLetter(r) || unicode.Is(unicode.Mn, r):
			next = 2
		}
		if next != kind {
			flush()
		}
		kind = next
		if next == 0 {
			if sep == 0 && r != ' ' {
				sep = r
			}
			continue
		}
		run.WriteRune(r)
	}
	flush()
	return words, sep
}

func wordClass(w string) (class string, n int) {
	if w[0] >= '0' && w[0] <= '9' {
		return "figure", 0
	}
	word := fold(w)
	if m := vocabulary().months[word]; m > 0 {
		return "month", m
	}
	if vocabulary().skips[word] {
		return "skip", 0
	}
	return "", 0
}

func (d dateReader) withMonthName(cell string, month, at int, figures []string) (readDate, error) {
	switch len(figures) {
	case 0:
		return d.whole(cell, d.year, month)
	case 1:
		n, _ := strconv.Atoi(figures[0])
		if len(figures[0]) == 4 {
			return d.whole(cell, n, month)
		}
		return d.exact(cell, d.year, month, n)
	case 2:
		first, _ := strconv.Atoi(figures[0])
		second, _ := strconv.Atoi(figures[1])
		if len(figures[0]) == 4 {
			return d.exact(cell, first, month, second)
		}
		if len(figures[1]) <= 2 {
			second = d.century(second)
		}
		_ = at // 4 Mar 2026 and Mar 4 2026 are the same
		return d.exact(cell, second, month, first)
	}
	return readDate{}, fmt.Errorf("%q is not a date", shorten(cell))
}

func (d dateReader) inFigures(cell string, figures []string, sep rune) (readDate, error) {
	n := make([]int, len(figures))
	for i, f := range figures {
		n[i], _ = strconv.Atoi(f)
	}
	switch {
	case len(n) == 1 && len(figures[0]) == 8:
		return d.exact(cell, n[0]/10000, n[0]/100%100, n[0]%100)
	case len(n) == 1 && len(figures[0]) == 5:
		return readDate{}, fmt.Errorf("%q looks like the day number of a spreadsheet; give the column the form of a date there and save it again", cell)
	case len(n) == 2 && len(figures[0]) == 4:
		return d.whole(cell, n[0], n[1])
	case len(n) == 2 && len(figures[1]) == 4:
		return d.whole(cell, n[1], n[0])
	case len(n) == 2 && d.year > 0:
		return d.inAnyOrder(cell, n[0], n[1], d.year, false)
	case len(n) == 2:
		return readDate{}, fmt.Errorf("%q has no year", cell)
	case len(n) == 3 && len(figures[0]) == 4:
		return d.exact(cell, n[0], n[1], n[2])
	case len(n) == 3 && len(figures[2]) == 4:
		return d.inAnyOrder(cell, n[0], n[1], n[2], false)
	case len(n) == 3 && len(figures[2]) <= 2 && len(figures[0]) <= 2:
		return d.inAnyOrder(cell, n[0], n[1], d.century(n[2]), sep == '-' && len(figures[0]) == 2 && len(figures[1]) == 2 && len(figures[2]) == 2)
	}
	return readDate{}, fmt.Errorf("%q is not a date", shorten(cell))
}

// century gives a year of two figures its century: this one, unless that lies more
// than a year ahead.
func (d dateReader) century(y int) int {
	if y > 99 {
		return y
	}
	if 2000+y > d.today.Year+1 {
		return 1900 + y
	}
	return 2000 + y
}

func (d dateReader) inAnyOrder(cell string, a, b, c int, twoEach bool) (readDate, error) {
	r := readDate{a: a, b: b, c: c, twoEach: twoEach, period: 1}
	day, err1 := d.inOrder(r, DayFirst)
	month, err2 := d.inOrder(r, MonthFirst)
	year, err3 := d.inOrder(r, YearFirst)
	var sure []measure.Date
	for i, x := range []measure.Date{day, month, year} {
		if []error{err1, err2, err3}[i] == nil {
			sure = append(sure, x)
		}
	}
	switch {
	case len(sure) == 0:
		return readDate{}, d.why(cell, err1)
	case len(sure) == 1 || len(sure) == 2 && sure[0] == sure[1]:
		r.date = sure[0]
	}
	return r, nil
}

func (d dateReader) why(cell string, err error) error {
	return fmt.Errorf("%q cannot be a date: %w", shorten(cell), err)
}

// inOrder reads figures in one order.
func (d dateReader) inOrder(r readDate, order string) (measure.Date, error) {
	switch order {
	case DayFirst:
		return d.check(r.c, r.b, r.a)
	case MonthFirst:
		return d.check(r.c, r.a, r.b)
	}
	if !r.twoEach {
		return measure.Date{}, fmt.Errorf("the year does not come first")
	}
	return d.check(d.century(r.a), r.b, r.c%100)
}

func (d dateReader) check(year, month, day int) (measure.Date, error) {
	if year < 0 || year > 9999 || month < 0 || month > 99 || day < 0 || day > 99 {
		return measure.Date{}, fmt.Errorf("there is no such day")
	}
	date, err := measure.ParseDate(fmt.Sprintf("%04d-%02d-%02d", year, month, day))
	switch {
	case err != nil && (year < 1900 || year > 2199):
		return date, fmt.Errorf("the year %d is outside 1900 to 2199", year)
	case err != nil:
		return date, fmt.Errorf("there is no such day")
	case compareDates(date, d.today) > 0:
		return date, fmt.Errorf("%s lies in the future", date)
	}
	return date, nil
}

func (d dateReader) exact(cell string, year, month, day int) (readDate, error) {
	if year == 0 {
		return readDate{}, fmt.Errorf("%q has no year", shorten(cell))
	}
	date, err := d.check(year, month, day)
	if err != nil {
		return readDate{}, d.why(cell, err)
	}
	return readDate{date: date, period: 1}, nil
}

// whole is a month: its last day stands for all its days.
func (d dateReader) whole(cell string, year, month int) (readDate, error) {
	if year == 0 {
		return readDate{}, fmt.Errorf("%q has no year", shorten(cell))
	}
	if month < 1 || month > 12 {
		return readDate{}, fmt.Errorf("%q is neither a day nor a month", shorten(cell))
	}
	if _, err := d.check(year, month, 1); err != nil {
		return readDate{}, d.why(cell, err)
	}
	last := measure.DateOf(time.Date(year, time.Month(month)+1, 0, 0, 0, 0, 0, time.UTC))
	if compareDates(last, d.today) > 0 {
		return readDate{}, fmt.Errorf("%q is a month that is not over; leave it out until then", shorten(cell))
	}
	return readDate{date: last, period: last.Day}, nil
}

// decideOrder looks for members of a column that can be read in one order only.
// It returns the order, or "" with the choices when the column does not decide;
// likely is the one in which the days follow each other most closely.
func (d dateReader) decideOrder(column []readDate) (order string, choices []string, likely string) {
	orders := []string{DayFirst, MonthFirst, YearFirst}
	open := false
	fits := map[string]int{}
	span := map[string]int{}
	last := map[string]measure.Date{}
	figures := 0
	for _, r := range column {
		if r.c == 0 {
			continue
		}
		figures++
		open = open || r.open()
		for _, o := range orders {
			date, err := d.inOrder(r, o)
			if err != nil {
				continue
			}
			fits[o]++
			if !last[o].IsZero() {
				span[o] += min(4000, abs(date.DaysSince(last[o])))
			}
			last[o] = date
		}
	}
	if !open {
		return "", nil, ""
	}
	var best []string
	for _, o := range orders {
		if fits[o] == figures {
			best = append(best, o)
		}
	}
	if len(best) == 1 {
		return best[0], nil, ""
	}
	for _, o := range orders {
		if fits[o] > 0 {
			choices = append(choices, o)
			if likely == "" || fits[o] > fits[likely] || fits[o] == fits[likely] && span[o] < span[likely] {
				likely = o
			}
		}
	}
	return "", choices, likely
}

func abs(n int) int { return max(n, -n) }
