package daybook

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"math"
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

// A heading stands in one of the first lines.
const headingLines = 15

// findHeader takes the line with the most known words among the first as the
// heading; lines above it are told as left out.
func (im *importer) findHeader() {
	best, most := -1, 0
	for i, r := range im.rows[:min(len(im.rows), headingLines)] {
		if im.o.NoHeader {
			break
		}
		known := 0
		for _, c := range r.cells {
			if _, err := im.dates.read(c); err == nil {
				known = 0 // a heading holds no date
				break
			}
			if _, _, how := matchHeading(c); how == Sure || how == Likely && len(strings.Fields(c)) <= 5 {
				known++
			}
		}
		if known > most {
			best, most = i, known
		}
	}
	width := 0
	for _, r := range im.rows {
		width = max(width, len(r.cells))
	}
	names := make([]string, width)
	for i := range names {
		names[i] = fmt.Sprintf("column %d", i+1)
	}
	if best >= 0 {
		im.p.Header = true
		for i, c := range im.rows[best].cells {
			if name := strings.TrimSpace(c); name != "" {
				names[i] = name
			}
		}
		for _, r := range im.rows[:best] {
			im.refuse(r.line, errors.New("this stands above the heading"))
		}
		im.rows = im.rows[best+1:]
	}
	seen := map[string]int{}
	for i, name := range names {
		if seen[name]++; seen[name] > 1 {
			name = fmt.Sprintf("%s (%d)", name, seen[name])
		}
		im.p.Columns = append(im.p.Columns, ImportColumn{Name: name, index: i, Confidence: No})
	}
}

func (im *importer) refuse(line int, err error) {
	im.p.Refused = append(im.p.Refused, refuse("", line, err))
}

func (r tableRow) cell(i int) string {
	if i >= len(r.cells) {
		return ""
	}
	return strings.TrimSpace(r.cells[i])
}

// severalColumns are fields that more than one column may hold.
var severalColumns = map[string]bool{"note": true, "ignore": true}

func (im *importer) matchColumns() {
	byField := map[string][]int{}
	for i := range im.p.Columns {
		c := &im.p.Columns[i]
		im.examples(c)
		if choice, chosen := im.o.Columns[c.Name]; chosen {
			c.Field, c.Unit, c.pen, c.group, c.Confidence = choice.Field, choice.Unit, choice.Pen, choice.Group, Chosen
			if !slices.Contains(vocabulary().order, c.Field) {
				c.Field, c.Confidence = "", No
			}
			if c.Unit == "" {
				_, c.Unit, _ = matchHeading(c.Name)
			}
		} else if im.p.Header {
			c.Field, c.Unit, c.Confidence = matchHeading(c.Name)
		}
		byField[c.Field] = append(byField[c.Field], i)
	}
	for _, field := range vocabulary().order {
		if len(byField[field]) > 1 && !severalColumns[field] {
			im.chooseAmong(field, byField[field])
		}
	}
	if im.column("date") == nil {
		im.findDates()
	}
	im.askForColumns()
	for i := range im.p.Columns {
		if c := &im.p.Columns[i]; c.Field == "ignore" || c.Field == "" {
			c.Field = ""
			if c.Confidence != Chosen {
				c.Confidence = No
			}
		}
	}
}

// The most examples of a column.
const mostExamples = 3

func (im *importer) examples(c *ImportColumn) {
	for _, r := range im.rows {
		if cell := r.cell(c.index); cell != "" && len(c.Examples) < mostExamples {
			c.Examples = append(c.Examples, shorten(cell))
		}
	}
}

// chooseAmong keeps the columns chosen by the keeper, or else the only one whose
// heading is surely the field; between equals it asks.
func (im *importer) chooseAmong(field string, columns []int) {
	for _, how := range []Confidence{Chosen, Sure, Likely} {
		var with []int
		for _, i := range columns {
			if im.p.Columns[i].Confidence == how {
				with = append(with, i)
			}
		}
		if len(with) == 0 {
			continue
		}
		keep := len(with) == 1 || how == Chosen && field != "date"
		var names []string
		for _, i := range columns {
			names = append(names, im.p.Columns[i].Name)
			if !keep || !slices.Contains(with, i) {
				im.p.Columns[i].Field, im.p.Columns[i].Confidence = "", No
			}
		}
		if keep && how != Chosen {
			im.p.Notes = append(im.p.Notes, say("one-of-several", map[string]any{"field": field, "columns": names, "taken": im.p.Columns[with[0]].Name},
				"Several columns look like %s (%s); only “%s” was taken.", field, strings.Join(names, ", "), im.p.Columns[with[0]].Name))
		}
		if keep {
			return
		}
		im.ask(Question{Code: "two-columns", Column: names[0], Answer: "Columns", Choices: names, What: say("two-columns", map[string]any{"field": field, "columns": names},
			"Several columns look like %s: %s. Say which one counts, or, if they are of different pens, which pen each is.", field, strings.Join(names, ", "))})
		return
	}
}

func (im *importer) column(field string) *ImportColumn {
	for i := range im.p.Columns {
		if im.p.Columns[i].Field == field {
			return &im.p.Columns[i]
		}
	}
	return nil
}

// findDates takes the only column without a field in which nearly all cells are
// dates.
func (im *importer) findDates() {
	found := []*ImportColumn{}
	for i := range im.p.Columns {
		c := &im.p.Columns[i]
		if c.Field != "" || c.Confidence == Chosen {
			continue
		}
		dates, all := 0, 0
		for _, r := range im.rows[:min(len(im.rows), 500)] {
			if cell := r.cell(c.index); cell != "" {
				all++
				if _, err := im.dates.read(cell); err == nil {
					dates++
				}
			}
		}
		if dates > 0 && 10*dates >= 8*all {
			found = append(found, c)
		}
	}
	if len(found) == 1 {
		found[0].Field, found[0].Confidence = "date", Likely
	}
}

func (im *importer) askForColumns() {
	var names []string
	useful := false
	for _, c := range im.p.Columns {
		names = append(names, c.Name)
		switch c.Field {
		case "", "ignore", "date", "days", "pen", "group", "breed", "size", "predator", "cause", "feed_name", "money_for":
		default:
			useful = true
		}
	}
	if im.column("date") == nil {
		im.ask(Question{Code: "no-date", Answer: "Columns", Choices: names, What: say("no-date", nil, "No column could be known as the date. Say which one it is.")})
	}
	if !useful {
		im.ask(Question{Code: "nothing-known", Answer: "Columns", Choices: names, What: say("nothing-known", nil, "No column could be known as eggs, birds, feed, money or notes. Say what the columns are.")})
	}
}

func (im *importer) readDates() {
	im.read, im.noDate = make([]readDate, len(im.rows)), make([]error, len(im.rows))
	c := im.column("date")
	if c == nil {
		return
	}
	for i, r := range im.rows {
		if cell := r.cell(c.index); cell != "" {
			im.read[i], im.noDate[i] = im.dates.read(cell)
		} else {
			im.noDate[i] = errors.New("the line has no date")
		}
	}
	order, choices, likely := im.dates.decideOrder(im.read)
	if im.o.DateOrder != "" && (order == "" || slices.Contains(choices, im.o.DateOrder)) {
		order, choices = im.o.DateOrder, nil
	}
	im.p.DateOrder = order
	if len(choices) > 0 {
		im.ask(Question{Code: "date-order", Column: c.Name, Answer: "DateOrder", Choices: choices, Likely: likely,
			What: say("date-order", map[string]any{"column": c.Name, "example": im.openExample(c)},
				"Dates like %s can be read in more than one way, and no other date in the column decides. Which is it?", im.openExample(c))})
		return
	}
	for i := range im.read {
		if r := &im.read[i]; im.noDate[i] == nil && r.open() && order != "" {
			date, err := im.dates.inOrder(*r, order)
			if err != nil {
				im.noDate[i] = fmt.Errorf("%q is no date with the %s: %w", shorten(im.rows[i].cell(c.index)), order, err)
				continue
			}
			r.date = date
		}
	}
}

func (im *importer) openExample(c *ImportColumn) string {
	for i, r := range im.read {
		if im.noDate[i] == nil && r.open() {
			return shorten(im.rows[i].cell(c.index))
		}
	}
	return ""
}

// Fields by what their cells hold.
var (
	decimalFields = []string{"feed", "feed_bought", "feed_price", "egg_weight", "live_weight", "dressed_weight", "money_out", "money_in", "egg_income"}
	weightFields  = []string{"feed", "feed_bought", "egg_weight", "live_weight", "dressed_weight"}
)

// findDecimal looks for numbers that show which sign parts decimals.
func (im *importer) findDecimal() {
	if im.o.Decimal == "," || im.o.Decimal == "." {
		im.decimal = rune(im.o.Decimal[0])
		return
	}
	shown := map[rune]bool{}
	var openColumn, example string
	for _, c := range im.p.Columns {
		if !slices.Contains(decimalFields, c.Field) {
			continue
		}
		for _, r := range im.rows {
			n, err := parseNumber(r.cell(c.index))
			if err != nil {
				continue
			}
			if n.proves != 0 {
				shown[n.proves] = true
			}
			if (n.comma || n.point) && openColumn == "" {
				openColumn, example = c.Name, shorten(r.cell(c.index))
			}
		}
	}
	switch {
	case len(shown) == 1 && shown[',']:
		im.decimal = ','
	case len(shown) == 1:
		im.decimal = '.'
	case openColumn != "":
		likely := "."
		if im.p.Delimiter == ";" {
			likely = ","
		}
		im.ask(Question{Code: "decimal", Column: openColumn, Answer: "Decimal", Choices: []string{",", "."}, Likely: likely,
			What: say("decimal", map[string]any{"column": openColumn, "example": example}, "%s can be read in two ways. Which sign parts the decimals, the comma or the full stop?", example)})
	}
}

// askUnits asks for the unit of weights that bear none.
func (im *importer) askUnits() {
	for i := range im.p.Columns {
		c := &im.p.Columns[i]
		if !slices.Contains(weightFields, c.Field) || c.Unit != "" {
			continue
		}
		if im.o.Units != "" {
			continue
		}
		for _, r := range im.rows {
			if n, err := parseNumber(r.cell(c.index)); err == nil && n.unit == "" {
				im.ask(Question{Code: "units", Column: c.Name, Answer: "Units", Choices: []string{string(measure.Metric), string(measure.US)},
					What: say("units", map[string]any{"column": c.Name}, "The column “%s” bears no unit. Is it metric (kg; g for birds and eggs) or US (lb; oz for eggs)?", c.Name)})
				break
			}
		}
	}
}

// unitOf is the unit of a weight that bears none.
func (im *importer) unitOf(c *ImportColumn) string {
	switch {
	case c.Unit != "":
		return c.Unit
	case im.o.Units == "":
		return ""
	case im.o.Units == measure.US && c.Field == "egg_weight":
		return "oz"
	case im.o.Units == measure.US:
		return "lb"
	case c.Field == "feed" || c.Field == "feed_bought":
		return "kg"
	}
	return "g"
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

// row is one line on the way to its records.
type row struct {
	im    *importer
	cells tableRow
	on    measure.Date
	err   error
}

func (r *row) fail(c *ImportColumn, err error) {
	if r.err == nil {
		r.err = fmt.Errorf("%s: %w", c.Name, err)
	}
}

// text is the text of a field, cleaned.
func (r *row) text(field string) string {
	c := r.im.column(field)
	if c == nil {
		return ""
	}
	return oneLine(r.cells.cell(c.index))
}

func oneLine(text string) string {
	return strings.Join(strings.Fields(strings.Map(printable, text)), " ")
}

// whole reads a whole number; found is false when nothing is written.
func (r *row) whole(c *ImportColumn, most int) (n int, found bool) {
	cell := r.cells.cell(c.index)
	if isBlank(cell) {
		return 0, false
	}
	x, err := parseNumber(cell)
	if err != nil {
		r.fail(c, err)
		return 0, false
	}
	v := x.whole()
	if x.unit == "dozen" || c.Unit == "dozen" {
		v = x.value * 12
	}
	switch {
	case math.Abs(v-math.Round(v)) > 1e-6:
		r.fail(c, fmt.Errorf("%s is not a whole number; a mean is no count, so leave this column out or write what was counted", shorten(cell)))
	case v > float64(most):
		r.fail(c, fmt.Errorf("%s is more than can be", shorten(cell)))
	}
	return int(math.Round(min(v, float64(most)))), true
}

// decimal reads a number with decimals.
func (r *row) decimal(c *ImportColumn) (x readNumber, value float64, found bool) {
	cell := r.cells.cell(c.index)
	if isBlank(cell) {
		return x, 0, false
	}
	x, err := parseNumber(cell)
	if err != nil {
		r.fail(c, err)
		return x, 0, false
	}
	value, ok := x.in(r.im.decimal)
	if !ok {
		r.fail(c, errWaits)
	}
	return x, value, true
}

// kg reads a weight.
func (r *row) kg(c *ImportColumn) (float64, bool) {
	x, v, found := r.decimal(c)
	if !found {
		return 0, false
	}
	unit := x.unit
	if unit == "" {
		unit = r.im.unitOf(c)
	}
	share, known := unitKg[unit]
	if !known {
		r.fail(c, errWaits)
	}
	return math.Round(v*share*1e6) / 1e6, true
}

func (r *row) minor(c *ImportColumn) (measure.Money, bool) {
	_, v, found := r.decimal(c)
	currency := r.im.o.Currency
	if currency.Code == "" {
		currency.Exponent = 2
	}
	return currency.Minor(min(v, 1e9)), found && v > 0
}

// each calls f for every column of a field.
func (im *importer) each(field string, f func(c *ImportColumn)) {
	for i := range im.p.Columns {
		if im.p.Columns[i].Field == field {
			f(&im.p.Columns[i])
		}
	}
}

// line turns a line into payloads.
func (im *importer) line(i int) ([]Payload, error) {
	switch {
	case im.column("date") == nil:
		return nil, errWaits
	case im.noDate[i] != nil:
		return nil, im.noDate[i]
	case im.read[i].open():
		return nil, errWaits
	}
	r := &row{im: im, cells: im.rows[i], on: im.read[i].date}
	list := r.eggs(im.read[i].period)
	list = append(list, r.birds()...)
	list = append(list, r.feed()...)
	list = append(list, r.weights()...)
	list = append(list, r.money()...)
	im.each("note", func(c *ImportColumn) {
		if text := strings.TrimSpace(strings.Map(printable, r.cells.cell(c.index))); text != "" && !isBlank(text) {
			list = append(list, &Note{Text: text, Pen: r.pen(c)})
		}
	})
	// Counts come last, since they move the flock only if all the line is sound.
	return append(list, r.counts()...), r.err
}

func (r *row) pen(c *ImportColumn) string {
	for _, pen := range []string{c.pen, r.text("pen"), r.im.o.Pen} {
		if pen != "" {
			return pen
		}
	}
	return ""
}

// groupName is the group of a cell, or of the line, or of the whole file.
func (r *row) groupName(c *ImportColumn) string {
	for _, name := range []string{c.group, r.text("group"), r.im.o.Group} {
		if name != "" {
			return name
		}
	}
	return ""
}

// group finds or describes the group; zero when none is named.
func (r *row) group(c *ImportColumn) ID {
	name := oneLine(r.groupName(c))
	if name == "" {
		return ID{}
	}
	id := r.im.groupNamed(name, r.text("breed"), r.on)
	if id.IsZero() {
		r.fail(c, fmt.Errorf("the group %q cannot be made; a name has at most %d letters, and a table at most %d groups", shorten(name), mostLine, mostGroups))
	}
	return id
}

// mostGroups is how many groups one table may name. A column with more of them
// holds something else.
const mostGroups = 500

func (im *importer) groupNamed(name, breed string, on measure.Date) ID {
	key := fold(name)
	if id, known := im.groups[key]; known {
		return id
	}
	if len(im.made) >= mostGroups {
		return ID{}
	}
	id := hashedID("henyear import 1 group\n" + key)
	e, err := im.event(on, &Group{Group: id, Name: name, Breed: breed, Sex: sexByName(key), Source: "old records"})
	if err != nil {
		return ID{}
	}
	im.groups[key], im.made[key] = id, e
	im.p.Notes = append(im.p.Notes, say("group-made", map[string]any{"group": name, "sex": sexByName(key)},
		"The group %s is described as %s, hatched on an unknown day; correct that if it is not so.", name, sexByName(key)))
	return id
}

func sexByName(folded string) string {
	for _, w := range strings.Fields(folded) {
		switch {
		case strings.HasPrefix(w, "cock"), strings.HasPrefix(w, "rooster"), strings.HasPrefix(w, "haehn"), w == "hahn":
			return Cocks
		case strings.HasPrefix(w, "chick") && !strings.HasPrefix(w, "chicken"), strings.HasPrefix(w, "kueken"), strings.HasPrefix(w, "broiler"), w == "meat":
			return Unsexed
		}
	}
	return Hens
}

func (r *row) eggs(period int) []Payload {
	var list []Payload
	days := 0
	if period > 1 {
		days = period
	}
	if c := r.im.column("days"); c != nil {
		if n, found := r.whole(c, mostDays); found {
			days = n
		}
	}
	r.im.each("eggs", func(c *ImportColumn) {
		n, found := r.whole(c, mostEggs)
		if !found {
			return
		}
		p := &Eggs{Number: n, Days: days, Pen: r.pen(c), Breed: r.text("breed"), Size: r.text("size")}
		if name := r.groupName(c); name != "" {
			p.Group = r.group(c)
		}
		if len(list) == 0 {
			r.eggDetails(p)
		}
		list = append(list, p)
	})
	r.im.each("eggs_sold", func(c *ImportColumn) {
		if n, found := r.whole(c, mostEggs); found && n > 0 {
			p := &EggsOut{Number: n, How: "sold"}
			if m := r.im.column("egg_income"); m != nil {
				p.ReceivedMinor, _ = r.minor(m)
			}
			list = append(list, p)
		}
	})
	r.im.each("eggs_eaten", func(c *ImportColumn) {
		if n, found := r.whole(c, mostEggs); found && n > 0 {
			list = append(list, &EggsOut{Number: n, How: "eaten"})
		}
	})
	return list
}

// eggDetails adds what belongs to the eggs of a line.
func (r *row) eggDetails(p *Eggs) {
	if c := r.im.column("broken"); c != nil {
		p.Broken, _ = r.whole(c, mostEggs)
	}
	if c := r.im.column("set_aside"); c != nil {
		p.SetAside, _ = r.whole(c, mostEggs)
	}
	if c := r.im.column("egg_weight"); c != nil {
		if kg, found := r.kg(c); found {
			p.MeanG = math.Round(kg*1e5) / 100
		}
	}
}

// How birds of a column came, went or were counted.
var (
	goneFields = []struct{ field, how string }{{"died", "died"}, {"taken", "taken"}, {"missing", "missing"}, {"culled", "culled"}, {"sold_birds", "sold"}}
	cameFields = []struct{ field, how string }{{"bought_birds", "bought"}, {"hatched", "hatched"}}
	seenFields = []struct{ field, which string }{{"hens", Hens}, {"cocks", Cocks}, {"birds", ""}}
)

func (r *row) birds() []Payload {
	var list []Payload
	group := func(c *ImportColumn) (ID, bool) {
		id := r.group(c)
		if id.IsZero() {
			r.fail(c, errors.New("say to which group these birds belong, with a column for it or one name for the whole table"))
		}
		return id, !id.IsZero()
	}
	for _, f := range cameFields {
		r.im.each(f.field, func(c *ImportColumn) {
			if n, found := r.whole(c, mostBirds); found && n > 0 {
				if id, ok := group(c); ok {
					list = append(list, &BirdsIn{Group: id, Number: n, How: f.how, Pen: r.pen(c)})
				}
			}
		})
	}
	for _, f := range goneFields {
		r.im.each(f.field, func(c *ImportColumn) {
			if n, found := r.whole(c, mostBirds); found && n > 0 {
				if id, ok := group(c); ok {
					p := &BirdsOut{Group: id, Number: n, How: f.how, Pen: r.pen(c), Cause: r.text("cause")}
					if f.how == "taken" {
						p.Predator = r.text("predator")
					}
					list = append(list, p)
				}
			}
		})
	}
	r.im.each("butchered", func(c *ImportColumn) {
		if n, found := r.whole(c, mostBirds); found && n > 0 {
			if id, ok := group(c); ok {
				p := &Butchered{Group: id, Number: n, Pen: r.pen(c)}
				if w := r.im.column("dressed_weight"); w != nil {
					p.DressedKg, _ = r.kg(w)
				}
				list = append(list, p)
			}
		}
	})
	return list
}

// countedFlock is the group that is made from counts when none is named.
const countedFlock = "Hens of old records"

func (r *row) counts() []Payload {
	var list []Payload
	for _, f := range seenFields {
		r.im.each(f.field, func(c *ImportColumn) {
			n, found := r.whole(c, mostBirds)
			if !found {
				return
			}
			p := &Count{Number: n, Which: f.which, Pen: r.pen(c)}
			if r.groupName(c) != "" {
				p.Group = r.group(c)
			}
			if f.which == Hens {
				r.im.counted = true
				if r.im.o.FromCounts && r.err == nil {
					list = append(list, r.im.flockOf(n, p, r.on)...)
				}
			}
			list = append(list, p)
		})
	}
	return list
}

// flockOf makes the comings and goings that would explain a row of counts.
func (im *importer) flockOf(n int, p *Count, on measure.Date) []Payload {
	group := p.Group
	if group.IsZero() {
		group = im.groupNamed(countedFlock, "", on)
	}
	change := n - im.hens
	im.hens = n
	switch {
	case change > 0:
		return []Payload{&BirdsIn{Group: group, Number: change, How: "on hand", Pen: p.Pen, Note: "made from counts"}}
	case change < 0:
		return []Payload{&BirdsOut{Group: group, Number: -change, How: "not known", Pen: p.Pen, Note: "made from counts"}}
	}
	return nil
}

// usualFeedName is the feed of tables that name none.
const usualFeedName = "feed"

func (r *row) feed() []Payload {
	var list []Payload
	name := r.text("feed_name")
	if name == "" {
		name = usualFeedName
	}
	add := func(field, what string) {
		r.im.each(field, func(c *ImportColumn) {
			if kg, found := r.kg(c); found && kg > 0 {
				p := &Feed{What: what, Feed: name, Kg: kg, Pen: r.pen(c)}
				if what == FeedBought {
					r.paid(p)
				}
				list = append(list, p)
			}
		})
	}
	add("feed_bought", FeedBought)
	add("feed", FeedOpened)
	if r.im.column("feed_bought") == nil {
		if c := r.im.column("feed_price"); c != nil {
			if m, found := r.minor(c); found {
				list = append(list, &Money{Way: "out", AmountMinor: m, For: "feed"})
			}
		}
	}
	return list
}

func (r *row) paid(p *Feed) {
	if c := r.im.column("feed_price"); c != nil {
		p.PaidMinor, _ = r.minor(c)
	}
}

func (r *row) weights() []Payload {
	var list []Payload
	r.im.each("live_weight", func(c *ImportColumn) {
		if kg, found := r.kg(c); found {
			id := r.group(c)
			if id.IsZero() {
				r.fail(c, errors.New("say to which group the weighed birds belong"))
				return
			}
			list = append(list, &Weighing{Group: id, MeanG: math.Round(kg*1e4) / 10})
		}
	})
	return list
}

func (r *row) money() []Payload {
	var list []Payload
	what := r.text("money_for")
	add := func(field, way, usual string) {
		r.im.each(field, func(c *ImportColumn) {
			if m, found := r.minor(c); found {
				p := &Money{Way: way, AmountMinor: m, For: what}
				if p.For == "" || field == "egg_income" {
					p.For = usual
				}
				list = append(list, p)
			}
		})
	}
	add("money_out", "out", "other")
	add("money_in", "in", "other")
	if r.im.column("eggs_sold") == nil {
		add("egg_income", "in", "eggs")
	}
	return list
}
