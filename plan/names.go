package plan

import (
	"henyear/breed"
	"henyear/holding"
	"henyear/solve"
)

// Short names for what the programme speaks of on every line.
type (
	breedRecord = breed.Breed
	strain      = breed.Strain
	solveCol    = solve.Col
)

const (
	breedMeat     = breed.Meat
	startedPullet = holding.StartedPullet
)
