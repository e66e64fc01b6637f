package plan

import (
	"fmt"
	"slices"

	"henyear/bird"
	"henyear/breed"
	"henyear/course"
	"henyear/hatch"
	"henyear/holding"
	"henyear/measure"
)

// An origin is how a batch begins.
type origin int

const (
	onHand origin = iota
	ownMachine
	ownBroody
	boughtEggsMachine
	boughtEggsBroody
	boughtChicks
	boughtPulletChicks
	boughtStarted
	boughtCock
)

func (o origin) String() string {
	return [...]string{"on hand", "own eggs, machine", "own eggs, broody hen", "hatching eggs, machine",
		"hatching eggs, broody hen", "chicks", "pullet chicks", "started pullets", "cock"}[o]
}

func (o origin) own() bool       { return o == ownMachine || o == ownBroody }
func (o origin) inMachine() bool { return o == ownMachine || o == boughtEggsMachine }
func (o origin) underHen() bool  { return o == ownBroody || o == boughtEggsBroody }
func (o origin) eggs() bool      { return o >= ownMachine && o <= boughtEggsBroody }

// Ages in weeks at which the life of a batch turns.
const (
	brooderWeeks   = 6  // chicks need warmth until here
	partWeeks      = 10 // cockerels are parted from pullets
	joinWeeks      = 18 // pullets join the layers; layer feed begins
	houseWeeks     = 24 // until they lay, pullets sleep in ark or run as well as in the house
	breedHenWeeks  = 30 // hens give eggs fit for setting: seven months
	breedCockWeeks = 26
	quarantine     = 5 // weeks apart for bought grown birds (30 days)
	startedWeeks   = 18
	grownCockWeeks = 30
	incubation     = 3
)

// A slot is a batch that has begun, or that may begin in one week.
type slot struct {
	id     string
	breed  *breed.Breed
	strain breed.Strain
	from   origin
	set    int // week in which eggs are set; eggs only
	hatch  int // week of hatch; may lie before the grid
	arrive int // week in which the birds are first on the holding
	late   int // weeks that pullets wait to join the layers because nobody is at home

	unitHens  float64 // hens started (alive at hatch) for each unit: egg set, bird bought, bird on hand
	unitCocks float64
	least     float64 // units of the smallest batch
	most      float64
	price     float64 // of a unit

	hens, cocks []bird.Outputs // from hatch
	meatOnly    bool           // fast and slow meat birds: never kept for lay
	group       string         // identifier of the group on hand
}

// pulletsJoin is the week in which the hens of a slot become layers.
func (s *slot) pulletsJoin() int { return max(s.hatch+joinWeeks, s.arrive) + s.late }

// alive is the share of started birds alive at the end of the week before t.
func alive(o []bird.Outputs, age int) float64 {
	if age <= 0 {
		return 1
	}
	if age > len(o) {
		return 0
	}
	return o[age-1].AliveEnd
}

// makeSlots lists every batch that the programme may choose, in a fixed order.
// Own hatches begin where keepers begin them: while days lengthen or have only
// just turned, and not in weeks too hot for chicks.
func (pr *programme) makeSlots() {
	for i := range pr.h.Birds {
		pr.addOnHand(&pr.h.Birds[i])
	}
	for _, st := range pr.stocks {
		if pr.canBreed(st) {
			pr.addOwnHatches(st)
		}
	}
	for i := range pr.h.Stock {
		pr.addOffer(&pr.h.Stock[i])
	}
}

func (pr *programme) addOnHand(g *holding.Group) {
	if g.Number == 0 {
		return
	}
	b := pr.breedOf(g.Breed)
	age := int(pr.g.start - measure.WeekOf(g.Hatched))
	s := &slot{id: "hand-" + g.ID, group: g.ID, breed: b, strain: g.Strain, from: onHand, hatch: -age,
		least: float64(g.Number), most: float64(g.Number), meatOnly: b.Purpose == breed.Meat}
	pr.courses(s)
	if g.Sex == bird.Hen {
		s.unitHens = 1 / max(alive(s.hens, age), 0.05)
	} else {
		s.unitCocks = 1 / max(alive(s.cocks, age), 0.05)
	}
	pr.slots = append(pr.slots, s)
}

func (pr *programme) courses(s *slot) {
	// What is not kept is butchered on the day the others move, so that day waits
	// until the keeper is back.
	for s.late < 8 && s.from != onHand && pr.away(s.pulletsJoin()) {
		s.late++
	}
	key := pr.book.Key(s.breed, s.strain, pr.g.slotOf(s.hatch), s.from.underHen())
	weeks := course.Weeks
	if !pr.g.cyclic {
		weeks = pr.g.weeks - s.hatch + 8 // to the end of the plan, however old they are by then
	}
	s.hens = pr.book.Long(key, bird.Hen, weeks)
	s.cocks = pr.book.Long(key, bird.Cock, weeks)
}

// canBreed reports whether the household can hatch this stock from its own
// eggs: it breeds true, is not a meat cross, a cock is to be had and allowed.
func (pr *programme) canBreed(st stock) bool {
	return st.breed.BreedsTrue && st.breed.Purpose != breed.Meat && pr.h.Place.MaxCocks != 0 &&
		(pr.g.cyclic || pr.hensToBeHad(st))
}

// hensToBeHad reports whether hens of a stock are on hand or may be bought.
func (pr *programme) hensToBeHad(st stock) bool {
	for _, g := range pr.h.Birds {
		if g.Breed == st.breed.ID && g.Strain == st.strain && g.Sex == bird.Hen && g.Number > 0 {
			return true
		}
	}
	if pr.h.Needs.SelfRenewing {
		return len(pr.h.Birds) == 0 // a flock must begin somehow
	}
	for _, o := range pr.h.Stock {
		if o.Breed == st.breed.ID && o.Form != holding.GrownCock {
			return true
		}
	}
	return false
}

// Chicks are not hatched into weeks with a mean daily high above this before they
// are eight weeks old (common practice).
const tooHotForChicksC = 33

// hatchSeason reports whether eggs may be set so that chicks hatch in week t.
func (pr *programme) hatchSeason(t int) bool {
	slot := pr.g.slotOf(t)
	w := pr.book.Week(slot)
	for week := range 9 {
		if pr.book.Week((slot+week)%measure.SlotsPerYear).DayMaxC > tooHotForChicksC {
			return false
		}
	}
	if w.LatitudeDeg < 15 { // no season of light: any week will do
		return true
	}
	// Longer than four weeks ago: until a fortnight after the longest day. What
	// hatches later meets the winter half grown and lays in spring.
	return w.LightTrendH > 0
}

func (pr *programme) away(t int) bool {
	if pr.g.cyclic {
		return false
	}
	w := pr.g.start + measure.Week(t)
	for _, a := range pr.h.Means.Away {
		if !w.Monday().AddDays(6).Before(a.From) && !a.To.Before(w.Monday()) {
			return true
		}
	}
	return false
}

// awayForChicks reports whether the keeper is away at the hatch or while the
// chicks are under three weeks.
func (pr *programme) awayForChicks(hatch int) bool {
	return pr.away(hatch) || pr.away(hatch+1) || pr.away(hatch+2)
}

func (pr *programme) addOwnHatches(st stock) {
	every := pr.opt.hatchEvery(pr.g.cyclic)
	first := 1
	if pr.g.cyclic {
		first = 0
	}
	for set := first; set < pr.g.weeks; set += every {
		if set > measure.SlotsPerYear+8 && !pr.g.cyclic && !pr.opt.Naive {
			// Farther off the plan is made anew before it is acted on.
			every = 4
		}
		hatchWeek := set + incubation
		if _, ok := pr.g.in(hatchWeek); !ok || !pr.hatchSeason(hatchWeek) || pr.awayForChicks(hatchWeek) {
			continue
		}
		if n := pr.h.Means.MachineEggs; n > 0 {
			pr.addHatch(st, ownMachine, set, 0, float64(n))
		}
		if pr.h.Means.BroodyHens && pr.broodySeason(set) {
			pr.addHatch(st, ownBroody, set, 0, pr.eggsUnderHen(st, set))
		}
	}
}

// broodySeason is April to September in the north: lengthening or long days.
func (pr *programme) broodySeason(set int) bool {
	w := pr.book.Week(pr.g.slotOf(set))
	return w.LatitudeDeg < 15 || w.LightH >= 13
}

func (pr *programme) eggsUnderHen(st stock, set int) float64 {
	w := pr.book.Week(pr.g.slotOf(set))
	return float64(hatch.EggsUnderHen(pr.sitterKg(), st.breed.Lay.EggG, w.MeanC < 10))
}

// sitterKg is the weight of the hens that may sit: the lightest stock that goes
// broody at all.
func (pr *programme) sitterKg() float64 {
	kg := 0.0
	for _, st := range pr.stocks {
		if st.breed.Broodiness > 0 && (kg == 0 || st.breed.HenKg < kg) {
			kg = st.breed.HenKg
		}
	}
	if kg == 0 {
		kg = 2.5
	}
	return kg
}

func (pr *programme) addHatch(st stock, from origin, set int, price, most float64) {
	hatchWeek := set + incubation
	rate := pr.book.ChicksPerEgg(st.breed, pr.g.slotOf(set), from.underHen(), !from.own())
	least := pr.opt.leastEggs(most)
	s := &slot{id: pr.slotID(st.breed, st.strain, from, set), breed: st.breed, strain: st.strain, from: from,
		set: set, hatch: hatchWeek, arrive: hatchWeek, unitHens: rate / 2, unitCocks: rate / 2,
		least: least, most: most, price: price, meatOnly: st.breed.Purpose == breed.Meat}
	pr.courses(s)
	pr.slots = append(pr.slots, s)
}

func (pr *programme) slotID(b *breed.Breed, st breed.Strain, from origin, week int) string {
	if pr.g.cyclic {
		return fmt.Sprintf("%s-%d-%02d", b.ID, from, week)
	}
	id := fmt.Sprintf("%s-%s-%d-%s", b.ID, st, from, pr.g.date(week))
	// Two sellers of the same stock: the second offer is another batch.
	name := id
	for n := 2; slices.ContainsFunc(pr.slots, func(s *slot) bool { return s.id == name }); n++ {
		name = fmt.Sprintf("%s-%d", id, n)
	}
	return name
}

// addOffer lists the weeks in which an offer may be taken up: one for each
// fortnight of its months, chicks in any month that is not too hot or too cold.
func (pr *programme) addOffer(o *holding.Offer) {
	b := pr.breedOf(o.Breed)
	layers := b.Purpose != breed.Meat && o.Form != holding.GrownCock
	if layers && pr.h.Needs.SelfRenewing && !pr.g.cyclic && len(pr.h.Birds) > 0 {
		return
	}
	most := float64(o.LargestOrder)
	if most == 0 {
		most = pr.largestOrder(b, o.Form)
	}
	least := max(1, float64(o.SmallestOrder))
	if pr.g.cyclic {
		least = 0
	}
	if most < least {
		most = least
	}
	st := stock{breed: b, strain: o.Strain}
	every := pr.opt.orderEvery(pr.g.cyclic)
	for t := 1; t < pr.g.weeks; t += every {
		if !o.Months[int(pr.monthOf(t))-1] || pr.away(t) {
			continue
		}
		switch o.Form {
		case holding.HatchingEggs:
			hatchWeek := t + incubation
			if _, ok := pr.g.in(hatchWeek); !ok || !pr.hatchSeason(hatchWeek) || pr.awayForChicks(hatchWeek) {
				continue
			}
			if n := pr.h.Means.MachineEggs; n > 0 {
				pr.addHatch(st, boughtEggsMachine, t, o.Price, min(most, float64(n)))
			}
			if pr.h.Means.BroodyHens && pr.broodySeason(t) {
				pr.addHatch(st, boughtEggsBroody, t, o.Price, min(most, pr.eggsUnderHen(st, t)))
			}
		case holding.Chicks:
			pr.addBought(st, boughtChicks, t, 0, 0.5, 0.5, least, most, o.Price)
		case holding.SexedChicks:
			pr.addBought(st, boughtPulletChicks, t, 0, 0.97, 0.03, least, most, o.Price)
		case holding.StartedPullet:
			pr.addBought(st, boughtStarted, t, startedWeeks, 1, 0, least, most, o.Price)
		case holding.GrownCock:
			if !pr.g.cyclic {
				pr.addBought(st, boughtCock, t, grownCockWeeks, 0, 1, least, min(most, 2), o.Price)
			}
		}
	}
}

func (pr *programme) addBought(st stock, from origin, t, age int, hens, cocks, least, most, price float64) {
	if age == 0 && pr.awayForChicks(t) {
		return
	}
	// Chicks under six weeks in a hot spell without cooling, and meat birds that
	// would finish in one, are not planned.
	w := pr.book.Week(pr.g.slotOf(t))
	if age == 0 && (w.DayMaxC > 35 || w.MeanC < -12) {
		return
	}
	if st.breed.GrowthClass == "fast meat" {
		finish := pr.book.Week(pr.g.slotOf(t + int(st.breed.ButcherWeeksLow)))
		if finish.DayMaxC > finishBelowC {
			return
		}
	}
	s := &slot{id: pr.slotID(st.breed, st.strain, from, t), breed: st.breed, strain: st.strain, from: from,
		hatch: t - age, arrive: t, least: least, most: most, price: price, meatOnly: st.breed.Purpose == breed.Meat}
	pr.courses(s)
	s.unitHens = hens / max(alive(s.hens, age), 0.05)
	s.unitCocks = cocks / max(alive(s.cocks, age), 0.05)
	pr.slots = append(pr.slots, s)
}

// largestOrder bounds an order by what the place can hold, so that the size of
// a batch says something about its flag.
func (pr *programme) largestOrder(b *breed.Breed, f holding.Form) float64 {
	room := pr.houseM2() / 0.25
	switch f {
	case holding.Chicks, holding.SexedChicks:
		if n := pr.h.Means.BrooderChicks; n > 0 {
			return float64(n)
		}
		return max(12, room)
	case holding.GrownCock:
		return 2
	default:
		return max(6, room)
	}
}
