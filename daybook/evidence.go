package daybook

import (
	"embed"
	"fmt"
	"math"
	"time"

	"henyear/measure"
	"henyear/source"
)

//go:embed testdata/published/*.csv
var published embed.FS

// Evidence holds published values against what this room computes. Each row is
// written into a daybook as a keeper would and read back out of it.
func Evidence() ([]source.Check, error) {
	return source.ReadChecks("daybook", published, "testdata/published", map[string]source.Model{
		"month": workedMonth,
		"lay":   layOfRecords,
		"gap":   eggsOfGap,
		"hatch": hatchOfRecords,
		"meat":  meatOfRecords,
		"onset": onsetOfRecords,
	})
}

// trial is a daybook written for one published value.
type trial struct{ events []Event }

var trialFlock = hashedID("flock")

// write adds a record; a fault in a published row panics, since a check that
// cannot run must not pass.
func (t *trial) write(on measure.Date, p Payload) {
	n := len(t.events)
	e, err := New(hashedID(fmt.Sprint("record ", n)), on, on.Time().Add(20*time.Hour+time.Duration(n)*time.Second), ID{1}, "", p)
	if err != nil {
		panic(fmt.Sprintf("published check: %s: %v", p.Kind(), err))
	}
	t.events = append(t.events, e)
}

func (t *trial) value(code string, p Period, s Scope) float64 {
	b := Replay(t.events, p.Through)
	for _, m := range append(b.Measures(p, s), b.PointOfLay(trialFlock)...) {
		if m.Code == code && m.Stated {
			return m.Value
		}
	}
	return math.NaN()
}

func (t *trial) hens(on measure.Date, number int) {
	t.write(on, &Group{Group: trialFlock, Name: "Hens", Sex: Hens})
	t.write(on, &BirdsIn{Group: trialFlock, Number: number, How: "on hand"})
}

var trialStart = measure.Date{Year: 2025, Month: time.March, Day: 1}

// workedMonth is twenty hens housed on 1 March, one dead on the 11th, one culled
// on the 21st, with their eggs, feed and money.
func workedMonth(in source.Inputs) float64 {
	var t trial
	on := func(dayOfMonth int) measure.Date { return trialStart.AddDays(dayOfMonth - 1) }
	t.hens(on(1), 20)
	t.write(on(1), &Feed{What: FeedBought, Feed: "layer feed", Kg: 100, PaidMinor: 5500})
	t.write(on(1), &Feed{What: FeedOpened, Feed: "layer feed", Kg: 78})
	t.write(on(3), &Money{Way: "out", AmountMinor: 600, For: "bedding"})
	t.write(on(11), &BirdsOut{Group: trialFlock, Number: 1, How: "died"})
	t.write(on(21), &BirdsOut{Group: trialFlock, Number: 1, How: "culled"})
	t.write(on(28), &Money{Way: "out", AmountMinor: 2800, For: "two pullets ordered"})
	t.write(on(28), &Money{Way: "in", AmountMinor: 300, For: "the culled hen"})
	t.write(on(31), &Count{Number: 18})
	t.write(on(31), &Eggs{Number: 412, Days: 31, MeanG: 57})
	t.write(on(31), &Feed{What: FeedLeft, Feed: "layer feed", Kg: 6})
	scale := 1.0
	if in["scale"] != "" {
		scale = in.Float("scale")
	}
	return scale * t.value(in["code"], Period{From: on(1), Through: on(31)}, Scope{})
}

// layOfRecords is a flock with eggs and feed of a whole period. A mean number of
// hens that is not whole becomes one hen that leaves on the way.
func layOfRecords(in source.Inputs) float64 {
	var t trial
	days := int(in.Float("days"))
	last := trialStart.AddDays(days - 1)
	hens := int(math.Ceil(in.Float("hens")))
	t.hens(trialStart, hens)
	if spare := (float64(hens) - in.Float("hens")) * float64(days); spare > 0 {
		t.write(last.AddDays(1-int(math.Round(spare))), &BirdsOut{Group: trialFlock, Number: 1, How: "sold"})
	}
	if in["feed"] != "" {
		t.write(trialStart.AddDays(1), &Feed{What: FeedBought, Feed: "feed", Kg: in.Float("feed")})
	}
	t.write(last, &Eggs{Number: int(in.Float("eggs")), Days: days})
	return t.value(in["code"], Period{From: trialStart, Through: last}, Scope{})
}

func eggsOfGap(in source.Inputs) float64 {
	var t trial
	last := trialStart.AddDays(int(in.Float("days")))
	t.write(trialStart, &Eggs{})
	t.write(last, &Eggs{Number: int(in.Float("eggs"))})
	return Replay(t.events, last).EggsByDay(last, last, Scope{})[0].Laid
}

func hatchOfRecords(in source.Inputs) float64 {
	var t trial
	n := func(name string) int { return int(in.Float(name)) }
	setting := hashedID("setting")
	t.write(trialStart, &Setting{Setting: setting, Eggs: n("set"), Under: "machine"})
	t.write(trialStart.AddDays(7), &Candling{Setting: setting, Clear: n("clear"), Dead: n("early")})
	end := trialStart.AddDays(21)
	t.write(end, &Hatch{Setting: setting, Chicks: n("chicks"), DeadInShell: n("shell"), Group: trialFlock})
	return t.value(in["code"], Period{From: trialStart, Through: end}, Scope{})
}

func meatOfRecords(in source.Inputs) float64 {
	var t trial
	birds := int(in.Float("birds"))
	end := trialStart.AddDays(80)
	t.write(trialStart, &Group{Group: trialFlock, Name: "Meat birds", Sex: Unsexed, Hatched: trialStart})
	t.write(trialStart, &BirdsIn{Group: trialFlock, Number: birds, How: "bought"})
	if kg := in.Float("feed"); kg > 0 {
		t.write(trialStart.AddDays(1), &Feed{What: FeedBought, Feed: "grower", Kg: kg, Group: trialFlock})
	}
	t.write(end, &Butchered{Group: trialFlock, Number: birds, LiveKg: in.Float("live_kg"), DressedKg: in.Float("dressed_kg")})
	return t.value(in["code"], Period{From: trialStart, Through: end}, Scope{Group: trialFlock})
}

func onsetOfRecords(in source.Inputs) float64 {
	var t trial
	t.write(trialStart, &Group{Group: trialFlock, Name: "Pullets", Sex: Hens, Hatched: trialStart})
	t.write(trialStart, &BirdsIn{Group: trialFlock, Number: 4, How: "hatched"})
	first := trialStart.AddDays(7 * int(in.Float("weeks")))
	t.write(first.AddDays(-1), &Eggs{})
	t.write(first, &Eggs{Number: 1})
	return t.value(in["code"], Period{From: trialStart, Through: first.AddDays(20)}, Scope{})
}
