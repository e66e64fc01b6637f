// Package butcher holds a day on which a household kills birds for its own
// table: how long it takes, what must stand ready, how hot and how long to
// scald, how fast a carcass must be cold, how long it rests, and what room,
// stock and waste come of it.
//
// Day takes a number of birds of one class, what they weigh, the hands and the
// weather, and returns a Sheet of figures. Every figure is a Range with a key in
// the bibliography: Low and High are the bounds that the trade gives, Plan is
// the value to plan with. Much here is common practice that nobody has measured
// in a household; the key says so.
//
// Two rules stand above all figures. Local law decides who may kill a bird, how,
// and who may eat or buy it. And sick birds are not butchered: several dead or
// ill birds mean stop and ring the vet.
package butcher

// A Range is a figure as the trade gives it.
type Range struct {
	Low    float64 `json:"low"`
	Plan   float64 `json:"plan"`
	High   float64 `json:"high"`
	Source string  `json:"source"` // key in the bibliography
}

// times multiplies all three figures.
func (r Range) times(x float64) Range {
	return Range{r.Low * x, r.Plan * x, r.High * x, r.Source}
}

// Plus adds two ranges, bound to bound; the key is that of the first.
func (r Range) Plus(s Range) Range {
	return Range{r.Low + s.Low, r.Plan + s.Plan, r.High + s.High, r.Source}
}
