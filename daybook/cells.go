package daybook

import (
	"bytes"
	"strings"
)

// formulaMarks begin a formula in one spreadsheet or another, the wide forms of
// East Asian keyboards included. Some pass over blanks and line ends before them.
const formulaMarks = "=+-@\t\r\n\uff1d\uff0b\uff0d\uff20"

// Guarded writes a text as a cell of a CSV file that no spreadsheet runs: an
// apostrophe stands before what begins with one of the signs of a formula, blanks
// before them passed over, and before what begins with an apostrophe. It is the
// one rule for every CSV file of the program.
func Guarded(text string) string {
	if needsGuard(text) {
		return "'" + text
	}
	return text
}

// Unguarded takes the apostrophe of Guarded away again. A text that a person
// wrote with an apostrophe of their own before a plain letter stays as it is.
func Unguarded(text string) string {
	if rest, found := strings.CutPrefix(text, "'"); found && needsGuard(rest) {
		return rest
	}
	return text
}

func needsGuard(text string) bool {
	first := firstRune(strings.TrimLeft(text, " \u00a0\u3000\ufeff"))
	return first != 0 && (text[0] == '\'' || strings.ContainsRune(formulaMarks, first))
}

// WriteRow writes one line of a CSV file as RFC 4180 has it, closed with CR LF.
// Whatever another program might cut at is quoted, so that no part of a text
// becomes a cell of its own.
func WriteRow(out *bytes.Buffer, cells []string) {
	for i, c := range cells {
		if i > 0 {
			out.WriteByte(',')
		}
		if !strings.ContainsAny(c, ",;|\t\"\r\n") && strings.TrimSpace(c) == c {
			out.WriteString(c)
			continue
		}
		out.WriteByte('"')
		out.WriteString(strings.ReplaceAll(c, `"`, `""`))
		out.WriteByte('"')
	}
	out.WriteString("\r\n")
}

// firstRune is the first letter of a text, 0 of an empty one.
func firstRune(text string) rune {
	for _, r := range text {
		return r
	}
	return 0
}
