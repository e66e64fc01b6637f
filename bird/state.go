package bird

// Stage is what a bird does in a week.
type Stage uint8

const (
	Growing Stage = iota // not begun to lay; every cock
	Ramping              // laying, coming into full lay
	Laying
	Broody // broken early: no eggs
	Moulting
	Waiting // in new feather, waiting for longer days
	Gone
)

func (s Stage) String() string {
	return [...]string{"growing", "coming into lay", "laying", "broody", "moulting", "waiting", "gone"}[s]
}

// State is the state of one bird: its stage, how far through it is (a step of
// ramping, laying or moulting, or the second week of broodiness), and its laying
// year less one.
type State struct {
	Stage Stage
	Step  uint8
	Year  uint8
}

// MoultChance of a hen in lay, by laying year less one.
func (w *Week) MoultChance(year int) float64 {
	if year == 0 {
		return w.MoultPullet
	}
	return w.MoultHen
}

// BroodyChance of a hen in full lay that does not moult.
func (w *Week) BroodyChance(year int) float64 {
	if year == 0 {
		return pulletBroody * w.GoBroody
	}
	return w.GoBroody
}

// Settled is a number so high that a hen in full lay for whom Next draws it, or
// more, stays as she is, in whatever laying year: most hens in most weeks.
func (w *Week) Settled() float64 {
	m := max(w.MoultPullet, w.MoultHen)
	sits := m + (1-m)*w.GoBroody
	return sits + (1-sits)*layStepChance
}

// EggChance is the chance of an egg on a day of the week of a hen in state s.
func (l *Law) EggChance(s State, w *Week) float64 {
	full := w.EggADay
	if s.Year > 0 {
		full = w.LaterDay * l.yearRate[s.Year]
	}
	switch s.Stage {
	case Ramping:
		return full * rampShare[s.Step]
	case Laying:
		return full * l.cycle[min(s.Year, 1)][s.Step]
	}
	return 0
}

// OneEggKg is the mass of one egg of a hen in state s.
func (l *Law) OneEggKg(s State, w *Week) float64 {
	if s.Year > 0 {
		return w.EggKg * laterEggFactor
	}
	return w.EggKg
}

// FeedKg is what a bird in state s eats in the week when she lays eggs eggs.
func (l *Law) FeedKg(s State, w *Week, eggs float64) float64 {
	if s.Stage == Growing {
		return w.GrowingKg
	}
	return w.HenFeedKg + eggs*l.OneEggKg(s, w)*w.EggFeed
}

// Next draws the state in week w of a living bird that was in state s the week
// before, from one uniform number u, 0 <= u < 1. Losses are drawn apart, with
// LossOther and LossRaid, and end the bird.
func (l *Law) Next(s State, w *Week, u float64) State {
	year := int(s.Year)
	switch s.Stage {
	case Growing:
		if u < w.Begin {
			return State{Stage: Ramping}
		}
	case Ramping:
		if int(s.Step)+1 < rampWeeks {
			s.Step++
			return s
		}
		return State{Stage: Laying, Year: s.Year}
	case Laying:
		m, b := w.MoultPullet, w.GoBroody
		if year > 0 {
			m = w.MoultHen
		} else {
			b *= pulletBroody
		}
		if u < m {
			return State{Stage: Moulting, Step: uint8(w.MoultFrom), Year: s.Year}
		}
		sits := m + (1-m)*b
		if u < sits {
			return State{Stage: Broody, Year: s.Year}
		}
		if int(s.Step)+1 < layStages && u < sits+(1-sits)*layStepChance {
			s.Step++
		}
	case Broody:
		if s.Step == 0 && u < w.StaysBroody {
			s.Step = 1
			return s
		}
		return State{Stage: Laying, Step: afterBroody, Year: s.Year}
	case Moulting:
		if u >= w.MoultStep {
			return s
		}
		if int(s.Step)+1 < moultSteps {
			s.Step++
			return s
		}
		return State{Stage: Waiting, Year: s.Year}
	case Waiting:
		if u < w.Resume {
			return State{Stage: Ramping, Year: uint8(min(Years-1, year+1))}
		}
	}
	return s
}
