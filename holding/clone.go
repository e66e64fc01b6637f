package holding

import (
	"slices"

	"henyear/housing"
)

// Clone returns a copy that shares nothing with h.
func (h *Holding) Clone() *Holding {
	c := *h
	c.Means.Houses = slices.Clone(h.Means.Houses)
	for i := range c.Means.Houses {
		c.Means.Houses[i].Build = cloneBuild(c.Means.Houses[i].Build)
	}
	if t := h.Place.Climate.Stray; t != nil {
		stray := *t
		c.Place.Climate.Stray = &stray
	}
	c.Means.Away = slices.Clone(h.Means.Away)
	c.Needs.Eggs = slices.Clone(h.Needs.Eggs)
	c.Needs.EggSales = slices.Clone(h.Needs.EggSales)
	c.Needs.BirdSales = slices.Clone(h.Needs.BirdSales)
	c.Stock = slices.Clone(h.Stock)
	c.Birds = slices.Clone(h.Birds)
	return &c
}

func cloneBuild(b *housing.Build) *housing.Build {
	if b == nil {
		return nil
	}
	c := *b
	for _, s := range []*housing.Section{&c.Walls, &c.Roof, &c.Floor} {
		s.Layers = slices.Clone(s.Layers)
	}
	return &c
}
