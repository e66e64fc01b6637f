package daybook

import (
	"encoding/json"
	"errors"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"henyear/measure"
)

func TestIdentifiersAreReadBackAsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		id := ID(rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "bits"))
		back, err := ParseID(id.String())
		if err != nil || back != id {
			t.Fatalf("%s came back as %s (%v)", id, back, err)
		}
		text, _ := json.Marshal(id)
		var read ID
		if err := json.Unmarshal(text, &read); err != nil || read != id {
			t.Fatalf("%s came back from JSON as %s (%v)", id, read, err)
		}
	})
}

func TestWrongIdentifiersAreRefusedWithTheReason(t *testing.T) {
	for text, why := range map[string]string{
		"":                                  "0 characters",
		"abc":                               "3 characters",
		strings.Repeat("a", 33):             "33 characters",
		strings.Repeat("g", 32):             "letters a to f",
		strings.Repeat("ä", 16):             "letters a to f",
		strings.Repeat("x", 1_000_000):      "1000000 characters",
		"{" + strings.Repeat("0", 32) + "}": "34 characters",
	} {
		if _, err := ParseID(text); err == nil || !strings.Contains(err.Error(), why) || len(err.Error()) > 300 {
			t.Errorf("%.40q: %v", text, err)
		}
	}
	if id, err := ParseID(strings.ToUpper(idOf("x").String())); err != nil || id != idOf("x") {
		t.Errorf("capital letters: %v", err)
	}
}

func TestARecordOfEveryKindIsReadBackAsWritten(t *testing.T) {
	seen := map[string]bool{}
	for _, e := range sampleEvents(t) {
		seen[e.Kind] = true
		text, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		var back Event
		if err := json.Unmarshal(text, &back); err != nil {
			t.Fatal(err)
		}
		if again, _ := json.Marshal(back); string(again) != string(text) {
			t.Errorf("%s\ncame back as\n%s", text, again)
		}
		if err := Validate(back); err != nil {
			t.Errorf("%s: %v", text, err)
		}
		p, err := Decode(back)
		if err != nil {
			t.Fatal(err)
		}
		if payload, _ := encode(p); string(payload) != string(e.Payload) {
			t.Errorf("%s\nbecame\n%s", e.Payload, payload)
		}
	}
	for _, k := range Kinds() {
		if !seen[k.Name] {
			t.Errorf("no sample of %q", k.Name)
		}
		if k.blank().Kind() != k.Name {
			t.Errorf("%q is called %q by its payload", k.Name, k.blank().Kind())
		}
	}
}

// Every field of every kind must be in a sample, so that the round trips above and
// below leave none out.
func TestTheSamplesFillEveryField(t *testing.T) {
	for _, k := range Kinds() {
		filled := map[string]bool{}
		for _, p := range samplePayloads() {
			if p.Kind() != k.Name {
				continue
			}
			v := reflect.ValueOf(p).Elem()
			for i := range v.NumField() {
				if !v.Field(i).IsZero() {
					filled[v.Type().Field(i).Name] = true
				}
			}
		}
		typ := reflect.TypeOf(k.blank()).Elem()
		for i := range typ.NumField() {
			if name := typ.Field(i).Name; !filled[name] {
				t.Errorf("no sample of %q fills %s", k.Name, name)
			}
		}
	}
}

func TestEveryKindIsDescribedInOnePlainLine(t *testing.T) {
	names := Names{Groups: map[ID]string{idOf("flock"): "Sussex 2025"}, Birds: map[ID]string{idOf("hen"): "Speckle"}}
	for _, e := range sampleEvents(t) {
		s := Describe(e, names)
		if s.Code == "" || s.Text == "" || strings.ContainsAny(s.Text, "\n\t") || strings.Contains(s.Text, "%!") || strings.Contains(s.Text, "  ") {
			t.Errorf("%s: %+v", e.Kind, s)
		}
		if _, err := json.Marshal(s); err != nil {
			t.Errorf("%s: %v", e.Kind, err)
		}
	}
	got := Describe(sampleEvents(t)[0], names).Text
	want := "12 eggs of size large of sussex from Sussex 2025, laid in 2 days, 1 more broken, 2 more eaten by the hens, 3 of them set aside for hatching, 58.5 g each."
	if got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestWrongRecordsAreRefusedWithTheFieldAndTheReason(t *testing.T) {
	good := sampleEvents(t)[0]
	for _, c := range []struct {
		name   string
		change func(e *Event)
		want   string
	}{
		{"no identifier", func(e *Event) { e.ID = ID{} }, "id: "},
		{"no kind", func(e *Event) { e.Kind = "" }, "kind: "},
		{"odd kind", func(e *Event) { e.Kind = "../eggs" }, "kind: "},
		{"version 0", func(e *Event) { e.Version = 0 }, "version: "},
		{"no date", func(e *Event) { e.HappenedOn = measure.Date{} }, "happened_on: "},
		{"1066", func(e *Event) { e.HappenedOn = measure.Date{Year: 1066, Month: 10, Day: 14} }, "happened_on: "},
		{"29 February 2026", func(e *Event) { e.HappenedOn = measure.Date{Year: 2026, Month: 2, Day: 29} }, "happened_on: "},
		{"tomorrow's egg", func(e *Event) { e.HappenedOn = day("2026-03-20") }, "lies after the day"},
		{"corrects itself", func(e *Event) { e.Supersedes = []ID{e.ID} }, "supersedes: "},
		{"corrects twice", func(e *Event) { e.Supersedes = []ID{idOf("a"), idOf("a")} }, "supersedes: "},
		{"payload is a list", func(e *Event) { e.Payload = json.RawMessage("[]") }, "payload: "},
		{"payload is cut off", func(e *Event) { e.Payload = json.RawMessage(`{"number":1`) }, "payload: "},
		{"payload is binary", func(e *Event) { e.Payload = json.RawMessage("{\"note\":\"\xff\xfe\"}") }, "payload: "},
		{"payload is huge", func(e *Event) { e.Payload = json.RawMessage(`{"note":"` + strings.Repeat("x", 70_000) + `"}`) }, "payload: "},
		{"half an egg", func(e *Event) { e.Payload = json.RawMessage(`{"number":1.5}`) }, "number: "},
		{"eggs in words", func(e *Event) { e.Payload = json.RawMessage(`{"number":"six"}`) }, "number: "},
		{"minus eggs", func(e *Event) { e.Payload = json.RawMessage(`{"number":-1}`) }, "number: "},
		{"a million eggs", func(e *Event) { e.Payload = json.RawMessage(`{"number":1000000}`) }, "number: "},
		{"misspelt field", func(e *Event) { e.Payload = json.RawMessage(`{"number":1,"colour":"blue"}`) }, "colour"},
		{"bad group", func(e *Event) { e.Payload = json.RawMessage(`{"number":1,"group":"abc"}`) }, "identifier"},
		{"more set aside than laid", func(e *Event) { e.Payload = json.RawMessage(`{"number":1,"set_aside":2}`) }, "set_aside: "},
		{"strike of nothing", func(e *Event) { e.Kind, e.Payload = "strike", json.RawMessage(`{}`) }, "supersedes: "},
		{"control characters", func(e *Event) { e.Payload = json.RawMessage(`{"number":1,"pen":"a\u0000b"}`) }, "pen: "},
	} {
		e := good
		c.change(&e)
		if err := Validate(e); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func TestRecordsOfNewerProgramsPassAndAreSaidNotToBeUnderstood(t *testing.T) {
	e := sampleEvents(t)[0]
	e.Kind, e.Payload = "egg_colour", json.RawMessage(`{"shade":7}`)
	newer := sampleEvents(t)[0]
	newer.Version, newer.Payload = 99, json.RawMessage(`{"number":"six or so"}`)
	for _, e := range []Event{e, newer} {
		if err := Validate(e); err != nil {
			t.Error(err)
		}
		if _, err := Decode(e); !errors.Is(err, ErrNotUnderstood) {
			t.Error(err)
		}
		if s := Describe(e, Names{}); s.Code != "not-understood" || !strings.Contains(s.Text, e.Kind) {
			t.Errorf("%+v", s)
		}
	}
}

func TestEventsSortByDayThenByWritingThenByIdentifier(t *testing.T) {
	a, b, c, d := Event{HappenedOn: day("2026-01-01"), RecordedAt: at("2026-02-01T00:00:00Z"), ID: ID{9}},
		Event{HappenedOn: day("2026-01-02"), RecordedAt: at("2026-01-02T08:00:00Z"), ID: ID{8}},
		Event{HappenedOn: day("2026-01-02"), RecordedAt: at("2026-01-02T09:00:00Z"), ID: ID{1}},
		Event{HappenedOn: day("2026-01-02"), RecordedAt: at("2026-01-02T09:00:00Z"), ID: ID{2}}
	rapid.Check(t, func(t *rapid.T) {
		events := rapid.Permutation([]Event{a, b, c, d}).Draw(t, "events")
		SortEvents(events)
		if !reflect.DeepEqual(events, []Event{a, b, c, d}) {
			t.Fatal(events)
		}
	})
}
