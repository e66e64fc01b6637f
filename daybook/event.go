package daybook

import (
	"encoding/json"
	"time"

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
