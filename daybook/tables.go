package daybook

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"henyear/measure"
)

// Table is one file of an export.
type Table struct {
	Name string // eggs.csv
	CSV  []byte
}

// otherTable holds records that this program does not understand.
const otherTable = "other.csv"

// envelope is the columns that every table begins with.
var envelopeColumns = []string{"id", "happened_on", "recorded_at", "device", "author", "supersedes", "version"}

// asWritten is the last column: the content as JSON, for records that do not fit
// the columns exactly. When it is filled, the columns before it are for reading
// only.
const asWritten = "as_written"

// ExportTables writes events as one CSV table for each kind, in the order of the
// kinds, and other.csv for what this program does not understand. Rows are in the
// order of the book. The same events give the same bytes, whatever their order;
// no time of export is in them. ImportTables reads them back to the same events
// (payloads without blanks between their parts).
//
// Texts are written as Guarded has them. An event whose envelope is damaged is an
// error.
func ExportTables(events []Event) ([]Table, error) {
	list, clashes := inOrder(events)
	if len(clashes) > 0 {
		return nil, fmt.Errorf("two different records bear the identifier %s; strike one out first", clashes[0])
	}
	byTable := map[string][]*Event{}
	for i := range list {
		if err := CheckEnvelope(list[i]); err != nil {
			return nil, fmt.Errorf("record %s: %w", list[i].ID, err)
		}
		name := otherTable
		if Understood(list[i].Kind, list[i].Version) {
			name = list[i].Kind + ".csv"
		}
		byTable[name] = append(byTable[name], &list[i])
	}
	var tables []Table
	for _, k := range kinds {
		if of := byTable[k.Name+".csv"]; of != nil {
			tables = append(tables, Table{k.Name + ".csv", kindTable(k, of)})
		}
	}
	if of := byTable[otherTable]; of != nil {
		tables = append(tables, Table{otherTable, unknownTable(of)})
	}
	return tables, nil
}

// column is one field of a kind as it stands in a table.
type column struct {
	name     string
	index    int
	optional bool // left out of JSON when it is empty
}

func columnsOf(k Kind) []column {
	t := reflect.TypeOf(k.blank()).Elem()
	var list []column
	for i := range t.NumField() {
		name, rest, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		list = append(list, column{name, i, rest != ""})
	}
	return list
}

func kindTable(k Kind, events []*Event) []byte {
	columns := columnsOf(k)
	var out bytes.Buffer
	header := slices.Clone(envelopeColumns)
	for _, c := range columns {
		header = append(header, c.name)
	}
	WriteRow(&out, append(header, asWritten))
	for _, e := range events {
		p, err := Decode(*e)
		row := envelopeCells(e)
		fits := err == nil && Validate(*e) == nil
		for _, c := range columns {
			text := ""
			if err == nil {
				var whole bool
				text, whole = cellOf(reflect.ValueOf(p).Elem().Field(c.index), c.optional)
				fits = fits && whole
			}
			row = append(row, text)
		}
		written := compacted(e.Payload)
		if fits {
			again, err := encode(p)
			fits = err == nil && bytes.Equal(again, written)
		}
		if fits {
			written = nil
		}
		WriteRow(&out, append(row, string(written)))
	}
	return out.Bytes()
}

func unknownTable(events []*Event) []byte {
	var out bytes.Buffer
	WriteRow(&out, append(slices.Clone(envelopeColumns), "kind", asWritten))
	for _, e := range events {
		WriteRow(&out, append(envelopeCells(e), e.Kind, string(compacted(e.Payload))))
	}
	return out.Bytes()
}

func compacted(payload json.RawMessage) []byte {
	var out bytes.Buffer
	if json.Compact(&out, payload) != nil {
		return payload
	}
	return out.Bytes()
}

func envelopeCells(e *Event) []string {
	return []string{e.ID.String(), e.HappenedOn.String(), e.RecordedAt.UTC().Format(time.RFC3339Nano), idText(e.Device),
		Guarded(e.Author), joinIDs(e.Supersedes), strconv.Itoa(e.Version)}
}

func idText(id ID) string {
	text, _ := id.MarshalText() // never fails
	return string(text)
}

func joinIDs(ids []ID) string {
	texts := make([]string, len(ids))
	for i, id := range ids {
		texts[i] = id.String()
	}
	return strings.Join(texts, " ")
}

// cellOf writes one field; whole is false when a table cannot carry it exactly.
func cellOf(v reflect.Value, optional bool) (text string, whole bool) {
	if optional && v.IsZero() {
		return "", true
	}
	switch x := v.Interface().(type) {
	case string:
		// Readers of tables take line ends of every kind as one and trip over
		// other control characters, so those stand in as_written only.
		plain := strings.Map(printable, x)
		return Guarded(plain), plain == x
	case ID:
		return x.String(), true
	case []ID:
		return joinIDs(x), len(x) > 0
	case []float64:
		texts := make([]string, len(x))
		for i, f := range x {
			texts[i] = floatText(f)
		}
		return strings.Join(texts, " "), len(x) > 0
	case measure.Date:
		return x.String(), true
	case measure.Money:
		return strconv.FormatInt(int64(x), 10), true
	case *int:
		return strconv.Itoa(*x), true
	case int:
		return strconv.Itoa(x), true
	case float64:
		return floatText(x), true
	case bool:
		return strconv.FormatBool(x), true
	}
	list, err := encode(v.Interface())
	return string(list), err == nil
}

func printable(r rune) rune {
	if unicode.IsControl(r) && r != '\n' && r != '\t' {
		return -1
	}
	return r
}

func floatText(f float64) string { return strconv.FormatFloat(f, 'g', -1, 64) }

// Refusal is a line that was not read, and why.
type Refusal struct {
	File string   `json:"file,omitzero"`
	Line int      `json:"line"` // 0: the file as a whole
	What Sentence `json:"what"`
}

// Error makes a refusal an error for whoever wants one.
func (r Refusal) Error() string {
	switch {
	case r.Line == 0 && r.File == "":
		return r.What.Text
	case r.Line == 0:
		return r.File + ": " + r.What.Text
	case r.File == "":
		return fmt.Sprintf("line %d: %s", r.Line, r.What.Text)
	}
	return fmt.Sprintf("%s line %d: %s", r.File, r.Line, r.What.Text)
}

// mostRefused is how many lines of one file are refused before the rest is not
// looked at: a file like that is no table of the daybook.
const mostRefused = 1000

var errTooMany = fmt.Errorf("more than %d lines cannot be read; the rest was not looked at", mostRefused)

func refuse(file string, line int, err error) Refusal {
	return Refusal{file, line, say("not-read", map[string]any{"why": err.Error()}, "%s.", strings.TrimSuffix(err.Error(), "."))}
}

// ImportTables reads what ExportTables wrote, also after a spreadsheet saved it
// with other separators or encoding. Files may be missing; columns may stand in
// any order. It returns the events in order and one refusal for each line or file
// that it cannot read.
func ImportTables(tables []Table) ([]Event, []Refusal) {
	var events []Event
	var refused []Refusal
	for _, t := range tables {
		list, no := importTable(t)
		events = append(events, list...)
		refused = append(refused, no...)
	}
	SortEvents(events)
	return events, refused
}

func importTable(t Table) ([]Event, []Refusal) {
	kind, isCSV := strings.CutSuffix(t.Name, ".csv")
	k := kindByName[kind]
	if !isCSV || k == nil && t.Name != otherTable {
		return nil, []Refusal{refuse(t.Name, 0, errors.New("this file is not a table of the daybook"))}
	}
	text, _, err := decodeText(t.CSV, "", MostTableBytes)
	if err != nil {
		return nil, []Refusal{refuse(t.Name, 0, err)}
	}
	rows, err := readRows(text, guessDelimiter(firstLine(text)), mostTableRows)
	if err != nil || len(rows) == 0 {
		return nil, []Refusal{refuse(t.Name, 0, errors.Join(err, errors.New("the table has no lines that can be read")))}
	}
	fields := map[string]column{}
	if k != nil {
		for _, c := range columnsOf(*k) {
			fields[c.name] = c
		}
	}
	header := rows[0].cells
	if err := checkHeader(header, fields, k == nil); err != nil {
		return nil, []Refusal{refuse(t.Name, rows[0].line, err)}
	}
	var events []Event
	var refused []Refusal
	for _, r := range rows[1:] {
		e, err := rowEvent(k, header, fields, r.cells)
		if err != nil {
			refused = append(refused, refuse(t.Name, r.line, err))
			if len(refused) >= mostRefused {
				return events, append(refused, refuse(t.Name, 0, errTooMany))
			}
			continue
		}
		events = append(events, e)
	}
	return events, refused
}

func firstLine(text string) string {
	line, _, _ := strings.Cut(text, "\n")
	return line
}

func checkHeader(header []string, fields map[string]column, other bool) error {
	seen := map[string]bool{}
	for _, name := range header {
		_, known := fields[name]
		known = known || slices.Contains(envelopeColumns, name) || name == asWritten || other && name == "kind"
		switch {
		case !known:
			return fmt.Errorf("the column %q is not known in this table", shorten(name))
		case seen[name]:
			return fmt.Errorf("the column %q stands twice", name)
		}
		seen[name] = true
	}
	for _, name := range []string{"id", "happened_on", "recorded_at", "version"} {
		if !seen[name] {
			return fmt.Errorf("the column %q is missing", name)
		}
	}
	return nil
}

func rowEvent(k *Kind, header []string, fields map[string]column, cells []string) (Event, error) {
	if len(cells) != len(header) {
		return Event{}, fmt.Errorf("there are %d cells under %d columns", len(cells), len(header))
	}
	cell := map[string]string{}
	for i, name := range header {
		cell[name] = cells[i]
	}
	e, err := rowEnvelope(k, cell)
	if err != nil {
		return e, err
	}
	if text := cell[asWritten]; text != "" || k == nil {
		var payload bytes.Buffer
		if err := json.Compact(&payload, []byte(text)); err != nil {
			return e, errors.New("as_written: the content is not JSON")
		}
		e.Payload = payload.Bytes()
		return e, CheckEnvelope(e)
	}
	p := k.blank()
	v := reflect.ValueOf(p).Elem()
	for name, c := range fields {
		if text := cell[name]; text != "" {
			if err := readCell(v.Field(c.index), text); err != nil {
				return e, fmt.Errorf("%s: %w", name, err)
			}
		}
	}
	if e.Payload, err = encode(p); err != nil {
		return e, err
	}
	return e, Validate(e)
}

func rowEnvelope(k *Kind, cell map[string]string) (e Event, err error) {
	e.Kind = cell["kind"]
	if k != nil {
		e.Kind = k.Name
	}
	if e.ID, err = ParseID(cell["id"]); err != nil {
		return e, fmt.Errorf("id: %w", err)
	}
	if e.HappenedOn, err = measure.ParseDate(cell["happened_on"]); err != nil {
		return e, fmt.Errorf("happened_on: %w", err)
	}
	if e.RecordedAt, err = time.Parse(time.RFC3339Nano, cell["recorded_at"]); err != nil {
		return e, fmt.Errorf("recorded_at: %q is not a moment; write it like 2026-03-15T18:30:00Z", shorten(cell["recorded_at"]))
	}
	e.RecordedAt = e.RecordedAt.UTC()
	if err = e.Device.UnmarshalText([]byte(cell["device"])); err != nil {
		return e, fmt.Errorf("device: %w", err)
	}
	e.Author = Unguarded(cell["author"])
	if e.Supersedes, err = splitIDs(cell["supersedes"]); err != nil {
		return e, fmt.Errorf("supersedes: %w", err)
	}
	if e.Version, err = strconv.Atoi(cell["version"]); err != nil {
		return e, fmt.Errorf("version: %q is not a whole number", shorten(cell["version"]))
	}
	return e, nil
}

func splitIDs(text string) ([]ID, error) {
	var ids []ID
	for _, word := range strings.Fields(text) {
		id, err := ParseID(word)
		if err != nil {
			return nil, err
		}
		if ids = append(ids, id); len(ids) > MostSuperseded {
			return nil, fmt.Errorf("more than %d identifiers", MostSuperseded)
		}
	}
	return ids, nil
}

// readCell reads what cellOf writes.
func readCell(v reflect.Value, text string) error {
	switch x := v.Addr().Interface().(type) {
	case *string:
		*x = Unguarded(text)
		return nil
	case *ID:
		return x.UnmarshalText([]byte(text))
	case *[]ID:
		ids, err := splitIDs(text)
		*x = ids
		return err
	case *[]float64:
		return readFloats(x, text)
	case *measure.Date:
		return x.UnmarshalText([]byte(text))
	case *measure.Money:
		n, err := wholeNumber(text)
		*x = measure.Money(n)
		return err
	case **int:
		n, err := wholeNumber(text)
		m := int(n)
		*x = &m
		return err
	case *int:
		n, err := wholeNumber(text)
		*x = int(n)
		return err
	case *float64:
		f, err := strconv.ParseFloat(text, 64)
		*x = f
		if err != nil {
			return fmt.Errorf("%q is not a number", shorten(text))
		}
		return nil
	case *bool:
		*x = strings.EqualFold(text, "true")
		if !*x && !strings.EqualFold(text, "false") {
			return fmt.Errorf("%q is neither true nor false", shorten(text))
		}
		return nil
	}
	if err := json.Unmarshal([]byte(text), v.Addr().Interface()); err != nil {
		return explainJSON(err)
	}
	return nil
}

func readFloats(x *[]float64, text string) error {
	for _, word := range strings.Fields(text) {
		f, err := strconv.ParseFloat(word, 64)
		if err != nil || len(*x) > mostListed {
			return fmt.Errorf("%q is not a list of numbers with blanks between", shorten(text))
		}
		*x = append(*x, f)
	}
	return nil
}

func wholeNumber(text string) (int64, error) {
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return 0, fmt.Errorf("%q is not a whole number", shorten(text))
	}
	return n, nil
}

// ExportLines writes events as JSON, one a line, in the order of the book. The
// same events give the same bytes; no time of export is in them.
func ExportLines(events []Event) ([]byte, error) {
	list, clashes := inOrder(events)
	if len(clashes) > 0 {
		return nil, fmt.Errorf("two different records bear the identifier %s; strike one out first", clashes[0])
	}
	var out bytes.Buffer
	for _, e := range list {
		if err := CheckEnvelope(e); err != nil {
			return nil, fmt.Errorf("record %s: %w", e.ID, err)
		}
		line, err := encode(e)
		if err != nil {
			return nil, err
		}
		out.Write(line)
		out.WriteByte('\n')
	}
	return out.Bytes(), nil
}

// ImportLines reads what ExportLines writes, in any order, and refuses line by
// line what it cannot read.
func ImportLines(file []byte) ([]Event, []Refusal) {
	var events []Event
	var refused []Refusal
	n := 0
	for line := range bytes.Lines(bytes.TrimPrefix(file, []byte("\xef\xbb\xbf"))) {
		n++
		if line = bytes.TrimSpace(line); len(line) == 0 {
			continue
		}
		var e Event
		err := json.Unmarshal(line, &e)
		if err != nil {
			err = explainJSON(err)
		} else if err = CheckEnvelope(e); err == nil {
			e.Payload = compacted(e.Payload)
		}
		if err != nil {
			refused = append(refused, refuse("", n, err))
			if len(refused) >= mostRefused {
				refused = append(refused, refuse("", 0, errTooMany))
				break
			}
			continue
		}
		events = append(events, e)
	}
	SortEvents(events)
	return events, refused
}
