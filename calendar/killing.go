package calendar

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"henyear/breed"
	"henyear/daybook"
	"henyear/measure"
)

// together is for how many days birds of several lots are kept back for one
// session: setting up and cleaning take as long for three birds as for twelve.
const together = 6

// fewest is the share of a bird below which a fate of the plan is no work.
const fewest = 0.25

// share of birds of one lot in a session.
type killPart struct {
	x *lot
	f fate
}

func (p killPart) day() measure.Date { return p.f.On.AddDays(saturday) }

// killing puts butcher days on the list, and the days on which birds leave alive.
func (l *lister) killing() {
	var parts []killPart
	for _, x := range l.lots {
		for _, f := range x.fates {
			p := killPart{x, f}
			if f.Birds < fewest || p.day().Before(l.start) || x.gone != nil && x.goneOn.Before(p.day()) && !l.leftNear(x, f.On) {
				continue
			}
			switch {
			case l.toTable(f):
				parts = append(parts, p)
			case f.What != "layer" && f.What != "breeding cock" && f.What != "kept to the end":
				l.leaving(p)
			}
		}
		l.lastGoodWeek(x)
	}
	slices.SortStableFunc(parts, func(a, b killPart) int {
		return cmp.Or(compare(a.day(), b.day()), strings.Compare(a.f.id, b.f.id))
	})
	for len(parts) > 0 {
		n := 1
		for n < len(parts) && parts[n].day().DaysSince(parts[0].day()) <= together {
			n++
		}
		l.session(parts[:n])
		parts = parts[n:]
	}
}

func (l *lister) toTable(f fate) bool {
	return l.in.Holding.Means.WillKill && (f.What == "table" || f.What == "culled for the pot")
}

// session is one butcher day, or several one after another.
func (l *lister) session(parts []killPart) {
	total := 0.0
	for _, p := range parts {
		total += p.f.Birds
	}
	if math.Round(total) < 1 {
		return
	}
	id, aliases := sessionID(parts)
	most := float64(max(1, l.in.Holding.Means.ButcherBirdsADay))
	n := max(1, int(math.Ceil(total/most-0.05)))
	on, moved := l.butcherDay(parts, n)
	w := words{"list": listOf(parts), "windowwhy": l.windowWhy(parts)}
	if n > 1 {
		w["list"] = fmt.Sprintf("a part of %s, on %s", w["list"], plural(n, "day", "days"))
	}
	left := math.Round(total)
	for k := range n {
		birds := min(left, most)
		if k == n-1 {
			birds = left
		}
		left -= birds
		w["birds"] = count(birds, "bird")
		day := on.AddDays(k)
		for _, r := range l.tables.killing {
			if r.From != "butcher" {
				continue
			}
			code := r.Code + ordinal(k+1)
			t := l.taskOf(r, id+"/"+code, day, w)
			t.Minutes += r.Each * birds
			t.Batch = parts[0].x.batchID()
			t.Moved = moved
			var also []string
			for _, a := range aliases {
				also = append(also, a+"/"+code)
			}
			if r.Code == "butcher" {
				for _, p := range parts {
					p.x.sessions = append(append(p.x.sessions, t.ID), also...)
				}
				l.trim(parts, &t)
				l.cautionFor(parts, &t)
				l.notClear(parts, &t)
			}
			l.add(t, r, parts[0].x, also...)
		}
	}
}

// sessionID names a session after the first of its fates in the order of the plan,
// so that it keeps its name when the day moves; it is known by the others as well.
func sessionID(parts []killPart) (string, []string) {
	order := slices.Clone(parts)
	slices.SortStableFunc(order, func(a, b killPart) int {
		return cmp.Or(compare(a.f.planned, b.f.planned), strings.Compare(a.f.id, b.f.id))
	})
	var aliases []string
	for _, p := range order[1:] {
		aliases = append(aliases, p.f.id)
	}
	return order[0].f.id, aliases
}

// butcherDay is the first of n days that suits: nobody away, and no bird that is
// still being kept back after a medicine.
func (l *lister) butcherDay(parts []killPart, n int) (measure.Date, *daybook.Sentence) {
	on := parts[len(parts)-1].day()
	free := func(d measure.Date) bool {
		for k := range n {
			if l.awayOn(d.AddDays(k)) != nil {
				return false
			}
		}
		return true
	}
	clear, held := l.clearFrom(parts, on)
	if on.Before(clear) {
		on = clear
	}
	if free(on) {
		return on, held
	}
	trip := l.awayOn(on)
	for k := 0; trip == nil && k < n; k++ {
		trip = l.awayOn(on.AddDays(k))
	}
	for d := 1; d < 2*366; d++ {
		for _, c := range []measure.Date{on.AddDays(-d), on.AddDays(d)} {
			if free(c) && !c.Before(clear) && !c.Before(earlier(on, l.in.Today)) {
				s := sentence("moved.butcher", "calendar-away", "Moved from %s: you are away %s, and no birds are butchered then.", dayMonth(on), spanWords(trip.From, trip.To))
				return c, &s
			}
		}
	}
	return on, held
}

// clearFrom is the first day on which none of the birds is held back after a
// medicine, as far as the daybook knows today.
func (l *lister) clearFrom(parts []killPart, on measure.Date) (measure.Date, *daybook.Sentence) {
	from := l.start
	var why *daybook.Sentence
	if l.in.Book == nil {
		return from, nil
	}
	for _, h := range l.in.Book.WithheldOn(l.in.Today) {
		if !h.Meat || h.MeatUntil.IsZero() || !concerns(parts, h.Groups) {
			continue
		}
		if d := h.MeatUntil.AddDays(1); from.Before(d) && on.Before(d) {
			from = d
			s := sentence("moved.withheld", "daybook-withdrawal", "Not before %s: %s", d.Words(), h.Text.Text)
			why = &s
		}
	}
	return from, why
}

func concerns(parts []killPart, groups []daybook.ID) bool {
	for _, p := range parts {
		for _, g := range groups {
			if p.x.groups[g] {
				return true
			}
		}
	}
	return false
}

// notClear warns where the daybook does not know for how long meat is held back.
func (l *lister) notClear(parts []killPart, t *Task) {
	if l.in.Book == nil {
		return
	}
	for _, h := range l.in.Book.WithheldOn(l.in.Today) {
		if h.Meat && h.MeatUntil.IsZero() && concerns(parts, h.Groups) {
			s := *t.Caution
			s.Text = h.Text.Text + " " + s.Text
			t.Caution = &s
		}
	}
}

// trim ends the window with the last good week of the birds, if that lies after
// the day itself.
func (l *lister) trim(parts []killPart, t *Task) {
	for _, p := range parts {
		if last := p.x.lastGood(); !last.IsZero() && p.f.What == "table" {
			t.Last = later(t.On, earlier(t.Last, last))
		}
	}
}

func (l *lister) cautionFor(parts []killPart, t *Task) {
	knives := *l.caution("knives")
	for _, p := range parts {
		if p.f.What == "culled for the pot" {
			knives.Text = l.caution("cull").Text + " " + knives.Text
			break
		}
	}
	t.Caution = &knives
}

// listOf says which birds a session takes.
func listOf(parts []killPart) string {
	type kind struct{ what, breed, age string }
	number := map[kind]float64{}
	var order []kind
	for _, p := range parts {
		k := kind{p.noun(), p.x.name, fmt.Sprintf("%d weeks old", int(math.Round(float64(p.day().DaysSince(p.x.now.hatch))/7)))}
		if p.f.What == "culled for the pot" {
			k.age = "the poorest"
		}
		if number[k] == 0 {
			order = append(order, k)
		}
		number[k] += p.f.Birds
	}
	var list []string
	for _, k := range order {
		if math.Round(number[k]) >= 1 {
			list = append(list, fmt.Sprintf("%s of %s, %s", count(number[k], k.what), k.breed, k.age))
		}
	}
	return strings.Join(list, "; ")
}

// noun is what a bird of the part is called.
func (p killPart) noun() string {
	weeks := p.day().DaysSince(p.x.now.hatch) / 7
	switch {
	case p.x.meat():
		return "meat bird"
	case p.f.Sex == "cock" && weeks > 52:
		return "old cock"
	case p.f.Sex == "cock":
		return "cockerel"
	case p.f.What == "table":
		return "surplus pullet"
	}
	return "hen"
}

// lastGood is the last day on which birds of a lot make their best table, by the
// breed's own ages to butcher. Key: calendar-meat-windows.
func (x *lot) lastGood() measure.Date {
	if x.breed == nil || x.breed.ButcherWeeksHigh <= 0 || x.now.hatch.IsZero() {
		return measure.Date{}
	}
	weeks := x.breed.ButcherWeeksHigh
	if x.meat() {
		weeks = min(weeks, mostMeatWeeks(x.breed))
	}
	return x.now.hatch.AddDays(int(7*weeks) + 6)
}

// mostMeatWeeks: fast meat crosses never grow beyond ten weeks.
func mostMeatWeeks(b *breed.Breed) float64 {
	if b.GrowthClass == "fast meat" {
		return 9
	}
	return b.ButcherWeeksHigh
}

// windowWhy says for each sort of bird why the day is this one.
func (l *lister) windowWhy(parts []killPart) string {
	var list []string
	say := func(text string) {
		if !slices.Contains(list, text) {
			list = append(list, text)
		}
	}
	for _, p := range parts {
		say(whyWindow(p.x, p.f.What == "culled for the pot"))
	}
	return strings.Join(list, " ")
}

func whyWindow(x *lot, culled bool) string {
	switch {
	case culled:
		return "The poorest hens go before winter feed, while they are in flesh."
	case x.breed == nil:
		return "Cockerels toughen and fight from about twenty weeks."
	case x.meat():
		return fmt.Sprintf("%s is best at %.0f to %.0f weeks; older ones fail in legs and heart and eat without gain.", x.name, x.breed.ButcherWeeksLow, min(x.breed.ButcherWeeksHigh, mostMeatWeeks(x.breed)))
	}
	return fmt.Sprintf("%s is best at %.0f to %.0f weeks; later the meat toughens and cockerels fight.", x.name, x.breed.ButcherWeeksLow, x.breed.ButcherWeeksHigh)
}

// lastGoodWeek warns before the birds grow past their best.
func (l *lister) lastGoodWeek(x *lot) {
	last := x.lastGood()
	if last.IsZero() || !l.in.Holding.Means.WillKill || x.onHand() || x.grown() || last.Before(l.start) || x.cockerels < 0.5 && !x.meat() {
		return
	}
	if !x.fromBook() && !slices.ContainsFunc(x.fates, func(f fate) bool {
		return f.What == "table" && f.Birds >= 0.5 && (f.Sex == "cock" || x.meat())
	}) {
		return
	}
	whom := " cockerels"
	if x.meat() {
		whom = ""
	}
	w := words{"breed": x.name, "whom": whom, "age": measure.Round(float64(last.DaysSince(x.now.hatch)/7), 0), "windowwhy": whyWindow(x, false)}
	for _, r := range l.tables.killing {
		if r.Code != "last-good-week" {
			continue
		}
		t := l.taskOf(r, x.id+"/"+r.Code, last, w)
		t.Batch, t.Group = x.batchID(), x.groupID()
		l.add(t, r, x)
	}
}

// leaving puts birds that are sold or given on the list.
func (l *lister) leaving(p killPart) {
	if math.Round(p.f.Birds) < 1 {
		return
	}
	noun := p.noun()
	if p.f.What == "sold as chick" {
		noun = "chick"
	}
	w := words{"breed": p.x.name, "birds": count(p.f.Birds, noun), "Birds": count(p.f.Birds, noun), "day": dayMonth(p.f.On), "fate": p.f.What,
		"fatewhy": "So the plan has it: their place and feed are counted for others from then on."}
	if !l.in.Holding.Means.WillKill && (p.f.What == "table" || p.f.What == "culled for the pot" || p.f.What == "given") {
		w["fate"] = "to whoever takes them"
		w["fatewhy"] = "You do not kill, so somebody else must take them: a neighbour, another keeper, a licensed slaughterhouse."
	}
	for _, r := range l.tables.killing {
		if r.From != "fate" {
			continue
		}
		t := l.taskOf(r, p.f.id+"/"+r.Code, p.f.On, w)
		t.Batch, t.Group = p.x.batchID(), p.x.groupID()
		l.add(t, r, p.x)
	}
}
