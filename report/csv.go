package report

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"henyear/measure"
	"henyear/plan"
)

// plainCell keeps a spreadsheet from taking a text for a formula: a text that
// begins with one of the signs of a formula gets an apostrophe in front.
// Numbers never come this way.
func plainCell(text string) string {
	if text != "" && strings.ContainsRune("=+-@\t\r\n", rune(text[0])) {
		return "'" + text
	}
	return text
}

// figure writes a number for a spreadsheet: a point for the decimals, no
// separators.
func figure(x float64) string { return measure.Round(x, 2) }

// WeeksCSV writes the weeks of a plan, metric, one row a week, with a heading.
// It returns the error of the writer.
func WeeksCSV(w io.Writer, p *plan.Plan) error {
	out := csv.NewWriter(w)
	out.Write([]string{"week", "date", "eggs_expected", "eggs_low", "eggs_high", "eggs_needed", "eggs_sold", "eggs_set", "eggs_from_store", "eggs_frozen", "eggs_bought", "eggs_spare",
		"birds", "hens", "pullets", "cocks", "chicks", "growers", "in_lay", "moulting", "feed_kg", "freezer_l", "table_birds", "table_kg", "minutes_a_day", "water_l_a_day", "money", "currency", "pens"})
	for _, r := range p.Weeks {
		row := []string{plainCell(r.Week), r.Date.String()}
		for _, x := range []float64{r.EggsExpected, r.EggsLow, r.EggsHigh, r.EggsNeeded, r.EggsSold, r.EggsSet, r.EggsFromStore, r.EggsFrozen, r.EggsBought, r.EggsSpare,
			r.Birds, r.Hens, r.Pullets, r.Cocks, r.Chicks, r.Growers, r.InLay, r.Moulting, r.FeedKg, r.FreezerL, r.TableBirds, r.TableKg, r.MinutesADay, r.WaterL} {
			row = append(row, figure(x))
		}
		row = append(row, measure.Round(p.Currency.Amount(r.Money), p.Currency.Exponent), plainCell(p.Currency.Code), plainCell(penWords(r.Pens)))
		out.Write(row)
	}
	out.Flush()
	return out.Error()
}

func penWords(pens []plan.PenUse) string {
	var list []string
	for _, u := range pens {
		list = append(list, u.Pen+": "+Number(u.Birds, 0)+" "+u.Who)
	}
	return strings.Join(list, "; ")
}

// BreedsCSV writes the year with each breed, metric, one row a breed, with a
// heading. It returns the error of the writer.
func BreedsCSV(w io.Writer, breeds []plan.BreedYear, c measure.Currency) error {
	out := csv.NewWriter(w)
	head := []string{"id", "name", "purpose", "strain", "available", "suits", "undominated", "renews_itself", "leanest_month", "best_month",
		"leanest_month_eggs_a_week", "best_month_eggs_a_week", "eggs_a_hen_kept", "dressed_kg_a_year", "table_birds_a_year", "hens", "cocks", "chicks_hatched", "birds_bought", "feed_kg",
		"feed_cost", "cost", "cash_cost", "eggs_short", "meat_birds_short", "cost_per_dozen", "cost_per_kg", "minutes_a_week", "comb_nights", "heat_days", "lost_to_predators", "broody_spells_on_offer"}
	for m := 1; m <= 12; m++ {
		head = append(head, "eggs_a_week_month_"+strconv.Itoa(m))
	}
	out.Write(append(head, "currency", "verdict"))
	for _, b := range breeds {
		row := []string{plainCell(b.ID), plainCell(b.Name), plainCell(b.Purpose), plainCell(b.Strain), yes(b.Available), yes(b.Suits), yes(b.Undominated), yes(b.RenewsItself), plainCell(b.LeanestMonth), plainCell(b.BestMonth)}
		for _, x := range append([]float64{b.LeanestEggs, b.BestEggs, b.EggsPerHen, b.DressedKg, b.TableBirds, b.Hens, b.Cocks, b.Hatched, b.Bought, b.FeedKg,
			b.FeedCost, b.Cost, b.CashCost, b.EggsShort, b.MeatShort, b.CostPerDozen, b.CostPerKg, b.MinutesAWeek, b.CombNights, b.HeatDays, b.LostRaids, b.OwnSpells}, b.MonthlyEggs[:]...) {
			row = append(row, figure(x))
		}
		out.Write(append(row, plainCell(c.Code), plainCell(b.Verdict.Text)))
	}
	out.Flush()
	return out.Error()
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}
