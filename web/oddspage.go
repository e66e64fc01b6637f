package web

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"henyear/advise"
	"henyear/chance"
	"henyear/plan"
	"henyear/report"
	"henyear/source"
)

// oddsView is the page of the odds.
type oddsView struct {
	Plan    *plan.Plan
	Odds    *chance.Odds // nil until they are known
	Span    string
	Older   bool // the odds are those of another plan than the one that stands
	Figures []figure
	Summary []chance.Sentence
	Risk    string

	Drawings                         map[string]report.Drawing
	Likely                           []chance.Event
	Chances, Causes, Months, ByYear  report.Table
	CostWords                        string
	Matters                          *chance.Matters
	LuckFirst, LuckRest              []chance.Sentence
	Surer                            *advise.Surer
	SurerStatus                      string
	FirstLimits, MoreLimits          []plan.Sentence // the most telling, and the rest
	CanPrice, Pricing, CanFollow     bool
	Confined                         *advise.Confinement
	Winters                          []winterView
	Error                            string
	Sources                          []source.Entry
	Fault, SortFault, PriceFault     string
	PlanFault                        string
	Stopped, Missing, Casting, Later bool
}

// winterView is one winter with all birds shut in.
type winterView struct {
	Name  string
	Holds bool
	Table report.Table
}

func (s *Server) showOdds(w http.ResponseWriter, r *http.Request) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	s.job.castLots()
	p.State, _ = s.job.snapshot()
	p.Busy = luckWords(p.State)
	p.Body = s.oddsView(p)
	s.show(w, r, http.StatusOK, "odds", p)
}

func (s *Server) oddsView(p page) oddsView {
	st := p.State
	l := st.luck
	v := oddsView{Plan: st.plan, Odds: l.odds, Older: l.odds != nil && (l.rough || l.of != st.planNo || l.casting), Fault: faultWords(l.fault), SortFault: faultWords(l.sortFault),
		PriceFault: faultWords(l.priceFault), PlanFault: faultWords(st.planFault), Missing: s.Lots == nil,
		Stopped: l.stopped && !l.casting, Casting: l.casting, Later: st.planning,
		Matters: l.matters, Surer: l.surer, Confined: l.confined, Pricing: l.pricing,
		CanPrice: st.plan != nil && !st.kept && !st.planning && !l.pricing}
	if l.odds == nil {
		return v
	}
	o := l.odds
	v.Span = say("odds.span", report.Number(float64(o.Replicates), 0), report.Day(o.From), report.Day(o.To))
	v.Figures = oddsFigures(o)
	v.Summary, v.Risk = report.OddsSummary(o), report.RiskWords(o.Risk)
	v.Drawings = map[string]report.Drawing{}
	for _, d := range oddsDrawings(l) {
		v.Drawings[d.Name] = d
	}
	v.Likely = likely(o.Chance)
	v.Chances, v.Causes, v.Months, v.ByYear = report.OddsChances(o), report.OddsCauses(o), report.OddsMonths(o), report.OddsYears(o)
	v.Error, v.Sources = report.ErrorWords(o), report.LuckSources()
	v.CostWords = middles(o)
	if l.matters != nil {
		v.LuckFirst, v.LuckRest = luckSentences(l.matters)
	}
	if l.surer != nil {
		v.CanFollow = v.CanPrice && l.surer.Plan != nil && l.surer.Plan != st.plan
		v.SurerStatus = report.SurerStatus(l.surer)
		first := min(firstLimits, len(l.surer.Limits))
		v.FirstLimits, v.MoreLimits = l.surer.Limits[:first], l.surer.Limits[first:]
	}
	if l.confined != nil {
		for _, w := range l.confined.Winters {
			v.Winters = append(v.Winters, winterView{w.Name, w.Holds, report.ConfinedTable(w, p.Units())})
		}
	}
	return v
}

// oddsDrawings are the drawings of what is known of the odds.
func oddsDrawings(l luck) []report.Drawing {
	if l.odds == nil {
		return nil
	}
	list := []report.Drawing{report.OddsEggs(l.odds), report.OddsCost(l.odds)}
	if l.matters != nil {
		list = append(list, report.OddsLuck(l.matters))
	}
	if l.surer != nil {
		list = append(list, report.SurerCurve(l.surer))
	}
	return list
}

// What happens in so many years is told in the open, up to so many things; the
// rest stands in the table.
const (
	likelyShare = 0.02
	mostLikely  = 7
	firstLimits = 3 // of what keeps a plan from being surer
)

// likely lists what happens often, the most frequent first.
func likely(all []chance.Event) []chance.Event {
	list := slices.DeleteFunc(slices.Clone(all), func(e chance.Event) bool { return e.Year < likelyShare })
	slices.SortStableFunc(list, func(a, b chance.Event) int { return cmp.Compare(b.Year, a.Year) })
	return list[:min(mostLikely, len(list))]
}

// oddsFigures are the large numbers: how often a year falls short, and a lean, a
// short and a dear year as they come one time in twenty.
func oddsFigures(o *chance.Odds) []figure {
	number := func(x float64) string { return report.Number(x, 0) }
	list := []figure{{report.Percent(o.Risk.Share), say("figure.of_years"), say("figure.risk.words", number(float64(o.Risk.ShortWeeksAllowed)), report.Percent(o.Risk.Accepted))}}
	if len(o.Years) == 0 {
		return list
	}
	y := usualYear(o)
	name := strconv.Itoa(y.Year)
	return append(list,
		figure{number(y.WinterEggs.P05), say("figure.eggs"), say("figure.lean.words", name, number(y.WinterEggs.P50))},
		figure{number(y.EggsBought.P95), plural(y.EggsBought.P95, say("figure.egg"), say("figure.eggs_all")), say("figure.bought.words", name, number(y.EggsBought.P50))},
		figure{number(y.Cost.P95), o.Currency.Code, say("figure.dear.words", name, number(y.Cost.P50))})
}

// usualYear is the year that the sentences of the odds speak of; without one the
// last that is planned in full, or else the longest.
func usualYear(o *chance.Odds) chance.YearOdds {
	for _, w := range o.Words {
		for _, y := range o.Years {
			if w.Code == "year_eggs" && fmt.Sprint(w.Args["year"]) == strconv.Itoa(y.Year) {
				return y
			}
		}
	}
	best := o.Years[0]
	for _, y := range o.Years {
		if y.Part >= best.Part || y.Part >= 0.95 {
			best = y
		}
	}
	return best
}

// middles says what each full year costs in the middle.
func middles(o *chance.Odds) string {
	var list []string
	for _, y := range o.Years {
		if y.Part >= 0.95 {
			list = append(list, say("odds.cost.year", strconv.Itoa(y.Year), report.Amount(o.Currency, y.Cost.P50)))
		}
	}
	if len(list) == 0 {
		return ""
	}
	return say("odds.cost.middle", strings.Join(list, ", "))
}

// luckSentences parts what is said of the luck: that of the winter's eggs, which
// a keeper asks for first, and the rest.
func luckSentences(m *chance.Matters) (first, rest []chance.Sentence) {
	for _, w := range m.Words {
		if w.Code == "matters_winter" {
			first = append(first, w)
		} else {
			rest = append(rest, w)
		}
	}
	if len(first) == 0 {
		return rest, nil
	}
	return first, rest
}

// oddsLine says on the page of the plan whether it is sure enough.
func oddsLine(s state) string {
	o := s.luck.odds
	if o == nil || s.luck.of != s.planNo || s.luck.casting {
		return ""
	}
	return say("plan.odds.words", report.Percent(o.Risk.Share), report.Number(float64(o.Risk.ShortWeeksAllowed), 0), report.Percent(o.Risk.Accepted))
}

func (s *Server) priceOdds(w http.ResponseWriter, r *http.Request) {
	s.job.price()
	http.Redirect(w, r, "/odds#surer", http.StatusSeeOther)
}

func (s *Server) followSurer(w http.ResponseWriter, r *http.Request) {
	s.job.follow()
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

func (s *Server) stopOdds(w http.ResponseWriter, r *http.Request) {
	s.job.stopLots()
	http.Redirect(w, r, "/odds", http.StatusSeeOther)
}

func (s *Server) againOdds(w http.ResponseWriter, r *http.Request) {
	s.job.castAgain()
	http.Redirect(w, r, "/odds", http.StatusSeeOther)
}

func (s *Server) oddsJSON(w http.ResponseWriter, r *http.Request) {
	s.job.castLots()
	st, _ := s.job.snapshot()
	if a := st.luck.answer(); a != nil {
		s.json(w, r, a)
		return
	}
	s.fail(w, r, http.StatusNotFound, "error.noodds")
}
