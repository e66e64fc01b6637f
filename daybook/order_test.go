package daybook

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"henyear/measure"
)

// told is everything that a book tells, as text.
func told(b *Book) string {
	var out []any
	for _, on := range []measure.Date{b.Through, b.Through.AddDays(-9), b.Through.AddDays(-30)} {
		out = append(out, b.GroupsOn(on), b.BirdsOn(on), b.WithheldOn(on), b.ApartOn(on), b.BroodyOn(on), b.MoultingOn(on), b.FeedStock(on),
			b.HensOn(on, Scope{}), b.EggsByDay(on.AddDays(-20), on, Scope{}), b.EggsByDay(on.AddDays(-20), on, Scope{Pen: "a"}))
	}
	p := Period{From: b.Through.AddDays(-60), Through: b.Through}
	out = append(out, b.Measures(p, Scope{}), b.Measures(p, Scope{Group: idOf("g1")}), b.Measures(p, Scope{AgeFromWeeks: 20, AgeToWeeks: 80}),
		b.Flow(p, Scope{}), b.Losses(p, Scope{}), b.CashIn(p), b.Settings(), b.Findings, b.Conflicts, b.Differences(), b.PointOfLay(idOf("g1")),
		len(b.Records), b.Later, len(b.Unread))
	text, err := json.Marshal(out)
	if err != nil {
		panic(err)
	}
	return string(text)
}

// anyPayload draws a record about a few groups, pens and feeds.
func anyPayload(t *rapid.T) Payload {
	group := rapid.SampledFrom([]ID{idOf("g1"), idOf("g2"), idOf("g3")}).Draw(t, "group")
	pen := rapid.SampledFrom([]string{"", "a", "b"}).Draw(t, "pen")
	n := rapid.IntRange(1, 12).Draw(t, "n")
	bird := rapid.SampledFrom([]ID{{}, idOf("b1"), idOf("b2")}).Draw(t, "bird")
	var birds []ID
	if !bird.IsZero() {
		birds = []ID{bird}
	}
	switch rapid.IntRange(0, 16).Draw(t, "what") {
	case 0:
		return &Group{Group: group, Name: "G", Sex: rapid.SampledFrom([]string{Hens, Cocks, Unsexed}).Draw(t, "sex"), Hatched: day("2025-06-01"), Pen: pen}
	case 1, 2:
		return &BirdsIn{Group: group, Number: n, How: rapid.SampledFrom(waysIn).Draw(t, "how"), Pen: pen, Birds: birds}
	case 3:
		return &BirdsOut{Group: group, Number: n, How: rapid.SampledFrom(waysOut).Draw(t, "how"), Pen: pen, Birds: birds}
	case 4:
		return &Butchered{Group: group, Number: n, LiveKg: float64(2 * n), DressedKg: float64(n)}
	case 5:
		return &Move{Group: group, ToPen: "b", Number: n, FromPen: pen}
	case 6:
		return &Move{Group: idOf("g1"), ToGroup: idOf("g2"), Number: n}
	case 7:
		return &Count{Number: n, Pen: pen}
	case 8:
		return &Treatment{Product: "drops", EggDays: days(n), MeatDays: days(2 * n), Group: group}
	case 9:
		return &Feed{What: rapid.SampledFrom([]string{FeedBought, FeedOpened, FeedThrown, FeedLeft}).Draw(t, "feed"), Feed: "pellets", Kg: float64(n), Pen: pen}
	case 10:
		return &Broody{Phase: rapid.SampledFrom([]string{Begins, Ends}).Draw(t, "phase"), Group: group, Number: n}
	case 11:
		return &Quarantine{Phase: rapid.SampledFrom([]string{Begins, Ends}).Draw(t, "phase"), Group: group}
	case 12:
		return &Setting{Setting: idOf("s"), Eggs: n, Under: "hen"}
	case 13:
		return &Hatch{Setting: idOf("s"), Chicks: n, Group: group}
	case 14:
		return &Bird{Bird: idOf("b1"), Ring: "1", Group: group}
	case 15:
		return &Weighing{Group: group, MeanG: float64(100 * n)}
	}
	return &Eggs{Number: n, Pen: pen, Days: rapid.IntRange(0, 3).Draw(t, "days")}
}

// anyBook draws a book with corrections, strikes and records that this program
// does not understand.
func anyBook(t *rapid.T) []Event {
	var events []Event
	for i := range rapid.IntRange(1, 40).Draw(t, "records") {
		d := day("2026-03-01").AddDays(rapid.IntRange(0, 60).Draw(t, "day"))
		recorded := day("2026-05-10").Time().Add(time.Duration(rapid.IntRange(0, 5).Draw(t, "minute")) * time.Minute)
		var p Payload
		var old []ID
		if i > 0 && rapid.IntRange(0, 3).Draw(t, "correction") == 0 {
			old = append(old, events[rapid.IntRange(0, i-1).Draw(t, "old")].ID)
			if other := events[rapid.IntRange(0, i-1).Draw(t, "other")].ID; other != old[0] && rapid.Bool().Draw(t, "two") {
				old = append(old, other)
			}
		}
		if p = anyPayload(t); len(old) > 0 && rapid.Bool().Draw(t, "strike") {
			p = &Strike{}
		}
		e, err := New(idOf(fmt.Sprint("e", i)), d, recorded, ID{1}, "", p, old...)
		if err != nil {
			t.Fatal(err)
		}
		if rapid.IntRange(0, 19).Draw(t, "newer") == 0 {
			e.Version = 7
		}
		events = append(events, e)
	}
	return events
}

func TestTheFlockDoesNotDependOnHowTheRecordsArrived(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		events := anyBook(t)
		want := told(Replay(events, day("2026-05-01")))
		mixed := append(slices.Clone(events), rapid.SliceOf(rapid.SampledFrom(events)).Draw(t, "twice")...)
		mixed = rapid.Permutation(mixed).Draw(t, "mixed")
		if got := told(Replay(mixed, day("2026-05-01"))); got != want {
			t.Fatalf("in order:\n%s\nmixed:\n%s", want, got)
		}
	})
}

func TestBirdsAreNeverLostOrMadeInTheReckoning(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Replay(anyBook(t), measure.Date{})
		p := Period{From: day("2026-03-10"), Through: day("2026-04-10")}
		for _, s := range []Scope{{}, {Pen: "a"}, {Group: idOf("g2")}} {
			f := b.Flow(p, s)
			sum := f.Opening
			for _, n := range f.In {
				sum += n
			}
			for _, n := range f.Out {
				sum -= n
			}
			if sum != f.Closing || f.Closing < 0 || f.Opening < 0 {
				t.Fatalf("%+v: %+v does not balance", s, f)
			}
		}
		for _, c := range b.cells {
			for _, x := range c.steps {
				if x.number < 0 {
					t.Fatal("fewer than no birds")
				}
			}
		}
	})
}
