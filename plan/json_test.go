package plan

import (
	"encoding/json"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"
)

// sound writes a plan as JSON, which fails where a figure is no number, and
// reads it back.
func sound(p *Plan) error {
	text, err := json.Marshal(p)
	if err != nil {
		return fmt.Errorf("cannot be written: %w", err)
	}
	return json.Unmarshal(text, new(Plan))
}

// tags lists the names of all fields that JSON of a type may hold.
func tags(t reflect.Type, into map[string]bool) {
	switch t.Kind() {
	case reflect.Slice, reflect.Array, reflect.Pointer:
		tags(t.Elem(), into)
	case reflect.Struct:
		if t.PkgPath() == "henyear/measure" && t.Name() == "Date" {
			return // written as text
		}
		for i := range t.NumField() {
			f := t.Field(i)
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			if name == "-" || !f.IsExported() {
				continue
			}
			if name == "" {
				name = f.Name
			}
			into[name] = true
			tags(f.Type, into)
		}
	}
}

func TestEveryFieldOfTheJSONIsInTheManual(t *testing.T) {
	text, err := os.ReadFile("../docs/json.md")
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{}
	tags(reflect.TypeFor[Plan](), names)
	tags(reflect.TypeFor[BreedYear](), names)
	for name := range names {
		if !strings.Contains(string(text), "`"+name+"`") {
			t.Errorf("docs/json.md does not name %s", name)
		}
	}
}
