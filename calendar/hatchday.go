package calendar

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"henyear/bird"
	"henyear/breed"
	"henyear/chance"
	"henyear/course"
	"henyear/daybook"
	"henyear/hatch"
	"henyear/measure"
	"henyear/plan"
)

// HatchSetting is one lot of eggs: going or ended by the daybook, or to come by
// the plan.
type HatchSetting struct {
	Key     string       `json:"key"` // lasting: of the setting, or of the batch of the plan
	Planned bool         `json:"planned"`
	Setting daybook.ID   `json:"setting,omitzero"`
	Batch   string       `json:"batch,omitzero"`
	Under   string       `json:"under"` // hen, machine
	Name    string       `json:"name,omitzero"`
	Breed   string       `json:"breed,omitzero"`
	Eggs    int          `json:"eggs"`
	SetOn   measure.Date `json:"set_on"`
	DueOn   measure.Date `json:"due_on"`
	Day     int          `json:"day"` // of incubation today; below 0 before
	Ended   bool         `json:"ended"`
	Chicks  int          `json:"chicks"`
	Alive   int          `json:"alive"` // eggs that may still hatch, as far as is written down
	Want    int          `json:"pullets_wanted"`

	record  daybook.SettingOn
	looks   []HatchLook
	posted  bool
	savedD  int
	storedD float64
}

// HatchLook is one candling of a setting.
type HatchLook struct {
	Day    int        `json:"day"`
	Record daybook.ID `json:"record"`
	daybook.Candling
}

// HatchSettings lists what is planned, going and lately ended, in the order of
// setting: from six weeks ago to a year ahead.
func HatchSettings(in Input) []HatchSetting {
	var list []HatchSetting
	if in.Book != nil {
		looks := hatchLooks(in.Book)
		for _, s := range in.Book.Settings() {
			if s.SetOn.AddDays(70).Before(in.Today) {
				continue
			}
			x := HatchSetting{Key: "s-" + s.Setting.Setting.String(), Setting: s.Setting.Setting, Under: s.Under, Name: s.Name, Breed: s.Breed, Eggs: s.Eggs,
				SetOn: s.SetOn, DueOn: s.DueOn, Ended: s.Ended, Chicks: s.Chicks, record: s, looks: looks[s.Setting.Setting], posted: s.Bought}
			x.Alive = max(0, s.Eggs-s.Clear-s.Dead-s.Broken)
			x.savedD, x.storedD = storage(s)
			list = append(list, x)
		}
	}
	if in.Plan != nil {
		for _, b := range in.Plan.Batches {
			list = planSetting(in, list, b)
		}
	}
	for i := range list {
		list[i].Day = in.Today.DaysSince(list[i].SetOn)
	}
	slices.SortStableFunc(list, func(a, b HatchSetting) int { return a.SetOn.DaysSince(b.SetOn) })
	return list
}

// planSetting adds a batch of the plan that is set, or gives what it wants to the
// setting of the daybook that it is.
func planSetting(in Input, list []HatchSetting, b plan.Batch) []HatchSetting {
	if b.EggsSet == 0 || b.Set.IsZero() {
		return list
	}
	under := "machine"
	if strings.Contains(b.Source, "broody") {
		under = "hen"
	}
	want := 0.0
	for _, f := range b.Fates {
		if f.What == "layer" {
			want += f.Birds
		}
	}
	for i := range list {
		s := &list[i]
		if days := s.SetOn.DaysSince(b.Set); !s.Planned && s.Batch == "" && s.Under == under && days >= -planSlackDays && days <= planSlackDays {
			s.Batch, s.Want = b.ID, int(math.Round(want))
			if s.Breed == "" {
				s.Breed = b.Breed
			}
			return list
		}
	}
	if b.Set.Before(in.Today.AddDays(-planSlackDays)) || in.Today.AddDays(366).Before(b.Set) {
		return list
	}
	return append(list, HatchSetting{Key: "b-" + b.ID, Planned: true, Batch: b.ID, Under: under, Breed: b.Breed, Eggs: b.EggsSet, SetOn: b.Set, DueOn: b.Set.AddDays(hatch.Days),
		Alive: b.EggsSet, Want: int(math.Round(want)), posted: strings.HasPrefix(b.Source, "hatching eggs"), savedD: usualSavedDays, storedD: float64(usualSavedDays-1) / 2})
}

// usualSavedDays: eggs are saved for a week where nothing else is written down.
const usualSavedDays = 7

// storage is over how many days the eggs were saved, and how old they were on the
// mean when set.
func storage(s daybook.SettingOn) (savedDays int, meanDays float64) {
	if s.LaidFrom.IsZero() || s.SetOn.Before(s.LaidFrom) {
		return usualSavedDays, float64(usualSavedDays-1) / 2
	}
	last := s.LaidTo
	if last.IsZero() || s.SetOn.Before(last) {
		last = s.SetOn
	}
	oldest, youngest := s.SetOn.DaysSince(s.LaidFrom), s.SetOn.DaysSince(last)
	return oldest + 1, float64(oldest+youngest) / 2
}

// hatchLooks gathers the candlings of every setting, in order.
func hatchLooks(b *daybook.Book) map[daybook.ID][]HatchLook {
	set := map[daybook.ID]measure.Date{}
	for _, s := range b.Settings() {
		set[s.Setting.Setting] = s.SetOn
	}
	looks := map[daybook.ID][]HatchLook{}
	for _, r := range b.Records {
		if p, is := r.Payload.(*daybook.Candling); is {
			if on, known := set[p.Setting]; known {
				looks[p.Setting] = append(looks[p.Setting], HatchLook{r.Event.HappenedOn.DaysSince(on), r.Event.ID, *p})
			}
		}
	}
	return looks
}

// HatchChoice is how the keeper looks at a setting.
type HatchChoice struct {
	Warmth hatch.Warmth // of a machine: forced or still
	Hour   int          // of the day at which the eggs were set, 0 to 23
	Want   int          // pullets wanted; below 0 takes the plan's
	Asked  bool         // the keeper was asked for signs of an emergency
	Alarm  bool         // and has seen some
}

// HatchDay is the sheet of one setting with what is known of it.
type HatchDay struct {
	HatchSetting
	Warmth hatch.Warmth `json:"warmth"`
	Sheet  []HatchOnDay `json:"sheet"`

	Problems []daybook.Sentence `json:"problems"` // what stands against this setting
	Model    hatch.Setting      `json:"model"`

	Looks   []HatchLook        `json:"looks"`
	Expect  hatch.CandleExpect `json:"expect"` // by the day of the last candling, or day 7
	Clear   int                `json:"clear"`  // found so far
	Dead    int                `json:"dead"`
	ClearIn [2]float64         `json:"clear_share"` // 90 % interval of the true share
	By      int                `json:"by_day"`

	Weight      *hatch.WeightLoss `json:"weight,omitempty"` // of the last weighing
	WeightDay   int               `json:"weight_day"`
	WeightFault error             `json:"-"` // why the last weighing cannot be judged

	Reared     float64 `json:"reared"`      // share of pullet chicks that live to twenty weeks
	Odds       float64 `json:"enough_odds"` // of the pullets wanted or more
	ChicksMean float64 `json:"chicks_mean"`
	ChicksLow  int     `json:"chicks_low"`
	ChicksHigh int     `json:"chicks_high"`

	Diagnosis *hatch.Diagnosis `json:"diagnosis,omitempty"` // of an ended setting, once the alarm was asked for
}

// HatchOnDay is one line of the sheet with its date and time.
type HatchOnDay struct {
	hatch.SheetDay
	On    measure.Date `json:"on"`
	Clock int          `json:"clock_minutes"` // of that day
	Past  bool         `json:"past"`
}

// rearedUsual stands in where the breed is not known: 0.85 to eight weeks, 0.95
// from there to twenty.
const rearedUsual = 0.85 * 0.95

// layAge: weeks at which a pullet counts as reared.
const layAge = 20

// HatchDayOf composes the sheet of one setting; false when there is none of that
// key.
func HatchDayOf(in Input, key string, c HatchChoice) (*HatchDay, bool, error) {
	list := HatchSettings(in)
	i := slices.IndexFunc(list, func(s HatchSetting) bool { return s.Key == key })
	if i < 0 || in.Holding == nil {
		return nil, false, nil
	}
	d := &HatchDay{HatchSetting: list[i], Warmth: c.Warmth, Looks: list[i].looks}
	if d.Under == "hen" {
		d.Warmth = hatch.UnderHen
	} else if d.Warmth != hatch.StillAir {
		d.Warmth = hatch.ForcedAir
	}
	if c.Hour < 0 || c.Hour > 23 {
		return nil, true, fmt.Errorf("hour: write the hour of setting, 0 to 23, not %d", c.Hour)
	}
	if c.Want > 1000 {
		return nil, true, fmt.Errorf("pullets: %d pullets are no small flock; write at most 1000", c.Want)
	}
	if c.Want >= 0 {
		d.Want = c.Want
	}
	d.model(in)
	d.dates(in, c.Hour)
	if !d.Ended {
		d.problems(in)
	}
	d.candled()
	d.weighed()
	if !d.Ended {
		d.odds()
	}
	if d.Ended && c.Asked {
		x, err := hatch.Diagnose(d.breakout(c.Alarm))
		if err != nil {
			return nil, true, err
		}
		d.Diagnosis = &x
	}
	return d, true, nil
}

// model is the usual setting of that breed, season and storage, and what a chick
// of it comes to.
func (d *HatchDay) model(in Input) {
	laws := course.New(in.Holding, false, bird.NewRates())
	slot := measure.WeekOf(d.SetOn).Slot()
	w := laws.Week(slot)
	m := hatch.Mating{CockSeason: 1, HenYear: 1, HensPerCock: 10, LightH: w.LightH, DayMaxC: w.DayMaxC}
	d.Reared = rearedUsual
	if b, err := findBreed(d.Breed); err == nil {
		m.HensPerCock, m.ClassBound = b.HensPerCock, b.HensPerCock
		o := laws.Of(laws.Key(b, breed.Strain(""), measure.WeekOf(d.DueOn).Slot(), d.Under == "hen"), bird.Hen)
		d.Reared = o[layAge-1].AliveEnd
	}
	d.Model = hatch.Setting{Fertility: m.Fertility(), Method: hatch.Machine, SavedDays: d.savedD, Posted: d.posted}
	if d.Under == "hen" {
		d.Model.Method = hatch.Broody
	}
}

// motherlessDays: chicks of a machine are not left by their keeper for their
// first three weeks (practice).
const motherlessDays = 21

// overdueDay is the last day on which a hatch may still be going on (practice).
const overdueDay = 23

// problems says what stands against the setting: a hatch that nobody wrote down,
// nobody at home, more eggs than places, eggs laid while a medicine was in them.
func (d *HatchDay) problems(in Input) {
	add := func(code, src string, args map[string]any, format string, a ...any) {
		d.Problems = append(d.Problems, daybook.Sentence{Code: code, Args: args, Text: fmt.Sprintf(format, a...), Source: src})
	}
	if !d.Ended && !d.Planned && d.Day > overdueDay {
		add("hatch-overdue", "practice", map[string]any{"day": d.Day}, "These eggs were set %d days ago, and no hatch is written down. What has not pipped by day 23 will not hatch: write down what came, also when nothing did.", d.Day)
	}
	for _, away := range in.Holding.Means.Away {
		args := map[string]any{"from": away.From.String(), "to": away.To.String()}
		meets := func(from, to measure.Date) bool { return !to.Before(away.From) && !away.To.Before(from) }
		switch {
		case meets(d.SetOn.AddDays(hatch.LockdownDay), d.DueOn.AddDays(hatch.DiscardDay-hatch.Days)):
			add("hatch-away", "", args, "You are away from %s to %s, when these eggs hatch. Set them on another day, or have somebody there.", away.From.Words(), away.To.Words())
		case meets(d.DueOn, d.DueOn.AddDays(motherlessDays)):
			add("chicks-away", "practice", args, "You are away from %s to %s, when the chicks are under three weeks old. They need somebody several times a day.", away.From.Words(), away.To.Words())
		case meets(d.SetOn, d.DueOn) && d.Under != "hen":
			add("turning-away", "", args, "You are away from %s to %s. Somebody must turn the eggs, look at the temperature and add water.", away.From.Words(), away.To.Words())
		}
	}
	if places := in.Holding.Means.MachineEggs; d.Under != "hen" && places > 0 && d.Eggs > places {
		add("machine-full", "", map[string]any{"eggs": d.Eggs, "places": places}, "The machine holds %d eggs, not %d.", places, d.Eggs)
	}
	r := d.record
	if in.Book == nil || d.Planned || r.Bought || r.LaidFrom.IsZero() || r.SetOn.DaysSince(r.LaidFrom) > 60 {
		return
	}
	for on := r.LaidFrom; !r.SetOn.Before(on); on = on.AddDays(1) {
		if held, why := in.Book.EggsWithheld(on, r.Pen, r.Group); held {
			add("eggs-withheld", "daybook-withdrawal", map[string]any{"on": on.String()}, "Some of these eggs were laid while a medicine was in them. %s", why.Text)
			return
		}
	}
}

func (d *HatchDay) dates(in Input, hour int) {
	for _, x := range hatch.Sheet(d.Warmth, d.storedD) {
		minutes := 60*hour + int(math.Round(60*x.Hour))
		days := int(math.Floor(float64(minutes) / (24 * 60)))
		on := d.SetOn.AddDays(days)
		d.Sheet = append(d.Sheet, HatchOnDay{x, on, minutes - days*24*60, on.Before(in.Today)})
	}
}

func (d *HatchDay) candled() {
	d.By = hatch.CandleDays[0]
	for _, l := range d.Looks {
		if l.Clear+l.Dead+l.Broken > 0 || l.Weighed == 0 {
			d.By = max(1, l.Day)
		}
	}
	d.Clear, d.Dead = d.record.Clear, d.record.Dead
	d.Expect = hatch.ExpectAt(d.Model, d.Eggs, d.By)
	d.ClearIn[0], d.ClearIn[1] = hatch.ShareInterval(d.Clear, d.Eggs, 0.90)
}

// weighed judges the last weighing against that of the day of setting.
func (d *HatchDay) weighed() {
	var at, now daybook.EggWeight
	for _, w := range d.record.Weights {
		if w.Day <= 1 {
			at = w
		} else if w.Day <= hatch.LockdownDay {
			now = w
		}
	}
	if now.Eggs == 0 {
		return
	}
	d.WeightDay = now.Day
	if at.Eggs == 0 {
		d.WeightFault = fmt.Errorf("the eggs were not weighed on the day they were set, so that nothing can be said of what they lost")
		return
	}
	// Eggs taken out since were as heavy as the others.
	w, err := hatch.CheckWeight(hatch.WeightCheck{SetG: at.WeightG / float64(at.Eggs) * float64(now.Eggs), NowG: now.WeightG, Eggs: now.Eggs, Day: now.Day, RHPct: now.HumidityPct})
	if err != nil {
		d.WeightFault = err
		return
	}
	d.Weight = &w
}

// odds of enough pullets from the eggs now alive.
func (d *HatchDay) odds() {
	spread := chance.UsualSpread().HatchSpread
	day := 0
	if len(d.Looks) > 0 {
		day = min(hatch.Days, max(0, d.By))
	}
	d.ChicksMean, d.ChicksLow, d.ChicksHigh = hatch.ChicksFrom(d.Alive, day, d.Model, spread)
	d.Odds = hatch.EnoughPullets(d.Want, d.Alive, day, d.Model, d.Reared, spread)
}

// breakout gathers what the records say of the end.
func (d *HatchDay) breakout(alarm bool) hatch.Breakout {
	r := d.record
	b := hatch.Breakout{Set: r.Eggs, Broken: r.Broken, Clear: r.Clear, BloodRing: r.BloodRing, Mid: max(0, r.Dead-r.BloodRing), Late: r.DeadInShell,
		WrongWay: r.WrongWay, Pipped: r.PippedDead, Chicks: r.Chicks, Signs: slices.Compact(slices.Sorted(slices.Values(r.Signs))), Alarm: alarm, Setting: d.Model, Hen: d.Under == "hen"}
	if d.Weight != nil {
		b.Weight = d.Weight.Course
	}
	return b
}

// Found is the record of the hatch of a setting; zero when it has not hatched.
func (d *HatchDay) Found() daybook.SettingOn { return d.record }
