package daybook

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"henyear/measure"
)

// ImportOptions are the keeper's answers and what the import needs to know. Only
// Today is needed; whatever is left empty is found out or asked.
type ImportOptions struct {
	Today      measure.Date            `json:"today"`             // later days are refused
	Encoding   string                  `json:"encoding"`          // one of the encodings above
	Delimiter  string                  `json:"delimiter"`         // , ; tab or |
	NoHeader   bool                    `json:"no_header"`         // the first line is data
	Columns    map[string]ColumnChoice `json:"columns"`           // by the name of the column
	DateOrder  string                  `json:"date_order"`        // answers the question date-order
	Decimal    string                  `json:"decimal"`           // "," or ".": answers the question decimal
	Units      measure.Units           `json:"units"`             // answers the question units: of weights without a unit
	Year       int                     `json:"year"`              // of dates without a year
	Group      string                  `json:"group,omitzero"`    // name of the group for lines that name none
	Pen        string                  `json:"pen,omitzero"`      // for lines that name none
	FromCounts bool                    `json:"from_counts"`       // make the flock from counted hens: see FlockNote
	Currency   measure.Currency        `json:"currency"`          // of amounts; without one, two decimals
	Existing   []Event                 `json:"existing,omitzero"` // the book so far, to find what it has already
}

// ColumnChoice is the keeper's word on one column.
type ColumnChoice struct {
	Field string `json:"field"`          // one of ImportFields
	Unit  string `json:"unit,omitzero"`  // kg, g, lb, oz, dozen
	Pen   string `json:"pen,omitzero"`   // all of the column is from this pen
	Group string `json:"group,omitzero"` // all of the column is of this group
}

// Preview is what an old table would become. Nothing is written by making it.
type Preview struct {
	Encoding  string         `json:"encoding"`
	Delimiter string         `json:"delimiter"`
	Header    bool           `json:"header"`
	Columns   []ImportColumn `json:"columns,omitzero"`
	DateOrder string         `json:"date_order"`         // as decided by the dates themselves or by the keeper; empty when no date is open
	Questions []Question     `json:"questions,omitzero"` // while there are any, the lines that they concern wait
	Notes     []Sentence     `json:"notes,omitzero"`
	Lines     []ImportLine   `json:"lines,omitzero"` // that become records, in the order of the file
	Refused   []Refusal      `json:"refused,omitzero"`
	Events    []Event        `json:"events,omitzero"` // of all lines, and the groups they need, in the order of the book; those that the book has already are left out
	Known     int            `json:"known"`           // records that the book has already
}

// ImportColumn is how one column is understood.
type ImportColumn struct {
	Name       string     `json:"name"`
	Field      string     `json:"field"` // empty: left out
	Unit       string     `json:"unit,omitzero"`
	Confidence Confidence `json:"confidence"`
	Examples   []string   `json:"examples,omitzero"` // the first few cells that hold something
	pen, group string
	index      int
}

// Question is asked where the file alone does not tell. Answer is the option that
// settles it.
type Question struct {
	Code    string   `json:"code"` // date-order, decimal, units, no-date, two-columns, nothing-known
	Column  string   `json:"column,omitzero"`
	Answer  string   `json:"answer"` // name of the option
	What    Sentence `json:"what"`
	Choices []string `json:"choices,omitzero"`
	Likely  string   `json:"likely,omitzero"` // which looks likelier; it is never taken without being chosen
}

// ImportLine is one line with its records.
type ImportLine struct {
	Line   int     `json:"line"`
	Events []Event `json:"events,omitzero"`
	Twice  int     `json:"twice,omitzero"` // the earlier line that says the very same; 0: none
}

// importDevice stands for all imports, so that the same line is the same record
// whoever imports it.
var importDevice = hashedID("henyear import 1")

func hashedID(text string) ID {
	sum := sha256.Sum256([]byte(text))
	return ID(sum[:16])
}

// PreviewImport reads an old table and tells what it would become. It never
// guesses silently: where a date, a number or a column can be read in two ways and
// nothing in the file decides, a question comes back and the lines wait. The
// identifiers of the records follow from their content, so that importing the same
// lines again changes nothing. The error is for files that cannot be read at all.
func PreviewImport(file []byte, o ImportOptions) (*Preview, error) {
	if o.Today.IsZero() {
		return nil, errors.New("today: the import must be told the day")
	}
	im := &importer{o: o, p: &Preview{}, dates: dateReader{o.Today, o.Year}}
	if err := im.open(file); err != nil {
		return nil, err
	}
	im.findHeader()
	im.matchColumns()
	im.readDates()
	im.findDecimal()
	im.askUnits()
	im.writeLines()
	return im.p, nil
}

type importer struct {
	o       ImportOptions
	p       *Preview
	rows    []tableRow
	dates   dateReader
	read    []readDate // by row
	noDate  []error
	decimal rune
	groups  map[string]ID
	made    map[string]Event // groups that this import describes
	times   map[[32]byte]int
	known   map[ID]bool
	hens    int
	counted bool
}

func (im *importer) ask(q Question) { im.p.Questions = append(im.p.Questions, q) }

func (im *importer) open(file []byte) error {
	text, encoding, err := decodeText(file, im.o.Encoding, MostFileBytes)
	if err != nil {
		return err
	}
	if looksBinary(text) {
		return errors.New("this is not a table of text; open it in the program that made it and save it as CSV")
	}
	im.p.Encoding = encoding
	if encoding == Latin1 && im.o.Encoding == "" {
		im.p.Notes = append(im.p.Notes, say("latin-1", nil, "The file is not UTF-8; it was read as %s. Look whether names with accents are right.", Latin1))
	}
	delimiter := guessDelimiter(text)
	if im.o.Delimiter != "" {
		delimiter = firstRune(im.o.Delimiter)
	}
	if im.p.Delimiter = string(delimiter); !slices.Contains(delimiters, delimiter) {
		return fmt.Errorf("delimiter: %q cannot part columns; choose a comma, a semicolon, a tab or |", shorten(im.o.Delimiter))
	}
	rows, err := readRows(text, delimiter, mostRows)
	if err != nil {
		return err
	}
	im.rows = slices.DeleteFunc(rows, func(r tableRow) bool {
		return !slices.ContainsFunc(r.cells, func(c string) bool { return strings.TrimSpace(c) != "" })
	})
	if len(im.rows) == 0 {
		return errors.New("the table has no lines")
	}
	return nil
}

var errWaits = errors.New("this line waits for an answer to a question above")

func (im *importer) writeLines() {
	im.prepare()
	first := map[string]int{}
	for i, r := range im.rows {
		payloads, err := im.line(i)
		if err != nil {
			im.refuse(r.line, err)
			continue
		}
		if len(payloads) == 0 {
			im.refuse(r.line, errors.New("the line holds nothing to write down"))
			continue
		}
		line := ImportLine{Line: r.line}
		same := strings.Join(r.cells, "\x00")
		if line.Twice = first[same]; line.Twice == 0 {
			first[same] = r.line
		}
		for _, p := range payloads {
			e, err := im.event(im.read[i].date, p)
			if err == nil {
				line.Events = append(line.Events, e)
				continue
			}
			im.refuse(r.line, err)
			line.Events = nil
			break
		}
		if line.Events != nil {
			im.p.Lines = append(im.p.Lines, line)
		}
	}
	im.collect()
}

func (im *importer) prepare() {
	im.groups, im.made, im.times, im.known = map[string]ID{}, map[string]Event{}, map[[32]byte]int{}, map[ID]bool{}
	for _, e := range im.o.Existing {
		im.known[e.ID] = true
	}
	if len(im.o.Existing) > 0 {
		for id, name := range Replay(im.o.Existing, measure.Date{}).Names().Groups {
			if have, twice := im.groups[fold(name)]; !twice || id.Compare(have) < 0 {
				im.groups[fold(name)] = id
			}
		}
	}
}

// event makes the record of a payload. Its identifier is a hash of kind, day and
// content, and of how often this very record came before in the file; its moment
// follows from the day, so that the same line makes the same record for ever.
func (im *importer) event(on measure.Date, p Payload) (Event, error) {
	if err := p.Validate(); err != nil {
		return Event{}, err
	}
	content, err := encode(p)
	if err != nil {
		return Event{}, err
	}
	sum := sha256.Sum256(fmt.Appendf(nil, "henyear import 1\n%s\n%s\n%s", p.Kind(), on, content))
	n := im.times[sum]
	im.times[sum]++
	sum = sha256.Sum256(fmt.Appendf(sum[:], "\n%d", n))
	return New(ID(sum[:16]), on, on.Time().Add(12*time.Hour+time.Duration(importOrder(p))*time.Second), importDevice, "", p)
}

// importOrder keeps what happens on one day in an order that makes sense.
func importOrder(p Payload) int {
	return max(0, slices.Index([]string{"group", "birds_in", "eggs", "eggs_out", "feed", "birds_out", "butchered", "count", "weighing", "money", "note"}, p.Kind()))
}

func (im *importer) collect() {
	var all []Event
	for _, e := range im.made {
		all = append(all, e)
	}
	for _, l := range im.p.Lines {
		all = append(all, l.Events...)
	}
	SortEvents(all)
	for _, e := range all {
		if im.known[e.ID] {
			im.p.Known++
			continue
		}
		im.p.Events = append(im.p.Events, e)
	}
	if im.p.Known > 0 {
		im.p.Notes = append(im.p.Notes, say("already-there", map[string]any{"records": im.p.Known}, "%s of this file are in the book already and stay as they are.", count(im.p.Known, "record")))
	}
	twice := 0
	for _, l := range im.p.Lines {
		if l.Twice > 0 {
			twice++
		}
	}
	if twice > 0 {
		im.p.Notes = append(im.p.Notes, say("lines-twice", map[string]any{"lines": twice}, "%s say the very same as an earlier one. They count as records of their own; delete them from the file if they are not.", plural(twice, "1 line", number(twice)+" lines")))
	}
	if im.counted && !im.o.FromCounts {
		im.p.Notes = append(im.p.Notes, FlockNote)
	}
	im.noteSameDays()
}

// FlockNote is told when a table counts hens but the keeper did not ask for the
// flock to be made from them.
var FlockNote = say("flock-from-counts", nil, "The table counts hens. Without a record of how they came, the book has no flock for those days and no hen-day lay; let the import make the flock from the counts to have it. Birds that became fewer then count as gone, nobody knows how.")

// noteSameDays warns of eggs on days for which the book has eggs already.
func (im *importer) noteSameDays() {
	have := map[measure.Date]bool{}
	for _, e := range im.o.Existing {
		if e.Kind == "eggs" && !slices.ContainsFunc(im.p.Lines, func(l ImportLine) bool {
			return slices.ContainsFunc(l.Events, func(x Event) bool { return x.ID == e.ID })
		}) {
			have[e.HappenedOn] = true
		}
	}
	days := map[measure.Date]bool{}
	for _, e := range im.p.Events {
		if e.Kind == "eggs" && have[e.HappenedOn] {
			days[e.HappenedOn] = true
		}
	}
	if len(days) > 0 {
		im.p.Notes = append(im.p.Notes, say("days-twice", map[string]any{"days": len(days)}, "For %s of this file the book has other eggs already; they would be added to them.", count(len(days), "day")))
	}
}
