package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"henyear/advise"
	"henyear/bird"
	"henyear/breed"
	"henyear/climate"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
	"henyear/source"
	"henyear/store"
)

func readJSON(t testing.TB, name string, into any) {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

func madeUpPlan(t testing.TB) *plan.Plan {
	p := new(plan.Plan)
	readJSON(t, "../report/testdata/plan.json", p)
	return p
}

// madeUpHolding is a household in a wet valley at 52 N; everything is invented.
func madeUpHolding() *holding.Holding {
	all := [12]bool{true, true, true, true, true, true, true, true, true, true, true, true}
	summer := [12]bool{2: true, 3: true, 4: true, 5: true, 6: true, 7: true, 8: true, 9: true}
	winter := [12]bool{0: true, 1: true, 10: true, 11: true}
	return &holding.Holding{
		Name: "Alder Valley", AsOf: measure.Date{Year: 2026, Month: 1, Day: 1}, TimeZone: "Europe/Brussels",
		Currency: measure.Currency{Code: "EUR", Exponent: 2}, Units: measure.Metric,
		Place: holding.Place{
			Climate: climate.Place{Name: "Alder Valley", LatitudeDeg: 52, LongitudeDeg: 5.8, AltitudeM: 120,
				MaxC:        [12]float64{7, 7.5, 10.5, 14, 17.5, 20.5, 22.5, 22.3, 19, 14.8, 10.2, 7.6},
				MinC:        [12]float64{1, 1, 2.6, 4.6, 7.8, 10.6, 12.6, 12.4, 10, 7.3, 4, 1.8},
				HumidityPct: [12]float64{87, 84, 80, 75, 74, 75, 76, 78, 81, 84, 87, 88},
				RainMM:      [12]float64{100, 75, 75, 60, 70, 70, 75, 80, 85, 100, 105, 105}, ExtremeMinC: -8},
			WetGround: true, GroundPredators: holding.Some, AirPredators: holding.Some, Cover: holding.Some, LockedAtNight: true,
			PastureM2: 600, PastureMonths: summer, MaxBirds: -1, MaxCocks: -1},
		Means: holding.Means{Houses: []holding.House{{Name: "Hen house", AreaM2: 6, Pens: 4}}, CoveredRunM2: 14, BrooderChicks: 30, GrowOutM2: 6, MachineEggs: 24, BroodyHens: true,
			FreezerL: 120, MinutesADay: 25, ButcherDaysAYear: 3, ButcherBirdsADay: 12, Lights: "none", WillKill: true, SpareCocks: 1, FeedWaste: 0.1, EggLoss: 0.04,
			Away: []holding.Away{{From: measure.Date{Year: 2026, Month: 7, Day: 24}, To: measure.Date{Year: 2026, Month: 8, Day: 6}}}},
		Needs: holding.Needs{Eggs: []holding.EggNeed{{Months: summer, PerWeek: 24}, {Months: winter, PerWeek: 15}}, TableBirds: 20, TableBirdMinKg: 1.2,
			EggSales: []holding.EggSale{{Months: summer, DozensPerWeek: 2, PricePerDozen: 3}}, SelfRenewing: true, RiskShare: 0.2, RiskShortWeeks: 2},
		Stock:  []holding.Offer{{Breed: "sussex", Strain: breed.Utility, Form: holding.HatchingEggs, Price: 1.5, SmallestOrder: 12, Months: all}},
		Prices: holding.Prices{FeedPerKg: 0.5, ChickFeedPerKg: 0.62, ShopEggsPerDozen: 3.6, ShopChickenPerKg: 8.5, BeddingPerBirdYear: 2.5, PowerPerKWh: 0.3, FixedPerYear: 60},
		Birds: []holding.Group{
			{ID: "pullets-2025", Breed: "sussex", Strain: breed.Utility, Sex: bird.Hen, Hatched: measure.Date{Year: 2025, Month: 3, Day: 20}, Number: 8},
			{ID: "cocks-2025", Breed: "sussex", Strain: breed.Utility, Sex: bird.Cock, Hatched: measure.Date{Year: 2025, Month: 3, Day: 20}, Number: 2}},
	}
}

// written is a planner that gives a plan written beforehand. hold keeps it at
// work until the channel closes or the work is stopped.
type written struct {
	plan   *plan.Plan
	breeds []plan.BreedYear
	hold   chan struct{}
	fault  error
}

func (w *written) wait(ctx context.Context) error {
	if w.hold == nil {
		return nil
	}
	select {
	case <-w.hold:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (w *written) Plan(ctx context.Context, _ *holding.Holding, report plan.Progress) (*plan.Plan, error) {
	if w.fault != nil {
		return nil, w.fault
	}
	if w.plan == nil {
		return nil, errors.Join(w.wait(ctx), context.Canceled)
	}
	first := *w.plan
	first.Worth, first.Gap = nil, 0.032
	report(plan.Step{Seconds: 1.4, Gap: 0.032, Best: &first})
	if err := w.wait(ctx); err != nil {
		first.Status = "cancelled"
		return &first, nil
	}
	done := *w.plan
	done.Worth = nil
	return &done, nil
}

func (w *written) Breeds(ctx context.Context, _ *holding.Holding, _ plan.Progress) ([]plan.BreedYear, error) {
	if err := w.wait(ctx); err != nil {
		return nil, err
	}
	return w.breeds, nil
}

func (w *written) Worth(_ context.Context, _ *holding.Holding, p *plan.Plan, _ plan.Progress) ([]plan.Worth, error) {
	return w.plan.Worth, nil
}

func (w *written) Improve(_ context.Context, _ *holding.Holding, _ *plan.Plan, prices map[string]float64, _ plan.Progress) ([]advise.Improvement, error) {
	net := advise.Improvement{Worth: plan.Worth{Code: "netting", What: "a net over 100 m2 more of the range", Low: 12, High: 40, Known: true, Text: "Worth between 12 and 40 EUR a year."},
		CostLow: 100, CostHigh: 400, CostText: "It may cost between 100 and 400 EUR to make: a guess; put in your own figure.", Guessed: true, YearsLow: 2.5, YearsHigh: 33,
		Effects: []advise.Effect{{Code: "hawk_losses", Before: 0.42, After: 0.1}}}
	if price, told := prices["netting"]; told {
		net.CostLow, net.CostHigh, net.Guessed, net.CostText = price, price, false, "It costs that by your own figure."
	}
	return []advise.Improvement{net}, nil
}

// shelf keeps a holding and its plan in memory.
type shelf struct {
	sync.Mutex
	holding *holding.Holding
	plan    *plan.Plan
	refuse  error
}

func (s *shelf) Current(context.Context) (*holding.Holding, error) {
	s.Lock()
	defer s.Unlock()
	if s.holding == nil {
		return nil, ErrNoHolding
	}
	return s.holding, nil
}

func (s *shelf) Save(_ context.Context, h *holding.Holding) error {
	s.Lock()
	defer s.Unlock()
	if s.refuse != nil {
		return s.refuse
	}
	s.holding = h
	return nil
}

func (s *shelf) SavePlan(_ context.Context, p *plan.Plan) error {
	s.Lock()
	defer s.Unlock()
	s.plan = p
	return nil
}

func (s *shelf) LatestPlan(context.Context) (*plan.Plan, error) {
	s.Lock()
	defer s.Unlock()
	return s.plan, nil
}

// house is a server with everything about it, for one test.
type house struct {
	server  *Server
	web     *httptest.Server
	planner *written
	shelf   *shelf
	lots    *cast
	book    *store.Store
	reach   *reach
}

// reach is the network between the house and its phones, which can be cut for
// one name of the house: then connections end without an answer, for pages and
// their workers alike.
type reach struct {
	sync.Mutex
	pages http.Handler
	cut   map[string]bool
}

func (n *reach) set(name string, cut bool) {
	n.Lock()
	defer n.Unlock()
	n.cut[name] = cut
}

func (n *reach) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	name, _, _ := strings.Cut(r.Host, ":")
	n.Lock()
	cut := n.cut[name]
	n.Unlock()
	if !cut {
		n.pages.ServeHTTP(w, r)
		return
	}
	panic(http.ErrAbortHandler)
}

func madeUpChecks() ([]source.Check, error) {
	return []source.Check{
		{Room: "bird", ID: "a", What: "Hen-day lay at the peak, white layers", Unit: "%", Published: 95, Computed: 94.2, Tolerance: 2, Source: "practice"},
		{Room: "bird", ID: "b", What: "Live weight at 16 weeks, heavy cockerels", Unit: "kg", Published: 2.4, Computed: 2.9, Tolerance: 0.2, Source: "practice", Note: "known miss: the strain was not stated"},
		{Room: "climate", ID: "c", What: "Day length at 52 N, 21 June", Unit: "h", Published: 16.72, Computed: 16.73, Tolerance: 0.05, Source: "guess"},
	}, nil
}

func open(t testing.TB, change func(*written, *shelf)) *house {
	t.Helper()
	w := &written{plan: madeUpPlan(t)}
	readJSON(t, "../report/testdata/breeds.json", &w.breeds)
	sh := &shelf{holding: madeUpHolding()}
	if change != nil {
		change(w, sh)
	}
	lots := madeUpLots(t)
	book, err := store.Open(filepath.Join(t.TempDir(), store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { book.Close() })
	s := NewServer(Options{Planner: w, Daybook: book, Holdings: sh, Lots: lots, Evidence: madeUpChecks, Notices: "A part\nIts licence.\n"})
	if err := s.Start(t.Context()); err != nil && !errors.Is(err, ErrNoHolding) {
		t.Fatal(err)
	}
	reach := &reach{pages: s.Handler(), cut: map[string]bool{}}
	web := httptest.NewServer(reach)
	t.Cleanup(web.Close)
	t.Cleanup(s.Close)
	return &house{s, web, w, sh, lots, book, reach}
}

// settled waits until no work runs.
func (h *house) settled(t testing.TB) *house {
	t.Helper()
	late := time.After(10 * time.Second)
	for {
		st, changed := h.server.job.snapshot()
		if !st.running() {
			return h
		}
		select {
		case <-changed:
		case <-late:
			t.Fatal("the work does not end")
		}
	}
}

func (h *house) get(t testing.TB, path string) (int, string) {
	t.Helper()
	r := httptest.NewRecorder()
	h.server.Handler().ServeHTTP(r, request(http.MethodGet, path, nil))
	return r.Code, r.Body.String()
}
