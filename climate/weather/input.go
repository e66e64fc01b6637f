package weather

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"unicode/utf8"

	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

const (
	// longestLine is far beyond any weather table; what has longer lines is no
	// table.
	longestLine = 64 << 10
	// headBytes is how much of the beginning is looked at to find the kind.
	headBytes = 32 << 10
)

// bounded hands out at most left bytes of a file and then fails, so that a file
// without end is not read without end.
type bounded struct {
	from io.Reader
	left int64
}

var errTooLarge = errors.New("too large")

func (b *bounded) Read(p []byte) (int, error) {
	n, err := b.from.Read(p)
	b.left -= int64(n)
	if b.left < 0 {
		return 0, errTooLarge
	}
	return n, err
}

// lines hands out a text line by line, whatever its encoding and line ends.
type lines struct {
	in       *bufio.Reader
	maxBytes int64
	end      byte // last byte of a line
	number   int  // of the line handed out last, from 1
	cut      bool // the last line has no line end: the file may be truncated
	latin    bool // some line was not UTF-8 and was taken as Latin-1
	scratch  []byte
}

// openText looks at the first bytes and prepares to read lines. It refuses what is
// no text.
func openText(from io.Reader, maxBytes int64) (*lines, error) {
	if maxBytes <= 0 {
		maxBytes = DefaultMaxBytes
	}
	in := bufio.NewReaderSize(&bounded{from, maxBytes}, longestLine)
	head, err := in.Peek(512)
	l := &lines{in: in, maxBytes: maxBytes, end: '\n'}
	if err != nil && err != io.EOF {
		return nil, l.failed(err)
	}
	if len(bytes.TrimSpace(head)) == 0 && err == io.EOF {
		return nil, refuse("empty", nil, "is empty.")
	}
	if f := foreign(head); f != nil {
		return nil, f
	}
	if decoder := wideText(head); decoder != nil {
		l.in = bufio.NewReaderSize(transform.NewReader(in, decoder), longestLine)
	} else if bytes.HasPrefix(head, []byte("\xef\xbb\xbf")) {
		in.Discard(3)
	} else if strange(head) {
		return nil, refuse("not-text", nil, "is no text but a file of another program; give the weather table itself, as text or CSV.")
	}
	text, err := l.head()
	if err != nil {
		return nil, err
	}
	if f := webText(text); f != nil {
		return nil, f
	}
	if bytes.IndexByte(text, '\n') < 0 && bytes.IndexByte(text, '\r') >= 0 {
		l.end = '\r'
	}
	return l, nil
}

// head is the beginning of the text, not yet consumed.
func (l *lines) head() ([]byte, error) {
	text, err := l.in.Peek(headBytes)
	if err != nil && err != io.EOF && len(text) == 0 {
		return nil, l.failed(err)
	}
	return text, nil
}

// next returns the next line without its end, valid until the following call;
// io.EOF after the last.
func (l *lines) next() ([]byte, error) {
	line, err := l.in.ReadSlice(l.end)
	switch {
	case err == io.EOF && len(line) == 0:
		return nil, io.EOF
	case err == io.EOF:
		l.cut = true
	case err == bufio.ErrBufferFull:
		return nil, refuse("long-line", map[string]any{"line": l.number + 1},
			"has a line %d of more than %d kB; that is no weather table.", l.number+1, longestLine>>10)
	case err != nil:
		return nil, l.failed(err)
	default:
		line = line[:len(line)-1]
	}
	l.number++
	if n := len(line); n > 0 && line[n-1] == '\r' {
		line = line[:n-1]
	}
	if !utf8.Valid(line) {
		line = l.fromLatin(line)
	}
	return line, nil
}

// fromLatin reads the bytes of a line as Latin-1, the only other encoding in which
// weather tables of one byte a letter come.
func (l *lines) fromLatin(line []byte) []byte {
	l.latin = true
	l.scratch = l.scratch[:0]
	for _, b := range line {
		l.scratch = utf8.AppendRune(l.scratch, rune(b))
	}
	return l.scratch
}

func (l *lines) failed(err error) error {
	if errors.Is(err, errTooLarge) {
		return refuse("too-large", map[string]any{"most_mb": l.maxBytes >> 20},
			"is larger than %d MB, the most that is read; take one station, and the years and columns that matter.", max(1, l.maxBytes>>20))
	}
	return refuse("unreadable", map[string]any{"reason": err.Error()}, "could not be read to its end (%v); nothing was taken from it.", err)
}

// wideText finds text of two bytes a letter, by its mark or by the zeros in every
// second place.
func wideText(head []byte) transform.Transformer {
	order, found := unicode.LittleEndian, false
	switch {
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}):
		found = true
	case bytes.HasPrefix(head, []byte{0xfe, 0xff}):
		order, found = unicode.BigEndian, true
	default:
		var zeros [2]int
		for i, b := range head {
			if b == 0 {
				zeros[i%2]++
			}
		}
		half := len(head) / 2
		switch {
		case half < 8:
		case zeros[1] > half*8/10 && zeros[0] == 0:
			found = true
		case zeros[0] > half*8/10 && zeros[1] == 0:
			order, found = unicode.BigEndian, true
		}
	}
	if !found {
		return nil
	}
	return unicode.UTF16(order, unicode.UseBOM).NewDecoder()
}

// strange tells bytes of machines from text.
func strange(head []byte) bool {
	odd := 0
	for _, b := range head {
		if b == 0 {
			return true
		}
		if b < ' ' && b != '\t' && b != '\n' && b != '\r' && b != '\f' && b != 0x1a {
			odd++
		}
	}
	return odd > len(head)/50
}

// A mark is the first bytes by which a kind of file that is no table is known.
type mark struct{ bytes, what, remedy string }

const (
	unpack  = "unpack it and give the file inside"
	saveCSV = "save the sheet as CSV and give that"
	noTable = "give the table of figures as text or CSV"
)

// marks are first bytes from memory of the formats.
var marks = []mark{
	{"PK\x03\x04", "a zip archive or a spreadsheet", "unpack it, or save the sheet as CSV, and give that"},
	{"PK\x05\x06", "an empty zip archive", unpack},
	{"\x1f\x8b", "packed with gzip", unpack},
	{"BZh", "packed with bzip2", unpack},
	{"\xfd7zXZ\x00", "packed with xz", unpack},
	{"\x28\xb5\x2f\xfd", "packed with zstd", unpack},
	{"7z\xbc\xaf\x27\x1c", "a 7z archive", unpack},
	{"Rar!", "a rar archive", unpack},
	{"\xd0\xcf\x11\xe0", "an old spreadsheet or document", saveCSV},
	{"\x89PNG", "a picture", noTable},
	{"\xff\xd8\xff", "a picture", noTable},
	{"GIF8", "a picture", noTable},
	{"II*\x00", "a picture", noTable},
	{"MM\x00*", "a picture", noTable},
	{"RIFF", "a picture, a sound or a film", noTable},
	{"%PDF", "a PDF document", noTable},
	{"\x89HDF", "a file of map grids (HDF or NetCDF)", "ask the service for the values of one point as CSV"},
	{"CDF", "a file of map grids (NetCDF)", "ask the service for the values of one point as CSV"},
	{"GRIB", "a file of map grids (GRIB)", "ask the service for the values of one point as CSV"},
	{"SQLite format 3", "a database", noTable},
	{"PAR1", "a table in the form of a database", noTable},
	{"\x7fELF", "a program", noTable},
	{"MZ\x90", "a program", noTable},
	{"\xff\xfe\x00\x00", "text of four bytes a letter", "save it as UTF-8"},
	{"\x00\x00\xfe\xff", "text of four bytes a letter", "save it as UTF-8"},
}

// foreign refuses files whose first bytes tell that they are something else.
func foreign(head []byte) *Refusal {
	for _, m := range marks {
		if bytes.HasPrefix(head, []byte(m.bytes)) {
			return refuse("foreign", map[string]any{"what": m.what}, "is %s; %s.", m.what, m.remedy)
		}
	}
	return nil
}

// webText refuses pages and structured answers, which a browser saves where a table
// was wanted.
func webText(text []byte) *Refusal {
	start := bytes.ToLower(bytes.TrimSpace(text[:min(len(text), 300)]))
	switch {
	case bytes.HasPrefix(start, []byte("<!doctype html")), bytes.HasPrefix(start, []byte("<html")):
		return refuse("web-page", nil, "is a web page, perhaps the message that the table could not be had; save the table itself.")
	case bytes.HasPrefix(start, []byte("<?xml")), bytes.HasPrefix(start, []byte("<")):
		return refuse("markup", nil, "is a text with markup (XML); ask the service for CSV.")
	case bytes.HasPrefix(start, []byte("{")), bytes.HasPrefix(start, []byte("[")):
		return refuse("json", nil, "is JSON; ask the service for CSV.")
	}
	return nil
}
