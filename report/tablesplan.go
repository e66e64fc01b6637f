package report

import (
	"strconv"

	"henyear/calendar"
	"henyear/measure"
	"henyear/plan"
)

// WeeksGrid has one row for each week of a plan.
func WeeksGrid(p *plan.Plan) Grid {
	g := Grid{Name: "weeks", Currency: p.Currency, Fields: joined(
		[]Field{{"week", asText}, {"date", asDay}},
		fields(asNumber, "eggs_expected", "eggs_low", "eggs_high", "eggs_needed", "eggs_sold", "eggs_set", "eggs_from_store", "eggs_frozen", "eggs_bought", "eggs_spare",
			"birds", "hens", "pullets", "cocks", "chicks", "growers", "in_lay", "moulting"),
		[]Field{{"feed_kg", asMass}, {"freezer_l", asRoom}, {"table_birds", asNumber}, {"table_kg", asMass}, {"minutes_a_day", asNumber}, {"water_l_a_day", asWater},
			{"money", asMoney}, {"currency", asText}, {"pens", asText}})}
	for _, r := range p.Weeks {
		g.Rows = append(g.Rows, joined([]any{r.Week, r.Date},
			figures(r.EggsExpected, r.EggsLow, r.EggsHigh, r.EggsNeeded, r.EggsSold, r.EggsSet, r.EggsFromStore, r.EggsFrozen, r.EggsBought, r.EggsSpare,
				r.Birds, r.Hens, r.Pullets, r.Cocks, r.Chicks, r.Growers, r.InLay, r.Moulting, r.FeedKg, r.FreezerL, r.TableBirds, r.TableKg, r.MinutesADay, r.WaterL),
			[]any{r.Money, p.Currency.Code, penWords(r.Pens)}))
	}
	return g
}

func penWords(pens []plan.PenUse) string {
	text := ""
	for i, u := range pens {
		if i > 0 {
			text += "; "
		}
		text += u.Pen + ": " + Number(u.Birds, 0) + " " + u.Who
	}
	return text
}

// YearsGrid has one row for each calendar year of a plan.
func YearsGrid(p *plan.Plan) Grid {
	g := Grid{Name: "years", Currency: p.Currency, Fields: joined(
		[]Field{{"year", asYear}, {"part", asShare}},
		fields(asNumber, "eggs", "eggs_per_hen", "eggs_bought", "table_birds"), fields(asMass, "table_kg", "feed_kg"),
		fields(asMoney, "feed_cost", "other_cost", "income", "cost_per_dozen"), []Field{{"currency", asText}},
		fields(asNumber, "hens_winter", "new_pullets_winter", "cocks_winter", "eggs_set", "leanest_week_eggs"), []Field{{"leanest_month", asText}, {"best_week_eggs", asNumber}, {"best_month", asText}})}
	for _, y := range p.Years {
		g.Rows = append(g.Rows, joined([]any{y.Year}, figures(y.Part, y.Eggs, y.EggsPerHen, y.EggsBought, y.TableBirds, y.TableKg, y.FeedKg),
			[]any{y.FeedCost, y.OtherCost, y.Income, y.CostPerDozen, p.Currency.Code},
			figures(y.HensNov, y.NewPullets, y.Cocks, y.EggsSet, y.LeanestWeek), []any{y.LeanestMonth, y.BestWeek, y.BestMonth}))
	}
	return g
}

// BatchesGrid has one row for each lot of birds.
func BatchesGrid(p *plan.Plan) Grid {
	g := Grid{Name: "batches", Currency: p.Currency, Fields: joined(
		fields(asText, "id", "breed", "breed_name", "strain", "source"), fields(asDay, "set", "hatched"), []Field{{"eggs_set", asWhole}},
		fields(asNumber, "chicks", "pullets", "cockerels"), fields(asDay, "first_egg"))}
	for _, b := range p.Batches {
		g.Rows = append(g.Rows, []any{b.ID, b.Breed, b.BreedName, b.Strain, b.Source, b.Set, b.Hatched, b.EggsSet, b.Chicks, b.Pullets, b.Cockerels, b.FirstEgg})
	}
	return g
}

// FatesGrid has one row for each thing that becomes of some birds of a batch.
func FatesGrid(p *plan.Plan) Grid {
	g := Grid{Name: "fates", Currency: p.Currency, Fields: joined(
		fields(asText, "batch", "breed_name", "sex", "what"), []Field{{"on", asDay}, {"birds", asNumber}, {"dressed_kg_each", asMass}})}
	for _, b := range p.Batches {
		for _, f := range b.Fates {
			g.Rows = append(g.Rows, []any{b.ID, b.BreedName, f.Sex, f.What, f.On, f.Birds, f.DressedKg})
		}
	}
	return g
}

// TasksGrid has one row for each job: those of a work list where there is one,
// else those of the plan.
func TasksGrid(p *plan.Plan, work []calendar.Task) Grid {
	g := Grid{Name: "tasks", Currency: p.Currency, Fields: joined(
		fields(asDay, "on", "first", "last"), fields(asText, "at", "kind", "what", "caution", "batch"), []Field{{"minutes", asNumber}}, fields(asText, "who", "state"), fields(asDay, "done_on"))}
	for _, t := range p.Tasks {
		if work == nil {
			g.Rows = append(g.Rows, []any{t.On, t.On, t.On, "", t.Kind, t.Text, t.Caution, t.Batch, nil, "", "", measure.Date{}})
		}
	}
	for _, t := range work {
		caution := ""
		if t.Caution != nil {
			caution = t.Caution.Text
		}
		g.Rows = append(g.Rows, []any{t.On, t.First, t.Last, clockWords(t.Clock), string(t.Kind), t.What.Text, caution, t.Batch, t.Minutes, string(t.Who), string(t.State), t.DoneOn})
	}
	return g
}

// clockWords writes minutes after midnight as 20:00; nothing for any time.
func clockWords(minutes int) string {
	if minutes < 0 {
		return ""
	}
	two := func(n int) string { return strconv.Itoa(n/10) + strconv.Itoa(n%10) }
	return two(minutes/60%24) + ":" + two(minutes%60)
}
