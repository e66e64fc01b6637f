package report

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"

	"henyear/daybook"
	"henyear/measure"
	"henyear/plan"
)

// RFC 4180: lines end with CR LF and all have the same number of cells; read
// here by encoding/csv.
func TestEveryTableIsWrittenAsTheStandardHasItAndAsBefore(t *testing.T) {
	in := wholeInput(t, "EUR", measure.Metric)
	in.Plan.Weeks = in.Plan.Weeks[:8]
	in.Odds.Weeks = in.Odds.Weeks[:8]
	in.Breeds = in.Breeds[:4]
	var all strings.Builder
	for _, g := range Grids(in) {
		var b bytes.Buffer
		if err := g.CSV(&b); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		if strings.Count(text, "\r\n") != len(g.Rows)+1 || strings.HasPrefix(text, "\ufeff") {
			t.Errorf("%s: %d lines, %d rows", g.Name, strings.Count(text, "\r\n"), len(g.Rows))
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil || len(rows) != len(g.Rows)+1 {
			t.Errorf("%s: %d rows, %v", g.Name, len(rows), err)
		}
		for i, name := range rows[0] {
			if name != g.Fields[i].Name || strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789_") != "" {
				t.Errorf("%s: heading %q", g.Name, name)
			}
		}
		all.WriteString(g.Name + ".csv\n" + strings.ReplaceAll(text, "\r\n", "\n") + "\n")
	}
	golden(t, "testdata/tables/all.txt", all.String())
	if len(Grids(in)) != len(GridNames()) {
		t.Errorf("%d of %d tables", len(Grids(in)), len(GridNames()))
	}
}

// The figures of a table are those of the plan, with all their digits: a reader
// of the CSV has what a reader of the JSON has.
func TestFiguresOfATableAreWhole(t *testing.T) {
	p := &plan.Plan{Currency: measure.Currency{Code: "KWD", Exponent: 3}, Weeks: []plan.WeekRow{{Week: "2026-W02", EggsExpected: 1.0 / 3, Hens: math.Copysign(0, -1), Money: -1234567}}}
	var b bytes.Buffer
	if err := WeeksCSV(&b, p); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	row := map[string]string{}
	for i, name := range rows[0] {
		row[name] = rows[1][i]
	}
	if x, err := strconv.ParseFloat(row["eggs_expected"], 64); err != nil || x != 1.0/3 {
		t.Error(row["eggs_expected"])
	}
	if row["hens"] != "0" || row["money"] != "-1234.567" || row["date"] != "" {
		t.Errorf("%v", row)
	}
}

func TestNoTextOfATableIsAFormula(t *testing.T) {
	in := wholeInput(t, "EUR", measure.Metric)
	for _, text := range odd {
		in.Breeds[0].Name, in.Plan.Tasks[0].Text, in.Plan.Batches[0].BreedName = text, text, text
		for _, name := range []string{"breeds", "tasks", "batches"} {
			g, _ := GridNamed(in, name)
			var b bytes.Buffer
			if err := g.CSV(&b); err != nil {
				t.Fatal(err)
			}
			want := strings.ReplaceAll(daybook.Guarded(text), `"`, `""`)
			if !strings.Contains(b.String(), want) {
				t.Errorf("%s: %q is not guarded", name, text)
			}
		}
	}
}
