package web

import (
	"errors"
	"math"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"henyear/butcher"
	"henyear/calendar"
	"henyear/daybook"
	"henyear/measure"
	"henyear/report"
)

// carcassView is the page on which yields are written down bird by bird: one
// record of the daybook for each, see docs/models/butcher.md.
type carcassView struct {
	Group, Name, On    string
	ID, Entry          string
	Dressed, Live      string
	Faults             map[string]string
	Fault              string
	Unit               string
	Factor             float64 // grams in one unit of the boxes
	Low, High          float64 // grams between which a dressed weight is no surprise; 0: not known
	Odd                string
	Version            int
	Withheld, Later    string
	Bird, Left         string
	Tally              []string
	Last               []carcassLine
	Saved              *lineView
	Back               string
	Decimals           bool // the pad has a point
	Least, Most, Above string
}

type carcassLine struct{ ID, Text string }

// Bounds of a carcass in grams: what is outside is a slip of the thumb.
const (
	leastCarcassG = 100
	mostCarcassG  = 15000
)

func (s *Server) showCarcass(w http.ResponseWriter, r *http.Request) {
	s.carcassPage(w, r, http.StatusOK, r.URL.Query(), nil)
}

// carcassPage shows the page for the group and day that were sent; after a fault
// with what was typed.
func (s *Server) carcassPage(w http.ResponseWriter, r *http.Request, status int, sent url.Values, faults map[string]string) {
	b, _, err := s.book(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
		return
	}
	group, err := daybook.ParseID(sent.Get("group"))
	info, known := b.GroupInfo(group)
	if err != nil || !known {
		s.fail(w, r, http.StatusNotFound, "butcher.record.nogroup")
		return
	}
	p := s.daybookPage(r)
	if p.Holding == nil {
		s.show(w, r, http.StatusOK, "empty", page{})
		return
	}
	u, today := p.Units(), s.date()
	v := carcassView{Group: group.String(), Name: groupName(info), ID: freshID().String(), Entry: "carcass-" + group.String(), Faults: faults, Fault: faults[""],
		Version: versionOfKind("butchered"), Factor: 1, Unit: "g", Back: "/work/butcher?" + url.Values{"on": {sent.Get("on")}}.Encode()}
	if u == measure.US {
		v.Factor, v.Unit, v.Decimals = 1000*measure.KgPerPound, "lb", true
	}
	v.Least, v.Most = grams(v, leastCarcassG), grams(v, mostCarcassG)
	on, err := measure.ParseDate(sent.Get("on"))
	if err != nil {
		on = today
		v.Back = "/work/butcher"
	}
	if today.Before(on) {
		v.Later = say("butcher.record.later", report.Day(on), report.Day(today))
		on = today
	}
	v.On = on.String()
	if faults != nil {
		v.ID, v.Dressed, v.Live = sent.Get("id"), sent.Get("dressed"), sent.Get("live")
	}
	if held, why := b.MeatWithheld(on, group); held {
		v.Withheld = why.Text
	}
	v.tally(b, group, on, u, s.expectedOf(p, b, group, on))
	if id, err := daybook.ParseID(sent.Get("saved")); err == nil {
		if e, err := s.Daybook.EventByID(r.Context(), id); err == nil && b.StandingOf(id) == daybook.Counts {
			line := lineOf(b, e.Event)
			v.Saved = &line
		}
	}
	p.Body, p.Styles, p.Title = v, []string{"butcher.css"}, say("butcher.record.title", v.Name)
	s.show(w, r, status, "carcass", p)
}

func grams(v carcassView, g float64) string {
	if v.Decimals {
		return report.Number(g/v.Factor, 1) + "\u00a0" + v.Unit
	}
	return report.Number(g, 0) + "\u00a0" + v.Unit
}

// expectedOf is what the sheet expects of a group's birds on a day; nil when it
// knows nothing.
func (s *Server) expectedOf(p page, b *daybook.Book, group daybook.ID, on measure.Date) *calendar.ButcherLot {
	in := calendar.Input{Holding: p.Holding, Plan: p.State.plan, Book: b, Today: on}
	d, err := calendar.PlanButcherDay(in, calendar.ButcherChoice{On: on, Picks: map[string]calendar.Pick{}, People: 1, Practice: butcher.Practised, Start: -1})
	if err != nil {
		return nil
	}
	for i := range d.Lots {
		if d.Lots[i].Group == group && d.Lots[i].Known {
			return &d.Lots[i]
		}
	}
	return nil
}

// tally sums what is written down of the group on the day, against what was
// expected.
func (v *carcassView) tally(b *daybook.Book, group daybook.ID, on measure.Date, u measure.Units, expected *calendar.ButcherLot) {
	done := calendar.ButcheredOn(b, on, group)
	v.Bird = say("butcher.record.bird", countOf(done.Birds+1))
	left := 0
	for _, g := range b.GroupsOn(on) {
		if g.Group.Group == group {
			left = g.Number
		}
	}
	v.Left = say("butcher.record.left", countOf(left))
	if done.Birds == 0 {
		v.Tally = append(v.Tally, say("butcher.record.none"))
	} else if done.Weighed > 0 {
		v.Tally = append(v.Tally, say("butcher.record.sum", countOf(done.Birds), fineKg(u, done.Kg), fineKg(u, done.Kg/float64(done.Weighed))))
	}
	if n := done.Birds - done.Weighed; n > 0 {
		v.Tally = append(v.Tally, say("butcher.record.unweighed", countOf(n)))
	}
	if expected != nil {
		v.Tally = append(v.Tally, say("butcher.record.expected", spreadKg(u, expected.Dressed)))
		// Beyond twice the usual spread a weight is asked about.
		low, high := expected.Dressed.Low, expected.Dressed.High
		v.Low, v.High = 1000*math.Max(0.1, low-(high-low)/2), 1000*(high+(high-low)/2)
		v.Odd = say("butcher.record.odd", grams(*v, v.Low), grams(*v, v.High))
		if done.Weighed > 0 {
			v.Tally = append(v.Tally, say("butcher.record.against", report.Percent(done.Kg/(float64(done.Weighed)*expected.Dressed.Mean))))
		}
		if done.Yield > 0 {
			v.Tally = append(v.Tally, say("butcher.record.yield", report.Percent(done.Yield), report.Percent(expected.Dressed.Mean/expected.Live.Mean)))
		}
	}
	for _, one := range done.Each {
		text := say("butcher.record.line.none")
		switch {
		case one.Birds > 1:
			text = say("butcher.record.line.many", countOf(one.Birds), fineKg(u, one.Kg))
		case one.Kg > 0 && one.LiveKg > 0:
			text = say("butcher.record.line.live", fineKg(u, one.Kg), fineKg(u, one.LiveKg))
		case one.Kg > 0:
			text = say("butcher.record.line", fineKg(u, one.Kg))
		}
		if len(v.Last) < 60 {
			v.Last = append(v.Last, carcassLine{one.Record.String(), text})
		}
	}
}

// addCarcass takes one bird from a form that was sent without scripts.
func (s *Server) addCarcass(w http.ResponseWriter, r *http.Request) {
	sent, _, ok := s.readEntry(w, r)
	if !ok {
		return
	}
	p := s.daybookPage(r)
	factor := 1.0
	if p.Units() == measure.US {
		factor = 1000 * measure.KgPerPound
	}
	faults := map[string]string{}
	weigh := func(name string, need bool) float64 {
		text := strings.TrimSpace(sent.Get(name))
		if text == "" && !need {
			return 0
		}
		x, err := parseNumber(text, 0, 1e6)
		if err == nil {
			x = math.Round(x * factor)
			if x < leastCarcassG || x > mostCarcassG {
				err = errors.New(say("butcher.record.range", trim(measure.Significant(leastCarcassG/factor, 2)), trim(measure.Significant(mostCarcassG/factor, 2))))
			}
		}
		if err != nil {
			faults[name] = capitalised(err.Error())
		}
		return x
	}
	dressed, live := weigh("dressed", true), weigh("live", false)
	if len(faults) == 0 && live > 0 && dressed > live {
		faults["dressed"] = say("butcher.record.above")
	}
	on, err1 := measure.ParseDate(sent.Get("happened_on"))
	id, err2 := daybook.ParseID(sent.Get("id"))
	group, err3 := daybook.ParseID(sent.Get("group"))
	if err := errors.Join(err1, err2, err3); err != nil {
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return
	}
	sent.Set("on", on.String())
	if len(faults) == 0 {
		one := map[string]float64{"dressed_g": dressed}
		if live > 0 {
			one["live_g"] = live
		}
		now := s.now()
		e := rawEvent(id, "butchered", on, now, visitorOf(r).Name, map[string]any{"group": group.String(), "number": 1, "each": []map[string]float64{one}})
		if err := daybook.Validate(e); err != nil {
			faults[""] = capitalised(err.Error())
		} else {
			faults = s.keep(r, []daybook.Event{e}, now)
		}
	}
	if len(faults) > 0 {
		s.carcassPage(w, r, http.StatusUnprocessableEntity, sent, faults)
		return
	}
	http.Redirect(w, r, recordHref(on, group)+"&saved="+id.String(), http.StatusSeeOther)
}

// undoCarcass takes one bird back.
func (s *Server) undoCarcass(w http.ResponseWriter, r *http.Request) {
	sent, _, ok := s.readEntry(w, r)
	if !ok {
		return
	}
	id, err1 := daybook.ParseID(sent.Get("record"))
	group, err2 := daybook.ParseID(sent.Get("group"))
	on, err3 := measure.ParseDate(sent.Get("on"))
	if errors.Join(err1, err2, err3) != nil {
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return
	}
	if faults := s.strike(r, id, say("daybook.undone")); len(faults) > 0 {
		s.fail(w, r, http.StatusUnprocessableEntity, "error.refused", faults[""])
		return
	}
	http.Redirect(w, r, recordHref(on, group), http.StatusSeeOther)
}

// FactorText writes the factor with all its digits.
func (v carcassView) FactorText() string { return strconv.FormatFloat(v.Factor, 'f', -1, 64) }
