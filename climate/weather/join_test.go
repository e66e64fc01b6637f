package weather

import (
	"fmt"
	"strings"
	"testing"

	"henyear/measure"
	"henyear/source"
)

// blended writes one element of a made place as a blended European series.
func blended(w made, name string, pick func(d Day) float64) string {
	return "EUROPEAN CLIMATE ASSESSMENT\n\nFORMAT (MISSING VALUE CODE IS -9999):\n\n" + table(w, fmt.Sprintf("STAID, SOUID,    DATE,   %s, Q_%s", name, name), func(d Day) string {
		return fmt.Sprintf("    21,   100,%s,%5d,    0", strings.ReplaceAll(d.Date.String(), "-", ""), tenths(pick(d)))
	})
}

func TestHighsLowsAndRainOfSeparateFilesAreJoined(t *testing.T) {
	w := thirtyYears
	w.years = 2
	tx := mustRead(t, blended(w, "TX", func(d Day) float64 { return d.HighC }), Options{At: madison})
	tn := mustRead(t, blended(w, "TN", func(d Day) float64 { return d.LowC }), Options{})
	rr := mustRead(t, blended(w, "RR", func(d Day) float64 { return d.RainMM }), Options{})
	if _, _, err := tx.Place(); err == nil || !strings.Contains(err.Error(), "all months") {
		t.Errorf("highs alone: %v", err)
	}
	if s := rr.Summary(); s.Coldest != nil || len(s.Notes) == 0 {
		t.Errorf("rain alone: %+v", s.Coldest)
	}
	r, err := Join(tx, tn, rr)
	if err != nil {
		t.Fatal(err)
	}
	same(t, "joined", r.Days, w.record().Days)
	if r.At != madison && *r.At != *madison || r.Station != "21" {
		t.Errorf("%v %q", r.At, r.Station)
	}
	again, err := Join(r, tx)
	if err != nil || len(again.Days) != len(r.Days) || strings.Contains(codes(again.Notes), "join-differ") {
		t.Errorf("joined with a part of itself: %v", err)
	}
	swapped, err := Join(mustRead(t, blended(w, "TX", func(d Day) float64 { return d.LowC }), Options{}),
		mustRead(t, blended(w, "TN", func(d Day) float64 { return d.HighC }), Options{}), rr)
	if err != nil || swapped.Dropped.Crossed != len(r.Days) || given(swapped.Days[0].HighC) {
		t.Errorf("highs and lows taken for each other: %v, %d of %d days", err, swapped.Dropped.Crossed, len(r.Days))
	}
}

func TestAUsualYearCannotBeJoined(t *testing.T) {
	w := thirtyYears
	w.firstYear, w.years = 2003, 1
	epw := mustRead(t, string(madeEPW(w, 5)), Options{})
	if _, err := Join(epw, epw); err == nil {
		t.Error("joined")
	}
	if err := epw.Use(2001, 2001); err == nil {
		t.Error("years of a typical year chosen")
	}
	if _, err := Join(); err == nil {
		t.Error("nothing joined")
	}
}

func TestAustralianAndCanadianColumnsAreKnown(t *testing.T) {
	bom := "Product code,Bureau of Meteorology station number,Year,Month,Day,Maximum temperature (Degree C),Days of accumulation of maximum temperature,Quality\n" +
		"IDCJAC0010,023000,2024,01,15,36.4,1,Y\nIDCJAC0010,023000,2024,01,16,,,\nIDCJAC0010,023000,2024,01,18,39.0,2,Y\n"
	r := mustRead(t, bom, Options{})
	if len(r.Days) != 1 || r.Dropped.Flagged != 1 || r.Days[0].HighC != 36.4 || r.Station != "023000" {
		t.Errorf("%+v %q", r.Days, r.Station)
	}
	canada := "\"Longitude (x)\",\"Latitude (y)\",\"Station Name\",\"Climate ID\",\"Date/Time\",\"Year\",\"Month\",\"Day\",\"Data Quality\",\"Max Temp (°C)\",\"Max Temp Flag\",\"Min Temp (°C)\",\"Min Temp Flag\",\"Total Precip (mm)\",\"Total Precip Flag\",\"Spd of Max Gust (km/h)\"\n" +
		"\"-75.72\",\"45.38\",\"EXAMPLE CDA\",\"6100000\",\"2024-01-15\",\"2024\",\"01\",\"15\",\"\",\"-8.5\",\"E\",\"-17.0\",\"\",\"0.0\",\"T\",\"<31\"\n" +
		"\"-75.72\",\"45.38\",\"EXAMPLE CDA\",\"6100000\",\"2024-01-16\",\"2024\",\"01\",\"16\",\"\",\"\",\"M\",\"-18.5\",\"\",\"2.2\",\"\",\"\"\n"
	r = mustRead(t, canada, Options{})
	if len(r.Days) != 2 || r.Days[0].HighC != -8.5 || given(r.Days[1].HighC) || r.Days[1].RainMM != 2.2 || r.At.LongitudeDeg != -75.72 || r.Station != "6100000 EXAMPLE CDA" {
		t.Errorf("%+v %q", r.Days, r.Station)
	}
}

func TestEveryColumnInTheTableOfNamesHasARoleAUnitAndASource(t *testing.T) {
	table, err := knownColumns()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(columnsCSV)), "\n")[1:]
	if len(table) != len(lines) {
		t.Errorf("%d names on %d lines: one stands twice", len(table), len(lines))
	}
	for _, line := range lines {
		f := strings.Split(line, ",")
		if plainName(f[0]) != f[0] {
			t.Errorf("%q can never be met; it should be %q", f[0], plainName(f[0]))
		}
		k := table[f[0]]
		if k.role == noRole || k.role == roleFlags && (k.flags == noRole || k.manner == "") {
			t.Errorf("%q has no role", f[0])
		}
		if f[2] != "" && f[2] != "?" {
			if _, ok := unitOf(f[2]); !ok {
				t.Errorf("%q: no unit %q", f[0], f[2])
			}
		}
		if !sourceKnown(f[3]) {
			t.Errorf("%q: no source %q", f[0], f[3])
		}
	}
}

func TestTheSummaryIsSaidInSentences(t *testing.T) {
	s := mustRead(t, string(madeStation(thirtyYears)), Options{At: madison}).Summary()
	for _, u := range []measure.Units{measure.Metric, measure.US} {
		said := s.Sentences(u)
		for _, code := range []string{"said-class", "said-zone", "said-coldest", "said-cold-levels", "said-frost", "said-growing", "said-heat", "said-heat-levels", "said-spread"} {
			if !strings.Contains(codes(said), code) {
				t.Errorf("%s is not said", code)
			}
		}
		for _, n := range said {
			if !strings.HasSuffix(n.Text, ".") || strings.Contains(n.Text, "%!") || strings.Contains(n.Text, "NaN") {
				t.Errorf("%s: %s", n.Code, n.Text)
			}
			t.Log(n.Text)
		}
	}
	if d := dayWords("05-12"); d != "12 May" {
		t.Error(d)
	}
	for _, n := range s.Notes {
		t.Log(n.Text)
	}
}

func sourceKnown(key string) bool {
	_, ok := source.Lookup(key)
	return ok
}

func TestHeadsAboveATableTellWhereItsStationStands(t *testing.T) {
	for name, text := range map[string]string{
		"a point of a map": "-BEGIN HEADER-\nNASA/POWER Daily Data\nDates (month/day/year): 01/01/2024 through 01/02/2024 in LST\nLocation: Latitude  45.38   Longitude -75.72\n" +
			"Elevation from MERRA-2: Average for 0.5 x 0.625 degree lat/lon region = 79.4 meters\nThe value for missing source data: -999\n" +
			"T2M_MAX     MERRA-2 Temperature at 2 Meters Maximum (C)\n-END HEADER-\nYEAR,DOY,T2M_MAX,T2M_MIN\n2024,60,3.5,-999.0\n2024,61,4.5,-2\n",
		"names and figures in pairs": "\"Station Name\",\"EXAMPLE CDA\"\n\"Latitude\",\"45.38\"\n\"Longitude\",\"-75.72\"\n\"Elevation\",\"79.4\"\n\"Legend\"\n\"T\",\"Trace\"\n\n" +
			"\"Date/Time\",\"Max Temp (°C)\",\"Min Temp (°C)\"\n\"2024-02-29\",\"3.5\",\"\"\n\"2024-03-01\",\"4.5\",\"-2\"\n",
		"in words": "Example, 1948 on\nLocation 1627E 407N, Lat 45.38 Lon -75.72, 79.4m amsl\ndate high_c low_c\n2024-02-29 3.5 ---\n2024-03-01 4.5 -2.0\n",
	} {
		r := mustRead(t, text, Options{})
		if r.At == nil || *r.At != (Location{45.38, -75.72, 79.4}) {
			t.Errorf("%s: %+v", name, r.At)
		}
		if len(r.Days) != 2 || r.Days[0].HighC != 3.5 || given(r.Days[0].LowC) || r.Days[0].Date.Day != 29 || r.Days[1].LowC != -2 {
			t.Errorf("%s: %+v", name, r.Days)
		}
	}
}
