package daybook

import (
	"embed"
	"encoding/csv"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

//go:embed data/*.csv
var dataFiles embed.FS

// words is the vocabulary by which old records are understood.
type words struct {
	months map[string]int
	skips  map[string]bool
	fields map[string]string // folded words of a heading -> field
	order  []string          // the fields, in the order of the table
}

var vocabulary = sync.OnceValue(func() words {
	w := words{map[string]int{}, map[string]bool{}, map[string]string{}, nil}
	for _, row := range dataRows("data/months.csv") {
		for _, word := range strings.Fields(row[1]) {
			if m, err := strconv.Atoi(row[0]); err == nil {
				w.months[word] = m
			} else {
				w.skips[word] = true
			}
		}
	}
	for _, row := range dataRows("data/fields.csv") {
		w.order = append(w.order, row[0])
		for _, heading := range strings.Split(row[1], ";") {
			w.fields[headingWords(heading)] = row[0]
		}
	}
	return w
})

func dataRows(name string) [][]string {
	f, err := dataFiles.Open(name)
	if err != nil {
		panic(err) // the data are embedded and read by a test
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		panic(err)
	}
	return rows[1:]
}

// ImportFields lists the fields that a column of old records can stand for;
// "ignore" leaves a column out.
func ImportFields() []string { return append([]string{}, vocabulary().order...) }

var plainLetters = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "ß", "ss", "œ", "oe", "å", "a", "ł", "l", "ø", "o")

// fold makes words alike that differ in case or accents only.
func fold(text string) string {
	text = plainLetters.Replace(strings.ToLower(norm.NFC.String(text)))
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, norm.NFD.String(text))
}

// headingWords folds a heading and keeps its words, one blank between.
func headingWords(text string) string {
	return strings.Join(strings.FieldsFunc(fold(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '%' }), " ")
}

// Confidence says how sure the match of a column is.
type Confidence string

// The confidences.
const (
	Sure   Confidence = "sure"   // the heading is a known word
	Likely Confidence = "likely" // the heading holds a known word, or all cells are dates
	Chosen Confidence = "chosen" // by the keeper
	No     Confidence = "none"   // the column is left out
)

// matchHeading finds the field of a heading: the whole heading, else the longest
// known words in it.
func matchHeading(heading string) (field, unit string, how Confidence) {
	if len(heading) > 200 {
		return "", "", No
	}
	list := strings.Fields(headingWords(heading))
	kept := list[:0:0]
	for _, w := range list {
		u, isUnit := unitWords[w]
		if isUnit && u != "" {
			unit = u
			continue
		}
		kept = append(kept, w)
	}
	whole := strings.Join(kept, " ")
	if f := vocabulary().fields[whole]; f != "" {
		return f, unit, Sure
	}
	if f := vocabulary().fields[strings.Join(list, " ")]; f != "" {
		return f, unit, Sure
	}
	if strings.Contains(whole, "%") {
		return "ignore", unit, Likely
	}
	best := ""
	for i := range kept {
		for j := i + 1; j <= len(kept); j++ {
			part := strings.Join(kept[i:j], " ")
			if f := vocabulary().fields[part]; f != "" && (j-i > strings.Count(best, " ")+1 || best == "") {
				best = part
			}
		}
	}
	if best != "" {
		return vocabulary().fields[best], unit, Likely
	}
	return "", unit, No
}
