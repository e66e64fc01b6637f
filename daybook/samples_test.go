package daybook

import (
	"crypto/sha256"
	"fmt"
	"strings"
	"testing"
	"time"

	"henyear/measure"
)

// idOf makes the identifiers of tests, the same in every run.
func idOf(name string) ID {
	sum := sha256.Sum256([]byte(name))
	return ID(sum[:16])
}

func day(text string) measure.Date {
	d, err := measure.ParseDate(text)
	if err != nil {
		panic(err)
	}
	return d
}

func at(text string) time.Time {
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		panic(err)
	}
	return t.UTC()
}

func days(n int) *int { return &n }

// book writes events in a row, a minute apart, the evening of the day on which
// they happened.
type notebook struct {
	t      testing.TB
	events []Event
}

func (b *notebook) write(date string, p Payload, supersedes ...ID) Event {
	b.t.Helper()
	n := len(b.events)
	recorded := day(date).Time().Add(20*time.Hour + time.Duration(n%200)*time.Minute)
	e, err := New(idOf(fmt.Sprint("event ", n)), day(date), recorded, idOf("phone"), "", p, supersedes...)
	if err != nil {
		b.t.Fatalf("%s %s: %v", date, p.Kind(), err)
	}
	b.events = append(b.events, e)
	return e
}

// samplePayloads has at least one full record of every kind.
func samplePayloads() []Payload {
	flock, chicks, hen := idOf("flock"), idOf("chicks"), idOf("hen")
	return []Payload{
		&Eggs{Number: 12, Broken: 1, EatenByHens: 2, SetAside: 3, Days: 2, Pen: "north", Group: flock, Breed: "sussex", Size: "large", MeanG: 58.5, Note: "one with two yolks"},
		&Eggs{Number: 0},
		&EggsOut{Number: 24, How: "sold", To: "neighbour", ReceivedMinor: 600, Pen: "north", Group: flock, Note: "two boxes"},
		&FirstEgg{Group: flock, Bird: hen, Note: "small"},
		&Group{Group: flock, Name: "Sussex 2025", Breed: "sussex", Strain: "utility", Sex: Hens, Hatched: day("2025-03-20"), HatchedAbout: true, Source: "own hatch", Pen: "north", PlanBatch: "b1", Note: "x"},
		&Bird{Bird: hen, Ring: "A12", Name: "Speckle", Sex: "hen", Group: flock, Breed: "sussex", Hatched: day("2025-03-20"), Sire: idOf("cock"), Dam: idOf("old hen"), Note: "tame"},
		&BirdsIn{Group: flock, Number: 8, How: "bought", Pen: "north", From: "market", PaidMinor: 12000, Birds: []ID{hen}, Note: "x"},
		&BirdsOut{Group: flock, Number: 2, How: "taken", Pen: "north", Predator: "fox", Cause: "door left open", Since: day("2026-03-01"), Birds: []ID{hen}, Note: "x"},
		&BirdsOut{Group: flock, Number: 1, How: "sold", To: "neighbour", ReceivedMinor: 1500},
		&Butchered{Group: chicks, Number: 2, Pen: "south", Each: []Carcass{{LiveG: 2100, DressedG: 1450, Bird: idOf("b1"), Fault: "torn skin"}, {LiveG: 2350.5, DressedG: 1600}}, Minutes: 50, Note: "x"},
		&Butchered{Group: chicks, Number: 3, LiveKg: 6.4, DressedKg: 4.3},
		&Count{Number: 23, Group: flock, Pen: "north", Which: Hens, Note: "at dusk"},
		&Move{Group: flock, Number: 3, FromPen: "north", ToPen: "south", ToGroup: chicks, Brooder: "out", Birds: []ID{hen}, Note: "x"},
		&Setting{Setting: idOf("s1"), Eggs: 24, Under: "hen", Name: "Speckle", Hen: hen, Group: flock, Pen: "north", Breed: "sussex", LaidFrom: day("2026-03-01"), LaidTo: day("2026-03-07"), Bought: true, PaidMinor: 2400, Note: "x"},
		&Candling{Setting: idOf("s1"), Clear: 3, Dead: 1, Broken: 1, BloodRing: 1, Weighed: 19, WeightG: 1050.5, HumidityPct: 50, Note: "x"},
		&Candling{Setting: idOf("s1")},
		&Hatch{Setting: idOf("s1"), Chicks: 18, Culled: 1, Clear: 1, DeadInShell: 2, PippedDead: 1, Group: chicks, Pen: "brooder", BloodRing: 1, MidDead: 1, WrongWay: 1, Signs: []string{"slow", "sticky"}, Note: "x"},
		&Weighing{Group: chicks, EachG: []float64{1200, 1310.5, 1150}, Note: "x"},
		&Weighing{Bird: hen, MeanG: 2600, Number: 1},
		&Broody{Phase: Ends, Group: flock, Bird: hen, Number: 1, Ended: "broken", Note: "x"},
		&Moult{Phase: Begins, Group: flock, Number: 4, Note: "x"},
		&Moult{Phase: Ends, Bird: hen},
		&Feed{What: FeedBought, Feed: "layer pellets", Kg: 25, PaidMinor: 1375, From: "mill", Group: flock, Pen: "north", Note: "x"},
		&Money{Way: "out", AmountMinor: 1250, For: "bedding", Group: flock, Note: "x"},
		&Treatment{Product: "wormer", Against: "worms", Dose: "in feed", LastDose: day("2026-03-08"), EggDays: days(0), MeatDays: days(7), Vet: "the vet", Group: flock, Bird: hen, Pen: "north", Note: "x"},
		&Treatment{Product: "drops", All: true},
		&Visitor{Who: "a neighbour", KeepsBirds: true, Touched: true, Pen: "north", Note: "x"},
		&Quarantine{Phase: Begins, Group: flock, Days: 14, Reason: "show", Note: "x"},
		&TaskDone{Task: "candle-1", Minutes: 15, Note: "x"},
		&Note{Text: "Snow.\nTwo lines, \"quoted\", <b>&amp;", Photos: []Photo{{SHA256: strings.Repeat("ab", 32), MediaType: "image/jpeg", Caption: "the run"}}, Group: flock, Bird: hen, Pen: "north"},
		&Strike{Reason: "written twice"},
	}
}

// sampleEvents wraps them; the strike takes out the event before it.
func sampleEvents(t testing.TB) []Event {
	b := &notebook{t: t}
	for _, p := range samplePayloads() {
		if p.Kind() == "strike" {
			b.write("2026-03-10", p, b.events[len(b.events)-1].ID)
			continue
		}
		b.write("2026-03-10", p)
	}
	return b.events
}
