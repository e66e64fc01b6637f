package daybook

import (
	"encoding/json"
	"reflect"
	"testing"

	"henyear/measure"
)

// Whatever a file holds, an import answers with a sentence or with records that
// may be written down, and with the same ones each time.
func FuzzOldTablesNeverBreakTheImport(f *testing.F) {
	for _, seed := range []string{
		"Date,Eggs\n2026-03-01,7\n", "Datum;Eier;Futter kg\n4.3.26;7;1,5\n13.4.26;;25,5\n", "\xff\xfed\x00,\x00", "Date,Eggs,Died,Group\n1/2/26,NaN,1,x\n", "a\tb\n\"",
		"Month|Hens|Eggs\nNov 2010|315|3363\n", "\xef\xbb\xbfDate,Feed (lb),Weight\n1066-10-14,4 lb 3 oz,9999999999999999999\n", "Date,Eggs\n\x00\x01\x02,=1+1\n", "PK\x03\x04",
	} {
		f.Add([]byte(seed), uint8(0))
	}
	f.Fuzz(func(t *testing.T, file []byte, how uint8) {
		o := ImportOptions{Today: day("2026-11-25"), Group: []string{"", "Hens"}[how&1], FromCounts: how&2 != 0,
			DateOrder: []string{"", DayFirst, MonthFirst, YearFirst}[how>>2&3], Decimal: []string{"", ","}[how>>4&1], Units: []measure.Units{"", measure.US}[how>>5&1]}
		p, err := PreviewImport(file, o)
		if err != nil {
			if len(err.Error()) > 1000 {
				t.Fatalf("a long error: %v", err)
			}
			return
		}
		for _, e := range p.Events {
			if err := Validate(e); err != nil {
				t.Fatalf("%+v: %v", e, err)
			}
		}
		again, _ := PreviewImport(file, o)
		if !reflect.DeepEqual(p.Events, again.Events) {
			t.Fatal("the second import differs")
		}
		b := Replay(p.Events, measure.Date{})
		if len(b.Unread) > 0 {
			t.Fatalf("%+v", b.Findings)
		}
		if _, err := ExportTables(p.Events); err != nil {
			t.Fatal(err)
		}
	})
}

// Whatever a payload holds, it is decoded, refused with a sentence, or carried.
func FuzzPayloadsNeverBreakTheBook(f *testing.F) {
	for _, p := range samplePayloads() {
		text, _ := encode(p)
		f.Add(p.Kind(), 1, text)
	}
	f.Add("eggs", 9, []byte(`{"number":1e400}`))
	f.Add("eggs", 1, []byte(`{"number":NaN}`))
	f.Add("group", 1, []byte(`{"group":"00","hatched":"1066-10-14"}`))
	f.Fuzz(func(t *testing.T, kind string, version int, payload []byte) {
		e := Event{ID: ID{1}, Kind: kind, Version: version, HappenedOn: day("2026-03-11"), RecordedAt: at("2026-03-11T20:00:00Z"), Payload: payload}
		err := Validate(e)
		if err != nil && len(err.Error()) > 1000 {
			t.Fatalf("a long error: %v", err)
		}
		p, decodeErr := Decode(e)
		if err == nil && Understood(kind, version) && decodeErr != nil {
			t.Fatalf("valid, but: %v", decodeErr)
		}
		if decodeErr == nil && err == nil {
			if _, err := json.Marshal(p); err != nil {
				t.Fatal(err)
			}
		}
		Describe(e, Names{})
		b := Replay([]Event{e}, day("2026-03-31"))
		b.Measures(Period{From: day("2026-03-01"), Through: day("2026-03-31")}, Scope{})
		b.Differences()
		if CheckEnvelope(e) != nil {
			return
		}
		tables, err := ExportTables([]Event{e})
		if err != nil {
			t.Fatal(err)
		}
		back, refused := ImportTables(tables)
		if len(refused) > 0 || len(back) != 1 || string(back[0].Payload) != string(compacted(payload)) {
			t.Fatalf("%s came back as %+v, %v", payload, back, refused)
		}
	})
}

// Whatever stands in tables and lines, reading them answers in sentences.
func FuzzTablesAndLinesNeverBreakTheReading(f *testing.F) {
	tables, _ := ExportTables(sampleEvents(f))
	for _, table := range tables {
		f.Add(table.Name, table.CSV)
	}
	f.Add("other.csv", []byte("id,happened_on,recorded_at,version,kind,as_written\n"))
	f.Fuzz(func(t *testing.T, name string, file []byte) {
		events, refused := ImportTables([]Table{{name, file}})
		lines, _ := ImportLines(file)
		for _, e := range append(events, lines...) {
			if err := CheckEnvelope(e); err != nil {
				t.Fatal(err)
			}
		}
		for _, r := range refused {
			if len(r.Error()) > 1000 {
				t.Fatalf("a long error: %v", r)
			}
		}
	})
}
