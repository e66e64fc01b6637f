package daybook

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"henyear/measure"
)

// ID names an event, a batch, a bird or a device: 128 random bits made by whoever
// writes the record, so that the same record sent twice is known again.
type ID [16]byte

// Event is one record of the daybook. Events are only ever added: a correction
// is a new event that supersedes the old, a withdrawal is an event too. The flock
// and every measure are computed from the events in the order of happened_on,
// recorded_at, id.
type Event struct {
	ID         ID              `json:"id"`
	Kind       string          `json:"kind"`
	Version    int             `json:"version"` // of the payload of this kind
	HappenedOn measure.Date    `json:"happened_on"`
	RecordedAt time.Time       `json:"recorded_at"` // UTC, set by the device that made the record
	Device     ID              `json:"device"`
	Author     string          `json:"author,omitempty"`
	Supersedes []ID            `json:"supersedes,omitempty"` // the records that this one corrects or withdraws
	Payload    json.RawMessage `json:"payload"`
}

// Bounds of an envelope. They keep a damaged or hostile record from filling the
// memory of a small machine; no honest record comes near them.
const (
	MostPayloadBytes = 64 << 10
	MostSuperseded   = 1000
	mostKindBytes    = 64
	mostAuthorBytes  = 200
	mostVersion      = 1000
)

// Compare puts events in the order in which they are applied: by the day on which
// they happened, then by when they were recorded, then by ID. It returns -1, 0
// or 1; 0 only for events with the same three.
func (e Event) Compare(other Event) int { return compareEvents(&e, &other) }

func compareEvents(a, b *Event) int {
	if c := compareDates(a.HappenedOn, b.HappenedOn); c != 0 {
		return c
	}
	if c := a.RecordedAt.Compare(b.RecordedAt); c != 0 {
		return c
	}
	return a.ID.Compare(b.ID)
}

func compareDates(a, b measure.Date) int {
	if c := cmp.Compare(a.Year, b.Year); c != 0 {
		return c
	}
	if c := cmp.Compare(a.Month, b.Month); c != 0 {
		return c
	}
	return cmp.Compare(a.Day, b.Day)
}

// SortEvents puts events in the order of Compare, in place.
func SortEvents(events []Event) {
	slices.SortStableFunc(events, func(a, b Event) int { return compareEvents(&a, &b) })
}

// CheckEnvelope tells whether an event can be kept and carried: whatever holds
// for records of every kind, also of kinds that this program does not know. The
// payload must be one JSON object of at most 64 KiB, in UTF-8. The error is a
// sentence that names the field.
func CheckEnvelope(e Event) error {
	switch {
	case e.ID.IsZero():
		return errors.New("id: the record has no identifier")
	case !plainName(e.Kind):
		return fmt.Errorf("kind: %q cannot be the name of a kind of record; it is made of small letters and _ only", shorten(e.Kind))
	case e.Version < 1 || e.Version > mostVersion:
		return fmt.Errorf("version: %d is not a version; versions count from 1", e.Version)
	case e.HappenedOn.IsZero():
		return errors.New("happened_on: say on which day it happened")
	}
	if _, err := measure.ParseDate(e.HappenedOn.String()); err != nil {
		return fmt.Errorf("happened_on: %w", err)
	}
	if err := checkRecordedAt(e); err != nil {
		return err
	}
	if len(e.Author) > mostAuthorBytes || !utf8.ValidString(e.Author) || strings.ContainsFunc(e.Author, unicode.IsControl) {
		return fmt.Errorf("author: %q is not a name; write one line of at most %d letters", shorten(e.Author), mostAuthorBytes)
	}
	if err := checkSuperseded(e); err != nil {
		return err
	}
	return checkPayloadForm(e.Payload)
}

func plainName(kind string) bool {
	return kind != "" && len(kind) <= mostKindBytes && strings.Trim(kind, "abcdefghijklmnopqrstuvwxyz_") == ""
}

func checkRecordedAt(e Event) error {
	if e.RecordedAt.IsZero() {
		return errors.New("recorded_at: the record does not say when it was written")
	}
	if _, offset := e.RecordedAt.Zone(); offset != 0 {
		return errors.New("recorded_at: the time is not in UTC; write it with a Z at its end")
	}
	if y := e.RecordedAt.Year(); y < 1900 || y > 2199 {
		return fmt.Errorf("recorded_at: the year %d is outside 1900 to 2199; set the clock of the device", y)
	}
	return nil
}

func checkSuperseded(e Event) error {
	if len(e.Supersedes) > MostSuperseded {
		return fmt.Errorf("supersedes: one record corrects at most %d others, not %d", MostSuperseded, len(e.Supersedes))
	}
	seen := map[ID]bool{}
	for _, id := range e.Supersedes {
		switch {
		case id.IsZero():
			return errors.New("supersedes: the identifier of the corrected record is empty")
		case id == e.ID:
			return errors.New("supersedes: a record cannot correct itself")
		case seen[id]:
			return fmt.Errorf("supersedes: %s is named twice", id)
		}
		seen[id] = true
	}
	return nil
}

func checkPayloadForm(payload json.RawMessage) error {
	if len(payload) > MostPayloadBytes {
		return fmt.Errorf("payload: the record is larger than %d KiB; keep pictures as files and long stories in several notes", MostPayloadBytes>>10)
	}
	text := bytes.TrimLeft(payload, " \t\r\n")
	if len(text) == 0 || text[0] != '{' || !json.Valid(payload) || !utf8.Valid(payload) {
		return errors.New("payload: the content is not one JSON object in UTF-8")
	}
	return nil
}

// Validate tells whether an event may be written down: its envelope is sound, it
// did not happen after the day on which it was recorded (one day is allowed for
// time zones), and its payload is one that the kind allows. Kinds and versions
// that this program does not know pass when the envelope is sound. The error is a
// sentence that names the field and says what to do.
func Validate(e Event) error {
	if err := CheckEnvelope(e); err != nil {
		return err
	}
	if last := measure.DateOf(e.RecordedAt).AddDays(1); compareDates(e.HappenedOn, last) > 0 {
		return fmt.Errorf("happened_on: %s lies after the day on which the record was written; mend the date, or the clock of the device", e.HappenedOn)
	}
	return validatePayload(e)
}
