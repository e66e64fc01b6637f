package butcher

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"henyear/source"

	"pgregory.net/rapid"
)

func TestPublishedFiguresOfAButcherDay(t *testing.T) {
	checks, err := Evidence()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range checks {
		if c.Pass() == strings.HasPrefix(c.Note, "known miss") {
			t.Errorf("%s (%s): computed %.3f, published %.3f +- %.3f %s", c.ID, c.What, c.Computed, c.Published, c.Tolerance, c.Unit)
		}
	}
	if len(checks) < 50 {
		t.Errorf("only %d published figures", len(checks))
	}
}

func twelve() Input {
	return Input{Birds: 12, Class: Older, AgeWeeks: 17, LiveKg: 2.5, DressedKg: 1.63, LightKg: 1.4, HeavyKg: 1.9, People: 2, Practice: Practised, OutdoorC: 21, Start: 8 * 60}
}

// Worked by hand: two people at 4 an hour kill twelve birds in 1.5 h; with 2 h to
// set up and clean up 3.5 h. Feed goes ten hours before the middle bird, 8:45, so
// at 22:45 the evening before. 12 x 1.63 = 19.56 kg, 2 kg of ice each, 3 litres
// over 0.85 of freezer each.
func TestTwelveCockerelsAndTwoPeopleTakeAMorning(t *testing.T) {
	s, err := Day(twelve())
	if err != nil {
		t.Fatal(err)
	}
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 0.01 {
			t.Errorf("%s: %.3f, want %.3f", what, got, want)
		}
	}
	near("hours", s.TotalH.Plan, 3.5)
	near("at the longest", s.TotalH.High, 3+12.0/6)
	near("meat", s.MeatKg, 19.56)
	near("ice", s.Kit.IceKg.Plan, 39.12)
	near("freezer", s.FreezerL.Plan, 19.56*3/0.85)
	if len(s.Lots) != 1 || s.Lots[0].FeedAt != -75 {
		t.Errorf("feed is taken at %+v, want 75 minutes before midnight", s.Lots)
	}
	if s.Clock.SetUp != 7*60 || s.Clock.Last != 9*60+30 || s.Clock.Cold != 13*60+30 || s.Clock.Done != 10*60+30 {
		t.Errorf("clock %+v", s.Clock)
	}
	if s.ChillHours != 4 || s.ChillHeavy != 6 {
		t.Errorf("chill in %g and %g hours", s.ChillHours, s.ChillHeavy)
	}
	if s.RestH.Low != 48 || s.Pot != Fry {
		t.Errorf("rest %g h, %s", s.RestH.Low, s.Pot)
	}
	if s.Kit.Cones != 2 || s.Kit.Crates != 2 || s.Kit.Knives != 3 || s.Kit.Plucker {
		t.Errorf("kit %+v", s.Kit)
	}
}

func TestNoFigureIsWithoutAKnownSource(t *testing.T) {
	s, err := Day(twelve())
	if err != nil {
		t.Fatal(err)
	}
	var look func(v reflect.Value, at string)
	look = func(v reflect.Value, at string) {
		if r, is := v.Interface().(Range); is {
			if _, known := source.Lookup(r.Source); !known {
				t.Errorf("%s: %q is not in the bibliography", at, r.Source)
			}
			if !(r.Low <= r.Plan && r.Plan <= r.High) {
				t.Errorf("%s: %+v is not in order", at, r)
			}
			return
		}
		if v.Kind() == reflect.Struct {
			for i := range v.NumField() {
				look(v.Field(i), at+"."+v.Type().Field(i).Name)
			}
		}
	}
	look(reflect.ValueOf(s), "sheet")
	for _, r := range []Range{FrozenWholeMonths, FrozenPiecesMonths, FrozenGibletMonths, FridgeDays} {
		look(reflect.ValueOf(r), "kept")
	}
}

func TestClassesFollowAge(t *testing.T) {
	for _, c := range []struct {
		fast, cock bool
		weeks      float64
		want       Class
	}{{true, false, 8, FastMeat}, {false, true, 16, YoungCockerel}, {false, true, 17, Older}, {false, false, 18, Older},
		{false, false, 90, OldHen}, {false, true, 90, OldCock}, {true, false, 60, OldHen}} {
		if got := ClassOf(c.fast, c.cock, c.weeks); got != c.want {
			t.Errorf("%+v: %s", c, got)
		}
	}
}

func TestADayThatCannotBeIsRefusedInASentence(t *testing.T) {
	for name, spoil := range map[string]func(*Input){
		"no birds":            func(in *Input) { in.Birds = 0 },
		"fewer than none":     func(in *Input) { in.Birds = -3 },
		"five thousand":       func(in *Input) { in.Birds = 5000 },
		"live NaN":            func(in *Input) { in.LiveKg = math.NaN() },
		"live negative":       func(in *Input) { in.LiveKg = -2 },
		"live infinite":       func(in *Input) { in.LiveKg = math.Inf(1) },
		"dressed above live":  func(in *Input) { in.DressedKg = 3 },
		"dressed NaN":         func(in *Input) { in.DressedKg = math.NaN() },
		"nobody":              func(in *Input) { in.People = 0 },
		"a crew of two":       func(in *Input) { in.Practice = Crew },
		"weather NaN":         func(in *Input) { in.OutdoorC = math.NaN() },
		"78 degrees":          func(in *Input) { in.OutdoorC = 78 },
		"no time of day":      func(in *Input) { in.Start = 1440 },
		"unknown class":       func(in *Input) { in.Class = 9 },
		"light above mean":    func(in *Input) { in.LightKg = 1.7 },
		"heavy below mean":    func(in *Input) { in.HeavyKg = 1.5 },
		"no such practice":    func(in *Input) { in.Practice = -1 },
		"no such packing":     func(in *Input) { in.Packing = 7 },
		"age before hatching": func(in *Input) { in.AgeWeeks = -1 },
	} {
		in := twelve()
		spoil(&in)
		if _, err := Day(in); err == nil || !strings.Contains(err.Error(), ": ") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestWhateverTheDayTheSheetHangsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := Input{Birds: rapid.IntRange(1, MostBirds).Draw(t, "birds"), Class: Class(rapid.IntRange(0, 4).Draw(t, "class")),
			AgeWeeks: rapid.Float64Range(0, 300).Draw(t, "age"), LiveKg: rapid.Float64Range(0.3, 6).Draw(t, "live"),
			People: rapid.IntRange(3, 8).Draw(t, "people"), Practice: Practice(rapid.IntRange(0, 3).Draw(t, "practice")),
			OutdoorC: rapid.Float64Range(-30, 45).Draw(t, "outdoor"), Start: rapid.IntRange(0, 1439).Draw(t, "start"), Packing: Packing(rapid.IntRange(0, 1).Draw(t, "packing"))}
		in.DressedKg = in.LiveKg * rapid.Float64Range(0.5, 0.8).Draw(t, "dressing")
		s, err := Day(in)
		if err != nil {
			t.Fatal(err)
		}
		birds := 0
		for _, l := range s.Lots {
			birds += l.Birds
			if l.First-l.FeedAt < int(60*s.FastH.Low)-1 {
				t.Fatalf("a bird fasts %d minutes", l.First-l.FeedAt)
			}
			if len(s.Lots) < mostLots && l.Last-l.FeedAt > int(60*s.FastH.High)+16 {
				t.Fatalf("a bird fasts %d minutes", l.Last-l.FeedAt)
			}
		}
		if birds != in.Birds {
			t.Fatalf("%d birds in lots of %d", birds, in.Birds)
		}
		c := s.Clock
		if !(c.SetUp <= c.First && c.First <= c.Last && c.Last <= c.Giblets && c.Giblets <= c.Cold && c.Last <= c.Done && c.Freeze <= c.FreezeTo) {
			t.Fatalf("clock %+v", c)
		}
		if in.Birds < MostBirds {
			more := in
			more.Birds++
			if m, _ := Day(more); m.TotalH.Plan <= s.TotalH.Plan || m.Kit.IceKg.Plan <= s.Kit.IceKg.Plan {
				t.Fatal("one bird more costs nothing")
			}
		}
		hands := in
		hands.People++
		if m, _ := Day(hands); m.TotalH.Plan > s.TotalH.Plan {
			t.Fatal("another pair of hands made the day longer")
		}
	})
}
