package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"math"
	"sync"

	"henyear/holding"
	"henyear/plan"
)

// state is what the pages show of the work for one version of the holding. A
// page gets a copy; nothing that it points to is changed afterwards.
type state struct {
	holding *holding.Holding
	version string // of the holding
	round   int    // rises with every part that is new; a page shows one round

	plan  *plan.Plan
	kept  bool // the plan is an older one, for the holding as it was then
	rough bool // a better plan may follow
	step  plan.Step

	breeds     []plan.BreedYear
	breedShare float64 // of the breeds that are run
	worth      []plan.Worth

	planning, breeding, weighing   bool // stages that run
	planFault, breedFault, worries error
	stopped                        bool

	planNo int // rises with every plan that is another one
	luck   luck
	better betterment
}

func (s state) running() bool {
	return s.planning || s.breeding || s.weighing || s.luck.running() || s.better.running
}

// job runs the long work and keeps its state. There is one job a server; a new
// version of the holding replaces the work for the old one.
type job struct {
	planner  Planner
	holdings Holdings
	lots     Lots // nil: no odds
	log      *slog.Logger

	mu      sync.Mutex
	state   state
	turn    int // of begin: late reports of replaced work are dropped
	changed chan struct{}
	cancel  context.CancelFunc
	closed  bool
	work    sync.WaitGroup

	luckTurn                int // of the odds, as turn is of begin
	luckCancel, priceCancel context.CancelFunc
	improveCancel           context.CancelFunc
}

func newJob(p Planner, h Holdings, lots Lots, log *slog.Logger) *job {
	none := func() {}
	return &job{planner: p, holdings: h, lots: lots, log: log, changed: make(chan struct{}), cancel: none, luckCancel: none, priceCancel: none, improveCancel: none}
}

// versionOf names a holding by its content.
func versionOf(h *holding.Holding) string {
	b, err := json.Marshal(h)
	if err != nil {
		b = fmt.Appendf(nil, "%#v", *h)
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:8])
}

// snapshot returns the state and a channel that closes at its next change.
func (j *job) snapshot() (state, <-chan struct{}) {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.state, j.changed
}

// begin starts the work for a holding and drops whatever ran before. kept is an
// older plan to show meanwhile, or nil.
func (j *job) begin(h *holding.Holding, kept *plan.Plan) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.cancel()
	j.improveCancel()
	if j.closed {
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	j.cancel = cancel
	j.turn++
	j.dropLots()
	j.state = state{holding: h, version: versionOf(h), round: j.state.round + 1, plan: kept, kept: kept != nil, planning: true, breeding: true, planNo: j.state.planNo + 1}
	j.tell()
	turn := j.turn
	j.work.Go(func() { j.runPlan(ctx, turn, h) })
	j.work.Go(func() { j.runBreeds(ctx, turn, h) })
}

// tell wakes everybody who waits for a change. The caller holds the lock.
func (j *job) tell() {
	close(j.changed)
	j.changed = make(chan struct{})
}

// note changes the state, unless the work was replaced. It reports whether it
// did.
func (j *job) note(turn int, change func(*state)) bool {
	j.mu.Lock()
	defer j.mu.Unlock()
	if turn != j.turn {
		return false
	}
	change(&j.state)
	j.tell()
	return true
}

// showEverySeconds keeps a page from being filled anew with every small step
// of the search.
const showEverySeconds = 2

func (j *job) runPlan(ctx context.Context, turn int, h *holding.Holding) {
	var best *plan.Plan
	shown := math.Inf(-1) // seconds into the search when the pages last got a plan
	p, err := safely(func() (*plan.Plan, error) {
		return j.planner.Plan(ctx, h, func(step plan.Step) {
			j.note(turn, func(s *state) {
				s.step = step
				if step.Best == nil {
					return
				}
				best = step.Best
				if step.Seconds-shown >= showEverySeconds {
					shown = step.Seconds
					s.plan, s.kept, s.rough = best, false, true
					s.planNo++
					s.round++
				}
			})
		})
	})
	if p == nil && best != nil && errors.Is(err, context.Canceled) {
		p, err = best, nil
	}
	weigh := err == nil && p != nil && ctx.Err() == nil
	current := j.note(turn, func(s *state) {
		s.planning, s.rough, s.weighing = false, false, weigh
		s.round++
		if p != nil {
			s.plan, s.kept = p, false
			s.planNo++
			s.step.Gap = p.Gap
		}
		if err != nil && !errors.Is(err, context.Canceled) {
			s.planFault = err
		}
	})
	if !current || p == nil {
		return
	}
	j.keep(p)
	select { // the odds are there within seconds, and come before what takes minutes
	case <-j.castLots():
	case <-ctx.Done():
	}
	if weigh {
		j.runWorth(ctx, turn, h, p)
	}
}

func (j *job) runWorth(ctx context.Context, turn int, h *holding.Holding, p *plan.Plan) {
	worth, err := safely(func() ([]plan.Worth, error) {
		return j.planner.Worth(ctx, h, p, func(step plan.Step) {
			j.note(turn, func(s *state) { s.step = step })
		})
	})
	whole := *p
	whole.Worth = worth
	current := j.note(turn, func(s *state) {
		s.weighing = false
		s.round++
		if err == nil {
			s.worth, s.plan = worth, &whole
		} else if !errors.Is(err, context.Canceled) {
			s.worries = err
		}
	})
	if current && err == nil {
		j.keep(&whole)
	}
}

func (j *job) runBreeds(ctx context.Context, turn int, h *holding.Holding) {
	breeds, err := safely(func() ([]plan.BreedYear, error) {
		// A step's gap is the share of breeds still to run.
		return j.planner.Breeds(ctx, h, func(step plan.Step) {
			j.note(turn, func(s *state) { s.breedShare = 1 - step.Gap })
		})
	})
	j.note(turn, func(s *state) {
		s.breeding = false
		s.round++
		if len(breeds) > 0 {
			s.breeds = breeds
		}
		if err != nil && !errors.Is(err, context.Canceled) {
			s.breedFault = err
		}
	})
}

// safely turns a panic of the work into an error, so that the pages stay.
func safely[T any](work func() (T, error)) (result T, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("the work stopped on a fault of the program: %v", fault)
		}
	}()
	return work()
}

func (j *job) keep(p *plan.Plan) {
	if err := j.holdings.SavePlan(context.Background(), p); err != nil {
		j.log.Error("the plan could not be kept", "error", err)
	}
}

// stop ends the running work; the best plan so far stays.
func (j *job) stop() {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.state.running() {
		j.cancel()
		j.luckCancel()
		j.priceCancel()
		j.improveCancel()
		j.state.stopped = true
		j.tell()
	}
}

// close ends the work and waits for it.
func (j *job) close() {
	j.mu.Lock()
	j.closed = true
	j.cancel()
	j.luckCancel()
	j.priceCancel()
	j.improveCancel()
	j.mu.Unlock()
	j.work.Wait()
}
