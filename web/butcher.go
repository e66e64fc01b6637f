package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"henyear/butcher"
	"henyear/calendar"
	"henyear/daybook"
	"henyear/measure"
	"henyear/report"
)

// butcherRoutes adds the pages of a butcher day.
func (s *Server) butcherRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /work/butcher", s.showButcher)
	mux.HandleFunc("GET /work/butcher/record", s.withBook(s.showCarcass))
	mux.HandleFunc("POST /work/butcher/record", s.withBook(s.addCarcass))
	mux.HandleFunc("POST /work/butcher/undo", s.withBook(s.undoCarcass))
}

// butcherView is the page of one butcher day.
type butcherView struct {
	On, Start      string
	Dates          []choice // days on which the plan butchers
	Lots           []butcherLotView
	People         string
	Practices      []choice
	Packings       []choice
	Fault          string
	Faults         map[string]string
	Problems       []daybook.Sentence
	FromBook, Any  bool
	Lead           string
	Figures        []figure
	Steps          []butcherStep
	Kit            []fact
	Law            []butcherLine
	Record         []choice // where to write down birds
	NoBook         bool
	Unit           string
	DayWords       string
	RecordedAtAll  bool
	RecordedSoFar  string
	RecordedHref   string
	WeightsAreFrom string
}

// butcherLotView is one row of the birds to choose from.
type butcherLotView struct {
	Key, Name, Age, There, Weights, From string
	Chosen, Live, Fault                  string
	Withheld                             string
	Planned                              string
}

// butcherStep is one station of the day.
type butcherStep struct {
	Code, Title, When string
	Lines             []butcherLine
	Cautions          []butcherLine
}

type butcherLine struct{ Text, Source string }

func (s *Server) showButcher(w http.ResponseWriter, r *http.Request) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	in, ok := s.dayOfWork(w, r, p)
	if !ok {
		return
	}
	u := p.Units()
	sent := r.URL.Query()
	c, faults := readButcherChoice(sent, in, u)
	d, err := calendar.PlanButcherDay(in, c)
	v := butcherView{Faults: faults, Unit: report.Unit(u, measure.MassKg), NoBook: in.Book == nil}
	if err != nil {
		// The day is shown without the choice, and what is wrong with that.
		v.Fault = capitalised(err.Error())
		plain := calendar.ButcherChoice{On: in.Today, Picks: map[string]calendar.Pick{}, People: 1, Practice: butcher.Practised, Start: -1}
		if d, err = calendar.PlanButcherDay(in, plain); err != nil {
			s.fail(w, r, http.StatusInternalServerError, "error.page", err.Error())
			return
		}
	}
	v.fill(in, d, c, sent, u)
	p.Body, p.Styles = v, []string{"butcher.css"}
	p.Title = say("butcher.title.day", report.Day(d.On))
	status := http.StatusOK
	if v.Fault != "" || len(faults) > 0 {
		status = http.StatusUnprocessableEntity
	}
	s.show(w, r, status, "butcher", p)
}

// dayOfWork gathers what a day of work follows from.
func (s *Server) dayOfWork(w http.ResponseWriter, r *http.Request, p page) (calendar.Input, bool) {
	pl, err := s.planOfWork(r.Context(), p.State)
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.worklist", err.Error())
		return calendar.Input{}, false
	}
	in, err := s.workInput(r.Context(), p.Holding, pl)
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
		return in, false
	}
	return in, true
}

// readButcherChoice reads the form. What was not sent is the usual: the next day
// on which the plan butchers, and its birds.
func readButcherChoice(sent url.Values, in calendar.Input, u measure.Units) (calendar.ButcherChoice, map[string]string) {
	faults := map[string]string{}
	c := calendar.ButcherChoice{On: in.Today, People: 1, Practice: butcher.Practised, Start: -1}
	if days := calendar.ButcherDates(in); len(days) > 0 {
		c.On = days[0]
	}
	if text := strings.TrimSpace(sent.Get("on")); text != "" {
		if on, err := measure.ParseDate(text); err != nil {
			faults["on"] = capitalised(err.Error())
		} else {
			c.On = on
		}
	}
	whole := func(name string, low, high float64, into *int) {
		text := strings.TrimSpace(sent.Get(name))
		if text == "" {
			return
		}
		x, err := parseNumber(text, low, high)
		if err == nil && x != float64(int(x)) {
			err = fmt.Errorf("%s", say("field.whole", text))
		}
		if err != nil {
			faults[name] = capitalised(err.Error())
			return
		}
		*into = int(x)
	}
	whole("people", 1, butcher.MostPeople, &c.People)
	if text := sent.Get("practice"); text != "" {
		p, known := butcher.PracticeOf(text)
		if !known {
			faults["practice"] = say("butcher.fault.practice")
		}
		c.Practice = p
	}
	if text := strings.TrimSpace(sent.Get("start")); text != "" {
		at, err := time.Parse("15:04", text)
		if err != nil {
			faults["start"] = say("butcher.fault.start", text)
		} else {
			c.Start = 60*at.Hour() + at.Minute()
		}
	}
	if sent.Get("packing") == "cut" {
		c.Packing = butcher.CutUp
	}
	if sent.Has("chosen") {
		c.Picks = map[string]calendar.Pick{}
	}
	for name := range sent {
		key, isBirds := strings.CutPrefix(name, "birds-")
		if !isBirds || len(key) > 200 {
			continue
		}
		var pick calendar.Pick
		whole(name, 0, 100000, &pick.Birds)
		if text := strings.TrimSpace(sent.Get("live-" + key)); text != "" {
			x, err := parseNumber(text, 0.05, 50)
			if err != nil {
				faults["live-"+key] = capitalised(err.Error())
			} else {
				pick.LiveKg = u.ToMetric(measure.MassKg, x)
			}
		}
		if c.Picks == nil {
			c.Picks = map[string]calendar.Pick{}
		}
		c.Picks[key] = pick
	}
	return c, faults
}

func (v *butcherView) fill(in calendar.Input, d *calendar.ButcherDay, c calendar.ButcherChoice, sent url.Values, u measure.Units) {
	v.On, v.Start, v.People = d.On.String(), clock24(d.Start), strconv.Itoa(max(1, c.People))
	v.DayWords = dayName(d.On) + " " + report.Day(d.On)
	v.FromBook, v.Problems, v.Any = d.FromBook, d.Problems, d.Birds > 0
	for name := range v.Faults { // what was typed stays
		switch name {
		case "on":
			v.On = sent.Get("on")
		case "start":
			v.Start = sent.Get("start")
		case "people":
			v.People = sent.Get("people")
		}
	}
	for _, day := range calendar.ButcherDates(in) {
		if len(v.Dates) < 4 {
			v.Dates = append(v.Dates, choice{Value: "/work/butcher?on=" + day.String(), Label: report.Day(day), Chosen: day == d.On})
		}
	}
	for p := butcher.Beginner; p <= butcher.Crew; p++ {
		v.Practices = append(v.Practices, choice{Value: p.String(), Label: say("butcher.practice." + p.String()), Chosen: p == c.Practice})
	}
	for _, code := range []string{"whole", "cut"} {
		v.Packings = append(v.Packings, choice{Value: code, Label: say("butcher.packing." + code), Chosen: (code == "cut") == (c.Packing == butcher.CutUp)})
	}
	for _, l := range d.Lots {
		v.Lots = append(v.Lots, lotView(l, v.Faults, sent, u))
		if in.Book != nil && !l.Group.IsZero() && l.Chosen > 0 {
			v.Record = append(v.Record, choice{Value: recordHref(d.On, l.Group), Label: l.Name})
		}
	}
	if in.Book != nil {
		if done := calendar.ButcheredOn(in.Book, d.On, daybook.ID{}); done.Birds > 0 {
			v.RecordedAtAll = true
			v.RecordedSoFar = say("butcher.recorded", countOf(done.Birds), fineKg(u, done.Kg))
		}
	}
	if !v.Any {
		return
	}
	v.Lead = leadWords(d, u)
	v.Figures = butcherFigures(d, u)
	v.Kit = kitFacts(d, u)
	v.Steps = butcherSteps(d, u)
	for i, key := range []string{"butcher-law-us", "butcher-law-eu", "butcher-law-uk"} {
		v.Law = append(v.Law, butcherLine{say(fmt.Sprintf("butcher.law.%d", i+1)), key})
	}
}

func recordHref(on measure.Date, group daybook.ID) string {
	return "/work/butcher/record?" + url.Values{"on": {on.String()}, "group": {group.String()}}.Encode()
}

func lotView(l calendar.ButcherLot, faults map[string]string, sent url.Values, u measure.Units) butcherLotView {
	v := butcherLotView{Key: l.Key, Name: l.Name, There: countOf(l.There), Chosen: strconv.Itoa(l.Chosen), Age: say("butcher.age.unknown")}
	if l.AgeWeeks > 0 {
		v.Age = say("butcher.age", report.Number(float64(int(l.AgeWeeks)), 0))
	}
	if l.Planned > 0 {
		v.Planned = say("butcher.planned", countOf(l.Planned))
	}
	v.Live = sent.Get("live-" + l.Key)
	v.Fault = strings.TrimSpace(faults["birds-"+l.Key] + " " + faults["live-"+l.Key])
	if v.Fault != "" {
		v.Chosen = sent.Get("birds-" + l.Key)
	}
	if l.Withheld != nil {
		v.Withheld = l.Withheld.Text
	}
	if !l.Known {
		v.Weights = say("butcher.weights.none")
		return v
	}
	v.Weights = say("butcher.weights", spreadKg(u, l.Dressed), fineKg(u, l.Live.Mean))
	v.From = say("butcher.from.curve")
	if l.Weighed > 0 {
		v.From = say("butcher.from.weighed", countOf(l.Weighed))
	}
	return v
}

func countOf(n int) string { return report.Number(float64(n), 0) }

// fineKg writes a weight to a hundredth of a kilogram or a tenth of a pound.
func fineKg(u measure.Units, kg float64) string {
	decimals := 2
	if u == measure.US || kg >= 10 {
		decimals = 1
	}
	return report.Quantity(u, measure.MassKg, kg, decimals)
}

func spreadKg(u measure.Units, s calendar.Spread) string {
	return say("butcher.range", fineKg(u, s.Mean), fineKg(u, s.Low), fineKg(u, s.High))
}

// liquid writes litres, or gallons where they are used, with two digits that
// count.
func liquid(u measure.Units, litres float64) string {
	unit := "l"
	if u == measure.US {
		litres, unit = litres/measure.LitrePerGallon, say("butcher.gallons")
	}
	decimals := 0
	if litres < 10 {
		decimals = 1
	}
	return report.Number(measure.Significant(litres, 2), decimals) + "\u00a0" + unit
}

func warmth(u measure.Units, c float64) string {
	decimals := 0
	if c != float64(int(c)) && u != measure.US {
		decimals = 1
	}
	return report.Quantity(u, measure.TempC, c, decimals)
}

// within writes a range with the figure to plan with before it; alone where the
// bounds are the same.
func within(r butcher.Range, words func(float64) string) string {
	if words(r.Low) == words(r.High) {
		return words(r.Plan)
	}
	return say("butcher.range", words(r.Plan), words(r.Low), words(r.High))
}

func hoursWords(h float64) string {
	decimals := 0
	if h < 10 && h != float64(int(h)) {
		decimals = 1
	}
	return report.Number(h, decimals) + "\u00a0h"
}

func plainNumber(decimals int) func(float64) string {
	return func(x float64) string { return report.Number(x, decimals) }
}

func leadWords(d *calendar.ButcherDay, u measure.Units) string {
	var names []string
	for _, s := range d.Sheets {
		names = append(names, s.Names...)
	}
	return say("butcher.lead", countOf(d.Birds), strings.Join(slices.Compact(names), ", "), warmth(u, float64(int(d.HighC+0.5))))
}

func butcherFigures(d *calendar.ButcherDay, u measure.Units) []figure {
	kg, unit := u.Show(measure.MassKg, d.Kg.Mean)
	list := []figure{
		{report.Number(d.TotalH.Plan, 1), say("butcher.hours"), say("butcher.figure.hours", hoursWords(d.TotalH.Low), hoursWords(d.TotalH.High))},
		{report.Number(kg, 1), unit, say("butcher.figure.kg", fineKg(u, d.Kg.Low), fineKg(u, d.Kg.High))},
	}
	need := report.Quantity(u, measure.VolumeL, d.Freezer.NeedL, rainDecimals(u))
	number, of, _ := strings.Cut(need, "\u00a0")
	words := say("butcher.figure.fits", report.Quantity(u, measure.VolumeL, d.Freezer.StatedL-d.Freezer.InUseL, rainDecimals(u)))
	switch {
	case d.Freezer.StatedL <= 0:
		words = say("butcher.figure.nofreezer")
	case !d.Freezer.Fits:
		words = say("butcher.figure.full", report.Quantity(u, measure.VolumeL, max(0, d.Freezer.StatedL-d.Freezer.InUseL), rainDecimals(u)), countOf(d.Freezer.Birds))
	}
	return append(list, figure{number, of, words}, figure{clockWords(u, d.Sheets[0].Lots[0].FeedAt), "", say("butcher.figure.feed", dayWords(d.On, d.Sheets[0].Lots[0].FeedAt))})
}

// Clock words. A time below 0 is of the evening before.

func clock24(minutes int) string {
	m := ((minutes % 1440) + 1440) % 1440
	return fmt.Sprintf("%02d:%02d", m/60, m%60)
}

func clockWords(u measure.Units, minutes int) string {
	if u != measure.US {
		return clock24(minutes)
	}
	m := ((minutes % 1440) + 1440) % 1440
	half := "am"
	if m >= 720 {
		half = "pm"
	}
	return fmt.Sprintf("%d:%02d\u00a0%s", (m/60+11)%12+1, m%60, half)
}

func dayName(d measure.Date) string { return d.Time().Weekday().String() }

// dayWords names the day on which a time of the sheet falls.
func dayWords(on measure.Date, minutes int) string {
	days := 0
	for m := minutes; m < 0; m += 1440 {
		days--
	}
	for m := minutes; m >= 1440; m -= 1440 {
		days++
	}
	return dayName(on.AddDays(days))
}

func when(u measure.Units, on measure.Date, minutes int) string {
	return say("butcher.when", dayWords(on, minutes), clockWords(u, minutes))
}
