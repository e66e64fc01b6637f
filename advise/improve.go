package advise

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"henyear/bird"
	"henyear/course"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
)

// Improvement is one change to the place: what the year's plan gains by it, what
// it may cost to make, and what the birds notice.
type Improvement struct {
	plan.Worth

	// CostLow and CostHigh are what the change may cost once, in main units of
	// money: a guess in kilograms of feed, so that it fits any currency, unless the
	// keeper named a price (then both are that).
	CostLow  float64 `json:"cost_low"`
	CostHigh float64 `json:"cost_high"`
	CostText string  `json:"cost_text"`
	Guessed  bool    `json:"cost_guessed"`

	// YearsLow and YearsHigh are after how long the worth has paid the cost; 0, 0
	// when the worth is not known.
	YearsLow  float64 `json:"pays_after_years_low"`
	YearsHigh float64 `json:"pays_after_years_high"`

	Effects []Effect `json:"effects"`
}

// Effect is something that birds meet in a year, before the change and after it.
type Effect struct {
	Code   string  `json:"code"` // comb_nights, heat_days, hawk_losses, fox_losses, damp_nights, eggs
	Unit   string  `json:"unit"`
	Before float64 `json:"before"`
	After  float64 `json:"after"`
}

// ErrNoStock says that there are no birds by which a place could be judged.
var ErrNoStock = errors.New("neither birds on hand nor stock to be had says which birds the place is for; add one to the holding")

// Improve says what each change to the place that makes sense would be worth over
// the horizon of base, which must be the plan of h under the same opt. Each is
// built on paper and the plan solved again, as Worth does, with the same meaning
// of the interval. prices are the keeper's own, by code, in main units of money;
// nil for none.
//
// Those surely worth something come first, the most worth for their cost on top;
// then the others, by the most that they can be worth for their cost.
func Improve(ctx context.Context, p *plan.Planner, h *holding.Holding, base *plan.Plan, opt plan.Options, prices map[string]float64, progress plan.Progress) ([]Improvement, error) {
	if base == nil {
		return nil, errors.New("there is no plan yet to hold the changes against; make the plan first")
	}
	offers := placeChanges(h, opt)
	todo := make([]change, len(offers))
	byCode := make(map[string]placeChange, len(offers))
	for i, o := range offers {
		todo[i], byCode[o.code] = o.change, o
	}
	worth, err := weigh(ctx, p, h, base, opt, todo, progress)
	if err != nil {
		return nil, err
	}
	out := make([]Improvement, 0, len(worth))
	for _, w := range worth {
		out = append(out, improvement(h, base, opt, byCode[w.Code], w, prices))
	}
	byValueForCost(out)
	return out, nil
}

func improvement(h *holding.Holding, base *plan.Plan, opt plan.Options, c placeChange, w plan.Worth, prices map[string]float64) Improvement {
	i := Improvement{Worth: w}
	if price, told := prices[c.code]; told && price >= 0 && !math.IsInf(price, 0) {
		i.CostLow, i.CostHigh = price, price
	} else {
		i.Guessed = true
		i.CostLow, i.CostHigh = c.feedKg/costSpread*h.Prices.FeedPerKg, c.feedKg*costSpread*h.Prices.FeedPerKg
	}
	i.CostText = costWords(base, i)
	if years := yearsOf(base); w.Known && w.High > 0 {
		i.YearsLow = i.CostLow / (w.High / years)
		i.YearsHigh = i.CostHigh / (w.Low / years)
	}
	changed, o := h.Clone(), opt
	c.make(changed, &o)
	i.Effects = effects(h, changed, base.Lights, base.Lights || o.Lights == "on")
	return i
}

// byValueForCost puts what is known to be worth something first, and within
// each kind what gives most for its cost.
func byValueForCost(list []Improvement) {
	value := func(i Improvement) float64 {
		gain := i.High
		if i.Known {
			gain = (i.Low + i.High) / 2
		}
		return gain / max(1e-9, (i.CostLow+i.CostHigh)/2)
	}
	slices.SortStableFunc(list, func(x, y Improvement) int {
		switch {
		case x.Known && !y.Known:
			return -1
		case y.Known && !x.Known:
			return 1
		}
		return cmp.Or(cmp.Compare(value(y), value(x)), cmp.Compare(x.Code, y.Code))
	})
}

// noticed is the part by which something must change to be spoken of.
const noticed = 0.03

// A bird by which the place is felt: in her second year, when she and her cock
// are grown all the year round.
const (
	feltFromWeeks = 52
	feltWeeks     = measure.SlotsPerYear
)

// effects are what ten hens and a cock of the household's stock meet in a year in
// the place as it is and as it would be. What hardly changes is left out.
func effects(before, after *holding.Holding, litBefore, litAfter bool) []Effect {
	b, strain := breedingStock(before)
	if b == nil {
		return nil
	}
	type felt struct{ combs, hot, hawks, foxes, damp, eggs float64 }
	feel := func(h *holding.Holding, lit bool) (f felt) {
		book := course.New(h, lit, bird.NewRates())
		k := book.Key(b, strain, 0, false)
		hen, cock := book.Of(k, bird.Hen), book.Of(k, bird.Cock)
		alive := hen[feltFromWeeks].Alive
		for i := feltFromWeeks; i < feltFromWeeks+feltWeeks; i++ {
			s := book.Week(i % measure.SlotsPerYear)
			f.combs += cock[i].CombNights
			f.hot += hen[i].HeatDays
			f.eggs += 10 * hen[i].Eggs / alive
			lost := 10 * hen[i].LostRaids / alive
			if risk := s.AirRisk + s.GroundRisk; risk > 0 {
				f.hawks += lost * s.AirRisk / risk
				f.foxes += lost * s.GroundRisk / risk
			}
			if s.DampPerch {
				f.damp += 7
			}
		}
		return f
	}
	x, y := feel(before, litBefore), feel(after, litAfter)
	var out []Effect
	for _, e := range []Effect{
		{"comb_nights", "nights a year that threaten the comb of a cock", x.combs, y.combs},
		{"damp_nights", "nights a year with drip or fog at the perch", x.damp, y.damp},
		{"heat_days", "days a year of heat strain for a hen", x.hot, y.hot},
		{"hawk_losses", "of ten hens a year to hawks", x.hawks, y.hawks},
		{"fox_losses", "of ten hens a year to foxes and the like", x.foxes, y.foxes},
		{"eggs", "eggs a year of ten hens", x.eggs, y.eggs},
	} {
		if math.Abs(e.After-e.Before) >= noticed*max(1, math.Abs(e.Before)) {
			out = append(out, e)
		}
	}
	return out
}
