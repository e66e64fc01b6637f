package daybook

import (
	"fmt"
	"time"

	"henyear/measure"
)

// Period is a stretch of days, both included, with the name that a keeper gives it.
type Period struct {
	From    measure.Date `json:"from"`
	Through measure.Date `json:"through"`
	Name    string       `json:"name"`
}

// Days is the length of the period.
func (p Period) Days() int { return int(numberOf(p.Through)-numberOf(p.From)) + 1 }

// Span is how a book is cut into periods.
type Span string

// The spans. Seasons are of three whole months, from December, March, June and
// September, in both hemispheres; they are named by their months.
const (
	Weekly   Span = "week"
	Monthly  Span = "month"
	Seasonal Span = "season"
	Yearly   Span = "year"
)

// most periods of one answer: a century of weeks.
const mostPeriods = 5300

// Periods cuts the days from from through through into whole spans; the first and
// the last are cut to those days. An unknown span or too long a time is an error.
func Periods(span Span, from, through measure.Date) ([]Period, error) {
	begin, ok := map[Span]func(measure.Date) measure.Date{
		Weekly:   func(d measure.Date) measure.Date { return measure.WeekOf(d).Monday() },
		Monthly:  func(d measure.Date) measure.Date { return measure.Date{Year: d.Year, Month: d.Month, Day: 1} },
		Seasonal: seasonStart,
		Yearly:   func(d measure.Date) measure.Date { return measure.Date{Year: d.Year, Month: time.January, Day: 1} },
	}[span]
	if !ok {
		return nil, fmt.Errorf("span: %q is not a period; write week, month, season or year", shorten(string(span)))
	}
	var list []Period
	for start := from; compareDates(start, through) <= 0; {
		whole := begin(start)
		next := nextPeriod(span, whole)
		p := Period{From: start, Through: next.AddDays(-1), Name: periodName(span, whole)}
		if compareDates(p.Through, through) > 0 {
			p.Through = through
		}
		if len(list) == mostPeriods {
			return nil, fmt.Errorf("from: from %s to %s there are more than %d periods; choose longer ones", from, through, mostPeriods)
		}
		list = append(list, p)
		start = next
	}
	return list, nil
}

func seasonStart(d measure.Date) measure.Date {
	back := int(d.Month) % 3 // December, March, June and September begin
	return measure.DateOf(measure.Date{Year: d.Year, Month: d.Month, Day: 1}.Time().AddDate(0, -back, 0))
}

func nextPeriod(span Span, start measure.Date) measure.Date {
	months := map[Span]int{Monthly: 1, Seasonal: 3, Yearly: 12}[span]
	if span == Weekly {
		return start.AddDays(7)
	}
	return measure.DateOf(start.Time().AddDate(0, months, 0))
}

func periodName(span Span, start measure.Date) string {
	switch span {
	case Weekly:
		return measure.WeekOf(start).Label()
	case Monthly:
		return fmt.Sprintf("%s %d", start.Month, start.Year)
	case Seasonal:
		end := nextPeriod(span, start).AddDays(-1)
		if start.Year != end.Year {
			return fmt.Sprintf("%s %d to %s %d", start.Month, start.Year, end.Month, end.Year)
		}
		return fmt.Sprintf("%s to %s %d", start.Month, end.Month, end.Year)
	}
	return fmt.Sprintf("%d", start.Year)
}
