package holding

import (
	"flag"
	"math"
	"os"
	"reflect"
	"strings"
	"testing"

	"henyear/bird"
	"henyear/measure"
	"henyear/source"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew")

func small(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile("testdata/small.toml")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func mustRead(t testing.TB, text string) (*Holding, []Note) {
	t.Helper()
	h, notes, err := Read([]byte(text), "small.toml")
	if err != nil {
		t.Fatal(err)
	}
	return h, notes
}

// swap changes one passage of a file that must be there.
func swap(t testing.TB, text, old, fresh string) string {
	t.Helper()
	if strings.Count(text, old) < 1 {
		t.Fatalf("%q is not in the file", old)
	}
	return strings.Replace(text, old, fresh, 1)
}

func golden(t *testing.T, name, have string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(name, []byte(have), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), have); d != "" {
		t.Errorf("%s differs (-want +have):\n%s", name, d)
	}
}

func TestKeeperIsToldOfEveryDefaultThatMatters(t *testing.T) {
	_, notes := mustRead(t, small(t))
	var lines []string
	for _, n := range notes {
		lines = append(lines, n.String())
		if _, ok := source.Lookup(n.Source); !ok {
			t.Errorf("note %q names no source", n)
		}
	}
	golden(t, "testdata/notes.golden", strings.Join(lines, "\n")+"\n")
}

func TestCheckSaysWhatItUnderstood(t *testing.T) {
	h, _ := mustRead(t, small(t))
	golden(t, "testdata/explain.golden", strings.Join(h.Explain(), "\n")+"\n")
}

func TestSlipsOfTheSameKindAreToldTogether(t *testing.T) {
	text := small(t)
	text = swap(t, text, "pens = 2", "pens = 0")
	text = swap(t, text, "altitude_m = 200", "altitude_m = inf")
	text = swap(t, text, "number = 6", "number = -6")
	text = swap(t, text, `currency = "EUR"`, `currency = "euro"`)
	_, _, err := Read([]byte(text), "small.toml")
	problems, ok := err.(Problems)
	if !ok || len(problems) != 4 {
		t.Fatalf("want four problems, have %v", err)
	}
	for i := 1; i < len(problems); i++ {
		if problems[i].Line < problems[i-1].Line {
			t.Error("problems are not in the order of the file")
		}
	}
}

func TestSquareFeetAreNotTakenForSquareMetres(t *testing.T) {
	h, _ := mustRead(t, swap(t, small(t), "area_m2 = 4", "area_sqft = 43"))
	if a := h.Means.Houses[0].AreaM2; math.Abs(a-3.995) > 0.001 {
		t.Errorf("43 square feet are %.3f m2", a)
	}
}

func TestFahrenheitInchesAndPoundsBecomeMetric(t *testing.T) {
	text := small(t)
	text = swap(t, text, "high_c = [6, 8, 12, 15, 19, 23, 26, 25, 21, 16, 10, 7]", "high_f = [43, 46, 54, 59, 66, 73, 79, 77, 70, 61, 50, 45]")
	text = swap(t, text, "rain_mm = [60, 50, 55, 60, 75, 65, 60, 60, 60, 70, 65, 65]", "rain_in = [2, 2, 2, 2, 3, 3, 2, 2, 2, 3, 3, 3]")
	text = swap(t, text, "feed_per_kg = 0.5", "feed_per_lb = 0.45359237")
	h, _ := mustRead(t, text)
	if c := h.Place.Climate.MaxC[10]; c != 10 {
		t.Errorf("50 F is %g C", c)
	}
	if mm := h.Place.Climate.RainMM[0]; math.Abs(mm-50.8) > 1e-9 {
		t.Errorf("2 inches are %g mm", mm)
	}
	if p := h.Prices.FeedPerKg; p != 1 {
		t.Errorf("0.45359237 a pound is %g a kilogram", p)
	}
}

func TestPlaceOfTheCatalogueIsFoundByName(t *testing.T) {
	text := small(t)
	start, end := strings.Index(text, "latitude"), strings.Index(text, "pasture_m2")
	h, _ := mustRead(t, text[:start]+"near = \"Adelaide\"\ndays_above_38_c = 9\n"+text[end:])
	if c := h.Place.Climate; !c.Southern() || c.DaysAbove38 != 9 || c.Name != "Adelaide" {
		t.Errorf("read %+v", c)
	}
	again, _ := mustRead(t, string(h.Write()))
	if d := cmp.Diff(h, again); d != "" {
		t.Error(d)
	}
	if !strings.Contains(string(h.Write()), `near = "Adelaide"`) {
		t.Error("the catalogue's name is not written back")
	}
}

func TestMarkAndLineEndsOfOtherSystemsDoNoHarm(t *testing.T) {
	want, _ := mustRead(t, small(t))
	dos := "\ufeff" + strings.ReplaceAll(small(t), "\n", "\r\n")
	have, _ := mustRead(t, dos)
	if d := cmp.Diff(want, have); d != "" {
		t.Error(d)
	}
}

func TestMonthsMayPassTheTurnOfTheYear(t *testing.T) {
	for written, want := range map[string]string{
		`"Nov-Feb"`: "Nov-Feb", `"November to February"`: "Nov-Feb", `["Nov", "Dec", "Jan", "Feb"]`: "Nov-Feb",
		`"all"`: "Jan-Dec", `"Sept"`: "Sep", `["Mar-May", "Sep-Nov"]`: "Mar-May Sep-Nov", `"Jan-Dec"`: "Jan-Dec", `"Mar-Feb"`: "Jan-Dec",
	} {
		h, _ := mustRead(t, swap(t, small(t), `months = "all"`, "months = "+written))
		have := strings.Trim(strings.ReplaceAll(strings.Trim(strings.Join(runTexts(h.Needs.Eggs[0].Months), " "), " "), "  ", " "), " ")
		if have != want {
			t.Errorf("%s is read as %s, want %s", written, have, want)
		}
	}
}

func runTexts(set [12]bool) (texts []string) {
	for _, r := range monthRuns(set) {
		texts = append(texts, r.String())
	}
	return texts
}

func TestMonthsOfEverySetAreWrittenSoThatTheyReadBack(t *testing.T) {
	for bits := range 1 << 12 {
		var set [12]bool
		for m := range 12 {
			set[m] = bits&(1<<m) != 0
		}
		have, err := parseMonths(runTexts(set))
		if err != nil || have != set {
			t.Fatalf("%v is written as %v and read as %v (%v)", set, runTexts(set), have, err)
		}
	}
}

func TestHatchInTheFutureIsSeenAgainstToday(t *testing.T) {
	text := swap(t, small(t), "as_of = 2027-01-01\n", "")
	if _, _, err := ReadOn([]byte(text), "small.toml", measure.Date{Year: 2026, Month: 3, Day: 1}); err == nil {
		t.Error("birds of April are on hand in March")
	}
	if _, _, err := ReadOn([]byte(text), "small.toml", measure.Date{Year: 2026, Month: 5, Day: 1}); err != nil {
		t.Error(err)
	}
}

func TestYearsNeedSumsMonths(t *testing.T) {
	h, _ := mustRead(t, small(t))
	if have, want := h.Needs.EggsAYear(), 12*365.2425/7; math.Abs(have-want) > 1e-9 {
		t.Errorf("12 a week is %.2f a year, want %.2f", have, want)
	}
}

func TestOldHandbookHouseHoldsItsSixtyFourHens(t *testing.T) {
	// Cyclopedia of Farm Animals fig. 559: 16 x 16 ft for 64 hens (handbook_floor).
	h := House{AreaM2: 16 * 16 * measure.M2PerFoot2}
	if fit := h.HensThatFit(); fit < 63 || fit > 65 {
		t.Errorf("%d hens fit", fit)
	}
}

func TestCopySharesNothing(t *testing.T) {
	h, _ := mustRead(t, small(t))
	h.Means.Away = []Away{{}}
	h.Needs.EggSales, h.Needs.BirdSales = []EggSale{{}}, []BirdSale{{}}
	c := h.Clone()
	if d := cmp.Diff(h, c); d != "" {
		t.Fatal(d)
	}
	v, w := reflect.ValueOf(*h), reflect.ValueOf(*c)
	sharesNoSlice(t, v, w, "Holding")
	c.Birds[0].Sex = bird.Cock
	if h.Birds[0].Sex == bird.Cock {
		t.Error("the copy's birds are the holding's")
	}
}

func sharesNoSlice(t *testing.T, a, b reflect.Value, path string) {
	switch a.Kind() {
	case reflect.Slice:
		if a.Len() > 0 && a.Pointer() == b.Pointer() {
			t.Errorf("%s is shared", path)
		}
	case reflect.Struct:
		for i := range a.NumField() {
			sharesNoSlice(t, a.Field(i), b.Field(i), path+"."+a.Type().Field(i).Name)
		}
	}
}
