package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"

	"henyear/plan"
)

// progress keeps one line of a terminal up to date with a running solve.
// Written to a file or another program it stays silent.
type progress struct {
	mu    sync.Mutex
	w     io.Writer // nil: silent
	shown int       // letters on the line now
}

func newProgress(w io.Writer) *progress {
	if f, ok := w.(*os.File); ok && isTerminal(f) {
		return &progress{w: w}
	}
	return &progress{}
}

func isTerminal(f *os.File) bool {
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// step shows one report; it is a plan.Progress.
func (p *progress) step(s plan.Step) {
	line := fmt.Sprintf("%3.0f s  %s", s.Seconds, s.Stage)
	if s.Best != nil || s.Gap > 0 {
		line += fmt.Sprintf("; within %.1f %% of the best possible", 100*s.Gap)
	}
	p.show(line)
}

// share shows how much of a comparison is done, which the comparison tells as
// the share that is left; it is a plan.Progress.
func (p *progress) share(s plan.Step) {
	p.show(fmt.Sprintf("%3.0f s  %s, %.0f %% done", s.Seconds, s.Stage, 100*(1-s.Gap)))
}

func (p *progress) show(line string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.w == nil {
		return
	}
	fmt.Fprintf(p.w, "\r%s%s", line, strings.Repeat(" ", max(0, p.shown-len(line))))
	p.shown = len(line)
}

// clear takes the line away before an answer is printed.
func (p *progress) clear() {
	p.show("")
	if p.w != nil {
		fmt.Fprint(p.w, "\r")
	}
}
