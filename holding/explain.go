package holding

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"henyear/bird"
	"henyear/measure"
)

// FloorM2PerHen is the old handbooks' rule for the floor of a hen house, one
// square foot for a pound of live weight of a small hen (source
// handbook_floor). It is a first look only; the housing room does the sums.
const FloorM2PerHen = 0.37

// Whole birds in a freezer, source whole_bird_freezer.
const (
	freezerLPerKg = 3.0
	freezerUsable = 0.85
)

// HensThatFit is the rule of thumb for one house, in adult birds.
func (h House) HensThatFit() int { return int(h.AreaM2/FloorM2PerHen + 1e-9) }

// PenAreaM2 is the floor of one pen when the pens are alike.
func (h House) PenAreaM2() float64 { return h.AreaM2 / float64(max(1, h.Pens)) }

// EggsAYear is the household's own need in a mean year.
func (n Needs) EggsAYear() float64 {
	sum := 0.0
	for m := time.January; m <= time.December; m++ {
		sum += n.EggsPerWeek(int(m)) * weeksOf(m)
	}
	return sum
}

// EggsSoldAYear is what customers take at most in a mean year.
func (n Needs) EggsSoldAYear() float64 {
	sum := 0.0
	for _, s := range n.EggSales {
		for m := range 12 {
			if s.Months[m] {
				sum += 12 * s.DozensPerWeek * weeksOf(time.Month(m+1))
			}
		}
	}
	return sum
}

// Explain says in plain sentences what was understood: the place, the room for
// birds, the need of a year, the birds, and what is unusual. Lines of the last
// kind begin with "Unusual:".
func (h *Holding) Explain() []string {
	return slices.Concat(h.explainFrame(), h.explainPlace(), h.explainRoom(), h.explainMeans(), h.explainNeeds(), h.explainStock(), h.unusual())
}

func (h *Holding) show(q measure.Quantity, metric float64) string {
	v, unit := h.Units.Show(q, metric)
	decimals := 0
	if math.Abs(v) < 10 && v != math.Trunc(v) {
		decimals = 1
	}
	return measure.Round(v, decimals) + " " + unit
}

func (h *Holding) explainFrame() []string {
	day := "today"
	if !h.AsOf.IsZero() {
		day = h.AsOf.Words()
	}
	units := "metric units"
	if h.Units == measure.US {
		units = "US units"
	}
	return []string{fmt.Sprintf("%s: the plan begins on %s; money in %s, figures in %s, calendar in %s.", h.Name, day, h.Currency.Code, units, h.TimeZone)}
}

func (h *Holding) explainPlace() []string {
	c := h.Place.Climate
	side := "north"
	if c.Southern() {
		side = "south"
	}
	warm, cold := 0, 0
	rain := 0.0
	for m := range 12 {
		if c.MaxC[m] > c.MaxC[warm] {
			warm = m
		}
		if c.MinC[m] < c.MinC[cold] {
			cold = m
		}
		rain += c.RainMM[m]
	}
	length := func(m float64) string {
		if h.Units == measure.US {
			return measure.Round(m/measure.MPerFoot, 0) + " ft"
		}
		return measure.Round(m, 0) + " m"
	}
	lines := []string{
		fmt.Sprintf("The place is %s, %s degrees %s, %s up: the mean high of %s is %s, the mean low of %s %s; %s of rain a year.", c.Name,
			measure.Round(math.Abs(c.LatitudeDeg), 1), side, length(c.AltitudeM), time.Month(warm+1), h.show(measure.TempC, c.MaxC[warm]),
			time.Month(cold+1), h.show(measure.TempC, c.MinC[cold]), h.show(measure.RainMM, rain)),
		fmt.Sprintf("Predators: on the ground %s, in the air %s; cover %s; the house is %s at night; %s electric fence.", levelWords[h.Place.GroundPredators],
			levelWords[h.Place.AirPredators], levelWords[h.Place.Cover], either(h.Place.LockedAtNight, "shut", "open"), either(h.Place.ElectricFence, "an", "no")),
	}
	if h.Place.PastureM2 > 0 {
		lines = append(lines, fmt.Sprintf("Birds range on %s of pasture, %s.", h.show(measure.AreaM2, h.Place.PastureM2), monthsText(h.Place.PastureMonths)))
	}
	if h.Place.NettedM2 > 0 {
		lines = append(lines, fmt.Sprintf("A net against hawks covers %s.", h.show(measure.AreaM2, h.Place.NettedM2)))
	}
	if c.From != "" {
		lines = append(lines, "The weather comes from: "+c.From+".")
	}
	if c.Stray != nil {
		lines = append(lines, "How far days and weeks stray from the usual is told by the holding, not taken from the rule.")
	}
	return lines
}

func either(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}

func (h *Holding) explainRoom() []string {
	var lines []string
	for _, house := range h.Means.Houses {
		lines = append(lines, fmt.Sprintf("%s has %s in %s, %s each if alike.", capital(house.Name), h.show(measure.AreaM2, house.AreaM2),
			count(house.Pens, "pen"), h.show(measure.AreaM2, house.PenAreaM2())))
		lines = append(lines, h.explainHouse(house)...)
	}
	return append(lines, fmt.Sprintf("By the old rule of %s of floor a bird, about %s fit in all.", h.floorRule(), count(h.HensThatFit(), "grown bird")))
}

func (h *Holding) floorRule() string {
	v, unit := h.Units.Show(measure.AreaM2, FloorM2PerHen)
	return measure.Round(v, 2) + " " + unit
}

// HensThatFit sums the rule of thumb over all houses.
func (h *Holding) HensThatFit() int {
	fit := 0
	for _, house := range h.Means.Houses {
		fit += house.HensThatFit()
	}
	return fit
}

func (h *Holding) explainMeans() []string {
	m := h.Means
	hatch := []string{}
	if m.MachineEggs > 0 {
		hatch = append(hatch, fmt.Sprintf("in a machine of %d eggs", m.MachineEggs))
	}
	if m.BroodyHens {
		hatch = append(hatch, "under broody hens")
	}
	if len(hatch) == 0 {
		hatch = append(hatch, "not at home")
	}
	lines := []string{fmt.Sprintf("Chicks hatch %s; the brooder holds %d; %s minutes of work a day; lights: %s.",
		strings.Join(hatch, " and "), m.BrooderChicks, figure(m.MinutesADay), m.Lights)}
	if m.WillKill {
		lines = append(lines, fmt.Sprintf("Birds are killed on up to %s a year, up to %d a day; the freezer has %s.", count(m.ButcherDaysAYear, "day"), m.ButcherBirdsADay, h.show(measure.VolumeL, m.FreezerL)))
	} else {
		lines = append(lines, fmt.Sprintf("No bird is killed; others take up to %s a year.", count(m.CockerelsTaken, "cockerel")))
	}
	for _, a := range m.Away {
		lines = append(lines, fmt.Sprintf("Away from %s to %s: no hatch, no chicks under three weeks and no butchering then.", a.From.Words(), a.To.Words()))
	}
	return lines
}

func (h *Holding) explainNeeds() []string {
	n := h.Needs
	var parts []string
	for _, e := range n.Eggs {
		parts = append(parts, fmt.Sprintf("%s a week %s", figure(e.PerWeek), monthsText(e.Months)))
	}
	var lines []string
	if len(parts) > 0 {
		lines = append(lines, fmt.Sprintf("The household needs %.0f eggs a year: %s.", n.EggsAYear(), strings.Join(parts, ", ")))
	}
	for _, s := range n.EggSales {
		lines = append(lines, fmt.Sprintf("Customers %s %s dozen a week %s, at %s.", either(s.Promised, "were promised", "take up to"),
			figure(s.DozensPerWeek), monthsText(s.Months), h.price(s.PricePerDozen)))
	}
	if sold := n.EggsSoldAYear(); sold > 0 {
		lines = append(lines, fmt.Sprintf("With sales that is up to %.0f eggs a year.", n.EggsAYear()+sold))
	}
	switch {
	case n.TableBirds > 0:
		lines = append(lines, fmt.Sprintf("It needs %s a year of at least %s dressed.", countOf(n.TableBirds, "table bird"), h.show(measure.MassKg, n.TableBirdMinKg)))
	case n.TableKg > 0:
		lines = append(lines, fmt.Sprintf("It needs %s of dressed meat a year.", h.show(measure.MassKg, n.TableKg)))
	}
	for _, b := range n.BirdSales {
		lines = append(lines, fmt.Sprintf("Up to %s a year can be sold at %s.", count(b.PerYear, b.Kind), h.price(b.Price)))
	}
	return append(lines, fmt.Sprintf("More than %s may fall short in %s %% of years.", count(n.RiskShortWeeks, "week"), figure(math.Round(n.RiskShare*1e6)/1e4)))
}

func (h *Holding) price(amount float64) string { return h.Currency.Format(h.Currency.Minor(amount)) }

func (h *Holding) explainStock() []string {
	var lines []string
	for _, g := range h.Birds {
		lines = append(lines, fmt.Sprintf("On hand: %s, %s, hatched %s.", count(g.Number, g.Sex.String()), breedName(g.Breed), g.Hatched.Words()))
	}
	if len(h.Birds) == 0 {
		lines = append(lines, "No birds are on hand: the plan starts with bought stock.")
	}
	for _, o := range h.Stock {
		order := fmt.Sprintf("from %d", o.SmallestOrder)
		if o.LargestOrder > 0 {
			order += fmt.Sprintf(" to %d", o.LargestOrder)
		}
		lines = append(lines, fmt.Sprintf("To be had: %s, %s (%s), %s at %s each, %s.", breedName(o.Breed), o.Form, o.Strain, order, h.price(o.Price), monthsText(o.Months)))
	}
	return lines
}

// birdsOf counts the birds on hand of one sex.
func (h *Holding) birdsOf(sex bird.Sex) int {
	sum := 0
	for _, g := range h.Birds {
		if g.Sex == sex {
			sum += g.Number
		}
	}
	return sum
}

// unusual gathers what may be right but is more often a slip, or what the
// keeper should know before planning.
func (h *Holding) unusual() []string {
	var lines []string
	say := func(when bool, format string, args ...any) {
		if when {
			lines = append(lines, "Unusual: "+fmt.Sprintf(format, args...))
		}
	}
	hens, cocks := h.birdsOf(bird.Hen), h.birdsOf(bird.Cock)
	fit, m, n, p := h.HensThatFit(), h.Means, h.Needs, h.Place
	say(hens+cocks > UsualBirds, "%d birds; this planner is made for flocks up to %d.", hens+cocks, UsualBirds)
	say(hens+cocks > fit, "%d birds are on hand where about %d fit.", hens+cocks, fit)
	say(cocks > 0 && hens > 0 && hens < 4*cocks, "%s to %s; few hens to a cock are worn bare.", count(cocks, "cock"), count(hens, "hen"))
	say(p.MaxBirds >= 0 && hens+cocks > p.MaxBirds, "%d birds are on hand where local rules allow %d.", hens+cocks, p.MaxBirds)
	say(p.MaxCocks >= 0 && cocks > p.MaxCocks, "%s on hand where local rules allow %d.", count(cocks, "cock"), p.MaxCocks)
	say(p.OffGrid && m.MachineEggs > 0, "a hatching machine off the grid; it needs power day and night for three weeks.")
	say(p.OffGrid && m.Lights != "none", "lights in the house off the grid.")
	say(!p.LockedAtNight && p.GroundPredators >= Some, "the house stays open at night where foxes and martens hunt; lock it before anything else.")
	say(math.Abs(p.Climate.LatitudeDeg) > 66.5, "the place lies beyond the polar circle; hens there lay by lamplight in winter.")
	say(m.WillKill && m.ButcherDaysAYear*m.ButcherBirdsADay < int(math.Ceil(n.TableBirds)), "%s cannot be killed on %d days of %d.", countOf(n.TableBirds, "table bird"), m.ButcherDaysAYear, m.ButcherBirdsADay)
	lines = append(lines, h.freezerLine()...)
	say(!m.BroodyHens && m.MachineEggs == 0 && len(h.Stock) == 0, "no way to hatch and no stock to buy: the flock can only shrink.")
	say(!m.WillKill && m.CockerelsTaken == 0, "no bird is killed and nobody takes cockerels: nothing can be hatched.")
	for _, g := range h.Birds {
		age := h.AsOf.DaysSince(g.Hatched)
		say(!h.AsOf.IsZero() && age > 6*365, "the %ss hatched %s are over six years old.", g.Sex, g.Hatched.Words())
	}
	var bare [12]bool
	for month := 1; month <= 12; month++ {
		bare[month-1] = n.EggsPerWeek(month) == 0
	}
	say(len(n.Eggs) > 0 && anyMonth(bare), "no eggs are needed %s.", monthsText(bare))
	return lines
}

func (h *Holding) freezerLine() []string {
	kg := h.Needs.TableKg + h.Needs.TableBirds*h.Needs.TableBirdMinKg
	atOnce := kg * freezerLPerKg / freezerUsable
	if h.Means.FreezerL == 0 || atOnce <= h.Means.FreezerL {
		return nil
	}
	return []string{fmt.Sprintf("Unusual: the year's meat would take about %s of freezer at once and there are %s; spread the butcher days.", h.show(measure.VolumeL, atOnce), h.show(measure.VolumeL, h.Means.FreezerL))}
}

func capital(text string) string {
	r := []rune(text)
	if len(r) == 0 {
		return text
	}
	return strings.ToUpper(string(r[0])) + string(r[1:])
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func countOf(n float64, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return figure(n) + " " + what + "s"
}
