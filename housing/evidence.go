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
}

func occupantOf(in source.Inputs) Occupant {
	return Occupant{Kg: in.Float("kg"), EggKgDay: in.Float("egg"), Count: 1}
}

func spaceOf(in source.Inputs) Space {
	return SpaceFor(in["class"], int(in.Float("weeks")), in.Float("kg"))
}
