package calendar

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"
)

// summary is the line that a calendar shows for a job.
func summary(t Task) string {
	switch t.State {
	case Done:
		return "Done: " + t.What.Text
	case Missed:
		return "Missed: " + t.What.Text
	case Gone:
		return "No longer needed: " + t.What.Text
	}
	return t.What.Text
}

// description is what a calendar shows when a job is opened: first what can
// hurt, then why, when, how long, who, and what became of it.
func description(t Task) string {
	var lines []string
	add := func(text string) {
		if text != "" {
			lines = append(lines, text)
		}
	}
	if t.Caution != nil {
		add("Caution: " + t.Caution.Text)
	}
	if t.State == Done && !t.DoneOn.IsZero() {
		add(fmt.Sprintf("Done on %s.", t.DoneOn.Words()))
	}
	if t.Matters != nil {
		add(t.Matters.Text)
	}
	add(t.Why.Text)
	if t.Moved != nil {
		add(t.Moved.Text)
	}
	add(window(t))
	add(effort(t))
	return strings.Join(lines, "\n")
}

// window tells the days between which a job still serves.
func window(t Task) string {
	if !isDate(t.First) || !isDate(t.Last) || t.First == t.Last {
		return ""
	}
	return fmt.Sprintf("Any day from %s to %s will do.", t.First.Words(), t.Last.Words())
}

// effort tells how long a job takes and who can do it.
func effort(t Task) string {
	who := whoWords[t.Who]
	minutes := math.Round(t.Minutes)
	switch {
	case !(minutes >= 1) || math.IsInf(minutes, 0):
		return who
	case minutes == 1:
		return strings.TrimSpace("About a minute of one person. " + who)
	}
	return strings.TrimSpace(fmt.Sprintf("About %.0f minutes of one person. %s", minutes, who))
}

var whoWords = map[Who]string{
	Anyone:  "Anyone can do it.",
	Keeper:  "For somebody who knows the flock.",
	Two:     "Needs a second pair of hands.",
	Skilled: "For a trained person, as local law asks.",
}

// category names the kind of a job as calendars sort and colour by it.
func category(k Kind) string {
	text := strings.ReplaceAll(string(k), "_", " ")
	first, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + text[size:]
}

// plainText makes any text fit for a line of a calendar file: valid UTF-8, a
// line end of one kind, and no other control characters, of which the format
// has no spelling. A tab becomes a blank.
func plainText(text string) string {
	text = strings.ToValidUTF8(text, "\uFFFD")
	text = lineEnds.Replace(text)
	return strings.Map(func(c rune) rune {
		switch {
		case c == '\n':
			return c
		case c == '\t':
			return ' '
		case unicode.IsControl(c):
			return -1
		}
		return c
	}, text)
}

var lineEnds = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\u0085", "\n", "\u2028", "\n", "\u2029", "\n", "\v", "\n", "\f", "\n")
