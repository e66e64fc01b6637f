package weather

import (
	"bytes"
	"testing"
)

// Thirty years of days must be read and summed up in under a second, the hours of a
// typical year in under a third of one.

func benchmark(b *testing.B, file []byte, at *Location) {
	b.SetBytes(int64(len(file)))
	b.ReportAllocs()
	for b.Loop() {
		r, err := Read(bytes.NewReader(file), Options{Name: "made", Today: today, At: at})
		if err != nil {
			b.Fatal(err)
		}
		r.Summary()
		if _, _, err := r.Place(); err != nil {
			b.Fatal(err)
		}
		if _, err := r.Compare(3); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkThirtyYearsByStation(b *testing.B)  { benchmark(b, madeStation(thirtyYears), madison) }
func BenchmarkThirtyYearsFixedForm(b *testing.B)  { benchmark(b, madeFixed(thirtyYears), madison) }
func BenchmarkThirtyYearsDailyTable(b *testing.B) { benchmark(b, madeOpenMeteo(thirtyYears), madison) }
func BenchmarkHoursOfATypicalYear(b *testing.B) {
	w := thirtyYears
	w.firstYear, w.years = 2003, 1
	benchmark(b, madeEPW(w, 5), madison)
}
