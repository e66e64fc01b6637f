package calendar

import (
	"fmt"
	"slices"
	"testing"

	"henyear/measure"
)

// Whole lists of three holdings on days through a year: every job comes back on
// its day, and a job keeps its event from one day to the next.
func TestTheWorkOfAYearComesBackFromAnotherReader(t *testing.T) {
	for _, name := range []string{"valley", "forest", "plain"} {
		t.Run(name, func(t *testing.T) {
			in := exampleWork(t, name, "2027-01-01")
			var files [][]byte
			var lists []*List
			var options []ICalOptions
			for _, today := range []string{"2027-01-01", "2027-04-05", "2027-07-20", "2027-12-31"} {
				in.Today = civil(today)
				l := listed(t, in)
				o := ICalOptions{Name: NameOf(in.Holding), Holding: "h", TimeZone: in.Holding.TimeZone, Today: in.Today, Stamp: in.Plan.AsOf.Time(), Alarms: Alarms{Evening: true, HourBefore: true}}
				file := mustICal(t, l.Tasks, o)
				keepsToTheLines(t, file)
				files, lists, options = append(files, file), append(lists, l), append(options, o)
			}
			known := map[string]string{}
			versions := map[string]int{}
			for i, cal := range readByIcalJS(t, files...) {
				tasks := lists[i].Tasks
				if len(cal.Events) != len(tasks) || len(tasks) < 100 {
					t.Fatalf("%d events of %d jobs", len(cal.Events), len(tasks))
				}
				z, err := readZone(options[i].TimeZone)
				if err != nil {
					t.Fatal(err)
				}
				for j, e := range cal.Events {
					x := tasks[j]
					first, times := series(x, options[i].Today)
					want := first.Time()
					if x.Clock >= 0 {
						want = z.instant(first, x.Clock)
					}
					if e.Start.Unix != want.Unix() || len(e.Times) != times || e.Summary != plainText(summary(x)) || e.Description != plainText(description(x, first, times)) {
						t.Errorf("%s: %s, %d times, read as %s, %d times: %s", x.ID, want, times, e.Start.Text, len(e.Times), e.Summary)
					}
					if was, seen := known[x.ID]; seen && was != e.UID {
						t.Errorf("%s is another event on %s", x.ID, options[i].Today)
					}
					if e.Sequence < versions[x.ID] {
						t.Errorf("%s: a later file has version %d after %d", x.ID, e.Sequence, versions[x.ID])
					}
					known[x.ID], versions[x.ID] = e.UID, e.Sequence
				}
				t.Logf("%s: %d jobs, %d bytes", options[i].Today, len(tasks), len(files[i]))
			}
		})
	}
}

// The weekly round of a year nobody ticks stands on every Monday once.
func TestTheWeeklyRoundStandsOnEveryMonday(t *testing.T) {
	in := exampleWork(t, "valley", "2027-01-01")
	l := listed(t, in)
	var days []measure.Date
	for _, x := range l.Tasks {
		if len(x.ID) > 7 && x.ID[:7] == "weekly/" {
			first, times := series(x, in.Today)
			for n := range times {
				days = append(days, first.AddDays(7*n))
			}
		}
	}
	slices.SortFunc(days, compare)
	if len(days) < 100 {
		t.Fatal(len(days))
	}
	for i, d := range days {
		if d.Time().Weekday().String() != "Monday" || i > 0 && d.DaysSince(days[i-1]) != 7 {
			t.Error(fmt.Sprint(d, " after ", days[max(0, i-1)]))
		}
	}
}
