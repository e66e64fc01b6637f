package calendar

import (
	"fmt"
	"time"

	ics "github.com/arran4/golang-ical"

	"henyear/measure"
)

// zone is the clock of a holding. Its rules are those that the computer knows;
// where it knows none, those built into the program.
type zone struct {
	name  string
	place *time.Location
	utc   bool
}

func readZone(name string) (zone, error) {
	if name == "" {
		name = "UTC"
	}
	place, err := time.LoadLocation(name)
	if err != nil || name == "Local" {
		return zone{}, fmt.Errorf("%q is not a time zone; write continent and town, for example \"Europe/London\", or \"UTC\"", name)
	}
	return zone{name, place, place == time.UTC}, nil
}

// setStart sets the start of an event that has an hour.
func (z zone) setStart(e *ics.VEvent, day measure.Date, clock int) {
	text := z.instant(day, clock).In(z.place).Format("20060102T150405")
	if z.utc {
		e.SetProperty(ics.ComponentPropertyDtStart, text+"Z")
		return
	}
	e.SetProperty(ics.ComponentPropertyDtStart, text, ics.WithTZID(z.name))
}

// instant is when the clock shows an hour on a day. An hour that is left out in
// spring counts as if the clock had not been put forward, as RFC 5545 section
// 3.3.5 says: half past two is then half past three. Of an hour that comes twice
// either may be returned; written by the clock both look alike.
func (z zone) instant(day measure.Date, clock int) time.Time {
	t := time.Date(day.Year, day.Month, day.Day, clock/60, clock%60, 0, 0, z.place)
	if t.Hour() == clock/60 && t.Minute() == clock%60 {
		return t
	}
	_, before := t.Add(-6 * time.Hour).Zone()
	return time.Date(day.Year, day.Month, day.Day, clock/60, clock%60, 0, 0, time.UTC).Add(-time.Duration(before) * time.Second)
}

// component tells the rules of the zone for the days between first and last:
// the clock that holds when they begin, and each change of it until they end,
// one by one. A yearly rule would be shorter and wrong wherever the change
// follows a lunar month or an order of the government.
func (z zone) component(first, last measure.Date) *ics.VTimezone {
	c := ics.NewTimezone(z.name)
	at := first.AddDays(-2).Time().In(z.place)
	end := last.AddDays(3).Time()
	start, next := at.ZoneBounds()
	if start.IsZero() || start.Before(epoch) {
		name, offset := at.Zone()
		c.Components = append(c.Components, observance(epoch, offset, offset, name, false))
	} else {
		c.Components = append(c.Components, z.change(start))
	}
	for !next.IsZero() && next.Before(end) {
		c.Components = append(c.Components, z.change(next))
		_, next = next.ZoneBounds()
	}
	return c
}

// epoch is from when on a zone is written; what came before concerns no flock
// of today, and reaches back to clocks that were minutes and seconds apart.
var epoch = time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC)

// change is one change of the clock. The one that puts it forward is called
// daylight time: so readers expect it, while the data count the winter clock of
// Ireland and the month of Ramadan in Morocco as the exception.
func (z zone) change(at time.Time) ics.Component {
	before, after := at.Add(-time.Second).In(z.place), at.In(z.place)
	_, from := before.Zone()
	name, to := after.Zone()
	return observance(at.In(time.FixedZone("", from)), from, to, name, (before.IsDST() || after.IsDST()) && to > from)
}

func observance(start time.Time, from, to int, name string, daylight bool) ics.Component {
	var base ics.ComponentBase
	base.AddProperty(ics.ComponentPropertyDtStart, start.Format("20060102T150405"))
	base.AddProperty(ics.ComponentProperty(ics.PropertyTzoffsetfrom), offsetText(from))
	base.AddProperty(ics.ComponentProperty(ics.PropertyTzoffsetto), offsetText(to))
	base.AddProperty(ics.ComponentProperty(ics.PropertyTzname), name)
	if daylight {
		return &ics.Daylight{ComponentBase: base}
	}
	return &ics.Standard{ComponentBase: base}
}

func offsetText(seconds int) string {
	sign := '+'
	if seconds < 0 {
		sign, seconds = '-', -seconds
	}
	text := fmt.Sprintf("%c%02d%02d", sign, seconds/3600, seconds/60%60)
	if s := seconds % 60; s != 0 {
		text += fmt.Sprintf("%02d", s)
	}
	return text
}
