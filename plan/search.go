package plan

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

	"henyear/solve"
)

// search finds a good plan of one joint programme and a bound on every plan. It
// goes in four steps:
//
//  1. The relaxation, with the seasons (does the household breed its own, from
//     which year on) kept whole, says where birds are wanted. It bounds all plans.
//  2. The batches that the relaxation spreads over neighbouring weeks are pooled
//     at the heaviest; a small programme over those gives the first plan.
//  3. The solver takes the whole programme with the seasons of step 1 fixed, in
//     a process of its own, and raises the bound. All other season patterns
//     together are bounded by the relaxation with that pattern forbidden.
//  4. Meanwhile the best plan is improved by freeing one year of it, or the
//     weeks around its batches, at a time.
type search struct {
	p        *Planner
	j        *joint
	opt      Options
	lit      bool
	began    time.Time
	progress Progress

	mu        sync.Mutex
	best      []float64
	bestCost  float64
	others    float64 // bound of plans with seasons not tried
	firstSecs float64
	status    string
	gross     float64
	sess      *solve.Session
	tried     []*pattern
	now       *pattern // being explored
	forbidden int      // patterns tried when next was found
	next      []float64
}

// A pattern is the programme with its seasons fixed.
type pattern struct {
	seasons []float64
	model   *solve.Model
	bound   float64 // of plans with these seasons
	rounds  int
}

func newSearch(p *Planner, j *joint, opt Options, lit bool, began time.Time, progress Progress) *search {
	return &search{p: p, j: j, opt: opt, lit: lit, began: began, progress: progress,
		bestCost: math.Inf(1), others: math.Inf(-1), gross: 1, now: &pattern{bound: math.Inf(-1)}}
}

// begin does steps 1 and 2.
func (s *search) begin(ctx context.Context) error {
	if s.opt.Naive {
		s.others = math.Inf(1)
		s.tried = append(s.tried, s.now)
		return nil
	}
	var err error
	if s.sess, err = s.p.engine.Session(ctx); err != nil {
		return err
	}
	return s.first(ctx)
}

// carryOn does steps 3 and 4. Seasons that may still win are explored in the
// order of their bounds, while time is left.
func (s *search) carryOn(ctx context.Context) error {
	if s.opt.Naive {
		return s.whole(ctx, s.j.model, solve.Options{RelGap: s.opt.gap()})
	}
	for ctx.Err() == nil {
		next := s.forbid(ctx)
		open := s.open()
		switch {
		case next != nil && s.mayWin(s.others) && (len(open) == 0 || s.others < open[0].bound):
			if err := s.take(ctx, next); err != nil {
				return err
			}
			continue
		case len(open) == 0:
			s.settle(ctx)
			return nil
		case !s.deterministic() && s.left() < time.Second:
			s.settle(ctx)
			return nil
		}
		rivals := len(open)
		if next != nil && s.mayWin(s.others) {
			rivals++
		}
		s.now = open[0]
		if err := s.explore(ctx, max(1/float64(rivals), 0.6)); err != nil {
			s.settle(ctx)
			return err
		}
		s.now.rounds++
	}
	s.settle(ctx)
	return nil
}

// open lists the patterns tried that may still win and deserve more work, lowest
// bound first.
func (s *search) open() []*pattern {
	var out []*pattern
	for _, p := range s.tried {
		if s.mayWin(p.bound) && !(s.deterministic() && p.rounds > 0) && p.rounds < 3 {
			out = append(out, p)
		}
	}
	slices.SortStableFunc(out, func(x, y *pattern) int {
		switch {
		case x.bound < y.bound:
			return -1
		case x.bound > y.bound:
			return 1
		}
		return 0
	})
	return out
}

// settle says how the search ended.
func (s *search) settle(ctx context.Context) {
	switch {
	case ctx.Err() != nil:
		s.status = "cancelled"
	case s.closeEnough():
		s.status = "within gap"
	case s.deterministic():
		s.status = "work limit"
	default:
		s.status = "stopped by the clock"
	}
}

// mayWin reports whether plans bounded so may still be better than the best by
// more than the gap asked for.
func (s *search) mayWin(bound float64) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return bound < s.bestCost-s.opt.gap()*s.gross
}

// explore gives the chosen seasons to the solver and improves the best plan
// meanwhile.
func (s *search) explore(ctx context.Context, share float64) error {
	if s.deterministic() {
		s.neighbours(ctx, s.now.model)
		return s.whole(ctx, s.now.model, s.mainOptions(share))
	}
	inner, stop := context.WithCancel(ctx)
	defer stop()
	done := make(chan error, 1)
	go func() { done <- s.whole(inner, s.now.model, s.mainOptions(share)) }()
	work, halt := context.WithCancel(inner)
	finished := make(chan struct{})
	go func() {
		defer close(finished)
		for work.Err() == nil {
			if !s.neighbours(work, s.now.model) || s.provenHere() {
				break
			}
		}
		if s.provenHere() {
			stop() // the bound is good enough: nothing more to prove
		}
	}()
	err := <-done
	halt()
	<-finished
	return err
}

// provenHere reports whether the chosen seasons can no longer win by more than
// the gap asked for.
func (s *search) provenHere() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.best != nil && s.bestCost-s.now.bound <= s.opt.gap()*s.gross
}

// finish rounds what must be whole and writes the plan.
func (s *search) finish(ctx context.Context) *Plan {
	s.tidy(ctx)
	return s.plan()
}

func (s *search) end() {
	if s.sess != nil {
		s.sess.Close()
	}
}

// deterministic runs count work, not time, and go step by step.
func (s *search) deterministic() bool { return s.opt.Nodes > 0 }

func (s *search) left() time.Duration {
	return max(300*time.Millisecond, s.opt.limit()-time.Since(s.began))
}

func (s *search) mainOptions(share float64) solve.Options {
	o := solve.Options{Start: slices.Clone(s.best), AbsGap: s.opt.gap() * s.gross}
	if s.best == nil {
		o.Start, o.AbsGap, o.RelGap = nil, 0, s.opt.gap()
	}
	if s.deterministic() {
		o.NodeLimit = s.opt.Nodes
	} else {
		o.TimeLimit = time.Duration(share * float64(s.left()))
		o.HardLimit = o.TimeLimit + time.Second
	}
	return o
}

// small limits the work of a step that is one of many.
func (s *search) small(limit time.Duration) solve.Options {
	if s.deterministic() {
		return solve.Options{NodeLimit: 20, RelGap: 0.003}
	}
	return solve.Options{TimeLimit: min(limit, s.left()), RelGap: 0.003}
}

// allBound is the bound on every plan of the programme.
func (s *search) allBound() float64 {
	bound := min(s.others, s.bestCost)
	for _, p := range s.tried {
		bound = min(bound, p.bound)
	}
	return bound
}

func (s *search) closeEnough() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.best != nil && s.bestCost-s.allBound() <= s.opt.gap()*s.gross
}

// trueCost is answer.trueCost of the best plan.
func (s *search) trueCost(objective float64) float64 {
	return answer{s.j.pr, s.best}.trueCost(objective)
}

func (s *search) tell(stage string) {
	if s.progress == nil {
		return
	}
	s.mu.Lock()
	st := Step{Seconds: time.Since(s.began).Seconds(), Stage: stage, Cost: s.bestCost, Bound: s.allBound()}
	if s.best != nil {
		st.Cost, st.Bound = s.trueCost(st.Cost), s.trueCost(st.Bound)
	}
	if s.best != nil {
		st.Gap = max(0, s.bestCost-s.allBound()) / s.gross
		st.Best = s.plan()
	}
	s.mu.Unlock()
	s.progress(st)
}

// keep takes x for the best plan if it is one and better.
func (s *search) keep(x []float64, cost float64, stage string) bool {
	s.mu.Lock()
	if cost >= s.bestCost-1e-6 || s.j.model.Check(x, 1e-5) != nil {
		s.mu.Unlock()
		return false
	}
	s.best, s.bestCost = slices.Clone(x), cost
	gross, _ := answer{s.j.pr, s.best}.outlay()
	s.gross = max(gross, 1)
	if s.firstSecs == 0 {
		s.firstSecs = time.Since(s.began).Seconds()
	}
	s.mu.Unlock()
	s.tell(stage)
	return true
}

func (s *search) raise(bound float64) {
	s.mu.Lock()
	s.now.bound = max(s.now.bound, bound)
	s.mu.Unlock()
}

// first does steps 1 and 2.
func (s *search) first(ctx context.Context) error {
	pr := s.j.pr
	res, err := s.sess.Solve(ctx, s.j.model, solve.Options{Relax: true})
	if err != nil {
		return err
	}
	if !res.Feasible {
		return fmt.Errorf("the programme has no answer (%s): a fault in the planner", res.Status)
	}
	s.others = res.Objective
	var seasons []float64
	if len(pr.seasonCols) > 0 {
		if seasons, err = s.chooseSeasons(ctx, res.X); err != nil {
			return err
		}
	}
	if s.opt.Start != nil {
		s.fromStart(ctx)
	}
	return s.take(ctx, seasons)
}

// take fixes the seasons and makes a first plan with them.
func (s *search) take(ctx context.Context, seasons []float64) error {
	chosen := s.j.model.Clone()
	for k, col := range s.j.pr.seasonCols {
		chosen.SetBounds(col, seasons[k], seasons[k])
	}
	res, err := s.sess.Solve(ctx, chosen, solve.Options{Relax: true})
	if err != nil {
		return err
	}
	p := &pattern{seasons: seasons, model: chosen, bound: math.Inf(-1)}
	s.mu.Lock()
	s.now = p
	s.tried = append(s.tried, p)
	s.mu.Unlock()
	if !res.Feasible {
		s.raise(math.Inf(1)) // proven: no plan has these seasons
		return nil
	}
	s.raise(res.Objective)
	for _, threshold := range []float64{0.12, 0.3} {
		small := chosen.Clone()
		s.close(small, res.X, threshold)
		if s.solveSmall(ctx, small, 1500*time.Millisecond, "first plan") {
			break
		}
	}
	return nil
}

// solveSmall solves a part of the programme from the best plan so far, and keeps
// each better one as it is found.
func (s *search) solveSmall(ctx context.Context, m *solve.Model, limit time.Duration, stage string) (better bool) {
	o := s.small(limit)
	o.OnBetter = func(x []float64, cost, _, _ float64) {
		if s.keep(x, cost, stage) {
			better = true
		}
	}
	s.mu.Lock()
	if s.best != nil {
		o.Start = slices.Clone(s.best)
	}
	s.mu.Unlock()
	r, err := s.p.engine.Solve(ctx, m, o)
	if err == nil && r.Feasible && s.keep(r.X, r.Objective, stage) {
		better = true
	}
	return better
}

// onlySeasons solves a copy of the programme in which only the seasons are whole.
// Few columns are whole then, and the answer is soon proven.
func (s *search) onlySeasons(ctx context.Context, m *solve.Model) (solve.Result, error) {
	isSeason := map[solve.Col]bool{}
	for _, c := range s.j.pr.seasonCols {
		isSeason[c] = true
	}
	m.KeepWhole(func(c solve.Col) bool { return isSeason[c] })
	o := solve.Options{AbsGap: 0.5}
	if s.deterministic() {
		o.NodeLimit = 200
	} else {
		o.TimeLimit = min(3*time.Second, s.left()/3)
	}
	return s.sess.Solve(ctx, m, o)
}

// chooseSeasons says in which years the household breeds its own.
func (s *search) chooseSeasons(ctx context.Context, relaxed []float64) ([]float64, error) {
	pr := s.j.pr
	res, err := s.onlySeasons(ctx, s.j.model.Clone())
	if err != nil {
		return nil, err
	}
	seasons := make([]float64, len(pr.seasonCols))
	if !res.Feasible {
		for k, c := range pr.seasonCols {
			if relaxed[c] > 0.02 {
				seasons[k] = 1
			}
		}
		return seasons, nil
	}
	s.others = max(s.others, res.Bound)
	for k, c := range pr.seasonCols {
		seasons[k] = math.Round(res.X[c])
	}
	return seasons, nil
}

// forbid bounds all plans whose seasons are none of those tried, and returns the
// most promising of them, nil where there is none.
func (s *search) forbid(ctx context.Context) []float64 {
	pr := s.j.pr
	if len(pr.seasonCols) == 0 {
		s.others = math.Inf(1)
		return nil
	}
	if s.forbidden == len(s.tried) {
		return s.next
	}
	s.forbidden, s.next = len(s.tried), nil
	m := s.j.model.Clone()
	for n, p := range s.tried {
		r := m.Row(fmt.Sprintf("othersthan_%d", n), math.Inf(-1), 0)
		ones := 0.0
		for k, c := range pr.seasonCols {
			if p.seasons[k] > 0.5 {
				ones++
				m.Add(r, c, 1)
			} else {
				m.Add(r, c, -1)
			}
		}
		m.SetRowBounds(r, math.Inf(-1), ones-1)
	}
	res, err := s.onlySeasons(ctx, m)
	if err != nil {
		return nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if res.Status == solve.Infeasible {
		s.others = math.Inf(1)
		return nil
	}
	s.others = max(s.others, res.Bound)
	if !res.Feasible {
		return nil
	}
	s.next = make([]float64, len(pr.seasonCols))
	for k, c := range pr.seasonCols {
		s.next[k] = math.Round(res.X[c])
	}
	return s.next
}

// fromStart uses the flags and whole birds of a former answer.
func (s *search) fromStart(ctx context.Context) {
	x := make([]float64, s.j.model.Columns())
	for c := range x {
		x[c] = s.opt.Start[s.j.model.ColName(solve.Col(c))]
	}
	fixed := s.j.model.Clone()
	fixed.FixWholes(x)
	if r, err := s.sess.Solve(ctx, fixed, solve.Options{Relax: true}); err == nil && r.Feasible {
		s.keep(r.X, r.Objective, "from the plan before")
	}
}

// close bounds the flags of batches by their weight in the relaxation: batches
// of one stock and origin that lie within a month of each other pool their
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
			if !(list[n].w > threshold || heaviest && pool > threshold/2) {
				m.SetBounds(pr.cols[list[n].i].exists, 0, 0)
			}
		}
	}
}

// whole gives a programme to the solver, from the best plan so far.
func (s *search) whole(ctx context.Context, m *solve.Model, o solve.Options) error {
	if s.opt.Naive {
		o.TimeLimit, o.HardLimit, o.NodeLimit = s.left(), s.left()+2*time.Second, s.opt.Nodes
	}
	o.OnBetter = func(x []float64, cost, bound, _ float64) {
		s.raise(bound)
		s.keep(x, cost, "better plan")
	}
	o.OnBound = func(bound, _ float64) { s.raise(bound) }
	res, err := s.p.engine.Solve(ctx, m, o)
	if err != nil {
		s.status = "stopped: " + err.Error()
		return err
	}
	s.raise(res.Bound)
	if res.Status == solve.Infeasible {
		s.raise(math.Inf(1))
	}
	if res.Feasible {
		s.keep(res.X, res.Objective, "better plan")
	}
	if s.opt.Naive {
		s.settle(ctx)
	}
	return nil
}

// neighbours frees parts of the best plan in turn and reports whether any turn
// made it better.
func (s *search) neighbours(ctx context.Context, chosen *solve.Model) bool {
	better := false
	pr := s.j.pr
	var x []float64
	var turns []func(sl *slot, open bool) bool // which flags are free
	turns = append(turns, func(sl *slot, open bool) bool { return open || pr.near(x, sl, 4) })
	for _, y := range pr.years {
		turns = append(turns, func(sl *slot, open bool) bool {
			return pr.yearOf(sl) == y || open && sl.from != ownMachine
		})
	}
	turns = append(turns, func(sl *slot, open bool) bool { return open || pr.near(x, sl, 9) && sl.arrive%4 < 2 })
	for _, free := range turns {
		if ctx.Err() != nil || s.closeEnough() {
			return better
		}
		s.mu.Lock()
		x = s.best
		s.mu.Unlock()
		if x == nil {
			return false
		}
		m := chosen.Clone()
		for i, sl := range pr.slots {
			z := pr.cols[i].exists
			if z == none {
				continue
			}
			if open := x[z] > 0.5; !free(sl, open) {
				v := math.Round(x[z])
				m.SetBounds(z, v, v)
			}
		}
		if s.solveSmall(ctx, m, 1500*time.Millisecond, "better plan") {
			better = true
		}
	}
	return better
}

func (pr *programme) yearOf(s *slot) int {
	u, ok := pr.g.in(s.arrive)
	if !ok {
		return 0
	}
	return pr.g.periods[pr.g.of[u]].year
}

// near reports whether a batch of the answer x begins within some weeks of the
// slot.
func (pr *programme) near(x []float64, sl *slot, weeks int) bool {
	for i, other := range pr.slots {
		z := pr.cols[i].exists
		if z != none && x[z] > 0.5 && other.breed == sl.breed {
			if d := other.arrive - sl.arrive; d >= -weeks && d <= weeks {
				return true
			}
		}
	}
	return false
}

// tidy rounds settings and orders to whole eggs and birds and settles the rest
// again, so that nobody is asked to set 41.3 eggs: to the nearest numbers or the
// next above, and from the better of the two each batch one up and one down.
func (s *search) tidy(ctx context.Context) {
	limit := 3 * time.Second
	if ctx.Err() != nil {
		limit = 300 * time.Millisecond // who stopped the search is waiting
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), limit)
	defer cancel()
	pr := s.j.pr
	m := s.j.model.Clone()
	m.FixWholes(s.best)
	var free []solve.Col
	for i, sl := range pr.slots {
		if sl.from != onHand && s.best[pr.cols[i].units] > 1e-6 {
			free = append(free, pr.cols[i].units)
		} else if sl.from != onHand {
			m.SetBounds(pr.cols[i].units, 0, 0)
		}
	}
	cost := math.Inf(1)
	best := s.best
	try := func() bool {
		r, err := s.p.engine.Solve(ctx, m, solve.Options{Relax: true})
		if err != nil || !r.Feasible || r.Objective >= cost-1e-6 || s.j.model.Check(r.X, 1e-5) != nil {
			return false
		}
		best, cost = r.X, r.Objective
		return true
	}
	for _, round := range []func(float64) float64{math.Round, func(x float64) float64 { return math.Ceil(x - 1e-6) }} {
		for _, col := range free {
			_, most := s.j.model.Bounds(col)
			n := min(round(s.best[col]), math.Floor(most))
			m.SetBounds(col, n, n)
		}
		try()
	}
	if math.IsInf(cost, 1) {
		if best, cost = s.roundOneByOne(ctx, m, free); best == nil {
			return
		}
	}
	for _, col := range free {
		m.SetBounds(col, best[col], best[col])
	}
	for _, col := range free {
		for _, step := range []float64{-1, 1} {
			_, most := s.j.model.Bounds(col)
			n := math.Round(best[col]) + step
			if n < 0 || n > most {
				continue
			}
			m.SetBounds(col, n, n)
			if try() {
				break
			}
		}
		m.SetBounds(col, math.Round(best[col]), math.Round(best[col]))
	}
	s.best, s.bestCost = best, cost
	gross, _ := answer{pr, s.best}.outlay()
	s.gross = max(gross, 1)
}

// roundOneByOne makes batches whole one after the other where all of them at once
// do not fit (eggs fit for setting bound one from above, birds to choose from
// another from below): each to the nearest number that leaves an answer, the rest
// settled again in between. It returns nil where a batch has none.
func (s *search) roundOneByOne(ctx context.Context, m *solve.Model, free []solve.Col) ([]float64, float64) {
	for _, col := range free {
		lo, hi := s.j.model.Bounds(col)
		m.SetBounds(col, lo, hi)
	}
	x, cost := s.best, math.Inf(1)
	for _, col := range free {
		down, up := math.Floor(x[col]+1e-6), math.Ceil(x[col]-1e-6)
		if up-x[col] < x[col]-down {
			down, up = up, down
		}
		settled := false
		for _, n := range []float64{down, up} {
			m.SetBounds(col, n, n)
			r, err := s.p.engine.Solve(ctx, m, solve.Options{Relax: true})
			if err == nil && r.Feasible {
				x, cost, settled = r.X, r.Objective, true
				break
			}
		}
		if !settled {
			return nil, math.Inf(1)
		}
	}
	if s.j.model.Check(x, 1e-5) != nil {
		return nil, math.Inf(1)
	}
	return x, cost
}
