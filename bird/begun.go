package bird

// Standing is a state and the share of living birds that are in it.
type Standing struct {
	State State
	Share float64
}

// Standings returns how the living birds of a batch are spread over their states
// after n weeks of life, and the past they share. Shares sum to 1. It is the exact
// spread that Expect carries along; a simulation of birds that are grown already
// draws from it where they stand.
func (l *Law) Standings(weeks func(i int) *Surroundings, n int) ([]Standing, Life) {
	var life Life
	var w Week
	var at shares
	at.growing, at.last = 1, -1
	for i := range n {
		l.Step(&life, weeks(i), &w)
		if l.sex == Hen {
			at.pass(&w)
		}
	}
	var out []Standing
	add := func(stage Stage, step, year int, share float64) {
		if share > 0 {
			out = append(out, Standing{State{Stage: stage, Step: uint8(step), Year: uint8(year)}, share})
		}
	}
	add(Growing, 0, 0, at.growing)
	for year := 0; year <= at.last; year++ {
		y := &at.years[year]
		for k, share := range y.ramp {
			add(Ramping, k, year, share)
		}
		for k, share := range y.lay {
			add(Laying, k, year, share)
		}
		for k, share := range y.broody {
			add(Broody, k, year, share)
		}
		for k, share := range y.moult {
			add(Moulting, k, year, share)
		}
		add(Waiting, 0, year, y.waiting)
	}
	return out, life
}
