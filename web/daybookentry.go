package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"henyear/daybook"
	"henyear/measure"
)

// A sheet is one form of the daybook: what a keeper writes down at once. The
// same table makes the form, reads it when scripts are off, shows an old record
// for correction, and tells the script how to make the record on the phone.
type sheet struct {
	code     string // of its words
	kind     string // of the record
	fields   []entryField
	newGroup bool // the birds may begin a group, described in the same form
	own      bool // opens with the page instead of behind its name
	keeper   bool // changes what others wrote, so a helper does not have it
}

// An entryField is one box. Its name is that of the field of the record.
type entryField struct {
	name, typ string
	need      bool
	few       bool     // always shown; the rest is behind "More"
	choices   []string // of the type choice
	usual     string
}

var entries = []sheet{
	{code: "eggs", kind: "eggs", own: true, fields: []entryField{
		{name: "number", typ: "tiles", need: true, few: true}, {name: "pen", typ: "pen"}, {name: "breed", typ: "breed"},
		{name: "broken", typ: "whole"}, {name: "set_aside", typ: "whole"}, {name: "eaten_by_hens", typ: "whole"},
		{name: "days", typ: "whole"}, {name: "mean_g", typ: "number"}, {name: "note", typ: "text"}}},
	{code: "loss", kind: "birds_out", fields: []entryField{
		{name: "how", typ: "choice", need: true, few: true, choices: []string{"died", "taken", "missing", "culled"}},
		{name: "number", typ: "whole", need: true, few: true, usual: "1"}, {name: "group", typ: "group", need: true, few: true},
		{name: "predator", typ: "text", few: true}, {name: "cause", typ: "text"}, {name: "since", typ: "date"}, {name: "pen", typ: "pen"}, {name: "note", typ: "text"}}},
	{code: "feed", kind: "feed", fields: []entryField{
		{name: "what", typ: "choice", need: true, few: true, choices: []string{"opened", "bought", "left", "thrown away"}},
		{name: "feed", typ: "feed", need: true, few: true}, {name: "kg", typ: "mass", need: true, few: true},
		{name: "paid_minor", typ: "money", few: true}, {name: "from", typ: "text"}, {name: "pen", typ: "pen"}, {name: "note", typ: "text"}}},
	{code: "count", kind: "count", fields: []entryField{
		{name: "number", typ: "whole", need: true, few: true}, {name: "group", typ: "some", few: true}, {name: "pen", typ: "pen", few: true},
		{name: "which", typ: "choice", choices: []string{"", "hens", "cocks", "unsexed"}}, {name: "note", typ: "text"}}},
	{code: "setting", kind: "setting", fields: []entryField{
		{name: "setting", typ: "fresh"}, {name: "eggs", typ: "whole", need: true, few: true},
		{name: "under", typ: "choice", need: true, few: true, choices: []string{"hen", "machine"}}, {name: "name", typ: "text", few: true},
		{name: "breed", typ: "breed", few: true}, {name: "laid_from", typ: "date"}, {name: "laid_to", typ: "date"},
		{name: "bought", typ: "tick"}, {name: "paid_minor", typ: "money"}, {name: "note", typ: "text"}}},
	{code: "candling", kind: "candling", fields: []entryField{
		{name: "setting", typ: "setting", need: true, few: true}, {name: "clear", typ: "whole", few: true}, {name: "dead", typ: "whole", few: true},
		{name: "broken", typ: "whole", few: true}, {name: "note", typ: "text"}}},
	{code: "hatch", kind: "hatch", newGroup: true, fields: []entryField{
		{name: "setting", typ: "setting", need: true, few: true}, {name: "chicks", typ: "whole", need: true, few: true}, {name: "group", typ: "group", few: true},
		{name: "culled", typ: "whole"}, {name: "clear", typ: "whole"}, {name: "dead_in_shell", typ: "whole"}, {name: "pipped_dead", typ: "whole"},
		{name: "pen", typ: "pen"}, {name: "note", typ: "text"}}},
	{code: "broody", kind: "broody", fields: []entryField{
		{name: "phase", typ: "choice", need: true, few: true, choices: []string{"begins", "ends"}}, {name: "group", typ: "group", need: true, few: true},
		{name: "number", typ: "whole", few: true, usual: "1"}, {name: "ended", typ: "choice", choices: []string{"", "broken", "hatched", "gave up"}}, {name: "note", typ: "text"}}},
	{code: "weighing", kind: "weighing", fields: []entryField{
		{name: "group", typ: "group", need: true, few: true}, {name: "each_g", typ: "weights", few: true},
		{name: "number", typ: "whole"}, {name: "mean_g", typ: "number"}, {name: "note", typ: "text"}}},
	{code: "butchered", kind: "butchered", fields: []entryField{
		{name: "group", typ: "group", need: true, few: true}, {name: "number", typ: "whole", need: true, few: true},
		{name: "dressed_kg", typ: "mass", few: true}, {name: "live_kg", typ: "mass"}, {name: "each", typ: "carcasses"},
		{name: "minutes", typ: "whole"}, {name: "note", typ: "text"}}},
	{code: "bought", kind: "birds_in", newGroup: true, fields: []entryField{
		{name: "how", typ: "choice", need: true, few: true, choices: []string{"bought", "given", "hatched", "returned", "on hand"}},
		{name: "number", typ: "whole", need: true, few: true}, {name: "group", typ: "group", need: true, few: true},
		{name: "paid_minor", typ: "money", few: true}, {name: "from", typ: "text"}, {name: "pen", typ: "pen"}, {name: "note", typ: "text"}}},
	{code: "sold", kind: "birds_out", fields: []entryField{
		{name: "how", typ: "choice", need: true, few: true, choices: []string{"sold", "given"}},
		{name: "number", typ: "whole", need: true, few: true}, {name: "group", typ: "group", need: true, few: true},
		{name: "received_minor", typ: "money", few: true}, {name: "to", typ: "text"}, {name: "pen", typ: "pen"}, {name: "note", typ: "text"}}},
	{code: "eggs_out", kind: "eggs_out", fields: []entryField{
		{name: "how", typ: "choice", need: true, few: true, choices: []string{"sold", "eaten", "given", "put by", "thrown away"}},
		{name: "number", typ: "whole", need: true, few: true}, {name: "received_minor", typ: "money", few: true},
		{name: "to", typ: "text"}, {name: "note", typ: "text"}}},
	{code: "treatment", kind: "treatment", fields: []entryField{
		{name: "product", typ: "text", need: true, few: true}, {name: "group", typ: "all", few: true}, {name: "last_dose", typ: "date", few: true},
		{name: "egg_days", typ: "whole", few: true}, {name: "meat_days", typ: "whole", few: true}, {name: "against", typ: "text"}, {name: "dose", typ: "text"},
		{name: "vet", typ: "text"}, {name: "note", typ: "text"}}},
	{code: "note", kind: "note", fields: []entryField{
		{name: "text", typ: "long", few: true}, {name: "photos", typ: "photo", few: true}, {name: "group", typ: "some"}, {name: "pen", typ: "pen"}}},
	{code: "move", kind: "move", fields: []entryField{
		{name: "group", typ: "group", need: true, few: true}, {name: "number", typ: "whole", few: true}, {name: "to_pen", typ: "pen", few: true},
		{name: "to_group", typ: "some", few: true}, {name: "from_pen", typ: "pen"}, {name: "note", typ: "text"}}},
	{code: "quarantine", kind: "quarantine", fields: []entryField{
		{name: "phase", typ: "choice", need: true, few: true, choices: []string{"begins", "ends"}}, {name: "group", typ: "group", need: true, few: true},
		{name: "days", typ: "whole", few: true}, {name: "reason", typ: "text"}, {name: "note", typ: "text"}}},
	{code: "first_egg", kind: "first_egg", fields: []entryField{
		{name: "group", typ: "group", need: true, few: true}, {name: "note", typ: "text"}}},
	{code: "moult", kind: "moult", fields: []entryField{
		{name: "phase", typ: "choice", need: true, few: true, choices: []string{"begins", "ends"}}, {name: "group", typ: "group", need: true, few: true},
		{name: "number", typ: "whole", few: true}, {name: "note", typ: "text"}}},
	{code: "visitor", kind: "visitor", fields: []entryField{
		{name: "who", typ: "text", need: true, few: true}, {name: "keeps_birds", typ: "tick", few: true}, {name: "touched", typ: "tick", few: true},
		{name: "pen", typ: "pen"}, {name: "note", typ: "text"}}},
	{code: "bird", kind: "bird", fields: []entryField{
		{name: "bird", typ: "fresh"}, {name: "ring", typ: "text", few: true}, {name: "name", typ: "text", few: true},
		{name: "sex", typ: "choice", few: true, choices: []string{"", "hen", "cock"}}, {name: "group", typ: "some", few: true},
		{name: "sire", typ: "bird"}, {name: "dam", typ: "bird"}, {name: "breed", typ: "breed"}, {name: "hatched", typ: "date"}, {name: "note", typ: "text"}}},
	{code: "money", kind: "money", keeper: true, fields: []entryField{
		{name: "way", typ: "choice", need: true, few: true, choices: []string{"out", "in"}}, {name: "amount_minor", typ: "money", need: true, few: true},
		{name: "for", typ: "text", need: true, few: true}, {name: "note", typ: "text"}}},
	{code: "group", kind: "group", keeper: true, fields: []entryField{
		{name: "group", typ: "fresh"}, {name: "name", typ: "text", need: true, few: true}, {name: "breed", typ: "breed", few: true},
		{name: "sex", typ: "choice", need: true, few: true, choices: []string{"hens", "cocks", "unsexed"}}, {name: "hatched", typ: "date", few: true},
		{name: "source", typ: "text"}, {name: "pen", typ: "pen"}, {name: "note", typ: "text"}}},
}

// entryFor finds the form of a code.
func entryFor(code string) (sheet, bool) {
	i := slices.IndexFunc(entries, func(e sheet) bool { return e.code == code })
	if i < 0 {
		return sheet{}, false
	}
	return entries[i], true
}

// entryOf finds the form that a record was written with; false for records that
// are only read.
func entryOf(kind string, payload map[string]any) (sheet, bool) {
	for _, e := range entries {
		if e.kind != kind {
			continue
		}
		i := slices.IndexFunc(e.fields, func(f entryField) bool { return f.name == "how" })
		if how, _ := payload["how"].(string); i < 0 || slices.Contains(e.fields[i].choices, how) {
			return e, true
		}
	}
	return sheet{}, false
}

// pocket is what the forms need to know of the flock.
type pocket struct {
	groups   []choice // with birds, the oldest first
	birds    []choice // known one by one, that are here
	settings []choice // not yet hatched
	pens     []string
	feeds    []string
	breeds   []string
	lastEggs int // of the last collection; 0 when there was none
	units    measure.Units
	currency measure.Currency
}

// entryView is a form as the template shows it.
type entryView struct {
	Code, Kind, Title        string
	Own, NewGroup, Set       bool
	Few, More                []entryFieldView
	On                       string // the day
	Fault                    string
	ID, SecondID, NewGroupID string
	Action, Send             string
	HasPhoto                 bool
	Version                  int
	Tiles                    *entryFieldView // the field whose figures stand as tiles
}

// entryFieldView is one box.
type entryFieldView struct {
	DOM, Name, Label, Hint, Type, Value, Unit string
	Factor                                    float64 // what the figure is multiplied by in the record; 0: none
	Need                                      bool
	Choices                                   []choice
	Tiles                                     []int
	Last                                      int
	Fault                                     string
}

// view makes the form. values are what was typed or recorded, by field.
func (e sheet) view(p pocket, values map[string]string, faults map[string]string, on measure.Date) entryView {
	v := entryView{Code: e.code, Kind: e.kind, Title: say("entry." + e.code), Own: e.own, NewGroup: e.newGroup, On: on.String(),
		ID: freshID().String(), SecondID: freshID().String(), NewGroupID: freshID().String(), Action: "/daybook/add", Send: say("daybook.save"), Fault: faults[""], Version: versionOfKind(e.kind)}
	for _, f := range e.fields {
		fv := f.view(e, p, values)
		fv.Fault = faults[f.name]
		if f.few || f.typ == "fresh" || fv.Fault != "" {
			v.Few = append(v.Few, fv)
		} else {
			v.More = append(v.More, fv)
		}
		if f.typ == "tiles" {
			v.Tiles = &fv
		}
		v.HasPhoto = v.HasPhoto || f.typ == "photo"
	}
	return v
}

func (f entryField) view(e sheet, p pocket, values map[string]string) entryFieldView {
	v := entryFieldView{DOM: e.code + "-" + f.name, Name: f.name, Label: f.words(e.code, ""), Type: f.typ, Need: f.need, Value: values[f.name]}
	if v.Value == "" && values == nil {
		v.Value = f.usual
	}
	v.Hint = f.words(e.code, ".hint")
	v.Factor, v.Unit = f.factor(p)
	add := func(value, label string) {
		v.Choices = append(v.Choices, choice{Value: value, Label: label, Chosen: value == v.Value})
	}
	switch f.typ {
	case "choice":
		for _, c := range f.choices {
			add(c, say("choice."+strings.ReplaceAll(c, " ", "_")))
		}
	case "group", "some", "all":
		if f.typ != "group" {
			add("", say("choice.flock"))
		}
		for _, g := range p.groups {
			add(g.Value, g.Label)
		}
		v.keep(add)
		if e.newGroup {
			add("new", say("choice.new"))
		}
	case "bird":
		add("", say("choice."))
		for _, x := range p.birds {
			add(x.Value, x.Label)
		}
		v.keep(add)
	case "setting":
		for _, s := range p.settings {
			add(s.Value, s.Label)
		}
		v.keep(add)
	case "fresh":
		if v.Value == "" {
			v.Value = freshID().String()
		}
	case "tiles":
		first := max(0, p.lastEggs-9)
		for n := first; n < first+20; n++ {
			v.Tiles = append(v.Tiles, n)
		}
		v.Last = p.lastEggs
	}
	return v
}

// keep adds a value that a record has but the list has no longer.
func (v *entryFieldView) keep(add func(value, label string)) {
	if v.Value != "" && v.Value != "new" && !slices.ContainsFunc(v.Choices, func(c choice) bool { return c.Value == v.Value }) {
		add(v.Value, say("choice.other", v.Value[:min(8, len(v.Value))]))
	}
}

// words are those of the field in this form, else those of the field in any.
func (f entryField) words(form, part string) string {
	for _, code := range []string{"entry." + form + "." + f.name + part, "entry.field." + f.name + part} {
		if text, ok := english[code]; ok {
			return text
		}
	}
	if part == "" {
		return f.name
	}
	return ""
}

// factor turns a typed figure into that of the record.
func (f entryField) factor(p pocket) (float64, string) {
	switch f.typ {
	case "money":
		return math.Pow10(p.currency.Exponent), p.currency.Code
	case "mass":
		if p.units == measure.US {
			return p.units.ToMetric(measure.MassKg, 1), "lb"
		}
		return 1, "kg"
	case "weights", "carcasses":
		return 1, "g"
	case "number":
		return 1, "g"
	}
	return 0, ""
}

// read makes the value of the record out of what was typed; nil when nothing was.
func (f entryField) read(text string, p pocket) (any, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		if f.need {
			return nil, errors.New(say("field.empty"))
		}
		return nil, nil
	}
	factor, _ := f.factor(p)
	switch f.typ {
	case "whole", "tiles":
		x, err := parseNumber(text, 0, 100000)
		if err == nil && x != math.Trunc(x) {
			err = errors.New(say("field.whole", text))
		}
		return int(x), err
	case "number":
		return parseNumber(text, 0, 1e6)
	case "mass":
		x, err := parseNumber(text, 0, 1e6)
		return measure.Significant(x*factor, 6), err
	case "money":
		x, err := parseNumber(text, 0, 1e9)
		return int64(math.Round(x * factor)), err
	case "tick":
		return text == "yes", nil
	case "date":
		d, err := measure.ParseDate(text)
		return d.String(), err
	case "weights", "carcasses":
		return f.readWeights(text)
	case "long":
		return strings.ReplaceAll(text, "\r\n", "\n"), nil
	}
	return text, nil
}

func (f entryField) readWeights(text string) (any, error) {
	each, birds := []float64{}, []map[string]float64{}
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ';' || r == '\n' || r == '\r' || r == '\t' }) {
		x, err := parseNumber(word, 0, 15000)
		if err != nil {
			return nil, err
		}
		each, birds = append(each, x), append(birds, map[string]float64{"dressed_g": x})
	}
	if f.typ == "carcasses" {
		return birds, nil
	}
	return each, nil
}

// show writes the value of a record as it stands in its box.
func (f entryField) show(v any, p pocket) string {
	factor, _ := f.factor(p)
	switch x := v.(type) {
	case nil:
		return ""
	case bool:
		if x {
			return "yes"
		}
		return ""
	case string:
		return x
	case json.Number:
		if factor == 0 || factor == 1 {
			return x.String()
		}
		n, _ := x.Float64()
		if f.typ == "money" {
			return strconv.FormatFloat(n/factor, 'f', p.currency.Exponent, 64)
		}
		return trim(n / factor)
	case []any:
		var words []string
		for _, one := range x {
			if m, is := one.(map[string]any); is {
				one = m["dressed_g"]
			}
			words = append(words, fmt.Sprint(one))
		}
		return strings.Join(words, " ")
	}
	return ""
}

// payload makes the content of a record. was is the content that is corrected,
// or nil; what the form does not have stays as it was.
func (e sheet) payload(sent url.Values, p pocket, was map[string]any) (map[string]any, map[string]string) {
	content, faults := map[string]any{}, map[string]string{}
	for name, v := range was {
		content[name] = v
	}
	for _, f := range e.fields {
		if f.typ == "photo" && sent.Get("photo_sha256") != "" {
			content[f.name] = []map[string]string{{"sha256": sent.Get("photo_sha256"), "media_type": sent.Get("photo_type")}}
		}
		if f.typ == "photo" || was != nil && f.show(was[f.name], p) == strings.TrimSpace(sent.Get(f.name)) {
			continue // pictures come apart; what was not touched stays as exact as it was
		}
		v, err := f.read(typedIn(f, sent), p)
		switch {
		case err != nil:
			faults[f.name] = err.Error()
		case v == nil || v == false:
			delete(content, f.name)
		default:
			content[f.name] = v
		}
		if f.typ == "all" {
			delete(content, "all")
			if v == nil {
				content["all"] = true
			}
		}
	}
	return content, faults
}

// typedIn is what stands in a box; beside the tiles of a number there is a box
// for any other number, which goes before.
func typedIn(f entryField, sent url.Values) string {
	if other := strings.TrimSpace(sent.Get("other_" + f.name)); f.typ == "tiles" && other != "" {
		return other
	}
	return sent.Get(f.name)
}

// groupPayload describes the group that the birds of a form begin.
func groupPayload(sent url.Values, e sheet, id daybook.ID, on measure.Date) map[string]any {
	content := map[string]any{"group": id.String(), "name": strings.TrimSpace(sent.Get("group_name")), "sex": sent.Get("group_sex")}
	for _, name := range []string{"breed", "hatched"} {
		if text := strings.TrimSpace(sent.Get("group_" + name)); text != "" {
			content[name] = text
		}
	}
	if e.kind == "hatch" {
		content["hatched"] = on.String()
	}
	return content
}

// events makes the records of a form that was sent without scripts: the record,
// and before it the description of a group that begins with it.
func (e sheet) events(sent url.Values, p pocket, at time.Time, author string) ([]daybook.Event, map[string]string) {
	content, faults := e.payload(sent, p, nil)
	on, err := measure.ParseDate(sent.Get("happened_on"))
	if err != nil {
		faults["happened_on"] = err.Error()
	}
	id, err := daybook.ParseID(sent.Get("id"))
	if err != nil {
		faults[""] = say("error.form")
	}
	if len(faults) > 0 {
		return nil, faults
	}
	var list []daybook.Event
	if e.newGroup && content["group"] == "new" {
		group, err1 := daybook.ParseID(sent.Get("new_group"))
		second, err2 := daybook.ParseID(sent.Get("second_id"))
		if err1 != nil || err2 != nil {
			return nil, map[string]string{"": say("error.form")}
		}
		content["group"] = group.String()
		list = append(list, rawEvent(second, "group", on, at, author, groupPayload(sent, e, group, on)))
	}
	list = append(list, rawEvent(id, e.kind, on, at, author, content))
	for _, event := range list {
		if err := daybook.Validate(event); err != nil {
			return nil, faultOfRecord(e, err)
		}
	}
	return list, nil
}

// faultOfRecord puts the sentence of the daybook beside the box that it names.
func faultOfRecord(e sheet, err error) map[string]string {
	name, sentence, found := strings.Cut(err.Error(), ": ")
	if found && slices.ContainsFunc(e.fields, func(f entryField) bool { return f.name == name }) {
		return map[string]string{name: capitalised(sentence)}
	}
	return map[string]string{"": capitalised(err.Error())}
}

func capitalised(sentence string) string {
	if sentence == "" {
		return ""
	}
	return strings.ToUpper(sentence[:1]) + strings.TrimSuffix(sentence[1:], ".") + "."
}

func rawEvent(id daybook.ID, kind string, on measure.Date, at time.Time, author string, content any) daybook.Event {
	b, err := json.Marshal(content)
	if err != nil {
		panic(err) // texts, numbers and lists of them
	}
	return daybook.Event{ID: id, Kind: kind, Version: versionOfKind(kind), HappenedOn: on, RecordedAt: at.UTC(), Author: author, Payload: b}
}

// versionOfKind is the newest form of a kind of record.
func versionOfKind(kind string) int {
	for _, k := range daybook.Kinds() {
		if k.Name == kind {
			return k.Version
		}
	}
	return 1
}
