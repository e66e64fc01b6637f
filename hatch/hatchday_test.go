package hatch

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"henyear/source"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

func usual() Setting { return Setting{Fertility: 0.88, Method: Machine, SavedDays: 7} }

// Worked example of the trade: an egg of 58.0 g should weigh 55.3 g on day 7.
func TestAnEggOnCourseIsLeftAlone(t *testing.T) {
	w, err := CheckWeight(WeightCheck{SetG: 10 * 58, NowG: 553, Eggs: 10, Day: 7, RHPct: 50})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "target", w.TargetG, 55.3, 0.05)
	near(t, "loss", w.LossPct, 100*27.0/580, 1e-9)
	near(t, "low for the day", w.LowPct, 11*7.0/18, 1e-9)
	near(t, "high for the day", w.HighPct, 14*7.0/18, 1e-9)
	if w.Course != OnCourse || w.AimRHPct != 0 {
		t.Errorf("%+v", w)
	}
}

// Worked by hand: 3 % in nine days at 60 % is a third of a point a day; 9 points
// in the other nine are a point a day, three times as much; three times as dry a
// lack, 120, is out of reach. 5 % at 55 %: 7 in nine, 1.4 times the lack of 45,
// so 37 %.
func TestHeavyEggsWantDrierAirAndLightOnesDamper(t *testing.T) {
	check := func(lossPct, rh float64) WeightLoss {
		w, err := CheckWeight(WeightCheck{SetG: 1000, NowG: 1000 - 10*lossPct, Eggs: 17, Day: 9, RHPct: rh})
		if err != nil {
			t.Fatal(err)
		}
		return w
	}
	w := check(3, 60)
	if w.Course != TooLittle || !w.OutOfReach || w.AimRHPct != driestRHPct {
		t.Errorf("%+v", w)
	}
	w = check(5, 55)
	near(t, "aim", w.AimRHPct, 37, 0.01)
	w = check(8, 40) // 4 in nine: 60 x 0.5
	near(t, "aim", w.AimRHPct, 70, 0.01)
	if w.Course != TooMuch || w.OutOfReach {
		t.Errorf("%+v", w)
	}
}

func TestAScaleThatIsTooCoarseCannotSay(t *testing.T) {
	w, err := CheckWeight(WeightCheck{SetG: 60, NowG: 59, Eggs: 1, Day: 3, ScaleG: 1})
	if err != nil || w.Course != CannotSay {
		t.Errorf("one egg, 1.7 %% on day 3 where 1.8 is the least, on a scale of 1 g: %+v, %v", w, err)
	}
}

func TestWeightsThatCannotBeAreRefused(t *testing.T) {
	good := WeightCheck{SetG: 580, NowG: 553, Eggs: 10, Day: 7}
	for name, spoil := range map[string]func(*WeightCheck){
		"no eggs": func(c *WeightCheck) { c.Eggs = 0 }, "day 0": func(c *WeightCheck) { c.Day = 0 }, "day 19": func(c *WeightCheck) { c.Day = 19 },
		"NaN": func(c *WeightCheck) { c.NowG = math.NaN() }, "set NaN": func(c *WeightCheck) { c.SetG = math.NaN() }, "grown": func(c *WeightCheck) { c.NowG = 700 },
		"other eggs": func(c *WeightCheck) { c.NowG = 200 }, "goose eggs": func(c *WeightCheck) { c.SetG = 1600 }, "humidity": func(c *WeightCheck) { c.RHPct = 140 },
		"negative": func(c *WeightCheck) { c.NowG = -5 }, "scale": func(c *WeightCheck) { c.ScaleG = math.Inf(1) },
	} {
		c := good
		spoil(&c)
		if _, err := CheckWeight(c); err == nil || !strings.Contains(err.Error(), ": ") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The interval of Clopper and Pearson against quantiles of the beta distribution
// (gonum), and against the closed form for none of n.
func TestTheIntervalOfAShareIsThatOfTheBetaDistribution(t *testing.T) {
	for _, c := range []struct {
		k, n       int
		confidence float64
	}{{5, 10, 0.95}, {3, 5, 0.9}, {1, 20, 0.9}, {19, 20, 0.9}, {100, 300, 0.8}} {
		low, high := ShareInterval(c.k, c.n, c.confidence)
		tail := (1 - c.confidence) / 2
		near(t, "low", low, distuv.Beta{Alpha: float64(c.k), Beta: float64(c.n - c.k + 1)}.Quantile(tail), 1e-6)
		near(t, "high", high, distuv.Beta{Alpha: float64(c.k + 1), Beta: float64(c.n - c.k)}.Quantile(1-tail), 1e-6)
	}
	low, high := ShareInterval(0, 12, 0.9)
	near(t, "none of twelve", high, 1-math.Pow(0.05, 1.0/12), 1e-9)
	near(t, "none of twelve", low, 0, 0)
	low, high = ShareInterval(5, 5, 0.9)
	near(t, "five of five", low, math.Pow(0.05, 1.0/5), 1e-9)
	near(t, "five of five", high, 1, 0)
	if low, high = ShareInterval(3, 0, 0.9); low != 0 || high != 1 {
		t.Error("no eggs know nothing")
	}
}

// 24 eggs, fertility 0.88: 2.9 clear are usual.
func TestTheLightShowsThreeClearEggsInTwoDozen(t *testing.T) {
	x := ExpectAt(usual(), 24, 7)
	if x.Clear != 3 || x.ClearLow > 1 || x.ClearHigh < 5 {
		t.Errorf("%+v", x)
	}
	if later := ExpectAt(usual(), 24, 18); later.DeadShare <= x.DeadShare {
		t.Error("nobody died between day 7 and day 18")
	}
	if x := ExpectAt(usual(), 0, 7); x.Clear != 0 || x.ClearHigh != 0 {
		t.Errorf("no eggs: %+v", x)
	}
}

func TestAllDeathsAreAccountedFor(t *testing.T) {
	near(t, "shares", deadEarlyShare+deadMidShare+deadLateShare+deadPippedShare, 1, 1e-12)
	near(t, "by the end", deadBy(21), 1, 1e-12)
	near(t, "an egg set", HatchFrom(usual(), 0), hatchShare(usual()), 1e-12)
	last := 0.0
	for day := range 22 {
		h := HatchFrom(usual(), day)
		if h < last-1e-12 || h > 1 {
			t.Errorf("day %d: %v after %v", day, h, last)
		}
		last = h
	}
	near(t, "at the end", last, 1, 1e-9)
}

// Twelve chicks hold four pullets with a chance of 0.93 (binomial); eggs on their
// last day, when all that live hatch and none is lost, are chicks.
func TestEnoughPulletsEndsAtTheBinomialOfChicks(t *testing.T) {
	near(t, "day 21", EnoughPullets(4, 12, 21, usual(), 1, 0.55), 0.927, 0.001)
	if EnoughPullets(4, 12, 7, usual(), 1, 0.55) >= 0.92 || EnoughPullets(4, 12, 21, usual(), 0.8, 0.55) >= 0.92 {
		t.Error("eggs are as good as chicks, or losses cost nothing")
	}
	near(t, "none wanted", EnoughPullets(0, 0, 7, usual(), 1, 0.55), 1, 0)
	near(t, "none alive", EnoughPullets(1, 0, 7, usual(), 1, 0.55), 0, 0)
}

// The five points against a million settings drawn one by one.
func TestEnoughPulletsHoldsAgainstSettingsDrawnOneByOne(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 9))
	s := usual()
	const draws = 200_000
	enough := 0
	p := HatchFrom(s, 7)
	for range draws {
		if rng.Float64() < LossFrom(s.Method, 7) {
			continue
		}
		q := min(1, max(0, p+0.55*rng.NormFloat64()*p*(1-p)))
		pullets := 0
		for range 20 {
			if rng.Float64() < q && rng.Float64() < 0.5 && rng.Float64() < 0.85 {
				pullets++
			}
		}
		if pullets >= 6 {
			enough++
		}
	}
	near(t, "six pullets from twenty eggs on day 7", EnoughPullets(6, 20, 7, s, 0.85, 0.55), float64(enough)/draws, 0.006)
}

func TestChicksFromEggsAliveLieAroundTheirMean(t *testing.T) {
	mean, low, high := ChicksFrom(20, 7, usual(), 0.55)
	if !(float64(low) < mean && mean < float64(high)) || high > 20 {
		t.Errorf("%.1f, %d to %d", mean, low, high)
	}
}

func TestAlarmComesBeforeAnyRanking(t *testing.T) {
	d, err := Diagnose(Breakout{Set: 20, Clear: 15, Setting: usual(), Alarm: true})
	if err != nil || !d.Stop || len(d.Causes) > 0 || len(d.Findings) > 0 {
		t.Errorf("%+v, %v", d, err)
	}
}

// Each row of the trade's tables: the finding alone leads to its causes.
func TestEachFindingLeadsToTheCausesOfTheTradesTables(t *testing.T) {
	for name, c := range map[string]struct {
		b    Breakout
		want []string
	}{
		"clear (Davis: infertile, stored, handled)":          {Breakout{Set: 20, Clear: 12, Chicks: 8}, []string{"infertile", "storage", "handling"}},
		"blood ring (Davis: temperature, storage, diet)":     {Breakout{Set: 20, BloodRing: 8, Chicks: 12}, []string{"thermometer", "storage", "feed"}},
		"dead day 5-17 (memory: feed, turning, germs, gene)": {Breakout{Set: 20, Mid: 8, Chicks: 12}, []string{"feed", "not-turned", "dirty", "lethal"}},
		"full grown (memory: temperature, damp, air, kin)":   {Breakout{Set: 20, Late: 9, Chicks: 11}, []string{"thermometer", "damp", "stale-air", "inbred"}},
		"pipped (Virginia Tech, Davis: dry, air, lid)":       {Breakout{Set: 20, Pipped: 8, Chicks: 12}, []string{"dry-hatch", "stale-air", "opened"}},
		"early (Mississippi: too warm)":                      {Breakout{Set: 20, Chicks: 20, Signs: []string{"early"}}, []string{"hot"}},
		"late (Mississippi: too cool, old eggs)":             {Breakout{Set: 20, Chicks: 20, Signs: []string{"slow"}}, []string{"cool", "storage"}},
		"sticky (Virginia Tech: dry at hatch, wet before)":   {Breakout{Set: 20, Chicks: 20, Signs: []string{"sticky"}}, []string{"dry-hatch", "damp"}},
		"wrong position (memory: small end up)":              {Breakout{Set: 20, Late: 4, WrongWay: 4, Chicks: 16}, []string{"upside-down"}},
		"spread (memory: mixed age, uneven heat)":            {Breakout{Set: 20, Chicks: 20, Signs: []string{"spread"}}, []string{"mixed-age", "uneven"}},
		"spraddled (practice: slippery)":                     {Breakout{Set: 20, Chicks: 20, Signs: []string{"spraddled"}}, []string{"slippery"}},
		"mushy (memory: cool, air, germs)":                   {Breakout{Set: 20, Chicks: 20, Signs: []string{"mushy"}}, []string{"cool", "stale-air", "dirty"}},
	} {
		c.b.Setting = usual()
		d, err := Diagnose(c.b)
		if err != nil {
			t.Fatal(name, err)
		}
		var got []string
		for _, x := range d.Causes {
			got = append(got, x.Code)
			if _, known := source.Lookup(x.Source); !known || x.Do == "" || x.Text == "" {
				t.Errorf("%s: %+v", x.Code, x)
			}
		}
		for _, w := range c.want {
			if !slices.Contains(got, w) {
				t.Errorf("%s: %q is not among %v", name, w, got)
			}
		}
	}
}

func TestWhatIsKnownOfTheSettingMovesTheRanking(t *testing.T) {
	first := func(b Breakout) string {
		d, err := Diagnose(b)
		if err != nil {
			t.Fatal(err)
		}
		return d.Causes[0].Code
	}
	late := Breakout{Set: 24, Late: 10, Chicks: 14, Setting: usual(), Weight: TooLittle}
	if got := first(late); got != "damp" {
		t.Errorf("eggs that lost too little and died late: %s", got)
	}
	late.Weight = OnCourse
	if got := first(late); got == "damp" {
		t.Error("eggs on course are blamed on damp air")
	}
	old := Breakout{Set: 24, Clear: 12, Chicks: 12, Setting: usual()}
	old.Setting.SavedDays = 14
	if got := first(old); got != "storage" {
		t.Errorf("clear eggs kept a fortnight: %s", got)
	}
	hen := Breakout{Set: 12, BloodRing: 6, Chicks: 6, Setting: usual(), Hen: true}
	if got := first(hen); got != "chilled-nest" {
		t.Errorf("dead early under a hen: %s", got)
	}
}

func TestFiveEggsTellLittleAndAUsualHatchNothing(t *testing.T) {
	d, err := Diagnose(Breakout{Set: 12, Clear: 3, Late: 2, Chicks: 7, Setting: usual()})
	if err != nil || !d.Little {
		t.Errorf("%+v, %v", d, err)
	}
	f := d.Findings[0]
	if f.High-f.Low < 0.3 {
		t.Errorf("three of twelve are surer than they can be: %.2f to %.2f", f.Low, f.High)
	}
	if d, _ = Diagnose(Breakout{Set: 24, Clear: 2, Late: 1, Chicks: 21, Setting: usual()}); !d.AllUsual {
		t.Errorf("a good hatch is blamed: %+v", d.Causes)
	}
	if d, _ = Diagnose(Breakout{Set: 40, Mid: 20, Chicks: 20, Setting: usual()}); d.Little {
		t.Error("twenty dead in the middle tell enough")
	}
}

func TestBreakOutsThatCannotBeAreRefused(t *testing.T) {
	for name, b := range map[string]Breakout{
		"nothing set": {}, "more than set": {Set: 10, Clear: 6, Chicks: 5}, "negative": {Set: 10, Late: -1},
		"wrong way": {Set: 10, Late: 1, WrongWay: 2}, "sign": {Set: 10, Signs: []string{"hiccups"}}, "huge": {Set: 1 << 40},
		"fertility": {Set: 10, Setting: Setting{Fertility: math.NaN()}},
	} {
		if _, err := Diagnose(b); err == nil || !strings.Contains(err.Error(), ": ") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestWhateverIsFoundTheCausesShareIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Breakout{Set: rapid.IntRange(1, 120).Draw(t, "set"), Setting: usual(), Hen: rapid.Bool().Draw(t, "hen")}
		left := b.Set
		for _, n := range []*int{&b.Clear, &b.BloodRing, &b.Mid, &b.Late, &b.Pipped, &b.Broken, &b.Chicks} {
			*n = rapid.IntRange(0, left).Draw(t, "n")
			left -= *n
		}
		b.WrongWay = rapid.IntRange(0, b.Late).Draw(t, "wrong")
		d, err := Diagnose(b)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for i, c := range d.Causes {
			sum += c.Share
			if i > 0 && c.Weight > d.Causes[i-1].Weight+1e-9 {
				t.Fatal("not in order")
			}
		}
		if len(d.Causes) > 0 && math.Abs(sum-1) > 1e-9 {
			t.Fatalf("shares sum to %v", sum)
		}
		for _, f := range d.Findings {
			if math.IsNaN(f.Chance) || f.Low > f.High || f.Low < 0 || f.High > 1 {
				t.Fatalf("%+v", f)
			}
		}
	})
}

func TestTheSheetFollowsTheTradesDays(t *testing.T) {
	days := map[string]SheetDay{}
	last := -1e9
	for _, d := range Sheet(ForcedAir, 3) {
		days[d.Code] = d
		if d.Hour < last {
			t.Errorf("%s comes too late in the list", d.Code)
		}
		last = d.Hour
		if _, known := source.Lookup(d.Key); !known {
			t.Errorf("%s: source %q", d.Code, d.Key)
		}
	}
	if days["lockdown"].Day != 18 || days["candle-1"].Day != 7 || days["candle-2"].Day != 14 || days["break-out"].Day != 23 || days["turn"].Day != 2 {
		t.Errorf("%+v", days)
	}
	near(t, "three days of storage", days["hatch"].Hour, 21*24+3*52.5/60, 1e-9)
	if days["lockdown"].RHPct.Usual <= days["turn"].RHPct.Usual || days["set"].Turns.Usual != 0 || days["turn"].Turns.Usual != 3 {
		t.Error("settings by day are wrong")
	}
	for _, d := range Sheet(UnderHen, 0) {
		if d.Turns.Usual != 0 || strings.HasPrefix(d.Code, "preheat") {
			t.Errorf("a hen is told to %s", d.Code)
		}
	}
}
