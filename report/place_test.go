package report

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"henyear/bird"
	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
)

// example reads a holding of the examples and lets the test change it.
func example(t testing.TB, name string, change func(*holding.Holding)) *holding.Holding {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "examples", name+".toml"))
	if err != nil {
		t.Fatal(err)
	}
	h, _, err := holding.Read(b, name)
	if err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(h)
	}
	return h
}

// hardPlaces are holdings at the edges of what can be told.
func hardPlaces(t testing.TB) map[string]*PlaceAnswer {
	t.Helper()
	hardOnce.Do(func() { hard = makeHardPlaces(t) })
	return hard
}

var (
	hardOnce sync.Once
	hard     map[string]*PlaceAnswer
)

func makeHardPlaces(t testing.TB) map[string]*PlaceAnswer {
	latitude := func(deg float64, high, low [12]float64) func(*holding.Holding) {
		return func(h *holding.Holding) {
			c := &h.Place.Climate
			c.LatitudeDeg, c.MaxC, c.MinC, c.ExtremeMinC, c.ClassKoppen = deg, high, low, 0, ""
		}
	}
	polar := [12]float64{-12, -13, -12, -8, -1, 4, 7, 6, 2, -4, -8, -10}
	var polarLow, hot, hotLow [12]float64
	for m := range 12 {
		polarLow[m], hot[m], hotLow[m] = polar[m]-7, 31, 23
	}
	return map[string]*PlaceAnswer{
		"forest": PlaceOf(example(t, "forest", nil), nil), "valley": PlaceOf(example(t, "valley", nil), nil),
		"plain": PlaceOf(example(t, "plain", nil), nil), "us": PlaceOf(example(t, "us-units", nil), nil),
		"78 N":     PlaceOf(example(t, "forest", latitude(78, polar, polarLow)), nil),
		"equator":  PlaceOf(example(t, "valley", latitude(0, hot, hotLow)), nil),
		"no house": PlaceOf(example(t, "valley", func(h *holding.Holding) { h.Means.Houses = nil }), nil),
		"no birds": PlaceOf(example(t, "valley", func(h *holding.Holding) { h.Birds = nil }), nil),
		"no price": PlaceOf(example(t, "valley", func(h *holding.Holding) { h.Prices.PowerPerKWh = 0; h.Stock = nil; h.Birds = nil }), nil),
		"two houses": PlaceOf(example(t, "valley", func(h *holding.Holding) {
			h.Means.Houses = append(h.Means.Houses, holding.House{Name: "shed", AreaM2: 3, Pens: 1, OpenSided: true}, holding.House{Name: "third", AreaM2: 2, Pens: 1, Insulated: true})
		}), nil),
	}
}

func TestEveryPlaceIsToldInWordsTablesAndFile(t *testing.T) {
	for name, a := range hardPlaces(t) {
		var b bytes.Buffer
		if err := PlaceText(&b, a, 80); err != nil {
			t.Fatal(err)
		}
		for _, bad := range []string{"[", "%!", "NaN", "Inf", "%%"} {
			if i := strings.Index(b.String(), bad); i >= 0 {
				t.Errorf("%s: the text holds %q: …%s", name, bad, b.String()[max(0, i-60):min(b.Len(), i+60)])
			}
		}
		file, err := json.Marshal(a)
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if bytes.Contains(file, []byte(`null`)) && name == "forest" {
			t.Errorf("%s: the file holds null: %s", name, file[:200])
		}
		tables := []Table{a.MonthTable(), a.LampTable(), a.ProgrammeTable(), a.BatchTable(), a.NeedTable(), a.CombTable(true), a.CombTable(false)}
		for i := range a.Houses {
			if p := &a.Houses[i]; p.Birds > 0 {
				tables = append(tables, p.HeatTable(a.Units), p.VentTable(a.Units))
			}
		}
		for _, table := range tables {
			said := table.Caption
			for _, c := range table.Head {
				said += "\n" + c.Name
			}
			for _, row := range table.Rows {
				said += "\n" + strings.Join(row, " ")
			}
			if strings.Contains(said, "%!") || strings.Contains(said, "[") || strings.Contains(said, "%%") {
				t.Errorf("%s: a table says %q", name, said)
			}
		}
		for _, d := range a.Drawings() {
			if d.Title == "" || len(d.Desc) < 40 || !strings.HasSuffix(d.Desc, ".") || strings.Contains(d.Desc+d.Title, "[") {
				t.Errorf("%s, %s: title %q, description %q", name, d.Name, d.Title, d.Desc)
			}
			for _, w := range []Width{Wide, Narrow} {
				decoder := xml.NewDecoder(bytes.NewReader(d.SVG(w)))
				for {
					_, err := decoder.Token()
					if errors.Is(err, io.EOF) {
						break
					}
					if err != nil {
						t.Fatalf("%s, %s: %v", name, d.Name, err)
					}
				}
				if strings.Contains(string(d.SVG(w)), "NaN") || strings.Contains(string(d.SVG(w)), "Inf") {
					t.Errorf("%s, %s: not a number", name, d.Name)
				}
			}
			for _, row := range d.Table.Rows {
				if len(row) != len(d.Table.Head) {
					t.Fatalf("%s, %s: %d cells under %d heads", name, d.Name, len(row), len(d.Table.Head))
				}
			}
		}
	}
}

func TestLampsKeepTheClockOfThePlaceAndBothHemispheres(t *testing.T) {
	places := hardPlaces(t)
	north, south := places["forest"].Light, places["plain"].Light
	if north.Months[5].LampH > 0 || north.Months[11].LampH < 8 {
		t.Errorf("60 N: %.1f h of lamp in June, %.1f in December", north.Months[5].LampH, north.Months[11].LampH)
	}
	if south.Months[11].LampH > 0.6 || south.Months[5].LampH < 3 {
		t.Errorf("31 S: %.1f h of lamp in December, %.1f in June", south.Months[11].LampH, south.Months[5].LampH)
	}
	for name, a := range places {
		sum := 0.0
		for _, m := range a.Light.Months {
			sum += m.KWh
			if d := math.Mod(m.Off-m.On+48, 24) - m.LampH; math.Abs(d) > 1e-6 && m.LampH > 0 {
				t.Errorf("%s, month %d: on %.2f, off %.2f, %.2f h of lamp", name, m.Month, m.On, m.Off, m.LampH)
			}
		}
		if year := a.Light.lamps.KWh; math.Abs(sum-year) > 0.02*year+0.01 {
			t.Errorf("%s: months come to %.2f kWh, the year to %.2f", name, sum, year)
		}
	}
	// Helsinki Observatory's neighbours: at 60 N, 29 E the sun rises about 9 and sets about
	// 15 by the clock of Helsinki in mid-December (the reckoning of climate, held to
	// almanacs there, with the clock's lead of two hours).
	if d := north.Months[11]; math.Abs(d.Sunrise-9.0) > 0.25 || math.Abs(d.Sunset-14.95) > 0.25 {
		t.Errorf("December: the sun rises at %s and sets at %s", Clock(d.Sunrise), Clock(d.Sunset))
	}
	polar := places["78 N"].Light
	if polar.PolarNightWk < 12 || polar.PolarDayWk < 14 || !polar.Months[0].NoRise || !polar.Months[5].NoSunset {
		t.Errorf("78 N: %d weeks without sunrise, %d without sunset", polar.PolarNightWk, polar.PolarDayWk)
	}
	if even := places["equator"].Light; even.LongestH-even.ShortestH > 0.3 {
		t.Errorf("the equator has days of %.1f and %.1f h", even.ShortestH, even.LongestH)
	}
}

func TestNoPulletGetsALampBefore20Weeks(t *testing.T) {
	for name, a := range hardPlaces(t) {
		for _, b := range a.Light.Batches {
			if b.AgeWeeks >= 0 && b.AgeWeeks < 20 {
				t.Errorf("%s: hatched in month %d, lamp at %d weeks", name, b.HatchMonth, b.AgeWeeks)
			}
		}
	}
}

// The vents of the page are those of the room about housing, and the words never
// ask to shut them or to hang a heat lamp.
func TestVentsAreNeverShutAndNoHeatLampIsAdvised(t *testing.T) {
	for name, a := range hardPlaces(t) {
		for i := range a.Houses {
			p := &a.Houses[i]
			for k, v := range p.Vents {
				want := housing.VentStepAt(p.coop, p.birds, v.OutC, housing.VentWeather{})
				if v.OpenM2 != want.OpenM2 || v.Share > 1+1e-9 || v.OpenM2 > p.VentM2+1e-9 {
					t.Errorf("%s, %s: step %d: %v, want %v", name, p.Name, k, v, want.OpenM2)
				}
			}
		}
		var b bytes.Buffer
		PlaceText(&b, a, 80)
		text := strings.ToLower(strings.Join(strings.Fields(b.String()), " "))
		for _, lamp := range []string{"heat lamp", "close all vents"} {
			for at := strings.Index(text, lamp); at >= 0; {
				if before := text[max(0, at-60):at]; !strings.Contains(before, "never") && !strings.Contains(before, "not a") {
					t.Errorf("%s: %q", name, text[max(0, at-60):min(len(text), at+30)])
				}
				next := strings.Index(text[at+1:], lamp)
				if next < 0 {
					break
				}
				at += 1 + next
			}
		}
	}
}

func TestWhatIsNotToldIsNotJudged(t *testing.T) {
	a := PlaceOf(example(t, "valley", func(h *holding.Holding) {
		h.Means.Houses = []holding.House{{Name: "house", AreaM2: 6, Pens: 1}}
	}), nil)
	known := map[string]bool{"floor": true, "run": true, "flock": true}
	for _, n := range a.Needs {
		if known[n.Item] == (n.State == "unknown") {
			t.Errorf("%s of %s: %s", n.Item, n.Standard, n.State)
		}
	}
	for _, item := range a.NeedList() {
		for _, ask := range item.Asks {
			if !strings.ContainsAny(ask.State, "✓✗?") {
				t.Errorf("%s: state %q is told by colour alone", item.Name, ask.State)
			}
		}
	}
}

func TestEveryPieceOfAdviceHasWordsInTheReadersUnits(t *testing.T) {
	seen := map[string]bool{}
	birds := []housing.Occupant{{Kg: 2.5, EggKgDay: 0.02, Count: 12}}
	for _, coop := range []housing.Coop{{FloorM2: 4}, {FloorM2: 2}, {FloorM2: 5, Insulated: true}, {FloorM2: 8, OpenSided: true}, {FloorM2: 30, Insulated: true}} {
		for out := -45.0; out <= 45; out += 2.5 {
			s := housing.VentStepAt(coop, birds, out, housing.VentWeather{})
			for _, a := range s.Advice {
				seen[a.Code] = true
				if _, ok := english["place."+a.Code]; !ok {
					t.Errorf("no words for %s", a.Code)
				}
				for _, u := range []measure.Units{measure.Metric, measure.US} {
					words := AdviceWords(u, a)
					if strings.Contains(words, "%!") || u == measure.US && strings.Contains(words, "cm²") || u == measure.Metric && strings.Contains(words, "sq") {
						t.Errorf("%s in %s: %s", a.Code, u, words)
					}
				}
			}
		}
	}
	for _, rise := range []float64{1, 7, 9} {
		for _, air := range []float64{-3, 10} {
			seen[housing.AmmoniaOf(housing.Inside{TempC: air, RiseGKg: rise}, 20).Advice.Code] = true
		}
	}
	for code := range english {
		if name, ok := strings.CutPrefix(code, "place."); ok && (strings.HasPrefix(name, "vents-") || strings.HasPrefix(name, "ammonia-")) && !seen[name] && !slices.Contains([]string{"vents-leaks-do", "vents-stale", "vents-roof-drip"}, name) {
			t.Errorf("%s was never advised", name)
		}
	}
}

func TestAFigureWithoutARangeHasNone(t *testing.T) {
	if got := RangeWords(bird.Just(3), 0); got != "3" {
		t.Errorf("%q", got)
	}
	if got := RangeWords(bird.Range{Low: 1, Best: 4, High: 11}, 0); got != "4 (1 to 11)" {
		t.Errorf("%q", got)
	}
}

func TestSmallFiguresKeepThreeDigits(t *testing.T) {
	for x, want := range map[float64]string{0.0014123: "0.00141", 8: "8", 12.345: "12.3", 1234.5: "1\u202f230", 0: "0", -0.5: "−0.5", 100: "100"} {
		if got := threeDigits(x); got != want {
			t.Errorf("%v: %q, want %q", x, got, want)
		}
	}
}

// Every text of the place that the program puts together is for a code that exists.
func TestWordsOfThePlaceAreForCodesThatExist(t *testing.T) {
	a := PlaceOf(example(t, "valley", nil), nil)
	codes := map[string]bool{}
	for _, w := range a.Workings {
		codes["place.open."+w.Code] = true
		if strings.Contains(w.Name, "[") {
			t.Errorf("no name for the figure %s", w.Code)
		}
	}
	for code := range english {
		if strings.HasPrefix(code, "place.open.") && !codes[code] && !strings.Contains(code, "open.day-") {
			t.Errorf("nobody says %s", code)
		}
	}
}

func TestGoldenDrawingsOfThePlace(t *testing.T) {
	a := PlaceOf(example(t, "forest", nil), nil)
	for _, d := range a.Drawings() {
		if d.Name == "temperature" || d.Name == "daylight" {
			continue // stand among the drawings of every plan
		}
		for w, ending := range map[Width]string{Wide: "-wide.svg", Narrow: "-narrow.svg"} {
			name := filepath.Join("testdata", "drawings", "place-"+d.Name+ending)
			if *update {
				os.WriteFile(name, d.SVG(w), 0o644)
				continue
			}
			want, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(want, d.SVG(w)) {
				t.Errorf("%s has changed; look at it, then run with -update", name)
			}
		}
	}
}

// Every field of the file is written down.
func TestTheFileOfThePlaceIsDocumented(t *testing.T) {
	doc, err := os.ReadFile("../docs/json.md")
	if err != nil {
		t.Fatal(err)
	}
	_, text, _ := strings.Cut(string(doc), "## PlaceAnswer")
	var missing func(typ reflect.Type, seen map[reflect.Type]bool)
	missing = func(typ reflect.Type, seen map[reflect.Type]bool) {
		for typ.Kind() == reflect.Pointer || typ.Kind() == reflect.Slice || typ.Kind() == reflect.Array {
			typ = typ.Elem()
		}
		if typ.Kind() != reflect.Struct || seen[typ] || strings.HasSuffix(typ.PkgPath(), "advise") {
			return
		}
		seen[typ] = true
		for i := range typ.NumField() {
			f := typ.Field(i)
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			if !f.IsExported() || name == "-" {
				continue
			}
			if !f.Anonymous && !strings.Contains(text, "`"+name+"`") && !strings.Contains(text, `"`+name+`"`) {
				t.Errorf("%s of %s is not in docs/json.md", name, typ.Name())
			}
			missing(f.Type, seen)
		}
	}
	missing(reflect.TypeFor[PlaceAnswer](), map[reflect.Type]bool{reflect.TypeFor[measure.Currency](): true})
}
