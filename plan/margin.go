package plan

// Margin is safety bought on purpose: what the planner aims at beyond the
// expected need. The zero value is the plain plan. Reported needs, shortfalls and
// costs of a plan are those of the true need, whatever its margin.
type Margin struct {
	// Eggs is how many standard deviations of a period's eggs are aimed at beyond
	// its need; below zero plans more boldly than the expectation.
	Eggs float64 `json:"eggs_sd"`

	// Hatch is by how much a hatch is taken to give less than is expected when
	// layers are counted on it: 0.2 means that a fifth of the chicks may be missing.
	Hatch float64 `json:"hatch_share"`

	// Spread is the standard deviation of the usable eggs of each week of the plan,
	// as simulation found it; without it the planner reckons one itself.
	Spread []float64 `json:"-"`
}
