package plan

import (
	"strings"
	"testing"
)

func TestPublishedFiguresAreMetOrKnownToBeMissed(t *testing.T) {
	checks, err := Evidence()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range checks {
		known := strings.HasPrefix(c.Note, "known miss")
		if c.Pass() == known {
			t.Errorf("%s: published %g, computed %.3g, may differ by %g; noted as a known miss: %v", c.ID, c.Published, c.Computed, c.Tolerance, known)
		}
	}
}
