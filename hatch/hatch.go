// Package hatch reckons from eggs to chicks.
//
// An egg gives a chick if it is fertile (a cock of the right age, with not too
// many hens, for long enough), was not kept too long, and is warmed and turned
// for 21 days without a mishap:
//
//	chicks an egg set = fertility x hatch of fertile x storage x (1 - whole setting lost)
//
// A hen warms eggs as well as a small machine or better while she sits
// faithfully, but more of her settings are lost altogether. A hen that sits lays
// nothing until she has hatched, reared and recovered (BroodyProfile).
//
// "Hatch of fertile" is chicks over fertile eggs; "hatch of eggs set" is chicks
// over all eggs set. Writers mix them up; every name here says which is meant.
// Small numbers rule: with a dozen eggs the spread is wide, so plan with
// AtLeast, not with the mean alone.
package hatch

import "math"

// The calendar of a setting, in days after setting. A chicken's egg takes 21
// days; small fresh eggs a day less, old eggs or a cool machine a day or two
// more. Keys: hatch-day-by-day, hatch-usda-1363.
const (
	Days        = 21
	LockdownDay = 18 // stop turning, raise the humidity, do not open again
	DiscardDay  = 23 // what has not hatched will not
)

// CandleDays are the days on which eggs are held to a light: clears and early
// dead come out on the first two; the third may be left out.
var CandleDays = [...]int{7, 14, 18}

// LongestStorageDays is the oldest a hatching egg is planned to be when set.
const LongestStorageDays = 10

// Method is how eggs are warmed.
type Method int

const (
	Broody          Method = iota // a hen known to sit well
	FirstBroody                   // a hen that has not hatched before
	Machine                       // a good small machine, practised keeper
	BeginnerMachine               // the same machine, first seasons
)

func (m Method) String() string {
	return [...]string{"broody hen", "broody hen, first time", "machine", "machine, beginner"}[m]
}

// HatchOfFertile is the share of fresh fertile eggs that hatch when the setting
// is not lost. Key: hatch-defaults.
func HatchOfFertile(m Method) float64 { return [...]float64{0.85, 0.70, 0.85, 0.75}[m] }

// WholeSettingLoss is the chance that a setting gives nothing: nest deserted,
// raided or wet; power cut or wrong thermometer. Key: practice.
func WholeSettingLoss(m Method) float64 { return [...]float64{0.08, 0.12, 0.05, 0.05}[m] }

// PostedMultiplier is what the post leaves of the hatch of bought eggs, 0.4 to
// 0.8 (practice); rest them a day, large end up, before setting.
const PostedMultiplier = 0.6

// Setting is what decides how many chicks an egg gives.
type Setting struct {
	Fertility  float64 // share of eggs fertile; see Mating.Fertility
	Method     Method
	SavedDays  int     // days over which the eggs were saved, set on the last
	Posted     bool    // bought eggs that came by post
	Inbreeding float64 // F of the embryos, 0 to 1
}

// ChicksPerEgg is the expectation of live chicks for each egg set, settings that
// are lost altogether included.
func (s Setting) ChicksPerEgg() float64 {
	return s.HatchWhenSpared() * (1 - WholeSettingLoss(s.Method))
}

// HatchWhenSpared is the chance of one egg to hatch in a setting that is not
// lost: draw the loss of the setting first, then the eggs.
func (s Setting) HatchWhenSpared() float64 {
	hatch := HatchOfFertile(s.Method) - HatchLossByInbreeding(s.Inbreeding)
	if s.Posted {
		hatch *= PostedMultiplier
	}
	return max(0, s.Fertility*hatch*MeanStorage(s.SavedDays))
}

// eggMassUnderHen is the mass of eggs in kilograms that a hen of 1 kg covers; it
// grows with the square root of her weight. It passes through the tables: 7
// common eggs under a bantam of 0.75 kg, 11 under 1.75, 13 under 2.6, 14 under
// 3.3. Keys: hatch-usda-1363, hatch-robinson, hatch-nz-block.
const eggMassUnderHen = 0.46

// EggsUnderHen is how many eggs of eggG grams a hen of henKg (0.5 to 5) covers.
// In cold weather she covers two fewer, for the outer eggs chill.
func EggsUnderHen(henKg, eggG float64, cold bool) int {
	n := int(math.Round(1000 * eggMassUnderHen * math.Sqrt(min(5, max(0.5, henKg))) / max(25, eggG)))
	if cold {
		n -= 2
	}
	return min(17, max(4, n))
}

// ChicksUnderHen is how many chicks a hen broods, her own and fostered: 10 in
// cool weather, 15 in warm. Key: hatch-usda-624.
func ChicksUnderHen(cold bool) int {
	if cold {
		return 10
	}
	return 15
}

// TargetEggG is what an egg of setG grams should weigh on a day of incubation:
// it loses 12 % (11 to 14) to day 18. Heavier: less humidity; lighter: more.
// Key: hatch-egg-water-loss.
func TargetEggG(setG float64, day int) float64 {
	return setG * (1 - 0.12*float64(min(18, max(0, day)))/18)
}

// LaterHours is by how much storage puts off the hatch: about an hour a day.
// Key: hatch-maker-handbook.
func LaterHours(storedDays float64) float64 { return storedDays * 52.5 / 60 }
