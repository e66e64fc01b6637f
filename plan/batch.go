package plan

import (
	"math"

	"henyear/bird"
	"henyear/solve"
)

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
	chicks []fate  // sold at hatch, both sexes
	spent  []fate  // hens sold when they leave the layers

	// Rows that every bird started must leave by; -1 where there are none.
	hensGo, cocksGo solve.Row
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

	price float64 // of one sold
}

func (c *batchColumns) betterAt(k int) solve.Col {
	if col, ok := c.better[k]; ok {
		return col
	}
	return none
}

// addColumns writes the columns of one slot.
func (pr *programme) addColumns(i int) {
	s := pr.slots[i]
	bc := batchColumns{exists: none, better: map[int]solve.Col{}, hensGo: -1, cocksGo: -1}
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
	pr.addChickSales(s, c)
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
