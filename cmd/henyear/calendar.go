package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"henyear/calendar"
	"henyear/measure"
	"henyear/web"
)

var _ web.Known = keptHoldings{}

// HoldingID is the identifier that a holding keeps when it is changed.
func (k keptHoldings) HoldingID(ctx context.Context) (string, error) {
	h, err := k.file.CurrentHolding(ctx)
	return string(h.ID), err
}

// ChangedAt is when the holding or its plan was kept last.
func (k keptHoldings) ChangedAt(ctx context.Context) (time.Time, error) {
	h, err := k.file.CurrentHolding(ctx)
	if err != nil {
		return time.Time{}, err
	}
	p, err := k.file.LatestPlan(ctx)
	if err == nil && p.AcceptedAt.After(h.SavedAt) {
		return p.AcceptedAt, nil
	}
	return h.SavedAt, nil
}

// calendarCommand writes the jobs as a calendar file to standard output.
type calendarCommand struct {
	File    string       `arg:"" optional:"" help:"A holding file to plan first; without it, the plan kept last, moved with the daybook."`
	From    measure.Date `placeholder:"DATE" help:"Leave out what comes before this day."`
	To      measure.Date `placeholder:"DATE" help:"Leave out what comes after this day."`
	Alarms  []string     `enum:"evening,morning,hour,none" default:"evening,hour" placeholder:"WHEN,..." help:"Reminders: evening (at six the day before), morning (at seven), hour (before a job that has one), none (${default})."`
	Kinds   []string     `placeholder:"KIND,..." help:"Only these kinds of jobs: ${kinds}; all but the daily round when left out."`
	Who     []string     `enum:"anyone,keeper,two,skilled" placeholder:"WHO,..." help:"Only what these can do: anyone, keeper, two, skilled; all when left out."`
	Gap     float64      `default:"0.01" help:"Stop planning when no plan can be cheaper by more than this share of the outlay (${default})."`
	Seconds float64      `default:"30" help:"Stop planning after so many seconds with the best plan so far (${default})."`
	Work    int          `placeholder:"N" help:"Stop planning after so many steps of the search instead, for the same answer every time."`
	AsOf    measure.Date `name:"as-of" placeholder:"DATE" help:"The day of the list: that for which the birds on hand are stated, or else today."`
	Data    string       `placeholder:"DIR" help:"The folder that keeps your holding and records, instead of this user's usual one."`
}

func (c calendarCommand) planning() solving {
	return solving{Gap: c.Gap, Seconds: c.Seconds, Work: c.Work, AsOf: c.AsOf}
}

func (c calendarCommand) Validate() error {
	if !c.From.IsZero() && !c.To.IsZero() && c.To.Before(c.From) {
		return errors.New("--to lies before --from")
	}
	if len(c.Alarms) > 1 && slices.Contains(c.Alarms, "none") {
		return errors.New("--alarms none stands alone")
	}
	for _, k := range c.Kinds {
		if !slices.Contains(calendar.Kinds(), calendar.Kind(k)) {
			return fmt.Errorf("--kinds has %q, which is none of %s", k, kindNames())
		}
	}
	return c.planning().Validate()
}

func kindNames() string {
	var names []string
	for _, k := range calendar.Kinds() {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}

// Run writes the calendar file.
func (c calendarCommand) Run(ctx context.Context, t terminal) error {
	h, err := c.household(ctx, t)
	if err != nil {
		return err
	}
	list, err := h.workList(c.From, c.To)
	if err != nil {
		return err
	}
	file, err := calendar.ICal(list.Tasks, c.options(h))
	if err != nil {
		return err
	}
	_, err = t.out.Write(file)
	return err
}

func (c calendarCommand) household(ctx context.Context, t terminal) (household, error) {
	if c.File != "" {
		return planned(ctx, t, c.File, c.planning())
	}
	day := c.AsOf
	if day.IsZero() {
		day = today()
	}
	return kept(ctx, c.Data, day)
}

func (c calendarCommand) options(h household) calendar.ICalOptions {
	o := calendar.ICalOptions{
		Name: calendar.NameOf(h.holding), Holding: h.id, TimeZone: h.holding.TimeZone, Stamp: h.changed, Today: h.today,
		Alarms: calendar.Alarms{Evening: slices.Contains(c.Alarms, "evening"), Morning: slices.Contains(c.Alarms, "morning"), HourBefore: slices.Contains(c.Alarms, "hour")},
	}
	for _, k := range calendar.Kinds() {
		if len(c.Kinds) > 0 && !slices.Contains(c.Kinds, string(k)) || len(c.Kinds) == 0 && k == calendar.Daily {
			o.WithoutKinds = append(o.WithoutKinds, k)
		}
	}
	for _, w := range []calendar.Who{calendar.Anyone, calendar.Keeper, calendar.Two, calendar.Skilled} {
		if len(c.Who) > 0 && !slices.Contains(c.Who, string(w)) {
			o.WithoutWho = append(o.WithoutWho, w)
		}
	}
	return o
}
