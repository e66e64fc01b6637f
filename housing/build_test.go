package housing

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"henyear/source"

	"pgregory.net/rapid"
)

// The table was worked out with the library psychrolib 1.1.1 from npm, which
// follows the ASHRAE Handbook of 2017; its humidity is over ice below 0 C.
func TestMoistAirAgreesWithAnIndependentLibraryWithinHalfAPercent(t *testing.T) {
	f, err := os.Open("testdata/moist_air_reference.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 90 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, r := range rows[1:] {
		var v [9]float64
		for i := range v {
			if v[i], err = strconv.ParseFloat(r[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		temp, rh, pressure := v[0], v[1], v[2]
		vapour := rh / 100 * SaturationPa(temp)
		ratio := HumidityRatio(vapour, pressure)
		share := func(what string, got, want float64) {
			t.Helper()
			if math.Abs(got-want) > 0.005*math.Abs(want) {
				t.Errorf("%s at %g C, %g %%, %g Pa: %g, reference %g", what, temp, rh, pressure, got, want)
			}
		}
		share("saturation pressure", SaturationPa(temp), v[3])
		share("humidity ratio", ratio, v[4])
		share("volume", DryAirM3Kg(temp, ratio, pressure), v[5])
		share("enthalpy above -40 C", EnthalpyKJKg(temp, ratio)+41, v[6]+41)
		near(t, "dew point", DewPointC(vapour), v[7], 0.05)
		within := 0.1
		if math.Abs(v[8]) < 0.5 {
			within = 0.6 // about freezing a wick wet with water and one of ice both balance
		}
		near(t, "wet bulb", WetBulbC(temp, 100*vapour/WaterPa(temp), pressure), v[8], within)
	}
}

// A house of 2.4 by 1.8 m worked by hand: walls 9.94 W/K, window 3.5, roof 2.8, floor 4.3.
func TestLayersAddUpToTheHeatAHouseLetsThrough(t *testing.T) {
	wall := Section{Layers: []Layer{{"plywood", 9, false}, {"batt", 55, false}, {"plywood", 12, false}}}
	b := Build{LengthM: 2.4, WidthM: 1.8, HeightM: 2, Walls: wall, Roof: wall,
		Floor: Section{Layers: []Layer{{"shavings", 60, false}}}, WindowM2: 0.6}
	u, err := b.U()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "wall R", 1/u.Wall, 0.077+1.297+0.103+0.150, 0.005)
	near(t, "walls, m2", u.WallM2, 16.2, 0.01)
	near(t, "walls, W/K", u.Wall*u.WallM2, 9.94, 0.1)
	near(t, "roof, W/K", u.Roof*u.RoofM2, 2.82, 0.05)
	near(t, "window, W/K", u.Window*u.WindowM2, 3.82, 0.01)
	near(t, "floor, W/K", u.Floor*u.FloorM2, 4.40, 0.1)
	near(t, "all", u.LossWK, 9.94+2.82+3.82+4.40, 0.25)
	c, err := b.Coop()
	if err != nil || !c.Insulated || c.LossWK() != u.LossWK {
		t.Errorf("%+v, %v", c, err)
	}
}

func TestStudsAreABridgeForHeat(t *testing.T) {
	with, _ := Section{Layers: []Layer{{"batt", 90, true}}}.R()
	without, _ := Section{Layers: []Layer{{"batt", 90, false}}}.R()
	half, _ := Section{Layers: []Layer{{"batt", 90, true}}, StudShare: 0.5}.R()
	if !(half < with && with < without) {
		t.Errorf("R %.2f with studs, %.2f half studs, %.2f without", with, half, without)
	}
}

func TestMetalSheetIsNothingButItsFilms(t *testing.T) {
	r, err := Section{Layers: []Layer{{"metal", 0.7, false}}}.R()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "R", r, 0.150, 1e-9)
}

func TestHousesThatCannotBeAreRefusedInWords(t *testing.T) {
	metal := Section{Layers: []Layer{{"metal", 1, false}}}
	for _, b := range []Build{
		{}, {LengthM: -1, WidthM: 2}, {LengthM: math.NaN(), WidthM: 1}, {LengthM: 2, WidthM: 2, HeightM: 50},
		{LengthM: 1, WidthM: 1, HeightM: 1, WindowM2: 9},
		{LengthM: 2, WidthM: 2, Walls: Section{Layers: []Layer{{"gold", 1, false}}}},
		{LengthM: 2, WidthM: 2, Roof: Section{Layers: []Layer{{"eps", -3, false}}}},
		{LengthM: 2, WidthM: 2, Walls: metal, WindowM2: -1},
	} {
		if _, err := b.Coop(); err == nil {
			t.Errorf("%+v passes", b)
		}
	}
}

func TestMaterialsAreSourcedAndTellTheirResistance(t *testing.T) {
	seen := map[string]bool{}
	for _, m := range Materials() {
		if _, ok := source.Lookup(m.SourceKey); !ok || seen[m.Key] || m.Name == "" {
			t.Errorf("%+v", m)
		}
		seen[m.Key] = true
		if _, err := (Layer{Material: m.Key, MM: 20}).ResistanceR(); err != nil {
			t.Error(err)
		}
	}
}

// 0.06 m2 in and as much out, 1.5 m apart, 4.3 K warmer inside; wind of 2 m/s askew.
func TestAirThroughOpeningsWorkedByHand(t *testing.T) {
	near(t, "stack", StackM3h(0.06, 1.5, 4.3, 0), 88, 1)
	near(t, "wind", WindM3h(0.06, 2), 130, 1)
	c := Coop{FloorM2: 4, Vents: Vents{RiseM: 1.5, WindPart: 1, Free: 1}}
	near(t, "both", c.OpeningM3h(0.12, 4.3, 0, 2), math.Hypot(88, 130), 1.5)
	near(t, "shut", c.OpeningM3h(0, 4.3, 0, 2), 4, 1e-9)
}

// Twelve hens in the house above, mean of the day, outdoors 80 %; temperature,
// humidity, vapour and what condenses, g/h, worked apart from this program.
func TestSteadyHouseAgreesWithATableWorkedApart(t *testing.T) {
	hens := []Occupant{{2.5, 0.04, 12}}
	shell := UValues{Wall: 1 / 1.63, Roof: 1 / 1.63, Floor: 1, Window: 1 / 0.17, WallM2: 16.2, RoofM2: 4.6, FloorM2: 4.32, WindowM2: 0.6, LossWK: 20.61}
	for _, r := range []struct {
		wet                         bool
		out, vent, in, rh, gh, out2 float64
	}{
		{false, -10, 12, -2.0, 100, 74, 45}, {true, -10, 12, -3.2, 100, 124, 100},
		{false, -10, 30, -3.6, 100, 75, 20}, {true, -10, 30, -4.5, 100, 126, 79},
		{false, -10, 60, -5.1, 97, 77, 0}, {true, -10, 60, -5.9, 100, 128, 57},
		{false, -10, 120, -6.7, 89, 79, 0}, {true, -10, 120, -7.3, 100, 131, 30},
		{false, -10, 240, -8.0, 87, 80, 0}, {true, -10, 240, -8.3, 98, 132, 0},
		{false, 0, 30, 5.6, 85, 70, 0}, {true, 0, 30, 4.8, 100, 110, 20},
		{false, 0, 60, 4.3, 76, 70, 0}, {true, 0, 60, 3.7, 91, 112, 0},
		{false, 0, 120, 2.9, 75, 71, 0}, {true, 0, 120, 2.5, 83, 114, 0},
		{false, 10, 60, 13.5, 74, 74, 0}, {true, 10, 60, 13.2, 78, 96, 0},
	} {
		c := Coop{FloorM2: 4.32, Insulated: true, WetLitter: r.wet, shell: &shell}
		in := c.AtFlow(Weather{OutC: r.out, HumidityPct: 80}, hens, r.vent, 1)
		near(t, "inside", in.TempC, r.in, 0.15)
		near(t, "humidity", in.HumidityPct, r.rh, 1.5)
		near(t, "vapour", in.VapourGH, r.gh, 0.02*r.gh+1)
		near(t, "condensing", in.CondensingGH, r.out2, 3)
	}
	in := Coop{FloorM2: 4.32, Insulated: true, shell: &shell}.AtFlow(Weather{OutC: -10, HumidityPct: 80}, hens, 60, 1)
	near(t, "wall face", in.WallC, -5.5, 0.1)
	near(t, "frost point", in.DewC, -5.5, 0.15)
	if !in.WindowWet {
		t.Error("the window stays dry")
	}
}

func TestAirAtTheHabitsFlowIsThatOfTheNight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Coop{
			FloorM2: rapid.Float64Range(1, 30).Draw(t, "floor"), Insulated: rapid.Bool().Draw(t, "insulated"),
			WetLitter: rapid.Bool().Draw(t, "wet"), AltitudeM: rapid.Float64Range(0, 3000).Draw(t, "altitude"),
			OpenSided: rapid.Bool().Draw(t, "open"),
		}
		birds := []Occupant{{rapid.Float64Range(0.5, 5).Draw(t, "kg"), 0.03, rapid.Float64Range(0, 60).Draw(t, "count")}}
		out, rh := rapid.Float64Range(-40, 40).Draw(t, "out"), rapid.Float64Range(5, 100).Draw(t, "humidity")
		night := c.Night(out, rh, 2, birds)
		in := c.AtFlow(Weather{OutC: out, HumidityPct: rh, WindMS: 2}, birds, c.Ventilation(out, birds), NightShare)
		same := func(what string, a, b, tolerance float64) {
			if math.Abs(a-b) > tolerance {
				t.Fatalf("%s: %g, night %g", what, a, b)
			}
		}
		same("temperature", in.TempC, night.TempC, 1e-6)
		same("humidity", in.HumidityPct, night.HumidityPct, 1e-4)
		same("water", in.CondensingGH, night.CondensingGH, 1e-3)
		if !c.OpenSided {
			same("carbon dioxide", in.CO2ppm, night.CO2ppm, 0.01)
		}
	})
}

func TestHeatTableOfAHenAndOfAMeatBird(t *testing.T) {
	rows := HeatTable(Occupant{Kg: 2.5, EggKgDay: 0.04}, true, 0, 20, 30, 35)
	for i, want := range [][3]float64{{20.3, 13.6, 6.7}, {14.5, 9.7, 4.8}, {11.6, 6.7, 4.9}, {10.2, 4.2, 6.0}} {
		near(t, "total", rows[i].TotalW, want[0], 0.06)
		near(t, "sensible", rows[i].SensibleW, want[1], 0.1)
		near(t, "latent", rows[i].LatentW, want[2], 0.1)
	}
	near(t, "meat bird of 2 kg", OccupantOf("meat", 6, 2, 0, 0, 1).HeatAt20W(), 17.9, 0.05)
	near(t, "hen of 5 eggs of 56 g", OccupantOf("hen", 40, 2.5, 5, 56, 1).EggKgDay, 0.04, 1e-9)
	if OccupantOf("hen", 10, 1.2, 5, 56, 1).EggKgDay != 0 || OccupantOf("cock", 60, 3, 5, 56, 1).EggKgDay != 0 {
		t.Error("growers and cocks lay")
	}
}
