package chance

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
)

// Which luck matters.
//
// The plan is lived under luck A and under independent luck B, and once more for
// each kind of luck with that kind taken from B and all else from A. With f the
// outcome and V its variance over all lives (Saltelli and others 2010, estimators
// of Saltelli and of Jansen; from memory):
//
//	first = mean( f(B) (f(A with B's) - f(A)) ) / V
//	total = mean( (f(A) - f(A with B's))^2 ) / 2V
//
// First is the share of the spread that vanishes when this luck alone is known;
// total is what it has a part in. Where they differ the kinds act together.

var kinds = [lucks]struct{ code, what string }{
	luckYear:    {"year", "how the hens of this household lay in a year"},
	luckWeather: {"weather", "warm and cold weeks"},
	luckRaids:   {"predators", "predators"},
	luckIllness: {"illness", "outbreaks of illness"},
	luckHatch:   {"hatch", "hatches: fertile eggs, settings lost, pullets and cockerels"},
	luckHens:    {"hens", "the hens themselves: good and poor layers, deaths, moult, broodiness"},
}

// Matters finds which luck makes the spread. opt.Replicates is of each run; 500 by
// default. It lives eight times as many lives.
func (w *World) Matters(ctx context.Context, opt Options, progress func(done, total int)) (*Matters, error) {
	if err := opt.Check(); err != nil {
		return nil, err
	}
	n := opt.Replicates
	if n == 0 {
		n = 500
	}
	const runs = int(lucks) + 2
	a, b := seedsOf(opt.Seed), seedsOf(hash2(opt.Seed, 1))
	designs := make([][lucks]uint64, runs)
	designs[0], designs[1] = a, b
	for k := range int(lucks) {
		designs[2+k] = a
		designs[2+k][k] = b[k]
	}
	results := make([][3]float64, runs*n)
	workers := opt.workers()
	runners := make([]*runner, workers)
	var tell func(int)
	if progress != nil {
		tell = func(done int) { progress(done, n*runs) }
	}
	err := spreadOver(ctx, n*runs, workers, tell, func(k, i int) {
		if runners[k] == nil {
			runners[k] = w.newRunner()
		}
		r := runners[k]
		r.live(&designs[i%runs], uint64(i/runs))
		out := &results[i]
		for y := range r.years {
			out[0] += r.years[y].figure[figEggs]
			out[1] += r.years[y].figure[figWinter]
			out[2] += r.years[y].figure[figCost]
		}
	})
	if err != nil {
		return nil, err
	}
	m := &Matters{Replicates: n, Seed: opt.Seed}
	m.Eggs, m.Winter, m.Cost = shares(results, n, runs, 0), shares(results, n, runs, 1), shares(results, n, runs, 2)
	m.Words = mattersWords(m)
	return m, nil
}

// shares estimates first and total shares of one outcome.
func shares(results [][3]float64, n, runs, which int) []Share {
	at := func(i, run int) float64 { return results[i*runs+run][which] }
	mean, square := 0.0, 0.0
	for i := range n {
		for run := range 2 {
			v := at(i, run)
			mean += v / float64(2*n)
			square += v * v / float64(2*n)
		}
	}
	variance := max(1e-12, square-mean*mean)
	var out []Share
	for k := range int(lucks) {
		first, total, squares := 0.0, 0.0, 0.0
		for i := range n {
			d := at(i, 2+k) - at(i, 0)
			first += (at(i, 1) - mean) * d / float64(n)
			total += d * d / 2 / float64(n)
			squares += d * d / 2 * d * d / 2 / float64(n)
		}
		out = append(out, Share{Code: kinds[k].code, What: kinds[k].what, First: min(1, max(0, first/variance)), Total: max(0, total/variance),
			Error: math.Sqrt(max(0, squares-total*total)/float64(n)) / variance})
	}
	slices.SortStableFunc(out, func(x, y Share) int { return cmp.Compare(y.Total, x.Total) })
	return out
}

func mattersWords(m *Matters) []Sentence {
	var out []Sentence
	say := func(code, head string, list []Share) {
		if len(list) < 2 {
			return
		}
		out = append(out, Sentence{Code: code, Args: map[string]any{"most": list[0].Code, "share": list[0].Total, "next": list[1].Code, "next_share": list[1].Total},
			Text: fmt.Sprintf("%s comes most from %s (%.0f %%), then from %s (%.0f %%).", head, list[0].What, 100*list[0].Total, list[1].What, 100*list[1].Total)})
	}
	say("matters_eggs", "The spread of eggs", m.Eggs)
	say("matters_winter", "The spread of winter eggs", m.Winter)
	say("matters_cost", "The spread of cost", m.Cost)
	return out
}
