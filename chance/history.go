package chance

import (
	"embed"
	"encoding/csv"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"time"

	"henyear/breed"
	"henyear/climate"
	"henyear/measure"
)

// The open histories: published records of small flocks, to see whether the
// ranges that the simulator gives hold what happened to real households. The
// rule by which they were chosen, filled in and split was written down before
// any was simulated; docs/models/chance.md has it.
//
//go:embed data/histories*.csv
var historyData embed.FS

// HistorySet says what a history is used for.
type HistorySet string

const (
	Setting HistorySet = "setting" // the spread of years and households is set on it
	Testing HistorySet = "testing" // never used to set anything
	Short   HistorySet = "short"   // a single count, reported apart
)

// Span tells how long a count runs.
type Span string

const (
	OneMonth  Span = "month" // or a count of a few weeks
	WholeYear Span = "year"
	PartYear  Span = "part"
)

// A History is one flock as its record describes it. It holds what the
// simulator is told (place, light, groups) and, apart from that, what was
// counted.
type History struct {
	No             int
	ID, Name       string
	Set            HistorySet
	Class          string // unlit mixed, unlit pullets, old, lit
	Place          climate.Place
	Open           []string     // what the record does not state: place, place-mild, breed, ages
	LitFrom, LitTo measure.Date // lamps between these days; zero: none
	Groups         []HistoryGroup
	Counts         []Count
	Source         string // key in the bibliography
	Known          string // what the record says
	Assumed        string // what it does not say, and is filled in
}

// HistoryGroup is hens of one age and stock, present from one day to another.
type HistoryGroup struct {
	Breed             *breed.Breed
	Strain            breed.Strain
	Number            int
	Hatched, From, To measure.Date
}

// A Count is eggs collected from hens kept over some days, both included.
type Count struct {
	Span       Span
	From, To   measure.Date
	Hens       float64 // 0 when not printed
	Eggs       float64 // 0 with PrintedPct when not printed
	PrintedPct float64 // hen-day lay as the record prints it
	Scored     bool    // held against the simulation
	Note       string
}

// Days of the count.
func (c Count) Days() int { return c.To.DaysSince(c.From) + 1 }

// HenDayPct is eggs over hens times days where these are printed, else the
// record's own percentage.
func (c Count) HenDayPct() float64 {
	if c.PrintedPct > 0 || c.Hens == 0 {
		return c.PrintedPct
	}
	return 100 * c.Eggs / (c.Hens * float64(c.Days()))
}

// LeftOut is a record that is not simulated.
type LeftOut struct{ What, Reason, Source string }

var loadHistories = sync.OnceValues(readHistories)

// Histories lists the records in the order in which they were collected. They
// are shared: read them, do not change them. An error is a fault in the
// embedded tables.
func Histories() ([]History, error) { return loadHistories() }

// HistoriesLeftOut lists the records that cannot be simulated honestly.
func HistoriesLeftOut() ([]LeftOut, error) {
	var list []LeftOut
	err := eachLine("histories_left_out.csv", func(l line) {
		list = append(list, LeftOut{l.text("what"), l.text("reason"), l.text("source")})
	})
	return list, err
}

func readHistories() ([]History, error) {
	var list []History
	at := map[string]*History{}
	err := eachLine("histories.csv", func(l line) { list = append(list, l.history()) })
	for i := range list {
		at[list[i].ID] = &list[i]
	}
	each := func(name string, put func(h *History, l line)) {
		err = errors.Join(err, eachLine(name, func(l line) {
			h := at[l.text("history")]
			if h == nil {
				l.fail("history", "the id of one")
				return
			}
			put(h, l)
		}))
	}
	each("histories_groups.csv", func(h *History, l line) { h.Groups = append(h.Groups, l.groups()...) })
	each("histories_months.csv", func(h *History, l line) { h.Counts = append(h.Counts, l.count(OneMonth)) })
	each("histories_years.csv", func(h *History, l line) {
		span := PartYear
		if l.yes("whole") {
			span = WholeYear
		}
		h.Counts = append(h.Counts, l.count(span))
	})
	return list, err
}

func (l line) history() History {
	h := History{
		No: int(l.number("no")), ID: l.text("id"), Name: l.text("name"), Class: l.text("class"),
		Open: strings.Fields(l.text("open")), LitFrom: l.date("lit_from"), LitTo: l.date("lit_to"),
		Source: l.text("source"), Known: l.text("known"), Assumed: l.text("assumed"),
	}
	h.Set = half(h.No)
	if l.text("set") == string(Short) {
		h.Set = Short
	}
	place, err := climate.FindPlace(l.text("place"))
	if err != nil {
		l.fail("place", "in the catalogue")
	}
	if l.text("latitude_deg") != "" {
		place.LatitudeDeg = l.number("latitude_deg")
	}
	h.Place = place
	return h
}

// half of the histories with months or years: odd numbers set the spread, even
// ones test it.
func half(no int) HistorySet {
	if no%2 == 1 {
		return Setting
	}
	return Testing
}

// groups reads a line of hens and repeats it for the pullets of later years.
func (l line) groups() []HistoryGroup {
	b, err := breed.Find(l.text("breed"))
	if err != nil {
		l.fail("breed", "in the catalogue")
		return nil
	}
	var list []HistoryGroup
	for year := range int(l.number("again")) + 1 {
		later := func(column string) measure.Date {
			d := l.date(column)
			d.Year += year
			return d
		}
		list = append(list, HistoryGroup{
			Breed: b, Strain: breed.Strain(l.text("strain")), Number: int(l.number("number")),
			Hatched: later("hatched"), From: later("from"), To: later("to"),
		})
	}
	return list
}

func (l line) count(span Span) Count {
	return Count{
		Span: span, From: l.date("from"), To: l.date("to"), Hens: l.number("hens"), Eggs: l.number("eggs"),
		PrintedPct: l.number("printed_pct"), Scored: l.yes("scored"), Note: l.text("note"),
	}
}

// line is one line of an embedded table, by column name.
type line struct {
	table  string
	no     int
	cells  map[string]string
	faults *[]error
}

func eachLine(name string, each func(line)) error {
	f, err := historyData.Open("data/" + name)
	if err != nil {
		return err
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	var faults []error
	for i, fields := range lines[1:] {
		cells := map[string]string{}
		for k, column := range lines[0] {
			cells[column] = fields[k]
		}
		each(line{name, i + 2, cells, &faults})
	}
	return errors.Join(faults...)
}

func (l line) fail(column, want string) {
	*l.faults = append(*l.faults, fmt.Errorf("%s line %d: %s %q is not %s", l.table, l.no, column, l.cells[column], want))
}

func (l line) text(column string) string {
	if _, ok := l.cells[column]; !ok {
		l.fail(column, "a column")
	}
	return l.cells[column]
}

// number reads a number; an empty cell is 0, not stated.
func (l line) number(column string) float64 {
	cell := l.text(column)
	if cell == "" {
		return 0
	}
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		l.fail(column, "a number")
	}
	return v
}

func (l line) yes(column string) bool {
	cell := l.text(column)
	if cell != "yes" && cell != "no" {
		l.fail(column, "yes or no")
	}
	return cell == "yes"
}

// date reads a day; an empty cell is no day. Some records are older than any
// date a keeper may write.
func (l line) date(column string) measure.Date {
	cell := l.text(column)
	if cell == "" {
		return measure.Date{}
	}
	day, err := time.Parse(time.DateOnly, cell)
	if err != nil {
		l.fail(column, "a date")
	}
	return measure.DateOf(day)
}
