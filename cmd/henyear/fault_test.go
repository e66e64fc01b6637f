package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"henyear/holding"
)

func TestFaultOfOursIsASentenceWithTheVersionAndNoDump(t *testing.T) {
	var said bytes.Buffer
	code := func() (code int) {
		defer func() { code = reportFault(&said, recover()) }()
		hatchADuck()
		return 0
	}()
	text := said.String()
	if code != exitFault {
		t.Errorf("exit code %d", code)
	}
	for _, want := range []string{"fault in henyear", "index out of range", "hatchADuck", "report", versionText()} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing in: %s", want, text)
		}
	}
	if strings.Contains(text, "goroutine") || strings.Count(text, "\n") > 2 {
		t.Errorf("that is a dump: %s", text)
	}
}

//go:noinline
func hatchADuck() {
	var eggs []int
	_ = eggs[len(eggs)]
}

func TestExitCodeTellsWhoseFaultItIs(t *testing.T) {
	cases := map[string]struct {
		err  error
		code int
	}{
		"all well":           {nil, 0},
		"keeper's to mend":   {badInput{errors.New("x")}, 2},
		"wrapped":            {fmt.Errorf("about this: %w", badInput{errors.New("x")}), 2},
		"holding file":       {badInput{holding.Problems{{File: "a", What: "is wrong"}}}, 2},
		"ours":               {io.ErrUnexpectedEOF, 1},
		"interrupted":        {context.Canceled, 130},
		"interrupted deeper": {fmt.Errorf("solving: %w", context.Canceled), 130},
	}
	for name, c := range cases {
		var said bytes.Buffer
		if code := sayEnd(&said, c.err); code != c.code {
			t.Errorf("%s: exit code %d, want %d", name, code, c.code)
		}
		if (c.err != nil) != (said.Len() > 0) {
			t.Errorf("%s: said %q", name, said.String())
		}
	}
}

func TestInputLongerThanAMegabyteIsRefusedWithoutReadingItAll(t *testing.T) {
	endless := &countingReader{}
	_, _, err := readInput(terminal{in: endless}, "-")
	if err == nil || !strings.Contains(err.Error(), "1 MB") {
		t.Errorf("got %v", err)
	}
	if endless.read > 4<<20 {
		t.Errorf("%d bytes were read", endless.read)
	}
}

// countingReader never ends.
type countingReader struct{ read int }

func (r *countingReader) Read(b []byte) (int, error) {
	for i := range b {
		b[i] = '#'
	}
	r.read += len(b)
	return len(b), nil
}
