package housing

import (
	"math"
	"testing"

	"henyear/climate"

	"pgregory.net/rapid"
)

func timber(woolMM, ventM2 float64) Coop {
	wall := Section{Layers: []Layer{{Material: "softwood", MM: 18}, {Material: "batt", MM: woolMM}, {Material: "softwood", MM: 18}}}
	c, err := Build{LengthM: 3, WidthM: 2, Walls: wall, Roof: wall, Floor: wall, Vents: Vents{AreaM2: ventM2}}.Coop()
	if err != nil {
		panic(err)
	}
	return c
}

func TestVentsThatLetEnoughThroughAreOpenedByHabit(t *testing.T) {
	birds := []Occupant{{2.5, 0.02, 12}}
	rapid.Check(t, func(t *rapid.T) {
		out, humidity, wind := rapid.Float64Range(-40, 25).Draw(t, "C"), rapid.Float64Range(20, 100).Draw(t, "%"), rapid.Float64Range(0, 12).Draw(t, "m/s")
		vent := rapid.Float64Range(0.0001, 2).Draw(t, "m2")
		c := timber(50, vent)
		habit, night := c.Night(out, humidity, wind, birds), c.VentedNight(out, humidity, wind, birds)
		if night.VentM3h > habit.VentM3h+1e-6 || night.TempC < habit.TempC-1e-6 || night.CondensingGH < habit.CondensingGH-1e-6 {
			t.Fatalf("told vents %+v, habit %+v", night, habit)
		}
		if night.VentM3h >= habit.VentM3h && night != habit {
			t.Fatalf("enough air is not the habit's night: %+v %+v", night, habit)
		}
		c.Vents.AreaM2 = 0
		if c.VentedNight(out, humidity, wind, birds) != c.Night(out, humidity, wind, birds) {
			t.Fatal("vents that are not told change the night")
		}
		c.Vents.AreaM2, c.OpenSided = vent, true
		if c.VentedNight(out, humidity, wind, birds) != c.Night(out, humidity, wind, birds) {
			t.Fatal("vents change the night of an open side")
		}
	})
}

// As the published balance of a coop of twelve hens at -10 C has it: hardly any air
// gains three degrees or so and rains on the birds.
func TestTwelveHensBehindShutVents(t *testing.T) {
	birds := []Occupant{{2.5, 0.04, 12}}
	open, shut := timber(50, 0.6).VentedNight(-10, 80, 1, birds), timber(50, 0.0001).VentedNight(-10, 80, 1, birds)
	if gain := shut.TempC - open.TempC; gain < 2 || gain > 6 || open.Condensation || !shut.Condensation || shut.CondensingGH < 30 {
		t.Errorf("shut vents gain %.1f C; open %+v, shut %+v", gain, open, shut)
	}
}

func TestHousesTogetherLoseWhatTheyLoseApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var list []Coop
		loss, floor, vents := 0.0, 0.0, 0.0
		for range rapid.IntRange(1, 4).Draw(t, "houses") {
			c := Coop{FloorM2: rapid.Float64Range(0.25, 50).Draw(t, "m2"), Insulated: rapid.Bool().Draw(t, "insulated"), AltitudeM: 300}
			if rapid.Bool().Draw(t, "built") {
				c = timber(rapid.Float64Range(0, 200).Draw(t, "wool"), rapid.Float64Range(0.01, 1).Draw(t, "vent"))
				c.AltitudeM = 300
			}
			list = append(list, c)
			loss, floor, vents = loss+c.LossWK(), floor+c.FloorM2, vents+c.VentAreaM2()
		}
		all := Together(list...)
		if math.Abs(all.LossWK()-loss) > 1e-9*loss || math.Abs(all.FloorM2-floor) > 1e-9*floor || math.Abs(all.VentAreaM2()-vents) > 1e-9*vents {
			t.Fatalf("%+v of %+v", all, list)
		}
		if math.Abs(all.AltitudeM-300) > 1e-6 {
			t.Fatalf("at %g m", all.AltitudeM)
		}
	})
	one := timber(50, 0.3)
	if Together(one) != one {
		t.Error("one house is itself")
	}
	if none := Together(); none.FloorM2 != 0 || math.IsNaN(none.LossWK()) {
		t.Errorf("no house is %+v", none)
	}
}

func TestABedIsWettestAtTheEndOfTheWinterAndDriesInSummer(t *testing.T) {
	p, err := climate.FindPlace("Helsinki")
	if err != nil {
		t.Fatal(err)
	}
	birds := []Occupant{{2.5, 0.02, 9}}
	bed := BedYear(timber(50, 0.5), birds, p.Year(), Litter{DepthM: 0.1, Share: 0.5})
	if bed[10].LitterPct <= bed[46].LitterPct || bed[28].LitterPct >= 35 {
		t.Errorf("litter holds %.0f %% in November, %.0f %% in March, %.0f %% in July", bed[46].LitterPct, bed[10].LitterPct, bed[28].LitterPct)
	}
	if c := bed[2].Ammonia.Class; c != "frozen" {
		t.Errorf("January's ammonia is %q", c)
	}
	clean := BedYear(timber(50, 0.5), birds, p.Year(), Litter{DepthM: 0.1, Share: 0.25})
	for slot := range bed {
		if clean[slot].LitterPct > bed[slot].LitterPct {
			t.Fatalf("slot %d: fewer droppings wet the bed more", slot)
		}
	}
}
