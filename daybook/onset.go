package daybook

// Before this age no pullet lays; looking for her eggs earlier would find those
// of other hens.
const youngestLayerDays = 90

// onsetDays is over how many days the lay of a batch is averaged to date its onset.
const onsetDays = 7

// PointOfLay gives the ages in days at which a group came into lay: first egg,
// 5 % and 50 % hen-day lay. They need the day of hatch, and eggs written down for
// this group, or for a pen in which no other hens are; the first egg may be a
// record of its own.
func (b *Book) PointOfLay(group ID) []Measure {
	codes := []string{DaysToFirstEgg, DaysTo5Pct, DaysTo50Pct}
	all := func(missing Sentence) []Measure {
		var list []Measure
		for _, code := range codes {
			list = append(list, notStated(code, missing))
		}
		return list
	}
	g := b.groups[group]
	switch {
	case g == nil || !g.here:
		return all(say("no-birds", nil, "The book has no birds of this group."))
	case !g.known:
		return all(say("hatch-not-known", nil, "The day on which this group hatched is not written down."))
	case g.Sex != Hens:
		return all(say("not-hens", nil, "This group is not of hens."))
	}
	a, z := g.hatched+youngestLayerDays, numberOf(b.Through)
	if z < a {
		return all(say("too-young", nil, "The group is too young to lay."))
	}
	s := Scope{Group: group}
	y := b.yield(a, z, s)
	list := []Measure{b.firstEggOf(g, y, a)}
	for i, wanted := range []float64{0.05, 0.50} {
		list = append(list, b.onsetOf(codes[i+1], g, y, a, wanted))
	}
	return list
}

func (b *Book) firstEggOf(g *flockGroup, y yield, a dayNumber) Measure {
	first, found := g.firstEgg, g.laid
	s := Scope{Group: g.Group.Group}
	for _, src := range b.harvest.order {
		of := b.belongs(src, s)
		for _, x := range b.harvest.origins[src] {
			if x.laid > 0 && x.last >= a && of(x.last) == allOfIt {
				if !found || x.last < first {
					first, found = x.last, true
				}
				break
			}
		}
	}
	if !found {
		return notStated(DaysToFirstEgg, b.notYet(y))
	}
	return stated(DaysToFirstEgg, float64(first-g.hatched))
}

func (b *Book) notYet(y yield) Sentence {
	if y.mixed > 0 {
		return say("eggs-not-apart", map[string]any{"days": y.mixed}, "These hens' eggs are not written down apart from those of others.")
	}
	return say("not-yet", nil, "The records do not show it yet.")
}

func (b *Book) onsetOf(code string, g *flockGroup, y yield, a dayNumber, wanted float64) Measure {
	for i := 0; i+onsetDays <= len(y.laid); i++ {
		eggs, hens, whole := 0.0, 0, true
		for j := i; j < i+onsetDays; j++ {
			eggs += y.laid[j]
			hens += g.numberAt(a + dayNumber(j))
			whole = whole && y.recorded[j]
		}
		if whole && hens > 0 && eggs >= wanted*float64(hens)-1e-9 {
			return stated(code, float64(a+dayNumber(i+onsetDays/2)-g.hatched))
		}
	}
	return notStated(code, b.notYet(y))
}
