package web

import (
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"henyear/advise"
	"henyear/measure"
	"henyear/plan"
	"henyear/report"
	"henyear/source"
)

// placeView is the page of the place, in the order of its sections.
type placeView struct {
	Answer   *report.PlaceAnswer
	Contents []contentsLine
	Figures  []figure

	Temperature, Daylight, Lamps report.Drawing
	WeatherWords                 string
	WeatherOpened, LightOpened   []opened
	Light                        []string
	LampTable, Programmes        report.Table
	Batches                      report.Table

	Air        []houseAir
	Standards  []report.NeedItem
	Asks       report.Table
	FlockWords string

	Combs                report.Drawing
	CombWords            string
	OwnCombs, OtherCombs report.Table
	CombAdvice           []string
	CombOpened           []opened

	Bodies []bodyView

	Winter      report.Drawing
	WinterWords []plan.Sentence
	Winters     []winterView

	Facts   []fact
	Houses  []houseRow
	Pens    []penRow
	Limits  []plan.Binding
	Months  []monthRow
	Sources []source.Entry
}

type contentsLine struct{ ID, Name string }

// opened is a figure that a reader may open.
type opened struct {
	Name, Shown    string
	Formula, Range string
	Inputs         []openedInput
	Kind           string // of knowledge, the weakest
	Keys           []string
}

type openedInput struct{ Name, Value, Key string }

// houseAir is the air of one house.
type houseAir struct {
	ID, Name, Words, Shut, Heat string
	Birds, OpenSided            bool
	Warnings, Beds              []string
	Notes                       []report.VentNote
	Drawings                    []report.Drawing
	VentTable, HeatTable        report.Table
	Opened                      []opened
}

// bodyView is what a year here does to one breed and sex.
type bodyView struct {
	ID     string
	Name   string
	OnHand bool
	Facts  []opened
}

type fact struct{ Name, Value string }

type monthRow struct {
	Name                            string
	High, Low, Humidity, Rain, Eggs string
	Pasture                         bool
}

type houseRow struct {
	House, Area, Pens, Kind string
}

// penRow is a run of weeks in which the same birds live in a pen.
type penRow struct {
	Pen, Who string
	Birds    float64 // at most
	From, To measure.Date
}

// penRuns joins the weeks of a plan in which a pen has the same birds, pen by
// pen.
func penRuns(pl *plan.Plan) []penRow {
	var rows []penRow
	open := map[string]int{} // pen and who to the row that may go on
	for _, w := range pl.Weeks {
		for _, use := range w.Pens {
			name := use.Pen + "\x00" + use.Who
			i, going := open[name]
			if !going || rows[i].To.AddDays(1) != w.Date {
				i = len(rows)
				rows = append(rows, penRow{Pen: use.Pen, Who: use.Who, From: w.Date})
				open[name] = i
			}
			rows[i].Birds = max(rows[i].Birds, use.Birds)
			rows[i].To = w.Date.AddDays(6)
		}
	}
	slices.SortStableFunc(rows, func(a, b penRow) int { return strings.Compare(a.Pen, b.Pen) })
	return rows
}

// placeKept holds what was reckoned of a place, until the holding or its plan
// changes: the place itself takes a fifth of a second and does not change with a plan.
type placeKept struct {
	mu       sync.Mutex
	version  string
	answer   *report.PlaceAnswer
	plan     *plan.Plan
	confined *report.PlaceAnswer
}

// placed is all that is told of the place of a holding, with the winters of its plan
// once there is one.
func (s *Server) placed(st state) *report.PlaceAnswer {
	k := &s.place
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.answer == nil || k.version != st.version {
		k.version, k.answer, k.confined = st.version, report.PlaceOf(st.holding, nil), nil
	}
	if st.plan == nil {
		return k.answer
	}
	if k.confined == nil || k.plan != st.plan {
		with := *k.answer
		if l := st.luck; l.confined != nil && l.of == st.planNo {
			with.Take(l.confined) // tried already, with the odds of this plan
		} else {
			with.Confine(st.holding, st.plan)
		}
		k.confined, k.plan = &with, st.plan
	}
	return k.confined
}

func (s *Server) placeRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /place", s.showPlace)
	mux.HandleFunc("GET /place.json", s.placeJSON)
}

func (s *Server) showPlace(w http.ResponseWriter, r *http.Request) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	p.Body, p.Styles = s.placeView(p), []string{"place.css"}
	s.show(w, r, http.StatusOK, "place", p)
}

func (s *Server) placeJSON(w http.ResponseWriter, r *http.Request) {
	if p, ok := s.current(w, r); ok {
		s.json(w, r, s.placed(p.State))
	}
}

func (s *Server) placeView(p page) placeView {
	h, u, a := p.Holding, p.Units(), s.placed(p.State)
	v := placeView{Answer: a, Figures: placeFigures(a), WeatherWords: a.WeatherWords(), Lamps: a.Lamps(), Light: a.LightWords(),
		LampTable: a.LampTable(), Programmes: a.ProgrammeTable(), Batches: a.BatchTable(),
		Standards: a.NeedList(), Asks: a.NeedTable(), FlockWords: flockWords(a),
		Combs: a.CombDrawing(), CombWords: a.CombWords(), OwnCombs: a.CombTable(true), OtherCombs: a.CombTable(false), CombAdvice: a.CombAdvice(),
		Winter: a.WinterDrawing(), Facts: placeFacts(h, u), Houses: houseRows(p), Months: monthRows(p), Sources: a.Sources}
	v.Temperature, v.Daylight = a.Sky()
	v.WeatherOpened, v.LightOpened = openAll(a.Opened("weather", "")), openAll(a.Opened("light", ""))
	for i := range a.Houses {
		v.Air = append(v.Air, airOf(a, i, u))
	}
	for _, w := range a.CombWorkings() {
		v.CombOpened = append(v.CombOpened, openFigure(w))
	}
	for _, b := range a.Bodies {
		body := bodyView{ID: "body-" + plainID(b.Breed+"-"+b.Strain+"-"+b.SexName()), Name: a.BodyName(b), OnHand: b.OnHand}
		for _, f := range a.BodyFacts(b) {
			body.Facts = append(body.Facts, openFigure(f.Working))
		}
		if len(body.Facts) > 0 {
			v.Bodies = append(v.Bodies, body)
		}
	}
	if c := a.Confined; c != nil {
		v.winter(c, u)
	}
	if p.State.plan != nil {
		v.Limits, v.Pens = p.State.plan.Binding, penRuns(p.State.plan)
	}
	v.contents()
	return v
}

func (v *placeView) winter(c *advise.Confinement, u measure.Units) {
	v.WinterWords = c.Summary
	for _, w := range c.Winters {
		v.Winters = append(v.Winters, winterView{w.Name, w.Holds, report.ConfinedTable(w, u)})
	}
}

// contents lists the sections there are.
func (v *placeView) contents() {
	add := func(there bool, id, name string) {
		if there {
			v.Contents = append(v.Contents, contentsLine{id, say(name)})
		}
	}
	add(true, "weather", "place.to.weather")
	add(true, "light", "place.to.light")
	add(true, "air", "place.to.air")
	add(true, "standards", "place.to.standards")
	add(len(v.OwnCombs.Rows)+len(v.OtherCombs.Rows) > 0, "combs", "place.to.combs")
	add(len(v.Bodies) > 0, "bodies", "place.to.bodies")
	add(true, "winter", "place.to.winter")
	add(true, "facts", "place.facts")
	add(true, "houses", "place.houses")
	add(true, "pens", "place.who")
	add(true, "months", "place.months")
	add(true, "sources", "place.to.sources")
}

// placeFigures are the large numbers.
func placeFigures(a *report.PlaceAnswer) []figure {
	w, l, u := &a.Weather, &a.Light, a.Units
	return []figure{
		{report.Number(w.FrostNights, 0), say("figure.frost"), say("figure.frost.words", report.Quantity(u, measure.TempC, w.ExtremeC, 0))},
		{report.Number(w.HotDays, 0), say("figure.hot"), say("figure.hot.words", report.Quantity(u, measure.TempC, 32, 0))},
		{report.Number(l.ShortestH, 1), say("figure.hours"), say("figure.short.words")},
		{report.Number(l.LongestH, 1), say("figure.hours"), say("figure.long.words")},
	}
}

func flockWords(a *report.PlaceAnswer) string {
	if a.Flock.Count == 0 {
		return say("place.flock.none")
	}
	code := "place.flock.hand"
	if a.Flock.From != "hand" {
		code = "place.flock.floor"
	}
	return say(code, report.Number(a.Flock.Count, 0), report.Quantity(a.Units, measure.MassKg, a.Flock.Kg, 1))
}

func airOf(a *report.PlaceAnswer, i int, u measure.Units) houseAir {
	p := &a.Houses[i]
	air := houseAir{ID: "air-" + report.Number(float64(i+1), 0), Name: p.Name, Words: p.Words(u), Birds: p.Birds > 0, OpenSided: p.OpenSided}
	if !air.Birds {
		return air
	}
	air.Shut, air.Heat, air.Warnings, air.Notes = p.ShutWords(u), p.HeatWords(u), p.Warnings(u), p.VentNotes(u)
	air.Drawings = a.HouseDrawings(i)
	air.VentTable, air.HeatTable = p.VentTable(u), p.HeatTable(u)
	for _, bed := range p.Beds {
		air.Beds = append(air.Beds, bed.Words(u)+" "+bed.Advice(u))
	}
	air.Opened = openAll(a.Opened("air", p.Name))
	return air
}

func openAll(list []report.PlaceWorking) []opened {
	var out []opened
	for _, w := range list {
		out = append(out, openFigure(w))
	}
	return out
}

// openFigure makes a working ready to be read.
func openFigure(w report.PlaceWorking) opened {
	o := opened{Name: w.Name, Shown: w.Shown, Formula: w.Formula, Range: strings.TrimSuffix(w.Range, "."), Kind: say("source." + string(w.Confidence)), Keys: w.Keys}
	for _, in := range w.Inputs {
		o.Inputs = append(o.Inputs, openedInput{in.Name, report.WorkingInputWords(in), in.Key})
	}
	return o
}

func houseRows(p page) []houseRow {
	var rows []houseRow
	for _, house := range p.Holding.Means.Houses {
		kind := say("place.house.closed")
		if house.OpenSided {
			kind = say("place.house.open")
		}
		if house.Insulated {
			kind = say("place.house.insulated")
		}
		rows = append(rows, houseRow{house.Name, report.Quantity(p.Units(), measure.AreaM2, house.AreaM2, 0), report.Number(float64(house.Pens), 0), kind})
	}
	return rows
}

func monthRows(p page) []monthRow {
	h, u, c := p.Holding, p.Units(), p.Holding.Place.Climate
	humidity := c.Humidity()
	var rows []monthRow
	for m := range 12 {
		rows = append(rows, monthRow{Name: time.Month(m + 1).String(), High: report.Quantity(u, measure.TempC, c.MaxC[m], 0), Low: report.Quantity(u, measure.TempC, c.MinC[m], 0),
			Humidity: report.Number(humidity[m], 0) + "\u00a0%", Rain: report.Quantity(u, measure.RainMM, c.RainMM[m], rainDecimals(u)), Eggs: report.Number(h.Needs.EggsPerWeek(m+1), 0), Pasture: h.Place.PastureMonths[m]})
	}
	return rows
}

func rainDecimals(u measure.Units) int {
	if u == measure.US {
		return 1
	}
	return 0
}
