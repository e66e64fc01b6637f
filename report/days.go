package report

import (
	"time"

	"henyear/measure"
)

// Weekday is the name of the day of the week.
func Weekday(d measure.Date) string { return d.Time().Weekday().String() }

// MonthName is the name of a month.
func MonthName(m time.Month) string { return m.String() }

// Monday is the Monday of the week in which a day lies.
func Monday(d measure.Date) measure.Date { return d.AddDays(-(int(d.Time().Weekday()) + 6) % 7) }
