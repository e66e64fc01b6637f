package calendar

import (
	"fmt"
	"math"
	"slices"

	"henyear/bird"
	"henyear/breed"
	"henyear/butcher"
	"henyear/chance"
	"henyear/course"
	"henyear/daybook"
	"henyear/measure"
	"henyear/plan"
)

// Pick is what the keeper takes from one lot.
type Pick struct {
	Birds  int
	LiveKg float64 // one bird, as weighed by the keeper; 0 takes the expectation
}

// ButcherChoice is the day as the keeper wants it. Hands and weather that are
// zero take the usual: one practised person, the climate's high of the week.
type ButcherChoice struct {
	On       measure.Date
	Picks    map[string]Pick // by ButcherLot.Key; nil takes what the plan says for about that day
	People   int
	Practice butcher.Practice
	Start    int // minutes after midnight; below 0 takes the usual
	Packing  butcher.Packing
}

// ButcherDay is one day with the birds that can be had on it.
type ButcherDay struct {
	On       measure.Date       `json:"on"`
	FromBook bool               `json:"from_book"` // the birds are those of the daybook, else those of the plan
	Lots     []ButcherLot       `json:"lots"`
	HighC    float64            `json:"high_c"` // mean daily high of that week
	Start    int                `json:"start_minutes"`
	Problems []daybook.Sentence `json:"problems"` // why not on this day, or not these birds
	Sheets   []ButcherSheet     `json:"sheets"`   // one for each class of bird, in the order of the day
	Kit      butcher.Kit        `json:"kit"`      // for all of them
	TotalH   butcher.Range      `json:"total_hours"`
	Birds    int                `json:"birds"`
	Kg       Spread             `json:"dressed_kg"`
	Freezer  FreezerRoom        `json:"freezer"`
}

// ButcherSheet is the sheet of the birds of one class.
type ButcherSheet struct {
	Class butcher.Class `json:"-"`
	butcher.Sheet
	Names []string `json:"names"`
}

// Spread is an expectation with its 10th and 90th percentile.
type Spread struct {
	Low  float64 `json:"low"`
	Mean float64 `json:"mean"`
	High float64 `json:"high"`
}

// ButcherLot is birds of one group or batch, of one sex as far as known.
type ButcherLot struct {
	Key      string            `json:"key"` // lasting: of the group, or of the batch and sex
	Name     string            `json:"name"`
	Group    daybook.ID        `json:"group,omitzero"` // zero: only in the plan
	Batch    string            `json:"batch,omitzero"`
	Sex      string            `json:"sex"` // hens, cocks, unsexed
	There    int               `json:"there"`
	Planned  int               `json:"planned"` // that the plan butchers about this day
	Chosen   int               `json:"chosen"`
	AgeWeeks float64           `json:"age_weeks"` // on the day; 0 when not known
	Class    butcher.Class     `json:"-"`
	Live     Spread            `json:"live_kg"`    // one bird
	Dressed  Spread            `json:"dressed_kg"` // one bird
	Known    bool              `json:"known"`      // there is a weight to reckon with
	Weighed  int               `json:"weighed"`    // birds behind the last weighing that moved the curve
	Withheld *daybook.Sentence `json:"withheld,omitempty"`
	Sure     float64           `json:"-"` // coefficient of variation of the whole lot's weight
}

// FreezerRoom tells whether the birds find room. Litres are as stated on the
// freezer.
type FreezerRoom struct {
	StatedL float64 `json:"stated_l"`
	InUseL  float64 `json:"in_use_l"` // by the plan, in the week before
	NeedL   float64 `json:"need_l"`
	Fits    bool    `json:"fits"`
	Birds   int     `json:"birds_that_fit"`
}

// Figures of the spread; key butcher-growth-own. Between siblings it is that of
// the random years (chance.Spread.Growth).
const (
	sharedUnweighed = 0.12
	sharedWeighed   = 0.05
	tenth           = 1.2816 // standard deviations from the mean to the 10th percentile
)

// Without an age or a breed the dressed share is that of an old-breed cockerel,
// and a weight must come from the keeper. Key: breed-dressing-defaults.
const usualDressing = 0.65

// fastFinishC: fast meat crosses are not finished in weeks with a higher mean
// daily high (common practice).
const fastFinishC = 32

// planSlackDays: fates within so many days of the day count for it.
const planSlackDays = 10

// Usual starts, minutes after midnight: early in the heat.
const (
	usualStart = 8 * 60
	hotStart   = 6 * 60
	hotDayC    = 28
)

// ButcherDates lists the butcher days of the work list that are still to come.
func ButcherDates(in Input) []measure.Date {
	if in.Plan == nil {
		return nil
	}
	in.From, in.To = in.Today, measure.Date{}
	l, err := Of(in)
	if err != nil {
		return nil // the page of the work says what is wrong
	}
	var days []measure.Date
	for _, t := range l.Tasks {
		if t.Kind == Butcher && t.Who == Skilled && (t.State == Ahead || t.State == Due) && !t.On.Before(in.Today) && !slices.Contains(days, t.On) {
			days = append(days, t.On)
		}
	}
	slices.SortFunc(days, func(a, b measure.Date) int { return a.Compare(b) })
	return days
}

// planDay is the week of the plan's fates that lies nearest to a butcher day; zero
// when none is near.
func planDay(p *plan.Plan, on measure.Date) measure.Date {
	var best measure.Date
	away := planSlackDays + 1
	for _, b := range p.Batches {
		for _, f := range b.Fates {
			days := f.On.AddDays(saturday).DaysSince(on)
			if days = max(days, -days); toTable(f) && days < away {
				best, away = f.On, days
			}
		}
	}
	return best
}

func toTable(f plan.Fate) bool {
	return (f.What == "table" || f.What == "culled for the pot") && f.Birds >= 0.5
}

// PlanButcherDay composes a butcher day from the plan and the daybook. The
// error is for a choice that cannot be; what is wrong with the day or the birds
// stands in Problems.
func PlanButcherDay(in Input, c ButcherChoice) (*ButcherDay, error) {
	if in.Holding == nil {
		return nil, fmt.Errorf("holding: there is no holding yet")
	}
	if c.On.Before(in.Today) {
		c.On = in.Today
	}
	if last := in.Today.AddDays(3 * 366); last.Before(c.On) {
		return nil, fmt.Errorf("on: %s is too far ahead; choose a day within three years", c.On)
	}
	d := &ButcherDay{On: c.On}
	week := in.Holding.Place.Climate.Year()[measure.WeekOf(c.On).Slot()]
	d.HighC = week.MaxC
	d.Start = c.Start
	if c.Start < 0 {
		d.Start = usualStart
		if d.HighC >= hotDayC {
			d.Start = hotStart
		}
	}
	weights := &weightBook{h: in.Holding, book: in.Book, laws: course.New(in.Holding, false, bird.NewRates())}
	d.lots(in, weights)
	d.choose(c, in.Holding.Means.ButcherBirdsADay)
	d.problems(in, c)
	if err := d.sheets(c); err != nil {
		return nil, err
	}
	d.freezer(in)
	return d, nil
}

// lots lists the birds: what is there by the daybook, and what the plan has still
// to hatch or buy by the day. Without birds in the daybook all are the plan's.
func (d *ButcherDay) lots(in Input, w *weightBook) {
	groups := []daybook.GroupOn{}
	if in.Book != nil {
		for _, g := range in.Book.GroupsOn(in.Today) {
			d.FromBook = true
			groups = append(groups, g)
			l := ButcherLot{Key: "g-" + g.Group.Group.String(), Name: g.Name, Group: g.Group.Group, Batch: g.PlanBatch, Sex: g.Sex, There: g.Number}
			if l.Name == "" {
				l.Name = g.Group.Group.Short()
			}
			if g.AgeKnown {
				l.AgeWeeks = float64(g.AgeDays+d.On.DaysSince(in.Today)) / 7
			}
			l.Planned = min(l.There, plannedFor(in.Plan, g, d.On))
			if held, why := in.Book.MeatWithheld(d.On, l.Group); held {
				l.Withheld = &why
			}
			w.weigh(&l, g.Group.Breed, breed.Strain(g.Strain), d.On)
			d.Lots = append(d.Lots, l)
		}
	}
	if in.Plan == nil {
		return
	}
	week := planDay(in.Plan, d.On)
	for _, b := range in.Plan.Batches {
		if d.FromBook && (!in.Today.Before(b.Hatched) || slices.ContainsFunc(groups, func(g daybook.GroupOn) bool { return isBatch(g, b) })) {
			continue
		}
		for _, sex := range []string{daybook.Hens, daybook.Cocks} {
			n := fatesOn(b, sexOf(sex), week)
			if n == 0 {
				continue
			}
			l := ButcherLot{Key: "b-" + b.ID + "-" + sex, Name: fmt.Sprintf("%s %s hatched %s", b.BreedName, sex, b.Hatched.Words()), Batch: b.ID, Sex: sex,
				There: n, Planned: n, AgeWeeks: float64(d.On.DaysSince(b.Hatched)) / 7}
			w.weigh(&l, b.Breed, breed.Strain(b.Strain), d.On)
			d.Lots = append(d.Lots, l)
		}
	}
}

func sexOf(group string) bird.Sex {
	if group == daybook.Cocks {
		return bird.Cock
	}
	return bird.Hen
}

// fatesOn counts the birds of one sex of a batch that the plan butchers in a week,
// named by its Monday; those of both sexes are halved.
func fatesOn(b plan.Batch, sex bird.Sex, week measure.Date) int {
	birds := 0.0
	for _, f := range b.Fates {
		if !toTable(f) || f.On != week {
			continue
		}
		switch f.Sex {
		case sex.String():
			birds += f.Birds
		case "both":
			birds += f.Birds / 2
		}
	}
	return int(math.Round(birds))
}

// plannedFor is what the plan butchers of a group about a day: of the batch that
// the group names, or of one of the same breed hatched within ten days of it.
func plannedFor(p *plan.Plan, g daybook.GroupOn, on measure.Date) int {
	if p == nil {
		return 0
	}
	n, week := 0, planDay(p, on)
	for _, b := range p.Batches {
		if !isBatch(g, b) {
			continue
		}
		if g.Sex != daybook.Hens {
			n += fatesOn(b, bird.Cock, week)
		}
		if g.Sex != daybook.Cocks {
			n += fatesOn(b, bird.Hen, week)
		}
	}
	return n
}

// isBatch tells whether a group of the daybook is a batch of the plan.
func isBatch(g daybook.GroupOn, b plan.Batch) bool {
	if g.PlanBatch != "" || g.Breed != b.Breed || !g.AgeKnown {
		return g.PlanBatch == b.ID
	}
	days := g.Hatched.DaysSince(b.Hatched)
	return days <= planSlackDays && days >= -planSlackDays
}

// choose takes the picks, or what the plan says and the household butchers in a day; what the keeper did not pick from is left alone once
// there are picks at all.
func (d *ButcherDay) choose(c ButcherChoice, most int) {
	for i := range d.Lots {
		l := &d.Lots[i]
		l.Chosen = l.Planned
		if c.Picks != nil {
			l.Chosen = c.Picks[l.Key].Birds
		}
		if kg := c.Picks[l.Key].LiveKg; kg > 0 {
			l.weighedNow(kg)
		}
		l.Chosen = max(0, l.Chosen)
	}
	if c.Picks == nil && most > 0 {
		d.overDays(most)
	}
}

// overDays leaves what is more than the household butchers in a day to the days
// after, of the last lots first.
func (d *ButcherDay) overDays(most int) {
	left, later := most, 0
	for i := range d.Lots {
		l := &d.Lots[i]
		now := min(l.Chosen, left)
		left, later = left-now, later+l.Chosen-now
		l.Chosen = now
	}
	if later > 0 {
		d.Problems = append(d.Problems, daybook.Sentence{Code: "butcher-spread", Args: map[string]any{"most": most, "later": later},
			Text: fmt.Sprintf("The plan has %d birds more about this day. You butcher at most %d in a day, so those are for the next.", later, most)})
	}
}

// weighedNow takes the keeper's own weight of a bird.
func (l *ButcherLot) weighedNow(kg float64) {
	share := usualDressing
	if l.Known && l.Live.Mean > 0 {
		share = l.Dressed.Mean / l.Live.Mean
	}
	l.spread(kg, share*kg, sharedWeighed)
	l.Weighed = max(1, l.Weighed)
}

// spread sets the weights of one bird, with siblings and the flock's level in it.
func (l *ButcherLot) spread(live, dressed, shared float64) {
	own := chance.UsualSpread().Growth
	sd := tenth * math.Hypot(own, shared)
	l.Live = Spread{live * (1 - sd), live, live * (1 + sd)}
	l.Dressed = Spread{dressed * (1 - sd), dressed, dressed * (1 + sd)}
	l.Known, l.Sure = true, shared
}

// problems says why not on this day, or not these birds.
func (d *ButcherDay) problems(in Input, c ButcherChoice) {
	add := func(code, src string, args map[string]any, format string, a ...any) {
		d.Problems = append(d.Problems, daybook.Sentence{Code: code, Args: args, Text: fmt.Sprintf(format, a...), Source: src})
	}
	for _, away := range in.Holding.Means.Away {
		if !c.On.Before(away.From) && !away.To.Before(c.On) {
			add("butcher-away", "", map[string]any{"from": away.From.String(), "to": away.To.String()},
				"You are away from %s to %s. Choose another day.", away.From.Words(), away.To.Words())
		}
	}
	if !in.Holding.Means.WillKill {
		add("butcher-no-kill", "", nil, "Your holding says that you do not kill. Whoever takes the birds decides on the day.")
	}
	for i := range d.Lots {
		l := &d.Lots[i]
		switch {
		case l.Chosen == 0:
		case l.Withheld != nil:
			add("butcher-withheld", "daybook-withdrawal", map[string]any{"lot": l.Name}, "%s: not to be butchered for eating on %s; a medicine may be in them still.", l.Name, c.On.Words())
			l.Chosen = 0
		case l.Chosen > l.There:
			add("butcher-too-many", "", map[string]any{"lot": l.Name, "there": l.There}, "%s: there are %d, not %d.", l.Name, l.There, l.Chosen)
			l.Chosen = l.There
		case !l.Known:
			add("butcher-no-weight", "", map[string]any{"lot": l.Name}, "%s: neither age, breed nor weight is known. Weigh a bird and write its weight beside the number.", l.Name)
			l.Chosen = 0
		}
		if l.Chosen > 0 && l.Class == butcher.FastMeat && d.HighC > fastFinishC {
			add("butcher-hot", "practice", map[string]any{"high_c": d.HighC},
				"%s: quick meat birds are not finished in a week whose highs are near %.0f °C; they die of the heat. Take them earlier, or cool them.", l.Name, d.HighC)
		}
	}
}

// sheets makes one sheet for each class, the youngest first: the scald is made
// hotter as the day goes on, never cooler.
func (d *ButcherDay) sheets(c ButcherChoice) error {
	variance, level := 0.0, 0.0
	start := d.Start
	for class := butcher.FastMeat; class <= butcher.OldCock; class++ {
		var in butcher.Input
		var names []string
		weeks, live, dressed := 0.0, 0.0, 0.0
		light, heavy := math.Inf(1), 0.0
		for _, l := range d.Lots {
			if l.Class != class || l.Chosen == 0 {
				continue
			}
			n := float64(l.Chosen)
			in.Birds += l.Chosen
			weeks += n * l.AgeWeeks
			live += n * l.Live.Mean
			dressed += n * l.Dressed.Mean
			light, heavy = min(light, l.Dressed.Low), max(heavy, l.Dressed.High)
			names = append(names, l.Name)
			own := chance.UsualSpread().Growth * l.Dressed.Mean
			variance += n * own * own
			level += n * l.Dressed.Mean * l.Sure
		}
		if in.Birds == 0 {
			continue
		}
		n := float64(in.Birds)
		in.Class, in.AgeWeeks, in.LiveKg, in.DressedKg, in.LightKg, in.HeavyKg = class, weeks/n, live/n, dressed/n, light, heavy
		in.People, in.Practice, in.OutdoorC, in.Packing = max(1, c.People), c.Practice, d.HighC, c.Packing
		in.Start = start % (24 * 60)
		sheet, err := butcher.Day(in)
		if err != nil {
			return err
		}
		start = sheet.Clock.Last
		d.Sheets = append(d.Sheets, ButcherSheet{class, sheet, names})
		d.Birds += in.Birds
		d.Kg.Mean += dressed
	}
	sd := tenth * math.Sqrt(variance+level*level)
	d.Kg.Low, d.Kg.High = max(0, d.Kg.Mean-sd), d.Kg.Mean+sd
	if d.Birds > butcher.MostBirds {
		return fmt.Errorf("birds: %d birds are more than a household butchers in a day; choose at most %d", d.Birds, butcher.MostBirds)
	}
	d.together()
	return nil
}

// together sums the sheets: what is set up once counts once.
func (d *ButcherDay) together() {
	d.TotalH = butcher.Fixed()
	for i, s := range d.Sheets {
		d.TotalH = d.TotalH.Plus(s.KillH)
		if i == 0 {
			d.Kit = s.Kit
			continue
		}
		d.Kit = d.Kit.With(s.Kit)
	}
}

// freezer tells whether the birds find room beside what the plan has in it.
func (d *ButcherDay) freezer(in Input) {
	f := &d.Freezer
	f.StatedL = in.Holding.Means.FreezerL
	if in.Plan != nil {
		for _, w := range in.Plan.Weeks {
			if w.Date.AddDays(7).DaysSince(d.On) <= 0 {
				f.InUseL = w.FreezerL // of the last whole week before the day
			}
		}
	}
	for _, s := range d.Sheets {
		f.NeedL += s.FreezerL.Plan
	}
	free := max(0, f.StatedL-f.InUseL)
	f.Fits = f.NeedL <= free
	f.Birds = d.Birds
	if !f.Fits && f.NeedL > 0 {
		f.Birds = int(float64(d.Birds) * free / f.NeedL)
	}
}
