package chance

import (
	"context"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"
)

// Options steer a simulation. The zero value asks for the defaults.
type Options struct {
	Replicates int    // lives of the plan; 2,000 by default
	Seed       uint64 // the same seed gives the same luck
	Workers    int    // cores; 0 takes all. The answer does not depend on it
}

// DefaultReplicates is enough to know a chance of one in ten to less than a
// hundredth.
const DefaultReplicates = 2000

// MostReplicates: more tell nothing that could be acted on.
const MostReplicates = 200_000

// Check reports, in a sentence, replicates that are no number of lives.
func (o Options) Check() error {
	switch {
	case o.Replicates < 0:
		return fmt.Errorf("replicates cannot be negative (%d); 2000 is a good number", o.Replicates)
	case o.Replicates > MostReplicates:
		return fmt.Errorf("%d replicates are more than the %d that are worth the wait; 2000 tell a chance to a hundredth", o.Replicates, MostReplicates)
	}
	return nil
}

func (o Options) replicates() int {
	if o.Replicates == 0 {
		return DefaultReplicates
	}
	return o.Replicates
}

func (o Options) workers() int {
	if o.Workers > 0 {
		return o.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// blockSize is how many replicates a worker takes at a time.
const blockSize = 16

// spreadOver calls do(worker, i) for every i below n, on so many workers, in
// blocks. It stops early when ctx ends and then returns its error. done is told
// how many are finished, from one worker at a time.
func spreadOver(ctx context.Context, n, workers int, done func(int), do func(worker, i int)) error {
	workers = max(1, min(workers, (n+blockSize-1)/blockSize))
	var next, finished atomic.Int64
	var tell sync.Mutex
	told := 0
	var wait sync.WaitGroup
	for k := range workers {
		wait.Go(func() {
			for ctx.Err() == nil {
				from := int(next.Add(blockSize)) - blockSize
				if from >= n {
					return
				}
				to := min(n, from+blockSize)
				for i := from; i < to; i++ {
					do(k, i)
				}
				now := int(finished.Add(int64(to - from)))
				if done == nil {
					continue
				}
				tell.Lock()
				if now > told {
					told = now
					done(now)
				}
				tell.Unlock()
			}
		})
	}
	wait.Wait()
	return ctx.Err()
}
