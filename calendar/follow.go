package calendar

import (
	"slices"
	"strings"

	"henyear/daybook"
	"henyear/hatch"
	"henyear/measure"
)

// follow puts every lot on the days of the flock as it is: when it was set, when
// it hatched or came, and how many there are.
func (l *lister) follow() {
	for _, x := range l.lots {
		l.ownGroups(x)
		l.counted(x)
	}
}

// ownGroups gathers the groups of a lot: those that hatched from its eggs, and
// those into which its birds were moved, as long as those are of its age.
func (l *lister) ownGroups(x *lot) {
	if x.setting != nil {
		for group, from := range l.seen.born {
			if from == x.setting.Setting.Setting {
				x.groups[group] = true
			}
		}
	}
	for _, r := range l.seen.moves {
		m := r.Payload.(*daybook.Move)
		if !x.groups[m.Group] || m.ToGroup.IsZero() {
			continue
		}
		g, ok := l.in.Book.GroupInfo(m.ToGroup)
		if !ok || g.Hatched.IsZero() || abs(g.Hatched.DaysSince(x.planned.hatch)) <= matchDays {
			x.groups[m.ToGroup] = true
		}
	}
}

// counted takes the numbers of today from the book.
func (l *lister) counted(x *lot) {
	if len(x.groups) == 0 {
		return
	}
	x.known, x.alive = true, map[string]int{}
	for _, g := range l.in.Book.GroupsOn(l.in.Today) {
		if x.groups[g.Group.Group] {
			x.alive[g.Sex] += g.Number
		}
	}
}

// settle decides on which days each lot stands, and what became of it.
func (l *lister) settle(x *lot) {
	x.setOn, x.hatchOn = l.firstTick(x, "set"), l.firstTick(x, "hatch")
	if x.arriveOn.IsZero() {
		x.arriveOn = l.firstTick(x, "arrive")
	}
	if st := x.setting; st != nil {
		x.setOn = st.SetOn
		x.eggs = float64(st.Eggs - st.Clear - st.Dead - st.Broken)
		if st.Ended {
			x.hatchOn = st.EndedOn
		}
	}
	switch {
	case x.hasEggs() && !x.hatchOn.IsZero():
		x.moveTo(x.hatchOn.DaysSince(x.planned.hatch), "hatched", "Hatched on %s, %s than planned: what follows moves with it.", x.hatchOn)
		if !x.setOn.IsZero() {
			x.now.set = x.setOn
		}
	case x.hasEggs() && !x.setOn.IsZero():
		x.moveTo(x.setOn.DaysSince(x.planned.set), "set", "Set on %s, %s than planned: everything after it moves with it.", x.setOn)
	case x.bought() && !x.arriveOn.IsZero():
		x.moveTo(x.arriveOn.DaysSince(x.planned.arrive), "came", "They came on %s, %s than planned: what follows moves with it.", x.arriveOn)
	case !x.planned.set.IsZero() || x.bought():
		l.notYet(x)
	}
	l.numbers(x)
	l.ending(x)
}

// firstTick is the day on which a job of a lot was ticked off; zero: never.
func (l *lister) firstTick(x *lot, code string) measure.Date {
	ticks := l.seen.ticks[x.id+"/"+code]
	if len(ticks) == 0 {
		return l.orphanTick(x, code, x.planned.of(code), matchDays)
	}
	return slices.MinFunc(ticks, compare)
}

// orphanTick is the day on which the same job was ticked off for a lot that the
// plan no longer knows: planned again, a batch has another name. It counts for the
// lot of the same breed when it lies within the given days of the job.
func (l *lister) orphanTick(x *lot, code string, near measure.Date, within int) measure.Date {
	best := measure.Date{}
	if near.IsZero() {
		return best
	}
	for id, ticks := range l.seen.ticks {
		of, step := cutLast(id)
		if step != code || l.lotByID[of] != nil || !strings.HasPrefix(of, x.batch.Breed+"-") {
			continue
		}
		for _, on := range ticks {
			if abs(on.DaysSince(near)) <= within && (best.IsZero() || on.Before(best)) {
				best = on
			}
		}
	}
	return best
}

// cutLast parts an identifier into the lot and the job.
func cutLast(id string) (of, step string) {
	i := strings.LastIndexByte(id, '/')
	if i < 0 {
		return "", id
	}
	return id[:i], id[i+1:]
}

func compare(a, b measure.Date) int { return a.DaysSince(b) }

func (x *lot) moveTo(n int, code, format string, on measure.Date) {
	x.now = x.planned.shifted(n)
	if n == 0 {
		return
	}
	how := days(n) + " later"
	if n < 0 {
		how = days(-n) + " earlier"
	}
	s := sentence("moved."+code, "calendar-match", format, on.Words(), how)
	s.Args = map[string]any{"on": on.String(), "days": n}
	x.moved = &s
	x.moveFates(n)
}

func (x *lot) moveFates(n int) {
	for i := range x.fates {
		f := &x.fates[i]
		if f.planned.DaysSince(x.planned.hatch) <= followsHatchDays {
			f.On = f.planned.AddDays(n)
		}
	}
}

// unsetDays is for how long eggs of which nothing is written may still be set.
const unsetDays = 21

// setWindow is the slack of the set day itself (the eggs of ten days).
const setWindow = hatch.LongestStorageDays - 7

// notYet handles a lot of which nothing is written down yet: it may lie ahead, it
// may be put off, or it never came. Where the household writes nothing at all,
// the plan is taken to be followed.
func (l *lister) notYet(x *lot) {
	day, what := x.planned.set, "the eggs are set"
	if x.bought() {
		day, what = x.planned.arrive, "the birds have come"
	}
	late := l.in.Today.DaysSince(day)
	switch {
	case late <= setWindow || !l.seen.written || day.Before(l.start):
		l.keepFromAway(x)
	case late <= setWindow+unsetDays:
		x.unset = true
		x.now = x.planned.shifted(late)
		x.moveFates(late)
		s := sentence("moved.unset", "calendar-match", "The daybook does not say yet that %s. Until it does, the days that follow run on from today.", what)
		x.moved = &s
	default:
		s := sentence("gone.unset", "calendar-match", "The daybook does not say that %s, and three weeks have gone by since the day, so their work is taken off the list. Write it down, and it comes back.", what)
		x.gone, x.goneOn = &s, day
	}
}

// numbers scales what was hoped for to what there is.
func (l *lister) numbers(x *lot) {
	hoped := x.chicks
	st := x.setting
	switch {
	case st != nil && st.Ended:
		x.chicks = float64(st.Chicks - st.Culled)
	case st != nil && x.batch.EggsSet > 0:
		// Eggs more or fewer than planned, less those taken out: as many chicks can
		// be hoped for as the plan hoped for of the same eggs, and never more than
		// there are eggs left.
		x.chicks = min(hoped*float64(st.Eggs)/float64(x.batch.EggsSet), x.eggs)
	default:
		for g, a := range l.seen.arrived {
			if x.groups[g] && x.bought() && x.batch.Source != "cock" {
				x.chicks = float64(a.number)
			}
		}
	}
	if hoped <= 0 || x.chicks == hoped {
		l.capped(x)
		return
	}
	if x.chicks <= 0 { // what falls away is told of as it was hoped for
		x.chicks = hoped
		return
	}
	share := x.chicks / hoped
	x.pullets *= share
	x.cockerels *= share
	for i := range x.fates {
		x.fates[i].Birds *= share
	}
	l.capped(x)
}

// capped never speaks of more birds of a lot than there are, once its sexes are
// told apart in the book.
func (l *lister) capped(x *lot) {
	if !x.known || x.alive[daybook.Unsexed] > 0 || l.total(x) == 0 {
		return
	}
	hens, cocks := x.alive[daybook.Hens], x.alive[daybook.Cocks]
	x.pullets, x.cockerels = min(x.pullets, float64(hens)), min(x.cockerels, float64(cocks))
	for i := range x.fates {
		f := &x.fates[i]
		if f.On.Before(l.in.Today) || l.leftNear(x, f.On) {
			continue
		}
		most := hens
		if f.Sex == "cock" {
			most = cocks
		}
		f.Birds = min(f.Birds, float64(most))
	}
}

// leftNear reports whether birds of a lot were killed or handed on around a day.
func (l *lister) leftNear(x *lot, on measure.Date) bool {
	return slices.ContainsFunc(l.seen.facts, func(f fact) bool {
		return (f.what == "butchered" || f.what == "sold") && x.groups[f.group] && abs(f.on.DaysSince(on)) <= matchDays
	})
}

// ending sees whether anything is left of a lot.
func (l *lister) ending(x *lot) {
	st := x.setting
	switch {
	case x.gone != nil:
	case st != nil && (st.Ended && st.Chicks <= st.Culled || !st.Ended && st.Clear+st.Dead+st.Broken >= st.Eggs):
		x.failed = true
		on := st.EndedOn
		if on.IsZero() {
			on = l.lastCandling(st.Setting.Setting)
		}
		s := sentence("gone.failed", "calendar-failed", "Nothing hatched of these %s, so what was to follow is off.", count(float64(st.Eggs), "egg"))
		x.gone, x.goneOn = &s, on
	case x.known && l.total(x) == 0 && l.everHad(x):
		s := sentence("gone.birds", "calendar-match", "None of these birds is left in the daybook, so what was to follow is off.")
		x.gone, x.goneOn = &s, l.in.Today
	}
}

// noCocksLeft reports whether the book knows that no cockerel of a lot is left:
// its sexes were parted, or nobody is.
func (l *lister) noCocksLeft(x *lot) bool {
	if !x.known || x.alive[daybook.Cocks] > 0 {
		return false
	}
	for id := range x.groups {
		if g, ok := l.in.Book.GroupInfo(id); ok && g.Sex == daybook.Cocks {
			return true
		}
	}
	return x.alive[daybook.Unsexed] == 0
}

func (l *lister) total(x *lot) int {
	n := 0
	for _, k := range x.alive {
		n += k
	}
	return n
}

// everHad reports whether birds of the lot have been in the book: a group that is
// only described has nobody to miss yet.
func (l *lister) everHad(x *lot) bool {
	for _, r := range l.in.Book.Records {
		switch p := r.Payload.(type) {
		case *daybook.BirdsIn:
			if x.groups[p.Group] {
				return true
			}
		case *daybook.Hatch:
			if x.groups[p.Group] && p.Chicks > p.Culled {
				return true
			}
		}
	}
	return false
}

func (l *lister) lastCandling(setting daybook.ID) measure.Date {
	on := l.in.Today
	for _, f := range l.seen.facts {
		if f.what == "candling" && f.setting == setting {
			on = f.on
		}
	}
	return on
}
