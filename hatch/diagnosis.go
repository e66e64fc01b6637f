package hatch

import (
	"fmt"
	"math"
	"slices"
)

// Breakout is what was found in the shells that gave no chick, with the signs
// seen on those that hatched.
type Breakout struct {
	Set       int // eggs set
	Broken    int // cracked or thrown out, not judged
	Clear     int // no embryo to be seen
	BloodRing int // dead on days 1 to 4
	Mid       int // dead on days 5 to 17
	Late      int // full grown, not pipped
	WrongWay  int // of those, with the head in the small end or away from the air
	Pipped    int // pipped and died
	Chicks    int

	Signs []string // of Signs below
	// Alarm says that the flock shows signs of an emergency: several dead,
	// swollen or blue heads, trouble breathing, sudden collapse of feed or lay.
	Alarm bool

	Setting Setting // what was set; the usual follows from it
	Hen     bool    // under a hen: nobody turned, warmed or wetted them but she
	Weight  Course  // what the last weighing said; empty: nobody weighed
}

// Signs on chicks and hatch. They are no counts; each weighs as much as
// signEggs eggs beyond the usual.
var Signs = []string{"early", "slow", "spread", "sticky", "mushy", "rough-navels", "spraddled"}

// How strongly signs and known facts speak (guess, hatch-diagnosis).
const (
	signEggs  = 2.0
	speaksFor = 2.5
	against   = 0.4
)

// wrongWayShare of fertile eggs lie wrong when nothing is amiss (guess).
const wrongWayShare = 0.02

// Finding is one kind of egg or sign, counted and held against the usual.
type Finding struct {
	Code   string  `json:"code"` // clear, blood-ring, mid, late, wrong-way, pipped, or a sign
	Eggs   int     `json:"eggs"`
	Of     int     `json:"of"`
	Usual  float64 `json:"usual_eggs"`
	Chance float64 `json:"chance"` // of so many or more when nothing is wrong; 1 for a sign
	Low    float64 `json:"share_low"`
	High   float64 `json:"share_high"` // 90 % interval of the true share
}

// Beyond the usual, in eggs; nothing when there are fewer.
func (f Finding) Beyond() float64 { return max(0, float64(f.Eggs)-f.Usual) }

// Cause is what may be wrong.
type Cause struct {
	Code   string   `json:"code"`
	Text   string   `json:"text"`
	Do     string   `json:"do"`
	Source string   `json:"source"`
	Weight float64  `json:"weight"` // eggs beyond the usual that speak for it, shared among causes
	Share  float64  `json:"share"`  // of all weight
	From   []string `json:"from"`   // the findings that speak for it
}

// Diagnosis of a hatch. With Stop set nothing is ranked: see to the flock first.
type Diagnosis struct {
	Stop      bool      `json:"stop"`
	Findings  []Finding `json:"findings"`
	Causes    []Cause   `json:"causes"` // the likeliest first
	Opened    int       `json:"opened"` // eggs of which it is known how they ended without a chick
	Unopened  int       `json:"unopened"`
	Hatched   float64   `json:"hatch_of_set"`
	UsualLow  float64   `json:"usual_low"` // between these lie nine settings of ten
	UsualHigh float64   `json:"usual_high"`
	Little    bool      `json:"little"` // too few eggs to tell a fault from luck
	AllUsual  bool      `json:"all_usual"`
}

// fewOpened: so few eggs opened tell little, whatever they show (guess).
const fewOpened = 10

// chanceOfLuck: a finding with a greater chance may be luck.
const chanceOfLuck = 0.10

// Diagnose ranks what may have gone wrong. The error names a count that cannot be.
func Diagnose(b Breakout) (Diagnosis, error) {
	if err := b.check(); err != nil {
		return Diagnosis{}, err
	}
	if b.Alarm {
		return Diagnosis{Stop: true}, nil
	}
	d := Diagnosis{Opened: b.Clear + b.BloodRing + b.Mid + b.Late + b.Pipped}
	d.Unopened = b.Set - b.Broken - b.Chicks - d.Opened
	d.Hatched = float64(b.Chicks) / float64(b.Set)
	h := hatchShare(b.Setting)
	_, low, high := binomialSpan(b.Set, b.Setting.HatchWhenSpared())
	d.UsualLow, d.UsualHigh = float64(low)/float64(b.Set), float64(high)/float64(b.Set)
	set := b.Set - b.Broken
	fertile := set - b.Clear
	for _, f := range []struct {
		code    string
		eggs, n int
		p       float64
	}{
		{"clear", b.Clear, set, 1 - b.Setting.Fertility},
		{"blood-ring", b.BloodRing, fertile, (1 - h) * deadEarlyShare},
		{"mid", b.Mid, fertile, (1 - h) * deadMidShare},
		{"late", b.Late, fertile, (1 - h) * deadLateShare},
		{"wrong-way", b.WrongWay, fertile, wrongWayShare},
		{"pipped", b.Pipped, fertile, (1 - h) * deadPippedShare},
	} {
		if f.eggs == 0 {
			continue
		}
		x := Finding{Code: f.code, Eggs: f.eggs, Of: f.n, Usual: float64(f.n) * f.p, Chance: AtLeast(f.eggs, f.n, f.p)}
		x.Low, x.High = ShareInterval(f.eggs, f.n, 0.90)
		d.Findings = append(d.Findings, x)
	}
	for _, s := range Signs {
		if slices.Contains(b.Signs, s) {
			d.Findings = append(d.Findings, Finding{Code: s, Chance: 1, High: 1})
		}
	}
	d.Causes = b.causes(d.Findings)
	d.Little = d.Opened < fewOpened || !slices.ContainsFunc(d.Findings, func(f Finding) bool { return f.Eggs > 0 && f.Chance < chanceOfLuck })
	d.AllUsual = len(d.Causes) == 0
	return d, nil
}

func (b Breakout) check() error {
	counts := []struct {
		name string
		n    int
	}{{"broken", b.Broken}, {"clear", b.Clear}, {"blood rings", b.BloodRing}, {"dead in the middle", b.Mid}, {"dead in the shell", b.Late},
		{"wrong way round", b.WrongWay}, {"pipped and dead", b.Pipped}, {"chicks", b.Chicks}}
	if b.Set < 1 || b.Set > 100000 {
		return fmt.Errorf("eggs: %d eggs cannot have been set", b.Set)
	}
	sum := 0
	for _, c := range counts {
		if c.n < 0 || c.n > b.Set {
			return fmt.Errorf("%s: %d of %d eggs is not possible", c.name, c.n, b.Set)
		}
		if c.name != "wrong way round" {
			sum += c.n
		}
	}
	switch {
	case sum > b.Set:
		return fmt.Errorf("eggs: %d were set, but what was found and hatched are %d", b.Set, sum)
	case b.WrongWay > b.Late:
		return fmt.Errorf("wrong way round: %d is more than the %d dead in the shell, of which they are a part", b.WrongWay, b.Late)
	case math.IsNaN(b.Setting.Fertility) || b.Setting.Fertility < 0 || b.Setting.Fertility > 1:
		return fmt.Errorf("fertility: %g is not a share", b.Setting.Fertility)
	}
	for _, s := range b.Signs {
		if !slices.Contains(Signs, s) {
			return fmt.Errorf("signs: %q is not known", s)
		}
	}
	return nil
}

// causes shares the eggs beyond the usual among what may be behind them.
func (b Breakout) causes(findings []Finding) []Cause {
	weight := map[string]float64{}
	from := map[string][]string{}
	total := 0.0
	for _, f := range findings {
		beyond := f.Beyond()
		if f.Eggs == 0 {
			beyond = signEggs
		}
		if beyond <= 0 {
			continue
		}
		sum, list := 0.0, behind[f.Code]
		for _, code := range list {
			sum += b.prior(code)
		}
		for _, code := range list {
			if p := b.prior(code); p > 0 && sum > 0 {
				weight[code] += beyond * p / sum
				from[code] = append(from[code], f.Code)
			}
		}
		total += beyond
	}
	var list []Cause
	for _, c := range causeTexts {
		if weight[c.Code] > 0 {
			c.Weight, c.Share, c.From = weight[c.Code], weight[c.Code]/total, from[c.Code]
			list = append(list, c)
		}
	}
	slices.SortStableFunc(list, func(x, y Cause) int {
		switch {
		case x.Weight > y.Weight+1e-9:
			return -1
		case y.Weight > x.Weight+1e-9:
			return 1
		}
		return 0
	})
	return list
}

// prior says how far what is known of the setting speaks for a cause.
func (b Breakout) prior(code string) float64 {
	factor := func(is bool, yes, no float64) float64 {
		if is {
			return yes
		}
		return no
	}
	saved := b.Setting.SavedDays
	switch code {
	case "storage":
		return factor(saved > 7, speaksFor, 1) * factor(saved > 0 && saved <= 4, against, 1)
	case "handling":
		return factor(b.Setting.Posted, speaksFor, 1)
	case "inbred":
		return factor(b.Setting.Inbreeding >= 0.10, speaksFor, 1)
	case "damp":
		return factor(b.Weight == TooLittle, speaksFor, 1) * factor(b.Weight == OnCourse || b.Weight == TooMuch, against, 1)
	case "dry-before":
		return factor(b.Weight == TooMuch, speaksFor, 1) * factor(b.Weight == OnCourse || b.Weight == TooLittle, against, 1)
	case "not-turned", "thermometer", "hot", "cool", "dry-hatch", "stale-air", "uneven":
		return factor(b.Hen, against, 1)
	case "chilled-nest":
		return factor(b.Hen, speaksFor, 0)
	}
	return 1
}
