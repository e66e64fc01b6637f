package solve

import (
	"context"
	"errors"
	"io"
	"math"
	"slices"
	"time"
)

// HiGHS's model statuses, by the numbers of its C interface.
const (
	codeOptimal               = 7
	codeInfeasible            = 8
	codeUnboundedOrInfeasible = 9
	codeUnbounded             = 10
	codeTimeLimit             = 13
	codeIterationLimit        = 14
	codeSolutionLimit         = 16
	codeInterrupted           = 17
)

// grace is how long a solver that was asked to stop is waited for.
const grace = 1000 * time.Millisecond

// Solve solves one programme and returns the best answer found, checked. It
// returns within two seconds of the context's end, and by the hard limit. The
// error is for programmes that make no sense and for faults of the solver
// without any answer to show; a programme without answer is no error (see
// Result.Status).
func (e *Engine) Solve(ctx context.Context, m *Model, o Options) (Result, error) {
	return prepared(ctx, m, o, func(p *programme, b *best) (answer, error) {
		if len(e.child) > 0 && p.Matrix.Mixed && (o.softLimit() == 0 || o.softLimit() > childWorthwhile) {
			a, err := e.solveInChild(ctx, p, o, b)
			if !errors.Is(err, errNoChild) {
				return a, err
			}
		}
		g, err := e.newGuest()
		if err != nil {
			return answer{}, err
		}
		a, _, err := g.solve(ctx, p, o, b, true)
		return a, err
	})
}

// prepared freezes the model, runs it and judges the outcome.
func prepared(ctx context.Context, m *Model, o Options, run func(*programme, *best) (answer, error)) (Result, error) {
	begun := time.Now()
	if err := o.sound(len(m.columns)); err != nil {
		return Result{}, err
	}
	p, err := m.freeze()
	if err != nil {
		return Result{}, err
	}
	if o.Relax {
		p = p.relaxed()
	}
	b := newBest(p, o, begun)
	var a answer
	if p.contradiction() != "" {
		a.Contradictory = true
	} else if ctx.Err() == nil {
		a, err = run(p, b)
	}
	r := judge(ctx, p, b, a)
	r.Seconds = time.Since(begun).Seconds()
	if err == nil || ctx.Err() != nil {
		return r, nil
	}
	if !r.Feasible {
		return r, err
	}
	r.Fault = err
	return r, nil
}

// judge makes a result of what the solver said and what was seen while it
// worked. Only answers that passed the check are in b.
func judge(ctx context.Context, p *programme, b *best, a answer) Result {
	if a.HasX {
		b.offer(slices.Clone(a.X))
	}
	if p.Matrix.Mixed && a.Code != 0 {
		b.raise(a.Bound)
	}
	r := Result{Nodes: a.Nodes, Overran: a.Overran, MemoryMiB: a.MemoryMiB}
	r.X, r.Objective, r.Bound = b.close()
	r.Feasible = r.X != nil
	r.Status = a.status(r.Feasible)
	if ctx.Err() != nil && r.Status != Optimal && r.Status != Infeasible && r.Status != Unbounded {
		r.Status = Cancelled
	}
	if r.Status == Optimal && !p.Matrix.Mixed {
		r.Bound = r.Objective
		if a.HasDual {
			r.RowDual, r.ColDual = a.RowDual, a.ColDual
		}
	}
	r.Bound = math.Min(r.Bound, r.Objective)
	if r.Status == Infeasible || r.Status == Unbounded {
		r.X, r.Feasible, r.Objective, r.Bound = nil, false, math.Inf(1), math.Inf(-1)
	}
	return r
}

// status translates the solver's word, and doubts it where it disagrees with
// what was seen.
func (a answer) status(feasible bool) Status {
	switch {
	case a.Contradictory:
		return Infeasible
	case a.UnboundedProven:
		return Unbounded
	case a.Overran:
		return TimeLimit
	}
	switch a.Code {
	case codeOptimal:
		if feasible {
			return Optimal
		}
	case codeInfeasible:
		if !feasible {
			return Infeasible
		}
	case codeUnbounded:
		return Unbounded
	case codeTimeLimit, codeInterrupted:
		return TimeLimit
	case codeIterationLimit, codeSolutionLimit:
		return WorkLimit
	}
	return Unknown
}

// solve runs one programme in this guest. It reports whether the guest can be
// used again; with last it is closed when the run is over, which may be after
// solve has returned, for a guest that does not stop when asked is left behind
// to die at its next look at the clock.
func (g *guest) solve(ctx context.Context, p *programme, o Options, b *best, last bool) (a answer, usable bool, err error) {
	type outcome struct {
		answer answer
		err    error
	}
	done := make(chan outcome, 1)
	go func() {
		a := g.run(p, o, b)
		err := g.err
		if last || err != nil {
			g.close()
		}
		done <- outcome{a, err}
	}()
	ended, stop := ctx.Done(), make(<-chan time.Time)
	if hard := o.hardLimit(); hard > 0 {
		stop = time.After(time.Until(b.begun.Add(hard)))
	}
	for {
		select {
		case r := <-done:
			return r.answer, r.err == nil, r.err
		case <-ended:
			ended = nil
			g.world.hurry()
			stop = time.After(grace)
		case <-stop:
			g.world.cut.Store(true)
			go func() { // should it end in good order after all
				if r := <-done; r.err == nil && !last {
					g.close()
				}
			}()
			return answer{Overran: true}, false, nil
		}
	}
}

// run sets the options, loads the programme and calls the solver, on the
// guest's goroutine.
func (g *guest) run(p *programme, o Options, b *best) answer {
	g.world.console, g.world.better = io.Discard, io.Discard
	mixed := p.Matrix.Mixed
	if mixed {
		g.world.console = boundsIn(b.raise)
		g.world.better = answersIn(len(p.Cost), b.offer)
	}
	g.prepare(p, o)
	if mixed {
		g.prepareSearch(o, len(p.Cost) >= jumpWorthwhile && !b.has())
	}
	g.load(p)
	if o.Start != nil && mixed {
		g.begin(o.Start)
	}
	g.call("Highs_zeroAllClocks", g.highs)
	g.must("Highs_run", g.highs)
	a := g.read(p)
	if a.Code == codeUnboundedOrInfeasible {
		a = g.whichOfTwo(p, a)
	}
	if a.HasX {
		x := slices.Clone(a.X)
		p.snap(x)
		if p.check(x, Tolerance) != nil {
			a = g.mend(p, x, a)
		}
	}
	return a
}

// jumpWorthwhile is the number of columns from which the solver first jumps
// about for any answer: that takes 20 ms even for two columns, which is more
// than the whole solve of a small programme. It is not done either when there
// is an answer to start from.
const jumpWorthwhile = 300

func (g *guest) prepare(p *programme, o Options) {
	limit := aLongTime / 2
	if soft := o.softLimit(); soft > 0 {
		limit = soft
	}
	g.set("output_flag", p.Matrix.Mixed)
	g.set("time_limit", limit.Seconds())
	g.set("random_seed", o.Seed)
}

// prepareSearch sets what matters to programmes with whole columns only.
func (g *guest) prepareSearch(o Options, jump bool) {
	g.set("mip_heuristic_run_feasibility_jump", jump)
	g.set("mip_improving_solution_save", true)
	g.set("mip_improving_solution_file", betterFile)
	g.set("mip_feasibility_tolerance", 1e-8) // so that rounding a flag does not break its row
	g.set("mip_rel_gap", o.RelGap)
	g.set("mip_abs_gap", math.Max(o.AbsGap, 1e-6))
	nodes := int32(math.MaxInt32)
	if o.NodeLimit > 0 {
		nodes = int32(min(o.NodeLimit, math.MaxInt32))
	}
	g.set("mip_max_nodes", nodes)
	effort := 0.05
	if o.Heuristics > 0 {
		effort = o.Heuristics
	}
	g.set("mip_heuristic_effort", effort)
}

// whichOfTwo settles "unbounded or infeasible" by asking for any answer at all,
// at no cost.
func (g *guest) whichOfTwo(p *programme, a answer) answer {
	free := *p
	free.Cost = make([]float64, len(p.Cost))
	free.model = nil // never taken for the model itself
	g.world.console, g.world.better = io.Discard, io.Discard
	g.load(&free)
	g.must("Highs_run", g.highs)
	if second := g.read(&free); second.Code == codeInfeasible {
		a.Code = codeInfeasible
	} else if second.Code == codeOptimal {
		a.UnboundedProven = true
	}
	return a
}

// mend finds anew what an answer needs that nearly passed the check. Where
// whole columns were a hair off and are now exactly whole, a row may be short by
// a little; so with them fixed the other columns are chosen again, to a finer
// tolerance. Where that leaves nothing (a flag of a millionth carried a bird of a
// millionth), the columns that were a hair above a whole number are tried at the
// next one.
func (g *guest) mend(p *programme, x []float64, a answer) answer {
	up := func(v float64) float64 { return math.Ceil(v - 1e-9) }
	for _, whole := range []func(float64) float64{math.Round, up} {
		if mended := g.settle(p, x, whole, a); mended.HasX && p.check(mended.X, Tolerance) == nil {
			return mended
		}
	}
	return a
}

// settle fixes the whole columns and solves for the others.
func (g *guest) settle(p *programme, x []float64, whole func(float64) float64, a answer) answer {
	fixed := p.relaxed()
	fixed.ColLo, fixed.ColHi, fixed.model = slices.Clone(p.ColLo), slices.Clone(p.ColHi), nil
	for j, isWhole := range p.Matrix.Whole {
		if isWhole {
			v := math.Min(whole(x[j]), p.ColHi[j])
			fixed.ColLo[j], fixed.ColHi[j] = v, v
		}
	}
	g.world.console, g.world.better = io.Discard, io.Discard
	const tolerance = "primal_feasibility_tolerance"
	g.set(tolerance, 1e-9)
	g.load(fixed)
	g.call("Highs_zeroAllClocks", g.highs)
	g.must("Highs_run", g.highs)
	second := g.read(fixed)
	g.set(tolerance, 1e-7)
	a.HasX = second.HasX
	if second.HasX {
		a.X = second.X
		if !p.Matrix.Mixed {
			a.RowDual, a.ColDual, a.HasDual = second.RowDual, second.ColDual, second.HasDual
		}
	}
	return a
}
