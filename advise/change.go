package advise

import (
	"fmt"

	"henyear/bird"
	"henyear/breed"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
)

// A change is one thing more that a household may have. None takes anything away,
// so a keeper can always go on as before.
type change struct {
	code, what string

	// loosens says that the programme of today lies whole within the changed one:
	// a limit is moved, or a choice added, and nothing else is touched. It fails for
	// a larger house, whose air is colder, for lamps, which change the hens, and for
	// a larger machine, whose smallest setting is larger.
	loosens bool

	remark string // said after a worth that is known
	make   func(h *holding.Holding, opt *plan.Options)
}

// How much more is asked for: steps that a keeper takes (guess, key advise-steps).
const (
	moreHouseM2     = 2
	moreMinutes     = 10
	moreFreezerL    = 60
	firstMachineFor = 24 // eggs
)

// compare is said of things that are bought and whose price is not known.
const compare = "Compare that with what it costs you."

// changes lists what makes sense on a holding, in a fixed order.
func changes(h *holding.Holding, opt plan.Options) []change {
	var out []change
	for _, ask := range []func(*holding.Holding, plan.Options) (change, bool){
		broodyHen, house, pen, machine, lights, minutes, butcherDay, freezer, promises, outsideCock,
	} {
		if c, ok := ask(h, opt); ok {
			out = append(out, c)
		}
	}
	return out
}

func broodyHen(h *holding.Holding, _ plan.Options) (change, bool) {
	return change{code: "broody", what: "one more hen sure to go broody", loosens: true,
		remark: "The eggs she does not lay while she sits are counted, her feed is not.",
		make:   func(_ *holding.Holding, o *plan.Options) { o.ExtraBroodies++ }}, h.Means.BroodyHens
}

func house(h *holding.Holding, _ plan.Options) (change, bool) {
	return change{code: "house", what: size(h.Units, measure.AreaM2, moreHouseM2) + " more house", remark: compare,
		make: func(h *holding.Holding, _ *plan.Options) { h.Means.Houses[0].AreaM2 += moreHouseM2 }}, len(h.Means.Houses) > 0
}

func pen(h *holding.Holding, _ plan.Options) (change, bool) {
	return change{code: "pen", what: "one more pen in the same house", loosens: true, remark: compare,
		make: func(h *holding.Holding, _ *plan.Options) { h.Means.Houses[0].Pens++ }}, len(h.Means.Houses) > 0
}

func machine(h *holding.Holding, _ plan.Options) (change, bool) {
	places, what := firstMachineFor, fmt.Sprintf("a machine for %d eggs", firstMachineFor)
	if have := h.Means.MachineEggs; have > 0 {
		places, what = 2*have, fmt.Sprintf("a machine for %d eggs in place of %d", 2*have, have)
	}
	return change{code: "machine", what: what, remark: compare,
		make: func(h *holding.Holding, _ *plan.Options) { h.Means.MachineEggs = places }}, h.Means.MachineEggs > 0 || !h.Place.OffGrid
}

// lights asks for lamps where the plan could not choose them.
func lights(h *holding.Holding, opt plan.Options) (change, bool) {
	settled := opt.Lights == "on" || h.Means.Lights == "on" || h.Means.Lights == "possible" && opt.Lights == ""
	return change{code: "lights", what: "lamps in the dark months", remark: "Lamps and power are counted.",
		make: func(_ *holding.Holding, o *plan.Options) { o.Lights = "on" }}, !settled && !h.Place.OffGrid
}

func minutes(*holding.Holding, plan.Options) (change, bool) {
	return change{code: "minutes", what: fmt.Sprintf("%d minutes a day more", moreMinutes), loosens: true,
		make: func(h *holding.Holding, _ *plan.Options) { h.Means.MinutesADay += moreMinutes }}, true
}

func butcherDay(h *holding.Holding, _ plan.Options) (change, bool) {
	return change{code: "butcher-day", what: "one more butcher day a year", loosens: true,
		make: func(h *holding.Holding, _ *plan.Options) { h.Means.ButcherDaysAYear++ }}, h.Means.WillKill
}

func freezer(h *holding.Holding, _ plan.Options) (change, bool) {
	eaten := h.Means.WillKill && (h.Needs.TableBirds > 0 || h.Needs.TableKg > 0)
	return change{code: "freezer", what: size(h.Units, measure.VolumeL, moreFreezerL) + " more freezer", loosens: true, remark: compare,
		make: func(h *holding.Holding, _ *plan.Options) { h.Means.FreezerL += moreFreezerL }}, eaten || h.Needs.FrozenEggShare > 0
}

// The three darkest months, from January = 0, and the latitude from which there
// are any to speak of.
var (
	darkNorth = []int{10, 11, 0}
	darkSouth = []int{4, 5, 6}
)

const darkFromDeg = 15

// promises lets customers of the darkest months be told that there may be no
// eggs. They still buy what is over.
func promises(h *holding.Holding, _ plan.Options) (change, bool) {
	months, from, to := darkNorth, "November", "January"
	if h.Place.Climate.Southern() {
		months, from, to = darkSouth, "May", "July"
	}
	any := false
	for _, s := range h.Needs.EggSales {
		for _, m := range months {
			any = any || s.Promised && s.Months[m] && s.DozensPerWeek > 0
		}
	}
	latitude := max(h.Place.Climate.LatitudeDeg, -h.Place.Climate.LatitudeDeg)
	return change{code: "promises", what: fmt.Sprintf("no eggs promised to customers from %s to %s", from, to), loosens: true,
		remark: "They would still buy what is over.",
		make: func(h *holding.Holding, _ *plan.Options) {
			for i, s := range h.Needs.EggSales {
				if !s.Promised {
					continue
				}
				dark := s
				dark.Promised, dark.Months = false, [12]bool{}
				for _, m := range months {
					dark.Months[m], h.Needs.EggSales[i].Months[m] = s.Months[m], false
				}
				// Last, so that the sales keep the numbers by which a former plan knows them.
				h.Needs.EggSales = append(h.Needs.EggSales, dark)
			}
		}}, any && latitude >= darkFromDeg
}

// outsideCock offers a grown cock of the household's own stock in midwinter: five
// weeks apart, and he serves when the first eggs are saved.
func outsideCock(h *holding.Holding, _ plan.Options) (change, bool) {
	b, strain := breedingStock(h)
	if b == nil || h.Place.MaxCocks == 0 {
		return change{}, false
	}
	for _, o := range h.Stock {
		if o.Form == holding.GrownCock && o.Breed == b.ID {
			return change{}, false // on offer already, so the plan has weighed him
		}
	}
	offer := holding.Offer{Breed: b.ID, Strain: strain, Form: holding.GrownCock, Price: cockPrice(h, b), SmallestOrder: 1, LargestOrder: 1}
	month := 0
	if h.Place.Climate.Southern() {
		month = 6
	}
	offer.Months[month] = true
	price := h.Currency.FormatWhole(h.Currency.Minor(offer.Price))
	return change{code: "cock", what: "a grown cock from outside each winter", loosens: true,
		remark: fmt.Sprintf("His price, taken as %s, is counted; what fresh blood saves in hatch and lay is not.", price),
		make:   func(h *holding.Holding, _ *plan.Options) { h.Stock = append(h.Stock, offer) }}, true
}

// breedingStock is the stock with most hens on hand that breeds true; without
// hens the first such stock on offer, nil where there is none.
func breedingStock(h *holding.Holding) (best *breed.Breed, strain breed.Strain) {
	most := 0
	for _, g := range h.Birds {
		if b := trueBreed(g.Breed); b != nil && g.Sex == bird.Hen && g.Number > most {
			best, strain, most = b, g.Strain, g.Number
		}
	}
	for _, o := range h.Stock {
		if b := trueBreed(o.Breed); best == nil && b != nil {
			best, strain = b, o.Strain
		}
	}
	return best, strain
}

func trueBreed(id string) *breed.Breed {
	b, err := breed.Find(id)
	if err != nil || !b.BreedsTrue || b.Purpose == breed.Meat {
		return nil
	}
	return b
}

// A cock costs as much as the dearest young hen on offer, or else as the meat on
// him at the shop: seven tenths of his weight (guess, key advise-cock).
func cockPrice(h *holding.Holding, b *breed.Breed) float64 {
	price := 0.0
	for _, o := range h.Stock {
		if o.Form == holding.StartedPullet {
			price = max(price, o.Price)
		}
	}
	if price == 0 {
		price = 0.7 * b.CockKg * h.Prices.ShopChickenPerKg
	}
	return price
}
