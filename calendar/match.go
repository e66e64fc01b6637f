package calendar

import (
	"cmp"
	"slices"
	"strings"

	"henyear/breed"
	"henyear/daybook"
	"henyear/measure"
)

// matchDays is how far a setting or a purchase may lie from its day in the plan
// and still be that batch. Key: calendar-match.
const matchDays = 28

// otherWayDays is added to the distance when the eggs went under a hen instead of
// into the machine, or the other way about: a nearer rival of the right kind wins.
const otherWayDays = 14

// sightings are what the daybook tells, by what it concerns.
type sightings struct {
	ticks   map[string][]measure.Date // work done, by the task's identifier
	facts   []fact
	arrived map[daybook.ID]arrival // groups that came from outside
	born    map[daybook.ID]daybook.ID
	moves   []daybook.Record
	written bool // anything was written down at all
}

// fact is a record that is itself a job.
type fact struct {
	what    string // as in done_by of the tables
	on      measure.Date
	setting daybook.ID
	group   daybook.ID
	all     bool
}

type arrival struct {
	on     measure.Date
	number int
}

// see reads the daybook through today.
func see(b *daybook.Book, today measure.Date) *sightings {
	s := &sightings{ticks: map[string][]measure.Date{}, arrived: map[daybook.ID]arrival{}, born: map[daybook.ID]daybook.ID{}}
	if b == nil {
		return s
	}
	for _, r := range b.Records {
		on := r.Event.HappenedOn
		if today.Before(on) {
			continue
		}
		s.written = true
		s.read(r, on)
	}
	return s
}

func (s *sightings) read(r daybook.Record, on measure.Date) {
	add := func(what string, setting, group daybook.ID) {
		s.facts = append(s.facts, fact{what: what, on: on, setting: setting, group: group})
	}
	var none daybook.ID
	switch p := r.Payload.(type) {
	case *daybook.TaskDone:
		s.ticks[p.Task] = append(s.ticks[p.Task], on)
	case *daybook.Setting:
		add("setting", p.Setting, none)
	case *daybook.Candling:
		add("candling", p.Setting, none)
	case *daybook.Hatch:
		add("hatch", p.Setting, none)
		if p.Chicks > p.Culled {
			s.born[p.Group] = p.Setting
		}
	case *daybook.BirdsIn:
		if p.How == "bought" || p.How == "given" {
			a := s.arrived[p.Group]
			if a.on.IsZero() {
				a.on = on
			}
			a.number += p.Number
			s.arrived[p.Group] = a
		}
		if p.How != "on hand" {
			add("birds-in", none, p.Group)
		}
	case *daybook.BirdsOut:
		add("birds-out", none, p.Group)
		if p.How == "sold" || p.How == "given" {
			add("sold", none, p.Group)
		}
	case *daybook.Butchered:
		add("butchered", none, p.Group)
	case *daybook.Count:
		add("count", none, p.Group)
	case *daybook.Move:
		s.moves = append(s.moves, r)
		add("move", none, p.Group)
		if p.Brooder == "out" {
			add("move-out", none, p.Group)
		}
		if !p.ToGroup.IsZero() {
			add("part", none, p.Group)
		}
	case *daybook.Weighing:
		add("weighing", none, p.Group)
	case *daybook.Broody:
		if p.Phase == daybook.Begins {
			add("broody", none, p.Group)
		}
	case *daybook.FirstEgg:
		add("first-egg", none, p.Group)
	case *daybook.Moult:
		add("moult", none, p.Group)
	case *daybook.Bird:
		add("bird", none, p.Group)
	case *daybook.Eggs:
		if p.SetAside > 0 {
			add("eggs-aside", none, p.Group)
		}
	default:
		s.readMore(r, on)
	}
}

func (s *sightings) readMore(r daybook.Record, on measure.Date) {
	switch p := r.Payload.(type) {
	case *daybook.Feed:
		for _, what := range map[string][]string{daybook.FeedBought: {"feed", "feed-bought"}, daybook.FeedOpened: {"feed"}, daybook.FeedLeft: {"feed-left"}}[p.What] {
			s.facts = append(s.facts, fact{what: what, on: on, group: p.Group})
		}
	case *daybook.Treatment:
		about := strings.ToLower(p.Against + " " + p.Product)
		what := []string{"treatment"}
		if strings.Contains(about, "worm") {
			what = append(what, "worming")
		}
		if strings.Contains(about, "mite") {
			what = append(what, "mite-treatment")
		}
		for _, w := range what {
			s.facts = append(s.facts, fact{what: w, on: on, group: p.Group, all: p.All})
		}
	case *daybook.Quarantine:
		if p.Phase == daybook.Ends {
			s.facts = append(s.facts, fact{what: "quarantine-end", on: on, group: p.Group})
		}
	}
}

// match finds for every lot of the plan its setting or its groups in the
// daybook, and makes lots of what the plan does not know. The rule:
//
//   - a group that names the batch of the plan (plan_batch) is that batch;
//   - a setting is the batch with eggs of the same breed, or of a breed not
//     written down, whose day lies nearest, 28 days away at most; eggs under a hen
//     that were planned for the machine count as 14 days further off;
//   - birds bought are the bought batch of the same breed that lies nearest,
//     within the same 28 days;
//   - birds on hand are the batch of the same breed and sex hatched within 28
//     days of it, or of unknown age;
//   - pairs are taken in the order of their distance, and each side once.
func (l *lister) match() {
	if l.in.Book == nil {
		return
	}
	settings := l.in.Book.Settings()
	l.byName()
	takenSettings := l.matchSettings(settings)
	takenGroups := l.matchArrivals()
	l.matchOnHand()
	l.strangers(settings, takenSettings, takenGroups)
	l.follow()
}

// byName takes groups that name their batch.
func (l *lister) byName() {
	for _, g := range l.groups() {
		for _, x := range l.lots {
			if g.PlanBatch != "" && g.PlanBatch == x.id {
				x.groups[g.Group] = true
			}
		}
	}
}

// groups are all groups that the records describe, in their order.
func (l *lister) groups() []daybook.Group {
	seen := map[daybook.ID]bool{}
	var list []daybook.Group
	for _, r := range l.in.Book.Records {
		if p, ok := r.Payload.(*daybook.Group); ok && !seen[p.Group] {
			seen[p.Group] = true
			g, _ := l.in.Book.GroupInfo(p.Group)
			list = append(list, g)
		}
	}
	return list
}

type pair struct{ lot, other, distance int }

// nearest takes pairs in the order of their distance, each side once.
func nearest(pairs []pair, take func(pair)) {
	slices.SortStableFunc(pairs, func(a, b pair) int {
		return cmp.Or(a.distance-b.distance, a.lot-b.lot, a.other-b.other)
	})
	lots, others := map[int]bool{}, map[int]bool{}
	for _, p := range pairs {
		if !lots[p.lot] && !others[p.other] {
			lots[p.lot], others[p.other] = true, true
			take(p)
		}
	}
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

func (l *lister) matchSettings(settings []daybook.SettingOn) map[daybook.ID]bool {
	taken := map[daybook.ID]bool{}
	give := func(x *lot, st daybook.SettingOn) {
		x.setting = &st
		taken[st.Setting.Setting] = true
	}
	for _, st := range settings { // a setting whose chicks name the batch
		for group, from := range l.seen.born {
			for _, x := range l.lots {
				if from == st.Setting.Setting && x.groups[group] && x.hasEggs() && x.setting == nil {
					give(x, st)
				}
			}
		}
	}
	var pairs []pair
	for i, x := range l.lots {
		if !x.hasEggs() || x.setting != nil {
			continue
		}
		for k, st := range settings {
			d := abs(st.SetOn.DaysSince(x.planned.set))
			if taken[st.Setting.Setting] || d > matchDays || !sameBreed(st.Breed, x.batch.Breed, true) {
				continue
			}
			if (st.Under == "hen") != x.source("broody hen") {
				d += otherWayDays
			}
			pairs = append(pairs, pair{i, k, d})
		}
	}
	nearest(pairs, func(p pair) { give(l.lots[p.lot], settings[p.other]) })
	return taken
}

// sameBreed compares a breed as a keeper wrote it with one of the catalogue.
func sameBreed(written, id string, unknownToo bool) bool {
	if written == "" {
		return unknownToo
	}
	if strings.EqualFold(written, id) {
		return true
	}
	for _, b := range []string{written, strings.ToLower(strings.ReplaceAll(written, " ", "-"))} {
		if br, err := breed.Find(b); err == nil && br.ID == id {
			return true
		}
	}
	br, err := breed.Find(id)
	return err == nil && strings.EqualFold(br.Name, written)
}

func (l *lister) matchArrivals() map[daybook.ID]bool {
	groups := slices.DeleteFunc(l.groups(), func(g daybook.Group) bool { return l.seen.arrived[g.Group].on.IsZero() })
	taken := map[daybook.ID]bool{}
	var pairs []pair
	for i, x := range l.lots {
		if !x.bought() {
			continue
		}
		for k, g := range groups {
			a := l.seen.arrived[g.Group]
			if x.groups[g.Group] {
				x.arriveOn, taken[g.Group] = a.on, true
				continue
			}
			d := abs(a.on.DaysSince(x.planned.arrive))
			if d <= matchDays && sameBreed(g.Breed, x.batch.Breed, false) && rightSex(x, g.Sex) {
				pairs = append(pairs, pair{i, k, d})
			}
		}
	}
	nearest(pairs, func(p pair) {
		x, g := l.lots[p.lot], groups[p.other]
		if x.arriveOn.IsZero() {
			x.groups[g.Group] = true
			x.arriveOn, taken[g.Group] = l.seen.arrived[g.Group].on, true
		}
	})
	return taken
}

func rightSex(x *lot, sex string) bool {
	switch x.batch.Source {
	case "cock":
		return sex != daybook.Hens
	case "started pullets":
		return sex != daybook.Cocks
	}
	return true
}

func (l *lister) matchOnHand() {
	for _, x := range l.lots {
		if !x.onHand() {
			continue
		}
		want := daybook.Hens
		if x.cockerels > x.pullets {
			want = daybook.Cocks
		}
		for _, g := range l.groups() {
			_, came := l.seen.arrived[g.Group]
			_, born := l.seen.born[g.Group]
			if g.PlanBatch != "" || came || born || g.Sex != want || !sameBreed(g.Breed, x.batch.Breed, false) {
				continue
			}
			if g.Hatched.IsZero() || abs(g.Hatched.DaysSince(x.planned.hatch)) <= matchDays {
				x.groups[g.Group] = true
			}
		}
	}
}

// strangers makes lots of settings and young birds that the plan does not know:
// eggs want turning whether they are planned or not.
func (l *lister) strangers(settings []daybook.SettingOn, takenSettings, takenGroups map[daybook.ID]bool) {
	for _, st := range settings {
		old := st.SetOn.AddDays(strangerDays).Before(l.in.Today)
		if takenSettings[st.Setting.Setting] || old || st.Ended && st.Chicks <= st.Culled {
			continue
		}
		from := "own eggs, machine"
		if st.Bought {
			from = "hatching eggs, machine"
		}
		if st.Under == "hen" {
			from = strings.Replace(from, "machine", "broody hen", 1)
		}
		x := bookLot("setting-"+st.Setting.Setting.String(), st.Breed, from,
			anchorDays{set: st.SetOn, hatch: st.DueOn}, float64(st.Eggs), hatchShare*float64(st.Eggs))
		x.setting = &st
		l.lots = append(l.lots, x)
	}
	for _, g := range l.groups() {
		a, came := l.seen.arrived[g.Group]
		if !came || takenGroups[g.Group] || g.PlanBatch != "" || a.on.AddDays(strangerDays).Before(l.in.Today) {
			continue
		}
		from, hatched := "started pullets", g.Hatched
		switch {
		case !hatched.IsZero() && a.on.DaysSince(hatched) < 42:
			from = "chicks"
		case g.Sex == daybook.Cocks:
			from = "cock"
		}
		if hatched.IsZero() {
			hatched = a.on.AddDays(-18 * 7)
		}
		x := bookLot("group-"+g.Group.String(), g.Breed, from, anchorDays{hatch: hatched, arrive: a.on}, 0, float64(a.number))
		x.arriveOn = a.on
		x.groups[g.Group] = true
		switch g.Sex {
		case daybook.Hens:
			x.pullets, x.cockerels = x.chicks, 0
		case daybook.Cocks:
			x.pullets, x.cockerels = 0, x.chicks
		}
		l.lots = append(l.lots, x)
	}
}

// strangerDays is how long eggs or birds outside the plan are looked after here:
// until pullets lay, from then on they are the flock's.
const strangerDays = 210
