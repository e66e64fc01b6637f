package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"henyear/daybook"
	"henyear/measure"
)

// MostEventsAtOnce bounds what one call takes: a phone that was away for a year
// has fewer records.
const MostEventsAtOnce = 2000

// Status tells what became of a record that was handed in.
type Status string

// A record that is New or Here is on the disk and counts. One that is
// Conflicting is on the disk too but does not count: another record with its
// identifier was there before it. One that is Refused was not kept.
const (
	New         Status = "new"
	Here        Status = "here"
	Conflicting Status = "conflicting"
	Refused     Status = "refused"
)

// Outcome says what became of one record of a batch.
type Outcome struct {
	ID       daybook.ID
	Status   Status
	Sequence int64 // of the record that counts under this identifier; 0 when refused
	Why      error // for whoever sent it; nil when new or here
}

// Received is a record as it lies in the file. Sequence counts the records in
// the order of their arrival, from 1 without a gap.
type Received struct {
	Sequence   int64
	ReceivedAt time.Time // UTC, by the clock of this computer
	Event      daybook.Event
}

// Conflict is a record that came with the identifier of another one and says
// something else. The first one counts. It is Settled once a correction of the
// first has arrived after it.
type Conflict struct {
	Number     int64
	Event      daybook.Event
	ReceivedAt time.Time
	Settled    bool
}

// AddEvents keeps a batch of records and says for each what became of it, in
// the same order. All that are kept are on the disk, together, when it returns
// without an error; after an error none is, and the batch can be sent again. A
// record that is sent twice, in one batch or in two, is kept once.
func (s *Store) AddEvents(ctx context.Context, events []daybook.Event, receivedAt time.Time) ([]Outcome, error) {
	if len(events) > MostEventsAtOnce {
		return nil, fmt.Errorf("%d records came at once; send at most %d", len(events), MostEventsAtOnce)
	}
	if len(events) == 0 {
		return nil, nil
	}
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return nil, s.explain("write into", err)
	}
	defer tx.Rollback()
	at := instant(receivedAt)
	outcomes := make([]Outcome, len(events))
	for i, e := range events {
		if outcomes[i], err = addEvent(ctx, tx, e, at); err != nil {
			return nil, s.explain("write into", err)
		}
	}
	if err := tx.Commit(); err != nil {
		return nil, s.explain("write into", err)
	}
	return outcomes, nil
}

func addEvent(ctx context.Context, tx *sql.Tx, e daybook.Event, receivedAt string) (Outcome, error) {
	if err := daybook.Validate(e); err != nil {
		return Outcome{e.ID, Refused, 0, err}, nil
	}
	r, err := rowOf(e)
	if err != nil {
		return Outcome{e.ID, Refused, 0, err}, nil
	}
	switch there, err := one(tx.QueryContext(ctx, selectEvents+` WHERE e.id = ?`, r.id)); {
	case errors.Is(err, ErrNone):
		sequence, err := r.insert(ctx, tx, receivedAt)
		if forbidden(err) { // of this record only; the others go on
			return Outcome{e.ID, Refused, 0, fmt.Errorf("the record cannot be kept: %w", err)}, nil
		}
		return Outcome{e.ID, New, sequence, nil}, err
	case err != nil:
		return Outcome{}, err
	case there.content() == r.content():
		return Outcome{e.ID, Here, there.sequence, nil}, nil
	default:
		why := fmt.Errorf("another record of %s was already kept under the identifier %s; yours is kept beside it and does not count: write a correction of the first one", there.happened, e.ID)
		return Outcome{e.ID, Conflicting, there.sequence, why}, r.insertConflict(ctx, tx, receivedAt)
	}
}

// row is a record as the table has it.
type row struct {
	sequence            int64
	id                  []byte
	kind                string
	version             int64
	happened, recorded  string
	device              []byte
	author, payload     string
	superseded          string // identifiers in hexadecimal digits, blanks between
	received            string
	number, lastCounted int64 // of a conflict
}

// rowOf puts a record whose envelope is sound into the form of the table.
func rowOf(e daybook.Event) (row, error) {
	var payload bytes.Buffer
	if err := json.Compact(&payload, e.Payload); err != nil {
		return row{}, fmt.Errorf("the record is not JSON: %w", err)
	}
	digits := make([]string, len(e.Supersedes))
	for i, id := range e.Supersedes {
		digits[i] = id.String()
	}
	return row{
		id: e.ID[:], kind: e.Kind, version: int64(e.Version),
		happened: e.HappenedOn.String(), recorded: instant(e.RecordedAt),
		device: e.Device[:], author: e.Author, payload: payload.String(), superseded: strings.Join(digits, " "),
	}, nil
}

func (r row) event() (daybook.Event, error) {
	e := daybook.Event{Kind: r.kind, Version: int(r.version), Author: r.author, Payload: json.RawMessage(r.payload)}
	copy(e.ID[:], r.id)
	copy(e.Device[:], r.device)
	var err error
	if e.HappenedOn, err = measure.ParseDate(r.happened); err != nil {
		return e, err
	}
	if e.RecordedAt, err = time.Parse(time.RFC3339Nano, r.recorded); err != nil {
		return e, err
	}
	for digits := range strings.FieldsSeq(r.superseded) {
		id, err := daybook.ParseID(digits)
		if err != nil {
			return e, err
		}
		e.Supersedes = append(e.Supersedes, id)
	}
	return e, nil
}

// content is the seal over what a record says, however its JSON is written:
// two records of the same content are one record sent twice.
func (r row) content() seal {
	return sealOf(r.id, r.kind, r.version, r.happened, r.recorded, r.device, r.author, sameWriting(r.payload), r.superseded)
}

// sameWriting puts the fields of a JSON text into one order.
func sameWriting(text string) string {
	decoder := json.NewDecoder(strings.NewReader(text))
	decoder.UseNumber()
	var v any
	if decoder.Decode(&v) != nil {
		return text
	}
	ordered, err := json.Marshal(v)
	if err != nil {
		return text
	}
	return string(ordered)
}

func (r row) seal() seal {
	return sealOf(r.sequence, r.id, r.kind, r.version, r.happened, r.recorded, r.device, r.author, r.payload, r.superseded, r.received)
}

func (r row) conflictSeal() seal {
	return sealOf(r.number, r.lastCounted, r.id, r.kind, r.version, r.happened, r.recorded, r.device, r.author, r.payload, r.superseded, r.received)
}

// insert adds a record as the next one.
func (r row) insert(ctx context.Context, tx *sql.Tx, receivedAt string) (int64, error) {
	if err := tx.QueryRowContext(ctx, `SELECT coalesce(max(sequence), 0) + 1 FROM events`).Scan(&r.sequence); err != nil {
		return 0, err
	}
	r.received = receivedAt
	s := r.seal()
	if _, err := tx.ExecContext(ctx, `INSERT INTO events
		(sequence, id, kind, version, happened_on, recorded_at, device, author, payload, received_at, seal)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		r.sequence, r.id, r.kind, r.version, r.happened, r.recorded, r.device, r.author, r.payload, r.received, s[:]); err != nil {
		return 0, err
	}
	for i, digits := range strings.Fields(r.superseded) {
		if _, err := tx.ExecContext(ctx, `INSERT INTO supersedes (sequence, position, superseded) VALUES (?, ?, unhex(?))`,
			r.sequence, i+1, digits); err != nil {
			return 0, err
		}
	}
	return r.sequence, nil
}

// insertConflict keeps a record that may not count, once.
func (r row) insertConflict(ctx context.Context, tx *sql.Tx, receivedAt string) error {
	content := r.content()
	var known int
	if err := tx.QueryRowContext(ctx, `SELECT count(*), (SELECT coalesce(max(number), 0) + 1 FROM conflicts),
		(SELECT max(sequence) FROM events) FROM conflicts WHERE content = ?`, content[:]).
		Scan(&known, &r.number, &r.lastCounted); err != nil || known > 0 {
		return err
	}
	return r.putConflict(ctx, tx, receivedAt)
}

// putConflict adds the row of a conflict whose number is known.
func (r row) putConflict(ctx context.Context, tx *sql.Tx, receivedAt string) error {
	r.received = receivedAt
	content, s := r.content(), r.conflictSeal()
	_, err := tx.ExecContext(ctx, `INSERT INTO conflicts
		(number, id, last_sequence, kind, version, happened_on, recorded_at, device, author, superseded, payload, received_at, content, seal)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		r.number, r.id, r.lastCounted, r.kind, r.version, r.happened, r.recorded, r.device, r.author, r.superseded, r.payload, r.received, content[:], s[:])
	return err
}

// selectEvents reads records; what follows it says which and in which order.
const selectEvents = `SELECT e.sequence, e.id, e.kind, e.version, e.happened_on, e.recorded_at, e.device, e.author, e.payload, e.received_at, e.seal,
	coalesce((SELECT group_concat(lower(hex(superseded)), ' ' ORDER BY position) FROM supersedes s WHERE s.sequence = e.sequence), '')
	FROM events e`

// eachEvent hands on the rows of a query that begins with selectEvents, once
// each has been held against its seal.
func eachEvent(rows *sql.Rows, err error, do func(row, seal) error) error {
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var r row
		var kept []byte
		if err := rows.Scan(&r.sequence, &r.id, &r.kind, &r.version, &r.happened, &r.recorded, &r.device, &r.author, &r.payload, &r.received, &kept, &r.superseded); err != nil {
			return err
		}
		right := r.seal()
		if !bytes.Equal(kept, right[:]) {
			return errBroken("record", r.sequence)
		}
		if err := do(r, right); err != nil {
			return err
		}
	}
	return rows.Err()
}

// one reads the only row of a query; ErrNone when there is none.
func one(rows *sql.Rows, err error) (row, error) {
	found, any := row{}, false
	err = eachEvent(rows, err, func(r row, _ seal) error {
		found, any = r, true
		return nil
	})
	if err == nil && !any {
		err = ErrNone
	}
	return found, err
}

func (s *Store) readEvents(ctx context.Context, rest string, args ...any) ([]Received, error) {
	var list []Received
	rows, err := s.read.QueryContext(ctx, selectEvents+rest, args...)
	err = eachEvent(rows, err, func(r row, _ seal) error {
		received, err := r.asReceived()
		list = append(list, received)
		return err
	})
	if err != nil {
		return nil, s.explain("read", err)
	}
	return list, nil
}

func (r row) asReceived() (Received, error) {
	e, err := r.event()
	if err != nil {
		return Received{}, err
	}
	at, err := time.Parse(time.RFC3339Nano, r.received)
	return Received{r.sequence, at, e}, err
}

// EventsSince returns the records that arrived after the one numbered sequence,
// in the order of their arrival, at most so many (0: all). With 0 it begins with
// the first record of all.
func (s *Store) EventsSince(ctx context.Context, sequence int64, atMost int) ([]Received, error) {
	return s.readEvents(ctx, ` WHERE e.sequence > ? ORDER BY e.sequence LIMIT ?`, sequence, limit(atMost))
}

// EventsBetween returns the records of what happened from the first day to the
// last, both included, ordered by day, the time of writing and identifier.
func (s *Store) EventsBetween(ctx context.Context, first, last measure.Date) ([]Received, error) {
	return s.readEvents(ctx, ` WHERE e.happened_on BETWEEN ? AND ? ORDER BY e.happened_on, e.recorded_at, e.id`, first.String(), last.String())
}

// LatestEvents returns the records that arrived last, the newest first, at most
// so many (0: all).
func (s *Store) LatestEvents(ctx context.Context, atMost int) ([]Received, error) {
	return s.readEvents(ctx, ` ORDER BY e.sequence DESC LIMIT ?`, limit(atMost))
}

// EventByID returns the record that counts under an identifier; ErrNone when
// there is none.
func (s *Store) EventByID(ctx context.Context, id daybook.ID) (Received, error) {
	r, err := one(s.read.QueryContext(ctx, selectEvents+` WHERE e.id = ?`, id[:]))
	if err != nil {
		return Received{}, s.explain("read", err)
	}
	return r.asReceived()
}

// LastSequence is the number of the record that arrived last; 0 when there is
// none.
func (s *Store) LastSequence(ctx context.Context) (int64, error) {
	var last int64
	err := s.read.QueryRowContext(ctx, `SELECT coalesce(max(sequence), 0) FROM events`).Scan(&last)
	return last, s.explain("read", err)
}

// limit is at most so many rows; the database takes -1 for all.
func limit(atMost int) int {
	if atMost <= 0 {
		return -1
	}
	return atMost
}

const selectConflicts = `SELECT c.number, c.last_sequence, c.id, c.kind, c.version, c.happened_on, c.recorded_at, c.device, c.author, c.payload, c.superseded, c.received_at, c.seal,
	EXISTS (SELECT 1 FROM supersedes s WHERE s.superseded = c.id AND s.sequence > c.last_sequence)
	FROM conflicts c`

func eachConflict(rows *sql.Rows, err error, do func(r row, settled bool, right seal) error) error {
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var r row
		var kept []byte
		var settled bool
		if err := rows.Scan(&r.number, &r.lastCounted, &r.id, &r.kind, &r.version, &r.happened, &r.recorded, &r.device, &r.author, &r.payload, &r.superseded, &r.received, &kept, &settled); err != nil {
			return err
		}
		right := r.conflictSeal()
		if !bytes.Equal(kept, right[:]) {
			return errBroken("conflicting record", r.number)
		}
		if err := do(r, settled, right); err != nil {
			return err
		}
	}
	return rows.Err()
}

// Conflicts returns the records that do not count because another one had their
// identifier, in the order of their arrival.
func (s *Store) Conflicts(ctx context.Context) ([]Conflict, error) {
	var list []Conflict
	rows, err := s.read.QueryContext(ctx, selectConflicts+` ORDER BY c.number`)
	err = eachConflict(rows, err, func(r row, settled bool, _ seal) error {
		received, err := r.asReceived()
		list = append(list, Conflict{r.number, received.Event, received.ReceivedAt, settled})
		return err
	})
	if err != nil {
		return nil, s.explain("read", err)
	}
	return list, nil
}
