package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"henyear/calendar"
	"henyear/daybook"
	"henyear/hatch"
	"henyear/measure"
	"henyear/report"
)

// hatchDayRoutes adds the pages of settings and their hatch.
func (s *Server) hatchDayRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /work/hatch", s.showHatches)
	mux.HandleFunc("GET /work/hatch/{id}", s.showHatch)
	mux.HandleFunc("POST /work/hatch/{id}/look", s.withBook(s.addLook))
	mux.HandleFunc("POST /work/hatch/{id}/opened", s.withBook(s.addOpened))
}

// hatchListView is the list of settings.
type hatchListView struct {
	Going, Planned, Ended []hatchDayLine
	NoBook                bool
}

type hatchDayLine struct{ Href, Name, Words string }

func (s *Server) showHatches(w http.ResponseWriter, r *http.Request) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	in, ok := s.dayOfWork(w, r, p)
	if !ok {
		return
	}
	v := hatchListView{NoBook: in.Book == nil}
	for _, x := range calendar.HatchSettings(in) {
		line := hatchDayLine{"/work/hatch/" + x.Key, hatchName(x), ""}
		switch {
		case x.Ended:
			line.Words = say("hatchday.line.ended", countOf(x.Chicks), countOf(x.Eggs))
			v.Ended = append(v.Ended, line)
		case x.Planned:
			line.Words = say("hatchday.line.planned", report.Day(x.SetOn), report.Day(x.DueOn))
			v.Planned = append(v.Planned, line)
		default:
			line.Words = say("hatchday.line.going", countOf(max(0, x.Day)), countOf(x.Alive), report.Day(x.DueOn))
			v.Going = append(v.Going, line)
		}
	}
	p.Body, p.Styles, p.Title = v, []string{"butcher.css"}, say("hatchday.title")
	s.show(w, r, http.StatusOK, "hatches", p)
}

func hatchName(x calendar.HatchSetting) string {
	under := say("hatchday.under." + x.Under)
	if x.Name != "" {
		under = x.Name
	}
	breed := ""
	if x.Breed != "" {
		breed = breedName(x.Breed) + ", "
	}
	return say("hatchday.name", countOf(x.Eggs), breed, under)
}

// hatchDayView is the page of one setting.
type hatchDayView struct {
	Key, Name, Span       string
	Planned, Ended, NoLog bool
	Posted                bool // bought eggs, reckoned as posted
	Problems              []daybook.Sentence
	Machine               bool
	Warmths, Hours        []choice
	Want                  string
	Fault                 string
	Figures               []figure
	Sheet                 []hatchRow
	Next                  *hatchRow // of a setting that goes on
	Cautions              []butcherLine
	Settings              []fact
	Weight                []string
	WeightFault           string
	Candled               []fact
	CandledWords          string
	Odds                  string
	Look, Opened          hatchForm
	Asked, Alarm          bool
	AskHref               string
	Diagnosis             *hatch.Diagnosis
	Found                 []hatchFound
	Causes                []hatchCause
	Little, HatchWords    string
}

type hatchRow struct {
	When, Title, Words string
	Settings           string
	Past               bool
	Source             string
}

type hatchFound struct{ Name, Words string }

type hatchCause struct {
	hatch.Cause
	Strength, From string
}

// hatchForm is one of the two forms, with what was typed.
type hatchForm struct {
	ID, SecondID, NewGroup, On string
	Values, Faults             map[string]string
	Fields                     []hatchField
	Groups                     []choice
	GroupName                  string
	Signs                      []choice
	Correcting                 bool
}

type hatchField struct{ Name, Label, Hint, Unit, Value, Fault, Mode string }

func (s *Server) showHatch(w http.ResponseWriter, r *http.Request) {
	s.hatchPage(w, r, http.StatusOK, r.URL.Query(), "", nil)
}

// readHatchChoice reads how the keeper looks at the setting; what cannot be is
// told in a sentence, and the usual taken.
func readHatchChoice(sent url.Values) (calendar.HatchChoice, string) {
	c := calendar.HatchChoice{Warmth: hatch.ForcedAir, Hour: 18, Want: -1}
	fault := ""
	if sent.Get("air") == string(hatch.StillAir) {
		c.Warmth = hatch.StillAir
	}
	whole := func(name string, high float64, into *int) {
		text := strings.TrimSpace(sent.Get(name))
		if text == "" {
			return
		}
		x, err := parseNumber(text, 0, high)
		if err == nil && x != float64(int(x)) {
			err = fmt.Errorf("%s", say("field.whole", text))
		}
		if err != nil {
			fault = say("hatchday.fault", say("hatchday."+name), err.Error())
			return
		}
		*into = int(x)
	}
	whole("hour", 23, &c.Hour)
	whole("want", 1000, &c.Want)
	c.Asked = sent.Get("alarm") == "yes" || sent.Get("alarm") == "no"
	c.Alarm = sent.Get("alarm") == "yes"
	return c, fault
}

// hatchPage shows one setting; after a fault form names the form that was sent.
func (s *Server) hatchPage(w http.ResponseWriter, r *http.Request, status int, sent url.Values, form string, faults map[string]string) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	in, ok := s.dayOfWork(w, r, p)
	if !ok {
		return
	}
	c, fault := readHatchChoice(r.URL.Query())
	key := r.PathValue("id")
	d, found, err := calendar.HatchDayOf(in, key, c)
	if !found {
		s.fail(w, r, http.StatusNotFound, "hatchday.none")
		return
	}
	if err != nil {
		fault = capitalised(err.Error())
		if d, _, err = calendar.HatchDayOf(in, key, calendar.HatchChoice{Warmth: c.Warmth, Hour: 18, Want: -1}); err != nil {
			s.fail(w, r, http.StatusInternalServerError, "error.page", err.Error())
			return
		}
	}
	if fault != "" {
		status = http.StatusUnprocessableEntity
	}
	u := p.Units()
	v := hatchDayView{Key: d.Key, Name: hatchName(d.HatchSetting), Planned: d.Planned, Ended: d.Ended, NoLog: in.Book == nil, Machine: d.Under != "hen",
		Span: say("hatchday.span", report.Day(d.SetOn), report.Day(d.DueOn)), Fault: fault, Want: strconv.Itoa(d.Want), Asked: c.Asked, Alarm: c.Alarm}
	v.Posted, v.Problems = d.Model.Posted, d.Problems
	v.fill(d, c, u)
	if in.Book != nil && !d.Planned {
		v.Look = lookForm(s.date(), pick(form == "look", sent), pick2(form == "look", faults))
		v.Opened = s.openedForm(in.Book, d, pick(form == "opened", sent), pick2(form == "opened", faults))
	}
	p.Body, p.Styles, p.Title = v, []string{"daybook.css", "butcher.css"}, say("hatchday.title.one", v.Name)
	s.show(w, r, status, "hatchday", p)
}

func pick(is bool, sent url.Values) url.Values {
	if is {
		return sent
	}
	return nil
}

func pick2(is bool, faults map[string]string) map[string]string {
	if is {
		return faults
	}
	return map[string]string{}
}

func (v *hatchDayView) fill(d *calendar.HatchDay, c calendar.HatchChoice, u measure.Units) {
	for _, air := range []hatch.Warmth{hatch.ForcedAir, hatch.StillAir} {
		v.Warmths = append(v.Warmths, choice{Value: string(air), Label: say("hatchday.air." + string(air)), Chosen: d.Warmth == air})
	}
	for hour := range 24 {
		v.Hours = append(v.Hours, choice{Value: strconv.Itoa(hour), Label: clockWords(u, 60*hour), Chosen: hour == c.Hour})
	}
	v.sheet(d, u)
	v.machine(d, u)
	hatchAt := d.Sheet[slices.IndexFunc(d.Sheet, func(x calendar.HatchOnDay) bool { return x.Code == "hatch" })]
	switch {
	case d.Ended:
		v.Figures = append(v.Figures, figure{countOf(d.Chicks), say("hatchday.chicks"), say("hatchday.figure.chicks", countOf(d.Eggs), report.Percent(float64(d.Chicks)/float64(d.Eggs)))})
	default:
		if !d.Planned {
			v.Figures = append(v.Figures, figure{countOf(max(0, d.Day)), say("hatchday.day"), say("hatchday.figure.day", countOf(hatch.Days))},
				figure{countOf(d.Alive), say("hatchday.alive"), say("hatchday.figure.alive", countOf(d.Eggs))})
		}
		v.Figures = append(v.Figures, figure{countOf(hatchAt.On.Day), hatchAt.On.Month.String(), say("hatchday.figure.hatch", dayName(hatchAt.On), clockWords(u, hatchAt.Clock/15*15))},
			figure{report.Number(d.ChicksMean, 0), say("hatchday.chicks"), say("hatchday.figure.expect", countOf(d.ChicksLow), countOf(d.ChicksHigh))})
		if d.Want > 0 {
			v.Odds = say("hatchday.odds", countOf(d.Want), report.Percent(d.Odds), report.Percent(d.Reared))
		}
	}
	v.weights(d)
	v.candling(d)
	v.diagnosis(d)
}

func (v *hatchDayView) sheet(d *calendar.HatchDay, u measure.Units) {
	for _, x := range d.Sheet {
		when := dayName(x.On) + " " + report.DayMonth(x.On)
		if x.Day >= 19 && x.Day <= hatch.Days {
			when = say("hatchday.about", when, clockWords(u, x.Clock/15*15))
		}
		v.Sheet = append(v.Sheet, hatchRow{When: when, Title: say("hatchday.sheet.day", countOf(x.Day), say("hatchday.sheet."+x.Code)), Words: say("hatchday.sheet." + x.Code + ".words"), Past: x.Past, Source: x.Key})
	}
	if !d.Ended && !d.Planned {
		if i := slices.IndexFunc(v.Sheet, func(x hatchRow) bool { return !x.Past }); i >= 0 {
			v.Next = &v.Sheet[i]
		}
	}
	for _, code := range []string{"heat", "hygiene", "alone"} {
		if code != "heat" || d.Under != "hen" {
			v.Cautions = append(v.Cautions, butcherLine{say("hatchday.caution." + code), map[string]string{"heat": "hatch-virginia-tech", "hygiene": "butcher-cautions"}[code]})
		}
	}
}

// machine lists the settings of the machine, or what the hen does.
func (v *hatchDayView) machine(d *calendar.HatchDay, u measure.Units) {
	span := func(p hatch.Setpoint, words func(float64) string) string {
		if p.Low == p.High {
			return words(p.Usual)
		}
		return say("butcher.range", words(p.Usual), words(p.Low), words(p.High))
	}
	temp := func(x float64) string { return report.Quantity(u, measure.TempC, x, 1) }
	percent := func(x float64) string { return report.Number(x, 0) + "\u00a0%" }
	t := hatch.TempC(d.Warmth)
	v.Settings = append(v.Settings, fact{say("hatchday.temp." + string(d.Warmth)), span(t, temp)})
	if d.Under == "hen" {
		v.Settings = append(v.Settings, fact{say("hatchday.rh.hen"), span(hatch.RHPct(d.Warmth, 1), percent)})
		return
	}
	v.Settings = append(v.Settings,
		fact{say("hatchday.rh.before"), span(hatch.RHPct(d.Warmth, 1), percent)},
		fact{say("hatchday.rh.after"), span(hatch.RHPct(d.Warmth, hatch.LockdownDay), percent)},
		fact{say("hatchday.turns"), span(hatch.TurnsADay(d.Warmth, 5), func(x float64) string { return report.Number(x, 0) })},
		fact{say("hatchday.harm"), say("hatchday.harm.words", temp(hatch.HarmLowC), temp(hatch.HarmHighC), temp(hatch.KillC))})
}

func (v *hatchDayView) weights(d *calendar.HatchDay) {
	if d.WeightFault != nil {
		v.WeightFault = capitalised(d.WeightFault.Error())
		return
	}
	x := d.Weight
	if x == nil {
		return
	}
	one := func(f float64) string { return report.Number(f, 1) }
	v.Weight = append(v.Weight,
		say("hatchday.weight", countOf(d.WeightDay), one(x.LossPct), one(x.UsualPct), one(x.LowPct), one(x.HighPct)),
		say("hatchday.weight."+strings.ReplaceAll(string(x.Course), " ", "-"), one(x.NowG), one(x.TargetG), one(x.Day18Pct)))
	if x.AimRHPct > 0 {
		code := "hatchday.weight.aim"
		if x.OutOfReach {
			code = "hatchday.weight.reach"
		}
		v.Weight = append(v.Weight, say(code, report.Number(x.AimRHPct, 0), countOf(x.LeftDays)))
	}
}

func (v *hatchDayView) candling(d *calendar.HatchDay) {
	e := d.Expect
	v.CandledWords = say("hatchday.candle.plan", countOf(d.By), countOf(e.Clear), countOf(e.ClearLow), countOf(e.ClearHigh), countOf(e.Dead), countOf(e.DeadLow), countOf(e.DeadHigh))
	if len(d.Looks) == 0 {
		return
	}
	judge := func(n, low, high int) string {
		switch {
		case n > high:
			return say("hatchday.candle.more")
		case n < low:
			return say("hatchday.candle.fewer")
		}
		return say("hatchday.candle.usual")
	}
	v.Candled = []fact{
		{say("hatchday.candle.clear"), say("hatchday.candle.found", countOf(d.Clear), countOf(e.Clear), countOf(e.ClearLow), countOf(e.ClearHigh), judge(d.Clear, e.ClearLow, e.ClearHigh))},
		{say("hatchday.candle.dead"), say("hatchday.candle.found", countOf(d.Dead), countOf(e.Dead), countOf(e.DeadLow), countOf(e.DeadHigh), judge(d.Dead, e.DeadLow, e.DeadHigh))},
		{say("hatchday.candle.share"), say("hatchday.candle.between", report.Percent(d.ClearIn[0]), report.Percent(d.ClearIn[1]))},
	}
}

func (v *hatchDayView) diagnosis(d *calendar.HatchDay) {
	x := d.Diagnosis
	v.Diagnosis = x
	if x == nil || x.Stop {
		return
	}
	v.HatchWords = say("hatchday.hatched", report.Percent(x.Hatched), report.Percent(x.UsualLow), report.Percent(x.UsualHigh))
	if x.Little {
		v.Little = say("hatchday.little", plural(float64(x.Opened), say("hatchday.egg.one"), say("hatchday.egg.many", countOf(x.Opened))))
	}
	for _, f := range x.Findings {
		name := say("hatchday.found." + f.Code)
		if f.Eggs == 0 {
			v.Found = append(v.Found, hatchFound{name, say("hatchday.found.sign")})
			continue
		}
		code := "hatchday.found.luck"
		if f.Chance < 0.10 {
			code = "hatchday.found.rare"
		}
		v.Found = append(v.Found, hatchFound{name, say(code, countOf(f.Eggs), countOf(f.Of), report.Number(f.Usual, 1), report.Percent(f.Low), report.Percent(f.High), chanceWords(f.Chance))})
	}
	for _, c := range x.Causes {
		var from []string
		for _, code := range c.From {
			from = append(from, strings.ToLower(say("hatchday.found."+code)))
		}
		v.Causes = append(v.Causes, hatchCause{c, report.Percent(c.Share), strings.Join(from, ", ")})
	}
}

// chanceWords writes a chance as one in so many.
func chanceWords(p float64) string {
	switch {
	case p >= 0.5:
		return say("hatchday.chance.often")
	case p < 0.001:
		return say("hatchday.chance.hardly")
	}
	return say("hatchday.chance", report.Number(measure.Significant(1/p, 2), 0))
}

// settingID is the setting of the daybook that a page is about.
func settingID(key string) (daybook.ID, bool) {
	text, is := strings.CutPrefix(key, "s-")
	id, err := daybook.ParseID(text)
	return id, is && err == nil
}
