// Command notices gathers this program's licence, those of every Go module that
// is built into it on any of the systems it is built for, and that of Go itself
// into cmd/henyear/notices.txt. Run it from the top of the source tree after
// the modules have changed:
//
//	go run ./scripts/notices
package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

const target = "cmd/henyear/notices.txt"

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "notices:", err)
		os.Exit(1)
	}
}

func run() error {
	modules, err := linked()
	if err != nil {
		return err
	}
	var b bytes.Buffer
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return err
	}
	if err := add(&b, "Henyear", "."); err != nil {
		return err
	}
	if err := add(&b, "Go and its standard library", strings.TrimSpace(string(root))); err != nil {
		return err
	}
	for _, m := range modules {
		if err := add(&b, m.path+" "+m.version, m.dir); err != nil {
			return err
		}
	}
	return os.WriteFile(target, b.Bytes(), 0o644)
}

type module struct{ path, version, dir string }

// linked lists the modules behind the program's packages, in order of path.
func linked() ([]module, error) {
	var all []module
	for _, system := range []string{"linux", "darwin", "windows"} {
		list := exec.Command("go", "list", "-deps", "-f",
			"{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}} {{.Dir}}{{end}}{{end}}", "./cmd/henyear")
		list.Env = append(os.Environ(), "GOOS="+system, "GOARCH=amd64", "CGO_ENABLED=0")
		list.Stderr = os.Stderr
		out, err := list.Output()
		if err != nil {
			return nil, fmt.Errorf("go list for %s: %w", system, err)
		}
		for line := range strings.Lines(string(out)) {
			if part := strings.SplitN(strings.TrimSpace(line), " ", 3); len(part) == 3 {
				all = append(all, module{part[0], part[1], part[2]})
			}
		}
	}
	slices.SortFunc(all, func(a, b module) int { return strings.Compare(a.path, b.path) })
	return slices.Compact(all), nil
}

// add writes the licence and notice files that lie at the top of a folder; a
// folder without any is an error, since the program may then not be passed on.
func add(b *bytes.Buffer, title, dir string) error {
	found := false
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if !isLicence(e) {
			continue
		}
		text, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			return err
		}
		fmt.Fprintf(b, "---- %s (%s) ----\n\n%s\n\n", title, e.Name(), bytes.TrimSpace(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))))
		found = true
	}
	if !found {
		return errors.New(title + " has no licence file")
	}
	return nil
}

func isLicence(e fs.DirEntry) bool {
	name := strings.ToUpper(e.Name())
	if strings.HasSuffix(name, "LOGO") {
		return false // a picture that is not built in
	}
	for _, begins := range []string{"LICENSE", "LICENCE", "NOTICE", "COPYING", "PATENTS"} {
		if strings.HasPrefix(name, begins) && !e.IsDir() {
			return true
		}
	}
	return false
}
