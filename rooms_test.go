// Package henyear_test watches over the plan of the house: which room may use
// which, and that the rooms about birds stay pure reckoning.
package henyear_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// rooms in order: each may use those before it. Examples are holdings written
// out as files, so they stand beside the room that reads them.
var rooms = []string{
	"measure", "source", "climate", "breed", "bird", "hatch", "housing", "butcher", "holding", "examples", "course",
	"solve", "ration", "kin", "plan", "chance", "advise", "daybook", "learn", "calendar",
	"store", "report", "web", "cmd/henyear",
}

// outside are the rooms whose work is the world beyond the program: a second
// process, a file, a browser, the keeper at the terminal. All others reckon.
var outside = []string{"solve", "store", "web", "cmd/henyear"}

// beyond are packages that reach for the world or for chance without being
// handed it.
var beyond = []string{
	"os", "os/exec", "os/signal", "os/user", "io/ioutil", "syscall", "net", "net/http", "log", "log/slog",
	"database/sql", "math/rand", "crypto/rand", "plugin", "unsafe", "C",
}

// clocks are the functions of package time that look at, or wait for, a clock.
var clocks = []string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker"}

// sources are the functions of math/rand/v2 that take their seed from the
// caller; all others draw from the process's own hidden source.
var sources = []string{"New", "NewPCG", "NewChaCha8", "NewZipf"}

// timekeepers may measure how long a solve took, since they say so in the
// answer; a date never comes from there.
var timekeepers = []string{"plan", "advise"}

type sourceFile struct {
	name, room string
	tree       *ast.File
}

// program reads every file that ends up in the program, tests left out.
func program(t *testing.T) []sourceFile {
	t.Helper()
	var files []sourceFile
	err := filepath.WalkDir(".", func(name string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case entry.IsDir() && name != "." && (strings.HasPrefix(entry.Name(), ".") || slices.Contains([]string{"node_modules", "testdata", "bin"}, entry.Name())):
			return fs.SkipDir
		case entry.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go"):
			return nil
		}
		tree, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution|parser.ParseComments)
		if err != nil {
			return err
		}
		slashed := filepath.ToSlash(name)
		files = append(files, sourceFile{slashed, roomOf(slashed), tree})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(files) == 0 {
		t.Fatal("no source files found")
	}
	return files
}

// roomOf names the room in which a file lies, folders inside it included; ""
// for files outside the program, such as scripts.
func roomOf(file string) string {
	for _, room := range rooms {
		if strings.HasPrefix(file, room+"/") {
			return room
		}
	}
	return ""
}

func importsOf(f sourceFile) []string {
	var list []string
	for _, spec := range f.tree.Imports {
		list = append(list, strings.Trim(spec.Path.Value, `"`))
	}
	return list
}

func TestNoRoomUsesARoomBelowIt(t *testing.T) {
	for _, f := range program(t) {
		if f.room == "" {
			// Scripts build the program and internal tools test it; neither is
			// part of it, and the check below keeps every room from using them.
			if !strings.HasPrefix(f.name, "scripts/") && !strings.HasPrefix(f.name, "internal/") {
				t.Errorf("%s lies in no room of the house", f.name)
			}
			continue
		}
		for _, imported := range importsOf(f) {
			inside, ours := strings.CutPrefix(imported, "henyear/")
			if !ours {
				continue
			}
			used := roomOf(inside + "/")
			if used == "" || slices.Index(rooms, used) > slices.Index(rooms, f.room) {
				t.Errorf("%s: %s may not use %s, which is not above it", f.name, f.room, inside)
			}
		}
	}
}

func TestRoomsThatReckonReachForNothingOutside(t *testing.T) {
	for _, f := range program(t) {
		if f.room == "" || slices.Contains(outside, f.room) {
			continue
		}
		for _, imported := range importsOf(f) {
			if slices.Contains(beyond, imported) || strings.HasPrefix(imported, "net/") && imported != "net/url" {
				t.Errorf("%s imports %s; a room that reckons does no input or output and is handed its chance", f.name, imported)
			}
		}
	}
}

func TestRoomsThatReckonAreHandedTheDateAndTheChance(t *testing.T) {
	for _, f := range program(t) {
		if f.room == "" || slices.Contains(outside, f.room) {
			continue
		}
		for _, use := range usesOf(f, "time", clocks) {
			if !slices.Contains(timekeepers, f.room) {
				t.Errorf("%s uses time.%s; the date and the time are passed in", f.name, use)
			}
		}
		for _, use := range usesOf(f, "math/rand/v2", nil) {
			if ast.IsExported(use) && !slices.Contains(sources, use) && !isType(use) {
				t.Errorf("%s uses rand.%s, which draws from a hidden source; use the one that is passed in", f.name, use)
			}
		}
	}
}

// isType names the types of math/rand/v2.
func isType(name string) bool {
	return slices.Contains([]string{"Rand", "Source", "PCG", "ChaCha8", "Zipf"}, name)
}

// usesOf lists which names of a package a file uses, among those wanted (nil:
// all of them).
func usesOf(f sourceFile, pkg string, wanted []string) []string {
	local := ""
	for _, spec := range f.tree.Imports {
		if strings.Trim(spec.Path.Value, `"`) != pkg {
			continue
		}
		local = path.Base(strings.TrimSuffix(pkg, "/v2"))
		if spec.Name != nil {
			local = spec.Name.Name
		}
	}
	if local == "" {
		return nil
	}
	var found []string
	ast.Inspect(f.tree, func(n ast.Node) bool {
		if sel, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := sel.X.(*ast.Ident); ok && x.Name == local && (wanted == nil || slices.Contains(wanted, sel.Sel.Name)) {
				found = append(found, sel.Sel.Name)
			}
		}
		return true
	})
	return found
}

func TestEveryRoomSaysWhatItIsFor(t *testing.T) {
	taught := map[string]bool{}
	present := map[string]bool{}
	for _, f := range program(t) {
		dir := path.Dir(f.name)
		present[dir] = true
		if f.tree.Doc != nil && len(f.tree.Doc.Text()) > 60 {
			taught[dir] = true
		}
	}
	for dir := range present {
		if !taught[dir] {
			t.Errorf("%s has no package comment that teaches what it is for", dir)
		}
	}
}

func TestSourceTextSpeaksForItself(t *testing.T) {
	for _, f := range program(t) {
		text, err := os.ReadFile(f.name)
		if err != nil {
			t.Fatal(err)
		}
		for _, odd := range []string{"TODO", "FIXME"} {
			if strings.Contains(string(text), odd) {
				t.Errorf("%s contains %q", f.name, odd)
			}
		}
	}
}
