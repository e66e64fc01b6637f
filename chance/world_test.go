package chance

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"henyear/bird"
	"henyear/plan"
)

func valleyWorld(t testing.TB, spread Spread) *World {
	t.Helper()
	h, p := valley(t)
	w, err := newWorld(h, p, nil, spread)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func TestSameSeedGivesTheSameBytesOnAnyNumberOfCores(t *testing.T) {
	w := valleyWorld(t, UsualSpread())
	text := func(workers int, seed uint64) string {
		o, err := w.Odds(t.Context(), Options{Replicates: 300, Seed: seed, Workers: workers}, nil)
		if err != nil {
			t.Fatal(err)
		}
		m, err := w.Matters(t.Context(), Options{Replicates: 20, Seed: seed, Workers: workers}, nil)
		if err != nil {
			t.Fatal(err)
		}
		out, err := json.Marshal([]any{o, m})
		if err != nil {
			t.Fatal(err)
		}
		return string(out)
	}
	one := text(1, 9)
	for _, workers := range []int{2, 3, 7} {
		if text(workers, 9) != one {
			t.Errorf("%d workers tell other odds than one", workers)
		}
	}
	if text(2, 10) == one {
		t.Error("another seed gives the same luck")
	}
}

func TestALifeAllocatesNothing(t *testing.T) {
	w := valleyWorld(t, UsualSpread())
	r := w.newRunner()
	seeds := seedsOf(1)
	r.live(&seeds, 0)
	i := uint64(0)
	if n := testing.AllocsPerRun(50, func() { i++; r.live(&seeds, i) }); n > 0 {
		t.Errorf("%v allocations in a life", n)
	}
}

func TestAnotherFoxDoesNotChangeTheLuckOfAHatch(t *testing.T) {
	spread := UsualSpread()
	w := valleyWorld(t, spread)
	a, b := w.newRunner(), w.newRunner()
	luck := seedsOf(4)
	other := luck
	other[luckRaids] = 99
	differ := 0
	for i := range uint64(200) {
		a.live(&luck, i)
		b.live(&other, i)
		if a.years[1].figure[figTaken] != b.years[1].figure[figTaken] {
			differ++
		}
		if !slices.Equal(a.bin, b.bin) || !slices.Equal(a.level, b.level) {
			t.Fatal("weather or lay changed with the foxes")
		}
		for _, p := range []purpose{ofSetting, ofEgg, ofBrood, ofMaking, ofLife, ofIllness} {
			if a.streams.open(p, 7) != b.streams.open(p, 7) {
				t.Fatalf("the stream of purpose %d changed with the foxes", p)
			}
		}
		if a.streams.open(ofRaid, 0) == b.streams.open(ofRaid, 0) {
			t.Fatal("the foxes are the same")
		}
	}
	if differ < 100 {
		t.Errorf("only %d of 200 lives differ in what was taken", differ)
	}
}

// Without luck shared by the flock the plan's own expectation is met closely, though
// the keeper chooses whole birds.
func TestLivesWithoutSharedLuckComeCloseToThePlan(t *testing.T) {
	h, p := valley(t)
	rates := bird.NewRates()
	rates.Raids = 1
	w, err := newWorld(h, p, &rates, Spread{Own: 0.5, Growth: 0.1, Raids: true, KeeperAdjusts: true})
	if err != nil {
		t.Fatal(err)
	}
	o, err := w.Odds(t.Context(), Options{Replicates: 3000, Seed: 2}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, y := range o.Years {
		for _, py := range p.Years {
			if py.Year != y.Year || y.Part < 0.95 {
				continue
			}
			near := func(what string, got, want, within float64) {
				if math.Abs(got-want) > within*want {
					t.Errorf("%d: %s %.1f on the mean of lives, the plan expects %.1f", y.Year, what, got, want)
				}
			}
			near("eggs", y.Eggs.Mean, py.Eggs, 0.07)
			near("feed", y.FeedKg.Mean, py.FeedKg, 0.05)
			near("hens in winter", y.HensWinter.Mean, py.HensNov, 0.06)
			near("birds for the table", y.TableBirds.Mean, py.TableBirds, 0.22)
		}
	}
}

func TestOnlyTheLuckThatIsOnMatters(t *testing.T) {
	w := valleyWorld(t, Spread{YearCV: 0.3})
	m, err := w.Matters(t.Context(), Options{Replicates: 300, Seed: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if m.Eggs[0].Code != "year" || m.Eggs[0].Total < 0.55 || m.Eggs[0].Total > 1.25 || m.Eggs[0].Total < 2*m.Eggs[1].Total {
		t.Errorf("with years that differ by 30 %% the year's share is %+v", m.Eggs[0])
	}
	for _, s := range m.Eggs {
		if (s.Code == "weather" || s.Code == "predators" || s.Code == "illness") && s.Total > 1e-9 {
			t.Errorf("%s has a share of %.3f though it is off", s.Code, s.Total)
		}
	}
}

// Common practice: when pullets are few the keeper keeps more of them, and culls
// fewer old hens.
func TestKeeperWhoIsShortOfHensKeepsMore(t *testing.T) {
	adjusts, follows := UsualSpread(), UsualSpread()
	follows.KeeperAdjusts = false
	hens := func(s Spread) float64 {
		o, err := valleyWorld(t, s).Odds(t.Context(), Options{Replicates: 500, Seed: 6}, nil)
		if err != nil {
			t.Fatal(err)
		}
		return o.Years[2].HensWinter.P05
	}
	if a, b := hens(adjusts), hens(follows); a <= b {
		t.Errorf("the keeper who adjusts goes into a bad winter with %.0f hens, the one who does not with %.0f", a, b)
	}
}

func TestRangesAreInOrderAndSharesAreShares(t *testing.T) {
	o, err := valleyWorld(t, UsualSpread()).Odds(t.Context(), Options{Replicates: 400, Seed: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	order := func(what string, r Range) {
		if r.P05 > r.P25 || r.P25 > r.P50 || r.P50 > r.P75 || r.P75 > r.P95 {
			t.Errorf("%s: percentiles out of order: %+v", what, r)
		}
	}
	for _, w := range o.Weeks {
		order("eggs of "+w.Week, w.Eggs)
		order("hens of "+w.Week, w.Hens)
		if w.Short < 0 || w.Short > 1 {
			t.Errorf("%s: chance %v", w.Week, w.Short)
		}
	}
	for _, e := range o.Chance {
		if e.Share < 0 || e.Share > 1 || e.Year < 0 || e.Year > 1 {
			t.Errorf("%s: %+v", e.Code, e)
		}
	}
	if len(o.Words) < 4 || len(o.Poor.Words) == 0 {
		t.Error("the odds have no words")
	}
	if _, err := json.Marshal(o); err != nil {
		t.Error(err)
	}
}

func TestNumbersOfLivesThatMakeNoSenseAreRefused(t *testing.T) {
	w := valleyWorld(t, UsualSpread())
	for _, n := range []int{-1, MostReplicates + 1, 1_000_000_000} {
		if _, err := w.Odds(t.Context(), Options{Replicates: n}, nil); err == nil || !strings.Contains(err.Error(), "replicates") {
			t.Errorf("%d replicates: %v", n, err)
		}
	}
	h, p := valley(t)
	if _, err := New(h, &plan.Plan{}, nil); !errors.Is(err, ErrNoBirds) {
		t.Errorf("a plan without birds: %v", err)
	}
	if _, err := New(h, nil, nil); !errors.Is(err, ErrNoBirds) {
		t.Errorf("no plan: %v", err)
	}
	_ = p
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if o, err := w.Odds(ctx, Options{Replicates: 1000}, nil); !errors.Is(err, context.Canceled) || o != nil {
		t.Errorf("cancelled: %v, %v", o, err)
	}
}

func TestProgressReachesTheEnd(t *testing.T) {
	last := 0
	_, err := valleyWorld(t, UsualSpread()).Odds(t.Context(), Options{Replicates: 100}, func(done, total int) {
		if total != 100 || done < last {
			t.Errorf("%d of %d after %d", done, total, last)
		}
		last = done
	})
	if err != nil || last != 100 {
		t.Errorf("ended at %d: %v", last, err)
	}
}

// A household's own table comes before its customers, and the oldest eggs first.
func TestPantryServesTheTableFirstAndForgetsOldEggs(t *testing.T) {
	w := valleyWorld(t, UsualSpread())
	r := w.newRunner()
	r.reset()
	week := 20 // June: customers come
	r.eggs[week] = int(w.means[week].need) + 5
	r.store = [plan.EggKeepWeeks]int{}
	r.pantry(week)
	if got := r.year(week).figure[figBought]; got != 0 {
		t.Errorf("%v eggs bought though the table has enough", got)
	}
	r.reset()
	r.store = [plan.EggKeepWeeks]int{0, 0, 0, 0, 100}
	r.eggs[week] = 0
	r.pantry(week)
	if r.store[plan.EggKeepWeeks-1] != 0 {
		t.Error("eggs older than five weeks are still in store")
	}
	if r.short[week] {
		t.Error("a week with eggs in store is called short")
	}
	r.reset()
	r.eggs[week] = int(w.means[week].need) - 3
	r.pantry(week)
	if got := r.year(week).figure[figBought]; got != 3 || !r.short[week] {
		t.Errorf("3 eggs are missing; %v bought, short %v", got, r.short[week])
	}
}
