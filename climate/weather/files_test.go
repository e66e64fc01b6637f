package weather

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"henyear/measure"
)

// The files of these tests are made up: weather of a yearly wave with chance on top,
// written out by the published forms. No station ever measured it.

var today = measure.Date{Year: 2026, Month: 11, Day: 25}

// thirtyYears is a made place of cold winters at 45 north.
var thirtyYears = made{firstYear: 1991, years: 30, meanC: 7, halfC: 16, dayRangeC: 11, sdC: 5, dayPersistence: 0.65, seed: 3}

func madeStation(w made) []byte {
	var b bytes.Buffer
	for _, d := range w.record().Days {
		day := strings.ReplaceAll(d.Date.String(), "-", "")
		fmt.Fprintf(&b, "USC00099999,%s,TMAX,%d,,,7,0700\n", day, tenths(d.HighC))
		fmt.Fprintf(&b, "USC00099999,%s,TMIN,%d,,,7,0700\n", day, tenths(d.LowC))
		fmt.Fprintf(&b, "USC00099999,%s,PRCP,%d,,,7,0700\n", day, tenths(d.RainMM))
		fmt.Fprintf(&b, "USC00099999,%s,SNWD,0,,,7,0700\n", day)
	}
	return b.Bytes()
}

func tenths(v float64) int { return int(math.Round(v * 10)) }

func madeFixed(w made) []byte {
	var b bytes.Buffer
	days := w.record().Days
	for i := 0; i < len(days); {
		year, month := days[i].Date.Year, days[i].Date.Month
		var values [3][31]int
		for e := range values {
			for k := range values[e] {
				values[e][k] = ghcnMissing
			}
		}
		for ; i < len(days) && days[i].Date.Month == month; i++ {
			k := days[i].Date.Day - 1
			values[0][k], values[1][k], values[2][k] = tenths(days[i].HighC), tenths(days[i].LowC), tenths(days[i].RainMM)
		}
		for e, name := range []string{"TMAX", "TMIN", "PRCP"} {
			fmt.Fprintf(&b, "USC00099999%04d%02d%s", year, month, name)
			for _, v := range values[e] {
				fmt.Fprintf(&b, "%5d  7", v)
			}
			b.WriteByte('\n')
		}
	}
	return b.Bytes()
}

// madeEPW writes the hours of one made year, warmest at three in the afternoon.
func madeEPW(w made, swing float64) []byte {
	var b bytes.Buffer
	b.WriteString("LOCATION,Example,WI,USA,TMYx,999999,44.10,-90.20,-6.0,300.0\nDESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\n" +
		"GROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,made up\nCOMMENTS 2,made up\nDATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31\n")
	for _, d := range w.record().Days {
		for h := 1; h <= 24; h++ {
			temp := d.MeanC + swing*math.Cos(2*math.Pi*(float64(h)-15)/24)
			fmt.Fprintf(&b, "%d,%d,%d,%d,60,?9?9?9?9E0?9?9?9?9?9?9?9?9?9?9?9?9?9?9?9*9*9?9?9?9,%.1f,%.1f,81,97800,0,1415,180,0,0,0,0,0,0,0,310,3.6,7,5,16.0,77777,9,999999999,5,0.0500,20,0,0.800,0.0,1.0\n",
				2003+int(d.Date.Month)%5, d.Date.Month, d.Date.Day, h, temp, temp-3)
		}
	}
	return b.Bytes()
}

const openMeteoHead = "latitude,longitude,elevation,utc_offset_seconds,timezone,timezone_abbreviation\n44.1,-90.2,300.0,-21600,America/Chicago,CST\n\n"

func madeOpenMeteo(w made) []byte {
	var b bytes.Buffer
	b.WriteString(openMeteoHead + "time,temperature_2m_max (°C),temperature_2m_min (°C),precipitation_sum (mm),relative_humidity_2m_mean (%),wind_speed_10m_mean (km/h)\n")
	for _, d := range w.record().Days {
		fmt.Fprintf(&b, "%s,%.1f,%.1f,%.1f,%.0f,%.1f\n", d.Date, d.HighC, d.LowC, d.RainMM, d.HumidityPct, d.WindMS*3.6)
	}
	return b.Bytes()
}

// table writes days with a header and a form of one's own.
func table(w made, header string, row func(d Day) string) string {
	var b strings.Builder
	b.WriteString(header + "\n")
	for _, d := range w.record().Days {
		b.WriteString(row(d) + "\n")
	}
	return b.String()
}

func mustRead(t *testing.T, text string, o Options) *Record {
	t.Helper()
	if o.Today.IsZero() {
		o.Today = today
	}
	if o.Name == "" {
		o.Name = "made.csv"
	}
	r, err := Read(strings.NewReader(text), o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func codes(notes []Note) string {
	var list []string
	for _, n := range notes {
		list = append(list, n.Code)
	}
	return strings.Join(list, " ")
}

// refusedAs reads text that must be refused with a code, and checks that the message
// is a sentence.
func refusedAs(t *testing.T, text, code string, o Options) string {
	t.Helper()
	if o.Today.IsZero() {
		o.Today = today
	}
	o.Name = "made.csv"
	r, err := Read(strings.NewReader(text), o)
	if err == nil || r != nil {
		t.Errorf("%s: read, not refused", code)
		return ""
	}
	told := err.(*Refusal)
	if told.Code != code {
		t.Errorf("refused as %s, want %s: %s", told.Code, code, told.Text)
	}
	if !strings.HasPrefix(told.Text, `"made.csv" `) || !strings.ContainsAny(told.Text[len(told.Text)-1:], ".?") {
		t.Errorf("%s: no sentence: %s", code, told.Text)
	}
	return told.Text
}

// same compares two records day by day, to half a tenth.
func same(t *testing.T, what string, got, want []Day) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %d days, want %d", what, len(got), len(want))
	}
	for i, d := range got {
		w := want[i]
		if d.Date != w.Date || math.Abs(d.HighC-w.HighC) > 0.0501 || math.Abs(d.LowC-w.LowC) > 0.0501 || math.Abs(d.RainMM-w.RainMM) > 0.0501 {
			t.Fatalf("%s: %+v, want %+v", what, d, w)
		}
	}
}

func TestOneAndTheSameWeatherReadsTheSameInEveryForm(t *testing.T) {
	w := thirtyYears
	w.years = 3
	want := w.record().Days
	iso := func(d Day) string { return fmt.Sprintf("%s,%.1f,%.1f,%.1f", d.Date, d.HighC, d.LowC, d.RainMM) }
	for _, form := range []struct {
		name, text string
		kind       Kind
	}{
		{"by station", string(madeStation(w)), ByStation},
		{"by station with header", "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n" + string(madeStation(w)), ByStation},
		{"fixed form", string(madeFixed(w)), FixedWidth},
		{"units in brackets", string(madeOpenMeteo(w)), DailyTable},
		{"plain names", table(w, "date,tmax,tmin,prcp", iso), DailyTable},
		{"windows line ends", strings.ReplaceAll(table(w, "date,tmax,tmin,prcp", iso), "\n", "\r\n"), DailyTable},
		{"old Macintosh line ends", strings.ReplaceAll(table(w, "date,tmax,tmin,prcp", iso), "\n", "\r"), DailyTable},
		{"byte order mark", "\ufeff" + table(w, "date,tmax,tmin,prcp", iso), DailyTable},
		{"semicolons and decimal commas", strings.ReplaceAll(strings.ReplaceAll(table(w, "date,high_c,low_c,rain_mm", iso), ",", ";"), ".", ","), DailyTable},
		{"tabs", strings.ReplaceAll(table(w, "date,high_c,low_c,rain_mm", iso), ",", "\t"), DailyTable},
		{"day first", table(w, "Date,Max Temp (°C),Min Temp (°C),Total Precip (mm)", func(d Day) string {
			return fmt.Sprintf("%02d/%02d/%d,%.1f,%.1f,%.1f", d.Date.Day, d.Date.Month, d.Date.Year, d.HighC, d.LowC, d.RainMM)
		}), DailyTable},
		{"month first, Fahrenheit and inches", table(w, "date,high_f,low_f,rain_in", func(d Day) string {
			return fmt.Sprintf("%d/%d/%d,%.2f,%.2f,%.4f", d.Date.Month, d.Date.Day, d.Date.Year, measure.CtoF(d.HighC), measure.CtoF(d.LowC), d.RainMM/25.4)
		}), DailyTable},
		{"parts of the date", table(w, "year,month,day,tmin,tmax,prcp", func(d Day) string {
			return fmt.Sprintf("%d,%d,%d,%.1f,%.1f,%.1f", d.Date.Year, d.Date.Month, d.Date.Day, d.LowC, d.HighC, d.RainMM)
		}), DailyTable},
		{"quoted, with station and attributes", table(w, `"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","PRCP","PRCP_ATTRIBUTES","TMAX","TMAX_ATTRIBUTES","TMIN"`, func(d Day) string {
			return fmt.Sprintf(`"USC00099999","%s","44.1","-90.2","300.0","EXAMPLE FARM, WI US","%d",",,7,0700","%d",",,7","%d"`, d.Date, tenths(d.RainMM), tenths(d.HighC), tenths(d.LowC))
		}), DailyTable},
	} {
		r := mustRead(t, form.text, Options{})
		if r.Kind != form.kind {
			t.Errorf("%s: taken for %s", form.name, r.Kind)
		}
		same(t, form.name, r.Days, want)
	}
}

func TestTextOfTwoBytesALetterIsRead(t *testing.T) {
	w := thirtyYears
	w.years = 1
	text := string(madeOpenMeteo(w))
	for _, mark := range []bool{true, false} {
		for _, big := range []bool{true, false} {
			r := mustRead(t, wide(text, big, mark), Options{})
			if len(r.Days) != 365 || r.At == nil {
				t.Errorf("mark %v, big %v: %d days", mark, big, len(r.Days))
			}
		}
	}
}

// wide writes text in UTF-16.
func wide(text string, big, mark bool) string {
	var b []byte
	put := func(r rune) {
		hi, lo := byte(r>>8), byte(r)
		if big {
			b = append(b, hi, lo)
		} else {
			b = append(b, lo, hi)
		}
	}
	if mark {
		put(0xfeff)
	}
	for _, r := range text {
		put(r)
	}
	return string(b)
}

func TestLatinLettersInTheHeaderAreRead(t *testing.T) {
	w := thirtyYears
	w.years = 1
	text := strings.ReplaceAll(string(madeOpenMeteo(w)), "°", "\xb0")
	r := mustRead(t, text, Options{})
	if len(r.Days) != 365 || !strings.Contains(codes(r.Notes), "latin") {
		t.Errorf("%d days, %s", len(r.Days), codes(r.Notes))
	}
}

func TestReadingsOfHoursBecomeDays(t *testing.T) {
	w := made{firstYear: 2024, years: 1, meanC: 9, halfC: 10, sdC: 3, dayPersistence: 0.6, seed: 2}
	var b strings.Builder
	b.WriteString(openMeteoHead + "time,temperature_2m (°C),relative_humidity_2m (%),precipitation (mm),wind_speed_10m (km/h)\n")
	for _, d := range w.record().Days {
		for h := range 24 {
			fmt.Fprintf(&b, "%sT%02d:00,%.2f,70,0.1,18\n", d.Date, h, d.MeanC+4*math.Cos(2*math.Pi*float64(h-15)/24))
		}
	}
	r := mustRead(t, b.String(), Options{})
	if r.Kind != HourlyTable || len(r.Days) != 366 {
		t.Fatalf("%s, %d days", r.Kind, len(r.Days))
	}
	d, want := r.Days[40], w.record().Days[40]
	if math.Abs(d.HighC-want.MeanC-4) > 0.01 || math.Abs(d.LowC-want.MeanC+4) > 0.01 || math.Abs(d.RainMM-2.4) > 1e-9 || d.WindMS != 5 || d.HumidityPct != 70 {
		t.Errorf("%+v", d)
	}
	if !strings.Contains(codes(r.Notes), "hourly") {
		t.Error("the damping of highs is not told")
	}
}

func TestDaysBelowHoursInOneFileWin(t *testing.T) {
	var b strings.Builder
	b.WriteString(openMeteoHead + "time,temperature_2m (°C)\n")
	for d := 1; d <= 20; d++ {
		for h := range 24 {
			fmt.Fprintf(&b, "2024-01-%02dT%02d:00,%d\n", d, h, h%5)
		}
	}
	b.WriteString("\ntime,temperature_2m_max (°C),temperature_2m_min (°C)\n")
	for d := 1; d <= 20; d++ {
		fmt.Fprintf(&b, "2024-01-%02d,9.5,-1.5\n", d)
	}
	r := mustRead(t, b.String(), Options{})
	if len(r.Days) != 20 || r.Days[3].HighC != 9.5 || r.Days[3].LowC != -1.5 {
		t.Errorf("%d days, %+v", len(r.Days), r.Days[3])
	}
}

func TestATypicalYearIsReadAndKnowsNoExtremes(t *testing.T) {
	w := thirtyYears
	w.firstYear, w.years = 2003, 1
	r := mustRead(t, string(madeEPW(w, 5)), Options{Name: "made.epw"})
	if r.Kind != TypicalYear || len(r.Days) != 365 || !r.Typical {
		t.Fatalf("%s, %d days", r.Kind, len(r.Days))
	}
	want := w.record().Days[100]
	if math.Abs(r.Days[100].HighC-want.MeanC-5) > 0.06 {
		t.Errorf("high %v, mean was %v", r.Days[100].HighC, want.MeanC)
	}
	s := r.Summary()
	if s.Spread != nil || s.Zone != nil || s.Trend != nil {
		t.Error("a typical year cannot tell spread, zone or trend")
	}
	if s.Frost == nil || s.Frost.Years != 1 || s.Frost.Last == nil {
		t.Errorf("frost %+v", s.Frost)
	}
	for _, code := range []string{"epw-typical", "epw-rain", "hourly", "spread-none"} {
		if !strings.Contains(codes(s.Notes), code) {
			t.Errorf("not told: %s in %s", code, codes(s.Notes))
		}
	}
	p, notes, err := r.Place()
	if err != nil {
		t.Fatal(err)
	}
	if p.LatitudeDeg != 44.1 || p.RainMM[0] == 0 || !strings.Contains(codes(notes), "place-rain-borrowed") {
		t.Errorf("%+v, %s", p, codes(notes))
	}
}

func TestMonthlySeriesAndNormalsAreRead(t *testing.T) {
	var b strings.Builder
	b.WriteString("Example\nLocation: 276000E 345100N, Lat 52.4 Lon -4.0, 12 metres amsl\nEstimated data is marked with a *\n" +
		"   yyyy  mm   tmax    tmin      af    rain     sun\n              degC    degC    days      mm   hours\n")
	for y := 1961; y <= 2020; y++ {
		for m := 1; m <= 12; m++ {
			year := 0.0
			if y <= 1990 {
				year = -5 // these years must not count
			}
			fmt.Fprintf(&b, "   %d  %2d  %5.1f%s  %5.1f     ---   %5.1f    61.2  Provisional\n", y, m, 10+year+float64(m), []string{"", "*"}[m%2], 3+year, 50.0+float64(m))
		}
	}
	r := mustRead(t, b.String(), Options{})
	months := r.Months()
	if r.Kind != MonthlyTable || months[4].HighC.Years != 30 || math.Abs(months[4].HighC.Value-15) > 1e-9 || months[0].RainMM.Value != 51 {
		t.Fatalf("%s %+v", r.Kind, months[4])
	}
	if r.At == nil || r.At.LatitudeDeg != 52.4 || r.At.LongitudeDeg != -4 || r.At.AltitudeM != 12 {
		t.Errorf("position %+v", r.At)
	}
	normals := "start,end,month,tmin,tmax,prcp,wspd,pres,tsun\n"
	for _, end := range []int{1990, 2020} {
		for m := 1; m <= 12; m++ {
			normals += fmt.Sprintf("%d,%d,%d,%d.5,%d.5,60,18,,\n", end-29, end, m, 2+end/2000, 12+end/2000)
		}
	}
	months = mustRead(t, normals, Options{}).Months()
	if months[3].HighC != (Figure{13.5, 0, 30}) || math.Abs(months[3].WindMS.Value-5) > 1e-9 {
		t.Errorf("%+v", months[3])
	}
}

func TestNormalsOfTheUnitedStatesMakeAPlace(t *testing.T) {
	text := `"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","month","day","hour","MLY-TMAX-NORMAL","meas_flag_MLY-TMAX-NORMAL","comp_flag_MLY-TMAX-NORMAL","years_MLY-TMAX-NORMAL","MLY-TMIN-NORMAL","MLY-PRCP-NORMAL","MLY-TMIN-AVGNDS-LSTH032"` + "\n"
	for m := 1; m <= 12; m++ {
		text += fmt.Sprintf(`"USC00099999","%02d","   44.1000","  -90.2000"," 300.0","EXAMPLE FARM, WI US","%02d","99","99","  %.1f"," ","S","30","%.1f","  2.00","   12.0"`+"\n", m, m, 80-6*math.Abs(float64(m)-7), 58-6*math.Abs(float64(m)-7))
	}
	r := mustRead(t, text, Options{})
	p, _, err := r.Place()
	if err != nil {
		t.Fatal(err)
	}
	if p.MaxC[6] != 26.7 || p.RainMM[0] != 50.8 || p.Name != "USC00099999 EXAMPLE FARM, WI US" || p.AltitudeM != 300 || p.ClassKoppen == "" {
		t.Errorf("%+v", p)
	}
	s := r.Summary()
	if s.Months[0].FrostNights.Value != 12 || !strings.Contains(codes(s.Notes), "normals-only") {
		t.Errorf("%+v %s", s.Months[0].FrostNights, codes(s.Notes))
	}
}
