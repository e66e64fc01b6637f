package daybook

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"henyear/measure"
)

// readNumber is what one cell can mean as a number.
type readNumber struct {
	value  float64
	unit   string // kg, g, lb, oz, dozen, or empty
	comma  bool   // 1,234: a comma or full stop that may part decimals or thousands
	point  bool
	other  float64 // the value if the sign parts thousands
	proves rune    // the decimal sign that this cell shows beyond doubt; 0: none
}

// signs that mean "nothing written".
var blanks = map[string]bool{"": true, "-": true, "–": true, "—": true, "n/a": true, "na": true, "none": true, "?": true, ".": true, "x": true}

func isBlank(cell string) bool { return blanks[strings.ToLower(strings.TrimSpace(cell))] }

// units by the words that stand before or behind a number.
var unitWords = map[string]string{
	"kg": "kg", "kgs": "kg", "kilo": "kg", "kilos": "kg", "kilogram": "kg", "kilograms": "kg", "kilogramm": "kg",
	"g": "g", "gr": "g", "gram": "g", "grams": "g", "gramm": "g",
	"lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb", "#": "lb",
	"oz": "oz", "ounce": "oz", "ounces": "oz",
	"dozen": "dozen", "dozens": "dozen", "doz": "dozen", "dz": "dozen", "dutzend": "dozen",
	"egg": "", "eggs": "", "bird": "", "birds": "", "hen": "", "hens": "", "chick": "", "chicks": "", "stk": "", "pcs": "",
	"€": "", "$": "", "£": "", "eur": "", "usd": "", "gbp": "", "aud": "", "nzd": "", "cad": "", "chf": "", "kr": "", "fr": "",
}

// kilograms of the units of weight.
var unitKg = map[string]float64{"kg": 1, "g": 0.001, "lb": measure.KgPerPound, "oz": measure.GPerOunce / 1000}

// parseNumber reads a cell. Not a number, no finite number, or a number below 0
// is an error in a sentence.
func parseNumber(cell string) (readNumber, error) {
	fault := fmt.Errorf("%q is not a number", shorten(cell))
	text := strings.TrimSpace(cell)
	if len(text) > 40 {
		return readNumber{}, fault
	}
	if pounds, ounces, found := poundsAndOunces(text); found {
		return readNumber{value: pounds + ounces/16, unit: "lb"}, nil
	}
	body, unit, ok := stripUnits(text)
	if !ok {
		return readNumber{}, fault
	}
	if strings.HasPrefix(body, "-") {
		return readNumber{}, fmt.Errorf("%q is below nothing", shorten(cell))
	}
	r, ok := parseFigures(strings.TrimPrefix(body, "+"))
	if !ok || math.IsInf(r.value, 0) || r.value > 1e12 {
		return readNumber{}, fault
	}
	r.unit = unit
	return r, nil
}

// stripUnits takes the words off both ends of a number.
func stripUnits(text string) (body, unit string, ok bool) {
	isFigure := func(r rune) bool { return r >= '0' && r <= '9' }
	first := strings.IndexFunc(text, isFigure)
	last := strings.LastIndexFunc(text, isFigure)
	if first < 0 {
		return "", "", false
	}
	before, behind := text[:first], text[last+1:]
	body = text[first : last+1]
	if b := strings.TrimSpace(before); strings.HasSuffix(b, "-") || strings.HasSuffix(b, "−") {
		body, before = "-"+body, strings.TrimRight(b, "-−")
	} else if strings.HasSuffix(b, ".") || strings.HasSuffix(b, ",") { // .5
		body, before = "0"+b[len(b)-1:]+body, b[:len(b)-1]
	}
	for _, side := range []string{before, behind} {
		word := strings.ToLower(strings.Trim(side, " .\u00a0\u202f'"))
		if word == "" {
			continue
		}
		u, known := unitWords[word]
		if !known {
			return "", "", false
		}
		if u != "" {
			unit = u
		}
	}
	return body, unit, true
}

func poundsAndOunces(text string) (pounds, ounces float64, found bool) {
	low := strings.ToLower(text)
	at := strings.Index(low, "lb")
	if at < 0 || !strings.Contains(low, "oz") {
		return 0, 0, false
	}
	p, err1 := strconv.ParseFloat(strings.TrimSpace(low[:at]), 64)
	rest := strings.TrimLeft(low[at:], "lbs., ")
	o, err2 := strconv.ParseFloat(strings.TrimSpace(strings.TrimRight(rest, "oz. ")), 64)
	sound := err1 == nil && err2 == nil && p >= 0 && p < 1e6 && o >= 0 && o < 16 && p == math.Trunc(p)
	return p, o, sound
}

// parseFigures reads figures with their signs of decimals and thousands.
func parseFigures(body string) (readNumber, bool) {
	body = strings.Map(func(r rune) rune {
		switch {
		case r == '\u00a0' || r == '\u202f' || r == '\u2019' || r == '\'' || r == ' ':
			return ' '
		case r >= '0' && r <= '9' || r == ',' || r == '.':
			return r
		case unicode.IsSpace(r):
			return ' '
		}
		return 'x'
	}, body)
	if strings.Contains(body, "x") {
		return readNumber{}, false
	}
	if strings.Contains(body, " ") {
		whole, fraction, _ := strings.Cut(strings.ReplaceAll(body, ",", "."), ".")
		if !grouped(whole, ' ') || strings.Contains(fraction, " ") {
			return readNumber{}, false
		}
		body = strings.ReplaceAll(body, " ", "")
	}
	commas, points := strings.Count(body, ","), strings.Count(body, ".")
	switch {
	case commas == 0 && points == 0:
		return figuresOf(body, 0)
	case commas > 0 && points > 0:
		decimal, thousands := '.', ','
		if strings.LastIndexByte(body, ',') > strings.LastIndexByte(body, '.') {
			decimal, thousands = ',', '.'
		}
		whole, _, _ := strings.Cut(body, string(decimal))
		if strings.Count(body, string(decimal)) > 1 || !grouped(whole, thousands) {
			return readNumber{}, false
		}
		return figuresOf(strings.ReplaceAll(body, string(thousands), ""), decimal)
	case commas > 1 || points > 1:
		sign := ','
		if points > 1 {
			sign = '.'
		}
		if !grouped(body, sign) {
			return readNumber{}, false
		}
		r, ok := figuresOf(strings.ReplaceAll(body, string(sign), ""), 0)
		r.proves = map[rune]rune{',': '.', '.': ','}[sign]
		return r, ok
	}
	sign := ','
	if points == 1 {
		sign = '.'
	}
	r, ok := figuresOf(body, sign)
	if whole, fraction, _ := strings.Cut(body, string(sign)); len(fraction) == 3 && len(whole) <= 3 && whole != "0" && whole != "" {
		r.proves = 0
		r.comma, r.point = sign == ',', sign == '.'
		r.other = math.Round(r.value * 1000)
	}
	return r, ok
}

func figuresOf(body string, decimal rune) (readNumber, bool) {
	if decimal != 0 {
		body = strings.Replace(body, string(decimal), ".", 1)
	}
	v, err := strconv.ParseFloat(body, 64)
	return readNumber{value: v, proves: decimal}, err == nil
}

// grouped reports whether figures are parted in threes.
func grouped(text string, by rune) bool {
	parts := strings.Split(text, string(by))
	for i, p := range parts {
		if i > 0 && len(p) != 3 || i == 0 && (len(p) == 0 || len(p) > 3 && len(parts) > 1) {
			return false
		}
	}
	return true
}

// in reads the number with a known decimal sign; 0 means that none is known, and
// ok is false if that matters.
func (r readNumber) in(decimal rune) (value float64, ok bool) {
	switch {
	case !r.comma && !r.point:
		return r.value, true
	case decimal == 0:
		return 0, false
	case r.comma == (decimal == ','):
		return r.value, true
	}
	return r.other, true
}

// whole reads the number where only whole ones make sense, so that the sign can
// only part thousands.
func (r readNumber) whole() float64 {
	if r.comma || r.point {
		return r.other
	}
	return r.value
}
