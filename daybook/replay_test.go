package daybook

import (
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"henyear/measure"
)

// longBook writes a keeper's busy book: several rounds a day for many years.
func longBook(n int) []Event {
	rng := rand.New(rand.NewPCG(1, 2))
	start := day("2016-01-01")
	groups := make([]ID, 40)
	for i := range groups {
		groups[i] = idOf(fmt.Sprint("group ", i))
	}
	events := make([]Event, 0, n)
	put := func(d measure.Date, minute int, p Payload) {
		var id ID
		binary.BigEndian.PutUint64(id[:], rng.Uint64())
		binary.BigEndian.PutUint64(id[8:], rng.Uint64())
		e, err := New(id, d, d.Time().Add(18*time.Hour+time.Duration(minute)*time.Second), ID{1}, "", p)
		if err != nil {
			panic(err)
		}
		events = append(events, e)
	}
	perDay := n / 3650
	for i := 0; len(events) < n; i++ {
		d := start.AddDays(i)
		g := groups[i/91%40]
		if i%91 == 0 {
			put(d, 0, &Group{Group: g, Name: fmt.Sprint("Batch ", i/91), Sex: Hens, Hatched: d.AddDays(-150)})
			put(d, 1, &BirdsIn{Group: g, Number: 12, How: "bought", Pen: fmt.Sprint("pen ", i%4)})
		}
		for j := range perDay {
			switch {
			case j%9 == 8:
				put(d, 10+j, &Feed{What: FeedOpened, Feed: "layer pellets", Kg: 2})
			case j%13 == 12:
				put(d, 10+j, &Note{Text: "a note of some length about nothing in particular"})
			case j == 1 && i%40 == 0:
				put(d, 10+j, &BirdsOut{Group: g, Number: 1, How: "taken", Predator: "fox"})
			default:
				put(d, 10+j, &Eggs{Number: rng.IntN(9), Pen: fmt.Sprint("pen ", j%4)})
			}
		}
	}
	return events
}

func TestAHundredThousandRecordsAreReplayedInAMoment(t *testing.T) {
	events := longBook(100_000)
	rand.New(rand.NewPCG(3, 4)).Shuffle(len(events), func(i, j int) { events[i], events[j] = events[j], events[i] })
	start := time.Now()
	b := Replay(events, measure.Date{})
	took := time.Since(start)
	t.Logf("%d records in %v, %d findings", len(b.Records), took, len(b.Findings))
	// A fifth of a second on a plain machine; the bound only catches what grows
	// with the square of the records, also on a slow one with the race detector.
	if took > 15*time.Second {
		t.Errorf("%d records took %v", len(b.Records), took)
	}
}

func BenchmarkReplay(b *testing.B) {
	events := longBook(100_000)
	SortEvents(events)
	b.ReportAllocs()
	for b.Loop() {
		Replay(events, measure.Date{})
	}
}

// A reader that has seen the records before makes the same book of them as one
// that has not.
func TestReaderThatRemembersMakesTheSameBook(t *testing.T) {
	events := longBook(8000)
	var r Reader
	r.Replay(events[:6000], measure.Date{})
	got, want := r.Replay(events, measure.Date{}), Replay(events, measure.Date{})
	if len(got.Records) != len(want.Records) || len(got.Findings) != len(want.Findings) || got.Through != want.Through {
		t.Fatalf("%d records and %d findings, want %d and %d", len(got.Records), len(got.Findings), len(want.Records), len(want.Findings))
	}
	for i := range got.Records {
		if !reflect.DeepEqual(got.Records[i], want.Records[i]) {
			t.Fatalf("record %d differs", i)
		}
	}
}
