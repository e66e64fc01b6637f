package calendar

import (
	"fmt"
	"slices"
	"time"

	"henyear/climate"
	"henyear/measure"
)

// watchNights is from how many frost nights (or hot days) of seven on the mean a
// week belongs to the watch. Key: calendar-frost-share.
const watchNights = 1

// quietWeeks is for how long it must have been free of them before the next season
// needs making ready for.
const quietWeeks = 8

// A weatherWatch is one of the two: frost or heat.
type weatherWatch struct {
	name  string
	share func(climate.WeekNormal) float64
	why   func(l *lister, nights float64) string
}

var watches = []weatherWatch{
	{"frost", func(w climate.WeekNormal) float64 { return w.FrostNights }, func(l *lister, n float64) string {
		return fmt.Sprintf("By the usual weather of %s about %s nights in seven freeze then. Large combs suffer from %s down in damp or wind.", l.placeName(), measure.Round(n, 0), temperature(-7, l.in.Holding.Units))
	}},
	{"heat", func(w climate.WeekNormal) float64 { return w.HotDays }, func(l *lister, n float64) string {
		return fmt.Sprintf("By the usual weather of %s about %s days in seven rise above %s then. Heavy birds suffer first.", l.placeName(), measure.Round(n, 0), temperature(32, l.in.Holding.Units))
	}},
}

func (l *lister) placeName() string {
	if n := l.in.Holding.Place.Climate.Name; n != "" {
		return n
	}
	return "this place"
}

// weather puts the watches on the list: a round for each month of the season, and
// a job before the season begins. A place that freezes in every week of the year
// has the rounds alone, one that never does has neither.
func (l *lister) weather() {
	for _, watch := range watches {
		months := map[string][]measure.Date{}
		var keys []string
		nights := map[string]float64{}
		for w := measure.WeekOf(l.start); !l.in.Plan.To.Before(w.Monday()); w++ {
			share := watch.share(l.year[w.Slot()])
			if share < watchNights {
				continue
			}
			if l.begins(watch, w) {
				l.ready(watch, w)
			}
			for k := range 7 {
				d := w.Monday().AddDays(k)
				key := monthKey(d.Year, d.Month)
				if months[key] == nil {
					keys = append(keys, key)
				}
				months[key] = append(months[key], d)
				nights[key] = max(nights[key], share)
			}
		}
		for _, key := range keys {
			l.watch(watch, key, months[key][0], months[key][len(months[key])-1], nights[key])
		}
	}
}

// begins reports whether a week is the first after a quiet time.
func (l *lister) begins(watch weatherWatch, w measure.Week) bool {
	for k := 1; k <= quietWeeks; k++ {
		if watch.share(l.year[(w-measure.Week(k)).Slot()]) >= watchNights {
			return false
		}
	}
	return true
}

func (l *lister) rowsOf(season string) []row {
	return slices.DeleteFunc(slices.Clone(l.tables.rounds), func(r row) bool { return r.Season != season })
}

// readyDays is how long before the season it is made ready for, and how long that
// may take.
const readyDays = 28

func (l *lister) ready(watch weatherWatch, w measure.Week) {
	first, last := w.Monday().AddDays(-readyDays), w.Monday().AddDays(-1)
	if last.Before(l.start) {
		return
	}
	first = later(first, l.start)
	words := words{watch.name + "why": watch.why(l, l.worst(watch, w))}
	for _, r := range l.rowsOf("before-" + watch.name) {
		if l.needed(r, first) {
			l.addRound(r, fmt.Sprintf("%s/%d", r.Code, w.Year()), first, last, words)
		}
	}
}

// worst is the worst week of the season that begins in a week.
func (l *lister) worst(watch weatherWatch, w measure.Week) float64 {
	most := 0.0
	for k := range 26 {
		most = max(most, watch.share(l.year[(w+measure.Week(k)).Slot()]))
	}
	return most
}

func (l *lister) watch(watch weatherWatch, key string, first, last measure.Date, nights float64) {
	first, last = later(first, l.start), earlier(last, l.in.Plan.To)
	words := words{watch.name + "why": watch.why(l, nights)}
	for _, r := range l.rowsOf(watch.name) {
		if !last.Before(first) && l.needed(r, first) {
			l.addRound(r, r.Code+"/"+key, first, last, words)
		}
	}
}

// lastOf is the last day of a month.
func lastOf(y int, m time.Month) measure.Date {
	ny, nm := nextMonth(y, m)
	return measure.Date{Year: ny, Month: nm, Day: 1}.AddDays(-1)
}
