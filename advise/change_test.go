package advise

import (
	"math"
	"strings"
	"testing"

	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
)

func codes(h *holding.Holding, opt plan.Options) string {
	var list []string
	for _, c := range changes(h, opt) {
		list = append(list, c.code)
	}
	return strings.Join(list, " ")
}

func TestTheValleyIsAskedAboutAllItMightAdd(t *testing.T) {
	want := "broody house pen machine lights minutes butcher-day freezer cock" // it promises no eggs in winter
	if got := codes(example(t, "valley"), plan.Options{}); got != want {
		t.Errorf("asked about %s\nwant %s", got, want)
	}
}

func TestNobodyIsAskedAboutWhatMakesNoSense(t *testing.T) {
	for _, c := range []struct {
		why, code string
		change    func(*holding.Holding, *plan.Options)
	}{
		{"no power for lamps", "lights", func(h *holding.Holding, _ *plan.Options) { h.Place.OffGrid = true }},
		{"the plan has chosen already", "lights", func(h *holding.Holding, _ *plan.Options) { h.Means.Lights = "possible" }},
		{"lamps are on", "lights", func(_ *holding.Holding, o *plan.Options) { o.Lights = "on" }},
		{"no power for a machine", "machine", func(h *holding.Holding, _ *plan.Options) { h.Place.OffGrid, h.Means.MachineEggs = true, 0 }},
		{"hens are not set here", "broody", func(h *holding.Holding, _ *plan.Options) { h.Means.BroodyHens = false }},
		{"nobody kills", "butcher-day", func(h *holding.Holding, _ *plan.Options) { h.Means.WillKill = false }},
		{"nothing is eaten", "freezer", func(h *holding.Holding, _ *plan.Options) { h.Needs.TableBirds = 0 }},
		{"cocks are forbidden", "cock", func(h *holding.Holding, _ *plan.Options) { h.Place.MaxCocks = 0 }},
		{"a cock is on offer", "cock", func(h *holding.Holding, _ *plan.Options) {
			h.Stock = append(h.Stock, holding.Offer{Breed: "sussex", Form: holding.GrownCock, Price: 20})
		}},
		{"there is no house", "house", func(h *holding.Holding, _ *plan.Options) { h.Means.Houses = nil }},
		{"there is no house", "pen", func(h *holding.Holding, _ *plan.Options) { h.Means.Houses = nil }},
	} {
		h, opt := example(t, "valley"), plan.Options{}
		if !strings.Contains(codes(h, opt), c.code) {
			t.Fatalf("%s is not asked about to begin with", c.code)
		}
		c.change(h, &opt)
		if strings.Contains(codes(h, opt), c.code) {
			t.Errorf("%s is asked about though %s", c.code, c.why)
		}
	}
}

func TestWhoForbadeLampsIsToldWhatTheyWouldBring(t *testing.T) {
	h := example(t, "valley")
	h.Means.Lights = "possible"
	if !strings.Contains(codes(h, plan.Options{Lights: "none"}), "lights") {
		t.Error("lamps are not asked about")
	}
}

func TestFreedCustomersMayStillBuyAsManyEggs(t *testing.T) {
	for _, c := range []struct {
		name, months string
		dark         []int
	}{
		{"plain", "from May to July", []int{4, 5, 6}},
		{"forest", "from November to January", []int{10, 11, 0}},
	} {
		h := example(t, c.name)
		sale := holding.EggSale{DozensPerWeek: 2, PricePerDozen: 3, Promised: true}
		for m := range 12 {
			sale.Months[m] = true
		}
		h.Needs.EggSales = []holding.EggSale{{Months: sale.Months, DozensPerWeek: 1, PricePerDozen: 2}, sale}
		list := only(h, "promises")
		if len(list) != 1 || !strings.Contains(list[0].what, c.months) {
			t.Fatalf("%s: %v", c.name, list)
		}
		before := *h
		before.Needs.EggSales = append([]holding.EggSale{}, h.Needs.EggSales...)
		list[0].make(h, nil)
		for m := range 12 {
			was, _ := dozens(&before, m)
			is, promised := dozens(h, m)
			if was != is {
				t.Errorf("%s, month %d: %g dozen could be sold, now %g", c.name, m+1, was, is)
			}
			free := false
			for _, d := range c.dark {
				free = free || d == m
			}
			if free == (promised > 0) {
				t.Errorf("%s, month %d: %g dozen promised", c.name, m+1, promised)
			}
		}
	}
}

func dozens(h *holding.Holding, month int) (all, promised float64) {
	for _, s := range h.Needs.EggSales {
		if s.Months[month] {
			all += s.DozensPerWeek
			if s.Promised {
				promised += s.DozensPerWeek
			}
		}
	}
	return all, promised
}

func TestWhereNoSeasonIsDarkNoPromiseIsTakenBack(t *testing.T) {
	h := example(t, "plain")
	if len(only(h, "promises")) == 0 {
		t.Fatal("the plain promises eggs in its winter")
	}
	h.Place.Climate.LatitudeDeg = -4
	if len(only(h, "promises")) != 0 {
		t.Error("there is no dark season at 4 degrees south")
	}
}

func TestAMachineTwiceAsLargeOrAFirstOne(t *testing.T) {
	h := example(t, "valley")
	c := only(h, "machine")[0]
	c.make(h, nil)
	if h.Means.MachineEggs != 48 || !strings.Contains(c.what, "48 eggs in place of 24") {
		t.Errorf("%s: %d places", c.what, h.Means.MachineEggs)
	}
	h.Means.MachineEggs = 0
	c = only(h, "machine")[0]
	c.make(h, nil)
	if h.Means.MachineEggs != 24 {
		t.Errorf("%s: %d places", c.what, h.Means.MachineEggs)
	}
}

func TestTheOutsideCockIsOfTheFlocksOwnStockAndNotFree(t *testing.T) {
	h := example(t, "valley")
	only(h, "cock")[0].make(h, nil)
	o := h.Stock[len(h.Stock)-1]
	if o.Breed != "sussex" || o.Form != holding.GrownCock || o.Price != 26 || o.LargestOrder != 1 || !o.Months[0] {
		t.Errorf("%+v", o)
	}
	h = example(t, "plain")
	h.Stock = nil
	only(h, "cock")[0].make(h, nil)
	o = h.Stock[0]
	if o.Breed != "australorp" || !(o.Price > 5) || !o.Months[6] {
		t.Errorf("%+v", o)
	}
}

func TestTheWorthLiesBetweenTheBounds(t *testing.T) {
	for _, c := range []struct {
		what          string
		before, after span
		low, high     float64
	}{
		{"both proven: the difference", span{100, 100}, span{70, 70}, 30, 30},
		{"open gaps widen it", span{90, 100}, span{60, 75}, 15, 40},
		{"overlapping gaps: it may be nothing", span{90, 100}, span{85, 95}, 0, 15},
		{"never less than nothing", span{100, 100}, span{105, 110}, 0, 0},
		{"a search that did worse proves no harm", span{90, 100}, span{80, 120}, 0, 20},
	} {
		low, high := interval(c.before, c.after)
		if low != c.low || high != c.high {
			t.Errorf("%s: %g to %g, want %g to %g", c.what, low, high, c.low, c.high)
		}
	}
}

func TestALooserProgrammesBoundLiftsTheTighters(t *testing.T) {
	if got := (span{90, 100}).raised(95); got != (span{95, 100}) {
		t.Error(got)
	}
	if got := (span{90, 100}).raised(80); got != (span{90, 100}) {
		t.Error(got)
	}
	if got := (span{90, 100}).raised(100.0001); got != (span{100, 100}) {
		t.Error("a bound above a plan that exists", got)
	}
	base := &plan.Plan{Bound: 90, Cost: 100, GrossOutlay: 150, Currency: measure.Currency{Code: "EUR", Exponent: 2}}
	list := tell(base, []answer{
		{change{code: "a", loosens: true}, span{97, 100}},
		{change{code: "b"}, span{99, 100}}, // not a looser programme: proves nothing for today's
		{change{code: "c"}, span{80, 94}},
	})
	if list[0].Code != "c" || list[0].Low != 3 || list[0].High != 20 || !list[0].Known {
		t.Errorf("%+v", list[0])
	}
}

func TestWordsSayWhatIsKnown(t *testing.T) {
	base := &plan.Plan{Currency: measure.Currency{Code: "EUR", Exponent: 2},
		From: measure.Date{Year: 2027, Month: 1, Day: 1}, To: measure.Date{Year: 2028, Month: 12, Day: 31}}
	for _, c := range []struct {
		low, high float64
		want      string
	}{
		{168, 320, "Worth between 84 and 160 EUR a year. R."},
		{159.9, 160.1, "Worth about 80 EUR a year. R."},
		{0.4, 40, "Worth something, at most 20 EUR a year. R."},
		{0, 40, "Less than we can tell: at most 20 EUR a year."},
		{0, 0.2, "Worth less than 1 EUR a year."},
		{0, 0, "Worth less than 1 EUR a year."},
	} {
		w := plan.Worth{Low: c.low, High: c.high, Known: c.low > 0}
		if got := words(w, base, "R."); got != c.want {
			t.Errorf("%g to %g: %q, want %q", c.low, c.high, got, c.want)
		}
	}
	if y := yearsOf(base); math.Abs(y-2) > 0.003 {
		t.Errorf("%g years", y)
	}
}

func TestStepsAreToldInTheKeepersUnits(t *testing.T) {
	h := example(t, "us-units")
	for _, c := range changes(h, plan.Options{}) {
		if c.code == "house" && c.what != "22 sq ft more house" || c.code == "freezer" && c.what != "2.1 cu ft more freezer" {
			t.Error(c.what)
		}
	}
}
