package holding

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"henyear/source"
)

var (
	partHeading = regexp.MustCompile("^## `\\[+([a-z_]+)\\]+`$")
	fieldRow    = regexp.MustCompile("^\\| `([a-z0-9_]+)` \\|.*\\| ([a-z_]*) ?\\|$")
)

// documented reads the tables of docs/holding-file.md: part, fields, and the
// sources of their defaults.
func documented(t *testing.T) (fields map[string][]string, text string) {
	t.Helper()
	data, err := os.ReadFile("../docs/holding-file.md")
	if err != nil {
		t.Fatal(err)
	}
	fields = map[string][]string{}
	part := ""
	for line := range strings.Lines(string(data)) {
		line = strings.TrimSpace(line)
		if m := partHeading.FindStringSubmatch(line); m != nil {
			part = m[1]
		}
		if !strings.HasPrefix(line, "| `") {
			continue
		}
		m := fieldRow.FindStringSubmatch(line)
		if m == nil {
			t.Errorf("this row names no field: %s", line)
			continue
		}
		fields[part] = append(fields[part], m[1])
		if _, ok := source.Lookup(m[2]); m[2] != "" && !ok {
			t.Errorf("%s names the source %q, which is not in the bibliography", m[1], m[2])
		}
		if strings.Contains(line, "told") && m[2] == "" {
			t.Errorf("the default of %s has no source", m[1])
		}
	}
	return fields, string(data)
}

// understood lists the fields that the reader asks for.
func understood(t *testing.T) map[string][]string {
	t.Helper()
	text := small(t) + "\n[[away]]\nfrom = 2027-05-01\nto = 2027-05-02\n[[egg_sale]]\ndozens_per_week = 1\nprice_per_dozen = 3\n" +
		"[[bird_sale]]\nkind = \"pullet\"\nper_year = 1\nprice = 20\n"
	root, faults := parseDocument([]byte(text), "all.toml")
	r := &reading{file: "all.toml", known: map[string][]string{}, problems: faults}
	top := &section{reading: r, node: root}
	top.formatKnown()
	top.holding()
	if len(r.problems) > 0 {
		t.Fatal(r.problems)
	}
	return r.known
}

func TestEveryFieldIsInTheManualAndNoOther(t *testing.T) {
	manual, _ := documented(t)
	known := understood(t)
	for part, keys := range known {
		for _, key := range keys {
			if !slices.Contains(manual[part], key) {
				t.Errorf("the manual lacks %s of part %q", key, part)
			}
		}
	}
	for part, keys := range manual {
		for _, key := range keys {
			if !slices.Contains(known[part], key) {
				t.Errorf("the manual has %s of part %q, which nobody reads", key, part)
			}
		}
	}
}

func TestFileInTheManualCanBeRead(t *testing.T) {
	_, text := documented(t)
	_, rest, _ := strings.Cut(text, "```toml\n")
	block, _, found := strings.Cut(rest, "```")
	if !found {
		t.Fatal("the manual shows no file")
	}
	mustRead(t, block)
}

// rowOf finds what the manual says of a field.
func rowOf(text, part, key string) string {
	_, rest, _ := strings.Cut(text, "["+part+"]")
	_, row, _ := strings.Cut(rest, "| `"+key+"` |")
	row, _, _ = strings.Cut(row, "\n")
	return row
}

func TestDefaultsInTheManualAreTheOnesTaken(t *testing.T) {
	_, text := documented(t)
	h, notes := mustRead(t, small(t))
	for key, want := range map[string]bool{
		"means.butcher_days_a_year | 3,":  h.Means.ButcherDaysAYear == 3,
		"means.butcher_birds_a_day | 12,": h.Means.ButcherBirdsADay == 12,
		"means.spare_cocks | 1,":          h.Means.SpareCocks == 1,
		"means.feed_waste_pct | 10,":      h.Means.FeedWaste == 0.10,
		"means.egg_loss_pct | 4,":         h.Means.EggLoss == 0.04,
		"needs.table_bird_min_kg | 1.2,":  h.Needs.TableBirdMinKg == 1.2,
		"needs.short_years_pct | 20,":     h.Needs.RiskShare == 0.20,
		"needs.short_weeks | 2,":          h.Needs.RiskShortWeeks == 2,
	} {
		field, value, _ := strings.Cut(key, " | ")
		part, name, _ := strings.Cut(field, ".")
		if !want || !strings.Contains(rowOf(text, part, name), "| "+value+" told") {
			t.Errorf("%s: the manual or the reader has another default than %s", field, value)
		}
	}
	for _, n := range notes {
		part, name, _ := strings.Cut(n.Field, ".")
		part, _, _ = strings.Cut(part, "[")
		if !strings.Contains(rowOf(text, part, name), "told") {
			t.Errorf("the manual does not say that the default of %s is told", n.Field)
		}
	}
}
