package holding

import (
	"fmt"
	"strings"
	"time"

	"henyear/climate"
)

// Spreads are differences of temperature: 9 F are 5 C, and no 32 comes in.
var diffUnits = unitPair{"_c", "_f",
	func(v float64) float64 { return v / 1.8 },
	func(v float64) float64 { return v * 1.8 }}

var (
	spreadSpan = span{low: climate.LeastStrayC, high: climate.MostStrayC}
	memorySpan = span{low: climate.LeastMemory, high: climate.MostMemory}
)

// weatherKey marks figures out of a weather record.
const weatherKey = "weather_file"

// stray reads how the weather of the place strays; nil when nothing of it is told.
func (s *section) stray() *climate.Stray {
	var t climate.Stray
	told := false
	for _, part := range []struct {
		stem   string
		months *[12]float64
	}{{"day_spread", &t.DayC}, {"high_spread", &t.HighC}, {"low_spread", &t.LowC}, {"week_spread", &t.WeekC}} {
		values, given := s.twelve(part.stem, diffUnits, spreadSpan)
		if given {
			*part.months, told = values, true
		}
	}
	t.WeekMemory = s.or("week_memory", memorySpan, 0)
	t.DayMemory = s.or("day_memory", memorySpan, 0)
	if !told && t.WeekMemory == 0 && t.DayMemory == 0 {
		return nil
	}
	if m := t.WeekAboveDay(); m >= 0 {
		key, _ := s.key("week_spread", diffUnits)
		s.fault(s.find(key).line, fmt.Sprintf("%s (%s)", key, time.Month(m+1)), "is above the spread of single days in the same month",
			"check both; the mean of a week strays less than one day")
	}
	t.SourceKey = keeperKey
	return &t
}

// from reads who made the figures, and marks them as out of a record.
func (s *section) from(p *climate.Place) {
	text, given := s.text("weather_from")
	if !given {
		return
	}
	own := p.SourceKey == keeperKey
	if !own && p.Stray == nil {
		s.fault(s.find("weather_from").line, "weather_from", "tells whose figures these are, but none are given beside near",
			"leave it out, or give the figures of the record")
		return
	}
	p.From = text
	if own {
		p.SourceKey = weatherKey
	}
	if p.Stray != nil {
		p.Stray.SourceKey = weatherKey
	}
}

func (w *writer) stray(p climate.Place) {
	if t := p.Stray; t != nil {
		for _, part := range []struct {
			stem   string
			months [12]float64
		}{{"day_spread", t.DayC}, {"high_spread", t.HighC}, {"low_spread", t.LowC}, {"week_spread", t.WeekC}} {
			if part.months != [12]float64{} {
				w.twelve(part.stem, diffUnits, part.months)
			}
		}
		if t.WeekMemory != 0 {
			w.number("week_memory", t.WeekMemory)
		}
		if t.DayMemory != 0 {
			w.number("day_memory", t.DayMemory)
		}
	}
	switch {
	case strings.TrimSpace(p.From) != "":
		w.text("weather_from", p.From)
	case p.SourceKey == weatherKey || p.Stray != nil && p.Stray.SourceKey == weatherKey:
		w.text("weather_from", "a weather record")
	}
}
