package daybook

import (
	"fmt"
	"slices"
	"strconv"
)

// Sentence is a message with a stable code and arguments, for translation; Text
// is English. It has the same shape as the sentences of a plan.
type Sentence struct {
	Code   string         `json:"code"`
	Args   map[string]any `json:"args,omitempty"`
	Text   string         `json:"text"`
	Source string         `json:"source,omitempty"` // key in the bibliography
}

func say(code string, args map[string]any, format string, a ...any) Sentence {
	return Sentence{Code: code, Args: args, Text: fmt.Sprintf(format, a...)}
}

// count writes a number with its word: 1 egg, 2 eggs.
func count(n int, word string) string { return plural(n, word, word+"s") }

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func number(n int) string { return strconv.Itoa(n) }

// with is a new list, so that lists which begin alike never share an end.
func with(list []Sentence, more ...Sentence) []Sentence { return slices.Concat(list, more) }
