package calendar

import (
	"slices"
	"strings"

	"henyear/measure"
)

// A job is done on the day of its tick in the daybook, or of the record that is
// the job. For a job that comes again the last one counts, and it is due once its
// days have passed. Which record is which job:
//
//   - it is of a kind that the row names in done_by, and belongs to the lot's
//     setting or to one of its groups (to any, for rounds);
//   - its day lies from three days before the window to the end of the time in
//     which a late job still matters; eggs set, hatched, birds come, the first egg
//     and the end of a quarantine count whenever they were;
//   - a candling, a move or a treatment is the nearest job of its kind only.
const earlyDays = 3

// milestones happen once to a lot, on whatever day.
var milestones = []string{"setting", "hatch", "birds-in", "first-egg", "quarantine-end"}

// shared are records of which a lot has several: each is the nearest job only.
var shared = []string{"candling", "move", "treatment", "butchered"}

// closings are the days on which a job was done, in order.
func (l *lister) closings(e *entry) []measure.Date {
	var list []measure.Date
	for _, id := range append([]string{e.task.ID}, e.aliases...) {
		list = append(list, l.seen.ticks[id]...)
	}
	if e.row.Code == "last-good-week" {
		for _, id := range e.lot.sessions {
			list = append(list, l.seen.ticks[id]...)
		}
	}
	if e.lot != nil && len(list) == 0 {
		_, step := cutLast(e.task.ID)
		if d := l.orphanTick(e.lot, step, e.task.On, max(e.row.Late, matchDays)/2); !d.IsZero() {
			list = append(list, d)
		}
	}
	if e.lot == nil && e.task.Every > 0 { // the month before counts as well
		prefix, _, _ := strings.Cut(e.task.ID, "/")
		for id, ticks := range l.seen.ticks {
			if of, _, _ := strings.Cut(id, "/"); of == prefix && id != e.task.ID {
				list = append(list, ticks...)
			}
		}
	}
	for _, f := range l.seen.facts {
		if l.isJob(f, e) {
			list = append(list, f.on)
		}
	}
	slices.SortFunc(list, compare)
	return list
}

// isJob reports whether a record is the job of an entry.
func (l *lister) isJob(f fact, e *entry) bool {
	if !slices.Contains(e.row.DoneBy, f.what) || !l.belongs(f, e) {
		return false
	}
	if e.row.Code == "last-good-week" {
		return l.noCocksLeft(e.lot)
	}
	if !slices.Contains(milestones, f.what) {
		first, last := e.task.First.AddDays(-earlyDays), e.task.Last.AddDays(e.row.Late)
		if f.on.Before(first) || last.Before(f.on) {
			return false
		}
	}
	return !slices.Contains(shared, f.what) || l.nearestJob(f, e)
}

func (l *lister) belongs(f fact, e *entry) bool {
	x := e.lot
	switch {
	case x == nil || f.what == "broody" || f.what == "eggs-aside" || f.what == "treatment" && f.all:
		return true
	case !f.setting.IsZero():
		return x.setting != nil && x.setting.Setting.Setting == f.setting
	case f.what == "butchered" && e.aliases != nil:
		return l.anyGroup(f, e)
	}
	return x.groups[f.group]
}

// anyGroup reports whether the birds of a record belong to one of the lots of a
// session.
func (l *lister) anyGroup(f fact, e *entry) bool {
	for _, id := range append([]string{e.task.ID}, e.aliases...) {
		for _, x := range l.lots {
			if strings.HasPrefix(id, x.id+"/") && x.groups[f.group] {
				return true
			}
		}
	}
	return false
}

// nearestJob reports whether no other job that the record could be lies nearer.
func (l *lister) nearestJob(f fact, e *entry) bool {
	mine := abs(f.on.DaysSince(e.task.On))
	for i := range l.entries {
		o := &l.entries[i]
		if o.task.ID == e.task.ID || !slices.Contains(o.row.DoneBy, f.what) || o.row.Code == "last-good-week" || !l.belongs(f, o) {
			continue
		}
		if d := abs(f.on.DaysSince(o.task.On)); d < mine || d == mine && o.task.ID < e.task.ID {
			return false
		}
	}
	return true
}

// place decides day and state of an entry. It reports false when the job is past
// and no longer matters.
func (l *lister) place(e *entry) bool {
	t := &e.task
	if x := e.lot; x != nil && t.Moved == nil && x.moved != nil && e.row.Code != "failed" && !(x.unset && e.row.begins()) {
		t.Moved = x.moved
	}
	done := l.closings(e)
	if t.Every > 0 {
		return l.placeRound(e, done)
	}
	l.dodge(t, e.row)
	if len(done) > 0 {
		t.State, t.DoneOn, t.Away = Done, done[0], nil
		return true
	}
	if e.lot != nil && e.lot.gone != nil && e.row.Code != "failed" {
		return l.goneJob(e)
	}
	today := l.in.Today
	switch {
	case today.Before(t.First):
		t.State = Ahead
	case !t.Last.Before(today):
		t.State = Due
	default:
		return l.missedJob(e)
	}
	return true
}

// placeRound is place for a job that comes again.
func (l *lister) placeRound(e *entry, done []measure.Date) bool {
	t, today := &e.task, l.in.Today
	done = slices.DeleteFunc(done, func(d measure.Date) bool {
		return t.Last.Before(d) || d.Before(t.First.AddDays(-t.Every))
	})
	if len(done) > 0 {
		last := done[len(done)-1]
		next := last.AddDays(t.Every)
		within := !last.Before(t.First)
		switch {
		case within && (today.Before(next) || t.Last.Before(next) || t.Last.Before(today)):
			t.State, t.DoneOn = Done, last
			t.On = earlier(later(next, t.First), t.Last)
			return true
		case within || t.First.Before(next):
			t.On = earlier(later(next, t.First), t.Last)
		}
	}
	if e.lot != nil && e.lot.gone != nil {
		return l.goneJob(e)
	}
	switch {
	case today.Before(t.First):
		t.State = Ahead
	case t.Last.Before(today):
		return false
	default:
		t.State = Due
		t.On = earlier(later(t.On, today), t.Last)
	}
	l.dodge(t, e.row)
	return true
}

// goneDays is for how long the list still tells of what fell away.
const goneDays = 60

func (l *lister) goneJob(e *entry) bool {
	x := e.lot
	if e.task.Last.Before(x.goneOn) || x.goneOn.AddDays(goneDays).Before(l.in.Today) {
		return false
	}
	e.task.State, e.task.Moved, e.task.Away = Gone, x.gone, nil
	return true
}

// missedJob tells whether a job whose window has closed still matters.
func (l *lister) missedJob(e *entry) bool {
	t, r := &e.task, e.row
	if t.Last.AddDays(r.Late).Before(l.in.Today) || r.Late == 0 || l.overtaken(e) {
		return false
	}
	t.State = Missed
	s := sentence(r.Code+".late", "", "It still matters. %s", r.Say)
	t.Matters = &s
	t.Away = nil
	return true
}

// overtaken reports whether what came after shows that a job no longer matters:
// nobody candles eggs that have hatched.
func (l *lister) overtaken(e *entry) bool {
	x, r := e.lot, e.row
	switch {
	case x == nil:
		return false
	case r.From == "set" && !x.hatchOn.IsZero():
		return true
	case r.From == "set" && r.Day <= 0:
		return !x.setOn.IsZero()
	case r.From == "arrive" && r.Day < 0:
		return !x.arriveOn.IsZero()
	}
	return false
}
