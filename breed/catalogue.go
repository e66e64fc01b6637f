package breed

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// tables is everything read from the embedded data.
type tables struct {
	breeds  []*Breed
	lay     map[LayClass]layClass
	growing map[string]growthClass
}

var load = sync.OnceValue(func() tables {
	t, err := readTables()
	if err != nil {
		panic(err) // the tables are embedded and checked by a test
	}
	return t
})

func catalogue() []*Breed { return load().breeds }

// All lists the catalogue in the order of its table, which groups breeds by
// origin. The records are shared: read them, do not change them.
func All() []*Breed { return slices.Clone(catalogue()) }

func readTables() (t tables, err error) {
	if t.growing, err = readGrowthClasses(); err != nil {
		return t, err
	}
	byID := map[string]*Breed{}
	err = readTable("breeds.csv", func(r row) {
		b := r.breed()
		t.breeds = append(t.breeds, b)
		byID[b.ID] = b
	})
	if err != nil {
		return t, err
	}
	if t.lay, err = readLayClasses(byID); err != nil {
		return t, err
	}
	for _, b := range t.breeds {
		if _, ok := t.lay[b.LayClass]; !ok {
			return t, fmt.Errorf("breeds.csv: %s has lay class %q, which lay_classes.csv does not have", b.ID, b.LayClass)
		}
		growing, ok := t.growing[b.GrowthClass]
		if !ok {
			return t, fmt.Errorf("breeds.csv: %s has growth class %q, which growth_classes.csv does not have", b.ID, b.GrowthClass)
		}
		b.Lay = layOf(b, Utility, t.lay)
		b.DressingPct = b.measuredDressingPct
		if b.DressingPct == 0 {
			b.DressingPct = growing.dressingPct(true, b.butcherWeeks())
		}
	}
	return t, nil
}

func (r row) breed() *Breed {
	body := strings.Fields(r.text("body"))
	b := &Breed{
		ID: r.text("id"), Name: r.text("name"), Class: r.text("class"), Origin: r.text("origin"),
		Aliases: split(r.text("aliases")),
		Purpose: Purpose(r.text("purpose")), Kind: r.text("kind"), BreedsTrue: r.yes("breeds_true"),
		CockKg: r.number("cock_kg"), HenKg: r.number("hen_kg"),
		CockerelKg: r.number("cockerel_kg"), PulletKg: r.number("pullet_kg"),
		WeightsAreStandard: r.text("weights_are") == "standard",
		LayClass:           LayClass(r.text("lay_class")),
		EggsLow:            r.number("eggs_low"), EggsHigh: r.number("eggs_high"), EggColour: r.text("egg_colour"), EggG: r.number("egg_g"),
		TrialEggs: r.number("trial_eggs"), TrialWeeks: r.number("trial_weeks"),
		FirstEggLow: r.number("first_egg_weeks_low"), FirstEggHigh: r.number("first_egg_weeks_high"),
		ButcherWeeksLow: r.number("butcher_weeks_low"), ButcherWeeksHigh: r.number("butcher_weeks_high"),
		DressedKgLow: r.number("dressed_kg_low"), DressedKgHigh: r.number("dressed_kg_high"),
		GrowthClass: r.text("growth_class"), measuredDressingPct: r.number("dressing_pct"),
		Comb: r.text("comb"), CombSize: r.size("comb_size"), WattleSize: r.size("wattle_size"),
		FeatheredShanks: slices.Contains(body, "feathered-shanks"), Crested: slices.Contains(body, "crested"),
		Muffed: slices.Contains(body, "muffed"), NakedNeck: slices.Contains(body, "naked-neck"),
		Plumage: r.text("plumage"), PlumageColour: r.text("plumage_colour"),
		Broodiness: r.score("broodiness"), Foraging: r.score("foraging"), Flightiness: r.score("flightiness"),
		ColdStated: r.score("cold"), HeatStated: r.score("heat"),
		HensPerCock: r.number("hens_per_cock"),
		Status:      r.text("status"), Notes: r.text("notes"), Confidence: r.text("confidence"),
		Sources: map[string]string{}, AllSources: map[string][]string{}, Marks: map[string]string{},
	}
	for _, trait := range Traits {
		b.cite(trait, r.text(trait+"_source"))
		b.Marks[trait] = r.text(trait + "_mark")
	}
	b.cite("mating", r.text("mating_source"))
	b.cite("status", r.text("status_source"))
	b.cite("trial", r.text("trial_source"))
	return b
}

func (b *Breed) cite(trait, keys string) {
	if list := strings.Fields(keys); len(list) > 0 {
		b.Sources[trait], b.AllSources[trait] = list[0], list
	}
}

func split(cell string) []string {
	if cell == "" {
		return nil
	}
	return strings.Split(cell, ";")
}

// Find returns the breed with the given id, name or other trade name. Case,
// accents, hyphens and blanks do not matter. "bresse x sussex" and
// "bresse-x-sussex" give the cross of a Bresse cock and Sussex hens. An unknown
// name is an error that names three near ones.
func Find(id string) (*Breed, error) {
	if cut := crossSign.FindAllStringIndex(id, -1); cut != nil {
		return findCross(id, cut)
	}
	wanted := fold(id)
	for _, b := range catalogue() {
		if fold(b.ID) == wanted || fold(b.Name) == wanted {
			return b, nil
		}
	}
	for _, b := range catalogue() {
		if slices.Contains(b.calls(), wanted) {
			return b, nil
		}
	}
	return nil, fmt.Errorf("no breed %q in the catalogue; did you mean %s?", id, nearest(wanted))
}

// crossSign is the x of a cross in an id or as keepers write it.
var crossSign = regexp.MustCompile(`-+[xX]-+|\s+[xX×]\s+`)

// findCross cuts at the last step, which has the longest sign.
func findCross(id string, cut [][]int) (*Breed, error) {
	longest, equals := cut[0], 0
	for _, c := range cut {
		switch length := c[1] - c[0]; {
		case length > longest[1]-longest[0]:
			longest, equals = c, 1
		case length == longest[1]-longest[0]:
			equals++
		}
	}
	if equals > 1 {
		return nil, fmt.Errorf("cannot tell which birds of %q were crossed first; write a-x-b--x--c for hens of c on a cross of a and b", id)
	}
	cock, err := Find(id[:longest[0]])
	if err != nil {
		return nil, err
	}
	hen, err := Find(id[longest[1]:])
	if err != nil {
		return nil, err
	}
	return Cross(cock, hen), nil
}

// calls are the folded names by which keepers may ask for the breed.
func (b *Breed) calls() []string {
	plain, _, _ := strings.Cut(b.Name, "(")
	calls := []string{fold(b.ID), fold(b.Name), fold(plain)}
	for _, alias := range b.Aliases {
		calls = append(calls, fold(alias))
	}
	return calls
}

// fold keeps letters and digits only, lower case and without accents.
func fold(s string) string {
	keep := func(r rune) rune {
		switch {
		case r == 'ø' || r == 'Ø':
			return 'o'
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			return unicode.ToLower(r)
		}
		return -1
	}
	return strings.Map(keep, norm.NFD.String(s))
}

func nearest(wanted string) string {
	type candidate struct {
		id    string
		steps int
	}
	var list []candidate
	for _, b := range catalogue() {
		best := len(wanted) + 99
		for _, call := range b.calls() {
			steps := editSteps(wanted, call)
			if len(wanted) >= 4 && (strings.Contains(call, wanted) || strings.Contains(wanted, call)) {
				steps = 1
			}
			best = min(best, steps)
		}
		list = append(list, candidate{b.ID, best})
	}
	slices.SortStableFunc(list, func(a, b candidate) int { return a.steps - b.steps })
	quoted := make([]string, 3)
	for i := range quoted {
		quoted[i] = fmt.Sprintf("%q", list[i].id)
	}
	return quoted[0] + ", " + quoted[1] + " or " + quoted[2]
}

// editSteps counts the letters to insert, drop or change to turn a into b.
func editSteps(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		corner := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := corner
			if a[i] != b[j] {
				change++
			}
			corner = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
