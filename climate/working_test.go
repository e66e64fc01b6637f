package climate

import (
	"math"
	"testing"

	"henyear/source"
)

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

func TestWorkingsOfAPlaceReckonTheFiguresShown(t *testing.T) {
	near := func(what string, got, want, within float64) {
		t.Helper()
		if math.Abs(got-want) > within {
			t.Errorf("%s: the inputs give %.4f, the figure is %.4f", what, got, want)
		}
	}
	deg := math.Pi / 180
	for _, p := range Places() {
		w := p.ExtremeWorking()
		if p.ExtremeMinC != 0 {
			near(p.Name, shown(t, w, "coldest night"), p.ExtremeMin(), 0)
		} else {
			near(p.Name, -8.1+1.22*shown(t, w, "lowest mean low"), p.ExtremeMin(), 1e-9)
		}
		if got := HardinessZone(shown(t, p.ZoneWorking(), "coldest night")); got != HardinessZone(p.ExtremeMin()) {
			t.Errorf("%s: zone %s", p.Name, got)
		}
		year := p.Year()
		for _, slot := range []int{0, 13, 25, 40} {
			n := year[slot]
			w = n.FrostWorking()
			near("frost", 7*0.5*math.Erfc((shown(t, w, "usual low of the week"))/(shown(t, w, "spread of nights")*math.Sqrt2)), n.FrostNights, 1e-6)
			w = n.HotWorking()
			near("heat", 7*0.5*math.Erfc((32-shown(t, w, "usual high of the week"))/(shown(t, w, "spread of days")*math.Sqrt2)), n.HotDays, 1e-6)
			for _, sun := range []float64{SunUpDeg, WindowDeg, CivilDeg} {
				w = DayLengthWorking(p.LatitudeDeg, slot, sun)
				lat, decl, alt := shown(t, w, "latitude")*deg, shown(t, w, "declination of the sun")*deg, shown(t, w, "altitude of the sun")*deg
				cos := (math.Sin(alt) - math.Sin(lat)*math.Sin(decl)) / (math.Cos(lat) * math.Cos(decl))
				near(p.Name+" day", 2.0/15*math.Acos(min(1, max(-1, cos)))/deg, DayLengthH(p.LatitudeDeg, int(shown(t, w, "day of the year")), sun), 2.0/60)
			}
		}
	}
	for _, hold := range []bool{false, true} {
		l := Lamps{LatitudeDeg: 60, FloorM2: 5, HoldLongest: hold}
		w := l.LampsWorking()
		near("power", shown(t, w, "watts")/1000*shown(t, w, "lamp hours"), l.Year().KWh, 1e-9)
	}
}

func TestEveryWorkingOfAPlaceRestsOnKnownSources(t *testing.T) {
	p := Places()[0]
	bare := p
	bare.ExtremeMinC = 0
	for _, w := range []source.Working{p.ExtremeWorking(), bare.ExtremeWorking(), p.ZoneWorking(), p.ClassWorking(), p.Year()[0].FrostWorking(), p.Year()[0].HotWorking(),
		DayLengthWorking(52, 3, WindowDeg), Lamps{LatitudeDeg: 52}.LampsWorking()} {
		for _, key := range w.Keys {
			if _, ok := source.Lookup(key); !ok {
				t.Errorf("%s: no source %q", w.Code, key)
			}
		}
		if len(w.Keys) == 0 {
			t.Errorf("%s: no source", w.Code)
		}
	}
}
