package advise

import (
	"errors"
	"fmt"
	"math"

	"henyear/bird"
	"henyear/breed"
	"henyear/course"
	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
	"henyear/plan"
)

// ConfinedWeeks is how long all birds are kept in for the test.
const ConfinedWeeks = plan.ConfinedWeeks

// Confinement is the standing test of a plan: 22 weeks about the shortest day of
// each winter with all birds shut in.
type Confinement struct {
	Weeks   int              `json:"weeks"`
	Holds   bool             `json:"holds"` // in every winter of the plan
	Winters []ConfinedWinter `json:"winters"`
	Summary []plan.Sentence  `json:"summary"`
}

// ConfinedWinter is one winter of the plan.
type ConfinedWinter struct {
	Name   string        `json:"name"` // "2027/28" in the north, "2027" in the south
	From   measure.Date  `json:"from"`
	To     measure.Date  `json:"to"`
	Weeks  int           `json:"weeks"`      // of the 22 that the plan covers
	Birds  float64       `json:"most_birds"` // on the holding at once, over six weeks of age
	FeedKg float64       `json:"feed_kg"`    // bought for all birds in these weeks
	Holds  bool          `json:"holds"`
	Rows   []ConfinedRow `json:"rows"` // fixed order
}

// ConfinedRow is one thing that is asked of a winter indoors.
type ConfinedRow struct {
	Code   string        `json:"code"` // floor, perch, nests, damp, ammonia-free air ("air"), feed, ...
	What   string        `json:"what"`
	Value  float64       `json:"value"`
	Limit  float64       `json:"limit"`
	AtMost bool          `json:"at_most"` // the value may be at most the limit; else at least
	Unit   string        `json:"unit"`
	Holds  bool          `json:"holds"`
	Words  plan.Sentence `json:"words"`
}

// Confined tests every winter of a plan of the holding with all birds shut in. It
// reports an error where the plan is missing or is not of this holding.
func Confined(h *holding.Holding, p *plan.Plan) (*Confinement, error) {
	switch {
	case p == nil || len(p.Weeks) == 0:
		return nil, errors.New("there is no plan yet whose winters could be tried indoors; make the plan first")
	case p.Holding != h.Name:
		return nil, fmt.Errorf("the plan is of %q and the holding is %q; plan this holding first", p.Holding, h.Name)
	}
	c := indoors{h: h, p: p, book: course.New(h, p.Lights, bird.NewRates())}
	out := &Confinement{Weeks: ConfinedWeeks, Holds: true}
	for _, w := range c.winters() {
		winter := c.winter(w)
		out.Holds = out.Holds && winter.Holds
		out.Winters = append(out.Winters, winter)
	}
	out.Summary = confinedWords(out)
	return out, nil
}

// indoors is a plan looked at with all birds shut in.
type indoors struct {
	h    *holding.Holding
	p    *plan.Plan
	book *course.Book
}

// stretch is weeks of the plan, the last excluded, about one shortest day.
type stretch struct{ from, to int }

// winters finds the 22 weeks about each shortest day of which the plan covers at
// least half.
func (c *indoors) winters() []stretch {
	darkest := 50
	if c.h.Place.Climate.Southern() {
		darkest = 24
	}
	var out []stretch
	for t := range c.p.Weeks {
		if measure.WeekOf(c.p.Weeks[t].Date).Slot() != darkest {
			continue
		}
		s := stretch{max(0, t-ConfinedWeeks/2), min(len(c.p.Weeks), t+ConfinedWeeks/2)}
		if n := len(out); n > 0 && s.from < out[n-1].to {
			continue // two weeks of one year may share the slot
		}
		if s.to-s.from >= ConfinedWeeks/2 {
			out = append(out, s)
		}
	}
	return out
}

func (c *indoors) winter(s stretch) ConfinedWinter {
	first, last := &c.p.Weeks[s.from], &c.p.Weeks[s.to-1]
	out := ConfinedWinter{From: first.Date, To: last.Date.AddDays(6), Weeks: s.to - s.from, Holds: true}
	out.Name = fmt.Sprint(out.From.Year)
	if out.To.Year != out.From.Year {
		out.Name = fmt.Sprintf("%d/%02d", out.From.Year, out.To.Year%100)
	}
	most, fullest := first, first
	for t := s.from; t < s.to; t++ {
		w := &c.p.Weeks[t]
		out.FeedKg += w.FeedKg
		out.Birds = max(out.Birds, w.Hens+w.Cocks+w.Growers)
		if w.Hens+w.Cocks > most.Hens+most.Cocks {
			most = w
		}
		if c.floor(w) < c.floor(fullest) {
			fullest = w
		}
	}
	add := func(r ConfinedRow) {
		r.Holds = r.Value <= r.Limit+1e-9
		if !r.AtMost {
			r.Holds = r.Value >= r.Limit-1e-9
		}
		out.Holds = out.Holds && r.Holds
		out.Rows = append(out.Rows, r)
	}
	for _, r := range c.room(fullest, most) {
		add(r)
	}
	for _, r := range c.air(most) {
		add(r)
	}
	add(c.feed(&out))
	return out
}

// floor is that under a roof for each grown bird of a week.
func (c *indoors) floor(w *plan.WeekRow) float64 {
	each, _ := plan.ConfinedFloor(&c.h.Means, w.Hens+w.Cocks, w.Growers)
	return each
}

// room is floor in the fullest week, and perch and nests in that with most grown
// birds. Floor is that under a roof: a bird that never goes out needs more than one
// with a run.
func (c *indoors) room(fullest, w *plan.WeekRow) []ConfinedRow {
	perch, nests := 0.0, 0
	perchKnown, nestsKnown := true, true
	for _, house := range c.h.Means.Houses {
		perch += house.PerchM
		nests += house.Nests
		perchKnown = perchKnown && house.PerchM > 0
		nestsKnown = nestsKnown && house.Nests > 0
	}
	each, missing := plan.ConfinedFloor(&c.h.Means, fullest.Hens+fullest.Cocks, fullest.Growers)
	rows := []ConfinedRow{{Code: "floor", What: "floor under a roof for each grown bird", Value: each, Limit: housing.ConfinedAreaM2, Unit: "m2",
		Words: floorWords(each, missing)}}
	if perchKnown {
		need := housing.SpaceFor("hen", 52, 2.5).PerchM
		have := perch / math.Max(w.Hens+w.Cocks, 1e-9)
		rows = append(rows, ConfinedRow{Code: "perch", What: "perch for each grown bird", Value: have, Limit: need, Unit: "m",
			Words: holdsWords("confined-perch", floorKey, have >= need, "There is perch for all.", fmt.Sprintf("Another %.1f m of perch is wanted.", need*(w.Hens+w.Cocks)-perch))})
	}
	if nestsKnown {
		each := w.Hens / math.Max(float64(nests), 1e-9)
		rows = append(rows, ConfinedRow{Code: "nests", What: "hens to a nest", Value: each, Limit: housing.HensPerNest, AtMost: true, Unit: "hens",
			Words: holdsWords("confined-nests", floorKey, each <= housing.HensPerNest, "There are nests enough.", "More nests are wanted, or eggs are laid on the floor.")})
	}
	return rows
}

func floorWords(each, missing float64) plan.Sentence {
	if missing <= 0 {
		return say("confined-floor-holds", floorKey, map[string]any{"m2_each": each}, "House and covered run give each grown bird %.1f m², enough for a winter indoors.", each)
	}
	return say("confined-floor-fails", floorKey, map[string]any{"m2_each": each, "m2_more": missing},
		"House and covered run give each grown bird %.1f m²; another %.0f m² under a roof and behind netting are wanted, or fewer birds go into the winter.", each, math.Ceil(missing))
}

// Keys of what the limits rest on.
const (
	floorKey   = "extension_space"
	litterKey  = "coop_practice"
	ammoniaKey = "ammonia_birds"
)

func holdsWords(code, source string, holds bool, well, ill string) plan.Sentence {
	if holds {
		return say(code+"-holds", source, nil, "%s", well)
	}
	return say(code+"-fails", source, nil, "%s", ill)
}

// air is the coop by night, with the birds of the plan in it: weeks whose usual
// night cannot be kept dry by any opening, weeks of sharp air, and the litter at the
// end if nobody changes it. Birds that sleep in the house count.
func (c *indoors) air(w *plan.WeekRow) []ConfinedRow {
	n := math.Max(1, w.Hens+w.Cocks)
	weeks := housing.ConfinedWinter(c.book.Coop(), []housing.Occupant{{Kg: c.meanKg(), EggKgDay: 0.02, Count: n}}, c.h.Place.Climate.Year(), ConfinedWeeks, housing.Litter{})
	damp, sharp, litter := 0.0, 0.0, 0.0
	for i := range weeks {
		if weeks[i].Vent.Fog {
			damp++
		}
		if weeks[i].Ammonia.Class == "high" {
			sharp++
		}
		litter = weeks[i].LitterPct
	}
	return []ConfinedRow{
		{Code: "damp", What: "weeks in which birds get damp on a usual night", Value: damp, Limit: 0, AtMost: true, Unit: "weeks",
			Words: holdsWords("confined-damp", litterKey, damp == 0, "With the vents set by the weather the birds stay dry.", "On the coldest nights no opening keeps the birds dry: fewer birds, more openings high under the roof, or insulation.")},
		{Code: "air", What: "weeks of more ammonia than birds should breathe", Value: sharp, Limit: 0, AtMost: true, Unit: "weeks",
			Words: holdsWords("confined-air", ammoniaKey, sharp == 0, "The air stays fit to breathe while the litter is kept dry.", "The air grows sharp: air the house, fork and top up the litter, take out what is caked, with a mask on.")},
		{Code: "litter", What: "moisture of litter that nobody changes, at the end", Value: litter, Limit: housing.LitterCakesPct, AtMost: true, Unit: "%",
			Words: holdsWords("confined-litter", litterKey, litter <= housing.LitterCakesPct, "The litter stays loose.", "The litter would cake: fork it weekly and top it up, or change it once in the winter.")},
	}
}

// meanKg is the weight of a grown hen of the plan, batch by batch.
func (c *indoors) meanKg() float64 {
	kg, n := 0.0, 0.0
	for _, b := range c.p.Batches {
		if r, err := breed.Find(b.Breed); err == nil && r.Purpose != breed.Meat {
			kg += r.HenKg * b.Pullets
			n += b.Pullets
		}
	}
	if n == 0 {
		return 2.5
	}
	return kg / n
}

// feed says what a winter without forage asks for. The plan counts no forage at
// any time, so that nothing is to be added.
func (c *indoors) feed(w *ConfinedWinter) ConfinedRow {
	cost := w.FeedKg * c.h.Prices.FeedPerKg
	return ConfinedRow{Code: "feed", What: "feed for all birds beyond what the plan buys, for want of forage", Value: 0, Limit: 0, AtMost: true, Unit: "kg",
		Words: say("confined-feed", "practice", map[string]any{"kg": w.FeedKg, "cost": cost},
			"The plan counts nothing found on the range, so shutting the birds in adds neither feed nor money to its %.0f kg for %s. Who counts on the range should know that it is not there in these weeks. Give greens and something to do, or they peck each other.",
			w.FeedKg, whole(c.h.Currency, cost))}
}

// confinedWords sums the winters up.
func confinedWords(c *Confinement) []plan.Sentence {
	if len(c.Winters) == 0 {
		return []plan.Sentence{{Code: "confined-no-winter", Text: "The plan covers no winter long enough to be tried indoors."}}
	}
	if c.Holds {
		return []plan.Sentence{say("confined-holds", "plan-confinement", map[string]any{"weeks": c.Weeks},
			"With all birds shut in for %d weeks about the shortest day the plan holds: room, air and feed.", c.Weeks)}
	}
	out := []plan.Sentence{say("confined-fails", "plan-confinement", map[string]any{"weeks": c.Weeks},
		"With all birds shut in for %d weeks about the shortest day not everything holds.", c.Weeks)}
	told := map[string]bool{}
	for _, w := range c.Winters {
		for _, r := range w.Rows {
			if !r.Holds && !told[r.Code] {
				told[r.Code] = true
				words := r.Words
				words.Text = fmt.Sprintf("In the winter of %s: %s", w.Name, words.Text)
				out = append(out, words)
			}
		}
	}
	return append(out, plan.Sentence{Code: "confined-law", Text: "Housing orders are made by the authority; follow its words on roofs, nets and who may visit."})
}
