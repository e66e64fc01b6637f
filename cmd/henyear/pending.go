package main

import (
	"context"

	"henyear/holding"
	"henyear/plan"
)

func compareBreeds(ctx context.Context, p *plan.Planner, h *holding.Holding, o plan.Options, told plan.Progress) ([]plan.BreedYear, error) {
	return p.Breeds(ctx, h, o, told)
}

// Breeds compares the breeds.
func (p pagePlanner) Breeds(ctx context.Context, h *holding.Holding, told plan.Progress) ([]plan.BreedYear, error) {
	planner, err := p.planner(ctx)
	if err != nil {
		return nil, err
	}
	return compareBreeds(ctx, planner, h, p.options, told)
}

// Worth says what changes would be worth.
func (p pagePlanner) Worth(ctx context.Context, h *holding.Holding, best *plan.Plan, told plan.Progress) ([]plan.Worth, error) {
	return nil, nil
}
