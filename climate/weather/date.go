package weather

import (
	"bytes"
	"time"

	"henyear/measure"
)

// First and last year that a file may speak of. No thermometer is older; dates
// after today are dropped anyway.
const (
	firstYear = 1700
	lastYear  = 2199
)

// daysBefore counts the days of a common year before each month.
var daysBefore = [13]int{0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365}

func leap(year int) bool { return year%4 == 0 && (year%100 != 0 || year%400 == 0) }

func daysOfMonth(year, month int) int {
	if month == 2 && leap(year) {
		return 29
	}
	return daysBefore[month] - daysBefore[month-1]
}

func daysOfYear(year int) int {
	if leap(year) {
		return 366
	}
	return 365
}

// A moment is a date in a file, with the minute of the day where it is given.
type moment struct {
	year, month, day int // day 0: a whole month
	minute           int // of the day, 0 to 1440; -1 when no time is given
}

// real reports whether the date exists.
func (m moment) real() bool {
	return m.year >= firstYear && m.year <= lastYear && m.month >= 1 && m.month <= 12 &&
		m.day >= 1 && m.day <= daysOfMonth(m.year, m.month)
}

// yearDay is the day of the year, 0 to 365.
func (m moment) yearDay() int {
	n := daysBefore[m.month-1] + m.day - 1
	if m.month > 2 && leap(m.year) {
		n++
	}
	return n
}

// onYearDay is the inverse of yearDay.
func onYearDay(year, yearDay int) measure.Date {
	month := 1
	for yearDay >= daysOfMonth(year, month) {
		yearDay -= daysOfMonth(year, month)
		month++
	}
	return measure.Date{Year: year, Month: time.Month(month), Day: yearDay + 1}
}

// A dateOrder says how the parts of a date follow each other.
type dateOrder int

const (
	yearFirst dateOrder = iota
	dayFirst
	monthFirst
)

// parseMoment reads a date with or without a time of day: 2024-01-15, 20240115,
// 2024-01 (a month), 2024-01-15T06:00, and with other order or marks 15/01/2024 or
// 15.01.2024 06:00. It reports false for anything else; whether the day exists is
// left to real.
func parseMoment(text []byte, order dateOrder) (moment, bool) {
	date, clock := text, []byte(nil)
	if i := bytes.IndexAny(text, "T "); i > 0 {
		date, clock = text[:i], bytes.TrimSpace(text[i+1:])
	}
	m, ok := parseDate(date, order)
	if !ok {
		return m, false
	}
	m.minute = -1
	if len(clock) > 0 {
		m.minute, ok = parseClock(clock)
	}
	return m, ok
}

func parseDate(date []byte, order dateOrder) (moment, bool) {
	var parts [3]int
	n, width, firstWidth := 0, 0, 0
	for _, b := range date {
		switch {
		case b >= '0' && b <= '9':
			if width++; width > 8 {
				return moment{}, false
			}
			parts[n] = parts[n]*10 + int(b-'0')
		case (b == '-' || b == '/' || b == '.') && width > 0 && n < 2:
			if n == 0 {
				firstWidth = width
			}
			n, width = n+1, 0
		default:
			return moment{}, false
		}
	}
	if width == 0 {
		return moment{}, false
	}
	switch {
	case n == 0 && width == 8:
		return moment{year: parts[0] / 10000, month: parts[0] / 100 % 100, day: parts[0] % 100}, true
	case n == 1 && firstWidth == 4:
		return moment{year: parts[0], month: parts[1]}, parts[1] >= 1 && parts[1] <= 12
	case n == 2 && firstWidth == 4:
		return moment{year: parts[0], month: parts[1], day: parts[2]}, true
	case n == 2 && width == 4 && order == monthFirst:
		return moment{year: parts[2], month: parts[0], day: parts[1]}, true
	case n == 2 && width == 4:
		return moment{year: parts[2], month: parts[1], day: parts[0]}, true
	}
	return moment{}, false
}

// parseClock reads 6:00, 06:00, 06:00:30, 0600 or 06, with an offset from Greenwich
// behind it, which is left to the caller. 24:00 is the end of the day.
func parseClock(clock []byte) (minute int, ok bool) {
	if i := bytes.IndexAny(clock, "Z+-"); i >= 0 {
		clock = bytes.TrimSpace(clock[:i])
	}
	hours, rest, colon := bytes.Cut(clock, []byte(":"))
	var h, m int
	switch {
	case colon:
		minutes, _, _ := bytes.Cut(rest, []byte(":"))
		var good bool
		h, ok = integer(hours)
		m, good = integer(minutes)
		ok = ok && good
	case len(clock) == 4 || len(clock) == 3:
		h, ok = integer(clock)
		h, m = h/100, h%100
	default:
		h, ok = integer(clock)
	}
	if !ok || m > 59 || h*60+m > 24*60 {
		return 0, false
	}
	return h*60 + m, true
}
