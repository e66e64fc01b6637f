package calendar

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"henyear/measure"
)

// ICalOptions are what a calendar file needs besides its jobs.
type ICalOptions struct {
	Name     string // what the calendar is called in the reader's list
	Holding  string // what the holding is known by, also after it was renamed; not shown
	TimeZone string // of the holding, as "Europe/Brussels"; empty means UTC

	// Today is the day of the list. A round that is due and was not ticked off waits
	// on that day; in a calendar it stands on its own days instead.
	Today measure.Date

	// Stamp is when the list last changed: the day of the plan or the time of the
	// newest record, whichever is later. A reader that has an event already takes
	// the one with the later stamp.
	Stamp time.Time

	Alarms       Alarms
	WithoutKinds []Kind // kinds of jobs to leave out
	WithoutWho   []Who  // jobs to leave out by who can do them
}

// Alarms are the reminders in a calendar file. None is set for a job that is
// done, missed or no longer called for, nor for one that comes more often than
// once a week: what rings every evening is soon not heard.
type Alarms struct {
	Evening    bool `json:"evening"`     // six in the evening before a day's job
	Morning    bool `json:"morning"`     // seven in the morning of the day
	HourBefore bool `json:"hour_before"` // before a job that has an hour
}

// How long a reader may keep a calendar before it asks again.
const askAgain = "PT6H"

// The times of reminders for a job without an hour, from the midnight with
// which its day begins. Common practice, no source.
const (
	eveningBefore = "-PT6H"
	thatMorning   = "PT7H"
	hourBefore    = "-PT1H"
)

// A job with an hour is drawn at least so long, so that it can be seen and
// touched, and at most a day.
const (
	leastMinutes = 15
	mostMinutes  = 24 * 60
)

// ICal writes the jobs as a calendar file after RFC 5545, with the name and the
// time to ask again of RFC 7986. The same jobs and options give the same bytes.
//
// A job without an hour is an event of its whole day; the days between which it
// still serves are told in words, since a band of several days across a screen
// hides what else is on. A job with an hour begins by the holding's clock. A job
// that comes again does so from its first day to its last. Jobs no longer called
// for stay in the file as cancelled, so that a reader who took an earlier file
// drops them.
//
// It fails on a list that no calendar could hold: a job without mark or date, or
// two with the same mark.
func ICal(tasks []Task, o ICalOptions) ([]byte, error) {
	zone, err := readZone(o.TimeZone)
	if err != nil {
		return nil, err
	}
	if o.Stamp.IsZero() {
		return nil, errors.New("a calendar needs the time at which its list last changed")
	}
	tasks = chosen(tasks, o)
	if err := checkTasks(tasks); err != nil {
		return nil, err
	}
	cal := ics.NewCalendar()
	cal.SetVersion("2.0")
	cal.SetProductId("-//Henyear//Work of the flock//EN")
	cal.SetCalscale("GREGORIAN")
	cal.SetMethod(ics.MethodPublish)
	cal.SetName(plainText(o.Name))   // NAME of RFC 7986, and the older X-WR-CALNAME
	cal.SetRefreshInterval(askAgain) // the library writes VALUE=DURATION itself
	cal.SetXPublishedTTL(askAgain)
	switch first, last, timed := daysWithHours(tasks, o); {
	case timed && !zone.utc:
		cal.AddVTimezone(zone.component(first, last))
	case len(tasks) == 0: // a calendar has at least one component (RFC 5545, 3.6)
		day := measure.DateOf(o.Stamp)
		cal.AddVTimezone(zone.component(day, day))
	}
	for _, task := range tasks {
		cal.AddVEvent(event(task, zone, o))
	}
	var b bytes.Buffer
	if err := cal.SerializeTo(&b, ics.WithNewLineWindows, ics.WithLineLength(75)); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func chosen(tasks []Task, o ICalOptions) []Task {
	var list []Task
	for _, t := range tasks {
		if !slices.Contains(o.WithoutKinds, t.Kind) && !slices.Contains(o.WithoutWho, t.Who) {
			list = append(list, t)
		}
	}
	return list
}

func checkTasks(tasks []Task) error {
	seen := map[string]bool{}
	for _, t := range tasks {
		switch {
		case t.ID == "":
			return fmt.Errorf("the job %q has no mark by which a calendar knows it again", t.What.Text)
		case seen[t.ID]:
			return fmt.Errorf("two jobs have the mark %q; a calendar would show only one of them", t.ID)
		case !isDate(t.On):
			return fmt.Errorf("the job %q is planned for %s, which is not a date", t.What.Text, t.On)
		case t.Clock < -1 || t.Clock >= 24*60:
			return fmt.Errorf("the job %q begins %d minutes after midnight, which is not a time of the day", t.What.Text, t.Clock)
		}
		seen[t.ID] = true
	}
	return nil
}

// isDate reports whether a date exists and has a year of four digits.
func isDate(d measure.Date) bool {
	return d.Year >= 1900 && d.Year <= 2199 && measure.DateOf(d.Time()) == d
}

// daysWithHours are the first and last day of the jobs that have an hour.
func daysWithHours(tasks []Task, o ICalOptions) (first, last measure.Date, any bool) {
	for _, t := range tasks {
		if t.Clock < 0 {
			continue
		}
		from, times := series(t, o.Today)
		to := from
		if times > 1 {
			to = t.Last
		}
		if !any || from.Before(first) {
			first = from
		}
		if !any || last.Before(to) {
			last = to
		}
		any = true
	}
	return first, last, any
}

func event(t Task, zone zone, o ICalOptions) *ics.VEvent {
	e := ics.NewEvent(uid(t.ID, o.Holding))
	on, times := series(t, o.Today)
	changed := changedAt(t, zone, o)
	e.SetDtStampTime(changed)
	e.SetModifiedAt(changed)
	e.SetSequence(sequence(changed))
	if t.Clock < 0 {
		day := ics.WithValue("DATE")
		e.SetProperty(ics.ComponentPropertyDtStart, compactDay(on), day)
		e.SetProperty(ics.ComponentPropertyDtEnd, compactDay(on.AddDays(1)), day) // the day after the last one
	} else {
		zone.setStart(e, on, t.Clock)
		// A length, and no end by the clock: an end within the hour that comes twice
		// in autumn would be read as the first of the two.
		e.SetProperty(ics.ComponentPropertyDuration, fmt.Sprintf("PT%dM", drawnMinutes(t.Minutes)))
	}
	if times > 1 {
		e.AddRrule(fmt.Sprintf("FREQ=DAILY;INTERVAL=%d;COUNT=%d", t.Every, times))
	}
	e.SetSummary(plainText(summary(t)))
	e.SetDescription(plainText(description(t, on, times)))
	if t.Kind != "" {
		e.AddCategory(plainText(category(t.Kind)))
	}
	e.SetTimeTransparency(ics.TransparencyTransparent) // a job at the coop does not make the keeper busy
	if t.State == Gone {
		e.SetStatus(ics.ObjectStatusCancelled)
	} else {
		e.SetStatus(ics.ObjectStatusConfirmed)
	}
	if (t.State == Ahead || t.State == Due || t.State == "") && (times == 1 || t.Every >= 7) {
		addAlarms(e, t, o.Alarms)
	}
	return e
}

func addAlarms(e *ics.VEvent, t Task, a Alarms) {
	add := func(wanted bool, trigger string) {
		if !wanted {
			return
		}
		alarm := e.AddAlarm()
		alarm.SetAction(ics.ActionDisplay)
		alarm.SetTrigger(trigger)
		alarm.SetDescription(plainText(t.What.Text))
	}
	if t.Clock >= 0 {
		add(a.HourBefore, hourBefore)
		return
	}
	add(a.Evening, eveningBefore)
	add(a.Morning, thatMorning)
}

func drawnMinutes(minutes float64) int {
	if !(minutes > leastMinutes) { // also what is not a number
		return leastMinutes
	}
	return int(math.Ceil(min(minutes, mostMinutes)))
}

// changedAt is when a job last changed as far as the list can tell: with the
// list itself, or later, on the day that its window opened, closed or it was
// done, since its words then changed though nothing was written down.
func changedAt(t Task, zone zone, o ICalOptions) time.Time {
	stamp, day := o.Stamp, measure.Date{}
	switch t.State {
	case Due:
		if day = t.First; t.Every > 0 {
			day = o.Today
		}
	case Missed:
		day = t.Last.AddDays(1)
	case Done:
		day = t.DoneOn
	}
	if isDate(day) {
		if at := time.Date(day.Year, day.Month, day.Day, 0, 0, 0, 0, zone.place); at.After(stamp) {
			stamp = at
		}
	}
	return stamp.UTC().Truncate(time.Second)
}

// sequence numbers the versions of an event so that a later one is higher: by
// the minutes since 1970, which suffice for 4,000 years.
func sequence(changed time.Time) int {
	return int(max(0, min(math.MaxInt32, changed.Unix()/60)))
}

// uid is what a reader knows an event by, for as long as it keeps it. A mark
// with other signs than those below, or of great length, goes in as its hash:
// readers have been seen to stumble over both.
func uid(id, holding string) string {
	if len(id) > 120 || strings.ContainsFunc(id, func(c rune) bool {
		return !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_' || c == '.')
	}) {
		sum := sha256.Sum256([]byte(id))
		id = "x-" + hex.EncodeToString(sum[:16])
	}
	sum := sha256.Sum256([]byte(holding))
	return id + "@" + hex.EncodeToString(sum[:8]) + ".henyear.invalid"
}

func compactDay(d measure.Date) string {
	return fmt.Sprintf("%04d%02d%02d", d.Year, int(d.Month), d.Day)
}
