package breed

// Organ is the free height and the thickness of a comb or wattle, mm.
type Organ struct{ HeightMM, ThickMM float64 }

// combs are a cock's combs by type, for small, medium and large. Estimates, no
// measured source found (breed-comb-sizes); a large single comb stands 5 cm or
// more.
var combs = map[string][3]Organ{
	"single":     {{20, 4}, {45, 4.5}, {60, 4}},
	"carnation":  {{20, 4}, {45, 4.5}, {60, 4}},
	"buttercup":  {{18, 4}, {25, 4}, {30, 4}},
	"v":          {{20, 4}, {25, 4}, {30, 4}},
	"rose":       {{10, 8}, {15, 8}, {25, 8}},
	"pea":        {{8, 8}, {10, 8}, {14, 8}},
	"walnut":     {{12, 12}, {14, 12}, {18, 12}},
	"cushion":    {{8, 12}, {12, 12}, {14, 12}},
	"strawberry": {{12, 12}, {14, 12}, {18, 12}},
}

var wattles = [3]Organ{{20, 4}, {35, 4}, {50, 4}}

// henShare is a hen's comb and wattle against a cock's: 35 of 60 mm for a large
// single comb, 25 of 50 for a wattle.
const (
	henCombShare   = 0.58
	henWattleShare = 0.5
)

// CombOf returns the comb of a grown bird in lay or in breeding condition.
func (b *Breed) CombOf(cock bool) Organ {
	return sized(combs[b.Comb][clampSize(b.CombSize)], cock, henCombShare)
}

// WattleOf returns one wattle of a grown bird.
func (b *Breed) WattleOf(cock bool) Organ {
	return sized(wattles[clampSize(b.WattleSize)], cock, henWattleShare)
}

func clampSize(size int) int { return min(3, max(1, size)) - 1 }

func sized(o Organ, cock bool, henShare float64) Organ {
	if !cock {
		o.HeightMM *= henShare
	}
	return o
}

// Index is a screening figure with the reasons that made it.
type Index struct {
	Value  int
	Source string // key in the bibliography
	Parts  []Part
}

// Part is one reason of an Index: a stable code and the points it gave.
type Part struct {
	Code   string
	Points int
}

func (i *Index) add(code string, points int) {
	if points != 0 {
		i.Parts = append(i.Parts, Part{code, points})
		i.Value += points
	}
}

// FrostIndex screens the cock's head for frost, 0 (little to freeze) to 4: size of
// comb 0-2 (code comb_size), 1 for a thin type (thin_comb), 1 for large wattles
// (large_wattles). 0-1 is low, 2 moderate, 3-4 high. It orders breeds; what a
// night does to a comb is computed elsewhere. Reference: breed-frost-screen.
func (b *Breed) FrostIndex() Index {
	i := Index{Source: "breed-frost-screen"}
	i.add("comb_size", clampSize(b.CombSize))
	switch b.Comb {
	case "single", "buttercup", "carnation":
		i.add("thin_comb", 1)
	}
	if b.WattleSize == 3 {
		i.add("large_wattles", 1)
	}
	return i
}

// HeatIndex screens the hen's body for heat, 0 to 4: hen over 3.5 kg 2, over
// 2.5 kg 1 (heavy_hen); loose feather 1 (loose_feather); feathered shanks 1
// (feathered_shanks); less 1 for a naked neck (naked_neck) and for a large comb
// (large_comb), not below 0. Reference: breed-heat-screen.
func (b *Breed) HeatIndex() Index {
	i := Index{Source: "breed-heat-screen"}
	switch {
	case b.HenKg > 3.5:
		i.add("heavy_hen", 2)
	case b.HenKg >= 2.5:
		i.add("heavy_hen", 1)
	}
	if b.Plumage == "loose" {
		i.add("loose_feather", 1)
	}
	if b.FeatheredShanks {
		i.add("feathered_shanks", 1)
	}
	if b.NakedNeck {
		i.add("naked_neck", -1)
	}
	if b.CombSize == 3 {
		i.add("large_comb", -1)
	}
	i.Value = max(0, i.Value)
	return i
}
