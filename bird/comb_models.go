package bird

import "henyear/source"

// combHeatModels computes what testdata/published/comb_heat.csv holds the comb
// and heat models against.
var combHeatModels = map[string]source.Model{
	"comb_freeze_air_c": func(in source.Inputs) float64 {
		sex := sexOf(in)
		airC := combOf(in).FreezeAirC(FreezeTipC(sex), in.Float("wind"))
		return airC + in.Float("damp")*WetCombK
	},
	"comb_onset_air_c": func(in source.Inputs) float64 {
		return combOf(in).FreezeAirC(CombOnsetC, in.Float("wind")) + in.Float("damp")*WetCombK
	},
	"comb_nights": func(in source.Inputs) float64 {
		return CombNights(combOf(in), sexOf(in), Surroundings{NightC: in.Float("night"), NightSDC: in.Float("sd"),
			AirMS: in.Float("wind"), DampPerch: in.Float("damp") > 0})
	},
	// A blade of 50 by 4 mm, the one of the table.
	"comb_tip":  func(in source.Inputs) float64 { return tableBlade(in).tipC },
	"comb_mean": func(in source.Inputs) float64 { return tableBlade(in).meanC },
	"comb_loss": func(in source.Inputs) float64 { return tableBlade(in).lossWm2K },
	"comb_minutes": func(in source.Inputs) float64 {
		return CombFreezeMin(Comb{50, 4}, 20, in.Float("air"), in.Float("wind"), ConstrictedPerfusion)
	},
	"comb_flow_freeze": func(in source.Inputs) float64 {
		return Comb{50, 4}.freezeAirAtFlow(CombFreezeC, huddledMS, in.Float("w"))
	},
	"comb_case": combCase,
	"heat_lay":  func(in source.Inputs) float64 { return HeatLayFactor(in.Float("temp")) },
	"cold_lay":  func(in source.Inputs) float64 { return ColdLayFactor(in.Float("temp")) },
	"heat_feed_ratio": func(in source.Inputs) float64 {
		return HeatFeedFactor(in.Float("to")) / HeatFeedFactor(in.Float("from"))
	},
	"heat_feed_fall_pct": func(in source.Inputs) float64 {
		from, to := in.Float("from"), in.Float("to")
		return 100 * (1 - HeatFeedFactor(to)/HeatFeedFactor(from)) / (to - from)
	},
	"heat_strain_c": func(in source.Inputs) float64 {
		return HeatStrainC(HeatTolerance{Kg: in.Float("kg"), Plumage: in["plumage"], CombSize: int(in.Float("comb"))})
	},
	"air_relief_pct": func(in source.Inputs) float64 {
		return 100 * AirReliefC(in.Float("temp"), in.Float("wind")) / in.Float("temp")
	},
}

func tableBlade(in source.Inputs) blade {
	return Comb{50, 4}.balance(in.Float("air"), in.Float("wind"), ConstrictedPerfusion)
}

// combCase is the air nearest to that of a report in which the range of blood
// flow allows what was seen: froze=none, or the share of the comb's height from
// which up it froze (1: only the tip).
func combCase(in source.Inputs) float64 {
	sex, air, wind := sexOf(in), in.Float("air"), in.Float("wind")
	wet := in.Float("damp") * WetCombK
	if in["froze"] == "none" {
		return max(air, combOf(in).frozenAirC(sex, 1, wind, PerfusionHigh)+wet)
	}
	return min(air, combOf(in).frozenAirC(sex, in.Float("froze"), wind, PerfusionLow)+wet)
}

func combOf(in source.Inputs) Comb {
	return CombOf(in["comb"], int(in.Float("size")), sexOf(in))
}

func sexOf(in source.Inputs) Sex {
	if in["sex"] == "cock" {
		return Cock
	}
	return Hen
}
