package daybook

import (
	"math"
	"slices"
	"strings"
	"testing"

	"henyear/measure"
)

func flockOf(t *testing.T, number int, date string) *notebook {
	b := &notebook{t: t}
	b.write(date, &Group{Group: idOf("flock"), Name: "Sussex", Breed: "sussex", Sex: Hens, Hatched: day("2025-03-20"), Pen: "north"})
	b.write(date, &BirdsIn{Group: idOf("flock"), Number: number, How: "on hand"})
	return b
}

func hasFinding(b *Book, code string) bool {
	return slices.ContainsFunc(b.Findings, func(f Finding) bool { return f.What.Code == code })
}

// Formula of the published histories: when k days passed since the last
// collection, E/k eggs go to each day; 6 eggs after 3 days are 2 a day.
func TestEggsOfAGapAreSpreadOverItsDays(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	b.write("2026-03-01", &Eggs{Number: 5})
	b.write("2026-03-04", &Eggs{Number: 6})
	b.write("2026-03-05", &Eggs{Number: 1})
	b.write("2026-03-05", &Eggs{Number: 2})
	b.write("2026-03-20", &Eggs{Number: 9})
	b.write("2026-03-27", &Eggs{Number: 14})
	b.write("2026-03-31", &Eggs{Number: 20, Days: 2})
	book := Replay(b.events, day("2026-03-31"))
	want := map[string]float64{"2026-03-01": 5, "2026-03-02": 2, "2026-03-03": 2, "2026-03-04": 2, "2026-03-05": 3, "2026-03-06": -1, "2026-03-19": -1,
		"2026-03-20": 9, "2026-03-21": 2, "2026-03-27": 2, "2026-03-28": -1, "2026-03-30": 10, "2026-03-31": 10}
	for _, e := range book.EggsByDay(day("2026-03-01"), day("2026-03-31"), Scope{}) {
		w, asked := want[e.On.String()]
		if asked && (e.Recorded != (w >= 0) || e.Recorded && math.Abs(e.Laid-w) > 1e-9) {
			t.Errorf("%s: %v eggs (recorded %v), want %v", e.On, e.Laid, e.Recorded, w)
		}
	}
	if m, _ := book.MeasureOf(EggsLaid, Period{From: day("2026-03-01"), Through: day("2026-03-31")}, Scope{}); len(m.Missing) == 0 || math.Abs(m.Value-57) > 1e-9 {
		t.Errorf("%+v", m)
	}
}

func TestEggsOfAPenBelongToTheGroupThatIsAloneInIt(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	b.write("2026-03-01", &Group{Group: idOf("old"), Name: "Old hens", Sex: Hens, Hatched: day("2023-03-20"), Pen: "south"})
	b.write("2026-03-01", &BirdsIn{Group: idOf("old"), Number: 5, How: "on hand"})
	b.write("2026-03-02", &Eggs{Number: 7, Pen: "north"})
	b.write("2026-03-02", &Eggs{Number: 2, Pen: "south"})
	b.write("2026-03-03", &Move{Group: idOf("old"), ToPen: "north"})
	b.write("2026-03-04", &Eggs{Number: 18, Pen: "north"})
	book := Replay(b.events, day("2026-03-05"))
	old := Scope{Group: idOf("old")}
	days := book.EggsByDay(day("2026-03-02"), day("2026-03-04"), old)
	if days[0].Laid != 2 || days[2].Recorded {
		t.Errorf("%+v", days)
	}
	m, _ := book.MeasureOf(HenDayPct, Period{From: day("2026-03-04"), Through: day("2026-03-04")}, old)
	if m.Stated || !strings.Contains(m.Missing[0].Text, "not written down apart") {
		t.Errorf("%+v", m)
	}
	if m, _ := book.MeasureOf(HenDayPct, Period{From: day("2026-03-02"), Through: day("2026-03-02")}, Scope{AgeFromWeeks: 100}); !m.Stated || m.Value != 40 {
		t.Errorf("by age: %+v", m)
	}
	if n := book.HensOn(day("2026-03-05"), Scope{Pen: "north"}); n != 15 {
		t.Errorf("%d hens in the north pen, want 15", n)
	}
}

func TestNothingIsStatedWhereNothingWasWrittenDown(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	book := Replay(b.events, day("2026-03-31"))
	for _, m := range book.Measures(Period{From: day("2026-03-02"), Through: day("2026-03-31")}, Scope{}) {
		if m.Code == HenDaysCode {
			if !m.Stated || m.Value != 300 {
				t.Errorf("%+v", m)
			}
			continue
		}
		if m.Stated || m.Value != 0 || len(m.Missing) == 0 || m.Missing[0].Text == "" {
			t.Errorf("%+v", m)
		}
	}
}

func TestEveryMeasureHasANameAUnitAndADefinition(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	book := Replay(b.events, day("2026-03-31"))
	list := append(book.Measures(Period{From: day("2026-03-02"), Through: day("2026-03-31")}, Scope{Group: idOf("flock")}), book.PointOfLay(idOf("flock"))...)
	for _, m := range list {
		if m.Name == "" || m.Unit == "" || m.Means == "" {
			t.Errorf("%+v", m)
		}
	}
	if len(list) != len(definitions) {
		t.Errorf("%d measures given, %d defined", len(list), len(definitions))
	}
}

func TestMoreBirdsThanThereAreCannotLeave(t *testing.T) {
	b := flockOf(t, 3, "2026-03-01")
	e := b.write("2026-03-02", &BirdsOut{Group: idOf("flock"), Number: 5, How: "died"})
	book := Replay(b.events, day("2026-03-05"))
	if !hasFinding(book, "more-leave") || book.Findings[0].Event != e.ID || book.BirdsOnDay(day("2026-03-05"), Scope{}) != 0 {
		t.Errorf("%+v", book.Findings)
	}
}

func TestTheBookOfAnEarlierDayKnowsNothingOfLaterOnes(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	b.write("2026-03-09", &BirdsOut{Group: idOf("flock"), Number: 4, How: "sold"})
	early, late := Replay(b.events, day("2026-03-05")), Replay(b.events, day("2026-03-10"))
	if early.Later != 1 || early.BirdsOnDay(day("2026-03-05"), Scope{}) != 10 || late.BirdsOnDay(day("2026-03-05"), Scope{}) != 10 || late.BirdsOnDay(day("2026-03-09"), Scope{}) != 6 {
		t.Error("the flock of a day depends on later records")
	}
}

func TestChicksAreHatchedSexedAndGrowUp(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	chicks, pullets, cockerels := idOf("chicks"), idOf("pullets"), idOf("cockerels")
	b.write("2026-03-01", &Setting{Setting: idOf("s"), Eggs: 24, Under: "machine", Breed: "sussex"})
	b.write("2026-03-08", &Candling{Setting: idOf("s"), Clear: 3})
	b.write("2026-03-22", &Group{Group: chicks, Name: "Chicks", Sex: Unsexed})
	b.write("2026-03-22", &Hatch{Setting: idOf("s"), Chicks: 18, Culled: 1, DeadInShell: 3, Group: chicks, Pen: "brooder"})
	b.write("2026-05-01", &Group{Group: pullets, Name: "Pullets", Sex: Hens})
	b.write("2026-05-01", &Group{Group: cockerels, Name: "Cockerels", Sex: Cocks})
	b.write("2026-05-01", &Move{Group: chicks, Number: 9, ToGroup: pullets, ToPen: "south"})
	b.write("2026-05-01", &Move{Group: chicks, ToGroup: cockerels, ToPen: "field"})
	book := Replay(b.events, day("2026-08-20"))
	if len(book.Findings) != 0 {
		t.Errorf("%+v", book.Findings)
	}
	groups := book.GroupsOn(day("2026-08-20"))
	if len(groups) != 3 || groups[0].Name != "Sussex" {
		t.Fatalf("%+v", groups)
	}
	for _, g := range groups[1:] {
		if !g.AgeKnown || g.AgeDays != 151 || g.Breed != "sussex" {
			t.Errorf("%+v", g)
		}
	}
	if early, grown := book.HensOn(day("2026-08-01"), Scope{}), book.HensOn(day("2026-08-20"), Scope{}); early != 10 || grown != 19 {
		t.Errorf("%d and %d hens, want 10 and 19: pullets count from %d days", early, grown, LayingAgeDays)
	}
	if n := book.BirdsOnDay(day("2026-04-01"), Scope{Pen: "brooder"}); n != 17 {
		t.Errorf("%d chicks in the brooder", n)
	}
}

func TestAHatchThatCannotBeIsTold(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	b.write("2026-03-01", &Setting{Setting: idOf("s"), Eggs: 12, Under: "hen"})
	b.write("2026-03-12", &Hatch{Setting: idOf("s"), Chicks: 14, Group: idOf("chicks")})
	b.write("2026-03-12", &Candling{Setting: idOf("other"), Clear: 1})
	book := Replay(b.events, day("2026-03-31"))
	for _, code := range []string{"hatch-days", "more-than-set", "not-set", "group-unknown"} {
		if !hasFinding(book, code) {
			t.Errorf("no finding %q in %+v", code, book.Findings)
		}
	}
}

// The rule of the vet's trade: the period counts from the last dose, for each
// product's own days of eggs and of meat.
func TestEggsAndMeatAreWithheldFromTheFirstDoseUntilTheDaysAfterTheLast(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	b.write("2026-03-05", &Treatment{Product: "wormer", Group: idOf("flock"), LastDose: day("2026-03-07"), EggDays: days(7), MeatDays: days(14)})
	b.write("2026-03-10", &Eggs{Number: 6, SetAside: 6})
	b.write("2026-03-12", &EggsOut{Number: 6, How: "eaten"})
	b.write("2026-03-20", &Butchered{Group: idOf("flock"), Number: 1})
	book := Replay(b.events, day("2026-03-31"))
	for date, want := range map[string][2]bool{"2026-03-04": {false, false}, "2026-03-05": {true, true}, "2026-03-14": {true, true}, "2026-03-15": {false, true}, "2026-03-21": {false, true}, "2026-03-22": {false, false}} {
		eggs, why := book.EggsWithheld(day(date), "", ID{})
		meat, _ := book.MeatWithheld(day(date), idOf("flock"))
		if eggs != want[0] || meat != want[1] {
			t.Errorf("%s: eggs %v, meat %v, want %v", date, eggs, meat, want)
		}
		if eggs && (!strings.Contains(why.Text, "14 March 2026") || !strings.Contains(why.Text, "vet decide")) {
			t.Error(why.Text)
		}
	}
	for _, code := range []string{"set-aside-withheld", "eggs-withheld", "meat-withheld"} {
		if !hasFinding(book, code) {
			t.Errorf("no finding %q", code)
		}
	}
	if on := book.EggsByDay(day("2026-03-10"), day("2026-03-10"), Scope{}); !on[0].Withheld {
		t.Error("the eggs of the day are not marked")
	}
}

func TestWithoutTheVetsDaysNothingMayBeEatenAtAll(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	e := b.write("2026-03-05", &Treatment{Product: "drops", Group: idOf("flock")})
	book := Replay(b.events, day("2027-03-31"))
	if held, why := book.EggsWithheld(day("2027-03-01"), "north", ID{}); !held || !strings.Contains(why.Text, "until the vet") {
		t.Error(held, why.Text)
	}
	if !hasFinding(book, "days-unknown") {
		t.Error("nobody is told")
	}
	b.write("2026-03-05", &Treatment{Product: "drops", Group: idOf("flock"), EggDays: days(0), MeatDays: days(0)}, e.ID)
	if held, _ := Replay(b.events, day("2026-03-31")).EggsWithheld(day("2026-03-05"), "north", ID{}); held {
		t.Error("a period of no days on the label holds nothing back")
	}
}

func TestTreatedBirdsTakeTheirWaitingTimeIntoTheNextGroup(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	b.write("2026-03-01", &Group{Group: idOf("other"), Name: "Other", Sex: Hens, Pen: "south"})
	b.write("2026-03-01", &BirdsIn{Group: idOf("other"), Number: 4, How: "on hand"})
	b.write("2026-03-05", &Treatment{Product: "wormer", Pen: "north", EggDays: days(10), MeatDays: days(10)})
	b.write("2026-03-08", &Move{Group: idOf("flock"), Number: 2, ToGroup: idOf("other")})
	book := Replay(b.events, day("2026-03-31"))
	for date, want := range map[string]bool{"2026-03-07": false, "2026-03-08": true, "2026-03-15": true, "2026-03-16": false} {
		if held, _ := book.EggsWithheld(day(date), "south", ID{}); held != want {
			t.Errorf("%s: %v, want %v", date, held, want)
		}
	}
}

func TestBoughtBirdsWithoutQuarantineAreTold(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	b.write("2026-03-05", &Group{Group: idOf("new"), Name: "New", Sex: Hens, Hatched: day("2025-09-01"), Pen: "shed"})
	b.write("2026-03-05", &BirdsIn{Group: idOf("new"), Number: 4, How: "bought"})
	if !hasFinding(Replay(b.events, day("2026-03-31")), "quarantine-missing") {
		t.Error("nobody is told")
	}
	b.write("2026-03-05", &Quarantine{Phase: Begins, Group: idOf("new")})
	b.write("2026-03-20", &Move{Group: idOf("new"), ToPen: "north"})
	book := Replay(b.events, day("2026-04-30"))
	if hasFinding(book, "quarantine-missing") || !hasFinding(book, "quarantine-joined") {
		t.Errorf("%+v", book.Findings)
	}
	apart := book.ApartOn(day("2026-03-31"))
	if len(apart) != 1 || apart[0].Until != day("2026-04-03") || len(book.ApartOn(day("2026-04-04"))) != 0 {
		t.Errorf("%+v", apart)
	}
}

func TestACountBelowTheBookBringsItsLikelyReasonsReadyToWrite(t *testing.T) {
	b := flockOf(t, 25, "2026-03-01")
	b.write("2026-03-02", &Count{Number: 25})
	b.write("2026-03-10", &BirdsIn{Group: idOf("flock"), Number: 2, How: "returned"})
	b.write("2026-03-12", &BirdsOut{Group: idOf("flock"), Number: 2, How: "taken", Predator: "fox"})
	b.write("2026-03-20", &Count{Number: 23})
	book := Replay(b.events, day("2026-03-31"))
	list := book.Differences()
	if len(list) != 1 || list[0].Book != 25 || list[0].What.Text != "You counted 23, the book says 25 (the flock)." || list[0].Since != day("2026-03-02") {
		t.Fatalf("%+v", list)
	}
	if first := list[0].Reasons[0]; first.What.Code != "went-missing" || !strings.Contains(first.What.Text, "2 birds of Sussex") {
		t.Errorf("%+v", first)
	}
	codes := map[string]bool{}
	for i, r := range list[0].Reasons {
		codes[r.What.Code] = true
		if len(r.Records) == 0 {
			continue
		}
		events := slices.Clone(b.events)
		for _, d := range r.Records {
			e, err := d.Event(idOf("mend"), at("2026-03-21T08:00:00Z"), ID{1}, "")
			if err != nil {
				t.Fatalf("reason %d (%s): %v", i, r.What.Text, err)
			}
			events = append(events, e)
		}
		if left := Replay(events, day("2026-03-31")).Differences(); len(left) != 0 {
			t.Errorf("%q does not mend the book: %+v", r.What.Text, left)
		}
	}
	for _, code := range []string{"went-missing", "entry-wrong", "not-written-died", "not-written-sold", "not-written-butchered", "count-again"} {
		if !codes[code] {
			t.Errorf("no reason %q", code)
		}
	}
}

func TestACountAboveTheBookLooksForLossesThatWereNone(t *testing.T) {
	b := flockOf(t, 25, "2026-03-01")
	b.write("2026-03-12", &BirdsOut{Group: idOf("flock"), Number: 5, How: "missing"})
	b.write("2026-03-14", &BirdsOut{Group: idOf("flock"), Number: 3, How: "died"})
	b.write("2026-03-20", &Count{Number: 20, Which: Hens})
	book := Replay(b.events, day("2026-03-31"))
	list := book.Differences()
	if len(list) != 1 || list[0].Book != 17 {
		t.Fatalf("%+v", list)
	}
	codes := []string{}
	for _, r := range list[0].Reasons {
		codes = append(codes, r.What.Code)
		events := slices.Clone(b.events)
		for _, d := range r.Records {
			e, err := d.Event(idOf("mend"), at("2026-03-21T08:00:00Z"), ID{1}, "")
			if err != nil {
				t.Fatalf("%s: %v", r.What.Text, err)
			}
			events = append(events, e)
		}
		if left := Replay(events, day("2026-03-31")).Differences(); len(left) != 0 && r.What.Code != "not-written-hatched" {
			t.Errorf("%q does not mend the book: %+v", r.What.Text, left)
		}
	}
	if !slices.Equal(codes, []string{"entry-too-large", "entry-wrong", "came-back", "not-written-hatched", "not-written-bought", "count-again"}) {
		t.Error(codes)
	}
}

func TestACountOnTheDayOfALossAgreesWithEitherNumber(t *testing.T) {
	b := flockOf(t, 25, "2026-03-01")
	b.write("2026-03-12", &Count{Number: 23})
	b.write("2026-03-12", &BirdsOut{Group: idOf("flock"), Number: 2, How: "died"})
	b.write("2026-03-12", &Count{Number: 23})
	if list := Replay(b.events, day("2026-03-31")).Differences(); len(list) != 0 {
		t.Errorf("%+v", list)
	}
}

func TestFeedInStoreIsBoughtLessOpened(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	b.write("2026-03-01", &Feed{What: FeedBought, Feed: "pellets", Kg: 75, PaidMinor: 4125})
	b.write("2026-03-02", &Feed{What: FeedOpened, Feed: "pellets", Kg: 25})
	b.write("2026-03-12", &Feed{What: FeedLeft, Feed: "pellets", Kg: 5})
	b.write("2026-03-12", &Feed{What: FeedOpened, Feed: "pellets", Kg: 25})
	b.write("2026-03-22", &Feed{What: FeedLeft, Feed: "pellets", Kg: 10})
	book := Replay(b.events, day("2026-03-31"))
	stock := book.FeedStock(day("2026-03-31"))
	if len(stock) != 1 || stock[0].InStoreKg != 25 || stock[0].OpenedKg != 10 || stock[0].PerKg != 55 {
		t.Errorf("%+v", stock)
	}
	// Between two weighings the use is spread evenly: 20 kg in the 10 days to the 22nd.
	if m, _ := book.MeasureOf(FeedKg, Period{From: day("2026-03-13"), Through: day("2026-03-17")}, Scope{}); math.Abs(m.Value-10) > 1e-9 {
		t.Errorf("%+v", m)
	}
	b.write("2026-03-23", &Feed{What: FeedOpened, Feed: "pellets", Kg: 50})
	if !hasFinding(Replay(b.events, day("2026-03-31")), "feed-short") {
		t.Error("more feed opened than bought, and nobody is told")
	}
}

func TestABirdKnownByHerRingIsFollowed(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	b.write("2026-03-01", &Bird{Bird: idOf("hen"), Ring: "A12", Sex: "hen", Group: idOf("flock"), Sire: idOf("cock")})
	b.write("2026-03-05", &Broody{Phase: Begins, Bird: idOf("hen")})
	b.write("2026-03-09", &Broody{Phase: Ends, Bird: idOf("hen"), Ended: "broken"})
	b.write("2026-03-12", &BirdsOut{Group: idOf("flock"), Number: 1, How: "taken", Birds: []ID{idOf("hen")}})
	book := Replay(b.events, day("2026-03-31"))
	if list := book.BirdsOn(day("2026-03-11")); len(list) != 1 || list[0].Gone || list[0].AgeDays != 356 || list[0].InGroup != idOf("flock") {
		t.Errorf("%+v", list)
	}
	if list := book.BirdsOn(day("2026-03-12")); !list[0].Gone || list[0].How != "taken" {
		t.Errorf("%+v", list)
	}
	if list := book.BroodyOn(day("2026-03-08")); len(list) != 1 || list[0].Group != idOf("flock") {
		t.Errorf("%+v", list)
	}
	if list := book.BroodyOn(day("2026-03-09")); len(list) != 0 {
		t.Errorf("%+v", list)
	}
}

func TestPeriodsCoverEveryDayOnce(t *testing.T) {
	for _, span := range []Span{Weekly, Monthly, Seasonal, Yearly} {
		list, err := Periods(span, day("2024-02-10"), day("2026-03-05"))
		if err != nil {
			t.Fatal(err)
		}
		next := day("2024-02-10")
		for _, p := range list {
			if p.From != next || p.Days() < 1 || p.Name == "" {
				t.Errorf("%s: %+v does not follow on %s", span, p, next)
			}
			next = p.Through.AddDays(1)
		}
		if next != day("2026-03-06") {
			t.Errorf("%s ends before %s", span, next)
		}
	}
	if list, _ := Periods(Seasonal, day("2026-01-15"), day("2026-12-31")); list[0].Name != "December 2025 to February 2026" || list[1].From != day("2026-03-01") {
		t.Errorf("%+v", list[:2])
	}
	if _, err := Periods("fortnight", day("2026-01-01"), day("2026-01-02")); err == nil {
		t.Error("an unknown span was accepted")
	}
	if _, err := Periods(Weekly, day("1900-01-01"), day("2199-01-02")); err == nil {
		t.Error("three centuries of weeks were accepted")
	}
}

func TestDaysAreNumberedAsTheCalendarDoes(t *testing.T) {
	for i := -30000; i < 90000; i += 37 {
		d := measure.Date{Year: 1970, Month: 1, Day: 1}.AddDays(i)
		if n := numberOf(d); int(n) != i || n.date() != d {
			t.Fatalf("%s is day %d, want %d", d, n, i)
		}
	}
}

func TestAPenWithoutACollectionIsTold(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	for _, date := range []string{"2026-03-01", "2026-03-02", "2026-03-03", "2026-03-20"} {
		b.write(date, &Eggs{Number: 3, Pen: "north"})
	}
	b.write("2026-03-01", &Eggs{Number: 2, Pen: "south"})
	b.write("2026-03-20", &Eggs{Number: 2, Pen: "south"})
	m, _ := Replay(b.events, day("2026-03-31")).MeasureOf(HenDayPct, Period{From: day("2026-03-01"), Through: day("2026-03-03")}, Scope{})
	if !m.Stated || len(m.Missing) != 1 || m.Missing[0].Code != "some-pens-without-eggs" || m.Missing[0].Args["days"] != 2 {
		t.Errorf("%+v", m)
	}
}

func TestLivabilityNeedsACountOfEveryBird(t *testing.T) {
	b := flockOf(t, 10, "2026-03-01")
	b.write("2026-03-01", &Group{Group: idOf("cocks"), Name: "Cocks", Sex: Cocks})
	b.write("2026-03-01", &BirdsIn{Group: idOf("cocks"), Number: 2, How: "on hand"})
	b.write("2026-03-31", &Count{Number: 10, Which: Hens})
	march := Period{From: day("2026-03-01"), Through: day("2026-03-31")}
	if m, _ := Replay(b.events, day("2026-03-31")).MeasureOf(LivabilityPct, march, Scope{}); m.Stated || m.Missing[0].Code != "no-count" {
		t.Errorf("%+v", m)
	}
	b.write("2026-03-31", &Count{Number: 2, Which: Cocks})
	if m, _ := Replay(b.events, day("2026-03-31")).MeasureOf(LivabilityPct, march, Scope{}); !m.Stated || m.Value != 100 {
		t.Errorf("%+v", m)
	}
}

// Ten chicks of 40 g, weighed at ten weeks, butchered at 2 kg each: feed of 60 kg
// for 19.6 kg of gain.
func TestFeedForGainOfAMeatBatch(t *testing.T) {
	b := &notebook{t: t}
	meat := idOf("meat")
	b.write("2026-03-01", &Group{Group: meat, Name: "Meat", Sex: Unsexed, Hatched: day("2026-03-01")})
	b.write("2026-03-01", &BirdsIn{Group: meat, Number: 11, How: "bought", PaidMinor: 2200})
	b.write("2026-03-02", &Feed{What: FeedBought, Feed: "grower", Kg: 60, PaidMinor: 3600, Group: meat})
	b.write("2026-03-10", &BirdsOut{Group: meat, Number: 1, How: "died"})
	b.write("2026-05-10", &Butchered{Group: meat, Number: 10, LiveKg: 20, DressedKg: 14})
	p := Period{From: day("2026-03-01"), Through: day("2026-05-10")}
	book := Replay(b.events, day("2026-05-10"))
	for code, want := range map[string]float64{FeedPerKgGain: 60 / (20 - 11*0.04), FeedPerKgDressed: 60.0 / 14, CostPerKg: 5800.0 / 14, DressingPct: 70, LivabilityPct: 1000.0 / 11} {
		if m, _ := book.MeasureOf(code, p, Scope{Group: meat}); !m.Stated || math.Abs(m.Value-want) > 1e-9 {
			t.Errorf("%s: %+v, want %v", code, m, want)
		}
	}
	if m, _ := book.MeasureOf(FeedPerKgGain, Period{From: day("2026-04-01"), Through: day("2026-05-10")}, Scope{Group: meat}); m.Stated {
		t.Errorf("nobody weighed them on 1 April: %+v", m)
	}
}

func TestPulletsComeIntoLay(t *testing.T) {
	b := &notebook{t: t}
	b.write("2026-01-01", &Group{Group: idOf("p"), Name: "Pullets", Sex: Hens, Hatched: day("2026-01-01"), Pen: "a"})
	b.write("2026-01-01", &BirdsIn{Group: idOf("p"), Number: 10, How: "hatched"})
	first := day("2026-01-01").AddDays(150)
	for i := range 60 {
		b.write(first.AddDays(i).String(), &Eggs{Number: min(8, (i+5)/6), Pen: "a"})
	}
	list := Replay(b.events, first.AddDays(60)).PointOfLay(idOf("p"))
	// One egg a day from day 151, five from day 175: the first seven days that
	// average five begin on that day, and their middle is day 178.
	want := map[string]float64{DaysToFirstEgg: 151, DaysTo5Pct: 153, DaysTo50Pct: 178}
	for _, m := range list {
		if !m.Stated || m.Value != want[m.Code] {
			t.Errorf("%+v, want %v", m, want[m.Code])
		}
	}
}
