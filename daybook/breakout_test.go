package daybook

import (
	"encoding/json"
	"slices"
	"testing"
)

// Thirty eggs: 4 clear and 2 dead (one a ring of blood) at the light, 18 chicks,
// and in the shells 1 ring, 1 dead in the middle, 3 full grown, 1 pipped.
func TestABreakOutAccountsForEveryEgg(t *testing.T) {
	b := &notebook{t: t}
	b.write("2026-03-01", &Setting{Setting: idOf("s"), Eggs: 30, Under: "machine"})
	b.write("2026-03-01", &Candling{Setting: idOf("s"), Weighed: 30, WeightG: 1740})
	b.write("2026-03-08", &Candling{Setting: idOf("s"), Clear: 4, Dead: 2, BloodRing: 1, Weighed: 24, WeightG: 1325, HumidityPct: 50})
	b.write("2026-03-24", &Hatch{Setting: idOf("s"), Chicks: 18, DeadInShell: 3, WrongWay: 1, PippedDead: 1, BloodRing: 1, MidDead: 1, Signs: []string{"slow"}, Group: idOf("chicks")})
	s := Replay(b.events, day("2026-03-25")).Settings()[0]
	if s.Unaccounted() != 0 || s.Dead != 4 || s.BloodRing != 2 || s.WrongWay != 1 || s.HatchRecord != b.events[3].ID {
		t.Errorf("%d eggs unaccounted for, %+v", s.Unaccounted(), s)
	}
	if want := []EggWeight{{Day: 0, Eggs: 30, WeightG: 1740}, {Day: 7, Eggs: 24, WeightG: 1325, HumidityPct: 50}}; !slices.Equal(s.Weights, want) {
		t.Errorf("%+v", s.Weights)
	}
}

func TestCandlingsAndHatchesOfTheFirstVersionAreReadAsBefore(t *testing.T) {
	for kind, payload := range map[string]string{
		"candling": `{"setting":"` + idOf("s").String() + `","clear":3}`,
		"hatch":    `{"setting":"` + idOf("s").String() + `","chicks":0,"dead_in_shell":2}`,
	} {
		e := written(t, kind, "2026-03-20", "2026-03-20T10:00:00Z", &Note{Text: "x"})
		e.Kind, e.Version, e.Payload = kind, 1, json.RawMessage(payload)
		if err := Validate(e); err != nil {
			t.Errorf("%s: %v", kind, err)
		}
	}
}

func TestWhatCannotBeFoundInAShellIsRefused(t *testing.T) {
	for name, p := range map[string]Payload{
		"more rings than dead":    &Candling{Setting: idOf("s"), Dead: 1, BloodRing: 2},
		"a weight of no eggs":     &Candling{Setting: idOf("s"), WeightG: 500},
		"eggs of a kilogram":      &Candling{Setting: idOf("s"), Weighed: 2, WeightG: 2000},
		"more wrong than dead":    &Hatch{Setting: idOf("s"), WrongWay: 1},
		"a sign that is not one":  &Hatch{Setting: idOf("s"), Signs: []string{"hiccups"}},
		"a sign noted twice":      &Hatch{Setting: idOf("s"), Signs: []string{"slow", "slow"}},
		"humidity over a hundred": &Candling{Setting: idOf("s"), HumidityPct: 120},
	} {
		if p.Validate() == nil {
			t.Errorf("%s passes", name)
		}
	}
}
