package holding

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

const monthsExample = `write "Mar-Oct" for March to October, "all", or a list such as ["Mar", "Sep-Nov"]`

var allMonths = [12]bool{true, true, true, true, true, true, true, true, true, true, true, true}

// monthNamed reads an English month name, whole or cut to three letters or
// more; 0 when it is none.
func monthNamed(text string) time.Month {
	text = strings.ToLower(strings.TrimSuffix(strings.TrimSpace(text), "."))
	if len(text) < 3 {
		return 0
	}
	if text == "sept" {
		return time.September
	}
	for m := time.January; m <= time.December; m++ {
		if strings.HasPrefix(strings.ToLower(m.String()), text) {
			return m
		}
	}
	return 0
}

// monthRun is a run of months, both ends included; it may pass the turn of the
// year: Nov-Feb.
type monthRun struct{ first, last time.Month }

func (r monthRun) length() int { return (int(r.last)-int(r.first)+12)%12 + 1 }

func (r monthRun) String() string {
	first, last := r.first.String()[:3], r.last.String()[:3]
	if first == last {
		return first
	}
	return first + "-" + last
}

// parseRun reads "Mar", "Mar-Oct", "March to October" or "all".
func parseRun(text string) (monthRun, error) {
	clean := strings.ToLower(strings.TrimSpace(text))
	if clean == "all" || clean == "all year" {
		return monthRun{time.January, time.December}, nil
	}
	for _, between := range []string{"-", "–", " to "} {
		from, to, found := strings.Cut(clean, between)
		if !found {
			continue
		}
		first, last := monthNamed(from), monthNamed(to)
		if first == 0 || last == 0 {
			return monthRun{}, fmt.Errorf("%q is not a range of months", text)
		}
		return monthRun{first, last}, nil
	}
	m := monthNamed(clean)
	if m == 0 {
		return monthRun{}, fmt.Errorf("%q is not the name of a month", text)
	}
	return monthRun{m, m}, nil
}

// parseMonths joins runs into a set. Runs must follow each other from January
// on, or go on from December to January without a gap, and may not overlap. A
// list out of order is more often a slip than a wish: ["Oct", "Mar"] may mean
// two months or six.
func parseMonths(texts []string) (set [12]bool, err error) {
	var last monthRun
	for i, text := range texts {
		run, err := parseRun(text)
		if err != nil {
			return set, err
		}
		overTurn := last.last == time.December && run.first == time.January
		if i > 0 && run.first < last.first && !overTurn {
			return set, fmt.Errorf("the months are out of order: %s stands after %s", run, last)
		}
		for k := range run.length() {
			m := (int(run.first) - 1 + k) % 12
			if set[m] {
				return set, fmt.Errorf("%s is named twice", time.Month(m+1))
			}
			set[m] = true
		}
		last = run
	}
	return set, nil
}

// monthRuns is the inverse of parseMonths.
func monthRuns(set [12]bool) []monthRun {
	if set == allMonths {
		return []monthRun{{time.January, time.December}}
	}
	var runs []monthRun
	for m := range 12 {
		if !set[m] || set[(m+11)%12] {
			continue
		}
		last := m
		for set[(last+1)%12] {
			last++
		}
		runs = append(runs, monthRun{time.Month(m + 1), time.Month(last%12 + 1)})
	}
	return runs
}

// monthsText writes a set for a sentence: "March to October, December".
func monthsText(set [12]bool) string {
	if set == allMonths {
		return "all year"
	}
	var parts []string
	for _, r := range monthRuns(set) {
		if r.length() == 1 {
			parts = append(parts, r.first.String())
		} else {
			parts = append(parts, r.first.String()+" to "+r.last.String())
		}
	}
	if len(parts) == 0 {
		return "in no month"
	}
	return strings.Join(parts, ", ")
}

func anyMonth(set [12]bool) bool { return slices.Contains(set[:], true) }
