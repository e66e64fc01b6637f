package advise

import (
	"fmt"
	"slices"

	"henyear/bird"
	"henyear/course"
	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
	"henyear/plan"
)

// A placeChange is a change to the place, with what it may cost: kilograms of
// feed that cost as much, so that the guess fits any currency.
type placeChange struct {
	change
	feedKg float64
}

// What changes may cost, in kilograms of feed (guess, key advise-place-cost):
// dear hands or timber double it, old material and one's own hands halve it.
const (
	houseFeedKg  = 250 // a square metre of house
	runFeedKg    = 40  // a square metre of roof and wire
	netFeedKg    = 4   // a square metre of net, posts counted
	shadeFeedKg  = 8   // a square metre of cloth or brushwood on posts
	ventFeedKg   = 150 // a square metre of slot with flap and mesh
	insulFeedKg  = 20  // a square metre of wall or roof filled and boarded
	litterFeedKg = 10  // a square metre of deep bed, and boards under the perch
	lampsFeedKg  = 120 // lamps, timer and cable
	costSpread   = 2
)

// Steps of the place (guess, key advise-place-steps).
const (
	moreShadeM2Hen = 0.5 // shade for each hen on a hot afternoon
	moreRunM2      = 10
	mostNetM2      = 100
	deepLitterCM   = 20
	woolMM         = 50
	moreVents      = 2 // times the openings of today
)

// placeChanges lists what makes sense at a place, in a fixed order.
func placeChanges(h *holding.Holding, opt plan.Options) []placeChange {
	var out []placeChange
	for _, ask := range []func(*holding.Holding, plan.Options) (placeChange, bool){
		shade, vents, insulation, litter, coveredRun, netting, lamps, moreHouse,
	} {
		if c, ok := ask(h, opt); ok {
			out = append(out, c)
		}
	}
	return out
}

// hotFromC is the mean high of the hottest month from which shade is spoken of.
const hotFromC = 26

// shade is asked about where the keeper tells of it: a holding that does not is
// taken to have enough.
func shade(h *holding.Holding, _ plan.Options) (placeChange, bool) {
	wanted := max(5, moreShadeM2Hen*float64(hensOf(h)))
	more := wanted - h.Means.ShadeM2
	return placeChange{change{code: "shade", what: size(h.Units, measure.AreaM2, more) + " more shade outdoors", remark: compare,
			make: func(h *holding.Holding, _ *plan.Options) { h.Means.ShadeM2, h.Means.NoShade = wanted, false }}, more * shadeFeedKg},
		hot(h) && shadeTold(h) && more > 0
}

func hot(h *holding.Holding) bool {
	return slices.ContainsFunc(h.Place.Climate.MaxC[:], func(high float64) bool { return high >= hotFromC })
}

func shadeTold(h *holding.Holding) bool { return h.Means.ShadeM2 > 0 || h.Means.NoShade }

func hensOf(h *holding.Holding) int {
	n := 0
	for _, g := range h.Birds {
		n += g.Number
	}
	return n
}

// closed are the houses with four walls.
func closed(h *holding.Holding) []int {
	var list []int
	for i, house := range h.Means.Houses {
		if !house.OpenSided {
			list = append(list, i)
		}
	}
	return list
}

// told is what a house is built of: as the holding tells it, or a plain wooden
// house of its area.
func told(house holding.House) *housing.Build {
	if house.Build != nil {
		b := *house.Build
		return &b
	}
	b := housing.UsualBuild(house.AreaM2, house.Insulated)
	return &b
}

// vents are asked about where those of today cannot be opened far enough for the
// birds that are there, at some temperature of the place.
func vents(h *holding.Holding, _ plan.Options) (placeChange, bool) {
	var list []int
	area := 0.0
	for i, air := range course.New(h, false, bird.NewRates()).Houses() {
		if house := h.Means.Houses[i]; !house.OpenSided && tooTight(h, air) {
			list = append(list, i)
			area += ventsOf(house)
		}
	}
	add := (moreVents - 1) * area
	return placeChange{change{code: "vents", what: size(h.Units, measure.AreaM2, add) + " more vents, high under the roof", remark: compare,
		make: func(h *holding.Holding, _ *plan.Options) {
			for _, i := range list {
				b := told(h.Means.Houses[i])
				b.Vents.AreaM2 = moreVents * ventsOf(h.Means.Houses[i])
				h.Means.Houses[i].Build = b
			}
		}}, add * ventFeedKg}, area > 0
}

// tooTight reports whether all vents open are too little.
func tooTight(h *holding.Holding, air course.HouseAir) bool {
	low, high := h.Place.Climate.ExtremeMin(), slices.Max(h.Place.Climate.MaxC[:])
	for _, step := range housing.VentPlan(air.Coop, air.Birds) {
		if step.OutC >= low && step.OutC <= high && !step.Enough && !step.TooCold && !step.TooHot {
			return true
		}
	}
	return false
}

// ventsOf is the openings of a house; a tenth of the floor where not told.
func ventsOf(house holding.House) float64 {
	if house.Build != nil && house.Build.Vents.AreaM2 > 0 {
		return house.Build.Vents.AreaM2
	}
	return house.AreaM2 / 10
}

func insulation(h *holding.Holding, _ plan.Options) (placeChange, bool) {
	var list []int
	m2 := 0.0
	for _, i := range closed(h) {
		u, err := told(h.Means.Houses[i]).U()
		if err != nil || u.Wall <= wellFilledU {
			continue
		}
		list = append(list, i)
		m2 += u.WallM2 + u.RoofM2
	}
	return placeChange{change{code: "insulation", what: fmt.Sprintf("walls and roof filled with %s of wool", size(h.Units, measure.RainMM, woolMM)),
		remark: compare + " Vents stay open as before.",
		make: func(h *holding.Holding, _ *plan.Options) {
			for _, i := range list {
				b := told(h.Means.Houses[i])
				b.Walls, b.Roof = filled(b.Walls), filled(b.Roof)
				h.Means.Houses[i].Build, h.Means.Houses[i].Insulated = b, true
			}
		}}, m2 * insulFeedKg}, len(list) > 0
}

// wellFilledU is a wall that needs no more, W/(m2 K).
const wellFilledU = 0.8

// filled puts wool between boards: into the wall as it stands, with a board
// inside.
func filled(s housing.Section) housing.Section {
	layers := append([]housing.Layer{{Material: "plywood", MM: 9}, {Material: "batt", MM: woolMM}}, s.Layers...)
	return housing.Section{Layers: layers, StudShare: s.StudShare}
}

// litter is asked about where the keeper tells of it: a bed that is not told
// counts as dry.
func litter(h *holding.Holding, _ plan.Options) (placeChange, bool) {
	var list []int
	m2 := 0.0
	for i, house := range h.Means.Houses {
		if litterTold(house) && (house.LitterCM < deepLitterCM || !house.BoardsClean) {
			list = append(list, i)
			m2 += house.AreaM2
		}
	}
	return placeChange{change{code: "litter", what: fmt.Sprintf("litter %s deep, and the droppings under the perch taken out each week", size(h.Units, measure.RainMM, 10*deepLitterCM)),
		remark: "The work is not counted; the litter itself is part of the cost.",
		make: func(h *holding.Holding, _ *plan.Options) {
			for _, i := range list {
				house := &h.Means.Houses[i]
				house.LitterCM, house.BoardsClean = max(house.LitterCM, deepLitterCM), true
				if house.Build != nil {
					b := *house.Build
					b.WetLitter = false
					house.Build = &b
				}
			}
		}}, m2 * litterFeedKg}, len(list) > 0
}

func litterTold(house holding.House) bool {
	return house.LitterCM > 0 || house.BoardsClean || house.Build != nil && house.Build.WetLitter
}

// Untold names what Improve leaves out because the holding does not tell of it,
// with what would be right to write.
func Untold(h *holding.Holding) []plan.Sentence {
	var list []plan.Sentence
	if hot(h) && !shadeTold(h) {
		list = append(list, plan.Sentence{Code: "untold-shade", Source: "practice",
			Text: "The holding does not tell of its shade, so it is taken to be enough. Write shade_m2 into the holding to see what more of it is worth."})
	}
	if len(h.Means.Houses) > 0 && !slices.ContainsFunc(h.Means.Houses, litterTold) {
		list = append(list, plan.Sentence{Code: "untold-litter", Source: "practice",
			Text: "The holding does not tell of its litter, so it is taken to be dry. Write litter_cm and boards_clean into a house to see what a deeper or cleaner bed is worth."})
	}
	return list
}

func coveredRun(h *holding.Holding, _ plan.Options) (placeChange, bool) {
	return placeChange{change{code: "covered-run", what: size(h.Units, measure.AreaM2, moreRunM2) + " more covered run", remark: compare,
		make: func(h *holding.Holding, _ *plan.Options) { h.Means.CoveredRunM2 += moreRunM2 }}, moreRunM2 * runFeedKg}, true
}

func netting(h *holding.Holding, _ plan.Options) (placeChange, bool) {
	open := h.Place.PastureM2 - h.Place.NettedM2
	more := min(mostNetM2, open)
	return placeChange{change{code: "netting", what: "a net over " + size(h.Units, measure.AreaM2, more) + " more of the range", remark: compare,
			make: func(h *holding.Holding, _ *plan.Options) { h.Place.NettedM2 += more }}, more * netFeedKg},
		h.Place.AirPredators > holding.None && more >= 1
}

func lamps(h *holding.Holding, opt plan.Options) (placeChange, bool) {
	c, ok := lights(h, opt)
	return placeChange{c, lampsFeedKg}, ok
}

func moreHouse(h *holding.Holding, opt plan.Options) (placeChange, bool) {
	c, ok := house(h, opt)
	return placeChange{c, moreHouseM2 * houseFeedKg}, ok
}

// PlaceCodes names every change to a place that Improve may speak of, in its
// order.
func PlaceCodes() []string {
	return []string{"shade", "vents", "insulation", "litter", "covered-run", "netting", "lights", "house"}
}
