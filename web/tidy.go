package web

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"henyear/holding"
)

// monthList makes a field for a choice of months, written as in a holding file:
// Mar-Aug, or Mar-May, Sep.
func monthList(name string, at func(*holding.Holding) *[12]bool) field {
	return field{name: name, label: say("field.months"), unit: say("unit.months"), kind: "text",
		get: func(h *holding.Holding) string { return monthsText(*at(h)) },
		set: func(h *holding.Holding, text string) error {
			m, err := parseMonths(text)
			if err == nil {
				*at(h) = m
			}
			return err
		}}
}

func shortMonth(m int) string { return time.Month(m + 1).String()[:3] }

// monthsText writes months as runs; a run may pass New Year: Nov-Feb.
func monthsText(months [12]bool) string {
	if !slices.Contains(months[:], false) {
		return "Jan-Dec"
	}
	var runs []string
	for m := range 12 {
		if !months[m] || months[(m+11)%12] {
			continue // not the beginning of a run
		}
		last := m
		for months[(last+1)%12] {
			last = (last + 1) % 12
		}
		run := shortMonth(m)
		if last != m {
			run += "-" + shortMonth(last)
		}
		runs = append(runs, run)
	}
	return strings.Join(runs, ", ")
}

// parseMonths reads what monthsText writes. Names count by their first three
// letters. Empty is no month.
func parseMonths(text string) (months [12]bool, err error) {
	for part := range strings.SplitSeq(text, ",") {
		part = strings.TrimSpace(part)
		if part == "" {
			continue
		}
		from, to, isRun := strings.Cut(strings.ReplaceAll(part, "–", "-"), "-")
		first, last := monthNumber(from), monthNumber(from)
		if isRun {
			last = monthNumber(to)
		}
		if first < 0 || last < 0 {
			return months, fmt.Errorf("%s", say("field.months.wrong", part))
		}
		for m := first; ; m = (m + 1) % 12 {
			months[m] = true
			if m == last {
				break
			}
		}
	}
	return months, nil
}

func monthNumber(name string) int {
	name = strings.ToLower(strings.TrimSpace(name))
	for m := range 12 {
		if len(name) >= 3 && strings.HasPrefix(strings.ToLower(monthName(m)), name) {
			return m
		}
	}
	return -1
}

// checkRows looks at boxes that only make sense together.
func checkRows(h *holding.Holding, faults map[string]string) {
	fault := func(name, code string) {
		if faults[name] == "" {
			faults[name] = say(code)
		}
	}
	for i, a := range h.Means.Away {
		n := "away-" + strconv.Itoa(i)
		switch {
		case a.From.IsZero() && !a.To.IsZero():
			fault(n+"-from", "field.away.from_missing")
		case a.To.IsZero() && !a.From.IsZero():
			fault(n+"-to", "field.away.to_missing")
		case a.To.Before(a.From):
			fault(n+"-to", "field.away.backwards")
		}
	}
	for i, g := range h.Birds {
		if g.Breed != "" && g.Number > 0 && g.Hatched.IsZero() {
			fault("birds-"+strconv.Itoa(i)+"-hatched", "field.hatched.missing")
		}
		if !h.AsOf.IsZero() && h.AsOf.Before(g.Hatched) {
			fault("birds-"+strconv.Itoa(i)+"-hatched", "field.hatched.later")
		}
		if g.Breed == "" && g.Number > 0 && g.ID == "" {
			fault("birds-"+strconv.Itoa(i)+"-breed", "field.breed.missing")
		}
	}
	for i, e := range h.Needs.EggSales {
		if e.DozensPerWeek > 0 && e.Months == [12]bool{} {
			fault("sale-"+strconv.Itoa(i)+"-months", "field.months.missing")
		}
	}
	for i, o := range h.Stock {
		if o.Breed != "" && o.Months == [12]bool{} {
			fault("stock-"+strconv.Itoa(i)+"-months", "field.months.missing")
		}
	}
}

// tidy takes out rows that stayed empty or were emptied, and names new birds.
func tidy(h *holding.Holding) {
	h.Needs.Eggs = slices.DeleteFunc(h.Needs.Eggs, func(e holding.EggNeed) bool { return e.Months == [12]bool{} })
	h.Needs.EggSales = slices.DeleteFunc(h.Needs.EggSales, func(e holding.EggSale) bool { return e.DozensPerWeek == 0 || e.Months == [12]bool{} })
	h.Stock = slices.DeleteFunc(h.Stock, func(o holding.Offer) bool { return o.Breed == "" })
	h.Birds = slices.DeleteFunc(h.Birds, func(g holding.Group) bool { return g.Breed == "" || g.Number == 0 })
	h.Means.Away = slices.DeleteFunc(h.Means.Away, func(a holding.Away) bool { return a.From.IsZero() })
	for i := range h.Birds {
		if h.Birds[i].ID == "" {
			h.Birds[i].ID = freshGroupID(h.Birds, h.Birds[i])
		}
	}
}

// freshGroupID names a group by breed, sex and year, with a number when that
// name is taken.
func freshGroupID(groups []holding.Group, g holding.Group) string {
	base := fmt.Sprintf("%s-%ss-%d", g.Breed, g.Sex, g.Hatched.Year)
	id := base
	for n := 2; slices.ContainsFunc(groups, func(o holding.Group) bool { return o.ID == id }); n++ {
		id = base + "-" + strconv.Itoa(n)
	}
	return id
}
