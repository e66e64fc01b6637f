package report

import (
	"bytes"
	"encoding/csv"
	"os"
	"slices"
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
		if err := BreedsText(&b, readBreeds(t), false, measure.Currency{Code: "EUR", Exponent: 2}, u, 80); err != nil {
			t.Fatal(err)
		}
		narrowEnough(t, b.String(), 80)
		if u == measure.Metric {
			golden(t, "testdata/breeds.txt", b.String())
		}
	}
}

func TestEveryFigureOfABreedStandsOnTheTerminal(t *testing.T) {
	b := plan.BreedYear{ID: "sussex", Name: "Sussex", Suits: true, LeanestEggs: 11, BestEggs: 62, DressedKg: 33, Hens: 14, Cocks: 2, Hatched: 45, Bought: 6,
		FeedKg: 1007, FeedCost: 508, Cost: 709, CostPerDozen: 3.11, CostPerKg: 8.12, MinutesAWeek: 113, CombNights: 15, HeatDays: 16, LostRaids: 1.7, RenewsItself: true,
		Verdict: plan.Sentence{Text: "Suits: 14 hens give enough.", Source: "practice"},
		Reasons: []plan.Sentence{{Text: "14 hens give enough", Source: "practice"}, {Text: "33 kg for the table", Source: "guess"}}}
	for _, width := range []int{60, 80, 130} {
		var out bytes.Buffer
		if err := BreedsText(&out, []plan.BreedYear{b}, false, measure.Currency{Code: "EUR", Exponent: 2}, measure.Metric, width); err != nil {
			t.Fatal(err)
		}
		narrowEnough(t, out.String(), width)
		words := strings.Fields(out.String())
		for _, want := range strings.Fields("11 62 33 14 2 45 6 1007 508 709 3.11 8.12 113 15 16 1.7 yes [practice]. [guess].") {
			if !slices.Contains(words, want) {
				t.Errorf("%d columns: no %s in\n%s", width, want, out.String())
			}
		}
	}
}

func TestABreedThatDoesNotSuitGetsOneLineUnlessAllAreAskedFor(t *testing.T) {
	b := plan.BreedYear{ID: "silkie", Name: "Silkie", MinutesAWeek: 137, Verdict: plan.Sentence{Text: "Does not suit: feathered legs cake in wet ground."},
		Reasons: []plan.Sentence{{Text: "feathered legs cake in wet ground", Source: "practice"}}}
	var short, full bytes.Buffer
	BreedsText(&short, []plan.BreedYear{b}, false, measure.Currency{Code: "EUR", Exponent: 2}, measure.Metric, 80)
	BreedsText(&full, []plan.BreedYear{b}, true, measure.Currency{Code: "EUR", Exponent: 2}, measure.Metric, 80)
	if !strings.Contains(short.String(), "- Silkie: feathered legs cake in wet ground [practice].\n") || strings.Contains(short.String(), "137") {
		t.Error(short.String())
	}
	if !strings.Contains(full.String(), "137") {
		t.Error(full.String())
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
	if err := BreedsText(&b, nil, true, measure.Currency{}, measure.US, 0); err != nil {
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
		built := strings.HasPrefix(code, "from.") || strings.HasPrefix(code, "fate.") || strings.HasPrefix(code, "gap.") || strings.HasPrefix(code, "luck.") ||
			wordOfATable(code) || strings.HasPrefix(code, "place.") || strings.HasPrefix(code, "improve.effect.")
		if !built && !strings.Contains(used, `"`+code+`"`) {
			t.Errorf("nobody says %s", code)
		}
	}
}
