package calendar

import (
	"fmt"

	"henyear/climate"
	"henyear/course"
	"henyear/measure"
)

// lampLeastH is the lamplight below which the timer is not worth setting.
const lampLeastH = 0.1

// lights puts the lamps on the list, when the plan has them: the timer month by
// month, and the days on which they begin and end.
func (l *lister) lights() {
	if !l.in.Plan.Lights {
		return
	}
	lamps := climate.Lamps{LatitudeDeg: l.in.Holding.Place.Climate.LatitudeDeg, DayH: course.LightsH}
	weeks := lamps.Year().Weeks
	lit := func(w measure.Week) climate.LampWeek { return weeks[w.Slot()] }
	months := map[string]bool{}
	for w := measure.WeekOf(l.start); !l.in.Plan.To.Before(w.Monday()); w++ {
		now, before := lit(w), lit(w-1)
		switch {
		case now.LampH >= lampLeastH && before.LampH < lampLeastH:
			l.lamp("lights-on", w, "Lamps on from today, by a timer and in the morning: a little before sunrise, and each week half an hour longer at most, up to a day of "+hours(course.LightsH)+". Only for hens older than twenty weeks.",
				"The day falls below "+hours(course.LightsH)+": hens lay on as long as it does not grow shorter.")
		case now.LampH < lampLeastH && before.LampH >= lampLeastH:
			l.lamp("lights-off", w, "Lamps off: the sun gives as long a day by itself. Clean them and note the hours they burnt.",
				"A lamp beside a long day burns for nothing.")
		}
		key := monthKey(w.Middle().Year, w.Middle().Month)
		if now.LampH < lampLeastH || months[key] {
			continue
		}
		months[key] = true
		l.timer(key, w, lit)
	}
}

func hours(h float64) string {
	return measure.Round(h, 1) + " hours"
}

func (l *lister) lamp(code string, w measure.Week, what, why string) {
	on := later(w.Monday(), l.start)
	if !l.needed(row{Needs: []string{"birds"}}, on) {
		return
	}
	t := Task{ID: fmt.Sprintf("%s/%d", code, w.Year()), Kind: Light, On: on, First: on, Last: on.AddDays(7), Clock: -1, Minutes: 20, Timed: "guess", Who: Anyone,
		What: sentence(code+".what", "", "%s", what), Why: sentence(code+".why", "lamps_practice", "%s", why), Caution: l.lampCaution()}
	l.add(t, row{Code: code, Late: 21, Say: "Do it now; go on from the day as it is, half an hour a week, never in one leap.", Away: "sitter"}, nil)
}

func (l *lister) lampCaution() *daybookSentence {
	s := sentence("caution.lamp", "calendar-lamp-cut", "A lamp that goes out at night leaves hens on the floor: lengthen the morning. Small cool lamps, fixed and dry; never a heat lamp.")
	return &s
}

// timer is the job of a month: how long the lamps burn.
func (l *lister) timer(key string, w measure.Week, lit func(measure.Week) climate.LampWeek) {
	month := measure.Date{Year: w.Middle().Year, Month: w.Middle().Month, Day: 1}
	first, last := later(later(w.Monday(), month), l.start), lastOf(month.Year, month.Month)
	if last.Before(first) || !l.needed(row{Needs: []string{"birds"}}, first) {
		return
	}
	most, least := lit(w).LampH, lit(w).LampH
	for v := w; v.Middle().Month == w.Middle().Month; v++ {
		most, least = max(most, lit(v).LampH), min(least, lit(v).LampH)
	}
	span := hours(most)
	switch {
	case least < lampLeastH:
		span = "up to " + span
	case measure.Round(least, 1) != measure.Round(most, 1):
		span = measure.Round(least, 1) + " to " + hours(most)
	}
	t := Task{ID: "lights/" + key, Kind: Light, On: first, First: first, Last: last, Clock: -1, Every: 7, Minutes: 3, Timed: "guess", Who: Anyone,
		What: sentence("lights.what", "", "Set the timer: %s of lamplight before sunrise, for a day of %s with the sun's. That day is never more than half an hour longer than last week's, and never shorter; see that it burns.", span, hours(course.LightsH)),
		Why:  sentence("lights.why", "lamps_cornell", "Sunrise moves every week, and a day that shortens stops hens in lay."), Caution: l.lampCaution()}
	if first.DaysSince(l.start) < 35 && lit(w-1).LampH >= climate.LampStepH {
		t.What.Text += " If no lamp burns yet, begin with half an hour and add half an hour each week."
	}
	l.add(t, row{Code: "lights", Away: "sitter"}, nil)
}
