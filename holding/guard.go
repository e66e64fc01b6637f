package holding

import (
	"bytes"
	"fmt"
	"unicode/utf8"
)

// guard refuses what is not a text file of a size that a keeper could write,
// before any parser sees it. It returns the text without its byte order mark.
func guard(data []byte, file string) ([]byte, Problems) {
	refuse := func(line int, what, right string) ([]byte, Problems) {
		return nil, Problems{{file, line, "", what, right}}
	}
	if len(data) > MaxFileBytes {
		return refuse(0, fmt.Sprintf("the file has %d bytes, more than the %d that a holding may have", len(data), MaxFileBytes),
			"check that it is the right file; a holding is a few pages of text")
	}
	if bytes.HasPrefix(data, []byte{0xFF, 0xFE}) || bytes.HasPrefix(data, []byte{0xFE, 0xFF}) || looksUTF16(data) {
		return refuse(0, "the file is written in UTF-16", "save it again as UTF-8 (a choice in the editor's Save As)")
	}
	data = bytes.TrimPrefix(data, []byte{0xEF, 0xBB, 0xBF})
	if len(bytes.TrimSpace(data)) == 0 {
		return refuse(0, "the file is empty", "begin from one of the examples")
	}
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return refuse(lineAt(data, i), "the file is not text: it holds a zero byte", "give a holding written as TOML text")
	}
	if i := invalidUTF8(data); i >= 0 {
		return refuse(lineAt(data, i), "the file holds a letter that is not UTF-8", "save it again as UTF-8 (a choice in the editor's Save As)")
	}
	number := 0
	for line := range bytes.SplitSeq(data, []byte{'\n'}) {
		if number++; len(line) > MaxLineBytes {
			return refuse(number, fmt.Sprintf("the line has %d bytes, more than %d", len(line), MaxLineBytes), "break it into several lines")
		}
	}
	if line := tooDeep(data); line > 0 {
		return refuse(line, fmt.Sprintf("more than %d brackets are open", MaxDepth), "close each [ with ] and each { with }")
	}
	return data, nil
}

// looksUTF16 recognises UTF-16 without a mark by its zero bytes at every
// second place.
func looksUTF16(data []byte) bool {
	if len(data) < 4 {
		return false
	}
	little := data[1] == 0 && data[3] == 0 && data[0] != 0 && data[2] != 0
	big := data[0] == 0 && data[2] == 0 && data[1] != 0 && data[3] != 0
	return little || big
}

func lineAt(data []byte, offset int) int { return 1 + bytes.Count(data[:offset], []byte{'\n'}) }

func invalidUTF8(data []byte) int {
	for i := 0; i < len(data); {
		r, size := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && size == 1 {
			return i
		}
		i += size
	}
	return -1
}

// tooDeep returns the line on which more than MaxDepth brackets are open
// outside text and comments, or 0.
func tooDeep(data []byte) int {
	depth, line := 0, 1
	var quote byte
	for i := 0; i < len(data); i++ {
		c := data[i]
		switch {
		case c == '\n':
			line, quote = line+1, 0 // texts over several lines are not used here
		case quote != 0:
			if c == '\\' && quote == '"' && i+1 < len(data) && data[i+1] != '\n' {
				i++
			} else if c == quote {
				quote = 0
			}
		case c == '"' || c == '\'':
			quote = c
		case c == '#':
			for i+1 < len(data) && data[i+1] != '\n' {
				i++
			}
		case c == '[' || c == '{':
			if depth++; depth > MaxDepth {
				return line
			}
		case c == ']' || c == '}':
			depth = max(0, depth-1)
		}
	}
	return 0
}
