package report

import (
	"slices"

	"henyear/housing"
	"henyear/measure"
)

// Figures of air in the reader's units, which package measure does not know.

const (
	cm2PerM2     = 1e4
	in2PerFoot2  = 144
	msPerMPH     = 0.44704 // exact, by the international foot (from memory)
	minutesAHour = 60
)

// opening writes an area of vents: in cm2, or in square inches.
func opening(u measure.Units, m2 float64) string {
	v, unit := openingIn(u, m2)
	return Number(v, 0) + "\u00a0" + unit
}

// openingIn is an area of vents to two digits: nobody sets a slot to a square
// centimetre.
func openingIn(u measure.Units, m2 float64) (float64, string) {
	if u == measure.US {
		return measure.Significant(m2/measure.M2PerFoot2*in2PerFoot2, 2), "sq\u00a0in"
	}
	return measure.Significant(m2*cm2PerM2, 2), "cm²"
}

func speed(u measure.Units, ms float64) string {
	if u == measure.US {
		return Number(ms/msPerMPH, 0) + "\u00a0mph"
	}
	return Number(ms, decimalsBelow(ms, 3)) + "\u00a0m/s"
}

// flow writes air exchanged: m3 an hour, or cubic feet a minute.
func flow(u measure.Units, m3h float64) string {
	if u == measure.US {
		v, unit := u.Show(measure.VolumeL, m3h*1000/minutesAHour)
		return Number(v, 0) + "\u00a0" + unit + "/min"
	}
	return Number(m3h, 0) + "\u00a0m³/h"
}

// degrees writes a difference of temperatures.
func degrees(u measure.Units, k float64) string {
	if u == measure.US {
		return Number(k*1.8, 1) + "\u00a0°F"
	}
	return Number(k, 1) + "\u00a0°C"
}

// waterOut writes grams of water, to two digits: ounces in US units.
func waterOut(u measure.Units, g float64) string {
	if u == measure.US {
		return Number(g/measure.GPerOunce, 1) + "\u00a0oz"
	}
	return Number(measure.Significant(g, 2), 0) + "\u00a0g"
}

// area writes floor or run: a tenth of a square metre matters, of a square foot not.
func area(u measure.Units, m2 float64) string {
	if u == measure.US {
		return Quantity(u, measure.AreaM2, m2, 0)
	}
	return Quantity(u, measure.AreaM2, m2, decimalsBelow(m2, 30))
}

func temp(u measure.Units, c float64) string { return Quantity(u, measure.TempC, c, 0) }

// AdviceWords writes a piece of advice on air by its code, in the reader's units. A
// code without words keeps the text it came with.
func AdviceWords(u measure.Units, a housing.Advice) string {
	var args []string
	switch a.Code {
	case "vents-and-doors", "vents-too-small":
		args = []string{opening(u, a.Args["have_m2"]), opening(u, a.Args["need_m2"])}
	case "vents-open":
		args = []string{opening(u, a.Args["open_m2"]), Number(a.Args["share_pct"], 0) + "\u00a0%"}
	case "vents-rain":
		args = []string{waterOut(u, a.Args["water_gh"])}
	case "vents-stale":
		args = []string{whole(a.Args["co2_ppm"])}
	case "vents-heat", "vents-heat-danger":
		args = []string{temp(u, a.Args["inside_c"])}
	}
	code := "place." + a.Code
	if _, ok := english[code]; !ok {
		return a.Text
	}
	return say(code, args...)
}

// openings are the codes that say how far to open; the table of vents says it for
// each temperature.
var openings = []string{"vents-open", "vents-too-small", "vents-and-doors", "vents-all-open", "vents-leaks-do", "vents-open-sided"}

// VentNote is advice that holds over a range of temperatures outdoors.
type VentNote struct{ When, Words string }

// VentNotes gathers what is said beside the openings, each once, with the
// temperatures at which it holds; the words are those of the hardest of them.
func (p *PlaceHouse) VentNotes(u measure.Units) []VentNote {
	type span struct {
		low, high float64
		words     housing.Advice
		worst     float64
	}
	var codes []string
	spans := map[string]*span{}
	for _, s := range p.steps {
		for _, advice := range s.Advice {
			if slices.Contains(openings, advice.Code) && !slices.Contains([]string{"vents-too-small", "vents-and-doors", "vents-open-sided"}, advice.Code) {
				continue
			}
			weight := advice.Args["water_gh"] + advice.Args["need_m2"] + advice.Args["inside_c"] + advice.Args["co2_ppm"]
			known, ok := spans[advice.Code]
			if !ok {
				codes = append(codes, advice.Code)
				spans[advice.Code] = &span{s.OutC, s.OutC, advice, weight}
				continue
			}
			known.high = s.OutC
			if weight > known.worst {
				known.words, known.worst = advice, weight
			}
		}
	}
	var list []VentNote
	for _, code := range codes {
		s := spans[code]
		when := say("vents.at", temp(u, s.low))
		if s.high > s.low {
			when = say("vents.from_to", temp(u, s.low), temp(u, s.high))
		}
		if code == "vents-open-sided" {
			when = say("vents.always")
		}
		list = append(list, VentNote{when, AdviceWords(u, s.words)})
	}
	return list
}

// AdviceWords of a bed: what to do about its air.
func (b PlaceBed) Advice(u measure.Units) string { return AdviceWords(u, b.advice) }

// Words of a bed: how it does in the usual weather of its season, and in how many
// days it cakes if nobody touches it.
func (b PlaceBed) Words(u measure.Units) string {
	cake := say("bed.never")
	switch {
	case b.CakeDays == 0:
		cake = say("bed.caked")
	case b.CakeDays > 0:
		cake = say("bed.days", whole(b.CakeDays))
	}
	return say("place.bed."+b.Season, temp(u, b.MeanC), temp(u, b.InC), cake)
}

// HeatWords says what the birds give off, at 0 C and at 20 C in the house.
func (p *PlaceHouse) HeatWords(u measure.Units) string {
	var cold, mild PlaceHeat
	for _, h := range p.Heat {
		switch h.AirC {
		case 0:
			cold = h
		case 20:
			mild = h
		}
	}
	kg := func(gh float64) string { return Quantity(u, measure.MassKg, gh*24/1000, 1) }
	return say("heat.words", whole(p.Birds), temp(u, 0), whole(measure.Significant(cold.HeatW, 2)), kg(cold.VapourGH), temp(u, 20), whole(measure.Significant(mild.HeatW, 2)), kg(mild.VapourGH))
}

// HeatTable is what the birds of the house give off.
func (p *PlaceHouse) HeatTable(u measure.Units) Table {
	t := Table{Caption: say("heat.caption", whole(p.Birds)), Head: []Column{{say("heat.air"), true}, {say("heat.total"), false}, {say("heat.warmth"), false}, {say("heat.water"), false}}}
	for _, h := range p.Heat {
		t.Rows = append(t.Rows, []string{temp(u, h.AirC), whole(h.HeatW), whole(h.WarmthW), waterOut(u, h.VapourGH)})
	}
	return t
}

func weightUnit(u measure.Units) string {
	if u == measure.US {
		return "oz"
	}
	return "g"
}

// ShutWords says what shut vents would do on the coldest night, and why not.
func (p *PlaceHouse) ShutWords(u measure.Units) string {
	if p.OpenSided || p.Birds <= 0 {
		return ""
	}
	s := p.Shut
	why := "vents.shut.frost"
	if s.OutC > 0 {
		why = "vents.shut.mild"
	}
	return say("vents.shut", temp(u, s.OutC), degrees(u, s.WarmerK), waterOut(u, s.FallingGH), waterOut(u, s.OpenGH)) + " " + say(why)
}

// Warnings are what no setting of the vents mends.
func (p *PlaceHouse) Warnings(u measure.Units) []string {
	var list []string
	for _, s := range p.steps {
		if s.Fog {
			list = append(list, say("warn.damp", temp(u, hardest(p.steps, func(s housing.VentStep) bool { return s.Fog }))))
			break
		}
	}
	if want, out := p.tooSmall(); want > 0 {
		list = append(list, say("warn.small", opening(u, p.VentM2), opening(u, want), temp(u, out)))
	}
	for _, s := range p.steps {
		if s.TooHot && s.OutC <= p.Hot.HighC+1 {
			list = append(list, say("warn.hot", temp(u, s.OutC), temp(u, s.TempC)))
			break
		}
	}
	hottest := 0.0
	for _, at := range p.Hot.Hours {
		hottest = max(hottest, at.InC)
	}
	if hottest >= deadlyC {
		list = append(list, say("warn.danger", temp(u, hottest)))
	}
	for _, at := range p.Cold.Hours {
		if at.CO2ppm > housing.MostCO2ppm {
			list = append(list, say("warn.stale", whole(at.CO2ppm)))
			break
		}
	}
	return list
}

// deadlyC is the air that kills heavy birds which are not used to it (guess, as in
// the advice on vents).
const deadlyC = 36

// hardest is the mildest temperature at which something still holds in frost.
func hardest(steps []housing.VentStep, holds func(housing.VentStep) bool) float64 {
	out := steps[0].OutC
	for _, s := range steps {
		if holds(s) {
			out = s.OutC
		}
	}
	return out
}

// tooSmall is the widest opening wanted in cold beyond what there is, and when.
func (p *PlaceHouse) tooSmall() (wantM2, outC float64) {
	for _, s := range p.steps {
		if s.OutC <= 15 && s.NeedM2 > p.VentM2*1.0001 && s.NeedM2 > wantM2 {
			wantM2, outC = s.NeedM2, s.OutC
		}
	}
	return wantM2, outC
}
