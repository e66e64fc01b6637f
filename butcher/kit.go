package butcher

import "math"

// Kit is what must stand ready. Counts are whole things.
type Kit struct {
	Cones        int     `json:"cones"`
	ScalderL     float64 `json:"scalder_l"`
	Plucker      bool    `json:"plucker"` // a tub plucker, else hands
	Tables       int     `json:"tables"`
	Knives       int     `json:"knives"`
	Tubs         int     `json:"tubs"`    // for ice water
	TubL         float64 `json:"tub_l"`   // of each
	WaterL       Range   `json:"water_l"` // drinking water for scald, rinsing and cleaning
	IceKg        Range   `json:"ice_kg"`
	BirdBags     int     `json:"bird_bags"`
	GibletBags   int     `json:"giblet_bags"`
	Crates       int     `json:"crates"`
	BirdsACrate  int     `json:"birds_a_crate"`
	WasteBuckets int     `json:"waste_buckets"` // of ten litres, with lids
	Gloves       int     `json:"gloves"`        // cut-resistant, for the holding hand
}

// Figures of the kit; all common practice without a source (butcher-kit) but the
// ice.
const (
	hangMinutes    = 6  // a bird is in the cone: two to bleed, the rest to load and lift out
	scalderHandL   = 35 // a pot in which one bird dips whole
	scalderTubL    = 70 // for a plucker that takes two to four birds
	tubLitres      = 60 // what two people still carry
	tubLAKg        = 3  // carcass, ice and water of a kilogram of carcass
	rinseLow       = 5  // litres a bird
	rinsePlan      = 8
	rinseHigh      = 12
	cleanL         = 60 // litres for tables, tools and floor
	birdsACrate    = 8  // grown, in a crate of half a square metre
	birdsHotCrate  = 6
	bucketKg       = 8   // of waste in a bucket that can be carried
	gibletsOfBirds = 4   // birds whose giblets fill one bag
	changeBirds    = 25  // after so many birds the scald is renewed
	spareBagShare  = 1.1 // bags tear
)

func kitFor(in Input, pace Range, carcassKg, liveKg float64) Kit {
	n := float64(in.Birds)
	k := Kit{
		Cones: up(pace.High*hangMinutes/60) + 1, ScalderL: scalderHandL, Tables: 2, Knives: 1 + in.People, Gloves: in.People,
		BirdBags: up(n * spareBagShare), GibletBags: up(n / gibletsOfBirds), BirdsACrate: birdsACrate,
	}
	if in.Practice >= Plucker {
		k.ScalderL, k.Plucker = scalderTubL, true
	}
	if in.Practice == Crew {
		k.Tables = 3
	}
	if in.OutdoorC >= hotC {
		k.BirdsACrate = birdsHotCrate
	}
	k.Crates = up(n / float64(k.BirdsACrate))
	k.Tubs = up(carcassKg * tubLAKg / tubLitres)
	k.TubL = tubLitres
	if k.Tubs == 1 {
		k.TubL = max(10, math.Ceil(carcassKg*tubLAKg/5)*5)
	}
	scald := k.ScalderL * math.Ceil(n/changeBirds)
	k.WaterL = Range{rinseLow * n, rinsePlan * n, rinseHigh * n, "butcher-kit"}.Plus(Range{scald + cleanL, scald + cleanL, scald + cleanL, ""})
	k.IceKg = iceShare(in.OutdoorC).times(carcassKg)
	k.WasteBuckets = up(liveKg * wasteShare.Plan / bucketKg)
	return k
}

// With is the kit for birds of two classes on one day, done one after the other:
// tools serve both, what is used up adds.
func (k Kit) With(m Kit) Kit {
	k.Cones, k.ScalderL, k.Tables = max(k.Cones, m.Cones), max(k.ScalderL, m.ScalderL), max(k.Tables, m.Tables)
	k.Knives, k.Gloves, k.Plucker = max(k.Knives, m.Knives), max(k.Gloves, m.Gloves), k.Plucker || m.Plucker
	k.BirdsACrate = min(k.BirdsACrate, m.BirdsACrate)
	k.Tubs, k.TubL = k.Tubs+m.Tubs, max(k.TubL, m.TubL)
	k.WaterL, k.IceKg = k.WaterL.Plus(m.WaterL), k.IceKg.Plus(m.IceKg)
	k.BirdBags, k.GibletBags, k.Crates, k.WasteBuckets = k.BirdBags+m.BirdBags, k.GibletBags+m.GibletBags, k.Crates+m.Crates, k.WasteBuckets+m.WasteBuckets
	return k
}

func up(x float64) int { return int(math.Ceil(x - 1e-9)) }
