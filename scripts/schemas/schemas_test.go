package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"henyear/advise"
	"henyear/calendar"
	"henyear/chance"
	"henyear/daybook"
	"henyear/examples"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
	"henyear/report"
	"henyear/source"
)

const root = "../.."

func TestSchemasAreUpToDate(t *testing.T) {
	made, err := generate(root)
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range made {
		for _, folder := range folders {
			got, err := os.ReadFile(filepath.Join(root, folder, name+".json"))
			if err != nil || !bytes.Equal(got, want) {
				t.Errorf("%s/%s.json is not up to date (%v); run go run ./scripts/schemas", folder, name, err)
			}
		}
		if _, served := report.Schema(name); !served {
			t.Errorf("%s is not built into the program", name)
		}
	}
	if len(report.SchemaNames()) != len(made) {
		t.Errorf("%v are built into the program, %d are made", report.SchemaNames(), len(made))
	}
}

// Fields are only ever added.
func TestNoPublishedFieldIsGone(t *testing.T) {
	published, err := readFields(root)
	if err != nil || len(published) < 300 {
		t.Fatal(len(published), err)
	}
	var now []string
	for _, name := range report.SchemaNames() {
		schema, _ := report.Schema(name)
		list, err := fieldsOf(name, schema)
		if err != nil {
			t.Fatal(err)
		}
		now = append(now, list...)
	}
	for _, f := range published {
		if !slices.Contains(now, f) {
			t.Errorf("%s was published and is gone: raise the format, and go on reading the old one", f)
		}
	}
	for _, f := range now {
		if !slices.Contains(published, f) {
			t.Errorf("%s is new and not in the list; run go run ./scripts/schemas", f)
		}
	}
}

// compiled reads a schema as its standard has it, formats of dates included.
func compiled(t *testing.T, name string) *jsonschema.Schema {
	t.Helper()
	text, _ := report.Schema(name)
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(name, err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	c.DefaultDraft(jsonschema.Draft2020)
	if err := c.AddResource(name+".json", doc); err != nil {
		t.Fatal(name, err)
	}
	s, err := c.Compile(name + ".json")
	if err != nil {
		t.Fatal(name, err)
	}
	return s
}

func TestEverySchemaIsOneOfDraft2020(t *testing.T) {
	for _, name := range report.SchemaNames() {
		text, _ := report.Schema(name)
		var head struct {
			Schema string `json:"$schema"`
			Title  string `json:"title"`
		}
		if err := json.Unmarshal(text, &head); err != nil || head.Schema != "https://json-schema.org/draft/2020-12/schema" || head.Title == "" {
			t.Errorf("%s: %v %+v", name, err, head)
		}
		compiled(t, name)
		if strings.Contains(string(text), "\"true\"") {
			t.Errorf("%s", name)
		}
	}
}

// again reads a file into the type of an answer, and writes it as the program
// does today.
func again(t *testing.T, file string, into any) any {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(root, file))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, into); err != nil {
		t.Fatal(file, err)
	}
	return written(t, into)
}

func written(t *testing.T, value any) any {
	t.Helper()
	text, err := json.Marshal(value)
	if err != nil {
		t.Fatal(err)
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func fits(t *testing.T, name string, value any) {
	t.Helper()
	if err := compiled(t, name).Validate(value); err != nil {
		t.Errorf("%s: %v", name, err)
	}
}

func TestRealAnswersFitTheirSchemasAndBrokenOnesDoNot(t *testing.T) {
	schema := compiled(t, "plan")
	for _, file := range []string{"report/testdata/plan.json", "chance/testdata/valley-plan.json"} {
		fits(t, "plan", again(t, file, &plan.Plan{}))
	}
	fits(t, "plan", written(t, &plan.Plan{Format: 1}))
	answer := report.OddsAnswer{Format: report.OddsFormat, Odds: &chance.Odds{}, Matters: &chance.Matters{}, Surer: &advise.Surer{}, Confined: &advise.Confinement{}}
	again(t, "report/testdata/odds.json", answer.Odds)
	again(t, "report/testdata/matters.json", answer.Matters)
	again(t, "report/testdata/surer.json", answer.Surer)
	again(t, "report/testdata/confined.json", answer.Confined)
	fits(t, "odds", written(t, answer))
	breeds := report.BreedsAnswer{Format: report.BreedsFormat}
	again(t, "report/testdata/breeds.json", &breeds.Breeds)
	fits(t, "breeds", written(t, breeds))
	checks, err := plan.Evidence()
	if err != nil {
		t.Fatal(err)
	}
	evidence := report.EvidenceAnswer{Format: report.EvidenceFormat, Sources: source.All()}
	for _, c := range checks {
		evidence.Checks = append(evidence.Checks, report.EvidenceRow{Check: c, Pass: c.Pass()})
	}
	fits(t, "evidence", written(t, evidence))
	broken(t, schema)
}

// broken spoils a plan in several ways, none of which may fit.
func broken(t *testing.T, schema *jsonschema.Schema) {
	t.Helper()
	for name, spoil := range map[string]func(map[string]any){
		"another format": func(p map[string]any) { p["format"] = json.Number("2") },
		"no weeks":       func(p map[string]any) { delete(p, "weeks") },
		"a wrong date":   func(p map[string]any) { p["from"] = "2026-02-30" },
		"a text for eggs": func(p map[string]any) {
			p["weeks"].([]any)[0].(map[string]any)["eggs_expected"] = "many"
		},
		"half a cent": func(p map[string]any) {
			p["weeks"].([]any)[0].(map[string]any)["money_minor"] = json.Number("1.5")
		},
	} {
		p := again(t, "report/testdata/plan.json", &plan.Plan{}).(map[string]any)
		spoil(p)
		if schema.Validate(p) == nil {
			t.Errorf("a plan with %s fits the schema", name)
		}
	}
	p := again(t, "report/testdata/plan.json", &plan.Plan{}).(map[string]any)
	p["added_later"] = "yes"
	if err := schema.Validate(p); err != nil {
		t.Errorf("a field that a newer program adds does not fit: %v", err)
	}
}

func TestTheWorkAndThePlaceOfAHoldingFitTheirSchemas(t *testing.T) {
	text, err := examples.Get(examples.Demo)
	if err != nil {
		t.Fatal(err)
	}
	h, _, err := holding.ReadOn(text, "example", measure.Date{Year: 2026, Month: 1, Day: 1})
	if err != nil {
		t.Fatal(err)
	}
	var p plan.Plan
	again(t, "chance/testdata/valley-plan.json", &p)
	list, err := calendar.Of(calendar.Input{Holding: h, Plan: &p, Today: p.From.AddDays(40)})
	if err != nil {
		t.Fatal(err)
	}
	if len(list.Tasks) == 0 {
		t.Error("no work")
	}
	fits(t, "work", written(t, list))
	fits(t, "place", written(t, report.PlaceOf(h, &p)))
	fits(t, "place", written(t, report.PlaceOf(h, nil)))
}

func TestRecordsOfEveryKindFitTheSchemaOfARecord(t *testing.T) {
	day := measure.Date{Year: 2026, Month: 3, Day: 1}
	days := 7
	schema := compiled(t, "record")
	id := daybook.ID{1}
	for _, p := range []daybook.Payload{
		&daybook.Eggs{Number: 7, MeanG: 61.5}, &daybook.EggsOut{Number: 6, How: "sold", ReceivedMinor: 200}, &daybook.Group{Group: id, Name: "Old hens", Sex: "hens"},
		&daybook.BirdsIn{Group: id, Number: 3, How: "bought", PaidMinor: 4500, Birds: []daybook.ID{{2}, {3}, {4}}}, &daybook.Note{Text: "a note"},
		&daybook.Butchered{Group: id, Number: 1, Each: []daybook.Carcass{{LiveG: 2500, DressedG: 1700}}}, &daybook.Weighing{Group: id, EachG: []float64{2400}},
		&daybook.Feed{What: "bought", Feed: "pellets", Kg: 20}, &daybook.Treatment{Product: "drops", EggDays: &days, MeatDays: &days, All: true},
	} {
		e, err := daybook.New(daybook.ID{9}, day, time.Date(2026, 3, 1, 18, 30, 0, 0, time.UTC), daybook.ID{}, "Ann", p)
		if err != nil {
			t.Fatal(p.Kind(), err)
		}
		fits(t, "record", written(t, e))
		e.Payload = json.RawMessage(`{"number":"five","kg":"much","name":1,"text":2,"each_g":"x","product":0,"how":3,"group":7}`)
		if schema.Validate(written(t, e)) == nil {
			t.Errorf("%s: nonsense fits the schema", e.Kind)
		}
		e.Kind = "of_a_newer_program"
		if err := schema.Validate(written(t, e)); err != nil {
			t.Errorf("a record of a newer program does not fit: %v", err)
		}
	}
}
