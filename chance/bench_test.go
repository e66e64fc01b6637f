package chance

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"testing"

	"henyear/bird"
	"henyear/breed"
	"henyear/course"
	"henyear/examples"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
)

// valley is the bundled example and a plan of it, kept as a file so that the
// luck is tried against the same plan every time.
func valley(t testing.TB) (*holding.Holding, *plan.Plan) {
	t.Helper()
	text, err := examples.Get("valley")
	if err != nil {
		t.Fatal(err)
	}
	h, _, err := holding.ReadOn(text, "valley.toml", measure.Date{Year: 2027, Month: 1, Day: 1})
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile("testdata/valley-plan.json")
	if err != nil {
		t.Fatal(err)
	}
	var p plan.Plan
	if err := json.Unmarshal(data, &p); err != nil {
		t.Fatal(err)
	}
	return h, &p
}

// BenchmarkReplicate lives the example's plan through; ns/bird-week is the cost of
// one bird in one week, hatching, raids, keeper and pantry shared out.
func BenchmarkReplicate(b *testing.B) {
	h, p := valley(b)
	w, err := New(h, p, nil)
	if err != nil {
		b.Fatal(err)
	}
	r := w.newRunner()
	seeds := seedsOf(1)
	r.live(&seeds, 0)
	b.ReportAllocs()
	birds := 0.0
	for i := 0; b.Loop(); i++ {
		r.live(&seeds, uint64(i))
		birds += r.birdWeeks
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/birds, "ns/bird-week")
}

// BenchmarkDraw is one random word and its conversion, what the cost of a
// bird-week is held against.
func BenchmarkDraw(b *testing.B) {
	var g rand.PCG
	g.Seed(1, 2)
	sum := 0.0
	for b.Loop() {
		sum += uniform(&g)
	}
	if sum < 0 {
		b.Fatal(sum)
	}
}

// BenchmarkSixtyHens lives three years of sixty hens of three ages, without keeper
// or pantry.
func BenchmarkSixtyHens(b *testing.B) {
	flock := sixtyHens(b)
	w, sides, err := flock.ready()
	if err != nil {
		b.Fatal(err)
	}
	life := newBareLife(w, flock, sides)
	res := &BareResult{Eggs: make([][]uint16, w.weeks), Hens: make([][]uint16, w.weeks)}
	for t := range w.weeks {
		res.Eggs[t], res.Hens[t] = make([]uint16, 1), make([]uint16, 1)
	}
	b.ReportAllocs()
	n := 0
	for i := 0; b.Loop(); i++ {
		seeds := seedsOf(uint64(i))
		life.live(&seeds, 0, res)
		for _, week := range res.Hens {
			n += int(week[0])
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(n), "ns/bird-week")
}

func sixtyHens(t testing.TB) *Bare {
	t.Helper()
	h, _ := valley(t)
	sussex, err := breed.Find("sussex")
	if err != nil {
		t.Fatal(err)
	}
	from := measure.WeekOf(measure.Date{Year: 2027, Month: 1, Day: 4})
	flock := &Bare{Book: course.New(h, false, bird.NewRates()), From: from, Weeks: 156, Spread: UsualSpread()}
	for _, age := range []measure.Week{40, 92, 144} {
		flock.Groups = append(flock.Groups, BareGroup{Breed: sussex, Strain: breed.Utility, Hatched: from - age, Number: 20, From: from, To: from + 156})
	}
	return flock
}
