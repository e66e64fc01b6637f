package solve

import (
	"context"
	"encoding/gob"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"time"
)

// A long solve may run in a child process, which can be ended at any moment.
// Parent and child speak gob: the parent sends one order, and later perhaps a
// stop; the child sends reports, of which the last carries the outcome. A child
// whose standard input ends stops too, so none outlives its parent for long.

// childWorthwhile is the time limit below which a solve stays in this process.
const childWorthwhile = 3 * time.Second

// errNoChild leads to a solve in this process instead.
var errNoChild = errors.New("the solver's own process could not be started")

// order is what the child is asked to do. Options holds no functions.
type order struct {
	CacheDir  string
	Programme programme
	Options   childOptions
}

// childOptions are the options that matter to a child; gob cannot carry the
// two functions.
type childOptions struct {
	TimeLimit, HardLimit time.Duration
	AbsGap, RelGap       float64
	NodeLimit            int
	Start                []float64
	Seed                 int32
	Heuristics           float64
}

type reportKind int

const (
	reportBetter reportKind = iota + 1
	reportBound
	reportDone
)

// report is one message of the child.
type report struct {
	Kind   reportKind
	X      []float64
	Bound  float64
	Answer answer
	Fault  string
}

func (e *Engine) solveInChild(ctx context.Context, p *programme, o Options, b *best) (answer, error) {
	c := exec.Command(e.child[0], e.child[1:]...)
	in, err := c.StdinPipe()
	if err != nil {
		return answer{}, fmt.Errorf("%w: %w", errNoChild, err)
	}
	out, err := c.StdoutPipe()
	if err != nil {
		return answer{}, fmt.Errorf("%w: %w", errNoChild, err)
	}
	if err := c.Start(); err != nil {
		return answer{}, fmt.Errorf("%w: %w", errNoChild, err)
	}
	left := o
	left.TimeLimit = o.softLimit()
	if left.HardLimit = o.hardLimit(); left.HardLimit > 0 {
		// The child cuts itself off a moment before it is killed.
		left.HardLimit = max(left.HardLimit-time.Since(b.begun)-200*time.Millisecond, time.Millisecond)
	}
	done := make(chan report, 1)
	go func() {
		err := gob.NewEncoder(in).Encode(order{e.cacheDir, *p, childOptions{left.TimeLimit, left.HardLimit, left.AbsGap, left.RelGap,
			left.NodeLimit, left.Start, left.Seed, left.Heuristics}})
		if err != nil {
			c.Process.Kill()
		}
		done <- listen(out, b)
	}()
	defer func() {
		in.Close()
		c.Process.Kill()
		c.Wait()
	}()
	ended, stop := ctx.Done(), make(<-chan time.Time)
	if hard := o.hardLimit(); hard > 0 {
		stop = time.After(time.Until(b.begun.Add(hard)))
	}
	for {
		select {
		case r := <-done:
			if r.Fault != "" {
				return r.Answer, errors.New(r.Fault)
			}
			return r.Answer, nil
		case <-ended:
			ended = nil
			in.Close() // asks the child to stop
			stop = time.After(grace + 300*time.Millisecond)
		case <-stop:
			return answer{Overran: true}, nil
		}
	}
}

// listen passes the child's reports on until the last one.
func listen(out io.Reader, b *best) report {
	messages := gob.NewDecoder(out)
	for {
		var r report
		if err := messages.Decode(&r); err != nil {
			return report{Fault: "the solver's own process ended before it had an outcome; perhaps memory ran out"}
		}
		switch r.Kind {
		case reportBetter:
			b.raise(r.Bound)
			b.offer(r.X)
		case reportBound:
			b.raise(r.Bound)
		case reportDone:
			return r
		}
	}
}

// ChildMain is the whole work of the child process: it reads one programme from
// standard input, solves it, and reports on standard output. It returns the
// process's exit code, and must be followed by os.Exit, which also ends a
// solver that did not stop when asked.
func ChildMain(stdin io.Reader, stdout io.Writer) int {
	messages := gob.NewEncoder(stdout)
	last := report{Kind: reportDone}
	var err error
	if last.Answer, err = childSolve(stdin, messages); err != nil {
		last.Fault = err.Error()
	}
	if messages.Encode(last) != nil || last.Fault != "" {
		return 1
	}
	return 0
}

func childSolve(stdin io.Reader, messages *gob.Encoder) (answer, error) {
	// A keeper's Ctrl-C reaches child and parent; the parent ends the child in
	// good order.
	signal.Ignore(os.Interrupt)
	begun := time.Now()
	var given order
	if err := gob.NewDecoder(stdin).Decode(&given); err != nil {
		return answer{}, fmt.Errorf("the solver's own process got no programme: %w", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	go func() {
		io.Copy(io.Discard, stdin) // ends when the parent closes its side, or is gone
		cancel()
	}()
	e, err := Open(context.Background(), given.CacheDir)
	if err != nil {
		return answer{}, err
	}
	g, err := e.newGuest()
	if err != nil {
		return answer{}, err
	}
	p, o := &given.Programme, given.Options
	options := Options{TimeLimit: o.TimeLimit, HardLimit: o.HardLimit, AbsGap: o.AbsGap, RelGap: o.RelGap, NodeLimit: o.NodeLimit,
		Start: o.Start, Seed: o.Seed, Heuristics: o.Heuristics}
	options.OnBetter = func(x []float64, _, bound, _ float64) {
		messages.Encode(report{Kind: reportBetter, X: x, Bound: bound})
	}
	options.OnBound = func(bound, _ float64) { messages.Encode(report{Kind: reportBound, Bound: bound}) }
	b := newBest(p, options, begun)
	a, _, err := g.solve(ctx, p, options, b, true)
	b.close() // no report may follow the last one
	return a, err
}
