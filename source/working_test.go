package source

import (
	"slices"
	"testing"
)

func TestAFigureIsTrustedNoFurtherThanItsWeakestSource(t *testing.T) {
	for want, keys := range map[Kind][]string{
		Guess:     {"tao_xin_2003", "guess"},
		Practice:  {"practice", "tao_xin_2003"},
		Published: {"tao_xin_2003"},
	} {
		if got := Weakest(keys...); got != want {
			t.Errorf("%v: %s, want %s", keys, got, want)
		}
	}
	if Weakest() != Guess || Weakest("tao_xin_2003", "never heard of") != Guess {
		t.Error("a figure without a known source is no more than a guess")
	}
}

func TestAWorkingNamesEachSourceOnce(t *testing.T) {
	keys := []string{"practice"}
	w := NewWorking("x", "a + b", "", keys, WorkingInput{Name: "a", Key: "guess"}, WorkingInput{Name: "b", Key: "practice"}, WorkingInput{Name: "c"})
	if !slices.Equal(w.Keys, []string{"practice", "guess"}) || w.Confidence != Guess || len(keys) != 1 {
		t.Errorf("%v, %s", w.Keys, w.Confidence)
	}
}
