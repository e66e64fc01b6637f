package main

import (
	"errors"
	"os"
	"os/exec"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain lets the test program stand in for henyear: in scripts, and as a
// process of its own when a test starts "henyear".
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"henyear": main})
}

func TestCommandLine(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:  "testdata/script",
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exitcode": exitCode},
		Setup: func(e *testscript.Env) error {
			// The solver's machine code may be shared; nothing else of this user is.
			cache, err := os.UserCacheDir()
			if err == nil {
				e.Setenv("XDG_CACHE_HOME", cache)
			}
			e.Setenv("HOME", e.WorkDir)
			e.Setenv("CI", "true")
			return nil
		},
	})
}

// exitCode is the script command that runs a program and wants a certain exit
// code: exitcode 2 henyear fly.
func exitCode(script *testscript.TestScript, not bool, args []string) {
	if not || len(args) < 2 {
		script.Fatalf("usage: exitcode N program arguments...")
	}
	want, err := strconv.Atoi(args[0])
	script.Check(err)
	got := 0
	var ended *exec.ExitError
	if err := script.Exec(args[1], args[2:]...); errors.As(err, &ended) {
		got = ended.ExitCode()
	} else {
		script.Check(err)
	}
	if got != want {
		script.Fatalf("exit code %d, want %d", got, want)
	}
}
