package housing

import (
	"embed"

	"henyear/source"
)

//go:embed testdata/published/*.csv
var published embed.FS

// Evidence holds published values of moist air, birds' heat, building materials
// and room against what this room computes.
func Evidence() ([]source.Check, error) {
	return source.ReadChecks("housing", published, "testdata/published", models)
}

var models = map[string]source.Model{
	"saturation_pa": func(in source.Inputs) float64 { return SaturationPa(in.Float("temp")) },
	"saturated_ratio": func(in source.Inputs) float64 {
		return 1000 * HumidityRatio(SaturationPa(in.Float("temp")), SeaLevelPa)
	},
	"co2_m3_per_w": func(in source.Inputs) float64 {
		return co2M3PerW * 1e6 / (in.Float("limit") - outdoorCO2ppm)
	},
	"poultry_heat_index": func(in source.Inputs) float64 {
		return PoultryHeatIndexF(in.Float("temp"), in.Float("rh"))
	},
	"wind_relief_pct": func(in source.Inputs) float64 {
		return 100 * (1 - MeatBirdHeatIndexC(35, 50, in.Float("to"))/MeatBirdHeatIndexC(35, 50, in.Float("from")))
	},
	"layer_w_per_kg": func(in source.Inputs) float64 {
		o, temp := occupantOf(in), in.Float("temp")
		total, sensible := o.HeatW(temp), o.SensibleW(temp, true)
		return map[string]float64{"total": total, "sensible": sensible, "latent": total - sensible}[in["part"]] / o.Kg
	},
	"layer_at_20_w":   func(in source.Inputs) float64 { return occupantOf(in).HeatAt20W() },
	"broiler_at_20_w": func(in source.Inputs) float64 { return BroilerHeatAt20W(in.Float("kg")) },
	"night_share":     func(source.Inputs) float64 { return NightShare },
	"wall_r":          func(in source.Inputs) float64 { return Coop{Insulated: in.Float("insulated") > 0}.wallR() },
	"window_r":        func(source.Inputs) float64 { return windowR },
	"ventilation_m3h_kg": func(in source.Inputs) float64 {
		c := Coop{FloorM2: 4, Insulated: in.Float("insulated") > 0}
		return c.Ventilation(in.Float("temp"), []Occupant{{Kg: 2.5, Count: 12}}) / 30
	},
	"area_m2":       func(in source.Inputs) float64 { return spaceOf(in).AreaM2 },
	"perch_m":       func(in source.Inputs) float64 { return spaceOf(in).PerchM },
	"feeder_m":      func(in source.Inputs) float64 { return spaceOf(in).FeederM },
	"drinker_m":     func(in source.Inputs) float64 { return spaceOf(in).DrinkerM },
	"hens_per_nest": func(source.Inputs) float64 { return HensPerNest },

	"light_share": func(source.Inputs) float64 { return DayShare },
	"layer_by_light_w_per_kg": func(in source.Inputs) float64 {
		o, temp := occupantOf(in), in.Float("temp")
		share := map[string]float64{"light": DayShare, "dark": NightShare}[in["hours"]]
		total, sensible := o.HeatW(temp), o.SensibleW(temp, true)
		return share * map[string]float64{"total": total, "sensible": sensible, "latent": total - sensible}[in["part"]] / o.Kg
	},
	"layer_r": func(in source.Inputs) float64 {
		r, err := Layer{Material: in["material"], MM: in.Float("mm")}.ResistanceR()
		if err != nil {
			panic(err) // a fault in the table of checks
		}
		return r
	},
	"double_glass_r": func(source.Inputs) float64 { return glazedTwiceR },
	"framing_pct": func(in source.Inputs) float64 {
		wall := func(between bool) float64 {
			r, err := Section{Layers: []Layer{{"plywood", 9, false}, {"batt", in.Float("mm"), between}, {"plywood", 12, false}}}.R()
			if err != nil {
				panic(err)
			}
			return r
		}
		return 100 * (1 - wall(true)/wall(false))
	},
	"vent_plan_m3h_kg": func(in source.Inputs) float64 {
		c := Coop{FloorM2: 4, Insulated: in.Float("insulated") > 0}
		s := VentStepAt(c, []Occupant{{2, 0.04, 12}}, in.Float("temp"), VentWeather{})
		return s.VentM3h / 24
	},
	"vent_m2_hen": func(in source.Inputs) float64 {
		c := Coop{FloorM2: 4, Insulated: in.Float("insulated") > 0}
		return VentStepAt(c, []Occupant{{2, 0.04, 12}}, in.Float("temp"), VentWeather{}).NeedM2 / 12
	},
	"ammonia_up_to_ppm": func(in source.Inputs) float64 {
		return AmmoniaOf(Inside{TempC: 15, RiseGKg: in.Float("rise")}, 25).PPM
	},
	"litter_rest_pct": func(in source.Inputs) float64 {
		air, bed := Inside{TempC: in.Float("temp"), HumidityPct: in.Float("rh")}, Litter{Share: 1}
		flock := []Occupant{OccupantOf("meat", 6, in.Float("kg"), 0, 0, in.Float("birds_m2"))}
		for range 200 {
			bed.MoisturePct = bed.step(Coop{FloorM2: 1}, flock, air).MoisturePct
		}
		return bed.MoisturePct
	},
	"need": func(in source.Inputs) float64 {
		have := Unknown()
		have.FloorM2 = 10
		standard := map[string]string{"eu": "European Union laying hens", "range": "European Union free range",
			"euorganic": "European Union organic", "usorganic": "United States organic"}[in["standard"]]
		for _, n := range Needs(have, []Stock{{in["class"], int(in.Float("weeks")), in.Float("kg"), in.Float("count")}}) {
			if n.Standard == standard && n.Item == in["item"] {
				return n.Required
			}
		}
		return -1
	},
}

func occupantOf(in source.Inputs) Occupant {
	return Occupant{Kg: in.Float("kg"), EggKgDay: in.Float("egg"), Count: 1}
}

func spaceOf(in source.Inputs) Space {
	return SpaceFor(in["class"], int(in.Float("weeks")), in.Float("kg"))
}
