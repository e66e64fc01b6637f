package report

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"henyear/daybook"
	"henyear/examples"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
)

// wholeInput is everything that a workbook can hold, for an invented household.
func wholeInput(t testing.TB, code string, u measure.Units) WorkbookInput {
	t.Helper()
	c, err := measure.CurrencyOf(code)
	if err != nil {
		t.Fatal(err)
	}
	text, err := examples.Get(examples.Demo)
	if err != nil {
		t.Fatal(err)
	}
	h, _, err := holding.ReadOn(text, "example", measure.Date{Year: 2026, Month: 1, Day: 1})
	if err != nil {
		t.Fatal(err)
	}
	h.Currency, h.Units = c, u
	p := readPlan(t)
	p.Currency = c
	o := readOdds(t).Odds
	o.Currency = c
	return WorkbookInput{Holding: h, Plan: p, Odds: o, Breeds: readBreeds(t), Book: aBook(t, "Ann"), Version: "test"}
}

// aBook is a daybook from the middle of a month to the end of another.
func aBook(t testing.TB, author string) *daybook.Book {
	t.Helper()
	var events []daybook.Event
	group := daybook.ID{9}
	write := func(text string, p daybook.Payload) {
		d, err := measure.ParseDate(text)
		if err != nil {
			t.Fatal(err)
		}
		id := daybook.ID{1, byte(len(events) >> 8), byte(len(events))}
		e, err := daybook.New(id, d, time.Date(2026, 4, 2, 3, 4, 5, 0, time.UTC), daybook.ID{}, author, p)
		if err != nil {
			t.Fatal(err)
		}
		events = append(events, e)
	}
	write("2026-01-12", &daybook.Group{Group: group, Name: "=Old hens", Sex: "hens"})
	write("2026-01-12", &daybook.BirdsIn{Group: group, Number: 9, How: "bought", PaidMinor: 9000, From: "a neighbour, \"Jo\""})
	for d := 12; d < 80; d++ {
		write(measure.Date{Year: 2026, Month: 1, Day: 1}.AddDays(d).String(), &daybook.Eggs{Number: 3 + d%5, Note: "nest\nbox"})
	}
	write("2026-02-03", &daybook.Feed{What: "bought", Feed: "pellets", Kg: 25, PaidMinor: 1475})
	write("2026-02-20", &daybook.EggsOut{Number: 12, How: "sold", ReceivedMinor: 350})
	write("2026-03-02", &daybook.Money{Way: "out", AmountMinor: 1200, For: "bedding"})
	write("2026-03-04", &daybook.Weighing{Group: group, EachG: []float64{2410, 2555.5}})
	write("2026-03-05", &daybook.Butchered{Group: group, Number: 2, Each: []daybook.Carcass{{LiveG: 2500, DressedG: 1700}, {LiveG: 2300, DressedG: 1550}}})
	write("2026-03-06", &daybook.BirdsOut{Group: group, Number: 1, How: "taken", Predator: "fox"})
	write("2026-03-31", &daybook.Note{Text: "a note"})
	return daybook.Replay(events, measure.Date{})
}

func workbook(t testing.TB, in WorkbookInput) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Workbook(&b, in); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// parts opens a workbook and reads every part as XML to its end.
func parts(t *testing.T, file []byte) map[string]string {
	t.Helper()
	r, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		t.Fatal(err)
	}
	list := map[string]string{}
	for _, f := range r.File {
		if !f.Modified.IsZero() && f.Modified.Year() > 1980 {
			t.Errorf("%s bears the time %v", f.Name, f.Modified)
		}
		from, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(from)
		if err != nil {
			t.Fatal(err)
		}
		list[f.Name] = string(text)
		d := xml.NewDecoder(bytes.NewReader(text))
		for {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Errorf("%s is not well formed: %v", f.Name, err)
				break
			}
		}
	}
	if r.File[0].Name != "[Content_Types].xml" {
		t.Errorf("the first part is %s", r.File[0].Name)
	}
	return list
}

func TestTheSameWorkbookHasTheSameBytes(t *testing.T) {
	in := wholeInput(t, "EUR", measure.Metric)
	first := workbook(t, in)
	for range 4 {
		if !bytes.Equal(workbook(t, in), first) {
			t.Fatal("two workbooks of one plan differ")
		}
	}
}

// Office Open XML keeps macros in vbaProject.bin and links in externalLinks and
// in relationships with an external target (ECMA-376 part 2, 9.3).
func TestAWorkbookHasNoMacrosAndNoLinksAndIsWellFormed(t *testing.T) {
	list := parts(t, workbook(t, wholeInput(t, "USD", measure.US)))
	for name, text := range list {
		if strings.Contains(name, "vba") || strings.Contains(name, "externalLink") || strings.Contains(text, `TargetMode="External"`) {
			t.Errorf("%s points outside", name)
		}
	}
	for _, name := range []string{"_rels/.rels", "xl/workbook.xml", "xl/styles.xml", "xl/worksheets/sheet1.xml", "docProps/core.xml"} {
		if list[name] == "" {
			t.Errorf("there is no %s", name)
		}
	}
}

func TestEveryFormulaIsWrittenWithWhatItComesTo(t *testing.T) {
	count := 0
	for name, text := range parts(t, workbook(t, wholeInput(t, "EUR", measure.Metric))) {
		if !strings.HasPrefix(name, "xl/worksheets/") {
			continue
		}
		for _, cell := range strings.Split(text, "<c ")[1:] {
			if !strings.Contains(cell, "<f>") {
				continue
			}
			count++
			if !strings.Contains(cell, "<v>") {
				t.Errorf("%s: %.80s has no figure", name, cell)
			}
		}
	}
	if count < 1000 {
		t.Errorf("only %d formulas", count)
	}
}

// readBack is what testdata/tables/readback.cjs prints of a workbook.
type readBack struct {
	Sheets []struct {
		Name   string
		Frozen int
		Paper  int
		Wide   string
		Titles string
		Rows   [][]any
	}
	Formulas int
	Wrong    []string
	Formats  map[string]int
}

// node runs one of our scripts on a workbook, with exceljs 4.4.0 and
// fast-formula-parser 1.0.19 from npm, which share no code with what wrote it.
func node(t *testing.T, file []byte) readBack {
	t.Helper()
	if _, err := os.Stat("../node_modules/exceljs"); err != nil || exec.Command("node", "--version").Run() != nil {
		if os.Getenv("HENYEAR_CI") != "" {
			t.Fatal("node and its packages are not there; run make test")
		}
		t.Skip("node and its packages are not there")
	}
	name := filepath.Join(t.TempDir(), "book.xlsx")
	if err := os.WriteFile(name, file, 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("node", "testdata/tables/readback.cjs", name)
	var fault bytes.Buffer
	cmd.Stderr = &fault
	text, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, fault.String())
	}
	var back readBack
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	return back
}

func TestAnotherProgramReadsEverySheetAndReckonsEveryFormulaTheSame(t *testing.T) {
	for _, c := range []struct {
		code, format string
		units        measure.Units
		paper        int
	}{{"EUR", `#,##0.00 "EUR"`, measure.Metric, 9}, {"JPY", `#,##0 "JPY"`, measure.Metric, 9}, {"KWD", `#,##0.000 "KWD"`, measure.US, 1}} {
		in := wholeInput(t, c.code, c.units)
		back := node(t, workbook(t, in))
		for _, wrong := range back.Wrong {
			t.Errorf("%s: %s", c.code, wrong)
		}
		if back.Formulas < 1000 || back.Formats[c.format] < 100 || back.Formats[`yyyy-mm-dd`] < 100 {
			t.Errorf("%s: %d formulas, formats %v", c.code, back.Formulas, back.Formats)
		}
		if len(back.Sheets) != 22 {
			t.Errorf("%d sheets", len(back.Sheets))
		}
		for i, s := range back.Sheets {
			if s.Paper != c.paper || s.Wide != "landscape" || i > 0 && (s.Frozen != headRows || s.Titles != "3:3") {
				t.Errorf("%s: paper %d %s, frozen %d, titles %q", s.Name, s.Paper, s.Wide, s.Frozen, s.Titles)
			}
		}
		checkYears(t, in, back)
	}
}

// checkYears holds what came back against the plan.
func checkYears(t *testing.T, in WorkbookInput, back readBack) {
	t.Helper()
	rows := back.Sheets[1].Rows
	for i, y := range in.Plan.Years {
		row := rows[headRows+i]
		kg, _ := in.Holding.Units.Show(measure.MassKg, y.FeedKg)
		for at, want := range map[int]float64{0: float64(y.Year), 2: y.Eggs, 7: kg, 8: in.Plan.Currency.Amount(y.FeedCost)} {
			if got, _ := row[at].(float64); math.Abs(got-want) > 1e-9*math.Abs(want) {
				t.Errorf("%d, column %d: %v, not %v", y.Year, at, row[at], want)
			}
		}
	}
}

var odd = []string{
	"=1+1", "+49", "-2", "@SUM(A1)", "\t=1", "\r=1", "＝1+1", "＋1", "－1", "＠x", "'x", "=cmd|' /C calc'!A0", "a,b;c", `say "hen"`, "two\nlines", "two\r\nlines",
	"🐔 hen 👩‍👩‍👧", "دجاجة بيضاء", "bell\x07 null\x00 escape\x1b", "_x0041_", "<b>&amp;</b>", " spaces ", "\ufffe\uffff", "bad\xffbytes", "]]>",
}

func TestTextsOfUsersStayTexts(t *testing.T) {
	in := wholeInput(t, "EUR", measure.Metric)
	in.Book, in.Odds, in.Plan.Weeks, in.Plan.Tasks, in.Breeds = nil, nil, nil, nil, in.Breeds[:1]
	texts := append(odd, strings.Repeat("x", 40000), strings.Repeat("🐔", 20000))
	for _, text := range texts {
		in.Plan.Tasks = append(in.Plan.Tasks, plan.Task{On: in.Plan.AsOf, Text: text, Kind: "set"})
	}
	in.Holding.Name, in.Breeds[0].Name = odd[0], odd[1]
	back := node(t, workbook(t, in))
	for _, s := range back.Sheets {
		for i, text := range texts {
			if s.Name == "Work" && s.Rows[headRows+i][5] != cellText(text) {
				t.Errorf("%.40q came back as %.40q", cellText(text), s.Rows[headRows+i][5])
			}
		}
		if s.Name == "About" && s.Rows[2][1] != odd[0] || s.Name == "Breeds" && s.Rows[headRows][1] != odd[1] {
			t.Errorf("%s: %q", s.Name, s.Rows[:4])
		}
	}
	for _, wrong := range back.Wrong {
		t.Error(wrong)
	}
	for name, text := range parts(t, workbook(t, wholeInput(t, "EUR", measure.Metric))) {
		if name == "xl/styles.xml" && !strings.Contains(text, `quotePrefix="1"`) && !strings.Contains(text, `quotePrefix="true"`) {
			t.Error("no style keeps a text a text when it is edited")
		}
	}
}

func TestACellTextIsNeverLongerThanACell(t *testing.T) {
	for _, text := range []string{strings.Repeat("x", 32767), strings.Repeat("x", 32768), strings.Repeat("é", 32767), strings.Repeat("🐔", 16384)} {
		n := 0
		for _, r := range cellText(text) {
			if n++; r > 0xffff {
				n++
			}
		}
		if n > longestCell || n < longestCell-1 {
			t.Errorf("%d", n)
		}
	}
}

func TestATabHasANameThatProgramsTake(t *testing.T) {
	none := func(string) bool { return false }
	for text, want := range map[string]string{"Plan weeks": "Plan weeks", "a/b:c": "a b c", "'x'": "x", "": "_", "history": "history_", strings.Repeat("é", 40): strings.Repeat("é", 31)} {
		if got := tabName(text, none); got != want {
			t.Errorf("%q became %q", text, got)
		}
	}
	if got := tabName("Eggs", func(n string) bool { return n == "Eggs" }); got != "Eggs 2" {
		t.Error(got)
	}
}

func TestAnEmptyPlanMakesAWorkbook(t *testing.T) {
	in := WorkbookInput{Holding: &holding.Holding{}, Plan: &plan.Plan{}}
	if back := node(t, workbook(t, in)); len(back.Wrong) > 0 {
		t.Error(back.Wrong)
	}
	if err := Workbook(io.Discard, WorkbookInput{}); err == nil {
		t.Error("a workbook of nothing")
	}
}

func TestTheWorkbookReportsAFullDisk(t *testing.T) {
	full := errors.New("no room")
	if err := Workbook(failing{full}, wholeInput(t, "EUR", measure.Metric)); !errors.Is(err, full) {
		t.Error(err)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

// wordOfATable reports whether a text is that of a column or a page, which the
// test below looks after.
func wordOfATable(code string) bool {
	for _, start := range []string{"table.", "sheet.", "assumed.", "about."} {
		if strings.HasPrefix(code, start) {
			return true
		}
	}
	return false
}

func TestEveryColumnOfTheWorkbookHasWordsAndNoWordsAreLeftOver(t *testing.T) {
	in := wholeInput(t, "EUR", measure.Metric)
	b, err := newBinder(in.Plan.Currency, in.Holding.Units)
	if err != nil {
		t.Fatal(err)
	}
	used := map[string]bool{"table.eggs_a_week_month": true, "sheet.about": true}
	use := func(f Field) {
		if _, ok := english["table."+f.Name]; !ok && !strings.HasPrefix(f.Name, "eggs_a_week_month") {
			t.Errorf("no words for %s", f.Name)
		}
		used["table."+f.Name] = true
	}
	pages := pagesOf(in, b.newPage)
	for _, p := range pages {
		if strings.HasPrefix(p.title, "[") || strings.HasPrefix(p.note, "[") {
			t.Errorf("%s %s", p.title, p.note)
		}
		for _, f := range p.grid.Fields {
			use(f)
		}
	}
	for _, payload := range []daybook.Payload{&daybook.Eggs{}, &daybook.EggsOut{}, &daybook.BirdsIn{}, &daybook.BirdsOut{}, &daybook.Butchered{}, &daybook.Setting{},
		&daybook.Hatch{}, &daybook.Weighing{}, &daybook.Feed{}, &daybook.Money{}} {
		used["sheet."+payload.Kind()], used["sheet."+payload.Kind()+".note"] = true, true
		for _, f := range payloadFields(reflect.TypeOf(payload).Elem()) {
			use(f)
		}
	}
	text, err := os.ReadFile("workbookpages.go")
	if err != nil {
		t.Fatal(err)
	}
	about, err := os.ReadFile("workbookabout.go")
	if err != nil {
		t.Fatal(err)
	}
	for code := range english {
		start, rest, _ := strings.Cut(code, ".")
		rest = strings.TrimSuffix(strings.TrimSuffix(rest, ".text"), ".note")
		switch start {
		case "table":
			if !used[code] {
				t.Errorf("no column is called %s", code)
			}
		case "assumed":
			if !strings.Contains(string(text), `"`+rest+`"`) && !strings.Contains(string(text), `"assumed.`+rest+`"`) {
				t.Errorf("nobody says %s", code)
			}
		case "about":
			if !strings.Contains(string(about), `"`+rest) && !strings.Contains(string(about), `"about.`+rest) && !strings.HasPrefix(rest, "units.") {
				t.Errorf("nobody says %s", code)
			}
		case "sheet":
			if !slices.ContainsFunc(pages, func(p *leaf) bool { return p.title == english["sheet."+rest] }) && !used[code] {
				t.Errorf("no sheet is called %s", code)
			}
		}
	}
}
