package housing

import "math"

// One day through the hours. Outdoors the air is coldest about dawn and warmest
// in the afternoon, half a wave up and half a wave down between; its water stays
// the same all day. The house follows with a lag: boards, litter and the birds'
// own heat hold an hour or two of it.

// DayWeather is a day outdoors. Zero fields ask for the default stated.
type DayWeather struct {
	LowC, HighC float64
	LowHour     float64 // of the clock; 6 when zero, mean of the seasons
	HighHour    float64 // 15 when zero
	HumidityPct float64 // of the whole day, over water; 80 when zero
	WindMS      float64 // at 10 m
	SunWM2      float64 // sunshine on the roof at noon: 0 dull, 900 clear summer, 300 clear winter
	// LightH is the hours of light about noon, 0 to 24: lamps count. Birds give off
	// less in the dark.
	LightH float64
	// OpenDayM2 and OpenNightM2 are the vents open in light and in the dark. Zero
	// takes the keeper's habit (Coop.Ventilation); below zero shuts them.
	OpenDayM2, OpenNightM2 float64
	OutByDay               float64 // part of the birds that is outdoors while it is light, 0 to 1
}

// HourAir is the house at one hour of the day.
type HourAir struct {
	Hour   float64
	OutC   float64
	Lit    bool
	Inside // air and faces
}

const (
	stepsAnHour = 4
	settleDays  = 8
	settledK    = 0.001
)

// Heat that a house stores for each degree, J/K (guesses from the weights of
// boards and litter): half of a wall's boards take part in a day's wave.
const (
	shellJM2K  = 12e3
	litterJM2K = 25e3
	airJM3K    = 1200
)

func (c Coop) storeJK() float64 {
	p := c.parts()
	return shellJM2K*(p.WallM2+p.RoofM2) + litterJM2K*p.FloorM2 + airJM3K*p.FloorM2*c.height()
}

// OutsideC is the temperature outdoors at an hour of the clock, which may pass
// midnight: half a cosine from low to high, and half a cosine back.
func (w DayWeather) OutsideC(hour float64) float64 {
	low, high := orDefault(w.LowHour, 6), orDefault(w.HighHour, 15)
	rise := math.Mod(high-low+24, 24)
	if rise == 0 {
		rise = 12
	}
	since := math.Mod(math.Mod(hour-low, 24)+24, 24)
	u := since / rise
	if since > rise {
		u = 1 + (since-rise)/(24-rise)
	}
	return w.LowC + (w.HighC-w.LowC)*(1-math.Cos(math.Pi*u))/2
}

func (w DayWeather) lit(hour float64) bool {
	return math.Abs(math.Mod(hour, 24)-12) < min(24, max(0, w.LightH))/2
}

// weather is outdoors at an hour: the water of the day's mean air, less what falls
// out of it as dew or rime.
func (w DayWeather) weather(hour float64) Weather {
	out := w.OutsideC(hour)
	vapour := min(100, orDefault(w.HumidityPct, 80)) / 100 * WaterPa((w.LowC+w.HighC)/2)
	sun := 0.0
	if day := w.LightH; day > 0 && w.lit(hour) {
		sun = w.SunWM2 * math.Cos(math.Pi*(math.Mod(hour, 24)-12)/day)
	}
	return Weather{OutC: out, HumidityPct: min(100, 100*vapour/WaterPa(out)), WindMS: max(0, w.WindMS), SunWM2: max(0, sun)}
}

func (c Coop) hour(w DayWeather, birds []Occupant, hour float64) moment {
	out, share, open := w.weather(hour), NightShare, w.OpenNightM2
	if w.lit(hour) {
		share, open = DayShare*(1-min(1, max(0, w.OutByDay))), w.OpenDayM2
	}
	vent := func(inC float64) float64 { return c.OpeningM3h(open, inC, out.OutC, out.WindMS) }
	if open == 0 {
		habit := c.Ventilation(out.OutC, birds)
		vent = func(float64) float64 { return habit }
	}
	return c.moment(out, birds, share, vent)
}

// Day is the air of the house at each full hour, 0 to 23, of a day like those
// before it. On a day without light, and with one temperature, every hour is what
// Night says of it.
func (c Coop) Day(birds []Occupant, w DayWeather) []HourAir {
	hours := make([]HourAir, 24)
	if c.OpenSided {
		for h := range hours {
			hours[h] = HourAir{float64(h), w.OutsideC(float64(h)), w.lit(float64(h)), c.hour(w, birds, float64(h)).openAir()}
		}
		return hours
	}
	const stepS = 3600.0 / stepsAnHour
	store := c.storeJK() / stepS
	inC := c.hour(w, birds, 0).steadyC()
	for range settleDays {
		first := inC
		for step := range 24 * stepsAnHour {
			m := c.hour(w, birds, float64(step)/stepsAnHour)
			before := inC
			low := min(before, m.w.OutC)
			inC = bisect(low-1, max(before, m.w.OutC)+80, func(t float64) bool { return m.gainW(t) > store*(t-before) })
			if step%stepsAnHour == 0 {
				h := step / stepsAnHour
				hours[h] = HourAir{float64(h), m.w.OutC, w.lit(float64(h)), m.at(inC)}
			}
		}
		if math.Abs(inC-first) < settledK {
			break
		}
	}
	return hours
}

// Day is Coop.Day for a plain low and high, vents as by habit.
func Day(c Coop, birds []Occupant, lowC, highC, lightH float64) []HourAir {
	return c.Day(birds, DayWeather{LowC: lowC, HighC: highC, LightH: lightH})
}
