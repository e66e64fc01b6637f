package calendar

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"henyear/breed"
	"henyear/climate"
	"henyear/daybook"
	"henyear/holding"
	"henyear/measure"
)

// daybookSentence is a sentence with a stable code.
type daybookSentence = daybook.Sentence

// Format is the version of the list's JSON.
const Format = 1

// List is the work of a household from one day to another.
type List struct {
	Format  int                `json:"format"`
	Holding string             `json:"holding"`
	Today   measure.Date       `json:"today"`
	From    measure.Date       `json:"from"`
	To      measure.Date       `json:"to"`
	Away    []Span             `json:"away"`
	Tasks   []Task             `json:"tasks"` // by day, then kind, then identifier
	Load    []WeekLoad         `json:"load"`
	Notes   []daybook.Sentence `json:"notes"`
}

// Span is some days, both included.
type Span struct {
	From measure.Date `json:"from"`
	To   measure.Date `json:"to"`
}

// WeekLoad is the minutes of work in a week, of what is not gone.
type WeekLoad struct {
	Week    string       `json:"week"` // ISO label
	Monday  measure.Date `json:"monday"`
	Minutes float64      `json:"minutes"`
}

// Day is the tasks planned for one day.
type Day struct {
	On    measure.Date
	Tasks []Task
}

// Days lists the tasks by the day to plan for, days without any left out. A job
// that comes again stands on its next day only.
func (l *List) Days() []Day {
	var list []Day
	for _, t := range l.Tasks {
		if n := len(list); n == 0 || list[n-1].On != t.On {
			list = append(list, Day{On: t.On})
		}
		d := &list[len(list)-1]
		d.Tasks = append(d.Tasks, t)
	}
	return list
}

// With lists the tasks in any of the given states.
func (l *List) With(states ...State) []Task {
	return slices.DeleteFunc(slices.Clone(l.Tasks), func(t Task) bool { return !slices.Contains(states, t.State) })
}

// Errors of Of.
var (
	ErrNoPlan  = errors.New("there is no plan yet, so there is no work to list; let the plan be made first")
	errNoToday = errors.New("say for which day the list is made")
)

type lister struct {
	in         Input
	tables     *tables
	seen       *sightings
	away       []holding.Away
	start      measure.Date // of the plan; what lay before it is not listed
	year       climate.Year
	lots       []*lot
	lotByID    map[string]*lot
	cockBreeds int
	entries    []entry
}

// Of lists the work that follows from a plan, the flock and the place: every job
// with its day or window, reason, minutes and who can do it. Holding, Plan and
// Today must be given. The list is made of copies; nothing of the input is
// changed.
func Of(in Input) (*List, error) {
	switch {
	case in.Plan == nil || in.Holding == nil:
		return nil, ErrNoPlan
	case in.Today.IsZero():
		return nil, errNoToday
	case !in.From.IsZero() && !in.To.IsZero() && in.To.Before(in.From):
		return nil, fmt.Errorf("the list cannot end on %s, before it begins on %s", in.To, in.From)
	}
	t, err := readTables()
	if err != nil {
		return nil, err
	}
	l := &lister{in: in, tables: t, seen: see(in.Book, in.Today), away: joined(in.Holding.Means.Away), start: in.Plan.AsOf, year: in.Holding.Place.Climate.Year(), lotByID: map[string]*lot{}}
	if l.start.IsZero() {
		l.start = in.Plan.From
	}
	l.gather()
	l.match()
	for _, x := range l.lots {
		l.settle(x)
		l.steps(x)
	}
	l.killing()
	l.rounds()
	l.trips()
	return l.list(), nil
}

// gather makes the lots of the plan.
func (l *lister) gather() {
	cocks := map[string]bool{}
	for _, b := range l.in.Plan.Batches {
		x := lotOf(b)
		l.lots = append(l.lots, x)
		l.lotByID[x.id] = x
		if x.cockerels >= 0.5 && (x.onHand() || b.Source == "cock") {
			cocks[b.Breed] = true
		}
	}
	l.cockBreeds = len(cocks)
}

// list places every entry and gathers what belongs into the days asked for.
func (l *lister) list() *List {
	in := l.in
	out := &List{Format: Format, Holding: in.Holding.Name, Today: in.Today, From: in.From, To: in.To, Tasks: []Task{}, Away: []Span{}, Notes: []daybook.Sentence{}}
	if out.From.IsZero() {
		out.From = earlier(l.start, in.Today)
	}
	if out.To.IsZero() {
		out.To = later(in.Plan.To, out.From)
	}
	for i := range l.entries {
		e := l.entries[i]
		if !l.place(&e) {
			continue
		}
		t := e.task
		t.First, t.Last = earlier(t.First, t.On), later(t.Last, t.On)
		inside := !t.Last.Before(out.From) && !out.To.Before(t.First)
		stillMissed := t.State == Missed && !in.Today.Before(out.From) && !out.To.Before(in.Today)
		if inside || stillMissed {
			out.Tasks = append(out.Tasks, t)
		}
	}
	order := map[Kind]int{}
	for i, k := range Kinds() {
		order[k] = i
	}
	slices.SortStableFunc(out.Tasks, func(a, b Task) int {
		return cmp.Or(compare(a.On, b.On), order[a.Kind]-order[b.Kind], strings.Compare(a.ID, b.ID))
	})
	for _, a := range l.away {
		if !a.To.Before(out.From) && !out.To.Before(a.From) {
			out.Away = append(out.Away, Span{a.From, a.To})
		}
	}
	out.Load = loadOf(out)
	l.tell(out)
	return out
}

// loadOf adds up the minutes of each week of the list.
func loadOf(out *List) []WeekLoad {
	minutes := map[measure.Week]float64{}
	for _, t := range out.Tasks {
		if t.State == Gone {
			continue
		}
		if t.Every == 0 {
			minutes[measure.WeekOf(t.On)] += t.Minutes
			continue
		}
		last := earlier(t.Last, out.To)
		for d := t.First; !last.Before(d); d = d.AddDays(t.Every) {
			minutes[measure.WeekOf(d)] += t.Minutes
		}
	}
	list := []WeekLoad{}
	for w := measure.WeekOf(out.From); !out.To.Before(w.Monday()); w++ {
		list = append(list, WeekLoad{w.Label(), w.Monday(), minutes[w]})
	}
	return list
}

// oldPlanDays is the age of a plan from which the list says so.
const oldPlanDays = 120

// tell adds what the keeper should know of the list as a whole.
func (l *lister) tell(out *List) {
	say := func(code, source, format string, a ...any) {
		out.Notes = append(out.Notes, sentence("note."+code, source, format, a...))
	}
	if !l.seen.written {
		say("unwritten", "", "The daybook is empty, so this list takes it that all has gone as planned. Ticks and records put it right.")
	}
	if n := l.in.Today.DaysSince(l.start); n > oldPlanDays {
		say("oldplan", "", "This plan was made for %s, %s ago. Bring the birds on hand up to date and plan again before you set or order.", l.start.Words(), days(n))
	}
	if l.in.Plan.To.Before(l.in.Today) {
		say("over", "", "The plan ended on %s: plan again.", l.in.Plan.To.Words())
	}
	hard := 0
	for _, t := range out.Tasks {
		if t.Away != nil && t.Who != Anyone {
			hard++
		}
	}
	if hard > 0 {
		say("away", "calendar-away", "%s while you are away and can neither wait nor be left to a sitter; each says who could do it.", plural(hard, "job falls", "jobs fall"))
	}
	if !l.in.Holding.Means.WillKill && slices.ContainsFunc(l.lots, func(x *lot) bool { return !x.onHand() && x.cockerels >= 0.5 }) {
		say("cockerels", "practice", "You do not kill: ask early who takes the cockerels, half of all chicks.")
	}
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func nameOf(id string) string {
	if b, err := breed.Find(id); err == nil {
		return b.Name
	}
	return id
}
