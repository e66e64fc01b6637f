package plan

import (
	"fmt"
	"math"
	"strings"

	"henyear/solve"
)

// penCount is the pens of the houses, and the shelter for growing birds as one
// more.
func (pr *programme) penCount() int {
	n := 0
	if pr.h.Means.GrowOutM2 > 0 {
		n++
	}
	for _, b := range pr.h.Means.Houses {
		n += b.Pens
	}
	return n
}

// takePen lets a batch occupy a pen for one purpose. Batches of one purpose may
// share it: pullets with pullets, cockerels with cockerels. A pen that is used at
// all is used whole, so each batch pushes the share of the pen to its own flag.
func (pr *programme) takePen(u penUse, id string, z solve.Col) {
	taken := map[int]bool{}
	pr.eachWeek(max(u.from, 0), u.to, func(t int) { taken[pr.g.of[t]] = true })
	for p := range pr.g.periods {
		if !taken[p] {
			continue
		}
		k := penKey{u.who, p}
		g, ok := pr.penInUse[k]
		if !ok {
			g = pr.m.Column(fmt.Sprintf("pen_%s_%02d", strings.ReplaceAll(u.who, " ", "-"), p), 0, 0, 1)
			pr.penInUse[k] = g
			pr.m.Add(pr.pens[p], g, 1)
		}
		r := pr.m.Row(fmt.Sprintf("inpen_%s_%s_%02d", strings.ReplaceAll(u.who, " ", "-"), id, p), math.Inf(-1), 0)
		pr.m.Add(r, z, 1)
		pr.m.Add(r, g, -1)
	}
}

type penKey struct {
	who    string
	period int
}

// broodApart is how long a brood has the brooder to itself: chicks of different
// ages do not share it until the older are four weeks (common practice).
const broodApart = 4

func (pr *programme) takeBrooder(s *slot, z solve.Col) {
	for t := s.hatch; t < s.hatch+broodApart; t++ {
		u, ok := pr.g.in(t)
		if !ok {
			continue
		}
		r, ok := pr.broods[u]
		if !ok {
			r = pr.m.Row(fmt.Sprintf("brood_%d", u), math.Inf(-1), 1)
			pr.broods[u] = r
		}
		pr.m.Add(r, z, 1)
	}
}

type penUse struct {
	from, to int
	who      string
}

// penUses lists the pens beside the layers' that a batch occupies, by phase:
// chicks with their hen (chicks in a brooder need none until six weeks), growing
// birds together until the cockerels are parted at ten weeks, then pullets and
// cockerels apart until they join the layers or are eaten; bought grown birds in
// quarantine.
func (pr *programme) penUses(s *slot) []penUse {
	switch s.from {
	case boughtStarted, boughtCock:
		return []penUse{{s.arrive, s.arrive + quarantine, "quarantine"}}
	}
	start := s.hatch
	who := "growing birds"
	switch {
	case s.from.underHen():
		who = "hen with chicks"
	case pr.h.Means.BrooderChicks > 0:
		start += brooderWeeks
	default:
		who = "chicks"
	}
	if s.meatOnly {
		return []penUse{{start, s.hatch + int(s.breed.ButcherWeeksHigh), "meat birds"}}
	}
	uses := []penUse{{start, s.hatch + partWeeks, who}}
	if s.unitHens > 0 {
		uses = append(uses, penUse{s.hatch + partWeeks, s.hatch + joinWeeks, "pullets"})
	}
	if s.unitCocks > 0.2*s.unitHens {
		uses = append(uses, penUse{s.hatch + partWeeks, s.hatch + joinWeeks, "cockerels"})
	}
	return uses
}
