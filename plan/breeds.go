package plan

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"henyear/bird"
	"henyear/breed"
	"henyear/course"
	"henyear/holding"
	"henyear/measure"
	"henyear/solve"
)

// What stock costs where the keeper names no price (guess, main unit of money):
// only the comparison uses it, never the plan.
const (
	usualChick       = 4.0
	usualPulletChick = 6.0
	usualMeatChick   = 2.5
)

// Breeds solves the household's steady year with each breed of the catalogue
// alone, and with pairs of the best layers and meat birds, and sets them side by
// side. progress hears of the share done (in Step.Gap: 1 at the start, 0 at the
// end). The order is that of the catalogue, pairs last.
func (p *Planner) Breeds(ctx context.Context, h *holding.Holding, opt Options, progress Progress) ([]BreedYear, error) {
	// Where lamps are possible the household would use them in the dark months.
	lit := opt.Lights == "on" || opt.Lights == "" && (h.Means.Lights == "on" || h.Means.Lights == "possible")
	var jobs [][]stock
	for _, b := range breed.All() {
		jobs = append(jobs, []stock{{b, strainFor(h, b)}})
	}
	for _, b := range crossesFor(h) {
		jobs = append(jobs, []stock{{b, breed.Utility}})
	}
	out, err := p.steadyYears(ctx, h, opt, lit, jobs, progress, "breeds")
	if err != nil {
		return nil, err
	}
	pairs := pairsOf(h, out)
	more, err := p.steadyYears(ctx, h, opt, lit, pairs, progress, "pairs of layer and meat bird")
	if err != nil {
		return nil, err
	}
	out = append(out, more...)
	markUndominated(out)
	for i := range out {
		judge(h, &out[i], lit)
	}
	return out, nil
}

// crossSires are breeds whose cocks a household may put to its own hens for a
// first cross that lays more, or grows better, than the hens' own breed.
var crossSires = []string{"leghorn", "rhode-island-red", "new-hampshire", "bresse"}

// crossesFor lists first crosses of the breeds on hand with usual sires.
func crossesFor(h *holding.Holding) []*breed.Breed {
	var out []*breed.Breed
	seen := map[string]bool{}
	for _, g := range h.Birds {
		dam, err := breed.Find(g.Breed)
		if err != nil || seen[dam.ID] || g.Sex != bird.Hen || !dam.BreedsTrue {
			continue
		}
		seen[dam.ID] = true
		for _, id := range crossSires {
			sire, err := breed.Find(id)
			if err != nil || sire.ID == dam.ID {
				continue
			}
			out = append(out, breed.Cross(sire, dam))
		}
	}
	return out
}

// strainFor is the strain that the keeper names, else ordinary farm stock.
func strainFor(h *holding.Holding, b *breed.Breed) breed.Strain {
	for _, o := range h.Stock {
		if o.Breed == b.ID {
			return o.Strain
		}
	}
	for _, g := range h.Birds {
		if g.Breed == b.ID {
			return g.Strain
		}
	}
	if b.Kind == "modern hybrid" || b.Kind == "modern cross" {
		return breed.Production
	}
	return breed.Utility
}

func (p *Planner) steadyYears(ctx context.Context, h *holding.Holding, opt Options, lit bool, jobs [][]stock, progress Progress, stage string) ([]BreedYear, error) {
	out := make([]BreedYear, len(jobs))
	errs := make([]error, len(jobs))
	began := time.Now()
	var next, done int
	var mu sync.Mutex
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), 4, len(jobs)) {
		wg.Go(func() {
			sess, err := p.engine.Session(ctx)
			if err != nil {
				mu.Lock()
				errs[0] = err
				mu.Unlock()
				return
			}
			defer sess.Close()
			for ctx.Err() == nil {
				mu.Lock()
				i := next
				next++
				mu.Unlock()
				if i >= len(jobs) {
					return
				}
				out[i], errs[i] = p.steadyYear(ctx, sess, h, opt, lit, jobs[i])
				mu.Lock()
				done++
				n := done
				mu.Unlock()
				if progress != nil && (n%8 == 0 || n == len(jobs)) {
					progress(Step{Seconds: time.Since(began).Seconds(), Stage: stage, Gap: 1 - float64(n)/float64(len(jobs))})
				}
			}
		})
	}
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return out, errors.Join(errs...)
}

// alone is the holding as it would be with nothing but the given stocks: what
// the keeper can get of them, else what the trade usually asks.
// With own, breeds that breed true are renewed from their own eggs.
func alone(h *holding.Holding, stocks []stock, own bool) *holding.Holding {
	c := *h
	c.Birds = nil
	c.Stock = nil
	all := [12]bool{true, true, true, true, true, true, true, true, true, true, true, true}
	for _, s := range stocks {
		meat := s.breed.Purpose == breed.Meat
		ownKind := own && canRenew(h, s.breed)
		offered := false
		for _, o := range h.Stock {
			if o.Breed == s.breed.ID && !(ownKind && h.Needs.SelfRenewing && o.Form != holding.GrownCock) {
				c.Stock = append(c.Stock, o)
				offered = true
			}
		}
		switch {
		case offered && (meat || ownKind):
		case meat:
			c.Stock = append(c.Stock, holding.Offer{Breed: s.breed.ID, Strain: s.strain, Form: holding.Chicks, Price: usualMeatChick, Months: all})
		case !ownKind && !offered:
			c.Stock = append(c.Stock,
				holding.Offer{Breed: s.breed.ID, Strain: s.strain, Form: holding.SexedChicks, Price: usualPulletChick, Months: all},
				holding.Offer{Breed: s.breed.ID, Strain: s.strain, Form: holding.Chicks, Price: usualChick, Months: all})
		}
	}
	c.Needs.SelfRenewing = false
	return &c
}

// steadyYear solves the cyclic programme with whole working cocks in turn and
// keeps the cheapest. A breed that cannot renew itself here (hens that do not sit,
// and no machine) is bought as chicks instead.
func (p *Planner) steadyYear(ctx context.Context, sess *solve.Session, h *holding.Holding, opt Options, lit bool, stocks []stock) (BreedYear, error) {
	for _, own := range []bool{true, false} {
		a, cost, bred, err := steadyAnswer(ctx, sess, alone(h, stocks, own), opt, lit, stocks)
		if err != nil {
			return BreedYear{}, fmt.Errorf("steady year of %s: %w", stocks[0].breed.Name, err)
		}
		if own && !bred && canRenew(h, stocks[0].breed) {
			continue
		}
		return a.breedYear(ctx, sess, stocks, cost, h)
	}
	return BreedYear{}, nil
}

// canRenew reports whether a breed would be renewed from its own eggs if that
// can be done at all.
func canRenew(h *holding.Holding, b *breed.Breed) bool {
	return b.BreedsTrue && b.Purpose != breed.Meat && h.Place.MaxCocks != 0 && (h.Means.MachineEggs > 0 || h.Means.BroodyHens)
}

// steadyAnswer also reports whether any number of working cocks was possible.
func steadyAnswer(ctx context.Context, sess *solve.Session, c *holding.Holding, opt Options, lit bool, stocks []stock) (best answer, cost float64, bred bool, err error) {
	book := course.New(c, lit, opt.rates())
	cost = math.Inf(1)
	for working := 0; working <= 3; working++ {
		o := opt
		o.working = working
		pr := newProgramme(c, book, o, steadyGrid(), stocks)
		if working > 0 && len(pr.fit) == 0 {
			break // nothing of this stock is bred at home
		}
		r, err := sess.Solve(ctx, pr.m, solve.Options{Relax: true})
		if err != nil {
			return best, cost, bred, err
		}
		if !r.Feasible {
			if working == 0 {
				return best, cost, bred, fmt.Errorf("the programme has no answer (%s): a fault in the planner", r.Status)
			}
			break // not enough eggs or sitters to renew so many
		}
		bred = bred || working > 0
		if r.Objective >= cost-1e-6 {
			if working > 1 {
				break // more cocks only eat
			}
			continue
		}
		best, cost = answer{pr, r.X}, r.Objective
	}
	return best, cost, bred, nil
}

func (a answer) breedYear(ctx context.Context, sess *solve.Session, stocks []stock, cost float64, h *holding.Holding) (BreedYear, error) {
	lead := stocks[0].breed
	y := BreedYear{ID: lead.ID, Name: lead.Name, Purpose: string(lead.Purpose), Strain: string(stocks[0].strain), Cost: cost}
	y.Available = true
	for i, s := range stocks {
		if i > 0 {
			y.ID += "+" + s.breed.ID
			y.Name += " with " + s.breed.Name
			y.Purpose = "pair"
		}
		y.Available = y.Available && availableTo(h, s.breed.ID)
	}
	weeks := a.weekly()
	var months [12]struct{ eggs, slots float64 }
	hens, cocks, birds := 0.0, 0.0, 0.0
	for t, w := range weeks {
		m := &months[int(measure.SlotMonth(t))-1]
		m.eggs += w.eggs
		m.slots++
		y.FeedKg += w.feedKg
		y.FeedCost += w.feedCost
		hens += w.hens / measure.SlotsPerYear
		cocks += w.cocks / measure.SlotsPerYear
		birds += w.birds / measure.SlotsPerYear
		y.MinutesAWeek += 7 * w.daily / measure.SlotsPerYear
		y.CombNights += w.combNights
		y.HeatDays += w.heat
		y.LostRaids += w.lostRaids
		y.EggsPerHen += w.eggs
	}
	if birds < 0.5 {
		y.CombNights, y.HeatDays = 0, 0
	}
	y.Hens, y.Cocks = hens, cocks
	y.LeanestEggs = math.Inf(1)
	for m := range months {
		y.MonthlyEggs[m] = months[m].eggs / months[m].slots
		if y.MonthlyEggs[m] < y.LeanestEggs {
			y.LeanestEggs, y.LeanestMonth = y.MonthlyEggs[m], time.Month(m+1).String()
		}
		if y.MonthlyEggs[m] > y.BestEggs || m == 0 {
			y.BestEggs, y.BestMonth = y.MonthlyEggs[m], time.Month(m+1).String()
		}
	}
	eggs := y.EggsPerHen
	if hens > 0.2 {
		y.EggsPerHen = eggs / hens
	} else {
		y.EggsPerHen = 0
	}
	tb, kg := a.tableBirds()
	for t := range tb {
		y.TableBirds += tb[t]
		y.DressedKg += kg[t]
	}
	a.stockFigures(&y)
	a.bodyFigures(&y)
	a.moneyFigures(&y, weeks, eggs)
	loss, err := a.roundingLoss(ctx, sess, cost)
	y.RoundingLoss = loss
	return y, err
}

func availableTo(h *holding.Holding, id string) bool {
	for _, o := range h.Stock {
		if o.Breed == id {
			return true
		}
	}
	for _, g := range h.Birds {
		if g.Breed == id {
			return true
		}
	}
	return false
}

// stockFigures counts chicks and what the flock's own broodies could hatch.
func (a answer) stockFigures(y *BreedYear) {
	pr := a.pr
	lead := pr.stocks[0].breed
	chicks, perEgg := 0.0, 0.0
	for i, s := range pr.slots {
		x := a.x[pr.cols[i].units]
		n := x * (s.unitHens + s.unitCocks)
		if s.from.eggs() {
			y.Hatched += n
		} else {
			y.Bought += x
		}
		if !s.meatOnly {
			chicks += n
		}
		if s.from.underHen() {
			perEgg = math.Max(perEgg, s.unitHens+s.unitCocks)
		}
	}
	for _, h := range a.heads() {
		o := h.course()
		for t := h.from; t < h.to; t++ {
			if age := t - h.s.hatch; h.sex == bird.Hen && h.role == "layer" && age >= 0 && age < len(o) {
				y.OwnSpells += h.started * o[age].BroodySpells
			}
		}
	}
	if perEgg == 0 {
		perEgg = pr.book.ChicksPerEgg(lead, pr.bestHatchSlot(), true, false)
	}
	settings := chicks / math.Max(0.1, perEgg*pr.eggsUnderHen(pr.stocks[0], pr.bestHatchSlot()))
	y.RenewsItself = lead.BreedsTrue && lead.Purpose != breed.Meat && pr.h.Means.BroodyHens && pr.h.Place.MaxCocks != 0 &&
		y.Hens > 0.5 && y.OwnSpells >= spellsPerSetting*settings
}

// bestHatchSlot is early summer: long days, warm, hens broody.
func (pr *programme) bestHatchSlot() int {
	return (pr.winterSlot() + 22) % measure.SlotsPerYear
}

func (a answer) moneyFigures(y *BreedYear, weeks []week, eggs float64) {
	pr := a.pr
	for _, c := range a.cash(weeks, nil) {
		y.CashCost += c.feed + c.other
	}
	for p := range pr.use {
		u := &pr.use[p]
		y.EggsShort += a.x[u.short]
		for _, m := range u.promised {
			y.EggsShort += a.x[m]
		}
	}
	for _, col := range pr.tableShort {
		y.MeatShort += a.x[col]
	}
	// Feed is parted between eggs and meat by what each would cost at the shop.
	eggValue := eggs / 12 * pr.h.Prices.ShopEggsPerDozen
	meatValue := y.DressedKg * pr.h.Prices.ShopChickenPerKg
	if v := eggValue + meatValue; v > 0 {
		if eggs > 12 {
			y.CostPerDozen = y.CashCost * eggValue / v / (eggs / 12)
		}
		if y.DressedKg > 0.5 {
			y.CostPerKg = y.CashCost * meatValue / v / y.DressedKg
		}
	}
}

// roundingLoss is what whole settings and whole orders cost over the continuous
// answer: to the nearest whole number, or where that leaves too few, to the next
// above.
func (a answer) roundingLoss(ctx context.Context, sess *solve.Session, cost float64) (float64, error) {
	for _, round := range []func(float64) float64{math.Round, func(x float64) float64 { return math.Ceil(x - 1e-6) }} {
		m := a.pr.m.Clone()
		for i := range a.pr.slots {
			col := a.pr.cols[i].units
			_, hi := m.Bounds(col)
			n := math.Min(round(a.x[col]), hi)
			m.SetBounds(col, n, n)
		}
		r, err := sess.Solve(ctx, m, solve.Options{Relax: true})
		if err != nil {
			return 0, err
		}
		if r.Feasible {
			return math.Max(0, r.Objective-cost), nil
		}
	}
	return 0, nil
}

// pairsOf makes pairs of the cheapest layers that few others beat with the
// cheapest meat birds.
func pairsOf(h *holding.Holding, years []BreedYear) [][]stock {
	if h.Needs.TableBirds+h.Needs.TableKg <= 0 || !h.Means.WillKill {
		return nil
	}
	pick := func(want func(*BreedYear) bool, value func(*BreedYear) float64, n int) []string {
		var list []*BreedYear
		for i := range years {
			if want(&years[i]) {
				list = append(list, &years[i])
			}
		}
		slices.SortStableFunc(list, func(x, y *BreedYear) int {
			switch {
			case value(x) < value(y):
				return -1
			case value(x) > value(y):
				return 1
			}
			return 0
		})
		var ids []string
		for _, y := range list {
			if len(ids) < n {
				ids = append(ids, y.ID)
			}
		}
		return ids
	}
	shopEgg := failure * h.Prices.ShopEggsPerDozen / 12
	layers := pick(func(y *BreedYear) bool { return y.Purpose == "egg" || y.Purpose == "dual" },
		func(y *BreedYear) float64 { return y.CashCost + y.EggsShort*shopEgg - avail(y) }, 4)
	meats := pick(func(y *BreedYear) bool { return y.Purpose == "meat" },
		func(y *BreedYear) float64 { return y.MeatShort*20 + y.CostPerKg - avail(y) }, 3)
	var out [][]stock
	for _, l := range layers {
		for _, m := range meats {
			lb, err1 := breed.Find(l)
			mb, err2 := breed.Find(m)
			if err1 == nil && err2 == nil {
				out = append(out, []stock{{lb, strainFor(h, lb)}, {mb, strainFor(h, mb)}})
			}
		}
	}
	return out
}

// avail prefers, among near equals, what the keeper can get.
func avail(y *BreedYear) float64 {
	if y.Available {
		return 60
	}
	return 0
}

// markUndominated marks the breeds that no other beats in everything a keeper
// may care for: eggs in the leanest month, meat, cost, work, frost and heat.
// Differences under two percent (or half a night, half a day) do not count.
func markUndominated(years []BreedYear) {
	figures := func(y *BreedYear) [6]float64 {
		return [6]float64{y.LeanestEggs, y.DressedKg, -y.Cost, -y.MinutesAWeek, -y.CombNights, -y.HeatDays}
	}
	for i := range years {
		a := figures(&years[i])
		years[i].Undominated = years[i].Hens > 0.5 || years[i].TableBirds > 0.5
		for j := range years {
			if i == j {
				continue
			}
			b := figures(&years[j])
			better, worse := false, false
			for k := range a {
				slack := math.Max(0.02*math.Abs(a[k]), 0.5)
				if b[k] > a[k]+slack {
					better = true
				}
				if b[k] < a[k]-1e-9 {
					worse = true
				}
			}
			if better && !worse {
				years[i].Undominated = false
				break
			}
		}
	}
}

// judge writes why a breed suits the holding or does not, each reason with its
// figure and source.
func judge(h *holding.Holding, y *BreedYear, lit bool) {
	ids := strings.Split(y.ID, "+")
	b, err := breed.Find(ids[0])
	if err != nil {
		return
	}
	var against, for_ []Sentence
	eggNeed := 0.0
	for slot := range measure.SlotsPerYear {
		eggNeed += h.Needs.EggsPerWeek(int(measure.SlotMonth(slot)))
	}
	p := &h.Place
	meatOnly := b.Purpose == breed.Meat
	if bird.CombRuledOut(b.Comb, b.CombSize, p.Climate.ExtremeMin()) {
		against = append(against, say("comb-ruled-out", "practice", nil, "its large comb does not come through winters of %s", inUnits(h.Units, measure.TempC, p.Climate.ExtremeMin(), 0)))
	} else if y.CombNights >= 5 {
		against = append(against, say("comb-nights", "comb_model_range", map[string]any{"nights": y.CombNights, "low": y.CombNightsLow, "high": y.CombNightsHigh},
			"about %.0f nights a year (%.0f to %.0f, as birds differ) threaten a cock's comb in this house", y.CombNights, y.CombNightsLow, y.CombNightsHigh))
	}
	if y.HeatDays >= 25 {
		against = append(against, say("heat-days", "practice", map[string]any{"days": y.HeatDays}, "heat strains such a body on about %.0f days a year", y.HeatDays))
	}
	if b.FeatheredShanks && p.WetGround {
		against = append(against, say("feathered-mud", "practice", nil, "feathered legs cake in wet ground"))
	}
	if b.Crested && p.AirPredators >= holding.Some {
		against = append(against, say("crest-hawk", "practice", nil, "a crested bird sees the hawk late"))
	}
	if !meatOnly && eggNeed > 0 && y.EggsShort > 0.1*eggNeed {
		against = append(against, say("eggs-short", b.Sources["eggs"], map[string]any{"eggs": y.EggsShort}, "%.0f of the eggs you need would be missing, with %.0f a week in %s", y.EggsShort, y.LeanestEggs, y.LeanestMonth))
	}
	if meatOnly && len(ids) == 1 && eggNeed > 0 {
		against = append(against, say("no-layer", "practice", nil, "it is a meat bird and gives no eggs for the house"))
	}
	if h.Needs.TableBirds+h.Needs.TableKg > 0 && y.MeatShort > 1 {
		against = append(against, say("meat-short", b.Sources["growth"], map[string]any{"birds": y.MeatShort}, "%.0f birds for the table would be missing", y.MeatShort))
	}
	if h.Needs.SelfRenewing && !b.BreedsTrue && !meatOnly {
		against = append(against, say("not-true", "practice", nil, "it does not breed true, so layers must be bought again each time"))
	}
	if b.GrowthClass == "fast meat" && p.Climate.AltitudeM > 1500 {
		against = append(against, say("fast-altitude", "practice", nil, "above 1500 m its heart fails for want of air"))
	}
	if y.Hens > 0.5 {
		for_ = append(for_, say("hens", b.Sources["eggs"], map[string]any{"hens": y.Hens}, "%.0f hens give %.0f eggs each, %.0f a week in %s and %.0f in %s", y.Hens, y.EggsPerHen, y.LeanestEggs, y.LeanestMonth, y.BestEggs, y.BestMonth))
	}
	if y.TableBirds > 0.5 {
		for_ = append(for_, say("meat", b.Sources["growth"], map[string]any{"kg": y.DressedKg}, "%.0f birds make %s for the table", y.TableBirds, inUnits(h.Units, measure.MassKg, y.DressedKg, 0)))
	}
	if lit && y.Hens > 0.5 {
		for_ = append(for_, say("lamps", "practice", nil, "reckoned with lamps in the dark months"))
	}
	if y.RenewsItself {
		for_ = append(for_, say("renews", "practice", map[string]any{"spells": y.OwnSpells}, "about %.0f hens a year go broody, enough to renew the flock without a machine", y.OwnSpells))
	}
	y.Suits = len(against) == 0 && (y.Hens > 0.5 || y.TableBirds > 0.5)
	y.Reasons = append(against, for_...)
	if y.CombCare && !bird.CombRuledOut(b.Comb, b.CombSize, p.Climate.ExtremeMin()) {
		y.Reasons = append(y.Reasons, say("comb-care", "practice", nil, "from %s in damp or wind a cock's comb wants care: birds of low comb come first, then dry air without a draught at the perch", inUnits(h.Units, measure.TempC, -7, 0)))
	}
	text := "Suits: "
	parts := for_
	switch {
	case y.Hens < 0.5 && y.TableBirds < 0.5:
		y.Verdict = say("not-worth-it", "", nil, "Does not pay: the household would do better without it.")
		return
	case !y.Suits:
		text, parts = "Does not suit: ", against
	case len(for_) == 0:
		y.Verdict = say("suits", "", nil, "Nothing speaks against it.")
		return
	}
	words := make([]string, len(parts))
	for i, s := range parts {
		words[i] = s.Text
	}
	code := "suits"
	if !y.Suits {
		code = "unsuited"
	}
	y.Verdict = say(code, parts[0].Source, nil, "%s", text+strings.Join(words, "; ")+".")
}
