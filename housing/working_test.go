package housing

import (
	"math"
	"testing"

	"henyear/source"
)

// shown reads an input of a working as a reader would.
func shown(t *testing.T, w source.Working, name string) float64 {
	t.Helper()
	for _, in := range w.Inputs {
		if in.Name == name {
			return in.Value
		}
	}
	t.Fatalf("%s: no input %q", w.Code, name)
	return 0
}

var workingCases = []struct {
	name string
	coop Coop
	w    Weather
	open float64
}{
	{"boarded, frost", Coop{FloorM2: 4.32}, Weather{OutC: -10, HumidityPct: 80, WindMS: 2}, 0.15},
	{"insulated, hard frost", Coop{FloorM2: 5, Insulated: true, AltitudeM: 900}, Weather{OutC: -30, HumidityPct: 70, WindMS: 2}, 0.3},
	{"boarded, a sunny day", Coop{FloorM2: 8, Vents: Vents{AreaM2: 1.2, RiseM: 1.5}}, Weather{OutC: 30, HumidityPct: 45, WindMS: 3, SunWM2: 700}, 1.2},
	{"shut", Coop{FloorM2: 3}, Weather{OutC: 0, HumidityPct: 90}, 0},
}

var workingBirds = []Occupant{{Kg: 2.5, EggKgDay: 0.03, Count: 9}, {Kg: 3.2, Count: 1}}

// What is shown reckons the figure again, by the formula that stands beside it.
func TestWorkingsOfTheAirReckonTheFiguresShown(t *testing.T) {
	near := func(t *testing.T, what string, got, want, within float64) {
		t.Helper()
		if math.Abs(got-want) > within {
			t.Errorf("%s: the inputs give %.4f, the figure is %.4f", what, got, want)
		}
	}
	for _, c := range workingCases {
		t.Run(c.name, func(t *testing.T) {
			in := c.coop.AtOpening(c.w, workingBirds, c.open, NightShare)

			w := c.coop.WarmthWorking(c.w, workingBirds, c.open, NightShare)
			g := func(name string) float64 { return shown(t, w, name) }
			near(t, "warmth", g("outdoors")+(g("warmth of the birds")+g("sun through the roof"))/(g("loss of the shell")+g("air")*(1006+1860*g("water outdoors"))), in.TempC, 0.02)
			near(t, "air", g("air exchanged"), in.VentM3h, 1e-9)

			w = c.coop.HumidityWorking(c.w, workingBirds, c.open, NightShare)
			most := HumidityRatio(SaturationPa(g("inside")), g("air pressure"))
			ratio := g("water outdoors") + g("water of the birds")/3.6e6/g("air")
			near(t, "falls out", max(0, ratio-most)*g("air")*3.6e6, in.CondensingGH, 0.01)
			near(t, "humidity", 100*VapourPa(min(ratio, most), g("air pressure"))/SaturationPa(g("inside")), in.HumidityPct, 0.01)

			w = c.coop.FlowWorking(c.w, workingBirds, c.open, NightShare)
			inlet := g("inlet, half of it less the mesh")
			stack := 3600 * 0.6 * inlet * math.Sqrt(max(0, 2*9.81*g("rise from low to high vents")*(g("inside")-g("outdoors"))/(g("inside")+273.15)))
			wind := 3600 * 0.3 * inlet * g("wind at the vents")
			near(t, "flow", max(math.Hypot(stack, wind), g("half an air change")), in.VentM3h, 0.01)

			w = c.coop.CO2Working(c.w, workingBirds, c.open, NightShare)
			near(t, "carbon dioxide", 400+1e6*0.000185*g("heat of the birds")/g("air exchanged"), in.CO2ppm, 0.01)

			w = c.coop.LossWorking()
			near(t, "loss", g("walls")*g("U of the walls")+g("roof")*g("U of the roof")+g("window")*g("U of the window")+g("floor")*g("U of the floor"), c.coop.LossWK(), 0.01*c.coop.LossWK())

			w = AmmoniaWorking(in, 20)
			near(t, "water added", g("water added to the air"), in.RiseGKg, 1e-12)
		})
	}
	hen := Occupant{Kg: 2.4, EggKgDay: 0.04, Count: 12}
	for _, air := range []float64{-30, -5, 20, 34} {
		w := HeatWorking(hen, air)
		g := func(name string) float64 { return shown(t, w, name) }
		got := g("birds") * (6.8*math.Pow(g("weight"), 0.75) + 25*g("egg")) * min(1.6, max(0.5, 1+0.02*(20-g("air"))))
		near(t, "heat", got, hen.Count*hen.HeatW(air), 1e-9)
	}
}

func TestTheWorkingOfLitterAddsUpItsWater(t *testing.T) {
	coop, bed := Coop{FloorM2: 5}, Litter{DepthM: 0.12, MoisturePct: 24}
	air := coop.AtOpening(Weather{OutC: 2, HumidityPct: 85, WindMS: 2}, workingBirds, 0.2, 1)
	w := bed.LitterWorking(coop, workingBirds, air)
	g := func(name string) float64 { return shown(t, w, name) }
	dry, moist := g("dry litter"), g("moisture to begin with")
	water := dry*moist/(100-moist) + g("droppings' water added") - g("dried")
	want := bed.After(coop, workingBirds, air).MoisturePct
	if got := 100 * water / (water + dry); math.Abs(got-want) > 0.01 {
		t.Errorf("the inputs give %.3f %%, the bed has %.3f %%", got, want)
	}
}

func TestTheWorkingOfAnOpeningTellsGoalAndShare(t *testing.T) {
	for _, coop := range []Coop{{FloorM2: 4}, {FloorM2: 4, OpenSided: true}} {
		for _, s := range VentPlan(coop, workingBirds) {
			w := s.VentWorking(coop)
			if w.Inputs[0].Text == "" {
				t.Errorf("%v C: goal %q has no words", s.OutC, s.Goal)
			}
			if got := shown(t, w, "open") / shown(t, w, "all vents"); math.Abs(got-s.Share) > 1e-9 {
				t.Errorf("%v C: share %.3f, shown %.3f", s.OutC, s.Share, got)
			}
		}
	}
}

func TestEveryWorkingRestsOnKnownSources(t *testing.T) {
	coop, air := Coop{FloorM2: 4}, Inside{}
	w := Weather{OutC: -5, HumidityPct: 85}
	for _, x := range []source.Working{coop.WarmthWorking(w, workingBirds, 0.1, 1), coop.HumidityWorking(w, workingBirds, 0.1, 1), coop.FlowWorking(w, workingBirds, 0.1, 1),
		coop.CO2Working(w, workingBirds, 0.1, 1), coop.LossWorking(), HeatWorking(workingBirds[0], 0), VentStepAt(coop, workingBirds, 0, VentWeather{}).VentWorking(coop),
		Litter{}.LitterWorking(coop, workingBirds, air), AmmoniaWorking(air, 20), Coop{FloorM2: 4, OpenSided: true}.WarmthWorking(w, workingBirds, 0, 1)} {
		if x.Formula == "" || len(x.Inputs) == 0 || len(x.Keys) == 0 {
			t.Errorf("%s: empty", x.Code)
		}
		for _, key := range x.Keys {
			if _, ok := source.Lookup(key); !ok {
				t.Errorf("%s: no source %s", x.Code, key)
			}
		}
	}
}
