package solve

import (
	"bytes"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

// best keeps the best answer and the best bound that a running solve has told
// of. Answers come in from the solver's side, checked here one by one; the
// caller reads them out at the end, however the solve ended.
type best struct {
	mu        sync.Mutex
	p         *programme
	begun     time.Time
	x         []float64
	objective float64
	bound     float64
	onBetter  func(x []float64, objective, bound float64, seconds float64)
	onBound   func(bound, seconds float64)
	closed    bool
}

func newBest(p *programme, o Options, begun time.Time) *best {
	b := &best{p: p, begun: begun, objective: math.Inf(1), bound: math.Inf(-1)}
	if o.Start != nil {
		b.offer(slices.Clone(o.Start)) // before the callbacks are set: the caller knows it
	}
	b.onBetter, b.onBound = o.OnBetter, o.OnBound
	return b
}

// offer takes an answer, which it may change, and keeps it if it passes the
// check and costs less than the best so far.
func (b *best) offer(x []float64) {
	if len(x) != len(b.p.Cost) {
		return
	}
	b.p.snap(x)
	if b.p.check(x, Tolerance) != nil {
		return
	}
	objective := b.p.objective(x)
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.closed || objective >= b.objective {
		return
	}
	b.x, b.objective = x, objective
	if b.onBetter != nil {
		b.onBetter(slices.Clone(x), objective, b.bound, time.Since(b.begun).Seconds())
	}
}

// has reports whether there is an answer yet.
func (b *best) has() bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.x != nil
}

// raise takes a bound.
func (b *best) raise(bound float64) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.closed || math.IsNaN(bound) || math.IsInf(bound, 0) || bound <= b.bound {
		return
	}
	b.bound = bound
	if b.onBound != nil {
		b.onBound(bound, time.Since(b.begun).Seconds())
	}
}

// close ends all reports and returns what there is.
func (b *best) close() (x []float64, objective, bound float64) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.closed = true
	return b.x, b.objective, b.bound
}

// lines cuts what is written to it into lines and hands each on.
type lines struct {
	rest []byte
	use  func(string)
}

func (l *lines) Write(b []byte) (int, error) {
	l.rest = append(l.rest, b...)
	for {
		line, rest, found := bytes.Cut(l.rest, []byte("\n"))
		if !found {
			return len(b), nil
		}
		l.use(string(line))
		l.rest = rest
	}
}

// answersIn reads the solver's file of better answers: for each a line
// "Objective 12.5", a line "# Columns 2", then a line with name and value for
// every column. Anything else ends the answer that was being read.
func answersIn(columns int, use func([]float64)) *lines {
	var x []float64
	reading := false
	return &lines{use: func(line string) {
		f := strings.Fields(line)
		switch {
		case len(f) == 3 && f[0] == "#" && f[1] == "Columns":
			x, reading = make([]float64, 0, columns), true
		case reading && len(f) == 2:
			v, err := strconv.ParseFloat(f[1], 64)
			x = append(x, v)
			if err != nil || len(x) > columns {
				reading = false
			} else if len(x) == columns {
				reading = false
				use(x)
			}
		default:
			reading = false
		}
	}}
}

// boundsIn finds the proven bound in the solver's log. A line of progress has
// the explored share of the tree, a percentage, and right after it the bound:
//
//	L  0  0  0  0.00%  1737.923714  1761.343881  1.33%  2907  140  0  531  0.9s
//
// Lines of another look are passed over. Ten digits are printed, so the bound
// is taken a little lower.
func boundsIn(use func(float64)) *lines {
	return &lines{use: func(line string) {
		f := strings.Fields(line)
		at := slices.IndexFunc(f, func(s string) bool { return strings.HasSuffix(s, "%") })
		if at < 2 || at+5 >= len(f) || !strings.HasSuffix(f[len(f)-1], "s") {
			return
		}
		if bound, err := strconv.ParseFloat(f[at+1], 64); err == nil {
			use(bound - 1e-9*math.Abs(bound))
		}
	}}
}
