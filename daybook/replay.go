package daybook

import (
	"bytes"
	"errors"
	"fmt"
	"slices"

	"henyear/measure"
)

// Replay works out the book from all events, in whatever order and however often
// each is given; through is the last day that counts, the zero date is the day of
// the last record. Corrections are obeyed whenever they were written. Replay never
// fails: what cannot be is told in Findings, what cannot be read in Unread.
func Replay(events []Event, through measure.Date) *Book {
	return (*Reader)(nil).Replay(events, through)
}

// Reader replays the same records again and again as more come, and remembers what
// it has decoded. The zero value is ready for use. It is not safe for use by several
// goroutines; the books that it makes are.
type Reader struct{ known map[ID]decoded }

// decoded is a payload as it was read, or why it could not be.
type decoded struct {
	of      Event
	payload Payload
	err     error
}

// Replay is Replay of the package.
func (r *Reader) Replay(events []Event, through measure.Date) *Book {
	list, clashes := inOrder(events)
	standing, conflicts, circular := standings(list)
	b := newBook(conflicts)
	counting := b.read(list, standing, r)
	b.close(counting, through)
	for _, id := range clashes {
		b.find(Impossible, Event{ID: id, HappenedOn: b.Through}, say("two-contents", map[string]any{"id": id.String()},
			"Two different records bear the identifier %s; the first counts.", id.Short()))
	}
	for _, i := range circular {
		b.find(Impossible, list[i], say("circle", nil, "Records correct each other in a circle; the one written last counts."))
	}
	for i := range b.Records {
		b.learnNames(&b.Records[i])
	}
	for i := range b.Records {
		b.apply(i)
	}
	b.finish()
	return b
}

func newBook(conflicts []Conflict) *Book {
	return &Book{
		Conflicts: conflicts, standing: map[ID]Standing{}, groups: map[ID]*flockGroup{}, birds: map[ID]*flockBird{}, cells: map[cellKey]*cell{},
		settings: map[ID]*setting{}, apart: map[ID][]spell{}, weighings: map[ID][]weighed{}, feedStock: map[string]float64{},
		names: Names{Groups: map[ID]string{}, Birds: map[ID]string{}}, harvest: newHarvest(),
	}
}

// read decodes what counts and sets aside what cannot be read.
func (b *Book) read(list []Event, standing []Standing, r *Reader) []Record {
	counting := make([]Record, 0, len(list))
	for i := range list {
		e := list[i]
		if standing[i] != Counts {
			b.standing[e.ID] = standing[i]
			continue
		}
		p, err := r.readable(e)
		if err != nil {
			b.Unread = append(b.Unread, e)
			b.findUnread(e, err)
			continue
		}
		if e.Kind != "strike" {
			counting = append(counting, Record{e, p})
		}
	}
	return counting
}

// readable is readable, remembered.
func (r *Reader) readable(e Event) (Payload, error) {
	if r == nil {
		return readable(e)
	}
	if d, ok := r.known[e.ID]; ok && d.of.Kind == e.Kind && d.of.Version == e.Version && d.of.HappenedOn == e.HappenedOn && bytes.Equal(d.of.Payload, e.Payload) {
		return d.payload, d.err
	}
	p, err := readable(e)
	if r.known == nil {
		r.known = map[ID]decoded{}
	}
	r.known[e.ID] = decoded{e, p, err}
	return p, err
}

// readable decodes a payload and judges whatever the reckoning rests on.
func readable(e Event) (Payload, error) {
	if y := e.HappenedOn.Year; y < 1900 || y > 2199 || e.HappenedOn.Month < 1 || e.HappenedOn.Month > 12 || e.HappenedOn.Day < 1 || e.HappenedOn.Day > 31 {
		return nil, fmt.Errorf("happened_on: %s is not a day from 1900 to 2199", e.HappenedOn)
	}
	p, err := Decode(e)
	if err != nil {
		return nil, err
	}
	return p, p.Validate()
}

func (b *Book) findUnread(e Event, err error) {
	if errors.Is(err, ErrNotUnderstood) {
		b.find(Advice, e, say("not-understood", map[string]any{"kind": e.Kind, "version": e.Version},
			"A record called %q, version %d, was written by a newer program. It is kept, but does not count here; update this program to see it.", e.Kind, e.Version))
		return
	}
	b.find(Impossible, e, say("damaged", map[string]any{"kind": e.Kind, "why": err.Error()},
		"A record called %q does not count: %s. Correct it or strike it out.", e.Kind, err))
}

// close cuts the records after the last day that counts.
func (b *Book) close(counting []Record, through measure.Date) {
	if through.IsZero() && len(counting) > 0 {
		through = counting[len(counting)-1].Event.HappenedOn
	}
	n, _ := slices.BinarySearchFunc(counting, through, func(r Record, d measure.Date) int {
		if compareDates(r.Event.HappenedOn, d) <= 0 {
			return -1
		}
		return 1
	})
	b.Through, b.Records, b.Later = through, counting[:n:n], len(counting)-n
	if n > 0 {
		b.earliest = numberOf(counting[0].Event.HappenedOn)
	}
}

func (b *Book) find(grade Grade, e Event, what Sentence) {
	b.Findings = append(b.Findings, Finding{grade, e.HappenedOn, e.ID, what})
}

// learnNames reads the descriptions of groups and birds before anything is
// applied: they hold for all days, the last one for each.
func (b *Book) learnNames(r *Record) {
	switch p := r.Payload.(type) {
	case *Group:
		g := b.group(p.Group)
		home := g.home
		if !g.described {
			home = p.Pen
		}
		g.Group, g.home, g.described = *p, home, true
		g.known = !p.Hatched.IsZero()
		if g.known {
			g.hatched = numberOf(p.Hatched)
		}
		b.names.Groups[p.Group] = p.Name
	case *Bird:
		f := b.bird(p.Bird, numberOf(r.Event.HappenedOn))
		f.Bird, f.described = *p, true
		b.names.Birds[p.Bird] = p.call()
	}
}

func (b *Book) group(id ID) *flockGroup {
	g := b.groups[id]
	if g == nil {
		g = &flockGroup{Group: Group{Group: id, Sex: Unsexed}}
		b.groups[id] = g
	}
	return g
}

func (b *Book) bird(id ID, day dayNumber) *flockBird {
	f := b.birds[id]
	if f == nil {
		f = &flockBird{Bird: Bird{Bird: id}, from: day}
		b.birds[id] = f
	}
	return f
}

func (b *Book) cell(group *flockGroup, pen string) *cell {
	key := cellKey{group.Group.Group, pen}
	c := b.cells[key]
	if c == nil {
		c = &cell{cellKey: key}
		b.cells[key] = c
		group.cells = append(group.cells, c)
	}
	return c
}

// apply adds one record to the flock. Eggs and feed are gathered for later.
func (b *Book) apply(i int) {
	r := &b.Records[i]
	day := numberOf(r.Event.HappenedOn)
	b.applyMoney(r.Payload, day)
	switch p := r.Payload.(type) {
	case *Eggs:
		b.harvest.add(day, i, p)
		b.checkSetAside(r, p, day)
	case *EggsOut:
		b.checkEggsOut(r, p, day)
	case *FirstEgg:
		b.applyFirstEgg(p, day)
	case *BirdsIn:
		b.arrive(i, day, p.Group, p.Pen, p.Number, p.How, p.PaidMinor)
		b.seeBirds(r, p.Birds, day, p.Group, "")
	case *BirdsOut:
		b.leave(i, day, p.Group, p.Pen, p.Number, p.How)
		b.seeBirds(r, p.Birds, day, p.Group, p.How)
	case *Butchered:
		b.checkMeat(r, p.Group, day)
		b.leave(i, day, p.Group, p.Pen, p.Number, "butchered")
		b.meat = append(b.meat, kill{day, p})
		b.seeBirds(r, p.named(), day, p.Group, "butchered")
	case *Move:
		b.applyMove(i, day, p)
	case *Count:
		b.applyCount(i, day, p)
	case *Setting:
		b.applySetting(i, day, p)
	case *Candling:
		b.applyCandling(r, day, p)
	case *Hatch:
		b.applyHatch(i, day, p)
	case *Weighing:
		b.applyWeighing(day, p)
	case *Broody:
		b.broody = b.sit(r, b.broody, p.Phase, sitting{p.Group, p.Bird, max(1, p.Number), day, endless})
	case *Moult:
		b.moulting = b.sit(r, b.moulting, p.Phase, sitting{p.Group, p.Bird, p.Number, day, endless})
	case *Feed:
		b.applyFeed(r, p)
	case *Treatment:
		b.applyTreatment(r, day, p)
	case *Quarantine:
		b.applyQuarantine(i, day, p)
	}
}

// arrive adds birds to a group.
func (b *Book) arrive(i int, day dayNumber, group ID, pen string, number int, how string, paid measure.Money) {
	g := b.group(group)
	if !g.described && !g.here {
		b.find(Advice, b.Records[i].Event, say("group-unknown", map[string]any{"group": group.String()},
			"Birds come to a group that no record describes. Describe it: name, breed, sex, day of hatch."))
	}
	if pen == "" {
		pen = g.usualPen()
	}
	if !g.here {
		g.here, g.arrived = true, day
		if how == "hatched" && !g.known {
			g.hatched, g.known = day, true
		}
	}
	c := b.cell(g, pen)
	c.change(day, number)
	b.changes = append(b.changes, change{c.cellKey, day, number, how, i, paid})
	b.joinWindows(group, pen, day)
}

// usualPen is where most of the group's birds are, or where it began.
func (g *flockGroup) usualPen() string {
	pen, most := g.home, 0
	for _, c := range g.cells {
		if n := c.now(); n > most || n == most && n > 0 && c.pen < pen {
			pen, most = c.pen, n
		}
	}
	return pen
}

// leave takes birds out of a group: out of the named pen first, then out of the
// fullest. More than there are cannot leave; the rest is told as a finding.
func (b *Book) leave(i int, day dayNumber, group ID, pen string, number int, how string) []cellShare {
	g := b.group(group)
	shares := b.take(g, pen, number)
	taken := 0
	for _, s := range shares {
		s.cell.change(day, -s.number)
		b.changes = append(b.changes, change{s.cell.cellKey, day, -s.number, how, i, 0})
		taken += s.number
	}
	if taken < number {
		e := b.Records[i].Event
		b.find(Impossible, e, say("more-leave", map[string]any{"group": b.names.group(group), "leave": number, "there": taken},
			"%s: %s leave, but the book has only %d. Look for a hatch, a purchase or a return that was not written down, or a loss written twice.",
			b.names.group(group), count(number, "bird"), taken))
	}
	return shares
}

type cellShare struct {
	cell   *cell
	number int
}

func (b *Book) take(g *flockGroup, pen string, number int) []cellShare {
	cells := slices.Clone(g.cells)
	slices.SortFunc(cells, func(x, y *cell) int {
		if pen != "" && (x.pen == pen) != (y.pen == pen) {
			return map[bool]int{true: -1, false: 1}[x.pen == pen]
		}
		if n := y.now() - x.now(); n != 0 {
			return n
		}
		return compareText(x.pen, y.pen)
	})
	var shares []cellShare
	for _, c := range cells {
		if n := min(number, c.now()); n > 0 {
			shares = append(shares, cellShare{c, n})
			number -= n
		}
	}
	return shares
}

func compareText(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// seeBirds notes that birds known one by one came into a group, or left (how).
func (b *Book) seeBirds(r *Record, ids []ID, day dayNumber, group ID, how string) {
	for _, id := range ids {
		f := b.bird(id, day)
		switch {
		case how == "":
			f.from = min(f.from, day)
			f.gone = false
			f.inGroup = append(f.inGroup, stay{day, group})
		case f.gone:
			b.find(Impossible, r.Event, say("bird-gone", map[string]any{"bird": b.names.bird(id), "how": f.how},
				"%s was already gone (%s on %s).", b.names.bird(id), f.how, f.out.date().Words()))
		default:
			f.gone, f.out, f.how = true, day, how
		}
	}
}

const brooderPen = "brooder"

func (b *Book) applyMove(i int, day dayNumber, p *Move) {
	g := b.group(p.Group)
	number, from := p.Number, p.FromPen
	if from == "" && p.Brooder == "out" {
		from = brooderPen
	}
	if number == 0 {
		number = g.now()
		if from != "" {
			number = b.cell(g, from).now()
		}
		if number == 0 {
			b.find(Advice, b.Records[i].Event, say("move-nobody", map[string]any{"group": b.names.group(p.Group)},
				"%s: birds move, but the book has none there.", b.names.group(p.Group)))
			return
		}
	}
	to := g
	if !p.ToGroup.IsZero() {
		to = b.group(p.ToGroup)
		b.inherit(to, g, day)
	}
	for _, s := range b.leave(i, day, p.Group, from, number, "moved") {
		c := b.cell(to, b.movesTo(p, to, s.cell.pen))
		c.change(day, s.number)
		b.changes = append(b.changes, change{c.cellKey, day, s.number, "moved", i, 0})
		b.joinWindows(to.Group.Group, c.pen, day)
		b.checkJoining(i, day, to.Group.Group, c.pen, p.Group)
	}
	if to != g {
		b.passWindows(p.Group, p.ToGroup, day)
		for _, id := range p.Birds {
			f := b.bird(id, day)
			f.inGroup = append(f.inGroup, stay{day, p.ToGroup})
		}
	}
}

func (b *Book) movesTo(p *Move, to *flockGroup, stays string) string {
	switch {
	case p.ToPen != "":
		return p.ToPen
	case p.Brooder == "in":
		return brooderPen
	case p.Brooder == "out" || !p.ToGroup.IsZero() && to.here:
		if pen := to.usualPen(); pen != brooderPen {
			return pen
		}
		return ""
	}
	return stays
}

// inherit gives a group made out of another its hatch and breed.
func (b *Book) inherit(to, from *flockGroup, day dayNumber) {
	if !to.known && from.known {
		to.hatched, to.known = from.hatched, true
	}
	if to.Breed == "" {
		to.Breed = from.Breed
	}
	if !to.here {
		to.here, to.arrived = true, from.arrived
	}
}

func (b *Book) applyFirstEgg(p *FirstEgg, day dayNumber) {
	group := p.Group
	if group.IsZero() {
		group = b.bird(p.Bird, day).groupAt(day)
	}
	if g := b.group(group); !g.laid || day < g.firstEgg {
		g.laid, g.firstEgg = true, day
	}
}

func (b *Book) applyWeighing(day dayNumber, p *Weighing) {
	g, birds := p.Mean()
	group := p.Group
	if group.IsZero() {
		group = b.bird(p.Bird, day).groupAt(day)
	}
	b.weighings[group] = append(b.weighings[group], weighed{day, g, birds, p.Bird})
}

// sit opens a spell, or ends the oldest that it fits.
func (b *Book) sit(r *Record, list []sitting, phase string, s sitting) []sitting {
	if s.group.IsZero() {
		s.group = b.bird(s.bird, s.from).groupAt(s.from)
	}
	if phase == Begins {
		return append(list, s)
	}
	left, all := s.number, s.number == 0
	for i := range list {
		open := &list[i]
		if open.to != endless || open.group != s.group || open.bird != s.bird || left <= 0 && !all {
			continue
		}
		if !all && open.number > left {
			rest := *open
			rest.number -= left
			open.number, open.to = left, s.from-1
			return append(list, rest)
		}
		left -= max(1, open.number)
		open.to = s.from - 1
	}
	if left > 0 {
		b.find(Advice, r.Event, say("ends-unbegun", map[string]any{"what": r.Event.Kind, "who": b.names.who(s.bird, s.group, "")},
			"%s: an end is written down (%s), but no beginning.", b.names.who(s.bird, s.group, ""), r.Event.Kind))
	}
	return list
}

func (b *Book) applyQuarantine(i int, day dayNumber, p *Quarantine) {
	spells := b.apart[p.Group]
	if p.Phase == Begins {
		b.apart[p.Group] = append(spells, spell{day, day + dayNumber(p.days()) - 1, i})
		return
	}
	for j := range spells {
		if spells[j].from <= day && spells[j].to >= day {
			spells[j].to = day - 1
		}
	}
}

// checkJoining warns when birds in quarantine share a pen with others.
func (b *Book) checkJoining(i int, day dayNumber, group ID, pen string, from ID) {
	apart := b.isApart(group, day) || b.isApart(from, day)
	if !apart || pen == "" {
		return
	}
	for _, c := range b.sortedCells() {
		if c.pen == pen && c.group != group && c.group != from && c.now() > 0 {
			b.find(Caution, b.Records[i].Event, say("quarantine-joined", map[string]any{"group": b.names.group(group), "other": b.names.group(c.group), "pen": pen},
				"%s should be kept apart, but shares pen %s with %s. Part them and begin the days again.", b.names.group(group), pen, b.names.group(c.group)))
			return
		}
	}
}

func (b *Book) sortedCells() []*cell {
	list := make([]*cell, 0, len(b.cells))
	for _, c := range b.cells {
		list = append(list, c)
	}
	slices.SortFunc(list, func(x, y *cell) int {
		if c := x.group.Compare(y.group); c != 0 {
			return c
		}
		return compareText(x.pen, y.pen)
	})
	return list
}

// finish looks at what can only be judged with all records read.
func (b *Book) finish() {
	b.harvest.lay() // now, so that a finished book is only read, by several pages at once
	b.feedBook()
	b.adviseQuarantine()
	b.judgeCounts()
	b.judgeSettings()
	for _, c := range b.Conflicts {
		b.findConflict(c)
	}
	slices.SortStableFunc(b.Findings, func(x, y Finding) int {
		if c := compareDates(x.On, y.On); c != 0 {
			return c
		}
		if c := x.Event.Compare(y.Event); c != 0 {
			return c
		}
		return compareText(x.What.Code, y.What.Code)
	})
}

func (b *Book) findConflict(c Conflict) {
	on := b.Through
	for _, r := range b.Records {
		if r.Event.ID == c.Versions[0] {
			on = r.Event.HappenedOn
		}
	}
	versions := make([]string, len(c.Versions))
	for i, id := range c.Versions {
		versions[i] = id.String()
	}
	b.find(Advice, Event{ID: c.Versions[0], HappenedOn: on}, say("conflict", map[string]any{"versions": versions},
		"A record was corrected in %d different ways. Until you choose, the one written last counts; the others are kept.", len(c.Versions)))
}

// bought birds younger than this come out of one shell box and go into a brooder.
const dayOldDays = 3

// adviseQuarantine asks for the time apart of birds that came from elsewhere.
func (b *Book) adviseQuarantine() {
	for _, c := range b.changes {
		if c.how != "bought" && c.how != "given" || c.number < 0 {
			continue
		}
		g := b.groups[c.group]
		if g.known && c.day-g.hatched <= dayOldDays || b.wasApartSoon(c.group, c.day) {
			continue
		}
		s := say("quarantine-missing", map[string]any{"group": b.names.group(c.group), "days": usualQuarantineDays},
			"%s came from another flock. Keep them apart for at least %d days, and write down when that began.", b.names.group(c.group), usualQuarantineDays)
		s.Source = "daybook-biosecurity"
		b.find(Advice, b.Records[c.event].Event, s)
	}
}

func (b *Book) wasApartSoon(group ID, day dayNumber) bool {
	return slices.ContainsFunc(b.apart[group], func(s spell) bool { return s.from >= day-1 && s.from <= day+2 })
}

// LineOf is one version of a record in its history.
type LineOf struct {
	Event    Event    `json:"event"`
	Standing Standing `json:"standing"`
	What     Sentence `json:"what"`
}

// History lists every version of a record: what it corrected, what corrected it,
// what struck it out, in the order in which they were written. It is empty when
// no event has this identifier.
func History(events []Event, id ID, names Names) []LineOf {
	list, _ := inOrder(events)
	standing, _, _ := standings(list)
	at := map[ID]int{}
	next := map[ID][]ID{}
	for i, e := range list {
		at[e.ID] = i
		for _, old := range e.Supersedes {
			next[e.ID] = append(next[e.ID], old)
			next[old] = append(next[old], e.ID)
		}
	}
	if _, here := at[id]; !here {
		return nil
	}
	seen, queue := map[ID]bool{id: true}, []ID{id}
	var lines []LineOf
	for len(queue) > 0 {
		x := queue[0]
		queue = queue[1:]
		if i, here := at[x]; here {
			lines = append(lines, LineOf{list[i], standing[i], Describe(list[i], names)})
		}
		for _, y := range next[x] {
			if !seen[y] {
				seen[y] = true
				queue = append(queue, y)
			}
		}
	}
	slices.SortFunc(lines, func(a, b LineOf) int {
		if c := a.Event.RecordedAt.Compare(b.Event.RecordedAt); c != 0 {
			return c
		}
		return a.Event.ID.Compare(b.Event.ID)
	})
	return lines
}

// Settle is the record that ends a conflict: its content, on its day, takes the
// place of all versions.
func (c Conflict) Settle(p Payload, happenedOn measure.Date) Draft {
	return Draft{HappenedOn: happenedOn, Payload: p, Supersedes: slices.Clone(c.Versions)}
}
