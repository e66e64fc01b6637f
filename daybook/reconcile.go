package daybook

import (
	"slices"
	"time"

	"henyear/measure"
)

// counted is one count held against the book. The book may say different numbers
// in the course of that day; the count agrees if it agrees with any of them.
type counted struct {
	Count
	event  int
	day    dayNumber
	before int // the book's number at the end of the day before
	then   int // at the moment of the record, in the order of the book
	book   int // at the end of the day
}

func (c counted) agrees() bool {
	return c.Number == c.before || c.Number == c.then || c.Number == c.book
}

// Difference is a count with which the book disagrees.
type Difference struct {
	Count   Count        `json:"count"`
	Event   ID           `json:"event"`
	On      measure.Date `json:"on"`
	Book    int          `json:"book"`           // what the book says for the end of that day
	Since   measure.Date `json:"since,omitzero"` // of the last count of the same birds that agreed; zero: none
	What    Sentence     `json:"what"`
	Reasons []Reason     `json:"reasons"` // what may have happened, the likeliest first
}

// Reason is one explanation of a difference with the records that would mend the
// book. A Reason without records asks the keeper to look again.
type Reason struct {
	What    Sentence `json:"what"`
	Records []Draft  `json:"records,omitzero"`
}

// Draft is a record that is ready but for its identifier and moment.
type Draft struct {
	HappenedOn measure.Date
	Payload    Payload
	Supersedes []ID
}

// MarshalJSON writes the draft with the name and version of its kind, so that it can
// be sent back as a record.
func (d Draft) MarshalJSON() ([]byte, error) {
	k := kindByName[d.Payload.Kind()]
	return encode(struct {
		Kind       string       `json:"kind"`
		Version    int          `json:"version"`
		HappenedOn measure.Date `json:"happened_on"`
		Supersedes []ID         `json:"supersedes,omitempty"`
		Payload    Payload      `json:"payload"`
	}{k.Name, k.Version, d.HappenedOn, d.Supersedes, d.Payload})
}

// Event makes the draft a record; it needs and refuses what New does.
func (d Draft) Event(id ID, recordedAt time.Time, device ID, author string) (Event, error) {
	return New(id, d.HappenedOn, recordedAt, device, author, d.Payload, d.Supersedes...)
}

// inCount reports whether birds of a cell belong to a count.
func (b *Book) inCount(p *Count, key cellKey) bool {
	return (p.Group.IsZero() || p.Group == key.group) && (p.Pen == "" || p.Pen == key.pen) && (p.Which == "" || b.groups[key.group].Sex == p.Which)
}

func (b *Book) numberFor(p *Count, day dayNumber) int {
	n := 0
	for key, c := range b.cells {
		if b.inCount(p, key) {
			n += c.at(day)
		}
	}
	return n
}

func (b *Book) applyCount(i int, day dayNumber, p *Count) {
	b.counts = append(b.counts, counted{Count: *p, event: i, day: day, before: b.numberFor(p, day-1), then: b.numberFor(p, day)})
}

func (b *Book) judgeCounts() {
	for i := range b.counts {
		c := &b.counts[i]
		c.book = b.numberFor(&c.Count, c.day)
		if !c.agrees() {
			b.find(Advice, b.Records[c.event].Event, b.differs(*c))
		}
	}
}

func (b *Book) differs(c counted) Sentence {
	return say("count-differs", map[string]any{"counted": c.Number, "book": c.book, "where": b.names.who(ID{}, c.Group, c.Pen)},
		"You counted %d, the book says %d (%s).", c.Number, c.book, b.names.who(ID{}, c.Group, c.Pen))
}

// Differences lists the counts with which the book disagrees, in order, each with
// its likely reasons. Only the last count of the same birds is listed: an earlier
// one that was never settled says no more than the last.
func (b *Book) Differences() []Difference {
	var list []Difference
	for i, c := range b.counts {
		later := slices.ContainsFunc(b.counts[i+1:], func(d counted) bool { return d.Group == c.Group && d.Pen == c.Pen && d.Which == c.Which })
		if later || c.agrees() {
			continue
		}
		d := Difference{Count: c.Count, Event: b.Records[c.event].Event.ID, On: c.day.date(), Book: c.book, What: b.differs(c)}
		since := dayNumber(0)
		for _, earlier := range b.counts[:i] {
			if earlier.agrees() && earlier.Group == c.Group && earlier.Pen == c.Pen && earlier.Which == c.Which {
				since = earlier.day
				d.Since = since.date()
			}
		}
		if c.Number < c.book {
			d.Reasons = b.tooFew(c, d, since)
		} else {
			d.Reasons = b.tooMany(c, d, since)
		}
		list = append(list, d)
	}
	return list
}

// The most reasons of one sort that are worth reading.
const mostReasons = 4

// tooFew explains a count below the book: birds went unseen, an entry is too
// large, or not all were seen.
func (b *Book) tooFew(c counted, d Difference, since dayNumber) []Reason {
	short := c.book - c.Number
	var reasons []Reason
	groups := b.groupsIn(c, short)
	for _, g := range groups {
		p := &BirdsOut{Group: g.Group.Group, Number: short, How: "missing", Pen: c.Pen, Since: d.Since}
		reasons = append(reasons, Reason{say("went-missing", map[string]any{"number": short, "group": b.names.group(g.Group.Group)},
			"%s of %s went missing since the last count.", count(short, "bird"), b.names.group(g.Group.Group)), []Draft{{HappenedOn: d.On, Payload: p}}})
	}
	reasons = append(reasons, b.entriesTooLarge(c, short, since, func(how string) bool { return how != "moved" }, +1)...)
	for _, g := range groups[:min(1, len(groups))] {
		for _, how := range []string{"died", "sold"} {
			p := &BirdsOut{Group: g.Group.Group, Number: short, How: how, Pen: c.Pen}
			reasons = append(reasons, Reason{say("not-written-"+how, map[string]any{"number": short, "group": b.names.group(g.Group.Group)},
				"%s of %s %s and nobody wrote it down.", count(short, "bird"), b.names.group(g.Group.Group), map[string]string{"died": "died", "sold": wasOrWere(short) + " sold"}[how]),
				[]Draft{{HappenedOn: d.On, Payload: p}}})
		}
		p := &Butchered{Group: g.Group.Group, Number: short, Pen: c.Pen}
		reasons = append(reasons, Reason{say("not-written-butchered", map[string]any{"number": short, "group": b.names.group(g.Group.Group)},
			"%s of %s %s butchered and nobody wrote it down.", count(short, "bird"), b.names.group(g.Group.Group), wasOrWere(short)),
			[]Draft{{HappenedOn: d.On, Payload: p}}})
	}
	if c.Pen != "" {
		reasons = append(reasons, Reason{What: say("in-another-pen", map[string]any{"pen": c.Pen}, "They are in another pen: count that too, and write down the move.")})
	}
	return append(reasons, b.countAgain(c, d, "Some were not seen: on a high perch, in a bush, on a hidden nest. Count again at dusk."))
}

// tooMany explains a count above the book: a loss that was none, a hatch or
// purchase that was not written down, or birds counted twice.
func (b *Book) tooMany(c counted, d Difference, since dayNumber) []Reason {
	over := c.Number - c.book
	reasons := b.entriesTooLarge(c, over, since, func(how string) bool { return how == "missing" || how == "taken" }, -1)
	reasons = append(reasons, b.entriesTooLarge(c, over, since, func(how string) bool { return how != "missing" && how != "taken" && how != "moved" }, -1)...)
	for _, g := range b.groupsIn(c, 0) {
		if len(reasons) >= 2*mostReasons {
			break
		}
		name := b.names.group(g.Group.Group)
		args := map[string]any{"number": over, "group": name}
		if b.lost(g.Group.Group, "missing", c.day) >= over {
			reasons = append(reasons, Reason{say("came-back", args, "%s of %s came back.", count(over, "bird"), name),
				[]Draft{{HappenedOn: d.On, Payload: &BirdsIn{Group: g.Group.Group, Number: over, How: "returned", Pen: c.Pen}}}})
		}
	}
	for _, g := range b.groupsIn(c, 0)[:min(1, len(b.groupsIn(c, 0)))] {
		name := b.names.group(g.Group.Group)
		args := map[string]any{"number": over, "group": name}
		reasons = append(reasons,
			Reason{say("not-written-hatched", args, "A hen hatched %s on a hidden nest.", count(over, "chick")),
				[]Draft{{HappenedOn: d.On, Payload: &BirdsIn{Group: g.Group.Group, Number: over, How: "hatched", Pen: c.Pen}}}},
			Reason{say("not-written-bought", args, "%s bought or given, and nobody wrote it down.", plural(over, "bird was", "birds were")),
				[]Draft{{HappenedOn: d.On, Payload: &BirdsIn{Group: g.Group.Group, Number: over, How: "bought", Pen: c.Pen}}}})
	}
	return append(reasons, b.countAgain(c, d, "Some were counted twice, or a neighbour's were among them. Count again at dusk."))
}

func wasOrWere(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
}

func (b *Book) countAgain(c counted, d Difference, text string) Reason {
	return Reason{say("count-again", nil, "%s", text), []Draft{{HappenedOn: d.On, Payload: &Strike{Reason: "miscounted"}, Supersedes: []ID{b.Records[c.event].Event.ID}}}}
}

// groupsIn lists the groups that a count covers and that have at least so many
// birds, the largest first.
func (b *Book) groupsIn(c counted, least int) []*flockGroup {
	number := map[*flockGroup]int{}
	for key, x := range b.cells {
		if b.inCount(&c.Count, key) {
			number[b.groups[key.group]] += x.at(c.day)
		}
	}
	var list []*flockGroup
	for g, n := range number {
		if n >= max(1, least) {
			list = append(list, g)
		}
	}
	slices.SortFunc(list, func(x, y *flockGroup) int {
		if n := number[y] - number[x]; n != 0 {
			return n
		}
		return x.Group.Group.Compare(y.Group.Group)
	})
	return list[:min(mostReasons, len(list))]
}

// entriesTooLarge looks for records since the last count that would explain the
// difference if their number were smaller by it, or if they were struck out.
func (b *Book) entriesTooLarge(c counted, by int, since dayNumber, how func(string) bool, sign int) []Reason {
	var reasons []Reason
	seen := map[int]bool{}
	for i := len(b.changes) - 1; i >= 0 && len(reasons) < mostReasons; i-- {
		x := b.changes[i]
		if x.day > c.day || x.day < since || seen[x.event] || x.number*sign <= 0 || !how(x.how) || !b.inCount(&c.Count, x.cellKey) {
			continue
		}
		seen[x.event] = true
		r := b.Records[x.event]
		p, had := smaller(r.Payload, by)
		if had < by {
			continue
		}
		args := map[string]any{"record": r.Event.ID.String(), "number": had, "right": had - by, "what": b.Describe(r.Event).Text}
		draft := Draft{HappenedOn: r.Event.HappenedOn, Payload: p, Supersedes: []ID{r.Event.ID}}
		what := say("entry-too-large", args, "Of %s, “%s” should say %d instead of %d.", r.Event.HappenedOn.Words(), b.Describe(r.Event).Text, had-by, had)
		if p == nil {
			draft.Payload = &Strike{Reason: "did not happen"}
			what = say("entry-wrong", args, "Of %s, “%s” did not happen, or was written twice.", r.Event.HappenedOn.Words(), b.Describe(r.Event).Text)
		}
		reasons = append(reasons, Reason{what, []Draft{draft}})
	}
	return reasons
}

// smaller is the record with a number smaller by some; nil when nothing is left,
// and had less than by when the record cannot be that wrong.
func smaller(p Payload, by int) (changed Payload, had int) {
	switch p := p.(type) {
	case *BirdsIn:
		q := *p
		q.Number -= by
		q.Birds = q.Birds[:min(len(q.Birds), max(0, q.Number))]
		changed, had = &q, p.Number
	case *BirdsOut:
		q := *p
		q.Number -= by
		q.Birds = q.Birds[:min(len(q.Birds), max(0, q.Number))]
		changed, had = &q, p.Number
	case *Butchered:
		q := *p
		q.Number -= by
		q.Each = q.Each[:min(len(q.Each), max(0, q.Number))]
		changed, had = &q, p.Number
	case *Hatch:
		q := *p
		q.Chicks -= by
		if q.Culled > q.Chicks {
			return nil, 0
		}
		return &q, p.Chicks
	default:
		return nil, 0
	}
	if had == by {
		return nil, had
	}
	return changed, had
}

// lost is how many birds of a group left in a way, up to a day.
func (b *Book) lost(group ID, how string, day dayNumber) int {
	n := 0
	for _, c := range b.changes {
		if c.group == group && c.how == how && c.day <= day {
			n -= c.number
		}
	}
	return n
}
