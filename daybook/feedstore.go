package daybook

import (
	"slices"

	"henyear/measure"
)

// feedKey is feed of one name given to the same birds.
type feedKey struct {
	feed  string
	group ID
	pen   string
}

// feedMark is what one record says of a feed on a day.
type feedMark struct {
	day  dayNumber
	what string
	kg   float64
}

func (b *Book) applyFeed(r *Record, p *Feed) {
	b.feeds = append(b.feeds, *r)
	switch p.What {
	case FeedBought:
		b.feedStock[p.Feed] += p.Kg
	case FeedOpened:
		b.feedStock[p.Feed] -= p.Kg
		if b.feedStock[p.Feed] < -feedSlackKg {
			b.find(Impossible, r.Event, say("feed-short", map[string]any{"feed": p.Feed, "kg": -b.feedStock[p.Feed]},
				"%s kg more of %s were opened than bought. Write down the purchase that is missing, or what was on hand as bought for nothing.", measure.Round(-b.feedStock[p.Feed], 1), p.Feed))
			b.feedStock[p.Feed] = 0
		}
	}
}

// A scale in a feed store is good to this much.
const feedSlackKg = 0.5

// FeedOn is what the store has of one feed on a day.
type FeedOn struct {
	Feed      string       `json:"feed"`
	InStoreKg float64      `json:"in_store_kg"`      // bought and not opened
	OpenedKg  float64      `json:"opened_kg"`        // opened since the opened feed was last weighed, the weighed rest included: at most this is left
	LeftOn    measure.Date `json:"left_on,omitzero"` // when it was weighed; zero: never
	PerKg     float64      `json:"per_kg_minor"`     // mean price of the last purchases, in the smallest coin; 0 not known
}

// FeedStock lists the feeds of the book with what the store has at the end of a
// day, by name.
func (b *Book) FeedStock(on measure.Date) []FeedOn {
	byName := map[string]*FeedOn{}
	var names []string
	for _, r := range b.feeds {
		if compareDates(r.Event.HappenedOn, on) > 0 {
			break
		}
		p := r.Payload.(*Feed)
		x := byName[p.Feed]
		if x == nil {
			x = &FeedOn{Feed: p.Feed}
			byName[p.Feed] = x
			names = append(names, p.Feed)
		}
		switch p.What {
		case FeedBought:
			x.InStoreKg += p.Kg
		case FeedOpened:
			x.InStoreKg = max(0, x.InStoreKg-p.Kg)
			x.OpenedKg += p.Kg
		case FeedThrown:
			fromOpened := min(p.Kg, x.OpenedKg)
			x.OpenedKg -= fromOpened
			x.InStoreKg = max(0, x.InStoreKg-(p.Kg-fromOpened))
		case FeedLeft:
			x.OpenedKg, x.LeftOn = p.Kg, r.Event.HappenedOn
		}
	}
	slices.Sort(names)
	list := make([]FeedOn, len(names))
	for i, name := range names {
		list[i] = *byName[name]
		list[i].PerKg = b.feedPrice(name, numberOf(on))
	}
	return list
}

// Purchases of this many days back make the price of a feed.
const priceDays = 365

// feedPrice is the mean price of a kilogram, in the smallest coin, over what was
// bought for money in the year before a day, or, failing that, ever before it.
func (b *Book) feedPrice(feed string, day dayNumber) float64 {
	mean := func(from dayNumber) float64 {
		paid, kg := 0.0, 0.0
		for _, x := range b.feedBook().bought[feed] {
			if from <= x.day && x.day <= day {
				paid += x.minor
				kg += x.kg
			}
		}
		if kg == 0 {
			return 0
		}
		return paid / kg
	}
	if x := mean(day - priceDays); x > 0 {
		return x
	}
	return mean(-endless)
}

// feedLedger is the feed records sorted for reckoning.
type feedLedger struct {
	keys   []feedKey
	marks  map[feedKey][]feedMark
	opened map[string]bool // feeds that are written down as opened
	bought map[string][]purchase
}

type purchase struct {
	day       dayNumber
	kg, minor float64
}

// feedBook sorts the feed records once.
func (b *Book) feedBook() *feedLedger {
	if b.ledger != nil {
		return b.ledger
	}
	l := &feedLedger{marks: map[feedKey][]feedMark{}, opened: map[string]bool{}, bought: map[string][]purchase{}}
	for _, r := range b.feeds {
		p := r.Payload.(*Feed)
		l.opened[p.Feed] = l.opened[p.Feed] || p.What == FeedOpened
		if p.What == FeedBought && p.PaidMinor > 0 {
			l.bought[p.Feed] = append(l.bought[p.Feed], purchase{numberOf(r.Event.HappenedOn), p.Kg, float64(p.PaidMinor)})
		}
	}
	for _, r := range b.feeds {
		p := r.Payload.(*Feed)
		if p.What == FeedBought && l.opened[p.Feed] {
			continue
		}
		key := feedKey{p.Feed, p.Group, p.Pen}
		if l.marks[key] == nil {
			l.keys = append(l.keys, key)
		}
		l.marks[key] = append(l.marks[key], feedMark{numberOf(r.Event.HappenedOn), p.What, p.Kg})
	}
	b.ledger = l
	return l
}

// feedUse is feed eaten and wasted in the trough within a period.
type feedUse struct {
	kg      float64
	minor   float64 // its price, as far as it is known
	priced  bool    // all of it
	weighed bool    // what was left is known at the end of the period
	opened  bool    // by bags opened; else by purchases
	any     bool
	mixed   bool // some feed cannot be told apart from that of other birds
}

// feedUsed adds up the feed given within a period to the birds of a scope.
//
// A feed counts when it is opened; where a keeper only writes purchases, when it
// is bought. Feed thrown away is taken off. Between two weighings of what is left
// the use is exact, (left before + opened - thrown - left after), and spread evenly
// over the days; outside of weighings a bag counts on the day it is opened.
func (b *Book) feedUsed(a, z dayNumber, s Scope) feedUse {
	use := feedUse{priced: true, weighed: true}
	ledger := b.feedBook()
	for _, key := range ledger.keys {
		kg, weighed := usedOf(ledger.marks[key], a, z)
		if kg == 0 {
			continue
		}
		switch b.feedBelongs(key, s, a, z) {
		case noneOfIt:
			continue
		case someOfIt:
			use.mixed = true
			continue
		}
		use.any = true
		use.kg += kg
		use.weighed = use.weighed && weighed
		use.opened = use.opened || ledger.opened[key.feed]
		price := b.feedPrice(key.feed, z)
		use.minor += kg * price
		use.priced = use.priced && price > 0
	}
	return use
}

// usedOf is what one feed loses within a period, and whether it was weighed on the
// last day or later.
func usedOf(marks []feedMark, a, z dayNumber) (kg float64, weighed bool) {
	left, since := 0.0, dayNumber(0)
	pending := 0.0 // given since the last weighing, net of what was thrown away
	given := 0.0   // of it within the period
	begun := false
	for _, m := range marks {
		if !begun {
			since, begun = m.day-1, true
		}
		switch m.what {
		case FeedLeft:
			if used := left + pending - m.kg; used > 0 && m.day > since {
				overlap := min(z, m.day) - max(a-1, since)
				kg += used * float64(max(0, overlap)) / float64(m.day-since)
			}
			weighed = weighed || m.day >= z
			left, since, pending, given = m.kg, m.day, 0, 0
		default:
			amount := m.kg
			if m.what == FeedThrown {
				amount = -min(m.kg, max(0, left+pending)) // the rest was never opened
			}
			pending += amount
			if a <= m.day && m.day <= z {
				given += amount
			}
		}
	}
	return max(0, kg+given), weighed
}

// feedBelongs tells how far a feed is eaten by the birds of a scope: those of the
// named group or pen, else all. What they are on the last day of the period
// decides, or on its first if none are left.
func (b *Book) feedBelongs(key feedKey, s Scope, a, z dayNumber) int {
	if s.whole() {
		return allOfIt
	}
	if !key.group.IsZero() && key.group == s.Group && s.Pen == "" && s.AgeFromWeeks == 0 && s.AgeToWeeks == 0 {
		return allOfIt
	}
	in, out := false, false
	for _, c := range b.cells {
		if !key.group.IsZero() && key.group != c.group || key.pen != "" && key.pen != c.pen || c.birdDays(a-1, z) == 0 {
			continue
		}
		if first, last, ok := b.covers(s, c.cellKey); ok && first <= a && z <= last {
			in = true
		} else {
			out = true
		}
	}
	switch {
	case in && out:
		return someOfIt
	case in:
		return allOfIt
	}
	return noneOfIt
}
