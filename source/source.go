// Package source is the bibliography: every coefficient in the program names a
// key, and every key says what kind of knowledge stands behind it.
//
// Keys live in data/*.csv, one file for each room that cites them, with columns
// key, kind, text. The kinds are:
//
//	published  read in a publication or data set; text is the reference
//	practice   common practice of the trade, no source
//	memory     a known publication that was not read again
//	guess      set for this program, to be replaced by the keeper's records
package source

import (
	"embed"
	"encoding/csv"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync"
)

// Kind says how far a reference can be trusted.
type Kind string

const (
	Published Kind = "published"
	Practice  Kind = "practice"
	Memory    Kind = "memory"
	Guess     Kind = "guess"
)

// Entry is one line of the bibliography.
type Entry struct {
	Key  string `json:"key"`
	Kind Kind   `json:"kind"`
	Text string `json:"text"`
}

//go:embed data/*.csv
var data embed.FS

var load = sync.OnceValues(func() (map[string]Entry, error) { return read(data) })

func read(files fs.FS) (map[string]Entry, error) {
	names, err := fs.Glob(files, "data/*.csv")
	if err != nil {
		return nil, err
	}
	entries := map[string]Entry{}
	for _, name := range names {
		f, err := files.Open(name)
		if err != nil {
			return nil, err
		}
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		for i, row := range rows[1:] {
			e := Entry{row[0], Kind(row[1]), row[2]}
			if !slices.Contains([]Kind{Published, Practice, Memory, Guess}, e.Kind) {
				return nil, fmt.Errorf("%s line %d: unknown kind %q", name, i+2, row[1])
			}
			if have, twice := entries[e.Key]; twice && have != e {
				return nil, fmt.Errorf("%s line %d: key %q is already used for another reference", name, i+2, e.Key)
			}
			entries[e.Key] = e
		}
	}
	return entries, nil
}

// Lookup finds the reference behind a key.
func Lookup(key string) (Entry, bool) {
	entries, err := load()
	if err != nil {
		panic(err) // the data are embedded and checked by a test
	}
	e, ok := entries[key]
	return e, ok
}

// All lists the bibliography in the order of its keys.
func All() []Entry {
	entries, err := load()
	if err != nil {
		panic(err)
	}
	list := make([]Entry, 0, len(entries))
	for _, e := range entries {
		list = append(list, e)
	}
	slices.SortFunc(list, func(a, b Entry) int { return strings.Compare(a.Key, b.Key) })
	return list
}
