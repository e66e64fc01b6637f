package report

import (
	"embed"
	"io/fs"
	"path"
	"strings"

	"henyear/plan"
	"henyear/source"
)

// BreedsAnswer is the comparison of the breeds as the program and the pages hand
// it out.
type BreedsAnswer struct {
	Format int              `json:"format"`
	Breeds []plan.BreedYear `json:"breeds"` // in the order of the catalogue, then first crosses, then pairs
}

// BreedsFormat is the version of the JSON of a BreedsAnswer.
const BreedsFormat = 1

// EvidenceAnswer is every published value held against the program's, as the
// program hands it out.
type EvidenceAnswer struct {
	Format  int            `json:"format"`
	Checks  []EvidenceRow  `json:"checks"`  // by room
	Sources []source.Entry `json:"sources"` // of the checks
}

// EvidenceRow is one check with what came of it.
type EvidenceRow struct {
	source.Check
	Deviation float64 `json:"deviation"` // computed less published
	Pass      bool    `json:"pass"`      // within the tolerance
}

// EvidenceFormat is the version of the JSON of an EvidenceAnswer.
const EvidenceFormat = 1

// The schemas are made from the types of the answers by scripts/schemas; a test
// there sees that they are up to date.
//
//go:embed schema/*.json
var schemaFiles embed.FS

// SchemaNames lists the answers that have a schema, in order.
func SchemaNames() []string {
	files, err := fs.Glob(schemaFiles, "schema/*.json")
	if err != nil {
		panic(err) // the pattern is constant
	}
	for i, f := range files {
		files[i] = strings.TrimSuffix(path.Base(f), ".json")
	}
	return files
}

// Schema is the JSON Schema (draft 2020-12) of an answer; false if there is none
// of that name.
func Schema(name string) ([]byte, bool) {
	text, err := schemaFiles.ReadFile("schema/" + name + ".json")
	return text, err == nil
}
