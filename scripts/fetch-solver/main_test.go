package main

import (
	"strings"
	"testing"
)

const glue = `var imports={a:wasmImports};x;_Highs_create=Module["_Highs_create"]=wasmExports["w"];_Highs_run=wasmExports["x"];` +
	`_Highs_passMip=wasmExports["$"];_malloc=wasmExports["uc"];_free=wasmExports["tc"];other=wasmExports["q"];` +
	`wasmMemory=wasmExports["u"];TTY.init();wasmExports["v"]();var wasmImports={a:___cxa_throw,f:_fd_write};`

func TestNamesAreReadFromTheGlueScript(t *testing.T) {
	n, err := parseGlue(glue)
	if err != nil {
		t.Fatal(err)
	}
	if n.Exports["Highs_passMip"] != "$" || n.Exports["malloc"] != "uc" || n.Imports["cxa_throw"] != "a" || n.Imports["fd_write"] != "f" ||
		n.Module != "a" || n.Memory != "u" || n.Init != "v" {
		t.Errorf("%+v", n)
	}
}

func TestAScriptOfAnotherLayoutIsRefused(t *testing.T) {
	for _, part := range []string{"_malloc", "wasmMemory", "TTY.init", "var wasmImports", "{a:wasmImports}"} {
		if _, err := parseGlue(strings.Replace(glue, part, "changed", 1)); err == nil {
			t.Errorf("a script without %q was taken", part)
		}
	}
}
