package calendar

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"henyear/holding"
	"henyear/measure"
)

// NameOf is what the calendar of a holding is called.
func NameOf(h *holding.Holding) string { return h.Name + ": hens" }

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
func description(t Task, first measure.Date, times int) string {
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
	if t.Away != nil {
		add(t.Away.Text)
	}
	add(window(t, first, times))
	add(effort(t, times))
	return strings.Join(lines, "\n")
}

// window tells the days between which a job still serves, or comes again.
func window(t Task, first measure.Date, times int) string {
	if !isDate(t.First) || !isDate(t.Last) || t.First == t.Last {
		return ""
	}
	last := first.AddDays(t.Every * (times - 1)).Words()
	switch {
	case times > 1 && t.Every == 1:
		return fmt.Sprintf("Every day from %s to %s.", first.Words(), last)
	case times > 1 && t.Every == 7:
		return fmt.Sprintf("Every week from %s to %s.", first.Words(), last)
	case times > 1:
		return fmt.Sprintf("Every %d days from %s to %s.", t.Every, first.Words(), last)
	case t.Every > 0:
		return ""
	}
	return fmt.Sprintf("Any day from %s to %s will do.", t.First.Words(), t.Last.Words())
}

// effort tells how long a job takes and who can do it.
func effort(t Task, times int) string {
	who := whoWords[t.Who]
	minutes := math.Round(t.Minutes)
	each := ""
	if times > 1 {
		each = " each time"
	}
	switch {
	case !(minutes >= 1) || math.IsInf(minutes, 0):
		return who
	case minutes == 1:
		return strings.TrimSpace(fmt.Sprintf("About a minute of one person%s. %s", each, who))
	}
	return strings.TrimSpace(fmt.Sprintf("About %.0f minutes of one person%s. %s", minutes, each, who))
}

var whoWords = map[Who]string{
	Anyone:  "Anyone can do it.",
	Keeper:  "For somebody who knows the flock.",
	Two:     "Needs a second pair of hands.",
	Skilled: "For a trained person, as local law asks.",
}

var kindWords = map[Kind]string{
	Daily: "Daily round", Eggs: "Hatching eggs", Hatch: "Hatch", Chicks: "Chicks", Rearing: "Young birds", Butcher: "Butcher day", Cull: "Cull",
	Feed: "Feed", Health: "Health", House: "House", Weather: "Weather", Light: "Lights", Order: "Orders", Records: "Records", Leave: "Away weeks",
}

// KindWords names a kind of job for a reader.
func KindWords(k Kind) string { return category(k) }

// category names the kind of a job as calendars sort and colour by it.
func category(k Kind) string {
	if words, known := kindWords[k]; known {
		return words
	}
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
