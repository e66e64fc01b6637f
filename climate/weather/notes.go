package weather

import (
	"fmt"
	"strings"
)

// tellReading writes the notes about the file as a whole: how it was read and what
// was left out.
func (r *Record) tellReading(in *lines, c *collector) {
	if in.latin {
		r.tell("latin", nil, "Some letters of the file are not UTF-8; they were read as Latin-1, which figures do not depend on.")
	}
	if c.greenwich {
		r.tell("greenwich", nil, "The times are those of Greenwich (UTC), so that days begin at another hour than yours.")
	}
	if c.timedHighs > 0 && c.earlyHighs*10 > c.timedHighs {
		share := 100 * c.earlyHighs / c.timedHighs
		r.tell("morning-readings", map[string]any{"percent": share},
			"%d %% of the highs were read in the morning, so that they belong to the afternoon before; means of months hardly feel it.", share)
	}
	for _, line := range r.Dropped.list() {
		r.tell(line.code, map[string]any{"count": line.count}, "%s", line.words())
	}
	if r.Normals == nil && r.Kind != TypicalYear {
		r.tellYearsUsed()
	}
}

type droppedLine struct {
	code, one, many string
	count           int
}

func (l droppedLine) words() string {
	if l.count == 1 {
		return l.one
	}
	return fmt.Sprintf(l.many, l.count)
}

// list names each way in which something was left out, where it happened.
func (d Dropped) list() []droppedLine {
	all := []droppedLine{
		{"dropped-flagged", "1 value was left out because the service itself marks it as doubtful.", "%d values were left out because the service itself marks them as doubtful.", d.Flagged},
		{"dropped-impossible", "1 value was left out because nothing like it was ever measured on earth.", "%d values were left out because nothing like them was ever measured on earth.", d.Impossible},
		{"dropped-crossed", "1 high was left out with its low because it lies below it.", "%d highs were left out with their lows because they lie below them.", d.Crossed},
		{"dropped-repeated", "1 value stands in the file again, unchanged; it counts once.", "%d values stand in the file again, unchanged; they count once.", d.Repeated},
		{"dropped-conflict", "1 value stands in the file again with another figure; the first counts.", "%d values stand in the file again with another figure; the first of each counts.", d.Conflict},
		{"dropped-future", "1 line dated after today was left out.", "%d lines dated after today were left out.", d.Future},
		{"dropped-malformed", "1 line could not be read and was left out.", "%d lines could not be read and were left out.", d.Malformed},
		{"dropped-thin", "1 day has too few readings for a high and a low and was left out.", "%d days have too few readings for a high and a low and were left out.", d.ThinDays},
	}
	var some []droppedLine
	for _, line := range all {
		if line.count > 0 {
			some = append(some, line)
		}
	}
	return some
}

func (r *Record) tellYearsUsed() {
	first, last := r.Days[0].Date, r.Days[len(r.Days)-1].Date
	whole, wanted := 0, last.DaysSince(first)+1
	for _, d := range r.Days {
		if given(d.HighC) && given(d.LowC) {
			whole++
		}
	}
	text := fmt.Sprintf("The file runs from %s to %s", first.Words(), last.Words())
	if whole > 0 { // highs and lows may come in files of their own
		text += fmt.Sprintf("; %.1f %% of the days have a high and a low", 100*float64(whole)/float64(wanted))
	}
	r.tell("years", map[string]any{"from": first.String(), "to": last.String(), "days": whole, "of": wanted}, "%s.", text)
	if r.From.Year > first.Year {
		r.tell("years-used", map[string]any{"from": r.From.Year, "to": r.To.Year},
			"Of these the years %d to %d are used, the last thirty or so, because older years were colder or warmer than those to come.", r.From.Year, r.To.Year)
	}
}

func monthCount(n int) string {
	if n == 1 {
		return "1 month"
	}
	return fmt.Sprintf("%d months", n)
}

// sayWhatLacks adds to a summary what the file cannot tell.
func (s *Summary) sayWhatLacks(r *Record) {
	add := func(code string, args map[string]any, format string, a ...any) {
		s.Notes = append(s.Notes, note(code, args, format, a...))
	}
	var lack []string
	for _, q := range []struct {
		name string
		pick func(Month) Figure
	}{
		{"highs", func(m Month) Figure { return m.HighC }}, {"lows", func(m Month) Figure { return m.LowC }},
		{"rain", func(m Month) Figure { return m.RainMM }}, {"humidity", func(m Month) Figure { return m.HumidityPct }},
		{"wind", func(m Month) Figure { return m.WindMS }},
	} {
		months := 0
		for _, m := range s.Months {
			if q.pick(m).Known() {
				months++
			}
		}
		switch {
		case months == 0:
			lack = append(lack, q.name)
		case months < 12:
			lack = append(lack, fmt.Sprintf("%s for %s", q.name, monthCount(12-months)))
		}
	}
	if len(lack) > 0 {
		add("lacks", map[string]any{"what": lack}, "The file lacks %s.", strings.Join(lack, ", "))
	}
	if r.Normals != nil {
		add("normals-only", nil, "Monthly normals have no single days: extremes, frost dates, heat waves and spread cannot be told from them.")
		return
	}
	if !s.Typical && (s.Coldest == nil || s.Coldest.Years < yearsForExtreme) {
		winters := 0
		if s.Coldest != nil {
			winters = s.Coldest.Years
		}
		add("few-winters", map[string]any{"winters": winters}, "The file has %d whole winters; the hardiness zone and what is passed once in so many years need %d.", winters, yearsForExtreme)
	}
	for _, e := range []struct {
		of   *Extremes
		what string
	}{{s.Coldest, "coldest nights"}, {s.Hottest, "hottest days"}} {
		if e.of != nil && len(e.of.Levels) > 0 && !e.of.Fits {
			add("law-misfits", map[string]any{"what": e.what, "l_skew": e.of.LSkew},
				"The %s of the years do not follow the law by which rare ones are told; beyond twenty years take the worst on record instead.", e.what)
		}
	}
}
