package solve

import (
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
)

// The folder always holds its README.md; the solver itself is put there by the
// build.
//
//go:embed all:highs
var folder embed.FS

//go:embed notices.txt
var ownNotices string

// ErrNotBuilt says that the program was compiled without its solver.
var ErrNotBuilt = errors.New("this program was built without its solver; run `make build` in the source tree and use the program it makes")

// abi holds the short names that one build of the solver gives its functions.
type abi struct {
	Sum     string            `json:"sha256"`
	Exports map[string]string `json:"exports"`
	Imports map[string]string `json:"imports"`
	Module  string            `json:"import_module"`
	Memory  string            `json:"memory"`
	Init    string            `json:"init"`
}

// solverCode returns the compiled solver and its names, or ErrNotBuilt.
func solverCode() (wasm []byte, names abi, err error) {
	wasm, err = folder.ReadFile("highs/highs.wasm")
	if err != nil {
		return nil, names, ErrNotBuilt
	}
	text, err := folder.ReadFile("highs/abi.json")
	if err != nil {
		return nil, names, ErrNotBuilt
	}
	if err := json.Unmarshal(text, &names); err != nil {
		return nil, names, fmt.Errorf("the solver's table of names cannot be read (%w); run `make build` again", err)
	}
	return wasm, names, nil
}

// Built reports whether the program carries its solver.
func Built() bool {
	_, _, err := solverCode()
	return err == nil
}

// Notices returns the notices and licences of the solver and its parts, which
// must go with the program.
func Notices() string {
	var b strings.Builder
	b.WriteString(ownNotices)
	if text, err := folder.ReadFile("highs/licences.txt"); err == nil {
		b.WriteString("\n")
		b.Write(text)
	}
	return b.String()
}
