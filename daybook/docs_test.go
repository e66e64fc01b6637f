package daybook

import (
	"os"
	"strings"
	"testing"

	"henyear/source"
)

func TestTheDocumentsNameEveryKindAndField(t *testing.T) {
	text, err := os.ReadFile("../docs/daybook.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range Kinds() {
		row := ""
		for line := range strings.Lines(string(text)) {
			if strings.HasPrefix(line, "| `"+k.Name+"` |") {
				row = line
			}
		}
		if row == "" {
			t.Errorf("docs/daybook.md does not explain %q", k.Name)
		}
		for _, c := range columnsOf(k) {
			if !strings.Contains(row, "`"+c.name+"`") {
				t.Errorf("docs/daybook.md does not name %s of %q", c.name, k.Name)
			}
		}
	}
}

func TestTheModelPageNamesOnlySourcesOfTheBibliography(t *testing.T) {
	text, err := os.ReadFile("../docs/models/daybook.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, word := range strings.FieldsFunc(string(text), func(r rune) bool { return strings.ContainsRune(" \n,.;[]()", r) }) {
		if strings.HasPrefix(word, "daybook-") {
			if _, known := source.Lookup(word); !known {
				t.Errorf("%q is not in the bibliography", word)
			}
		}
	}
}
