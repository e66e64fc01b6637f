// Package examples carries four invented holdings, written as a keeper would
// write them, so that the program can show a plan before anything is typed in.
package examples

import (
	"embed"
	"fmt"
	"io/fs"
	"strings"
)

//go:embed *.toml
var files embed.FS

// Demo is the name of the holding that the program shows first.
const Demo = "valley"

// List returns the names of the examples, the demo first, then by the alphabet.
func List() []string {
	paths, err := fs.Glob(files, "*.toml")
	if err != nil {
		panic(err) // the pattern is constant
	}
	names := []string{Demo}
	for _, p := range paths {
		if name := strings.TrimSuffix(p, ".toml"); name != Demo {
			names = append(names, name)
		}
	}
	return names
}

// Get returns the text of one example by its name, with or without .toml. An
// unknown name is an error that lists the known ones.
func Get(name string) ([]byte, error) {
	data, err := files.ReadFile(strings.TrimSuffix(name, ".toml") + ".toml")
	if err != nil {
		return nil, fmt.Errorf("there is no example named %q; the examples are %s", name, strings.Join(List(), ", "))
	}
	return data, nil
}
