package report

import (
	"encoding/json"
	"os"
	"testing"

	"henyear/climate"
	"henyear/plan"
)

// readPlan reads a made-up plan for a holding at 52 N.
func readPlan(t testing.TB) *plan.Plan {
	t.Helper()
	p := new(plan.Plan)
	readJSON(t, "testdata/plan.json", p)
	return p
}

func readBreeds(t testing.TB) []plan.BreedYear {
	t.Helper()
	var list []plan.BreedYear
	readJSON(t, "testdata/breeds.json", &list)
	return list
}

func readYear(t testing.TB) climate.Year {
	t.Helper()
	var y climate.Year
	readJSON(t, "testdata/year.json", &y)
	return y
}

func readJSON(t testing.TB, name string, into any) {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}
