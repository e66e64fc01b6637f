package weather

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the sample files again")

// samples are short files of every kind, for eyes and for other tests. Their weather
// is made up.
func samples() map[string][]byte {
	w := made{firstYear: 2024, years: 1, meanC: 7, halfC: 16, dayRangeC: 11, sdC: 5, dayPersistence: 0.65, seed: 3}
	firstLines := func(file []byte, n int) []byte {
		return append(bytes.Join(bytes.SplitN(file, []byte("\n"), n+1)[:n], []byte("\n")), '\n')
	}
	epw := w
	epw.firstYear = 2003
	var hourly bytes.Buffer
	hourly.WriteString(openMeteoHead + "time,temperature_2m (°C),relative_humidity_2m (%),precipitation (mm)\n")
	for _, d := range w.record().Days[:3] {
		for h := range 24 {
			fmt.Fprintf(&hourly, "%sT%02d:00,%.1f,%d,%.1f\n", d.Date, h, d.LowC+(d.HighC-d.LowC)*float64(12-max(h-14, 14-h))/14, 80, 0.0)
		}
	}
	normals := `"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","month","day","hour","MLY-TMAX-NORMAL","meas_flag_MLY-TMAX-NORMAL","comp_flag_MLY-TMAX-NORMAL","years_MLY-TMAX-NORMAL","MLY-TMIN-NORMAL","meas_flag_MLY-TMIN-NORMAL","comp_flag_MLY-TMIN-NORMAL","years_MLY-TMIN-NORMAL","MLY-PRCP-NORMAL","meas_flag_MLY-PRCP-NORMAL","comp_flag_MLY-PRCP-NORMAL","years_MLY-PRCP-NORMAL"` + "\n"
	var monthly strings.Builder
	monthly.WriteString("Example\nLocation: Lat 52.4 Lon -4.0, 12 metres amsl\n   yyyy  mm   tmax    tmin      af    rain     sun\n              degC    degC    days      mm   hours\n")
	for m, month := range monthsOf(w.record().Days) {
		normals += fmt.Sprintf(`"USC00099999","%02d"," 44.1000"," -90.2000"," 300.0","EXAMPLE FARM, WI US","%02d","99","99","%8.1f"," ","S","30","%8.1f"," ","S","30","%8.2f"," ","S","30"`+"\n",
			m+1, m+1, month.HighC.Value*1.8+32, month.LowC.Value*1.8+32, month.RainMM.Value/25.4)
		fmt.Fprintf(&monthly, "   2024  %2d  %5.1f   %5.1f     ---   %5.1f     ---\n", m+1, month.HighC.Value, month.LowC.Value, month.RainMM.Value)
	}
	return map[string][]byte{
		"by_station.csv":   firstLines(madeStation(w), 4*31),
		"fixed_form.dly":   firstLines(madeFixed(w), 3),
		"us_normals.csv":   []byte(normals),
		"typical_year.epw": firstLines(madeEPW(epw, 5), 8+3*24),
		"daily_table.csv":  firstLines(madeOpenMeteo(w), 4+31),
		"hourly_table.csv": hourly.Bytes(),
		"monthly.txt":      []byte(monthly.String()),
		"highs_only.txt":   firstLines([]byte(blended(w, "TX", func(d Day) float64 { return d.HighC })), 4+31),
	}
}

func TestSampleFilesAreOfTheirKindAndAsTheyWereMade(t *testing.T) {
	kinds := map[string]Kind{"by_station.csv": ByStation, "fixed_form.dly": FixedWidth, "us_normals.csv": USNormals, "typical_year.epw": TypicalYear,
		"daily_table.csv": DailyTable, "hourly_table.csv": HourlyTable, "monthly.txt": MonthlyTable, "highs_only.txt": DailyTable}
	for name, want := range samples() {
		path := filepath.Join("testdata", "samples", name)
		if *update {
			if err := os.WriteFile(path, want, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		got, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is not as it was made; run the test with -update if that is meant", name)
		}
		r, err := Read(bytes.NewReader(got), Options{Name: name, Today: today})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if r.Kind != kinds[name] {
			t.Errorf("%s is taken for %s", name, r.Kind)
		}
	}
}
