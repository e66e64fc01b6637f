package butcher

// Class is what kind of bird lies on the table: it decides the scald, the rest
// and the pot.
type Class int

const (
	FastMeat      Class = iota // meat crosses, butchered by about ten weeks
	YoungCockerel              // and surplus pullets, up to sixteen weeks
	Older                      // cockerels and pullets over sixteen weeks, not yet a year
	OldHen
	OldCock
)

// classNames are lasting: pages and addresses use them.
var classNames = [...]string{"fast_meat", "young", "older", "old_hen", "old_cock"}

func (c Class) String() string {
	if c < FastMeat || c > OldCock {
		return "unknown"
	}
	return classNames[c]
}

// Ages in weeks at which a bird passes from one class to the next: cockerels
// over sixteen weeks are rested as older birds (butcher-rest-old); a bird of a
// year is stewed (butcher-kitchen-rule).
const (
	olderWeeks = 16
	oldWeeks   = 52
)

// ClassOf tells the class of a bird. fastMeat is a meat cross of quick growth.
func ClassOf(fastMeat, cock bool, ageWeeks float64) Class {
	switch {
	case ageWeeks >= oldWeeks && cock:
		return OldCock
	case ageWeeks >= oldWeeks:
		return OldHen
	case fastMeat:
		return FastMeat
	case ageWeeks > olderWeeks:
		return Older
	}
	return YoungCockerel
}

// Pot is how the kitchen takes a bird of an old breed. The trade's own classes
// are for fast crosses and end sooner. Key: butcher-kitchen-rule.
type Pot string

const (
	Broil Pot = "broil" // 7 to 12 weeks: fast dry heat
	Fry   Pot = "fry"   // 12 to 20 weeks
	Roast Pot = "roast" // 5 to 12 months: slow, covered, moist
	Stew  Pot = "stew"  // over a year: two to four hours below boiling
)

// PotOf tells how to cook a bird of an age.
func PotOf(ageWeeks float64) Pot {
	switch {
	case ageWeeks < 12:
		return Broil
	case ageWeeks < 20:
		return Fry
	case ageWeeks < oldWeeks:
		return Roast
	}
	return Stew
}
