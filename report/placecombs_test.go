package report

import (
	"bytes"
	"strings"
	"testing"
)

// The comb model cannot tell sizes of one kind apart (docs/models/place.md, section
// 9), and small combs are preferred by common practice: the page says so wherever it
// ranks combs.
func TestWhereCombsAreRankedTheirSizesAreNot(t *testing.T) {
	for name, a := range hardPlaces(t) {
		advice := strings.Join(a.CombAdvice(), "\n")
		if ranked := strings.Contains(a.CombWords(), "trust the order"); ranked && !strings.Contains(advice, "not the order of sizes within a kind") {
			t.Errorf("%s: combs are ranked, and the advice is %q", name, advice)
		}
		if advice != "" && !strings.Contains(advice, "prefer cocks with small combs") {
			t.Errorf("%s: %q", name, advice)
		}
	}
}

func TestTheTextOfAPlaceWarnsOfCablesAndSaysOnceWhatIsNotTold(t *testing.T) {
	var out bytes.Buffer
	if err := PlaceText(&out, PlaceOf(example(t, "valley", nil), nil), 80); err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(out.String()), " ")
	if !strings.Contains(text, "A lamp for light is not a heat lamp.") {
		t.Error("no caution beside the lamps")
	}
	if !strings.Contains(text, "- Perch: not told, so nobody can say.") || strings.Contains(text, "not told; not told") {
		t.Error("what is not told is told badly")
	}
}
