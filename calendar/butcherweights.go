package calendar

import (
	"fmt"
	"slices"
	"strings"

	"henyear/bird"
	"henyear/breed"
	"henyear/butcher"
	"henyear/course"
	"henyear/daybook"
	"henyear/holding"
	"henyear/measure"
)

// weightBook reckons what birds weigh on a day.
type weightBook struct {
	h    *holding.Holding
	book *daybook.Book
	laws *course.Book
}

// weigh sets age class and weights of a lot. The law's curve is stretched
// through the last weighing of the group, if there is one.
func (w *weightBook) weigh(l *ButcherLot, breedName string, strain breed.Strain, on measure.Date) {
	b, err := findBreed(breedName)
	weeks := l.AgeWeeks
	fast := err == nil && b.GrowthClass == "fast meat"
	l.Class = butcher.ClassOf(fast, l.Sex == daybook.Cocks, weeks)
	if l.AgeWeeks <= 0 {
		l.Class = butcher.Older
	}
	weighing, birds, at, weighed := w.lastWeighing(l.Group)
	if err != nil || weeks <= 0 {
		if weighed && on.DaysSince(at) < 28 {
			l.Weighed = birds
			l.spread(weighing, usualDressing*weighing, sharedWeighed)
		}
		return
	}
	slot := measure.WeekOf(on.AddDays(-int(7 * weeks))).Slot()
	key := w.laws.Key(b, strain, slot, false)
	live, dressed := w.atAge(key, l.Sex, weeks)
	if live <= 0 {
		return
	}
	shared := sharedUnweighed
	if before := weeks - float64(on.DaysSince(at))/7; weighed && before > 0 {
		if then, _ := w.atAge(key, l.Sex, before); then > 0 {
			share := min(2, max(0.4, weighing/then)) // a slip of the pen must not move mountains
			live, dressed = live*share, dressed*share
			l.Weighed = birds
			if birds >= 5 {
				shared = sharedWeighed
			}
		}
	}
	l.spread(live, dressed, shared)
}

func findBreed(name string) (*breed.Breed, error) {
	if strings.TrimSpace(name) == "" {
		return nil, fmt.Errorf("no breed")
	}
	return breed.Find(name)
}

// atAge reads live and dressed weight of one bird, between weeks; unsexed birds
// are half of each.
func (w *weightBook) atAge(key course.Key, sex string, weeks float64) (live, dressed float64) {
	of := func(s bird.Sex) (float64, float64) {
		long := min(1000, max(course.Weeks, int(weeks)+2))
		o := w.laws.Long(key, s, long)
		i := min(len(o)-1, max(0, int(weeks)))
		f := weeks - float64(int(weeks))
		if i == 0 {
			return o[0].LiveKg, o[0].DressedKg
		}
		// o[i] holds the weight at the end of week i, when the bird is i+1 weeks old.
		return o[i-1].LiveKg + f*(o[i].LiveKg-o[i-1].LiveKg), o[i-1].DressedKg + f*(o[i].DressedKg-o[i-1].DressedKg)
	}
	switch sex {
	case daybook.Hens:
		return of(bird.Hen)
	case daybook.Cocks:
		return of(bird.Cock)
	}
	l1, d1 := of(bird.Hen)
	l2, d2 := of(bird.Cock)
	return (l1 + l2) / 2, (d1 + d2) / 2
}

// lastWeighing is the newest weighing of a group as one.
func (w *weightBook) lastWeighing(group daybook.ID) (kg float64, birds int, on measure.Date, ok bool) {
	if w.book == nil || group.IsZero() {
		return 0, 0, on, false
	}
	for _, r := range slices.Backward(w.book.Records) {
		if p, is := r.Payload.(*daybook.Weighing); is && p.Group == group && p.Bird.IsZero() {
			g, n := p.Mean()
			return g / 1000, n, r.Event.HappenedOn, true
		}
	}
	return 0, 0, on, false
}

// Recorded is what the daybook has of one butcher day.
type Recorded struct {
	Birds   int            `json:"birds"`
	Weighed int            `json:"weighed"` // dressed
	Kg      float64        `json:"dressed_kg"`
	Each    []RecordedBird `json:"each"`  // the newest first
	BothKg  [2]float64     `json:"-"`     // live and dressed, of birds weighed both ways
	Yield   float64        `json:"yield"` // dressed over live of those; 0 when none
}

// RecordedBird is one record of a bird.
type RecordedBird struct {
	Record daybook.ID `json:"record"`
	Group  daybook.ID `json:"group"`
	Birds  int        `json:"birds"`
	LiveKg float64    `json:"live_kg"`
	Kg     float64    `json:"dressed_kg"`
}

// ButcheredOn sums the records of a day; group zero takes all of them.
func ButcheredOn(b *daybook.Book, on measure.Date, group daybook.ID) Recorded {
	var r Recorded
	for _, x := range slices.Backward(b.Records) {
		p, is := x.Payload.(*daybook.Butchered)
		if !is || x.Event.HappenedOn != on || !group.IsZero() && p.Group != group {
			continue
		}
		kg, n := p.TotalDressedKg()
		live, _ := p.TotalLiveKg()
		r.Birds += p.Number
		r.Weighed += n
		r.Kg += kg
		for _, c := range p.Each {
			if c.LiveG > 0 && c.DressedG > 0 {
				r.BothKg[0] += c.LiveG / 1000
				r.BothKg[1] += c.DressedG / 1000
			}
		}
		r.Each = append(r.Each, RecordedBird{x.Event.ID, p.Group, p.Number, live, kg})
	}
	if r.BothKg[0] > 0 {
		r.Yield = r.BothKg[1] / r.BothKg[0]
	}
	return r
}
