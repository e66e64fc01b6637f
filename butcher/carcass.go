package butcher

// Scald is the bath that loosens feathers.
type Scald struct {
	TempC   Range `json:"temp_c"`
	Seconds Range `json:"seconds"`
}

// ScaldFor is the small farm's usual bath for a class: 60 to 63 C for 45 to 60
// seconds, stopped when a wing feather pulls out; old hens and cocks a little
// hotter and longer. Keys: butcher-scald-farm, butcher-scald-old.
func ScaldFor(c Class) Scald {
	switch c {
	case OldHen, OldCock:
		return Scald{Range{60, 62, 65, "butcher-scald-old"}, Range{60, 75, 90, "butcher-scald-old"}}
	case Older:
		return Scald{Range{60, 62, 63, "butcher-scald-farm"}, Range{45, 60, 75, "butcher-scald-medium"}}
	}
	return Scald{Range{60, 61, 63, "butcher-scald-farm"}, Range{45, 55, 60, "butcher-scald-farm"}}
}

// SoftScald keeps the yellow outer skin and takes far longer.
func SoftScald() Scald {
	return Scald{Range{50, 52, 54, "butcher-scald-soft"}, Range{120, 165, 210, "butcher-scald-soft"}}
}

// TearsC is the bath in which skin tears or cooks. Key: butcher-scald-tears.
const TearsC = 65

// ChillC is the deep temperature that a carcass must reach. Key: butcher-chill.
const ChillC = 4.4

// CutC is how far meat may warm while it is cut up, before it is cooled again at
// once. Key: butcher-giblets-chill.
const CutC = 12.8

// ChillHours is how long a carcass may take to be cold inside: 4 hours under 1.8
// kg (4 lb), 6 to 3.6 kg (8 lb), 8 above. Key: butcher-chill-table.
func ChillHours(carcassKg float64) float64 {
	switch {
	case carcassKg < 1.8:
		return 4
	case carcassKg <= 3.6:
		return 6
	}
	return 8
}

// GibletHours is the same for giblets. Key: butcher-giblets-chill.
const GibletHours = 2

// CookC is the core temperature at which a bird is safe. Key: butcher-cook.
const CookC = 73.9

// RestHours is how long the carcass lies at 0 to 4 C before it is cooked or
// frozen, until its joints are loose again. Keys: butcher-rest-fast,
// butcher-rest, butcher-rest-old.
func RestHours(c Class) Range {
	switch c {
	case FastMeat:
		return Range{6, 10, 12, "butcher-rest-fast"}
	case YoungCockerel:
		return Range{8, 16, 24, "butcher-rest"}
	}
	return Range{48, 72, 96, "butcher-rest-old"}
}

// StiffHours: nobody cuts meat from the bone or freezes it sooner. Key:
// butcher-rest-stiff.
const StiffHours = 6

// Weather that changes the work, by the day's high in the shade. From warmC more
// ice is needed (butcher-ice; the threshold is a guess). From hotC guts empty
// more slowly and crates hold fewer (butcher-fast; the threshold is a guess).
const (
	warmC = 20
	hotC  = 28
)

// iceShare is kilograms of ice for one of carcass.
func iceShare(outdoorC float64) Range {
	if outdoorC >= warmC {
		return Range{1.5, 2, 2, "butcher-ice"}
	}
	return Range{1, 1.25, 1.5, "butcher-ice"}
}

// fastHours without feed, water left on, before a bird is killed. Northcutt's
// gut is four fifths empty after six hours with water; over twelve the gut wall
// weakens and tears. Key: butcher-fast.
func fastHours(outdoorC float64) Range {
	r := Range{8, 10, 12, "butcher-fast"}
	if outdoorC >= hotC {
		return r.Plus(Range{2, 2.5, 3, "butcher-fast"})
	}
	return r
}

// Kept is how long something stays good.
var (
	FrozenWholeMonths  = Range{12, 12, 12, "butcher-keeps"}
	FrozenPiecesMonths = Range{9, 9, 9, "butcher-keeps"}
	FrozenGibletMonths = Range{3, 3, 4, "butcher-keeps"}
	FridgeDays         = Range{1, 1, 2, "butcher-keeps"}
)

// Packing is how the birds go into the freezer.
type Packing int

const (
	Whole Packing = iota
	CutUp
)

// litresAKg of freezer for a kilogram, packed. Keys: butcher-pack-whole,
// butcher-pack-cut.
func (p Packing) litresAKg() Range {
	if p == CutUp {
		return Range{2.0, 2.2, 2.3, "butcher-pack-cut"}
	}
	return Range{2.7, 3, 3.5, "butcher-pack-whole"}
}

// usableShare of the volume that is written on a freezer. Key:
// butcher-freezer-share.
const (
	usableLow, usablePlan, usableHigh = 0.80, 0.85, 0.90
)

// FreezerL is the stated litres of freezer that kilograms of dressed birds take.
func FreezerL(kg float64, p Packing) Range {
	l := p.litresAKg()
	return Range{kg * l.Low / usableHigh, kg * l.Plan / usablePlan, kg * l.High / usableLow, l.Source}
}

// Shares of live weight. Keys: butcher-parts, butcher-bones, butcher-waste.
var (
	gibletShare   = Range{0.04, 0.05, 0.06, "butcher-parts"}  // liver, heart, gizzard
	neckFeetShare = Range{0.065, 0.08, 0.10, "butcher-parts"} // neck 3-5 %, feet 3.5-5 %
	frameShare    = Range{0.20, 0.24, 0.28, "butcher-bones"}  // backs, necks, feet and bones of birds cut up
	wasteShare    = Range{0.25, 0.30, 0.35, "butcher-waste"}  // blood, feathers, guts
	stockLAKg     = Range{1.2, 1.6, 2.0, "butcher-stock"}     // of stock from a kilogram of bones
	stewHenStockL = Range{1.5, 2.0, 2.5, "butcher-stock-hen"} // from one hen simmered whole
	shrinkAHour   = Range{0.18, 0.3, 0.43, "butcher-shrink"}  // percent of live weight while fasting
	takenUpPct    = Range{3, 5, 8, "butcher-water-taken"}     // of the carcass, in ice water; drains 1-3 again
	bleedMinutes  = Range{1.5, 2, 3, "butcher-bleed"}         // until the bird is still
	drawWithinH   = Range{0, 0.5, 1, "butcher-draw"}          // from the kill
)
