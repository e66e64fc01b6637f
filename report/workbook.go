package report

import (
	"errors"
	"fmt"
	"io"

	"henyear/calendar"
	"henyear/chance"
	"henyear/daybook"
	"henyear/holding"
	"henyear/plan"
)

// WorkbookInput is what a workbook is made of. Plan and Holding must be given;
// what else is nil is left out.
type WorkbookInput struct {
	Holding *holding.Holding
	Plan    *plan.Plan
	Work    []calendar.Task // nil: the jobs of the plan
	Odds    *chance.Odds
	Breeds  []plan.BreedYear
	Book    *daybook.Book
	Version string // of the program
}

// ErrTooManyRows says that the records are more than a sheet of a workbook holds.
var ErrTooManyRows = errors.New("there are more records than a sheet of a workbook can hold; take the CSV files, which have no limit")

const mostRows = 1<<20 - 100

// Workbook writes an Office Open XML workbook (ECMA-376) of all that is known.
// Figures are in the units of the holding; sums, differences and balances are
// formulas, and what they come to is written with them. There are no macros and
// no links to other files. The same input gives the same bytes. It returns the
// error of the writer, or ErrTooManyRows.
func Workbook(w io.Writer, in WorkbookInput) error {
	if in.Plan == nil || in.Holding == nil {
		return errors.New("a workbook needs a holding and its plan")
	}
	b, err := newBinder(in.Plan.Currency, in.Holding.Units)
	if err != nil {
		return err
	}
	defer b.file.Close()
	pages := pagesOf(in, b.newPage)
	names := make([]string, len(pages))
	for i, p := range pages {
		names[i] = p.name
	}
	if err := b.about(aboutLines(in, pages)); err != nil {
		return err
	}
	for _, p := range pages {
		if len(p.grid.Rows) > mostRows {
			return ErrTooManyRows
		}
		if err := b.write(p); err != nil {
			return fmt.Errorf("the sheet %s cannot be made: %w", p.name, err)
		}
	}
	return b.finish(w, in)
}

// pagesOf makes the pages in their order. make gives a new page its name.
func pagesOf(in WorkbookInput, make func(code string, g Grid) *leaf) []*leaf {
	p := in.Plan
	prices := make("prices", pricesGrid(in.Holding))
	weeks := weeksPage(make("weeks", WeeksGrid(p)))
	fates := fatesPage(make("fates", FatesGrid(p)))
	list := []*leaf{
		yearsPage(make("years", YearsGrid(p)), weeks, prices, in.Holding.Prices.ShopEggsPerDozen),
		weeks, batchesPage(make("batches", BatchesGrid(p)), fates), fates, workPage(make("work", TasksGrid(p, in.Work))),
	}
	if in.Odds != nil {
		list = append(list, oddsYearsPage(make("odds_years", OddsYearsGrid(in.Odds))), oddsWeeksPage(make("odds_weeks", OddsWeeksGrid(in.Odds))),
			make("odds_chances", OddsChancesGrid(in.Odds)))
	}
	if len(in.Breeds) > 0 {
		list = append(list, breedsPage(make("breeds", BreedsGrid(in.Breeds, p.Currency))))
	}
	var payments, eggs *leaf
	if in.Book != nil && len(in.Book.Records) > 0 {
		payments = paymentsPage(make("payments", PaymentsGrid(in.Book, p.Currency)))
		eggs = monthsOf(make("eggs", KindGrid(in.Book, "eggs", p.Currency)))
	}
	list = append(list, accountsPage(make, in, weeks, payments, eggs), prices)
	if payments == nil {
		return list
	}
	list = append(list, payments)
	for _, kind := range kindsIn(in.Book) {
		page := eggs
		if kind != "eggs" {
			page = make(kind, KindGrid(in.Book, kind, p.Currency))
		}
		list = append(list, kindPage(page))
	}
	return append(list, make("records", RecordsGrid(in.Book, p.Currency)))
}
