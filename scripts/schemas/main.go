// Command schemas writes the JSON Schemas of everything that the program hands
// out as JSON. They are made from the Go types and the comments on their fields,
// and stand twice: in docs/schema for readers, and in report/schema, from where
// they are built into the program. Run it from the top of the source tree after
// a type has changed:
//
//	go run ./scripts/schemas
//
// Within a format, fields are only ever added. docs/schema/fields.txt lists every
// field that was ever published; a test fails when one of them is gone. New ones
// are added to the list here, and nothing is ever taken out of it.
package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// The folders in which the schemas stand.
var folders = []string{"docs/schema", "report/schema"}

const fieldList = "docs/schema/fields.txt"

func main() {
	if err := run("."); err != nil {
		fmt.Fprintln(os.Stderr, "schemas:", err)
		os.Exit(1)
	}
}

func run(root string) error {
	made, err := generate(root)
	if err != nil {
		return err
	}
	var fields []string
	for _, name := range slices.Sorted(mapsKeys(made)) {
		for _, folder := range folders {
			if err := os.WriteFile(filepath.Join(root, folder, name+".json"), made[name], 0o644); err != nil {
				return err
			}
		}
		list, err := fieldsOf(name, made[name])
		if err != nil {
			return err
		}
		fields = append(fields, list...)
	}
	published, err := readFields(root)
	if err != nil {
		return err
	}
	for _, f := range published {
		if !slices.Contains(fields, f) {
			return fmt.Errorf("%s was published and is gone; put it back, or raise the format and keep the old one readable", f)
		}
	}
	slices.Sort(fields)
	return os.WriteFile(filepath.Join(root, fieldList), []byte(strings.Join(slices.Compact(fields), "\n")+"\n"), 0o644)
}

func mapsKeys(m map[string][]byte) func(func(string) bool) {
	return func(yield func(string) bool) {
		for name := range m {
			if !yield(name) {
				return
			}
		}
	}
}

// readFields reads the list of what was published; none is an empty list.
func readFields(root string) ([]string, error) {
	text, err := os.ReadFile(filepath.Join(root, fieldList))
	if os.IsNotExist(err) {
		return nil, nil
	}
	return strings.Fields(string(text)), err
}
