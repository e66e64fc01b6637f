package calendar

import "henyear/measure"

// series tells on which day a job stands in a calendar, and how often it comes
// from there, every so many days until its last.
//
// One job of the list stands for a month of a round. So that the rounds of one
// month join those of the next, those of whole weeks fall on Mondays, unless a
// tick has set them to another day; else the round of 29 January would be
// followed by that of 1 February.
func series(t Task, today measure.Date) (first measure.Date, times int) {
	switch {
	case t.Every <= 0 || !isDate(t.First) || !isDate(t.Last) || !t.First.Before(t.Last):
		return t.On, 1
	case t.State == Done && isDate(t.DoneOn):
		return t.DoneOn, 1
	case t.State == Done || t.State == Missed:
		return t.On, 1
	}
	first = t.On
	if t.State == Due && t.On == today || t.On.Before(t.First) {
		first = t.First
	}
	if first == t.First && t.Every%7 == 0 && t.Batch == "" && t.Group == "" && t.Kind != Leave {
		week := measure.WeekOf(first)
		for week.Monday().Before(first) || int(week)*7%t.Every != 0 {
			week++
		}
		if monday := week.Monday(); !t.Last.Before(monday) {
			first = monday
		}
	}
	if t.Last.Before(first) {
		return t.On, 1
	}
	return first, t.Last.DaysSince(first)/t.Every + 1
}
