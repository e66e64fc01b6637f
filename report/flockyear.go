package report

import (
	"slices"
	"strings"

	"henyear/measure"
	"henyear/plan"
)

// Flock draws the year of the flock: for every batch a lane with the eggs under
// hen or machine, the growing time, the lay, and the dates on which birds leave
// it; below them the moult.
func Flock(p *plan.Plan) Drawing {
	table := Table{Caption: say("flock.caption"), Head: []Column{
		{say("flock.batch"), true}, {say("flock.from"), true}, {say("flock.set"), true}, {say("flock.hatched"), true}, {say("flock.first_egg"), true}, {say("flock.leave"), true}}}
	for _, b := range p.Batches {
		table.Rows = append(table.Rows, []string{laneName(b), SourceWords(b.Source), Day(b.Set), Day(b.Hatched), Day(b.FirstEgg), FateWords(b)})
	}
	return draw("flock", say("flock.title"), flockMessage(p), table, func(pen *pen) { drawFlock(pen, p) })
}

func laneName(b plan.Batch) string {
	return say("flock.lane", b.BreedName, Number(b.Chicks, 0))
}

// SourceWords says how a batch comes, in the words of the table of texts.
func SourceWords(source string) string {
	code := "from." + strings.ReplaceAll(strings.ReplaceAll(source, ",", ""), " ", "_")
	if text, ok := english[code]; ok {
		return text
	}
	return source
}

// FateWords lists what becomes of a batch: 6 to the table on 3 August 2026.
func FateWords(b plan.Batch) string {
	var list []string
	for _, f := range Fates(b) {
		list = append(list, FateSaid(b, f))
	}
	return strings.Join(list, "; ")
}

// Fates are the fates of a batch for reading: the same fate of both sexes on one
// day is one, less than half a bird is left out, and all stand in the order of
// their days.
func Fates(b plan.Batch) []plan.Fate {
	var list []plan.Fate
	for _, f := range b.Fates {
		same := func(o plan.Fate) bool { return o.What == f.What && o.On == f.On }
		if i := slices.IndexFunc(list, same); i >= 0 {
			list[i].Birds += f.Birds
			list[i].Sex = "both"
		} else {
			list = append(list, f)
		}
	}
	list = slices.DeleteFunc(list, func(f plan.Fate) bool { return f.Birds < 0.5 })
	slices.SortStableFunc(list, func(a, b plan.Fate) int { return a.On.Time().Compare(b.On.Time()) })
	return list
}

// FateSaid says one fate of a batch with its number and day. Birds on hand are
// in the flock before the plan begins, and no day is made up for that.
func FateSaid(b plan.Batch, f plan.Fate) string {
	if b.Source == "on hand" && (f.What == "layer" || f.What == "breeding cock") {
		return say("fate.already", Number(f.Birds, 0))
	}
	return say("fate.on", Number(f.Birds, 0), fateName(f), Day(f.On))
}

// fateName says one fate in words.
func fateName(f plan.Fate) string {
	code := "fate." + strings.ReplaceAll(f.What, " ", "_")
	if text, ok := english[code]; ok {
		return text
	}
	return f.What
}

func flockMessage(p *plan.Plan) string {
	hatches, eggs := 0, 0
	for _, b := range p.Batches {
		if b.EggsSet > 0 {
			hatches++
			eggs += b.EggsSet
		}
	}
	days := map[measure.Date]bool{}
	birds := 0.0
	for _, b := range p.Batches {
		for _, f := range Fates(b) {
			if isBlade(f) {
				days[f.On] = true
				birds += f.Birds
			}
		}
	}
	return say("flock.message", Number(float64(len(p.Batches)), 0), Number(float64(hatches), 0), Number(float64(eggs), 0),
		Number(birds, 0), Number(float64(len(days)), 0))
}

func isBlade(f plan.Fate) bool { return f.What == "table" || f.What == "culled for the pot" }

func staysOn(f plan.Fate) bool {
	return f.What == "layer" || f.What == "breeding cock" || f.What == "kept to the end"
}

const (
	lanePx = 50
	barPx  = 11
)

// A span turns dates into places across a frame.
type span struct {
	frame
	first, last measure.Date
}

func (s span) x(d measure.Date) float64 {
	share := float64(d.DaysSince(s.first)) / float64(s.last.DaysSince(s.first))
	return s.left + min(1, max(0, share))*(s.right-s.left)
}

func (s span) holds(d measure.Date) bool {
	return !d.IsZero() && !d.Before(s.first) && !s.last.Before(d)
}

func drawFlock(pen *pen, p *plan.Plan) {
	top := pen.legend(0, 2, []key{
		{"brood", say("flock.key.brood"), true}, {"growing", say("flock.key.growing"), false}, {"lay", say("flock.key.lay"), false}, {"working", say("flock.key.cocks"), false},
		{"blade", say("flock.key.blade"), false}, {"leave", say("flock.key.leave"), true}})
	batches := slices.Clone(p.Batches)
	slices.SortStableFunc(batches, func(a, b plan.Batch) int { return a.Hatched.Time().Compare(b.Hatched.Time()) })
	f := frame{left: 2, right: pen.width - 2, top: top}
	moultTop := f.top + float64(len(batches))*lanePx
	f.bottom = moultTop + lanePx
	pen.height = f.bottom + calendarPx
	first := firstMonday(p)
	s := span{f, first, first.AddDays(7 * len(p.Weeks))}
	pen.calendar(f, first, len(p.Weeks))
	for i, b := range batches {
		pen.lane(s, b, f.top+float64(i)*lanePx)
	}
	pen.moultLane(s, p, moultTop)
}

// lane draws one batch: its words above, its bar below them, and below that the
// numbers of birds that leave it.
func (p *pen) lane(s span, b plan.Batch, y float64) {
	p.line("rule", s.left, y+lanePx-2, s.right, y+lanePx-2)
	bar := y + 21
	begin := b.Hatched
	if !b.Set.IsZero() {
		begin = b.Set
		p.line("brood", s.x(b.Set), bar+barPx/2, s.x(b.Hatched), bar+barPx/2)
	}
	p.bars(s, b, bar)
	p.leavings(s, b, bar)
	words := say("flock.lane.long", b.BreedName, Number(b.Chicks, 0), SourceWords(b.Source))
	p.haloText(max(0, min(s.x(begin), p.width-2-textWidth(words))), y+15, words)
}

// bars draws the ages of a batch: growing, then in lay, or working as cocks.
func (p *pen) bars(s span, b plan.Batch, bar float64) {
	hensEnd, cocksEnd := lastDay(b, "cock"), lastDay(b, "hen")
	end := hensEnd
	if end.Before(cocksEnd) {
		end = cocksEnd
	}
	grown := end
	if !b.FirstEgg.IsZero() && b.FirstEgg.Before(hensEnd) {
		grown = b.FirstEgg
		p.rect("lay", s.x(b.FirstEgg), bar, s.x(hensEnd)-s.x(b.FirstEgg), barPx)
	} else if at := b.Hatched.AddDays(7 * grownWeeks); b.Pullets == 0 && at.Before(end) {
		grown = at
		p.rect("working", s.x(at), bar, s.x(end)-s.x(at), barPx)
	}
	p.rect("growing", s.x(b.Hatched), bar, s.x(grown)-s.x(b.Hatched), barPx)
}

// grownWeeks is the age from which a cock is drawn as grown (common practice).
const grownWeeks = 24

// lastDay is the last day on which birds of a batch, those of one sex left
// aside, are there.
func lastDay(b plan.Batch, aside string) measure.Date {
	last := b.Hatched
	for _, f := range b.Fates {
		if f.Birds >= 0.5 && f.Sex != aside && last.Before(f.On) {
			last = f.On
		}
	}
	return last
}

// leavings marks the days on which birds leave, with their number.
func (p *pen) leavings(s span, b plan.Batch, bar float64) {
	counts := map[measure.Date]float64{}
	blade := map[measure.Date]bool{}
	var days []measure.Date
	for _, f := range Fates(b) {
		if staysOn(f) || !s.holds(f.On) {
			continue
		}
		if _, seen := counts[f.On]; !seen {
			days = append(days, f.On)
		}
		counts[f.On] += f.Birds
		blade[f.On] = blade[f.On] || isBlade(f)
	}
	slices.SortFunc(days, func(a, b measure.Date) int { return a.Time().Compare(b.Time()) })
	free := -1.0
	for _, d := range days {
		x := s.x(d)
		if blade[d] {
			p.rect("blade", x-2.5, bar-3, 5, barPx+6)
		} else {
			p.line("leave", x, bar-3, x, bar+barPx+3)
		}
		words := Number(counts[d], 0)
		half := textWidth(words) / 2
		at := min(x, s.right-half)
		if at-half > free {
			p.text("strong", "middle", at, bar+barPx+14, words)
			free = at + half + 3
		}
	}
}

// haloText writes words that stay readable across lines.
func (p *pen) haloText(x, y float64, words string) {
	p.rect("halo", x, y-10, textWidth(words), 13)
	p.text("strong", "start", x, y, words)
}

// moultLane shows how much of the flock is in moult, week by week.
func (p *pen) moultLane(s span, pl *plan.Plan, y float64) {
	moulting := weekly(pl, func(w plan.WeekRow) float64 { return w.Moulting })
	if high := highest(moulting); high > 0 {
		f := frame{left: s.left, right: s.right, top: y + 18, bottom: y + lanePx, low: 0, high: high}
		p.path("moult", f.blocks(make([]float64, len(moulting)), moulting))
		p.haloText(s.left, y+15, say("flock.moult", Number(high, 0)))
	}
}
