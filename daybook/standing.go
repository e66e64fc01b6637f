package daybook

import (
	"bytes"
	"cmp"
	"slices"
	"strings"
)

// Standing says what became of a record.
type Standing uint8

// A record counts unless another one took its place.
const (
	Counts    Standing = iota
	Corrected          // another record stands in its place
	StruckOut          // taken out of the book
	Waiting            // one of several corrections of the same record, and not the one that counts meanwhile
)

func (s Standing) String() string {
	return [...]string{"counts", "corrected", "struck out", "waiting"}[s]
}

// MarshalText writes the word.
func (s Standing) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// Conflict is a record that was corrected in more than one way, on two devices
// that did not know of each other. All versions are kept. Until the keeper
// decides, the one that was written last counts (recorded_at, then id). A new
// record that supersedes all versions settles it; so does striking out all but one.
type Conflict struct {
	Records  []ID `json:"records,omitzero"`  // the records that were corrected, in the order of the book
	Versions []ID `json:"versions,omitzero"` // the versions that disagree, the one that counts first
}

// The rules of correction. A record that names others in supersedes takes their
// place, and with them the place of whatever they had corrected: it stays so even
// if the correction itself is corrected or struck out later. A strike takes
// records out of the book; striking out the strike puts them back. Where a record
// was corrected in several ways, striking out one version leaves the others.
//
// standings applies these rules to events in order, without duplicates. It
// returns one standing for each event, the conflicts, and the positions of events
// that correct each other in a circle.
func standings(events []Event) (standing []Standing, conflicts []Conflict, circular []int) {
	standing = make([]Standing, len(events))
	if !slices.ContainsFunc(events, func(e Event) bool { return len(e.Supersedes) > 0 }) {
		return standing, nil, nil
	}
	g := newCorrections(events)
	g.walk(standing)
	conflicts = g.settle(standing)
	slices.Sort(g.circular)
	return standing, conflicts, g.circular
}

// corrections is the graph of which record supersedes which, by position.
type corrections struct {
	events   []Event
	by       map[int][]int // superseded -> those that supersede it
	of       map[int][]int // superseding -> those that it supersedes
	heads    map[int][]int // superseded -> the versions that now stand for it
	circular []int
}

func newCorrections(events []Event) *corrections {
	at := make(map[ID]int, len(events))
	for i := range events {
		at[events[i].ID] = i
	}
	g := &corrections{events: events, by: map[int][]int{}, of: map[int][]int{}, heads: map[int][]int{}}
	for i := range events {
		for _, id := range events[i].Supersedes {
			if old, here := at[id]; here && old != i {
				g.by[old] = append(g.by[old], i)
				g.of[i] = append(g.of[i], old)
			}
		}
	}
	return g
}

func (g *corrections) isStrike(i int) bool { return g.events[i].Kind == "strike" }

// walk goes from the newest versions to the oldest, so that whatever supersedes a
// record is judged before it. A circle, which only damage can make, is opened at
// the record that was written last.
func (g *corrections) walk(standing []Standing) {
	waits := map[int]int{} // how many of its superseders are not judged yet
	for i := range g.of {
		waits[i] += 0
	}
	for i, list := range g.by {
		waits[i] = len(list)
	}
	var ready []int
	for i, n := range waits {
		if n == 0 {
			ready = append(ready, i)
		}
	}
	done := map[int]bool{}
	for len(waits) > 0 {
		if len(ready) == 0 {
			ready = append(ready, g.openCircle(waits))
		}
		i := ready[len(ready)-1]
		ready = ready[:len(ready)-1]
		if done[i] {
			continue
		}
		done[i] = true
		delete(waits, i)
		g.judge(i, standing, done)
		for _, old := range g.of[i] {
			if n, waiting := waits[old]; waiting {
				if waits[old] = n - 1; n == 1 {
					ready = append(ready, old)
				}
			}
		}
	}
}

func (g *corrections) openCircle(waits map[int]int) int {
	latest := -1
	for i := range waits {
		if latest < 0 || g.laterWritten(i, latest) < 0 {
			latest = i
		}
	}
	g.circular = append(g.circular, latest)
	return latest
}

// laterWritten orders positions by when they were recorded, the latest first.
func (g *corrections) laterWritten(a, b int) int {
	if c := g.events[b].RecordedAt.Compare(g.events[a].RecordedAt); c != 0 {
		return c
	}
	return g.events[b].ID.Compare(g.events[a].ID)
}

func (g *corrections) judge(i int, standing []Standing, judged map[int]bool) {
	var heads, fallen []int
	for _, s := range g.by[i] {
		switch {
		case !judged[s] || g.isStrike(s) && standing[s] == StruckOut:
			// part of a circle, or a strike that was undone
		case standing[s] == StruckOut:
			fallen = append(fallen, g.headsOf(s)...)
		default:
			heads = append(heads, g.headsOf(s)...)
		}
	}
	if len(heads) == 0 {
		heads = fallen
	}
	if len(heads) == 0 {
		return // it counts, or waits if settle says so
	}
	slices.Sort(heads)
	heads = slices.Compact(heads)
	g.heads[i] = heads
	standing[i] = StruckOut
	for _, h := range heads {
		if !g.isStrike(h) {
			standing[i] = Corrected
		}
	}
}

func (g *corrections) headsOf(i int) []int {
	if heads := g.heads[i]; heads != nil {
		return heads
	}
	return []int{i}
}

// settle finds records for which several versions stand, lets the one written
// last count, and makes the others wait. Versions that say the same are no
// conflict; one of them counts.
func (g *corrections) settle(standing []Standing) []Conflict {
	contested := map[int][]int{} // head -> contested records
	for old, heads := range g.heads {
		if len(heads) > 1 {
			for _, h := range heads {
				contested[h] = append(contested[h], old)
			}
		}
	}
	versions := make([]int, 0, len(contested))
	for h := range contested {
		versions = append(versions, h)
	}
	slices.SortFunc(versions, g.laterWritten)
	winner := map[int]int{} // contested record -> version that counts
	lost := map[int][]int{} // winner -> versions that disagree with it
	over := map[int][]int{} // winner -> contested records
	for _, h := range versions {
		rival, agrees := -1, false
		for _, old := range contested[h] {
			if w, taken := winner[old]; taken && (rival < 0 || g.laterWritten(w, rival) < 0) {
				rival, agrees = w, g.sameContent(w, h)
			}
		}
		switch {
		case rival < 0:
			for _, old := range contested[h] {
				winner[old] = h
			}
			over[h] = contested[h]
		case agrees:
			if !g.isStrike(h) {
				standing[h] = Corrected
			}
		default:
			if standing[h] == Counts {
				standing[h] = Waiting
			}
			lost[rival] = append(lost[rival], h)
			over[rival] = append(over[rival], contested[h]...)
		}
	}
	return g.conflicts(lost, over)
}

func (g *corrections) conflicts(lost, over map[int][]int) []Conflict {
	winners := make([]int, 0, len(lost))
	for w := range lost {
		winners = append(winners, w)
	}
	slices.Sort(winners)
	var list []Conflict
	for _, w := range winners {
		records := slices.Clone(over[w])
		records = slices.DeleteFunc(records, func(i int) bool { return len(g.of[i]) > 0 })
		slices.Sort(records)
		c := Conflict{Versions: []ID{g.events[w].ID}}
		for _, i := range slices.Compact(records) {
			c.Records = append(c.Records, g.events[i].ID)
		}
		for _, i := range lost[w] {
			c.Versions = append(c.Versions, g.events[i].ID)
		}
		list = append(list, c)
	}
	return list
}

func (g *corrections) sameContent(a, b int) bool {
	if g.isStrike(a) && g.isStrike(b) {
		return true
	}
	x, y := &g.events[a], &g.events[b]
	return x.Kind == y.Kind && x.Version == y.Version && x.HappenedOn == y.HappenedOn && bytes.Equal(x.Payload, y.Payload)
}

// inOrder returns the events in order and without duplicates. Of events with one
// identifier and different content, which only damage can make, the first in
// order stays, and clashes names the identifier.
func inOrder(events []Event) (list []Event, clashes []ID) {
	list = slices.Clone(events)
	if !slices.IsSortedFunc(list, compareWhole) {
		slices.SortFunc(list, compareWhole)
	}
	seen := make(map[ID]int, len(list))
	kept := list[:0]
	for _, e := range list {
		if i, twice := seen[e.ID]; twice {
			if compareWhole(kept[i], e) != 0 {
				clashes = append(clashes, e.ID)
			}
			continue
		}
		seen[e.ID] = len(kept)
		kept = append(kept, e)
	}
	slices.SortFunc(clashes, ID.Compare)
	return kept, slices.Compact(clashes)
}

// compareWhole is Compare, and for events that agree in it, by all the rest, so
// that the order never depends on how the events arrived.
func compareWhole(a, b Event) int {
	if c := compareEvents(&a, &b); c != 0 {
		return c
	}
	return cmp.Or(strings.Compare(a.Kind, b.Kind), cmp.Compare(a.Version, b.Version), bytes.Compare(a.Payload, b.Payload),
		strings.Compare(a.Author, b.Author), a.Device.Compare(b.Device), slices.CompareFunc(a.Supersedes, b.Supersedes, ID.Compare))
}
