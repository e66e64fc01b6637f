package report

import (
	"bytes"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"henyear/advise"
	"henyear/chance"
	"henyear/measure"
)

// readOdds reads made-up odds of the made-up plan.
func readOdds(t testing.TB) OddsAnswer {
	t.Helper()
	a := OddsAnswer{Format: OddsFormat, Odds: new(chance.Odds), Matters: new(chance.Matters), Surer: new(advise.Surer), Confined: new(advise.Confinement)}
	readJSON(t, "testdata/odds.json", a.Odds)
	readJSON(t, "testdata/matters.json", a.Matters)
	readJSON(t, "testdata/surer.json", a.Surer)
	readJSON(t, "testdata/confined.json", a.Confined)
	return a
}

func oddsDrawings(a OddsAnswer) []Drawing {
	return []Drawing{OddsEggs(a.Odds), OddsCost(a.Odds), OddsLuck(a.Matters), SurerCurve(a.Surer)}
}

func TestOddsFitTerminalsOfSixtyAndEightyColumns(t *testing.T) {
	for _, width := range []int{60, 80, 130} {
		var b bytes.Buffer
		if err := OddsText(&b, readOdds(t), width); err != nil {
			t.Fatal(err)
		}
		narrowEnough(t, b.String(), width)
		if width == 80 {
			said, _, _ := strings.Cut(b.String(), say("odds.sure.title")) // the bibliography is not the report's
			golden(t, "testdata/odds.txt", said)
		}
	}
}

func TestDrawingsOfTheOddsAreTheSameBytesAsBefore(t *testing.T) {
	ids := map[string]bool{}
	for _, d := range oddsDrawings(readOdds(t)) {
		if d.Title == "" || len(d.Desc) < 40 || !strings.HasSuffix(d.Desc, ".") || len(d.Table.Rows) == 0 || d.Table.Caption == "" {
			t.Errorf("%s: title %q, description %q", d.Name, d.Title, d.Desc)
		}
		for _, row := range d.Table.Rows {
			if len(row) != len(d.Table.Head) {
				t.Fatalf("%s: a row of %d cells under %d heads", d.Name, len(row), len(d.Table.Head))
			}
		}
		for w, ending := range map[Width]string{Wide: "-wide.svg", Narrow: "-narrow.svg"} {
			checkSVG(t, d, d.SVG(w), ids)
			golden(t, "testdata/drawings/"+d.Name+ending, string(d.SVG(w)))
		}
	}
}

func TestOddsOfNothingDrawNothingAndDoNotPanic(t *testing.T) {
	none := OddsAnswer{Odds: &chance.Odds{}, Matters: &chance.Matters{}, Surer: &advise.Surer{Chosen: -1, Plain: -1}, Confined: &advise.Confinement{}}
	for _, d := range oddsDrawings(none) {
		if !d.Empty() || len(d.SVG(Wide)) != 0 {
			t.Errorf("%s drew something out of nothing", d.Name)
		}
	}
	if err := OddsText(new(bytes.Buffer), none, 0); err != nil {
		t.Error(err)
	}
}

func TestACurveOfOnePlanWithoutErrorIsStillDrawn(t *testing.T) {
	s := readOdds(t).Surer
	s.Points = s.Points[:1]
	s.Points[0].CashError, s.Points[0].Risk, s.Points[0].RiskError, s.Accepted, s.Chosen, s.Plain = 0, 0, 0, 0, -1, -1
	d := SurerCurve(s)
	checkSVG(t, d, d.SVG(Wide), map[string]bool{})
}

func TestChancesAreSaidAsAKeeperWouldSayThem(t *testing.T) {
	for share, want := range map[float64]string{0: "never seen", 0.001: "hardly ever", 0.004: "1 year in 250", 0.066: "1 year in 15", 0.113: "1 year in 9", 0.19: "1 year in 5",
		0.25: "1 year in 4", 0.3: "3 years in 10", 0.62: "6 years in 10", 0.97: "nearly every year", 1: "nearly every year"} {
		if got := InYears(share); got != want {
			t.Errorf("%v: %q, want %q", share, got, want)
		}
	}
}

func TestWhatWasNeverSeenIsNotCalledImpossible(t *testing.T) {
	row := func(share float64) []string {
		o := &chance.Odds{Replicates: 2000, Chance: []chance.Event{{What: "a cock with a frozen comb", Share: share}}}
		return OddsChances(o).Rows[0]
	}
	if got := row(0); got[2] != "never seen" || got[3] != "0.2" { // three in two thousand
		t.Errorf("%q", got)
	}
	if got := row(1); got[2] != "always" || got[3] != "0.2" {
		t.Errorf("%q", got)
	}
}

func TestARiskTooNearToTheOneAcceptedIsNotDecided(t *testing.T) {
	for r, want := range map[chance.Risk]string{
		{Accepted: 0.2, Share: 0.1, Error: 0.007, Met: true}:   say("odds.risk.met"),
		{Accepted: 0.2, Share: 0.4, Error: 0.01}:               "",
		{Accepted: 0.2, Share: 0.195, Error: 0.008, Met: true}: say("odds.risk.close", "1.6\u00a0%"),
		{Accepted: 0.2, Share: 0.205, Error: 0.008}:            say("odds.risk.close", "1.6\u00a0%"),
	} {
		if got := RiskWords(r); got != want {
			t.Errorf("%+v: %q", r, got)
		}
	}
}

func TestTheManualNamesEveryFieldOfTheOddsAndNoOther(t *testing.T) {
	text, err := os.ReadFile("../docs/json.md")
	if err != nil {
		t.Fatal(err)
	}
	first := regexp.MustCompile("`([^`]+)`")
	types := map[string]reflect.Type{}
	gather(reflect.TypeFor[OddsAnswer](), types)
	for name, kind := range types {
		_, section, _ := strings.Cut(string(text), "\n## "+name+"\n")
		section, _, _ = strings.Cut(section, "\n## ")
		fields := map[string]bool{}
		for line := range strings.Lines(section) {
			if cells := strings.Split(line, "|"); len(cells) > 2 {
				for _, m := range first.FindAllStringSubmatch(cells[1], -1) {
					fields[m[1]] = true
				}
			}
		}
		for i := range kind.NumField() {
			tag, _, _ := strings.Cut(kind.Field(i).Tag.Get("json"), ",")
			if tag != "-" && !fields[tag] {
				t.Errorf("docs/json.md does not explain %s of %s", tag, name)
			}
			delete(fields, tag)
		}
		for field := range fields {
			t.Errorf("docs/json.md explains %s of %s, which is not there", field, name)
		}
	}
}

// gather lists the types that a type's JSON is made of.
func gather(t reflect.Type, into map[string]reflect.Type) {
	switch t.Kind() {
	case reflect.Slice, reflect.Pointer:
		gather(t.Elem(), into)
	case reflect.Struct:
		if t == reflect.TypeFor[measure.Date]() {
			return // written as text
		}
		into[t.Name()] = t
		for i := range t.NumField() {
			if t.Field(i).Tag.Get("json") != "-" {
				gather(t.Field(i).Type, into)
			}
		}
	}
}

func TestTheManualNamesEveryEventCauseAndSentenceOfTheOdds(t *testing.T) {
	manual, err := os.ReadFile("../docs/json.md")
	if err != nil {
		t.Fatal(err)
	}
	named := regexp.MustCompile(`(?:say\(|Code: |\{[a-zA-Z]+, )"([a-z_]+)"`)
	for _, file := range []string{"words.go", "summary.go", "matters.go"} {
		text, err := os.ReadFile("../chance/" + file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range named.FindAllStringSubmatch(string(text), -1) {
			if !strings.Contains(string(manual), "`"+m[1]+"`") {
				t.Errorf("docs/json.md does not name %s", m[1])
			}
		}
	}
}
