package butcher

import (
	"fmt"
	"math"
)

// Bounds of what Day takes. A household that kills more than MostBirds on a day
// runs a slaughterhouse, and needs its rules.
const (
	MostBirds  = 500
	MostPeople = 20
	mostKg     = 20 // of one bird alive
)

// Input is one butcher day of birds of one class.
type Input struct {
	Birds     int
	Class     Class
	AgeWeeks  float64 // of the birds; decides the pot
	LiveKg    float64 // mean of one bird, before fasting
	DressedKg float64 // mean of one bird, plucked and drawn, without giblets
	LightKg   float64 // dressed, a light one (10th percentile); 0: as the mean
	HeavyKg   float64 // dressed, a heavy one (90th percentile); 0: as the mean
	People    int
	Practice  Practice
	OutdoorC  float64 // the day's high in the shade
	Start     int     // minutes after midnight at which the first bird is killed
	Packing   Packing
}

// Check names the first figure that cannot be right, in a sentence.
func (in Input) Check() error {
	bad := func(x, low, high float64) bool { return math.IsNaN(x) || x < low || x > high }
	switch {
	case in.Birds < 1:
		return fmt.Errorf("birds: choose at least one bird, not %d", in.Birds)
	case in.Birds > MostBirds:
		return fmt.Errorf("birds: %d birds are more than a household butchers in a day; choose at most %d", in.Birds, MostBirds)
	case in.Class < FastMeat || in.Class > OldCock:
		return fmt.Errorf("class: there is no such class of bird")
	case bad(in.AgeWeeks, 0, 1500):
		return fmt.Errorf("age: %g weeks is not the age of a bird", in.AgeWeeks)
	case bad(in.LiveKg, 0.05, mostKg):
		return fmt.Errorf("live weight: %g kg is not the weight of a bird; write one between 0.05 and %d kg", in.LiveKg, mostKg)
	case bad(in.DressedKg, 0.02, in.LiveKg):
		return fmt.Errorf("dressed weight: %g kg cannot come from a bird of %g kg", in.DressedKg, in.LiveKg)
	case in.LightKg != 0 && bad(in.LightKg, 0, in.DressedKg):
		return fmt.Errorf("dressed weight of a light bird: %g kg is not between 0 and the mean, %g kg", in.LightKg, in.DressedKg)
	case in.HeavyKg != 0 && bad(in.HeavyKg, in.DressedKg, mostKg):
		return fmt.Errorf("dressed weight of a heavy bird: %g kg is not above the mean, %g kg", in.HeavyKg, in.DressedKg)
	case in.People < 1 || in.People > MostPeople:
		return fmt.Errorf("people: write 1 to %d, not %d", MostPeople, in.People)
	case in.Practice < Beginner || in.Practice > Crew:
		return fmt.Errorf("practice: there is no such way of working")
	case in.Practice == Crew && in.People < 3:
		return fmt.Errorf("people: a crew is three or more; for %d choose how practised they are", in.People)
	case bad(in.OutdoorC, -60, 60):
		return fmt.Errorf("temperature: %g C is no weather", in.OutdoorC)
	case in.Start < 0 || in.Start >= dayMinutes:
		return fmt.Errorf("start: write a time of the day")
	case in.Packing != Whole && in.Packing != CutUp:
		return fmt.Errorf("packing: birds are packed whole or cut up")
	}
	return nil
}

// A Sheet is the figures of the day.
type Sheet struct {
	Birds    int     `json:"birds"`
	Class    string  `json:"class"`
	Pot      Pot     `json:"pot"`
	LiveKg   float64 `json:"live_kg"`    // of all
	MeatKg   float64 `json:"dressed_kg"` // of all
	Pace     Range   `json:"birds_an_hour"`
	KillH    Range   `json:"kill_hours"`  // from the first bird to the last one in the ice
	FixedH   Range   `json:"fixed_hours"` // setting up and cleaning up
	TotalH   Range   `json:"total_hours"`
	PersonH  float64 `json:"person_hours"` // of all people, planned
	Days     int     `json:"days"`         // over how many days the birds are better spread
	PluckMin Range   `json:"pluck_minutes_a_bird"`
	BleedMin Range   `json:"bleed_minutes"`
	DrawH    Range   `json:"draw_within_hours"`

	Kit Kit `json:"kit"`

	FastH     Range `json:"fast_hours"`
	ShrinkPct Range `json:"shrink_percent"` // of live weight, while fasting as long as planned
	Lots      []Lot `json:"lots"`           // from which the feed is taken at one time

	Scald      Scald   `json:"scald"`
	Soft       Scald   `json:"soft_scald"`
	ChillHours float64 `json:"chill_hours"` // for the lightest birds, which have the least time
	ChillHeavy float64 `json:"chill_hours_heavy"`
	TakenUp    Range   `json:"water_taken_up_percent"`
	RestH      Range   `json:"rest_hours"`

	FreezerL Range `json:"freezer_l"` // stated litres
	KeepsM   Range `json:"keeps_months"`
	GibletKg Range `json:"giblet_kg"`
	BonesKg  Range `json:"bones_kg"` // for stock
	StockL   Range `json:"stock_l"`
	WasteKg  Range `json:"waste_kg"`

	Clock Clock `json:"clock"`
}

// Lot is birds whose feed is taken away at one time, so that none of them fasts
// too short or too long.
type Lot struct {
	Birds  int `json:"birds"`
	FeedAt int `json:"feed_away_at"` // minutes after midnight of the butcher day; below 0 the evening before
	First  int `json:"first_at"`     // when the first of them is killed
	Last   int `json:"last_at"`      // and the last
}

// Clock is the hours of the day, in minutes after its midnight; below 0 lies the
// day before, from 1440 the day after.
type Clock struct {
	SetUp    int `json:"set_up"` // begin to set up; the scald goes on the fire first
	First    int `json:"first_bird"`
	Last     int `json:"last_bird"` // in the ice, as planned
	LastLate int `json:"last_bird_late"`
	Giblets  int `json:"giblets_cold"`  // of the last birds, at the latest
	Cold     int `json:"carcases_cold"` // the last birds, at the latest
	Done     int `json:"done"`          // cleaned up, as planned
	Freeze   int `json:"freeze_from"`   // earliest
	FreezeTo int `json:"freeze_to"`     // latest by the rest
}

const (
	dayMinutes = 24 * 60
	longDayH   = 10 // more hours than this are better spread over days (guess)
	mostLots   = 4
)

// Day works out the sheet of a day, or says in a sentence what cannot be right.
func Day(in Input) (Sheet, error) {
	if err := in.Check(); err != nil {
		return Sheet{}, err
	}
	light, heavy := in.LightKg, in.HeavyKg
	if light == 0 {
		light = in.DressedKg
	}
	if heavy == 0 {
		heavy = in.DressedKg
	}
	n := float64(in.Birds)
	pace := Pace(in.Practice, in.People)
	s := Sheet{
		Birds: in.Birds, Class: in.Class.String(), Pot: PotOf(in.AgeWeeks), LiveKg: n * in.LiveKg, MeatKg: n * in.DressedKg,
		Pace: pace, KillH: killHours(in.Birds, pace), FixedH: Fixed(), PluckMin: pluckMinutes(in.Practice), BleedMin: bleedMinutes, DrawH: drawWithinH,
		FastH: fastHours(in.OutdoorC), Scald: ScaldFor(in.Class), Soft: SoftScald(),
		ChillHours: ChillHours(light), ChillHeavy: ChillHours(heavy), TakenUp: takenUpPct, RestH: RestHours(in.Class),
	}
	s.TotalH = s.FixedH.Plus(s.KillH)
	s.PersonH = s.TotalH.Plan * float64(in.People)
	s.Days = max(1, up((s.TotalH.Plan-s.FixedH.Plan)/(longDayH-s.FixedH.Plan)))
	s.Kit = kitFor(in, pace, s.MeatKg, s.LiveKg)
	s.ShrinkPct = shrinkAHour.times(s.FastH.Plan)
	s.afterwards(in)
	s.clock(in)
	return s, nil
}

// afterwards is what becomes of the birds.
func (s *Sheet) afterwards(in Input) {
	s.FreezerL = FreezerL(s.MeatKg, in.Packing)
	s.KeepsM = FrozenWholeMonths
	bones := neckFeetShare
	if in.Packing == CutUp {
		s.KeepsM, bones = FrozenPiecesMonths, frameShare
	}
	s.GibletKg, s.BonesKg, s.WasteKg = gibletShare.times(s.LiveKg), bones.times(s.LiveKg), wasteShare.times(s.LiveKg)
	s.StockL = Range{s.BonesKg.Low * stockLAKg.Low, s.BonesKg.Plan * stockLAKg.Plan, s.BonesKg.High * stockLAKg.High, stockLAKg.Source}
	if in.Class == OldHen {
		s.StockL = stewHenStockL.times(float64(in.Birds))
	}
}

func minutes(hours float64) int { return int(math.Round(hours * 60)) }

// five rounds up to five minutes, for nobody plans to the minute.
func five(m int) int { return (m + 4) / 5 * 5 }

// quarter rounds a clock time down to a quarter of an hour.
func quarter(m int) int { return int(math.Floor(float64(m)/15)) * 15 }

func (s *Sheet) clock(in Input) {
	c := &s.Clock
	c.First = in.Start
	c.SetUp = quarter(in.Start - minutes(setUpShare*s.FixedH.Plan))
	c.Last = in.Start + five(minutes(s.KillH.Plan))
	c.LastLate = in.Start + five(minutes(s.KillH.High))
	c.Giblets = c.Last + 60*GibletHours
	c.Cold = c.Last + minutes(s.ChillHours)
	c.Done = c.Last + minutes((1-setUpShare)*s.FixedH.Plan)
	c.Freeze = c.Last + minutes(s.RestH.Low)
	c.FreezeTo = c.Last + minutes(s.RestH.High)
	s.Lots = lots(in.Birds, in.Start, s.KillH.Plan, s.FastH)
}

// lots parts the birds so that within each the first has fasted long enough when
// the last has not fasted too long: a lot lasts no longer than the room between
// the two. With one lot the feed goes ten hours before its middle bird.
func lots(birds, start int, hours float64, fast Range) []Lot {
	k := min(mostLots, birds, max(1, up(hours/(fast.High-fast.Low))))
	list := make([]Lot, k)
	each := minutes(hours) / k
	for i := range list {
		n := birds/k + btoi(i < birds%k)
		l := Lot{Birds: n, First: start + five(i*each), Last: start + five((i+1)*each)}
		middle := (l.First + l.Last) / 2
		at := quarter(middle - minutes(fast.Plan))
		// Never so late that the first has less than the least.
		l.FeedAt = min(at, quarter(l.First-minutes(fast.Low)))
		list[i] = l
	}
	return list
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}
