package solve

import (
	"errors"
	"strings"
	"testing"
)

func TestAProgrammeTooLargeForTheMemoryIsAnErrorInWords(t *testing.T) {
	engine(t)
	wasm, names, err := solverCode()
	if err != nil {
		t.Fatal(err)
	}
	const littleMiB = 22
	e, err := compile(t.Context(), wasm, names, testCacheDir(), littleMiB<<20/pageBytes)
	if err != nil {
		t.Fatal(err)
	}
	defer e.Close(t.Context())
	large := flock(104, 3, 6, 1, 4, 1)
	r, err := e.Solve(t.Context(), large, Options{})
	if err != nil || !r.Feasible || r.Status != Unknown || !errors.Is(r.Fault, errMemory) {
		t.Errorf("%v %v, fault %v: the plans found before are lost", r.Status, err, r.Fault)
	}
	_, err = e.Solve(t.Context(), flock(156, 6, 24, 1, 4, 1), Options{})
	if !errors.Is(err, errMemory) {
		t.Errorf("no room for the programme itself: %v", err)
	}
}

func TestASessionGoesOnAfterAFaultOfTheSolver(t *testing.T) {
	s := sharedSession(t)
	s.guest.highs = 0x7fffffff // any call now reaches outside the guest's memory
	if _, err := s.Solve(t.Context(), chicks(), Options{}); err == nil || strings.Contains(err.Error(), "\n") {
		t.Errorf("a broken copy gave %v", err)
	}
	if r, err := s.Solve(t.Context(), chicks(), Options{}); err != nil || r.Objective != 15 {
		t.Errorf("%v %v", r.Objective, err)
	}
}
