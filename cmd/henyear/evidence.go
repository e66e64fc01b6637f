package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"henyear/report"
	"henyear/source"
)

// knownMiss begins the note of a published value that the program is known not
// to meet. It is shown with its reason and does not count as a fault.
const knownMiss = "known miss"

type evidenceCommand struct {
	JSON bool   `help:"Print JSON."`
	Room string `help:"Only the checks of this room, for example climate." placeholder:"ROOM"`
}

// Run prints every published value beside what the program computes for it.
func (c evidenceCommand) Run(t terminal) error {
	checks, err := gather()
	if err != nil {
		return err
	}
	if c.Room != "" {
		checks = slices.DeleteFunc(checks, func(k source.Check) bool { return k.Room != c.Room })
		if len(checks) == 0 {
			return badInput{fmt.Errorf("no room called %q has checks; leave --room away to see them all", c.Room)}
		}
	}
	if c.JSON {
		err = evidenceJSON(t.out, checks)
	} else {
		err = evidenceTable(t.out, checks)
	}
	if err != nil {
		return err
	}
	if n := count(checks, surprise); n > 0 {
		return fmt.Errorf("%d published values are missed and not marked as known misses", n)
	}
	return nil
}

// gather collects the checks of all rooms in the order of the house.
func gather() ([]source.Check, error) {
	var all []source.Check
	var errs []error
	for _, evidence := range rooms {
		checks, err := evidence()
		all = append(all, checks...)
		errs = append(errs, err)
	}
	return all, errors.Join(errs...)
}

func surprise(c source.Check) bool {
	return !c.Pass() && !strings.HasPrefix(c.Note, knownMiss)
}

func count(checks []source.Check, is func(source.Check) bool) int {
	n := 0
	for _, c := range checks {
		if is(c) {
			n++
		}
	}
	return n
}

func verdict(c source.Check) string {
	switch {
	case c.Pass():
		return "ok"
	case surprise(c):
		return "MISS"
	}
	return "known miss"
}

func evidenceTable(w io.Writer, checks []source.Check) error {
	out := bufio.NewWriter(w)
	room := ""
	for _, c := range checks {
		if c.Room != room {
			room = c.Room
			fmt.Fprintf(out, "\n%s\n", strings.ToUpper(room))
		}
		fmt.Fprintf(out, "  %-10s %s\n             published %s, computed %s %s (may differ by %s)  [%s]\n",
			verdict(c), c.What, figure(c.Published), figure(c.Computed), c.Unit, figure(c.Tolerance), c.Source)
		if c.Note != "" {
			fmt.Fprintf(out, "             %s\n", c.Note)
		}
	}
	fmt.Fprintf(out, "\n%s\n\nSources\n", tally(checks))
	for _, key := range cited(checks) {
		entry, _ := source.Lookup(key)
		fmt.Fprintf(out, "  %s (%s): %s\n", key, entry.Kind, entry.Text)
	}
	return out.Flush()
}

// tally sums up in a sentence.
func tally(checks []source.Check) string {
	good := count(checks, source.Check.Pass)
	bad := count(checks, surprise)
	return fmt.Sprintf("%d figures held against published ones: %d agree within the tolerance, %d are known misses, %d are misses.",
		len(checks), good, len(checks)-good-bad, bad)
}

func cited(checks []source.Check) []string {
	var keys []string
	for _, c := range checks {
		keys = append(keys, c.Source)
	}
	slices.Sort(keys)
	return slices.Compact(keys)
}

func figure(x float64) string { return fmt.Sprintf("%.4g", x) }

func evidenceJSON(w io.Writer, checks []source.Check) error {
	rows := make([]report.EvidenceRow, len(checks))
	var sources []source.Entry
	for i, c := range checks {
		rows[i] = report.EvidenceRow{Check: c, Deviation: c.Deviation(), Pass: c.Pass()}
	}
	for _, key := range cited(checks) {
		entry, _ := source.Lookup(key)
		sources = append(sources, entry)
	}
	return writeJSON(w, report.EvidenceAnswer{Format: report.EvidenceFormat, Checks: rows, Sources: sources})
}

// writeJSON prints a value for another program to read.
func writeJSON(w io.Writer, value any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(value)
}
