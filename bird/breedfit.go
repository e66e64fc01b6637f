package bird

import (
	"math"

	"henyear/breed"
)

// growthCurve is a Gompertz curve W(t) = A exp(-exp(-k (t - ti))), t in days.
type growthCurve struct {
	matureKg, perDay, inflectionDays, chickKg float64
}

func (g growthCurve) kg(days float64) float64 {
	return g.matureKg * math.Exp(-math.Exp(-g.perDay*(days-g.inflectionDays)))
}

func layOf(b *breed.Breed, s breed.Strain) breed.Lay {
	if x, ok := any(b).(interface {
		LayFor(breed.Strain) breed.Lay
	}); ok {
		return x.LayFor(s)
	}
	return b.Lay
}

func growthOf(b *breed.Breed, _ breed.Strain, sex Sex) growthCurve {
	g := growthCurve{matureKg: b.HenKg, chickKg: 0.04}
	if sex == Cock {
		g.matureKg = b.CockKg
	}
	switch b.GrowthClass {
	case "fast meat":
		g.perDay = 0.0404
		g.chickKg = 0.044
	case "slow meat":
		g.perDay = 0.0272
	case "dual hybrid":
		g.perDay = 0.029
	case "heavy":
		g.perDay = 0.0170
	case "egg":
		g.perDay = 0.026
	case "light", "bantam":
		g.perDay = 0.026
	default:
		g.perDay = 0.0195
	}
	w0 := g.chickKg
	if b.GrowthClass == "fast meat" {
		w0 *= 1.65
	}
	g.inflectionDays = math.Log(math.Log(g.matureKg/w0)) / g.perDay
	return g
}
