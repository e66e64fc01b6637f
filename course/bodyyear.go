package course

import (
	"fmt"
	"math"

	"henyear/bird"
	"henyear/breed"
	"henyear/measure"
	"henyear/source"
)

// What heat and cold cost is the difference between two courses of the same law: as
// it is here, and as it were if no week were hotter, or colder, than a bird is
// comfortable in. There is no second model.
const (
	// comfortWarmC is the daily mean and comfortHighC the daily high above which the
	// law lets heat act on anything: appetite from 21 C, growth from 24, lay from 27;
	// loss from a high of 32 (fast meat crosses) or 38.
	comfortWarmC = 21
	comfortHighC = 32
	// comfortColdC is the air below which a grown hen in full feather makes heat
	// to keep warm, 14-20 C (key lower_critical).
	comfortColdC = 16
)

// Two laying years: every week of the year counts twice, so that it hardly matters
// when the bird was hatched.
const (
	keptFromWeeks = 20
	keptToWeeks   = keptFromWeeks + 2*measure.SlotsPerYear
)

const (
	startStep     = 4  // slots between the starts of table birds
	butcherWeeks  = 16 // where a breed names none
	ofTen         = 10
	heatMarginC   = 1.5 // the limit of heat strain may lie so much lower or higher
	coldPctLow    = 1.0 // feed a degree of cold, percent, in two trials
	coldPctHigh   = 1.4
	heatLayLowPct = 9.0 // fall of lay at 30-35 C in the review's trials
	heatLayMost   = 22.6
	heatLayAtC    = 32.5
)

// BodyOf is what a year here does to a grown bird of a breed.
func (b *Book) BodyOf(r *breed.Breed, strain breed.Strain, sex bird.Sex) Body {
	body := Body{Breed: r.ID, Strain: string(strain), Sex: sex}
	b.combFigures(&body, r, sex)
	b.heatFigures(&body, r, strain, sex)
	b.lifeFigures(&body, r, strain, sex)
	b.groundFigures(&body, r)
	return body
}

func (b *Book) combFigures(body *Body, r *breed.Breed, sex bird.Sex) {
	comb, wattle := bird.CombOf(r.Comb, r.CombSize, sex), bird.WattleOf(r.WattleSize, sex)
	nights, _ := b.combYear(comb, sex)
	body.CombNights = Figure{nights, "nights", b.combWorking("comb-nights", comb, sex, nights)}
	nights, _ = b.combYear(wattle, sex)
	body.WattleNights = Figure{nights, "nights", b.combWorking(wattleNights, wattle, sex, nights)}
}

// HeatHoursOf is the hours of heat strain of each week of the steady year for a
// grown bird of a breed.
func (b *Book) HeatHoursOf(r *breed.Breed, strain breed.Strain, sex bird.Sex) (hours [measure.SlotsPerYear]float64) {
	t := b.tolerance(r, strain, sex)
	for slot := range hours {
		hours[slot] = bird.HeatHours(t, b.grown[slot], b.year[slot].MaxC-b.year[slot].MinC)
	}
	return hours
}

func (b *Book) tolerance(r *breed.Breed, strain breed.Strain, sex bird.Sex) bird.HeatTolerance {
	return bird.ToleranceOf(r, b.grownKg(r, strain, sex))
}

// grownKg is the weight that the law gives a grown bird.
func (b *Book) grownKg(r *breed.Breed, strain breed.Strain, sex bird.Sex) float64 {
	return r.GrowthFor(strain, sex == bird.Cock).MatureG / 1000 * b.rates.Growth
}

// heatHours of a year, with every limit so many degrees lower.
func (b *Book) heatHours(t bird.HeatTolerance, lowerC float64) float64 {
	hours := 0.0
	for slot := range b.grown {
		s := b.grown[slot]
		s.DayMaxC += lowerC
		hours += bird.HeatHours(t, s, b.year[slot].MaxC-b.year[slot].MinC)
	}
	return hours
}

func (b *Book) heatDays(t bird.HeatTolerance, lowerC float64) float64 {
	days := 0.0
	for slot := range b.grown {
		s := b.grown[slot]
		s.DayMaxC += lowerC
		days += bird.HeatDays(t, s)
	}
	return days
}

func (b *Book) heatFigures(body *Body, r *breed.Breed, strain breed.Strain, sex bird.Sex) {
	t := b.tolerance(r, strain, sex)
	hottest := 0
	for slot := range b.grown {
		if b.grown[slot].DayMaxC > b.grown[hottest].DayMaxC {
			hottest = slot
		}
	}
	s := &b.grown[hottest]
	inputs := []source.WorkingInput{
		{Name: "weight of the grown bird", Value: t.Kg, Unit: "kg", Key: r.Sources["weights"]},
		{Name: "plumage", Text: t.Plumage, Key: r.Sources["plumage"]},
		{Name: "limit of such a body after a warm night, in still air", Value: bird.HeatStrainC(t), Unit: "°C", Key: "heat_strain"},
		{Name: "hottest week: mean daily high in the shade", Value: s.DayMaxC, Unit: "°C", Key: "climate_normals"},
		{Name: "hottest week: spread of days", Value: s.DaySDC, Unit: "°C", Key: "climate_spread"},
		{Name: "hottest week: limit with its nights and air", Value: bird.HeatLimitC(t, *s), Unit: "°C", Key: "tao_xin_2003"},
	}
	const ends = "Fewest: were the limit 1.5 °C higher, where losses become evident. Most: were it 1.5 °C lower, where lay begins to fall."
	keys := []string{"heat_strain", "nordic_heat", "hyline_understanding"}
	span := func(count func(bird.HeatTolerance, float64) float64) bird.Range {
		return bird.Range{Low: count(t, -heatMarginC), Best: count(t, 0), High: count(t, heatMarginC)}
	}
	body.HeatDays = Figure{span(b.heatDays), "days", source.NewWorking("heat-days",
		"Days = sum over the weeks of 7 x the share of days whose high in the shade passes the limit. The limit is 31.5 °C, less 1.5 for each kg above 2.2, "+
			"moved by plumage, shanks, neck and comb, up to 2 more after a cool night, and more in moving air.", ends, keys, inputs...)}
	body.HeatHours = Figure{span(b.heatHours), "hours", source.NewWorking("heat-hours",
		"Hours above the same limit on those days. A day falls half a wave from its high to its low and rises half a wave again: "+
			"hours = 24 x arccos(1 - 2 (high - limit)/(high - low))/pi.", ends, keys,
		append(inputs, source.WorkingInput{Name: "hottest week: high less low", Value: b.year[hottest].MaxC - b.year[hottest].MinC, Unit: "°C", Key: "climate_normals"})...)}
}

// seasons is what birds of each age meet in a year, changed.
type seasons struct {
	warm, young, grown [measure.SlotsPerYear]bird.Surroundings
}

func (b *Book) seasons(change func(*bird.Surroundings)) *seasons {
	y := &seasons{b.warm, b.young, b.grown}
	for slot := range y.grown {
		change(&y.warm[slot])
		change(&y.young[slot])
		change(&y.grown[slot])
	}
	return y
}

func (y *seasons) course(law *bird.Law, start, weeks int, into []bird.Outputs) []bird.Outputs {
	return law.Expect(into, func(age int) *bird.Surroundings {
		slot := (start + age) % measure.SlotsPerYear
		switch {
		case age < 6:
			return &y.warm[slot]
		case age < litFromWeeks:
			return &y.young[slot]
		}
		return &y.grown[slot]
	}, weeks)
}

// kept is a year of a grown bird, by bird alive.
type kept struct{ eggs, feedKg, lostOther float64 }

func keptYear(course []bird.Outputs) (k kept) {
	alive := 0.0
	for _, o := range course[keptFromWeeks:keptToWeeks] {
		alive += o.Alive
		k.eggs += o.Eggs
		k.feedKg += o.FeedKg
		k.lostOther += o.LostOther
	}
	if alive > 0 {
		year := measure.SlotsPerYear / alive
		k.eggs, k.feedKg, k.lostOther = k.eggs*year, k.feedKg*year, k.lostOther*year
	}
	return k
}

// tableBird is a bird at butchering, mean of starts over the year.
type tableBird struct{ dressedKg, alive, feedKg float64 }

func (y *seasons) tableBird(law *bird.Law, weeks int, into []bird.Outputs) (t tableBird) {
	const starts = measure.SlotsPerYear / startStep
	for start := 0; start < measure.SlotsPerYear; start += startStep {
		course := y.course(law, start, weeks, into)
		t.dressedKg += course[weeks-1].DressedKg / starts
		t.alive += course[weeks-1].AliveEnd / starts
		for _, o := range course {
			if o.Alive > 0 {
				t.feedKg += o.FeedKg / o.Alive / starts
			}
		}
	}
	return t
}

func (b *Book) lifeFigures(body *Body, r *breed.Breed, strain breed.Strain, sex bird.Sex) {
	// Warmth also makes hens broody; that belongs to neither heat nor cold, and no
	// hen goes broody in any of the three courses.
	rates := b.rates
	rates.Broody = 0
	law := bird.NewLaw(r, strain, sex, rates)
	age := butcherAge(r)
	buffer := make([]bird.Outputs, max(keptToWeeks, age))
	spring := b.springSlot()
	live := func(y *seasons) (kept, tableBird) {
		return keptYear(y.course(law, spring, keptToWeeks, buffer)), y.tableBird(law, age, buffer)
	}
	now, nowTable := live(b.seasons(func(*bird.Surroundings) {}))
	cool, coolTable := live(b.seasons(func(s *bird.Surroundings) {
		s.MeanC, s.DayMaxC = min(s.MeanC, comfortWarmC), min(s.DayMaxC, comfortHighC)
	}))
	mild, mildTable := live(b.seasons(func(s *bird.Surroundings) { s.MeanC = max(s.MeanC, comfortColdC) }))

	hotMean, coldMean := b.meanEnds()
	warmest := source.WorkingInput{Name: "warmest week: mean", Value: hotMean, Unit: "°C", Key: "climate_normals"}
	coldest := source.WorkingInput{Name: "coldest week: mean where the birds are", Value: coldMean, Unit: "°C", Key: "climate_normals"}
	weeks := source.WorkingInput{Name: "age at butchering", Value: float64(age), Unit: "weeks", Key: r.Sources["growth"]}
	const hotYear = " if no week's mean passed 21 °C and no mean high 32 °C"
	const coldYear = " if no week's mean fell below 16 °C"

	lost := max(0, cool.eggs-now.eggs)
	if tableOnly(r) {
		lost = 0
	}
	fall := 100 * (1 - bird.HeatLayFactor(heatLayAtC))
	body.HeatEggs = Figure{bird.Range{Low: lost * heatLayLowPct / fall, Best: lost, High: lost * heatLayMost / fall}, "eggs",
		source.NewWorking("heat-eggs", "Eggs of a hen kept a year"+hotYear+", less the eggs here; both by the same law over two laying years of usual weeks. Lay falls from a daily mean of 27 °C; a heat wave costs more than a usual week shows.",
			"Fewest and most: lay falls by 9.0 to 22.6 % at 30-35 °C in the trials of the review; this law has "+fmt.Sprintf("%.0f %%.", fall),
			[]string{"mignon_grasteau_2015", "moreri_2013"}, warmest,
			source.WorkingInput{Name: "eggs here", Value: now.eggs, Unit: "eggs"}, source.WorkingInput{Name: "eggs without the heat", Value: cool.eggs, Unit: "eggs"})}
	body.HeatDressed = Figure{bird.Just(max(0, coolTable.dressedKg-nowTable.dressedKg)), "kg",
		source.NewWorking("heat-growth", "Dressed weight at butchering"+hotYear+", less that here; mean of starts in every fourth week. Growth slows by 2 % for each degree of the mean above 24 °C.",
			"", []string{"bird-growth-weather"}, warmest, weeks, source.WorkingInput{Name: "dressed here", Value: nowTable.dressedKg, Unit: "kg"})}
	lives := now.lostOther - cool.lostOther
	formula := "Grown birds of ten lost in a year here, less those lost" + hotYear + ". Each degree of a week's mean high above 38 °C takes 2 birds more of a thousand in that week."
	if tableOnly(r) {
		lives = coolTable.alive - nowTable.alive
		formula = "Birds of ten started that reach butchering" + hotYear + ", less those that do here; mean of starts in every fourth week. Each degree of a week's mean high above 38 °C (fast meat crosses 32 °C) takes 2 of a thousand in that week."
	}
	body.HeatLives = Figure{bird.Just(ofTen * max(0, lives)), "birds of ten",
		source.NewWorking("heat-lives", formula, "", []string{"guess"}, warmest)}

	if tableOnly(r) {
		// Never kept a year: what a table bird eats, and no eggs.
		now.feedKg, mild.feedKg = nowTable.feedKg, mildTable.feedKg
		now.eggs, mild.eggs = 0, 0
	}
	extra := max(0, now.feedKg-mild.feedKg)
	slope := coldFeedPct()
	body.ColdFeed = Figure{bird.Range{Low: extra * min(1, coldPctLow/slope), Best: extra, High: extra * max(1, coldPctHigh/slope)}, "kg",
		source.NewWorking("cold-feed", "Feed eaten by a bird kept a year here (a meat bird: to butchering, mean of starts over the year), less what it would eat"+coldYear+". Need = W^0.75 (173 - 1.95 T) + growth + eggs, kcal a day; missing eggs save a little.",
			fmt.Sprintf("Least and most: trials found 1.0 to 1.4 %% more feed for each degree of cold; this law has %.1f %%.", slope),
			[]string{"bird-nrc-hen", "bird-krimpen-2014", "cold_feed_1983", "lower_critical"}, coldest,
			source.WorkingInput{Name: "feed here", Value: now.feedKg, Unit: "kg"}, source.WorkingInput{Name: "feed without the cold", Value: mild.feedKg, Unit: "kg"})}
	body.ColdEggs = Figure{bird.Just(max(0, mild.eggs-now.eggs)), "eggs",
		source.NewWorking("cold-eggs", "Eggs of a hen kept a year"+coldYear+", less the eggs here. Lay is full from 13 °C, 0.97 at 10, 0.93 at 0, 0.90 at -5 and 0.80 at -15 °C; short days are not in it.",
			"", []string{"cold_lay", "animals_2023_3824"}, coldest,
			source.WorkingInput{Name: "eggs here", Value: now.eggs, Unit: "eggs"}, source.WorkingInput{Name: "eggs without the cold", Value: mild.eggs, Unit: "eggs"})}
	body.ColdDressed = Figure{bird.Just(max(0, mildTable.dressedKg-nowTable.dressedKg)), "kg",
		source.NewWorking("cold-growth", "Dressed weight at butchering"+coldYear+", less that here; mean of starts in every fourth week. From six weeks growth slows by 0.8 % for each degree of the mean below 5 °C.",
			"", []string{"bird-growth-weather"}, coldest, weeks, source.WorkingInput{Name: "dressed here", Value: nowTable.dressedKg, Unit: "kg"})}

	b.hawkFigures(body, r, law, spring)
}

// coldFeedPct is the law's own rise of a hen's feed for each degree of cold, between
// 20 and 5 C as in the trial.
func coldFeedPct() float64 {
	warm, cold := bird.HenKcal(2, 20, 0, 45, 1), bird.HenKcal(2, 5, 0, 45, 1)
	return 100 * (cold/warm - 1) / 15
}

// hawkFigures follows a grown bird through the same two years and counts what
// hawks take of ten such birds in one.
func (b *Book) hawkFigures(body *Body, r *breed.Breed, law *bird.Law, spring int) {
	var life bird.Life
	var w bird.Week
	left, alive, taken := 1.0, 0.0, 0.0
	for age := range keptToWeeks {
		law.Step(&life, b.at(age, (spring+age)%measure.SlotsPerYear, false), &w)
		kept := left * (1 - w.LossOther)
		if age >= keptFromWeeks {
			taken += kept * w.LossRaid * w.HawkPart
			alive += left
		} else {
			w.LossRaid = 0 // chicks have dangers of their own
		}
		left = kept * (1 - w.LossRaid)
	}
	times := bird.HawkTimes(r)
	inputs := []source.WorkingInput{
		{Name: "crest", Text: yesNo(r.Crested), Key: r.Sources["plumage"]},
		{Name: "colour", Text: r.PlumageColour, Key: r.Sources["plumage"]},
		{Name: "hen", Value: r.HenKg, Unit: "kg", Key: r.Sources["weights"]},
		{Name: "hawks here against a usual day range, mean of the year", Value: b.meanAirRisk(), Unit: "times", Key: "bird-raid-defaults"},
	}
	body.HawkTimes = Figure{bird.Just(times), "times", source.NewWorking("hawk-times",
		"1.5 for a crest that hides the hawk, 1.3 for white plumage, 1.5 under 1.3 kg; more for tame birds, less for wary ones, more for those that stray.",
		"", []string{"bird-raid-defaults"}, inputs[:3]...)}
	loss := 0.0
	if alive > 0 {
		loss = ofTen * measure.SlotsPerYear * taken / alive
	}
	body.HawkLoss = Figure{bird.Just(loss), "birds of ten", source.NewWorking("hawk-loss",
		"Of ten grown birds kept a year: 0.4 of the 8 % that predators take on a day range, times how easily such a bird is taken, times the hawks here. Fewer where shrubs and shelters stand and when birds stay in the run.",
		"", []string{"bird-raid-defaults"}, append(inputs, source.WorkingInput{Name: "as easily taken as a usual bird", Value: times, Unit: "times"})...)}
}

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

func (b *Book) meanAirRisk() float64 {
	sum := 0.0
	for slot := range b.grown {
		sum += b.grown[slot].AirRisk
	}
	return sum / measure.SlotsPerYear
}

func (b *Book) meanEnds() (hottest, coldest float64) {
	hottest, coldest = math.Inf(-1), math.Inf(1)
	for slot := range b.grown {
		hottest, coldest = max(hottest, b.grown[slot].MeanC), min(coldest, b.grown[slot].MeanC)
	}
	return hottest, coldest
}

// springSlot is sixteen weeks after the shortest day of the year.
func (b *Book) springSlot() int {
	shortest := 0
	for slot, w := range b.year {
		if w.SunH < b.year[shortest].SunH {
			shortest = slot
		}
	}
	return (shortest + 16) % measure.SlotsPerYear
}

func butcherAge(r *breed.Breed) int {
	age := int(math.Round((r.ButcherWeeksLow + r.ButcherWeeksHigh) / 2))
	if age < 1 {
		return butcherWeeks
	}
	return min(age, measure.SlotsPerYear)
}

// tableOnly reports whether birds of the breed are kept for the table alone.
func tableOnly(r *breed.Breed) bool { return r.Purpose == breed.Meat }
