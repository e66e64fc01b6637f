package calendar

import (
	"math"
	"strings"
	"testing"
	"time"

	"henyear/bird"
	"henyear/breed"
	"henyear/butcher"
	"henyear/climate"
	"henyear/daybook"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
)

func butcherDate(text string) measure.Date {
	d, err := measure.ParseDate(text)
	if err != nil {
		panic(err)
	}
	return d
}

func butcherID(name string) (id daybook.ID) {
	copy(id[:], name)
	return id
}

// butcherHouse is a made-up household in a wet valley.
func butcherHouse() *holding.Holding {
	return &holding.Holding{Name: "Alder Valley", Units: measure.Metric,
		Place: holding.Place{Climate: climate.Place{Name: "Alder Valley", LatitudeDeg: 52, LongitudeDeg: 6, AltitudeM: 120,
			MaxC: [12]float64{7, 7.5, 10.5, 14, 17.5, 20.5, 22.5, 22.3, 19, 14.8, 10.2, 7.6},
			MinC: [12]float64{1, 1, 2.6, 4.6, 7.8, 10.6, 12.6, 12.4, 10, 7.3, 4, 1.8}, ExtremeMinC: -8},
			LockedAtNight: true, PastureM2: 600},
		Means: holding.Means{Houses: []holding.House{{Name: "Hen house", AreaM2: 6, Pens: 4}}, FreezerL: 120, WillKill: true,
			Away: []holding.Away{{From: butcherDate("2026-07-24"), To: butcherDate("2026-08-06")}}},
		Birds: []holding.Group{{ID: "a", Breed: "sussex", Strain: breed.Utility, Sex: bird.Hen, Hatched: butcherDate("2025-03-20"), Number: 8}}}
}

// butcherBook has twelve Sussex cockerels hatched on 7 April 2026.
func butcherBook(t *testing.T, more ...daybook.Payload) *daybook.Book {
	t.Helper()
	at := time.Date(2026, 8, 1, 9, 0, 0, 0, time.UTC)
	n := 0
	var events []daybook.Event
	add := func(on string, p daybook.Payload) {
		n++
		at = at.Add(time.Second)
		e, err := daybook.New(butcherID("event "+string(rune('a'+n))), butcherDate(on), at, butcherID("phone"), "", p)
		if err != nil {
			t.Fatal(err)
		}
		events = append(events, e)
	}
	add("2026-04-07", &daybook.Group{Group: butcherID("cockerels"), Name: "Cockerels", Breed: "sussex", Strain: "utility", Sex: daybook.Cocks, Hatched: butcherDate("2026-04-07")})
	add("2026-04-07", &daybook.BirdsIn{Group: butcherID("cockerels"), Number: 12, How: "hatched"})
	for _, p := range more {
		add("2026-08-01", p)
	}
	return daybook.Replay(events, butcherDate("2026-08-01"))
}

func butcherPlan() *plan.Plan {
	return &plan.Plan{Batches: []plan.Batch{
		{ID: "spring", Breed: "sussex", BreedName: "Sussex", Strain: "utility", Source: "own eggs, machine", Hatched: butcherDate("2026-04-06"),
			Fates: []plan.Fate{{Sex: "hen", What: "layer", On: butcherDate("2026-09-25"), Birds: 7}, {Sex: "cock", What: "table", On: butcherDate("2026-08-10"), Birds: 6, DressedKg: 1.5}}},
		{ID: "later", Breed: "sussex", BreedName: "Sussex", Strain: "utility", Source: "own eggs, machine", Hatched: butcherDate("2027-04-05"),
			Fates: []plan.Fate{{Sex: "both", What: "table", On: butcherDate("2027-08-09"), Birds: 10, DressedKg: 1.5}}}},
		Weeks: []plan.WeekRow{{Date: butcherDate("2026-07-27"), FreezerL: 30}, {Date: butcherDate("2026-08-03"), FreezerL: 60}, {Date: butcherDate("2026-08-10"), FreezerL: 90}}}
}

func butcherChoice(on string) ButcherChoice {
	return ButcherChoice{On: butcherDate(on), People: 1, Practice: butcher.Practised, Start: -1}
}

func TestTheButcherDayTakesTheBirdsThatAreThereAndTheNumberOfThePlan(t *testing.T) {
	d, err := PlanButcherDay(Input{Holding: butcherHouse(), Plan: butcherPlan(), Book: butcherBook(t), Today: butcherDate("2026-08-01")}, butcherChoice("2026-08-10"))
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Lots) != 1 || d.Lots[0].There != 12 || d.Lots[0].Planned != 6 || d.Lots[0].Chosen != 6 || !d.FromBook {
		t.Fatalf("%+v", d.Lots)
	}
	// Old-breed brothers come to 1.3 to 1.8 kg dressed at 16 to 18 weeks (common practice of keepers).
	l := d.Lots[0]
	if math.Abs(l.AgeWeeks-125.0/7) > 1e-9 || l.Dressed.Mean < 1.3 || l.Dressed.Mean > 1.8 {
		t.Errorf("%.1f weeks, %.2f kg dressed", l.AgeWeeks, l.Dressed.Mean)
	}
	if l.Class != butcher.Older || !(l.Dressed.Low < l.Dressed.Mean && l.Dressed.Mean < l.Dressed.High) {
		t.Errorf("%s, %+v", l.Class, l.Dressed)
	}
	// Worked by hand: siblings 0.10, level 0.12 of m; the total of six.
	m := l.Dressed.Mean
	if want := 1.2816 * math.Sqrt(6*0.01*m*m+36*0.0144*m*m); math.Abs(d.Kg.High-d.Kg.Mean-want) > 1e-9 {
		t.Errorf("total %+v, want a spread of %.3f", d.Kg, want)
	}
	// The last whole week before the 10th has 60 litres in it.
	if d.Freezer.InUseL != 60 || math.Abs(d.Freezer.NeedL-6*m*plan.FreezerLPerKg) > 1e-9 || !d.Freezer.Fits {
		t.Errorf("%+v", d.Freezer)
	}
	if d.HighC < 21 || d.HighC > 24 || d.Start != 8*60 {
		t.Errorf("%.1f C, start %d", d.HighC, d.Start)
	}
}

func TestBirdsThatThePlanHasStillToHatchComeFromThePlan(t *testing.T) {
	d, err := PlanButcherDay(Input{Holding: butcherHouse(), Plan: butcherPlan(), Book: butcherBook(t), Today: butcherDate("2026-08-01")}, butcherChoice("2027-08-09"))
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Lots) != 3 || d.Birds != 10 || !d.Lots[1].Group.IsZero() || d.Lots[1].Chosen != 5 {
		t.Fatalf("%+v", d.Lots)
	}
}

// The day of a session is the Saturday of its week; the sheet, which asks which
// birds there are, must take the same day and the same birds.
func TestTheButcherDaysAreThoseOfTheWorkList(t *testing.T) {
	for _, name := range []string{"valley", "plain", "forest"} {
		in := exampleWork(t, name, "2027-01-01")
		on := map[measure.Date]float64{}
		for _, x := range listed(t, in).Tasks {
			if strings.HasPrefix(x.What.Text, "Butcher ") {
				on[x.On] += x.Minutes
			}
		}
		days := ButcherDates(in)
		if len(days) == 0 || len(days) != len(on) {
			t.Fatalf("%s: %v, the list has %d", name, days, len(on))
		}
		for i, day := range days {
			if i > 0 && day.DaysSince(days[i-1]) == 1 {
				continue // what is left on a second day, the daybook says
			}
			d, err := PlanButcherDay(in, ButcherChoice{On: day, People: 1, Practice: butcher.Practised, Start: -1})
			if err != nil {
				t.Fatal(err)
			}
			if d.Birds == 0 || math.Abs(on[day]-60*d.TotalH.Plan) > 15 { // the list rounds the birds of a lot, the sheet those of each sex
				t.Errorf("%s, %s: %d birds in %g minutes, %g minutes on the list", name, day, d.Birds, 60*d.TotalH.Plan, on[day])
			}
		}
	}
}

func TestMeatWithheldAfterAMedicineIsRefused(t *testing.T) {
	days := 21
	book := butcherBook(t, &daybook.Treatment{Group: butcherID("cockerels"), Product: "Wormer", EggDays: &days, MeatDays: &days})
	c := butcherChoice("2026-08-10")
	d, err := PlanButcherDay(Input{Holding: butcherHouse(), Plan: butcherPlan(), Book: book, Today: butcherDate("2026-08-01")}, c)
	if err != nil {
		t.Fatal(err)
	}
	if d.Birds != 0 || len(d.Problems) != 1 || d.Problems[0].Code != "butcher-withheld" {
		t.Errorf("%d birds, %+v", d.Birds, d.Problems)
	}
	c.On = butcherDate("2026-08-25")
	c.Picks = map[string]Pick{d.Lots[0].Key: {Birds: 4}}
	if d, _ = PlanButcherDay(Input{Holding: butcherHouse(), Plan: butcherPlan(), Book: book, Today: butcherDate("2026-08-01")}, c); d.Birds != 4 || len(d.Problems) > 0 {
		t.Errorf("after the time: %d birds, %+v", d.Birds, d.Problems)
	}
}

func TestAWeighingMovesTheCurveAndNarrowsIt(t *testing.T) {
	in := Input{Holding: butcherHouse(), Plan: butcherPlan(), Book: butcherBook(t), Today: butcherDate("2026-08-01")}
	plain, _ := PlanButcherDay(in, butcherChoice("2026-08-10"))
	in.Book = butcherBook(t, &daybook.Weighing{Group: butcherID("cockerels"), EachG: []float64{2900, 3000, 3100, 2950, 3050}})
	heavy, _ := PlanButcherDay(in, butcherChoice("2026-08-10"))
	a, b := plain.Lots[0], heavy.Lots[0]
	if b.Weighed != 5 || b.Live.Mean < 3 || b.Live.Mean > 3.3 || b.Dressed.Mean <= a.Dressed.Mean {
		t.Errorf("weighed %d, %.2f kg alive after 3.0 nine days before", b.Weighed, b.Live.Mean)
	}
	if b.Dressed.High/b.Dressed.Mean >= a.Dressed.High/a.Dressed.Mean {
		t.Error("weighing five birds taught nothing")
	}
}

func TestAwayTooManyAndNoWeightAreSaid(t *testing.T) {
	in := Input{Holding: butcherHouse(), Plan: butcherPlan(), Book: butcherBook(t), Today: butcherDate("2026-08-01")}
	in.Holding.Means.FreezerL = 80
	c := butcherChoice("2026-08-04")
	key := "g-" + butcherID("cockerels").String()
	c.Picks = map[string]Pick{key: {Birds: 40}}
	d, err := PlanButcherDay(in, c)
	if err != nil {
		t.Fatal(err)
	}
	var codes []string
	for _, p := range d.Problems {
		codes = append(codes, p.Code)
	}
	if strings.Join(codes, " ") != "butcher-away butcher-too-many" || d.Birds != 12 {
		t.Errorf("%v, %d birds", codes, d.Birds)
	}
	if d.Freezer.Fits || d.Freezer.Birds >= 12 {
		t.Errorf("twelve birds do not fit: %+v", d.Freezer)
	}
	c.On = butcherDate("2026-08-10")
	c.Picks[key] = Pick{Birds: 3, LiveKg: 2.0}
	if d, _ = PlanButcherDay(in, c); math.Abs(d.Lots[0].Live.Mean-2) > 1e-9 || d.Lots[0].Dressed.Mean > 1.4 {
		t.Errorf("the keeper's own weight: %+v", d.Lots[0])
	}
}

func TestHostileChoicesOfAButcherDayEndInASentence(t *testing.T) {
	in := Input{Holding: butcherHouse(), Book: butcherBook(t), Today: butcherDate("2026-08-01")}
	key := "g-" + butcherID("cockerels").String()
	for name, c := range map[string]ButcherChoice{
		"far ahead":    {On: butcherDate("2090-01-01"), People: 1, Start: -1},
		"crew of one":  {On: butcherDate("2026-08-10"), People: 1, Practice: butcher.Crew, Start: -1, Picks: map[string]Pick{key: {Birds: 3}}},
		"a heavy bird": {On: butcherDate("2026-08-10"), People: 1, Start: -1, Picks: map[string]Pick{key: {Birds: 3, LiveKg: 500}}},
	} {
		if _, err := PlanButcherDay(in, c); err == nil || !strings.Contains(err.Error(), ": ") {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, c := range map[string]ButcherChoice{
		"in the past": {On: butcherDate("2020-01-01"), People: 1, Start: -1},
		"below none":  {On: butcherDate("2026-08-10"), People: 1, Start: -1, Picks: map[string]Pick{key: {Birds: -4, LiveKg: math.NaN()}}},
	} {
		if d, err := PlanButcherDay(in, c); err != nil || d.Birds != 0 {
			t.Errorf("%s: %v", name, err)
		}
	}
	north := butcherHouse()
	north.Place.Climate.LatitudeDeg = 78
	in.Holding = north
	if d, err := PlanButcherDay(in, butcherChoice("2026-08-10")); err != nil || math.IsNaN(d.Lots[0].Dressed.Mean) {
		t.Errorf("78 N: %v", err)
	}
	if _, err := PlanButcherDay(Input{Today: in.Today}, butcherChoice("2026-08-10")); err == nil {
		t.Error("no holding: no error")
	}
}

func TestRecordsOfADayAreSummed(t *testing.T) {
	book := butcherBook(t,
		&daybook.Butchered{Group: butcherID("cockerels"), Number: 1, Each: []daybook.Carcass{{LiveG: 2500, DressedG: 1600}}},
		&daybook.Butchered{Group: butcherID("cockerels"), Number: 1, Each: []daybook.Carcass{{DressedG: 1500}}})
	r := ButcheredOn(book, butcherDate("2026-08-01"), daybook.ID{})
	if r.Birds != 2 || r.Weighed != 2 || math.Abs(r.Kg-3.1) > 1e-9 || math.Abs(r.Yield-0.64) > 1e-9 || len(r.Each) != 2 {
		t.Errorf("%+v", r)
	}
	if r := ButcheredOn(book, butcherDate("2026-08-02"), daybook.ID{}); r.Birds != 0 || r.Yield != 0 {
		t.Errorf("another day: %+v", r)
	}
}
