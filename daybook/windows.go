package daybook

import (
	"fmt"
	"slices"

	"henyear/measure"
)

// window is one treatment and the birds it reached. Birds that move into another
// group while they are not clear take the window with them, since nobody can tell
// them apart there.
type window struct {
	event     ID
	product   string
	pen       string
	all       bool
	from      dayNumber
	last      dayNumber // last dose
	eggUntil  dayNumber // last day on which eggs are not for eating; endless when not known
	meatUntil dayNumber
	groups    []reached
}

// reached is a group that a treatment concerns, from a day on.
type reached struct {
	group ID
	from  dayNumber
}

// until is the last day on which nothing may be eaten. A period of 0 days on the
// label holds nothing back.
func until(from, last dayNumber, days *int) dayNumber {
	switch {
	case days == nil:
		return endless
	case *days == 0:
		return from - 1
	}
	return last + dayNumber(*days)
}

func (w *window) active(day dayNumber) bool {
	return day >= w.from && (day <= w.eggUntil || day <= w.meatUntil || day <= w.last)
}

func (w *window) reaches(group ID, day dayNumber) bool {
	return slices.ContainsFunc(w.groups, func(r reached) bool { return r.group == group && r.from <= day })
}

func (w *window) reach(group ID, day dayNumber) {
	if !w.reaches(group, day) {
		w.groups = append(w.groups, reached{group, day})
	}
}

func (b *Book) applyTreatment(r *Record, day dayNumber, p *Treatment) {
	w := &window{event: r.Event.ID, product: p.Product, pen: p.Pen, all: p.All, from: day, last: day}
	if !p.LastDose.IsZero() {
		w.last = max(day, numberOf(p.LastDose))
	}
	w.eggUntil, w.meatUntil = until(day, w.last, p.EggDays), until(day, w.last, p.MeatDays)
	if !p.Group.IsZero() {
		w.reach(p.Group, day)
	}
	if !p.Bird.IsZero() {
		w.reach(b.bird(p.Bird, day).groupAt(day), day)
	}
	for _, c := range b.sortedCells() {
		if c.now() > 0 && (p.All || p.Pen != "" && c.pen == p.Pen) {
			w.reach(c.group, day)
		}
	}
	b.windows = append(b.windows, w)
	if p.EggDays == nil || p.MeatDays == nil {
		b.find(Caution, r.Event, say("days-unknown", map[string]any{"product": p.Product},
			"How long eggs and meat must be kept back after %s is not written down. Ask the vet; eat and sell neither until you know, and correct this record then.", p.Product))
	}
}

// joinWindows lets a treatment of a pen or of all reach birds that come while it
// is still given.
func (b *Book) joinWindows(group ID, pen string, day dayNumber) {
	for _, w := range b.windows {
		if day >= w.from && day <= w.last && (w.all || w.pen != "" && w.pen == pen) {
			w.reach(group, day)
		}
	}
}

// passWindows lets treated birds take their windows into another group.
func (b *Book) passWindows(from, to ID, day dayNumber) {
	for _, w := range b.windows {
		if w.active(day) && w.reaches(from, day) {
			w.reach(to, day)
		}
	}
}

// Withheld is eggs or meat of some groups that are not for eating on a day.
type Withheld struct {
	Treatment ID           `json:"treatment"`
	Product   string       `json:"product"`
	Groups    []ID         `json:"groups,omitzero"` // with birds on that day
	Eggs      bool         `json:"eggs"`            // eggs are withheld on that day
	Meat      bool         `json:"meat"`
	EggUntil  measure.Date `json:"egg_until,omitzero"` // the last day; zero with Eggs set: not known
	MeatUntil measure.Date `json:"meat_until,omitzero"`
	Text      Sentence     `json:"text"`
}

// WithheldOn lists what is not for eating on a day, by treatment: eggs laid on
// that day, and birds butchered on it. Groups without birds are left out.
func (b *Book) WithheldOn(on measure.Date) []Withheld {
	day := numberOf(on)
	var list []Withheld
	for _, w := range b.windows {
		x := Withheld{Treatment: w.event, Product: w.product}
		for _, r := range w.groups {
			g := b.group(r.group)
			if r.from <= day && day >= w.from && g.numberAt(day) > 0 && !slices.Contains(x.Groups, r.group) {
				x.Groups = append(x.Groups, r.group)
				x.Eggs = x.Eggs || day <= w.eggUntil && g.Sex != Cocks
				x.Meat = x.Meat || day <= w.meatUntil
			}
		}
		if !x.Eggs && !x.Meat {
			continue
		}
		x.EggUntil, x.MeatUntil = dateUntil(x.Eggs, w.eggUntil), dateUntil(x.Meat, w.meatUntil)
		x.Text = b.withheldText(w, x)
		list = append(list, x)
	}
	return list
}

func dateUntil(held bool, day dayNumber) measure.Date {
	if !held || day == endless {
		return measure.Date{}
	}
	return day.date()
}

func (b *Book) withheldText(w *window, x Withheld) Sentence {
	who := ""
	for i, id := range x.Groups {
		if i > 0 {
			who += ", "
		}
		who += b.names.group(id)
	}
	s := Sentence{Code: "withheld", Args: map[string]any{"who": who, "product": w.product, "eggs": x.Eggs, "meat": x.Meat,
		"egg_until": x.EggUntil.String(), "meat_until": x.MeatUntil.String()}, Source: "daybook-withdrawal"}
	part := func(held bool, what string, last measure.Date) {
		switch {
		case !held:
		case last.IsZero():
			s.Text += fmt.Sprintf(" %s are not for eating, selling or giving until the vet has said for how long.", what)
		default:
			s.Text += fmt.Sprintf(" %s are not for eating, selling or giving up to and including %s.", what, last.Words())
		}
	}
	part(x.Eggs, "Eggs", x.EggUntil)
	part(x.Meat, "Birds butchered now", x.MeatUntil)
	s.Text = fmt.Sprintf("%s had %s.%s The label and your vet decide; the longer time holds.", who, w.product, s.Text)
	if x.Eggs {
		s.Text += " Do not hatch from these eggs either."
	}
	return s
}

// EggsWithheld tells whether eggs laid on a day, in a pen or by a group (both may
// be unknown), are not for eating, and why. Where treated and other hens' eggs
// cannot be told apart, all are withheld.
func (b *Book) EggsWithheld(on measure.Date, pen string, group ID) (bool, Sentence) {
	day := numberOf(on)
	for _, x := range b.WithheldOn(on) {
		if x.Eggs && slices.ContainsFunc(x.Groups, func(id ID) bool { return b.mayLay(id, day, pen, group) }) {
			return true, x.Text
		}
	}
	return false, Sentence{}
}

// mayLay reports whether eggs of a pen or group may come from hens of this group.
func (b *Book) mayLay(id ID, day dayNumber, pen string, group ID) bool {
	g := b.group(id)
	switch {
	case g.Sex == Cocks || !group.IsZero() && group != id:
		return false
	case pen == "":
		return g.numberAt(day) > 0
	}
	c := b.cells[cellKey{id, pen}]
	return c != nil && c.at(day) > 0
}

// MeatWithheld tells whether birds of a group butchered on a day are not for
// eating, and why.
func (b *Book) MeatWithheld(on measure.Date, group ID) (bool, Sentence) {
	for _, x := range b.WithheldOn(on) {
		if x.Meat && slices.Contains(x.Groups, group) {
			return true, x.Text
		}
	}
	return false, Sentence{}
}

// hasWindows spares the look at each egg where nothing is being treated.
func (b *Book) hasWindows(day dayNumber) bool {
	return slices.ContainsFunc(b.windows, func(w *window) bool { return w.active(day) })
}

func (b *Book) checkMeat(r *Record, group ID, day dayNumber) {
	if !b.hasWindows(day) {
		return
	}
	if held, why := b.MeatWithheld(r.Event.HappenedOn, group); held {
		b.find(Caution, r.Event, say("meat-withheld", why.Args, "These birds were butchered too early after a medicine: not for eating. %s", why.Text))
	}
}

func (b *Book) checkSetAside(r *Record, p *Eggs, day dayNumber) {
	if p.SetAside == 0 || !b.hasWindows(day) {
		return
	}
	if held, why := b.EggsWithheld(r.Event.HappenedOn, p.Pen, p.Group); held {
		b.find(Caution, r.Event, say("set-aside-withheld", why.Args, "Eggs were set aside for hatching while a medicine is in them. %s", why.Text))
	}
}

func (b *Book) checkEggsOut(r *Record, p *EggsOut, day dayNumber) {
	if p.How == "thrown away" || !b.hasWindows(day) {
		return
	}
	if held, why := b.EggsWithheld(r.Event.HappenedOn, p.Pen, p.Group); held {
		b.find(Caution, r.Event, say("eggs-withheld", why.Args, "Eggs were %s while eggs are held back. Make sure that they were laid before. %s", p.How, why.Text))
	}
}
