package weather

import (
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"
	"testing/iotest"
)

// shortYears is three made years as a plain table.
func shortYears() string {
	w := thirtyYears
	w.years = 3
	return table(w, "date,high_c,low_c,rain_mm", func(d Day) string {
		return fmt.Sprintf("%s,%.1f,%.1f,%.1f", d.Date, d.HighC, d.LowC, d.RainMM)
	})
}

func TestWhatIsNoWeatherTableIsRefusedWithASentence(t *testing.T) {
	for name, c := range map[string]struct{ text, code, says string }{
		"nothing":         {"", "empty", ""},
		"blank lines":     {"\n\n  \n", "empty", ""},
		"zip":             {"PK\x03\x04\x14\x00\x00\x00", "foreign", "zip"},
		"gzip":            {"\x1f\x8b\x08\x00abc", "foreign", "gzip"},
		"picture":         {"\x89PNG\r\n\x1a\n\x00\x00", "foreign", "picture"},
		"photograph":      {"\xff\xd8\xff\xe0\x00\x10JFIF", "foreign", "picture"},
		"document":        {"%PDF-1.7\n", "foreign", "PDF"},
		"old spreadsheet": {"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "foreign", "CSV"},
		"map grids":       {"CDF\x01\x00\x00", "foreign", "one point"},
		"bytes":           {strings.Repeat("a\x00\x00\x00", 200), "not-text", ""},
		"noise":           {strings.Repeat("\x01\x02\x03\x04,", 200), "not-text", ""},
		"web page":        {"\n<!DOCTYPE html><html><body>Please log in</body></html>", "web-page", ""},
		"markup":          {"<?xml version='1.0'?><data/>", "markup", ""},
		"JSON":            {`{"daily": {"time": ["2024-01-01"]}}`, "json", ""},
		"a letter":        {"Dear keeper,\nthank you for your letter.\n", "no-header", "Dear keeper"},
		"one long line":   {"date,high_c,low_c\n" + strings.Repeat("9", 200_000), "long-line", "line 2"},
		"header alone":    {"date,high_c,low_c\n", "no-rows", ""},
		"daily normals":   {`"STATION","DATE","DLY-TMAX-NORMAL","DLY-TMIN-NORMAL"` + "\n", "other-normals", "monthly"},
		"cut EPW":         {"LOCATION,Example,WI,USA,TMYx,999999,44.10,-90.20,-6.0,300.0\nDESIGN", "epw-cut", ""},
		"all missing":     {"date,high_c,low_c\n2024-01-01,,\n2024-01-02,NaN,-9999\n", "all-missing", ""},
		"all flagged":     {"USC00099999,20240116,TMAX,411,,X,7,0700\n", "all-missing", ""},
		"all future":      {"date,high_c,low_c\n2031-01-01,4,1\n2031-01-02,4,1\n", "all-future", "forecast"},
		"two-way dates":   {"date,high_c,low_c\n03/04/2024,4,1\n04/04/2024,4,1\n", "date-order", "year-month-day"},
		"two stations":    {"USC00099999,20240115,TMAX,28,,,7,\nUSC00088888,20240115,TMAX,28,,,7,\n", "several-stations", "USC00088888"},
		"unknown units":   {"STATION,DATE,TMAX,TMIN\nUSC00099999,2024-01-15,50,41\n", "units-unknown", "tenths"},
	} {
		if text := refusedAs(t, c.text, c.code, Options{}); !strings.Contains(text, c.says) {
			t.Errorf("%s: %q does not say %q", name, text, c.says)
		}
	}
}

// The end of a whole file missing, at any byte, costs at most the days behind the cut
// and is told or harmless; never does a half number become a wrong day with a high
// and a low.
func TestATruncatedFileLosesItsEndOnly(t *testing.T) {
	whole := shortYears()
	want := mustRead(t, whole, Options{}).Days
	for cut := len(whole) - 90; cut < len(whole); cut++ {
		r := mustRead(t, whole[:cut], Options{})
		n := len(r.Days)
		if n < len(want)-4 || n > len(want) {
			t.Fatalf("cut at %d: %d days of %d", cut, n, len(want))
		}
		for i, d := range r.Days {
			if i < n-1 && (d.HighC != want[i].HighC || d.LowC != want[i].LowC) {
				t.Fatalf("cut at %d: %+v, want %+v", cut, d, want[i])
			}
		}
	}
	r := mustRead(t, whole[:len(whole)-18], Options{})
	if !strings.Contains(codes(r.Notes), "cut") || r.Dropped.Malformed != 0 {
		t.Errorf("the cut is not told: %s", codes(r.Notes))
	}
}

func TestATruncatedFixedLineKeepsItsWholeDays(t *testing.T) {
	w := thirtyYears
	w.years = 1
	text := string(madeFixed(w))
	r := mustRead(t, text[:len(text)-100], Options{})
	if len(r.Days) != 365 {
		t.Errorf("%d days", len(r.Days))
	}
	if given(r.Days[364].RainMM) || !given(r.Days[345].RainMM) {
		t.Error("the rain behind the cut is not missing, or that before it is")
	}
}

func TestDecimalCommasBetweenCommasAreRefused(t *testing.T) {
	text := table(made{firstYear: 2024, years: 1, sdC: 3, meanC: 8, seed: 1}, "date,high_c,low_c", func(d Day) string {
		return strings.ReplaceAll(fmt.Sprintf("%s;%.1f;%.1f", d.Date, d.HighC+5, d.LowC-5), ".", ",")
	})
	text = strings.ReplaceAll(text, ";", ",")
	if got := refusedAs(t, text, "malformed", Options{}); !strings.Contains(got, "decimal comma") {
		t.Error(got)
	}
}

func TestLinesDividedOtherwiseThanTheHeaderAreRefused(t *testing.T) {
	text := strings.ReplaceAll(shortYears(), ",", ";")
	text = strings.Replace(text, "date;high_c;low_c;rain_mm", "date,high_c,low_c,rain_mm", 1)
	refusedAs(t, text, "malformed", Options{})
}

func TestAFewBrokenLinesAreCountedAndLeftOut(t *testing.T) {
	lines := strings.Split(shortYears(), "\n")
	lines[10], lines[20], lines[30], lines[40] = "garbage", "1991-02-30,4.0,1.0,0", "1991-02-01,four,1.0,0", `1991-02-11,"4.0,1.0,0`
	r := mustRead(t, strings.Join(lines, "\n"), Options{})
	if r.Dropped.Malformed != 4 || !strings.Contains(codes(r.Notes), "dropped-malformed") {
		t.Errorf("%+v %s", r.Dropped, codes(r.Notes))
	}
}

func TestADayGivenTwiceCountsOnce(t *testing.T) {
	lines := strings.Split(shortYears(), "\n")
	lines = append(lines[:50], append([]string{lines[49], "1991-02-17,9.9,-9.9,1.0"}, lines[50:]...)...)
	want := mustRead(t, shortYears(), Options{})
	r := mustRead(t, strings.Join(lines, "\n"), Options{})
	same(t, "doubled", r.Days, want.Days)
	if r.Dropped.Repeated != 3 || r.Dropped.Conflict < 2 {
		t.Errorf("%+v", r.Dropped)
	}
	refusedAs(t, strings.ReplaceAll(shortYears(), "1992-", "1991-"), "conflict", Options{})
}

func TestAFileWrittenTwiceIsReadOnce(t *testing.T) {
	text := shortYears()
	r := mustRead(t, text+text, Options{})
	same(t, "twice", r.Days, mustRead(t, text, Options{}).Days)
	if r.Dropped.Malformed != 0 || r.Dropped.Repeated < 3*1000 {
		t.Errorf("%+v", r.Dropped)
	}
}

func TestDaysAfterTodayAreLeftOut(t *testing.T) {
	w := thirtyYears
	w.firstYear, w.years = 2025, 3
	r := mustRead(t, string(madeOpenMeteo(w)), Options{})
	last := r.Days[len(r.Days)-1].Date
	if last != today || r.Dropped.Future == 0 || !strings.Contains(codes(r.Notes), "dropped-future") {
		t.Errorf("last day %v, %+v", last, r.Dropped)
	}
}

func TestCelsiusAndFahrenheitInOneSeriesAreRefused(t *testing.T) {
	w := made{firstYear: 2000, years: 4, meanC: 3, halfC: 8, dayRangeC: 6, sdC: 2, dayPersistence: 0.6, seed: 5}
	mixed := func(fahrenheit func(d Day) bool) string {
		return table(w, "date,high_c,low_c", func(d Day) string {
			if fahrenheit(d) {
				d.HighC, d.LowC = 1.8*d.HighC+32, 1.8*d.LowC+32
			}
			return fmt.Sprintf("%s,%.1f,%.1f", d.Date, d.HighC, d.LowC)
		})
	}
	refusedAs(t, mixed(func(d Day) bool { return d.Date.Year >= 2002 }), "units-wrong", Options{})
	w.meanC, w.halfC = -3, 5 // so cold that no single figure is impossible
	refusedAs(t, mixed(func(d Day) bool { return d.Date.Year >= 2002 }), "units-mixed", Options{})
	refusedAs(t, mixed(func(d Day) bool { return d.Date.Year == 2001 && d.Date.Month >= 8 }), "units-mixed", Options{})
	mustRead(t, mixed(func(Day) bool { return false }), Options{})
}

func TestUnitsThatCannotBeAreRefused(t *testing.T) {
	w := thirtyYears
	w.years = 2
	for header, times := range map[string]float64{"date,high_c,low_c": 10, "date,Maximum temperature (Degree C),Minimum temperature (Degree C)": 1.8} {
		plus := 0.0
		if times == 1.8 {
			plus = 32
		}
		text := table(w, header, func(d Day) string {
			return fmt.Sprintf("%s,%.0f,%.0f", d.Date, times*d.HighC+plus, times*d.LowC+plus)
		})
		refusedAs(t, text, "units-wrong", Options{})
	}
}

func TestUnitsOfASilentHeaderAreFoundOrAsked(t *testing.T) {
	w := thirtyYears
	w.years = 2
	write := func(format string, f func(c float64) float64) string {
		return table(w, "STATION,DATE,TMAX,TMIN", func(d Day) string {
			return fmt.Sprintf("USC00099999,%s,"+format+","+format, d.Date, f(d.HighC), f(d.LowC))
		})
	}
	plain := func(c float64) float64 { return c }
	for _, c := range []struct {
		text  string
		units Units
		error float64
	}{
		{write("%.0f", func(c float64) float64 { return 10 * c }), Tenths, 0.06},
		{write("%.1f", plain), Metric, 0.06},
		{write("%.0f", plain), Metric, 0.51},
		{write("%.0f", func(c float64) float64 { return 1.8*c + 32 }), US, 0.3},
		{write("%.2f", func(c float64) float64 { return c + 273.15 }), kelvin, 0.01},
	} {
		r := mustRead(t, c.text, Options{})
		d, want := r.Days[200], w.record().Days[200]
		if off := d.HighC - want.HighC; off > c.error || off < -c.error {
			t.Errorf("%s: high %v, made %v", c.units, d.HighC, want.HighC)
		}
		if !strings.Contains(codes(r.Notes), "units-found") {
			t.Errorf("%s: the keeper is not told", c.units)
		}
	}
	short := "STATION,DATE,TMAX,TMIN\nUSC00099999,2024-01-15,50,41\n"
	for units, want := range map[Units]float64{Metric: 50, US: 10, Tenths: 5} {
		r := mustRead(t, short, Options{Units: units})
		if got := r.Days[0].HighC; got < want-1e-9 || got > want+1e-9 {
			t.Errorf("%s: %v", units, got)
		}
	}
}

func TestAHighBelowItsLowIsNoDay(t *testing.T) {
	r := mustRead(t, "date,high_c,low_c\n2024-01-01,4.5,1\n2024-01-02,1,4.5\n2024-01-03,5,2\n", Options{})
	if r.Dropped.Crossed != 1 || len(r.Days) != 2 {
		t.Errorf("%+v, %d days", r.Dropped, len(r.Days))
	}
}

func TestOneStationOfSeveralCanBeChosen(t *testing.T) {
	text := "USC00099999,20240115,TMAX,28,,,7,\nUSC00088888,20240115,TMAX,31,,,7,\n"
	r := mustRead(t, text, Options{Station: "usc00088888"})
	if r.Days[0].HighC != 3.1 {
		t.Errorf("%+v", r.Days)
	}
	refusedAs(t, text, "station-absent", Options{Station: "USC00077777"})
}

// endless is a well-formed table without end, so that only a bound on its size can
// stop the reading.
type endless struct {
	block []byte
	at    int
	given int64
}

func (e *endless) Read(p []byte) (int, error) {
	n := copy(p, e.block[e.at:])
	e.at = (e.at + n) % len(e.block)
	e.given += int64(n)
	return n, nil
}

func TestAFileOfTwoGigabytesIsRefusedInBoundedMemory(t *testing.T) {
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	e := &endless{block: []byte(strings.Repeat("USC00099999,20240115,SNWD,0,,,7,0700\n", 1000))}
	r, err := Read(io.LimitReader(e, 2<<30), Options{Name: "big.csv", Today: today})
	runtime.ReadMemStats(&after)
	told := new(Refusal)
	if r != nil || !errors.As(err, &told) || told.Code != "too-large" || !strings.Contains(told.Text, "256 MB") {
		t.Fatalf("%v", err)
	}
	if e.given > DefaultMaxBytes+1<<20 {
		t.Errorf("%d MB were read", e.given>>20)
	}
	if used := int64(after.TotalAlloc - before.TotalAlloc); used > 4<<20 {
		t.Errorf("%d MB were taken up on the way", used>>20)
	}
}

func TestTheSizeThatIsReadCanBeSet(t *testing.T) {
	refusedAs(t, shortYears(), "too-large", Options{MaxBytes: 10_000})
	refusedAs(t, shortYears(), "too-large", Options{MaxBytes: 100})
}

func TestAReaderThatFailsGivesNoHalfRecord(t *testing.T) {
	broken := io.MultiReader(strings.NewReader(shortYears()), iotest.ErrReader(errors.New("the stick was pulled out")))
	r, err := Read(broken, Options{Name: "a.csv", Today: today})
	if r != nil || err == nil || !strings.Contains(err.Error(), "stick") {
		t.Errorf("%v", err)
	}
	if _, err := Read(iotest.OneByteReader(strings.NewReader(shortYears())), Options{Today: today}); err != nil {
		t.Errorf("a slow reader: %v", err)
	}
}

func TestANightOfNinePointNineBelowIsNoMissingCode(t *testing.T) {
	blended := "STAID, SOUID,    DATE,   TN, Q_TN\n 1, 2,20240115,  -99,    0\n 1, 2,20240116,-9999,    9\n"
	if r := mustRead(t, blended, Options{}); len(r.Days) != 1 || r.Days[0].LowC != -9.9 {
		t.Errorf("%+v", r.Days)
	}
	for _, units := range []string{"date,high_c,low_c\n", "date,tmax (°C),tmin (°C)\n"} {
		if r := mustRead(t, units+"2024-01-15,-99,-99\n2024-01-16,4,-99.0\n", Options{}); len(r.Days) != 1 || given(r.Days[0].LowC) || r.Dropped != (Dropped{}) {
			t.Errorf("%+v %+v", r.Days, r.Dropped)
		}
	}
	w := thirtyYears
	w.years = 2
	text := table(w, "STATION,DATE,TMAX,TMIN", func(d Day) string {
		if d.Date.Day == 3 {
			return fmt.Sprintf("A,%s,-99,-99", d.Date)
		}
		return fmt.Sprintf("A,%s,%d,%d", d.Date, tenths(d.HighC), -99)
	})
	if r := mustRead(t, text, Options{}); r.Days[10].LowC != -9.9 {
		t.Errorf("%+v", r.Days[10])
	}
}
