// Package measure holds the plain quantities that every other room uses: civil
// dates and week numbers, money, and the conversions between metric and US
// units. Everything inside the program is metric; the conversions here are used
// at the edges only (reading a holding, showing a figure).
package measure

import (
	"fmt"
	"time"
)

// Date is a civil date without a time zone, as a keeper writes it in a book.
// The zero Date means "not given".
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// ParseDate reads an ISO 8601 calendar date, 2026-01-31. It refuses dates that
// do not exist (29 February of a common year) and years outside 1900-2199.
func ParseDate(text string) (Date, error) {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return Date{}, fmt.Errorf("%q is not a date; write it as year-month-day, for example 2026-03-15", text)
	}
	if t.Year() < 1900 || t.Year() > 2199 {
		return Date{}, fmt.Errorf("the year of %q is outside 1900 to 2199", text)
	}
	return DateOf(t), nil
}

// DateOf takes the civil date out of an instant, in the instant's own zone.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date{y, m, d}
}

// Time is midnight UTC at the start of the date; use it for arithmetic only.
func (d Date) Time() time.Time { return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC) }

// IsZero reports whether the date was not given.
func (d Date) IsZero() bool { return d == Date{} }

// String writes the date as ISO 8601, which no reader can take for another day.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day) }

// Words writes the date for a page: 15 March 2026.
func (d Date) Words() string { return fmt.Sprintf("%d %s %d", d.Day, d.Month, d.Year) }

// MarshalText writes ISO 8601; the zero date is the empty text.
func (d Date) MarshalText() ([]byte, error) {
	if d.IsZero() {
		return nil, nil
	}
	return []byte(d.String()), nil
}

// UnmarshalText reads what MarshalText writes.
func (d *Date) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*d = Date{}
		return nil
	}
	v, err := ParseDate(string(b))
	if err != nil {
		return err
	}
	*d = v
	return nil
}

// AddDays returns the date n days later (earlier when n is negative).
func (d Date) AddDays(n int) Date { return DateOf(d.Time().AddDate(0, 0, n)) }

// DaysSince returns the number of days from e to d.
func (d Date) DaysSince(e Date) int { return int(d.Time().Sub(e.Time()).Hours() / 24) }

// Before reports whether d is earlier than e.
func (d Date) Before(e Date) bool { return d.Time().Before(e.Time()) }

// After reports whether d is later than e.
func (d Date) After(e Date) bool { return d.Time().After(e.Time()) }

// Compare is -1, 0 or 1 as d is earlier than, the same as, or later than e.
func (d Date) Compare(e Date) int { return d.Time().Compare(e.Time()) }

// YearDay is the day of the year, 1 to 366.
func (d Date) YearDay() int { return d.Time().YearDay() }

// Week counts whole weeks from Monday 1970-01-05 (week 0). Weeks run Monday to
// Sunday. ISO week numbers are for display only; see Week.Label.
type Week int32

var weekZero = Date{1970, time.January, 5}

// WeekOf returns the week that holds the date.
func WeekOf(d Date) Week {
	n := d.DaysSince(weekZero)
	if n < 0 {
		return Week((n - 6) / 7)
	}
	return Week(n / 7)
}

// Monday is the first day of the week.
func (w Week) Monday() Date { return weekZero.AddDays(7 * int(w)) }

// Middle is the Thursday of the week: the day that decides to which month and
// year a week belongs, as in ISO 8601.
func (w Week) Middle() Date { return w.Monday().AddDays(3) }

// Year is the calendar year that holds most of the week.
func (w Week) Year() int { return w.Middle().Year }

// Month is the calendar month that holds most of the week.
func (w Week) Month() time.Month { return w.Middle().Month }

// Label is the ISO 8601 week, for example 2026-W09.
func (w Week) Label() string {
	y, n := w.Monday().Time().ISOWeek()
	return fmt.Sprintf("%04d-W%02d", y, n)
}

// The steady year is 52 equal slots of 365.2425/52 days.
const (
	SlotsPerYear = 52
	DaysPerYear  = 365.2425
	DaysPerSlot  = DaysPerYear / SlotsPerYear
)

// Slot is the part of the steady year, 0 to 51, in which the middle of the week
// falls; slot 0 begins on 1 January.
func (w Week) Slot() int {
	return min(SlotsPerYear-1, int(float64(w.Middle().YearDay()-1)/DaysPerSlot))
}

// SlotMiddle is the day of the year (1 to 365) in the middle of a slot of the
// steady year.
func SlotMiddle(slot int) int { return 1 + int((float64(slot)+0.5)*DaysPerSlot) }

// SlotMonth is the month in which the middle of a slot falls (common year).
func SlotMonth(slot int) time.Month {
	return Date{2025, time.January, 1}.AddDays(SlotMiddle(slot) - 1).Month
}
