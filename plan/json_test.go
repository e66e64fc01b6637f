package plan

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"henyear/measure"
	"henyear/source"
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

// typesOf gathers the types that JSON of a type is made of, by name.
func typesOf(t reflect.Type, into map[string]reflect.Type) {
	switch t.Kind() {
	case reflect.Slice, reflect.Array, reflect.Pointer:
		typesOf(t.Elem(), into)
	case reflect.Struct:
		if t == reflect.TypeFor[measure.Date]() {
			return // written as text
		}
		into[t.Name()] = t
		for i := range t.NumField() {
			if t.Field(i).Tag.Get("json") != "-" {
				typesOf(t.Field(i).Type, into)
			}
		}
	}
}

func manual(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../docs/json.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// sectionOf is what stands under a heading of the manual.
func sectionOf(text, heading string) string {
	_, rest, found := strings.Cut(text, "\n## "+heading+"\n")
	if !found {
		return ""
	}
	section, _, _ := strings.Cut(rest, "\n## ")
	return section
}

var backticked = regexp.MustCompile("`([^`]+)`")

// named lists what a section names first in the rows of its tables.
func named(section string) map[string]bool {
	out := map[string]bool{}
	for line := range strings.Lines(section) {
		if cells := strings.Split(line, "|"); len(cells) > 2 {
			for _, m := range backticked.FindAllStringSubmatch(cells[1], -1) {
				out[m[1]] = true
			}
		}
	}
	return out
}

func TestTheManualNamesEveryFieldOfTheJSONAndNoOther(t *testing.T) {
	text := manual(t)
	types := map[string]reflect.Type{}
	typesOf(reflect.TypeFor[Plan](), types)
	typesOf(reflect.TypeFor[BreedYear](), types)
	for name, kind := range types {
		fields := named(sectionOf(text, name))
		for i := range kind.NumField() {
			tag, _, _ := strings.Cut(kind.Field(i).Tag.Get("json"), ",")
			switch {
			case tag == "-":
			case tag == "":
				t.Errorf("%s.%s has no name in JSON", name, kind.Field(i).Name)
			case tag != strings.ToLower(tag):
				t.Errorf("%s.%s is not written in small letters", name, tag)
			case !fields[tag]:
				t.Errorf("docs/json.md does not explain %s of %s", tag, name)
			}
			delete(fields, tag)
		}
		for field := range fields {
			t.Errorf("docs/json.md explains %s of %s, which is not there", field, name)
		}
	}
}

var (
	saidCode  = regexp.MustCompile(`(?:say|over|add)\("([a-z][a-z-]+)", "`)
	otherCode = regexp.MustCompile(`say\("([a-z][a-z-]+)"|code(?:\)?) :?= "([a-z-]+)"`)
)

func TestTheManualNamesEveryCodeAndNoOther(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	said := map[string]bool{}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range saidCode.FindAllStringSubmatch(string(text), -1) {
			said[m[1]] = true
			if strings.Contains(m[0], "over(") {
				said[m[1]+"-help"] = true
			}
		}
		for _, m := range otherCode.FindAllStringSubmatch(string(text), -1) {
			said[m[1]+m[2]] = true
		}
	}
	known := map[string]bool{}
	for _, m := range backticked.FindAllStringSubmatch(sectionOf(manual(t), "Codes"), -1) {
		known[m[1]] = true
	}
	for code := range said {
		if !known[code] {
			t.Errorf("docs/json.md does not name the code %s", code)
		}
	}
	for _, where := range []string{"summary", "binding", "shortfalls", "help", "warnings", "not_considered", "reasons", "verdict"} {
		delete(known, where)
	}
	for code := range known {
		if !said[code] {
			t.Errorf("docs/json.md names the code %s, which nothing says", code)
		}
	}
}

// The fixed words of plans are those of the manual, and every code that a plan
// says is there.
func TestEveryFixedWordOfAPlanIsInTheManual(t *testing.T) {
	text := manual(t)
	has := func(t *testing.T, section, word string) {
		t.Helper()
		if !strings.Contains(sectionOf(text, section), "`"+word+"`") {
			t.Errorf("docs/json.md does not name %q under %s", word, section)
		}
	}
	eachPlan(t, func(t *testing.T, l lived) {
		p := l.plan
		if err := sound(p); err != nil {
			t.Error(err)
		}
		has(t, "Plan", p.Status)
		for _, b := range p.Batches {
			has(t, "Batch", b.Source)
			for _, f := range b.Fates {
				has(t, "Fate", f.What)
				has(t, "Fate", f.Sex)
			}
		}
		for _, k := range p.Tasks {
			has(t, "Task", k.Kind)
		}
		for _, b := range p.Binding {
			has(t, "Binding", b.Unit)
			has(t, "Codes", b.What.Code)
		}
		for _, s := range p.Shortfalls {
			has(t, "Shortfall", s.Unit)
			has(t, "Codes", s.What.Code)
			has(t, "Codes", s.Help.Code)
		}
		for _, w := range p.Weeks {
			for _, u := range w.Pens {
				has(t, "PenUse", u.Who)
			}
		}
		for _, list := range [][]Sentence{p.Summary, p.Warnings, p.NotConsidered, {p.Shop.Text}} {
			for _, s := range list {
				has(t, "Codes", s.Code)
				if _, known := source.Lookup(s.Source); s.Source != "" && !known {
					t.Errorf("%q rests on %s, which the bibliography lacks", s.Text, s.Source)
				}
				if strings.Contains(s.Text, "%!") || s.Text == "" {
					t.Errorf("%s says %q", s.Code, s.Text)
				}
			}
		}
	})
}

func TestAPlanReadBackIsThePlanThatWasWritten(t *testing.T) {
	eachPlan(t, func(t *testing.T, l lived) {
		text, err := json.Marshal(l.plan)
		if err != nil {
			t.Fatal(err)
		}
		var again Plan
		if err := json.Unmarshal(text, &again); err != nil {
			t.Fatal(err)
		}
		second, err := json.Marshal(&again)
		if err != nil || string(second) != string(text) {
			t.Errorf("the plan changes when it is read back (%v)", err)
		}
	})
}
