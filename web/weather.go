package web

import (
	"bytes"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"

	"henyear/climate"
	"henyear/climate/weather"
	"henyear/holding"
	"henyear/measure"
	"henyear/report"
)

// Bounds of what is sent. A weather file is read as it arrives and never kept; what
// follows it beyond the bound is let run out, so that the browser gets its answer.
const (
	maxWeather      = 64 << 20
	maxWeatherFiles = 100
	maxWeatherField = 4 << 10
	weatherRunsOut  = 256 << 20
)

// weatherFields are the boxes beside the files, in the order of the page. They
// stand before the files, since a file is read as it arrives.
var weatherFields = []string{"name", "latitude", "longitude", "altitude", "units", "station"}

// weatherView is the page on which a record comes in, and on which it is told.
type weatherView struct {
	Fields map[string]string
	Units  []choice
	Height string // unit of the box of the altitude
	Now    string // where the place stands that is planned for
	Fault  string

	Answer    *report.WeatherAnswer
	Title     string
	Words     []string
	Notes     []string
	Sentences []string
	Tables    []weatherTable // in the order of the page
	Folded    []weatherTable
	Drawings  []report.Drawing
	Lacks     string // why no plan can be made with the figures

	Use   *weatherUse
	Done  bool
	Stood string // name of the place that stood before
}

// weatherTable is a table under its heading, with words above it.
type weatherTable struct {
	Code, Words string
	Table       report.Table
}

// weatherUse is what goes with the button: the figures as a part of a holding file,
// and those that stood before.
type weatherUse struct {
	Part, Former string
	Notes        []string
	Changes      report.Table
}

func (s *Server) weatherRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /place/weather", s.showWeather)
	mux.HandleFunc("POST /place/weather", s.takeWeather)
	mux.HandleFunc("POST /place/weather/use", s.useWeather)
}

func (s *Server) showWeather(w http.ResponseWriter, r *http.Request) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	s.weatherPage(w, r, http.StatusOK, p, weatherView{})
}

func (s *Server) weatherPage(w http.ResponseWriter, r *http.Request, status int, p page, v weatherView) {
	if v.Fields == nil {
		v.Fields = map[string]string{}
	}
	for _, u := range []weather.Units{weather.AsFound, weather.Metric, weather.US, weather.Tenths} {
		v.Units = append(v.Units, choice{string(u), say(weatherUnitCodes[u]), v.Fields["units"] == string(u)})
	}
	v.Height = report.Unit(p.Units(), measure.LengthM)
	v.Now = whereWords(p.Holding, p.Units())
	if v.Title == "" {
		v.Title = say("weather.title")
	}
	p.Title, p.Body, p.Styles = v.Title, v, append(p.Styles, "weather.css")
	s.show(w, r, status, "weather", p)
}

var weatherUnitCodes = map[weather.Units]string{weather.AsFound: "weather.units.found", weather.Metric: "weather.units.metric", weather.US: "weather.units.us", weather.Tenths: "weather.units.tenths"}

// takeWeather reads the files and tells what they say. Nothing is kept.
func (s *Server) takeWeather(w http.ResponseWriter, r *http.Request) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	body := r.Body
	up := &upload{body: body, left: maxWeather + maxForm, fields: map[string]string{}, today: s.date()}
	record, err := up.record(r, p.Units())
	if err != nil {
		io.CopyN(io.Discard, body, weatherRunsOut)
		status := http.StatusUnprocessableEntity
		var refusal *weather.Refusal
		if up.left < 0 || errors.As(err, &refusal) && refusal.Code == "too-large" {
			status, err = http.StatusRequestEntityTooLarge, errors.New(say("weather.large", strconv.Itoa(maxWeather>>20)))
		}
		s.weatherPage(w, r, status, p, weatherView{Fields: up.fields, Fault: capitalised(report.PlainWords(err.Error()))})
		return
	}
	v := weatherView{Fields: up.fields}
	v.tell(report.Weather(record, up.names, p.Units()), p.Holding)
	s.weatherPage(w, r, http.StatusOK, p, v)
}

// An upload reads the boxes and files of one request as they come.
type upload struct {
	body    io.Reader
	left    int64 // bytes that may still come
	today   measure.Date
	fields  map[string]string
	names   []string
	records []*weather.Record
}

var errUploadLarge = errors.New("too large")

func (u *upload) Read(b []byte) (int, error) {
	n, err := u.body.Read(b)
	if u.left -= int64(n); u.left < 0 {
		return 0, errUploadLarge
	}
	return n, err
}

// record reads everything and joins it. The error is a sentence; nothing is
// half-read.
func (u *upload) record(r *http.Request, units measure.Units) (*weather.Record, error) {
	r.Body = io.NopCloser(u)
	parts, err := r.MultipartReader()
	if err != nil {
		return nil, errors.New(say("error.form"))
	}
	for {
		part, err := parts.NextPart()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, errors.New(say("weather.broken"))
		}
		if err := u.part(part); err != nil {
			return nil, err
		}
	}
	if len(u.records) == 0 {
		return nil, errors.New(say("weather.none"))
	}
	given, err := u.given(units)
	if err != nil {
		return nil, err
	}
	return weather.Whole(u.records, given)
}

func (u *upload) part(part *multipart.Part) error {
	if part.FileName() == "" {
		text, err := io.ReadAll(io.LimitReader(part, maxWeatherField+1))
		switch {
		case err != nil:
			return errors.New(say("weather.broken"))
		case part.FormName() == "files" || !slices.Contains(weatherFields, part.FormName()):
			return nil // no file was chosen
		case len(text) > maxWeatherField:
			return errors.New(say("weather.long"))
		case len(u.records) > 0:
			return errors.New(say("weather.order"))
		}
		u.fields[part.FormName()] = strings.TrimSpace(string(text))
		return nil
	}
	if len(u.records) == maxWeatherFiles {
		return errors.New(say("weather.many", strconv.Itoa(maxWeatherFiles)))
	}
	name := baseName(part.FileName())
	record, err := weather.Read(part, weather.Options{Name: name, Today: u.today, Units: weather.Units(u.fields["units"]), Station: u.fields["station"], MaxBytes: maxWeather})
	if err != nil {
		return err
	}
	u.names, u.records = append(u.names, name), append(u.records, record)
	return nil
}

// baseName is the last part of a file's name, short enough for a sentence.
func baseName(name string) string {
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	if letters := []rune(strings.ToValidUTF8(name, "?")); len(letters) > 80 {
		return string(letters[:80]) + "…"
	}
	return name
}

// given reads the boxes that describe the station.
func (u *upload) given(units measure.Units) (g weather.Given, err error) {
	g.Name = u.fields["name"]
	if len([]rune(g.Name)) > holding.MaxText {
		return g, errors.New(say("weather.name.long", strconv.Itoa(holding.MaxText)))
	}
	read := func(name, plus, minus string) *float64 {
		if u.fields[name] == "" || err != nil {
			return nil
		}
		var v float64
		if v, err = weather.Degrees(u.fields[name], plus, minus); err != nil {
			return nil
		}
		return &v
	}
	g.LatitudeDeg, g.LongitudeDeg = read("latitude", "N", "S"), read("longitude", "E", "W")
	if text := u.fields["altitude"]; text != "" && err == nil {
		v, wrong := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
		if wrong != nil {
			return g, errors.New(say("weather.altitude.wrong"))
		}
		v = units.ToMetric(measure.LengthM, v)
		g.AltitudeM = &v
	}
	return g, err
}

// tell fills the page with what a record says.
func (v *weatherView) tell(a *report.WeatherAnswer, h *holding.Holding) {
	now := h.Place.Climate
	v.Answer, v.Title, v.Words = a, say("weather.of", a.Title()), a.FileWords()
	v.Notes = noteWords(a.Summary.Notes)
	v.Sentences = noteWords(a.Summary.Sentences(a.Units))
	v.Drawings = []report.Drawing{a.WeatherRange(now), a.WeatherNights(now)}
	v.Tables = []weatherTable{{"weather.table.months", "", a.WeatherMonths()}, {"weather.table.levels", "", a.WeatherLevels()}, {"weather.table.facts", "", a.WeatherFacts()}}
	v.Folded = []weatherTable{{"weather.table.years", "", a.WeatherYears()}, {"weather.table.spread", a.SpreadWords(), a.WeatherSpread()}}
	for _, c := range a.Nearest {
		v.Folded = append(v.Folded, weatherTable{"weather.table.compare", a.CompareWords(c), a.WeatherCompare(c)})
	}
	lacks := func(t weatherTable) bool { return len(t.Table.Rows) == 0 }
	v.Tables, v.Folded = slices.DeleteFunc(v.Tables, lacks), slices.DeleteFunc(v.Folded, lacks)
	changed, notes, err := a.PlanWith(h)
	if err == nil {
		_, err = holding.ReadClimate(holding.WriteClimate(changed.Place.Climate, h.Units))
	}
	if err != nil {
		v.Lacks = faultSentence(err)
		return
	}
	v.Use = &weatherUse{Part: partOf(changed.Place.Climate, h.Units), Former: partOf(now, h.Units), Notes: noteWords(notes),
		Changes: weatherChanges(changed.Place.Climate, now, a.Units)}
}

func noteWords(list []weather.Note) []string {
	var words []string
	for _, n := range list {
		words = append(words, report.NoteWords(n))
	}
	return words
}

func partOf(p climate.Place, u measure.Units) string { return string(holding.WriteClimate(p, u)) }

// weatherChanges are the figures that a plan feels most, as they would be and as
// they are.
func weatherChanges(then, now climate.Place, u measure.Units) report.Table {
	t := report.Table{Caption: say("weather.changes.caption"), Head: []report.Column{{Name: say("weather.changes.what"), Word: true}, {Name: say("weather.changes.then")}, {Name: say("weather.changes.now")}}}
	a, b := yearOf(then), yearOf(now)
	add := func(label string, write func(weatherYear) string) {
		t.Rows = append(t.Rows, []string{label, write(a), write(b)})
	}
	temp := func(c float64, decimals int) string { return report.Quantity(u, measure.TempC, c, decimals) }
	add(say("weather.changes.mean"), func(y weatherYear) string { return temp(y.meanC, 1) })
	add(say("weather.changes.coldest"), func(y weatherYear) string { return temp(y.coldestC, 0) })
	add(say("weather.changes.frost"), func(y weatherYear) string { return report.Number(y.frost, 0) })
	add(say("weather.changes.hot", temp(32, 0)), func(y weatherYear) string { return report.Number(y.hot, 0) })
	add(say("weather.changes.humidity"), func(y weatherYear) string { return report.Number(y.humidity, 0) + "\u00a0%" })
	add(say("weather.changes.rain"), func(y weatherYear) string { return report.Quantity(u, measure.RainMM, y.rainMM, rainDecimals(u)) })
	return t
}

// weatherYear is a year in a few figures.
type weatherYear struct{ meanC, coldestC, frost, hot, humidity, rainMM float64 }

func yearOf(p climate.Place) weatherYear {
	y := weatherYear{coldestC: p.ExtremeMin()}
	year := p.Year()
	for _, w := range year {
		y.meanC += w.MeanC / float64(len(year))
		y.humidity += w.HumidityPct / float64(len(year))
		y.frost += w.FrostNights
		y.hot += w.HotDays
		y.rainMM += w.RainMM
	}
	return y
}

// useWeather puts figures that were shown before into the holding, and begins the
// plan again. They come back with the button, as do those that stood before, so
// that one can return to them; both are read with every check.
func (s *Server) useWeather(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return
	}
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	sent := func(name string) string { return strings.ReplaceAll(r.PostForm.Get(name), "\r\n", "\n") }
	part, former := sent("part"), sent("former")
	refuse := func(sentence string) {
		s.weatherPage(w, r, http.StatusUnprocessableEntity, p, weatherView{Fault: sentence})
	}
	then, err := holding.ReadClimate([]byte(part))
	if err != nil {
		refuse(say("weather.refused") + " " + faultSentence(err))
		return
	}
	before, err := holding.ReadClimate([]byte(former))
	if err != nil {
		refuse(say("weather.refused") + " " + faultSentence(err))
		return
	}
	now := partOf(p.Holding.Place.Climate, p.Units())
	done := weatherView{Title: say("weather.done.title"), Done: true, Stood: before.Name, Use: &weatherUse{Part: former, Former: part}}
	switch now {
	case part: // sent twice
		s.weatherPage(w, r, http.StatusOK, p, done)
		return
	case former:
	default:
		s.weatherPage(w, r, http.StatusUnprocessableEntity, p, weatherView{Fault: say("weather.meanwhile", p.Holding.Place.Climate.Name),
			Use: &weatherUse{Part: part, Former: now, Changes: weatherChanges(then, p.Holding.Place.Climate, p.Units())}})
		return
	}
	changed := p.Holding.Clone()
	changed.Place.Climate = then
	if err := holdsTogether(changed); err != nil {
		refuse(say("weather.refused") + " " + faultSentence(err))
		return
	}
	if err := s.Holdings.Save(r.Context(), changed); err != nil {
		refuse(faultSentence(err))
		return
	}
	if h, err := s.Holdings.Current(r.Context()); err == nil && !bytes.Equal(h.Write(), p.Holding.Write()) {
		s.job.begin(h, p.State.plan)
		p.Holding = h
	}
	s.weatherPage(w, r, http.StatusOK, p, done)
}
