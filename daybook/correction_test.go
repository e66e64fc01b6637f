package daybook

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// written makes a record with its own moment of writing.
func written(t *testing.T, name, date, recorded string, p Payload, old ...ID) Event {
	t.Helper()
	e, err := New(idOf(name), day(date), at(recorded), idOf("phone"), "", p, old...)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func eggsOn(b *Book, date string) float64 {
	return b.EggsByDay(day(date), day(date), Scope{})[0].Usable
}

func TestACorrectionTakesThePlaceOfARecordWhichStaysReadable(t *testing.T) {
	a := written(t, "a", "2026-03-01", "2026-03-01T18:00:00Z", &Eggs{Number: 70})
	b := written(t, "b", "2026-03-01", "2026-03-02T18:00:00Z", &Eggs{Number: 7}, a.ID)
	c := written(t, "c", "2026-03-01", "2026-03-03T18:00:00Z", &Eggs{Number: 8}, b.ID)
	events := []Event{c, a, b}
	book := Replay(events, day("2026-03-05"))
	if got := eggsOn(book, "2026-03-01"); got != 8 {
		t.Errorf("%v eggs, want 8", got)
	}
	if book.StandingOf(a.ID) != Corrected || book.StandingOf(b.ID) != Corrected || book.StandingOf(c.ID) != Counts {
		t.Error("standings:", book.StandingOf(a.ID), book.StandingOf(b.ID), book.StandingOf(c.ID))
	}
	lines := History(events, b.ID, Names{})
	if len(lines) != 3 || lines[0].What.Text != "70 eggs." || lines[2].What.Text != "8 eggs." || lines[0].Standing != Corrected {
		t.Errorf("%+v", lines)
	}
	if len(book.Conflicts) > 0 {
		t.Error("a correction of a correction is no conflict")
	}
}

func TestAStrikeTakesARecordOutAndStrikingTheStrikePutsItBack(t *testing.T) {
	a := written(t, "a", "2026-03-01", "2026-03-01T18:00:00Z", &Eggs{Number: 7})
	s := written(t, "s", "2026-03-02", "2026-03-02T18:00:00Z", &Strike{Reason: "written twice"}, a.ID)
	u := written(t, "u", "2026-03-03", "2026-03-03T18:00:00Z", &Strike{}, s.ID)
	if book := Replay([]Event{a, s}, day("2026-03-05")); len(book.Records) != 0 || book.StandingOf(a.ID) != StruckOut {
		t.Error("the struck record still counts")
	}
	if book := Replay([]Event{a, s, u}, day("2026-03-05")); eggsOn(book, "2026-03-01") != 7 {
		t.Error("the record did not come back")
	}
	// Striking out a correction takes the record out altogether; what it had
	// replaced does not come back by itself.
	c := written(t, "c", "2026-03-01", "2026-03-02T18:00:00Z", &Eggs{Number: 9}, a.ID)
	x := written(t, "x", "2026-03-03", "2026-03-03T18:00:00Z", &Strike{}, c.ID)
	if book := Replay([]Event{a, c, x}, day("2026-03-05")); len(book.Records) != 0 {
		t.Error("a replaced record came back")
	}
}

func TestTwoDevicesThatCorrectTheSameRecordMakeAConflictInWhichTheLastWrittenCounts(t *testing.T) {
	a := written(t, "a", "2026-03-01", "2026-03-01T18:00:00Z", &Eggs{Number: 70})
	phone := written(t, "phone", "2026-03-01", "2026-03-02T08:00:00Z", &Eggs{Number: 7}, a.ID)
	tablet := written(t, "tablet", "2026-03-01", "2026-03-02T09:00:00Z", &Eggs{Number: 17}, a.ID)
	book := Replay([]Event{tablet, phone, a}, day("2026-03-05"))
	if got := eggsOn(book, "2026-03-01"); got != 17 {
		t.Errorf("%v eggs, want 17", got)
	}
	if len(book.Conflicts) != 1 || !slices.Equal(book.Conflicts[0].Versions, []ID{tablet.ID, phone.ID}) || !slices.Equal(book.Conflicts[0].Records, []ID{a.ID}) {
		t.Fatalf("%+v", book.Conflicts)
	}
	if book.StandingOf(phone.ID) != Waiting {
		t.Error("the other version should wait, not vanish")
	}
	if !slices.ContainsFunc(book.Findings, func(f Finding) bool { return f.What.Code == "conflict" }) {
		t.Error("nobody is told")
	}
	settled, err := book.Conflicts[0].Settle(&Eggs{Number: 7}, day("2026-03-01")).Event(idOf("settled"), at("2026-03-03T08:00:00Z"), ID{1}, "")
	if err != nil {
		t.Fatal(err)
	}
	book = Replay([]Event{tablet, phone, a, settled}, day("2026-03-05"))
	if eggsOn(book, "2026-03-01") != 7 || len(book.Conflicts) != 0 {
		t.Errorf("not settled: %+v", book.Conflicts)
	}
	// Striking out one of the two settles it as well.
	strike := written(t, "strike", "2026-03-03", "2026-03-03T08:00:00Z", &Strike{}, tablet.ID)
	if book = Replay([]Event{tablet, phone, a, strike}, day("2026-03-05")); eggsOn(book, "2026-03-01") != 7 {
		t.Errorf("%v eggs after striking the other version", eggsOn(book, "2026-03-01"))
	}
}

func TestVersionsThatSayTheSameAreNoConflict(t *testing.T) {
	a := written(t, "a", "2026-03-01", "2026-03-01T18:00:00Z", &Eggs{Number: 70})
	phone := written(t, "phone", "2026-03-01", "2026-03-02T08:00:00Z", &Eggs{Number: 7}, a.ID)
	tablet := written(t, "tablet", "2026-03-01", "2026-03-02T09:00:00Z", &Eggs{Number: 7}, a.ID)
	book := Replay([]Event{tablet, phone, a}, day("2026-03-05"))
	if eggsOn(book, "2026-03-01") != 7 || len(book.Conflicts) != 0 {
		t.Errorf("%v eggs, %+v", eggsOn(book, "2026-03-01"), book.Conflicts)
	}
}

func TestACorrectionAgainstAStrikeIsAConflictToo(t *testing.T) {
	a := written(t, "a", "2026-03-01", "2026-03-01T18:00:00Z", &Eggs{Number: 70})
	fixed := written(t, "fixed", "2026-03-01", "2026-03-02T08:00:00Z", &Eggs{Number: 7}, a.ID)
	gone := written(t, "gone", "2026-03-01", "2026-03-02T09:00:00Z", &Strike{}, a.ID)
	book := Replay([]Event{a, fixed, gone}, day("2026-03-05"))
	if len(book.Conflicts) != 1 || len(book.Records) != 0 {
		t.Errorf("%+v, %d records", book.Conflicts, len(book.Records))
	}
}

func TestRecordsThatCorrectEachOtherInACircleAreSaidAndDoNotStopTheBook(t *testing.T) {
	a := written(t, "a", "2026-03-01", "2026-03-01T18:00:00Z", &Eggs{Number: 1}, idOf("b"))
	b := written(t, "b", "2026-03-01", "2026-03-01T19:00:00Z", &Eggs{Number: 2}, idOf("a"))
	book := Replay([]Event{a, b}, day("2026-03-05"))
	if eggsOn(book, "2026-03-01") != 2 || !slices.ContainsFunc(book.Findings, func(f Finding) bool { return f.What.Code == "circle" }) {
		t.Errorf("%v eggs, %+v", eggsOn(book, "2026-03-01"), book.Findings)
	}
}

func TestALongChainOfCorrectionsIsQuick(t *testing.T) {
	var events []Event
	for i := range 20_000 {
		e, err := New(ID{1, byte(i >> 16), byte(i >> 8), byte(i)}, day("2026-03-01"), at("2026-03-01T18:00:00Z").Add(time.Duration(i)*time.Second), ID{1}, "", &Eggs{Number: i})
		if err != nil {
			t.Fatal(err)
		}
		if i > 0 {
			e.Supersedes = []ID{events[i-1].ID}
		}
		events = append(events, e)
	}
	start := time.Now()
	if got := eggsOn(Replay(events, day("2026-03-01")), "2026-03-01"); got != 19_999 {
		t.Errorf("%v eggs", got)
	}
	if took := time.Since(start); took > 2*time.Second {
		t.Errorf("took %v", took)
	}
}

func TestRecordsOfNewerProgramsAreKeptAndSaidNotToCount(t *testing.T) {
	a := written(t, "a", "2026-03-01", "2026-03-01T18:00:00Z", &Eggs{Number: 7})
	a.Version = 9
	book := Replay([]Event{a}, day("2026-03-05"))
	if len(book.Unread) != 1 || len(book.Records) != 0 || len(book.Findings) != 1 || !strings.Contains(book.Findings[0].What.Text, "newer program") {
		t.Errorf("%+v", book.Findings)
	}
	if string(book.Unread[0].Payload) != string(a.Payload) {
		t.Error("the record was changed")
	}
}
