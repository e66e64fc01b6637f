package report

import (
	"fmt"
	"io"
	"slices"
	"time"

	"henyear/measure"
)

// PlaceText writes all that is told of a place as plain text for a terminal of the
// given width in columns, in the order of the page: weather, light, the air of each
// house, what standards ask, combs in frost, what the year does to the household's
// birds, and a winter indoors. It returns the error of the writer.
func PlaceText(w io.Writer, a *PlaceAnswer, width int) error {
	s := newSheet(width)
	s.heading(say("placetext.title", a.Weather.Name))
	s.paragraph("", "", a.WeatherWords())
	s.table(a.MonthTable())
	s.heading(say("placetext.light"))
	for _, words := range append([]string{a.Light.lampWords(a.Currency)}, a.LightWords()...) {
		s.paragraph("", "", words)
	}
	s.paragraph("", "", say("placetext.rules"))
	s.paragraph("", "", say("placetext.safe"))
	s.table(columns(a.LampTable(), 0, 1, 2, 3, 4, 6))
	s.line("")
	s.table(a.ProgrammeTable())
	for i := range a.Houses {
		s.placeHouse(&a.Houses[i], a.Units)
	}
	s.placeNeeds(a)
	s.placeCombs(a)
	for _, b := range a.Bodies {
		if facts := a.BodyFacts(b); len(facts) > 0 {
			s.line("")
			s.paragraph("", "", a.BodyName(b)+":")
			for _, f := range facts {
				s.paragraph("- ", "  ", f.Name+": "+f.Value)
			}
		}
	}
	s.placeWinter(a)
	s.heading(say("placetext.sources"))
	for _, e := range a.Sources {
		s.paragraph("", "    ", fmt.Sprintf("%s (%s): %s", e.Key, e.Kind, e.Text))
	}
	return s.to(w)
}

func (s *sheet) placeHouse(p *PlaceHouse, u measure.Units) {
	s.heading(say("placetext.air", p.Name))
	s.paragraph("", "", p.Words(u))
	if p.Birds <= 0 {
		s.paragraph("", "", say("placetext.nobirds"))
		return
	}
	for _, warning := range p.Warnings(u) {
		s.paragraph("! ", "  ", warning)
	}
	s.paragraph("", "", p.dayWords(p.Cold, "cold", u))
	s.paragraph("", "", p.dayWords(p.Hot, "hot", u))
	if words := p.ShutWords(u); words != "" {
		s.paragraph("", "", words)
	}
	s.line("")
	s.table(p.VentTable(u))
	s.line("")
	for _, note := range p.VentNotes(u) {
		s.paragraph("- ", "  ", note.When+": "+note.Words)
	}
	for _, bed := range p.Beds {
		s.paragraph("", "", bed.Words(u)+" "+bed.Advice(u))
	}
	s.paragraph("", "", p.HeatWords(u))
}

func (s *sheet) placeNeeds(a *PlaceAnswer) {
	if len(a.Needs) == 0 {
		return
	}
	s.heading(say("need.caption", whole(a.Flock.Count)))
	s.paragraph("", "", say("placetext.law"))
	for _, item := range a.NeedList() {
		words := say("placetext.need", item.Name, item.Have, item.Words)
		if item.State == "unknown" {
			words = say("placetext.untold", item.Name, item.Words)
		}
		s.paragraph("- ", "  ", words)
	}
}

func (s *sheet) placeCombs(a *PlaceAnswer) {
	if len(a.Combs) == 0 {
		return
	}
	s.heading(say("combs.title"))
	s.paragraph("", "", a.CombWords())
	for _, here := range []bool{true, false} {
		if t := a.CombTable(here); len(t.Rows) > 0 {
			s.line("")
			s.table(columns(t, 0, 1, 2, 3, 4))
		}
	}
	s.line("")
	for _, words := range a.CombAdvice() {
		s.paragraph("- ", "  ", words)
	}
}

func (s *sheet) placeWinter(a *PlaceAnswer) {
	if len(a.Winter) == 0 && a.Confined == nil {
		return
	}
	s.heading(say("winter.title"))
	if d := a.WinterDrawing(); !d.Empty() {
		s.paragraph("", "", d.Desc)
	}
	if a.Confined == nil {
		s.paragraph("", "", say("placetext.noplan"))
		return
	}
	for _, t := range a.Confined.Summary {
		s.paragraph("", "", withSource(t))
	}
}

// WeatherWords sums the year's weather up.
func (a *PlaceAnswer) WeatherWords() string {
	w, u := &a.Weather, a.Units
	known := say("year.extreme.guess", temp(u, w.ExtremeC))
	if w.ExtremeTold {
		known = say("year.extreme.told", temp(u, w.ExtremeC))
	}
	spread := say("year.spread.rule")
	if w.Spread == "record" {
		spread = say("year.spread.record")
	}
	return say("year.words", whole(w.FrostNights), whole(w.HotDays), temp(u, 32), known, w.Zone, w.Class, w.FrostFree.Words(), w.GrassGrows.Words(), spread)
}

// MonthTable is the weather month by month.
func (a *PlaceAnswer) MonthTable() Table {
	u := a.Units
	t := Table{Caption: say("year.months"), Head: []Column{{say("place.month"), true}, {say("year.high"), false}, {say("year.low"), false}, {say("year.humidity"), false}, {say("year.rain"), false}, {say("year.frost"), false}}}
	decimals := 0
	if u == measure.US {
		decimals = 1
	}
	for _, m := range a.Weather.Months {
		t.Rows = append(t.Rows, []string{time.Month(m.Month).String(), temp(u, m.HighC), temp(u, m.LowC), whole(m.HumidityPct) + "\u00a0%", Quantity(u, measure.RainMM, m.RainMM, decimals), whole(ofMonth(m.Month, func(slot int) float64 { return a.year[slot].FrostNights / 7 }))})
	}
	return t
}

// Drawings are all pictures of the place, in the order of the page.
func (a *PlaceAnswer) Drawings() []Drawing {
	list := []Drawing{Temperature(a.year, a.Weather.ExtremeC, a.Units), Daylight(a.year), a.Lamps()}
	for i := range a.Houses {
		list = append(list, a.HouseDrawings(i)...)
	}
	list = append(list, a.CombDrawing(), a.WinterDrawing())
	return slices.DeleteFunc(list, Drawing.Empty)
}

// Sky is the pictures of warmth and of light.
func (a *PlaceAnswer) Sky() (temperature, daylight Drawing) {
	return Temperature(a.year, a.Weather.ExtremeC, a.Units), Daylight(a.year)
}

// HouseDrawings are the pictures of one house: its coldest day, its vents and its
// hottest day. A house without birds, or with an open side, has fewer or none.
func (a *PlaceAnswer) HouseDrawings(i int) []Drawing {
	p := &a.Houses[i]
	tail := ""
	if i > 0 {
		tail = fmt.Sprintf("-%d", i+1)
	}
	return []Drawing{p.DayDrawing("cold-day"+tail, false, a.Units), p.VentDrawing("vents"+tail, a.Units), p.DayDrawing("hot-day"+tail, true, a.Units)}
}
