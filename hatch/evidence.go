package hatch

import (
	"embed"

	"henyear/source"
)

//go:embed testdata/published/*.csv
var published embed.FS

// Evidence holds published values against what this room computes.
func Evidence() ([]source.Check, error) {
	return source.ReadChecks("hatch", published, "testdata/published", map[string]source.Model{
		"storage":      func(in source.Inputs) float64 { return 88 * StorageMultiplier(int(in.Float("days"))) },
		"storage_loss": storageLossADay,
		"hatch_of_set": hatchOfSet,
		"fertility":    fertilityPct,
		"ratio_effect": ratioEffect,
		"joining_half": func(source.Inputs) float64 {
			return firstDay(func(d float64) bool { return FertileAfterJoining(d) >= 0.5 })
		},
		"joining_share": func(in source.Inputs) float64 {
			return firstDay(func(d float64) bool { return FertileAfterJoining(d) >= in.Float("share")-1e-9 })
		},
		"removal_half": func(source.Inputs) float64 { return firstDay(func(d float64) bool { return AfterRemoval(d) <= 0.5 }) },
		"eggs_under": func(in source.Inputs) float64 {
			return float64(EggsUnderHen(in.Float("hen_kg"), in.Float("egg_g"), in["cold"] == "yes"))
		},
		"male_pct":     func(source.Inputs) float64 { return 100 * MaleShare },
		"out_of_lay":   outOfLayDays,
		"days":         func(source.Inputs) float64 { return Days },
		"lockdown":     func(source.Inputs) float64 { return LockdownDay },
		"candle_first": func(source.Inputs) float64 { return float64(CandleDays[0]) },
		"later_min":    func(source.Inputs) float64 { return 60 * LaterHours(1) },
		"weight_loss":  func(source.Inputs) float64 { return 100 - TargetEggG(100, 18) },
		"temp_c":       func(in source.Inputs) float64 { return pickSet(TempC(Warmth(in["warmth"])), in) },
		"rh_pct":       func(in source.Inputs) float64 { return pickSet(RHPct(Warmth(in["warmth"]), int(in.Float("day"))), in) },
		"turns":        func(in source.Inputs) float64 { return pickSet(TurnsADay(ForcedAir, int(in.Float("day"))), in) },
		"target_g":     func(in source.Inputs) float64 { return TargetEggG(in.Float("set_g"), int(in.Float("day"))) },
		"aim_rh": func(in source.Inputs) float64 {
			aim, _ := aimHumidity(in.Float("loss"), int(in.Float("day")), in.Float("rh"))
			return aim
		},
		"inbred_hatch": func(in source.Inputs) float64 { return 100 * HatchLossByInbreeding(in.Float("f")) },
		"inbred_eggs":  func(in source.Inputs) float64 { return EggsLostByInbreeding(in.Float("f")) },
		"binomial": func(in source.Inputs) float64 {
			return PulletOdds(int(in.Float("k")), int(in.Float("n")))
		},
	})
}

func pickSet(s Setpoint, in source.Inputs) float64 {
	switch in["bound"] {
	case "low":
		return s.Low
	case "high":
		return s.High
	}
	return s.Usual
}

func methodOf(name string) Method {
	for m := Broody; m <= BeginnerMachine; m++ {
		if m.String() == name {
			return m
		}
	}
	return map[string]Method{"broody": Broody, "machine": Machine, "beginner": BeginnerMachine, "first": FirstBroody}[name]
}

// hatchOfSet is percent of eggs set, settings lost altogether left out unless
// disaster=yes: a published hatch is of settings that came to an end.
func hatchOfSet(in source.Inputs) float64 {
	s := Setting{Fertility: 0.88, Method: methodOf(in["method"]), SavedDays: int(in.Float("saved")), Posted: in["posted"] == "yes"}
	if in["disaster"] == "yes" {
		return 100 * s.ChicksPerEgg()
	}
	return 100 * s.HatchWhenSpared()
}

func fertilityPct(in source.Inputs) float64 {
	m := Mating{CockSeason: int(in.Float("cock")), HenYear: int(in.Float("hen")), HensPerCock: in.Float("hens"), ClassBound: in.Float("bound")}
	if _, ok := in["light"]; ok {
		m.LightH = in.Float("light")
	}
	return 100 * m.Fertility()
}

func ratioEffect(in source.Inputs) float64 {
	at := func(hens float64) float64 {
		return 100 * Mating{CockSeason: 1, HenYear: 1, HensPerCock: hens, ClassBound: 12}.Fertility()
	}
	return at(in.Float("from")) - at(in.Float("to"))
}

func storageLossADay(in source.Inputs) float64 {
	from, to := int(in.Float("from")), int(in.Float("to"))
	return 100 * (StorageMultiplier(from) - StorageMultiplier(to)) / float64(to-from)
}

func firstDay(reached func(day float64) bool) float64 {
	for d := 0.0; d < 60; d += 0.05 {
		if reached(d) {
			return d
		}
	}
	return 60
}

func outOfLayDays(in source.Inputs) float64 {
	p := UsualProfile()
	if w, ok := in["rear_weeks"]; ok && w != "" {
		p.RearWeeks = int(in.Float("rear_weeks"))
	}
	return 7 * float64(p.Weeks())
}
