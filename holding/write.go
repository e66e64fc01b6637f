package holding

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"henyear/climate"
	"henyear/measure"
)

// Write returns the holding as a canonical file: every field with its value,
// in a fixed order, in the holding's own units. Reading it gives the same
// holding again, to the last bit, for every holding that Read can give.
// Comments of a file written by hand are not kept.
func (h *Holding) Write() []byte {
	w := &writer{units: h.Units}
	w.raw("format", strconv.Itoa(Format))
	w.text("name", h.Name)
	if !h.AsOf.IsZero() {
		w.raw("as_of", h.AsOf.String())
	}
	w.text("time_zone", h.TimeZone)
	w.text("currency", h.Currency.Code)
	w.text("units", string(h.Units))
	w.place(h.Place)
	w.means(h.Means)
	w.needs(h.Needs)
	for _, o := range h.Stock {
		w.offer(o)
	}
	w.prices(h.Prices)
	for _, g := range h.Birds {
		w.group(g)
	}
	return w.Bytes()
}

type writer struct {
	bytes.Buffer
	units measure.Units
}

func (w *writer) header(name string)    { fmt.Fprintf(w, "\n[%s]\n", name) }
func (w *writer) entry(name string)     { fmt.Fprintf(w, "\n[[%s]]\n", name) }
func (w *writer) raw(key, value string) { fmt.Fprintf(w, "%s = %s\n", key, value) }
func (w *writer) text(key, v string)    { w.raw(key, quote(v)) }
func (w *writer) yes(key string, v bool) {
	w.raw(key, strconv.FormatBool(v))
}
func (w *writer) whole(key string, v int)      { w.raw(key, strconv.Itoa(v)) }
func (w *writer) number(key string, v float64) { w.raw(key, exact(v)) }

// exact writes the shortest decimal that reads back as the same number.
func exact(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// quote writes a TOML text.
func quote(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case unicode.IsPrint(r):
			b.WriteRune(r)
		default:
			fmt.Fprintf(&b, "\\U%08X", r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// before finds the shortest decimal that turn maps to want, near guess; ok is
// false when no number maps to it exactly.
func before(want, guess float64, turn func(float64) float64) (v float64, ok bool) {
	for digits := 1; digits <= 17; digits++ {
		v, err := strconv.ParseFloat(strconv.FormatFloat(guess, 'g', digits, 64), 64)
		if err == nil && turn(v) == want {
			return v, true
		}
	}
	up, down := guess, guess
	for range 4 {
		up, down = math.Nextafter(up, math.Inf(1)), math.Nextafter(down, math.Inf(-1))
		if turn(up) == want {
			return up, true
		}
		if turn(down) == want {
			return down, true
		}
	}
	return 0, false
}

// quantity writes a figure in the holding's units, or in metric where the
// other unit could not give back the same figure.
func (w *writer) quantity(stem string, u unitPair, metric float64) {
	if w.units == measure.US {
		if v, ok := before(metric, u.fromMetric(metric), u.toMetric); ok {
			w.number(stem+u.us, v)
			return
		}
	}
	w.number(stem+u.metric, metric)
}

func (w *writer) twelve(stem string, u unitPair, metric [12]float64) {
	key, values := stem+u.metric, metric
	if w.units == measure.US {
		american, all := metric, true
		for i, m := range metric {
			v, ok := before(m, u.fromMetric(m), u.toMetric)
			american[i], all = v, all && ok
		}
		if all {
			key, values = stem+u.us, american
		}
	}
	texts := make([]string, 12)
	for i, v := range values {
		texts[i] = exact(v)
	}
	w.raw(key, "["+strings.Join(texts, ", ")+"]")
}

func (w *writer) percent(key string, share float64) {
	v, ok := before(share, share*100, func(pct float64) float64 { return pct / 100 })
	if !ok {
		v = share * 100
	}
	w.number(key, v)
}

func (w *writer) months(key string, set [12]bool) {
	runs := monthRuns(set)
	switch {
	case set == allMonths:
		w.text(key, "all")
	case len(runs) == 1:
		w.text(key, runs[0].String())
	default:
		texts := make([]string, len(runs))
		for i, r := range runs {
			texts[i] = quote(r.String())
		}
		w.raw(key, "["+strings.Join(texts, ", ")+"]")
	}
}

func (w *writer) place(p Place) {
	w.header("place")
	w.climate(p.Climate)
	w.text("ground", map[bool]string{true: "wet", false: "dry"}[p.WetGround])
	w.text("ground_predators", levelWords[p.GroundPredators])
	w.text("air_predators", levelWords[p.AirPredators])
	w.text("cover", levelWords[p.Cover])
	w.yes("locked_at_night", p.LockedAtNight)
	w.yes("electric_fence", p.ElectricFence)
	w.quantity("pasture", areaUnits, p.PastureM2)
	w.months("pasture_months", p.PastureMonths)
	w.known("netted", areaUnits, p.NettedM2)
	w.yes("off_grid", p.OffGrid)
	if p.MaxBirds >= 0 {
		w.whole("max_birds", p.MaxBirds)
	}
	if p.MaxCocks >= 0 {
		w.whole("max_cocks", p.MaxCocks)
	}
}

func (w *writer) climate(p climate.Place) {
	near, listed := catalogueName(p)
	if near != "" {
		w.text("near", near)
	} else {
		w.ownClimate(p)
	}
	if p.ExtremeMinC != listed.ExtremeMinC {
		w.quantity("extreme_low", tempUnits, p.ExtremeMinC)
	}
	if p.DaysAbove38 != listed.DaysAbove38 {
		w.number("days_above_38_c", p.DaysAbove38)
	}
	w.stray(p)
}

// catalogueName finds the name under which the catalogue gives this place, but
// for the figures that a keeper may set beside it.
func catalogueName(p climate.Place) (name string, listed climate.Place) {
	if p.SourceKey == keeperKey {
		return "", listed
	}
	for _, name := range []string{p.Name, p.Name + ", " + p.Country} {
		found, err := climate.FindPlace(name)
		if err != nil {
			continue
		}
		same := found
		same.ExtremeMinC, same.DaysAbove38 = p.ExtremeMinC, p.DaysAbove38
		same.Stray, same.From = p.Stray, p.From
		if same == p {
			return name, found
		}
	}
	return "", listed
}

func (w *writer) ownClimate(p climate.Place) {
	w.text("name", p.Name)
	if p.Country != "" {
		w.text("country", p.Country)
	}
	w.number("latitude", p.LatitudeDeg)
	w.number("longitude", p.LongitudeDeg)
	w.quantity("altitude", lengthUnits, p.AltitudeM)
	w.twelve("high", tempUnits, p.MaxC)
	w.twelve("low", tempUnits, p.MinC)
	if p.HumidityPct != [12]float64{} {
		w.twelve("humidity", unitPair{metric: "_pct", us: "_pct", toMetric: same, fromMetric: same}, p.HumidityPct)
	}
	w.twelve("rain", rainUnits, p.RainMM)
	if p.WindMS != [12]float64{} {
		w.twelve("wind", windUnits, p.WindMS)
	}
}

func same(v float64) float64 { return v }

func (w *writer) means(m Means) {
	for _, h := range m.Houses {
		w.house(h)
	}
	w.header("means")
	w.quantity("covered_run", areaUnits, m.CoveredRunM2)
	w.quantity("grow_out", areaUnits, m.GrowOutM2)
	w.quantity("shade", areaUnits, m.ShadeM2)
	if m.NoShade {
		w.yes("no_shade", true)
	}
	w.whole("machine_eggs", m.MachineEggs)
	w.whole("brooder_chicks", m.BrooderChicks)
	w.yes("broody_hens", m.BroodyHens)
	w.quantity("freezer", volumeUnits, m.FreezerL)
	w.number("minutes_a_day", m.MinutesADay)
	w.whole("butcher_days_a_year", m.ButcherDaysAYear)
	w.whole("butcher_birds_a_day", m.ButcherBirdsADay)
	w.text("lights", m.Lights)
	w.yes("will_kill", m.WillKill)
	w.whole("cockerels_taken_a_year", m.CockerelsTaken)
	w.whole("spare_cocks", m.SpareCocks)
	w.percent("feed_waste_pct", m.FeedWaste)
	w.percent("egg_loss_pct", m.EggLoss)
	for _, a := range m.Away {
		w.entry("away")
		w.raw("from", a.From.String())
		w.raw("to", a.To.String())
	}
}

func (w *writer) needs(n Needs) {
	w.header("needs")
	w.number("table_birds", n.TableBirds)
	w.quantity("table", massUnits, n.TableKg)
	w.quantity("table_bird_min", massUnits, n.TableBirdMinKg)
	w.yes("self_renewing", n.SelfRenewing)
	w.percent("short_years_pct", n.RiskShare)
	w.whole("short_weeks", n.RiskShortWeeks)
	w.percent("frozen_eggs_pct", n.FrozenEggShare)
	w.number("hour_price", n.PricedMinutes)
	for _, e := range n.Eggs {
		w.entry("eggs")
		w.months("months", e.Months)
		w.number("per_week", e.PerWeek)
	}
	for _, e := range n.EggSales {
		w.entry("egg_sale")
		w.months("months", e.Months)
		w.number("dozens_per_week", e.DozensPerWeek)
		w.number("price_per_dozen", e.PricePerDozen)
		w.yes("promised", e.Promised)
	}
	for _, b := range n.BirdSales {
		w.entry("bird_sale")
		w.text("kind", b.Kind)
		w.whole("per_year", b.PerYear)
		w.number("price", b.Price)
	}
}

func (w *writer) offer(o Offer) {
	w.entry("stock")
	w.text("breed", o.Breed)
	w.text("strain", string(o.Strain))
	w.text("form", string(o.Form))
	w.number("price", o.Price)
	w.whole("smallest_order", o.SmallestOrder)
	w.whole("largest_order", o.LargestOrder)
	w.months("months", o.Months)
}

func (w *writer) prices(p Prices) {
	w.header("prices")
	w.quantity("feed", priceUnits, p.FeedPerKg)
	w.quantity("chick_feed", priceUnits, p.ChickFeedPerKg)
	w.number("shop_eggs_per_dozen", p.ShopEggsPerDozen)
	w.quantity("shop_chicken", priceUnits, p.ShopChickenPerKg)
	w.number("bedding_per_bird_year", p.BeddingPerBirdYear)
	w.number("power_per_kwh", p.PowerPerKWh)
	w.number("fixed_per_year", p.FixedPerYear)
}

func (w *writer) group(g Group) {
	w.entry("birds")
	w.text("id", g.ID)
	w.text("breed", g.Breed)
	w.text("strain", string(g.Strain))
	w.text("sex", g.Sex.String())
	w.raw("hatched", g.Hatched.String())
	w.whole("number", g.Number)
}
