package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"
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
	breed       *breed.Breed
	strain      breed.Strain
	cockToBeHad bool
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

// fitRow bounds the eggs of one breed set in one week.
type fitRow struct {
	breed string
	week  int
	row   solve.Row
}

// batchColumns are the columns of one slot.
type batchColumns struct {
	exists solve.Col // 0/1; -1 for groups on hand and in a steady year
	units  solve.Col
	layers []stage           // hens started that are kept as layers, by stage
	better map[int]solve.Col // lift of lay after the cull that begins stage k
	pot    []fate            // surplus pullets to the table
	meat   []fate            // cockerels (or meat birds of both sexes) to the table
	sold   []fate
	given  []fate
	cocks  []stage // whole breeding cocks, by stage
}

// A stage is a stretch of a bird's time on the holding between two points at
// which it may go.
type stage struct {
	col      solve.Col
	from, to int // weeks, to excluded
}

// A fate is a column of birds that leave in one week.
type fate struct {
	col  solve.Col
	week int
	sex  bird.Sex
	what string
	kg   float64 // dressed, each
	live float64 // share of the started birds that are alive then
}

// useColumns are what becomes of eggs and meat in one period.
type useColumns struct {
	short, spare, carry, freeze, thaw, eaten, butcherDays solve.Col
	sales                                                 []solve.Col
	promised                                              []solve.Col
	overHouse, overMinutes                                solve.Col
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
)

const none = solve.Col(-1)

func (c *batchColumns) betterAt(k int) solve.Col {
	if col, ok := c.better[k]; ok {
		return col
	}
	return none
}

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

// penCount is the pens of the houses, and the shelter for growing birds as one
// more.
func (pr *programme) penCount() int {
	n := 0
	if pr.h.Means.GrowOutM2 > 0 {
		n++
	}
	for _, b := range pr.h.Means.Houses {
		n += b.Pens
	}
	return n
}

// winterWeek is the slot in the middle of the dark season: the shortest day.
func (pr *programme) winterSlot() int {
	if pr.h.Place.Climate.Southern() {
		return 24
	}
	return 50
}

// Weeks before the shortest day at which layers may go.
const (
	summerCull = 24
	autumnCull = 13
)

// setCullWeeks places the points at which layers may go: early summer, when the
// young birds need the room, and early autumn, before winter feed and when the
// moult shows the poor layers. Both are seasons before the shortest day, so the
// south needs no rule of its own.
func (pr *programme) setCullWeeks() {
	dark := pr.winterSlot()
	for _, before := range []int{summerCull, autumnCull} {
		want := (dark - before + measure.SlotsPerYear) % measure.SlotsPerYear
		for t := range pr.g.weeks {
			if pr.g.slot[t] == want {
				pr.cullWeeks = append(pr.cullWeeks, pr.g.snap(t))
			}
		}
	}
	slices.Sort(pr.cullWeeks)
	pr.cullWeeks = slices.Compact(pr.cullWeeks)
}

// nextCull is the first point after week t at which layers may go; the end of
// the grid is one.
func (pr *programme) nextCull(t int) int {
	if !pr.g.cyclic {
		for _, c := range pr.cullWeeks {
			if c > t {
				return c
			}
		}
		return pr.g.weeks
	}
	for year := t / pr.g.weeks; ; year++ {
		for _, c := range pr.cullWeeks {
			if c+year*pr.g.weeks > t {
				return c + year*pr.g.weeks
			}
		}
	}
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
	pr.pens = rows("pens", -inf, float64(pr.penCount()-1))
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

// makeSettingRows lays the rows that a setting of own eggs must respect: eggs
// fit for setting, cocks that cover the hens, broody hens on offer, places in
// the machine.
func (pr *programme) makeSettingRows() {
	inf := math.Inf(1)
	type key struct {
		breed string
		week  int
	}
	seen := map[key]bool{}
	for _, s := range pr.slots {
		if s.from.own() {
			k := key{s.breed.ID, s.set}
			if !seen[k] {
				seen[k] = true
				pr.fit = append(pr.fit, fitRow{s.breed.ID, s.set, pr.m.Row(fmt.Sprintf("fit_%s_%d", s.breed.ID, s.set), -inf, 0)})
				if !pr.g.cyclic {
					pr.addSeasonRow(s)
				}
				pr.cover = append(pr.cover, fitRow{s.breed.ID, s.set, pr.m.Row(fmt.Sprintf("cover_%s_%d", s.breed.ID, s.set), -inf, pr.coveredBySteadyCocks(s))})
			}
		}
		if s.from.underHen() {
			if _, ok := pr.spells[s.set]; !ok {
				pr.spells[s.set] = pr.m.Row(fmt.Sprintf("broody_%d", s.set), -inf, 0)
				pr.broodyWeeks = append(pr.broodyWeeks, s.set)
			}
		}
	}
}

// A season is a year in which a breed's own eggs are set.
type season struct {
	breed string
	year  int
}

func (pr *programme) seasonKey(s *slot) season {
	return season{s.breed.ID, pr.seasonYear(s.set)}
}

// seasonYear names the breeding year of a week by the calendar year of the
// longer days that follow: eggs set in the last weeks before midwinter's turn
// belong to the next year.
func (pr *programme) seasonYear(t int) int {
	turn := pr.winterSlot() - 4
	d := (turn - pr.g.slotOf(t) + measure.SlotsPerYear) % measure.SlotsPerYear
	return (pr.g.start + measure.Week(t+d)).Year()
}

// seasonOf is the column that says whether a breed's own eggs are set in the
// year of a slot. A household that breeds does so from then on: seasons rise.
func (pr *programme) seasonOf(s *slot) solve.Col {
	k := pr.seasonKey(s)
	col, ok := pr.seasons[k]
	if ok {
		return col
	}
	col = pr.m.Whole(fmt.Sprintf("season_%s_%d", k.breed, k.year), 0, 0, 1)
	pr.seasons[k] = col
	pr.seasonCols = append(pr.seasonCols, col)
	if before, ok := pr.seasons[season{k.breed, k.year - 1}]; ok {
		r := pr.m.Row(fmt.Sprintf("goeson_%s_%d", k.breed, k.year), 0, math.Inf(1))
		pr.m.Add(r, col, 1)
		pr.m.Add(r, before, -1)
	}
	return col
}

// addSeasonRow asks for the working cock and the spare in every week of a season
// in which own eggs are set. Tied to the season and not to the batch, the whole
// cocks show in the relaxation too, which makes its bound worth having.
func (pr *programme) addSeasonRow(s *slot) {
	r := pr.m.Row(fmt.Sprintf("cocksfor_%s_%d", s.breed.ID, s.set), math.Inf(-1), 0)
	pr.m.Add(r, pr.seasonOf(s), pr.cocksAsked(pr.seasonYear(s.set)))
	pr.needCocks = append(pr.needCocks, fitRow{s.breed.ID, s.set, r})
}

// addPresence keeps cocks through the year once a household breeds: from the
// first season on, the working cock and his spare are there in every period.
func (pr *programme) addPresence() {
	first := map[season]int{}
	var order []season
	for _, f := range pr.needCocks {
		k := season{f.breed, pr.seasonYear(f.week)}
		if _, ok := first[k]; !ok {
			first[k] = f.week
			order = append(order, k)
		}
	}
	for _, k := range order {
		for p, per := range pr.g.periods {
			mid := per.first + per.weeks/2
			if per.first <= first[k] || mid >= first[k]+measure.SlotsPerYear || pr.cocksOnHand() == 0 && mid < 12 {
				continue
			}
			r := pr.m.Row(fmt.Sprintf("cockshere_%s_%d_%02d", k.breed, k.year, p), math.Inf(-1), 0)
			pr.m.Add(r, pr.seasons[k], pr.cocksAsked(k.year))
			pr.present = append(pr.present, fitRow{k.breed, mid, r})
		}
	}
}

// coveredBySteadyCocks is the eggs fit for setting in a week that the working
// cocks of a steady year cover.
func (pr *programme) coveredBySteadyCocks(s *slot) float64 {
	if !pr.g.cyclic {
		return 0
	}
	return float64(pr.opt.working) * pr.eggsCovered(s.breed, s.strain, s.set)
}

// addSteadyCocks asks for the working cocks and the spare in every period of a
// steady year.
func (pr *programme) addSteadyCocks() {
	if pr.opt.working == 0 || len(pr.fit) == 0 {
		return
	}
	for p, per := range pr.g.periods {
		r := pr.m.Row(fmt.Sprintf("cockshere_%02d", p), math.Inf(-1), -float64(pr.opt.working+pr.h.Means.SpareCocks))
		pr.present = append(pr.present, fitRow{pr.fit[0].breed, per.first + per.weeks/2, r})
	}
}

// cocksAsked is the working cock and his spare; in the first season no more than
// are on hand, since a household with one cock hatches from him and rears the
// spare.
func (pr *programme) cocksAsked(year int) float64 {
	ask := float64(1 + pr.h.Means.SpareCocks)
	if have := pr.cocksOnHand(); have > 0 && year <= pr.years[0] {
		ask = min(ask, have)
	}
	return ask
}

func (pr *programme) cocksOnHand() float64 {
	n := 0
	for _, g := range pr.h.Birds {
		if g.Sex == bird.Cock {
			n += g.Number
		}
	}
	return float64(n)
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

// addColumns writes the columns of one slot.
func (pr *programme) addColumns(i int) {
	s := pr.slots[i]
	bc := batchColumns{exists: none, better: map[int]solve.Col{}}
	if !pr.g.cyclic && s.from != onHand {
		bc.exists = pr.m.Whole("is_"+s.id, pr.batchCost(s), 0, 1)
		pr.flagEffects(s, bc.exists)
		if s.from.eggs() {
			pr.m.Add(pr.hatchesRow(pr.g.periods[pr.g.of[s.set]].year), bc.exists, 1)
		}
	}
	bc.units = pr.addUnits(s, bc.exists)
	pr.cols = append(pr.cols, bc)
	c := &pr.cols[i]
	if s.unitHens > 0 {
		if s.meatOnly {
			pr.addMeatFates(s, c, bird.Hen)
		} else {
			pr.addLayers(s, c)
		}
	}
	if s.unitCocks > 0 {
		pr.addMeatFates(s, c, bird.Cock)
	}
}

// Keepers hatch one to three times a year (common practice).
const hatchesAYear = 3

func (pr *programme) hatchesRow(year int) solve.Row {
	return pr.yearRow(limitHatches, year, func() float64 { return hatchesAYear })
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

// batchCost is the fixed cost of a batch in money: power of machine and
// brooder. (Work is a limit, unless the keeper prices it.)
func (pr *programme) batchCost(s *slot) float64 {
	kWh := 0.0
	if s.from.inMachine() {
		kWh += machineKWh
	}
	if s.arrive-s.hatch < brooderWeeks && !s.from.underHen() && s.from != onHand {
		kWh += brooderKWh
	}
	minutes := 60.0 // preparing pen or machine, cleaning after
	return kWh*pr.h.Prices.PowerPerKWh + minutes/60*pr.h.Needs.PricedMinutes
}

// Power of one hatch in a small machine, and of warming one brood under a plate
// for six weeks (guess).
const (
	machineKWh = 15
	brooderKWh = 25
)

// flagEffects adds what a batch asks for whatever its size: pens, daily work, a
// hen's lost eggs.
func (pr *programme) flagEffects(s *slot, z solve.Col) {
	v := pr.clear()
	work := func(from, to int, minutes float64) {
		for t := from; t < to; t++ {
			if u, ok := pr.g.in(t); ok && t >= 0 {
				p := pr.g.of[u]
				v.minutes[p] += minutes / float64(pr.g.periods[p].weeks)
			}
		}
	}
	switch {
	case s.from.inMachine():
		work(s.set, s.hatch, minutesMachine)
		work(s.hatch, s.hatch+brooderWeeks, minutesPerBrood)
	case s.from.underHen():
		work(s.set, s.hatch+brooderWeeks, minutesPerBrood)
		pr.sitterEffects(s, v)
	case s.arrive == s.hatch:
		work(s.hatch, s.hatch+brooderWeeks, minutesPerBrood)
	}
	pr.post(z)
	for _, u := range pr.penUses(s) {
		pr.takePen(u, s.id, z)
	}
	if s.from.own() && pr.mixed {
		// A pure mating, three weeks apart from other cocks.
		pr.takePen(penUse{s.set - 3, s.set, "mating " + s.breed.Name}, s.id, z)
	}
	if s.arrive == s.hatch && !s.from.underHen() {
		pr.takeBrooder(s, z)
	}
}

// takePen lets a batch occupy a pen for one purpose. Batches of one purpose may
// share it: pullets with pullets, cockerels with cockerels. A pen that is used at
// all is used whole, so each batch pushes the share of the pen to its own flag.
func (pr *programme) takePen(u penUse, id string, z solve.Col) {
	taken := map[int]bool{}
	pr.eachWeek(max(u.from, 0), u.to, func(t int) { taken[pr.g.of[t]] = true })
	for p := range pr.g.periods {
		if !taken[p] {
			continue
		}
		k := penKey{u.who, p}
		g, ok := pr.penInUse[k]
		if !ok {
			g = pr.m.Column(fmt.Sprintf("pen_%s_%02d", strings.ReplaceAll(u.who, " ", "-"), p), 0, 0, 1)
			pr.penInUse[k] = g
			pr.m.Add(pr.pens[p], g, 1)
		}
		r := pr.m.Row(fmt.Sprintf("inpen_%s_%s_%02d", strings.ReplaceAll(u.who, " ", "-"), id, p), math.Inf(-1), 0)
		pr.m.Add(r, z, 1)
		pr.m.Add(r, g, -1)
	}
}

type penKey struct {
	who    string
	period int
}

// broodApart is how long a brood has the brooder to itself: chicks of different
// ages do not share it until the older are four weeks (common practice).
const broodApart = 4

func (pr *programme) takeBrooder(s *slot, z solve.Col) {
	for t := s.hatch; t < s.hatch+broodApart; t++ {
		u, ok := pr.g.in(t)
		if !ok {
			continue
		}
		r, ok := pr.broods[u]
		if !ok {
			r = pr.m.Row(fmt.Sprintf("brood_%d", u), math.Inf(-1), 1)
			pr.broods[u] = r
		}
		pr.m.Add(r, z, 1)
	}
}

type penUse struct {
	from, to int
	who      string
}

// penUses lists the pens beside the layers' that a batch occupies, by phase:
// chicks with their hen (chicks in a brooder need none until six weeks), growing
// birds together until the cockerels are parted at ten weeks, then pullets and
// cockerels apart until they join the layers or are eaten; bought grown birds in
// quarantine.
func (pr *programme) penUses(s *slot) []penUse {
	switch s.from {
	case boughtStarted, boughtCock:
		return []penUse{{s.arrive, s.arrive + quarantine, "quarantine"}}
	}
	start := s.hatch
	who := "growing birds"
	switch {
	case s.from.underHen():
		who = "hen with chicks"
	case pr.h.Means.BrooderChicks > 0:
		start += brooderWeeks
	default:
		who = "chicks"
	}
	if s.meatOnly {
		return []penUse{{start, s.hatch + int(s.breed.ButcherWeeksHigh), "meat birds"}}
	}
	uses := []penUse{{start, s.hatch + partWeeks, who}}
	if s.unitHens > 0 {
		uses = append(uses, penUse{s.hatch + partWeeks, s.hatch + joinWeeks, "pullets"})
	}
	if s.unitCocks > 0.2*s.unitHens {
		uses = append(uses, penUse{s.hatch + partWeeks, s.hatch + joinWeeks, "cockerels"})
	}
	return uses
}

// addUnits writes the size of a batch: eggs set or birds bought. It carries the
// rearing of both sexes until they are parted, and of the pullets until they
// join the layers.
func (pr *programme) addUnits(s *slot, exists solve.Col) solve.Col {
	lo, hi := 0.0, s.most
	if s.from == onHand {
		lo = s.most
	}
	c := pr.m.Column("units_"+s.id, s.price, lo, hi)
	if exists != none {
		r := pr.m.Row("most_"+s.id, math.Inf(-1), 0)
		pr.m.Add(r, c, 1)
		pr.m.Add(r, exists, -s.most)
		if s.least > 0 {
			r = pr.m.Row("least_"+s.id, 0, math.Inf(1))
			pr.m.Add(r, c, 1)
			pr.m.Add(r, exists, -s.least)
		}
	}
	v := pr.clear()
	from := max(s.arrive, 0)
	if pr.g.cyclic {
		from = s.arrive
	}
	if s.unitHens > 0 {
		to := s.pulletsJoin()
		if s.meatOnly {
			to = s.hatch + meatApart(s)
		}
		pr.live(s.hens, s.breed, bird.Hen, s.hatch, from, to, s.unitHens, s.from.underHen())
	}
	if s.unitCocks > 0 {
		pr.live(s.cocks, s.breed, bird.Cock, s.hatch, from, s.hatch+cocksApart(s), s.unitCocks, s.from.underHen())
	}
	if s.from.own() {
		u, _ := pr.g.in(s.set)
		v.eggs[pr.g.of[u]] -= 1
	}
	pr.post(c)
	pr.settingEntries(s, c, exists)
	return c
}

// meatApart is the age until which meat birds live whatever their fate.
func meatApart(s *slot) int { return max(4, int(s.breed.ButcherWeeksLow)-1) }

func cocksApart(s *slot) int {
	if s.meatOnly {
		return meatApart(s)
	}
	return partWeeks
}

func (pr *programme) settingEntries(s *slot, units, exists solve.Col) {
	if s.from.own() {
		for _, r := range pr.fit {
			if r.breed == s.breed.ID && r.week == s.set {
				pr.m.Add(r.row, units, 1)
			}
		}
		for _, r := range pr.cover {
			if r.breed == s.breed.ID && r.week == s.set {
				pr.m.Add(r.row, units, 1)
				if exists != none && pr.h.Means.SpareCocks > 0 {
					// The spare cock covers nobody: it is there for the day the other fails.
					pr.m.Add(r.row, exists, pr.eggsCovered(s.breed, s.strain, s.set)*(pr.cocksAsked(pr.seasonYear(s.set))-1))
				}
				if exists != none {
					within := pr.m.Row("inseason_"+s.id, math.Inf(-1), 0)
					pr.m.Add(within, exists, 1)
					pr.m.Add(within, pr.seasonOf(s), -1)
				}
			}
		}
	}
	if r, ok := pr.spells[s.set]; ok && s.from.underHen() {
		if exists != none {
			pr.m.Add(r, exists, spellsPerSetting)
		} else {
			pr.m.Add(r, units, spellsPerSetting/max(1, s.most))
		}
	}
	if s.from.inMachine() {
		pr.machineEntries(s, units)
	}
}

// More sitters than settings: a setting is planned only where twice as many
// hens can be expected to go broody (common practice, half as many again, taken
// a step further because one hen is no plan).
const spellsPerSetting = 2.0

// machineEntries keeps the machine from being set twice within three weeks
// beyond its places.
func (pr *programme) machineEntries(s *slot, units solve.Col) {
	for t := s.set; t < s.set+incubation; t++ {
		u, ok := pr.g.in(t)
		if !ok {
			continue
		}
		pr.m.Add(pr.machineRow(u), units, 1)
	}
}

func (pr *programme) machineRow(week int) solve.Row {
	if r, ok := pr.machine[week]; ok {
		return r
	}
	r := pr.m.Row(fmt.Sprintf("machine_%d", week), math.Inf(-1), float64(pr.h.Means.MachineEggs))
	pr.machine[week] = r
	return r
}
