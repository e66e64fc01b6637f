package plan

import (
	"fmt"
	"math"

	"henyear/hatch"
	"henyear/solve"
)

// fitRow bounds the eggs of one breed set in one week.
type fitRow struct {
	breed string
	week  int
	row   solve.Row
}

// makeSettingRows lays the rows that a setting of own eggs must respect: eggs
// fit for setting, cocks that cover the hens, broody hens on offer, places in
// the machine.
func (pr *programme) makeSettingRows() {
	inf := math.Inf(1)
	type key struct {
		breed string
		week  int
	}
	seen := map[key]bool{}
	for _, s := range pr.slots {
		if s.from.own() {
			k := key{s.breed.ID, s.set}
			if !seen[k] {
				seen[k] = true
				pr.fit = append(pr.fit, fitRow{s.breed.ID, s.set, pr.m.Row(fmt.Sprintf("fit_%s_%d", s.breed.ID, s.set), -inf, 0)})
				if !pr.g.cyclic {
					pr.addSeasonRow(s)
				}
				pr.cover = append(pr.cover, fitRow{s.breed.ID, s.set, pr.m.Row(fmt.Sprintf("cover_%s_%d", s.breed.ID, s.set), -inf, pr.coveredBySteadyCocks(s))})
			}
		}
		if s.from.underHen() {
			if _, ok := pr.spells[s.set]; !ok {
				pr.spells[s.set] = pr.m.Row(fmt.Sprintf("broody_%d", s.set), -inf, 0)
				pr.broodyWeeks = append(pr.broodyWeeks, s.set)
			}
		}
	}
}

func (pr *programme) settingEntries(s *slot, units, exists solve.Col) {
	if s.from.own() {
		for _, r := range pr.fit {
			if r.breed == s.breed.ID && r.week == s.set {
				pr.m.Add(r.row, units, 1)
			}
		}
		for _, r := range pr.cover {
			if r.breed == s.breed.ID && r.week == s.set {
				pr.m.Add(r.row, units, 1)
				if exists != none && pr.h.Means.SpareCocks > 0 {
					// The spare cock covers nobody: it is there for the day the other fails.
					pr.m.Add(r.row, exists, pr.eggsCovered(s.breed, s.strain, s.set)*(pr.cocksAsked(pr.seasonYear(s.set))-1))
				}
				if exists != none {
					within := pr.m.Row("inseason_"+s.id, math.Inf(-1), 0)
					pr.m.Add(within, exists, 1)
					pr.m.Add(within, pr.seasonOf(s), -1)
				}
			}
		}
	}
	if s.from.underHen() {
		for _, week := range pr.broodyWeeks {
			if !pr.withinSeason(s.set, week, 0) {
				continue
			}
			if exists != none {
				pr.m.Add(pr.spells[week], exists, spellsPerSetting)
			} else {
				pr.m.Add(pr.spells[week], units, spellsPerSetting/max(1, s.most))
			}
		}
	}
	if s.from.inMachine() {
		pr.machineEntries(s, units)
	}
}

// A broody is a chance and not a place to fill: half as many hens again must be
// expected to have gone broody since the season began as are set (common
// practice). Who goes broody early is kept on dummy eggs for a while, so the count
// runs over the season and not week by week.
const spellsPerSetting = 1.5

// broodySeasonWeeks is how far back that count reaches.
const broodySeasonWeeks = 20

// withinSeason reports whether week t lies in the season's count up to a setting
// in week set, after it by slack weeks at most.
func (pr *programme) withinSeason(t, set, slack int) bool {
	d := set - t
	if pr.g.cyclic {
		d = (d + slack + pr.g.weeks) % pr.g.weeks
		return d <= broodySeasonWeeks+slack
	}
	return d >= -slack && d <= broodySeasonWeeks
}

// machineEntries keeps the machine from being set twice within three weeks
// beyond its places.
func (pr *programme) machineEntries(s *slot, units solve.Col) {
	for t := s.set; t < s.set+incubation; t++ {
		u, ok := pr.g.in(t)
		if !ok {
			continue
		}
		pr.m.Add(pr.machineRow(u), units, 1)
	}
}

func (pr *programme) machineRow(week int) solve.Row {
	if r, ok := pr.machine[week]; ok {
		return r
	}
	r := pr.m.Row(fmt.Sprintf("machine_%d", week), math.Inf(-1), float64(pr.h.Means.MachineEggs))
	pr.machine[week] = r
	return r
}

// Eggs fit for setting: those of the last seven days, less the misshapen, dirty
// and very large or small (common practice).
const fitShare = 0.85

// breederEntries lets the hens of a stage give eggs for setting, and broody
// spells.
func (pr *programme) breederEntries(s *slot, col solve.Col, from, to int) {
	if s.breed.BreedsTrue {
		for _, r := range pr.fit {
			if r.breed != s.breed.ID {
				continue
			}
			if age, ok := pr.ageIn(s, r.week-1, from, to); ok && age >= breedHenWeeks {
				pr.m.Add(r.row, col, -s.hens[age].Eggs*fitShare)
			}
		}
	}
	for _, week := range pr.broodyWeeks {
		r := pr.spells[week]
		sum := 0.0
		for t := week - broodySeasonWeeks; t <= week+1; t++ {
			if age, ok := pr.ageIn(s, t, from, to); ok {
				sum += s.hens[age].BroodySpells
			}
		}
		if sum > 0 {
			pr.m.Add(r, col, -sum)
		}
	}
}

// ageIn is the age of a slot's birds in week t of the grid, if t falls into the
// stretch from-to (which in a steady year may wrap).
func (pr *programme) ageIn(s *slot, t, from, to int) (int, bool) {
	if !pr.g.cyclic {
		if t < from || t >= to {
			return 0, false
		}
		age := t - s.hatch
		return age, age >= 0 && age < len(s.hens)
	}
	for u := t; u < to; u += pr.g.weeks {
		if u >= from {
			age := u - s.hatch
			return age, age >= 0 && age < len(s.hens)
		}
	}
	return 0, false
}

// coverEntries lets a cock cover the eggs of his hens in the weeks in which he
// serves: from 26 weeks of age, one week after joining.
func (pr *programme) coverEntries(s *slot, col solve.Col, from, to int) {
	for _, r := range pr.present {
		if _, ok := pr.cockAgeIn(s, r.week, from, to); ok && r.breed == s.breed.ID {
			pr.m.Add(r.row, col, -1)
		}
	}
	if pr.g.cyclic {
		return // the working cocks are fixed there, see addSteadyCocks
	}
	serves := func(week int) bool {
		age, ok := pr.cockAgeIn(s, week-1, from, to)
		return ok && age >= breedCockWeeks && !(s.from == boughtCock && week-s.arrive < quarantine+1)
	}
	for _, r := range pr.cover {
		if r.breed == s.breed.ID && serves(r.week) {
			pr.m.Add(r.row, col, -pr.eggsCovered(s.breed, s.strain, r.week))
		}
	}
	for _, r := range pr.needCocks {
		if r.breed == s.breed.ID && serves(r.week) {
			pr.m.Add(r.row, col, -1)
		}
	}
}

func (pr *programme) cockAgeIn(s *slot, t, from, to int) (int, bool) {
	if !pr.g.cyclic {
		return t - s.hatch, t >= from && t < to
	}
	for u := t; u < to; u += pr.g.weeks {
		if u >= from {
			return u - s.hatch, true
		}
	}
	return 0, false
}

// eggsCovered is the eggs fit for setting in a week that one cock's hens lay:
// his number of hens at the rate of hens in their second year, who are the
// breeders of most flocks.
func (pr *programme) eggsCovered(b *breedRecord, st strain, week int) float64 {
	ratio := b.HensPerCock
	if ratio <= 0 {
		ratio = 10
	}
	return ratio * pr.book.BreederEggs(b, st, pr.g.slotOf(week-1)) * fitShare
}

// sitterEffects takes out of the egg rows what a hen fails to lay while she
// sits, rears and recovers, less the days off that the law has counted already
// for every broody hen (broken early). One spell is never deducted twice.
func (pr *programme) sitterEffects(s *slot, v *scratch) {
	profile := hatch.UsualProfile()
	for i := range profile.Weeks() {
		t := s.set + i
		if u, ok := pr.g.in(t); ok {
			v.eggs[pr.g.of[u]] -= profile.MoreThanBroken(i) * pr.book.AdultEggs(s.breed, s.strain, pr.g.slotOf(t))
		}
	}
}
