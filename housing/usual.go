package housing

import (
	"math"
	"slices"
)

// UsualBuild is the layers that stand behind a house of which only the floor is
// known: a rectangle with sides 4 to 3, boards of 12 mm, or with insulated 55 mm
// of wool between two sheets of ply. Its Coop loses what Coop{FloorM2, Insulated}
// does, to a hundredth.
func UsualBuild(floorM2 float64, insulated bool) Build {
	floor := max(0.25, floorM2)
	width := math.Sqrt(floor * 0.75)
	walls := []Layer{{Material: "softwood", MM: 11.6}}
	ground := []Layer{{Material: "shavings", MM: 7}, {Material: "softwood", MM: 12}}
	if insulated {
		walls = []Layer{{Material: "plywood", MM: 9}, {Material: "batt", MM: 55}, {Material: "plywood", MM: 12}}
		ground = []Layer{{Material: "shavings", MM: 49}, {Material: "softwood", MM: 20}}
	}
	return Build{
		LengthM: floor / width, WidthM: width, WindowM2: windowShare * floor,
		Walls: Section{Layers: walls}, Roof: Section{Layers: slices.Clone(walls)}, Floor: Section{Layers: ground},
	}
}
