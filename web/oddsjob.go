package web

import (
	"context"
	"errors"

	"henyear/advise"
	"henyear/chance"
	"henyear/holding"
	"henyear/plan"
	"henyear/report"
)

// Lots lives a plan through many random years. Its methods may run side by side
// and for a long time; each returns early when its context ends: Odds and
// Matters with the error of the context, Surer with what it has found so far.
// None of them may change the holding or the plan.
type Lots interface {
	Odds(ctx context.Context, h *holding.Holding, p *plan.Plan, told func(done, total int)) (*chance.Odds, error)
	Matters(ctx context.Context, h *holding.Holding, p *plan.Plan, told func(done, total int)) (*chance.Matters, error)
	Surer(ctx context.Context, h *holding.Holding, p *plan.Plan, told advise.SafetyProgress) (*advise.Surer, error)
}

// luck is what the pages show of the odds of a plan.
type luck struct {
	of    int  // number of the plan that the odds are cast for, 0 for none
	rough bool // a better plan was still sought for when they were cast

	odds     *chance.Odds
	matters  *chance.Matters
	confined *advise.Confinement
	surer    *advise.Surer

	casting, sorting, pricing bool // stages that run
	done, total               int  // lives of the stage
	step                      advise.SafetyStep
	fault, sortFault          error
	priceFault                error
	stopped                   bool
}

func (l luck) running() bool { return l.casting || l.sorting || l.pricing }

// answer is what is known of the odds, for another program; nil when nothing is.
func (l luck) answer() *report.OddsAnswer {
	if l.odds == nil {
		return nil
	}
	return &report.OddsAnswer{Format: report.OddsFormat, Odds: l.odds, Matters: l.matters, Surer: l.surer, Confined: l.confined}
}

// castLots begins to live the plan that stands through random years, unless that
// was done or is under way. While a better plan is sought the odds of one plan
// are enough. The channel that it returns closes when the odds are known.
func (j *job) castLots() <-chan struct{} {
	j.mu.Lock()
	defer j.mu.Unlock()
	known := make(chan struct{})
	s := &j.state
	if j.lots == nil || j.closed || s.plan == nil || s.luck.of == s.planNo || s.rough && s.luck.of > 0 {
		close(known)
		return known
	}
	j.dropLots()
	ctx, cancel := context.WithCancel(context.Background())
	j.luckCancel = cancel
	s.luck.of, s.luck.rough = s.planNo, s.rough || s.kept && s.planning
	s.luck.casting, s.luck.stopped = true, false
	s.luck.surer, s.luck.fault, s.luck.sortFault, s.luck.priceFault = nil, nil, nil, nil
	s.round++
	j.tell()
	turn, h, p, rough := j.luckTurn, s.holding, s.plan, s.luck.rough
	j.work.Go(func() { j.runLots(ctx, turn, h, p, rough, known) })
	return known
}

// dropLots ends whatever runs about the odds and drops its late reports. The
// caller holds the lock.
func (j *job) dropLots() {
	j.luckCancel()
	j.priceCancel()
	j.luckTurn++
	l := &j.state.luck
	l.casting, l.sorting, l.pricing = false, false, false
	l.done, l.total = 0, 0
}

// noteLuck changes what is known of the odds, unless the work was replaced.
func (j *job) noteLuck(turn int, change func(*luck)) bool {
	j.mu.Lock()
	defer j.mu.Unlock()
	if turn != j.luckTurn {
		return false
	}
	before := j.state.luck.running()
	odds, matters, surer := j.state.luck.odds, j.state.luck.matters, j.state.luck.surer
	l := &j.state.luck
	change(l)
	if l.odds != odds || l.matters != matters || l.surer != surer || l.running() != before {
		j.state.round++
	}
	j.tell()
	return true
}

// count tells the pages how many lives of a stage are lived.
func (j *job) count(turn int) func(done, total int) {
	return func(done, total int) { j.noteLuck(turn, func(l *luck) { l.done, l.total = done, total }) }
}

func (j *job) runLots(ctx context.Context, turn int, h *holding.Holding, p *plan.Plan, rough bool, known chan<- struct{}) {
	defer close(known)
	odds, err := safely(func() (*chance.Odds, error) { return j.lots.Odds(ctx, h, p, j.count(turn)) })
	confined, _ := safely(func() (*advise.Confinement, error) { return advise.Confined(h, p) })
	sort := err == nil && !rough
	current := j.noteLuck(turn, func(l *luck) {
		l.casting, l.sorting, l.done, l.total = false, sort, 0, 0
		switch {
		case err == nil:
			l.odds, l.confined, l.matters = odds, confined, nil
		case errors.Is(err, context.Canceled):
			l.stopped = true
		default:
			l.odds, l.matters, l.confined, l.fault = nil, nil, nil, err
		}
	})
	if current && sort {
		j.work.Go(func() { j.runMatters(ctx, turn, h, p) })
	}
}

func (j *job) runMatters(ctx context.Context, turn int, h *holding.Holding, p *plan.Plan) {
	matters, err := safely(func() (*chance.Matters, error) { return j.lots.Matters(ctx, h, p, j.count(turn)) })
	j.noteLuck(turn, func(l *luck) {
		l.sorting = false
		if err == nil {
			l.matters = matters
		} else if !errors.Is(err, context.Canceled) {
			l.sortFault = err
		}
	})
}

// price begins to work out what being surer costs, once the plan stands.
func (j *job) price() {
	j.mu.Lock()
	defer j.mu.Unlock()
	s := &j.state
	if j.lots == nil || j.closed || s.plan == nil || s.kept || s.planning || s.luck.pricing {
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	j.priceCancel = cancel
	s.luck.pricing, s.luck.priceFault, s.luck.step = true, nil, advise.SafetyStep{}
	s.round++
	j.tell()
	turn, h, p := j.luckTurn, s.holding, s.plan
	j.work.Go(func() {
		surer, err := safely(func() (*advise.Surer, error) {
			return j.lots.Surer(ctx, h, p, func(step advise.SafetyStep) {
				step.SoFar = nil // not ours beyond this call
				j.noteLuck(turn, func(l *luck) { l.step = step })
			})
		})
		j.noteLuck(turn, func(l *luck) {
			l.pricing = false
			if surer != nil && len(surer.Points) > 0 {
				l.surer = surer
			}
			if err != nil && !errors.Is(err, context.Canceled) {
				l.priceFault = err
			}
		})
	})
}

// follow makes the plan that was chosen from bold and safe ones the plan of the
// household: it is kept, its odds are cast, and later plans are made as surely.
func (j *job) follow() {
	j.mu.Lock()
	s := &j.state
	surer := s.luck.surer
	if surer == nil || surer.Plan == nil || s.planning || j.closed {
		j.mu.Unlock()
		return
	}
	chosen := surer.Plan
	s.plan, s.kept, s.rough, s.worth = chosen, false, false, nil
	s.planNo++
	s.round++
	s.step.Gap = chosen.Gap
	j.tell()
	j.mu.Unlock()
	j.keep(chosen)
	j.castLots()
}

// stopLots ends the work about the odds; what is known stays.
func (j *job) stopLots() {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.luckCancel()
	j.priceCancel()
}

// castAgain casts the odds of the plan that stands once more, after a stop or a
// fault.
func (j *job) castAgain() {
	j.mu.Lock()
	if !j.state.luck.casting {
		j.state.luck.of = 0
	}
	j.mu.Unlock()
	j.castLots()
}

// luckWords says how far the work about the odds is; empty when there is none.
func luckWords(s state) string {
	l := s.luck
	switch {
	case l.casting:
		return say("busy.odds", shareDone(l))
	case l.pricing && l.step.Planned > 0:
		return say("busy.surer.count", report.Number(float64(l.step.Done), 0), report.Number(float64(l.step.Planned), 0))
	case l.pricing:
		return say("busy.surer")
	case l.sorting:
		return say("busy.matters", shareDone(l))
	case s.planning && l.odds == nil:
		return say("busy.odds.later")
	case s.planning:
		return say("busy.odds.better")
	}
	return ""
}

func shareDone(l luck) string {
	if l.total == 0 {
		return report.Percent(0)
	}
	return report.Number(100*float64(l.done)/float64(l.total), 0) + "\u00a0%"
}
