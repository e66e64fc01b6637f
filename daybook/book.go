package daybook

import (
	"slices"
	"strings"

	"henyear/measure"
)

// Record is one record that counts, with its content.
type Record struct {
	Event   Event
	Payload Payload
}

// Finding is something in the records that cannot be right, or that the keeper
// should know. The book is made all the same.
type Finding struct {
	Grade Grade        `json:"grade"`
	On    measure.Date `json:"on"`
	Event ID           `json:"event"` // the record at which it shows
	What  Sentence     `json:"what"`
}

// Grade says how a finding is meant.
type Grade string

// The grades of a finding.
const (
	Impossible Grade = "impossible" // the records contradict each other
	Caution    Grade = "caution"    // a danger to health or to the eater
	Advice     Grade = "advice"     // worth a look
)

// Book is what follows from the records through a date: the flock of every day,
// its eggs, hatches, feed and money. Make it with Replay; from then on it is only
// read, and may be read from several goroutines.
type Book struct {
	Through   measure.Date
	Records   []Record // those that count, in order
	Later     int      // records that count, of days after Through
	Conflicts []Conflict
	Findings  []Finding // in the order of the book
	Unread    []Event   // kept, but not understood or damaged

	names     Names
	standing  map[ID]Standing // of those that do not count
	groups    map[ID]*flockGroup
	birds     map[ID]*flockBird
	cells     map[cellKey]*cell
	changes   []change
	counts    []counted
	settings  map[ID]*setting
	windows   []*window
	apart     map[ID][]spell
	broody    []sitting
	moulting  []sitting
	feeds     []Record
	weighings map[ID][]weighed
	harvest   harvest
	ledger    *feedLedger
	feedStock map[string]float64
	earliest  dayNumber
	coins     []coin
	meat      []kill
}

// cellKey is where birds are counted: those of one group in one pen.
type cellKey struct {
	group ID
	pen   string
}

// cell is the number of birds in one place through time.
type cell struct {
	cellKey
	steps []step
}

// step is the number at the end of a day, and of all days until the next step.
type step struct {
	day    dayNumber
	number int
}

func (c *cell) now() int {
	if len(c.steps) == 0 {
		return 0
	}
	return c.steps[len(c.steps)-1].number
}

func (c *cell) change(day dayNumber, by int) {
	n := c.now() + by
	if last := len(c.steps) - 1; last >= 0 && c.steps[last].day == day {
		c.steps[last].number = n
		return
	}
	c.steps = append(c.steps, step{day, n})
}

// at is the number at the end of a day.
func (c *cell) at(day dayNumber) int {
	i, found := slices.BinarySearchFunc(c.steps, day, func(s step, d dayNumber) int { return int(s.day - d) })
	if found {
		return c.steps[i].number
	}
	if i == 0 {
		return 0
	}
	return c.steps[i-1].number
}

// birdDays adds up the numbers at the end of each day from first through last.
func (c *cell) birdDays(first, last dayNumber) int {
	if first > last || len(c.steps) == 0 {
		return 0
	}
	sum := 0
	for i, s := range c.steps {
		from, to := s.day, last
		if i+1 < len(c.steps) {
			to = c.steps[i+1].day - 1
		}
		from, to = max(from, first), min(to, last)
		if from <= to {
			sum += s.number * int(to-from+1)
		}
	}
	return sum
}

// change is birds that came or went, for the measures.
type change struct {
	cellKey
	day    dayNumber
	number int    // above 0 in, below 0 out
	how    string // as in the record; "hatched", "moved", "butchered"
	event  int    // position in Records
	paid   measure.Money
}

// flockGroup is a group as the records describe it.
type flockGroup struct {
	Group
	described bool
	hatched   dayNumber // valid when known
	known     bool
	home      string // pen of the first description
	arrived   dayNumber
	here      bool // something has arrived
	firstEgg  dayNumber
	laid      bool
	cells     []*cell
}

// hen reports whether the birds of the group lay, once they are grown.
func (g *flockGroup) hens() bool { return g.Sex == Hens }

type flockBird struct {
	Bird
	from      dayNumber
	gone      bool
	out       dayNumber
	how       string
	inGroup   []stay
	described bool
}

// stay is the group of a bird from a day on.
type stay struct {
	day   dayNumber
	group ID
}

type spell struct {
	from, to dayNumber // both included
	event    int
}

type weighed struct {
	day   dayNumber
	g     float64
	birds int
	bird  ID
}

// Names are the words of the groups and birds in the book.
func (b *Book) Names() Names { return b.names }

// Describe says in one line what a record tells, with the names of this book.
func (b *Book) Describe(e Event) Sentence { return Describe(e, b.names) }

// StandingOf tells what became of a record of this book. Records that the book
// does not have are said to count.
func (b *Book) StandingOf(id ID) Standing { return b.standing[id] }

// GroupOn is one group as it is on a day.
type GroupOn struct {
	Group
	Number   int     `json:"number"` // birds
	Pens     []PenOn `json:"pens,omitzero"`
	AgeDays  int     `json:"age_days"` // valid if AgeKnown
	AgeKnown bool    `json:"age_known"`
	Apart    bool    `json:"apart"` // in quarantine
}

// PenOn is how many birds of a group are in a pen.
type PenOn struct {
	Pen    string `json:"pen,omitzero"`
	Number int    `json:"number"`
}

// GroupsOn lists the groups that have birds at the end of a day, the oldest
// first, those of unknown age before all others.
func (b *Book) GroupsOn(on measure.Date) []GroupOn {
	day := numberOf(on)
	var list []GroupOn
	for _, g := range b.groups {
		x := GroupOn{Group: g.Group}
		for _, c := range g.cells {
			if n := c.at(day); n > 0 {
				x.Number += n
				x.Pens = append(x.Pens, PenOn{c.pen, n})
			}
		}
		if x.Number == 0 {
			continue
		}
		slices.SortFunc(x.Pens, func(p, q PenOn) int { return strings.Compare(p.Pen, q.Pen) })
		if g.known {
			x.AgeKnown, x.AgeDays = true, int(day-g.hatched)
		}
		x.Apart = b.isApart(g.Group.Group, day)
		list = append(list, x)
	}
	slices.SortFunc(list, func(p, q GroupOn) int {
		switch {
		case p.AgeKnown != q.AgeKnown:
			return map[bool]int{true: 1, false: -1}[p.AgeKnown]
		case p.AgeDays != q.AgeDays:
			return q.AgeDays - p.AgeDays
		}
		return p.Group.Group.Compare(q.Group.Group)
	})
	return list
}

// GroupInfo is the description of a group; false if no record knows it.
func (b *Book) GroupInfo(id ID) (Group, bool) {
	g := b.groups[id]
	if g == nil {
		return Group{}, false
	}
	return g.Group, true
}

// BirdOn is one bird that is known by ring or name, as it is on a day.
type BirdOn struct {
	Bird
	InGroup  ID           `json:"in_group"`
	AgeDays  int          `json:"age_days"`
	AgeKnown bool         `json:"age_known"`
	Gone     bool         `json:"gone"`
	GoneOn   measure.Date `json:"gone_on,omitzero"`
	How      string       `json:"how,omitzero"` // how she went
}

// BirdsOn lists the birds known one by one that have been in the flock by the
// end of a day, in the order of their rings and names; those that are gone say so.
func (b *Book) BirdsOn(on measure.Date) []BirdOn {
	day := numberOf(on)
	var list []BirdOn
	for _, f := range b.birds {
		if f.from > day {
			continue
		}
		x := BirdOn{Bird: f.Bird, InGroup: f.groupAt(day)}
		if f.gone && f.out <= day {
			x.Gone, x.GoneOn, x.How = true, f.out.date(), f.how
		}
		if hatched, known := b.hatchedOf(f); known {
			x.AgeKnown, x.AgeDays = true, int(day-hatched)
		}
		list = append(list, x)
	}
	slices.SortFunc(list, func(p, q BirdOn) int {
		if c := strings.Compare(p.Ring+"\x00"+p.Name, q.Ring+"\x00"+q.Name); c != 0 {
			return c
		}
		return p.Bird.Bird.Compare(q.Bird.Bird)
	})
	return list
}

func (f *flockBird) groupAt(day dayNumber) ID {
	group := f.Group
	for _, s := range f.inGroup {
		if s.day <= day {
			group = s.group
		}
	}
	return group
}

func (b *Book) hatchedOf(f *flockBird) (dayNumber, bool) {
	if !f.Hatched.IsZero() {
		return numberOf(f.Hatched), true
	}
	if g := b.groups[f.groupAt(f.from)]; g != nil {
		return g.hatched, g.known
	}
	return 0, false
}

// isApart reports whether a group is in quarantine on a day.
func (b *Book) isApart(group ID, day dayNumber) bool {
	return slices.ContainsFunc(b.apart[group], func(s spell) bool { return s.from <= day && day <= s.to })
}

// Apart is a group in quarantine.
type Apart struct {
	Group ID           `json:"group,omitzero"`
	From  measure.Date `json:"from"`
	Until measure.Date `json:"until"` // the last day apart
}

// ApartOn lists the groups with birds that are in quarantine on a day.
func (b *Book) ApartOn(on measure.Date) []Apart {
	day := numberOf(on)
	var list []Apart
	for id, spells := range b.apart {
		if g := b.groups[id]; g == nil || g.numberAt(day) == 0 {
			continue
		}
		for _, s := range spells {
			if s.from <= day && day <= s.to {
				list = append(list, Apart{id, s.from.date(), s.to.date()})
			}
		}
	}
	slices.SortFunc(list, func(p, q Apart) int { return p.Group.Compare(q.Group) })
	return list
}

func (g *flockGroup) numberAt(day dayNumber) int {
	n := 0
	for _, c := range g.cells {
		n += c.at(day)
	}
	return n
}

func (g *flockGroup) now() int {
	n := 0
	for _, c := range g.cells {
		n += c.now()
	}
	return n
}

// SittingOn is hens broody, or birds moulting, on a day.
type SittingOn struct {
	Group  ID           `json:"group,omitzero"`
	Bird   ID           `json:"bird,omitzero"` // if she is known one by one
	Number int          `json:"number"`
	Since  measure.Date `json:"since,omitzero"`
}

type sitting struct {
	group, bird ID
	number      int
	from, to    dayNumber // both included; to is endless while it lasts
}

const endless = dayNumber(1 << 30)

// BroodyOn lists the hens that sit or are broody on a day.
func (b *Book) BroodyOn(on measure.Date) []SittingOn { return sittingOn(b.broody, numberOf(on)) }

// MoultingOn lists the birds in moult on a day; Number 0 is the whole group.
func (b *Book) MoultingOn(on measure.Date) []SittingOn { return sittingOn(b.moulting, numberOf(on)) }

func sittingOn(list []sitting, day dayNumber) []SittingOn {
	var on []SittingOn
	for _, s := range list {
		if s.from <= day && day <= s.to {
			on = append(on, SittingOn{s.group, s.bird, s.number, s.from.date()})
		}
	}
	return on
}
