package calendar

import (
	"cmp"
	"fmt"
	"slices"

	"henyear/daybook"
	"henyear/holding"
	"henyear/measure"
)

// chickDays is how long chicks may not be left to a sitter. Key: calendar-away.
const chickDays = 21

// joined are the trips in order, those that touch or overlap as one.
func joined(trips []holding.Away) []holding.Away {
	list := slices.Clone(trips)
	slices.SortFunc(list, func(a, b holding.Away) int { return cmp.Or(compare(a.From, b.From), compare(a.To, b.To)) })
	var out []holding.Away
	for _, a := range list {
		if n := len(out); n > 0 && !out[n-1].To.AddDays(1).Before(a.From) {
			out[n-1].To = later(out[n-1].To, a.To)
			continue
		}
		out = append(out, a)
	}
	return out
}

// awayOn is the trip on a day, or nil.
func (l *lister) awayOn(d measure.Date) *holding.Away {
	for i := range l.away {
		a := &l.away[i]
		if !d.Before(a.From) && !a.To.Before(d) {
			return a
		}
	}
	return nil
}

// noChicks reports whether chicks that hatch or come on a day would meet a trip
// before they are three weeks old.
func (l *lister) noChicks(d measure.Date) *holding.Away {
	for i := range l.away {
		a := &l.away[i]
		if !a.To.Before(d) && !d.AddDays(chickDays-1).Before(a.From) {
			return a
		}
	}
	return nil
}

// keepFromAway moves a lot that has not begun to the nearest day on which nobody
// is away at its hatch and for three weeks after it; the earlier of two equally
// near, but never into the past.
func (l *lister) keepFromAway(x *lot) {
	day, begins := x.planned.hatch, x.planned.set
	blocked := l.noChicks
	if x.bought() {
		day, begins = x.planned.arrive, x.planned.arrive
		if x.grown() {
			blocked = l.awayOn
		}
	}
	trip := blocked(day)
	if trip == nil || day.Before(l.in.Today) {
		return
	}
	for n := 1; n < 3*366; n++ {
		for _, shift := range []int{-n, n} {
			if blocked(day.AddDays(shift)) == nil && !begins.AddDays(shift).Before(l.in.Today) {
				x.now = x.planned.shifted(shift)
				x.moveFates(shift)
				s := sentence("moved.away", "calendar-away", "Moved by %s: you are away %s, and no chicks hatch or are under three weeks old then.", signedDays(shift), spanWords(trip.From, trip.To))
				if x.grown() {
					s.Text = fmt.Sprintf("Moved by %s: you are away %s.", signedDays(shift), spanWords(trip.From, trip.To))
				}
				x.moved = &s
				return
			}
		}
	}
}

func signedDays(n int) string {
	if n < 0 {
		return days(-n) + " earlier"
	}
	return days(n) + " later"
}

// freeDay is the day nearest to on, from first to last, on which somebody is at
// home; the earlier of two. It reports false where there is none.
func (l *lister) freeDay(on, first, last measure.Date) (measure.Date, bool) {
	for n := 0; n <= last.DaysSince(first); n++ {
		for _, d := range []measure.Date{on.AddDays(-n), on.AddDays(n)} {
			if !d.Before(first) && !last.Before(d) && l.awayOn(d) == nil {
				return d, true
			}
		}
	}
	return on, false
}

// dodge moves a job out of a trip within its window, or says who could do it.
func (l *lister) dodge(t *Task, r row) {
	trip := l.awayOn(t.On)
	if trip == nil {
		return
	}
	when := spanWords(trip.From, trip.To)
	say := func(code, format string, a ...any) {
		s := sentence("away."+code, "calendar-away", format, a...)
		t.Away = &s
	}
	if r.Away == "sitter" {
		say("sitter", "You are away %s: this goes to the sitter.", when)
		t.Who = Anyone
		return
	}
	if back := trip.To.AddDays(1); t.Every > 1 && !t.Last.Before(back) && l.awayOn(back) == nil {
		t.On = back // a round waits until somebody is back
		return
	}
	first := later(t.First, l.in.Today)
	if d, ok := l.freeDay(t.On, first, t.Last); ok && t.Every == 0 && !t.Last.Before(first) {
		if d != t.On {
			s := sentence("moved.away.task", "calendar-away", "Moved from %s: you are away %s.", dayMonth(t.On), when)
			t.On, t.Moved = d, &s
		}
		return
	}
	switch {
	case r.Away == "present":
		say("present", "You are away %s, and this cannot wait: somebody who knows hens and has done it with you must come, or it falls through.", when)
	case t.Who == Anyone:
		say("anyone", "You are away %s: a neighbour or the sitter can do it from this sheet.", when)
	default:
		say("knows", "You are away %s and it does not fit before or after: ask a keeper nearby, or let it fall out this once.", when)
	}
}

// trips are the jobs around weeks away. What is done every day goes to the sitter,
// and says so.
func (l *lister) trips() {
	for _, a := range l.away {
		when := spanWords(a.From, a.To)
		id := "away-" + a.From.String() + "/"
		put := func(code string, on, first, last measure.Date, minutes float64, who Who, what, why string) {
			t := Task{ID: id + code, Kind: Leave, On: on, First: first, Last: last, Clock: -1, Minutes: minutes, Timed: "guess", Who: who,
				What: sentence("away."+code+".what", "", "%s", what), Why: sentence("away."+code+".why", "calendar-away", "%s", why)}
			if code != "back" && code != "stock-up" {
				t.Caution = l.caution("signs")
			}
			late := row{Code: "away-" + code}
			if code == "back" {
				late.Late, late.Say = 7, "Do it tonight: what went wrong meanwhile is still fresh."
			}
			l.add(t, late, nil)
		}
		feed := l.feedBetween(a.From, a.To)
		put("hand-over", a.From.AddDays(-3), a.From.AddDays(-10), a.From.AddDays(-1), 60, Keeper,
			fmt.Sprintf("Walk the round with whoever looks after the flock %s: feed, water, eggs, the door at dusk, the signs of illness, the number of the vet.", when),
			"A sitter who has done it once with you sees what is wrong; a sheet alone does not show it.")
		put("stock-up", a.From.AddDays(-2), a.From.AddDays(-10), a.From.AddDays(-1), 30, Anyone,
			fmt.Sprintf("Fill the bins for the time away: about %s of feed, and grit and bedding within reach.", weight(feed, l.in.Holding.Units)),
			"What the birds eat in those days, and a little more for rain and visitors.")
		put("back", a.To.AddDays(1), a.To.AddDays(1), a.To.AddDays(4), 30, Keeper,
			"Back home: count the birds, handle a few, ask the sitter what was odd, and write down eggs and losses.",
			"A gap in the book is filled best on the first evening.")
	}
}

// caution is the sentence of a key of cautions.toml.
func (l *lister) caution(key string) *daybook.Sentence {
	c, ok := l.tables.cautions[key]
	if !ok {
		return nil
	}
	s := sentence("caution."+key, c.Source, "%s", c.Text)
	return &s
}
