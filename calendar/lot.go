package calendar

import (
	"math"
	"slices"
	"strings"
	"time"

	"henyear/breed"
	"henyear/daybook"
	"henyear/hatch"
	"henyear/measure"
	"henyear/plan"
)

// lot is one lot of birds: a batch of the plan, or eggs and birds that only the
// daybook knows.
type lot struct {
	id    string
	batch plan.Batch
	breed *breed.Breed // nil when the catalogue does not know it
	name  string       // of the breed

	// The day of each beginning: as planned, and as the flock stands. Zero where
	// there is none.
	planned, now anchorDays

	eggs                       float64
	chicks, pullets, cockerels float64 // expected, or counted at the hatch
	fates                      []fate

	setting  *daybook.SettingOn
	groups   map[daybook.ID]bool
	alive    map[string]int // by sex, once the book knows the birds
	known    bool           // the book knows birds of the lot
	setOn    measure.Date   // when it really was set, hatched, came; zero: not yet
	hatchOn  measure.Date
	arriveOn measure.Date

	sessions []string // identifiers of the butcher days that take birds of it

	moved  *daybook.Sentence
	gone   *daybook.Sentence // why nothing more is to be done
	goneOn measure.Date
	unset  bool // its set day has gone by without a word
	failed bool // nothing hatched
}

// anchorDays are the days from which jobs are counted.
type anchorDays struct{ set, hatch, arrive, layer, firstEgg measure.Date }

func (a anchorDays) of(name string) measure.Date {
	switch name {
	case "set":
		return a.set
	case "hatch":
		return a.hatch
	case "arrive":
		return a.arrive
	case "layer":
		return a.layer
	case "first_egg":
		return a.firstEgg
	}
	return measure.Date{}
}

// shifted are the same days n later.
func (a anchorDays) shifted(n int) anchorDays {
	for _, d := range []*measure.Date{&a.set, &a.hatch, &a.arrive, &a.layer, &a.firstEgg} {
		if !d.IsZero() {
			*d = d.AddDays(n)
		}
	}
	return a
}

// fate is what becomes of some birds of a lot.
type fate struct {
	plan.Fate
	id      string // of the lot and its order in the plan
	planned measure.Date
}

// followsHatch is how long after the hatch a fate still moves with it; what comes
// later goes by the season.
const followsHatchDays = 60 * 7

func (x *lot) source(part string) bool { return strings.Contains(x.batch.Source, part) }

func (x *lot) hasEggs() bool { return x.eggs > 0 && !x.planned.set.IsZero() }
func (x *lot) onHand() bool  { return x.source("on hand") }
func (x *lot) bought() bool  { return x.young() || x.grown() }
func (x *lot) young() bool   { return x.batch.Source == "chicks" || x.batch.Source == "pullet chicks" }
func (x *lot) grown() bool   { return x.batch.Source == "started pullets" || x.batch.Source == "cock" }
func (x *lot) underHen() bool {
	if x.setting != nil {
		return x.setting.Under == "hen"
	}
	return x.source("broody hen")
}
func (x *lot) meat() bool { return x.breed != nil && x.breed.Purpose == breed.Meat }

// has reports whether a need of the tables is met.
func (l *lister) has(x *lot, need string) bool {
	kills := l.in.Holding.Means.WillKill
	switch need {
	case "eggs":
		return x.hasEggs()
	case "own":
		return x.hasEggs() && !x.source("hatching eggs")
	case "posted":
		return x.hasEggs() && x.source("hatching eggs")
	case "machine":
		return x.hasEggs() && !x.underHen()
	case "hen":
		return x.hasEggs() && x.underHen()
	case "bought":
		return x.bought()
	case "young":
		return x.young()
	case "grown":
		return x.grown()
	case "chicks":
		return !x.grown()
	case "warmed":
		return !x.grown() && !(x.hasEggs() && x.underHen())
	case "home":
		return x.hasEggs()
	case "renew":
		return !x.meat()
	case "meat":
		return x.meat()
	case "notmeat":
		return !x.meat()
	case "kill":
		return kills
	case "nokill":
		return !kills
	case "cockerels":
		return x.cockerels >= 0.5 && !x.grown()
	case "pullets":
		return x.pullets >= 0.5
	case "bothsexes":
		return x.pullets >= 0.5 && x.cockerels >= 0.5
	case "lay":
		return !x.meat()
	case "eaten":
		return x.fated("cock", "table") || x.fromBook()
	case "breedingcock":
		return !x.onHand() && !x.grown() && x.fated("cock", "breeding cock")
	case "reared":
		return !x.grown() && !(x.onHand() && l.start.DaysSince(x.planned.hatch) > 7*plan.JoinWeeks)
	}
	return false
}

func (x *lot) fromBook() bool { return len(x.batch.Fates) == 0 }

func (x *lot) fated(sex, what string) bool {
	return slices.ContainsFunc(x.fates, func(f fate) bool { return f.Sex == sex && f.What == what && f.Birds >= 0.5 })
}

// lotOf is a lot as the plan has it.
func lotOf(b plan.Batch) *lot {
	x := &lot{id: b.ID, batch: b, name: b.BreedName, eggs: float64(b.EggsSet), chicks: b.Chicks, pullets: b.Pullets, cockerels: b.Cockerels,
		groups: map[daybook.ID]bool{}}
	if br, err := breed.Find(b.Breed); err == nil {
		x.breed = br
	}
	a := anchorDays{hatch: b.Hatched, firstEgg: b.FirstEgg}
	if b.EggsSet > 0 {
		a.set = b.Set
		a.hatch = b.Set.AddDays(hatch.Days)
	}
	switch b.Source {
	case "chicks", "pullet chicks":
		a.arrive = b.Hatched
	case "started pullets":
		a.arrive = b.Hatched.AddDays(7 * plan.StartedWeeks)
	case "cock":
		a.arrive = b.Hatched.AddDays(7 * plan.GrownCockWeeks)
	}
	order := map[string]int{}
	for _, f := range b.Fates {
		if f.What == "layer" && a.layer.IsZero() {
			a.layer = f.On
		}
		key := strings.ReplaceAll(f.Sex+"-"+f.What, " ", "-")
		order[key]++
		x.fates = append(x.fates, fate{f, b.ID + "/" + key + ordinal(order[key]), f.On})
	}
	x.planned, x.now = a, a
	return x
}

// ordinal numbers what comes more than once: nothing, -2, -3.
func ordinal(n int) string {
	if n <= 1 {
		return ""
	}
	return "-" + measure.Round(float64(n), 0)
}

// shares of the eggs set that hatch, where neither the plan nor the daybook tells
// (guess; hatch-defaults times a mishap now and then).
const hatchShare = 0.65

// bookLot is a lot that only the daybook knows: set or bought beside the plan.
func bookLot(id, breedID, source string, a anchorDays, eggs, chicks float64) *lot {
	x := &lot{id: id, eggs: eggs, chicks: chicks, pullets: chicks / 2, cockerels: chicks / 2, groups: map[daybook.ID]bool{}}
	x.batch = plan.Batch{ID: id, Breed: breedID, BreedName: breedID, Source: source, EggsSet: int(eggs), Set: a.set, Hatched: a.hatch, Chicks: chicks}
	x.name = breedID
	if br, err := breed.Find(breedID); err == nil {
		x.breed, x.name = br, br.Name
		if w := br.Lay.FirstEggWeeks; w > 0 && br.Purpose != breed.Meat {
			a.firstEgg = a.hatch.AddDays(int(math.Round(7 * w)))
		}
	}
	if x.name == "" {
		x.name = "unnamed breed"
	}
	if !x.meat() {
		a.layer = a.hatch.AddDays(7 * plan.JoinWeeks)
	}
	x.planned, x.now = a, a
	return x
}

// words of a lot, for its texts.
func (l *lister) wordsOf(x *lot) words {
	w := words{"breed": x.name, "eggs": count(x.eggs, "egg"), "chicks": count(x.chicks, "chick"), "pullets": count(x.pullets, "pullet"),
		"cockerels": count(x.cockerels, "cockerel"), "where": "in the machine", "hatchwhere": " in the machine", "pure": "", "breeding": "", "dark": "", "cold": "", "hatched": ""}
	if x.underHen() {
		w["where"], w["hatchwhere"], w["dark"] = "under the hen", " under the hen, who does the rest", ", after dark, taking them from under her a few at a time"
	}
	if !x.now.hatch.IsZero() {
		w["hatch"] = dayMonth(x.now.hatch)
		w["hatched"] = " hatched " + w["hatch"] // which of two lots of a breed it is
	}
	if !x.now.set.IsZero() {
		w["posted"] = dayMonth(x.now.set.AddDays(-2))
	}
	if !x.now.arrive.IsZero() {
		w["arrive"] = dayMonth(x.now.arrive)
	}
	switch x.batch.Source {
	case "started pullets":
		w["birds"] = count(x.pullets, "started pullet")
	case "cock":
		w["birds"] = count(x.cockerels, "cock")
	default:
		w["birds"] = count(x.chicks, "day-old chick")
	}
	w["Birds"] = capital(w["birds"])
	layers := x.pullets
	for _, f := range x.fates {
		if f.What == "layer" {
			layers = f.Birds
			break
		}
	}
	w["layers"] = count(min(layers, x.pullets), "pullet")
	if l.cockBreeds > 1 {
		w["pure"] = ", and take every other cock away from them"
	}
	if x.fated("cock", "breeding cock") && !x.onHand() {
		w["breeding"] = " Mark three cockerels for each breeding cock you want."
	}
	if l.coldAt(x.now.hatch.AddDays(35)) {
		w["cold"] = " The nights are still cold then: rather a week later, and only in a dry, draught-free place."
	}
	return w
}

// coldNightC is the mean low below which feathered chicks wait (common practice:
// above about 5 to 10 C).
const coldNightC = 5

func (l *lister) coldAt(d measure.Date) bool { return l.normal(d).MinC < coldNightC }

// month names a month with its year, for an identifier.
func monthKey(y int, m time.Month) string {
	return measure.Date{Year: y, Month: m, Day: 1}.String()[:7]
}
