package plan

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
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

// search finds a good plan of one joint programme: first by rounding the
// relaxation, then by the solver from that start.
type search struct {
	p        *Planner
	j        *joint
	opt      Options
	lit      bool
	began    time.Time
	progress Progress

	best      []float64
	bestCost  float64
	bound     float64
	firstSecs float64
	status    string
}

func (s *search) run(ctx context.Context) (*Plan, error) {
	s.bestCost, s.bound = math.Inf(1), math.Inf(-1)
	if !s.opt.Naive {
		if err := s.first(ctx); err != nil && ctx.Err() == nil {
			return nil, err
		}
	}
	if err := s.improve(ctx); err != nil && s.best == nil {
		return nil, err
	}
	if s.best == nil {
		return nil, errors.New("the solver found no plan in the time it was given; allow more seconds")
	}
	s.tidy(ctx)
	return s.plan(), nil
}

// gross is the outlay of the best plan, against which gaps are stated.
func (s *search) gross() float64 {
	g, _ := answer{s.j.pr, s.best}.outlay()
	return max(g, 1)
}

func (s *search) tell(stage string) {
	if s.progress == nil {
		return
	}
	st := Step{Seconds: time.Since(s.began).Seconds(), Stage: stage, Cost: s.bestCost, Bound: s.bound}
	if s.best != nil {
		st.Gap = max(0, s.bestCost-s.bound) / s.gross()
		st.Best = s.plan()
	}
	s.progress(st)
}

// keep takes x for the best plan if it is one and better.
func (s *search) keep(x []float64, cost float64) bool {
	if cost >= s.bestCost-1e-9 || s.j.model.Check(x, 1e-5) != nil {
		return false
	}
	s.best, s.bestCost = slices.Clone(x), cost
	if s.firstSecs == 0 {
		s.firstSecs = time.Since(s.began).Seconds()
	}
	return true
}

// first makes a plan quickly: the relaxation says where birds are wanted; of the
// batches it splits over neighbouring weeks the heaviest are opened, the rest
// closed, and what is left is solved again as a small programme.
func (s *search) first(ctx context.Context) error {
	sess, err := s.p.engine.Session(ctx)
	if err != nil {
		return err
	}
	defer sess.Close()
	res, err := sess.Solve(ctx, s.j.model, solve.Options{Relax: true})
	if err != nil {
		return err
	}
	if !res.Feasible {
		return fmt.Errorf("the programme has no answer (%s): a fault in the planner", res.Status)
	}
	s.bound = res.Objective
	if s.opt.Start != nil {
		s.fromStart(ctx, sess)
	}
	for _, threshold := range []float64{0.3, 0.15} {
		small := s.j.model.Clone()
		s.close(small, res.X, threshold)
		r, err := s.p.engine.Solve(ctx, small, solve.Options{TimeLimit: 1500 * time.Millisecond, RelGap: 0.01})
		if err == nil && r.Feasible && s.keep(r.X, r.Objective) {
			s.tell("first plan")
			break
		}
	}
	return nil
}

// fromStart uses the flags and whole birds of a former answer.
func (s *search) fromStart(ctx context.Context, sess *solve.Session) {
	x := make([]float64, s.j.model.Columns())
	for c := range x {
		x[c] = s.opt.Start[s.j.model.ColName(solve.Col(c))]
	}
	fixed := s.j.model.Clone()
	fixed.FixWholes(x)
	if r, err := sess.Solve(ctx, fixed, solve.Options{Relax: true}); err == nil && r.Feasible {
		if s.keep(r.X, r.Objective) {
			s.tell("from the plan before")
		}
	}
}

// close bounds the flags of batches by their weight in the relaxation: batches
// of one stock and origin that lie within six weeks of each other pool their
// weight at the heaviest of them.
func (s *search) close(m *solve.Model, x []float64, threshold float64) {
	pr := s.j.pr
	type weight struct {
		i int
		w float64
	}
	groups := map[string][]weight{}
	var order []string
	for i, sl := range pr.slots {
		if pr.cols[i].exists == none {
			continue
		}
		k := fmt.Sprint(sl.breed.ID, sl.strain, int(sl.from))
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], weight{i, x[pr.cols[i].units] / max(1, sl.most)})
	}
	for _, k := range order {
		list := groups[k]
		open := make([]bool, len(list))
		for n := range list {
			pool, heaviest := 0.0, true
			for q := range list {
				apart := pr.slots[list[q].i].arrive - pr.slots[list[n].i].arrive
				if apart >= -4 && apart <= 4 {
					pool += list[q].w
					if list[q].w > list[n].w || list[q].w == list[n].w && q < n {
						heaviest = false
					}
				}
			}
			open[n] = list[n].w > threshold || heaviest && pool > threshold/3
		}
		for n := range list {
			if !open[n] {
				m.SetBounds(pr.cols[list[n].i].exists, 0, 0)
			}
		}
	}
}

// improve gives the whole programme to the solver, from the best plan so far.
func (s *search) improve(ctx context.Context) error {
	left := s.opt.limit() - time.Since(s.began)
	if left < 200*time.Millisecond {
		left = 200 * time.Millisecond
	}
	o := solve.Options{TimeLimit: left, HardLimit: left + 2*time.Second, NodeLimit: s.opt.Nodes, Start: s.best}
	if s.best != nil {
		o.AbsGap = s.opt.gap() * s.gross()
	} else {
		o.RelGap = s.opt.gap()
	}
	o.OnBetter = func(x []float64, cost, bound, _ float64) {
		s.bound = max(s.bound, bound)
		if s.keep(x, cost) {
			s.tell("better plan")
		}
	}
	o.OnBound = func(bound, _ float64) {
		if bound > s.bound {
			s.bound = bound
		}
	}
	res, err := s.p.engine.Solve(ctx, s.j.model, o)
	if err != nil {
		s.status = "stopped: " + err.Error()
		return err
	}
	s.bound = max(s.bound, res.Bound)
	if res.Feasible {
		s.keep(res.X, res.Objective)
	}
	switch res.Status {
	case solve.Optimal:
		s.status = "within gap"
	case solve.WorkLimit:
		s.status = "work limit"
	case solve.Cancelled:
		s.status = "cancelled"
	case solve.TimeLimit:
		s.status = "stopped by the clock"
	default:
		s.status = res.Status.String()
	}
	return nil
}

// tidy rounds settings and orders to whole eggs and birds and settles the rest
// again, so that nobody is asked to set 41.3 eggs.
func (s *search) tidy(ctx context.Context) {
	m := s.j.model.Clone()
	m.FixWholes(s.best)
	whole := false
	for i, sl := range s.j.pr.slots {
		col := s.j.pr.cols[i].units
		if sl.from == onHand {
			continue
		}
		x := s.best[col]
		lo, hi := m.Bounds(col)
		n := math.Ceil(x - 1e-6)
		if n > hi {
			n = math.Floor(hi)
		}
		if math.Abs(n-x) > 1e-9 {
			whole = true
		}
		_ = lo
		m.SetBounds(col, n, n)
	}
	if !whole {
		return
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 3*time.Second)
	defer cancel()
	r, err := s.p.engine.Solve(ctx, m, solve.Options{Relax: true})
	if err != nil || !r.Feasible || s.j.model.Check(r.X, 1e-5) != nil {
		return
	}
	s.best, s.bestCost = r.X, r.Objective
}
