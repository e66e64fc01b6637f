package holding

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	_ "time/tzdata" // zones are checked alike on every machine

	"henyear/bird"
	"henyear/breed"
	"henyear/climate"
	"henyear/measure"
)

// Read reads a holding file (docs/holding-file.md). It needs the bytes of the
// file and its name for messages. It returns the complete holding and a note
// for every default that matters; or, as error, the Problems of the whole file
// at once. Read knows no today: birds hatched in the future are seen only in a
// file with as_of. Use ReadOn where today is known.
func Read(data []byte, filename string) (*Holding, []Note, error) {
	return ReadOn(data, filename, measure.Date{})
}

// ReadOn is Read with the day to hold hatching dates against when the file
// states no as_of.
func ReadOn(data []byte, filename string, today measure.Date) (*Holding, []Note, error) {
	data, refused := guard(data, filename)
	if refused != nil {
		return nil, nil, refused
	}
	root, faults := parseDocument(data, filename)
	r := &reading{file: filename, today: today, known: map[string][]string{}, broken: len(faults) > 0, problems: faults}
	top := &section{reading: r, node: root}
	if !top.formatKnown() {
		return nil, nil, r.sorted()
	}
	h := top.holding()
	if len(r.problems) == 0 {
		r.confirm(data)
	}
	if len(r.problems) > 0 {
		return nil, nil, r.sorted()
	}
	return h, r.notes, nil
}

func (r *reading) sorted() Problems {
	r.problems.sort()
	r.problems = slices.Compact(r.problems) // a field asked for twice complains twice
	if over := len(r.problems) - MaxProblems; over > 0 {
		r.problems = append(r.problems[:MaxProblems], Problem{File: r.file, What: fmt.Sprintf("%d more problems are not listed", over)})
	}
	return r.problems
}

// formatKnown refuses files of a newer program before anything else is said:
// its fields may mean other things.
func (s *section) formatKnown() bool {
	n := s.find("format")
	if n == nil {
		s.missing("format", fmt.Sprintf("write format = %d as the first line", Format))
		return true
	}
	v, ok := s.number("format", span{low: 1, high: 1e6, whole: true})
	if ok && v > Format {
		s.fault(n.line, "format", fmt.Sprintf("is %g, newer than this program reads (%d)", v, Format), "use a newer program, or write the holding in the older format")
		return false
	}
	return true
}

func (s *section) holding() *Holding {
	h := &Holding{Units: measure.Metric}
	h.Name = s.mustText("name", `name = "Our hens"`)
	if d, given := s.date("as_of", firstYear); given {
		h.AsOf = d
	} else if !s.has("as_of") {
		s.tell("as_of", "the birds on hand are taken as those of today", "practice")
	}
	h.TimeZone = s.timeZone()
	h.Currency = s.currency()
	if s.word("units", []string{"metric", "us"}, 0) == 1 {
		h.Units = measure.US
	}
	h.Place = s.part("place").place(h.Name)
	h.Means = s.means()
	h.Needs = s.needs(h.Means)
	h.Stock = s.offers()
	h.Prices = s.part("prices").prices()
	h.Birds = s.groups(h.AsOf)
	if len(h.Birds) == 0 && len(h.Stock) == 0 && !s.has("stock") && !s.has("birds") {
		s.missing("stock", "with no birds on hand the plan needs at least one [[stock]] that can be had")
	}
	s.unknown()
	return h
}

func (s *section) mustText(key, example string) string {
	text, _ := s.text(key)
	if !s.has(key) {
		s.missing(key, "for example "+example)
	}
	return text
}

func (s *section) timeZone() string {
	zone, given := s.text("time_zone")
	if !s.has("time_zone") {
		s.tell("time_zone", "taking UTC for the calendar", "practice")
	}
	if !given {
		return "UTC"
	}
	if _, err := time.LoadLocation(zone); err != nil || zone == "Local" {
		s.fault(s.find("time_zone").line, "time_zone", fmt.Sprintf("is %q, which is not a time zone", cut(zone)), `write continent and town, for example "Europe/London", or "UTC"`)
	}
	return zone
}

func (s *section) currency() measure.Currency {
	code := s.mustText("currency", `currency = "EUR"`)
	if code == "" {
		return measure.Currency{}
	}
	c, err := measure.CurrencyOf(code)
	if err != nil {
		what, right, _ := strings.Cut(err.Error(), "; ")
		_, what, _ = strings.Cut(what, " is ")
		s.fault(s.find("currency").line, "currency", fmt.Sprintf("is %q, %s", cut(code), what), right)
	}
	return c
}

var levelWords = []string{"none", "low", "some", "high"}

func (s *section) levelTell(key, text string) Level {
	if !s.has(key) {
		s.tell(key, text, "guess")
		return Some
	}
	return Level(s.word(key, levelWords, int(Some)))
}

func (s *section) place(holdingName string) Place {
	p := Place{Climate: s.climate(holdingName)}
	p.WetGround = s.word("ground", []string{"dry", "wet"}, 0) == 1
	p.GroundPredators = s.levelTell("ground_predators", `taking "some" foxes, martens and the like`)
	p.AirPredators = s.levelTell("air_predators", `taking "some" hawks`)
	p.Cover = Level(s.word("cover", levelWords, int(Some)))
	p.LockedAtNight = s.yes("locked_at_night", true)
	if !s.has("locked_at_night") {
		s.tell("locked_at_night", "taking the house as shut every night", "practice")
	}
	p.ElectricFence = s.yes("electric_fence", false)
	p.PastureM2 = s.quantityOr("pasture", areaUnits, span{high: 1e6}, 0)
	p.PastureMonths = s.months("pasture_months", allMonths)
	if p.PastureM2 > 0 && !s.has("pasture_months") {
		s.tell("pasture_months", "taking the pasture as open all year", "guess")
	}
	p.NettedM2 = s.quantityOr("netted", areaUnits, span{high: 1e6}, 0)
	p.OffGrid = s.yes("off_grid", false)
	p.MaxBirds = s.limit("max_birds", MaxBirds)
	p.MaxCocks = s.limit("max_cocks", MaxBirds)
	if !s.has("max_birds") && !s.has("max_cocks") {
		s.tell("max_birds", "taking no local limit; ask at the municipality", "practice")
	}
	s.unknown()
	return p
}

// limit reads a local limit; -1 is none.
func (s *section) limit(key string, most float64) int {
	return int(s.or(key, span{high: most, whole: true}, -1))
}

// keeperKey marks a place described by the keeper.
const keeperKey = "keeper_figures"

// Sources of what is estimated for such a place.
const keeperDew, keeperExtreme = "keeper_dew", "keeper_extreme"

// Fields that describe a place by its own figures; they exclude a catalogue
// name.
var ownPlace = []string{"name", "country", "latitude", "longitude", "altitude_m", "altitude_ft", "high_c", "high_f", "low_c", "low_f",
	"humidity_pct", "rain_mm", "rain_in", "wind_ms", "wind_mph"}

var (
	tempSpan    = span{low: -65, high: 55}
	extremeSpan = span{low: -70, high: 30}
	daysSpan    = span{high: 366}
)

func (s *section) climate(holdingName string) climate.Place {
	near, named := s.text("near")
	var own []string
	for _, key := range ownPlace {
		if s.find(key) != nil {
			own = append(own, key)
		}
	}
	var p climate.Place
	switch {
	case s.has("near") && len(own) > 0:
		s.fault(s.find(own[0]).line, own[0], "does not go with near, which takes all figures from the catalogue", "keep near alone, or leave it out and give every figure of the place")
	case named:
		p = s.catalogue(near)
	case s.has("near"):
	case len(own) == 0:
		s.missing("near", `write near = "..." with a place of the catalogue, or latitude, longitude, altitude_m, high_c, low_c and rain_mm of your own`)
	default:
		p = s.ownClimate(holdingName)
	}
	if v, given := s.quantity("extreme_low", tempUnits, extremeSpan); given {
		p.ExtremeMinC = v
		if lowest := slices.Min(p.MinC[:]); p.Name != "" && v > lowest {
			key, _ := s.key("extreme_low", tempUnits)
			s.fault(s.find(key).line, key, "is warmer than the mean low of the coldest month", "write the coldest night of a usual year")
		}
	}
	if v, given := s.number("days_above_38_c", daysSpan); given {
		p.DaysAbove38 = v
	}
	p.Stray = s.stray()
	s.from(&p)
	return p
}

func (s *section) catalogue(near string) climate.Place {
	p, err := climate.FindPlace(near)
	if err != nil {
		what, right, _ := strings.Cut(err.Error(), "; ")
		s.fault(s.find("near").line, "near", "cannot be followed: "+what, right)
	}
	return p
}

func (s *section) ownClimate(holdingName string) climate.Place {
	before := len(s.problems)
	p := climate.Place{Name: holdingName, SourceKey: keeperKey}
	if name, given := s.text("name"); given {
		p.Name = name
	}
	p.Country, _ = s.text("country")
	p.LatitudeDeg = s.must("latitude", span{low: -90, high: 90}, "52.1 (south is negative)")
	p.LongitudeDeg = s.must("longitude", span{low: -180, high: 180}, "5.2 (west is negative)")
	p.AltitudeM = s.quantityMust("altitude", lengthUnits, span{low: -450, high: 6000}, "120")
	p.MaxC = s.twelveMust("high", tempUnits, tempSpan, "twelve mean daily highs")
	p.MinC = s.twelveMust("low", tempUnits, tempSpan, "twelve mean daily lows")
	p.RainMM = s.twelveMust("rain", rainUnits, span{high: 3000}, "twelve monthly totals")
	if s.has("humidity_pct") {
		p.HumidityPct, _ = s.twelvePlain("humidity_pct", span{low: 1, high: 100})
	} else {
		s.tell("humidity_pct", "estimating it from the nights' lows", keeperDew)
	}
	p.WindMS, _ = s.twelve("wind", windUnits, span{high: 25})
	if key, _ := s.key("extreme_low", tempUnits); !s.has(key) {
		s.tell(key, "estimating the coldest night from the coldest month", keeperExtreme)
	}
	if before == len(s.problems) && !s.broken {
		s.lowsUnderHighs(p)
	}
	if before == len(s.problems) && !s.broken {
		s.validate(p)
	}
	return p
}

func (s *section) twelveMust(stem string, u unitPair, allowed span, what string) [12]float64 {
	key, _ := s.key(stem, u)
	if !s.has(key) {
		s.missing(key, "write "+what+" in [ ], January first")
	}
	values, _ := s.twelve(stem, u, allowed)
	return values
}

func (s *section) lowsUnderHighs(p climate.Place) {
	key, _ := s.key("low", tempUnits)
	for m := range 12 {
		if p.MinC[m] > p.MaxC[m] {
			s.fault(s.find(key).line, fmt.Sprintf("%s (%s)", key, time.Month(m+1)), "is above the high of the same month", "check both; January comes first")
		}
	}
}

// validate adds whatever else the climate room finds impossible.
func (s *section) validate(p climate.Place) {
	err := p.Validate()
	if err == nil {
		return
	}
	faults := []error{err}
	var joined interface{ Unwrap() []error }
	if errors.As(err, &joined) {
		faults = joined.Unwrap()
	}
	for _, f := range faults {
		s.problem(s.node.line, "place", "cannot be true: "+f.Error(), "check the figures and their units")
	}
}

func (s *section) means() Means {
	m := Means{Houses: s.houses(), Away: s.away()}
	s = s.part("means")
	m.CoveredRunM2 = s.quantityOr("covered_run", areaUnits, span{high: 1e5}, 0)
	m.GrowOutM2 = s.quantityOr("grow_out", areaUnits, span{high: 1e5}, 0)
	m.ShadeM2 = s.quantityOr("shade", areaUnits, span{high: 1e6}, 0)
	m.NoShade = s.yes("no_shade", false)
	if m.NoShade && m.ShadeM2 > 0 {
		s.fault(s.find("no_shade").line, "no_shade", "does not go with an area of shade", "keep one of them")
	}
	m.MachineEggs = int(s.or("machine_eggs", span{high: 5000, whole: true}, 0))
	brooder := float64(max(m.MachineEggs, 30))
	m.BrooderChicks = int(s.orTell("brooder_chicks", span{high: 5000, whole: true}, brooder,
		fmt.Sprintf("taking room for %g chicks under six weeks", brooder), "guess"))
	m.BroodyHens = s.yes("broody_hens", true)
	if !s.has("broody_hens") {
		s.tell("broody_hens", "broody hens may be set", "practice")
	}
	m.FreezerL = s.quantityTell("freezer", volumeUnits, span{high: 20000}, 0, "taking no freezer: birds are eaten fresh", "guess")
	m.MinutesADay = s.must("minutes_a_day", span{low: 1, high: 1440}, "25")
	m.ButcherDaysAYear = int(s.orTell("butcher_days_a_year", span{high: 366, whole: true}, 3, "taking 3", "practice"))
	m.ButcherBirdsADay = int(s.orTell("butcher_birds_a_day", span{high: MaxBirds, whole: true}, 12, "taking 12 birds", "guess"))
	m.Lights = []string{"none", "possible", "on"}[s.word("lights", []string{"none", "possible", "on"}, 0)]
	if !s.has("lights") {
		s.tell("lights", "taking no lights in the house", "practice")
	}
	s.killing(&m)
	m.SpareCocks = int(s.orTell("spare_cocks", span{high: 50, whole: true}, 1, "keeping 1 spare cock", "practice"))
	m.FeedWaste = s.percent("feed_waste_pct", span{high: 60}, 10, "taking 10 % of the feed bought as not eaten; 5 to 25 with rats and wild birds", "practice")
	m.EggLoss = s.percent("egg_loss_pct", span{high: 60}, 4, "taking 4 % of the eggs laid as not usable", "practice")
	s.unknown()
	return m
}

// killing asks what keepers must settle before they hatch: half of every hatch
// is cockerels.
func (s *section) killing(m *Means) {
	m.WillKill = s.yes("will_kill", false)
	m.CockerelsTaken = int(s.or("cockerels_taken_a_year", span{high: MaxBirds, whole: true}, 0))
	switch {
	case !s.has("will_kill"):
		s.missing("will_kill", "write true if you or a butcher will kill birds of this flock, false if not; half of every hatch is cockerels")
	case s.find("will_kill").text == "false" && !s.has("cockerels_taken_a_year"):
		s.missing("cockerels_taken_a_year", "with will_kill = false, write how many cockerels others take in a year (0 if none: then nothing is hatched)")
	}
}

func (s *section) away() []Away {
	var list []Away
	for _, p := range s.list("away", MaxEntries) {
		var a Away
		var from, to bool
		a.From, from = p.date("from", firstYear)
		a.To, to = p.date("to", firstYear)
		for _, key := range []string{"from", "to"} {
			if !p.has(key) {
				p.missing(key, "for example "+key+" = 2027-07-10")
			}
		}
		switch {
		case !from || !to:
		case a.To.Before(a.From):
			p.fault(p.find("to").line, "to", fmt.Sprintf("is %s, before from (%s)", a.To, a.From), "write the first day of the absence as from, the last as to")
		case a.To.DaysSince(a.From) > 366:
			p.fault(p.find("to").line, "to", "is more than a year after from", "an absence is of days or weeks")
		}
		p.unknown()
		list = append(list, a)
	}
	return list
}

func (s *section) needs(m Means) Needs {
	n := Needs{Eggs: s.eggs(), EggSales: s.eggSales(), BirdSales: s.birdSales()}
	hasEggs := s.has("eggs")
	top := s
	s = s.part("needs")
	n.TableBirds = s.or("table_birds", span{high: MaxBirds}, 0)
	n.TableKg = s.quantityOr("table", massUnits, span{high: 20000}, 0)
	if n.TableBirds > 0 && n.TableKg > 0 {
		key, _ := s.key("table", massUnits)
		s.fault(s.find(key).line, key, "says again what table_birds says", "count table birds or weigh them, not both")
	}
	n.TableBirdMinKg = s.quantityOr("table_bird_min", massUnits, span{low: 0.2, high: 10}, 1.2)
	wantsMeat := n.TableBirds > 0 || n.TableKg > 0
	if key, _ := s.key("table_bird_min", massUnits); wantsMeat && !s.has(key) {
		s.tell(key, "a bird counts for the table from 1.2 kg dressed", "practice")
	}
	if wantsMeat && !m.WillKill && top.says("means", "will_kill", "false") {
		key := "table_birds"
		if n.TableBirds == 0 {
			key, _ = s.key("table", massUnits)
		}
		s.fault(s.find(key).line, key, "asks for meat while will_kill is false", "set will_kill = true (a butcher may do it) or leave the meat out")
	}
	n.SelfRenewing = s.yes("self_renewing", false)
	n.RiskShare = s.percent("short_years_pct", span{high: 100}, 20, "accepting 20 % of years with more than the allowed short weeks", "guess")
	n.RiskShortWeeks = int(s.orTell("short_weeks", span{high: 52, whole: true}, 2, "a year may have 2 short weeks before it counts as short", "guess"))
	n.FrozenEggShare = s.percent("frozen_eggs_pct", span{high: 100}, 0, "no frozen eggs are counted towards the need", "practice")
	n.PricedMinutes = s.or("hour_price", span{high: 1e9}, 0)
	if !s.broken && !hasEggs && !wantsMeat {
		s.missing("table_birds", "a holding needs eggs ([[eggs]]) or meat (table_birds), or the plan has nothing to aim at")
	}
	s.unknown()
	return n
}

var priceSpan = span{high: 1e9}

func (s *section) eggs() []EggNeed {
	var list []EggNeed
	var claimed [12]bool
	for _, p := range s.list("eggs", MaxEntries) {
		e := EggNeed{Months: p.someMonths("months", allMonths)}
		if !p.has("months") {
			p.tell("months", "taking all year", "practice")
		}
		e.PerWeek = p.must("per_week", span{high: 7 * MaxBirds}, "14")
		for m := range 12 {
			if e.Months[m] && claimed[m] {
				p.fault(p.node.line, "months", "names "+time.Month(m+1).String()+" again", "give each month one figure")
				break
			}
		}
		for m := range 12 {
			claimed[m] = claimed[m] || e.Months[m]
		}
		p.unknown()
		list = append(list, e)
	}
	return list
}

func (s *section) eggSales() []EggSale {
	var list []EggSale
	for _, p := range s.list("egg_sale", MaxEntries) {
		e := EggSale{Months: p.someMonths("months", allMonths)}
		if !p.has("months") {
			p.tell("months", "taking all year", "practice")
		}
		e.DozensPerWeek = p.must("dozens_per_week", span{high: MaxBirds}, "2")
		e.PricePerDozen = p.must("price_per_dozen", priceSpan, "3.00")
		e.Promised = p.yes("promised", false)
		if !p.has("promised") {
			p.tell("promised", "customers take what there is, up to the figure; they were promised nothing", "practice")
		}
		p.unknown()
		list = append(list, e)
	}
	return list
}

// BirdKinds are the kinds of live birds that a holding may sell.
var BirdKinds = []string{"chick", "cockerel", "pullet", "spent hen"}

func (s *section) birdSales() []BirdSale {
	var list []BirdSale
	for _, p := range s.list("bird_sale", MaxEntries) {
		p.mustText("kind", `kind = "pullet"`)
		b := BirdSale{Kind: BirdKinds[p.word("kind", BirdKinds, 0)]}
		b.PerYear = int(p.must("per_year", span{high: MaxBirds, whole: true}, "6"))
		b.Price = p.must("price", priceSpan, "15.00")
		if slices.ContainsFunc(list, func(o BirdSale) bool { return o.Kind == b.Kind }) && p.has("kind") {
			p.fault(p.find("kind").line, "kind", fmt.Sprintf("is %q again", b.Kind), "give each kind one figure")
		}
		p.unknown()
		list = append(list, b)
	}
	return list
}

var (
	strainWords = []string{string(breed.Production), string(breed.Utility), string(breed.Show)}
	formWords   = []string{string(HatchingEggs), string(Chicks), string(SexedChicks), string(StartedPullet), string(GrownCock)}
)

// stock reads breed and strain, which offers and birds on hand share.
func (s *section) stock() (id string, strain breed.Strain) {
	written := s.mustText("breed", `breed = "sussex"`)
	if written != "" {
		found, advice := findBreed(written)
		id = found
		if advice != "" {
			s.fault(s.find("breed").line, "breed", fmt.Sprintf("is %q, which is not in the catalogue", cut(written)), advice)
		}
	}
	strain = breed.Strain(strainWords[s.word("strain", strainWords, 1)])
	if !s.has("strain") {
		s.tell("strain", "taking utility stock", "practice")
	}
	return id, strain
}

func (s *section) offers() []Offer {
	var list []Offer
	for _, p := range s.list("stock", MaxOffers) {
		var o Offer
		o.Breed, o.Strain = p.stock()
		p.mustText("form", `form = "chicks"`)
		o.Form = Form(formWords[p.word("form", formWords, 0)])
		o.Price = p.must("price", priceSpan, "3.00")
		o.SmallestOrder = int(p.or("smallest_order", span{low: 1, high: MaxBirds, whole: true}, 1))
		o.LargestOrder = int(p.or("largest_order", span{high: MaxBirds, whole: true}, 0))
		if o.LargestOrder > 0 && o.LargestOrder < o.SmallestOrder {
			p.fault(p.find("largest_order").line, "largest_order", "is below smallest_order", "check both; 0 means no limit")
		}
		o.Months = p.someMonths("months", allMonths)
		if !p.has("months") {
			p.tell("months", "taking it as to be had all year", "guess")
		}
		p.unknown()
		list = append(list, o)
	}
	return list
}

func (s *section) prices() Prices {
	const most = 1e9
	var p Prices
	p.FeedPerKg = s.quantityMust("feed", priceUnits, span{high: most}, "0.50")
	chick := p.FeedPerKg * 1.2
	p.ChickFeedPerKg = s.quantityTell("chick_feed", priceUnits, span{high: most}, chick, "taking a fifth more than feed", "guess")
	p.ShopEggsPerDozen = s.must("shop_eggs_per_dozen", span{high: most}, "3.60")
	p.ShopChickenPerKg = s.quantityMust("shop_chicken", priceUnits, span{high: most}, "8.00")
	p.BeddingPerBirdYear = s.orTell("bedding_per_bird_year", span{high: most}, 0, "bedding is left out of the costs", "guess")
	p.PowerPerKWh = s.orTell("power_per_kwh", span{high: most}, 0, "power is left out of the costs", "guess")
	p.FixedPerYear = s.orTell("fixed_per_year", span{high: most}, 0, "registration, worming and repairs are left out of the costs", "guess")
	s.unknown()
	return p
}

var sexWords = []string{"hen", "cock", "hens", "cocks", "pullet", "cockerel", "pullets", "cockerels"}

func (s *section) groups(asOf measure.Date) []Group {
	var list []Group
	latest, whose := asOf, "as_of"
	if latest.IsZero() {
		latest, whose = s.today, "today"
	}
	total := 0
	for _, p := range s.list("birds", MaxGroups) {
		var g Group
		g.Breed, g.Strain = p.stock()
		p.mustText("sex", `sex = "hen"`)
		g.Sex = bird.Sex(p.word("sex", sexWords, 0) % 2)
		g.Hatched = p.hatched(latest, whose)
		g.Number = p.count("number")
		g.ID = p.groupID(list, g)
		total += g.Number
		p.unknown()
		list = append(list, g)
	}
	if total > MaxBirds {
		s.fault(s.find("birds").line, "birds", fmt.Sprintf("are %d in all", total), tooManyBirds)
	}
	return list
}

var tooManyBirds = fmt.Sprintf("this planner is made for flocks up to %d birds and takes %d at most", UsualBirds, MaxBirds)

func (s *section) count(key string) int {
	return int(s.must(key, span{low: 1, high: MaxBirds, whole: true, why: tooManyBirds}, "8"))
}

func (s *section) hatched(latest measure.Date, whose string) measure.Date {
	d, given := s.date("hatched", firstYear-MaxAgeYears)
	switch {
	case !s.has("hatched"):
		s.missing("hatched", "for example hatched = 2026-03-20; the middle of the month will do")
	case !given || latest.IsZero():
	case latest.Before(d):
		s.fault(s.find("hatched").line, "hatched", fmt.Sprintf("is %s, after %s (%s)", d, whose, latest), "write the day the birds hatched; chicks to come are not birds on hand")
	case latest.DaysSince(d) > MaxAgeYears*366:
		s.fault(s.find("hatched").line, "hatched", fmt.Sprintf("is %s, more than %d years before %s", d, MaxAgeYears, whose), "check the year")
	}
	return d
}

// groupID reads the group's id or makes one of what the group is: the same
// file always gives the same ids.
func (s *section) groupID(before []Group, g Group) string {
	taken := func(id string) bool {
		return slices.ContainsFunc(before, func(o Group) bool { return o.ID == id })
	}
	if id, given := s.text("id"); given {
		if taken(id) {
			s.fault(s.find("id").line, "id", fmt.Sprintf("is %q again", cut(id)), "give each group its own id")
		}
		return id
	}
	stem := fmt.Sprintf("%s-%s-%04d-%02d", g.Breed, g.Sex, g.Hatched.Year, int(g.Hatched.Month))
	id := stem
	for i := 2; taken(id); i++ {
		id = fmt.Sprintf("%s-%d", stem, i)
	}
	return id
}
