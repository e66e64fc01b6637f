package plan

import (
	"time"

	"henyear/measure"
)

// A period is a run of weeks that shares one set of rows in the programme.
// Clean eggs keep four to five weeks, so a household does not feel a lean week
// inside a period of four: that is what makes four-week rows honest.
type period struct {
	first, weeks int // index of the first week, number of weeks
	year         int // calendar year of its middle; 0 in a steady year
	month        time.Month
}

// A grid is the time of a programme: weeks counted from its start, gathered
// into periods. A cyclic grid is the steady year: week 52 is week 0 again.
type grid struct {
	start   measure.Week
	weeks   int
	periods []period
	of      []int // week -> period
	slot    []int // week -> slot of the steady year
	cyclic  bool
}

// Weeks in rows of two weeks before the grid changes to rows of four.
const fineWeeks = 26

// newGrid lays periods over the rest of the year of the given day and the two
// years after it: two-week rows in the first half year, four-week rows after it.
// With weekly, every row is one week.
func newGrid(day measure.Date, weekly bool) grid {
	start := measure.WeekOf(day)
	end := measure.WeekOf(measure.Date{Year: day.Year + 2, Month: time.December, Day: 31})
	if end.Year() > day.Year+2 {
		end--
	}
	g := grid{start: start, weeks: int(end-start) + 1}
	for t := 0; t < g.weeks; {
		n := 4
		switch {
		case weekly:
			n = 1
		case t < fineWeeks:
			n = 2
		}
		if left := g.weeks - t; left < n || left < n+2 && !weekly {
			n = left
		}
		mid := start + measure.Week(t+n/2)
		year := max(mid.Year(), day.Year)
		if t == 0 {
			year = day.Year // the year of the day itself is always one of the plan's
		}
		g.add(period{first: t, weeks: n, year: year, month: mid.Month()})
		t += n
	}
	for t := range g.weeks {
		g.slot = append(g.slot, (start + measure.Week(t)).Slot())
	}
	return g
}

// steadyGrid is one year of 52 slots in 13 periods of four, without beginning
// or end.
func steadyGrid() grid {
	g := grid{weeks: measure.SlotsPerYear, cyclic: true}
	for t := 0; t < g.weeks; t += 4 {
		g.add(period{first: t, weeks: 4, month: measure.SlotMonth(t + 2)})
	}
	for t := range g.weeks {
		g.slot = append(g.slot, t)
	}
	return g
}

func (g *grid) add(p period) {
	for range p.weeks {
		g.of = append(g.of, len(g.periods))
	}
	g.periods = append(g.periods, p)
}

// in maps a week to a week of the grid; ok is false outside the horizon.
func (g *grid) in(t int) (int, bool) {
	if g.cyclic {
		t %= g.weeks
		if t < 0 {
			t += g.weeks
		}
		return t, true
	}
	return t, t >= 0 && t < g.weeks
}

// slotOf is the slot of the steady year of any week, also one outside the grid.
func (g *grid) slotOf(t int) int {
	if u, ok := g.in(t); ok {
		return g.slot[u]
	}
	return (g.start + measure.Week(t)).Slot()
}

// date is the Monday of a week of a calendar grid.
func (g *grid) date(t int) measure.Date { return (g.start + measure.Week(t)).Monday() }

// snap moves a week to the beginning of the period it falls into, so that what
// happens on it falls between rows.
func (g *grid) snap(t int) int {
	u, ok := g.in(t)
	if !ok {
		return t
	}
	return t - (u - g.periods[g.of[u]].first)
}
