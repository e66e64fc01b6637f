package main

import (
	"context"
	"os"

	"henyear/solve"
)

type solveChildCommand struct{}

// Run is the whole work of the child process that a long solve is given to.
func (solveChildCommand) Run(t terminal) error {
	if code := solve.ChildMain(t.in, t.out); code != 0 {
		os.Exit(code) // it has told its parent why
	}
	return nil
}

// openEngine makes the solver ready. Long solves go to a second copy of this
// program, which can be ended at any moment.
func openEngine(ctx context.Context) (*solve.Engine, error) {
	engine, err := solve.Open(ctx, solve.DefaultCacheDir())
	if err != nil {
		return nil, err
	}
	if self, err := os.Executable(); err == nil {
		engine.UseChild(self, "solve-child")
	}
	return engine, nil
}
