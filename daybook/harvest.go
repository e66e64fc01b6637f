package daybook

import (
	"slices"

	"henyear/measure"
)

// LongestGapDays is over how many days a collection is spread back at most. When
// k days have passed since the last collection, each gets E/k eggs; after more
// days nobody knows how many the eggs cover, and they count for the day alone.
const LongestGapDays = 7

// LayingAgeDays is the age from which a female counts as a hen: twenty weeks,
// whether she lays or not. Hens of unknown age count from their arrival.
const LayingAgeDays = 140

// origin says from which hens a collection is, as far as it was written down.
// Each origin is a row of its own in the book.
type origin struct {
	pen   string
	group ID
	breed string
}

// spread is eggs laid in equal parts on the days from first through last.
type spread struct {
	first, last dayNumber
	laid        int     // all that were seen
	usable      int     // whole ones
	grams       float64 // of those weighed
	weighed     int
}

func (s spread) days() float64 { return float64(s.last - s.first + 1) }

type gathering struct {
	day    dayNumber
	event  int
	origin origin
	eggs   *Eggs
}

// harvest gathers collections and lays them out by day when asked.
type harvest struct {
	list    []gathering
	origins map[origin][]spread
	order   []origin
}

func newHarvest() harvest { return harvest{} }

func (h *harvest) add(day dayNumber, event int, p *Eggs) {
	h.list = append(h.list, gathering{day, event, origin{p.Pen, p.Group, p.Breed}, p})
	h.origins = nil
}

// lay works out the spreads of every origin.
func (h *harvest) lay() {
	if h.origins != nil {
		return
	}
	h.origins = map[origin][]spread{}
	h.order = nil
	lastDay := map[origin]dayNumber{}
	for i := 0; i < len(h.list); i++ {
		g := h.list[i]
		list, known := h.origins[g.origin]
		if !known {
			h.order = append(h.order, g.origin)
		}
		s := spread{g.day, g.day, g.eggs.Laid(), g.eggs.Number, g.eggs.MeanG * float64(g.eggs.Number), 0}
		if g.eggs.MeanG > 0 {
			s.weighed = g.eggs.Number
		}
		last, before := lastDay[g.origin]
		switch gap := g.day - last; {
		case g.eggs.Days > 0:
			s.first = g.day - dayNumber(g.eggs.Days) + 1
		case before && gap == 0:
			s.first = list[len(list)-1].first // a second round on the same day
		case before && gap <= LongestGapDays:
			s.first = last + 1
		}
		lastDay[g.origin] = g.day
		h.origins[g.origin] = append(list, s)
	}
	slices.SortFunc(h.order, func(a, b origin) int {
		if c := compareText(a.pen, b.pen); c != 0 {
			return c
		}
		if c := a.group.Compare(b.group); c != 0 {
			return c
		}
		return compareText(a.breed, b.breed)
	})
}

// Scope narrows a question to some of the birds. The zero Scope is the whole flock.
type Scope struct {
	Pen   string `json:"pen,omitzero"`
	Group ID     `json:"group,omitzero"`
	Breed string `json:"breed,omitzero"`
	// Age in whole weeks, AgeFromWeeks included, AgeToWeeks not; both 0: any age.
	// Birds of unknown age are left out.
	AgeFromWeeks int `json:"age_from_weeks,omitzero"`
	AgeToWeeks   int `json:"age_to_weeks,omitzero"`
}

func (s Scope) whole() bool { return s == Scope{} }

// covers reports whether the birds of a cell belong to the scope, and in which
// days they have the age.
func (b *Book) covers(s Scope, key cellKey) (first, last dayNumber, ok bool) {
	g := b.groups[key.group]
	if s.Pen != "" && s.Pen != key.pen || !s.Group.IsZero() && s.Group != key.group || s.Breed != "" && s.Breed != g.Breed {
		return 0, 0, false
	}
	first, last = -endless, endless
	if s.AgeFromWeeks == 0 && s.AgeToWeeks == 0 {
		return first, last, true
	}
	if !g.known {
		return 0, 0, false
	}
	first = g.hatched + dayNumber(7*s.AgeFromWeeks)
	if s.AgeToWeeks > 0 {
		last = g.hatched + dayNumber(7*s.AgeToWeeks) - 1
	}
	return first, last, true
}

// grownFrom is the day from which the females of a group count as hens.
func (g *flockGroup) grownFrom() dayNumber {
	if !g.known {
		return -endless
	}
	return g.hatched + LayingAgeDays
}

// HensOn is the number of hens of laying age at the end of a day.
func (b *Book) HensOn(on measure.Date, s Scope) int {
	day := numberOf(on)
	n := 0
	for key, c := range b.cells {
		if first, last, ok := b.henDays(s, key); ok && first <= day && day <= last {
			n += c.at(day)
		}
	}
	return n
}

// henDays is covers for hens of laying age.
func (b *Book) henDays(s Scope, key cellKey) (first, last dayNumber, ok bool) {
	first, last, ok = b.covers(s, key)
	g := b.groups[key.group]
	return max(first, g.grownFrom()), last, ok && g.hens()
}

// HenDays adds up the hens of laying age at the end of each day, both days
// included.
func (b *Book) HenDays(from, through measure.Date, s Scope) int {
	a, z := numberOf(from), numberOf(through)
	sum := 0
	for key, c := range b.cells {
		if first, last, ok := b.henDays(s, key); ok {
			sum += c.birdDays(max(a, first), min(z, last))
		}
	}
	return sum
}

// BirdsOnDay is the number of birds of any sex and age at the end of a day.
func (b *Book) BirdsOnDay(on measure.Date, s Scope) int { return b.birdsAt(numberOf(on), s) }

func (b *Book) birdsAt(day dayNumber, s Scope) int {
	n := 0
	for key, c := range b.cells {
		if first, last, ok := b.covers(s, key); ok && first <= day && day <= last {
			n += c.at(day)
		}
	}
	return n
}

// EggDay is the eggs of one day.
type EggDay struct {
	On       measure.Date `json:"on"`
	Laid     float64      `json:"laid"`     // all that were seen: whole, broken, eaten by hens
	Usable   float64      `json:"usable"`   // whole ones
	Recorded bool         `json:"recorded"` // the day is covered by a collection; else the figures say nothing
	Withheld bool         `json:"withheld"` // not for eating on that day, because of a medicine
}

// EggsByDay lays the collections out by day, both days included. Eggs belong to a
// scope if all hens that may have laid them do; eggs that cannot be told apart
// from those of other hens are left out, see Measures for how that is said.
func (b *Book) EggsByDay(from, through measure.Date, s Scope) []EggDay {
	a, z := numberOf(from), numberOf(through)
	if a > z {
		return nil
	}
	y := b.yield(a, z, s)
	list := make([]EggDay, z-a+1)
	for i := range list {
		day := a + dayNumber(i)
		list[i] = EggDay{On: day.date(), Laid: y.laid[i], Usable: y.usable[i], Recorded: y.recorded[i]}
		if b.hasWindows(day) {
			list[i].Withheld, _ = b.EggsWithheld(list[i].On, s.Pen, s.Group)
		}
	}
	return list
}

// yield is the eggs of a scope by day, and what is missing in them.
type yield struct {
	laid, usable []float64
	recorded     []bool
	mixed        int // days with eggs that may be of this scope or of other hens
	partial      int // days on which some origins have a collection and others, in use then, have none
	grams        float64
	weighed      float64
}

func (b *Book) yield(a, z dayNumber, s Scope) yield {
	b.harvest.lay()
	n := int(z - a + 1)
	y := yield{laid: make([]float64, n), usable: make([]float64, n), recorded: make([]bool, n)}
	mixed, lacking := make([]bool, n), make([]bool, n)
	for _, src := range b.harvest.order {
		of := b.belongs(src, s)
		list := b.harvest.origins[src]
		here := make([]bool, n)
		// Spreads may reach back over each other when days are stated, so all
		// that end in the period are looked at.
		i, _ := slices.BinarySearchFunc(list, a, func(x spread, d dayNumber) int { return int(x.last - d) })
		for ; i < len(list); i++ {
			x := list[i]
			if x.first > z {
				if x.last > z+mostDays {
					break
				}
				continue
			}
			share := 1 / x.days()
			for day := max(a, x.first); day <= min(z, x.last); day++ {
				switch of(day) {
				case allOfIt:
					y.laid[day-a] += float64(x.laid) * share
					y.usable[day-a] += float64(x.usable) * share
					y.recorded[day-a], here[day-a] = true, true
					y.grams += x.grams * share
					y.weighed += float64(x.weighed) * share
				case someOfIt:
					mixed[day-a] = true
				}
			}
		}
		for day := max(a, list[0].first); day <= min(z, list[len(list)-1].last); day++ {
			if !here[day-a] && of(day) == allOfIt {
				lacking[day-a] = true
			}
		}
	}
	for i := range n {
		if mixed[i] {
			y.mixed++
		}
		if lacking[i] && y.recorded[i] {
			y.partial++
		}
	}
	return y
}

// How far the eggs of an origin belong to a scope.
const (
	noneOfIt = iota
	someOfIt
	allOfIt
)

// belongs answers for each day whether the hens that may have laid the eggs of a
// source are all, some or none in the scope. Those are the hens of laying age in
// the named group, pen and breed; if there are none of that age, all females.
func (b *Book) belongs(src origin, s Scope) func(dayNumber) int {
	if s.whole() {
		return func(dayNumber) int { return allOfIt }
	}
	type candidate struct {
		cell        *cell
		grown       dayNumber
		first, last dayNumber
		inside      bool
	}
	var list []candidate
	for _, c := range b.sortedCells() {
		g := b.groups[c.group]
		if g.Sex == Cocks || !src.group.IsZero() && src.group != c.group || src.pen != "" && src.pen != c.pen || src.breed != "" && src.breed != g.Breed {
			continue
		}
		x := candidate{cell: c, grown: g.grownFrom()}
		if g.Sex == Unsexed {
			x.grown = max(x.grown, endless-1) // never a hen of laying age, but her eggs may be among them
		}
		if !src.group.IsZero() {
			x.grown = -endless
		}
		x.first, x.last, x.inside = b.covers(s, c.cellKey)
		list = append(list, x)
	}
	judge := func(day dayNumber, onlyGrown bool) (in, out bool) {
		for _, x := range list {
			if onlyGrown && day < x.grown || x.cell.at(day) == 0 && x.cell.at(day-1) == 0 {
				continue
			}
			if x.inside && x.first <= day && day <= x.last {
				in = true
			} else {
				out = true
			}
		}
		return in, out
	}
	return func(day dayNumber) int {
		in, out := judge(day, true)
		if !in && !out {
			in, out = judge(day, false)
		}
		switch {
		case in && out:
			return someOfIt
		case in:
			return allOfIt
		}
		return noneOfIt
	}
}
