package report

import (
	"embed"
	"fmt"
	"io/fs"

	"github.com/pelletier/go-toml/v2"
)

// Words is a table of messages in one language, from a code to its text. A text
// takes its arguments as %s or %[2]s; every argument is already written out as
// the reader will see it, so that a translation may change the order of words
// but never a figure.
type Words map[string]string

// ReadWords reads a flat TOML table of texts. It fails on an unreadable file.
func ReadWords(files fs.FS, name string) (Words, error) {
	b, err := fs.ReadFile(files, name)
	if err != nil {
		return nil, err
	}
	w := Words{}
	if err := toml.Unmarshal(b, &w); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return w, nil
}

// Say writes the text of a code. A code without a text is written as itself,
// between brackets, so that the gap shows and nothing stops.
func (w Words) Say(code string, args ...string) string {
	text, ok := w[code]
	if !ok {
		return "[" + code + "]"
	}
	if len(args) == 0 {
		return text
	}
	list := make([]any, len(args))
	for i, a := range args {
		list[i] = a
	}
	return fmt.Sprintf(text, list...)
}

// ReadAllWords reads every table of texts in the top folder of files into one.
// It fails on a code that stands in two of them.
func ReadAllWords(files fs.FS) (Words, error) {
	names, err := fs.Glob(files, "*.toml")
	if err != nil {
		return nil, err
	}
	all, from := Words{}, map[string]string{}
	for _, name := range names {
		w, err := ReadWords(files, name)
		if err != nil {
			return nil, err
		}
		for code, text := range w {
			if first, twice := from[code]; twice {
				return nil, fmt.Errorf("the text %q stands in %s and in %s", code, first, name)
			}
			all[code], from[code] = text, name
		}
	}
	return all, nil
}

//go:embed *.toml
var wordFiles embed.FS

var english = func() Words {
	w, err := ReadAllWords(wordFiles)
	if err != nil {
		panic(err) // embedded and read by a test
	}
	return w
}()

func say(code string, args ...string) string { return english.Say(code, args...) }
