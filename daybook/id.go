package daybook

import (
	"bytes"
	"encoding/hex"
	"fmt"
	"strings"
)

// idDigits is the length of the text form of an ID.
const idDigits = 2 * len(ID{})

// ParseID reads the text form of an ID: 32 hexadecimal digits, in small or
// capital letters. Anything else is an error that says what was expected.
func ParseID(text string) (ID, error) {
	if len(text) != idDigits {
		return ID{}, fmt.Errorf("%q is not an identifier: it has %d characters instead of %d hexadecimal digits", shorten(text), len(text), idDigits)
	}
	var id ID
	if _, err := hex.Decode(id[:], []byte(text)); err != nil {
		return ID{}, fmt.Errorf("%q is not an identifier: only the digits 0 to 9 and the letters a to f may stand in it", text)
	}
	return id, nil
}

// String writes the ID as 32 hexadecimal digits in small letters.
func (id ID) String() string { return hex.EncodeToString(id[:]) }

// Short is the first eight digits, to show a person which record is meant.
func (id ID) Short() string { return hex.EncodeToString(id[:4]) }

// IsZero reports whether the ID was not given.
func (id ID) IsZero() bool { return id == ID{} }

// Compare orders IDs by their bytes: -1, 0 or 1.
func (id ID) Compare(other ID) int { return bytes.Compare(id[:], other[:]) }

// MarshalText writes the 32 digits; an ID that was not given is the empty text.
func (id ID) MarshalText() ([]byte, error) {
	if id.IsZero() {
		return nil, nil
	}
	return hex.AppendEncode(nil, id[:]), nil
}

// UnmarshalText reads what MarshalText writes.
func (id *ID) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*id = ID{}
		return nil
	}
	if len(text) == idDigits {
		if _, err := hex.Decode(id[:], text); err == nil {
			return nil
		}
	}
	_, err := ParseID(string(text))
	*id = ID{}
	return err
}

// shorten keeps what is quoted in a message readable.
func shorten(text string) string {
	const most = 40
	text = strings.ToValidUTF8(text, "\uFFFD")
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(runes[:most]) + "…"
}
