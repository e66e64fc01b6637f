package calendar

import (
	"encoding/binary"
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"henyear/daybook"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
)

func civil(text string) measure.Date {
	d, err := measure.ParseDate(text)
	if err != nil {
		panic(err)
	}
	return d
}

type fatal interface{ Fatal(...any) }

// exampleWork is one of the bundled holdings with a plan of its own, on a day.
func exampleWork(t fatal, name, today string) Input {
	text, err := os.ReadFile("../examples/" + name + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	h, _, err := holding.ReadOn(text, name, civil("2027-01-01"))
	if err != nil {
		t.Fatal(err)
	}
	p := new(plan.Plan)
	text, err = os.ReadFile("testdata/plans/" + name + ".json")
	if err == nil {
		err = json.Unmarshal(text, p)
	}
	if err != nil {
		t.Fatal(err)
	}
	return Input{Holding: h, Plan: p, Today: civil(today)}
}

func listed(t fatal, in Input) *List {
	l, err := Of(in)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// writer makes a daybook.
type writer struct {
	t      fatal
	n      uint64
	events []daybook.Event
}

func (w *writer) id() (id daybook.ID) {
	w.n++
	id[0] = 1
	binary.BigEndian.PutUint64(id[8:], w.n)
	return id
}

func (w *writer) put(on string, p daybook.Payload) daybook.ID {
	e, err := daybook.New(w.id(), civil(on), civil(on).Time().Add(20*time.Hour), daybook.ID{2}, "", p)
	if err != nil {
		w.t.Fatal(err)
	}
	w.events = append(w.events, e)
	return e.ID
}

// set writes eggs set and returns the setting.
func (w *writer) set(on, breed, under string, eggs int) daybook.ID {
	id := w.id()
	w.put(on, &daybook.Setting{Setting: id, Eggs: eggs, Under: under, Breed: breed})
	return id
}

// hatch writes a hatch into a new group.
func (w *writer) hatch(on string, setting daybook.ID, chicks int) daybook.ID {
	group := w.id()
	if chicks > 0 {
		w.put(on, &daybook.Group{Group: group, Name: "Chicks", Breed: "sussex", Sex: daybook.Unsexed, Hatched: civil(on)})
	}
	w.put(on, &daybook.Hatch{Setting: setting, Chicks: chicks, Group: group})
	return group
}

func (w *writer) in(in Input) Input {
	in.Book = daybook.Replay(w.events, in.Today)
	return in
}

func taskByID(l *List, id string) *Task {
	for i := range l.Tasks {
		if l.Tasks[i].ID == id {
			return &l.Tasks[i]
		}
	}
	return nil
}

// must is a task that has to be on the list.
func must(t *testing.T, l *List, id string) Task {
	t.Helper()
	found := taskByID(l, id)
	if found == nil {
		t.Fatalf("%s is not on the list of %s", id, l.Today)
	}
	return *found
}

const (
	marchLot = "sussex-utility-1-2027-03-01" // of the valley's plan: 16 eggs, 11 chicks
	lateLot  = "sussex-utility-1-2027-03-29"
)

func ids(l *List, has func(Task) bool) []string {
	var list []string
	for _, x := range l.Tasks {
		if has(x) {
			list = append(list, x.ID)
		}
	}
	return list
}

func about(part string) func(Task) bool {
	return func(x Task) bool { return strings.Contains(x.ID, part) }
}

func TestTheWorkOfASettingStandsOnItsDays(t *testing.T) {
	l := listed(t, exampleWork(t, "valley", "2027-01-01"))
	for step, on := range map[string]string{
		"cock-in": "2027-02-08", "save-eggs": "2027-02-22", "machine-empty": "2027-02-28", "set": "2027-03-01", "turn": "2027-03-03",
		"candle-1": "2027-03-08", "candle-2": "2027-03-15", "lockdown": "2027-03-19", "brooder-ready": "2027-03-20", "hatch": "2027-03-22",
		"clear-up": "2027-03-24", "heat-off": "2027-04-26", "move-out": "2027-05-03", "part": "2027-05-31", "worm-check": "2027-06-14",
	} {
		if got := must(t, l, marchLot+"/"+step); got.On != civil(on) || got.State != Ahead {
			t.Errorf("%s on %s, %s", step, got.On, got.State)
		}
	}
	if fast := must(t, l, marchLot+"/cock-table/fast"); fast.Clock != 20*60 || fast.On.AddDays(1) != must(t, l, marchLot+"/cock-table/butcher").On {
		t.Errorf("the fast begins on %s at minute %d", fast.On, fast.Clock)
	}
}

func TestEveryTaskSaysWhyAndFromWhereAndFillsItsWords(t *testing.T) {
	for _, name := range []string{"valley", "plain", "forest"} {
		l := listed(t, exampleWork(t, name, "2027-01-01"))
		for _, x := range l.Tasks {
			text := x.What.Text + x.Why.Text
			if x.What.Text == "" || x.Why.Source == "" || strings.ContainsAny(text, "{}[]") || strings.Contains(text, "  ") || strings.Contains(text, " .") {
				t.Errorf("%s %s: %q because %q (%s)", name, x.ID, x.What.Text, x.Why.Text, x.Why.Source)
			}
			if x.Minutes <= 0 || x.Timed == "" {
				t.Errorf("%s %s: %g minutes from %q", name, x.ID, x.Minutes, x.Timed)
			}
			if strings.Contains(x.ID, "butcher") && (x.Caution == nil || x.Who != Skilled) {
				t.Errorf("%s %s is without its caution", name, x.ID)
			}
			if x.Kind == Cull && (x.Caution == nil || !strings.Contains(x.Caution.Text, "ring the vet")) {
				t.Errorf("%s %s: culls before asking for signs of illness", name, x.ID)
			}
		}
	}
}

func TestLayerFeedNeverComesBeforeEighteenWeeks(t *testing.T) {
	for _, name := range []string{"valley", "plain", "forest"} {
		in := exampleWork(t, name, "2027-01-01")
		l := listed(t, in)
		for _, b := range in.Plan.Batches {
			if x := taskByID(l, b.ID+"/layer-feed"); x != nil && x.First.DaysSince(b.Hatched) < 18*7 {
				t.Errorf("%s: layer feed %d days after the hatch", b.ID, x.First.DaysSince(b.Hatched))
			}
		}
	}
}

func TestALaterSettingMovesEverythingAfterIt(t *testing.T) {
	w := &writer{t: t}
	w.set("2027-03-05", "sussex", "machine", 16)
	l := listed(t, w.in(exampleWork(t, "valley", "2027-03-06")))
	if set := must(t, l, marchLot+"/set"); set.State != Done || set.DoneOn != civil("2027-03-05") {
		t.Errorf("set: %s on %s", set.State, set.DoneOn)
	}
	hatch := must(t, l, marchLot+"/hatch")
	if hatch.On != civil("2027-03-26") || hatch.Moved == nil || !strings.Contains(hatch.Moved.Text, "4 days later") {
		t.Errorf("hatch on %s, moved %v", hatch.On, hatch.Moved)
	}
	if other := must(t, l, lateLot+"/hatch"); other.On != civil("2027-04-19") || other.Moved != nil {
		t.Errorf("the other setting moved to %s", other.On)
	}
}

func TestAFailedHatchTakesItsFollowersAwayAndSaysWhatToDo(t *testing.T) {
	w := &writer{t: t}
	setting := w.set("2027-03-01", "sussex", "machine", 16)
	w.hatch("2027-03-23", setting, 0)
	l := listed(t, w.in(exampleWork(t, "valley", "2027-03-24")))
	for _, step := range []string{"part", "move-out", "to-layers", "first-egg"} {
		if x := must(t, l, marchLot+"/"+step); x.State != Gone || x.Moved == nil {
			t.Errorf("%s is %s", step, x.State)
		}
	}
	fail := must(t, l, marchLot+"/failed")
	if fail.State != Due || !strings.Contains(fail.What.Text, "24 April") || !strings.Contains(fail.What.Text, "hatching eggs of Sussex") {
		t.Errorf("after the failure: %s %q", fail.State, fail.What.Text)
	}
	if b := must(t, l, lateLot+"/cock-table/butcher"); !strings.Contains(b.What.Text, "Butcher 7 birds") {
		t.Errorf("the butcher day still takes birds that never hatched: %q", b.What.Text)
	}
}

func TestFewerChicksChangeTheWords(t *testing.T) {
	w := &writer{t: t}
	setting := w.set("2027-03-01", "sussex", "machine", 16)
	w.hatch("2027-03-22", setting, 6)
	l := listed(t, w.in(exampleWork(t, "valley", "2027-03-25")))
	if part := must(t, l, marchLot+"/part"); !strings.Contains(part.What.Text, "3 cockerels and 3 pullets") {
		t.Errorf("%q", part.What.Text)
	}
	if x := must(t, l, marchLot+"/clear-up"); x.State != Done {
		t.Errorf("the hatch was written, but clearing up is %s", x.State)
	}
}

func TestEggsOfWhichNothingIsWrittenRunOnAndThenFallAway(t *testing.T) {
	w := &writer{t: t}
	w.put("2027-03-01", &daybook.Note{Text: "snow"})
	late := listed(t, w.in(exampleWork(t, "valley", "2027-03-12")))
	if set := must(t, late, marchLot+"/set"); set.State != Missed || set.Matters == nil {
		t.Errorf("set is %s", set.State)
	}
	if x := must(t, late, marchLot+"/hatch"); x.On != civil("2027-04-02") || x.Moved == nil {
		t.Errorf("hatch on %s", x.On)
	}
	gone := listed(t, w.in(exampleWork(t, "valley", "2027-03-27")))
	if x := must(t, gone, marchLot+"/hatch"); x.State != Gone {
		t.Errorf("hatch is %s after four weeks without a word", x.State)
	}
}

func TestAMissedJobSaysWhatToDoAndIsDroppedWhenItNoLongerMatters(t *testing.T) {
	in := exampleWork(t, "valley", "2027-02-20")
	if x := must(t, listed(t, in), marchLot+"/cock-in"); x.State != Missed || x.Matters == nil || !strings.Contains(x.Matters.Text, "other cock") {
		t.Errorf("cock-in: %s %v", x.State, x.Matters)
	}
	in.Today = civil("2027-03-02")
	if x := taskByID(listed(t, in), marchLot+"/cock-in"); x != nil {
		t.Errorf("cock-in is still %s after the eggs were set", x.State)
	}
}

func TestRecordsThatAreTheJobCloseIt(t *testing.T) {
	w := &writer{t: t}
	setting := w.set("2027-03-01", "Sussex", "machine", 16)
	w.put("2027-03-10", &daybook.Candling{Setting: setting, Clear: 3})
	group := w.hatch("2027-03-22", setting, 10)
	w.put("2027-05-04", &daybook.Move{Group: group, Brooder: "out", ToPen: "ark"})
	cocks := w.id()
	w.put("2027-06-01", &daybook.Group{Group: cocks, Name: "Cockerels", Breed: "sussex", Sex: daybook.Cocks, Hatched: civil("2027-03-22")})
	w.put("2027-06-01", &daybook.Move{Group: group, Number: 5, ToGroup: cocks})
	w.put("2027-06-16", &daybook.Weighing{Group: cocks, EachG: []float64{1200}})
	w.put("2027-06-03", &daybook.Count{Number: 24})
	w.put("2027-06-20", &daybook.Treatment{Product: "Drops", Against: "worms", Group: group, EggDays: new(int), MeatDays: new(int)})
	l := listed(t, w.in(exampleWork(t, "valley", "2027-06-20")))
	for id, on := range map[string]string{
		marchLot + "/candle-1": "2027-03-10", marchLot + "/move-out": "2027-05-04", marchLot + "/part": "2027-06-01",
		marchLot + "/weigh": "2027-06-16", "count/2027-06": "2027-06-03", marchLot + "/worm-check": "2027-06-20",
	} {
		if x := must(t, l, id); x.State != Done || x.DoneOn != civil(on) {
			t.Errorf("%s: %s on %s", id, x.State, x.DoneOn)
		}
	}
	if x := taskByID(l, marchLot+"/candle-2"); x != nil && x.State == Done {
		t.Error("one candling closed both")
	}
	w.put("2027-08-13", &daybook.Butchered{Group: cocks, Number: 5})
	l = listed(t, w.in(exampleWork(t, "valley", "2027-08-14")))
	if x := must(t, l, marchLot+"/cock-table/butcher"); x.State != Done {
		t.Errorf("the butcher day is %s", x.State)
	}
	if x := must(t, l, marchLot+"/last-good-week"); x.State != Done {
		t.Errorf("the last good week is %s though no cockerel is left", x.State)
	}
}

func TestBirdsUnderMedicineAreNotButcheredBeforeTheyAreClear(t *testing.T) {
	w := &writer{t: t}
	setting := w.set("2027-03-01", "sussex", "machine", 16)
	group := w.hatch("2027-03-22", setting, 10)
	meat := 21
	w.put("2027-08-10", &daybook.Treatment{Product: "Powder", Against: "coccidiosis", Group: group, EggDays: &meat, MeatDays: &meat})
	l := listed(t, w.in(exampleWork(t, "valley", "2027-08-10")))
	x := must(t, l, marchLot+"/cock-table/butcher")
	if x.On.Before(civil("2027-09-01")) || x.Moved == nil {
		t.Errorf("butchered on %s, moved %v", x.On, x.Moved)
	}
}

func TestEggsSetBesideThePlanAreLookedAfterToo(t *testing.T) {
	w := &writer{t: t}
	setting := w.set("2027-06-10", "wyandotte", "hen", 9)
	l := listed(t, w.in(exampleWork(t, "valley", "2027-06-11")))
	x := must(t, l, "setting-"+setting.String()+"/candle-1")
	if x.On != civil("2027-06-17") || !strings.Contains(x.What.Text, "under the hen") || x.Batch != "" {
		t.Errorf("%s %q", x.On, x.What.Text)
	}
	if taskByID(l, "setting-"+setting.String()+"/lockdown") != nil {
		t.Error("a hen needs no lockdown")
	}
}

func TestATickUnderTheNameOfAnOlderPlanStillCounts(t *testing.T) {
	w := &writer{t: t}
	w.put("2027-02-10", &daybook.TaskDone{Task: "sussex-utility-1-2027-02-22/cock-in"})
	w.put("2027-02-10", &daybook.TaskDone{Task: "marans-utility-1-2027-02-22/set"})
	l := listed(t, w.in(exampleWork(t, "valley", "2027-02-12")))
	if x := must(t, l, marchLot+"/cock-in"); x.State != Done || x.DoneOn != civil("2027-02-10") {
		t.Errorf("cock-in is %s", x.State)
	}
	if x := must(t, l, marchLot+"/set"); x.State != Ahead {
		t.Errorf("a tick for another breed closed this: %s", x.State)
	}
}

func TestARoundIsDueAgainWhenItsDaysHavePassed(t *testing.T) {
	w := &writer{t: t}
	w.put("2027-05-28", &daybook.TaskDone{Task: "mites/2027-05"})
	in := exampleWork(t, "valley", "2027-06-02")
	if x := must(t, listed(t, w.in(in)), "mites/2027-06"); x.State != Due || x.On != civil("2027-06-04") {
		t.Errorf("five days after: %s on %s", x.State, x.On)
	}
	w.put("2027-06-04", &daybook.TaskDone{Task: "mites/2027-06"})
	in.Today = civil("2027-06-05")
	if x := must(t, listed(t, w.in(in)), "mites/2027-06"); x.State != Done || x.On != civil("2027-06-11") {
		t.Errorf("a day after: %s on %s", x.State, x.On)
	}
	in.Today = civil("2027-06-12")
	if x := must(t, listed(t, w.in(in)), "mites/2027-06"); x.State != Due || x.On != in.Today {
		t.Errorf("eight days after: %s on %s", x.State, x.On)
	}
}

func TestBoughtBirdsStayApartForThirtyDays(t *testing.T) {
	in := exampleWork(t, "valley", "2027-01-01")
	in.Plan.Batches = append(slices.Clone(in.Plan.Batches), plan.Batch{ID: "cock-1", Breed: "sussex", BreedName: "Sussex", Source: "cock",
		Hatched: civil("2026-08-03"), Chicks: 1, Cockerels: 1, Fates: []plan.Fate{{Sex: "cock", What: "breeding cock", On: civil("2027-03-01"), Birds: 1}}})
	l := listed(t, in)
	came := must(t, l, "cock-1/arrive")
	if end := must(t, l, "cock-1/quarantine-end"); end.On.DaysSince(came.On) != 30 || end.Caution == nil {
		t.Errorf("quarantine of %d days", end.On.DaysSince(came.On))
	}
}

func TestWorkExistsOnlyWhereItsSubjectDoes(t *testing.T) {
	in := exampleWork(t, "valley", "2027-01-01")
	for i := range in.Plan.Batches {
		if b := &in.Plan.Batches[i]; b.EggsSet > 0 {
			b.Source = "own eggs, broody hen"
		}
	}
	for _, step := range []string{"machine-empty", "turn", "lockdown", "brooder-ready", "warmth-1", "heat-off"} {
		if found := ids(listed(t, in), about("/"+step)); len(found) > 0 {
			t.Errorf("no machine, but %v", found)
		}
	}
	kind := exampleWork(t, "valley", "2027-01-01")
	kind.Holding.Means.WillKill = false
	l := listed(t, kind)
	if found := ids(l, func(x Task) bool { return x.Kind == Butcher || strings.HasSuffix(x.ID, "/runts") }); len(found) > 0 {
		t.Errorf("nobody kills, but %v", found)
	}
	if len(ids(l, about("/ask-takers"))) == 0 || len(ids(l, about("/leave"))) == 0 {
		t.Error("nobody kills, and nobody is asked who takes the cockerels")
	}
}

func TestSeasonsTurnAroundInTheSouth(t *testing.T) {
	l := listed(t, exampleWork(t, "plain", "2027-01-01"))
	for _, id := range []string{"cull-check/2027-02", "clean/2027-03", "moult/2027-03", "housing-order/2027-03", "heat/2027-01", "heat-ready/2027"} {
		must(t, l, id)
	}
	for _, id := range []string{"cull-check/2027-08", "moult/2027-10", "frost/2027-01"} {
		if taskByID(l, id) != nil {
			t.Errorf("%s in the south", id)
		}
	}
	if x := must(t, l, "mites/2027-07"); x.Every != 28 {
		t.Errorf("mites every %d days in the southern July", x.Every)
	}
}

func TestPlacesWithoutFrostOrWithoutSummer(t *testing.T) {
	in := exampleWork(t, "valley", "2027-01-01")
	place := &in.Holding.Place.Climate
	place.LatitudeDeg = 0.2
	for m := range 12 {
		place.MaxC[m], place.MinC[m] = 29, 21
	}
	place.ExtremeMinC, place.HumidityPct = 18, [12]float64{}
	l := listed(t, in)
	if found := ids(l, about("frost")); len(found) > 0 {
		t.Errorf("frost at the equator: %v", found)
	}
	if x := must(t, l, "mites/2027-01"); x.Every != 7 {
		t.Errorf("mites every %d days where it is always warm", x.Every)
	}
	place.LatitudeDeg, place.ExtremeMinC = 78, -40
	for m := range 12 {
		place.MaxC[m], place.MinC[m] = -6, -14
	}
	in.Plan.Lights = true
	l = listed(t, in)
	if len(ids(l, about("frost-ready"))) > 0 {
		t.Error("there is no season before the frost where it never ends")
	}
	must(t, l, "frost/2027-07")
	if x := must(t, l, "lights/2027-12"); !strings.Contains(x.What.Text, "14.5 hours") {
		t.Errorf("in the polar night: %q", x.What.Text)
	}
}

func TestThe29thOfFebruaryIsADayLikeAnother(t *testing.T) {
	l := listed(t, exampleWork(t, "valley", "2028-02-29"))
	if set := must(t, l, "sussex-utility-1-2028-02-28/set"); set.State != Due || set.Last != civil("2028-03-02") {
		t.Errorf("%s until %s", set.State, set.Last)
	}
	if x := must(t, l, "weekly/2028-02"); x.Last != civil("2028-02-29") || x.State != Due {
		t.Errorf("%s until %s", x.State, x.Last)
	}
}

func TestWhatCannotBeListedIsRefusedInASentence(t *testing.T) {
	in := exampleWork(t, "valley", "2027-01-01")
	for name, wrong := range map[string]Input{
		"no plan":  {Holding: in.Holding, Today: in.Today},
		"no today": {Holding: in.Holding, Plan: in.Plan},
		"to before from": {Holding: in.Holding, Plan: in.Plan, Today: in.Today,
			From: civil("2027-02-01"), To: civil("2027-01-01")},
	} {
		if _, err := Of(wrong); err == nil || !strings.Contains(err.Error(), " ") {
			t.Errorf("%s: %v", name, err)
		}
	}
	empty := in
	empty.Plan = &plan.Plan{AsOf: in.Today, From: in.Today, To: civil("2027-12-31")}
	if l := listed(t, empty); len(l.With(Due, Ahead)) > 8 { // but for the trip
		t.Errorf("a plan without birds lists %d tasks", len(l.Tasks))
	}
}

func noteOf(text string) daybook.Payload { return &daybook.Note{Text: text} }
func doneOf(task string) daybook.Payload { return &daybook.TaskDone{Task: task} }
func hatchOf(setting, group daybook.ID, chicks int) daybook.Payload {
	return &daybook.Hatch{Setting: setting, Chicks: chicks, Group: group}
}

func TestChicksThatDidNotComeAreMissedAndTheirDaysRunOn(t *testing.T) {
	w := &writer{t: t}
	w.put("2027-03-01", noteOf("begun"))
	in := exampleWork(t, "plain", "2027-04-06")
	l := listed(t, w.in(in))
	const lot = "cornish-cross-production-5-2027-03-29/"
	if x := must(t, l, lot+"arrive"); x.State != Missed {
		t.Errorf("arrival is %s", x.State)
	}
	if x := must(t, l, lot+"warmth-1"); x.On != civil("2027-04-13") {
		t.Errorf("first week ends on %s", x.On)
	}
	group := w.id()
	w.put("2027-04-05", &daybook.Group{Group: group, Name: "Meat chicks", Breed: "cornish-cross", Sex: daybook.Unsexed, Hatched: civil("2027-04-05")})
	w.put("2027-04-05", &daybook.BirdsIn{Group: group, Number: 15, How: "bought"})
	l = listed(t, w.in(in))
	if x := must(t, l, lot+"arrive"); x.State != Done || x.DoneOn != civil("2027-04-05") {
		t.Errorf("arrival is %s on %s", x.State, x.DoneOn)
	}
	if x := must(t, l, lot+"cock-table/butcher"); x.On != civil("2027-05-29") || !strings.Contains(x.What.Text, "12 birds: a part of 14") {
		t.Errorf("%s %q", x.On, x.What.Text)
	}
}

func TestAHatchThatCannotWaitSaysWhoMustCome(t *testing.T) {
	in := exampleWork(t, "valley", "2027-03-06")
	in.Holding.Means.Away = []holding.Away{{From: civil("2027-03-20"), To: civil("2027-03-25")}}
	before := in
	before.Today = civil("2027-01-01")
	if x := must(t, listed(t, before), marchLot+"/hatch"); x.On != civil("2027-02-27") && x.On != civil("2027-03-26") {
		t.Errorf("not yet set, and it hatches on %s", x.On)
	}
	w := &writer{t: t}
	w.set("2027-03-01", "sussex", "machine", 16)
	x := must(t, listed(t, w.in(in)), marchLot+"/hatch")
	if x.On != civil("2027-03-22") || x.Away == nil || !strings.Contains(x.Away.Text, "knows hens") {
		t.Errorf("%s %v", x.On, x.Away)
	}
}

func TestEggsWithMedicineAreNotSavedForHatching(t *testing.T) {
	w := &writer{t: t}
	long := 28
	w.put("2027-02-20", &daybook.BirdsIn{Group: w.hens("2027-02-01"), Number: 8, How: "on hand"})
	w.put("2027-02-20", &daybook.Treatment{Product: "Powder", Against: "mites", All: true, EggDays: &long, MeatDays: &long})
	x := must(t, listed(t, w.in(exampleWork(t, "valley", "2027-02-24"))), marchLot+"/save-eggs")
	if x.Caution == nil || !strings.Contains(x.Caution.Text, "Do not hatch") {
		t.Errorf("%v", x.Caution)
	}
}

// hens describes the valley's own pullets.
func (w *writer) hens(on string) daybook.ID {
	id := w.id()
	w.put(on, &daybook.Group{Group: id, Name: "Pullets", Breed: "sussex", Sex: daybook.Hens, Hatched: civil("2026-03-20")})
	return id
}
