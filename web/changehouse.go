package web

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
)

// houseFields ask what may be told of each house, and of shade and nets outdoors. An
// empty box is not told.
func houseFields(h *holding.Holding, u measure.Units) []fieldRow {
	var rows []fieldRow
	for i, house := range h.Means.Houses {
		rows = append(rows, houseDetail(i, house.Name, u)...)
	}
	return append(rows, fieldRow{legend: say("field.house.outdoors"), fields: []field{
		toldField(quantity("netted", say("field.netted"), u, measure.AreaM2, 0, 1e6, func(h *holding.Holding) *float64 { return &h.Place.NettedM2 })),
		toldField(quantity("shade", say("field.shade"), u, measure.AreaM2, 0, 1e6, func(h *holding.Holding) *float64 { return &h.Means.ShadeM2 })),
		tick("no-shade", say("field.no_shade"), func(h *holding.Holding) *bool { return &h.Means.NoShade }),
	}})
}

func houseDetail(i int, name string, u measure.Units) []fieldRow {
	n := "house-" + strconv.Itoa(i)
	at := func(h *holding.Holding) *holding.House { return &h.Means.Houses[i] }
	length := func(code, label string, low, high float64, of func(*housing.Build) *float64) field {
		return builtField(i, func(at func(*holding.Holding) *float64) field {
			return toldField(quantity(n+"-"+code, say(label), u, measure.LengthM, low, high, at))
		}, of)
	}
	area := func(code, label string, high float64, of func(*housing.Build) *float64) field {
		return builtField(i, func(at func(*holding.Holding) *float64) field {
			return toldField(quantity(n+"-"+code, say(label), u, measure.AreaM2, 0, high, at))
		}, of)
	}
	yes := func(code, label string, of func(*housing.Build) *bool) field {
		return builtTick(i, n+"-"+code, say(label), of)
	}
	example := say("field.layers.example")
	if u == measure.US {
		example = say("field.layers.example.us")
	}
	return []fieldRow{
		{legend: say("field.house.size", name), fields: []field{
			length("length", "field.house.length", 0.3, 100, func(b *housing.Build) *float64 { return &b.LengthM }),
			length("width", "field.house.width", 0.3, 100, func(b *housing.Build) *float64 { return &b.WidthM }),
			length("height", "field.house.height", 0.3, 20, func(b *housing.Build) *float64 { return &b.HeightM }),
		}},
		{legend: say("field.house.shell", name), fields: []field{
			layersField(i, n+"-wall", say("field.house.wall", example), u, func(b *housing.Build) *housing.Section { return &b.Walls }),
			layersField(i, n+"-roof", say("field.house.roof"), u, func(b *housing.Build) *housing.Section { return &b.Roof }),
			layersField(i, n+"-floor", say("field.house.floor"), u, func(b *housing.Build) *housing.Section { return &b.Floor }),
			windowField(i, n+"-window", u),
			yes("double", "field.house.double", func(b *housing.Build) *bool { return &b.DoubleGlass }),
		}},
		{legend: say("field.house.vents", name), fields: []field{
			area("vent", "field.house.vent", 1000, func(b *housing.Build) *float64 { return &b.Vents.AreaM2 }),
			length("rise", "field.house.rise", 0, 20, func(b *housing.Build) *float64 { return &b.Vents.RiseM }),
			shelterField(i, n+"-shelter"),
		}},
		{legend: say("field.house.inside", name), fields: []field{
			smallField(n+"-litter", say("field.house.litter"), u, 100, 1, func(h *holding.Holding) *float64 { return &at(h).LitterCM }),
			draughtField(n+"-draught", u, func(h *holding.Holding) *float64 { return &at(h).DraughtMS }),
			toldField(count(n+"-pop-holes", say("field.house.pop_holes"), "", 100, false, func(h *holding.Holding) *int { return &at(h).PopHoles })),
			smallField(n+"-pop-high", say("field.house.pop_high"), u, 300, 100, func(h *holding.Holding) *float64 { return &at(h).PopHighM }),
			smallField(n+"-pop-wide", say("field.house.pop_wide"), u, 1000, 100, func(h *holding.Holding) *float64 { return &at(h).PopWideM }),
			toldField(quantity(n+"-trough", say("field.house.trough"), u, measure.LengthM, 0, 1000, func(h *holding.Holding) *float64 { return &at(h).TroughM })),
			toldField(count(n+"-drinkers", say("field.house.drinkers"), "", 5000, false, func(h *holding.Holding) *int { return &at(h).DrinkerCups })),
			tick(n+"-boards", say("field.house.boards"), func(h *holding.Holding) *bool { return &at(h).BoardsClean }),
			yes("wet", "field.house.wet", func(b *housing.Build) *bool { return &b.WetLitter }),
		}},
	}
}

// toldField makes an empty box of a figure that is zero, and zero of an empty box: both
// mean that it is not told.
func toldField(f field) field {
	get, set := f.get, f.set
	f.get = func(h *holding.Holding) string {
		if text := get(h); text != "0" {
			return text
		}
		return ""
	}
	f.set = func(h *holding.Holding, text string) error {
		if text == "" {
			text = "0"
			// The bounds are for figures that are told.
			if err := set(h, text); err == nil {
				return nil
			}
			return errNotTold
		}
		return set(h, text)
	}
	return f
}

// errNotTold asks the wrapper that knows the figure to make it zero.
var errNotTold = fmt.Errorf("not told")

// builtField joins a figure of the house's build with its box. Reading leaves a house that
// is not told as it is; writing begins to tell it.
func builtField(i int, box func(func(*holding.Holding) *float64) field, of func(*housing.Build) *float64) field {
	f := box(func(h *holding.Holding) *float64 { return of(buildOf(h, i)) })
	set := f.set
	f.set = func(h *holding.Holding, text string) error {
		b := *buildOf(h, i) // on trial: a wrong figure tells nothing
		trial := *h
		trial.Means.Houses = append([]holding.House(nil), h.Means.Houses...)
		trial.Means.Houses[i].Build = &b
		err := set(&trial, text)
		if err == errNotTold {
			*of(&b), err = 0, nil
		}
		if err == nil {
			h.Means.Houses[i].Build = &b
		}
		return err
	}
	return f
}

// buildOf is the build of a house, or an empty one that the house does not keep.
func buildOf(h *holding.Holding, i int) *housing.Build {
	if b := h.Means.Houses[i].Build; b != nil {
		return b
	}
	return &housing.Build{WindowM2: askUsualWindow}
}

// keepBuild writes into a copy of the build, so that holdings that share it stay as they
// are.
func keepBuild(h *holding.Holding, i int, change func(*housing.Build)) {
	b := *buildOf(h, i)
	change(&b)
	h.Means.Houses[i].Build = &b
}

func builtTick(i int, name, label string, of func(*housing.Build) *bool) field {
	f := tick(name, label, func(h *holding.Holding) *bool { return of(buildOf(h, i)) })
	f.set = func(h *holding.Holding, text string) error {
		keepBuild(h, i, func(b *housing.Build) { *of(b) = text == "yes" })
		return nil
	}
	return f
}

func layersField(i int, name, label string, u measure.Units, of func(*housing.Build) *housing.Section) field {
	unit := say("unit.mm")
	if u == measure.US {
		unit = "" // the figures carry theirs
	}
	return field{name: name, label: label, unit: unit, kind: "line",
		get: func(h *holding.Holding) string { return holding.LayersText(*of(buildOf(h, i)), u) },
		set: func(h *holding.Holding, text string) error {
			s, err := holding.ParseLayers(text)
			if err != nil {
				return fmt.Errorf("%s", say("field.layers.wrong", strings.TrimSuffix(err.Error(), "?")))
			}
			keepBuild(h, i, func(b *housing.Build) { *of(b) = s })
			return nil
		}}
}

// askUsualWindow marks windows that are not told until the house is complete.
const askUsualWindow = -1

// windowField is a figure of which zero is told: a house without any.
func windowField(i int, name string, u measure.Units) field {
	f := quantity(name, say("field.house.window"), u, measure.AreaM2, 0, 1000, func(h *holding.Holding) *float64 { return &buildOf(h, i).WindowM2 })
	get, set := f.get, f.set
	f.get = func(h *holding.Holding) string {
		if buildOf(h, i).WindowM2 == askUsualWindow {
			return ""
		}
		return get(h)
	}
	f.set = func(h *holding.Holding, text string) error {
		if text == "" {
			keepBuild(h, i, func(b *housing.Build) { b.WindowM2 = askUsualWindow })
			return nil
		}
		keepBuild(h, i, func(*housing.Build) {})
		return set(h, text)
	}
	return f
}

// Wind at the vents over that at 10 m, as the holding file has it.
var windParts = map[string]float64{"": 0, "sheltered": 0.3, "open": 0.65}

func shelterField(i int, name string) field {
	var choices []choice
	for _, v := range []string{"", "sheltered", "open"} {
		label := map[string]string{"": "shelter.unknown", "sheltered": "shelter.sheltered", "open": "shelter.open"}[v]
		choices = append(choices, choice{Value: v, Label: say(label)})
	}
	return choose(name, say("field.house.shelter"), choices, func(h *holding.Holding) string {
		part := buildOf(h, i).Vents.WindPart
		switch {
		case part <= 0:
			return ""
		case part > (windParts["sheltered"]+windParts["open"])/2:
			return "open"
		}
		return "sheltered"
	}, func(h *holding.Holding, v string) {
		keepBuild(h, i, func(b *housing.Build) { b.Vents.WindPart = windParts[v] })
	})
}

// smallField makes a box in centimetres or inches for a length that is kept as so many
// centimetres to the unit.
func smallField(name, label string, u measure.Units, mostCM, perUnit float64, at func(*holding.Holding) *float64) field {
	if u == measure.US {
		return scaledField(name, label, say("unit.inch"), mostCM, perUnit, measure.MMPerInch/10, at)
	}
	return scaledField(name, label, say("unit.cm"), mostCM, perUnit, 1, at)
}

const mphMS = 5280 * measure.MPerFoot / 3600

func draughtField(name string, u measure.Units, at func(*holding.Holding) *float64) field {
	const most = 10 // m/s
	if u == measure.US {
		return scaledField(name, say("field.house.draught"), say("unit.mph"), most, 1, mphMS, at)
	}
	return scaledField(name, say("field.house.draught"), say("unit.ms"), most, 1, 1, at)
}

// scaledField makes a box whose figure times shown over kept is what the holding keeps;
// most is times shown.
func scaledField(name, label, unit string, most, kept, shown float64, at func(*holding.Holding) *float64) field {
	return toldField(field{name: name, label: label, unit: unit, kind: "number",
		get: func(h *holding.Holding) string { return trim(*at(h) * kept / shown) },
		set: func(h *holding.Holding, text string) error {
			x, err := parseNumber(text, 0, most/shown)
			if err == nil {
				*at(h) = x * shown / kept
			}
			return err
		}})
}

// completeHouses fills what is left empty of a house that is told by its measures, as
// the holding file does, and drops what tells nothing. Before is the holding as it
// was. It returns a sentence for each box that is missing.
func completeHouses(h, before *holding.Holding) map[string]string {
	faults := map[string]string{}
	for i := range h.Means.Houses {
		house := &h.Means.Houses[i]
		b := house.Build
		if b == nil || reflect.DeepEqual(b, before.Means.Houses[i].Build) {
			continue
		}
		was := before.Means.Houses[i].Build
		if tellsNothing(b, was) {
			house.Build = nil
			continue
		}
		n := "house-" + strconv.Itoa(i)
		if b.LengthM == 0 {
			faults[n+"-length"] = say("field.build.length")
		}
		if b.WidthM == 0 {
			faults[n+"-width"] = say("field.build.width")
		}
		if b.LengthM == 0 || b.WidthM == 0 {
			continue
		}
		fillHouse(house, b, was)
	}
	if h.Means.NoShade && h.Means.ShadeM2 > 0 {
		faults["no-shade"] = say("field.shade.both")
	}
	return faults
}

// tellsNothing reports whether no box of the build has anything in it, or whether of a
// told house the measures alone were emptied: then it is no longer told.
func tellsNothing(b, was *housing.Build) bool {
	bare := housing.Build{WindowM2: askUsualWindow}
	if was != nil {
		bare = *was
		bare.LengthM, bare.WidthM = 0, 0
	}
	return reflect.DeepEqual(*b, bare)
}

func fillHouse(house *holding.House, b, was *housing.Build) {
	if len(b.Walls.Layers) > 0 && !house.OpenSided && (was == nil || !reflect.DeepEqual(b.Walls, was.Walls)) {
		if c, err := (housing.Build{LengthM: b.LengthM, WidthM: b.WidthM, Walls: b.Walls}).Coop(); err == nil {
			house.Insulated = c.Insulated
		}
	}
	usual := housing.UsualBuild(b.LengthM*b.WidthM, house.Insulated)
	for _, part := range []struct{ told, usual *housing.Section }{{&b.Walls, &usual.Walls}, {&b.Roof, &usual.Roof}, {&b.Floor, &usual.Floor}} {
		if len(part.told.Layers) == 0 {
			*part.told = *part.usual
		}
	}
	if b.WindowM2 == askUsualWindow {
		b.WindowM2 = usual.WindowM2
	}
}
