package calendar

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"henyear/measure"
)

// zones with every kind of clock: northern and southern summer time, none, half
// and quarter hours, half an hour of summer time, a lunar month, the Arctic,
// summer time that the data count the other way about, and two islands where
// the date itself is odd.
var zones = []string{
	"Europe/Brussels", "Europe/Helsinki", "Arctic/Longyearbyen", "Europe/Dublin", "America/Chicago", "America/St_Johns", "America/Sao_Paulo", "America/Santiago",
	"Australia/Sydney", "Australia/Adelaide", "Australia/Lord_Howe", "Pacific/Auckland", "Pacific/Chatham", "Asia/Kathmandu", "Asia/Kolkata", "Africa/Casablanca",
	"Africa/El_Aaiun", "Africa/Cairo", "Asia/Gaza", "America/Asuncion", "Pacific/Apia", "Pacific/Kiritimati", "Antarctica/Troll", "Africa/Nairobi", "UTC", "",
}

// The instants of jobs with an hour are read by ical.js from the VTIMEZONE alone
// and held against Go's own arithmetic: each day about each change of the clock,
// and the month between, from 2026 to 2030.
func TestJobsWithAnHourHappenWhenTheClockOfTheHoldingSaysSo(t *testing.T) {
	var files [][]byte
	var wanted [][]time.Time
	for _, name := range zones {
		z, err := readZone(name)
		if err != nil {
			t.Fatal(err)
		}
		var tasks []Task
		var want []time.Time
		for _, day := range daysToTry(z) {
			for _, clock := range []int{0, 30, 90, 2 * 60, 2*60 + 30, 3 * 60, 8 * 60, 23*60 + 59} {
				at := z.instant(day, clock)
				if twice(z, at) {
					continue
				}
				tasks = append(tasks, job(fmt.Sprintf("%s-%d", day, clock), day.String(), clock, "x"))
				want = append(want, at)
			}
		}
		o := plain
		o.TimeZone = name
		files, wanted = append(files, mustICal(t, tasks, o)), append(wanted, want)
	}
	for i, cal := range readByIcalJS(t, files...) {
		if len(cal.Events) != len(wanted[i]) || len(cal.Events) < 400 {
			t.Fatalf("%s: %d events", zones[i], len(cal.Events))
		}
		for j, e := range cal.Events {
			if e.Start.Unix != wanted[i][j].Unix() {
				t.Errorf("%s, %s: read as %s, is %s", zones[i], e.Start.Text, time.Unix(e.Start.Unix, 0).UTC(), wanted[i][j].UTC())
			}
		}
		t.Logf("%s: %d instants", zones[i], len(cal.Events))
	}
}

func daysToTry(z zone) []measure.Date {
	seen := map[measure.Date]bool{}
	var days []measure.Date
	add := func(d measure.Date) {
		if !seen[d] && d.Year >= 2026 && d.Year <= 2030 {
			seen[d] = true
			days = append(days, d)
		}
	}
	for at := time.Date(2026, 1, 1, 12, 0, 0, 0, z.place); at.Year() < 2031; at = at.AddDate(0, 0, 30) {
		add(measure.DateOf(at))
		if _, next := at.ZoneBounds(); !next.IsZero() {
			for n := -2; n <= 2; n++ {
				add(measure.DateOf(next.In(z.place).AddDate(0, 0, n)))
			}
		}
	}
	return days
}

// twice reports whether the clock shows the same again within three hours.
func twice(z zone, at time.Time) bool {
	text := at.In(z.place).Format(time.DateTime)
	for n := -180; n <= 180; n += 30 {
		if n != 0 && at.Add(time.Duration(n)*time.Minute).In(z.place).Format(time.DateTime) == text {
			return true
		}
	}
	return false
}

// RFC 5545, section 3.3.5: a time that is left out counts with the offset before
// the gap; its example is 2:30 in New York on 11 March 2007, which is 3:30.
func TestAnHourThatIsLeftOutIsReadAsIfTheClockHadStayed(t *testing.T) {
	file := string(mustICal(t, []Task{job("a", "2007-03-11", 2*60+30, "x")}, ICalOptions{TimeZone: "America/New_York", Stamp: someStamp}))
	if !strings.Contains(file, "DTSTART;TZID=America/New_York:20070311T033000\r\n") {
		t.Error(file)
	}
}

// The rules of the zone, as the tz database has them: the European Union's, the
// half hour of Lord Howe, and Morocco's month of Ramadan, which follows the moon.
func TestTheChangesOfTheClockAreWrittenOneByOne(t *testing.T) {
	for name, want := range map[string][]string{
		"Europe/Brussels": {
			"BEGIN:DAYLIGHT\r\nDTSTART:20260329T020000\r\nTZOFFSETFROM:+0100\r\nTZOFFSETTO:+0200\r\nTZNAME:CEST\r\nEND:DAYLIGHT",
			"BEGIN:STANDARD\r\nDTSTART:20261025T030000\r\nTZOFFSETFROM:+0200\r\nTZOFFSETTO:+0100\r\nTZNAME:CET\r\nEND:STANDARD"},
		"Australia/Lord_Howe": {
			"BEGIN:STANDARD\r\nDTSTART:20260405T020000\r\nTZOFFSETFROM:+1100\r\nTZOFFSETTO:+1030\r\n",
			"BEGIN:DAYLIGHT\r\nDTSTART:20261004T020000\r\nTZOFFSETFROM:+1030\r\nTZOFFSETTO:+1100\r\n"},
		"Europe/Dublin": {
			"BEGIN:DAYLIGHT\r\nDTSTART:20260329T010000\r\nTZOFFSETFROM:+0000\r\nTZOFFSETTO:+0100\r\nTZNAME:IST\r\n",
			"BEGIN:STANDARD\r\nDTSTART:20261025T020000\r\nTZOFFSETFROM:+0100\r\nTZOFFSETTO:+0000\r\nTZNAME:GMT\r\n"},
		"Africa/Casablanca": {
			"BEGIN:STANDARD\r\nDTSTART:20260215T030000\r\nTZOFFSETFROM:+0100\r\nTZOFFSETTO:+0000\r\n",
			"BEGIN:DAYLIGHT\r\nDTSTART:20260322T020000\r\nTZOFFSETFROM:+0000\r\nTZOFFSETTO:+0100\r\n"},
		"Asia/Kathmandu": {"BEGIN:STANDARD\r\nDTSTART:19860101T000000\r\nTZOFFSETFROM:+0530\r\nTZOFFSETTO:+0545\r\n"},
		"Asia/Kolkata":   {"BEGIN:STANDARD\r\nDTSTART:19700101T000000\r\nTZOFFSETFROM:+0530\r\nTZOFFSETTO:+0530\r\nTZNAME:IST\r\n"},
	} {
		o := plain
		o.TimeZone = name
		file := mustICal(t, []Task{job("a", "2026-01-10", 600, "x"), job("b", "2026-12-10", 600, "x")}, o)
		for _, w := range want {
			if !bytes.Contains(file, []byte(w)) {
				t.Errorf("%s: %q is not in\n%s", name, w, file)
			}
		}
	}
}

func TestUTCNeedsNoZone(t *testing.T) {
	file := string(mustICal(t, []Task{job("a", "2026-05-01", 605, "x")}, ICalOptions{Stamp: someStamp}))
	if !strings.Contains(file, "\r\nDTSTART:20260501T100500Z\r\n") || strings.Contains(file, "VTIMEZONE") {
		t.Error(file)
	}
}
