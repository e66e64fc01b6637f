package web

import (
	"bytes"
	"cmp"
	"flag"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"maps"
	"os"
	"slices"
	"testing"
	"time"

	"henyear/examples"
	"henyear/holding"
	"henyear/internal/browser"
	"henyear/measure"
	"henyear/plan"
	"henyear/solve"
)

var readmePicture = flag.String("picture", "", "file for the picture of the README: the plan of the demo, worked out anew")

// The picture of the README is taken, not drawn: go test ./web -run Picture -args -picture ../docs/picture.png
func TestPictureOfThePlanOfTheDemo(t *testing.T) {
	if *readmePicture == "" {
		t.Skip("no -picture was asked for")
	}
	text, err := examples.Get(examples.Demo)
	if err != nil {
		t.Fatal(err)
	}
	h, _, err := holding.ReadOn(text, examples.Demo, measure.Date{Year: 2027, Month: 1, Day: 1})
	if err != nil {
		t.Fatal(err)
	}
	engine, err := solve.Open(t.Context(), solve.DefaultCacheDir())
	if err != nil {
		t.Fatal(err)
	}
	defer engine.Close(t.Context())
	p, err := plan.New(engine).Plan(t.Context(), h, plan.Options{TimeLimit: 30 * time.Second}, nil)
	if err != nil {
		t.Fatal(err)
	}
	house := open(t, func(w *written, s *shelf) { w.plan, s.holding = p, h }).settled(t)
	tab := browser.Open(t, house.web.URL+"/", browser.View{Width: 1280, Height: 1530}) // to the foot of the first drawing
	tab.Wait(".figures")
	small, err := fewColours(tab.Window())
	if err != nil {
		t.Fatal(err)
	}
	if len(small) > 200_000 {
		t.Errorf("the picture has %d bytes", len(small))
	}
	if err := os.WriteFile(*readmePicture, small, 0o644); err != nil {
		t.Fatal(err)
	}
}

// fewColours writes a PNG anew with its 256 most frequent colours, which a page
// of letters and lines does with. Every other pixel takes the nearest of them.
func fewColours(data []byte) ([]byte, error) {
	full, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	count := map[color.NRGBA]int{}
	box := full.Bounds()
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			count[color.NRGBAModel.Convert(full.At(x, y)).(color.NRGBA)]++
		}
	}
	frequent := slices.SortedFunc(maps.Keys(count), func(a, b color.NRGBA) int {
		return cmp.Or(cmp.Compare(count[b], count[a]), cmp.Compare(key(a), key(b)))
	})
	var palette color.Palette
	for _, c := range frequent[:min(256, len(frequent))] {
		palette = append(palette, c)
	}
	few := image.NewPaletted(box, palette)
	draw.Draw(few, box, full, box.Min, draw.Src)
	var out bytes.Buffer
	err = (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, few)
	return out.Bytes(), err
}

func key(c color.NRGBA) uint32 {
	return uint32(c.R)<<24 | uint32(c.G)<<16 | uint32(c.B)<<8 | uint32(c.A)
}
