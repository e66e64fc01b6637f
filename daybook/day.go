package daybook

import (
	"time"

	"henyear/measure"
)

// dayNumber counts days from 1970-01-01, so that the days of a long book are
// added up without asking the calendar each time.
type dayNumber int32

func numberOf(d measure.Date) dayNumber {
	// Years are counted from March, so that the leap day comes last.
	y, m := int32(d.Year), int32(d.Month)
	if m <= 2 {
		y--
		m += 12
	}
	return dayNumber(365*y + y/4 - y/100 + y/400 + (153*(m-3)+2)/5 + int32(d.Day) - 1 - 719468)
}

func (d dayNumber) date() measure.Date {
	return measure.DateOf(time.Unix(int64(d)*86400, 0).UTC())
}
