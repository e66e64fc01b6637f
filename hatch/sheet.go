package hatch

// Warmth is how the eggs are warmed, as far as the settings differ.
type Warmth string

const (
	ForcedAir Warmth = "forced" // a fan; the same temperature everywhere
	StillAir  Warmth = "still"  // no fan; measured at the top of the eggs
	UnderHen  Warmth = "hen"
)

// Setpoint is a setting of the machine with the bounds within which it may lie.
type Setpoint struct {
	Low    float64 `json:"low"`
	Usual  float64 `json:"usual"`
	High   float64 `json:"high"`
	Source string  `json:"source"`
}

// TempC of the air at the eggs. Keys: hatch-msu-factors, hatch-fao.
func TempC(w Warmth) Setpoint {
	switch w {
	case StillAir:
		return Setpoint{38.3, 38.9, 39.2, "hatch-msu-factors"}
	case UnderHen:
		return Setpoint{38, 38, 38, "hatch-fao"}
	}
	return Setpoint{37.2, 37.8, 38.1, "hatch-msu-factors"}
}

// RHPct is the humidity before and from lockdown. Sources disagree by fifteen
// points before it: steer by weight (CheckWeight). Keys: hatch-virginia-tech,
// hatch-fao.
func RHPct(w Warmth, day int) Setpoint {
	switch {
	case w == UnderHen:
		return Setpoint{60, 70, 80, "hatch-fao"}
	case day >= LockdownDay:
		return Setpoint{65, 68, 75, "hatch-virginia-tech"}
	}
	return Setpoint{45, 55, 60, "hatch-virginia-tech"}
}

// TurnsADay from day 2 to the end of day 18; an odd number, so that the long
// night lies on the other side each time. A hen turns them herself. Keys:
// hatch-virginia-tech, hatch-usda-1363.
func TurnsADay(w Warmth, day int) Setpoint {
	if w == UnderHen || day < FirstTurnDay || day > LockdownDay {
		return Setpoint{0, 0, 0, "hatch-virginia-tech"}
	}
	return Setpoint{2, 3, 5, "hatch-virginia-tech"}
}

// Temperatures of the air that harm, for hours unless said.
const (
	FirstTurnDay   = 2
	HoldWithinC    = 0.3  // hatch-msu-factors
	AcceptLowC     = 36.1 // outside these two the hatch suffers; hatch-virginia-tech
	AcceptHighC    = 38.9
	HarmLowC       = 35.6
	HarmHighC      = 39.4
	KillC          = 40.6 // a quarter of an hour harms, half an hour kills many
	PreheatH       = 24   // the machine runs empty until it is steady, to 48 (practice)
	DryH           = 24   // chicks stay in the machine until dry, at most so long
	YolkH          = 48   // the yolk feeds them at least so long
	NoHelpH        = 24   // nobody helps a chick before so long after it pipped
	EarliestDay    = 20   // fresh small eggs; old ones and a cool machine to LatestDay
	LatestDay      = 22
	BrownCandleDay = 10 // brown eggs can be read with certainty from about then
)

// SheetDay is one day of the sheet. Code names what is done; the settings hold
// from that day on.
type SheetDay struct {
	Day   int      `json:"day"` // after setting; -1 the day before
	Code  string   `json:"code"`
	TempC Setpoint `json:"temp_c"`
	RHPct Setpoint `json:"rh_percent"`
	Turns Setpoint `json:"turns_a_day"`
	Hour  float64  `json:"hour"` // hours after setting
	Key   string   `json:"source"`
}

// Sheet is the days of a setting from warming the machine to breaking out what
// did not hatch, for eggs stored for storedDays on the mean. Hatch and the hours
// before it come later by LaterHours.
func Sheet(w Warmth, storedDays float64) []SheetDay {
	later := LaterHours(max(0, storedDays))
	var list []SheetDay
	add := func(day int, code, key string, moved bool) {
		d := SheetDay{Day: day, Code: code, TempC: TempC(w), RHPct: RHPct(w, max(0, day)), Turns: TurnsADay(w, day), Hour: 24 * float64(day), Key: key}
		if moved {
			d.Hour += later
		}
		list = append(list, d)
	}
	hen := w == UnderHen
	if hen {
		add(-3, "hen-test", "practice", false)
		add(0, "hen-set", "practice", false)
	} else {
		add(-1, "preheat", "practice", false)
		add(0, "set", "hatch-usda-1363", false)
		add(2, "turn", "hatch-virginia-tech", false)
	}
	add(CandleDays[0], "candle-1", "hatch-usda-1363", false)
	add(BrownCandleDay, "candle-brown", "hatch-day-by-day", false)
	add(CandleDays[1], "candle-2", "hatch-usda-1363", false)
	if hen {
		add(LockdownDay, "hen-quiet", "practice", false)
	} else {
		add(LockdownDay, "lockdown", "hatch-virginia-tech", false)
	}
	add(19, "peep", "hatch-day-by-day", true)
	add(20, "pip", "hatch-day-by-day", true)
	add(Days, "hatch", "hatch-day-by-day", true)
	add(LatestDay, "late", "practice", true)
	add(DiscardDay, "break-out", "practice", true)
	return list
}
