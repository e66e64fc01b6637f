package calendar

import "testing"

func TestTheDaysOfTheTablesAreThoseOfThePublishedLists(t *testing.T) {
	checks, err := Evidence()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range checks {
		if !c.Pass() {
			t.Errorf("%s: %s: published %g (%s), here %g, may differ by %g", c.ID, c.What, c.Published, c.Source, c.Computed, c.Tolerance)
		}
	}
	if len(checks) < 50 {
		t.Errorf("only %d checks", len(checks))
	}
}
