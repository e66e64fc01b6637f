package climate

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// The catalogue: one line a place, lists of twelve months divided by blanks.
// Highs, lows, humidity, rain and wind are means of 1961-1990 of a map cell
// 10 to 18 km wide (source climate_normals), so hills and coasts differ and
// winters today are milder by 0.5 to 1.5 C, in the far north up to 3 C.
//
//go:embed data/places.csv
var placesCSV []byte

var loadPlaces = sync.OnceValues(func() ([]Place, error) {
	rows, err := csv.NewReader(bytes.NewReader(placesCSV)).ReadAll()
	if err != nil {
		return nil, err
	}
	places := make([]Place, 0, len(rows))
	for i, row := range rows[1:] {
		p, err := readPlace(row)
		if err != nil {
			return nil, fmt.Errorf("places.csv line %d (%s): %w", i+2, row[0], err)
		}
		places = append(places, p)
	}
	return places, nil
})

func readPlace(row []string) (Place, error) {
	var failed error
	number := func(text string) float64 {
		v, err := strconv.ParseFloat(text, 64)
		failed = errors.Join(failed, err)
		return v
	}
	months := func(text string) (v [12]float64) {
		fields := strings.Fields(text)
		if len(fields) == 0 {
			return v
		}
		if len(fields) != 12 {
			failed = errors.Join(failed, fmt.Errorf("%q does not hold twelve months", text))
			return v
		}
		for i, f := range fields {
			v[i] = number(f)
		}
		return v
	}
	p := Place{
		Name: row[0], Country: row[1],
		LatitudeDeg: number(row[2]), LongitudeDeg: number(row[3]), AltitudeM: number(row[4]),
		MaxC: months(row[5]), MinC: months(row[6]), HumidityPct: months(row[7]),
		RainMM: months(row[8]), WindMS: months(row[9]),
		ClassKoppen: row[11], SourceKey: row[12], ExtremeSourceKey: row[13],
	}
	if row[10] != "" {
		p.ExtremeMinC = number(row[10])
	}
	return p, failed
}

// Places lists the catalogue in the order of the names. The slice is the
// caller's own.
func Places() []Place {
	places, err := loadPlaces()
	if err != nil {
		panic(err) // the catalogue is embedded and checked by a test
	}
	return slices.Clone(places)
}

// FindPlace looks a place up by its name, with or without its country, in any
// case, with or without accents and punctuation; a beginning that fits one
// place only is enough. The error names the places that sound nearest.
func FindPlace(name string) (Place, error) {
	want := plain(name)
	if want == "" {
		return Place{}, fmt.Errorf("give the name of a place, or its latitude and its monthly highs and lows")
	}
	places := Places()
	for _, fits := range []func(p Place) bool{
		func(p Place) bool { return plain(p.Name) == want || plain(p.Name+" "+p.Country) == want },
		func(p Place) bool { return plain(strings.TrimRight(town(p.Name), " ")) == want },
		func(p Place) bool { return strings.HasPrefix(plain(p.Name+" "+p.Country), want) },
		func(p Place) bool { return strings.Contains(plain(p.Name+" "+p.Country), want) },
	} {
		var found []Place
		for _, p := range places {
			if fits(p) {
				found = append(found, p)
			}
		}
		if len(found) == 1 {
			return found[0], nil
		}
		if len(found) > 1 {
			return Place{}, fmt.Errorf("%q fits more than one place: %s; write the whole name", name, nameList(found, 6))
		}
	}
	slices.SortStableFunc(places, func(a, b Place) int { return distance(want, a) - distance(want, b) })
	return Place{}, fmt.Errorf("no place named %q is in the catalogue; did you mean %s? Any other place can be described by its latitude and its monthly highs and lows",
		name, nameList(places[:3], 3))
}

func nameList(places []Place, most int) string {
	var names []string
	for _, p := range places[:min(most, len(places))] {
		names = append(names, p.Name+" ("+p.Country+")")
	}
	if len(places) > most {
		names = append(names, "and others")
	}
	return strings.Join(names, ", ")
}

// town is a name without the two capitals of a state or province, or a remark
// in brackets.
func town(name string) string {
	name, _, _ = strings.Cut(name, " (")
	words := strings.Fields(name)
	last := words[len(words)-1]
	if len(words) > 1 && len(last) == 2 && last == strings.ToUpper(last) {
		return strings.Join(words[:len(words)-1], " ")
	}
	return name
}

// Letters that do not come apart into a letter and an accent.
var ligatures = strings.NewReplacer("ø", "o", "ł", "l", "đ", "d", "ß", "ss", "æ", "ae", "œ", "oe", "ı", "i", "þ", "th", "ð", "d")

// plain is a name in small letters without accents, with one blank between
// words and no punctuation.
func plain(name string) string {
	name = ligatures.Replace(strings.ToLower(name))
	var b strings.Builder
	for _, r := range norm.NFD.String(name) {
		switch {
		case unicode.Is(unicode.Mn, r) || r == '\'' || r == '’':
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			b.WriteRune(r)
		default:
			b.WriteByte(' ')
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

func distance(want string, p Place) int {
	return min(edits(want, plain(p.Name)), edits(want, plain(town(p.Name))), edits(want, plain(p.Name+" "+p.Country)))
}

// edits is the number of letters to add, drop or change that turn a into b.
func edits(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		diagonal := row[0]
		row[0] = i + 1
		for j := range y {
			cost := diagonal
			if x[i] != y[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(y)]
}
