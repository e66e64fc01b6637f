package report

import (
	"strconv"
	"time"

	"henyear/holding"
	"henyear/measure"
)

// thursday writes the year or the month to which the week of a Monday belongs:
// that of its Thursday, as ISO 8601 has it.
func thursday(r leafRow, function string) string { return function + "(" + r.cell("date") + "+3)" }

// monthStart is the first day of a month.
func monthStart(d measure.Date) measure.Date {
	return measure.Date{Year: d.Year, Month: d.Month, Day: 1}
}

func weeksPage(p *leaf) *leaf {
	day := func(i int) measure.Date { return p.grid.Rows[i][p.at("date")].(measure.Date).AddDays(3) }
	p.add(Field{"year", asYear}, func(r leafRow) string { return thursday(r, "YEAR") }, func(i int) any { return day(i).Year })
	p.add(Field{"month", asDay}, func(r leafRow) string { return "DATE(" + thursday(r, "YEAR") + "," + thursday(r, "MONTH") + ",1)" },
		func(i int) any { return monthStart(day(i)) })
	p.add(Field{"eggs_over", asNumber}, func(r leafRow) string {
		return r.cell("eggs_expected") + "-" + r.cell("eggs_needed") + "-" + r.cell("eggs_sold") + "-" + r.cell("eggs_set")
	}, func(i int) any {
		return p.figure("eggs_expected", i) - p.figure("eggs_needed", i) - p.figure("eggs_sold", i) - p.figure("eggs_set", i)
	})
	kept := 0.0
	p.add(Field{"eggs_kept", asNumber}, func(r leafRow) string {
		return r.above("eggs_kept") + "+" + r.cell("eggs_over") + "+" + r.cell("eggs_bought") + "-" + r.cell("eggs_spare")
	}, func(i int) any {
		kept += p.figure("eggs_over", i) + p.figure("eggs_bought", i) - p.figure("eggs_spare", i)
		return kept
	})
	spent := 0.0
	p.add(Field{"money_running", asMoney}, func(r leafRow) string { return r.above("money_running") + "+" + r.cell("money") }, func(i int) any {
		spent += p.figure("money", i)
		return spent
	})
	flows := []string{"eggs_expected", "eggs_needed", "eggs_sold", "eggs_set", "eggs_from_store", "eggs_frozen", "eggs_bought", "eggs_spare", "feed_kg", "table_birds", "table_kg", "money", "eggs_over"}
	p.sums(flows...)
	p.means(joined(flows, []string{"eggs_low", "eggs_high", "birds", "hens", "pullets", "cocks", "chicks", "growers", "in_lay", "moulting", "minutes_a_day", "water_l_a_day"})...)
	return p
}

func yearsPage(p, weeks, prices *leaf, shopDozen float64) *leaf {
	price := prices.one("shop_eggs_per_dozen")
	p.put("cost_per_dozen", func(r leafRow) string {
		return "IF(" + r.cell("eggs") + ">12,(" + r.cell("feed_cost") + "+" + r.cell("other_cost") + ")/" + r.cell("eggs") + "*12,0)"
	})
	dozen := p.at("cost_per_dozen")
	for i, row := range p.grid.Rows { // that of the plan is rounded to the smallest coin
		row[dozen] = 0.0
		if eggs := p.figure("eggs", i); eggs > 12 {
			row[dozen] = (p.figure("feed_cost", i) + p.figure("other_cost", i)) / eggs * 12
		}
	}
	p.add(Field{"net_cost", asMoney}, func(r leafRow) string {
		return r.cell("feed_cost") + "+" + r.cell("other_cost") + "-" + r.cell("income")
	}, func(i int) any { return p.figure("feed_cost", i) + p.figure("other_cost", i) - p.figure("income", i) })
	p.add(Field{"shop_eggs_cost", asMoney}, func(r leafRow) string { return r.cell("eggs_bought") + "/12*" + price },
		func(i int) any { return p.figure("eggs_bought", i) / 12 * shopDozen })
	fromWeeks := func(field string) (func(leafRow) string, func(int) any) {
		return func(r leafRow) string {
				return "SUMIF(" + weeks.all("year") + "," + r.cell("year") + "," + weeks.all(field) + ")"
			}, func(i int) any {
				sum := 0.0
				for k := range weeks.grid.Rows {
					if weeks.figure("year", k) == p.figure("year", i) {
						sum += weeks.figure(field, k)
					}
				}
				return sum
			}
	}
	f, v := fromWeeks("eggs_expected")
	p.add(Field{"eggs_from_weeks", asNumber}, f, v)
	p.add(Field{"eggs_difference", asNumber}, func(r leafRow) string { return r.cell("eggs") + "-" + r.cell("eggs_from_weeks") },
		func(i int) any { return p.figure("eggs", i) - p.figure("eggs_from_weeks", i) })
	f, v = fromWeeks("money")
	p.add(Field{"money_from_weeks", asMoney}, f, v)
	p.sums("eggs", "eggs_bought", "table_birds", "table_kg", "feed_kg", "feed_cost", "other_cost", "income", "eggs_set", "net_cost", "shop_eggs_cost", "eggs_from_weeks", "eggs_difference", "money_from_weeks")
	return p
}

func fatesPage(p *leaf) *leaf {
	p.add(Field{"dressed_kg", asMass}, func(r leafRow) string { return r.cell("birds") + "*" + r.cell("dressed_kg_each") },
		func(i int) any { return p.figure("birds", i) * p.figure("dressed_kg_each", i) })
	p.sums("dressed_kg")
	return p
}

func batchesPage(p, fates *leaf) *leaf {
	p.add(Field{"chicks_per_egg", asShare}, func(r leafRow) string {
		return "IF(" + r.cell("eggs_set") + ">0," + r.cell("chicks") + "/" + r.cell("eggs_set") + ",0)"
	}, func(i int) any {
		if p.figure("eggs_set", i) == 0 {
			return 0.0
		}
		return p.figure("chicks", i) / p.figure("eggs_set", i)
	})
	p.add(Field{"dressed_kg", asMass}, func(r leafRow) string {
		return "SUMIF(" + fates.all("batch") + "," + r.cell("id") + "," + fates.all("dressed_kg") + ")"
	}, func(i int) any {
		sum := 0.0
		for k := range fates.grid.Rows {
			if fates.grid.Rows[k][0] == p.grid.Rows[i][0] {
				sum += fates.figure("dressed_kg", k)
			}
		}
		return sum
	})
	p.sums("eggs_set", "chicks", "pullets", "cockerels", "dressed_kg")
	return p
}

func workPage(p *leaf) *leaf {
	for _, row := range p.grid.Rows {
		if row[p.at("minutes")] != nil {
			p.sums("minutes")
			break
		}
	}
	return p
}

func oddsYearsPage(p *leaf) *leaf {
	p.add(Field{"nine_in_ten", asNumber}, func(r leafRow) string { return r.cell("p95") + "-" + r.cell("p05") },
		func(i int) any { return p.figure("p95", i) - p.figure("p05", i) })
	return p
}

func oddsWeeksPage(p *leaf) *leaf {
	p.add(Field{"eggs_over_median", asNumber}, func(r leafRow) string { return r.cell("eggs_p50") + "-" + r.cell("eggs_needed") },
		func(i int) any { return p.figure("eggs_p50", i) - p.figure("eggs_needed", i) })
	p.feet = append(p.feet, leafFoot{say("workbook.shortsum"), "SUM", total, []string{"chance_short"}})
	p.means("eggs_p05", "eggs_p50", "eggs_p95", "eggs_mean", "eggs_needed", "chance_short", "hens_mean")
	return p
}

func breedsPage(p *leaf) *leaf {
	p.add(Field{"year_round", asShare}, func(r leafRow) string {
		lean, best := r.cell("leanest_month_eggs_a_week"), r.cell("best_month_eggs_a_week")
		return "IF(" + best + ">0," + lean + "/" + best + ",0)"
	}, func(i int) any {
		if p.figure("best_month_eggs_a_week", i) <= 0 {
			return 0.0
		}
		return p.figure("leanest_month_eggs_a_week", i) / p.figure("best_month_eggs_a_week", i)
	})
	return p
}

func paymentsPage(p *leaf) *leaf {
	monthsOf(p)
	balance := 0.0
	p.add(Field{"balance", asMoney}, func(r leafRow) string { return r.above("balance") + "+" + r.cell("received") + "-" + r.cell("paid") }, func(i int) any {
		balance += p.figure("received", i) - p.figure("paid", i)
		return balance
	})
	p.sums("paid", "received")
	return p
}

// monthsOf adds the month of each record.
func monthsOf(p *leaf) *leaf {
	if len(p.grid.Rows) == 0 {
		return p
	}
	p.add(Field{"month", asDay}, func(r leafRow) string {
		return "DATE(YEAR(" + r.cell("date") + "),MONTH(" + r.cell("date") + "),1)"
	}, func(i int) any { return monthStart(p.grid.Rows[i][p.at("date")].(measure.Date)) })
	return p
}

// kindPage sums up what can be summed up of records of one kind.
func kindPage(p *leaf) *leaf {
	var counted []string
	for _, f := range p.grid.Fields {
		if f.Kind == asWhole && f.Name != "days" || f.Kind == asMass || f.Kind == asMoney {
			counted = append(counted, f.Name)
		}
	}
	p.sums(counted...)
	return p
}

// accountsPage sets month by month what was planned beside what the daybook has.
// Months that the daybook does not cover to their end are not compared.
func accountsPage(make func(string, Grid) *leaf, in WorkbookInput, weeks, payments, eggs *leaf) *leaf {
	var whole map[measure.Date]bool
	g := Grid{Currency: in.Plan.Currency, Fields: []Field{{"month", asDay}}}
	from, to := monthStart(in.Plan.From), in.Plan.To
	if payments != nil {
		first := in.Book.Records[0].Event.HappenedOn
		if first.Before(from) {
			from = monthStart(first)
		}
		if to.Before(in.Book.Through) {
			to = in.Book.Through
		}
		whole = wholeMonths(first, in.Book.Through)
	}
	for m := from; !to.Before(m); m = monthAfter(m) {
		g.Rows = append(g.Rows, []any{m})
	}
	p := make("accounts", g)
	planned := func(r leafRow, field string) string {
		return "SUMIF(" + weeks.all("month") + "," + r.cell("month") + "," + weeks.all(field) + ")"
	}
	p.add(Field{"planned_net", asMoney}, func(r leafRow) string { return planned(r, "money") }, byMonth(p, weeks, "money"))
	balanceOf(p, "planned_balance", func(r leafRow) string { return r.cell("planned_net") }, func(i int) float64 { return -p.figure("planned_net", i) })
	p.add(Field{"planned_eggs", asNumber}, func(r leafRow) string { return planned(r, "eggs_expected") }, byMonth(p, weeks, "eggs_expected"))
	if payments == nil {
		p.sums("planned_net", "planned_eggs")
		return p
	}
	sumOf := func(of *leaf, name, field string, k kind) {
		p.add(Field{name, k}, func(r leafRow) string {
			if len(of.grid.Rows) == 0 {
				return "0"
			}
			return "SUMIF(" + of.all("month") + "," + r.cell("month") + "," + of.all(field) + ")"
		}, byMonth(p, of, field))
	}
	sumOf(payments, "paid", "paid", asMoney)
	sumOf(payments, "received", "received", asMoney)
	p.add(Field{"net", asMoney}, func(r leafRow) string { return r.cell("paid") + "-" + r.cell("received") },
		func(i int) any { return p.figure("paid", i) - p.figure("received", i) })
	balanceOf(p, "balance", func(r leafRow) string { return r.cell("net") }, func(i int) float64 { return -p.figure("net", i) })
	sumOf(eggs, "eggs_collected", "number", asWhole)
	compare := func(name, fact, plan string, k kind) {
		covered := func(i int) bool { return whole[p.grid.Rows[i][0].(measure.Date)] && p.figure("planned_eggs", i) > 0 }
		p.add(Field{name, k}, func(r leafRow) string {
			if !covered(r.row - p.first()) {
				return ""
			}
			return r.cell(fact) + "-" + r.cell(plan)
		}, func(i int) any {
			if !covered(i) {
				return nil
			}
			return p.figure(fact, i) - p.figure(plan, i)
		})
	}
	compare("eggs_more_than_planned", "eggs_collected", "planned_eggs", asNumber)
	compare("paid_more_than_planned", "net", "planned_net", asMoney)
	p.add(Field{"paid_per_dozen", asMoney}, func(r leafRow) string {
		return "IF(" + r.cell("eggs_collected") + ">0," + r.cell("net") + "/" + r.cell("eggs_collected") + "*12,0)"
	}, func(i int) any {
		if p.figure("eggs_collected", i) == 0 {
			return 0.0
		}
		return p.figure("net", i) / p.figure("eggs_collected", i) * 12
	})
	p.sums("planned_net", "planned_eggs", "paid", "received", "net", "eggs_collected", "eggs_more_than_planned", "paid_more_than_planned")
	return p
}

// balanceOf adds a running balance: what is left after all that went out.
func balanceOf(p *leaf, name string, out func(leafRow) string, change func(int) float64) {
	left := 0.0
	p.add(Field{name, asMoney}, func(r leafRow) string { return r.above(name) + "-" + out(r) }, func(i int) any {
		left += change(i)
		return left
	})
}

// byMonth sums a field of another page over the month of row i.
func byMonth(p, of *leaf, field string) func(i int) any {
	return func(i int) any {
		sum := 0.0
		for k := range of.grid.Rows {
			if of.grid.Rows[k][of.at("month")] == p.grid.Rows[i][0] {
				sum += of.figure(field, k)
			}
		}
		return sum
	}
}

func monthAfter(m measure.Date) measure.Date {
	return measure.DateOf(time.Date(m.Year, m.Month+1, 1, 0, 0, 0, 0, time.UTC))
}

// wholeMonths are the months that a book covers from their first day to their
// last.
func wholeMonths(first, through measure.Date) map[measure.Date]bool {
	list := map[measure.Date]bool{}
	m := monthStart(first)
	if first.Day > 1 {
		m = monthAfter(m)
	}
	for ; !through.Before(monthAfter(m).AddDays(-1)); m = monthAfter(m) {
		list[m] = true
	}
	return list
}

// pricesGrid lists what the figures rest on: prices, needs and means as the
// holding has them.
func pricesGrid(h *holding.Holding) Grid {
	g := Grid{Currency: h.Currency, Fields: []Field{{"assumption", asText}, {"value", asNumber}, {"unit", asText}}}
	money := h.Currency.Code
	perKg, mass := h.Units.ToMetric(measure.MassKg, 1), Unit(h.Units, measure.MassKg)
	put := func(code string, value any, unit string) {
		g.Rows = append(g.Rows, []any{say("assumed." + code), value, unit})
	}
	pr, n, m := h.Prices, h.Needs, h.Means
	put("shop_eggs_per_dozen", pr.ShopEggsPerDozen, money)
	put("feed", pr.FeedPerKg*perKg, money+"/"+mass)
	put("chick_feed", pr.ChickFeedPerKg*perKg, money+"/"+mass)
	put("shop_chicken", pr.ShopChickenPerKg*perKg, money+"/"+mass)
	put("bedding", pr.BeddingPerBirdYear, money)
	put("power", pr.PowerPerKWh, money+"/kWh")
	put("fixed", pr.FixedPerYear, money)
	put("hour", n.PricedMinutes, money)
	for month := 1; month <= 12; month++ {
		g.Rows = append(g.Rows, []any{say("assumed.eggs", time.Month(month).String()), n.EggsPerWeek(month), say("unit.eggs_week")})
	}
	put("table_birds", n.TableBirds, say("unit.birds"))
	put("risk_weeks", n.RiskShortWeeks, "")
	put("risk_share", n.RiskShare, "")
	put("minutes", m.MinutesADay, "min")
	put("machine", m.MachineEggs, "")
	freezer, _ := h.Units.Show(measure.VolumeL, m.FreezerL)
	put("freezer", freezer, Unit(h.Units, measure.VolumeL))
	put("waste", m.FeedWaste, "")
	put("egg_loss", m.EggLoss, "")
	return g
}

// one names the value of an assumption from another page.
func (p *leaf) one(code string) string {
	for i, row := range p.grid.Rows {
		if row[0] == say("assumed."+code) {
			c := letters(p.at("value"))
			return p.quoted() + "!$" + c + "$" + strconv.Itoa(p.first()+i)
		}
	}
	panic("no assumption " + code) // the list is above
}
