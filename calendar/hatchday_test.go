package calendar

import (
	"math"
	"slices"
	"testing"
	"time"

	"henyear/daybook"
	"henyear/hatch"
	"henyear/plan"
)

// hatchBook has 24 eggs set in the machine on 10 March 2026, weighed then and on
// day 7, when 4 clear and 1 ring of blood were taken out.
func hatchBook(t *testing.T, more ...daybook.Payload) *daybook.Book {
	t.Helper()
	at := time.Date(2026, 3, 10, 18, 0, 0, 0, time.UTC)
	var events []daybook.Event
	add := func(on string, p daybook.Payload) {
		at = at.Add(time.Minute)
		e, err := daybook.New(butcherID("event "+string(rune('a'+len(events)))), butcherDate(on), at.AddDate(0, 0, 30), butcherID("phone"), "", p)
		if err != nil {
			t.Fatal(err)
		}
		events = append(events, e)
	}
	s := butcherID("s")
	add("2026-03-10", &daybook.Setting{Setting: s, Eggs: 24, Under: "machine", Breed: "sussex", LaidFrom: butcherDate("2026-03-04"), LaidTo: butcherDate("2026-03-10")})
	add("2026-03-10", &daybook.Candling{Setting: s, Weighed: 24, WeightG: 1392})
	add("2026-03-17", &daybook.Candling{Setting: s, Clear: 4, Dead: 1, BloodRing: 1, Weighed: 19, WeightG: 1085, HumidityPct: 60})
	for _, p := range more {
		add("2026-04-01", p)
	}
	return daybook.Replay(events, butcherDate("2026-04-01"))
}

func hatchPlan() *plan.Plan {
	return &plan.Plan{Batches: []plan.Batch{
		{ID: "m1", Breed: "sussex", BreedName: "Sussex", Source: "own eggs, machine", Set: butcherDate("2026-03-09"), Hatched: butcherDate("2026-03-30"), EggsSet: 24,
			Fates: []plan.Fate{{Sex: "hen", What: "layer", On: butcherDate("2026-09-01"), Birds: 6}}},
		{ID: "h1", Breed: "sussex", BreedName: "Sussex", Source: "own eggs, broody hen", Set: butcherDate("2026-05-18"), Hatched: butcherDate("2026-06-08"), EggsSet: 11},
		{ID: "old", Breed: "sussex", BreedName: "Sussex", Source: "own eggs, machine", Set: butcherDate("2025-03-09"), Hatched: butcherDate("2025-03-30"), EggsSet: 24},
		{ID: "bought", Source: "chicks", Hatched: butcherDate("2026-04-09")}}}
}

func hatchInput(t *testing.T, today string, more ...daybook.Payload) Input {
	return Input{Holding: butcherHouse(), Plan: hatchPlan(), Book: hatchBook(t, more...), Today: butcherDate(today)}
}

var usualLook = HatchChoice{Warmth: hatch.ForcedAir, Hour: 18, Want: -1}

func TestSettingsOfThePlanAndTheDaybookAreOneList(t *testing.T) {
	list := HatchSettings(hatchInput(t, "2026-03-18"))
	if len(list) != 2 || list[0].Planned || list[0].Batch != "m1" || list[0].Want != 6 || list[0].Alive != 19 || list[0].Day != 8 {
		t.Fatalf("%+v", list)
	}
	if !list[1].Planned || list[1].Under != "hen" || list[1].Key != "b-h1" || list[1].DueOn != butcherDate("2026-06-08") {
		t.Errorf("%+v", list[1])
	}
}

func TestTheSheetOfASettingHasItsDatesHoursAndOdds(t *testing.T) {
	d, found, err := HatchDayOf(hatchInput(t, "2026-03-18"), "s-"+butcherID("s").String(), usualLook)
	if err != nil || !found {
		t.Fatal(found, err)
	}
	on := map[string]HatchOnDay{}
	for _, x := range d.Sheet {
		on[x.Code] = x
	}
	// Set on 10 March at 18:00: lockdown on the 28th; 21 days later, and three days
	// of storage on the mean at 52.5 minutes each.
	if on["lockdown"].On != butcherDate("2026-03-28") || on["hatch"].On != butcherDate("2026-03-31") || on["hatch"].Clock != 18*60+158 {
		t.Errorf("%+v, %+v", on["lockdown"], on["hatch"])
	}
	if !on["candle-1"].Past || on["candle-2"].Past {
		t.Error("what is past is not known")
	}
	// 1,392 g over 24 are 58 g; 19 of them are 1,102 g, now 1,085: 1.54 % on day 7,
	// where 4.3 to 5.4 are right; at 60 % humidity drier air is wanted.
	if d.Weight == nil || math.Abs(d.Weight.LossPct-1.543) > 0.01 || d.Weight.Course != hatch.TooLittle || d.Weight.AimRHPct >= 60 {
		t.Errorf("%+v %v", d.Weight, d.WeightFault)
	}
	if d.Clear != 4 || d.Expect.ClearLow > 4 || d.Expect.ClearHigh < 4 || d.ClearIn[0] > 4.0/24 || d.ClearIn[1] < 4.0/24 {
		t.Errorf("clear %d, %+v, %v", d.Clear, d.Expect, d.ClearIn)
	}
	if d.Want != 6 || d.Odds <= 0.2 || d.Odds >= 0.95 || !(float64(d.ChicksLow) < d.ChicksMean && d.ChicksMean < float64(d.ChicksHigh)) {
		t.Errorf("odds of %d: %.2f; chicks %d, %.1f, %d", d.Want, d.Odds, d.ChicksLow, d.ChicksMean, d.ChicksHigh)
	}
	few := usualLook
	few.Want = 2
	if e, _, _ := HatchDayOf(hatchInput(t, "2026-03-18"), d.Key, few); e.Odds <= d.Odds {
		t.Error("two pullets are no likelier than six")
	}
}

func TestABroodyHasNoMachineAndAPlannedSettingNoRecords(t *testing.T) {
	d, found, err := HatchDayOf(hatchInput(t, "2026-03-18"), "b-h1", usualLook)
	if err != nil || !found || d.Warmth != hatch.UnderHen || d.Model.Method != hatch.Broody || d.Weight != nil || len(d.Looks) != 0 {
		t.Errorf("%+v %v %v", d, found, err)
	}
	if _, found, _ := HatchDayOf(hatchInput(t, "2026-03-18"), "b-nothing", usualLook); found {
		t.Error("a setting that is not there was found")
	}
	bad := usualLook
	bad.Hour = 31
	if _, _, err := HatchDayOf(hatchInput(t, "2026-03-18"), "b-h1", bad); err == nil {
		t.Error("31 o'clock")
	}
}

func TestTheBreakOutIsDiagnosedOnceTheAlarmWasAskedFor(t *testing.T) {
	end := &daybook.Hatch{Setting: butcherID("s"), Chicks: 7, DeadInShell: 9, PippedDead: 1, MidDead: 1, WrongWay: 1, Signs: []string{"sticky"}, Group: butcherID("chicks")}
	in := hatchInput(t, "2026-04-01", end)
	key := "s-" + butcherID("s").String()
	d, _, err := HatchDayOf(in, key, usualLook)
	if err != nil || !d.Ended || d.Diagnosis != nil {
		t.Fatalf("%+v %v", d, err)
	}
	asked := usualLook
	asked.Asked = true
	d, _, err = HatchDayOf(in, key, asked)
	// The eggs had lost too little, so of all that kills late the damp comes first.
	if err != nil || d.Diagnosis.Stop || len(d.Diagnosis.Causes) == 0 || d.Diagnosis.Causes[0].Code != "damp" {
		t.Fatalf("%+v %v", d.Diagnosis, err)
	}
	asked.Alarm = true
	if d, _, _ = HatchDayOf(in, key, asked); !d.Diagnosis.Stop || len(d.Diagnosis.Causes) > 0 {
		t.Error("causes are ranked while the flock is in danger")
	}
}

func TestTheSignsOfTheDaybookAreThoseOfTheDiagnosis(t *testing.T) {
	if !slices.Equal(hatch.Signs, daybook.HatchSigns) {
		t.Errorf("%v and %v", hatch.Signs, daybook.HatchSigns)
	}
}

func TestNobodyAtHomeAFullMachineAndMedicineStandAgainstASetting(t *testing.T) {
	codes := func(d *HatchDay) (list []string) {
		for _, p := range d.Problems {
			list = append(list, p.Code)
		}
		return list
	}
	in := hatchInput(t, "2026-03-18")
	key := "s-" + butcherID("s").String()
	for from, want := range map[string][]string{"2026-03-15": {"turning-away"}, "2026-03-30": {"hatch-away"}, "2026-04-15": {"chicks-away"}, "2026-06-01": nil} {
		in.Holding.Means.Away[0].From, in.Holding.Means.Away[0].To = butcherDate(from), butcherDate(from).AddDays(2)
		if d, _, _ := HatchDayOf(in, key, usualLook); !slices.Equal(codes(d), want) {
			t.Errorf("away from %s: %v", from, codes(d))
		}
	}
	in.Holding.Means.Away, in.Holding.Means.MachineEggs = nil, 12
	if d, _, _ := HatchDayOf(in, key, usualLook); !slices.Equal(codes(d), []string{"machine-full"}) {
		t.Errorf("24 eggs in a machine for 12: %v", codes(d))
	}
	in.Holding.Means.MachineEggs = 24
	for days, want := range map[int][]string{23: nil, 24: {"hatch-overdue"}} {
		in.Today = butcherDate("2026-03-10").AddDays(days)
		if d, _, _ := HatchDayOf(in, key, usualLook); d.Day != days || !slices.Equal(codes(d), want) {
			t.Errorf("day %d: %v", d.Day, codes(d))
		}
	}
}
