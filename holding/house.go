package holding

import (
	"fmt"
	"slices"
	"strings"

	"henyear/housing"
	"henyear/measure"
)

func (s *section) houses() []House {
	var houses []House
	pens := 0
	if !s.has("house") {
		s.missing("house", "write [[house]] with area_m2 and pens at least once")
	}
	for i, p := range s.list("house", MaxHouses) {
		h := p.house(fmt.Sprintf("house %d", i+1))
		pens += h.Pens
		p.unknown()
		if slices.ContainsFunc(houses, func(o House) bool { return o.Name == h.Name }) {
			p.fault(p.node.line, "name", fmt.Sprintf("is %q, as another house's", cut(h.Name)), "give each house its own name")
		}
		houses = append(houses, h)
	}
	if pens > MaxPens {
		s.fault(s.find("house").line, "house", fmt.Sprintf("has %d pens in all, more than %d", pens, MaxPens), "count only pens with their own birds")
	}
	return houses
}

func (s *section) house(name string) House {
	h := House{Name: name}
	if written, given := s.text("name"); given {
		h.Name = written
	}
	h.AreaM2 = s.quantityMust("area", areaUnits, span{low: 0.25, high: 1e5}, "6")
	h.Pens = int(s.must("pens", span{low: 1, high: MaxPens, whole: true}, "2"))
	h.PerchM = s.quantityOr("perch", lengthUnits, span{high: 10000}, 0)
	h.Nests = int(s.or("nests", span{high: 5000, whole: true}, 0))
	h.Insulated = s.yes("insulated", false)
	h.OpenSided = s.yes("open_sided", false)
	if h.Insulated && h.OpenSided {
		s.fault(s.find("open_sided").line, "open_sided", "does not go with insulated", "keep one of them")
	}
	h.LitterCM = s.quantityOr("litter", smallUnits, span{high: 100}, 0)
	h.BoardsClean = s.yes("boards_clean", false)
	h.DraughtMS = s.quantityOr("draught", windUnits, span{high: 10}, 0)
	h.PopHoles = int(s.or("pop_holes", span{high: 100, whole: true}, 0))
	h.PopHighM = s.quantityOr("pop_high", smallUnits, span{high: 300}, 0) / 100
	h.PopWideM = s.quantityOr("pop_wide", smallUnits, span{high: 1000}, 0) / 100
	h.TroughM = s.quantityOr("trough", lengthUnits, span{high: 1000}, 0)
	h.DrinkerCups = int(s.or("drinkers", span{high: 5000, whole: true}, 0))
	s.build(&h)
	return h
}

// smallUnits are lengths that a keeper measures with a folding rule.
var smallUnits = unitPair{"_cm", "_in",
	func(v float64) float64 { return v * measure.MMPerInch / 10 },
	func(v float64) float64 { return v * 10 / measure.MMPerInch }}

// buildFields are told of a house together: one of them asks for its measures.
var buildFields = []string{"length_m", "length_ft", "width_m", "width_ft", "height_m", "height_ft", "wall", "roof", "floor", "window_m2",
	"window_sqft", "double_glass", "vent_m2", "vent_sqft", "vent_rise_m", "vent_rise_ft", "vent_shelter", "wet_litter"}

// Wind at the vents over that at 10 m, by the words of the file.
var (
	shelterWords = []string{"sheltered", "open"}
	shelterParts = []float64{0.3, 0.65} // source vent_shelter
)

// noVents tells what to write of a house without vents: zero would ask for the
// usual.
const noVents = "a house without vents still leaks; write 0.001 for it"

// build reads what the air of the house hangs on. What is not told of walls, roof,
// floor and windows is taken as usual, and told.
func (s *section) build(h *House) {
	told := false
	for _, key := range buildFields {
		told = s.has(key) || told
	}
	if !told {
		return
	}
	before := len(s.problems)
	b := housing.Build{}
	b.LengthM = s.quantityMust("length", lengthUnits, span{low: 0.3, high: 100}, "2.5, the inner length of the house")
	b.WidthM = s.quantityMust("width", lengthUnits, span{low: 0.3, high: 100}, "2")
	b.HeightM = s.quantityOr("height", lengthUnits, span{low: 0.3, high: 20}, 0)
	if key, _ := s.key("height", lengthUnits); !s.has(key) {
		s.tell(key, "taking a mean clear height of 2 m", "guess")
	}
	b.DoubleGlass = s.yes("double_glass", false)
	b.WetLitter = s.yes("wet_litter", false)
	b.Vents.AreaM2 = s.quantityOr("vent", areaUnits, span{low: 0.0001, high: 1000, why: noVents}, 0)
	b.Vents.RiseM = s.quantityOr("vent_rise", lengthUnits, span{low: 0.01, high: 20}, 0)
	if s.has("vent_shelter") {
		b.Vents.WindPart = shelterParts[s.word("vent_shelter", shelterWords, 0)]
	}
	s.ventsTold(b.Vents)
	walls, wallsTold := s.layers("wall")
	if wallsTold && !s.has("insulated") && !h.OpenSided && len(s.problems) == before {
		c, err := housing.Build{LengthM: b.LengthM, WidthM: b.WidthM, Walls: walls}.Coop()
		h.Insulated = err == nil && c.Insulated
	}
	usual := housing.UsualBuild(b.LengthM*b.WidthM, h.Insulated)
	if !wallsTold {
		walls = usual.Walls
		s.tell("wall", "taking "+layersText(walls), "guess")
	}
	b.Walls = walls
	b.Roof, b.Floor = s.layersOr("roof", usual.Roof), s.layersOr("floor", usual.Floor)
	if key, _ := s.key("window", areaUnits); !s.has(key) {
		s.tell(key, "taking windows of 7 % of the floor", "practice")
	}
	b.WindowM2 = s.quantityOr("window", areaUnits, span{high: 1000}, usual.WindowM2)
	if len(s.problems) == before && !s.broken {
		s.buildHoldsTogether(h, b)
	}
	h.Build = &b
}

func (s *section) ventsTold(v housing.Vents) {
	if key, _ := s.key("vent", areaUnits); !s.has(key) {
		s.tell(key, "taking vents of a tenth of the floor", "practice")
	}
	if key, _ := s.key("vent_rise", lengthUnits); v.AreaM2 > 0 && !s.has(key) {
		s.tell(key, "taking the high vents as 0.8 m above the low ones", "guess")
	}
	if v.AreaM2 > 0 && !s.has("vent_shelter") {
		s.tell("vent_shelter", "taking the vents as sheltered", "guess")
	}
}

// buildHoldsTogether holds the measures against each other.
func (s *section) buildHoldsTogether(h *House, b housing.Build) {
	floor := b.LengthM * b.WidthM
	if h.AreaM2 > 1.1*floor || h.AreaM2 < 0.4*floor {
		key, us := s.key("area", areaUnits)
		shown, unit := measure.Metric.Show(measure.AreaM2, floor)
		if us {
			shown, unit = measure.US.Show(measure.AreaM2, floor)
		}
		s.fault(s.find(key).line, key, "does not fit length by width, which make "+measure.Round(shown, 1)+" "+unit,
			"check the three figures; the floor for birds is at most the whole floor and seldom less than half")
		return
	}
	if _, err := b.U(); err != nil {
		key, _ := s.key("window", areaUnits)
		line := s.node.line
		if n := s.find(key); n != nil {
			line = n.line
		}
		s.fault(line, key, "does not fit the house: "+err.Error(), "check the measures of the house and its windows")
	}
}

func (s *section) layersOr(key string, usual housing.Section) housing.Section {
	if told, given := s.layers(key); given {
		return told
	}
	s.tell(key, "taking "+layersText(usual), "guess")
	return usual
}

// house writes one house; what was not told is left out.
func (w *writer) house(h House) {
	w.entry("house")
	w.text("name", h.Name)
	w.quantity("area", areaUnits, h.AreaM2)
	w.whole("pens", h.Pens)
	w.quantity("perch", lengthUnits, h.PerchM)
	w.whole("nests", h.Nests)
	w.yes("insulated", h.Insulated)
	w.yes("open_sided", h.OpenSided)
	if h.Build != nil {
		w.build(*h.Build)
	}
	w.known("litter", smallUnits, h.LitterCM)
	if h.BoardsClean {
		w.yes("boards_clean", true)
	}
	w.known("draught", windUnits, h.DraughtMS)
	if h.PopHoles > 0 {
		w.whole("pop_holes", h.PopHoles)
	}
	w.small("pop_high", h.PopHighM)
	w.small("pop_wide", h.PopWideM)
	w.known("trough", lengthUnits, h.TroughM)
	if h.DrinkerCups > 0 {
		w.whole("drinkers", h.DrinkerCups)
	}
}

func (w *writer) build(b housing.Build) {
	w.quantity("length", lengthUnits, b.LengthM)
	w.quantity("width", lengthUnits, b.WidthM)
	w.known("height", lengthUnits, b.HeightM)
	w.layers("wall", b.Walls)
	w.layers("roof", b.Roof)
	w.layers("floor", b.Floor)
	w.quantity("window", areaUnits, b.WindowM2)
	w.yes("double_glass", b.DoubleGlass)
	w.known("vent", areaUnits, b.Vents.AreaM2)
	w.known("vent_rise", lengthUnits, b.Vents.RiseM)
	if b.Vents.WindPart > 0 {
		open := b.Vents.WindPart > (shelterParts[0]+shelterParts[1])/2
		w.text("vent_shelter", shelterWords[map[bool]int{true: 1}[open]])
	}
	w.yes("wet_litter", b.WetLitter)
}

func (w *writer) layers(key string, s housing.Section) {
	layers := s.Layers
	if len(layers) == 0 {
		layers = []housing.Layer{{Material: "metal"}} // what a section without layers counts as
	}
	texts := make([]string, len(layers))
	for i, l := range layers {
		texts[i] = quote(layerText(l, w.units))
	}
	w.raw(key, "["+strings.Join(texts, ", ")+"]")
}

// known writes a figure unless it is zero, which stands for not told.
func (w *writer) known(stem string, u unitPair, metric float64) {
	if metric != 0 {
		w.quantity(stem, u, metric)
	}
}

// small writes a length in metres as centimetres or inches, whichever gives the
// same length back.
func (w *writer) small(stem string, metres float64) {
	if metres == 0 {
		return
	}
	cm, exactCM := before(metres, metres*100, func(v float64) float64 { return v / 100 })
	in, exactIn := before(metres, smallUnits.fromMetric(metres*100), func(v float64) float64 { return smallUnits.toMetric(v) / 100 })
	switch {
	case exactIn && (w.units == measure.US || !exactCM):
		w.number(stem+"_in", in)
	case exactCM:
		w.number(stem+"_cm", cm)
	default:
		w.number(stem+"_cm", metres*100)
	}
}

// explainHouse says what was understood of a house beyond its area; nothing when
// nothing more was told.
func (h *Holding) explainHouse(house House) []string {
	var lines []string
	if b := house.Build; b != nil {
		line := fmt.Sprintf("It measures %s by %s; walls of %s, roof of %s, floor of %s", h.length(b.LengthM), h.length(b.WidthM),
			layersText(b.Walls), layersText(b.Roof), layersText(b.Floor))
		if u, err := b.U(); err == nil {
			line += fmt.Sprintf("; without moving air %.0f W leave it for each degree C that it is warmer than outdoors", u.LossWK)
		}
		lines = append(lines, line+".")
		if b.Vents.AreaM2 > 0 {
			lines = append(lines, fmt.Sprintf("Its vents are %s wide open.", h.small(measure.AreaM2, b.Vents.AreaM2)))
		}
	}
	if house.LitterCM > 0 || house.BoardsClean {
		depth := "of the usual depth"
		if house.LitterCM > 0 {
			depth = h.small(measure.LengthM, house.LitterCM/100) + " deep"
		}
		lines = append(lines, fmt.Sprintf("Its litter is %s; droppings under the perch are %s.", depth, either(house.BoardsClean, "taken out every week", "left")))
	}
	if house.DraughtMS > 0 {
		lines = append(lines, fmt.Sprintf("On windy nights the air at its perch moves at %s m/s.", measure.Round(house.DraughtMS, 1)))
	}
	return lines
}

// length and small write figures of a house, which need a decimal or two more than
// those of a range.
func (h *Holding) length(metres float64) string {
	v, unit := h.Units.Show(measure.LengthM, metres)
	return measure.Round(v, 1) + " " + unit
}

func (h *Holding) small(q measure.Quantity, metric float64) string {
	v, unit := h.Units.Show(q, metric)
	return measure.Round(v, 2) + " " + unit
}
