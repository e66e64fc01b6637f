package main

import (
	"os/exec"
	"strings"
	"testing"
)

func TestNoticesNameEveryModuleThatIsBuiltIn(t *testing.T) {
	list := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}{{end}}{{end}}", ".")
	out, err := list.Output()
	if err != nil {
		t.Skipf("the go command is not to be had here: %v", err)
	}
	for module := range strings.Lines(string(out)) {
		if module = strings.TrimSpace(module); module != "" && !strings.Contains(gathered, "---- "+module+" (") {
			t.Errorf("%s is built in but its licence is not among the notices; run `make notices`", module)
		}
	}
	if !strings.Contains(gathered, "The Henyear authors") {
		t.Error("the program's own licence is not among the notices")
	}
}
