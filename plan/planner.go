package plan

import (
	"context"
	"errors"
	"io"
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
// offer. A cock is to be had where one is on hand, can be hatched with the
// chicks, or is on offer.
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
		out = append(out, stock{breed: b, strain: st, cockToBeHad: true})
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

// Plan solves the joint programme of the holding. With two light schemes open
// both are solved and the cheaper is returned. progress may be nil. When ctx
// ends, the best plan so far is returned with status "cancelled"; an error is
// returned only where there is none.
func (p *Planner) Plan(ctx context.Context, h *holding.Holding, opt Options, progress Progress) (*Plan, error) {
	var best *Plan
	var firstErr error
	began := time.Now()
	open := schemes(h, opt)
	share := opt
	share.TimeLimit = opt.limit() / time.Duration(len(open))
	for _, lit := range open {
		pl, err := p.planScheme(ctx, h, share, lit, progress)
		if err != nil {
			firstErr = err
			continue
		}
		if best == nil || pl.Cost < best.Cost {
			if best != nil {
				pl.Bound = min(pl.Bound, best.Bound)
			}
			best = pl
		} else {
			best.Bound = min(best.Bound, pl.Bound)
		}
	}
	if best == nil {
		return nil, firstErr
	}
	if best.GrossOutlay > 0 {
		best.Gap = max(0, best.Cost-best.Bound) / best.GrossOutlay
	}
	best.SolveSeconds = time.Since(began).Seconds()
	return best, nil
}

func (p *Planner) planScheme(ctx context.Context, h *holding.Holding, opt Options, lit bool, progress Progress) (*Plan, error) {
	j, err := p.build(h, opt, lit)
	if err != nil {
		return nil, err
	}
	s := &search{p: p, j: j, opt: opt, lit: lit, began: time.Now(), progress: progress}
	out, err := s.run(ctx)
	if err != nil {
		return nil, err
	}
	return out, nil
}
