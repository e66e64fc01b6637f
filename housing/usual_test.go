package housing

import (
	"math"
	"testing"
)

func TestAHouseOfWhichOnlyTheFloorIsKnownLosesWhatItsUsualLayersLose(t *testing.T) {
	for _, insulated := range []bool{false, true} {
		for _, floor := range []float64{0.5, 4.32, 30} {
			built, err := UsualBuild(floor, insulated).Coop()
			if err != nil {
				t.Fatal(err)
			}
			plain := Coop{FloorM2: floor, Insulated: insulated}
			if got, want := built.LossWK(), plain.LossWK(); math.Abs(got-want) > 0.01*want {
				t.Errorf("%g m2, insulated %v: layers lose %.3f W/K, the plain house %.3f", floor, insulated, got, want)
			}
			if built.Insulated != insulated {
				t.Errorf("%g m2: insulated is %v, want %v", floor, built.Insulated, insulated)
			}
		}
	}
}
