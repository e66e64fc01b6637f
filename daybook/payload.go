package daybook

import (
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"henyear/measure"
)

// Bounds of single figures. A small flock stays far below; a slip of the hand or
// a damaged file does not.
const (
	mostEggs     = 100_000
	mostBirds    = 100_000
	mostDays     = 366
	mostG        = 15_000 // a very heavy cock weighs about 6 kg
	mostFeedKg   = 100_000
	mostMinor    = 1_000_000_000_000
	mostMinutes  = 24 * 60
	mostLine     = 200
	mostText     = 20_000
	mostListed   = 1000
	mostPhotos   = 20
	mostDrugDays = 730
)

// checks gathers what is wrong with the fields of a record; the first fault is
// the one that is told.
type checks struct{ err error }

func (c *checks) fail(field, format string, a ...any) {
	if c.err == nil {
		c.err = fmt.Errorf(field+": "+format, a...)
	}
}

func (c *checks) between(field string, n, least, most int) {
	if n < least || n > most {
		c.fail(field, "%d is not possible; write a whole number from %d to %d", n, least, most)
	}
}

func (c *checks) number(field string, x, most float64) {
	switch {
	case math.IsNaN(x) || math.IsInf(x, 0):
		c.fail(field, "this is not a number")
	case x < 0 || x > most:
		c.fail(field, "%g is not possible; write a number from 0 to %g", x, most)
	}
}

func (c *checks) minor(field string, m measure.Money) {
	if m < 0 || m > mostMinor {
		c.fail(field, "%d is not possible; write the amount in the smallest coin, not below 0", int64(m))
	}
}

func (c *checks) needID(field string, id ID, what string) {
	if id.IsZero() {
		c.fail(field, "say %s", what)
	}
}

func (c *checks) oneOf(field, text string, allowed ...string) {
	if !slices.Contains(allowed, text) {
		c.fail(field, "%q is not known; write one of: %s", shorten(text), strings.Join(allowed, ", "))
	}
}

// optional is oneOf for a field that may stay empty.
func (c *checks) optional(field, text string, allowed ...string) {
	if text != "" {
		c.oneOf(field, text, allowed...)
	}
}

func (c *checks) line(field, text string) {
	switch {
	case !utf8.ValidString(text) || strings.ContainsFunc(text, unicode.IsControl):
		c.fail(field, "write one line of plain text")
	case utf8.RuneCountInString(text) > mostLine:
		c.fail(field, "the text has more than %d letters; put the story into a note", mostLine)
	case text != strings.TrimSpace(text):
		c.fail(field, "leave out the blanks before and after the text")
	}
}

func (c *checks) needLine(field, text, what string) {
	if text == "" {
		c.fail(field, "say %s", what)
	}
	c.line(field, text)
}

func (c *checks) text(field, text string) {
	bad := func(r rune) bool { return unicode.IsControl(r) && r != '\n' && r != '\t' }
	switch {
	case !utf8.ValidString(text) || strings.ContainsFunc(text, bad):
		c.fail(field, "the text holds characters that cannot be printed")
	case utf8.RuneCountInString(text) > mostText:
		c.fail(field, "the text has more than %d letters; write several notes", mostText)
	}
}

func (c *checks) date(field string, d measure.Date) {
	if d.IsZero() {
		return
	}
	if _, err := measure.ParseDate(d.String()); err != nil {
		c.fail(field, "%w", err)
	}
}

func (c *checks) birds(field string, birds []ID, number int) {
	seen := map[ID]bool{}
	for _, id := range birds {
		if id.IsZero() || seen[id] {
			c.fail(field, "a bird is named twice or not at all")
		}
		seen[id] = true
	}
	if len(birds) > number && number > 0 {
		c.fail(field, "%d birds are named, but only %d counted", len(birds), number)
	}
	if len(birds) > mostListed {
		c.fail(field, "name at most %d birds in one record", mostListed)
	}
}

func (c *checks) drugDays(field string, days *int) {
	if days != nil {
		c.between(field, *days, 0, mostDrugDays)
	}
}

// Eggs is one collection. A hen-day's lay counts all eggs that were seen (whole,
// broken, eaten by hens); the household has Number.
type Eggs struct {
	Number      int     `json:"number"`                 // whole eggs taken in, those set aside included
	Broken      int     `json:"broken,omitzero"`        // found broken or broken on the way, not in Number
	EatenByHens int     `json:"eaten_by_hens,omitzero"` // shells found, not in Number
	SetAside    int     `json:"set_aside,omitzero"`     // of Number, kept for hatching
	Days        int     `json:"days,omitzero"`          // days that they cover, the day itself included; 0: since the last collection
	Pen         string  `json:"pen,omitzero"`
	Group       ID      `json:"group,omitzero"`
	Breed       string  `json:"breed,omitzero"`
	Size        string  `json:"size,omitzero"`
	MeanG       float64 `json:"mean_g,omitzero"` // weight of one egg, mean of those weighed
	Note        string  `json:"note,omitzero"`
}

func (Eggs) Kind() string { return "eggs" }

func (p Eggs) Validate() error {
	var c checks
	c.between("number", p.Number, 0, mostEggs)
	c.between("broken", p.Broken, 0, mostEggs)
	c.between("eaten_by_hens", p.EatenByHens, 0, mostEggs)
	c.between("set_aside", p.SetAside, 0, mostEggs)
	if p.SetAside > p.Number {
		c.fail("set_aside", "%d eggs cannot be kept for hatching out of %d collected", p.SetAside, p.Number)
	}
	c.between("days", p.Days, 0, mostDays)
	c.line("pen", p.Pen)
	c.line("breed", p.Breed)
	c.line("size", p.Size)
	c.number("mean_g", p.MeanG, 150)
	if p.MeanG != 0 && p.MeanG < 5 {
		c.fail("mean_g", "an egg of %g g is not possible; write grams of one egg", p.MeanG)
	}
	c.text("note", p.Note)
	return c.err
}

// Laid is how many eggs the hens are known to have laid.
func (p Eggs) Laid() int { return p.Number + p.Broken + p.EatenByHens }

// EggsOut is eggs that left the larder.
type EggsOut struct {
	Number        int           `json:"number"`
	How           string        `json:"how"` // eaten, sold, given, thrown away, put by
	To            string        `json:"to,omitzero"`
	ReceivedMinor measure.Money `json:"received_minor,omitzero"`
	Pen           string        `json:"pen,omitzero"` // where they were laid, if known
	Group         ID            `json:"group,omitzero"`
	Note          string        `json:"note,omitzero"`
}

// The ways of eggs out of the larder.
var eggWays = []string{"eaten", "sold", "given", "thrown away", "put by"}

func (EggsOut) Kind() string { return "eggs_out" }

func (p EggsOut) Validate() error {
	var c checks
	c.between("number", p.Number, 1, mostEggs)
	c.oneOf("how", p.How, eggWays...)
	c.line("to", p.To)
	c.minor("received_minor", p.ReceivedMinor)
	c.line("pen", p.Pen)
	c.text("note", p.Note)
	return c.err
}

// FirstEgg is the first egg of a group of pullets, or of one of them.
type FirstEgg struct {
	Group ID     `json:"group,omitzero"`
	Bird  ID     `json:"bird,omitzero"`
	Note  string `json:"note,omitzero"`
}

func (FirstEgg) Kind() string { return "first_egg" }

func (p FirstEgg) Validate() error {
	var c checks
	if p.Group.IsZero() && p.Bird.IsZero() {
		c.fail("group", "say which group or which bird laid its first egg")
	}
	c.text("note", p.Note)
	return c.err
}

// The sexes of a group. Chicks are unsexed until they are parted into groups of
// hens and of cocks by moves.
const (
	Hens    = "hens"
	Cocks   = "cocks"
	Unsexed = "unsexed"
)

// Group describes birds that are kept as one: a hatch, a purchase, what was on
// hand. A later description of the same group replaces the earlier one for all
// days. It brings no birds; BirdsIn, Hatch and Move do.
type Group struct {
	Group        ID           `json:"group"`
	Name         string       `json:"name"`
	Breed        string       `json:"breed,omitzero"`  // id in the catalogue, or the keeper's own word
	Strain       string       `json:"strain,omitzero"` // production, utility, show
	Sex          string       `json:"sex"`             // hens, cocks, unsexed
	Hatched      measure.Date `json:"hatched,omitzero"`
	HatchedAbout bool         `json:"hatched_about,omitzero"` // the date is an estimate
	Source       string       `json:"source,omitzero"`        // where the birds come from
	Pen          string       `json:"pen,omitzero"`
	PlanBatch    string       `json:"plan_batch,omitzero"` // the batch of the plan that this is
	Note         string       `json:"note,omitzero"`
}

func (Group) Kind() string { return "group" }

func (p Group) Validate() error {
	var c checks
	c.needID("group", p.Group, "which group this is, by its identifier")
	c.needLine("name", p.Name, "what the group is called, for example Sussex 2026")
	c.line("breed", p.Breed)
	c.optional("strain", p.Strain, "production", "utility", "show")
	c.oneOf("sex", p.Sex, Hens, Cocks, Unsexed)
	c.date("hatched", p.Hatched)
	c.line("source", p.Source)
	c.line("pen", p.Pen)
	c.line("plan_batch", p.PlanBatch)
	c.text("note", p.Note)
	return c.err
}

// Bird describes one bird that is known by ring or name. She is one of her
// group's number, never in addition to it.
type Bird struct {
	Bird    ID           `json:"bird"`
	Ring    string       `json:"ring,omitzero"`
	Name    string       `json:"name,omitzero"`
	Sex     string       `json:"sex,omitzero"` // hen, cock
	Group   ID           `json:"group,omitzero"`
	Breed   string       `json:"breed,omitzero"`
	Hatched measure.Date `json:"hatched,omitzero"`
	Sire    ID           `json:"sire,omitzero"`
	Dam     ID           `json:"dam,omitzero"`
	Note    string       `json:"note,omitzero"`
}

func (Bird) Kind() string { return "bird" }

func (p Bird) Validate() error {
	var c checks
	c.needID("bird", p.Bird, "which bird this is, by its identifier")
	if p.Ring == "" && p.Name == "" {
		c.fail("ring", "give the bird a ring number or a name")
	}
	c.line("ring", p.Ring)
	c.line("name", p.Name)
	c.optional("sex", p.Sex, "hen", "cock")
	c.line("breed", p.Breed)
	c.date("hatched", p.Hatched)
	if !p.Sire.IsZero() && p.Sire == p.Bird || !p.Dam.IsZero() && p.Dam == p.Bird {
		c.fail("sire", "a bird cannot be its own parent")
	}
	c.text("note", p.Note)
	return c.err
}

// BirdsIn is birds that join a group from outside the flock.
type BirdsIn struct {
	Group     ID            `json:"group"`
	Number    int           `json:"number"`
	How       string        `json:"how"` // on hand, hatched, bought, given, returned
	Pen       string        `json:"pen,omitzero"`
	From      string        `json:"from,omitzero"`
	PaidMinor measure.Money `json:"paid_minor,omitzero"` // for all of them
	Birds     []ID          `json:"birds,omitempty"`
	Note      string        `json:"note,omitzero"`
}

// The ways into the flock. "On hand" begins a book; "hatched" is for chicks whose
// setting was not written down; "returned" is for birds that had been missing.
var waysIn = []string{"on hand", "hatched", "bought", "given", "returned"}

func (BirdsIn) Kind() string { return "birds_in" }

func (p BirdsIn) Validate() error {
	var c checks
	c.needID("group", p.Group, "to which group the birds come")
	c.between("number", p.Number, 1, mostBirds)
	c.oneOf("how", p.How, waysIn...)
	c.line("pen", p.Pen)
	c.line("from", p.From)
	c.minor("paid_minor", p.PaidMinor)
	c.birds("birds", p.Birds, p.Number)
	c.text("note", p.Note)
	return c.err
}

// BirdsOut is birds that leave the flock alive or dead, but for the table.
type BirdsOut struct {
	Group         ID            `json:"group"`
	Number        int           `json:"number"`
	How           string        `json:"how"` // sold, given, died, taken, missing, culled, not known
	Pen           string        `json:"pen,omitzero"`
	Predator      string        `json:"predator,omitzero"` // what took them: fox, hawk, dog
	Cause         string        `json:"cause,omitzero"`    // of which they died or for which they were culled
	To            string        `json:"to,omitzero"`
	ReceivedMinor measure.Money `json:"received_minor,omitzero"` // for all of them
	Since         measure.Date  `json:"since,omitzero"`          // missing: the day when all were last seen
	Birds         []ID          `json:"birds,omitempty"`
	Note          string        `json:"note,omitzero"`
}

// The ways out of the flock. "Taken" is by a predator; "culled" is killed by the
// keeper and not eaten; "not known" is for old records that only count.
var waysOut = []string{"sold", "given", "died", "taken", "missing", "culled", "not known"}

func (BirdsOut) Kind() string { return "birds_out" }

func (p BirdsOut) Validate() error {
	var c checks
	c.needID("group", p.Group, "from which group the birds went")
	c.between("number", p.Number, 1, mostBirds)
	c.oneOf("how", p.How, waysOut...)
	c.line("pen", p.Pen)
	c.line("predator", p.Predator)
	if p.Predator != "" && p.How != "taken" {
		c.fail("predator", "only birds that were taken have a predator; write how: taken")
	}
	c.line("cause", p.Cause)
	c.line("to", p.To)
	c.minor("received_minor", p.ReceivedMinor)
	if p.ReceivedMinor > 0 && p.How != "sold" {
		c.fail("received_minor", "only birds that were sold bring money")
	}
	c.date("since", p.Since)
	c.birds("birds", p.Birds, p.Number)
	c.text("note", p.Note)
	return c.err
}

// Carcass is one butchered bird; a weight that was not taken is 0.
type Carcass struct {
	LiveG    float64 `json:"live_g,omitzero"`    // before killing
	DressedG float64 `json:"dressed_g,omitzero"` // plucked and drawn, without giblets
	Bird     ID      `json:"bird,omitzero"`
	Fault    string  `json:"fault,omitzero"`
}

// Butchered is birds killed for the table, weighed bird by bird or together.
type Butchered struct {
	Group     ID        `json:"group"`
	Number    int       `json:"number"`
	Pen       string    `json:"pen,omitzero"`
	Each      []Carcass `json:"each,omitempty"`
	LiveKg    float64   `json:"live_kg,omitzero"`    // of all, when they were not weighed one by one
	DressedKg float64   `json:"dressed_kg,omitzero"` // of all, likewise
	Minutes   int       `json:"minutes,omitzero"`
	Note      string    `json:"note,omitzero"`
}

func (Butchered) Kind() string { return "butchered" }

func (p Butchered) Validate() error {
	var c checks
	c.needID("group", p.Group, "from which group the birds were")
	c.between("number", p.Number, 1, mostBirds)
	c.line("pen", p.Pen)
	if len(p.Each) > p.Number || len(p.Each) > mostListed {
		c.fail("each", "%d birds are weighed, but only %d butchered", len(p.Each), p.Number)
	}
	for i, b := range p.Each {
		field := fmt.Sprintf("each, bird %d", i+1)
		c.number(field, b.LiveG, mostG)
		c.number(field, b.DressedG, mostG)
		if b.LiveG > 0 && b.DressedG > b.LiveG {
			c.fail(field, "a dressed bird of %g g cannot come from a live one of %g g", b.DressedG, b.LiveG)
		}
		c.line(field, b.Fault)
	}
	c.number("live_kg", p.LiveKg, mostG)
	c.number("dressed_kg", p.DressedKg, mostG)
	if p.LiveKg > 0 && p.DressedKg > p.LiveKg {
		c.fail("dressed_kg", "%g kg dressed cannot come from %g kg live", p.DressedKg, p.LiveKg)
	}
	c.between("minutes", p.Minutes, 0, 7*mostMinutes)
	c.birds("each", p.named(), p.Number)
	c.text("note", p.Note)
	return c.err
}

func (p Butchered) named() []ID {
	var ids []ID
	for _, b := range p.Each {
		if !b.Bird.IsZero() {
			ids = append(ids, b.Bird)
		}
	}
	return ids
}

// TotalDressedKg is the dressed weight of all birds, and how many of them are in
// it. Birds weighed one by one come before a total.
func (p Butchered) TotalDressedKg() (kg float64, birds int) {
	return p.total(p.DressedKg, func(b Carcass) float64 { return b.DressedG })
}

// TotalLiveKg is the live weight of all birds, and how many of them are in it.
func (p Butchered) TotalLiveKg() (kg float64, birds int) {
	return p.total(p.LiveKg, func(b Carcass) float64 { return b.LiveG })
}

func (p Butchered) total(all float64, weight func(Carcass) float64) (kg float64, birds int) {
	for _, b := range p.Each {
		if g := weight(b); g > 0 {
			kg += g / 1000
			birds++
		}
	}
	if birds == 0 && all > 0 {
		return all, p.Number
	}
	return kg, birds
}

// Count is what the keeper counted: all birds, or those of a group, a pen, a sex.
type Count struct {
	Number int    `json:"number"`
	Group  ID     `json:"group,omitzero"`
	Pen    string `json:"pen,omitzero"`
	Which  string `json:"which,omitzero"` // hens, cocks, unsexed; empty: all
	Note   string `json:"note,omitzero"`
}

func (Count) Kind() string { return "count" }

func (p Count) Validate() error {
	var c checks
	c.between("number", p.Number, 0, mostBirds)
	c.line("pen", p.Pen)
	c.optional("which", p.Which, Hens, Cocks, Unsexed)
	c.text("note", p.Note)
	return c.err
}

// Move is birds that change pen or group, into the brooder and out of it
// included. Chicks that are sexed move into a group of hens and one of cocks.
type Move struct {
	Group   ID     `json:"group"`
	Number  int    `json:"number,omitzero"` // 0: all of them
	FromPen string `json:"from_pen,omitzero"`
	ToPen   string `json:"to_pen,omitzero"`
	ToGroup ID     `json:"to_group,omitzero"`
	Brooder string `json:"brooder,omitzero"` // in, out
	Birds   []ID   `json:"birds,omitempty"`
	Note    string `json:"note,omitzero"`
}

func (Move) Kind() string { return "move" }

func (p Move) Validate() error {
	var c checks
	c.needID("group", p.Group, "which group moves")
	c.between("number", p.Number, 0, mostBirds)
	c.line("from_pen", p.FromPen)
	c.line("to_pen", p.ToPen)
	if p.ToPen == "" && p.ToGroup.IsZero() && p.Brooder == "" {
		c.fail("to_pen", "say to which pen or group the birds move")
	}
	if p.ToGroup == p.Group && !p.Group.IsZero() {
		c.fail("to_group", "the birds are in this group already")
	}
	c.optional("brooder", p.Brooder, "in", "out")
	c.birds("birds", p.Birds, p.Number)
	c.text("note", p.Note)
	return c.err
}

// Setting is eggs put under a hen or into a machine. Candling and hatch name it.
type Setting struct {
	Setting   ID            `json:"setting"`
	Eggs      int           `json:"eggs"`
	Under     string        `json:"under"`          // hen, machine
	Name      string        `json:"name,omitzero"`  // which hen or machine
	Hen       ID            `json:"hen,omitzero"`   // if she is known one by one
	Group     ID            `json:"group,omitzero"` // of the hens that laid the eggs
	Pen       string        `json:"pen,omitzero"`   // of the mating
	Breed     string        `json:"breed,omitzero"` // of the chicks
	LaidFrom  measure.Date  `json:"laid_from,omitzero"`
	LaidTo    measure.Date  `json:"laid_to,omitzero"`
	Bought    bool          `json:"bought,omitzero"`
	PaidMinor measure.Money `json:"paid_minor,omitzero"`
	Note      string        `json:"note,omitzero"`
}

func (Setting) Kind() string { return "setting" }

func (p Setting) Validate() error {
	var c checks
	c.needID("setting", p.Setting, "which setting this is, by its identifier")
	c.between("eggs", p.Eggs, 1, mostEggs)
	c.oneOf("under", p.Under, "hen", "machine")
	c.line("name", p.Name)
	c.line("pen", p.Pen)
	c.line("breed", p.Breed)
	c.date("laid_from", p.LaidFrom)
	c.date("laid_to", p.LaidTo)
	if !p.LaidFrom.IsZero() && !p.LaidTo.IsZero() && compareDates(p.LaidFrom, p.LaidTo) > 0 {
		c.fail("laid_to", "the last egg was laid before the first one")
	}
	c.minor("paid_minor", p.PaidMinor)
	if p.PaidMinor > 0 && !p.Bought {
		c.fail("paid_minor", "only bought eggs cost money; mark them as bought")
	}
	c.text("note", p.Note)
	return c.err
}

// Candling is what the light showed; the figures are eggs taken out this time.
// Eggs may be weighed with it or instead of it, on the day they are set too.
type Candling struct {
	Setting     ID      `json:"setting"`
	Clear       int     `json:"clear,omitzero"`        // no embryo to be seen
	Dead        int     `json:"dead,omitzero"`         // died on the way
	Broken      int     `json:"broken,omitzero"`       // cracked, or thrown out by the hen
	BloodRing   int     `json:"blood_ring,omitzero"`   // of Dead, those with a ring of blood: dead on days 1 to 4
	Weighed     int     `json:"weighed,omitzero"`      // eggs on the scale, after those taken out
	WeightG     float64 `json:"weight_g,omitzero"`     // of all eggs weighed, together
	HumidityPct float64 `json:"humidity_pct,omitzero"` // in the machine since the last look, 1 to 100
	Note        string  `json:"note,omitzero"`
}

func (Candling) Kind() string { return "candling" }

func (p Candling) Validate() error {
	var c checks
	c.needID("setting", p.Setting, "which setting was candled")
	c.between("clear", p.Clear, 0, mostEggs)
	c.between("dead", p.Dead, 0, mostEggs)
	c.between("broken", p.Broken, 0, mostEggs)
	c.between("blood_ring", p.BloodRing, 0, p.Dead)
	c.between("weighed", p.Weighed, 0, mostEggs)
	c.number("weight_g", p.WeightG, 1e7)
	if mean := p.WeightG / float64(max(1, p.Weighed)); (p.Weighed > 0 || p.WeightG > 0) && (p.Weighed == 0 || mean < 5 || mean > 150) {
		c.fail("weight_g", "%g g for %d eggs is not possible; write how many eggs were weighed and what they weigh together", p.WeightG, p.Weighed)
	}
	c.number("humidity_pct", p.HumidityPct, 100)
	c.text("note", p.Note)
	return c.err
}

// HatchSigns are what a keeper may note on chicks and hatch: hatched early, slow
// or over more than two days, sticky, mushy, with rough navels, spraddled.
var HatchSigns = []string{"early", "slow", "spread", "sticky", "mushy", "rough-navels", "spraddled"}

// Hatch ends a setting. Chicks less Culled join the group.
type Hatch struct {
	Setting     ID     `json:"setting"`
	Chicks      int    `json:"chicks"`                 // hatched alive, those culled at once included
	Culled      int    `json:"culled,omitzero"`        // of them, killed at hatch
	Clear       int    `json:"clear,omitzero"`         // found clear at the end, not at a candling
	DeadInShell int    `json:"dead_in_shell,omitzero"` // full term, not pipped
	PippedDead  int    `json:"pipped_dead,omitzero"`
	Group       ID     `json:"group,omitzero"` // which the chicks begin or join
	Pen         string `json:"pen,omitzero"`
	// What was found when the rest was broken out.
	BloodRing int      `json:"blood_ring,omitzero"` // dead on days 1 to 4, not found at a candling
	MidDead   int      `json:"mid_dead,omitzero"`   // dead on days 5 to 17
	WrongWay  int      `json:"wrong_way,omitzero"`  // of DeadInShell, with the head away from the air cell
	Signs     []string `json:"signs,omitempty"`     // of HatchSigns
	Note      string   `json:"note,omitzero"`
}

func (Hatch) Kind() string { return "hatch" }

func (p Hatch) Validate() error {
	var c checks
	c.needID("setting", p.Setting, "which setting hatched; chicks without one are birds in, how: hatched")
	c.between("chicks", p.Chicks, 0, mostEggs)
	c.between("culled", p.Culled, 0, p.Chicks)
	c.between("clear", p.Clear, 0, mostEggs)
	c.between("dead_in_shell", p.DeadInShell, 0, mostEggs)
	c.between("pipped_dead", p.PippedDead, 0, mostEggs)
	c.between("blood_ring", p.BloodRing, 0, mostEggs)
	c.between("mid_dead", p.MidDead, 0, mostEggs)
	c.between("wrong_way", p.WrongWay, 0, p.DeadInShell)
	for i, sign := range p.Signs {
		c.oneOf("signs", sign, HatchSigns...)
		if slices.Contains(p.Signs[:i], sign) {
			c.fail("signs", "%q is noted twice", sign)
		}
	}
	if p.Chicks > p.Culled {
		c.needID("group", p.Group, "which group the chicks begin or join")
	}
	c.line("pen", p.Pen)
	c.text("note", p.Note)
	return c.err
}

// Weighing is live weights: bird by bird, or the mean of a number of birds.
type Weighing struct {
	Group  ID        `json:"group,omitzero"`
	Bird   ID        `json:"bird,omitzero"`
	EachG  []float64 `json:"each_g,omitempty"`
	Number int       `json:"number,omitzero"` // birds behind MeanG
	MeanG  float64   `json:"mean_g,omitzero"`
	Note   string    `json:"note,omitzero"`
}

func (Weighing) Kind() string { return "weighing" }

func (p Weighing) Validate() error {
	var c checks
	if p.Group.IsZero() && p.Bird.IsZero() {
		c.fail("group", "say which group or which bird was weighed")
	}
	if len(p.EachG) > mostListed {
		c.fail("each_g", "write at most %d weights in one record", mostListed)
	}
	for i, g := range p.EachG {
		field := fmt.Sprintf("each_g, bird %d", i+1)
		c.number(field, g, mostG)
		if g < 10 {
			c.fail(field, "a bird of %g g is not possible; write grams", g)
		}
	}
	c.between("number", p.Number, 0, mostBirds)
	c.number("mean_g", p.MeanG, mostG)
	switch {
	case len(p.EachG) == 0 && p.MeanG < 10:
		c.fail("mean_g", "write at least one weight, in grams")
	case len(p.EachG) > 0 && p.MeanG != 0:
		c.fail("mean_g", "write the weights of single birds or their mean, not both")
	}
	c.text("note", p.Note)
	return c.err
}

// Mean is the mean weight in grams and the number of birds behind it.
func (p Weighing) Mean() (g float64, birds int) {
	if len(p.EachG) == 0 {
		return p.MeanG, max(1, p.Number)
	}
	sum := 0.0
	for _, x := range p.EachG {
		sum += x
	}
	return sum / float64(len(p.EachG)), len(p.EachG)
}

// The two phases of what begins and ends.
const (
	Begins = "begins"
	Ends   = "ends"
)

// Broody is hens that begin or cease to sit.
type Broody struct {
	Phase  string `json:"phase"` // begins, ends
	Group  ID     `json:"group,omitzero"`
	Bird   ID     `json:"bird,omitzero"`
	Number int    `json:"number,omitzero"` // 0: one
	Ended  string `json:"ended,omitzero"`  // broken, hatched, gave up
	Note   string `json:"note,omitzero"`
}

func (Broody) Kind() string { return "broody" }

func (p Broody) Validate() error {
	var c checks
	c.oneOf("phase", p.Phase, Begins, Ends)
	if p.Group.IsZero() && p.Bird.IsZero() {
		c.fail("group", "say which hen or of which group she is")
	}
	c.between("number", p.Number, 0, mostBirds)
	c.optional("ended", p.Ended, "broken", "hatched", "gave up")
	if p.Ended != "" && p.Phase != Ends {
		c.fail("ended", "a hen that begins to sit has not ended")
	}
	c.text("note", p.Note)
	return c.err
}

// Moult is birds that begin to drop feathers, or are back in full feather.
type Moult struct {
	Phase  string `json:"phase"` // begins, ends
	Group  ID     `json:"group,omitzero"`
	Bird   ID     `json:"bird,omitzero"`
	Number int    `json:"number,omitzero"` // 0: one bird, or the whole group when no bird is named
	Note   string `json:"note,omitzero"`
}

func (Moult) Kind() string { return "moult" }

func (p Moult) Validate() error {
	var c checks
	c.oneOf("phase", p.Phase, Begins, Ends)
	if p.Group.IsZero() && p.Bird.IsZero() {
		c.fail("group", "say which group or which bird moults")
	}
	c.between("number", p.Number, 0, mostBirds)
	c.text("note", p.Note)
	return c.err
}

// Feed is feed bought, opened (given out from then on), thrown away, or weighed
// as what is left of the opened feed in bins and feeders.
type Feed struct {
	What      string        `json:"what"` // bought, opened, thrown away, left
	Feed      string        `json:"feed"` // layer pellets, wheat
	Kg        float64       `json:"kg"`
	PaidMinor measure.Money `json:"paid_minor,omitzero"` // for all of it
	From      string        `json:"from,omitzero"`
	Group     ID            `json:"group,omitzero"` // to which alone it is given
	Pen       string        `json:"pen,omitzero"`
	Note      string        `json:"note,omitzero"`
}

// What happens to feed.
const (
	FeedBought = "bought"
	FeedOpened = "opened"
	FeedThrown = "thrown away"
	FeedLeft   = "left"
)

func (Feed) Kind() string { return "feed" }

func (p Feed) Validate() error {
	var c checks
	c.oneOf("what", p.What, FeedBought, FeedOpened, FeedThrown, FeedLeft)
	c.needLine("feed", p.Feed, "which feed it is, for example layer pellets")
	c.number("kg", p.Kg, mostFeedKg)
	if p.Kg == 0 && p.What != FeedLeft {
		c.fail("kg", "write how many kilograms")
	}
	c.minor("paid_minor", p.PaidMinor)
	if p.PaidMinor > 0 && p.What != FeedBought {
		c.fail("paid_minor", "only feed that was bought costs money")
	}
	c.line("from", p.From)
	c.line("pen", p.Pen)
	c.text("note", p.Note)
	return c.err
}

// Money is money spent or received that no other record carries.
type Money struct {
	Way         string        `json:"way"` // in, out
	AmountMinor measure.Money `json:"amount_minor"`
	For         string        `json:"for"` // bedding, power, vet, equipment, work, other
	Group       ID            `json:"group,omitzero"`
	Note        string        `json:"note,omitzero"`
}

func (Money) Kind() string { return "money" }

func (p Money) Validate() error {
	var c checks
	c.oneOf("way", p.Way, "in", "out")
	c.minor("amount_minor", p.AmountMinor)
	if p.AmountMinor == 0 {
		c.fail("amount_minor", "write the amount")
	}
	c.needLine("for", p.For, "what the money was for, for example bedding")
	c.text("note", p.Note)
	return c.err
}

// Treatment is a medicine given. The label, and above it the vet, say for how many
// days after the last dose eggs and meat may not be eaten. Days that are not
// given are not known: then nothing may be eaten until they are.
type Treatment struct {
	Product  string       `json:"product"`
	Against  string       `json:"against,omitzero"`
	Dose     string       `json:"dose,omitzero"`
	LastDose measure.Date `json:"last_dose,omitzero"` // zero: the one dose was on the day of the record
	EggDays  *int         `json:"egg_days,omitzero"`  // after the last dose, by the label or the vet, whichever is longer
	MeatDays *int         `json:"meat_days,omitzero"`
	Vet      string       `json:"vet,omitzero"` // who prescribed it
	Group    ID           `json:"group,omitzero"`
	Bird     ID           `json:"bird,omitzero"`
	Pen      string       `json:"pen,omitzero"`
	All      bool         `json:"all,omitzero"` // the whole flock
	Note     string       `json:"note,omitzero"`
}

func (Treatment) Kind() string { return "treatment" }

func (p Treatment) Validate() error {
	var c checks
	c.needLine("product", p.Product, "which medicine it was, as on the label")
	c.line("against", p.Against)
	c.line("dose", p.Dose)
	c.date("last_dose", p.LastDose)
	c.drugDays("egg_days", p.EggDays)
	c.drugDays("meat_days", p.MeatDays)
	c.line("vet", p.Vet)
	c.line("pen", p.Pen)
	if p.Group.IsZero() && p.Bird.IsZero() && p.Pen == "" && !p.All {
		c.fail("group", "say which birds were treated: a group, a pen, a bird, or all")
	}
	c.text("note", p.Note)
	return c.err
}

// Visitor is somebody who came to the birds.
type Visitor struct {
	Who        string `json:"who"`
	KeepsBirds bool   `json:"keeps_birds,omitzero"`
	Touched    bool   `json:"touched,omitzero"` // handled birds or went into a pen
	Pen        string `json:"pen,omitzero"`
	Note       string `json:"note,omitzero"`
}

func (Visitor) Kind() string { return "visitor" }

func (p Visitor) Validate() error {
	var c checks
	c.needLine("who", p.Who, "who came")
	c.line("pen", p.Pen)
	c.text("note", p.Note)
	return c.err
}

// Quarantine is a group kept apart from the others, or joined to them again.
type Quarantine struct {
	Phase  string `json:"phase"` // begins, ends
	Group  ID     `json:"group"`
	Days   int    `json:"days,omitzero"` // meant to last; 0: thirty
	Reason string `json:"reason,omitzero"`
	Note   string `json:"note,omitzero"`
}

func (Quarantine) Kind() string { return "quarantine" }

func (p Quarantine) Validate() error {
	var c checks
	c.oneOf("phase", p.Phase, Begins, Ends)
	c.needID("group", p.Group, "which group is kept apart")
	c.between("days", p.Days, 0, mostDays)
	c.line("reason", p.Reason)
	c.text("note", p.Note)
	return c.err
}

// usualQuarantineDays for new birds: the source daybook-biosecurity gives at least
// thirty days, and two weeks after a show.
const usualQuarantineDays = 30

func (p Quarantine) days() int {
	if p.Days == 0 {
		return usualQuarantineDays
	}
	return p.Days
}

// TaskDone is a task of the work list that was done.
type TaskDone struct {
	Task    string `json:"task"` // the task's identifier in the work list
	Minutes int    `json:"minutes,omitzero"`
	Note    string `json:"note,omitzero"`
}

func (TaskDone) Kind() string { return "task_done" }

func (p TaskDone) Validate() error {
	var c checks
	c.needLine("task", p.Task, "which task was done")
	c.between("minutes", p.Minutes, 0, mostMinutes)
	c.text("note", p.Note)
	return c.err
}

// Photo points to a picture that is kept beside the book.
type Photo struct {
	SHA256    string `json:"sha256"` // of the file, 64 hexadecimal digits
	MediaType string `json:"media_type"`
	Caption   string `json:"caption,omitzero"`
}

// MediaTypes are the kinds of picture that a note may hold.
var MediaTypes = []string{"image/jpeg", "image/png", "image/webp"}

// Note is anything worth keeping in words or pictures.
type Note struct {
	Text   string  `json:"text,omitzero"`
	Photos []Photo `json:"photos,omitempty"`
	Group  ID      `json:"group,omitzero"`
	Bird   ID      `json:"bird,omitzero"`
	Pen    string  `json:"pen,omitzero"`
}

func (Note) Kind() string { return "note" }

func (p Note) Validate() error {
	var c checks
	c.text("text", p.Text)
	if strings.TrimSpace(p.Text) == "" && len(p.Photos) == 0 {
		c.fail("text", "write something, or add a photo")
	}
	if len(p.Photos) > mostPhotos {
		c.fail("photos", "put at most %d photos into one note", mostPhotos)
	}
	for i, photo := range p.Photos {
		field := fmt.Sprintf("photos, photo %d", i+1)
		if err := photo.check(); err != nil {
			c.fail(field, "%w", err)
		}
		c.line(field, photo.Caption)
	}
	c.line("pen", p.Pen)
	return c.err
}

func (p Photo) check() error {
	sum, err := hex.DecodeString(p.SHA256)
	if err != nil || len(sum) != 32 || hex.EncodeToString(sum) != p.SHA256 {
		return errors.New("the picture is not named by its SHA-256, 64 hexadecimal digits in small letters")
	}
	if !slices.Contains(MediaTypes, p.MediaType) {
		return fmt.Errorf("pictures of type %q are not kept; use one of: %s", shorten(p.MediaType), strings.Join(MediaTypes, ", "))
	}
	return nil
}

// Strike takes records out of the book: what they say did not happen, or was
// written twice. The records stay readable. Striking out a strike undoes it.
type Strike struct {
	Reason string `json:"reason,omitzero"`
}

func (Strike) Kind() string { return "strike" }

func (p Strike) Validate() error {
	var c checks
	c.line("reason", p.Reason)
	return c.err
}
