package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"henyear/advise"
	"henyear/holding"
	"henyear/plan"
	"henyear/solve"
	"henyear/store"
	"henyear/web"
)

// bookRates names the rates of lay, growth and loss that a plan is reckoned
// with as long as they all come from the book and none from own records.
const bookRates = "book"

// keptHoldings lets the pages keep their holding and plans in the data file.
type keptHoldings struct {
	file *store.Store
}

var _ web.Holdings = keptHoldings{}

// Current reads the holding saved last.
func (k keptHoldings) Current(ctx context.Context) (*holding.Holding, error) {
	saved, err := k.file.CurrentHolding(ctx)
	if errors.Is(err, store.ErrNone) {
		return nil, web.ErrNoHolding
	}
	if err != nil {
		return nil, err
	}
	h, _, err := parseHolding(saved.TOML, "the saved holding", noDate)
	return h, err
}

// Save keeps a holding under the identifier that the file's holding has.
func (k keptHoldings) Save(ctx context.Context, h *holding.Holding) error {
	id := store.NewID()
	switch current, err := k.file.CurrentHolding(ctx); {
	case err == nil:
		id = current.ID
	case !errors.Is(err, store.ErrNone):
		return err
	}
	_, err := k.file.SaveHolding(ctx, id, h.Write(), time.Now())
	return err
}

// SavePlan keeps a plan with the holding it was made for.
func (k keptHoldings) SavePlan(ctx context.Context, p *plan.Plan) error {
	current, err := k.file.CurrentHolding(ctx)
	if err != nil {
		return err
	}
	text, err := json.Marshal(p)
	if err != nil {
		return err
	}
	_, err = k.file.SavePlan(ctx, store.Plan{
		HoldingRevision: current.Revision, RatesVersion: bookRates, JSON: text, AcceptedAt: time.Now(),
	})
	return err
}

// planFormat is the newest form of a plan's JSON that this program reads.
const planFormat = 1

// LatestPlan reads the plan kept last.
func (k keptHoldings) LatestPlan(ctx context.Context) (*plan.Plan, error) {
	saved, err := k.file.LatestPlan(ctx)
	if errors.Is(err, store.ErrNone) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var p plan.Plan
	if err := json.Unmarshal(saved.JSON, &p); err != nil {
		return nil, fmt.Errorf("plan number %d cannot be read: %w", saved.Revision, err)
	}
	if p.Format > planFormat {
		return nil, fmt.Errorf("plan number %d was made by a newer henyear", saved.Revision)
	}
	return &p, nil
}

// pagePlanner reckons for the pages. The solver may still be getting ready when
// the first page is shown.
type pagePlanner struct {
	solver  *solve.Pending
	options plan.Options
	plans   keptHoldings
}

var (
	_ web.Planner = pagePlanner{}
	_ web.Lots    = pageLots{}
)

func (p pagePlanner) planner(ctx context.Context) (*plan.Planner, error) {
	engine, err := p.solver.Wait(ctx)
	if err != nil {
		return nil, err
	}
	return plan.New(engine), nil
}

// Plan plans the flock, as surely as the plan that was followed last.
func (p pagePlanner) Plan(ctx context.Context, h *holding.Holding, told plan.Progress) (*plan.Plan, error) {
	planner, err := p.planner(ctx)
	if err != nil {
		return nil, err
	}
	o := p.options
	if last, err := p.plans.LatestPlan(ctx); err == nil && last != nil {
		o.Margin = marginOf(last)
	}
	return patiently(ctx, o, func(ctx context.Context, o plan.Options) (*plan.Plan, error) { return planner.Plan(ctx, h, o, told) })
}

// marginOf is the margin that a plan was made with.
func marginOf(p *plan.Plan) plan.Margin {
	return plan.Margin{Eggs: p.Margin.Eggs, Hatch: p.Margin.Hatch}
}

// Breeds runs the household's year with each breed.
func (p pagePlanner) Breeds(ctx context.Context, h *holding.Holding, told plan.Progress) ([]plan.BreedYear, error) {
	planner, err := p.planner(ctx)
	if err != nil {
		return nil, err
	}
	return planner.Breeds(ctx, h, p.options, told)
}

// openPages makes the pages of a data file and begins to plan for them. Closing
// the server ends the work behind them.
func openPages(ctx context.Context, file *store.Store, o plan.Options, devices *web.Devices, faults *slog.Logger) (*web.Server, error) {
	solver := solve.Prepare(solve.DefaultCacheDir())
	planner := pagePlanner{solver, o, keptHoldings{file}}
	server := web.NewServer(web.Options{
		Planner:  planner,
		Lots:     pageLots{planner},
		Holdings: keptHoldings{file},
		Evidence: gather,
		Notices:  gathered + solve.Notices(),
		Daybook:  file,
		Devices:  devices,
		Today:    today,
		Log:      faults,
	})
	if err := server.Start(ctx); err != nil {
		server.Close()
		if errors.Is(err, web.ErrNoHolding) {
			err = badInput{errors.New("nothing has been saved yet; start with a holding file: henyear serve holding.toml")}
		}
		return nil, err
	}
	return server, nil
}

// Worth says what changes would be worth.
func (p pagePlanner) Worth(ctx context.Context, h *holding.Holding, best *plan.Plan, told plan.Progress) ([]plan.Worth, error) {
	planner, err := p.planner(ctx)
	if err != nil {
		return nil, err
	}
	o := p.options
	o.Margin = marginOf(best)
	return advise.Worth(ctx, planner, h, best, o, told)
}

// Improve says what bettering the place would be worth.
func (p pagePlanner) Improve(ctx context.Context, h *holding.Holding, best *plan.Plan, prices map[string]float64, told plan.Progress) ([]advise.Improvement, error) {
	planner, err := p.planner(ctx)
	if err != nil {
		return nil, err
	}
	o := p.options
	o.Margin = marginOf(best)
	return advise.Improve(ctx, planner, h, best, o, prices, told)
}
