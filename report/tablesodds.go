package report

import (
	"strconv"

	"henyear/chance"
	"henyear/measure"
	"henyear/plan"
)

// rangeFields are the fields of a spread of lives.
func rangeFields(what string) []Field {
	return fields(asNumber, what+"_p05", what+"_p25", what+"_p50", what+"_p75", what+"_p95", what+"_mean")
}

func spreadOf(r chance.Range) []any { return figures(r.P05, r.P25, r.P50, r.P75, r.P95, r.Mean) }

// OddsWeeksGrid has one row for each week of a plan that was lived through.
func OddsWeeksGrid(o *chance.Odds) Grid {
	g := Grid{Name: "odds_weeks", Currency: o.Currency, Fields: joined(
		[]Field{{"week", asText}, {"date", asDay}}, rangeFields("eggs"), []Field{{"eggs_needed", asNumber}, {"chance_short", asShare}}, rangeFields("hens"))}
	for _, w := range o.Weeks {
		g.Rows = append(g.Rows, joined([]any{w.Week, w.Date}, spreadOf(w.Eggs), figures(w.Needed, w.Short), spreadOf(w.Hens)))
	}
	return g
}

// OddsYearsGrid has one row for each outcome of each year of a plan that was
// lived through. Costs are in the main unit of the currency.
func OddsYearsGrid(o *chance.Odds) Grid {
	g := Grid{Name: "odds_years", Currency: o.Currency, Fields: joined(
		[]Field{{"year", asYear}, {"part", asShare}, {"outcome", asText}, {"unit", asText}}, fields(asNumber, "p05", "p25", "p50", "p75", "p95", "mean"))}
	for _, y := range o.Years {
		for _, line := range []struct {
			outcome, unit string
			of            chance.Range
		}{
			{"short_weeks", "weeks", y.ShortWeeks}, {"eggs", "eggs", y.Eggs}, {"eggs_bought", "eggs", y.EggsBought}, {"winter_eggs_a_week", "eggs a week", y.WinterEggs},
			{"table_birds", "birds", y.TableBirds}, {"chicks_hatched", "chicks", y.Chicks}, {"birds_lost", "birds", y.Lost}, {"taken_by_predators", "birds", y.Taken},
			{"cost", o.Currency.Code, y.Cost}, {"feed_kg", "kg", y.FeedKg}, {"hens_winter", "hens", y.HensWinter}, {"new_pullets_winter", "hens", y.Pullets},
			{"promised_eggs_short", "eggs", y.Missed},
		} {
			g.Rows = append(g.Rows, joined([]any{y.Year, y.Part, line.outcome, line.unit}, spreadOf(line.of)))
		}
	}
	return g
}

// OddsChancesGrid has one row for each thing that may happen.
func OddsChancesGrid(o *chance.Odds) Grid {
	g := Grid{Name: "odds_chances", Currency: o.Currency, Fields: joined(fields(asText, "code", "what"), fields(asShare, "share", "share_a_year", "error"))}
	for _, e := range o.Chance {
		g.Rows = append(g.Rows, []any{e.Code, e.What, e.Share, e.Year, e.Error})
	}
	return g
}

// BreedsGrid has one row for the household's year with each breed.
func BreedsGrid(breeds []plan.BreedYear, c measure.Currency) Grid {
	var months []Field
	for m := 1; m <= 12; m++ {
		months = append(months, Field{"eggs_a_week_month_" + strconv.Itoa(m), asNumber})
	}
	g := Grid{Name: "breeds", Currency: c, Fields: joined(
		fields(asText, "id", "name", "purpose", "strain"), fields(asFlag, "available", "suits", "undominated", "renews_itself"), fields(asText, "leanest_month", "best_month"),
		fields(asNumber, "leanest_month_eggs_a_week", "best_month_eggs_a_week", "eggs_a_hen_kept"), fields(asMass, "dressed_kg_a_year"),
		fields(asNumber, "table_birds_a_year", "hens", "cocks", "chicks_hatched", "birds_bought"), fields(asMass, "feed_kg"),
		fields(asMoney, "feed_cost", "cost", "cash_cost"), fields(asNumber, "eggs_short", "meat_birds_short"), fields(asMoney, "cost_per_dozen", "cost_per_kg"),
		fields(asNumber, "minutes_a_week", "comb_nights", "heat_days", "lost_to_predators", "broody_spells_on_offer"), months, fields(asText, "currency", "verdict"))}
	for _, b := range breeds {
		g.Rows = append(g.Rows, joined([]any{b.ID, b.Name, b.Purpose, b.Strain, b.Available, b.Suits, b.Undominated, b.RenewsItself, b.LeanestMonth, b.BestMonth},
			figures(b.LeanestEggs, b.BestEggs, b.EggsPerHen, b.DressedKg, b.TableBirds, b.Hens, b.Cocks, b.Hatched, b.Bought, b.FeedKg,
				b.FeedCost, b.Cost, b.CashCost, b.EggsShort, b.MeatShort, b.CostPerDozen, b.CostPerKg, b.MinutesAWeek, b.CombNights, b.HeatDays, b.LostRaids, b.OwnSpells),
			figures(b.MonthlyEggs[:]...), []any{c.Code, b.Verdict.Text}))
	}
	return g
}
