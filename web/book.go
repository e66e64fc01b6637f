package web

import (
	"maps"
	"net/http"
	"slices"
	"strconv"

	"henyear/calendar"
	"henyear/chance"
	"henyear/daybook"
	"henyear/measure"
	"henyear/plan"
	"henyear/report"
	"henyear/source"
)

// bookView is the whole plan on paper, for somebody who has never seen these
// pages.
type bookView struct {
	planView
	Paper    string
	Papers   []paperLink
	Needs    []fact
	Facts    []fact
	Months   []bookMonth
	Rounds   []jobLine
	Cautions []daybook.Sentence
	Odds     []chance.Sentence
	Risk     string
	Breeds   []plan.BreedYear // those of the plan
	Sources  []source.Entry
	Today    string
}

// bookMonth is the dated work of one month, with reasons.
type bookMonth struct {
	Name string
	Jobs []bookJob
}

type bookJob struct {
	Day       string
	What, Why string
	Minutes   string
}

// The book holds the work of so many months; later ones follow the same round.
const bookMonths = 12

func (s *Server) showBook(w http.ResponseWriter, r *http.Request) {
	today := s.date()
	last := monthAfter(today, bookMonths).AddDays(-1)
	p, tasks, ok := s.jobsFor(w, r, today, last)
	if !ok {
		return
	}
	v := bookView{Today: report.Day(today)}
	v.Paper, v.Papers = s.paperOf(r)
	s.fillPlan(&v.planView, p.State.plan, p)
	v.Needs, v.Facts = needFacts(p), placeFacts(p.Holding, p.Units())
	v.Months, v.Rounds, v.Cautions = bookWork(tasks)
	if o := p.State.luck.odds; o != nil {
		v.Odds, v.Risk = report.OddsSummary(o), report.RiskWords(o.Risk)
	}
	inPlan := map[string]bool{}
	for _, b := range p.State.plan.Batches {
		inPlan[b.Breed] = true
	}
	for _, b := range p.State.breeds {
		if inPlan[b.ID] {
			v.Breeds = append(v.Breeds, b)
		}
	}
	v.Sources = bookSources(p.State.plan, tasks)
	p.Title, p.Body, p.Styles = say("sheets.book"), v, []string{"sheet.css", "paper-" + v.Paper + ".css"}
	s.show(w, r, http.StatusOK, "book", p)
}

// needFacts are what the household asked for.
func needFacts(p page) []fact {
	h, u := p.Holding, p.Units()
	var list []fact
	for _, e := range h.Needs.Eggs {
		list = append(list, fact{say("book.eggs"), say("book.eggs.words", report.Number(e.PerWeek, 0), monthsWords(e.Months))})
	}
	for _, e := range h.Needs.EggSales {
		list = append(list, fact{say("book.sold"), say("book.sold.words", report.Number(e.DozensPerWeek, 1), monthsWords(e.Months))})
	}
	if h.Needs.TableKg > 0 {
		list = append(list, fact{say("book.table"), say("book.table.kg", report.Quantity(u, measure.MassKg, h.Needs.TableKg, 0))})
	} else if h.Needs.TableBirds > 0 {
		list = append(list, fact{say("book.table"), say("book.table.birds", report.Number(h.Needs.TableBirds, 0))})
	}
	return append(list, fact{say("book.own"), yesWords(h.Needs.SelfRenewing)})
}

// monthsWords names marked months by their first and last where they follow one
// another.
func monthsWords(months [12]bool) string {
	n, first, last := 0, -1, -1
	for m := range 12 {
		if !months[m] {
			continue
		}
		n++
		if !months[(m+11)%12] {
			first = m
		}
		if !months[(m+1)%12] {
			last = m
		}
	}
	switch {
	case n == 12:
		return say("book.allyear")
	case n == 0:
		return say("none")
	case first == last:
		return monthShort(first)
	}
	if span := (last-first+12)%12 + 1; span == n {
		return say("sheets.span", monthShort(first), monthShort(last))
	}
	text := ""
	for m := range 12 {
		if months[m] {
			if text != "" {
				text += ", "
			}
			text += monthShort(m)
		}
	}
	return text
}

func monthShort(m int) string {
	return report.MonthName(monthAfter(measure.Date{Year: 2001, Month: 1, Day: 1}, m).Month)
}

// bookWork parts the work into dated jobs by month, rounds, and the cautions that
// belong to them, each once.
func bookWork(tasks []calendar.Task) (months []bookMonth, rounds []jobLine, cautions []daybook.Sentence) {
	seen, warned := map[string]bool{}, map[string]bool{}
	for _, t := range tasks {
		if t.Caution != nil && !warned[t.Caution.Text] {
			warned[t.Caution.Text] = true
			cautions = append(cautions, *t.Caution)
		}
		if t.Every > 0 {
			if !seen[t.What.Text] {
				seen[t.What.Text] = true
				l := lineOfJob(t, t.On)
				l.Until, l.Caution = everyWords(t.Every), ""
				rounds = append(rounds, l)
			}
			continue
		}
		name := report.MonthName(t.On.Month) + " " + strconv.Itoa(t.On.Year)
		if n := len(months); n == 0 || months[n-1].Name != name {
			months = append(months, bookMonth{Name: name})
		}
		m := &months[len(months)-1]
		j := bookJob{Day: strconv.Itoa(t.On.Day), What: t.What.Text, Why: t.Why.Text}
		if t.Minutes >= 1 {
			j.Minutes = say("sheets.minutes", report.Number(t.Minutes, 0))
		}
		m.Jobs = append(m.Jobs, j)
	}
	return months, rounds, cautions
}

// bookSources are the publications and rules behind what the book says.
func bookSources(pl *plan.Plan, tasks []calendar.Task) []source.Entry {
	keys := map[string]bool{}
	for _, list := range [][]plan.Sentence{pl.Summary, pl.Warnings, pl.NotConsidered} {
		for _, x := range list {
			keys[x.Source] = true
		}
	}
	for _, t := range tasks {
		keys[t.Why.Source] = true
		if t.Caution != nil {
			keys[t.Caution.Source] = true
		}
	}
	var list []source.Entry
	for _, key := range slices.Sorted(maps.Keys(keys)) {
		if e, ok := source.Lookup(key); ok {
			list = append(list, e)
		}
	}
	return list
}
