package plan

import (
	"fmt"
	"math"
	"slices"
	"time"

	"henyear/bird"
	"henyear/breed"
	"henyear/course"
	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
	"henyear/solve"
)

// A stock is one breed and strain that can take part in a programme.
type stock struct {
	breed  *breed.Breed
	strain breed.Strain
}

// programme is the household's flock written as a mixed-integer programme. See
// README.md beside this file for the mathematics in the same order and names.
type programme struct {
	h      *holding.Holding
	opt    Options
	book   *course.Book
	g      grid
	m      *solve.Model
	stocks []stock
	slots  []*slot
	cols   []batchColumns
	mixed  bool // layers of more than one breed may be in the flock: matings need a pen

	// Rows, one a period.
	eggs, house, shelter, adults, brooder, pens, minutes, butcher []solve.Row
	freezerLevel, full, maxCocks                                  []solve.Row

	// Rows of one year or one week.
	table       map[int]solve.Row    // birds for the table, by calendar year
	sales       map[int]solve.Row    // yearly limits on birds sold, given away, butcher days
	fit         []fitRow             // eggs fit for setting, by set week and breed
	cover       []fitRow             // the same eggs, by cocks
	needCocks   []fitRow             // whole cocks in every week of a hatching season, by set week and breed
	present     []fitRow             // whole cocks through the year, by period
	seasons     map[season]solve.Col // 0/1: own eggs of the breed are set in this season
	seasonCols  []solve.Col
	spells      map[int]solve.Row // broody hens on offer, by set week
	broodyWeeks []int
	machine     map[int]solve.Row // eggs in the machine, by week
	broods      map[int]solve.Row // broods with the brooder to themselves, by week
	penInUse    map[penKey]solve.Col

	// Columns that belong to no batch.
	use                      []useColumns
	frozenLevel, stock, gift []solve.Col
	tableShort               map[int]solve.Col
	endShort                 solve.Col

	cullWeeks []int // starts of periods at which layers may go
	years     []int

	scratch scratch
}

// The shop counts three times: eggs or meat that the flock fails to give are
// failures, not a cheaper way to eat.
const failure = 3

// Prices per unit of limits that are overrun. They are not costs of the plan a
// keeper would accept; they let an over-full start have an answer that says how
// much is too much.
const (
	overHousePrice   = 300.0 // a square metre for a period
	overMinutesPrice = 100.0 // a minute a day for a period
	overBirdsPrice   = 300.0 // a grown bird more than local rules allow, for a period
)

const none = solve.Col(-1)

func newProgramme(h *holding.Holding, book *course.Book, opt Options, g grid, stocks []stock) *programme {
	pr := &programme{h: h, opt: opt, book: book, g: g, stocks: stocks, m: solve.NewModel("henyear"),
		table: map[int]solve.Row{}, spells: map[int]solve.Row{}, machine: map[int]solve.Row{}, sales: map[int]solve.Row{}, broods: map[int]solve.Row{}, penInUse: map[penKey]solve.Col{}, seasons: map[season]solve.Col{}, endShort: none}
	layers := map[string]bool{}
	for _, st := range stocks {
		if st.breed.Purpose != breed.Meat {
			layers[st.breed.ID] = true
		}
	}
	pr.mixed = len(layers) > 1
	pr.setCullWeeks()
	pr.makeSlots()
	pr.makeRows()
	for i := range pr.slots {
		pr.addColumns(i)
	}
	pr.addExtraBroodies()
	pr.addUse()
	return pr
}

func (pr *programme) breedOf(id string) *breed.Breed {
	b, err := breed.Find(id)
	if err != nil {
		panic(err) // the holding was checked when it was read
	}
	return b
}

func (pr *programme) monthOf(t int) time.Month {
	if pr.g.cyclic {
		u, _ := pr.g.in(t)
		return measure.SlotMonth(u)
	}
	return (pr.g.start + measure.Week(t)).Month()
}

func (pr *programme) houseM2() float64 {
	sum := 0.0
	for _, b := range pr.h.Means.Houses {
		sum += b.AreaM2
	}
	return sum
}

// winterWeek is the slot in the middle of the dark season: the shortest day.
func (pr *programme) winterSlot() int {
	if pr.h.Place.Climate.Southern() {
		return 24
	}
	return 50
}

func (pr *programme) makeRows() {
	inf := math.Inf(1)
	means := &pr.h.Means
	rows := func(name string, lo, hi float64) []solve.Row {
		out := make([]solve.Row, len(pr.g.periods))
		for p := range out {
			out[p] = pr.m.Row(fmt.Sprintf("%s_%02d", name, p), lo, hi)
		}
		return out
	}
	pr.eggs = rows("eggs", 0, 0) // balance; needs are moved to the right-hand side in addUse
	pr.house = rows("house", -inf, pr.houseM2())
	pr.shelter = rows("shelter", -inf, pr.houseM2()+means.GrowOutM2+means.CoveredRunM2)
	pr.minutes = rows("minutes", -inf, max(0, means.MinutesADay-pr.choreMinutes()))
	pr.pens = rows("pens", -inf, float64(max(0, pr.penCount()-1)))
	if means.BrooderChicks > 0 {
		pr.brooder = rows("brooder", -inf, float64(means.BrooderChicks))
	}
	if pr.h.Place.MaxBirds >= 0 {
		pr.adults = rows("adults", -inf, float64(pr.h.Place.MaxBirds))
	}
	pr.butcher = rows("butcher", -inf, 0)
	pr.freezerLevel = rows("freezer", 0, 0)
	for _, p := range pr.g.periods {
		if !slices.Contains(pr.years, p.year) {
			pr.years = append(pr.years, p.year)
			pr.table[p.year] = pr.m.Row(fmt.Sprintf("table_%d", p.year), 0, inf)
		}
	}
	pr.makeSettingRows()
	if pr.g.cyclic {
		pr.addSteadyCocks()
	} else {
		pr.addPresence()
	}
}

// choreMinutes is the daily round whatever the number of birds.
func (pr *programme) choreMinutes() float64 { return 10 }

// Work by the head and by the brood: 10 + 0.33 N minutes a day, and 2 for each
// brood or machine at work (model fit to keepers' logs).
const (
	minutesPerBird  = 0.33
	minutesPerBrood = 2.0
	minutesMachine  = 5.0
)

// scratch gathers what a column does to the rows of the programme.
type scratch struct {
	eggs, house, shelter, adults, brooder, minutes []float64
	cost                                           float64
}

func (pr *programme) clear() *scratch {
	s := &pr.scratch
	n := len(pr.g.periods)
	if s.eggs == nil {
		for _, v := range []*[]float64{&s.eggs, &s.house, &s.shelter, &s.adults, &s.brooder, &s.minutes} {
			*v = make([]float64, n)
		}
	}
	for _, v := range [][]float64{s.eggs, s.house, s.shelter, s.adults, s.brooder, s.minutes} {
		clear(v)
	}
	s.cost = 0
	return s
}

// post writes the gathered effects into the programme as entries of column c.
func (pr *programme) post(c solve.Col) {
	s := &pr.scratch
	put := func(rows []solve.Row, v []float64) {
		if rows == nil {
			return
		}
		for p, x := range v {
			if x != 0 {
				pr.m.Add(rows[p], c, x)
			}
		}
	}
	put(pr.eggs, s.eggs)
	put(pr.house, s.house)
	put(pr.shelter, s.shelter)
	put(pr.adults, s.adults)
	put(pr.brooder, s.brooder)
	put(pr.minutes, s.minutes)
	pr.m.AddCost(c, s.cost)
}

// live adds the keep and the yield of one started bird over the weeks from-to
// (to excluded), times share.
func (pr *programme) live(o []bird.Outputs, b *breed.Breed, sex bird.Sex, hatch, from, to int, share float64, underHen bool) {
	s := &pr.scratch
	usable := 1 - pr.h.Means.EggLoss
	bought := 1 / (1 - pr.h.Means.FeedWaste)
	for t := from; t < to; t++ {
		u, ok := pr.g.in(t)
		age := t - hatch
		if age < 0 || age >= len(o) {
			break
		}
		if !ok {
			if t < 0 {
				continue
			}
			break
		}
		p := pr.g.of[u]
		w := &o[age]
		per := share / float64(pr.g.periods[p].weeks)
		s.eggs[p] += w.Eggs * usable * share
		s.cost += w.FeedKg * bought * pr.feedPrice(age) * share
		s.cost += w.Alive * pr.h.Prices.BeddingPerBirdYear / measure.SlotsPerYear * share
		if age < brooderWeeks && !underHen {
			s.brooder[p] += w.Alive * per
			continue
		}
		if age >= brooderWeeks {
			m2 := w.Alive * pr.birdM2(b, sex, age, w.LiveKg) * per
			s.shelter[p] += m2
			if age >= houseWeeks {
				s.house[p] += m2
			}
			s.minutes[p] += w.Alive * minutesPerBird * per
		}
		if age >= joinWeeks {
			s.adults[p] += w.Alive * per
		}
	}
}

func (pr *programme) feedPrice(age int) float64 {
	if age < 6 {
		return pr.h.Prices.ChickFeedPerKg
	}
	return pr.h.Prices.FeedPerKg
}

// birdM2 is the floor under a roof that a bird needs.
func (pr *programme) birdM2(b *breed.Breed, sex bird.Sex, age int, kg float64) float64 {
	switch {
	case b.Purpose == breed.Meat:
		return housing.AreaM2("meat", age, kg)
	case sex == bird.Cock:
		return housing.AreaM2("cock", age, kg)
	}
	return housing.AreaM2("hen", age, kg)
}

// Yearly limits, by what they limit; bird sales are numbered from zero.
const (
	limitHatches = 97
	limitDays    = 98
	limitTaken   = 99
)

// yearRow is the row that limits something in one calendar year.
func (pr *programme) yearRow(what, year int, limit func() float64) solve.Row {
	key := 100*year + what
	if r, ok := pr.sales[key]; ok {
		return r
	}
	r := pr.m.Row(fmt.Sprintf("year_%d_%d", what, year), math.Inf(-1), limit())
	pr.sales[key] = r
	return r
}

// part is the share of a calendar year that the grid covers.
func (pr *programme) part(year int) float64 {
	if pr.g.cyclic {
		return 1
	}
	weeks := 0
	for _, p := range pr.g.periods {
		if p.year == year {
			weeks += p.weeks
		}
	}
	return min(1, float64(weeks)*7/measure.DaysPerYear)
}
