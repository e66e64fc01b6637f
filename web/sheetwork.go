package web

import (
	"cmp"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"henyear/calendar"
	"henyear/climate"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
	"henyear/report"
)

// jobLine is one job on paper.
type jobLine struct {
	What, Caution, Until, Who string
	Minutes                   string
	Clock                     string
	Done                      bool
}

// dayJobs is a day with its jobs.
type dayJobs struct {
	Name, Date string
	Away       bool
	Jobs       []jobLine
}

// weekSheet is the work of a week: what is done every day, as a table to tick,
// and the rest by day.
type weekSheet struct {
	Days   []string // Monday to Sunday, with the day of the month
	Daily  []jobLine
	Rounds []jobLine // once in the week, on whatever day
	Week   []dayJobs
	Late   []jobLine // missed, and still of use
	Eggs   string
}

// monthSheet is the work of a month by day, and its rounds.
type monthSheet struct {
	Days   []dayJobs
	Rounds []jobLine
	Eggs   string
}

// yearSheet is twelve months on one page.
type yearSheet struct{ Months []yearMonth }

type yearMonth struct {
	Name, Eggs, Birds string
	Away              string
	Jobs              []string
}

// lineOfJob writes a job for a sheet; on is the day under which it stands.
func lineOfJob(t calendar.Task, on measure.Date) jobLine {
	l := jobLine{What: t.What.Text, Done: t.State == calendar.Done}
	if t.Caution != nil {
		l.Caution = t.Caution.Text
	}
	if t.Last.After(on) && t.Last != t.On {
		l.Until = say("sheets.until", report.DayMonth(t.Last))
	}
	if t.Who == calendar.Two || t.Who == calendar.Skilled {
		l.Who = say("sheets.who." + string(t.Who))
	}
	if t.Minutes >= 1 {
		l.Minutes = say("sheets.minutes", report.Number(t.Minutes, 0))
	}
	if t.Clock >= 0 {
		l.Clock = clockText(t.Clock)
	}
	return l
}

func clockText(minutes int) string {
	return time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(minutes) * time.Minute).Format("15:04")
}

// oncePerSheet says a caution in full where it first stands on a sheet, and points
// up to it afterwards.
func oncePerSheet(lists ...[]jobLine) {
	seen := map[string]bool{}
	for _, list := range lists {
		for i, l := range list {
			if l.Caution == "" {
				continue
			}
			if seen[l.Caution] {
				list[i].Caution = say("sheets.care.above")
			}
			seen[l.Caution] = true
		}
	}
}

// inDays are the lists of jobs of some days.
func inDays(days []dayJobs) [][]jobLine {
	var lists [][]jobLine
	for _, d := range days {
		lists = append(lists, d.Jobs)
	}
	return lists
}

// jobsFor are the jobs of a span of days that still stand, or were done, on a page
// that shows the plan they follow from.
func (s *Server) jobsFor(w http.ResponseWriter, r *http.Request, from, to measure.Date) (page, []calendar.Task, bool) {
	p, ok := s.current(w, r)
	if !ok {
		return p, nil, false
	}
	pl, err := s.planOfWork(r.Context(), p.State)
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.work", err.Error())
		return p, nil, false
	}
	if pl == nil {
		s.fail(w, r, http.StatusNotFound, "error.noplan")
		return p, nil, false
	}
	p.State.plan = pl
	list, _, err := s.workList(r.Context(), p.Holding, pl, from, to)
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.work", err.Error())
		return p, nil, false
	}
	return p, slices.DeleteFunc(list.Tasks, func(t calendar.Task) bool { return t.State == calendar.Gone }), true
}

// dayOf reads the day of a sheet from the address; today's where there is none.
func (s *Server) dayOf(r *http.Request, name string) (measure.Date, bool) {
	text := r.URL.Query().Get(name)
	if text == "" {
		return s.date(), true
	}
	d, err := measure.ParseDate(text)
	return d, err == nil && d.Year >= 1970
}

func awayOn(h *holding.Holding, d measure.Date) bool {
	return slices.ContainsFunc(h.Means.Away, func(a holding.Away) bool { return !d.Before(a.From) && !d.After(a.To) })
}

// mostLate is how many missed jobs a week's sheet has room for, the last ones.
const mostLate = 6

func (s *Server) weekSheet(w http.ResponseWriter, r *http.Request, v *sheetView) bool {
	day, ok := s.dayOf(r, "day")
	if !ok {
		s.fail(w, r, http.StatusBadRequest, "error.day", r.URL.Query().Get("day"))
		return false
	}
	monday := report.Monday(day)
	p, tasks, ok := s.jobsFor(w, r, monday, monday.AddDays(6))
	if !ok {
		return false
	}
	v.page = p
	v.Sub = say("sheets.week.of", report.Day(monday))
	v.Back, v.Next = v.with("day", monday.AddDays(-7).String()), v.with("day", monday.AddDays(7).String())
	sheet := &weekSheet{Eggs: eggsWords(p.State.plan, monday, monday.AddDays(6))}
	v.Week = sheet
	for i := range 7 {
		d := monday.AddDays(i)
		sheet.Days = append(sheet.Days, say("sheets.shortday", report.Weekday(d)[:3], strconv.Itoa(d.Day)))
		sheet.Week = append(sheet.Week, dayJobs{Name: report.Weekday(d), Date: report.DayMonth(d), Away: awayOn(p.Holding, d)})
	}
	for _, t := range once(tasks) {
		i := t.On.DaysSince(monday)
		switch {
		case t.State == calendar.Missed && t.Matters != nil && i < 0:
			l := lineOfJob(t, t.On)
			l.Until = t.Matters.Text
			sheet.Late = append(sheet.Late, l)
		case t.Every == 1:
			sheet.Daily = append(sheet.Daily, lineOfJob(t, t.On))
		case i < 0 || i > 6:
		case t.Every > 1 && t.First != t.Last:
			sheet.Rounds = append(sheet.Rounds, lineOfJob(t, t.On))
		default:
			sheet.Week[i].Jobs = append(sheet.Week[i].Jobs, lineOfJob(t, t.On))
		}
	}
	if more := len(sheet.Late) - mostLate; more > 0 {
		sheet.Late = append(sheet.Late[len(sheet.Late)-mostLate:], jobLine{What: say("sheets.late.more", strconv.Itoa(more))})
	}
	oncePerSheet(slices.Concat([][]jobLine{sheet.Daily, sheet.Rounds}, inDays(sheet.Week), [][]jobLine{sheet.Late})...)
	return true
}

// once keeps one of the daily rounds that come again each day.
func once(tasks []calendar.Task) []calendar.Task {
	seen := map[string]bool{}
	return slices.DeleteFunc(slices.Clone(tasks), func(t calendar.Task) bool {
		if t.Every != 1 {
			return false
		}
		twice := seen[t.What.Text]
		seen[t.What.Text] = true
		return twice
	})
}

func (s *Server) monthSheet(w http.ResponseWriter, r *http.Request, v *sheetView) bool {
	first, ok := monthOf(r.URL.Query().Get("month"), s.date())
	if !ok {
		s.fail(w, r, http.StatusBadRequest, "error.month", r.URL.Query().Get("month"))
		return false
	}
	days := daysOf(first)
	last := days[len(days)-1]
	p, tasks, ok := s.jobsFor(w, r, first, last)
	if !ok {
		return false
	}
	v.page = p
	v.Sub = report.MonthName(first.Month) + " " + strconv.Itoa(first.Year)
	v.Back, v.Next = v.with("month", monthText(monthAfter(first, -1))), v.with("month", monthText(monthAfter(first, 1)))
	sheet := &monthSheet{Eggs: eggsWords(p.State.plan, first, last)}
	v.Month = sheet
	for _, d := range days {
		row := dayJobs{Name: report.Weekday(d)[:3], Date: strconv.Itoa(d.Day), Away: awayOn(p.Holding, d)}
		for _, t := range tasks {
			if t.On == d && t.Every == 0 {
				row.Jobs = append(row.Jobs, lineOfJob(t, d))
			}
		}
		sheet.Days = append(sheet.Days, row)
	}
	seen := map[string]bool{}
	for _, t := range tasks {
		if t.Every > 0 && !seen[t.What.Text] {
			seen[t.What.Text] = true
			l := lineOfJob(t, t.On)
			l.Until = everyWords(t.Every)
			sheet.Rounds = append(sheet.Rounds, l)
		}
	}
	oncePerSheet(append(inDays(sheet.Days), sheet.Rounds)...)
	return true
}

func everyWords(days int) string {
	switch days {
	case 1:
		return say("sheets.daily")
	case 7:
		return say("sheets.weekly")
	}
	return say("sheets.every", strconv.Itoa(days))
}

// eggsWords is what the plan expects of eggs in a span of days, with its spread;
// empty where the plan does not reach.
func eggsWords(pl *plan.Plan, from, to measure.Date) string {
	low, mean, high, n := 0.0, 0.0, 0.0, 0.0
	for _, w := range pl.Weeks {
		if end := w.Date.AddDays(6); end.Before(from) || w.Date.After(to) {
			continue
		}
		low, mean, high, n = low+w.EggsLow, mean+w.EggsExpected, high+w.EggsHigh, n+1
	}
	if n == 0 {
		return ""
	}
	return say("sheets.eggs", report.Number(mean/n, 0), report.Number(low/n, 0), report.Number(high/n, 0))
}

// A month of the year's page has room for so many jobs.
const yearJobs = 9

func (s *Server) yearSheet(w http.ResponseWriter, r *http.Request, v *sheetView) bool {
	first, ok := monthOf(r.URL.Query().Get("from"), s.date())
	if !ok {
		s.fail(w, r, http.StatusBadRequest, "error.month", r.URL.Query().Get("from"))
		return false
	}
	last := monthAfter(first, 12).AddDays(-1)
	p, tasks, ok := s.jobsFor(w, r, first, last)
	if !ok {
		return false
	}
	v.page = p
	v.Sub = say("sheets.span", report.MonthName(first.Month)+" "+strconv.Itoa(first.Year), report.MonthName(last.Month)+" "+strconv.Itoa(last.Year))
	v.Back, v.Next = v.with("from", monthText(monthAfter(first, -12))), v.with("from", monthText(monthAfter(first, 12)))
	v.Year = &yearSheet{}
	for i := range 12 {
		from := monthAfter(first, i)
		to := monthAfter(first, i+1).AddDays(-1)
		m := yearMonth{Name: report.MonthName(from.Month), Eggs: eggsWords(p.State.plan, from, to), Birds: birdsWords(p.State.plan, from, to), Away: awayWords(p.Holding, from, to)}
		m.Jobs = milestones(tasks, from, to)
		v.Year.Months = append(v.Year.Months, m)
	}
	return true
}

// milestones are the jobs of a month that a keeper plans the rest around, the
// weightiest first where there is no room for all, in the order of days.
func milestones(tasks []calendar.Task, from, to measure.Date) []string {
	var list []calendar.Task
	for _, t := range tasks {
		if t.Every == 0 && !t.On.Before(from) && !t.On.After(to) && landmark(t) {
			list = append(list, t)
		}
	}
	slices.SortStableFunc(list, func(a, b calendar.Task) int { return a.On.Compare(b.On) })
	more := 0
	if len(list) > yearJobs {
		more = len(list) - (yearJobs - 1)
		list = list[:yearJobs-1]
	}
	var out []string
	for _, t := range list {
		out = append(out, say("sheets.job", strconv.Itoa(t.On.Day), inShort(t.What.Text)))
	}
	if more > 0 {
		out = append(out, say("sheets.more", strconv.Itoa(more)))
	}
	return out
}

// shortJob is how many letters a job has on the page of the year.
const shortJob = 64

// inShort is the first sentence of a job, or what stands before its colon where
// that is long.
func inShort(text string) string {
	text, _, _ = strings.Cut(text, ". ")
	text = strings.TrimSuffix(text, ".")
	if utf8.RuneCountInString(text) <= shortJob {
		return text
	}
	for _, mark := range []string{": ", "; ", ", "} {
		if head, _, cut := strings.Cut(text, mark); cut && utf8.RuneCountInString(head) <= shortJob {
			return head
		}
	}
	return text
}

// landmarks are the jobs by which a year is remembered: the last but one part of
// their identifiers, or the last.
var landmarks = []string{"order-eggs", "order-chicks", "cock-in", "save-eggs", "set", "hatch", "arrive", "move-out", "part", "to-layers", "first-egg",
	"butcher", "cull-check", "quarantine", "clean", "frost-ready", "heat-ready", "lights-on", "lights-off", "leave"}

func landmark(t calendar.Task) bool {
	return slices.ContainsFunc(strings.Split(t.ID, "/"), func(part string) bool { return slices.Contains(landmarks, part) })
}

func birdsWords(pl *plan.Plan, from, to measure.Date) string {
	for _, w := range pl.Weeks {
		if !w.Date.Before(from) && !w.Date.After(to) {
			return say("sheets.birdcount", report.Number(w.Hens, 0), report.Number(w.Cocks, 0), report.Number(w.Chicks+w.Growers, 0))
		}
	}
	return ""
}

func awayWords(h *holding.Holding, from, to measure.Date) string {
	for _, a := range h.Means.Away {
		if !a.To.Before(from) && !a.From.After(to) {
			return say("sheets.away", report.DayMonth(a.From), report.DayMonth(a.To))
		}
	}
	return ""
}

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
