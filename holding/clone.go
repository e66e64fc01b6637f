package holding

import "slices"

// Clone returns a copy that shares nothing with h.
func (h *Holding) Clone() *Holding {
	c := *h
	c.Means.Houses = slices.Clone(h.Means.Houses)
	c.Means.Away = slices.Clone(h.Means.Away)
	c.Needs.Eggs = slices.Clone(h.Needs.Eggs)
	c.Needs.EggSales = slices.Clone(h.Needs.EggSales)
	c.Needs.BirdSales = slices.Clone(h.Needs.BirdSales)
	c.Stock = slices.Clone(h.Stock)
	c.Birds = slices.Clone(h.Birds)
	return &c
}
