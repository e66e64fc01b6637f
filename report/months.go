package report

import (
	"html/template"
	"time"

	"henyear/plan"
)

// MonthlyEggs draws the eggs a week of each month with one breed, small enough
// for a cell of a table. highest is the top of the scale, the same for all
// breeds that stand beside each other; need is the household's need by month,
// drawn as a line when it is not nil.
func MonthlyEggs(b plan.BreedYear, highest float64, need []float64) template.HTML {
	p := &pen{width: 132, height: 40, id: "months-" + plainID(b.ID)}
	f := frame{left: 1, right: 131, top: 2, bottom: 38, low: 0, high: max(1, highest)}
	p.path("old", f.blocks(make([]float64, 12), b.MonthlyEggs[:]))
	if len(need) == 12 {
		p.path("need", f.stairs(need))
	}
	p.line("axis", f.left, f.bottom, f.right, f.bottom)
	low, high := extremes(b.MonthlyEggs[:])
	desc := say("months.message", b.Name, Number(b.MonthlyEggs[low], 0), time.Month(low+1).String(), Number(b.MonthlyEggs[high], 0), time.Month(high+1).String())
	return template.HTML(p.finish(say("months.title", b.Name), desc))
}

// plainID keeps letters, digits and hyphens.
func plainID(id string) string {
	clean := make([]byte, 0, len(id))
	for _, c := range []byte(id) {
		if c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '-' {
			clean = append(clean, c)
		} else {
			clean = append(clean, '-')
		}
	}
	return string(clean)
}
