package report

import (
	"bytes"
	"encoding/csv"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"henyear/measure"
	"henyear/plan"
)

func golden(t *testing.T, name, got string) {
	t.Helper()
	if *update {
		os.WriteFile(name, []byte(got), 0o644)
		return
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != got {
		t.Errorf("%s has changed; look at it, then run with -update:\n%s", name, got)
	}
}

func TestAPlanFitsATerminalOfEightyColumns(t *testing.T) {
	var b bytes.Buffer
	if err := PlanText(&b, readPlan(t), 80); err != nil {
		t.Fatal(err)
	}
	narrowEnough(t, b.String(), 80)
	golden(t, "testdata/plan.txt", b.String())
}

func TestBreedsFitATerminalOfEightyColumns(t *testing.T) {
	for _, u := range []measure.Units{measure.Metric, measure.US} {
		var b bytes.Buffer
		if err := BreedsText(&b, readBreeds(t), measure.Currency{Code: "EUR", Exponent: 2}, u, 80); err != nil {
			t.Fatal(err)
		}
		narrowEnough(t, b.String(), 80)
		if u == measure.Metric {
			golden(t, "testdata/breeds.txt", b.String())
		}
	}
}

func narrowEnough(t *testing.T, text string, width int) {
	t.Helper()
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		if utf8.RuneCountInString(line) > width || strings.HasSuffix(line, " ") {
			t.Errorf("%d columns: %q", utf8.RuneCountInString(line), line)
		}
	}
	if strings.Contains(text, "%!") || strings.Contains(text, "[text") {
		t.Error("a text has a gap")
	}
}

func TestAnEmptyPlanIsWrittenWithoutPanic(t *testing.T) {
	var b bytes.Buffer
	if err := PlanText(&b, &plan.Plan{}, 0); err != nil {
		t.Fatal(err)
	}
	if err := BreedsText(&b, nil, measure.Currency{}, measure.US, 0); err != nil {
		t.Fatal(err)
	}
}

func TestANameThatLooksLikeAFormulaIsTamedInASpreadsheet(t *testing.T) {
	for _, name := range []string{"=1+1", "+49", "-2", "@x", "\tx"} {
		list := readBreeds(t)[:1]
		list[0].Name = name
		var b bytes.Buffer
		if err := BreedsCSV(&b, list, measure.Currency{Code: "EUR", Exponent: 2}); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil || len(rows) != 2 || rows[1][1] != "'"+name {
			t.Errorf("%q became %q, %v", name, rows[1][1], err)
		}
	}
}

func TestWeeksForASpreadsheetAreNumbersWithAPoint(t *testing.T) {
	var b bytes.Buffer
	p := readPlan(t)
	if err := WeeksCSV(&b, p); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != len(p.Weeks)+1 {
		t.Fatal(len(rows), err)
	}
	if rows[1][0] != "2026-W02" || rows[1][1] != "2026-01-05" || strings.ContainsAny(rows[1][2], ", \u202f") {
		t.Errorf("%q", rows[1])
	}
}

func TestFiguresAreWrittenForReaders(t *testing.T) {
	for got, want := range map[string]string{
		Number(1234567.4, 0): "1\u202f234\u202f567", Number(-1204.5, 1): "−1\u202f204.5", Number(-0.2, 0): "0", Number(999, 0): "999",
		Percent(0.0157): "1.6\u00a0%", Percent(0.5): "50\u00a0%", Hours(9.1): "9 h 6 min", Hours(7.999): "8 h 0 min",
		Quantity(measure.US, measure.MassKg, 1, 1): "2.2\u00a0lb",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestEveryWordOfTheReportIsUsed(t *testing.T) {
	used := ""
	entries, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".go") && !strings.HasSuffix(e.Name(), "_test.go") {
			b, err := os.ReadFile(e.Name())
			if err != nil {
				t.Fatal(err)
			}
			used += string(b)
		}
	}
	for code := range english {
		built := strings.HasPrefix(code, "from.") || strings.HasPrefix(code, "fate.") || strings.HasPrefix(code, "gap.")
		if !built && !strings.Contains(used, `"`+code+`"`) {
			t.Errorf("nobody says %s", code)
		}
	}
}
