package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"path"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/invopop/jsonschema"

	"henyear/calendar"
	"henyear/daybook"
	"henyear/measure"
	"henyear/plan"
	"henyear/report"
)

// An answer is one thing that the program hands out.
type answer struct {
	name, title string
	value       any
	format      int // 0: the answer does not carry one
}

var answers = []answer{
	{"plan", "A plan (henyear plan --json, /plan.json)", plan.Plan{}, 1},
	{"breeds", "The year with each breed (henyear breeds --json, /breeds.json)", report.BreedsAnswer{}, report.BreedsFormat},
	{"odds", "The odds of a plan (henyear odds --json, /odds.json)", report.OddsAnswer{}, report.OddsFormat},
	{"place", "A place (henyear place --json)", report.PlaceAnswer{}, 1},
	{"improve", "Changes to a place (henyear improve --json)", report.ImproveAnswer{}, report.ImproveFormat},
	{"evidence", "Published values against the program's (henyear evidence --json)", report.EvidenceAnswer{}, report.EvidenceFormat},
	{"work", "The dated work (henyear tables, work.json)", calendar.List{}, calendar.Format},
	{"record", "One record of the daybook: a line of records.jsonl", daybook.Event{}, 0},
}

// describedIn are the folders whose comments become descriptions.
var describedIn = []string{"plan", "chance", "advise", "report", "daybook", "calendar", "measure", "source", "housing", "climate", "bird", "breed", "butcher", "holding"}

// generate makes every schema, by name.
func generate(root string) (map[string][]byte, error) {
	comments := map[string]string{}
	for _, folder := range describedIn {
		if err := commentsOf(filepath.Join(root, folder), "henyear/"+folder, comments); err != nil {
			return nil, err
		}
	}
	made := map[string][]byte{}
	for _, a := range answers {
		schema, err := a.schema(comments)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", a.name, err)
		}
		made[a.name] = schema
	}
	return made, nil
}

// schema makes the schema of one answer.
func (a answer) schema(comments map[string]string) ([]byte, error) {
	types := map[string]reflect.Type{}
	r := &jsonschema.Reflector{
		BaseSchemaID:              "https://henyear.invalid/schema",
		Anonymous:                 true,
		AllowAdditionalProperties: true, // fields are added, and readers pass over those they do not know
		CommentMap:                comments,
		Mapper:                    mapped,
		Namer: func(t reflect.Type) string {
			if t.Name() == "" {
				return "" // lists and the like stand where they are used
			}
			name := path.Base(t.PkgPath()) + "_" + t.Name()
			types[name] = t
			return name
		},
	}
	s := r.Reflect(a.value)
	s.Title = a.title
	for name, def := range s.Definitions {
		if t := types[name]; t != nil && t.Kind() == reflect.Struct {
			finish(def, t)
		}
	}
	if a.name == "record" {
		if err := addPayloads(r, s, types); err != nil {
			return nil, err
		}
	}
	if a.format > 0 {
		def := s.Definitions[path.Base(reflect.TypeOf(a.value).PkgPath())+"_"+reflect.TypeOf(a.value).Name()]
		if def == nil {
			return nil, fmt.Errorf("no definition of the answer itself")
		}
		format, found := def.Properties.Get("format")
		if !found {
			return nil, fmt.Errorf("the answer has no format")
		}
		format.Const, format.Type = a.format, "integer"
		format.Description = "raised when a field is taken away or changes its meaning"
	}
	return pretty(s)
}

// mapped are the types that write themselves as a text.
func mapped(t reflect.Type) *jsonschema.Schema {
	switch t {
	case reflect.TypeFor[measure.Date]():
		return &jsonschema.Schema{Type: "string", Format: "date", Description: "civil date, ISO 8601"}
	case reflect.TypeFor[daybook.ID]():
		return &jsonschema.Schema{Type: "string", Pattern: "^([0-9a-f]{32})?$", Description: "128 bits in hexadecimal; empty for none"}
	case reflect.TypeFor[time.Time]():
		return &jsonschema.Schema{Type: "string", Format: "date-time", Description: "an instant in UTC"}
	case reflect.TypeFor[json.RawMessage]():
		return &jsonschema.Schema{Type: "object"}
	}
	return nil
}

// finish puts right what the types alone do not say: fields that are left out
// when empty, lists that are null when there is nothing in them, and dates that
// are an empty text when there is none.
func finish(def *jsonschema.Schema, t reflect.Type) {
	for f := range flatFields(t) {
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		p, found := def.Properties.Get(name)
		if name == "-" || !found {
			continue
		}
		leftOut := strings.Contains(options, "omit")
		if !leftOut && !slices.Contains(def.Required, name) {
			def.Required = append(def.Required, name)
		}
		if leftOut {
			continue
		}
		switch f.Type.Kind() {
		case reflect.Slice, reflect.Map, reflect.Pointer:
			if f.Type != reflect.TypeFor[json.RawMessage]() {
				orNull(p)
			}
		}
		if f.Type == reflect.TypeFor[measure.Date]() {
			p.AnyOf = []*jsonschema.Schema{{Type: "string", Format: "date"}, {Const: ""}}
			p.Type, p.Format = "", ""
			p.Description = strings.TrimSpace(p.Description + "; empty where there is none")
		}
	}
}

func orNull(p *jsonschema.Schema) {
	inner := *p
	inner.Description = ""
	*p = jsonschema.Schema{Description: p.Description, AnyOf: []*jsonschema.Schema{&inner, {Type: "null"}}}
}

// flatFields are the fields of a type as JSON has them, those of embedded types
// among them.
func flatFields(t reflect.Type) func(func(reflect.StructField) bool) {
	return func(yield func(reflect.StructField) bool) {
		for _, f := range reflect.VisibleFields(t) {
			if f.IsExported() && (!f.Anonymous || f.Tag.Get("json") != "") && !yield(f) {
				return
			}
		}
	}
}

// addPayloads says for each kind of record what its content is.
func addPayloads(r *jsonschema.Reflector, s *jsonschema.Schema, types map[string]reflect.Type) error {
	event := s.Definitions["daybook_Event"]
	if event == nil {
		return fmt.Errorf("no definition of a record")
	}
	for _, k := range daybook.Kinds() {
		t := reflect.TypeOf(daybook.BlankOf(k)).Elem()
		content := r.ReflectFromType(t)
		for name, def := range content.Definitions {
			if s.Definitions[name] == nil {
				s.Definitions[name] = def
				if t := types[name]; t != nil && t.Kind() == reflect.Struct {
					finish(def, t)
				}
			}
		}
		kind, payload, version := jsonschema.NewProperties(), jsonschema.NewProperties(), jsonschema.NewProperties()
		kind.Set("kind", &jsonschema.Schema{Const: k.Name})
		version.Set("version", &jsonschema.Schema{Const: k.Version})
		kind.Set("version", &jsonschema.Schema{Const: k.Version})
		payload.Set("payload", &jsonschema.Schema{Ref: "#/$defs/daybook_" + t.Name()})
		event.AllOf = append(event.AllOf, &jsonschema.Schema{
			If:   &jsonschema.Schema{Properties: kind, Required: []string{"kind", "version"}},
			Then: &jsonschema.Schema{Properties: payload},
		})
	}
	return nil
}

var hole = regexp.MustCompile(`(?m)^\s+$`)

// pretty writes a schema with its parts in a fixed order.
func pretty(s *jsonschema.Schema) ([]byte, error) {
	s.ID = ""
	text, err := json.Marshal(s)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := json.Indent(&out, text, "", "  "); err != nil {
		return nil, err
	}
	out.WriteByte('\n')
	return hole.ReplaceAll(out.Bytes(), nil), nil
}

// fieldsOf lists the fields of a schema as name.definition.field.
func fieldsOf(name string, schema []byte) ([]string, error) {
	var read struct {
		Defs map[string]struct {
			Properties map[string]any `json:"properties"`
		} `json:"$defs"`
	}
	if err := json.Unmarshal(schema, &read); err != nil {
		return nil, err
	}
	var list []string
	for def, d := range read.Defs {
		for field := range d.Properties {
			list = append(list, name+"."+def+"."+field)
		}
	}
	slices.Sort(list)
	return list, nil
}
