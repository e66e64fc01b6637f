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

	// Kept is what the plan that stands costs less over the horizon with the change
	// if it is carried out as it is, the same hatches and the same birds, in main
	// units of money; below zero where it costs more. It is exact, unlike Low and
	// High, but it is of one plan, and the change may allow a better one. KeptKnown is
	// false where that plan cannot be carried out with the change.
	Kept      float64 `json:"kept"`
	KeptKnown bool    `json:"kept_known"`
	KeptText  string  `json:"kept_text"`

	// Note says what is easily misread in the figures; empty where nothing is.
	Note string `json:"note"`
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
// then those with which the plan that stands costs less, by that; then the others,
// by the most that they can be worth for their cost.
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
	answers, err := weigh(ctx, p, h, base, opt, todo, progress)
	if err != nil {
		return nil, err
	}
	worth := tell(base, answers)
	out := make([]Improvement, 0, len(worth))
	for _, w := range worth {
		out = append(out, improvement(h, base, opt, byCode[w.Code], w, prices))
	}
	if err := keep(ctx, p, h, base, opt, byCode, out); err != nil {
		return nil, err
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
	i.Note = note(c.code, i.Effects)
	return i
}

// keep tells of each change what the plan that stands costs less with it. Both
// sides are reckoned in the same way, so that tolerances of the search cancel.
func keep(ctx context.Context, p *plan.Planner, h *holding.Holding, base *plan.Plan, opt plan.Options, byCode map[string]placeChange, list []Improvement) error {
	today, can, err := p.Kept(ctx, h, opt, base, base.Lights)
	for k := range list {
		if err != nil || !can {
			break
		}
		changed, o := h.Clone(), opt
		byCode[list[k].Code].make(changed, &o)
		var then float64
		if then, list[k].KeptKnown, err = p.Kept(ctx, changed, o, base, base.Lights || o.Lights == "on"); list[k].KeptKnown {
			list[k].Kept = today - then
		}
		if math.Abs(list[k].Kept) <= blur(base) {
			list[k].Kept = 0
		}
		list[k].KeptText = keptWords(list[k], base)
	}
	if ctx.Err() != nil {
		return nil // stopped: what was weighed is told without it
	}
	return err
}

// note explains what a keeper would not expect.
func note(code string, felt []Effect) string {
	switch {
	case code == "vents" && len(felt) == 0:
		return "The plan takes it that vents are opened as the weather asks, and on usual days those of today pass enough: so it cannot see what more of them do in a hot or still hour. The page of the place shows that."
	case code == "house":
		for _, e := range felt {
			if e.Code == "damp_nights" && e.After > e.Before {
				return "The same birds warm a larger house less, so that a roof near dripping drips in more weeks; wool in the roof ends that."
			}
		}
	}
	return ""
}

// byValueForCost puts what is known to be worth something first, then what helps the
// plan that stands, and within each kind what gives most for its cost.
func byValueForCost(list []Improvement) {
	value := func(i Improvement) (kind int, gain float64) {
		switch {
		case i.Known:
			kind, gain = 0, (i.Low+i.High)/2
		case i.KeptKnown && i.Kept > 0:
			kind, gain = 1, i.Kept
		default:
			kind, gain = 2, i.High
		}
		return kind, gain / max(1e-9, (i.CostLow+i.CostHigh)/2)
	}
	slices.SortStableFunc(list, func(x, y Improvement) int {
		xKind, xGain := value(x)
		yKind, yGain := value(y)
		return cmp.Or(cmp.Compare(xKind, yKind), cmp.Compare(yGain, xGain), cmp.Compare(x.Code, y.Code))
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
