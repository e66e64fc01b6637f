package advise

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"henyear/chance"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
)

// household accepts one year in five with more than two short weeks.
func household() *holding.Holding {
	return &holding.Holding{Name: "Stand-in", Currency: measure.Currency{Code: "EUR", Exponent: 2},
		Needs: holding.Needs{RiskShare: 0.2, RiskShortWeeks: 2}}
}

// climbOn is a search whose plans cost 100 and 20 more for each spread of margin,
// and whose risk is that of a curve of the margin, as told.
func climbOn(risk func(k float64) float64, opt SafetyOptions, told SafetyProgress) *climb {
	h := household()
	margins := map[*plan.Plan]plan.Margin{}
	opt.Odds = func(ctx context.Context, p *plan.Plan) (*chance.Odds, error) {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		m := margins[p]
		share := risk(m.Eggs + 2*m.Hatch)
		o := &chance.Odds{Replicates: 100, Seed: 7, Risk: chance.Risk{ShortWeeksAllowed: 2, Accepted: 0.2, Share: share, Error: 0.01, Met: share <= 0.2}}
		for i := range 100 {
			luck := float64(i%10) - 4.5 // the same for every plan
			o.Outcomes = append(o.Outcomes, chance.Outcome{Cost: yearsOf(p) * (100 + 20*m.Eggs + luck), ShortWeeks: int(20 * share), Years: 2})
		}
		for _, w := range p.Weeks {
			o.Weeks = append(o.Weeks, chance.WeekOdds{Date: w.Date, Short: share / 10, Eggs: chance.Range{P05: 6.71}})
		}
		o.Years = []chance.YearOdds{{Year: 2026, Part: 0.01, OverK: 1}, {Year: 2027, Part: 1, OverK: 0.5, HensWinter: chance.Range{Mean: 10}, Pullets: chance.Range{Mean: 4}}}
		return o, nil
	}
	c := newClimb(nil, h, opt, told)
	c.solve = func(ctx context.Context, o plan.Options) (*plan.Plan, error) {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		p := &plan.Plan{Holding: h.Name, From: measure.Date{Year: 2027, Month: 1, Day: 1}, To: measure.Date{Year: 2028, Month: 12, Day: 31},
			Cost: 100 + 20*o.Margin.Eggs, Batches: []plan.Batch{{EggsSet: 20}}, Status: "within gap", Point: map[string]float64{"margin": o.Margin.Eggs}}
		for t := range 20 {
			p.Weeks = append(p.Weeks, plan.WeekRow{Date: p.From.AddDays(7 * t), EggsExpected: 10})
		}
		margins[p] = o.Margin
		return p, nil
	}
	return c
}

func falling(k float64) float64 { return 0.6 - 0.17*k } // 0.2 at a margin of 2.35

func curveOf(t *testing.T, c *climb) *Surer {
	t.Helper()
	s, err := c.run(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestTheCheapestPlanThatIsSureEnoughIsChosen(t *testing.T) {
	s := curveOf(t, climbOn(falling, SafetyOptions{}, nil))
	if len(s.Points) != 8 || !s.Reachable || s.Status != "complete" {
		t.Fatalf("%d points, reachable %v, %s", len(s.Points), s.Reachable, s.Status)
	}
	if !slices.IsSortedFunc(s.Points, func(a, b SafetyPoint) int {
		if below(a.Margin, b.Margin) {
			return -1
		}
		return 1
	}) {
		t.Error("the points do not stand from bold to safe")
	}
	// Between 2 and 3 once, and between 2 and 2.5 once more, which fails.
	if got := s.Points[s.Chosen].Margin.Eggs; got != 2.5 {
		t.Errorf("chose a margin of %g, want 2.5", got)
	}
	if p := s.Points[s.Plain]; p.Name != "plain" || p.Margin.Eggs != 0 || p.MoreCash != 0 {
		t.Errorf("the plain plan: %+v", p)
	}
	if s.Points[0].Name != "bold" || s.Points[0].Margin.Eggs != -1 {
		t.Errorf("the boldest is %s", s.Points[0].Name)
	}
	for i, p := range s.Points {
		if p.Chosen != (i == s.Chosen) || p.Meets != (p.Risk <= 0.2) || p.Dominated {
			t.Errorf("%s: chosen %v, meets %v, dominated %v", p.Name, p.Chosen, p.Meets, p.Dominated)
		}
	}
	if s.Plan != s.Points[s.Chosen].Plan || s.Odds != s.Points[s.Chosen].Odds {
		t.Error("plan and odds are not those of the chosen point")
	}
	said(t, s.Summary, "reached", "price-more")
}

// Ten lots of luck from -4.5 to 4.5 have a standard deviation of 2.87; of a hundred
// lives the mean is known to 0.287. Set beside the plain plan in the same luck, the
// difference of 50 is known exactly.
func TestTheSameLuckShowsADifferenceThatTwoMeansWouldHide(t *testing.T) {
	s := curveOf(t, climbOn(falling, SafetyOptions{}, nil))
	p := s.Points[s.Chosen]
	if math.Abs(p.CashError-0.287) > 0.001 || math.Abs(p.CashAYear-150) > 1e-9 {
		t.Errorf("cash %.3f ± %.3f, want 150 ± 0.287", p.CashAYear, p.CashError)
	}
	if math.Abs(p.MoreCash-50) > 1e-9 || p.MoreCashError > 1e-6 {
		t.Errorf("%.3f ± %.3f more than the plain plan, want 50 exactly", p.MoreCash, p.MoreCashError)
	}
}

func TestWhatCannotBeReachedIsSaid(t *testing.T) {
	s := curveOf(t, climbOn(func(k float64) float64 { return max(0.45, 0.6-0.03*k) }, SafetyOptions{}, nil))
	if s.Reachable || s.Chosen != s.Surest || !s.Points[s.Surest].Chosen {
		t.Errorf("reachable %v, chosen %d, surest %d", s.Reachable, s.Chosen, s.Surest)
	}
	last := s.Points[len(s.Points)-1].Margin
	if last.Eggs < farther {
		t.Errorf("nothing beyond a margin of %g was tried", last.Eggs)
	}
	if !slices.ContainsFunc(s.Points, func(p SafetyPoint) bool { return p.Margin.Hatch > 0 }) {
		t.Error("to hatch more was not tried")
	}
	said(t, s.Summary, "out-of-reach")
	if !strings.Contains(s.Summary[0].Text, "out of reach") {
		t.Errorf("not said plainly: %s", s.Summary[0].Text)
	}
	said(t, s.Limits, "first-months", "first-year", "old-hens")
}

func TestAPlanThatIsSureEnoughNeedsNoMargin(t *testing.T) {
	s := curveOf(t, climbOn(func(k float64) float64 { return 0.15 - 0.1*k }, SafetyOptions{}, nil))
	// 0.25 at -1, so the line is crossed between the bold plan and the plain one.
	if !s.Reachable || s.Points[s.Chosen].Margin.Eggs != -0.5 {
		t.Errorf("chose a margin of %g, want -0.5, which is cheaper and still holds", s.Points[s.Chosen].Margin.Eggs)
	}
	said(t, s.Summary, "bold-enough", "price-less")
	s = curveOf(t, climbOn(func(k float64) float64 {
		if k < 0 {
			return 0.5
		}
		return 0.19 - 0.01*k
	}, SafetyOptions{}, nil))
	if s.Chosen != s.Plain {
		t.Errorf("chose %s", s.Points[s.Chosen].Name)
	}
	said(t, s.Summary, "sure-enough", "close-call")
}

// A search that stops at a gap may find a worse plan with a greater margin.
func TestAPlanThatIsDearerAndLessSureIsShownAndMarked(t *testing.T) {
	s := curveOf(t, climbOn(func(k float64) float64 {
		if k == 3 {
			return 0.4
		}
		return falling(k)
	}, SafetyOptions{}, nil))
	i := slices.IndexFunc(s.Points, func(p SafetyPoint) bool { return p.Margin.Eggs == 3 })
	if i < 0 || !s.Points[i].Dominated {
		t.Fatal("the point that another betters is not marked")
	}
	for k, p := range s.Points {
		if k != i && p.Dominated {
			t.Errorf("%s is marked as bettered", p.Name)
		}
	}
}

func TestEveryPlanBeginsFromTheOneBeforeAndKnowsTheSpread(t *testing.T) {
	var asked []plan.Options
	c := climbOn(falling, SafetyOptions{Plan: plan.Options{Nodes: 3}}, nil)
	solve := c.solve
	c.solve = func(ctx context.Context, o plan.Options) (*plan.Plan, error) {
		asked = append(asked, o)
		return solve(ctx, o)
	}
	curveOf(t, c)
	if len(asked) != 8 || asked[0].Start != nil || asked[0].Margin.Spread != nil {
		t.Fatalf("%d plans; the first began from %v", len(asked), asked[0].Start)
	}
	for i, o := range asked[1:] {
		if from := o.Start["margin"]; from > o.Margin.Eggs && o.Margin.Eggs >= 0 || o.Start == nil {
			t.Errorf("plan %d with margin %g begins from %g", i+1, o.Margin.Eggs, from)
		}
		// Ten eggs planned, 6.71 in nineteen lives of twenty: two tenths of a spread.
		if len(o.Margin.Spread) != 20 || math.Abs(o.Margin.Spread[5]-0.2) > 1e-9 {
			t.Fatalf("spread %v, want 0.2", o.Margin.Spread)
		}
		if o.Gap != 0.03 || o.Nodes != 3 || o.TimeLimit != 0 {
			t.Errorf("gap %g, %d nodes, limit %v", o.Gap, o.Nodes, o.TimeLimit)
		}
	}
}

func TestThePlanThatStandsIsNotSolvedAgain(t *testing.T) {
	c := climbOn(falling, SafetyOptions{}, nil)
	base, _ := c.solve(t.Context(), plan.Options{})
	c.opt.Base = base
	solved := 0
	solve := c.solve
	c.solve = func(ctx context.Context, o plan.Options) (*plan.Plan, error) {
		solved++
		return solve(ctx, o)
	}
	s := curveOf(t, c)
	if s.Points[s.Plain].Plan != base || solved != len(s.Points)-1 {
		t.Errorf("%d plans solved for %d points", solved, len(s.Points))
	}
}

func TestWhoStopsTheCurveKeepsWhatIsDone(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	c := climbOn(falling, SafetyOptions{}, func(s SafetyStep) {
		if s.Done == 3 {
			cancel()
		}
		if s.Planned < 6 || s.Stage == "" || (s.SoFar == nil) != (s.Done == 0) {
			t.Errorf("told %+v", s)
		}
	})
	s, err := c.run(ctx)
	if err != nil || len(s.Points) != 3 || s.Status != "cancelled" || s.Chosen < 0 {
		t.Fatalf("%v, %+v", err, s)
	}
	c = climbOn(falling, SafetyOptions{}, nil)
	if s, err := c.run(ctx); !errors.Is(err, context.Canceled) || s != nil {
		t.Errorf("stopped before the first: %v, %v", s, err)
	}
}

func TestTheClockEndsTheCurveAndIsNamed(t *testing.T) {
	c := climbOn(falling, SafetyOptions{Plan: plan.Options{TimeLimit: time.Millisecond}}, nil)
	s := curveOf(t, c)
	if len(s.Points) != 1 || s.Status != "stopped by the clock" {
		t.Errorf("%d points, %s", len(s.Points), s.Status)
	}
}

func TestAFaultOfThePlannerIsToldWhereThereIsNoPlan(t *testing.T) {
	c := climbOn(falling, SafetyOptions{}, nil)
	c.solve = func(context.Context, plan.Options) (*plan.Plan, error) { return nil, plan.ErrNothingToPlan }
	if s, err := c.run(t.Context()); !errors.Is(err, plan.ErrNothingToPlan) || s != nil {
		t.Errorf("%v, %v", s, err)
	}
	if _, err := Safety(t.Context(), nil, household(), SafetyOptions{Replicates: -1}, nil); err == nil {
		t.Error("lives below zero are not refused")
	}
}

func TestMostShortWeeksAreNamedByTheirMonths(t *testing.T) {
	short := func(list ...float64) *SafetyPoint { // December first
		o := &chance.Odds{}
		for i, x := range list {
			o.Weeks = append(o.Weeks, chance.WeekOdds{Date: measure.Date{Year: 2027, Month: 12, Day: 6}.AddDays(30 * i), Short: x})
		}
		return &SafetyPoint{Odds: o}
	}
	for _, c := range []struct {
		p    *SafetyPoint
		want string
	}{
		{short(1, 0, 0, 0, 0), "in December"},
		{short(1, 1, 0, 0, 0.5), "from December to January"},
		{short(1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1), ""},
		{short(), ""},
	} {
		got := ""
		if list := leanSeason(c.p); len(list) > 0 {
			got = list[0].Text
		}
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("said %q, want %q", got, c.want)
		}
	}
}

// said checks that sentences with these codes are there, and that all are whole.
func said(t *testing.T, list []plan.Sentence, codes ...string) {
	t.Helper()
	for _, code := range codes {
		if !slices.ContainsFunc(list, func(s plan.Sentence) bool { return s.Code == code }) {
			t.Errorf("no word of %s in %v", code, list)
		}
	}
	for _, s := range list {
		if strings.Contains(s.Text, "%!") || !strings.HasSuffix(s.Text, ".") && !strings.HasSuffix(s.Text, ").") {
			t.Errorf("%s says %q", s.Code, s.Text)
		}
	}
}

// A household that buys its pullets, planned and lived through in earnest.
func TestBeingSurerBuysWinterEggsAndSparesShortWeeks(t *testing.T) {
	p, h := planner(t), cottage(t)
	h.Needs.TableBirds, h.Needs.SelfRenewing = 0, false
	pullets := holding.Offer{Breed: "red-sex-link", Strain: "production", Form: holding.StartedPullet, Price: 18, SmallestOrder: 2, LargestOrder: 12}
	pullets.Months[7], pullets.Months[8] = true, true
	h.Stock = []holding.Offer{pullets}
	s, err := Safety(t.Context(), p, h, SafetyOptions{Plan: plan.Options{TimeLimit: 12 * time.Second}, Replicates: 400, Seed: 3}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range s.Points {
		t.Logf("%-8s cash %.0f, risk %.3f ± %.3f, %.1f eggs in winter, gap %.3f", q.Name, q.CashAYear, q.Risk, q.RiskError, q.WinterEggs, q.Gap)
	}
	if len(s.Points) < 6 || s.Plain < 0 {
		t.Fatalf("%d points, plain at %d, %s", len(s.Points), s.Plain, s.Status)
	}
	for i := 1; i < len(s.Points); i++ {
		a, b := &s.Points[i-1], &s.Points[i]
		if b.WinterEggs < 0.93*a.WinterEggs {
			t.Errorf("%s lays %.1f eggs a week in winter, %s %.1f", b.Name, b.WinterEggs, a.Name, a.WinterEggs)
		}
	}
	first, last := s.Points[0], s.Points[len(s.Points)-1]
	if last.Risk > first.Risk-3*math.Hypot(first.RiskError, last.RiskError) {
		t.Errorf("the safest has too many short weeks in %.2f of years, the boldest in %.2f", last.Risk, first.Risk)
	}
	if _, err := json.Marshal(s); err != nil {
		t.Error(err)
	}
	again := *s.Points[s.Plain].Plan
	base, err := Safety(t.Context(), p, h, SafetyOptions{Plan: plan.Options{TimeLimit: time.Millisecond}, Base: &again, Replicates: 400, Seed: 3}, nil)
	if err != nil {
		t.Fatal(err)
	}
	// The same plan in the same luck is the same point.
	x, y := base.Points[0], s.Points[s.Plain]
	if fmt.Sprint(x.Risk, x.CashAYear, x.ShortWeeks) != fmt.Sprint(y.Risk, y.CashAYear, y.ShortWeeks) {
		t.Errorf("the plain plan has risk %g and cash %g, alone %g and %g", y.Risk, y.CashAYear, x.Risk, x.CashAYear)
	}
}
