package weather

import (
	"bytes"
	"math"
	"strconv"
)

// split cuts a line into fields at the delimiter, or at runs of blanks when the
// delimiter is a blank. Quotes round a field are taken off and hide delimiters;
// blanks round a field go. It reports false where a quote stays open.
func split(line []byte, delimiter byte, into [][]byte) ([][]byte, bool) {
	into = into[:0]
	if delimiter == ' ' {
		for len(line) > 0 {
			line = bytes.TrimLeft(line, " \t")
			end := bytes.IndexAny(line, " \t")
			if end < 0 {
				end = len(line)
			}
			if end > 0 {
				into = append(into, line[:end])
			}
			line = line[end:]
		}
		return into, true
	}
	for {
		line = bytes.TrimLeft(line, " ")
		if len(line) == 0 || line[0] != '"' {
			end := bytes.IndexByte(line, delimiter)
			if end < 0 {
				return append(into, bytes.TrimSpace(line)), true
			}
			into = append(into, bytes.TrimSpace(line[:end]))
			line = line[end+1:]
			continue
		}
		field, rest, closed := quoted(line[1:])
		if !closed {
			return into, false
		}
		into = append(into, bytes.TrimSpace(field))
		rest = bytes.TrimLeft(rest, " ")
		if len(rest) == 0 {
			return into, true
		}
		if rest[0] != delimiter {
			return into, false
		}
		line = rest[1:]
	}
}

// quoted reads to the closing quote; two quotes inside stand for one.
func quoted(text []byte) (field, rest []byte, closed bool) {
	var built []byte
	for from := text; ; {
		i := bytes.IndexByte(from, '"')
		if i < 0 {
			return nil, nil, false
		}
		if i+1 < len(from) && from[i+1] == '"' {
			built = append(built, from[:i+1]...)
			from = from[i+2:]
			continue
		}
		if built == nil {
			return from[:i], from[i+1:], true
		}
		return append(built, from[:i]...), from[i+1:], true
	}
}

// A reading is what stands in a field.
type reading int

const (
	value reading = iota
	missing
	trace // rain too little to measure
	wrong // neither a number nor a way to say that there is none
)

// number reads a field. Missing is written in many ways: nothing, NaN, NA, dashes,
// or a number that no weather can have (-9999, -999.9 and the like). A star or a
// number sign behind a figure marks it as estimated or as of another instrument; the
// figure stands. Exponents are allowed, other spellings of numbers are not.
func number(field []byte, decimalComma bool) (float64, reading) {
	for len(field) > 0 && (field[len(field)-1] == '*' || field[len(field)-1] == '#') {
		field = field[:len(field)-1]
	}
	if len(field) == 0 {
		return 0, missing
	}
	v, ok := plainNumber(field, decimalComma)
	if !ok {
		return 0, words(field)
	}
	if isMissingCode(v) {
		return 0, missing
	}
	return v, value
}

// isMissingCode tells the numbers by which services say that there is none
// (-9999, -999.9, -99.9 and their like), from measurements: nothing on earth is
// that cold, and nothing else in these tables falls below zero. A bare -99 is left to
// the caller, who knows whether it may be -9.9 C in tenths.
func isMissingCode(v float64) bool {
	switch v {
	case -99.9, -99.99, -999, -999.9, -999.99, -9999, -9999.9, -99999, 9999, 9999.9, 99999, 999999:
		return true
	}
	return false
}

func words(field []byte) reading {
	if len(field) > 8 {
		return wrong
	}
	switch string(bytes.ToLower(field)) {
	case "nan", "na", "n/a", "null", "none", "nil", "-", "--", "---", ".", "m", "missing", "x":
		return missing
	case "t", "trace", "tr":
		return trace
	}
	return wrong
}

var powers = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// plainNumber reads digits with a sign and a decimal point. Up to fifteen digits
// both digits and power of ten are whole numbers that a float64 holds exactly, so
// that their quotient is the nearest float64.
func plainNumber(field []byte, decimalComma bool) (float64, bool) {
	point := byte('.')
	if decimalComma {
		point = ','
	}
	digits, after, seenPoint := 0.0, 0, false
	count, negative := 0, false
	for i, b := range field {
		switch {
		case b >= '0' && b <= '9':
			digits = digits*10 + float64(b-'0')
			count++
			if seenPoint {
				after++
			}
		case b == point && !seenPoint, b == '.' && !seenPoint:
			seenPoint = true
		case (b == '-' || b == '+') && i == 0:
			negative = b == '-'
		case (b == 'e' || b == 'E') && count > 0:
			return exponent(field)
		default:
			return 0, false
		}
	}
	if count == 0 || count > 15 {
		return 0, false
	}
	v := digits / powers[after]
	if negative {
		v = -v
	}
	return v, true
}

func exponent(field []byte) (float64, bool) {
	if len(field) > 30 || bytes.IndexFunc(field, func(r rune) bool {
		return (r < '0' || r > '9') && r != '.' && r != '-' && r != '+' && r != 'e' && r != 'E'
	}) >= 0 {
		return 0, false
	}
	v, err := strconv.ParseFloat(string(field), 64)
	return v, err == nil && !math.IsInf(v, 0)
}

// integer reads one to nine digits, with blanks before them allowed.
func integer(field []byte) (int, bool) {
	field = bytes.TrimLeft(field, " ")
	if len(field) == 0 || len(field) > 9 {
		return 0, false
	}
	n := 0
	for _, b := range field {
		if b < '0' || b > '9' {
			return 0, false
		}
		n = n*10 + int(b-'0')
	}
	return n, true
}

// signed reads an integer with a sign.
func signed(field []byte) (int, bool) {
	field = bytes.TrimLeft(field, " ")
	if len(field) > 0 && field[0] == '-' {
		n, ok := integer(field[1:])
		return -n, ok && field[1] != ' '
	}
	return integer(field)
}

// bareCode is the missing code that is also a frosty night in tenths of a degree.
const bareCode = -99
