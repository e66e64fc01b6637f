package holding

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"henyear/source"
)

// A Problem is one fault in a holding file, told so that the keeper can mend
// it. Line counts from 1; 0 means the file as a whole. Field is the key as it
// stands in the file, with entries of a list counted from 1: house[2].area_m2.
// What is the fault, Right is what would be right.
type Problem struct {
	File  string `json:"file"`
	Line  int    `json:"line"`
	Field string `json:"field"`
	What  string `json:"what"`
	Right string `json:"right"`
}

// String writes the problem as one sentence with its place in the file.
func (p Problem) String() string {
	text := p.File
	if p.Line > 0 {
		text += fmt.Sprintf(" line %d", p.Line)
	}
	text += ": "
	if p.Field != "" {
		text += p.Field + " "
	}
	text += p.What
	if p.Right != "" {
		text += "; " + p.Right
	}
	if strings.HasSuffix(text, "?") {
		return text
	}
	return text + "."
}

// Problems is the error that Read returns: every fault it found, in the order
// of the file.
type Problems []Problem

// Error lists the problems one below the other.
func (list Problems) Error() string {
	lines := make([]string, len(list))
	for i, p := range list {
		lines[i] = p.String()
	}
	return strings.Join(lines, "\n")
}

func (list Problems) sort() {
	slices.SortStableFunc(list, func(a, b Problem) int { return cmp.Compare(a.Line, b.Line) })
}

// A Note tells of a figure that the file does not give and the program took
// instead. Source is a key of the bibliography.
type Note struct {
	Line   int    `json:"line"`
	Field  string `json:"field"`
	Text   string `json:"text"`
	Source string `json:"source"`
}

// String writes the note as one sentence that ends with the kind of knowledge
// behind the figure taken.
func (n Note) String() string {
	behind := ""
	if entry, ok := source.Lookup(n.Source); ok {
		behind = map[source.Kind]string{
			source.Published: " (published: " + n.Source + ")",
			source.Practice:  " (common practice)",
			source.Memory:    " (from memory)",
			source.Guess:     " (a guess)",
		}[entry.Kind]
	}
	return n.Field + " not given: " + n.Text + behind
}
