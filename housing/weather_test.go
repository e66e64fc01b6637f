package housing

import (
	"testing"

	"henyear/climate"
)

func TestExtremeDaysLieBeyondTheUsualDaysOfTheirSeason(t *testing.T) {
	for _, p := range climate.Places() {
		cold, hot := ColdestDay(p), HottestDay(p)
		usual := UsualDay(p, 2)
		if cold.LowC > usual.LowC+0.5 && !p.Southern() && p.LatitudeDeg > 25 {
			t.Errorf("%s: coldest day %.1f C, January's %.1f C", p.Name, cold.LowC, usual.LowC)
		}
		if hot.HighC <= cold.HighC || cold.LowC > hot.LowC || hot.HighC > 56 || hot.HumidityPct <= 0 || hot.SunWM2 < 300 {
			t.Errorf("%s: %+v %+v", p.Name, cold, hot)
		}
	}
	p, err := climate.FindPlace("Minneapolis")
	if err != nil {
		t.Fatal(err)
	}
	near(t, "coldest night", ColdestDay(p).LowC, p.ExtremeMin(), 0.01)
	hours := (Coop{FloorM2: 5, Insulated: true}).Day([]Occupant{{2.5, 0.03, 12}}, ColdestDay(p))
	if hours[6].TempC < p.ExtremeMin() || hours[6].TempC > p.ExtremeMin()+15 {
		t.Errorf("%+v", hours[6])
	}
}
