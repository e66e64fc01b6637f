package web

import (
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"henyear/calendar"
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

// outsideWords says how far the plan reaches, where some days lie outside it.
func outsideWords(pl *plan.Plan, from, to measure.Date) string {
	if !from.Before(pl.From) && !to.After(pl.To) {
		return ""
	}
	return say("sheets.outside", report.Day(pl.From), report.Day(pl.To))
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
	v.Outside = outsideWords(p.State.plan, monday, monday.AddDays(6))
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
	v.Outside = outsideWords(p.State.plan, first, last)
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
	v.Outside = outsideWords(p.State.plan, first, last)
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
