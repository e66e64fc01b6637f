package web

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"henyear/calendar"
	"henyear/daybook"
	"henyear/measure"
	"henyear/plan"
	"henyear/report"
)

// workRoutes adds the page of the work. A helper sees it too, and ticks off.
func (s *Server) workRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /work", s.showWork)
	mux.HandleFunc("POST /work/done", s.withBook(s.tickWork))
	mux.HandleFunc("POST /work/undo", s.withBook(s.untickWork))
}

// workView is the page of the work.
type workView struct {
	NoPlan    bool
	Fault     string
	Saved     *savedJob
	Who       []whoChoice
	Filter    string
	Today     []jobView
	TodayWord string
	Minutes   string
	Week      []jobDay
	Month     []jobDay
	Missed    []jobView
	Gone      []jobView
	Away      []awayView
	Notes     []daybook.Sentence
	Load      []loadView
	CanTick   bool
	Keeper    bool // may follow links to the other pages
}

// savedJob is what was ticked off last, with the way back.
type savedJob struct{ Text, Record string }

type whoChoice struct {
	Label, Address string
	Here           bool
}

type jobDay struct {
	Name string
	Away bool
	Jobs []jobView
}

type awayView struct {
	Words string
	Jobs  []jobView // that fall into it and say so
}

type loadView struct{ Week, Minutes string }

// jobView is one job as the page shows it.
type jobView struct {
	ID, Anchor, Text, Kind string
	When                   string
	Minutes, Who           string
	Again                  string
	Caution                *daybook.Sentence
	Why                    daybook.Sentence
	Moved, Away, Matters   string
	State                  string
	Done                   bool
	Record                 string // of the tick, to take it back
	Early                  bool   // may be ticked though its window is not open yet
	Filter                 string
	Day                    string
	Keeper                 bool
	pressing               int
	Form, FormName         string // of the daybook, where a tick alone would lose the figures
}

// formOf is the form of the daybook that is the job itself: written there, it
// closes the job and keeps the figures, and what follows moves with them.
var formOf = map[string]string{
	"set": "setting", "candle-1": "candling", "candle-2": "candling", "hatch": "hatch", "clear-up": "hatch", "butcher": "butchered", "weigh": "weighing",
	"weigh-meat": "weighing", "move-out": "move", "part": "move", "to-layers": "move", "leave-hen": "move", "first-egg": "first_egg", "first-moult": "moult",
	"arrive": "bought", "leave": "sold", "broody-trust": "broody", "quarantine-end": "quarantine",
	"count": "count", "moult": "moult", "feed": "feed", "worms": "treatment", "worm-check": "treatment",
}

// jobOf is the name of a job within its identifier: what is after the lot, or
// before the month of a round.
func jobOf(id string) string {
	first, last, _ := strings.Cut(id, "/")
	if _, ok := formOf[first]; ok {
		return first
	}
	if i := strings.LastIndexByte(last, '/'); i >= 0 {
		last = last[i+1:]
	}
	return last
}

const (
	weekAhead  = 6  // days after today that count as this week
	monthAhead = 34 // days after today that the month shows
	awayAhead  = 60 // days ahead in which a trip is told of
)

func (s *Server) showWork(w http.ResponseWriter, r *http.Request) { s.work(w, r, http.StatusOK, "") }

// work shows the page, with a fault where a tick was refused.
func (s *Server) work(w http.ResponseWriter, r *http.Request, status int, fault string) {
	p, pl, ok := s.workOf(w, r)
	if !ok {
		return
	}
	v := &workView{Fault: fault, CanTick: s.Daybook != nil, Keeper: p.Visitor.Role == Keeper, Filter: whoAsked(r)}
	p.Body, p.Styles = v, []string{"daybook.css", "work.css"}
	if pl == nil || p.Holding == nil {
		v.NoPlan = true
		s.show(w, r, status, "work", p)
		return
	}
	l, b, err := s.workShown(r, p, pl)
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.worklist", err.Error())
		return
	}
	s.fillWork(v, r, l, b)
	s.show(w, r, status, "work", p)
}

// workOf is the page and the plan that its work follows from. A helper's visit
// starts no planning.
func (s *Server) workOf(w http.ResponseWriter, r *http.Request) (page, *plan.Plan, bool) {
	var p page
	if visitorOf(r).Role == Keeper {
		var ok bool
		if p, ok = s.current(w, r); !ok {
			return p, nil, false
		}
		p.Visitor = visitorOf(r)
	} else {
		p = s.daybookPage(r)
		p.Phone = false
	}
	pl, err := s.planOfWork(r.Context(), p.State)
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.worklist", err.Error())
		return p, nil, false
	}
	return p, pl, true
}

// workShown is the list that the page of the work is filled from, and the book it
// was moved with.
func (s *Server) workShown(r *http.Request, p page, pl *plan.Plan) (*calendar.List, *daybook.Book, error) {
	today := s.date()
	return s.workList(r.Context(), p.Holding, pl, today.AddDays(-7), today.AddDays(awayAhead))
}

// whoAsked is the filter of a request; empty: everybody's work.
func whoAsked(r *http.Request) string {
	who := r.FormValue("who")
	if slices.Contains([]string{string(calendar.Anyone), string(calendar.Keeper), string(calendar.Two), string(calendar.Skilled)}, who) {
		return who
	}
	return ""
}

func (s *Server) fillWork(v *workView, r *http.Request, l *calendar.List, b *daybook.Book) {
	today := l.Today
	v.TodayWord = weekday(today) + ", " + report.Day(today)
	v.Notes = l.Notes
	v.Who = whoChoices(v.Filter)
	minutes := 0.0
	view := func(t calendar.Task) jobView { return jobViewOf(t, today, v, b) }
	for _, t := range l.Tasks {
		if v.Filter != "" && string(t.Who) != v.Filter {
			continue
		}
		switch {
		case t.State == calendar.Gone:
			v.Gone = append(v.Gone, view(t))
		case t.State == calendar.Missed:
			v.Missed = append(v.Missed, view(t))
		case t.State == calendar.Done:
			if t.DoneOn == today {
				v.Today = append(v.Today, view(t))
			}
		case t.State == calendar.Due && !today.Before(t.On):
			v.Today = append(v.Today, view(t))
			minutes += t.Minutes
		case t.On.DaysSince(today) <= weekAhead:
			v.Week = putDay(v.Week, t.On, l, view(t))
		case t.Every > 0 && goesOn(v.Today, t):
			// the round of next month, which goes on as today
		case t.On.DaysSince(today) <= monthAhead:
			v.Month = putDay(v.Month, t.On, l, view(t))
		}
	}
	slices.SortStableFunc(v.Today, func(x, y jobView) int { return x.pressing - y.pressing })
	if minutes > 0 {
		v.Minutes = say("work.minutes.today", spell(minutes))
	}
	v.Away = awayViews(l, view)
	v.Load = loadViews(l)
	v.Saved = s.savedJob(r, b)
}

// goesOn reports whether a round that comes again stands among today's jobs
// already, in the same words.
func goesOn(today []jobView, t calendar.Task) bool {
	return slices.ContainsFunc(today, func(j jobView) bool { return j.Again == again(t.Every) && j.Text == t.What.Text })
}

// pressing puts the jobs of a day in order: what cannot wait until the day after
// tomorrow, then what is done every day, then the rest by the end of its window,
// and what is done last.
func pressing(t calendar.Task, today measure.Date) int {
	left := t.Last.DaysSince(today)
	switch {
	case t.State == calendar.Done:
		return 10_000
	case t.Every == 0 && left <= 1:
		return left
	case t.Every == 1:
		return 5
	case t.Every > 0:
		return 10
	}
	return 10 + left
}

func putDay(list []jobDay, on measure.Date, l *calendar.List, j jobView) []jobDay {
	name := weekday(on) + ", " + report.DayMonth(on)
	if n := len(list); n == 0 || list[n-1].Name != name {
		list = append(list, jobDay{Name: name, Away: inSpan(l.Away, on)})
	}
	d := &list[len(list)-1]
	d.Jobs = append(d.Jobs, j)
	return list
}

func inSpan(spans []calendar.Span, on measure.Date) bool {
	return slices.ContainsFunc(spans, func(a calendar.Span) bool { return !on.Before(a.From) && !a.To.Before(on) })
}

func weekday(d measure.Date) string { return d.Time().Weekday().String() }

// spell writes minutes as a keeper says them.
func spell(minutes float64) string {
	if minutes < 90 {
		return say("work.minutes", report.Number(minutes, 0))
	}
	return say("work.hours", report.Number(minutes/60, 1))
}

func jobViewOf(t calendar.Task, today measure.Date, v *workView, b *daybook.Book) jobView {
	j := jobView{ID: t.ID, Anchor: "job-" + plainID(t.ID), Text: t.What.Text, Kind: say("work.kind." + string(t.Kind)), Caution: t.Caution, Why: t.Why,
		Minutes: spell(t.Minutes), Who: say("work.who." + string(t.Who)), State: string(t.State), Filter: v.Filter, Keeper: v.Keeper, Day: today.String(),
		pressing: pressing(t, today)}
	j.Done = t.State == calendar.Done
	if form := formOf[jobOf(t.ID)]; form != "" && v.CanTick && (t.State == calendar.Due || t.State == calendar.Missed) {
		j.Form, j.FormName = "/daybook#open-"+form, say("entry."+form)
	}
	j.Early = t.State == calendar.Ahead
	if t.Every > 0 {
		j.Again = again(t.Every)
	}
	switch {
	case j.Done:
		j.When = say("work.done.on", report.DayMonth(t.DoneOn))
		j.Record = tickOf(b, t)
	case t.Clock >= 0:
		j.When = say("work.at", weekday(t.On)+", "+report.DayMonth(t.On), clockOf(t.Clock))
	case t.State == calendar.Missed:
		j.When = say("work.was", report.DayMonth(t.Last))
	case t.Every > 0 || t.State == calendar.Gone || t.Last == t.On && t.On == today:
		// it says for itself
	case t.Last == t.On:
		j.When = say("work.only", report.DayMonth(t.On))
	default:
		j.When = say("work.until", report.DayMonth(t.Last))
	}
	for _, x := range []struct {
		to   *string
		from *daybook.Sentence
	}{{&j.Moved, t.Moved}, {&j.Away, t.Away}, {&j.Matters, t.Matters}} {
		if x.from != nil {
			*x.to = x.from.Text
		}
	}
	return j
}

func again(every int) string {
	if every == 1 {
		return say("work.again.day")
	}
	return say("work.again", strconv.Itoa(every))
}

func clockOf(minutes int) string {
	two := func(n int) string { return string([]byte{byte('0' + n/10), byte('0' + n%10)}) }
	return two(minutes/60) + ":" + two(minutes%60)
}

// tickOf is the record by which a job was ticked off, empty when another record
// was the job.
func tickOf(b *daybook.Book, t calendar.Task) string {
	if b == nil {
		return ""
	}
	for i := len(b.Records) - 1; i >= 0; i-- {
		done, ok := b.Records[i].Payload.(*daybook.TaskDone)
		if ok && done.Task == t.ID && b.Records[i].Event.HappenedOn == t.DoneOn {
			return b.Records[i].Event.ID.String()
		}
	}
	return ""
}

func whoChoices(here string) []whoChoice {
	list := []whoChoice{{say("work.who.all"), "/work", here == ""}}
	for _, who := range []calendar.Who{calendar.Anyone, calendar.Keeper, calendar.Two, calendar.Skilled} {
		list = append(list, whoChoice{say("work.who." + string(who)), "/work?who=" + string(who), here == string(who)})
	}
	return list
}

// awayViews are the trips of the next weeks, each with the jobs that fall into it
// and can neither move nor be left undone.
func awayViews(l *calendar.List, view func(calendar.Task) jobView) []awayView {
	var list []awayView
	for _, a := range l.Away {
		if a.To.Before(l.Today) {
			continue
		}
		v := awayView{Words: say("work.away.words", report.Day(a.From), report.Day(a.To))}
		for _, t := range l.Tasks {
			if t.Away != nil && t.Every == 0 && !t.On.Before(a.From) && !a.To.Before(t.On) {
				v.Jobs = append(v.Jobs, view(t))
			}
		}
		list = append(list, v)
	}
	return list
}

func loadViews(l *calendar.List) []loadView {
	var list []loadView
	for _, w := range l.Load {
		if w.Monday.AddDays(6).Before(l.Today) || w.Monday.DaysSince(l.Today) > monthAhead {
			continue
		}
		list = append(list, loadView{say("work.week.of", report.DayMonth(w.Monday)), spell(w.Minutes)})
	}
	return list
}

func (s *Server) savedJob(r *http.Request, b *daybook.Book) *savedJob {
	id, err := daybook.ParseID(r.URL.Query().Get("saved"))
	if err != nil || b == nil || b.StandingOf(id) != daybook.Counts {
		return nil
	}
	for i := range b.Records {
		if done, ok := b.Records[i].Payload.(*daybook.TaskDone); ok && b.Records[i].Event.ID == id {
			text := done.Note
			if text == "" {
				text = done.Task
			}
			return &savedJob{text, id.String()}
		}
	}
	return nil
}

// tickWork writes a job down as done. It goes through the same door as every
// other record; the same job ticked twice on one day is one record.
func (s *Server) tickWork(w http.ResponseWriter, r *http.Request) {
	sent, _, ok := s.readEntry(w, r)
	if !ok {
		return
	}
	p, pl, ok := s.workOf(w, r)
	if !ok {
		return
	}
	if pl == nil || p.Holding == nil {
		s.fail(w, r, http.StatusNotFound, "error.noplan")
		return
	}
	l, b, err := s.workShown(r, p, pl)
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.worklist", err.Error())
		return
	}
	at := slices.IndexFunc(l.Tasks, func(t calendar.Task) bool { return t.ID == sent.Get("task") })
	if at < 0 {
		s.work(w, r, http.StatusUnprocessableEntity, say("error.nojob"))
		return
	}
	content, on, err := tickFrom(sent, l.Tasks[at], s.date())
	if err != nil {
		s.work(w, r, http.StatusUnprocessableEntity, err.Error())
		return
	}
	if id := tickOf(b, calendar.Task{ID: l.Tasks[at].ID, DoneOn: on}); id != "" {
		s.backToWork(w, r, id)
		return
	}
	now := s.now()
	e := rawEvent(freshID(), "task_done", on, now, visitorOf(r).Name, content)
	if faults := s.keep(r, []daybook.Event{e}, now); len(faults) > 0 {
		s.work(w, r, http.StatusUnprocessableEntity, faults[""])
		return
	}
	s.backToWork(w, r, e.ID.String())
}

// longestLine is what a record keeps of the words of a job.
const longestLine = 160

// tickFrom reads day and minutes of a tick. The words of the job go with it, so
// that the book can be read when the plan is long gone.
func tickFrom(sent url.Values, t calendar.Task, today measure.Date) (map[string]any, measure.Date, error) {
	on := today
	if text := sent.Get("on"); text != "" {
		d, err := measure.ParseDate(text)
		if err != nil {
			return nil, on, errors.New(capitalised(err.Error()))
		}
		if today.Before(d) {
			return nil, on, errors.New(say("work.future"))
		}
		on = d
	}
	content := map[string]any{"task": t.ID, "note": shortened(t.What.Text, longestLine)}
	if text := strings.TrimSpace(sent.Get("minutes")); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 || n > 24*60 {
			return nil, on, errors.New(say("work.badminutes"))
		}
		content["minutes"] = n
	}
	return content, on, nil
}

// shortened cuts a text after a whole word.
func shortened(text string, most int) string {
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	cut := string(runes[:most])
	if i := strings.LastIndexByte(cut, ' '); i > 0 {
		cut = cut[:i]
	}
	return cut + " …"
}

func (s *Server) backToWork(w http.ResponseWriter, r *http.Request, saved string) {
	q := url.Values{}
	if saved != "" {
		q.Set("saved", saved)
	}
	if who := whoAsked(r); who != "" {
		q.Set("who", who)
	}
	address := "/work"
	if len(q) > 0 {
		address += "?" + q.Encode()
	}
	http.Redirect(w, r, address, http.StatusSeeOther)
}

// untickWork takes a tick back, and nothing else.
func (s *Server) untickWork(w http.ResponseWriter, r *http.Request) {
	sent, _, ok := s.readEntry(w, r)
	if !ok {
		return
	}
	id, err := daybook.ParseID(sent.Get("record"))
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return
	}
	was, err := s.Daybook.EventByID(r.Context(), id)
	if err != nil || was.Event.Kind != "task_done" {
		s.work(w, r, http.StatusUnprocessableEntity, say("error.notick"))
		return
	}
	if faults := s.strike(r, id, say("daybook.undone")); len(faults) > 0 {
		s.work(w, r, http.StatusUnprocessableEntity, faults[""])
		return
	}
	s.backToWork(w, r, "")
}
