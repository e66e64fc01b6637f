package daybook

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strings"
	"time"

	"henyear/measure"
)

// Payload is the content of a record of one kind. Each kind is a struct of this
// package; its fields with their units are the format of the records.
type Payload interface {
	// Kind is the lasting name of the kind.
	Kind() string
	// Validate names the first field that cannot be right, in a sentence.
	Validate() error

	describe(n Names) Sentence
}

// Kind is one kind of record that this program understands.
type Kind struct {
	Name    string // as in Event.Kind
	Version int    // the newest version understood; older ones are read too
	Title   string // what the record is called on a page
	blank   func() Payload
}

// kinds in the order in which a keeper meets them. A field that is added to a
// kind raises its version: older programs then know that they do not understand.
var kinds = []Kind{
	{"eggs", 1, "Eggs collected", func() Payload { return new(Eggs) }},
	{"eggs_out", 1, "Eggs used", func() Payload { return new(EggsOut) }},
	{"first_egg", 1, "First egg", func() Payload { return new(FirstEgg) }},
	{"group", 1, "Group", func() Payload { return new(Group) }},
	{"bird", 1, "Single bird", func() Payload { return new(Bird) }},
	{"birds_in", 1, "Birds in", func() Payload { return new(BirdsIn) }},
	{"birds_out", 1, "Birds out", func() Payload { return new(BirdsOut) }},
	{"butchered", 1, "Butchered", func() Payload { return new(Butchered) }},
	{"count", 1, "Count", func() Payload { return new(Count) }},
	{"move", 1, "Move", func() Payload { return new(Move) }},
	{"setting", 1, "Eggs set", func() Payload { return new(Setting) }},
	{"candling", 2, "Candling", func() Payload { return new(Candling) }},
	{"hatch", 2, "Hatch", func() Payload { return new(Hatch) }},
	{"weighing", 1, "Weighing", func() Payload { return new(Weighing) }},
	{"broody", 1, "Broody hen", func() Payload { return new(Broody) }},
	{"moult", 1, "Moult", func() Payload { return new(Moult) }},
	{"feed", 1, "Feed", func() Payload { return new(Feed) }},
	{"money", 1, "Money", func() Payload { return new(Money) }},
	{"treatment", 1, "Treatment", func() Payload { return new(Treatment) }},
	{"visitor", 1, "Visitor", func() Payload { return new(Visitor) }},
	{"quarantine", 1, "Quarantine", func() Payload { return new(Quarantine) }},
	{"task_done", 1, "Work done", func() Payload { return new(TaskDone) }},
	{"note", 1, "Note", func() Payload { return new(Note) }},
	{"strike", 1, "Struck out", func() Payload { return new(Strike) }},
}

var kindByName = func() map[string]*Kind {
	byName := map[string]*Kind{}
	for i := range kinds {
		byName[kinds[i].Name] = &kinds[i]
	}
	return byName
}()

// Kinds lists what this program understands, in the order of a keeper's day.
func Kinds() []Kind { return slices.Clone(kinds) }

// Understood reports whether a record of this kind and version can be read.
func Understood(kind string, version int) bool {
	k := kindByName[kind]
	return k != nil && version >= 1 && version <= k.Version
}

// ErrNotUnderstood marks a record of a kind or version that this program does not
// know: it is kept and carried through unharmed, but counts for nothing.
var ErrNotUnderstood = errors.New("written by a newer program")

// Decode reads the payload of an event without judging its figures. Fields that
// the kind does not have are passed over. The error wraps ErrNotUnderstood when
// the kind or version is not known; else it names the field that does not fit.
func Decode(e Event) (Payload, error) { return decode(e, false) }

func decode(e Event, strict bool) (Payload, error) {
	k := kindByName[e.Kind]
	switch {
	case k == nil:
		return nil, fmt.Errorf("kind: records called %q are not known here: %w", shorten(e.Kind), ErrNotUnderstood)
	case e.Version > k.Version || e.Version < 1:
		return nil, fmt.Errorf("version: this program reads records called %q up to version %d, not %d: %w", e.Kind, k.Version, e.Version, ErrNotUnderstood)
	}
	p := k.blank()
	if !strict {
		if err := json.Unmarshal(e.Payload, p); err != nil {
			return nil, explainJSON(err)
		}
		return p, nil
	}
	d := json.NewDecoder(bytes.NewReader(e.Payload))
	d.DisallowUnknownFields()
	if err := d.Decode(p); err != nil {
		return nil, explainJSON(err)
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, errors.New("payload: there is something after the record's content")
	}
	return p, nil
}

// explainJSON turns the reader's own messages into sentences.
func explainJSON(err error) error {
	var wrongType *json.UnmarshalTypeError
	if errors.As(err, &wrongType) {
		return fmt.Errorf("%s: a %s stands where %s is expected", wrongType.Field, wrongType.Value, wanted(wrongType.Type))
	}
	if field, found := strings.CutPrefix(err.Error(), "json: unknown field "); found {
		return fmt.Errorf("payload: there is no field %s in a record of this kind", field)
	}
	if strings.HasPrefix(err.Error(), "json:") || strings.Contains(err.Error(), "JSON") {
		return fmt.Errorf("payload: the content cannot be read (%s)", strings.TrimPrefix(err.Error(), "json: "))
	}
	return fmt.Errorf("payload: %w", err)
}

func wanted(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Int, reflect.Int64:
		return "a whole number"
	case reflect.Float64:
		return "a number"
	case reflect.Bool:
		return "true or false"
	case reflect.Slice:
		return "a list"
	case reflect.Struct:
		if t == reflect.TypeFor[measure.Date]() {
			return "a date"
		}
		return "an object"
	default:
		return "a text"
	}
}

func validatePayload(e Event) error {
	if !Understood(e.Kind, e.Version) {
		return nil
	}
	p, err := decode(e, true)
	if err != nil {
		return err
	}
	if _, isStrike := p.(*Strike); isStrike && len(e.Supersedes) == 0 {
		return errors.New("supersedes: name the record that is struck out")
	}
	return p.Validate()
}

// New makes an event of a payload and validates it. The identifier and the
// moment come from the caller; supersedes names the records that it corrects.
func New(id ID, happenedOn measure.Date, recordedAt time.Time, device ID, author string, p Payload, supersedes ...ID) (Event, error) {
	k := kindByName[p.Kind()]
	if k == nil {
		return Event{}, fmt.Errorf("kind: records called %q are not known here", p.Kind())
	}
	if err := p.Validate(); err != nil { // before JSON, which has no word for a number that is none
		return Event{}, err
	}
	text, err := encode(p)
	if err != nil {
		return Event{}, err
	}
	e := Event{ID: id, Kind: k.Name, Version: k.Version, HappenedOn: happenedOn, RecordedAt: recordedAt.UTC(),
		Device: device, Author: author, Supersedes: supersedes, Payload: text}
	return e, Validate(e)
}

// encode writes JSON as every export does: compact, in the order of the fields,
// with < > & as themselves.
func encode(v any) ([]byte, error) {
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return nil, explainJSON(err)
	}
	return bytes.TrimSuffix(text.Bytes(), []byte("\n")), nil
}
