package daybook

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// Bounds of a file that is read: of an old table, and of a table that the daybook
// wrote itself.
const (
	MostFileBytes  = 32 << 20
	MostTableBytes = 1 << 30
	mostRows       = 200_000
	mostTableRows  = 5_000_000
	mostColumns    = 200
	mostCellBytes  = MostPayloadBytes
)

// The encodings of a file, as they are told to the keeper.
const (
	UTF8       = "UTF-8"
	UTF8Marked = "UTF-8 with a byte order mark"
	UTF16LE    = "UTF-16, little end first"
	UTF16BE    = "UTF-16, big end first"
	Latin1     = "Latin-1 (Windows-1252)" // said, because it is only what remains when nothing else fits
)

// decodeText makes UTF-8 of a file and says what it was. Wanted, if not empty,
// overrides what the bytes look like. It refuses what is no text.
func decodeText(file []byte, wanted string, mostBytes int) (text, encoding string, err error) {
	switch {
	case len(file) == 0:
		return "", "", errors.New("the file is empty")
	case len(file) > mostBytes:
		return "", "", fmt.Errorf("the file has %d MB; a table of at most %d MB can be read, so cut it by years", len(file)>>20, mostBytes>>20)
	case bytes.HasPrefix(file, []byte("PK\x03\x04")), bytes.HasPrefix(file, []byte("\xd0\xcf\x11\xe0")):
		return "", "", errors.New("this is a spreadsheet file, not a table of text; open it and save it as CSV")
	}
	if encoding = wanted; encoding == "" {
		encoding = guessEncoding(file)
	}
	switch encoding {
	case UTF8, UTF8Marked:
		text = string(bytes.TrimPrefix(file, []byte("\xef\xbb\xbf")))
		if !utf8.ValidString(text) {
			return "", "", errors.New("the file is not UTF-8; choose another encoding")
		}
	case UTF16LE, UTF16BE:
		text = fromUTF16(file, encoding)
	case Latin1:
		b, err := charmap.Windows1252.NewDecoder().Bytes(file)
		if err != nil {
			return "", "", errors.New("the file is not Latin-1; choose another encoding")
		}
		text = string(b)
	default:
		return "", "", fmt.Errorf("encoding: %q is not known; choose one of: %s, %s, %s, %s, %s", shorten(encoding), UTF8, UTF8Marked, UTF16LE, UTF16BE, Latin1)
	}
	return text, encoding, nil
}

func guessEncoding(file []byte) string {
	switch {
	case bytes.HasPrefix(file, []byte("\xef\xbb\xbf")):
		return UTF8Marked
	case bytes.HasPrefix(file, []byte("\xff\xfe")):
		return UTF16LE
	case bytes.HasPrefix(file, []byte("\xfe\xff")):
		return UTF16BE
	}
	odd, even := 0, 0 // zero bytes; letters of western languages leave every second one empty
	head := file[:min(len(file), 4096)]
	for i, c := range head {
		if c == 0 && i%2 == 0 {
			even++
		} else if c == 0 {
			odd++
		}
	}
	switch half := len(head) / 2; {
	case odd > half/2 && even == 0:
		return UTF16LE
	case even > half/2 && odd == 0:
		return UTF16BE
	case utf8.Valid(file):
		return UTF8
	}
	return Latin1
}

func fromUTF16(file []byte, encoding string) string {
	var order binary.ByteOrder = binary.LittleEndian
	if encoding == UTF16BE {
		order = binary.BigEndian
	}
	units := make([]uint16, len(file)/2)
	for i := range units {
		units[i] = order.Uint16(file[2*i:])
	}
	if len(units) > 0 && units[0] == 0xfeff {
		units = units[1:]
	}
	return string(utf16.Decode(units))
}

// looksBinary finds characters that no table holds, but for a stray few.
func looksBinary(text string) bool {
	odd, all := 0, 0
	for _, r := range text {
		if all++; r == 0 || unicode.IsControl(r) && r != '\n' && r != '\r' && r != '\t' && r != '\f' {
			odd++
		}
	}
	return odd > 2 && odd*200 > all
}

// line is one row of a table with the number of the line where it begins.
type tableRow struct {
	line  int
	cells []string
}

// delimiters in the order in which they are preferred.
var delimiters = []rune{',', ';', '\t', '|'}

// guessDelimiter picks what cuts the first rows into the most even columns.
func guessDelimiter(text string) rune {
	head := text
	if len(head) > 64<<10 {
		head = head[:64<<10]
		if i := strings.LastIndexByte(head, '\n'); i > 0 {
			head = head[:i]
		}
	}
	best, bestScore := ',', 0.0
	for _, d := range delimiters {
		rows, _ := firstRows(head, d, 60)
		if score := evenness(rows); score > bestScore {
			best, bestScore = d, score
		}
	}
	return best
}

// evenness is 0 for a single column, and grows with the share of rows that have
// the commonest number of columns.
func evenness(rows []tableRow) float64 {
	times := map[int]int{}
	for _, r := range rows {
		times[len(r.cells)]++
	}
	columns, most := 1, 0
	for n, k := range times {
		if n > 1 && (k > most || k == most && n > columns) {
			columns, most = n, k
		}
	}
	if columns < 2 {
		return 0
	}
	return float64(most)/float64(len(rows)) + 0.001*float64(min(columns, 50))
}

// mostRowBytes bounds one row, so that a missing quotation mark cannot make a cell
// of the whole file, nor a file without line ends a row of millions of cells.
const mostRowBytes = 1 << 20

var errLongRow = fmt.Errorf("a line of the table is longer than %d MB; a quotation mark may be missing, or this is no table", mostRowBytes>>20)

// rowGuard hands out a text as long as rows end in time.
type rowGuard struct {
	text  string
	given int64
	begun int64 // where the row began that is being read
}

func (g *rowGuard) Read(b []byte) (int, error) {
	switch {
	case g.given == int64(len(g.text)):
		return 0, io.EOF
	case g.given-g.begun > mostRowBytes:
		return 0, errLongRow
	}
	n := copy(b, g.text[g.given:])
	g.given += int64(n)
	return n, nil
}

// readRows cuts a text into rows and cells; more rows than most are an error.
func readRows(text string, delimiter rune, most int) ([]tableRow, error) {
	rows, err := firstRows(text, delimiter, most+1)
	if err == nil && len(rows) > most {
		err = fmt.Errorf("the table has more than %d lines; cut it by years", most)
	}
	return rows, err
}

// firstRows cuts the first rows of a text into cells.
func firstRows(text string, delimiter rune, most int) ([]tableRow, error) {
	guard := &rowGuard{text: text}
	r := csv.NewReader(guard)
	r.Comma, r.LazyQuotes, r.FieldsPerRecord = delimiter, true, -1
	var rows []tableRow
	for len(rows) < most {
		cells, err := r.Read()
		if err == io.EOF {
			return rows, nil
		}
		if errors.Is(err, errLongRow) {
			return rows, err
		}
		if err != nil {
			return rows, fmt.Errorf("the table cannot be read (%w)", err)
		}
		guard.begun = r.InputOffset()
		line, _ := r.FieldPos(0)
		if len(cells) > mostColumns {
			return rows, fmt.Errorf("line %d has %d columns; at most %d can be read", line, len(cells), mostColumns)
		}
		for _, c := range cells {
			if len(c) > mostCellBytes {
				return rows, fmt.Errorf("line %d has a cell of %d letters; a quotation mark may be missing before it", line, len(c))
			}
		}
		rows = append(rows, tableRow{line, cells})
	}
	return rows, nil
}
