package housing

import (
	"fmt"
	"math"
	"strings"
)

// How far to open the vents. Three needs set it: birds' breath must not fall back
// on them as water; the air must not be stale; and in warmth the house must not be
// hotter than the shade outside. The first rules in frost, and there a fixed
// humidity is the wrong goal: outdoor air in hard frost is itself next to
// saturated, so that no opening brings it below 80 %.

// Goals of the plan.
const (
	WinterHumidityPct = 80.0 // Turner, Cornell Extension Bulletin 947
	MostCO2ppm        = 3000.0
	// MostRiseGKg is the water added to each kg of air above which ammonia comes
	// (Hawke Long and Wheeler 2002: 6 g/kg goes with about 10 ppm).
	MostRiseGKg = 6.0
	// WarmerK is how much warmer than outdoors a house may be in warm weather.
	WarmerK = 2.0
	// mildC is a house so cool that no vent need be opened against its warmth
	// (hens are at ease up to about 24 C).
	mildC = 20.0
	// strainC and dangerC: lay falls from daily highs of 30 C; a shade high of 36 C
	// kills heavy birds that are not used to heat (guess).
	hotC    = 30.0
	dangerC = 36.0
	// allOpenC is from where on every vent stands open (common practice).
	allOpenC   = 25.0
	hardFrostC = -10.0 // guess
	// damperPct is how far above the driest it could be a house in damp air may lie.
	damperPct = 5.0
	// worthK is the warmth for which an opening that lets water fall on the birds may
	// stay smaller than it could be (guess).
	worthK = 0.5
)

// Advice is a sentence with its code and the figures in it.
type Advice struct {
	Code string
	Args map[string]float64
	Text string
}

// VentStep is how far to open the vents at one temperature outdoors.
type VentStep struct {
	OutC    float64
	NeedM2  float64 // openings that meet the goal
	OpenM2  float64 // the same; wider in frost while that makes it drier and hardly colder; or all that the house has
	Share   float64 // of the house's vents, 0 to 1
	M3hBird float64 // air for each bird
	Inside          // air and faces with OpenM2 open
	// Goal is what the opening was chosen for: "dry" at most 80 % humidity;
	// "driest" within 5 points of the driest that vents can make it (a third of
	// the way to saturation where that is less), nothing
	// falling out of the air; "no-fog" less falls out than a thick fog holds;
	// "all-open" in warmth; "open-side".
	Goal    string
	Enough  bool // the goal is met with the vents there are
	TooCold bool // no opening brings the house to 80 % humidity
	TooHot  bool // 30 C or more inside, and no opening helps
	Advice  []Advice
}

// Words is the advice of the step as one text.
func (s VentStep) Words() string {
	var texts []string
	for _, a := range s.Advice {
		texts = append(texts, a.Text)
	}
	return strings.Join(texts, " ")
}

// VentWeather is the weather a plan of vents is made for.
type VentWeather struct {
	WindMS float64 // at 10 m; 2, light air, when zero; below zero a dead calm
	SunWM2 float64 // on the roof above 15 C; 600 when zero; below zero none, as under trees
	// HumidityPct over water at a temperature outdoors; UsualHumidityPct when nil.
	HumidityPct func(outC float64) float64
}

// UsualHumidityPct is the humidity over water of the hour that tries a house at a
// temperature: a night of 85 % up to 10 C, though in frost no more than 90 % of what
// ice allows; falling to an afternoon of 40 % at 35 C (guess).
func UsualHumidityPct(outC float64) float64 {
	usual := 85 - 45*min(1, max(0, (outC-10)/25))
	return min(usual, 90*SaturationPa(outC)/WaterPa(outC))
}

// VentPlan is the opening for every five degrees from -35 to 35 C in light air.
func VentPlan(c Coop, birds []Occupant) []VentStep {
	return VentPlanIn(c, birds, VentWeather{})
}

// VentPlanIn is VentPlan for other weather. An open-sided house has no vents to
// set: its steps tell the air it has.
func VentPlanIn(c Coop, birds []Occupant, w VentWeather) []VentStep {
	var steps []VentStep
	for out := -35.0; out <= 35; out += 5 {
		steps = append(steps, VentStepAt(c, birds, out, w))
	}
	return steps
}

// VentStepAt is the opening at one temperature outdoors. Up to 15 C it is for the
// night, above for a sunny day.
func VentStepAt(c Coop, birds []Occupant, outC float64, w VentWeather) VentStep {
	weather, share := w.at(outC), NightShare
	if outC > 15 {
		share = DayShare
	}
	have := c.VentAreaM2()
	s := VentStep{OutC: outC}
	if c.OpenSided {
		s.Goal, s.Enough, s.NeedM2, s.OpenM2, s.Share = "open-side", true, have, have, 1
		s.Inside = c.AtOpening(weather, birds, have, share)
	} else {
		s.choose(c.ladder(have, birds, func(m2 float64) Inside { return c.AtOpening(weather, birds, m2, share) }), have)
		s.Inside = c.AtOpening(weather, birds, s.OpenM2, share)
	}
	s.TooHot = s.TempC >= hotC
	if n := countOf(birds); n > 0 {
		s.M3hBird = s.VentM3h / n
	}
	s.advise(have)
	return s
}

func (w VentWeather) at(outC float64) Weather {
	at := Weather{OutC: outC, WindMS: max(0, w.WindMS)}
	if w.WindMS == 0 {
		at.WindMS = 2
	}
	if outC > 15 {
		at.SunWM2 = max(0, w.SunWM2)
		if w.SunWM2 == 0 {
			at.SunWM2 = 600
		}
	}
	humidity := w.HumidityPct
	if humidity == nil {
		humidity = UsualHumidityPct
	}
	at.HumidityPct = humidity(outC)
	return at
}

func countOf(birds []Occupant) float64 {
	n := 0.0
	for _, o := range birds {
		n += o.Count
	}
	return n
}

// rung is the house at one opening tried.
type rung struct {
	m2 float64
	in Inside
}

// ladder tries openings from shut to more than any house would have, half of its
// walls or half a square metre a bird, in steps of a twelfth; all the house has is a
// rung of its own.
func (c Coop) ladder(have float64, birds []Occupant, try func(float64) Inside) []rung {
	widest := max(2*have, c.parts().WallM2/2, 0.5*countOf(birds))
	rungs := []rung{{0, try(0)}}
	for m2 := 0.002; m2 < widest; m2 *= 13.0 / 12 {
		if last := rungs[len(rungs)-1].m2; last < have && m2 > have {
			rungs = append(rungs, rung{have, try(have)})
		}
		rungs = append(rungs, rung{m2, try(m2)})
	}
	return rungs
}

// choose takes the first goal that the house's own vents reach, or else the one
// that needs the least more.
func (s *VentStep) choose(rungs []rung, have float64) {
	driest, driestAtAll := 100.0, 100.0
	for _, r := range rungs {
		driestAtAll = min(driestAtAll, r.in.HumidityPct)
		if r.m2 <= have {
			driest = min(driest, r.in.HumidityPct)
		}
	}
	s.TooCold = driestAtAll > WinterHumidityPct
	goals := []struct {
		name string
		met  func(Inside) bool
	}{
		{"dry", func(in Inside) bool { return in.HumidityPct <= WinterHumidityPct }},
		{"driest", func(in Inside) bool {
			return in.HumidityPct <= driest+min(damperPct, (100-driest)/3) && in.CondensingGH <= 0
		}},
		{"no-fog", func(in Inside) bool { return !in.Fog }},
	}
	s.Goal, s.NeedM2 = "no-fog", math.Inf(1)
	for _, g := range goals {
		need := s.least(rungs, g.met)
		// In hard frost a last trace of rime is not worth twice the cold air.
		if g.name == "driest" && s.OutC < hardFrostC && need > 2*s.least(rungs, goals[2].met) {
			continue
		}
		if need < s.NeedM2 {
			s.Goal, s.NeedM2 = g.name, need
		}
		if need <= have {
			break
		}
	}
	s.Enough = s.NeedM2 <= have
	if s.OutC >= allOpenC {
		s.Goal, s.NeedM2 = "all-open", max(have, s.NeedM2)
	}
	s.NeedM2 = min(s.NeedM2, rungs[len(rungs)-1].m2)
	s.OpenM2 = min(have, s.NeedM2)
	if s.Goal == "no-fog" {
		s.widen(rungs, have)
	}
	s.Share = s.OpenM2 / have
}

// widen opens further, while water still falls out of the air and the wider opening
// costs next to no warmth: a house of boards has none to keep.
func (s *VentStep) widen(rungs []rung, have float64) {
	var from Inside
	for _, r := range rungs {
		switch {
		case r.m2 > have:
			return
		case r.m2 <= s.OpenM2:
			from = r.in
			if r.in.CondensingGH <= 0 {
				return
			}
		case r.in.TempC < from.TempC-worthK:
			return
		default:
			s.OpenM2 = r.m2
			if r.in.CondensingGH <= 0 {
				return
			}
		}
	}
}

// least is the smallest opening at which the air is bearable and meets a goal.
func (s *VentStep) least(rungs []rung, met func(Inside) bool) float64 {
	for _, r := range rungs {
		if s.bearable(r.in) && met(r.in) {
			return r.m2
		}
	}
	return math.Inf(1)
}

// bearable holds for every goal: fresh enough, little ammonia, not much warmer than
// the shade.
func (s *VentStep) bearable(in Inside) bool {
	return in.CO2ppm <= MostCO2ppm && in.RiseGKg <= MostRiseGKg && in.TempC <= max(s.OutC+WarmerK, mildC)
}

func advice(code string, args map[string]float64, format string, a ...any) Advice {
	return Advice{code, args, fmt.Sprintf(format, a...)}
}

// advise puts the step into words.
func (s *VentStep) advise(haveM2 float64) {
	add := func(a Advice) { s.Advice = append(s.Advice, a) }
	add(s.opening(haveM2))
	water := map[string]float64{"humidity_pct": s.HumidityPct, "water_gh": s.CondensingGH}
	switch {
	case s.Fog:
		add(advice("vents-rain", water, "About %.0f g of water an hour falls out of the air as fog, drip or rime: take droppings out daily, insulate the roof, keep fewer birds in, and never shut the vents to keep warmth.", s.CondensingGH))
	case s.TooCold && s.Goal != "open-side":
		add(advice("vents-frost-air", water, "The air outdoors is itself so damp that no opening brings the house below 80 %%; judge by dry litter and a dry roof."))
	}
	switch {
	case s.RoofWet && s.RoofC < 0:
		add(advice("vents-roof-frost", map[string]float64{"roof_c": s.RoofC}, "Frost grows under the roof and drips when it thaws; insulation there prevents it."))
	case s.RoofWet:
		add(advice("vents-roof-drip", map[string]float64{"roof_c": s.RoofC}, "The roof drips; insulate it."))
	case s.WindowWet:
		add(advice("vents-window-wet", map[string]float64{"window_c": s.WindowC}, "The window is wet or frosted; keep perches from under it."))
	}
	if s.CO2ppm > MostCO2ppm {
		add(advice("vents-stale", map[string]float64{"co2_ppm": s.CO2ppm}, "The air is stale: %.0f ppm of carbon dioxide.", s.CO2ppm))
	}
	s.heat(add)
}

func (s *VentStep) opening(haveM2 float64) Advice {
	args := map[string]float64{"need_m2": s.NeedM2, "have_m2": haveM2, "open_m2": s.OpenM2, "share_pct": math.Round(100 * s.Share)}
	switch {
	case s.Goal == "open-side":
		return advice("vents-open-sided", nil, "The open side airs the house; hang a curtain against wind and driven snow.")
	case s.NeedM2 > haveM2*1.0001 && s.OutC > 15:
		return advice("vents-and-doors", args, "Open all vents and doors: the vents have %.2f m2, and %.2f m2 would hold the house within 2 degrees of the shade.", haveM2, s.NeedM2)
	case s.NeedM2 > haveM2*1.0001:
		return advice("vents-too-small", args, "Open all vents, high ones first and none that blow on the perch: they have %.2f m2, and %.2f m2 are wanted.", haveM2, s.NeedM2)
	case s.Goal == "all-open":
		return advice("vents-all-open", args, "Open every vent.")
	case s.OpenM2 == 0:
		return advice("vents-leaks-do", args, "What leaks through the walls is enough; leave a high vent open a crack all the same.")
	}
	return advice("vents-open", args, "Open %.2f m2 of vents, %.0f %% of what there is.", s.OpenM2, 100*s.Share)
}

// heat warns of warmth that vents cannot carry off.
func (s *VentStep) heat(add func(Advice)) {
	args := map[string]float64{"inside_c": s.TempC, "heat_index_c": s.HeatIndexC}
	switch {
	case s.TempC >= dangerC:
		add(advice("vents-heat-danger", args, "No opening makes the house cooler than the shade outside, and at %.0f C heavy birds may die: shade, cool water, moving air, and birds out of the house. Ask a vet at once about birds that lie down gasping.", s.TempC))
	case s.TooHot:
		add(advice("vents-heat", args, "Hens pant and lay less at %.0f C: shade the roof, keep water cool, let wind through.", s.TempC))
	}
}
