package web

import (
	"cmp"
	"html/template"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"henyear/measure"
	"henyear/plan"
	"henyear/report"
)

// breedsView is the page that sets the breeds beside each other.
type breedsView struct {
	Columns  []breedColumn
	Extras   []breedColumn // of the further figures; the table can be sorted by them too
	ByName   string        // the address of the table in the order of names
	Rows     []breedRow
	All      int
	Query    breedQuery
	Purposes []string
	NoneSuit bool
	Fault    string
}

// breedQuery is what the address asks for.
type breedQuery struct {
	Sort, Purpose, Search string
	Falling               bool
	Suits                 bool // what a keeper sees first; also the state of an address without a wish
	Undominated           bool
	Available             bool
}

// breedColumn is a column of figures that the table can be sorted by.
type breedColumn struct {
	Key     string
	Falling bool // the direction that a keeper wants first
	value   func(plan.BreedYear) float64
	write   func(plan.BreedYear, measure.Units, measure.Currency) string
	extra   bool // stands among the details, not in the table

	Link    string
	Current string // ascending, descending or none
}

func (c breedColumn) Name() string { return say("breed." + c.Key) }

func whole(value func(plan.BreedYear) float64) func(plan.BreedYear, measure.Units, measure.Currency) string {
	return func(b plan.BreedYear, _ measure.Units, _ measure.Currency) string { return report.Number(value(b), 0) }
}

func tenth(value func(plan.BreedYear) float64) func(plan.BreedYear, measure.Units, measure.Currency) string {
	return func(b plan.BreedYear, _ measure.Units, _ measure.Currency) string { return report.Number(value(b), 1) }
}

// combNights has its range beside it; the table is sorted by the best figure.
func combNights(func(plan.BreedYear) float64) func(plan.BreedYear, measure.Units, measure.Currency) string {
	return func(b plan.BreedYear, _ measure.Units, _ measure.Currency) string {
		return strings.Replace(report.CombNights(b), "–", "\u2060–\u2060", 1) // a narrow column does not break it there
	}
}

func inMass(value func(plan.BreedYear) float64) func(plan.BreedYear, measure.Units, measure.Currency) string {
	return func(b plan.BreedYear, u measure.Units, _ measure.Currency) string {
		return report.Quantity(u, measure.MassKg, value(b), 0)
	}
}

func inMoney(value func(plan.BreedYear) float64) func(plan.BreedYear, measure.Units, measure.Currency) string {
	return func(b plan.BreedYear, _ measure.Units, c measure.Currency) string {
		return report.Amount(c, value(b))
	}
}

// priceOf is beyond every price where there is nothing to have for it: no eggs,
// or no meat. Such a breed is not the cheapest.
func priceOf(x float64) float64 {
	if x == 0 {
		return math.Inf(1)
	}
	return x
}

func inPence(value func(plan.BreedYear) float64) func(plan.BreedYear, measure.Units, measure.Currency) string {
	return func(b plan.BreedYear, _ measure.Units, c measure.Currency) string {
		if math.IsInf(value(b), 1) {
			return say("none")
		}
		return report.AmountFine(c, value(b))
	}
}

// perMass is the cost of a kilogram, or of a pound where the reader weighs so.
func perMass(value func(plan.BreedYear) float64) func(plan.BreedYear, measure.Units, measure.Currency) string {
	return func(b plan.BreedYear, u measure.Units, c measure.Currency) string {
		if math.IsInf(value(b), 1) {
			return say("none")
		}
		inKg, unit := u.Show(measure.MassKg, 1)
		return say("breed.a_mass", report.AmountFine(c, value(b)/inKg), unit)
	}
}

func breedColumns() []breedColumn {
	column := func(key string, falling, extra bool, value func(plan.BreedYear) float64, write func(func(plan.BreedYear) float64) func(plan.BreedYear, measure.Units, measure.Currency) string) breedColumn {
		return breedColumn{Key: key, Falling: falling, extra: extra, value: value, write: write(value)}
	}
	return []breedColumn{
		column("lean", true, false, func(b plan.BreedYear) float64 { return b.LeanestEggs }, whole),
		column("best", true, false, func(b plan.BreedYear) float64 { return b.BestEggs }, whole),
		column("meat", true, false, func(b plan.BreedYear) float64 { return b.DressedKg }, inMass),
		column("hens", false, false, func(b plan.BreedYear) float64 { return b.Hens }, whole),
		column("feed", false, false, func(b plan.BreedYear) float64 { return b.FeedKg }, inMass),
		column("cost", false, false, func(b plan.BreedYear) float64 { return b.Cost }, inMoney),
		column("minutes", false, false, func(b plan.BreedYear) float64 { return b.MinutesAWeek }, whole),
		column("comb", false, false, func(b plan.BreedYear) float64 { return b.CombNights }, combNights),
		column("heat", false, false, func(b plan.BreedYear) float64 { return b.HeatDays }, whole),
		column("lost", false, false, func(b plan.BreedYear) float64 { return b.LostRaids }, tenth),
		column("eggs_hen", true, true, func(b plan.BreedYear) float64 { return b.EggsPerHen }, whole),
		column("table_birds", true, true, func(b plan.BreedYear) float64 { return b.TableBirds }, whole),
		column("feed_cost", false, true, func(b plan.BreedYear) float64 { return b.FeedCost }, inMoney),
		column("dozen", false, true, func(b plan.BreedYear) float64 { return priceOf(b.CostPerDozen) }, inPence),
		column("per_mass", false, true, func(b plan.BreedYear) float64 { return priceOf(b.CostPerKg) }, perMass),
		column("cocks", false, true, func(b plan.BreedYear) float64 { return b.Cocks }, whole),
		column("hatched", false, true, func(b plan.BreedYear) float64 { return b.Hatched }, whole),
		column("bought", false, true, func(b plan.BreedYear) float64 { return b.Bought }, whole),
		column("cash", false, true, func(b plan.BreedYear) float64 { return b.CashCost }, inMoney),
		column("short_eggs", false, true, func(b plan.BreedYear) float64 { return b.EggsShort }, whole),
		column("short_meat", false, true, func(b plan.BreedYear) float64 { return b.MeatShort }, whole),
		column("wattles", false, true, func(b plan.BreedYear) float64 { return b.WattleNights }, whole),
		column("heat_hours", false, true, func(b plan.BreedYear) float64 { return b.HeatHours }, whole),
		column("cold_feed", false, true, func(b plan.BreedYear) float64 { return b.ExtraFeedColdKg }, inMass),
		column("mud", false, true, func(b plan.BreedYear) float64 { return b.MudDays }, whole),
		column("hawks", false, true, func(b plan.BreedYear) float64 { return b.HawkLoss }, tenth),
		column("spells", true, true, func(b plan.BreedYear) float64 { return b.OwnSpells }, tenth),
	}
}

// breedRow is one breed, written out.
type breedRow struct {
	plan.BreedYear
	ID      string
	Months  template.HTML
	Keeps   string // hens and cocks, chicks, price of eggs and meat, in a sentence
	Body    string // what the place does to the birds, in a sentence
	Why     report.Verdict
	Notes   string // purpose, line and what else is worth a word
	Cells   []breedCell
	Details []fact
}

type breedCell struct{ Name, Value string }

func readQuery(v url.Values) breedQuery {
	q := breedQuery{Sort: v.Get("sort"), Purpose: v.Get("purpose"), Search: strings.TrimSpace(v.Get("search")),
		Undominated: v.Get("undominated") != "", Available: v.Get("available") != "", Suits: v.Get("suits") != "" || !v.Has("sort") && !v.Has("search")}
	known := slices.ContainsFunc(breedColumns(), func(c breedColumn) bool { return c.Key == q.Sort })
	if !known && q.Sort != "name" {
		q.Sort = "cost"
	}
	order := v.Get("order")
	if was := v.Get("was"); was != "" && was != q.Sort {
		order = "" // another column was chosen: begin at its good end
	}
	switch order {
	case "falling":
		q.Falling = true
	case "rising":
	default:
		for _, c := range breedColumns() {
			if c.Key == q.Sort {
				q.Falling = c.Falling
			}
		}
	}
	return q
}

// link is the address of the table sorted another way, the filters kept.
func (q breedQuery) link(sort string, falling bool) string {
	v := url.Values{"sort": {sort}, "order": {"rising"}}
	if falling {
		v.Set("order", "falling")
	}
	if q.Purpose != "" {
		v.Set("purpose", q.Purpose)
	}
	if q.Search != "" {
		v.Set("search", q.Search)
	}
	if q.Undominated {
		v.Set("undominated", "1")
	}
	if q.Available {
		v.Set("available", "1")
	}
	if q.Suits {
		v.Set("suits", "1")
	}
	return "/breeds?" + v.Encode()
}

func (q breedQuery) keeps(b plan.BreedYear) bool {
	if q.Suits && !b.Suits || q.Purpose != "" && purposeOf(b) != q.Purpose || q.Undominated && !b.Undominated || q.Available && !b.Available {
		return false
	}
	return q.Search == "" || strings.Contains(strings.ToLower(b.Name), strings.ToLower(q.Search))
}

// order sorts the breeds as asked; equal ones stand by name.
func (q breedQuery) order(list []plan.BreedYear) {
	value := func(plan.BreedYear) float64 { return 0 }
	for _, c := range breedColumns() {
		if c.Key == q.Sort {
			value = c.value
		}
	}
	slices.SortStableFunc(list, func(a, b plan.BreedYear) int {
		by := cmp.Compare(value(a), value(b))
		if q.Sort == "name" {
			by = cmp.Compare(a.Name, b.Name)
		}
		if q.Falling {
			by = -by
		}
		return cmp.Or(by, cmp.Compare(a.Name, b.Name), cmp.Compare(a.ID, b.ID))
	})
}

func (s *Server) showBreeds(w http.ResponseWriter, r *http.Request) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	p.Body = breedsPage(p, readQuery(r.URL.Query()))
	s.show(w, r, http.StatusOK, "breeds", p)
}

func breedsPage(p page, q breedQuery) breedsView {
	all := p.State.breeds
	none := !slices.ContainsFunc(all, func(b plan.BreedYear) bool { return b.Suits })
	if none {
		q.Suits = false // better to see all that fail than an empty page
	}
	view := breedsView{NoneSuit: none, All: len(all), Query: q, Fault: faultWords(p.State.breedFault)}
	var shown []plan.BreedYear
	highest := 0.0
	for _, b := range all {
		highest = max(highest, slices.Max(b.MonthlyEggs[:]))
		if purpose := purposeOf(b); purpose != "" && !slices.Contains(view.Purposes, purpose) {
			view.Purposes = append(view.Purposes, purpose)
		}
		if q.keeps(b) {
			shown = append(shown, b)
		}
	}
	slices.Sort(view.Purposes)
	q.order(shown)
	view.Columns, view.Extras = columnsFor(q)
	view.ByName = q.link("name", q.Sort == "name" && !q.Falling)
	need := make([]float64, 12)
	for m := range need {
		need[m] = p.Holding.Needs.EggsPerWeek(m + 1)
	}
	for _, b := range shown {
		view.Rows = append(view.Rows, breedRowOf(b, p, view.Columns, view.Extras, highest, need))
	}
	return view
}

func columnsFor(q breedQuery) (table, extras []breedColumn) {
	for _, c := range breedColumns() {
		falling := c.Falling
		c.Current = "none"
		if q.Sort == c.Key {
			falling = !q.Falling
			c.Current = "ascending"
			if q.Falling {
				c.Current = "descending"
			}
		}
		c.Link = q.link(c.Key, falling)
		if c.extra {
			extras = append(extras, c)
		} else {
			table = append(table, c)
		}
	}
	return table, extras
}

func breedRowOf(b plan.BreedYear, p page, columns, extras []breedColumn, highest float64, need []float64) breedRow {
	row := breedRow{BreedYear: b, ID: plainID(b.ID), Notes: breedNotes(b), Keeps: breedKeeps(b, p), Body: report.BreedBody(b, p.Units()), Why: report.VerdictOn(b), Months: report.MonthlyEggs(b, max(highest, slices.Max(need)), need)}
	for _, c := range columns {
		row.Cells = append(row.Cells, breedCell{c.Name(), c.write(b, p.Units(), p.Currency())})
	}
	for _, c := range extras {
		row.Details = append(row.Details, fact{c.Name(), c.write(b, p.Units(), p.Currency())})
	}
	return row
}

// breedKeeps says what is kept, hatched and bought, and what eggs and meat cost.
func breedKeeps(b plan.BreedYear, p page) string {
	n := func(x float64) string { return report.Number(x, 0) }
	list := []string{say("breed.keeps", n(b.Hens), n(b.Cocks), n(b.Hatched), n(b.Bought))}
	if b.CostPerDozen != 0 {
		list = append(list, say("breed.keeps.eggs", report.AmountFine(p.Currency(), b.CostPerDozen)))
	}
	if b.CostPerKg != 0 {
		price := perMass(func(b plan.BreedYear) float64 { return b.CostPerKg })
		list = append(list, say("breed.keeps.meat", price(b, p.Units(), p.Currency())))
	}
	renews := say("breed.renews.no")
	if b.RenewsItself {
		renews = say("breed.renews.yes")
	}
	return strings.Join(append(list, renews), "; ") + "."
}

// purposeOf is what a breed is kept for; a layer with a meat bird is a purpose
// of its own.
func purposeOf(b plan.BreedYear) string {
	if strings.Contains(b.ID, "+") {
		return "pair"
	}
	return b.Purpose
}

// breedNotes says what a breed is kept for, its line, and whether it can be had.
func breedNotes(b plan.BreedYear) string {
	var list []string
	if text, ok := english["purpose."+purposeOf(b)]; ok {
		list = append(list, say("breed.kept_for", text))
	}
	if text, ok := english["strain."+b.Strain]; ok {
		list = append(list, text)
	}
	if b.Available {
		list = append(list, say("breed.to_be_had"))
	}
	if b.Undominated {
		list = append(list, say("breed.not_bettered"))
	}
	if len(list) == 0 {
		return ""
	}
	text := strings.Join(list, "; ")
	return strings.ToUpper(text[:1]) + text[1:] + "."
}
