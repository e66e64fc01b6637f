// Command fetch-solver fills solve/highs with the solver's compiled code, its
// table of names and the licence texts, from the npm package that
// package-lock.json pins. Run it from the top of the source tree:
//
//	go run ./scripts/fetch-solver
//
// When the folder is already complete it stops at once and needs neither npm
// nor the network. Otherwise it uses node_modules, and asks `npm ci` for that
// only when the package is not there.
package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
)

// wantSum is the sha256 of highs.wasm in version 1.15.3 of the npm package.
const wantSum = "528be4365bea1d4188988646b244263f50320df55782e14d6af5bce7cd45c840"

const (
	folder  = "solve/highs"
	pkg     = "node_modules/highs"
	wazero  = "github.com/tetratelabs/wazero"
	wasmIn  = pkg + "/build/highs.wasm"
	glueIn  = pkg + "/build/highs.js"
	wasmOut = folder + "/highs.wasm"
	abiOut  = folder + "/abi.json"
	textOut = folder + "/licences.txt"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "fetch-solver:", err)
		os.Exit(1)
	}
}

func run() error {
	if _, err := os.Stat("package-lock.json"); err != nil {
		return errors.New("run this from the top of the source tree, where package-lock.json lies")
	}
	if complete() {
		return nil
	}
	if !packageReady() {
		if err := npm(); err != nil {
			return err
		}
	}
	return fill()
}

// complete reports whether the folder holds everything, made from the right wasm.
func complete() bool {
	if sumOf(wasmOut) != wantSum {
		return false
	}
	text, err := os.ReadFile(abiOut)
	if err != nil || !bytes.Contains(text, []byte(wantSum)) {
		return false
	}
	_, err = os.Stat(textOut)
	return err == nil
}

func packageReady() bool {
	_, err := os.Stat(glueIn)
	return err == nil && sumOf(wasmIn) == wantSum
}

func sumOf(path string) string {
	b, err := os.ReadFile(path)
	if err != nil {
		return ""
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// npm installs exactly what the lock file names; no package may run a script.
func npm() error {
	fmt.Fprintln(os.Stderr, "fetch-solver: npm ci")
	c := exec.Command("npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund")
	c.Stdout, c.Stderr = os.Stderr, os.Stderr
	if err := c.Run(); err != nil {
		return fmt.Errorf("npm could not fetch the solver (%w); it needs Node 20 or newer and, once, the network", err)
	}
	return nil
}

func fill() error {
	wasm, err := os.ReadFile(wasmIn)
	if err != nil {
		return err
	}
	if got := sumOf(wasmIn); got != wantSum {
		return fmt.Errorf("%s is not the file this program was written for (sha256 %s, wanted %s)", wasmIn, got, wantSum)
	}
	glue, err := os.ReadFile(glueIn)
	if err != nil {
		return err
	}
	names, err := parseGlue(string(glue))
	if err != nil {
		return err
	}
	abi, err := json.MarshalIndent(names, "", " ")
	if err != nil {
		return err
	}
	licences, err := licenceTexts()
	if err != nil {
		return err
	}
	for path, content := range map[string][]byte{wasmOut: wasm, textOut: licences, abiOut: append(abi, '\n')} {
		if err := replace(path, content); err != nil {
			return err
		}
	}
	return nil
}

// replace writes beside the target and renames, so that a build that runs at
// the same time never sees half a file.
func replace(path string, content []byte) error {
	if err := os.WriteFile(path+".part", content, 0o644); err != nil {
		return err
	}
	return os.Rename(path+".part", path)
}

// names is what solve reads from abi.json.
type names struct {
	Sum     string            `json:"sha256"`
	Exports map[string]string `json:"exports"`
	Imports map[string]string `json:"imports"`
	Module  string            `json:"import_module"`
	Memory  string            `json:"memory"`
	Init    string            `json:"init"`
}

// The glue script assigns each export of the wasm to a readable name and lists
// the imports in one object; the wasm itself carries only one-letter names,
// which change with every build.
var (
	exportPattern  = regexp.MustCompile(`\b_(\w+)=(?:Module\["\w+"\]=)?wasmExports\["([\w$]+)"\]`)
	importsPattern = regexp.MustCompile(`var wasmImports=\{([^}]*)\}`)
	importPattern  = regexp.MustCompile(`([\w$]+):_*(\w+)`)
	modulePattern  = regexp.MustCompile(`\{([\w$]+):wasmImports\}|["'\s{,](\w+):wasmImports`)
	memoryPattern  = regexp.MustCompile(`wasmMemory=wasmExports\["([\w$]+)"\]`)
	initPattern    = regexp.MustCompile(`TTY\.init\(\);wasmExports\["([\w$]+)"\]\(\)`)
)

// parseGlue reads the names; it fails rather than guess when the script has
// another layout.
func parseGlue(script string) (names, error) {
	n := names{Sum: wantSum, Exports: map[string]string{}, Imports: map[string]string{}}
	for _, m := range exportPattern.FindAllStringSubmatch(script, -1) {
		if m[1] == "malloc" || m[1] == "free" || strings.HasPrefix(m[1], "Highs_") {
			n.Exports[m[1]] = m[2]
		}
	}
	if m := importsPattern.FindStringSubmatch(script); m != nil {
		for _, p := range importPattern.FindAllStringSubmatch(m[1], -1) {
			n.Imports[p[2]] = p[1]
		}
	}
	if m := modulePattern.FindStringSubmatch(script); m != nil {
		n.Module = m[1] + m[2]
	}
	if m := memoryPattern.FindStringSubmatch(script); m != nil {
		n.Memory = m[1]
	}
	if m := initPattern.FindStringSubmatch(script); m != nil {
		n.Init = m[1]
	}
	for _, want := range []string{"Highs_create", "Highs_run", "Highs_passMip", "malloc", "free"} {
		if n.Exports[want] == "" {
			return n, fmt.Errorf("the solver's script does not name the function %s", want)
		}
	}
	if n.Module == "" || n.Memory == "" || n.Init == "" || len(n.Imports) == 0 {
		return n, errors.New("the solver's script has an unknown layout")
	}
	return n, nil
}

// licenceTexts gathers the texts that the packages themselves bring.
func licenceTexts() ([]byte, error) {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", wazero).Output()
	if err != nil {
		return nil, fmt.Errorf("the folder of %s is not known: %w", wazero, err)
	}
	dir := strings.TrimSpace(string(out))
	var b bytes.Buffer
	for _, part := range []struct{ title, path string }{
		{"HiGHS, and its npm package", pkg + "/LICENSE"},
		{"wazero", filepath.Join(dir, "LICENSE")},
		{"wazero, notice", filepath.Join(dir, "NOTICE")},
	} {
		text, err := os.ReadFile(part.path)
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(&b, "---- %s ----\n\n%s\n\n", part.title, bytes.TrimSpace(text))
	}
	return b.Bytes(), nil
}
