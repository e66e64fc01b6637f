package chance

import (
	"context"
	"embed"
	"fmt"
	"sync"

	"henyear/breed"
	"henyear/climate"
	"henyear/measure"
	"henyear/source"
)

//go:embed testdata/published/*.csv
var published embed.FS

// Seed and replicates of the back-cast are fixed, so that it comes out the same
// each time. 400 lives put the end of a 90 % range within about a hundredth of
// its rank; the figures by the rule were set with 600.
const (
	historySeed       = 1891
	historyReplicates = 400
	settingReplicates = 600
)

// Each back-cast is made once: it is wanted by dozens of checks.
var (
	strangers = sync.OnceValues(func() ([]HistoryCast, error) { return castBack(StrangerSpread()) })
	usual     = sync.OnceValues(func() ([]HistoryCast, error) { return castBack(UsualSpread(), Testing) })
)

func castBack(s Spread, sets ...HistorySet) ([]HistoryCast, error) {
	return BackCastAll(context.Background(), s, Options{Replicates: historyReplicates, Seed: historySeed}, sets...)
}

// Evidence holds the simulator against what was published of flocks and of
// single hens. In the rows of the back-cast the published value is the share
// that the range is meant to hold; docs/models/chance.md tells how the histories
// were chosen and how far a share may stray.
func Evidence() ([]source.Check, error) {
	byStrangers, err := strangers()
	if err != nil {
		return nil, err
	}
	byUsual, err := usual()
	if err != nil {
		return nil, err
	}
	return source.ReadChecks("chance", published, "testdata/published", map[string]source.Model{
		"inside":       func(in source.Inputs) float64 { return insidePct(byStrangers, in) },
		"inside_usual": func(in source.Inputs) float64 { return insidePct(byUsual, in) },
		"hens_cv":      hensCV,
		"month_cv":     monthCV,
		"lost":         lostPct,
	})
}

// insidePct is the share of the counts of a "span" inside the range that should
// hold "range" percent, in one "history", or in the histories of a "set" or a
// "class".
func insidePct(casts []HistoryCast, in source.Inputs) float64 {
	t := TallyOf(casts, Span(in["span"]), func(h *History) bool {
		fits := func(key, is string) bool { return in[key] == "" || in[key] == is }
		return fits("history", h.ID) && fits("set", string(h.Set)) && fits("class", h.Class)
	})
	if t.N == 0 {
		panic(fmt.Sprintf("no counts fit %v", in)) // a fault of the table of checks
	}
	if in["range"] == "50" {
		return t.Share50()
	}
	return t.Share90()
}

// hensCV is the coefficient of variation of eggs between the hens of a flock,
// percent, from one day to another.
func hensCV(in source.Inputs) float64 {
	h := flockNamed(in)
	eggs, err := h.singleHens(day(in, "from"), day(in, "to"), max(20, 2000/h.size()))
	if err != nil {
		panic(err) // a fault of the table of checks
	}
	return cvPct(eggs)
}

// monthCV is the coefficient of variation of a flock's eggs between lives
// without shared luck, percent.
func monthCV(in source.Inputs) float64 {
	h := flockNamed(in)
	c := Count{From: day(in, "from"), To: day(in, "to")}
	first := measure.WeekOf(c.From)
	flock := h.bare(first, measure.WeekOf(c.To))
	flock.Spread = Spread{Own: flock.Spread.Own}
	res, err := flock.Run(context.Background(), Options{Replicates: 2000, Seed: historySeed})
	if err != nil {
		panic(err) // a fault of the table of checks
	}
	eggs := make([]float64, len(res.Eggs[0]))
	for r := range eggs {
		eggs[r] = eggsIn(res, first, c, r)
	}
	return cvPct(eggs)
}

// lostPct is, with "part", the chance that a flock loses at least that share of
// its hens from one day to another; without, the share that it loses on the
// mean. Percent. Hens that leave or join in between do not count.
func lostPct(in source.Inputs) float64 {
	h := flockNamed(in)
	first, last := measure.WeekOf(day(in, "from")), measure.WeekOf(day(in, "to"))
	flock := h.bare(first, last)
	stay := flock.Groups[:0]
	for _, g := range flock.Groups {
		if g.From <= first && g.To > first {
			g.To = last + 1
			stay = append(stay, g)
		}
	}
	flock.Groups = stay
	res, err := flock.Run(context.Background(), Options{Replicates: 2000, Seed: historySeed})
	if err != nil {
		panic(err) // a fault of the table of checks
	}
	heavy, lost := 0.0, 0.0
	begun := 0.0
	for _, g := range stay {
		begun += float64(g.Number)
	}
	for _, hens := range res.Hens[len(res.Hens)-1] {
		gone := 1 - float64(hens)/begun
		lost += gone
		if in["part"] != "" && gone >= in.Float("part")-1e-9 {
			heavy++
		}
	}
	n := float64(len(res.Hens[0]))
	if in["part"] != "" {
		return 100 * heavy / n
	}
	return 100 * lost / n
}

// flockNamed is a history, or with "breed" a flock of "hens" alike at a "place".
func flockNamed(in source.Inputs) *History {
	if in["breed"] == "" {
		list, err := Histories()
		if err != nil {
			panic(err) // the tables are embedded and checked by a test
		}
		for i := range list {
			if list[i].ID == in["history"] {
				return &list[i]
			}
		}
		panic(fmt.Sprintf("no history %q", in["history"])) // a fault of the table of checks
	}
	b, err := breed.Find(in["breed"])
	if err != nil {
		panic(err)
	}
	place, err := climate.FindPlace(in["place"])
	if err != nil {
		panic(err)
	}
	hens := int(in.Float("hens"))
	return &History{Name: "a flock", Place: place, Counts: []Count{{Hens: float64(hens)}}, Groups: []HistoryGroup{{
		Breed: b, Strain: breed.Strain(in["strain"]), Number: hens,
		Hatched: day(in, "hatched"), From: day(in, "from"), To: day(in, "to").AddDays(14),
	}}}
}

// size is the hens of all groups together.
func (h *History) size() int {
	n := 0
	for _, g := range h.Groups {
		n += g.Number
	}
	return n
}

func day(in source.Inputs, name string) measure.Date {
	d, err := measure.ParseDate(in[name])
	if err != nil {
		panic(fmt.Sprintf("input %q: %v", name, err)) // a fault of the table of checks
	}
	return d
}
