package web

import (
	"context"
	"net/http"
	"slices"

	"henyear/calendar"
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

func (s *Server) showPlan(w http.ResponseWriter, r *http.Request) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	view := planView{Stopped: p.State.stopped, PlanFault: faultWords(p.State.planFault), Worries: faultWords(p.State.worries)}
	if pl := p.State.plan; pl != nil {
		s.fillPlan(&view, pl, p)
		s.nextWork(r.Context(), &view, p)
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
	view.Soon = s.tasksFrom(pl)
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

// tasksFrom are the next few jobs of a plan that do not lie before today; the page
// of the work has them all.
func (s *Server) tasksFrom(pl *plan.Plan) []plan.Task {
	today := pl.AsOf
	if s.Today != nil {
		today = s.Today()
	}
	tasks := slices.DeleteFunc(slices.Clone(pl.Tasks), func(t plan.Task) bool { return t.On.Before(today) })
	return tasks[:min(soonTasks, len(tasks))]
}

// nextWork puts the jobs of the page of the work, moved as the flock moves, in
// place of the plan's own, once the plan stands. Rounds are left to that page.
func (s *Server) nextWork(ctx context.Context, view *planView, p page) {
	if s.Today == nil || p.State.planning {
		return
	}
	list, _, err := s.workList(ctx, p.Holding, p.State.plan, measure.Date{}, measure.Date{})
	if err != nil {
		s.Log.Warn("the work could not be listed beside the plan", "error", err)
		return
	}
	var soon []plan.Task
	for _, t := range list.With(calendar.Due, calendar.Ahead) {
		if t.Every > 0 || len(soon) == soonTasks {
			continue
		}
		on := t.On
		if today := s.date(); on.Before(today) {
			on = today // its window is open
		}
		job := plan.Task{On: on, Kind: say("work.kind." + string(t.Kind)), Batch: t.Batch, Text: t.What.Text}
		if t.Caution != nil {
			job.Caution = t.Caution.Text
		}
		soon = append(soon, job)
	}
	if len(soon) > 0 {
		view.Soon, view.Next = soon, &soon[0]
	}
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
