package report

import (
	"io"
	"regexp"
	"strings"
	"unicode"

	"henyear/climate/weather"
)

var hyphenMinus = regexp.MustCompile(`(^|[ (])-(\d)`)

// NoteWords is the sentence of a note with the minus signs of pages and tables.
func NoteWords(n weather.Note) string {
	return hyphenMinus.ReplaceAllString(PlainWords(n.Text), "$1−$2")
}

// PlainWords is a sentence without the control characters that a file may bring
// into it, so that no file can steer a terminal.
func PlainWords(text string) string {
	return strings.Map(func(c rune) rune {
		if !unicode.IsPrint(c) && c != '\u00a0' && c != '\u202f' {
			return '?'
		}
		return c
	}, text)
}

// WeatherText writes what a record says as plain text for a terminal of the given
// width in columns. It returns the error of the writer.
func WeatherText(w io.Writer, a *WeatherAnswer, width int) error {
	s := newSheet(width)
	s.heading(say("weather.text.title", a.Title()))
	for _, line := range a.FileWords() {
		s.paragraph("", "", line)
	}
	for _, n := range a.Summary.Notes {
		s.paragraph("- ", "  ", NoteWords(n))
	}
	s.part(say("weather.years.title"), a.WeatherYears())
	s.part(say("weather.months.title"), a.WeatherMonths())
	if said := a.Summary.Sentences(a.Units); len(said) > 0 {
		s.heading(say("weather.said.title"))
		for _, n := range said {
			s.paragraph("", "", NoteWords(n))
		}
	}
	s.part(say("weather.levels.title"), a.WeatherLevels())
	s.part(say("weather.facts"), a.WeatherFacts())
	s.part(say("weather.spread.title"), a.WeatherSpread())
	if words := a.SpreadWords(); words != "" {
		s.paragraph("", "", words)
	}
	s.nearest(a)
	s.planned(a)
	return s.to(w)
}

// Title names the place of the record.
func (a *WeatherAnswer) Title() string {
	switch {
	case a.Place != nil:
		return a.Place.Name
	case a.Summary.Station != "":
		return cleanName(a.Summary.Station)
	}
	return cleanName(a.Summary.Name)
}

func (s *sheet) nearest(a *WeatherAnswer) {
	if len(a.Nearest) == 0 {
		return
	}
	s.heading(say("weather.compare.title"))
	s.paragraph("", "", say("weather.compare.lead"))
	for _, c := range a.Nearest {
		s.line("")
		s.paragraph("", "", a.CompareWords(c))
		s.table(a.WeatherCompare(c))
	}
}

func (s *sheet) planned(a *WeatherAnswer) {
	s.heading(say("weather.plan.title"))
	if a.Place != nil {
		s.paragraph("", "", say("weather.plan.lead"))
	}
	for _, n := range a.PlaceNotes {
		s.paragraph("- ", "  ", NoteWords(n))
	}
}
