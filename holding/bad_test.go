package holding

import (
	"fmt"
	"strings"
	"testing"
	"time"
	"unicode/utf16"
)

type slip struct {
	name     string
	old, new string // one passage changed in the small holding
}

const ownFigures = `latitude = 47.0
longitude = 3.0
altitude_m = 200
high_c = [6, 8, 12, 15, 19, 23, 26, 25, 21, 16, 10, 7]
low_c = [1, 1, 3, 5, 9, 12, 14, 14, 11, 8, 4, 2]
rain_mm = [60, 50, 55, 60, 75, 65, 60, 60, 60, 70, 65, 65]
`

var slipsOfTheHand = []slip{
	{"negative area", "area_m2 = 4", "area_m2 = -4"},
	{"house as large as a town", "area_m2 = 4", "area_m2 = 4e9"},
	{"not a number", "price = 5", "price = nan"},
	{"without end", "feed_per_kg = 0.5", "feed_per_kg = +inf"},
	{"number in quotes", "pens = 2", `pens = "2"`},
	{"half a pen", "pens = 2", "pens = 2.5"},
	{"no pens", "pens = 2", "pens = 0"},
	{"number beyond the machine's", "number = 6", "number = 99999999999999999999"},
	{"a hundred thousand birds", "number = 6", "number = 100000"},
	{"a hundred thousand birds in groups", "number = 6\n", "number = 4000\n\n[[birds]]\nbreed = \"marans\"\nsex = \"hen\"\nhatched = 2026-04-01\nnumber = 4000\n"},
	{"29 February of a common year", "hatched = 2026-04-01", "hatched = 2026-02-29"},
	{"31 April in quotes", "hatched = 2026-04-01", `hatched = "2026-04-31"`},
	{"month 13", "hatched = 2026-04-01", "hatched = 2026-13-01"},
	{"year 1066", "hatched = 2026-04-01", "hatched = 1066-10-14"},
	{"1066 as the start", "as_of = 2027-01-01", "as_of = 1066-10-14"},
	{"a year alone as the start", "as_of = 2027-01-01", "as_of = 1066"},
	{"hatched in the future", "hatched = 2026-04-01", "hatched = 2027-04-01"},
	{"hen of twenty years", "hatched = 2026-04-01", "hatched = 2006-04-01"},
	{"date with a clock", "hatched = 2026-04-01", "hatched = 2026-04-01T10:00:00"},
	{"date in another order", "hatched = 2026-04-01", `hatched = "01/04/2026"`},
	{"months out of order", `months = "all"`, `months = ["May", "Mar", "Apr"]`},
	{"range written as a list", `months = "all"`, `months = ["Oct", "Mar"]`},
	{"month twice", `months = "all"`, `months = ["Mar", "Mar"]`},
	{"ranges overlap", `months = "all"`, `months = ["Mar-Jun", "May-Sep"]`},
	{"no such month", `months = "all"`, `months = "Mrch-Oct"`},
	{"months as numbers", `months = "all"`, `months = [3, 4]`},
	{"no month", `months = "all"`, `months = []`},
	{"month named by two needs", "per_week = 12\n", "per_week = 12\n\n[[eggs]]\nmonths = \"May\"\nper_week = 3\n"},
	{"unknown field", "pens = 2", "penz = 2"},
	{"unknown field of a unit", "area_m2 = 4", "area_sqm = 4"},
	{"unknown part", "[needs]", "[need]"},
	{"field of nowhere", "pens = 2", "pens = 2\ncolour_of_the_door = \"red\""},
	{"unknown breed", `breed = "marans"`, `breed = "maranz"`},
	{"unknown place", ownFigures, "near = \"Adelade\"\n"},
	{"two places", "latitude = 47.0", "near = \"Adelaide\"\nlatitude = 47.0"},
	{"latitude beyond the pole", "latitude = 47.0", "latitude = 147.0"},
	{"eleven months", "rain_mm = [60, ", "rain_mm = ["},
	{"nan among the months", "rain_mm = [60, ", "rain_mm = [nan, "},
	{"low above the high", "low_c = [1, 1, 3,", "low_c = [1, 1, 30,"},
	{"fahrenheit under a celsius name", "high_c = [6, 8, 12, 15, 19, 23, 26,", "high_c = [43, 46, 54, 59, 66, 73, 79,"},
	{"both units", "area_m2 = 4", "area_m2 = 4\narea_sqft = 43"},
	{"unknown form", `form = "chicks"`, `form = "chicken"`},
	{"unknown sex", `sex = "hen"`, `sex = "female"`},
	{"unknown currency", `currency = "EUR"`, `currency = "€"`},
	{"unknown time zone", `time_zone = "Europe/Paris"`, `time_zone = "Europe/Pariss"`},
	{"killing not settled", "will_kill = true\n", ""},
	{"cockerels with nowhere to go", "will_kill = true", "will_kill = false"},
	{"meat without killing", "will_kill = true", "will_kill = false\ncockerels_taken_a_year = 10"},
	{"yes for true", "will_kill = true", "will_kill = yes"},
	{"true in quotes", "will_kill = true", `will_kill = "true"`},
	{"away ends before it begins", "[means]", "[[away]]\nfrom = 2027-08-10\nto = 2027-07-10\n\n[means]"},
	{"one bracket for many", "[[house]]", "[house]"},
	{"two brackets for one", "[needs]", "[[needs]]"},
	{"field twice", "pens = 2", "pens = 2\npens = 3"},
	{"part twice", "[needs]", "[means]\nlights = \"on\"\n\n[needs]"},
	{"decimal comma", "feed_per_kg = 0.5", "feed_per_kg = 0,5"},
	{"text without quotes", `breed = "marans"`, "breed = marans"},
	{"unit behind the number", "freezer_l = 60", "freezer_l = 60 l"},
	{"colon for equals", "freezer_l = 60", "freezer_l: 60"},
	{"no value", "freezer_l = 60", "freezer_l ="},
	{"quote not closed", `name = "Small"`, `name = "Small`},
	{"list not closed", "rain_mm = [60, 50, 55, 60, 75, 65, 60, 60, 60, 70, 65, 65]", "rain_mm = [60, 50"},
	{"name with a line end in it", `name = "Small"`, `name = "Sm\nall"`},
	{"name without end", `name = "Small"`, `name = "` + strings.Repeat("Small ", 40) + `"`},
	{"newer format", "format = 1", "format = 2\nhens_on_the_moon = true"},
	{"no format", "format = 1\n", ""},
	{"nothing needed", "table_birds = 8\n\n[[eggs]]\nmonths = \"all\"\nper_week = 12\n", ""},
	{"no house", "[[house]]\narea_m2 = 4\npens = 2\n", ""},
	{"largest order below the smallest", "price = 5", "price = 5\nsmallest_order = 10\nlargest_order = 5"},
	{"a list where a number stands", "pens = 2", "pens = [2]"},
	{"birds twice by one id", "number = 6\n", "number = 6\nid = \"a\"\n\n[[birds]]\nid = \"a\"\nbreed = \"marans\"\nsex = \"hen\"\nhatched = 2026-04-01\nnumber = 4\n"},
	{"brackets in brackets", "pens = 2", "pens = " + strings.Repeat("[", 40) + strings.Repeat("]", 40)},
	{"a name of many parts", "pens = 2", "pens = 2\n" + strings.Repeat("a.", 300) + "a = 1"},
	{"line without end", "pens = 2", "pens = 2 # " + strings.Repeat("x", MaxLineBytes)},
	{"wall without measures", "pens = 2", "pens = 2\nwall = [\"boards 18\"]"},
	{"wall of gingerbread", "pens = 2", "pens = 2\nlength_m = 2\nwidth_m = 2\nwall = [\"gingerbread 18\"]"},
	{"material misspelt", "pens = 2", "pens = 2\nlength_m = 2\nwidth_m = 2\nwall = [\"plywod 9\", \"mineral-wol 50 between\"]"},
	{"boards without thickness", "pens = 2", "pens = 2\nlength_m = 2\nwidth_m = 2\nroof = [\"boards\"]"},
	{"boards of four metres", "pens = 2", "pens = 2\nlength_m = 2\nwidth_m = 2\nroof = [\"boards 4000\"]"},
	{"boards thinner than nothing", "pens = 2", "pens = 2\nlength_m = 2\nwidth_m = 2\nroof = [\"boards -18\", \"boards nan\", \"boards 1/0 in\", \"boards 1 2 3\"]"},
	{"a wall of numbers", "pens = 2", "pens = 2\nlength_m = 2\nwidth_m = 2\nfloor = [18, [50]]"},
	{"a wall of nothing", "pens = 2", "pens = 2\nlength_m = 2\nwidth_m = 2\nwall = []"},
	{"a wall of forty layers", "pens = 2", "pens = 2\nlength_m = 2\nwidth_m = 2\nwall = [\"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", \"boards 1\", ]"},
	{"layer without end", "pens = 2", "pens = 2\nlength_m = 2\nwidth_m = 2\nwall = [\"boards 99999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999999\"]"},
	{"house too small for its area", "pens = 2", "pens = 2\nlength_m = 1.5\nwidth_m = 2"},
	{"house too large for its area", "pens = 2", "pens = 2\nlength_ft = 30\nwidth_ft = 10"},
	{"more window than wall", "pens = 2", "pens = 2\nlength_m = 2\nwidth_m = 2\nwindow_m2 = 40"},
	{"no vents at all", "pens = 2", "pens = 2\nlength_m = 2\nwidth_m = 2\nvent_m2 = 0"},
	{"vents in the wind", "pens = 2", "pens = 2\nlength_m = 2\nwidth_m = 2\nvent_shelter = \"shelterd\""},
	{"litter up to the roof", "pens = 2", "pens = 2\nlitter_cm = 250"},
	{"a storm at the perch", "pens = 2", "pens = 2\ndraught_ms = 40"},
	{"half a pop-hole", "pens = 2", "pens = 2\npop_holes = 0.5\npop_high_cm = -35"},
	{"shade and no shade", "minutes_a_day = 20", "minutes_a_day = 20\nshade_m2 = 20\nno_shade = true"},
	{"a net over the county", "pasture_m2 = 200", "pasture_m2 = 200\nnetted_m2 = 1e9"},
	{"a spread of temperatures", "latitude = 47.0", "latitude = 47.0\nday_spread_c = [40, 40, 40, 40, 40, 40, 40, 40, 40, 40, 40, 40]"},
	{"a spread of zero", "latitude = 47.0", "latitude = 47.0\nlow_spread_f = [0, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5]"},
	{"weeks that stray further than days", "latitude = 47.0", "latitude = 47.0\nday_spread_c = [3, 3, 3, 3, 3, 3, 3, 3, 3, 3, 3, 3]\nweek_spread_c = [2, 2, 2, 4, 2, 2, 2, 2, 2, 2, 2, 2]"},
	{"a memory without end", "latitude = 47.0", "latitude = 47.0\nweek_memory = 1.5\nday_memory = -1"},
	{"a record of nothing", ownFigures, "near = \"Adelaide\"\nweather_from = \"the post office\"\n"},
	{"three slips at once", "pens = 2", "pens = 0\nperch_m = -1\nnests = \"many\""},
}

func TestEverySlipIsToldWithLineFieldAndRemedy(t *testing.T) {
	var b strings.Builder
	tell := func(name string, data []byte) {
		h, _, err := Read(data, "small.toml")
		fmt.Fprintf(&b, "# %s\n", name)
		if err == nil {
			t.Errorf("%s is accepted as %+v", name, h)
			return
		}
		if _, ok := err.(Problems); !ok {
			t.Errorf("%s gives an error of type %T", name, err)
		}
		fmt.Fprintf(&b, "%v\n\n", err)
	}
	for _, s := range slipsOfTheHand {
		tell(s.name, []byte(swap(t, small(t), s.old, s.new)))
	}
	tell("empty file", nil)
	tell("blank file", []byte(" \n\t\r\n"))
	tell("only a mark", []byte{0xEF, 0xBB, 0xBF})
	tell("UTF-16 with a mark", utf16Bytes("\ufeff"+small(t)))
	tell("UTF-16 without a mark", utf16Bytes(small(t)))
	tell("a picture", []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"))
	tell("letters of an old code page", []byte(swap(t, small(t), "Small", "Fl\xfchli")))
	tell("zero byte in text", []byte(swap(t, small(t), "Small", "Sm\x00ll")))
	tell("more than a megabyte", make([]byte, MaxFileBytes+1))
	golden(t, "testdata/problems.golden", b.String())
}

func utf16Bytes(text string) []byte {
	var data []byte
	for _, u := range utf16.Encode([]rune(text)) {
		data = append(data, byte(u), byte(u>>8))
	}
	return data
}

// Each of these once cost, or could cost, more time or memory than its size
// deserves.
func TestHostileFilesAreRefusedQuickly(t *testing.T) {
	fill := func(unit string) []byte { return []byte(strings.Repeat(unit, MaxFileBytes/len(unit))) }
	for name, data := range map[string][]byte{
		"brackets":       fill("["),
		"brackets lines": fill("a = [\n"),
		"open texts":     fill("'''\n"),
		"tables":         fill("[[house]]\n"),
		"new tables":     fill("[a]\n"),
		"empty lists":    fill("a = [[],[],[],[],[],[],[],[],[],[],[],[]]\n"),
		"long list":      append([]byte("a = ["), fill("1,\n")[:MaxFileBytes-10]...),
		"dotted":         fill(strings.Repeat("a.", 900) + "a = 1\n"),
		"bad lines":      fill("=\n"),
		"blank":          fill("\n"),
		"remarks":        fill("#\n"),
	} {
		began := time.Now()
		_, _, err := Read(data, "hostile.toml")
		if err == nil {
			t.Errorf("%s is accepted", name)
		}
		if took := time.Since(began); took > 5*time.Second {
			t.Errorf("%s took %v", name, took)
		}
		if len(err.(Problems)) > MaxProblems+1 {
			t.Errorf("%s gives %d problems", name, len(err.(Problems)))
		}
	}
}
