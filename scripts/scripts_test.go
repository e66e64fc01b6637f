// Package scripts_test runs the shell scripts on a computer of its own making,
// where only those programs are found that a test puts there.
package scripts_test

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// computer is a folder of programs, and nothing else to run. Each is a line of
// shell.
func computer(t *testing.T, programs map[string]string) string {
	t.Helper()
	if runtime.GOOS == "windows" {
		t.Skip("the scripts are for a Unix shell")
	}
	dir := t.TempDir()
	for _, tool := range []string{"sh", "sed", "cut", "sleep", "env", "id"} {
		if _, given := programs[tool]; given {
			continue
		}
		found, err := exec.LookPath(tool)
		if err != nil {
			t.Skipf("no %s here", tool)
		}
		if err := os.Symlink(found, filepath.Join(dir, tool)); err != nil {
			t.Fatal(err)
		}
	}
	for name, line := range programs {
		text := fmt.Sprintf("#!%s/sh\n%s\n", dir, line)
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func run(t *testing.T, script, path string, env ...string) (said string, code int) {
	t.Helper()
	c := exec.Command(filepath.Join(path, "sh"), script)
	c.Env = append([]string{"PATH=" + path}, env...)
	out, err := c.CombinedOutput()
	var ended *exec.ExitError
	if err != nil && !errors.As(err, &ended) {
		t.Fatal(err)
	}
	return string(out), c.ProcessState.ExitCode()
}

// complete has all that a build needs, in versions that are new enough.
func complete() map[string]string {
	return map[string]string{
		"git": ":", "make": ":", "npm": ":",
		"go":   "echo go version go1.26.3 linux/amd64",
		"node": "echo v20.11.1",
	}
}

func TestCompleteComputerMayBuild(t *testing.T) {
	for name, version := range map[string]string{"this Go": "go1.26.0", "a later Go": "go1.31", "one between releases": "go1.27rc1"} {
		programs := complete()
		programs["go"] = "echo go version " + version + " linux/amd64"
		if said, code := run(t, "check-tools.sh", computer(t, programs)); code != 0 || said != "" {
			t.Errorf("%s: exit code %d: %s", name, code, said)
		}
	}
}

func TestMissingToolIsSaidInOneSentenceAndNothingIsInstalled(t *testing.T) {
	cases := []struct{ tool, now, says string }{
		{"git", "", "git is missing"},
		{"make", "", "make is missing"},
		{"go", "", "Go 1.26 or newer is missing"},
		{"go", "echo go version go1.24.9 linux/amd64", "Go 1.26 or newer is needed and this is go1.24.9"},
		{"node", "", "Node 20 or newer is missing"},
		{"node", "echo v18.19.0", "Node 20 or newer is needed and this is v18.19.0"},
		{"npm", "", "npm is missing"},
	}
	for _, c := range cases {
		programs := complete()
		programs["apt-get"] = "echo INSTALLS"
		delete(programs, c.tool)
		if c.now != "" {
			programs[c.tool] = c.now
		}
		said, code := run(t, "check-tools.sh", computer(t, programs))
		if code != 2 || !strings.Contains(said, c.says) || strings.Count(said, "\n") != 1 {
			t.Errorf("without %s: exit code %d: %s", c.tool, code, said)
		}
	}
}

func TestPackagesForTestsAreNamedAndThenInstalled(t *testing.T) {
	present := map[string]string{"chromium": ":", "cbc": ":", "glpsol": ":", "pdftotext": ":"}
	installs := "echo \"apt-get $*\""
	cases := []struct {
		name     string
		programs map[string]string
		env      []string
		says     []string
		silent   string
		code     int
	}{
		{"all there", present, nil, nil, "install", 0},
		{"as root", map[string]string{"cbc": ":", "id": "echo 0", "apt-get": installs}, nil,
			[]string{"not installed: chromium glpk-utils poppler-utils", "apt-get update", "install -y -qq --no-install-recommends chromium glpk-utils poppler-utils"}, "coinor", 0},
		{"through sudo", map[string]string{"id": "echo 1000", "sudo": "shift; \"$@\"", "apt-get": installs}, nil,
			[]string{"chromium coinor-cbc glpk-utils poppler-utils", "apt-get update"}, "", 0},
		{"neither", map[string]string{"id": "echo 1000", "apt-get": installs}, nil,
			[]string{"install them as root"}, "apt-get update", 0},
		{"another system", map[string]string{"cbc": ":"}, nil,
			[]string{"in your system's way"}, "apt-get", 0},
		{"no network", map[string]string{"id": "echo 0", "sleep": ":", "apt-get": "exit 100"}, nil,
			[]string{"could not be installed"}, "", 0},
		{"no network in CI", map[string]string{"id": "echo 0", "sleep": ":", "apt-get": "exit 100"}, []string{"CI=true"},
			[]string{"could not be installed"}, "", 1},
	}
	for _, c := range cases {
		said, code := run(t, "test-packages.sh", computer(t, c.programs), c.env...)
		if code != c.code {
			t.Errorf("%s: exit code %d: %s", c.name, code, said)
		}
		for _, want := range c.says {
			if !strings.Contains(said, want) {
				t.Errorf("%s: %q is missing in: %s", c.name, want, said)
			}
		}
		if c.silent != "" && strings.Contains(said, c.silent) {
			t.Errorf("%s: %q was not wanted in: %s", c.name, c.silent, said)
		}
	}
}
