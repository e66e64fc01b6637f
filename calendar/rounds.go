package calendar

import (
	"fmt"
	"math"
	"slices"
	"time"

	"henyear/climate"
	"henyear/measure"
	"henyear/plan"
)

func (l *lister) southern() bool { return l.in.Holding.Place.Climate.Southern() }

// tropicDeg is the latitude within which the seasons do not turn.
const tropicDeg = 23.44

func (l *lister) tropical() bool {
	return math.Abs(l.in.Holding.Place.Climate.LatitudeDeg) < tropicDeg
}

// normal is the usual weather of the week of a day.
func (l *lister) normal(d measure.Date) climate.WeekNormal { return l.year[measure.WeekOf(d).Slot()] }

// northern is the month of the north that has the season of a month here.
func (l *lister) northern(m time.Month) time.Month {
	if l.southern() {
		return (m+5)%12 + 1
	}
	return m
}

// inSeason reports whether a round is due in a month.
func (l *lister) inSeason(r row, m time.Month) bool {
	if r.Months != nil {
		return slices.Contains(r.Months, int(l.northern(m)))
	}
	north := l.northern(m)
	warm := l.tropical() || north >= time.May && north <= time.October
	return r.Season == "all" || r.Season == "warm" && warm || r.Season == "cold" && !warm
}

// rounds puts the jobs of the season on the list, month by month.
func (l *lister) rounds() {
	end := l.in.Plan.To
	for y, m := l.start.Year, l.start.Month; !end.Before(measure.Date{Year: y, Month: m, Day: 1}); y, m = nextMonth(y, m) {
		for _, r := range l.tables.rounds {
			if l.inSeason(r, m) {
				l.round(r, y, m)
			}
		}
	}
	l.weather()
	l.lights()
}

func nextMonth(y int, m time.Month) (int, time.Month) {
	if m == time.December {
		return y + 1, time.January
	}
	return y, m + 1
}

func (l *lister) round(r row, y int, m time.Month) {
	month := measure.Date{Year: y, Month: m, Day: 1}
	ny, nm := nextMonth(y, m)
	first, last := month, measure.Date{Year: ny, Month: nm, Day: 1}.AddDays(-1)
	if r.Months != nil {
		first = month.AddDays(r.Day - 1)
		if r.Day < 0 {
			first = month.AddDays(r.Day)
		}
		last = first.AddDays(r.Days)
	}
	if last.Before(l.start) {
		return
	}
	first = later(first, l.start)
	if l.in.Plan.To.Before(first) || !l.needed(r, first) {
		return
	}
	l.addRound(r, r.Code+"/"+monthKey(y, m), first, earlier(last, l.in.Plan.To), l.roundWords(r, month, first, last))
}

// addRound puts a round on the list that is due on the first day, and may come
// sooner where its row says so.
func (l *lister) addRound(r row, id string, first, last measure.Date, w words) {
	r.Day, r.After = 0, last.DaysSince(first)
	t := l.taskOf(r, id, first, w)
	if r.Minutes < 0 {
		t.Minutes = l.dailyMinutes(first)
	}
	t.Minutes += r.Each * l.rowOf(first).Hens
	l.add(t, r, nil)
}

// needed reports whether the flock has what a round is for.
func (l *lister) needed(r row, on measure.Date) bool {
	week := l.rowOf(on)
	kills := l.in.Holding.Means.WillKill
	for _, n := range r.Needs {
		ok := true
		switch n {
		case "birds":
			ok = week.Birds >= 0.5
		case "yearlings":
			ok = week.Hens >= 0.5 && l.oldHens(on)
		case "kill":
			ok = kills
		case "nokill":
			ok = !kills
		}
		if !ok {
			return false
		}
	}
	return true
}

// oldHensDays is the age from which a hen has a season of lay behind her.
const oldHensDays = 300

func (l *lister) oldHens(on measure.Date) bool {
	return slices.ContainsFunc(l.lots, func(x *lot) bool {
		return x.gone == nil && !x.meat() && x.pullets >= 0.5 && on.DaysSince(x.now.hatch) >= oldHensDays
	})
}

// rowOf is the week of the plan that holds a day; the nearest where there is none.
func (l *lister) rowOf(d measure.Date) plan.WeekRow {
	weeks := l.in.Plan.Weeks
	if len(weeks) == 0 {
		return plan.WeekRow{}
	}
	k := d.DaysSince(weeks[0].Date)
	return weeks[max(0, min(len(weeks)-1, int(math.Floor(float64(k)/7))))]
}

// dailyMinutes of the daily round alone: ten and a third for each bird. Key:
// plan-minutes.
func (l *lister) dailyMinutes(d measure.Date) float64 {
	return 10 + 0.33*l.rowOf(d).Birds
}

// feedBetween is the feed that the plan buys for the days from first to last.
func (l *lister) feedBetween(first, last measure.Date) float64 {
	kg := 0.0
	for d := first; !last.Before(d); d = d.AddDays(1) {
		kg += l.rowOf(d).FeedKg / 7
	}
	return kg
}

func (l *lister) roundWords(r row, month, first, last measure.Date) words {
	w := words{"month": month.Month.String(), "feedsplit": "", "culls": "", "run": ""}
	switch r.Code {
	case "feed":
		ny, nm := nextMonth(month.Year, month.Month)
		end := measure.Date{Year: ny, Month: nm, Day: 1}.AddDays(-1)
		w["feed"] = weight(l.feedBetween(month, end), l.in.Holding.Units)
		if l.rowOf(month).Chicks+l.rowOf(end).Chicks >= 1 {
			w["feedsplit"] = ", starter for the chicks among it"
		}
	case "housing-order":
		w["run"] = "there is no covered run, so net and roof a corner now."
		if m2 := l.in.Holding.Means.CoveredRunM2; m2 > 0 {
			x, unit := l.in.Holding.Units.Show(measure.AreaM2, m2)
			w["run"] = fmt.Sprintf("is the covered run (%s %s) tight against wild birds and their droppings, and does it hold all birds for weeks?", measure.Round(x, 0), unit)
		}
	case "cull-check":
		if n := l.cullsFrom(first, last.AddDays(60)); math.Round(n) >= 1 {
			w["culls"] = fmt.Sprintf(" The plan takes out about %s soon after.", count(n, "hen"))
		}
	}
	return w
}

// cullsFrom counts the hens that the plan takes out from one day to another.
func (l *lister) cullsFrom(first, last measure.Date) float64 {
	n := 0.0
	for _, x := range l.lots {
		for _, f := range x.fates {
			if f.Sex == "hen" && f.What == "culled for the pot" && !f.On.Before(first) && !last.Before(f.On) {
				n += f.Birds
			}
		}
	}
	return n
}
