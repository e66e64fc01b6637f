package main

import (
	"context"

	"henyear/holding"
	"henyear/plan"
)

// Worth says what changes would be worth.
func (p pagePlanner) Worth(ctx context.Context, h *holding.Holding, best *plan.Plan, told plan.Progress) ([]plan.Worth, error) {
	return nil, nil
}
