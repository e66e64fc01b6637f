package report

import (
	"io"

	"henyear/measure"
	"henyear/plan"
)

// WeeksCSV writes the weeks of a plan, metric, one row a week, with a heading.
// It returns the error of the writer.
func WeeksCSV(w io.Writer, p *plan.Plan) error { return WeeksGrid(p).CSV(w) }

// BreedsCSV writes the year with each breed, metric, one row a breed, with a
// heading. It returns the error of the writer.
func BreedsCSV(w io.Writer, breeds []plan.BreedYear, c measure.Currency) error {
	return BreedsGrid(breeds, c).CSV(w)
}
