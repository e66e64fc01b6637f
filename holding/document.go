package holding

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// node is one value of the file with the line on which its key stands.
type node struct {
	line   int
	kind   unstable.Kind // Table for every kind of table, Array for every list
	text   string        // decoded text of a scalar, as written for numbers and dates
	keys   []string      // of a table, in file order
	table  map[string]*node
	items  []*node // of a list
	opened bool    // named by a [header] already
}

func newTable(line int) *node {
	return &node{line: line, kind: unstable.Table, table: map[string]*node{}}
}

func (n *node) put(key string, value *node) {
	n.keys = append(n.keys, key)
	n.table[key] = value
}

// document builds the tree of nodes and keeps going after a fault, so that the
// keeper sees every fault of the file at once. The library reads each
// expression and each number or date; the tree only adds line numbers.
type document struct {
	file    string
	root    *node
	current *node
	values  int // read so far
	faults  Problems
}

// After so many lines that are not TOML the rest would only repeat the cause.
const maxSyntaxFaults = 10

// Far above any holding; bounds the memory that a hostile file can take.
const maxValues, maxKeyParts = 20000, 4

func parseDocument(data []byte, file string) (*node, Problems) {
	d := &document{file: file, root: newTable(1)}
	d.current = d.root
	line, left := 1, data
	for len(left) > 0 && len(d.faults) < maxSyntaxFaults {
		fault := d.run(left, line)
		if fault < 0 {
			break
		}
		// Go on with the line after the one that could not be read.
		end := bytes.IndexByte(left[fault:], '\n')
		if end < 0 {
			break
		}
		next := fault + end + 1
		line += bytes.Count(left[:next], []byte{'\n'})
		left = left[next:]
	}
	return d.root, d.faults
}

// confirm lets the library read the file as a whole: whatever it refuses that
// the tree let pass is still a fault.
func (r *reading) confirm(data []byte) {
	var whole map[string]any
	err := toml.Unmarshal(data, &whole)
	if err == nil {
		return
	}
	line := 0
	var decode *toml.DecodeError
	if errors.As(err, &decode) {
		line, _ = decode.Position()
	}
	r.problem(line, "", "cannot be read as TOML: "+strings.TrimPrefix(err.Error(), "toml: "), "see docs/holding-file.md for an example")
}

// run reads expressions until the end (-1) or the first one that is not TOML,
// and returns its offset in data.
func (d *document) run(data []byte, firstLine int) int {
	var p unstable.Parser
	p.Reset(data)
	at := lineCounter{data: data, line: firstLine}
	for p.NextExpression() {
		d.expression(&p, &at)
		if d.values > maxValues {
			d.fault(at.line, "", fmt.Sprintf("holds more than %d values", maxValues), "a holding has a few hundred; check that it is the right file")
			return -1
		}
	}
	err := p.Error()
	if err == nil {
		return -1
	}
	offset := faultOffset(&p, err, len(data))
	line := firstLine + bytes.Count(data[:offset], []byte{'\n'})
	what, right := syntaxHint(lineText(data, offset), err.Error())
	d.fault(line, "", what, right)
	return offset
}

// lineCounter turns offsets that only grow into line numbers in one pass.
type lineCounter struct {
	data         []byte
	offset, line int
}

func (c *lineCounter) at(offset int) int {
	if offset > c.offset {
		c.line += bytes.Count(c.data[c.offset:offset], []byte{'\n'})
		c.offset = offset
	}
	return c.line
}

func faultOffset(p *unstable.Parser, err error, length int) int {
	var fault *unstable.ParserError
	if !errors.As(err, &fault) || fault.Highlight == nil {
		return max(0, length-1)
	}
	offset := cap(p.Data()) - cap(fault.Highlight)
	return min(max(0, offset), max(0, length-1))
}

func lineText(data []byte, offset int) string {
	start := bytes.LastIndexByte(data[:offset], '\n') + 1
	end := bytes.IndexByte(data[start:], '\n')
	if end < 0 {
		end = len(data) - start
	}
	return strings.TrimSpace(string(data[start : start+end]))
}

var (
	decimalComma = regexp.MustCompile(`=\s*[+-]?\d+,\d+`)
	bareWord     = regexp.MustCompile(`^[\w.-]+\s*=\s*([A-Za-z][^"'#]*)`)
	yesNo        = regexp.MustCompile(`=\s*(?i:yes|no|true|false|on|off)\s*(#.*)?$`)
	colonKey     = regexp.MustCompile(`^([\w-]+)\s*:`)
	noValue      = regexp.MustCompile(`=\s*(#.*)?$`)
	unitBehind   = regexp.MustCompile(`=\s*([+-]?[\d.]+)\s*([A-Za-z%°]+\d?)\s*(#.*)?$`)
)

// syntaxHint turns a parser's message into advice for the slips of a hand that
// writes such a file rarely.
func syntaxHint(line, message string) (what, right string) {
	switch {
	case decimalComma.MatchString(line):
		return "has a decimal comma", "write a point: 0.50"
	case yesNo.MatchString(line):
		return "has a yes or no that is not understood", "write true or false, in small letters and without quotes"
	case unitBehind.MatchString(line):
		m := unitBehind.FindStringSubmatch(line)
		return fmt.Sprintf("has %q behind the number", m[2]), "write the number alone, " + m[1] + "; the unit is part of the field's name"
	case noValue.MatchString(line):
		return "has no value after the =", "write one, or put # before the line"
	case bareWord.MatchString(line):
		word := strings.TrimSpace(bareWord.FindStringSubmatch(line)[1])
		return "has text without quotes", fmt.Sprintf("write %q", cut(word))
	case colonKey.MatchString(line):
		return "has a colon after the name", "write " + cut(colonKey.FindStringSubmatch(line)[1]) + " = and the value"
	}
	return "cannot be read as TOML (" + message + ")", "each line is a name, =, and a value; text stands in quotes, a list in [ ]"
}

func (d *document) fault(line int, field, what, right string) {
	d.faults = append(d.faults, Problem{d.file, line, field, what, right})
}

func (d *document) expression(p *unstable.Parser, at *lineCounter) {
	e := p.Expression()
	switch e.Kind {
	case unstable.KeyValue:
		d.keyValue(d.current, e, at)
	case unstable.Table, unstable.ArrayTable:
		d.header(e, at)
	}
}

func (d *document) header(e *unstable.Node, at *lineCounter) {
	path, line := d.keyPath(e, at)
	list := e.Kind == unstable.ArrayTable
	parent := d.descend(d.root, path[:len(path)-1], line)
	if parent == nil {
		d.current = newTable(line) // read on, so that its own faults are seen too
		return
	}
	key := path[len(path)-1]
	have := parent.table[key]
	fresh := newTable(line)
	fresh.opened = true
	d.current = fresh
	switch {
	case have == nil && list:
		parent.put(key, &node{line: line, kind: unstable.Array, items: []*node{fresh}, opened: true})
	case have == nil:
		parent.put(key, fresh)
	case list && have.kind == unstable.Array && have.opened:
		have.items = append(have.items, fresh)
	case !list && have.kind == unstable.Table && !have.opened:
		have.opened = true
		d.current = have
	case list:
		d.fault(line, cut(key), "was begun in another way before", fmt.Sprintf("write [[%s]] with two brackets above each one", cut(key)))
	default:
		d.fault(line, cut(key), fmt.Sprintf("was begun on line %d already", have.line), "join the two parts under one header")
	}
}

// descend follows a dotted path, making tables on the way; nil after a fault.
func (d *document) descend(from *node, path []string, line int) *node {
	for _, key := range path {
		have := from.table[key]
		switch {
		case have == nil:
			have = newTable(line)
			from.put(key, have)
		case have.kind == unstable.Array && have.opened:
			have = have.items[len(have.items)-1]
		case have.kind != unstable.Table:
			d.fault(line, cut(key), "is a value and cannot hold fields", "give the field another name")
			return nil
		}
		from = have
	}
	return from
}

func (d *document) keyValue(table *node, e *unstable.Node, at *lineCounter) {
	path, line := d.keyPath(e, at)
	key := path[len(path)-1]
	value := d.value(e.Value(), line, at)
	parent := d.descend(table, path[:len(path)-1], line)
	if parent == nil {
		return
	}
	if have := parent.table[key]; have != nil {
		d.fault(line, cut(key), fmt.Sprintf("is given twice, first on line %d", have.line), "keep one of them")
		return
	}
	parent.put(key, value)
}

func (d *document) value(v *unstable.Node, line int, at *lineCounter) *node {
	n := &node{line: line, kind: v.Kind}
	d.values++
	switch v.Kind {
	case unstable.Array:
		for it := v.Children(); it.Next(); {
			n.items = append(n.items, d.value(it.Node(), line, at))
		}
	case unstable.InlineTable:
		n.kind, n.table = unstable.Table, map[string]*node{}
		for it := v.Children(); it.Next(); {
			d.keyValue(n, it.Node(), at)
		}
		n.opened = true
	default:
		n.text = string(v.Data)
	}
	return n
}

// keyPath reads a dotted key; one with more parts than any field of a holding
// is reported and cut.
func (d *document) keyPath(e *unstable.Node, at *lineCounter) (path []string, line int) {
	for it := e.Key(); it.Next(); {
		k := it.Node()
		if len(path) == 0 {
			line = at.at(int(k.Raw.Offset))
		}
		if len(path) == maxKeyParts {
			d.fault(line, cut(path[0]), "has a name of too many parts", "write the field under its [header]")
			break
		}
		path = append(path, string(k.Data))
	}
	return path, line
}

// cut shortens what the keeper wrote, for a message.
func cut(text string) string {
	const most = 40
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(runes[:most]) + "…"
}

// scalar lets the library decode one number, date or truth value.
func scalar(text string) (any, error) {
	var v struct{ V any }
	err := toml.Unmarshal([]byte("V = "+text), &v)
	return v.V, err
}
