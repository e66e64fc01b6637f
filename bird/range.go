package bird

// A Range is a figure with how low and how high it may lie.
type Range struct {
	Low  float64 `json:"low"`
	Best float64 `json:"best"`
	High float64 `json:"high"`
}

// Just is a figure without a range.
func Just(x float64) Range { return Range{x, x, x} }

func (r Range) plus(s Range) Range { return Range{r.Low + s.Low, r.Best + s.Best, r.High + s.High} }

// Sum adds up figures whose ranges move together.
func Sum(list ...Range) Range {
	var sum Range
	for _, r := range list {
		sum = sum.plus(r)
	}
	return sum
}
