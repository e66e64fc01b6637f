package chance

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"henyear/bird"
	"henyear/breed"
	"henyear/course"
	"henyear/hatch"
	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
	"henyear/plan"
)

// ErrNoBirds says that a plan has nobody to live through it.
var ErrNoBirds = errors.New("the plan has no birds, so there is no luck to try it against; plan with birds on hand or stock to be had")

// World is a plan made ready to be lived through. It never changes once made, so
// that many replicates may run in it at once.
type World struct {
	h      *holding.Holding
	plan   *plan.Plan
	book   *course.Book
	spread Spread

	lit     *course.Book // for flocks that have lamps for a part of the time
	litWeek func(t int) bool

	start  measure.Week
	weeks  int
	slots  []int
	yearOf []int // index into years
	years  []int // calendar years
	months []int // index of each week's month in monthOf
	month  []yearMonth

	batches []batch
	breeds  []string
	room    room
	means   []weekMeans
	sales   []sale
	birdsTo map[string]float64 // price of live birds sold, by kind

	winterWeeks []float64 // of each year
	usualHens   []float64 // planned hens of each year, on the mean
	counted     []int     // by calendar year: week of 1 November (north) or 1 May (south), -1 outside the plan
}

type yearMonth struct{ year, month int }

// room is what bounds the birds.
type room struct{ shelterM2, adults float64 }

// weekMeans is what the plan and the place say of a week.
type weekMeans struct {
	need, promised, keepBack, freeze, thawMost, eatMeatKg float64
	saleMost                                              float64
	hens, cocks, expect                                   float64 // planned
	winter, wantsCocks, cull                              bool
	comes, leaves, sets                                   bool    // the plan has birds that come, birds that go, eggs to set
	raids                                                 float64 // season of ground predators, mean 1
}

type sale struct {
	most     []float64 // eggs, by week
	price    float64   // an egg
	promised bool
}

// order is what the keeper plans to do with some birds of a batch.
type order struct {
	week  int
	what  string // as plan.Fate
	birds float64
	share float64 // of those of the sex that are left when the week comes
	price float64 // of one sold
}

// batch is a lot of birds that begins in one week.
type batch struct {
	id           string
	key          uint64
	breed        *breed.Breed
	breedNo      int
	source       string
	arrive       int // first week on the holding; 0 for birds on hand
	set, hatch   int // weeks; set only for eggs
	eggs         int
	method       hatch.Method
	own, posted  bool
	chicks       float64 // expected
	hens, cocks  int     // bought or on hand
	sides        [2]*side
	orders       [2][]order // fates of the young, by sex, in order of weeks
	joins        float64    // hens planned to join the layers
	joinWeek     int
	culls        []order // of layers
	breeders     float64 // cocks planned to be kept
	breederWeek  int
	retire       []order // of those cocks
	soldChicks   float64 // share of the chicks sold at hatch
	chickPrice   float64
	cost         float64 // of the batch when it begins: price and power
	meat         bool
	againBefore  int // a failed hatch may be set again if the chicks come before this week
	brooderPower float64
}

// New makes a plan ready. The holding must be the one that was planned; rates may
// be nil. An error is a sentence for the keeper.
func New(h *holding.Holding, p *plan.Plan, rates *bird.Rates) (*World, error) {
	return newWorld(h, p, rates, UsualSpread())
}

func newWorld(h *holding.Holding, p *plan.Plan, rates *bird.Rates, spread Spread) (*World, error) {
	if p == nil || len(p.Weeks) == 0 || len(p.Batches) == 0 {
		return nil, ErrNoBirds
	}
	r := bird.NewRates()
	if rates != nil {
		r = *rates
	}
	w := &World{h: h, plan: p, book: course.New(h, p.Lights, r), spread: spread.prepared().at(h.Place.Climate.Stray),
		start: measure.WeekOf(p.Weeks[0].Date), weeks: len(p.Weeks), birdsTo: map[string]float64{}}
	w.calendar()
	w.pantryMeans()
	for _, s := range h.Needs.BirdSales {
		w.birdsTo[s.Kind] = max(w.birdsTo[s.Kind], s.Price)
	}
	for i := range p.Batches {
		if err := w.addBatch(&p.Batches[i]); err != nil {
			return nil, err
		}
	}
	slices.SortStableFunc(w.batches, func(a, b batch) int { return cmp.Compare(a.arrive, b.arrive) })
	w.markCocks()
	w.markDays()
	w.room.shelterM2 = h.Means.GrowOutM2 + h.Means.CoveredRunM2
	for _, house := range h.Means.Houses {
		w.room.shelterM2 += house.AreaM2
	}
	w.room.adults = math.Inf(1)
	if h.Place.MaxBirds >= 0 {
		w.room.adults = float64(h.Place.MaxBirds)
	}
	return w, nil
}

// calendar lays out slots, years and months of the weeks.
func (w *World) calendar() {
	w.slots = make([]int, w.weeks)
	w.yearOf = make([]int, w.weeks)
	w.months = make([]int, w.weeks)
	for t := range w.weeks {
		week := w.start + measure.Week(t)
		w.slots[t] = week.Slot()
		thursday := week.Monday().AddDays(3)
		if n := len(w.years); n == 0 || w.years[n-1] != thursday.Year {
			w.years = append(w.years, thursday.Year)
		}
		w.yearOf[t] = len(w.years) - 1
		m := yearMonth{thursday.Year, int(thursday.Month)}
		if n := len(w.month); n == 0 || w.month[n-1] != m {
			w.month = append(w.month, m)
		}
		w.months[t] = len(w.month) - 1
	}
	month := time.November
	if w.h.Place.Climate.Southern() {
		month = time.May
	}
	for _, y := range w.years {
		t := w.weekOf(measure.Date{Year: y, Month: month, Day: 1})
		if t < 0 || t >= w.weeks {
			t = -1
		}
		w.counted = append(w.counted, t)
	}
}

// darkest is the slot of the shortest day.
func (w *World) darkest() int {
	if w.h.Place.Climate.Southern() {
		return 24
	}
	return 50
}

// winterWeeks about the shortest day, the leaner for the weeks after it.
func (w *World) winter(slot int) bool {
	d := (slot - w.darkest() + measure.SlotsPerYear + 26) % measure.SlotsPerYear
	return d >= 26-6 && d <= 26+6
}

// foxSeason is how much likelier ground predators come in a week than on the
// mean of a year: vixens feed cubs in April and May (key chance-fox-season).
func (w *World) foxSeason(slot int) float64 {
	spring := 15 // first slot of April's second half, north
	if w.h.Place.Climate.Southern() {
		spring = 41
	}
	d := (slot - spring + measure.SlotsPerYear) % measure.SlotsPerYear
	const weeks, more = 8, 1.6
	if d < weeks {
		return more
	}
	return (measure.SlotsPerYear - weeks*more) / (measure.SlotsPerYear - weeks)
}

// pantryMeans reads needs, customers and what the plan expects.
func (w *World) pantryMeans() {
	w.means = make([]weekMeans, w.weeks)
	stockL := 0.0
	for t := range w.means {
		m, row := &w.means[t], &w.plan.Weeks[t]
		m.need = row.EggsNeeded
		m.freeze = row.EggsFrozen
		m.thawMost = w.h.Needs.FrozenEggShare * row.EggsNeeded
		m.hens, m.cocks, m.expect = row.Hens, row.Cocks, row.EggsExpected
		m.winter = w.winter(w.slots[t])
		m.raids = w.foxSeason(w.slots[t])
		m.eatMeatKg = max(0, stockL/plan.FreezerLPerKg+row.TableKg-row.FreezerL/plan.FreezerLPerKg)
		stockL = row.FreezerL
	}
	for i := range w.h.Needs.EggSales {
		s := &w.h.Needs.EggSales[i]
		out := sale{most: make([]float64, w.weeks), price: s.PricePerDozen / 12, promised: s.Promised}
		for t := range out.most {
			if s.Months[int(w.monthOfPlan(t))-1] {
				out.most[t] = 12 * s.DozensPerWeek
				w.means[t].saleMost += out.most[t]
				if s.Promised {
					w.means[t].promised += out.most[t]
				}
			}
		}
		w.sales = append(w.sales, out)
	}
	// The dearer customers are served first, the promised before all.
	slices.SortStableFunc(w.sales, func(a, b sale) int {
		if a.promised != b.promised {
			if a.promised {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.price, a.price)
	})
	for t := range w.means {
		lack, most := 0.0, 0.0
		for u := t + 1; u < t+plan.EggKeepWeeks && u < w.weeks; u++ {
			row := &w.plan.Weeks[u]
			lack += row.EggsSet + row.EggsNeeded - row.EggsExpected
			most = max(most, lack)
		}
		w.means[t].keepBack = most
	}
}

// monthOfPlan is the month in which the plan counts a week.
func (w *World) monthOfPlan(t int) int { return int((w.start + measure.Week(t)).Month()) }

func (w *World) weekOf(d measure.Date) int { return int(measure.WeekOf(d) - w.start) }

// addBatch reads one batch of the plan.
func (w *World) addBatch(pb *plan.Batch) error {
	r, err := breed.Find(pb.Breed)
	if err != nil {
		return fmt.Errorf("the plan has a batch of %q, which is not in the catalogue of breeds", pb.Breed)
	}
	b := batch{id: pb.ID, key: hashText(pb.ID), breed: r, source: pb.Source, hatch: w.weekOf(pb.Hatched),
		chicks: pb.Chicks, meat: r.Purpose == breed.Meat, joinWeek: -1, breederWeek: -1}
	b.breedNo = slices.Index(w.breeds, r.ID)
	if b.breedNo < 0 {
		b.breedNo = len(w.breeds)
		w.breeds = append(w.breeds, r.ID)
	}
	underHen := strings.HasSuffix(pb.Source, "broody hen")
	prices := &w.h.Prices
	switch {
	case pb.EggsSet > 0:
		b.set, b.eggs = w.weekOf(pb.Set), pb.EggsSet
		b.arrive = b.hatch
		b.method = hatch.Machine
		if underHen {
			b.method = hatch.Broody
		} else {
			b.cost += plan.MachineKWh * prices.PowerPerKWh
			b.brooderPower = plan.BrooderKWh * prices.PowerPerKWh
		}
		b.own = strings.HasPrefix(pb.Source, "own")
		b.posted = !b.own
		if !b.own {
			b.cost += float64(pb.EggsSet) * w.offerPrice(pb, holding.HatchingEggs)
		}
		b.againBefore = w.lastHatchWeek(b.hatch)
	case pb.Source == "on hand":
		b.hens, b.cocks = int(math.Round(pb.Pullets)), int(math.Round(pb.Cockerels))
	default:
		form, age := holding.Chicks, 0
		switch pb.Source {
		case "pullet chicks":
			form = holding.SexedChicks
		case "started pullets":
			form, age = holding.StartedPullet, plan.StartedWeeks
		case "cock":
			form, age = holding.GrownCock, plan.GrownCockWeeks
		}
		b.arrive = b.hatch + age
		n := int(math.Round(pb.Chicks))
		b.hens = int(math.Round(pb.Pullets * float64(n) / max(pb.Chicks, 1e-9)))
		b.cocks = n - b.hens
		if age == 0 {
			b.cost += plan.BrooderKWh * prices.PowerPerKWh
		} else {
			// Bought grown: the plan counts those alive on arrival.
			b.hens, b.cocks = w.boughtGrown(pb, form)
		}
		b.cost += float64(b.hens+b.cocks) * w.offerPrice(pb, form)
	}
	first := max(0, b.arrive)
	if b.arrive >= w.weeks {
		return nil
	}
	strain := breed.Strain(pb.Strain)
	for sex := range 2 {
		law := bird.NewLaw(r, strain, bird.Sex(sex), w.book.Rates())
		b.sides[sex] = w.newSide(law, b.hatch, first, underHen, w.areaOf(r, bird.Sex(sex)))
	}
	w.readFates(&b, pb)
	w.batches = append(w.batches, b)
	return nil
}

// boughtGrown is the birds that come, from the shares of a batch bought grown.
func (w *World) boughtGrown(pb *plan.Batch, form holding.Form) (hens, cocks int) {
	sum := 0.0
	for _, f := range pb.Fates {
		if f.What == "layer" || f.What == "breeding cock" {
			sum += f.Birds
		}
	}
	if sum < 0.5 {
		sum = pb.Chicks
	}
	n := int(math.Round(sum))
	if form == holding.GrownCock {
		return 0, n
	}
	return n, 0
}

func (w *World) offerPrice(pb *plan.Batch, form holding.Form) float64 {
	price := 0.0
	for _, o := range w.h.Stock {
		if o.Breed == pb.Breed && o.Form == form && (price == 0 || o.Price < price) {
			price = o.Price
		}
	}
	return price
}

// areaOf is the floor that a bird of six weeks or more needs, as the plan counts.
func (w *World) areaOf(r *breed.Breed, sex bird.Sex) func(age int, kg float64) float64 {
	class := "hen"
	switch {
	case r.Purpose == breed.Meat:
		class = "meat"
	case sex == bird.Cock:
		class = "cock"
	}
	return func(age int, kg float64) float64 {
		if age < plan.BrooderWeeks {
			return 0
		}
		return housing.AreaM2(class, age, kg)
	}
}

// lastHatchWeek is the first week after one of the plan in which days no longer
// lengthen: what hatches later is not set again.
func (w *World) lastHatchWeek(t int) int {
	for u := t; u < t+30; u++ {
		if s := w.book.Week(w.slotOf(u)); s.LatitudeDeg >= 15 && s.LightTrendH <= 0 {
			return u
		}
	}
	return t + 30
}

// readFates turns the fates of a batch into what the keeper means to do.
func (w *World) readFates(b *batch, pb *plan.Batch) {
	joined := [2]bool{}
	for _, f := range pb.Fates {
		o := order{week: w.weekOf(f.On), what: f.What, birds: f.Birds}
		sex := 0
		if f.Sex == "cock" {
			sex = 1
		}
		switch f.What {
		case "sold as chick":
			b.soldChicks = min(1, f.Birds/max(1e-9, pb.Chicks))
			b.chickPrice = w.birdsTo["chick"]
		case "layer":
			b.joins, b.joinWeek = f.Birds, max(0, o.week)
			joined[0] = true
		case "breeding cock":
			b.breeders, b.breederWeek = f.Birds, max(0, o.week)
			joined[1] = true
		case "kept to the end":
			if !joined[sex] {
				b.orders[sex] = append(b.orders[sex], o)
			}
		case "culled for the pot", "sold as spent hen":
			o.price = 0
			if f.What == "sold as spent hen" {
				o.price = w.birdsTo["spent hen"]
			}
			if sex == 0 {
				b.culls = append(b.culls, o)
				if o.week >= 0 && o.week < w.weeks {
					w.means[o.week].cull = true
				}
			} else {
				b.retire = append(b.retire, o)
			}
		case "given":
			if joined[sex] && sex == 1 {
				b.retire = append(b.retire, o)
				continue
			}
			b.orders[sex] = append(b.orders[sex], o)
		default:
			switch f.What {
			case "sold as started pullet":
				o.price = w.birdsTo["pullet"]
			case "sold as cockerel":
				o.price = w.birdsTo["cockerel"]
			}
			b.orders[sex] = append(b.orders[sex], o)
		}
	}
	for sex := range b.orders {
		list := b.orders[sex]
		slices.SortStableFunc(list, func(x, y order) int { return cmp.Compare(x.week, y.week) })
		left := 0.0
		for i := len(list) - 1; i >= 0; i-- {
			left += list[i].birds
			list[i].share = list[i].birds / left
		}
	}
}

// markCocks marks the weeks in which a hatch of own eggs is near and a working
// cock is wanted.
func (w *World) markCocks() {
	for i := range w.batches {
		b := &w.batches[i]
		if !b.own || b.eggs == 0 {
			continue
		}
		for t := max(0, b.set-2); t <= b.set && t < w.weeks; t++ {
			w.means[t].wantsCocks = true
		}
	}
}

// markDays marks the weeks in which something is planned, so that all others pass
// quickly.
func (w *World) markDays() {
	mark := func(t int, f func(m *weekMeans)) {
		if t >= 0 && t < w.weeks {
			f(&w.means[t])
		}
	}
	leaves := func(m *weekMeans) { m.leaves = true }
	for i := range w.batches {
		b := &w.batches[i]
		mark(max(0, b.arrive), func(m *weekMeans) { m.comes = true })
		mark(b.joinWeek, leaves)
		mark(b.breederWeek, leaves)
		for _, list := range [][]order{b.orders[0], b.orders[1], b.retire, b.culls} {
			for _, o := range list {
				mark(o.week, leaves)
			}
		}
		if b.eggs > 0 {
			for t := b.set; t <= b.set+waitForBroody; t++ {
				mark(t, func(m *weekMeans) { m.sets = true })
			}
		}
	}
	w.usualHens = make([]float64, len(w.years))
	w.winterWeeks = make([]float64, len(w.years))
	weeks := make([]float64, len(w.years))
	for t := range w.weeks {
		w.usualHens[w.yearOf[t]] += w.means[t].hens
		weeks[w.yearOf[t]]++
		if w.means[t].winter {
			w.winterWeeks[w.yearOf[t]]++
		}
	}
	for y := range weeks {
		w.usualHens[y] /= max(1, weeks[y])
	}
}
