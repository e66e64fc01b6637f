package plan

import (
	"context"
	"errors"
	"io"
	"slices"
	"time"

	"henyear/breed"
	"henyear/course"
	"henyear/holding"
	"henyear/measure"
	"henyear/solve"
)

// Planner computes plans with one solver. It is safe for use by several
// goroutines.
type Planner struct {
	engine *solve.Engine
}

// New makes a planner on a prepared solver.
func New(engine *solve.Engine) *Planner { return &Planner{engine} }

// ErrNothingToPlan says that a holding has neither birds nor any way to get
// them.
var ErrNothingToPlan = errors.New("there is nothing to plan: the holding has no birds on hand and no stock that can be had; add a [[birds]] or a [[stock]] table")

// asOf is the day from which the plan counts.
func asOf(h *holding.Holding, opt Options) (measure.Date, error) {
	d := opt.AsOf
	if d.IsZero() {
		d = h.AsOf
	}
	if d.IsZero() {
		return d, errors.New("the day from which to plan is not known: give as_of in the holding, or --as-of")
	}
	return d, nil
}

// stocksOf lists the stocks that can take part: those on hand and those on
// offer.
func stocksOf(h *holding.Holding) []stock {
	var out []stock
	add := func(id string, st breed.Strain) {
		for _, s := range out {
			if s.breed.ID == id && s.strain == st {
				return
			}
		}
		b, err := breed.Find(id)
		if err != nil {
			return
		}
		out = append(out, stock{breed: b, strain: st})
	}
	for _, g := range h.Birds {
		add(g.Breed, g.Strain)
	}
	for _, o := range h.Stock {
		add(o.Breed, o.Strain)
	}
	return out
}

// A joint is the programme of one holding under one light scheme.
type joint struct {
	pr    *programme
	model *solve.Model
}

func (p *Planner) build(h *holding.Holding, opt Options, lit bool) (*joint, error) {
	day, err := asOf(h, opt)
	if err != nil {
		return nil, err
	}
	stocks := stocksOf(h)
	if len(stocks) == 0 {
		return nil, ErrNothingToPlan
	}
	book := course.New(h, lit, opt.rates())
	pr := newProgramme(h, book, opt, newGrid(day, opt.Naive), stocks)
	if lit {
		pr.m.Offset(lightsCost(h) * float64(pr.g.weeks) / measure.SlotsPerYear)
	}
	return &joint{pr, pr.m}, nil
}

// lightsCost is the power of lamps for a year: 10 W for five hours a day in the
// dark half of the year, and a lamp (guess).
func lightsCost(h *holding.Holding) float64 { return 10*h.Prices.PowerPerKWh + 4 }

// schemes lists the light schemes that may be used.
func schemes(h *holding.Holding, opt Options) []bool {
	switch {
	case opt.Lights == "none":
		return []bool{false}
	case opt.Lights == "on" || h.Means.Lights == "on":
		return []bool{true}
	case h.Means.Lights == "possible":
		return []bool{false, true}
	}
	return []bool{false}
}

// WriteMPS writes the programme of the holding in free MPS, as it is solved.
func (p *Planner) WriteMPS(w io.Writer, h *holding.Holding, opt Options) error {
	j, err := p.build(h, opt, schemes(h, opt)[0])
	if err != nil {
		return err
	}
	return j.model.WriteMPS(w)
}

// Plan solves the joint programme of the holding. Where the keeper leaves the
// lights open, each scheme is a programme of its own: both get a first plan, the
// one that can no longer win is dropped, and the better gets the time. progress
// may be nil. When ctx ends, the best plan so far is returned with status
// "cancelled"; an error is returned only where there is none.
func (p *Planner) Plan(ctx context.Context, h *holding.Holding, opt Options, progress Progress) (*Plan, error) {
	began := time.Now()
	var open []*search
	for _, lit := range schemes(h, opt) {
		j, err := p.build(h, opt, lit)
		if err != nil {
			return nil, err
		}
		open = append(open, newSearch(p, j, opt, lit, began, progress))
	}
	var failed error
	for _, s := range open {
		if err := s.begin(ctx); err != nil {
			failed = err
		}
	}
	defer func() {
		for _, s := range open {
			s.end()
		}
	}()
	slices.SortStableFunc(open, func(x, y *search) int {
		switch {
		case x.bestCost < y.bestCost:
			return -1
		case x.bestCost > y.bestCost:
			return 1
		}
		return 0
	})
	best := open[0]
	for n, s := range open {
		if n > 0 && s.allBound() >= best.bestCost {
			continue // proven: this scheme cannot win
		}
		if n > 0 && !s.deterministic() && s.left() < time.Second {
			continue
		}
		if err := s.carryOn(ctx); err != nil {
			failed = err
		}
		if s.bestCost < best.bestCost {
			best = s
		}
	}
	if best.best == nil {
		if failed == nil {
			failed = ctx.Err()
		}
		if failed == nil {
			failed = errors.New("the solver found no plan in the time it was given; allow more seconds")
		}
		return nil, failed
	}
	out := best.finish(ctx)
	for _, s := range open {
		out.Bound = min(out.Bound, best.trueCost(s.allBound()))
	}
	if out.GrossOutlay > 0 {
		out.Gap = max(0, out.Cost-out.Bound) / out.GrossOutlay
	}
	out.SolveSeconds = time.Since(began).Seconds()
	return out, nil
}
