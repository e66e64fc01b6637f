package housing

import (
	"math"

	"henyear/source"
)

// How the figures of a house are reckoned, for a reader who opens one. Each working
// is made from the same house, weather and birds as its figure, and a test reckons
// the figure again from nothing but the inputs that are shown.

func told(name, text string) source.WorkingInput {
	return source.WorkingInput{Name: name, Text: text}
}

// state is a house at one opening with all that its workings show.
type state struct {
	m         moment
	in        Inside
	dryKgS    float64
	warmW     float64
	vapourKgS float64
	heatW     float64
}

func (c Coop) stateAt(w Weather, birds []Occupant, openM2, share float64) state {
	in := c.AtOpening(w, birds, openM2, share)
	flow := in.VentM3h
	s := state{m: c.moment(w, birds, share, func(float64) float64 { return flow }), in: in}
	s.dryKgS = s.m.dryAirKgS(in.TempC)
	for _, o := range birds {
		s.warmW += share * o.Count * o.SensibleW(in.TempC, c.WetLitter)
		s.heatW += share * o.Count * o.HeatW(in.TempC)
	}
	s.vapourKgS = in.VapourGH / 3.6e6
	return s
}

// WarmthWorking is how warm it is inside at an opening of the vents: the balance of
// the birds' warmth against walls and moving air.
func (c Coop) WarmthWorking(w Weather, birds []Occupant, openM2, share float64) source.Working {
	const code = "coop-warmth"
	if c.OpenSided {
		return source.NewWorking(code, "the air of an open-sided house is that outdoors, at most 0.5 C warmer", "", []string{"perch_air"},
			source.Given("outdoors", w.OutC, "C"))
	}
	s := c.stateAt(w, birds, openM2, share)
	return source.NewWorking(code,
		"inside = outdoors + (warmth of the birds + sun through the roof) / (loss of the shell + air x (1006 + 1860 x water outdoors))",
		"", []string{"cigr_1984", "chepete_layers", "rvalue_table"},
		source.Given("outdoors", w.OutC, "C"),
		source.Given("birds", countOf(birds), ""),
		source.Given("warmth of the birds", s.warmW, "W", "cigr_2002"),
		source.Given("sun through the roof", s.m.sunW, "W", "coop_mass"),
		source.Given("loss of the shell", s.m.lossWK, "W/K", "rvalue_table"),
		source.Given("air exchanged", s.in.VentM3h, "m3/h", "ashrae_openings"),
		source.Given("air", s.dryKgS, "kg/s"),
		source.Given("water outdoors", s.m.outRatio, "kg/kg", "ashrae_psychrometrics"))
}

// HumidityWorking is how damp it is inside, and how much water falls out of the
// air, at an opening of the vents.
func (c Coop) HumidityWorking(w Weather, birds []Occupant, openM2, share float64) source.Working {
	s := c.stateAt(w, birds, openM2, share)
	return source.NewWorking("coop-humidity",
		"water inside = water outdoors + water of the birds / air, at most what air of that warmth holds; humidity = 100 x water inside / what it holds, by vapour pressure; what is too much falls out",
		"", []string{"ashrae_psychrometrics", "cigr_1984", "cigr_2002"},
		source.Given("inside", s.in.TempC, "C"),
		source.Given("outdoors", w.OutC, "C"),
		source.Given("humidity outdoors", w.HumidityPct, "% over water"),
		source.Given("air pressure", s.m.pressure, "Pa", "ashrae_psychrometrics"),
		source.Given("water outdoors", s.m.outRatio, "kg/kg"),
		source.Given("water of the birds", s.in.VapourGH, "g/h"),
		source.Given("air", s.dryKgS, "kg/s"))
}

// FlowWorking is the air that an opening lets through: warmth and wind together.
func (c Coop) FlowWorking(w Weather, birds []Occupant, openM2, share float64) source.Working {
	in := c.AtOpening(w, birds, openM2, share)
	inlet := max(0, openM2) / 2 * c.Vents.free()
	return source.NewWorking("vent-flow",
		"stack = 3600 x 0.6 x inlet x root(2 x 9.81 x rise x (inside - outdoors) / (inside + 273.15)); wind = 3600 x 0.3 x inlet x wind at the vents; air = root(stack^2 + wind^2), at least half an air change an hour",
		"real slots leak more or less by half", []string{"ashrae_openings"},
		source.Given("open", openM2, "m2"),
		source.Given("inlet, half of it less the mesh", inlet, "m2", "guess"),
		source.Given("rise from low to high vents", c.Vents.riseM(), "m"),
		source.Given("inside", in.TempC, "C"),
		source.Given("outdoors", w.OutC, "C"),
		source.Given("wind at the vents", w.WindMS*c.Vents.windPart(), "m/s", "guess"),
		source.Given("half an air change", 0.5*max(0.25, c.FloorM2)*c.height(), "m3/h"))
}

// CO2Working is how stale the air is.
func (c Coop) CO2Working(w Weather, birds []Occupant, openM2, share float64) source.Working {
	s := c.stateAt(w, birds, openM2, share)
	return source.NewWorking("coop-co2", "carbon dioxide = 400 + 1000000 x 0.000185 x heat of the birds / air exchanged",
		"above 3000 ppm the house is too tight", []string{"co2_3000"},
		source.Given("heat of the birds", s.heatW, "W", "cigr_2002"),
		source.Given("air exchanged", s.in.VentM3h, "m3/h", "ashrae_openings"))
}

// LossWorking is the warmth that leaves through the shell of a house.
func (c Coop) LossWorking() source.Working {
	p := c.parts()
	how := "the usual of such a house"
	if c.shell != nil {
		how = "as told, layer by layer"
	}
	return source.NewWorking("coop-loss", "loss = walls x U + roof x U + window x U + floor x U", "", []string{"rvalue_table", "serway_rvalues"},
		told("built", how),
		source.Given("walls", p.WallM2, "m2"), source.Given("U of the walls", p.Wall, "W/m2K"),
		source.Given("roof", p.RoofM2, "m2"), source.Given("U of the roof", p.Roof, "W/m2K"),
		source.Given("window", p.WindowM2, "m2"), source.Given("U of the window", p.Window, "W/m2K"),
		source.Given("floor", p.FloorM2, "m2"), source.Given("U of the floor", p.Floor, "W/m2K"))
}

// HeatWorking is what the birds of one kind give off at a temperature of the air,
// mean of the day.
func HeatWorking(o Occupant, airC float64) source.Working {
	return source.NewWorking("bird-heat",
		"heat = birds x (6.8 x weight^0.75 + 25 x egg) x (1 + 0.02 x (20 - air)), the last factor within 0.5 and 1.6",
		"stated for 10 to 30 C; nobody measured in frost", []string{"cigr_2002"},
		source.Given("birds", o.Count, ""), source.Given("weight", o.Kg, "kg"), source.Given("egg", o.EggKgDay, "kg a day"), source.Given("air", airC, "C"))
}

// VentWorking is the opening advised at a temperature outdoors: the least that
// meets the goal, and more where that dries and hardly cools.
func (s VentStep) VentWorking(c Coop) source.Working {
	reason := map[string]string{
		"dry":       "at most 80 % humidity",
		"driest":    "within 5 points of the driest that the vents can make it, and nothing falls out",
		"no-fog":    "less falls out of the air than a thick fog holds, 0.3 g/m3",
		"all-open":  "all open from 25 C",
		"open-side": "the open side airs the house",
	}[s.Goal]
	return source.NewWorking("vent-opening",
		"the least of the openings tried, each a twelfth wider than the last, at which the goal is met, carbon dioxide stays below 3000 ppm, each kg of air takes up less than 6 g of water and the house is at most 2 C above the shade or 20 C; where water falls out all the same, wider while that makes the house drier and at most 0.5 C colder; share = open / all vents",
		"set for light wind of 2 m/s at 10 m; in a gale open less on that side", []string{"turner_947", "hawke_long_2002", "co2_3000", "coop_practice"},
		told("goal", reason),
		source.Given("outdoors", s.OutC, "C"),
		source.Given("wanted", finiteOr(s.NeedM2, 0), "m2"),
		source.Given("open", s.OpenM2, "m2"),
		source.Given("all vents", c.VentAreaM2(), "m2"))
}

func finiteOr(x, instead float64) float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return instead
	}
	return x
}

// LitterWorking is what a day does to a bed in the air of a house.
func (l Litter) LitterWorking(c Coop, birds []Occupant, air Inside) source.Working {
	day := l.step(c, birds, air)
	return source.NewWorking("litter-water",
		"added = birds x 0.14 kg x 0.77 x (heat at 20 C / 14.5 W) x share; dried = 12.5 x floor x 24 h x (water at rest in the litter - water of the air), in six parts a day; moisture = water / (water + dry litter); it cakes above 35 %",
		"a class and a trend, no measurement", []string{"litter_drying", "coop_practice"},
		source.Given("droppings' water added", day.AddedKg, "kg a day"),
		source.Given("dried", day.DriedKg, "kg a day"),
		source.Given("dry litter", max(0.25, c.FloorM2)*orDefault(l.DepthM, usualLitterM)*litterKgM3, "kg"),
		source.Given("moisture to begin with", l.moisture(), "%"),
		source.Given("share of droppings in the bed", orDefault(l.Share, usualDroppings), ""),
		source.Given("air inside", air.TempC, "C"),
		source.Given("humidity inside", air.HumidityPct, "%"))
}

// AmmoniaWorking is why a class of ammonia is expected.
func AmmoniaWorking(air Inside, litterPct float64) source.Working {
	return source.NewWorking("ammonia-class",
		"low up to 6 g of water added to each kg of air, some to 8 g, high above; one class worse where litter is above 35 % moisture; frozen below 0 C",
		"a class, no measurement: the nose is better, but it tires", []string{"hawke_long_2002", "ammonia_smell", "ammonia_birds", "coop_practice"},
		source.Given("water added to the air", air.RiseGKg, "g/kg"), source.Given("litter", litterPct, "% moisture"), source.Given("air inside", air.TempC, "C"))
}
