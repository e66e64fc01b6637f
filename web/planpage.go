package web

import (
	"net/http"
	"slices"
	"strings"
	"time"

	"henyear/measure"
	"henyear/plan"
	"henyear/report"
)

// planView is the page of the plan.
type planView struct {
	Plan       *plan.Plan
	Figures    []figure
	Span       string
	Gap        string
	GapMeaning string
	Odds       string // whether the plan is sure enough, when that is known
	Next       *plan.Task
	Soon       []plan.Task // the next few weeks
	Later      []taskMonth
	Drawings   map[string]report.Drawing
	WeekTable  report.Table
	Stopped    bool
	PlanFault  string
	Worries    string
}

// A figure is one of the large numbers at the head of a page.
type figure struct {
	Number string
	Unit   string
	Words  string
}

// taskMonth is the work of one month.
type taskMonth struct {
	Name  string
	Tasks []plan.Task
}

func (s *Server) showPlan(w http.ResponseWriter, r *http.Request) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	view := planView{Stopped: p.State.stopped, PlanFault: faultWords(p.State.planFault), Worries: faultWords(p.State.worries)}
	if pl := p.State.plan; pl != nil {
		s.fillPlan(&view, pl, p)
	}
	p.Body = view
	s.show(w, r, http.StatusOK, "plan", p)
}

func faultWords(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

func (s *Server) fillPlan(view *planView, pl *plan.Plan, p page) {
	view.Plan = pl
	view.Figures = planFigures(pl)
	view.Span, view.Gap, view.GapMeaning = report.SpanWords(pl), report.GapWords(pl), report.GapMeaning(pl)
	view.Odds = oddsLine(p.State)
	view.Soon, view.Later = s.tasksFrom(pl)
	if len(view.Soon) > 0 {
		view.Next = &view.Soon[0]
	}
	view.Drawings = map[string]report.Drawing{}
	for _, d := range planDrawings(pl, p.Holding.Means.FreezerL) {
		view.Drawings[d.Name] = d
	}
	view.WeekTable = report.Weeks(pl)
}

func planDrawings(pl *plan.Plan, freezerL float64) []report.Drawing {
	return []report.Drawing{report.Eggs(pl), report.Flock(pl), report.EggUse(pl), report.Birds(pl),
		report.Freezer(pl, freezerL), report.Costs(pl), report.Money(pl)}
}

const soonTasks = 6 // what fits on a phone without scrolling far

// tasksFrom parts the work into the next few jobs and the rest by month. Work
// before today is left out.
func (s *Server) tasksFrom(pl *plan.Plan) (soon []plan.Task, later []taskMonth) {
	today := pl.AsOf
	if s.Today != nil {
		today = s.Today()
	}
	tasks := slices.DeleteFunc(slices.Clone(pl.Tasks), func(t plan.Task) bool { return t.On.Before(today) })
	soon = tasks[:min(soonTasks, len(tasks))]
	for _, t := range tasks[len(soon):] {
		name := t.On.Month.String() + " " + measure.Round(float64(t.On.Year), 0)
		if n := len(later); n == 0 || later[n-1].Name != name {
			later = append(later, taskMonth{Name: name})
		}
		m := &later[len(later)-1]
		m.Tasks = append(m.Tasks, t)
	}
	return soon, later
}

// planFigures are the large numbers: hens, the leanest eggs, meat, money.
func planFigures(pl *plan.Plan) []figure {
	if len(pl.Years) == 0 {
		return nil
	}
	y := wholeYear(pl)
	number := func(x float64) string { return report.Number(x, 0) }
	list := []figure{
		{number(y.HensNov), plural(y.HensNov, say("figure.hen"), say("figure.hens")), say("figure.hens.words", number(y.NewPullets), number(y.Cocks))},
		{number(y.LeanestWeek), say("figure.eggs"), say("figure.eggs.words", y.LeanestMonth, number(needIn(pl, y)))},
		{number(y.TableBirds), plural(y.TableBirds, say("figure.bird"), say("figure.birds")), say("figure.birds.words", report.Quantity(pl.Units, measure.MassKg, y.TableKg, 0))},
		{number(pl.Shop.FlockPerYear), pl.Currency.Code, say("figure.cost.words")},
	}
	return list
}

// wholeYear is the first year that is planned in full, or nearly; else the
// longest.
func wholeYear(pl *plan.Plan) plan.YearRow {
	best := pl.Years[0]
	for _, y := range pl.Years {
		if y.Part >= 0.95 {
			return y
		}
		if y.Part > best.Part {
			best = y
		}
	}
	return best
}

// needIn is the household's mean need in the leanest month of a year.
func needIn(pl *plan.Plan, y plan.YearRow) float64 {
	sum, n := 0.0, 0.0
	for _, w := range pl.Weeks {
		middle := measure.WeekOf(w.Date).Middle()
		if middle.Year == y.Year && middle.Month.String() == y.LeanestMonth {
			sum += w.EggsNeeded
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return sum / n
}

// placeView is the page of the place.
type placeView struct {
	Figures  []figure
	Drawings []report.Drawing
	Facts    []fact
	Houses   []houseRow
	Pens     []penRow
	Limits   []plan.Binding
	Months   []monthRow
}

type fact struct{ Name, Value string }

type monthRow struct {
	Name                            string
	High, Low, Humidity, Rain, Eggs string
	Pasture                         bool
}

type houseRow struct {
	House, Area, Pens, Kind string
}

// penRow is a run of weeks in which the same birds live in a pen.
type penRow struct {
	Pen, Who string
	Birds    float64 // at most
	From, To measure.Date
}

// penRuns joins the weeks of a plan in which a pen has the same birds, pen by
// pen.
func penRuns(pl *plan.Plan) []penRow {
	var rows []penRow
	open := map[string]int{} // pen and who to the row that may go on
	for _, w := range pl.Weeks {
		for _, use := range w.Pens {
			name := use.Pen + "\x00" + use.Who
			i, going := open[name]
			if !going || rows[i].To.AddDays(1) != w.Date {
				i = len(rows)
				rows = append(rows, penRow{Pen: use.Pen, Who: use.Who, From: w.Date})
				open[name] = i
			}
			rows[i].Birds = max(rows[i].Birds, use.Birds)
			rows[i].To = w.Date.AddDays(6)
		}
	}
	slices.SortStableFunc(rows, func(a, b penRow) int { return strings.Compare(a.Pen, b.Pen) })
	return rows
}

func (s *Server) showPlace(w http.ResponseWriter, r *http.Request) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	p.Body = s.place(p)
	s.show(w, r, http.StatusOK, "place", p)
}

func (s *Server) place(p page) placeView {
	h, u := p.Holding, p.Units()
	year := h.Place.Climate.Year()
	view := placeView{Drawings: []report.Drawing{report.Temperature(year, u), report.Daylight(year)}}
	frost, hot, short, long := 0.0, 0.0, 24.0, 0.0
	for _, w := range year {
		frost += w.FrostNights
		hot += w.HotDays
		short, long = min(short, w.SunH), max(long, w.SunH)
	}
	view.Figures = []figure{
		{report.Number(frost, 0), say("figure.frost"), say("figure.frost.words", report.Quantity(u, measure.TempC, h.Place.Climate.ExtremeMin(), 0))},
		{report.Number(hot, 0), say("figure.hot"), say("figure.hot.words", report.Quantity(u, measure.TempC, 32, 0))},
		{report.Number(short, 1), say("figure.hours"), say("figure.short.words")},
		{report.Number(long, 1), say("figure.hours"), say("figure.long.words")},
	}
	view.Facts = placeFacts(h, u)
	for _, house := range h.Means.Houses {
		kind := say("place.house.closed")
		if house.OpenSided {
			kind = say("place.house.open")
		}
		if house.Insulated {
			kind = say("place.house.insulated")
		}
		view.Houses = append(view.Houses, houseRow{house.Name, report.Quantity(u, measure.AreaM2, house.AreaM2, 0), report.Number(float64(house.Pens), 0), kind})
	}
	c := h.Place.Climate
	for m := range 12 {
		view.Months = append(view.Months, monthRow{Name: time.Month(m + 1).String(), High: report.Quantity(u, measure.TempC, c.MaxC[m], 0), Low: report.Quantity(u, measure.TempC, c.MinC[m], 0),
			Humidity: report.Number(c.Humidity()[m], 0) + "\u00a0%", Rain: report.Quantity(u, measure.RainMM, c.RainMM[m], rainDecimals(u)), Eggs: report.Number(h.Needs.EggsPerWeek(m+1), 0), Pasture: h.Place.PastureMonths[m]})
	}
	if p.State.plan != nil {
		view.Limits = p.State.plan.Binding
		view.Pens = penRuns(p.State.plan)
	}
	return view
}

func rainDecimals(u measure.Units) int {
	if u == measure.US {
		return 1
	}
	return 0
}
