package daybook

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"henyear/measure"
)

var today = ImportOptions{Today: day("2026-11-25")}

func preview(t *testing.T, file string, o ImportOptions) *Preview {
	t.Helper()
	p, err := PreviewImport([]byte(file), o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// lines describes the records of a preview.
func (p *Preview) lines() []string {
	var list []string
	names := Names{Groups: map[ID]string{}}
	for _, e := range p.Events {
		if g, err := Decode(e); err == nil && e.Kind == "group" {
			names.Groups[g.(*Group).Group] = g.(*Group).Name
		}
	}
	for _, e := range p.Events {
		list = append(list, e.HappenedOn.String()+" "+Describe(e, names).Text)
	}
	return list
}

func questions(p *Preview) []string {
	var codes []string
	for _, q := range p.Questions {
		codes = append(codes, q.Code)
	}
	return codes
}

func TestAPlainTableOfEggsBecomesRecords(t *testing.T) {
	p := preview(t, "Date,Eggs,Notes\n2026-03-01,7,first warm day\n2026-03-02,0,\n2026-03-03,,\n", today)
	want := []string{"2026-03-01 7 eggs.", "2026-03-01 Note: first warm day", "2026-03-02 0 eggs."}
	if !slices.Equal(p.lines(), want) || len(p.Questions) != 0 {
		t.Errorf("%v %v", p.lines(), p.Questions)
	}
	if len(p.Refused) != 1 || p.Refused[0].Line != 4 || !strings.Contains(p.Refused[0].Error(), "nothing to write down") {
		t.Errorf("%v", p.Refused)
	}
	if p.Encoding != UTF8 || p.Delimiter != "," || !p.Header || p.Columns[1].Confidence != Sure {
		t.Errorf("%+v", p)
	}
}

func TestDatesInFiguresAreDecidedByTheUnmistakableOnes(t *testing.T) {
	for _, c := range []struct{ file, order, want string }{
		{"Date,Eggs\n3/4/26,7\n13/4/26,5\n", DayFirst, "2026-04-03 7 eggs."},
		{"Date,Eggs\n3/4/26,7\n3/14/26,5\n", MonthFirst, "2026-03-04 7 eggs."},
		{"Datum;Eier\n4.3.2026;7\n31.3.2026;5\n", DayFirst, "2026-03-04 7 eggs."},
		{"Date,Eggs\n26-03-04,7\n26-03-31,5\n", YearFirst, ""},
	} {
		p := preview(t, c.file, today)
		if c.want == "" { // the year first or last: two readings are left
			if !slices.Equal(questions(p), []string{"date-order"}) {
				t.Errorf("%q: %v", c.file, p.Questions)
			}
			continue
		}
		if p.DateOrder != c.order || len(p.Questions) > 0 || len(p.Events) != 2 || p.lines()[0] != c.want {
			t.Errorf("%q: %s %v %v", c.file, p.DateOrder, p.lines(), p.Questions)
		}
	}
}

func TestDatesThatCanBeReadTwoWaysAreAskedAndNeverGuessed(t *testing.T) {
	file := "Date,Eggs\n1/3/26,7\n2/3/26,5\n3/3/26,5\n"
	p := preview(t, file, today)
	if !slices.Equal(questions(p), []string{"date-order"}) || p.Questions[0].Likely != DayFirst || !slices.Equal(p.Questions[0].Choices, []string{DayFirst, MonthFirst}) {
		t.Fatalf("%+v", p.Questions)
	}
	if len(p.Events) != 1 || p.lines()[0] != "2026-03-03 5 eggs." {
		t.Errorf("only 3/3/26 is beyond doubt: %v", p.lines())
	}
	o := today
	o.DateOrder = MonthFirst
	if p = preview(t, file, o); len(p.Questions) > 0 || p.lines()[0] != "2026-01-03 7 eggs." {
		t.Errorf("%v", p.lines())
	}
	// A column in which both orders are proved is asked, too, and the others refused.
	p = preview(t, "Date,Eggs\n13/4/26,7\n4/14/26,5\n4/5/26,5\n", today)
	if !slices.Equal(questions(p), []string{"date-order"}) || len(p.Events) != 2 {
		t.Errorf("%v %v", questions(p), p.lines())
	}
}

func TestDatesInWordsAndMonthsAreRead(t *testing.T) {
	for cell, want := range map[string]string{
		"4 Mar 2026": "2026-03-04", "Mar 4, 2026": "2026-03-04", "Wednesday, March 4th, 2026": "2026-03-04", "4. März 2026": "2026-03-04", "4 de marzo de 2026": "2026-03-04",
		"2026-03-04": "2026-03-04", "2026/3/4": "2026-03-04", "20260304": "2026-03-04", "2026-03-04 18:30": "2026-03-04", "2026-03-04T18:30:00": "2026-03-04", "4 Mar 26": "2026-03-04",
		"Nov 2010": "2010-11-30", "2010-11": "2010-11-30", "11/2010": "2010-11-30", "1er août 2025": "2025-08-01",
	} {
		r, err := dateReader{today: day("2026-11-25")}.read(cell)
		if err != nil || r.date != day(want) {
			t.Errorf("%q: %v %v, want %s", cell, r.date, err, want)
		}
	}
	for cell, why := range map[string]string{
		"Total": "not a date", "14 Oct 1066": "1066", "2026-02-30": "no such day", "2027-01-01": "future", "45355": "spreadsheet", "4 Mar": "no year", "2026-13": "neither a day nor a month",
		"Nov 2026": "not over", "31/31/26": "cannot be a date", "": "not a date", "12:30": "not a date", strings.Repeat("1 ", 5000): "not a date", "4/3/2026/5": "not a date", "1/1/1": "", "-5": "not a date",
	} {
		_, err := dateReader{today: day("2026-11-25")}.read(cell)
		if why == "" {
			continue
		}
		if err == nil || !strings.Contains(err.Error(), why) || len(err.Error()) > 300 {
			t.Errorf("%.40q: %v, want %q", cell, err, why)
		}
	}
}

func TestNumbersAreReadWithTheirSignsAndUnits(t *testing.T) {
	for cell, want := range map[string]readNumber{
		"7": {value: 7}, "1,5": {value: 1.5, proves: ','}, "1.5": {value: 1.5, proves: '.'}, "1,234.5": {value: 1234.5, proves: '.'}, "1.234,5": {value: 1234.5, proves: ','},
		"1 234": {value: 1234}, "1'234.50": {value: 1234.5, proves: '.'}, "25 kg": {value: 25, unit: "kg"}, "€ 4,50": {value: 4.5, proves: ','}, "$1,234,567": {value: 1234567, proves: '.'},
		"4 lb 8 oz": {value: 4.5, unit: "lb"}, "12 eggs": {value: 12}, "0,125": {value: 0.125, proves: ','}, ".5": {value: 0.5, proves: '.'},
		"1,234": {value: 1.234, comma: true, other: 1234}, "1.234": {value: 1.234, point: true, other: 1234}, "2.5 dozen": {value: 2.5, unit: "dozen", proves: '.'},
	} {
		if got, err := parseNumber(cell); err != nil || got != want {
			t.Errorf("%q: %+v %v, want %+v", cell, got, err, want)
		}
	}
	for _, cell := range []string{"NaN", "Inf", "1e9", "0x10", "six", "-3", "1,2,3", "1.2.3.4", "12 34", "1..2", "7 kg?", strings.Repeat("9", 30), strings.Repeat("9", 400), "٣", "5 cats"} {
		if got, err := parseNumber(cell); err == nil {
			t.Errorf("%q was read as %v", cell, got.value)
		}
	}
}

func TestCommaDecimalsAreDecidedByTheColumnOrAsked(t *testing.T) {
	o := today
	o.Currency, _ = measure.CurrencyOf("EUR")
	p := preview(t, "Datum;Eier;Futter gekauft (kg);Futterkosten\n1.3.2026;7;25,5;14,20 €\n31.3.2026;1.200;1,234;12,00 €\n", o)
	want := []string{"2026-03-01 7 eggs.", "2026-03-01 25.5 kg of feed bought, for 14.20.", "2026-03-31 1200 eggs.", "2026-03-31 1.2 kg of feed bought, for 12.00."}
	if !slices.Equal(p.lines(), want) || len(p.Questions) > 0 {
		t.Errorf("%q %v %v", p.lines(), p.Questions, p.Refused)
	}
	p = preview(t, "Date,Feed kg\n2026-03-01,\"1,234\"\n", today)
	if !slices.Equal(questions(p), []string{"decimal"}) || len(p.Events) != 0 || !strings.Contains(p.Refused[0].Error(), "waits for an answer") {
		t.Errorf("%v %v", questions(p), p.lines())
	}
	o.Decimal = "."
	if p = preview(t, "Date,Feed kg\n2026-03-01,\"1,234\"\n", o); !slices.Equal(p.lines(), []string{"2026-03-01 1234.0 kg of feed opened."}) {
		t.Errorf("%v", p.lines())
	}
}

func TestUnitsComeFromCellHeadingOrAnswer(t *testing.T) {
	for file, want := range map[string]string{
		"Date,Feed (lb)\n2026-03-01,100\n": "45.4 kg", "Date,Feed\n2026-03-01,100 lbs\n": "45.4 kg", "Date,Feed used kg\n2026-03-01,100\n": "100.0 kg",
	} {
		if p := preview(t, file, today); len(p.Events) != 1 || !strings.Contains(p.lines()[0], want) {
			t.Errorf("%q: %v %v", file, p.lines(), p.Refused)
		}
	}
	file := "Date,Feed\n2026-03-01,100\n"
	if p := preview(t, file, today); !slices.Equal(questions(p), []string{"units"}) || len(p.Events) > 0 {
		t.Errorf("%v", p.lines())
	}
	o := today
	o.Units = measure.US
	if p := preview(t, file, o); !strings.Contains(p.lines()[0], "45.4 kg") {
		t.Errorf("%v", p.lines())
	}
	if p := preview(t, "Date,Eggs (dozen)\n2026-03-01,2.5\n", today); p.lines()[0] != "2026-03-01 30 eggs." {
		t.Errorf("%v", p.lines())
	}
}

func TestEncodingsAreFoundAndSaid(t *testing.T) {
	text := "Datum;Eier;Bemerkung\n2026-03-01;7;schöner Tag\n"
	utf16Of := func(mark bool, big bool) []byte {
		units := utf16.Encode([]rune(text))
		if mark {
			units = append([]uint16{0xfeff}, units...)
		}
		var b []byte
		for _, u := range units {
			if big {
				b = append(b, byte(u>>8), byte(u))
			} else {
				b = append(b, byte(u), byte(u>>8))
			}
		}
		return b
	}
	latin := []byte(strings.ReplaceAll(text, "ö", "\xf6"))
	for want, files := range map[string][][]byte{
		UTF8: {[]byte(text)}, UTF8Marked: {[]byte("\ufeff" + text)}, UTF16LE: {utf16Of(true, false), utf16Of(false, false)}, UTF16BE: {utf16Of(true, true), utf16Of(false, true)}, Latin1: {latin},
	} {
		for _, file := range files {
			p, err := PreviewImport(file, today)
			if err != nil || p.Encoding != want || len(p.Events) != 2 || p.lines()[1] != "2026-03-01 Note: schöner Tag" {
				t.Errorf("%s: %v %+v", want, err, p)
			}
			if said := err == nil && len(p.Notes) > 0; said != (want == Latin1) {
				t.Errorf("%s: %+v", want, p.Notes)
			}
		}
	}
}

func TestDelimitersAreFound(t *testing.T) {
	for _, d := range delimiters {
		file := strings.ReplaceAll("Date;Eggs;Note\n2026-03-01;7;a, b | c\n2026-03-02;8;\"d; e\"\n", ";", string(d))
		file = strings.ReplaceAll(file, "a, b | c", "\"a, b | c\"")
		if p := preview(t, file, today); p.Delimiter != string(d) || len(p.Events) != 4 {
			t.Errorf("%q: %q %v", d, p.Delimiter, p.lines())
		}
	}
}

func TestFilesThatAreNoTablesAreRefusedWithASentence(t *testing.T) {
	binary := make([]byte, 5000)
	for i := range binary {
		binary[i] = byte(i * 7)
	}
	for name, c := range map[string]struct {
		file []byte
		want string
	}{
		"empty":       {nil, "empty"},
		"spreadsheet": {[]byte("PK\x03\x04rest"), "save it as CSV"},
		"picture":     {append([]byte("\x89PNG\r\n"), binary...), "not a table of text"},
		"huge":        {make([]byte, MostFileBytes+1), "cut it by years"},
		"blank lines": {[]byte("\n\n,,,\n"), "no lines"},
		"one cell":    {[]byte("\"" + strings.Repeat("x", 100_000)), "quotation mark"},
		"wide":        {[]byte(strings.Repeat(",", 5000)), "columns"},
	} {
		if p, err := PreviewImport(c.file, today); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v %+v", name, err, p)
		}
	}
}

func TestImportingTwiceChangesNothing(t *testing.T) {
	file := "Date,Eggs,Group\n2026-03-01,7,Old hens\n2026-03-01,7,Old hens\n2026-03-02,8,Old hens\n"
	first := preview(t, file, today)
	if len(first.Events) != 4 || first.Lines[1].Twice != 2 || len(first.Refused) != 0 {
		t.Fatalf("%v %+v", first.lines(), first.Lines)
	}
	later := today
	later.Today = day("2026-11-30")
	if again := preview(t, file, later); fmt.Sprint(again.Events) != fmt.Sprint(first.Events) {
		t.Error("the second import makes other records")
	}
	later.Existing = first.Events
	// The table went on: only the new line is new, whatever stands before it.
	again := preview(t, "Date,Eggs,Group\n2026-02-28,4,Old hens\n2026-03-01,7,Old hens\n2026-03-01,7,Old hens\n2026-03-02,8,Old hens\n2026-03-03,9,Old hens\n", later)
	if len(again.Events) != 2 || again.Known != 3 {
		t.Errorf("%v, %d known", again.lines(), again.Known)
	}
	b := Replay(append(slices.Clone(first.Events), first.Events...), measure.Date{})
	if len(b.Records) != 4 {
		t.Errorf("%d records", len(b.Records))
	}
}

func TestLinesAreReadOrRefusedWithTheirNumberAndReason(t *testing.T) {
	p := preview(t, "My hens 2026\n\nDate,Eggs,Died\n2026-03-01,7,0\n2026-03-02,7.5,\n2026-03-03,NaN,\nTotal,14,\n1066-10-14,3,\n2026-03-04,999999999,\n2026-03-05,\"8\n9\",\n2026-03-07,5,1\n", today)
	if len(p.Lines) != 1 || p.Lines[0].Line != 4 {
		t.Errorf("%+v", p.Lines)
	}
	var got []string
	for _, r := range p.Refused {
		got = append(got, r.Error())
	}
	want := []string{"line 1: this stands above", "line 5: Eggs: 7.5 is not a whole number", "line 6: Eggs: \"NaN\" is not a number", "line 7: \"Total\" is not a date",
		"line 8: \"1066-10-14\" cannot be a date", "line 9: Eggs: 999999999 is more", "line 10: Eggs: ", "line 12: Died: say to which group"}
	for i, w := range want {
		if i >= len(got) || !strings.HasPrefix(got[i], w) {
			t.Fatalf("%d: got %q\nwant %q", i, got, want)
		}
	}
}

func TestMonthlyTablesCoverTheirMonths(t *testing.T) {
	o := today
	o.FromCounts = true
	p := preview(t, "Month,Hens,Eggs\nNov 2010,315,3363\nDec 2010,315,4236\n", o)
	b := Replay(p.Events, day("2010-12-31"))
	m, _ := b.MeasureOf(HenDayPct, Period{From: day("2010-12-01"), Through: day("2010-12-31")}, Scope{})
	if !m.Stated || measure.Round(m.Value, 1) != "43.4" {
		t.Errorf("%+v %v", m, p.lines())
	}
	if len(b.Differences()) != 0 {
		t.Errorf("%+v", b.Differences())
	}
	if p = preview(t, "Month,Hens,Eggs\nNov 2010,315,3363\n", today); !slices.ContainsFunc(p.Notes, func(s Sentence) bool { return s.Code == "flock-from-counts" }) {
		t.Errorf("%+v", p.Notes)
	}
}

func TestColumnsThatLookAlikeAreAskedAndTheAnswerIsObeyed(t *testing.T) {
	file := "Date,Eggs north,Eggs south,Cumulative\n2026-03-01,3,4,7\n"
	p := preview(t, file, today)
	if !slices.Contains(questions(p), "two-columns") || len(p.Events) != 0 {
		t.Fatalf("%v %v", questions(p), p.lines())
	}
	o := today
	o.Columns = map[string]ColumnChoice{"Eggs north": {Field: "eggs", Pen: "north"}, "Eggs south": {Field: "eggs", Pen: "south"}}
	p = preview(t, file, o)
	slices.Sort(p.lines())
	got := p.lines()
	slices.Sort(got)
	if !slices.Equal(got, []string{"2026-03-01 3 eggs from pen north.", "2026-03-01 4 eggs from pen south."}) || len(p.Questions) != 0 {
		t.Errorf("%v %v", got, p.Questions)
	}
}

func TestTablesWithoutAHeadingAreAskedForTheirColumns(t *testing.T) {
	file := "2026-03-01,7\n2026-03-02,8\n"
	p := preview(t, file, today)
	if !slices.Equal(questions(p), []string{"nothing-known"}) || p.Header || p.Columns[0].Field != "date" {
		t.Fatalf("%v %+v", questions(p), p.Columns)
	}
	o := today
	o.Columns = map[string]ColumnChoice{"column 2": {Field: "eggs"}}
	if p = preview(t, file, o); len(p.Events) != 2 {
		t.Errorf("%v", p.lines())
	}
}

func TestADailySheetOfAKeeperIsUnderstood(t *testing.T) {
	o := today
	o.Group = "Sussex"
	p := preview(t, "Day;Eggs collected;Cracked;Hens;Deaths;Taken;Predator;Feed bought (kg);Feed cost;Eggs sold;Egg money;Expenses;Item;Remarks\n"+
		"01.03.2026;14;1;20;1;;;25;13,50;12;3,00;4,20;bedding;\"cold; windy\"\n31.03.2026;16;;19;;2;fox;;;;;;;\n", o)
	want := []string{
		"2026-03-01 Group Sussex, hens, from old records.", "2026-03-01 14 eggs from Sussex, 1 more broken.", "2026-03-01 12 eggs sold, for 3.00.", "2026-03-01 25.0 kg of feed bought, for 13.50.",
		"2026-03-01 1 bird of Sussex died.", "2026-03-01 Counted 20 hens in Sussex.", "2026-03-01 4.20 spent on bedding.", "2026-03-01 Note: cold; windy",
		"2026-03-31 16 eggs from Sussex.", "2026-03-31 2 birds of Sussex taken (fox).", "2026-03-31 Counted 19 hens in Sussex.",
	}
	if got := p.lines(); !slices.Equal(got, want) || len(p.Questions) > 0 {
		t.Errorf("got  %q\nwant %q\n%v %v", got, want, p.Questions, p.Refused)
	}
}

func TestEveryWordOfAHeadingLeadsToOneField(t *testing.T) {
	for _, row := range dataRows("data/fields.csv") {
		for _, heading := range strings.Split(row[1], ";") {
			if got := vocabulary().fields[headingWords(heading)]; got != row[0] {
				t.Errorf("%q stands for %s and for %s", heading, row[0], got)
			}
		}
	}
}
