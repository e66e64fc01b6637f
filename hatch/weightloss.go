package hatch

import (
	"fmt"
	"math"
)

// An egg loses water through its shell. By day 18 it should be lighter by 11 to
// 14 %, TargetEggG's 12 % in the middle; the loss of a day is the same all the
// way. Too heavy: the chick drowns; too light: it sticks. Steer by weight, not
// by the hygrometer. Key: hatch-egg-water-loss.
const (
	leastLossPct = 11
	mostLossPct  = 14
	lossDays     = 18
)

// WeightCheck is the same eggs weighed when they were set and again later,
// together or one by one. Eggs taken out since are left out of both weights.
type WeightCheck struct {
	SetG   float64 // all of them at setting
	NowG   float64 // all of them now
	Eggs   int
	Day    int     // of incubation, 1 to 18
	ScaleG float64 // smallest step of the scale; 0 takes 1 g
	RHPct  float64 // humidity in the machine so far; 0 not known
}

// Course is how the eggs lose water.
type Course string

const (
	OnCourse  Course = "on course"
	TooLittle Course = "too little" // lost too little: drier air
	TooMuch   Course = "too much"   // lost too much: damper air
	CannotSay Course = "cannot say" // within the error of the scale
)

// WeightLoss is what the weights say.
type WeightLoss struct {
	LossPct    float64 `json:"loss_percent"`
	LowPct     float64 `json:"low_percent"` // right for the day: low, usual, high
	UsualPct   float64 `json:"usual_percent"`
	HighPct    float64 `json:"high_percent"`
	ErrorPct   float64 `json:"error_percent"`  // by the scale
	Day18Pct   float64 `json:"day_18_percent"` // where it ends if nothing is changed
	TargetG    float64 `json:"target_g"`       // of one egg now
	NowG       float64 `json:"now_g"`          // of one egg
	Course     Course  `json:"course"`
	AimRHPct   float64 `json:"aim_rh_percent"` // humidity that brings them to 12 %; 0: not known or no change
	OutOfReach bool    `json:"out_of_reach"`   // no sensible humidity does
	LeftDays   int     `json:"days_to_lockdown"`
}

// Humidities between which a machine is steered before lockdown: below, eggs dry
// out at the next fault; above, water stands in it (guess, hatch-steer).
const (
	driestRHPct  = 20
	dampestRHPct = 75
)

// CheckWeight judges a weighing. The error names what cannot be.
func CheckWeight(c WeightCheck) (WeightLoss, error) {
	fine := func(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
	switch {
	case c.Eggs < 1 || c.Eggs > 100000:
		return WeightLoss{}, fmt.Errorf("eggs: %d eggs were not weighed; write how many lay on the scale", c.Eggs)
	case c.Day < 1 || c.Day > lossDays:
		return WeightLoss{}, fmt.Errorf("day: eggs are weighed on days 1 to %d; on day %d the weight says nothing more", lossDays, c.Day)
	case !fine(c.SetG) || c.SetG < 20*float64(c.Eggs) || c.SetG > 120*float64(c.Eggs):
		return WeightLoss{}, fmt.Errorf("weight when set: %g g for %d eggs is not possible; a hen's egg weighs 20 to 120 g", c.SetG, c.Eggs)
	case !fine(c.NowG) || c.NowG <= 0.5*c.SetG || c.NowG > 1.02*c.SetG:
		return WeightLoss{}, fmt.Errorf("weight now: %g g of %g g is not possible; weigh the same eggs", c.NowG, c.SetG)
	case !fine(c.RHPct) || c.RHPct < 0 || c.RHPct > 100:
		return WeightLoss{}, fmt.Errorf("humidity: %g %% is not possible; write 1 to 100, or leave it empty", c.RHPct)
	case !fine(c.ScaleG) || c.ScaleG < 0 || c.ScaleG > 1000:
		return WeightLoss{}, fmt.Errorf("scale: a step of %g g is not possible", c.ScaleG)
	}
	step := c.ScaleG
	if step == 0 {
		step = 1
	}
	n, share := float64(c.Eggs), float64(c.Day)/lossDays
	w := WeightLoss{
		LossPct: 100 * (c.SetG - c.NowG) / c.SetG, LowPct: leastLossPct * share, HighPct: mostLossPct * share,
		TargetG: TargetEggG(c.SetG/n, c.Day), NowG: c.NowG / n, LeftDays: lossDays - c.Day,
	}
	w.UsualPct = 100 - 100*TargetEggG(1, c.Day)
	// Each of two readings is off by at most half a step.
	w.ErrorPct = 100 * step / c.SetG
	w.Day18Pct = w.LossPct / share
	switch {
	case w.LossPct >= w.LowPct && w.LossPct <= w.HighPct:
		w.Course = OnCourse
	case w.LossPct > w.LowPct-w.ErrorPct && w.LossPct < w.HighPct+w.ErrorPct:
		w.Course = CannotSay
	case w.LossPct < w.LowPct:
		w.Course = TooLittle
	default:
		w.Course = TooMuch
	}
	if c.RHPct > 0 && w.LeftDays > 0 && (w.Course == TooLittle || w.Course == TooMuch) {
		w.AimRHPct, w.OutOfReach = aimHumidity(w.LossPct, c.Day, c.RHPct)
	}
	return w, nil
}

// aimHumidity is the humidity for the days to lockdown that brings the loss to
// TargetEggG's. Water leaves in proportion to what the air lacks, 100 - RH, while
// the temperature stays. Key: hatch-egg-diffusion.
func aimHumidity(lossPct float64, day int, rhPct float64) (aim float64, outOfReach bool) {
	left := float64(lossDays - day)
	wanted := 100 - 100*TargetEggG(1, lossDays) - lossPct
	perDayNow := lossPct / float64(day)
	if perDayNow <= 0.01 {
		return driestRHPct, true
	}
	aim = 100 - (100-rhPct)*(wanted/left)/perDayNow
	if aim < driestRHPct || aim > dampestRHPct {
		return min(dampestRHPct, max(driestRHPct, aim)), true
	}
	return math.Round(aim), false
}
