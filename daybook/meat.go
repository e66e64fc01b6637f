package daybook

import "henyear/measure"

// A chick at hatch weighs about two thirds of its egg, near 40 g; it is only used
// for the live weight at the start of a batch that was not weighed as chicks.
const chickKg = 0.040

// A weighing stands for the group's weight for this many days to both sides.
const weighingDays = 7

// liveKg is the mean live weight of a group on a day, of birds weighed not long
// before or after, or of a chick; false if nobody weighed them.
func (b *Book) liveKg(group ID, day dayNumber) (float64, bool) {
	best, found := 0.0, false
	nearest := dayNumber(weighingDays + 1)
	for _, w := range b.weighings[group] {
		d := w.day - day
		if d < 0 {
			d = -d
		}
		if w.bird.IsZero() && d < nearest {
			best, nearest, found = w.g/1000, d, true
		}
	}
	if g := b.groups[group]; !found && g != nil && g.known && day-g.hatched <= dayOldDays {
		return chickKg, true
	}
	return best, found
}

func (r *reckoning) meat() []Measure {
	if r.s.AgeFromWeeks != 0 || r.s.AgeToWeeks != 0 {
		return nil
	}
	m := r.butchered()
	list := []Measure{m.dressing(), m.dressedMeasure()}
	if (r.s != Scope{Group: r.s.Group}) || r.s.Group.IsZero() {
		return list
	}
	return append(list, r.gain(m), r.perDressed(FeedPerKgDressed, m), r.perDressed(CostPerKg, m))
}

// slaughter is what was butchered within a period.
type slaughter struct {
	birds             int
	dressedKg, liveKg float64 // of birds that were weighed
	dressedN, liveN   int
	bothDressed       float64
	bothLive          float64
}

func (r *reckoning) butchered() slaughter {
	var m slaughter
	for _, k := range r.b.meat {
		if k.day < r.a || k.day > r.z || !r.s.Group.IsZero() && k.Group != r.s.Group || r.s.Pen != "" && k.Pen != r.s.Pen ||
			r.s.Breed != "" && r.b.group(k.Group).Breed != r.s.Breed {
			continue
		}
		m.birds += k.Number
		kg, n := k.TotalDressedKg()
		m.dressedKg += kg
		m.dressedN += n
		live, ln := k.TotalLiveKg()
		m.liveKg += live
		m.liveN += ln
		m.weighBoth(k.Butchered)
	}
	return m
}

func (m *slaughter) weighBoth(p *Butchered) {
	single := false
	for _, c := range p.Each {
		if c.LiveG > 0 && c.DressedG > 0 {
			m.bothLive += c.LiveG / 1000
			m.bothDressed += c.DressedG / 1000
			single = true
		}
	}
	if !single && p.LiveKg > 0 && p.DressedKg > 0 {
		m.bothLive += p.LiveKg
		m.bothDressed += p.DressedKg
	}
}

func (m slaughter) none() Sentence {
	if m.birds == 0 {
		return say("none-butchered", nil, "No birds were butchered in these days.")
	}
	return say("carcasses-not-weighed", nil, "The butchered birds were not weighed.")
}

func (m slaughter) dressing() Measure {
	if m.bothLive == 0 {
		missing := m.none()
		if m.birds > 0 {
			missing = say("not-weighed-twice", nil, "No bird was weighed both alive and dressed.")
		}
		return notStated(DressingPct, missing)
	}
	return stated(DressingPct, 100*m.bothDressed/m.bothLive)
}

// allDressedKg raises the weight of those weighed to all.
func (m slaughter) allDressedKg() float64 {
	return m.dressedKg * float64(m.birds) / float64(m.dressedN)
}

func (m slaughter) someNotWeighed() []Sentence {
	if m.dressedN == m.birds {
		return nil
	}
	return []Sentence{say("some-carcasses-not-weighed", map[string]any{"weighed": m.dressedN, "of": m.birds},
		"%d of %d birds were weighed; the others count with their mean.", m.dressedN, m.birds)}
}

func (m slaughter) dressedMeasure() Measure {
	if m.dressedN == 0 {
		return notStated(DressedKg, m.none())
	}
	return stated(DressedKg, m.allDressedKg(), m.someNotWeighed()...)
}

// perDressed sets the group's feed, or all its cost, against its dressed weight.
func (r *reckoning) perDressed(code string, m slaughter) Measure {
	missing := with(r.feedMissing(), m.someNotWeighed()...)
	switch {
	case m.dressedN == 0:
		return notStated(code, m.none())
	case !r.feed.any:
		return notStated(code, missing...)
	case code == FeedPerKgDressed:
		return stated(code, r.feed.kg/m.allDressedKg(), missing...)
	case !r.feed.priced:
		return notStated(code, with(missing, r.noPrice())...)
	}
	missing = with(missing, r.sharedLeftOut())
	return stated(code, (r.feed.minor+float64(r.b.besideFeed(r.a, r.z, r.s)))/m.allDressedKg(), missing...)
}

// gain is what the group put on alive: what was butchered or sold, and what is
// alive at the end, less what was there at the start and what came in.
func (r *reckoning) gain(m slaughter) Measure {
	missing := r.feedMissing()
	if !r.feed.any {
		return notStated(FeedPerKgGain, missing...)
	}
	kg := 0.0
	unweighed := []measure.Date{}
	add := func(birds int, day dayNumber, sign float64) {
		if birds == 0 {
			return
		}
		mean, known := r.b.liveKg(r.s.Group, day)
		if !known {
			unweighed = append(unweighed, day.date())
		}
		kg += sign * float64(birds) * mean
	}
	add(r.b.birdsAt(r.a-1, r.s), r.a-1, -1)
	add(r.b.birdsAt(r.z, r.s), r.z, +1)
	for _, x := range r.b.changesWithin(r.a, r.z) {
		if x.group != r.s.Group {
			continue
		}
		switch x.how {
		case "sold", "given", "moved", "bought", "hatched", "on hand":
			add(max(0, x.number), x.day, -1)
			add(max(0, -x.number), x.day, +1)
		}
	}
	if m.birds > 0 && m.liveN == 0 {
		return notStated(FeedPerKgGain, with(missing, say("live-not-weighed", nil, "The butchered birds were not weighed alive."))...)
	}
	if m.liveN > 0 {
		kg += m.liveKg * float64(m.birds) / float64(m.liveN)
	}
	if len(unweighed) > 0 {
		return notStated(FeedPerKgGain, with(missing, say("group-not-weighed", map[string]any{"on": unweighed[0].String()},
			"The birds were not weighed about %s; weigh five or more.", unweighed[0].Words()))...)
	}
	if kg <= 0 {
		return notStated(FeedPerKgGain, with(missing, say("no-gain", nil, "The birds put on no weight."))...)
	}
	return stated(FeedPerKgGain, r.feed.kg/kg, missing...)
}
