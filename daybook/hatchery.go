package daybook

import (
	"slices"

	"henyear/hatch"
	"henyear/measure"
)

// setting is one lot of eggs from the day it was set to its end.
type setting struct {
	Setting
	set      dayNumber
	begun    bool
	candled  bool
	event    int
	clear    int
	dead     int // before day 18
	broken   int
	inShell  int
	pipped   int
	rings    int // of dead, on days 1 to 4
	wrongWay int // of inShell
	signs    []string
	weights  []EggWeight
	chicks   int
	culled   int
	ended    bool
	end      dayNumber
	endEvent int
}

// SettingOn is one setting with what came of it, as far as it is written down.
type SettingOn struct {
	Setting
	SetOn       measure.Date `json:"set_on"`
	DueOn       measure.Date `json:"due_on"`
	Ended       bool         `json:"ended"`
	EndedOn     measure.Date `json:"ended_on,omitzero"`
	Clear       int          `json:"clear"`
	Dead        int          `json:"dead"` // dead before day 18, at candlings or when the rest was opened
	Broken      int          `json:"broken"`
	DeadInShell int          `json:"dead_in_shell"`
	PippedDead  int          `json:"pipped_dead"`
	Chicks      int          `json:"chicks"` // hatched alive
	Culled      int          `json:"culled"`
	BloodRing   int          `json:"blood_ring"` // of Dead, on days 1 to 4
	WrongWay    int          `json:"wrong_way"`  // of DeadInShell
	Signs       []string     `json:"signs,omitempty"`
	Weights     []EggWeight  `json:"weights,omitempty"` // in the order in which they were taken
	HatchRecord ID           `json:"hatch_record,omitzero"`
}

// EggWeight is eggs of a setting weighed together on a day of incubation.
type EggWeight struct {
	Day         int     `json:"day"`
	Eggs        int     `json:"eggs"`
	WeightG     float64 `json:"weight_g"`
	HumidityPct float64 `json:"humidity_pct,omitzero"`
}

// Fertile is the eggs set less those that were clear; broken eggs count as fertile,
// since nobody looked into them.
func (s SettingOn) Fertile() int { return s.Eggs - s.Clear }

// Unaccounted is eggs of which no record says what became of them.
func (s SettingOn) Unaccounted() int {
	return s.Eggs - s.Clear - s.Dead - s.Broken - s.DeadInShell - s.PippedDead - s.Chicks
}

// Settings lists all settings of the book in the order in which they were set.
func (b *Book) Settings() []SettingOn {
	var list []SettingOn
	for _, s := range b.sortedSettings() {
		x := s.on()
		if s.ended {
			x.HatchRecord = b.Records[s.endEvent].Event.ID
		}
		list = append(list, x)
	}
	return list
}

func (s *setting) on() SettingOn {
	x := SettingOn{Setting: s.Setting, SetOn: s.set.date(), DueOn: (s.set + hatch.Days).date(), Ended: s.ended,
		Clear: s.clear, Dead: s.dead, Broken: s.broken, DeadInShell: s.inShell, PippedDead: s.pipped, Chicks: s.chicks, Culled: s.culled,
		BloodRing: s.rings, WrongWay: s.wrongWay, Signs: s.signs, Weights: s.weights}
	if s.ended {
		x.EndedOn = s.end.date()
	}
	return x
}

func (b *Book) sortedSettings() []*setting {
	list := make([]*setting, 0, len(b.settings))
	for _, s := range b.settings {
		if s.begun {
			list = append(list, s)
		}
	}
	slices.SortFunc(list, func(x, y *setting) int { return x.event - y.event })
	return list
}

func (b *Book) setting(id ID) *setting {
	s := b.settings[id]
	if s == nil {
		s = &setting{}
		b.settings[id] = s
	}
	return s
}

func (b *Book) applySetting(i int, day dayNumber, p *Setting) {
	s := b.setting(p.Setting)
	if s.begun {
		b.find(Impossible, b.Records[i].Event, say("set-twice", map[string]any{"setting": p.Setting.String()}, "These eggs were written down as set before; strike out one of the two records."))
		return
	}
	s.Setting, s.set, s.begun, s.event = *p, day, true, i
}

func (b *Book) applyCandling(r *Record, day dayNumber, p *Candling) {
	s := b.setting(p.Setting)
	b.checkSet(r, s)
	s.candled = true
	s.clear += p.Clear
	s.dead += p.Dead
	s.broken += p.Broken
	s.rings += p.BloodRing
	if p.Weighed > 0 {
		s.weights = append(s.weights, EggWeight{int(day - s.set), p.Weighed, p.WeightG, p.HumidityPct})
	}
}

func (b *Book) checkSet(r *Record, s *setting) {
	if !s.begun {
		b.find(Impossible, r.Event, say("not-set", nil, "This belongs to eggs that are not written down as set by then. Write down when they were set, or mend the date."))
	}
}

func (b *Book) applyHatch(i int, day dayNumber, p *Hatch) {
	s := b.setting(p.Setting)
	b.checkSet(&b.Records[i], s)
	s.candled = s.candled || p.Clear > 0
	s.clear += p.Clear
	s.inShell += p.DeadInShell
	s.pipped += p.PippedDead
	s.dead += p.BloodRing + p.MidDead
	s.rings += p.BloodRing
	s.wrongWay += p.WrongWay
	s.signs = append(s.signs, p.Signs...)
	s.chicks += p.Chicks
	s.culled += p.Culled
	s.ended, s.end, s.endEvent = true, day, i
	if n := p.Chicks - p.Culled; n > 0 {
		g := b.group(p.Group)
		if !g.here && g.Breed == "" {
			g.Breed = s.Breed
		}
		b.arrive(i, day, p.Group, p.Pen, n, "hatched", 0)
	}
}

// A clutch that hatches this much sooner or later than the usual 21 days was dated
// wrongly; small eggs and a cool machine move it by two days at most.
const hatchSlackDays = 4

func (b *Book) judgeSettings() {
	for _, s := range b.sortedSettings() {
		x := s.on()
		if x.Unaccounted() < 0 {
			b.find(Impossible, b.Records[s.lastEvent()].Event, say("more-than-set", map[string]any{"set": s.Eggs, "over": -x.Unaccounted()},
				"%d eggs were set, but clear, dead, broken and hatched ones are %d more.", s.Eggs, -x.Unaccounted()))
		}
		if took := int(s.end - s.set); s.ended && s.chicks > 0 && (took < hatch.Days-hatchSlackDays || took > hatch.Days+hatchSlackDays) {
			b.find(Impossible, b.Records[s.endEvent].Event, say("hatch-days", map[string]any{"days": took},
				"These chicks hatched %d days after the eggs were set; it takes about %d. Mend one of the two dates.", took, hatch.Days))
		}
	}
}

func (s *setting) lastEvent() int {
	if s.ended {
		return s.endEvent
	}
	return s.event
}
