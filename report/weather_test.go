package report

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"henyear/climate"
	"henyear/climate/weather"
	"henyear/holding"
	"henyear/measure"
)

// hillStation is a record of made-up weather: a yearly wave, and days that hang
// together. It has humidity only where asked.
func hillStation(years int, humid bool) *weather.Record {
	chance := rand.New(rand.NewPCG(7, 1))
	from := measure.Date{Year: 2025 - years, Month: 1, Day: 1}
	r := &weather.Record{Kind: weather.DailyTable, Name: "hill.csv", Station: "Hill Meadow", At: &weather.Location{LatitudeDeg: 52.1, LongitudeDeg: 5.6, AltitudeM: 60},
		From: from, To: measure.Date{Year: 2024, Month: 12, Day: 31}}
	off := 0.0
	for d := from; !r.To.Before(d); d = d.AddDays(1) {
		off = 0.75*off + 2.6*chance.NormFloat64()
		if d.Year == 2003 && d.Month == 7 {
			continue
		}
		mean := 9.6 - 8*math.Cos(2*math.Pi*float64(d.YearDay()-16)/365.25) + off
		day := weather.Day{Date: d, HighC: mean + 4.5, LowC: mean - 4.5, MeanC: mean, HumidityPct: math.NaN(), RainMM: max(0, 6*chance.NormFloat64()-3), WindMS: math.NaN()}
		if humid {
			day.HumidityPct, day.WindMS = 79, 3.2
		}
		r.Days = append(r.Days, day)
	}
	return r
}

func hillAnswer(u measure.Units) *WeatherAnswer {
	return Weather(hillStation(30, true), []string{"hill.csv"}, u)
}

var presentPlace = climate.Place{Name: "Alder Valley", LatitudeDeg: 52, LongitudeDeg: 5.8, AltitudeM: 120, ExtremeMinC: -8,
	MaxC:        [12]float64{7, 7.5, 10.5, 14, 17.5, 20.5, 22.5, 22.3, 19, 14.8, 10.2, 7.6},
	MinC:        [12]float64{1, 1, 2.6, 4.6, 7.8, 10.6, 12.6, 12.4, 10, 7.3, 4, 1.8},
	HumidityPct: [12]float64{87, 84, 80, 75, 74, 75, 76, 78, 81, 84, 87, 88},
	RainMM:      [12]float64{100, 75, 75, 60, 70, 70, 75, 80, 85, 100, 105, 105}}

func TestARecordFitsATerminalOfEightyColumns(t *testing.T) {
	for _, u := range []measure.Units{measure.Metric, measure.US} {
		var b bytes.Buffer
		if err := WeatherText(&b, hillAnswer(u), 80); err != nil {
			t.Fatal(err)
		}
		narrowEnough(t, b.String(), 80)
		golden(t, filepath.Join("testdata", "weather-"+string(u)+".txt"), b.String())
		if strings.Contains(b.String(), "[weather.") {
			t.Error("a text has a gap")
		}
	}
}

func TestThinRecordsAreToldWithoutGapsInTheText(t *testing.T) {
	short := hillStation(2, false)
	nowhere := hillStation(30, true)
	nowhere.At = nil
	for name, r := range map[string]*weather.Record{"two years": short, "no position": nowhere} {
		a := Weather(r, []string{r.Name}, measure.Metric)
		var b bytes.Buffer
		if err := WeatherText(&b, a, 80); err != nil {
			t.Fatal(err)
		}
		for _, bad := range []string{"[weather", "%!", "NaN"} {
			if strings.Contains(b.String(), bad) {
				t.Errorf("%s: %q in\n%s", name, bad, b.String())
			}
		}
		if _, err := json.Marshal(a); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if (a.Place == nil) != (r.At == nil) {
			t.Errorf("%s: place %v", name, a.Place)
		}
		if a.Place == nil && !strings.Contains(strings.Join(strings.Fields(b.String()), " "), "give latitude, longitude and altitude") {
			t.Errorf("%s", b.String())
		}
	}
}

func TestEveryKindOfFileIsToldWithoutGapsInTheText(t *testing.T) {
	folder := filepath.Join("..", "climate", "weather", "testdata", "samples")
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[weather.Kind]bool{}
	for _, e := range entries {
		if e.Name() == "README.md" {
			continue
		}
		text, err := os.ReadFile(filepath.Join(folder, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		r, err := weather.Read(bytes.NewReader(text), weather.Options{Name: e.Name(), Today: measure.Date{Year: 2026, Month: 11, Day: 28}})
		if err != nil {
			t.Fatal(err)
		}
		kinds[r.Kind] = true
		a := Weather(r, []string{e.Name()}, measure.US)
		var b bytes.Buffer
		if err := WeatherText(&b, a, 80); err != nil {
			t.Fatal(err)
		}
		narrowEnough(t, b.String(), 80)
		for _, bad := range []string{"[weather", "NaN", "!("} {
			if strings.Contains(b.String(), bad) {
				t.Errorf("%s: %q in\n%s", e.Name(), bad, b.String())
			}
		}
		if _, err := json.Marshal(a); err != nil {
			t.Errorf("%s: %v", e.Name(), err)
		}
		a.WeatherRange(presentPlace)
		a.WeatherNights(presentPlace)
	}
	if len(kinds) != len(kindCodes) {
		t.Errorf("%d kinds of file were tried, of %d", len(kinds), len(kindCodes))
	}
}

func TestNoFileCanSteerATerminal(t *testing.T) {
	n := weather.Note{Text: "has several stations: \x1b[2J\u202eA,\nB at -3 C"}
	if got := NoteWords(n); got != "has several stations: ?[2J?A,?B at −3 C" {
		t.Errorf("%q", got)
	}
}

func TestTheDrawingsOfARecordAreTheSameBytesAsBefore(t *testing.T) {
	a := hillAnswer(measure.Metric)
	ids := map[string]bool{}
	for _, d := range []Drawing{a.WeatherRange(presentPlace), a.WeatherNights(presentPlace)} {
		if d.Empty() || !strings.HasSuffix(d.Desc, ".") {
			t.Fatalf("%s: %q", d.Name, d.Desc)
		}
		for w, ending := range map[Width]string{Wide: "-wide.svg", Narrow: "-narrow.svg"} {
			checkSVG(t, d, d.SVG(w), ids)
			name := filepath.Join("testdata", "drawings", d.Name+ending)
			if *update {
				os.WriteFile(name, d.SVG(w), 0o644)
				continue
			}
			if want, err := os.ReadFile(name); err != nil || !bytes.Equal(want, d.SVG(w)) {
				t.Errorf("%s has changed (%v); look at it, then run with -update", name, err)
			}
		}
	}
	thin := Weather(hillStation(2, false), nil, measure.US)
	if d := thin.WeatherNights(presentPlace); !d.Empty() {
		t.Error("two winters were drawn")
	}
}

func TestAPlanTakesTheFiguresOfARecordAndKeepsWhatItLacks(t *testing.T) {
	h := &holding.Holding{Name: "Alder Valley", Units: measure.Metric}
	h.Place.Climate, h.Place.PastureM2 = presentPlace, 600
	a := Weather(hillStation(30, false), []string{"hill.csv"}, measure.Metric)
	changed, notes, err := a.PlanWith(h)
	if err != nil {
		t.Fatal(err)
	}
	p := changed.Place.Climate
	if p.MaxC != a.Climate.MaxC || p.HumidityPct != presentPlace.HumidityPct || changed.Place.PastureM2 != 600 || p.Stray == nil {
		t.Errorf("%+v", p)
	}
	if h.Place.Climate.MaxC != presentPlace.MaxC {
		t.Error("the holding itself was changed")
	}
	told := ""
	for _, n := range notes {
		told += n.Text + "\n"
	}
	if !strings.Contains(told, "humidity; that of Alder Valley") || strings.Contains(told, "estimated from the nights' lows") || !strings.Contains(told, "no wind") {
		t.Errorf("%s", told)
	}

	h.Place.Climate.LongitudeDeg = 40 // too far to lend
	if changed, _, _ = a.PlanWith(h); changed.Place.Climate.HumidityPct != [12]float64{} {
		t.Error("humidity was taken over from a place far off")
	}
}

func TestAPlaceOutOfARecordGoesThroughTheHoldingFile(t *testing.T) {
	for _, u := range []measure.Units{measure.Metric, measure.US} {
		h := &holding.Holding{Units: u}
		h.Place.Climate = presentPlace
		for _, humid := range []bool{true, false} {
			changed, _, err := Weather(hillStation(30, humid), nil, u).PlanWith(h)
			if err != nil {
				t.Fatal(err)
			}
			part := holding.WriteClimate(changed.Place.Climate, u)
			got, err := holding.ReadClimate(part)
			if err != nil {
				t.Fatalf("%v\n%s", err, part)
			}
			if again := holding.WriteClimate(got, u); !bytes.Equal(part, again) {
				t.Errorf("%s\nbecame\n%s", part, again)
			}
			for line := range strings.Lines(string(part)) {
				if len(line) > 110 {
					t.Errorf("a figure has too many digits: %s", line)
				}
			}
		}
	}
}

func TestNamesOutOfAFileCanStandInAHolding(t *testing.T) {
	for got, want := range map[string]string{
		cleanName("USC00099999  EXAMPLE\tFARM\x00"): "USC00099999 EXAMPLE FARM", cleanName("\x01\x02"): "My weather station",
		cleanName(strings.Repeat("ä", 150)): strings.Repeat("ä", 100), cleanName("a\u202eb"): "a b",
	} {
		if got != want {
			t.Errorf("%q, not %q", got, want)
		}
	}
}
