package web

import (
	"cmp"
	"math"
	"net/http"
	"slices"
	"strconv"
	"time"

	"henyear/calendar"
	"henyear/climate"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
	"henyear/report"
)

// sitterSheet is what a neighbour needs to look after the flock for some days.
type sitterSheet struct {
	From, To    string
	Days        []string
	Daily       []jobLine
	Rounds      []jobLine // that come again within the days, or once in them
	Others      []dayJobs
	Amounts     []fact
	Watch, Call []string
}

// sitterKinds are the jobs that cannot wait until the keeper is back.
var sitterKinds = []calendar.Kind{calendar.Daily, calendar.House, calendar.Weather, calendar.Hatch, calendar.Chicks, calendar.Leave}

// mostSat is the most days that one sheet has room to tick.
const mostSat = 14

func (s *Server) sitterSheet(w http.ResponseWriter, r *http.Request, v *sheetView) bool {
	h, err := s.Holdings.Current(r.Context())
	if err != nil {
		_, ok := s.current(w, r)
		return ok
	}
	from, to := nextAway(h, s.date())
	if d, ok := s.dayOf(r, "from"); r.URL.Query().Get("from") != "" {
		if !ok {
			s.fail(w, r, http.StatusBadRequest, "error.day", r.URL.Query().Get("from"))
			return false
		}
		from, to = d, d.AddDays(6)
	}
	if d, ok := s.dayOf(r, "to"); r.URL.Query().Get("to") != "" {
		if !ok || d.Before(from) {
			s.fail(w, r, http.StatusBadRequest, "error.day", r.URL.Query().Get("to"))
			return false
		}
		to = d
	}
	p, tasks, ok := s.jobsFor(w, r, from, to)
	if !ok {
		return false
	}
	v.page = p
	v.Outside = outsideWords(p.State.plan, from, to)
	v.Sub = say("sheets.span", report.Day(from), report.Day(to))
	sheet := &sitterSheet{From: from.String(), To: to.String()}
	v.Sitter = sheet
	for i := range min(mostSat, to.DaysSince(from)+1) {
		d := from.AddDays(i)
		sheet.Days = append(sheet.Days, say("sheets.shortday", report.Weekday(d)[:3], strconv.Itoa(d.Day)))
	}
	for _, t := range once(tasks) {
		if t.Every == 1 && (t.Who == calendar.Anyone || t.Who == "") {
			sheet.Daily = append(sheet.Daily, lineOfJob(t, t.On))
		}
	}
	seen := map[string]bool{}
	for _, t := range tasks {
		if t.Every > 1 && t.Who == calendar.Anyone && slices.Contains(sitterKinds, t.Kind) && !t.First.After(to) && !t.Last.Before(from) && !seen[t.What.Text] {
			seen[t.What.Text] = true
			l := lineOfJob(t, t.On)
			l.Until = everyWords(t.Every)
			sheet.Rounds = append(sheet.Rounds, l)
		}
	}
	for d := from; !d.After(to); d = d.AddDays(1) {
		row := dayJobs{Name: report.Weekday(d), Date: report.DayMonth(d)}
		for _, t := range tasks {
			if t.On == d && t.Every == 0 && t.Who == calendar.Anyone && slices.Contains(sitterKinds, t.Kind) {
				row.Jobs = append(row.Jobs, lineOfJob(t, d))
			}
		}
		if len(row.Jobs) > 0 {
			sheet.Others = append(sheet.Others, row)
		}
	}
	oncePerSheet(append([][]jobLine{sheet.Daily, sheet.Rounds}, inDays(sheet.Others)...)...)
	sheet.Amounts = s.amounts(p, from, to)
	for _, code := range []string{"water", "count", "heat", "dead", "fox"} {
		sheet.Watch = append(sheet.Watch, say("sheets.watch."+code))
	}
	for _, code := range []string{"keeper", "vet", "neighbour"} {
		sheet.Call = append(sheet.Call, say("sheets.call."+code))
	}
	return true
}

// nextAway are the days of the next time away, or a week from today.
func nextAway(h *holding.Holding, today measure.Date) (from, to measure.Date) {
	list := slices.DeleteFunc(slices.Clone(h.Means.Away), func(a holding.Away) bool { return a.To.Before(today) })
	if len(list) == 0 {
		return today, today.AddDays(6)
	}
	next := slices.MinFunc(list, func(a, b holding.Away) int { return a.From.Compare(b.From) })
	return next.From, next.To
}

// amounts are the figures of a day that a stranger to the flock cannot guess.
func (s *Server) amounts(p page, from, to measure.Date) []fact {
	var list []fact
	add := func(code, value string) { list = append(list, fact{say(code), value}) }
	u := p.Units()
	week := weekOf(p.State.plan, from)
	if week != nil {
		add("sheets.amount.birds", birdsWords(p.State.plan, week.Date, week.Date.AddDays(6)))
		add("sheets.amount.feed", report.Quantity(u, measure.MassKg, week.FeedKg/7, 1))
		add("sheets.amount.water", report.Quantity(u, measure.VolumeL, math.Ceil(week.WaterL), 0))
		add("sheets.amount.eggs", say("sheets.amount.range", report.Number(math.Floor(week.EggsLow/7), 0), report.Number(math.Ceil(week.EggsHigh/7), 0)))
	}
	add("sheets.amount.open", s.sunWords(p.Holding, from, to, true))
	add("sheets.amount.shut", s.sunWords(p.Holding, from, to, false))
	return list
}

func weekOf(pl *plan.Plan, d measure.Date) *plan.WeekRow {
	for i := range pl.Weeks {
		if w := &pl.Weeks[i]; !d.Before(w.Date) && !d.After(w.Date.AddDays(6)) {
			return w
		}
	}
	return nil
}

// sunWords says by the holding's clock when it gets light, or when it is dark
// enough to shut the house, on the first and the last day.
func (s *Server) sunWords(h *holding.Holding, from, to measure.Date, rise bool) string {
	zone, err := time.LoadLocation(cmp.Or(h.TimeZone, "UTC"))
	if err != nil {
		zone = time.UTC
	}
	c := h.Place.Climate
	at := func(d measure.Date) string {
		up, down, length := climate.SunTimes(c.LatitudeDeg, c.LongitudeDeg, d, climate.CivilDeg)
		switch {
		case length <= 0:
			return say("sheets.sun.never")
		case length >= 24:
			return say("sheets.sun.always")
		}
		minutes := down
		if rise {
			minutes = up
		}
		return d.Time().Add(time.Duration(minutes * float64(time.Minute))).In(zone).Format("15:04")
	}
	first, last := at(from), at(to)
	if first == last {
		return first
	}
	return say("sheets.sun.change", first, last)
}
