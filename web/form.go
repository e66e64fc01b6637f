package web

import (
	"fmt"
	"math"
	"net/url"
	"strconv"
	"strings"
	"time"

	"henyear/bird"
	"henyear/breed"
	"henyear/holding"
	"henyear/measure"
	"henyear/report"
)

// A field joins one box of the form with one figure of the holding. get writes
// the figure for the box, set reads what was typed; the error of set is a
// sentence for the keeper.
type field struct {
	name, label, unit, kind string
	choices                 []choice
	get                     func(*holding.Holding) string
	set                     func(*holding.Holding, string) error
}

type fieldRow struct {
	legend string
	fields []field
	months bool
}

type fieldGroup struct {
	code string
	rows []fieldRow
}

// A form is the fields for one holding: as many rows as it has houses, sales,
// birds and offers, and one empty row of those that can be added to.
type form struct{ groups []fieldGroup }

func (f form) each(do func(field)) {
	for _, g := range f.groups {
		for _, r := range g.rows {
			for _, x := range r.fields {
				do(x)
			}
		}
	}
}

// read writes every figure of the holding as it stands in its box.
func (f form) read(h *holding.Holding) map[string]string {
	h = h.Clone() // reaching for an empty row makes it
	values := map[string]string{}
	f.each(func(x field) { values[x.name] = x.get(h) })
	return values
}

// typed collects what the keeper typed. A box that is not ticked sends nothing.
func (f form) typed(sent url.Values) map[string]string {
	values := map[string]string{}
	f.each(func(x field) { values[x.name] = strings.TrimSpace(sent.Get(x.name)) })
	return values
}

// apply sets the holding to what was typed. It returns a sentence for each box
// that cannot be right.
func (f form) apply(h *holding.Holding, values map[string]string) map[string]string {
	faults := map[string]string{}
	f.each(func(x field) {
		if values[x.name] == x.get(h) {
			return // untouched: keep the figure as exact as it was
		}
		if err := x.set(h, values[x.name]); err != nil {
			faults[x.name] = err.Error()
		}
	})
	checkRows(h, faults)
	if len(faults) == 0 {
		tidy(h)
	}
	return faults
}

func (f form) view(values, faults map[string]string, version, sentence string) changeView {
	v := changeView{Version: version, Fault: sentence}
	for _, g := range f.groups {
		gv := groupView{Code: g.code}
		for _, r := range g.rows {
			rv := rowView{Legend: r.legend, Months: r.months}
			for _, x := range r.fields {
				fv := fieldView{Name: x.name, Label: x.label, Unit: x.unit, Kind: x.kind, Value: values[x.name], Error: faults[x.name]}
				for _, c := range x.choices {
					c.Chosen = c.Value == fv.Value
					fv.Choices = append(fv.Choices, c)
				}
				rv.Fields = append(rv.Fields, fv)
				if fv.Error != "" {
					v.Wrong = append(v.Wrong, fv)
				}
			}
			gv.Rows = append(gv.Rows, rv)
		}
		v.Groups = append(v.Groups, gv)
	}
	return v
}

// parseNumber reads a figure with a point or a comma.
func parseNumber(text string, low, high float64) (float64, error) {
	if text == "" {
		return 0, fmt.Errorf("%s", say("field.empty"))
	}
	clean := strings.NewReplacer(",", ".", "\u202f", "", "\u00a0", "", " ", "").Replace(text)
	x, err := strconv.ParseFloat(clean, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("%s", say("field.number", text))
	}
	if x < low || x > high {
		return 0, fmt.Errorf("%s", say("field.range", trim(low), trim(high)))
	}
	return x, nil
}

// trim writes a figure as a keeper would type it: no zeros behind, no more
// than three decimals.
func trim(x float64) string {
	return strconv.FormatFloat(math.Round(x*1000)/1000, 'f', -1, 64)
}

// number makes a field for a figure without a unit that changes.
func number(name, label, unit string, low, high float64, at func(*holding.Holding) *float64) field {
	return field{name: name, label: label, unit: unit, kind: "number",
		get: func(h *holding.Holding) string { return trim(*at(h)) },
		set: func(h *holding.Holding, text string) error {
			x, err := parseNumber(text, low, high)
			if err == nil {
				*at(h) = x
			}
			return err
		}}
}

// share makes a field for a share of one, typed in percent.
func share(name, label string, highPct float64, at func(*holding.Holding) *float64) field {
	return field{name: name, label: label, unit: "%", kind: "number",
		get: func(h *holding.Holding) string { return trim(*at(h) * 100) },
		set: func(h *holding.Holding, text string) error {
			x, err := parseNumber(text, 0, highPct)
			if err == nil {
				*at(h) = x / 100
			}
			return err
		}}
}

// quantity makes a field for a figure in the keeper's own units. low and high
// are metric.
func quantity(name, label string, u measure.Units, q measure.Quantity, low, high float64, at func(*holding.Holding) *float64) field {
	lowShown, _ := u.Show(q, low)
	highShown, _ := u.Show(q, high)
	return field{name: name, label: label, unit: report.Unit(u, q), kind: "number",
		get: func(h *holding.Holding) string {
			x, _ := u.Show(q, *at(h))
			if u == measure.US {
				x = math.Round(x*100) / 100
			}
			return trim(x)
		},
		set: func(h *holding.Holding, text string) error {
			x, err := parseNumber(text, lowShown, highShown)
			if err == nil {
				*at(h) = u.ToMetric(q, x)
			}
			return err
		}}
}

// count makes a field for a whole number. Where none is true an empty box means
// "no limit", kept as -1.
func count(name, label, unit string, high int, none bool, at func(*holding.Holding) *int) field {
	return field{name: name, label: label, unit: unit, kind: "number",
		get: func(h *holding.Holding) string {
			if none && *at(h) < 0 {
				return ""
			}
			return strconv.Itoa(*at(h))
		},
		set: func(h *holding.Holding, text string) error {
			if none && text == "" {
				*at(h) = -1
				return nil
			}
			x, err := parseNumber(text, 0, float64(high))
			if err != nil {
				return err
			}
			if x != math.Trunc(x) {
				return fmt.Errorf("%s", say("field.whole", text))
			}
			*at(h) = int(x)
			return nil
		}}
}

// tick makes a box to tick.
func tick(name, label string, at func(*holding.Holding) *bool) field {
	return field{name: name, label: label, kind: "check",
		get: func(h *holding.Holding) string {
			if *at(h) {
				return "yes"
			}
			return ""
		},
		set: func(h *holding.Holding, text string) error {
			*at(h) = text == "yes"
			return nil
		}}
}

// choose makes a list to choose from.
func choose(name, label string, choices []choice, get func(*holding.Holding) string, set func(*holding.Holding, string)) field {
	return field{name: name, label: label, kind: "choice", choices: choices, get: get,
		set: func(h *holding.Holding, text string) error {
			for _, c := range choices {
				if c.Value == text {
					set(h, text)
					return nil
				}
			}
			return fmt.Errorf("%s", say("field.choice", text))
		}}
}

// date makes a field for a date; empty is no date where empty is allowed.
func date(name, label string, at func(*holding.Holding) *measure.Date) field {
	return field{name: name, label: label, kind: "date",
		get: func(h *holding.Holding) string {
			if at(h).IsZero() {
				return ""
			}
			return at(h).String()
		},
		set: func(h *holding.Holding, text string) error {
			if text == "" {
				*at(h) = measure.Date{}
				return nil
			}
			d, err := measure.ParseDate(text)
			if err == nil {
				*at(h) = d
			}
			return err
		}}
}

// grown makes sure that a list has an i-th entry and returns it.
func grown[T any](list *[]T, i int, fresh T) *T {
	for len(*list) <= i {
		*list = append(*list, fresh)
	}
	return &(*list)[i]
}

// entry reaches the i-th entry of a list. Reaching for the empty row behind the
// last one makes it, so forms work on a copy of the holding; tidy takes out what
// stayed empty.
func entry[T any](list func(*holding.Holding) *[]T, i int, fresh T) func(*holding.Holding) *T {
	return func(h *holding.Holding) *T { return grown(list(h), i, fresh) }
}

func formFor(h *holding.Holding) form {
	u, c := h.Units, h.Currency.Code
	return form{groups: []fieldGroup{
		{"eggs", eggRows()},
		{"table", tableRows(u)},
		{"sales", saleRows(h, c)},
		{"work", workRows()},
		{"room", roomRows(h, u)},
		{"house", houseFields(h, u)},
		{"hatching", hatchingRows()},
		{"stock", stockRows(h, c)},
		{"birds", birdRows(h)},
		{"prices", priceRows(c, u)},
		{"away", awayRows(h)},
	}}
}

func monthName(m int) string { return time.Month(m + 1).String() }

// eggRows asks for the household's eggs month by month, however the holding
// groups its months.
func eggRows() []fieldRow {
	row := fieldRow{legend: say("field.eggs"), months: true}
	for m := range 12 {
		row.fields = append(row.fields, field{name: "eggs-" + strconv.Itoa(m+1), label: monthName(m), kind: "number",
			get: func(h *holding.Holding) string { return trim(h.Needs.EggsPerWeek(m + 1)) },
			set: func(h *holding.Holding, text string) error {
				x, err := parseNumber(text, 0, 2000)
				if err == nil {
					setEggs(&h.Needs, m, x)
				}
				return err
			}})
	}
	return []fieldRow{row, {fields: []field{
		share("frozen", say("field.frozen"), 100, func(h *holding.Holding) *float64 { return &h.Needs.FrozenEggShare }),
		tick("renewing", say("field.renewing"), func(h *holding.Holding) *bool { return &h.Needs.SelfRenewing })}}}
}

// setEggs makes the need of one month x, leaving the other months as they are.
func setEggs(n *holding.Needs, month int, x float64) {
	for i := range n.Eggs {
		n.Eggs[i].Months[month] = false
	}
	for i := range n.Eggs {
		if n.Eggs[i].PerWeek == x {
			n.Eggs[i].Months[month] = true
			return
		}
	}
	e := holding.EggNeed{PerWeek: x}
	e.Months[month] = true
	n.Eggs = append(n.Eggs, e)
}

func tableRows(u measure.Units) []fieldRow {
	return []fieldRow{{fields: []field{
		number("table-birds", say("field.table_birds"), say("unit.a_year"), 0, 2000, func(h *holding.Holding) *float64 { return &h.Needs.TableBirds }),
		quantity("table-kg", say("field.table_kg"), u, measure.MassKg, 0, 5000, func(h *holding.Holding) *float64 { return &h.Needs.TableKg }),
		quantity("table-min", say("field.table_min"), u, measure.MassKg, 0, 6, func(h *holding.Holding) *float64 { return &h.Needs.TableBirdMinKg }),
		tick("will-kill", say("field.will_kill"), func(h *holding.Holding) *bool { return &h.Means.WillKill }),
		count("cockerels-taken", say("field.cockerels_taken"), say("unit.a_year"), 500, false, func(h *holding.Holding) *int { return &h.Means.CockerelsTaken }),
	}}}
}

func saleRows(h *holding.Holding, currency string) []fieldRow {
	var rows []fieldRow
	for i := range len(h.Needs.EggSales) + 1 {
		n := "sale-" + strconv.Itoa(i)
		at := entry(func(h *holding.Holding) *[]holding.EggSale { return &h.Needs.EggSales }, i, holding.EggSale{})
		row := fieldRow{legend: say("field.sale", strconv.Itoa(i+1))}
		if i == len(h.Needs.EggSales) {
			row.legend = say("field.sale.new")
		}
		row.fields = []field{
			number(n+"-dozens", say("field.dozens"), say("unit.a_week"), 0, 500, func(h *holding.Holding) *float64 { return &at(h).DozensPerWeek }),
			number(n+"-price", say("field.price_dozen"), currency, 0, 1e7, func(h *holding.Holding) *float64 { return &at(h).PricePerDozen }),
			monthList(n+"-months", func(h *holding.Holding) *[12]bool { return &at(h).Months }),
			tick(n+"-promised", say("field.promised"), func(h *holding.Holding) *bool { return &at(h).Promised }),
		}
		rows = append(rows, row)
	}
	return rows
}

func workRows() []fieldRow {
	lights := []choice{{Value: "none", Label: say("lights.none")}, {Value: "possible", Label: say("lights.possible")}, {Value: "on", Label: say("lights.on")}}
	return []fieldRow{{fields: []field{
		number("minutes", say("field.minutes"), say("unit.a_day"), 1, 1440, func(h *holding.Holding) *float64 { return &h.Means.MinutesADay }),
		count("butcher-days", say("field.butcher_days"), say("unit.a_year"), 366, false, func(h *holding.Holding) *int { return &h.Means.ButcherDaysAYear }),
		count("butcher-birds", say("field.butcher_birds"), say("unit.a_day"), 500, false, func(h *holding.Holding) *int { return &h.Means.ButcherBirdsADay }),
		choose("lights", say("field.lights"), lights, func(h *holding.Holding) string { return h.Means.Lights }, func(h *holding.Holding, v string) { h.Means.Lights = v }),
	}}}
}

func roomRows(h *holding.Holding, u measure.Units) []fieldRow {
	var rows []fieldRow
	for i, house := range h.Means.Houses {
		n := "house-" + strconv.Itoa(i)
		at := func(h *holding.Holding) *holding.House { return &h.Means.Houses[i] }
		rows = append(rows, fieldRow{legend: house.Name, fields: []field{
			quantity(n+"-area", say("field.house_area"), u, measure.AreaM2, 0.25, 5000, func(h *holding.Holding) *float64 { return &at(h).AreaM2 }),
			count(n+"-pens", say("field.house_pens"), "", 50, false, func(h *holding.Holding) *int { return &at(h).Pens }),
		}})
	}
	return append(rows, fieldRow{fields: []field{
		quantity("run", say("field.run"), u, measure.AreaM2, 0, 20000, func(h *holding.Holding) *float64 { return &h.Means.CoveredRunM2 }),
		quantity("grow-out", say("field.growout"), u, measure.AreaM2, 0, 20000, func(h *holding.Holding) *float64 { return &h.Means.GrowOutM2 }),
		quantity("pasture", say("field.pasture"), u, measure.AreaM2, 0, 1e6, func(h *holding.Holding) *float64 { return &h.Place.PastureM2 }),
		quantity("freezer", say("field.freezer"), u, measure.VolumeL, 0, 5000, func(h *holding.Holding) *float64 { return &h.Means.FreezerL }),
		count("max-birds", say("field.max_birds"), say("unit.no_limit"), 5000, true, func(h *holding.Holding) *int { return &h.Place.MaxBirds }),
		count("max-cocks", say("field.max_cocks"), say("unit.no_limit"), 500, true, func(h *holding.Holding) *int { return &h.Place.MaxCocks }),
	}})
}

func hatchingRows() []fieldRow {
	return []fieldRow{{fields: []field{
		count("machine", say("field.machine"), say("unit.eggs"), 5000, false, func(h *holding.Holding) *int { return &h.Means.MachineEggs }),
		count("brooder", say("field.brooder"), say("unit.chicks"), 5000, false, func(h *holding.Holding) *int { return &h.Means.BrooderChicks }),
		tick("broodies", say("field.broodies"), func(h *holding.Holding) *bool { return &h.Means.BroodyHens }),
		count("spare-cocks", say("field.spare_cocks"), "", 50, false, func(h *holding.Holding) *int { return &h.Means.SpareCocks }),
	}}}
}

// breedChoices lists the catalogue, an empty choice first. A breed that the
// holding names and the catalogue lacks stays a choice.
func breedChoices(empty, current string) []choice {
	list := []choice{{Value: "", Label: empty}}
	known := current == ""
	for _, b := range breed.All() {
		list = append(list, choice{Value: b.ID, Label: b.Name})
		known = known || b.ID == current
	}
	if !known {
		list = append(list, choice{Value: current, Label: current})
	}
	return list
}

func strainChoices() []choice {
	return []choice{{Value: string(breed.Utility), Label: say("strain.utility")}, {Value: string(breed.Production), Label: say("strain.production")}, {Value: string(breed.Show), Label: say("strain.show")}}
}

func formChoices() []choice {
	var list []choice
	for _, f := range []holding.Form{holding.HatchingEggs, holding.Chicks, holding.SexedChicks, holding.StartedPullet, holding.GrownCock} {
		list = append(list, choice{Value: string(f), Label: say("form." + strings.ReplaceAll(string(f), " ", "_"))})
	}
	return list
}

func allMonths() (m [12]bool) {
	for i := range m {
		m[i] = true
	}
	return m
}

func stockRows(h *holding.Holding, currency string) []fieldRow {
	var rows []fieldRow
	fresh := holding.Offer{Strain: breed.Utility, Form: holding.Chicks, SmallestOrder: 1, Months: allMonths()}
	for i := range len(h.Stock) + 1 {
		n := "stock-" + strconv.Itoa(i)
		at := entry(func(h *holding.Holding) *[]holding.Offer { return &h.Stock }, i, fresh)
		row := fieldRow{legend: say("field.stock", strconv.Itoa(i+1))}
		empty, current := say("field.stock.remove"), ""
		if i == len(h.Stock) {
			row.legend, empty = say("field.stock.new"), say("field.stock.none")
		} else {
			current = h.Stock[i].Breed
		}
		row.fields = []field{
			choose(n+"-breed", say("field.breed"), breedChoices(empty, current), func(h *holding.Holding) string { return at(h).Breed }, func(h *holding.Holding, v string) { at(h).Breed = v }),
			choose(n+"-strain", say("field.strain"), strainChoices(), func(h *holding.Holding) string { return string(at(h).Strain) }, func(h *holding.Holding, v string) { at(h).Strain = breed.Strain(v) }),
			choose(n+"-form", say("field.form"), formChoices(), func(h *holding.Holding) string { return string(at(h).Form) }, func(h *holding.Holding, v string) { at(h).Form = holding.Form(v) }),
			number(n+"-price", say("field.price_each"), currency, 0, 1e7, func(h *holding.Holding) *float64 { return &at(h).Price }),
			count(n+"-smallest", say("field.smallest"), "", 5000, false, func(h *holding.Holding) *int { return &at(h).SmallestOrder }),
			monthList(n+"-months", func(h *holding.Holding) *[12]bool { return &at(h).Months }),
		}
		rows = append(rows, row)
	}
	return rows
}

func birdRows(h *holding.Holding) []fieldRow {
	var rows []fieldRow
	sexes := []choice{{Value: "hen", Label: say("sex.hen")}, {Value: "cock", Label: say("sex.cock")}}
	for i := range len(h.Birds) + 1 {
		n := "birds-" + strconv.Itoa(i)
		at := entry(func(h *holding.Holding) *[]holding.Group { return &h.Birds }, i, holding.Group{Strain: breed.Utility})
		row := fieldRow{legend: say("field.birds", strconv.Itoa(i+1))}
		empty, current := say("field.birds.remove"), ""
		if i == len(h.Birds) {
			row.legend, empty = say("field.birds.new"), say("field.birds.none")
		} else {
			current = h.Birds[i].Breed
		}
		row.fields = []field{
			choose(n+"-breed", say("field.breed"), breedChoices(empty, current), func(h *holding.Holding) string { return at(h).Breed }, func(h *holding.Holding, v string) { at(h).Breed = v }),
			choose(n+"-strain", say("field.strain"), strainChoices(), func(h *holding.Holding) string { return string(at(h).Strain) }, func(h *holding.Holding, v string) { at(h).Strain = breed.Strain(v) }),
			choose(n+"-sex", say("field.sex"), sexes, func(h *holding.Holding) string { return at(h).Sex.String() }, func(h *holding.Holding, v string) {
				at(h).Sex = bird.Hen
				if v == "cock" {
					at(h).Sex = bird.Cock
				}
			}),
			count(n+"-number", say("field.number_birds"), "", 5000, false, func(h *holding.Holding) *int { return &at(h).Number }),
			date(n+"-hatched", say("field.hatched"), func(h *holding.Holding) *measure.Date { return &at(h).Hatched }),
		}
		rows = append(rows, row)
	}
	return rows
}

// priceOfMass makes a field for a price of a kilogram, typed for the keeper's
// own unit of mass.
func priceOfMass(name, label, currency string, u measure.Units, at func(*holding.Holding) *float64) field {
	kg := u.ToMetric(measure.MassKg, 1)
	return field{name: name, label: label, unit: say("unit.price_mass", currency, report.Unit(u, measure.MassKg)), kind: "number",
		get: func(h *holding.Holding) string { return trim(*at(h) * kg) },
		set: func(h *holding.Holding, text string) error {
			x, err := parseNumber(text, 0, 1e8)
			if err == nil {
				*at(h) = x / kg
			}
			return err
		}}
}

func priceRows(currency string, u measure.Units) []fieldRow {
	price := func(name, label string, at func(*holding.Holding) *float64) field {
		return number(name, say(label), currency, 0, 1e8, at)
	}
	return []fieldRow{{fields: []field{
		priceOfMass("price-feed", say("field.price_feed"), currency, u, func(h *holding.Holding) *float64 { return &h.Prices.FeedPerKg }),
		priceOfMass("price-starter", say("field.price_starter"), currency, u, func(h *holding.Holding) *float64 { return &h.Prices.ChickFeedPerKg }),
		priceOfMass("price-chicken", say("field.price_chicken"), currency, u, func(h *holding.Holding) *float64 { return &h.Prices.ShopChickenPerKg }),
		price("price-eggs", "field.price_eggs", func(h *holding.Holding) *float64 { return &h.Prices.ShopEggsPerDozen }),
		price("price-bedding", "field.price_bedding", func(h *holding.Holding) *float64 { return &h.Prices.BeddingPerBirdYear }),
		price("price-power", "field.price_power", func(h *holding.Holding) *float64 { return &h.Prices.PowerPerKWh }),
		price("price-fixed", "field.price_fixed", func(h *holding.Holding) *float64 { return &h.Prices.FixedPerYear }),
	}}}
}

func awayRows(h *holding.Holding) []fieldRow {
	var rows []fieldRow
	for i := range len(h.Means.Away) + 1 {
		n := "away-" + strconv.Itoa(i)
		at := entry(func(h *holding.Holding) *[]holding.Away { return &h.Means.Away }, i, holding.Away{})
		row := fieldRow{legend: say("field.away", strconv.Itoa(i+1))}
		if i == len(h.Means.Away) {
			row.legend = say("field.away.new")
		}
		row.fields = []field{
			date(n+"-from", say("field.away_from"), func(h *holding.Holding) *measure.Date { return &at(h).From }),
			date(n+"-to", say("field.away_to"), func(h *holding.Holding) *measure.Date { return &at(h).To }),
		}
		rows = append(rows, row)
	}
	return rows
}
