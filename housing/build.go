package housing

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// A wall is a stack of layers. Each resists the flow of heat (R, m2 K/W), the
// resistances add up, the still air that clings to either face (a film) resists
// too, and what passes is U = 1/R watts for each square metre and degree. Studs
// are a second path beside the wool between them.

// Material is something walls, roofs and floors are made of.
type Material struct {
	Key, Name string
	RPerM     float64 // m2 K/W for each metre of thickness; 0 for a piece
	FixedR    float64 // m2 K/W of a piece of its usual thickness
	SourceKey string
}

//go:embed data/materials.csv
var materialsCSV string

var loadMaterials = sync.OnceValues(func() ([]Material, error) {
	rows, err := csv.NewReader(strings.NewReader(materialsCSV)).ReadAll()
	if err != nil {
		return nil, err
	}
	var list []Material
	for i, r := range rows[1:] {
		perM, err1 := strconv.ParseFloat(r[2], 64)
		fixed, err2 := strconv.ParseFloat(r[3], 64)
		if err1 != nil || err2 != nil {
			return nil, fmt.Errorf("materials.csv line %d: numbers cannot be read", i+2)
		}
		list = append(list, Material{r[0], r[1], perM, fixed, r[4]})
	}
	return list, nil
})

// Materials lists what a Layer may be made of.
func Materials() []Material {
	list, err := loadMaterials()
	if err != nil {
		panic(err) // embedded and checked by a test
	}
	return slices.Clone(list)
}

// Layer is one sheet of a wall, roof or floor.
type Layer struct {
	Material string  // key of a Material
	MM       float64 // thickness; not used for pieces of a usual thickness
	Between  bool    // lies between the studs or rafters, which go through it
}

// Section is a wall, roof or floor from the inner face to the outer.
type Section struct {
	Layers    []Layer
	StudShare float64 // part of the area that is stud; 0.12 when zero and a layer lies between
}

// Films, m2 K/W, and the double glass with its own.
const (
	outsideFilm  = 0.03
	glazedTwiceR = 0.271
	// 45 mm of stud every 600 mm, and plates and corners (guess)
	usualStuds = 0.12
)

// ResistanceR is the R of one layer, m2 K/W. Thickness 0 to 2000 mm.
func (l Layer) ResistanceR() (float64, error) {
	list, err := loadMaterials()
	if err != nil {
		return 0, err
	}
	i := slices.IndexFunc(list, func(m Material) bool { return m.Key == l.Material })
	if i < 0 {
		return 0, fmt.Errorf("there is no material %q; choose one of the list", l.Material)
	}
	m := list[i]
	if m.RPerM == 0 {
		return m.FixedR, nil
	}
	if !(l.MM >= 0 && l.MM <= 2000) {
		return 0, fmt.Errorf("%s cannot be %g mm thick", m.Name, l.MM)
	}
	return m.RPerM * l.MM / 1000, nil
}

// R is the resistance of the section with both films, m2 K/W, studs included.
func (s Section) R() (float64, error) {
	clear, studs, between := insideFilm+outsideFilm, insideFilm+outsideFilm, false
	for _, l := range s.Layers {
		r, err := l.ResistanceR()
		if err != nil {
			return 0, err
		}
		clear += r
		if l.Between {
			between = true
			r, err = Layer{Material: "softwood", MM: l.MM}.ResistanceR()
			if err != nil {
				return 0, err
			}
		}
		studs += r
	}
	if !between {
		return clear, nil
	}
	share := s.StudShare
	if share <= 0 {
		share = usualStuds
	}
	share = min(0.5, share)
	return 1 / ((1-share)/clear + share/studs), nil
}

// Build is a house by its measures and layers. Zero measures ask for a default;
// a section without layers is a sheet of metal.
type Build struct {
	LengthM, WidthM float64
	HeightM         float64 // mean clear height; 2 when zero
	Walls, Roof     Section
	Floor           Section // a floor on the ground counts as one over outdoor air: a little too cold in winter
	WindowM2        float64
	DoubleGlass     bool
	RoofM2          float64 // 1.06 of the floor when zero
	AltitudeM       float64
	WetLitter       bool
	Vents           Vents
}

// UValues is what a house lets through.
type UValues struct {
	Wall, Roof, Floor, Window float64 // W/(m2 K)
	WallM2, RoofM2            float64 // walls without windows
	FloorM2, WindowM2         float64
	LossWK                    float64 // of the whole, without moving air
}

// U is the heat that each part lets through. Errors name a material or measure
// that cannot be.
func (b Build) U() (UValues, error) {
	if !(b.LengthM > 0 && b.WidthM > 0 && b.LengthM <= 100 && b.WidthM <= 100) {
		return UValues{}, fmt.Errorf("give the length and width of the house in metres, up to 100; not %g by %g", b.LengthM, b.WidthM)
	}
	if !(b.HeightM >= 0 && b.HeightM <= 20) || !(b.RoofM2 >= 0) || !(b.WindowM2 >= 0) {
		return UValues{}, fmt.Errorf("height, roof and windows cannot be below zero, nor the house above 20 m high")
	}
	u := UValues{FloorM2: b.LengthM * b.WidthM, WindowM2: b.WindowM2, RoofM2: b.RoofM2, Window: 1 / windowR}
	if b.DoubleGlass {
		u.Window = 1 / glazedTwiceR
	}
	if u.RoofM2 == 0 {
		u.RoofM2 = 1.06 * u.FloorM2
	}
	walls := 2 * (b.LengthM + b.WidthM) * (Coop{HeightM: b.HeightM}).height()
	if b.WindowM2 > walls {
		return UValues{}, fmt.Errorf("%.1f m2 of window do not fit into %.1f m2 of wall", b.WindowM2, walls)
	}
	u.WallM2 = walls - b.WindowM2
	for _, part := range []struct {
		name    string
		section Section
		u       *float64
	}{{"wall", b.Walls, &u.Wall}, {"roof", b.Roof, &u.Roof}, {"floor", b.Floor, &u.Floor}} {
		r, err := part.section.R()
		if err != nil {
			return UValues{}, fmt.Errorf("%s: %w", part.name, err)
		}
		*part.u = 1 / r
	}
	u.LossWK = u.Wall*u.WallM2 + u.Roof*u.RoofM2 + u.Floor*u.FloorM2 + u.Window*u.WindowM2
	return u, nil
}

// Coop is the house as the other reckonings of this room take it. It counts as
// insulated, for the keeper's habit with vents, when its walls resist like 25 mm of
// foam or more.
func (b Build) Coop() (Coop, error) {
	u, err := b.U()
	if err != nil {
		return Coop{}, err
	}
	return Coop{
		FloorM2: u.FloorM2, HeightM: b.HeightM, AltitudeM: b.AltitudeM, WetLitter: b.WetLitter,
		Insulated: u.Wall < 1/0.8, Vents: b.Vents, shell: &u,
	}, nil
}

// parts is what a coop lets through, built up or by default.
func (c Coop) parts() UValues {
	if c.shell != nil {
		return *c.shell
	}
	floor := max(0.25, c.FloorM2)
	width := math.Sqrt(floor * 0.75)
	ground := boardedFlR
	if c.Insulated {
		ground = insulatedFlR
	}
	window := windowShare * floor
	return UValues{
		Wall: 1 / c.wallR(), Roof: 1 / c.roofR(), Floor: 1 / ground, Window: 1 / windowR,
		WallM2: 2*(width+floor/width)*c.height() - window, RoofM2: 1.06 * floor,
		FloorM2: floor, WindowM2: window, LossWK: c.LossWK(),
	}
}
