package calendar

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"henyear/daybook"
	"henyear/measure"
)

// words fill the places of a text: {breed}, {eggs}, {t:33}.
type words map[string]string

var placeOf = regexp.MustCompile(`\{[A-Za-z]+(:-?[0-9.]+)?\}`)

// fill puts the words into a text. A place without a word becomes empty; a test
// sees to it that there is none.
func (w words) fill(text string, u measure.Units) string {
	return placeOf.ReplaceAllStringFunc(text, func(place string) string {
		name := place[1 : len(place)-1]
		if c, isHeat := strings.CutPrefix(name, "t:"); isHeat {
			x, _ := strconv.ParseFloat(c, 64)
			return temperature(x, u)
		}
		return w[name]
	})
}

func temperature(c float64, u measure.Units) string {
	x, unit := u.Show(measure.TempC, c)
	decimals := 0
	if x != math.Trunc(x) && u != measure.US {
		decimals = 1
	}
	return measure.Round(x, decimals) + " " + unit
}

func weight(kg float64, u measure.Units) string {
	x, unit := u.Show(measure.MassKg, kg)
	return measure.Round(x, 0) + " " + unit
}

// say is a sentence of the work list. The code names the job and the part.
func (l *lister) say(code string, w words, text, source string) daybook.Sentence {
	s := daybook.Sentence{Code: "work." + code, Text: w.fill(text, l.in.Holding.Units), Source: source}
	for _, place := range placeOf.FindAllString(text, -1) {
		name := place[1 : len(place)-1]
		if v, ok := w[name]; ok {
			if s.Args == nil {
				s.Args = map[string]any{}
			}
			s.Args[name] = v
		}
	}
	return s
}

// sentence is say for a text of which nothing is to be filled in.
func sentence(code, source, format string, a ...any) daybook.Sentence {
	return daybook.Sentence{Code: "work." + code, Text: fmt.Sprintf(format, a...), Source: source}
}

// count writes a rounded number with its noun.
func count(n float64, noun string) string {
	k := int(math.Round(n))
	if k == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", k, noun)
}

func capital(text string) string {
	r, size := utf8.DecodeRuneInString(text)
	if size == 0 {
		return text
	}
	return string(unicode.ToUpper(r)) + text[size:]
}

// days writes a number of days.
func days(n int) string { return count(float64(n), "day") }

// dayMonth writes a date without its year.
func dayMonth(d measure.Date) string { return fmt.Sprintf("%d %s", d.Day, d.Month) }

// spanWords writes a span of dates.
func spanWords(from, to measure.Date) string {
	switch {
	case from.Year != to.Year:
		return from.Words() + " to " + to.Words()
	case from.Month != to.Month:
		return dayMonth(from) + " to " + dayMonth(to)
	}
	return fmt.Sprintf("%d to %s", from.Day, dayMonth(to))
}

func earlier(a, b measure.Date) measure.Date {
	if b.Before(a) {
		return b
	}
	return a
}

func later(a, b measure.Date) measure.Date {
	if a.Before(b) {
		return b
	}
	return a
}
