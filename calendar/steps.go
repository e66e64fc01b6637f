package calendar

import (
	"fmt"
	"strings"
	"time"

	"henyear/daybook"
	"henyear/holding"
	"henyear/measure"
)

// entry is a task on its way into the list.
type entry struct {
	task    Task
	row     row
	lot     *lot     // nil for rounds
	aliases []string // other identifiers under which it may have been ticked off
}

// add puts a task on the list, with the caution of its row.
func (l *lister) add(t Task, r row, x *lot, aliases ...string) {
	if t.Caution == nil && r.Caution != "" {
		t.Caution = l.caution(r.Caution)
	}
	l.entries = append(l.entries, entry{t, r, x, aliases})
}

// taskOf writes the task of a row on its day.
func (l *lister) taskOf(r row, id string, anchor measure.Date, w words) Task {
	on := anchor.AddDays(r.Day)
	return Task{
		ID: id, Kind: r.Kind, On: on, First: on.AddDays(-r.Before), Last: on.AddDays(r.After), Clock: minutesOf(r.Clock), Every: r.Every,
		What: l.say(r.Code+".what", w, r.What, ""), Why: l.say(r.Code+".why", w, r.Why, r.Source),
		Minutes: r.Minutes, Timed: r.Timed, Who: r.Who,
	}
}

// steps puts the jobs of a lot on the list.
func (l *lister) steps(x *lot) {
	w := l.wordsOf(x)
	for _, r := range l.tables.lots {
		if !l.hasAll(x, r.Needs) {
			continue
		}
		anchor := x.now.of(r.From)
		if x.unset && r.begins() {
			anchor = x.planned.of(r.From)
		}
		if anchor.IsZero() {
			continue
		}
		t := l.taskOf(r, x.id+"/"+r.Code, anchor, w)
		if x.onHand() && t.Last.Before(l.start) {
			continue // before the book: nobody can know
		}
		t.Batch, t.Group = x.batchID(), x.groupID()
		t.Minutes += r.Each * x.number(r.Of)
		if r.Code == "save-eggs" {
			l.notToHatch(&t)
		}
		if !l.fit(x, r, &t) {
			continue
		}
		l.add(t, r, x)
	}
	if x.failed {
		l.afterFailure(x)
	}
}

// begins reports whether a job is the beginning of a lot itself. When nothing is
// written of it, this one stays where it was planned, and is missed.
func (r row) begins() bool { return r.Code == "set" || r.Code == "arrive" }

// notToHatch warns where the eggs of today hold a medicine.
func (l *lister) notToHatch(t *Task) {
	if l.in.Book == nil || l.in.Today.Before(t.First) || t.Last.Before(l.in.Today) {
		return
	}
	if held, why := l.in.Book.EggsWithheld(l.in.Today, "", daybook.ID{}); held {
		s := sentence("caution.held", why.Source, "%s", why.Text)
		t.Caution = &s
	}
}

func (l *lister) hasAll(x *lot, needs []string) bool {
	for _, n := range needs {
		if !l.has(x, n) {
			return false
		}
	}
	return true
}

func (x *lot) batchID() string {
	if x.fromBook() && (strings.HasPrefix(x.id, "setting-") || strings.HasPrefix(x.id, "group-")) {
		return ""
	}
	return x.id
}

// groupID is the group of the daybook when there is just one.
func (x *lot) groupID() string {
	if len(x.groups) != 1 {
		return ""
	}
	for id := range x.groups {
		return id.String()
	}
	return ""
}

func (x *lot) number(of string) float64 {
	return map[string]float64{"eggs": x.eggs, "chicks": x.chicks, "pullets": x.pullets, "cockerels": x.cockerels}[of]
}

// fit trims the jobs whose window hangs on a fate; it reports false where nothing
// of it is left.
func (l *lister) fit(x *lot, r row, t *Task) bool {
	first, last := x.eatenDays()
	switch r.Code {
	case "weigh", "weigh-meat":
		if !last.IsZero() {
			t.Last = earlier(t.Last, last.AddDays(-1))
		}
		return !t.Last.Before(t.First)
	case "choose-cocks":
		if !first.IsZero() && first.AddDays(-2).Before(t.On) {
			t.On = first.AddDays(-2)
			t.First, t.Last = earlier(t.First, t.On), later(t.On, earlier(t.Last, first.AddDays(-1)))
		}
	}
	return true
}

// saturday is the day of the week on which birds are butchered: fates are planned
// for weeks, and most households are at home then.
const saturday = 5

// eatenDays are the first and the last day on which cockerels (or meat birds) of a
// lot go to the table.
func (x *lot) eatenDays() (first, last measure.Date) {
	for _, f := range x.fates {
		if f.What != "table" || f.Sex != "cock" && !x.meat() {
			continue
		}
		on := f.On.AddDays(saturday)
		if first.IsZero() || on.Before(first) {
			first = on
		}
		last = later(last, on)
	}
	return first, last
}

// afterFailure says what to do when nothing hatched.
func (l *lister) afterFailure(x *lot) {
	t := Task{ID: x.id + "/failed", Kind: Hatch, On: x.goneOn, First: x.goneOn, Last: x.goneOn.AddDays(14), Clock: -1, Minutes: 30, Timed: "guess", Who: Keeper,
		Batch: x.batchID()}
	text := "Nothing hatched. Break out the eggs and write down clear, dead early, dead late; check thermometer, age of the eggs and the cock before setting again."
	if l.setAgain(x) {
		text += fmt.Sprintf(" Eggs set by %s still make birds of this season.", dayMonth(l.lastSetting(x.goneOn)))
	} else {
		text += " It is late for this year's layers: pullets hatched now wait for the long days."
	}
	if offers := l.offersFrom(x.goneOn); offers != "" {
		text += " To be had instead: " + offers + "."
	}
	t.What = sentence("failed.what", "", "%s", text)
	t.Why = sentence("failed.why", "calendar-failed", "The plan counted on these birds; without them eggs or meat fall short. Plan again once you know what you do instead.")
	l.add(t, row{Code: "failed", Late: 28, Say: "Decide now, and let the plan be made again."}, x)
}

// lastSetting is the day by which eggs are set whose pullets still lay before
// spring: hatched by the middle of May in the north, half a year later in the
// south (keepers' rule). Near the equator any day will do.
func (l *lister) lastSetting(from measure.Date) measure.Date {
	hatched := measure.Date{Year: from.Year, Month: time.May, Day: 15}
	if l.southern() {
		hatched.Month = time.November
	}
	if d := hatched.AddDays(-21); !d.Before(from) {
		return d
	}
	hatched.Year++
	return hatched.AddDays(-21)
}

func (l *lister) setAgain(x *lot) bool {
	return l.tropical() || l.lastSetting(x.goneOn).DaysSince(x.goneOn) < 120
}

// offersFrom lists stock that can be had in the two months from a day on.
func (l *lister) offersFrom(d measure.Date) string {
	var list []string
	for _, o := range l.in.Holding.Stock {
		if o.Form == holding.GrownCock || !o.Months[d.Month-1] && !o.Months[d.Month%12] {
			continue
		}
		list = append(list, fmt.Sprintf("%s of %s", o.Form, nameOf(o.Breed)))
	}
	return strings.Join(list, ", ")
}
