package calendar

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	emersion "github.com/emersion/go-ical"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"henyear/daybook"
	"henyear/measure"
)

var (
	someStamp = time.Date(2026, 3, 1, 7, 30, 0, 0, time.UTC)
	plain     = ICalOptions{Name: "Alder Valley", Holding: "h-1", TimeZone: "Europe/Brussels", Stamp: someStamp}
)

func date(text string) measure.Date {
	d, err := measure.ParseDate(text)
	if err != nil {
		panic(err)
	}
	return d
}

func job(id, on string, clock int, what string) Task {
	d := date(on)
	return Task{ID: id, Kind: "hatch", On: d, First: d, Last: d, Clock: clock, What: daybook.Sentence{Text: what},
		Why: daybook.Sentence{Text: "Because."}, Minutes: 20, Who: Anyone, State: Ahead}
}

func mustICal(t testing.TB, tasks []Task, o ICalOptions) []byte {
	t.Helper()
	b, err := ICal(tasks, o)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// What the independent reader understood.
type readCalendar struct {
	Version, Product, Method, Name, OldName string
	Again                                   float64
	Properties, Zones                       int
	Others                                  []string
	Events                                  []readEvent
}

type readEvent struct {
	UID, Summary, Description, Status string
	Transparent                       bool
	Sequence                          int
	Stamp, Modified                   int64
	Start, End                        *readInstant
	Seconds                           float64
	Times                             []int64
	Categories                        []string
	Alarms                            []readAlarm
	Counts                            map[string]int
}

type readInstant struct {
	Text, TZID string
	Day        bool
	Unix       int64
}

type readAlarm struct {
	Action, Words string
	Seconds       float64
}

// readByIcalJS reads files with ical.js 2.2.1 from npm (testdata/read.cjs).
func readByIcalJS(t testing.TB, files ...[]byte) []readCalendar {
	t.Helper()
	if _, err := os.Stat("../node_modules/ical.js"); err != nil {
		missing(t, "ical.js is missing; npm ci brings it")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		missing(t, "node is missing")
	}
	texts := make([]string, len(files))
	for i, f := range files {
		texts[i] = string(f)
	}
	input, err := json.Marshal(texts)
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(node, "testdata/read.cjs")
	c.Stdin = bytes.NewReader(input)
	var complaint bytes.Buffer
	c.Stderr = &complaint
	out, err := c.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, complaint.String())
	}
	var list []readCalendar
	if err := json.Unmarshal(out, &list); err != nil {
		t.Fatal(err)
	}
	return list
}

func missing(t testing.TB, what string) {
	t.Helper()
	if os.Getenv("HENYEAR_CI") == "1" {
		t.Fatal(what)
	}
	t.Skip(what)
}

// readByEmersion reads a file with github.com/emersion/go-ical.
func readByEmersion(t interface{ Fatal(...any) }, file []byte) *emersion.Calendar {
	cal, err := emersion.NewDecoder(bytes.NewReader(file)).Decode()
	if err != nil {
		t.Fatal(err)
	}
	return cal
}

func texts(e emersion.Event) (summary, description string) {
	summary, _ = e.Props.Text("SUMMARY")
	description, _ = e.Props.Text("DESCRIPTION")
	return summary, description
}

func TestACalendarFileKeepsToTheLinesOfTheStandard(t *testing.T) {
	long := job("candle", "2028-02-29", -1, strings.Repeat("Candle the eggs of the Sülmtaler 🐣, ", 20))
	long.Why.Text = strings.Repeat("x", 300) + "\n" + strings.Repeat("🥚", 100)
	file := mustICal(t, []Task{long, job("fast", "2026-10-24", 20*60, "Begin the fast")}, plain)
	keepsToTheLines(t, file)
	for _, want := range []string{"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:", "\r\nMETHOD:PUBLISH\r\n", "\r\nREFRESH-INTERVAL;VALUE=DURATION:PT6H\r\n",
		"\r\nNAME:Alder Valley\r\n", "\r\nX-WR-CALNAME:Alder Valley\r\n", "\r\nDTSTART;VALUE=DATE:20280229\r\nDTEND;VALUE=DATE:20280301\r\n",
		"\r\nDTSTART;TZID=Europe/Brussels:20261024T200000\r\nDURATION:PT20M\r\n"} {
		if !strings.Contains(string(file), want) {
			t.Errorf("%q is not in\n%s", want, file)
		}
	}
	if !strings.HasSuffix(string(file), "END:VCALENDAR\r\n") {
		t.Error("the file does not end")
	}
}

// keepsToTheLines holds a file against RFC 5545, section 3.1: lines end with CR
// and LF, hold 75 octets at most, are not cut within a letter, and hold no
// control characters.
func keepsToTheLines(t interface{ Errorf(string, ...any) }, file []byte) {
	if !utf8.Valid(file) {
		t.Errorf("not UTF-8")
	}
	lines := bytes.Split(file, []byte("\r\n"))
	for i, line := range lines {
		if len(line) > 75 || !utf8.Valid(line) || len(line) == 0 && i < len(lines)-1 {
			t.Errorf("line %q", line)
		}
		for _, c := range line {
			if c < ' ' || c == 0x7f {
				t.Errorf("the control character %d in %q", c, line)
			}
		}
	}
}

func TestTheSameJobsGiveTheSameBytes(t *testing.T) {
	tasks := []Task{job("a", "2026-05-01", -1, "One"), job("b", "2026-07-01", 8*60, "Two")}
	o := plain
	o.Alarms = Alarms{true, true, true}
	first := mustICal(t, tasks, o)
	for range 20 {
		if !bytes.Equal(first, mustICal(t, tasks, o)) {
			t.Fatal("the file differs from one time to the next")
		}
	}
}

func TestAMovedJobIsTheSameEventInALaterVersion(t *testing.T) {
	was := mustICal(t, []Task{job("candle-b7", "2026-05-01", -1, "Candle")}, plain)
	later := plain
	later.Stamp = someStamp.Add(time.Minute)
	now := mustICal(t, []Task{job("candle-b7", "2026-05-04", -1, "Candle, late")}, later)
	both := readByIcalJS(t, was, now)
	a, b := both[0].Events[0], both[1].Events[0]
	if a.UID != b.UID || a.UID == "" || b.Sequence <= a.Sequence || b.Modified <= a.Modified || b.Stamp <= a.Stamp {
		t.Errorf("%+v\n%+v", a, b)
	}
	if a.Start.Text != "2026-05-01" || b.Start.Text != "2026-05-04" {
		t.Error(a.Start, b.Start)
	}
	elsewhere := plain
	elsewhere.Holding = "h-2"
	if other := readByEmersion(t, mustICal(t, []Task{job("candle-b7", "2026-05-01", -1, "Candle")}, elsewhere)).Events()[0]; other.Props.Get("UID").Value == a.UID {
		t.Error("the jobs of two holdings are the same event")
	}
}

func TestWhatTheClockAloneChangesIsALaterVersionToo(t *testing.T) {
	missed := job("a", "2026-05-01", -1, "Ring the chicks")
	missed.State, missed.Last = Missed, date("2026-05-03")
	ahead := missed
	ahead.State = Ahead
	a := readByEmersion(t, mustICal(t, []Task{ahead}, plain)).Events()[0]
	b := readByEmersion(t, mustICal(t, []Task{missed}, plain)).Events()[0]
	if got, was := b.Props.Get("LAST-MODIFIED").Value, a.Props.Get("LAST-MODIFIED").Value; was != "20260301T073000Z" || got != "20260503T220000Z" {
		t.Errorf("%s, then %s; the window closed at midnight in Brussels", was, got)
	}
}

func TestTheStateOfAJobIsSaid(t *testing.T) {
	var tasks []Task
	for i, s := range []State{Ahead, Due, Done, Missed, Gone} {
		x := job(fmt.Sprint("t", i), "2026-05-01", -1, "Weigh the pullets")
		x.State = s
		if s == Done {
			x.DoneOn = date("2026-05-02")
		}
		if s == Missed {
			x.Matters = &daybook.Sentence{Text: "It still helps."}
		}
		tasks = append(tasks, x)
	}
	o := plain
	o.Alarms = Alarms{true, true, true}
	cal := readByIcalJS(t, mustICal(t, tasks, o))[0]
	for i, want := range []struct {
		summary, status, within string
		alarms                  int
	}{
		{"Weigh the pullets", "CONFIRMED", "Because.", 2},
		{"Weigh the pullets", "CONFIRMED", "Because.", 2},
		{"Done: Weigh the pullets", "CONFIRMED", "Done on 2 May 2026.", 0},
		{"Missed: Weigh the pullets", "CONFIRMED", "It still helps.", 0},
		{"No longer needed: Weigh the pullets", "CANCELLED", "", 0},
	} {
		e := cal.Events[i]
		if e.Summary != want.summary || e.Status != want.status || !strings.Contains(e.Description, want.within) || len(e.Alarms) != want.alarms || !e.Transparent {
			t.Errorf("%+v", e)
		}
	}
}

func TestRemindersComeTheEveningBeforeInTheMorningAndAnHourBefore(t *testing.T) {
	o := plain
	o.Alarms = Alarms{Evening: true, Morning: true, HourBefore: true}
	cal := readByIcalJS(t, mustICal(t, []Task{job("a", "2026-05-01", -1, "Set, then candle; both"), job("b", "2026-05-01", 20*60, "Fast")}, o))[0]
	want := [][]readAlarm{
		{{"DISPLAY", "Set, then candle; both", -6 * 3600}, {"DISPLAY", "Set, then candle; both", 7 * 3600}},
		{{"DISPLAY", "Fast", -3600}},
	}
	for i, e := range cal.Events {
		if d := cmp.Diff(want[i], e.Alarms); d != "" {
			t.Error(d)
		}
	}
	if bytes.Contains(mustICal(t, []Task{job("a", "2026-05-01", -1, "x")}, plain), []byte("VALARM")) {
		t.Error("a reminder that nobody asked for")
	}
}

// A reader's own expansion of the rule, and for hours its own arithmetic on the
// zone, over the change of the clock on 29 March.
func TestAJobThatComesAgainComesOnEachOfItsDays(t *testing.T) {
	weekly, daily, hourly := job("w", "2026-03-01", -1, "Change the litter"), job("d", "2026-03-20", -1, "Turn the eggs"), job("h", "2026-03-20", 20*60, "Shut")
	for i, x := range []*Task{&weekly, &daily, &hourly} {
		x.First, x.Last, x.Every = date("2026-03-01"), date("2026-04-05"), []int{7, 1, 1}[i]
	}
	o := plain
	o.Alarms = Alarms{true, true, true}
	cal := readByIcalJS(t, mustICal(t, []Task{weekly, daily, hourly}, o))[0]
	z, _ := readZone(o.TimeZone)
	for i, from := range []string{"2026-03-02", "2026-03-20", "2026-03-20"} {
		var want []int64
		for d := date(from); !date("2026-04-05").Before(d); d = d.AddDays([]int{7, 1, 1}[i]) {
			at := d.Time()
			if i == 2 {
				at = z.instant(d, 20*60)
			}
			want = append(want, at.Unix())
		}
		if d := cmp.Diff(want, cal.Events[i].Times); d != "" {
			t.Error(d)
		}
	}
	if !strings.Contains(cal.Events[0].Description, "Every week from 2 March 2026 to 30 March 2026.\nAbout 20 minutes of one person each time.") ||
		!strings.Contains(cal.Events[1].Description, "Every day from 20 March") || len(cal.Events[0].Alarms) != 2 || len(cal.Events[1].Alarms)+len(cal.Events[2].Alarms) != 0 {
		t.Errorf("%+v", cal.Events)
	}
	second, err := readByEmersion(t, mustICal(t, []Task{weekly}, o)).Events()[0].RecurrenceSet(z.place)
	if err != nil || len(second.All()) != 5 {
		t.Error(second, err)
	}
}

func TestTheRoundsOfOneMonthJoinThoseOfTheNext(t *testing.T) {
	for _, every := range []int{7, 14, 28} {
		var days []measure.Date
		for m := range 14 {
			first := measure.DateOf(time.Date(2027, time.Month(1+m), 1, 0, 0, 0, 0, time.UTC))
			x := Task{ID: "round", On: first, First: first, Last: measure.DateOf(first.Time().AddDate(0, 1, -1)), Every: every, State: Ahead}
			from, times := series(x, measure.Date{})
			for n := range times {
				days = append(days, from.AddDays(n*every))
			}
		}
		for i := 1; i < len(days); i++ {
			if days[i].DaysSince(days[i-1]) != every {
				t.Errorf("every %d days: %s, then %s", every, days[i-1], days[i])
			}
		}
	}
}

func TestATickSetsTheDayOfARoundAndWaitingDoesNot(t *testing.T) {
	x := Task{ID: "round", First: date("2027-02-01"), Last: date("2027-02-28"), Every: 7, State: Due}
	today := date("2027-02-11")
	for _, c := range []struct{ on, first string }{{"2027-02-17", "2027-02-17"}, {"2027-02-11", "2027-02-01"}} {
		x.On = date(c.on)
		if first, _ := series(x, today); first != date(c.first) {
			t.Errorf("next on %s: from %s", c.on, first)
		}
	}
	x.State, x.DoneOn = Done, date("2027-02-24")
	if first, times := series(x, today); first != x.DoneOn || times != 1 {
		t.Error(first, times)
	}
}

func TestAnEventTellsTheCautionTheReasonTheWindowTheMinutesAndWho(t *testing.T) {
	x := job("kill", "2026-08-08", -1, "Butcher 6 cockerels")
	x.First, x.Last = date("2026-08-01"), date("2026-08-15")
	x.Caution = &daybook.Sentence{Text: "The scald is hot enough to burn."}
	x.Moved = &daybook.Sentence{Text: "The chicks came two days later."}
	x.Why.Text = "They are ready at 17 weeks."
	x.Minutes, x.Who, x.Kind = 180.2, Two, Butcher
	cal := readByIcalJS(t, mustICal(t, []Task{x}, plain))[0]
	want := "Caution: The scald is hot enough to burn.\nThey are ready at 17 weeks.\nThe chicks came two days later.\n" +
		"Any day from 1 August 2026 to 15 August 2026 will do.\nAbout 180 minutes of one person. Needs a second pair of hands."
	if d := cmp.Diff(want, cal.Events[0].Description); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]string{"Butcher day"}, cal.Events[0].Categories); d != "" {
		t.Error(d)
	}
}

func TestWhatIsLeftOutIsNotWritten(t *testing.T) {
	a, b, c := job("a", "2026-05-01", -1, "A"), job("b", "2026-05-01", 600, "B"), job("c", "2026-05-01", -1, "C")
	b.Kind, c.Who = "feed", Skilled
	o := plain
	o.WithoutKinds, o.WithoutWho = []Kind{"feed"}, []Who{Keeper, Skilled}
	cal := readByIcalJS(t, mustICal(t, []Task{a, b, c}, o))[0]
	if len(cal.Events) != 1 || cal.Events[0].Summary != "A" || cal.Zones != 0 {
		t.Errorf("%+v", cal)
	}
	o.WithoutKinds = []Kind{"hatch", "feed"}
	if cal := readByIcalJS(t, mustICal(t, []Task{a, b, c}, o))[0]; len(cal.Events) != 0 || cal.Zones != 1 {
		t.Errorf("a calendar without jobs still needs a component: %+v", cal)
	}
}

func TestAListThatNoCalendarCouldHoldIsRefused(t *testing.T) {
	for want, x := range map[string][]Task{
		"two jobs have the mark":  {job("a", "2026-05-01", -1, "A"), job("a", "2026-05-02", -1, "B")},
		"no mark":                 {job("", "2026-05-01", -1, "A")},
		"not a date":              {{ID: "a", Clock: -1}},
		"not a time of the day":   {job("a", "2026-05-01", 1440, "A")},
		"minutes after midnight,": {job("a", "2026-05-01", -2, "A")},
	} {
		if _, err := ICal(x, plain); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, not %q", err, want)
		}
	}
	for _, o := range []ICalOptions{{Stamp: someStamp, TimeZone: "Local"}, {Stamp: someStamp, TimeZone: "Nowhere/Town"}, {Stamp: someStamp, TimeZone: "../x"}, {}} {
		if _, err := ICal(nil, o); err == nil {
			t.Errorf("%+v was taken", o)
		}
	}
}

// hostile are texts that have broken calendar files.
var hostile = []string{
	"Eggs\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:not a job", "\nBEGIN:VALARM", "\rX:1", "a\\nb", `\`, `\\;\,`, ",;:\"", "line\u2028sep\u2029para\u0085next",
	"שלום חווה", "مزرعة\u202eevil", "👩‍🌾🐓🇧🇪", strings.Repeat("é", 200), " leads and trails ", "\x00\x07\x1b[31m", "\xff\xfe", "\t", "", "e\u0301", strings.Repeat(" ", 200), "<b>&amp;</b>",
}

func TestNoTextOfAKeeperBreaksOutOfItsLine(t *testing.T) {
	var tasks []Task
	for i, text := range hostile {
		x := job(fmt.Sprintf("t%d\r\nUID:%s", i, text), "2026-05-01", 600, text)
		x.Kind, x.Why.Text = Kind(text), text
		tasks = append(tasks, x)
	}
	o := plain
	o.Name, o.Alarms.HourBefore = strings.Join(hostile, ""), true
	file := mustICal(t, tasks, o)
	keepsToTheLines(t, file)
	cal, second := readByIcalJS(t, file)[0], readByEmersion(t, file)
	other := second.Events()
	for _, property := range []string{"NAME", "X-WR-CALNAME"} { // of which ical.js knows neither
		if name, err := second.Props.Text(property); err != nil || name != plainText(o.Name) {
			t.Errorf("%s was read as %q, %v", property, name, err)
		}
	}
	if cal.Properties != 8 || len(cal.Others) != 0 || len(cal.Events) != len(hostile) || len(other) != len(hostile) {
		t.Fatalf("%d properties, %v, %d and %d events", cal.Properties, cal.Others, len(cal.Events), len(other))
	}
	for i, e := range cal.Events {
		if e.Summary != plainText(hostile[i]) || e.Alarms[0].Words != e.Summary || e.Counts["summary"] != 1 || e.Counts["uid"] != 1 {
			t.Errorf("%q was read as %q, %v", hostile[i], e.Summary, e.Counts)
		}
		if s, d := texts(other[i]); s != e.Summary || d != e.Description {
			t.Errorf("two readers differ: %q %q", s, e.Summary)
		}
	}
}

func hostileText() *rapid.Generator[string] {
	return rapid.OneOf(rapid.String(), rapid.SampledFrom(hostile), rapid.StringMatching(`[ \\,;:"\r\nA-Z=<>é🥚]{0,200}`))
}

func drawTask(t *rapid.T, i int) Task {
	x := job(fmt.Sprint(i, "-", hostileText().Draw(t, "id")), "2026-01-01", rapid.IntRange(-1, 1439).Draw(t, "clock"), hostileText().Draw(t, "what"))
	x.On = x.On.AddDays(rapid.IntRange(0, 5*365).Draw(t, "day"))
	x.First, x.Last = x.On.AddDays(-rapid.IntRange(0, 9).Draw(t, "before")), x.On.AddDays(rapid.IntRange(0, 9).Draw(t, "after"))
	x.Why.Text, x.Minutes = hostileText().Draw(t, "why"), rapid.Float64().Draw(t, "minutes")
	x.Every = rapid.SampledFrom([]int{0, 0, 1, 7}).Draw(t, "every")
	x.State = rapid.SampledFrom([]State{Ahead, Due, Done, Missed, Gone}).Draw(t, "state")
	return x
}

func toldOf(t Task) string {
	first, times := series(t, plain.Today)
	return description(t, first, times)
}

// Whatever the words are, the other reader gets them back to the letter, and
// nothing else.
func TestEveryTextComesBack(t *testing.T) {
	var files [][]byte
	var written [][]Task
	rapid.Check(t, func(t *rapid.T) {
		var tasks []Task
		for i := range rapid.IntRange(1, 4).Draw(t, "jobs") {
			tasks = append(tasks, drawTask(t, i))
		}
		o := plain
		o.Name = hostileText().Draw(t, "name")
		o.TimeZone = rapid.SampledFrom(zones).Draw(t, "zone")
		file, err := ICal(tasks, o)
		if err != nil {
			t.Fatal(err)
		}
		keepsToTheLines(t, file)
		events := readByEmersion(t, file).Events()
		if len(events) != len(tasks) {
			t.Fatalf("%d events of %d jobs", len(events), len(tasks))
		}
		for i, e := range events {
			s, d := texts(e)
			if s != plainText(summary(tasks[i])) || d != plainText(toldOf(tasks[i])) {
				t.Fatalf("%q came back as %q", summary(tasks[i]), s)
			}
		}
		files, written = append(files, file), append(written, tasks)
	})
	for i, cal := range readByIcalJS(t, files...) {
		if len(cal.Events) != len(written[i]) || len(cal.Others) != 0 {
			t.Fatalf("%d events of %d jobs in\n%s", len(cal.Events), len(written[i]), files[i])
		}
		for j, e := range cal.Events {
			if x := written[i][j]; e.Summary != plainText(summary(x)) || e.Description != plainText(toldOf(x)) {
				t.Errorf("%q came back as %q", x.What.Text, e.Summary)
			}
		}
	}
}

func FuzzICal(f *testing.F) {
	for i, text := range hostile {
		f.Add(text, text, text, int64(i*97), i*71-1, float64(i))
	}
	f.Fuzz(func(t *testing.T, id, what, zone string, day int64, clock int, minutes float64) {
		x := job(id, "2026-01-01", clock, what)
		x.On, x.Minutes, x.Why.Text = x.On.AddDays(int(day%200000)), minutes, what
		o := plain
		o.Name = what
		if _, err := readZone(zone); err == nil {
			o.TimeZone = zone
		}
		file, err := ICal([]Task{x}, o)
		if err != nil {
			return
		}
		keepsToTheLines(t, file)
		events := readByEmersion(t, file).Events()
		if len(events) != 1 {
			t.Fatalf("%d events in\n%s", len(events), file)
		}
		if s, _ := texts(events[0]); s != plainText(what) {
			t.Errorf("%q came back as %q", what, s)
		}
	})
}
