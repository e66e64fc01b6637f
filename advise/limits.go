package advise

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"henyear/chance"
	"henyear/measure"
	"henyear/plan"
)

// What keeps a plan from being surer: the weeks that no plan can change, where the
// short weeks lie, the limits that it runs against, the age of the flock, what the
// household has ruled out, and plain bad luck.

func say(code, source string, args map[string]any, format string, a ...any) plan.Sentence {
	return plan.Sentence{Code: code, Args: args, Text: fmt.Sprintf(format, a...), Source: source}
}

// limits tells, most telling first, what keeps the chosen plan from being surer.
// Where the accepted risk is met with next to no short weeks there is nothing to
// tell.
func (c *climb) limits(s *Surer) []plan.Sentence {
	point := &s.Points[s.Chosen]
	if point.ShortWeeks < 0.5 {
		return nil
	}
	var out []plan.Sentence
	for _, part := range [][]plan.Sentence{
		c.firstMonths(s, point), leanSeason(point), held(point), c.age(point), c.ruledOut(point), luck(point.Odds),
	} {
		out = append(out, part...)
	}
	return out
}

// firstMonths tells of the weeks before the first new hen lays, if a tenth of the
// short weeks fall there: no hatch can help them.
func (c *climb) firstMonths(s *Surer, p *SafetyPoint) []plan.Sentence {
	until := firstOwnEgg(p.Plan)
	before, all := 0.0, 0.0
	for _, w := range p.Odds.Weeks {
		all += w.Short
		if w.Date.Before(until) {
			before += w.Short
		}
	}
	if before < 0.1*all || before < 0.5 {
		return nil
	}
	out := []plan.Sentence{say("first-months", "", map[string]any{"until": until.String(), "short_weeks": before, "of": all},
		"Until %s, when the first pullets of this plan lay, there are only the hens on hand: %s of the %s short weeks of the whole plan fall there, and no hatch can change them.",
		until.Words(), tenth(before), tenth(all))}
	if y, share := firstYear(s.Points); share > s.Accepted && len(s.Points) > 1 {
		out = append(out, say("first-year", "", map[string]any{"year": y, "share": share},
			"In %d itself even the surest of these plans has more than %s in %s of lives.", y, weeks(s.ShortWeeksAllowed), percent(share)))
	}
	return out
}

// firstYear is the first year that is judged and the least share of lives, over all
// plans, in which it has too many short weeks.
func firstYear(points []SafetyPoint) (year int, share float64) {
	share = 1
	for _, p := range points {
		for _, y := range p.Odds.Years {
			if y.Part >= 0.5 {
				year, share = y.Year, min(share, y.OverK)
				break
			}
		}
	}
	return year, share
}

// leanSeason names the months in which most short weeks lie.
func leanSeason(p *SafetyPoint) []plan.Sentence {
	var month [12]float64
	all := 0.0
	for _, w := range p.Odds.Weeks {
		month[w.Date.AddDays(3).Month-1] += w.Short
		all += w.Short
	}
	if all <= 0 {
		return nil
	}
	// The shortest run of months with two thirds of them.
	for n := 1; n <= 6; n++ {
		best, at := 0.0, 0
		for from := range 12 {
			sum := 0.0
			for k := range n {
				sum += month[(from+k)%12]
			}
			if sum > best {
				best, at = sum, from
			}
		}
		if best < 2*all/3 {
			continue
		}
		first, last := time.Month(at+1), time.Month((at+n-1)%12+1)
		return []plan.Sentence{say("lean-season", "", map[string]any{"from": int(first), "to": int(last), "share": best / all},
			"%s of the short weeks lie %s.", capital(percent(best/all)), monthsWords(first, last))}
	}
	return nil
}

func monthsWords(first, last time.Month) string {
	if first == last {
		return "in " + first.String()
	}
	return "from " + first.String() + " to " + last.String()
}

// holds are the limits of a plan that stand between a flock and more eggs in its
// lean weeks, with what would loosen each.
var holds = map[string]string{
	"house-full":    "More floor under a roof would carry more hens.",
	"pens-taken":    "One pen more would let another brood grow up.",
	"minutes-spent": "More minutes a day would let you keep more hens.",
	"brooder-full":  "A larger brooder would take larger hatches.",
	"birds-allowed": "Ask whether more birds may be kept.",
	"freezer-full":  "Cockerels come with every pullet; more freezer, or eating the first sooner, would make room for larger hatches.",
	"butcher-days":  "Cockerels come with every pullet, and old hens make room for young ones: one butcher day more would let more be renewed.",
	"machine-full":  "A larger machine, or a setting more, would give more pullets early enough.",
	"broodies-set":  "A machine, or more hens of a breed that sits, would take more eggs.",
	"eggs-fit":      "Hatching eggs from outside would fill the setting in early spring.",
}

// held lists the limits that the plan runs against, each once.
func held(p *SafetyPoint) []plan.Sentence {
	var out []plan.Sentence
	seen := map[string]bool{}
	for _, b := range p.Plan.Binding {
		help, known := holds[b.What.Code]
		if !known || seen[b.What.Code] {
			continue
		}
		seen[b.What.Code] = true
		text := strings.TrimSuffix(b.What.Text, ".")
		if b.What.Code == "butcher-days" {
			text = "All butcher days of a year are used"
		}
		out = append(out, say("held-"+b.What.Code, "", map[string]any{"limit": b.Limit, "unit": b.Unit, "from": b.From.String(), "to": b.To.String()},
			"%s. %s", text, help))
	}
	return out
}

// youngEnough is the share of new pullets among the winter's hens above which
// their age is not what is missing.
const youngEnough = 0.75

func (c *climb) age(p *SafetyPoint) []plan.Sentence {
	if p.HensWinter < 1 || p.PulletsWinter > youngEnough*p.HensWinter {
		return nil
	}
	return []plan.Sentence{say("old-hens", "practice", map[string]any{"hens": p.HensWinter, "pullets": p.PulletsWinter},
		"Of %s in winter %s are new pullets; older hens moult in autumn and lay little until the days lengthen.",
		plan.Count(p.HensWinter, "hen"), count(p.PulletsWinter))}
}

// ruledOut lists what the household does not want that would help its lean weeks.
// Frozen eggs are not among them: planned on, they only let a household go into the
// winter with fewer hens.
func (c *climb) ruledOut(p *SafetyPoint) []plan.Sentence {
	var out []plan.Sentence
	h := c.h
	dark := math.Abs(h.Place.Climate.LatitudeDeg) >= darkFromDeg+15
	if !p.Plan.Lights && dark && !h.Place.OffGrid {
		out = append(out, say("no-lamps", "practice", nil, "There are no lamps: light is what hens lack most in the dark months."))
	}
	if h.Needs.SelfRenewing && len(h.Birds) > 0 {
		out = append(out, say("no-bought", "practice", nil, "No layers are bought: a few pullets at point of lay, bought in late summer, would fill a poor hatch."))
	}
	return out
}

// luck names the bad luck that poor years have most in common.
func luck(o *chance.Odds) []plan.Sentence {
	if len(o.Poor.Causes) == 0 || o.Poor.Causes[0].Poor-o.Poor.Causes[0].All < 0.1 {
		return nil
	}
	c := o.Poor.Causes[0] // the most telling stands first
	return []plan.Sentence{say("luck", "", map[string]any{"cause": c.Code, "poor": c.Poor, "all": c.All},
		"What poor years have most in common: %s (in %s of them, and in %s of all years).", c.What, percent(c.Poor), percent(c.All))}
}

// summary is what the keeper is told first.
func (c *climb) summary(s *Surer) []plan.Sentence {
	point := &s.Points[s.Chosen]
	cur := s.Currency
	args := map[string]any{"risk": point.Risk, "risk_error": point.RiskError, "accepted": s.Accepted, "weeks": s.ShortWeeksAllowed, "cash": point.CashAYear}
	var out []plan.Sentence
	accept := fmt.Sprintf("more than %s in at most %s of years", weeks(s.ShortWeeksAllowed), percent(s.Accepted))
	switch {
	case s.Reachable && s.Chosen == s.Plain:
		out = append(out, say("sure-enough", "", args, "You accept %s. The plan without any margin meets that: %s of years.", accept, percentFine(point.Risk)))
	case s.Reachable && point.Margin.Eggs < 0:
		out = append(out, say("bold-enough", "", args, "You accept %s. Even a bolder plan meets that: %s of years.", accept, percentFine(point.Risk)))
	case s.Reachable:
		out = append(out, say("reached", "", args, "You accept %s. The plan %q meets that: %s of years.", accept, point.Name, percentFine(point.Risk)))
	default:
		out = append(out, say("out-of-reach", "", args,
			"You accept %s. No plan of this household meets that: it is out of reach. The surest, %q, has them in %s of years.", accept, point.Name, percentFine(point.Risk)))
	}
	if math.Abs(point.Risk-s.Accepted) < 2*point.RiskError {
		out = append(out, say("close-call", "", map[string]any{"error": point.RiskError},
			"That is as near to what you accept as the simulation can tell (± %s).", percentFine(2*point.RiskError)))
	}
	if s.Plain >= 0 && s.Plain != s.Chosen {
		out = append(out, c.price(s, point, cur))
	}
	if same := s.noMore(); same {
		out = append(out, say("no-more", "", nil, "A greater margin changes next to nothing here: the place and the rules that you have set give no more eggs in the weeks that matter."))
	}
	return out
}

// price compares the chosen plan with the plain one.
func (c *climb) price(s *Surer, point *SafetyPoint, cur measure.Currency) plan.Sentence {
	plain := &s.Points[s.Plain]
	args := map[string]any{"more": point.MoreCash, "more_error": point.MoreCashError, "plain_risk": plain.Risk, "short_weeks": point.ShortWeeks, "plain_short_weeks": plain.ShortWeeks}
	with := fmt.Sprintf("with %s short weeks a year on the mean instead of %s", tenth(point.ShortWeeks), tenth(plain.ShortWeeks))
	switch more := math.Abs(point.MoreCash); {
	case more < 2*point.MoreCashError || more < 0.5:
		return say("price-same", "", args, "It costs about as much as the plan without a margin (%s of years), %s.", percentFine(plain.Risk), with)
	case point.MoreCash < 0:
		return say("price-less", "", args, "It costs %s a year less than the plan without a margin (%s of years), %s.", whole(cur, more), percentFine(plain.Risk), with)
	default:
		return say("price-more", "", args, "It costs %s a year more than the plan without a margin (%s of years), %s.", whole(cur, more), percentFine(plain.Risk), with)
	}
}

// noMore reports whether the greater margins all give about the risk of the plain
// plan.
func (s *Surer) noMore() bool {
	if s.Plain < 0 || s.Reachable || len(s.Points)-s.Plain < 3 {
		return false
	}
	plain := &s.Points[s.Plain]
	return !slices.ContainsFunc(s.Points[s.Plain+1:], func(p SafetyPoint) bool { return plain.Risk-p.Risk > 0.05 })
}

// marginWords names a margin on the way.
func marginWords(m plan.Margin) string {
	switch {
	case plain(m):
		return "without a margin"
	case m.Eggs < 0:
		return "more boldly"
	case m.Hatch > 0:
		return fmt.Sprintf("with a margin of %.2g spreads and %.0f %% more pullets", m.Eggs, 100*m.Hatch)
	}
	return fmt.Sprintf("with a margin of %.2g spreads", m.Eggs)
}

func percent(share float64) string     { return fmt.Sprintf("%.0f %%", 100*share) }
func percentFine(share float64) string { return fmt.Sprintf("%.1f %%", 100*share) }
func tenth(x float64) string           { return fmt.Sprintf("%.1f", x) }
func count(x float64) string           { return fmt.Sprintf("%.0f", math.Round(x)) }

func weeks(n int) string {
	if n == 1 {
		return "one short week"
	}
	return fmt.Sprintf("%d short weeks", n)
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
