package daybook

import (
	"bytes"
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// difficult are events whose payloads do not fit columns exactly.
func difficult(t testing.TB) []Event {
	events := sampleEvents(t)
	odd := func(name, kind string, version int, payload string) {
		e := events[0]
		e.ID, e.Kind, e.Version, e.Payload = idOf(name), kind, version, json.RawMessage(payload)
		events = append(events, e)
	}
	odd("newer", "eggs", 3, `{"number":"about six","shade":[1,2,{"a":null}]}`)
	odd("unknown", "egg_colour", 1, `{"shade":"<blue> & =1+1"}`)
	odd("extra field", "eggs", 1, `{"number":5,"colour":"blue"}`)
	odd("explicit zero", "eggs", 1, `{"number":5,"broken":0}`)
	odd("other order", "eggs", 1, `{"broken":1,"number":5}`)
	odd("twice", "eggs", 1, `{"number":5,"number":6}`)
	odd("wrong", "eggs", 1, `{"number":-5}`)
	odd("no number", "eggs", 1, `{"number":"five"}`)
	odd("large number", "eggs", 1, `{"number":5,"mean_g":58.50}`)
	odd("line end", "note", 1, `{"text":"one\r\ntwo"}`)
	odd("null", "eggs", 1, `{"number":5,"note":null}`)
	odd("empty list", "note", 1, `{"text":"x","photos":[]}`)
	for i, text := range []string{"=1+1", "+1", "-1", "@x", "'x", "''", "'=x", "|calc", ";=1+1;", "a,b", "\"", "x\ny", "\t=1", "＝1", " x ", "a\u2028", "<b>&"} {
		e, err := New(idOf("formula"+text), day("2026-03-11"), at("2026-03-11T20:00:00Z"), ID{}, "", &Note{Text: text})
		if err != nil {
			t.Fatal(i, err)
		}
		if !strings.ContainsAny(text, "\n\t\u2028") {
			e.Author = text
		}
		e.Supersedes = []ID{idOf("a"), idOf("b")}
		events = append(events, e)
	}
	return events
}

func TestRecordsComeBackFromTablesAndGoOutAgainByteForByte(t *testing.T) {
	events := difficult(t)
	tables, err := ExportTables(events)
	if err != nil {
		t.Fatal(err)
	}
	back, refused := ImportTables(tables)
	for _, r := range refused {
		t.Error(r)
	}
	want := slices.Clone(events)
	SortEvents(want)
	if d := cmp.Diff(want, back); d != "" {
		t.Error(d)
	}
	slices.Reverse(back)
	again, err := ExportTables(append(back, back...))
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(tables, again); d != "" {
		t.Error(d)
	}
}

func TestRecordsComeBackFromLinesAndGoOutAgainByteForByte(t *testing.T) {
	events := difficult(t)
	lines, err := ExportLines(events)
	if err != nil {
		t.Fatal(err)
	}
	back, refused := ImportLines(lines)
	want := slices.Clone(events)
	SortEvents(want)
	if d := cmp.Diff(want, back); d != "" || len(refused) > 0 {
		t.Error(d, refused)
	}
	slices.Reverse(back)
	if again, _ := ExportLines(back); !bytes.Equal(again, lines) {
		t.Error("the second export differs")
	}
	if !json.Valid(bytes.Split(lines, []byte("\n"))[0]) || bytes.Count(lines, []byte("\n")) != len(events) {
		t.Error("not one JSON object a line")
	}
}

func TestNoCellOfATableIsAFormula(t *testing.T) {
	tables, err := ExportTables(difficult(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, table := range tables {
		rows, err := readRows(string(table.CSV), ',', 1000)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rows {
			for _, c := range r.cells {
				if _, err := strconv.ParseFloat(c, 64); c != "" && err != nil && strings.ContainsRune("=+-@\t\r＝", firstRune(c)) {
					t.Errorf("%s line %d: %q", table.Name, r.line, c)
				}
			}
		}
	}
}

func TestTextsOfAnySortSurviveATable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOfN(rapid.RuneFrom([]rune("=+-@'\",;\n\r\t |aä\u0000\u2028＝&<")), 1, 12, -1).Draw(t, "text")
		payload, _ := encode(map[string]string{"text": text})
		e := Event{ID: ID{1}, Kind: "note", Version: 1, HappenedOn: day("2026-03-11"), RecordedAt: at("2026-03-11T20:00:00Z"), Payload: payload}
		tables, err := ExportTables([]Event{e})
		if err != nil {
			t.Fatal(err)
		}
		back, refused := ImportTables(tables)
		if len(refused) > 0 || len(back) != 1 || string(back[0].Payload) != string(payload) {
			t.Fatalf("%q: %v\n%s", payload, refused, tables[0].CSV)
		}
	})
}

func TestTablesSavedByASpreadsheetAreReadAsWell(t *testing.T) {
	b := &notebook{t: t}
	b.write("2026-03-10", &Eggs{Number: 7, Note: "größer, \"schöner\""})
	tables, err := ExportTables(b.events)
	if err != nil {
		t.Fatal(err)
	}
	semicolons := strings.ReplaceAll(string(tables[0].CSV), ",", ";")
	semicolons = strings.Replace(semicolons, "größer;", "größer,", 1)
	wide := utf16.Encode([]rune("\ufeff" + semicolons))
	var utf16LE []byte
	for _, u := range wide {
		utf16LE = append(utf16LE, byte(u), byte(u>>8))
	}
	for name, file := range map[string][]byte{"semicolons with a mark": []byte("\ufeff" + semicolons), "UTF-16": utf16LE} {
		back, refused := ImportTables([]Table{{"eggs.csv", file}})
		if len(refused) > 0 || len(back) != 1 || string(back[0].Payload) != string(b.events[0].Payload) {
			t.Errorf("%s: %v %s", name, refused, file)
		}
	}
}

func TestLinesThatCannotBeReadAreRefusedWithTheirNumber(t *testing.T) {
	tables, _ := ExportTables(sampleEvents(t)[:2])
	good := string(tables[0].CSV)
	lines := strings.SplitAfter(good, "\n")
	for name, c := range map[string]struct{ file, name, want string }{
		"half an egg":    {lines[0] + strings.Replace(lines[1], ",12,", ",12.5,", 1), "eggs.csv", "line 2: number: \"12.5\" is not a whole number"},
		"too few cells":  {lines[0] + "x,y\n", "eggs.csv", "line 2: there are 2 cells"},
		"no id":          {lines[0] + strings.Replace(lines[1], idOf("event 0").String(), "", 1), "eggs.csv", "line 2: id: "},
		"unknown column": {strings.Replace(lines[0], ",pen,", ",stall,", 1), "eggs.csv", "\"stall\""},
		"unknown table":  {good, "../eggs.csv", "not a table of the daybook"},
		"binary":         {"PK\x03\x04", "eggs.csv", "save it as CSV"},
		"empty":          {"", "eggs.csv", "empty"},
	} {
		events, refused := ImportTables([]Table{{c.name, []byte(c.file)}})
		if len(events) != 0 || len(refused) != 1 || !strings.Contains(refused[0].Error(), c.want) {
			t.Errorf("%s: %v", name, refused)
		}
	}
	if _, refused := ImportLines([]byte("{}\nnot json\n")); len(refused) != 2 || refused[1].Line != 2 {
		t.Error(refused)
	}
}
