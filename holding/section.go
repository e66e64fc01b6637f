package holding

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"henyear/measure"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// reading is one pass over a file: it gathers problems and notes.
type reading struct {
	file     string
	today    measure.Date
	known    map[string][]string // fields asked for, by the name of their part
	broken   bool                // some lines were not TOML: do not complain of what is missing
	problems Problems
	notes    []Note
}

func (r *reading) problem(line int, field, what, right string) {
	r.problems = append(r.problems, Problem{r.file, line, field, what, right})
}

// section is one table of the file with the name that messages use for it. It
// remembers which fields were asked for: the others are unknown.
type section struct {
	*reading
	name  string // "", "place", "house[2]"
	node  *node
	asked []string
}

func (s *section) path(key string) string {
	if s.name == "" {
		return key
	}
	return s.name + "." + key
}

func (s *section) fault(line int, key, what, right string) {
	s.problem(line, s.path(key), what, right)
}

// find returns the value of a field, or nil.
func (s *section) find(key string) *node {
	if !slices.Contains(s.asked, key) {
		s.asked = append(s.asked, key)
		s.learn(key)
	}
	return s.node.table[key]
}

// learn gathers the fields of all parts of one name.
func (s *section) learn(key string) {
	name, _, _ := strings.Cut(s.name, "[")
	if !slices.Contains(s.known[name], key) {
		s.known[name] = append(s.known[name], key)
	}
}

func (s *section) has(key string) bool { return s.find(key) != nil }

func (s *section) missing(key, right string) {
	if !s.broken {
		s.fault(s.node.line, key, "is missing", right)
	}
}

func (s *section) tell(key, text, source string) {
	s.notes = append(s.notes, Note{s.node.line, s.path(key), text, source})
}

// unknown reports every field that nobody asked for.
func (s *section) unknown() {
	for _, key := range s.node.keys {
		if slices.Contains(s.asked, key) {
			continue
		}
		right := "see docs/holding-file.md for the fields of this part"
		if s.name == "" {
			right = "see docs/holding-file.md for the parts of a holding"
		}
		if near := nearest(key, s.asked); near != "" {
			right = fmt.Sprintf("did you mean %s?", near)
		}
		s.fault(s.node.table[key].line, cut(key), "is not a field that a holding has", right)
	}
}

// table returns a [part] of the file; an absent one reads as empty.
func (s *section) part(key string) *section {
	n := s.find(key)
	if n == nil {
		n = newTable(s.node.line)
	} else if n.kind != unstable.Table {
		s.fault(n.line, key, "is not a part of its own", fmt.Sprintf("write [%s] on a line above its fields", key))
		n = newTable(n.line)
	}
	return &section{reading: s.reading, name: key, node: n}
}

// list returns every [[part]] of that name, at most limit.
func (s *section) list(key string, limit int) []*section {
	n := s.find(key)
	if n == nil {
		return nil
	}
	if n.kind != unstable.Array {
		s.fault(n.line, key, "can stand in the file more than once", fmt.Sprintf("write [[%s]] with two brackets above each one", key))
		return nil
	}
	if len(n.items) > limit {
		s.fault(n.line, key, fmt.Sprintf("stands in the file %d times, more than %d", len(n.items), limit), "join alike ones")
		return nil
	}
	var parts []*section
	for i, item := range n.items {
		name := fmt.Sprintf("%s[%d]", key, i+1)
		if item.kind != unstable.Table {
			s.problem(item.line, name, "has no fields", fmt.Sprintf("write [[%s]] on a line above its fields", key))
			continue
		}
		parts = append(parts, &section{reading: s.reading, name: name, node: item})
	}
	return parts
}

// text reads a name or a word. Control characters are refused: they would end
// in print and on pages.
func (s *section) text(key string) (string, bool) {
	n := s.find(key)
	if n == nil {
		return "", false
	}
	if n.kind != unstable.String {
		s.fault(n.line, key, "is not text", fmt.Sprintf("write it in quotes: %s = %q", key, cut(n.text)))
		return "", false
	}
	text := strings.TrimSpace(n.text)
	switch {
	case text == "":
		s.fault(n.line, key, "is empty", "write something between the quotes or leave the line out")
	case len([]rune(text)) > MaxText:
		s.fault(n.line, key, fmt.Sprintf("is longer than %d letters", MaxText), "shorten it")
	case strings.ContainsFunc(text, func(r rune) bool { return r < ' ' || r >= 0x7f && r < 0xa0 || r >= 0x2028 && r <= 0x202e }):
		s.fault(n.line, key, "holds a character that cannot be printed", "write plain letters on one line")
	default:
		return text, true
	}
	return "", false
}

// word reads one of a few words and returns its index; fallback when absent.
func (s *section) word(key string, words []string, fallback int) int {
	text, given := s.text(key)
	if !given {
		return fallback
	}
	if i := slices.Index(words, strings.ToLower(text)); i >= 0 {
		return i
	}
	right := "write one of " + quoted(words)
	if near := nearest(text, words); near != "" {
		right = fmt.Sprintf("did you mean %q? It is one of %s", near, quoted(words))
	}
	s.fault(s.find(key).line, key, fmt.Sprintf("is %q, which is not a choice here", cut(text)), right)
	return fallback
}

func quoted(words []string) string {
	parts := make([]string, len(words))
	for i, w := range words {
		parts[i] = strconv.Quote(w)
	}
	return strings.Join(parts, ", ")
}

// says reports whether a field of a part holds that truth value.
func (s *section) says(part, key, value string) bool {
	p := s.node.table[part]
	if p == nil || p.table == nil || p.table[key] == nil {
		return false
	}
	n := p.table[key]
	return n.kind == unstable.Bool && n.text == value
}

// yes reads true or false.
func (s *section) yes(key string, fallback bool) bool {
	n := s.find(key)
	if n == nil {
		return fallback
	}
	if n.kind != unstable.Bool {
		s.fault(n.line, key, "is neither true nor false", "write "+key+" = true or "+key+" = false, without quotes")
		return fallback
	}
	return n.text == "true"
}

// A span is what a number may be, both ends included and in metric; through
// names the US unit in which the number is written, if it is.
type span struct {
	low, high float64
	whole     bool
	through   *unitPair
	why       string // the limit needs a reason
}

func (r span) String() string {
	low, high := r.low, r.high
	if r.through != nil {
		low, high = measure.Significant(r.through.fromMetric(low), 3), measure.Significant(r.through.fromMetric(high), 3)
	}
	text := fmt.Sprintf("a number from %s to %s", figure(low), figure(high))
	if r.whole {
		text = "a whole " + strings.TrimPrefix(text, "a ")
	}
	return text
}

func figure(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// number reads a figure; ok is false when it is absent or wrong.
func (s *section) number(key string, allowed span) (float64, bool) {
	n := s.find(key)
	if n == nil {
		return 0, false
	}
	return s.numberOf(n, key, allowed)
}

func (s *section) numberOf(n *node, field string, allowed span) (float64, bool) {
	right := "write " + allowed.String()
	if allowed.why != "" {
		right += ": " + allowed.why
	}
	wrong := func(what string) (float64, bool) {
		s.fault(n.line, field, what, right)
		return 0, false
	}
	if n.kind == unstable.String {
		if v, err := strconv.ParseFloat(strings.TrimSpace(n.text), 64); err == nil && allowed.holds(v) {
			right = "write " + figure(v) + " without quotes"
		}
		return wrong("is text, not a number")
	}
	if n.kind != unstable.Integer && n.kind != unstable.Float {
		return wrong("is not a number")
	}
	decoded, err := scalar(n.text)
	if err != nil {
		return wrong(fmt.Sprintf("is %s, which cannot be read as a number", cut(n.text)))
	}
	value := 0.0
	switch v := decoded.(type) {
	case int64:
		value = float64(v)
	case float64:
		value = v
	}
	switch {
	case math.IsNaN(value) || math.IsInf(value, 0):
		return wrong("is " + cut(n.text) + ", which is no figure of a holding")
	case allowed.whole && value != math.Trunc(value):
		return wrong("is " + cut(n.text) + ", not a whole number")
	case !allowed.holds(value):
		return wrong("is " + cut(n.text))
	}
	return value + 0, true // + 0 turns -0 into 0
}

func (r span) holds(v float64) bool {
	if r.through != nil {
		slack := 1e-12 * (r.high - r.low) // the last bit of a conversion
		v = r.through.toMetric(v)
		return v >= r.low-slack && v <= r.high+slack
	}
	return v >= r.low && v <= r.high && (!r.whole || v == math.Trunc(v))
}

// or reads a number with a default that needs no words.
func (s *section) or(key string, allowed span, fallback float64) float64 {
	if v, ok := s.number(key, allowed); ok {
		return v
	}
	return fallback
}

// orTell reads a number with a default that the keeper should know of.
func (s *section) orTell(key string, allowed span, fallback float64, text, source string) float64 {
	if !s.has(key) {
		s.tell(key, text, source)
		return fallback
	}
	return s.or(key, allowed, fallback)
}

// must reads a number that has no sensible default.
func (s *section) must(key string, allowed span, example string) float64 {
	if !s.has(key) {
		s.missing(key, "for example "+key+" = "+example)
	}
	return s.or(key, allowed, allowed.low)
}

// A unit pair is one figure under two names: area_m2 and area_sqft. The name
// says the unit, so that a figure can never be taken for another.
type unitPair struct {
	metric, us string
	toMetric   func(float64) float64
	fromMetric func(float64) float64
}

func pairOf(metric, us string, q measure.Quantity) unitPair {
	return unitPair{metric, us,
		func(v float64) float64 { return measure.US.ToMetric(q, v) },
		func(v float64) float64 { w, _ := measure.US.Show(q, v); return w }}
}

var (
	areaUnits   = pairOf("_m2", "_sqft", measure.AreaM2)
	tempUnits   = pairOf("_c", "_f", measure.TempC)
	lengthUnits = pairOf("_m", "_ft", measure.LengthM)
	volumeUnits = pairOf("_l", "_cuft", measure.VolumeL)
	rainUnits   = pairOf("_mm", "_in", measure.RainMM)
	massUnits   = pairOf("_kg", "_lb", measure.MassKg)
	priceUnits  = unitPair{"_per_kg", "_per_lb",
		func(v float64) float64 { return v / measure.KgPerPound },
		func(v float64) float64 { return v * measure.KgPerPound }}
	windUnits = unitPair{"_ms", "_mph",
		func(v float64) float64 { return v * metresPerMile / 3600 },
		func(v float64) float64 { return v * 3600 / metresPerMile }}
)

const metresPerMile = 5280 * measure.MPerFoot

// key finds under which of its two names a figure is given: the metric one
// when neither is.
func (s *section) key(stem string, u unitPair) (key string, us bool) {
	metric, american := s.find(stem+u.metric), s.find(stem+u.us)
	if metric != nil && american != nil {
		s.fault(american.line, stem+u.us, "says again what "+stem+u.metric+" says", "keep one of them")
	}
	if metric == nil && american != nil {
		return stem + u.us, true
	}
	return stem + u.metric, false
}

func (u unitPair) inUS(allowed span) span {
	allowed.through = &u
	return allowed
}

// quantity reads a figure under either name and returns it in metric.
func (s *section) quantity(stem string, u unitPair, allowed span) (float64, bool) {
	key, us := s.key(stem, u)
	if !us {
		return s.number(key, allowed)
	}
	v, ok := s.number(key, u.inUS(allowed))
	return u.toMetric(v), ok
}

func (s *section) quantityOr(stem string, u unitPair, allowed span, fallback float64) float64 {
	if v, ok := s.quantity(stem, u, allowed); ok {
		return v
	}
	return fallback
}

func (s *section) quantityTell(stem string, u unitPair, allowed span, fallback float64, text, source string) float64 {
	if key, _ := s.key(stem, u); !s.has(key) {
		s.tell(key, text, source)
		return fallback
	}
	return s.quantityOr(stem, u, allowed, fallback)
}

func (s *section) quantityMust(stem string, u unitPair, allowed span, example string) float64 {
	if key, _ := s.key(stem, u); !s.has(key) {
		s.missing(key, "for example "+key+" = "+example)
	}
	return s.quantityOr(stem, u, allowed, allowed.low)
}

// twelve reads one figure a month, January first.
func (s *section) twelve(stem string, u unitPair, allowed span) (values [12]float64, ok bool) {
	key, us := s.key(stem, u)
	if us {
		allowed = u.inUS(allowed)
	}
	values, ok = s.twelvePlain(key, allowed)
	if us {
		for i := range values {
			values[i] = u.toMetric(values[i])
		}
	}
	return values, ok
}

func (s *section) twelvePlain(key string, allowed span) (values [12]float64, ok bool) {
	n := s.find(key)
	if n == nil {
		return values, false
	}
	right := "write twelve numbers in [ ], January first"
	if n.kind != unstable.Array {
		s.fault(n.line, key, "is not a list", right)
		return values, false
	}
	if len(n.items) != 12 {
		s.fault(n.line, key, fmt.Sprintf("has %d numbers", len(n.items)), right)
		return values, false
	}
	ok = true
	for i, item := range n.items {
		v, fine := s.numberOf(item, fmt.Sprintf("%s (%s)", key, time.Month(i+1)), allowed)
		values[i], ok = v, ok && fine
	}
	return values, ok
}

// months reads a set of months.
func (s *section) months(key string, fallback [12]bool) [12]bool {
	n := s.find(key)
	if n == nil {
		return fallback
	}
	var texts []string
	items := []*node{n}
	if n.kind == unstable.Array {
		items = n.items
	}
	for _, item := range items {
		if item.kind != unstable.String || len(item.text) > MaxText {
			s.fault(n.line, key, "is not a list of month names", monthsExample)
			return fallback
		}
		texts = append(texts, item.text)
	}
	if len(texts) > 12 {
		s.fault(n.line, key, fmt.Sprintf("has %d entries", len(texts)), monthsExample)
		return fallback
	}
	set, err := parseMonths(texts)
	if err != nil {
		s.fault(n.line, key, "cannot be followed: "+err.Error(), monthsExample)
		return fallback
	}
	return set
}

// someMonths reads a set that must have at least one month.
func (s *section) someMonths(key string, fallback [12]bool) [12]bool {
	set := s.months(key, fallback)
	if n := s.find(key); n != nil && !anyMonth(set) {
		s.fault(n.line, key, "names no month", monthsExample)
		return fallback
	}
	return set
}

// date reads a civil date, bare as TOML has it or in quotes.
func (s *section) date(key string, firstYear int) (measure.Date, bool) {
	const right = "write a day that exists as year-month-day, for example 2026-03-15"
	n := s.find(key)
	if n == nil {
		return measure.Date{}, false
	}
	d, err := dateOf(n)
	if err != nil {
		s.fault(n.line, key, fmt.Sprintf("is %s, which is not a date", cut(n.text)), right)
		return d, false
	}
	if d.Year < firstYear || d.Year > lastYear {
		s.fault(n.line, key, fmt.Sprintf("is in the year %d", d.Year), fmt.Sprintf("write a year from %d to %d", firstYear, lastYear))
		return d, false
	}
	return d, true
}

func dateOf(n *node) (measure.Date, error) {
	if n.kind == unstable.LocalDate {
		if v, err := scalar(n.text); err == nil {
			if l, ok := v.(toml.LocalDate); ok {
				return measure.Date{Year: l.Year, Month: time.Month(l.Month), Day: l.Day}, nil
			}
		}
	}
	if n.kind == unstable.LocalDate || n.kind == unstable.String {
		return measure.ParseDate(strings.TrimSpace(n.text))
	}
	return measure.Date{}, fmt.Errorf("not a date")
}

// percent reads hundredths and returns a share.
func (s *section) percent(key string, allowed span, fallbackPct float64, text, source string) float64 {
	if text == "" {
		return s.or(key, allowed, fallbackPct) / 100
	}
	return s.orTell(key, allowed, fallbackPct, text, source) / 100
}
