package holding

import (
	"math"
	"strings"
	"testing"

	"henyear/housing"
	"henyear/measure"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

const builtHouse = `pens = 2
length_m = 2.2
width_m = 1.9
wall = ["boards 18", "mineral-wool 50 between", "plywood 12"]
`

func TestAWallIsReadFromTheInsideOut(t *testing.T) {
	h, notes := mustRead(t, swap(t, small(t), "pens = 2\n", builtHouse+`roof = ["metal"]
floor = "shavings 60mm"
window_m2 = 0.4
vent_m2 = 0.3
vent_rise_m = 1.1
vent_shelter = "open"
wet_litter = true
litter_cm = 12
boards_clean = true
draught_mph = 1
pop_holes = 1
pop_high_cm = 35
pop_wide_in = 16
trough_ft = 10
drinkers = 4
`))
	house := h.Means.Houses[0]
	want := housing.Build{LengthM: 2.2, WidthM: 1.9, WindowM2: 0.4, WetLitter: true,
		Walls: housing.Section{Layers: []housing.Layer{{Material: "softwood", MM: 18}, {Material: "batt", MM: 50, Between: true}, {Material: "plywood", MM: 12}}},
		Roof:  housing.Section{Layers: []housing.Layer{{Material: "metal"}}},
		Floor: housing.Section{Layers: []housing.Layer{{Material: "shavings", MM: 60}}},
		Vents: housing.Vents{AreaM2: 0.3, RiseM: 1.1, WindPart: 0.65}}
	if d := cmp.Diff(want, *house.Build); d != "" {
		t.Error(d)
	}
	if house.LitterCM != 12 || !house.BoardsClean || math.Abs(house.DraughtMS-0.44704) > 1e-9 || house.PopHoles != 1 || house.PopHighM != 0.35 ||
		math.Abs(house.PopWideM-0.4064) > 1e-9 || math.Abs(house.TroughM-3.048) > 1e-9 || house.DrinkerCups != 4 {
		t.Errorf("%+v", house)
	}
	if !house.Insulated {
		t.Error("a wall with 50 mm of wool is not taken as insulated")
	}
	told := ""
	for _, n := range notes {
		if strings.HasPrefix(n.Field, "house") {
			told += n.String() + "\n"
		}
	}
	if want := "house[1].height_m not given: taking a mean clear height of 2 m (a guess)\n"; told != want {
		t.Errorf("told of the house:\n%s", told)
	}
}

// Sums of the layers of a published table: 18 mm of boards 0.156, 50 mm of wool 1.18,
// 12 mm of ply 0.103, films 0.15 m2 K/W.
func TestTheWallOfTheManualLetsThroughWhatItsLayersSay(t *testing.T) {
	h, _ := mustRead(t, swap(t, small(t), "pens = 2\n", builtHouse))
	u, err := h.Means.Houses[0].Build.U()
	if err != nil {
		t.Fatal(err)
	}
	clear, stud := 0.156+1.18+0.103+0.15, 0.156+0.05*8.667+0.103+0.15
	if want := 0.88/clear + 0.12/stud; math.Abs(u.Wall-want) > 0.005 {
		t.Errorf("the wall lets through %.3f W/m2K, by hand %.3f", u.Wall, want)
	}
}

func TestInchesAndFractionsOfThem(t *testing.T) {
	for text, want := range map[string]housing.Layer{
		"boards 3/4 in":                   {Material: "softwood", MM: 19.05},
		"Plywood 0.5in":                   {Material: "plywood", MM: 12.7},
		"mineral wool 1 1/2 inch between": {Material: "batt", MM: 38.1, Between: true},
		"Straw-Bale 350 mm":               {Material: "straw_bale", MM: 350},
		"air-space 90 between":            {Material: "air_space", MM: 90, Between: true},
		"tin":                             {Material: "metal"},
	} {
		l, what, right := parseLayer(text)
		if what != "" || math.Abs(l.MM-want.MM) > 1e-9 || l.Material != want.Material || l.Between != want.Between {
			t.Errorf("%q is read as %+v %s; %s", text, l, what, right)
		}
	}
}

func TestEveryMaterialHasANameThatIsRead(t *testing.T) {
	for _, m := range housing.Materials() {
		for _, units := range []measure.Units{measure.Metric, measure.US} {
			l := housing.Layer{Material: m.Key, MM: 25.4, Between: true}
			if got, what, _ := parseLayer(layerText(l, units)); what != "" || got != l {
				t.Errorf("%s is read as %+v: %s", layerText(l, units), got, what)
			}
		}
	}
	keys := map[string]bool{}
	for _, m := range housing.Materials() {
		keys[m.Key] = true
	}
	_, text := documented(t)
	for name, key := range materialNames {
		if !keys[key] {
			t.Errorf("%s stands for %s, which is no material", name, key)
		}
	}
	for key := range keys {
		if !strings.Contains(text, "`"+strings.ReplaceAll(key, "_", "-")+"`") {
			t.Errorf("the manual lacks the material %s", key)
		}
	}
}

// Whatever stands in the quotes, a layer is read or refused with a reason.
func TestAnyTextIsALayerOrAFault(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.String(), rapid.StringMatching(`(boards|wool|metal|x)?( |-)?[-0-9./einfa ]{0,9}( in| mm|mm)?( between)?`)).Draw(t, "layer")
		l, what, right := parseLayer(text)
		if what == "" {
			if _, err := l.ResistanceR(); err != nil || math.IsNaN(l.MM) {
				t.Fatalf("%q is read as %+v: %v", text, l, err)
			}
			if again, fault, _ := parseLayer(layerText(l, measure.US)); fault != "" || again != l {
				t.Fatalf("%q is written as %q and read as %+v", text, layerText(l, measure.US), again)
			}
		} else if right == "" {
			t.Fatalf("%q is refused without a remedy: %s", text, what)
		}
	})
}

func TestVentsAloneLeaveTheHouseAsUsual(t *testing.T) {
	for _, kind := range []string{"", "insulated = true\n"} {
		h, notes := mustRead(t, swap(t, small(t), "pens = 2\n", "pens = 2\nlength_m = 2.309\nwidth_m = 1.732\nvent_m2 = 0.3\n"+kind))
		house := h.Means.Houses[0]
		usual := housing.Coop{FloorM2: house.AreaM2, Insulated: house.Insulated}
		c, err := house.Build.Coop()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(c.LossWK()-usual.LossWK()) > 0.02*usual.LossWK() || c.Insulated != house.Insulated {
			t.Errorf("%.1f W/K with vents told, %.1f as usual", c.LossWK(), usual.LossWK())
		}
		fields := map[string]bool{}
		for _, n := range notes {
			fields[n.Field] = true
		}
		for _, f := range []string{"wall", "roof", "floor", "window_m2", "height_m", "vent_rise_m", "vent_shelter"} {
			if !fields["house[1]."+f] {
				t.Errorf("%s is taken silently", f)
			}
		}
	}
}

func TestAClonesHouseAndWeatherAreItsOwn(t *testing.T) {
	h, _ := mustRead(t, swap(t, swap(t, small(t), "pens = 2\n", builtHouse), "latitude = 47.0", "latitude = 47.0\nweek_memory = 0.3"))
	before := string(h.Write())
	c := h.Clone()
	b := c.Means.Houses[0].Build
	b.WindowM2, b.Walls.Layers[1].MM, b.Roof.Layers[0].Material = 1, 200, "metal"
	c.Place.Climate.Stray.WeekMemory = 0.9
	if string(h.Write()) != before {
		t.Error("changing the copy changed the holding")
	}
	if string(c.Write()) == before {
		t.Error("the copy did not change")
	}
}

const fives = "[5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5]"

func TestTheWeatherSaysWhereItComesFrom(t *testing.T) {
	h, _ := mustRead(t, swap(t, small(t), "latitude = 47.0", "latitude = 47.0\nweather_from = \"Hill station, 1991-2020\"\nday_spread_f = "+strings.ReplaceAll(fives, "5", "9")+"\n"))
	c := h.Place.Climate
	if c.From != "Hill station, 1991-2020" || c.SourceKey != weatherKey || c.Stray.SourceKey != weatherKey || math.Abs(c.Stray.DayC[0]-5) > 1e-12 {
		t.Errorf("%+v %+v", c, c.Stray)
	}
	if text := strings.Join(h.Explain(), "\n"); !strings.Contains(text, "Hill station, 1991-2020") {
		t.Errorf("what was understood does not say whose weather it is:\n%s", text)
	}
	h, _ = mustRead(t, swap(t, small(t), ownFigures, "near = \"Adelaide\"\nweather_from = \"Our yard\"\nlow_spread_c = "+fives+"\nweek_memory = 0.25\nday_memory = 0.7\n"))
	c = h.Place.Climate
	if c.Name != "Adelaide" || c.SourceKey == weatherKey || c.From != "Our yard" || c.Stray.LowC[11] != 5 || c.Stray.WeekMemory != 0.25 || c.Stray.DayMemory != 0.7 {
		t.Errorf("%+v %+v", c, c.Stray)
	}
	h, _ = mustRead(t, swap(t, small(t), "latitude = 47.0", "latitude = 47.0\nlow_spread_c = "+fives))
	if c = h.Place.Climate; c.SourceKey != keeperKey || c.Stray.SourceKey != keeperKey || c.From != "" {
		t.Errorf("%+v", c)
	}
	if h, _ = mustRead(t, small(t)); h.Place.Climate.Stray != nil || h.Means.Houses[0].Build != nil {
		t.Error("what is not told is not nil")
	}
}

func TestAWallOnOneLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := drawn{t}.section()
		for _, units := range []measure.Units{measure.Metric, measure.US} {
			got, err := ParseLayers(LayersText(want, units))
			if err != nil {
				t.Fatal(err)
			}
			for i, l := range want.Layers {
				if g := got.Layers[i]; g.Material != l.Material || g.Between != l.Between || math.Abs(g.MM-l.MM) > 0.13 {
					t.Fatalf("%s: %+v", LayersText(want, units), g)
				}
			}
		}
	})
	wall := housing.Section{Layers: []housing.Layer{{Material: "softwood", MM: 18}, {Material: "batt", MM: 50, Between: true}, {Material: "plywood", MM: 0.3}}}
	for units, want := range map[measure.Units]string{measure.Metric: "boards 18, mineral-wool 50 between, plywood 0.3", measure.US: "boards 0.71 in, mineral-wool 1.97 in between, plywood 0.01 in"} {
		if got := LayersText(wall, units); got != want {
			t.Errorf("%s is written %q", want, got)
		}
	}
	for text, want := range map[string]string{
		"boards 18, gingerbred 12":        "layer 2 is",
		"boards":                          "without its thickness",
		strings.Repeat("boards 18, ", 14): "there are 14 layers",
	} {
		if _, err := ParseLayers(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", text, err)
		}
	}
}
