package chance

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"henyear/bird"
	"henyear/breed"
	"henyear/course"
	"henyear/measure"
)

// The first numbers of SplitMix64 for the seed 1234567, as lists of test values
// give them (from memory). mix is its output function.
func TestStreamsAreMadeByTheKnownMixer(t *testing.T) {
	state := uint64(1234567)
	for i, want := range []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821} {
		state += golden
		if got := mix(state); got != want {
			t.Errorf("number %d is %d, want %d", i, got, want)
		}
	}
}

// The reference is gonum's binomial distribution.
func TestEggsOfAWeekAreBinomial(t *testing.T) {
	var g rand.PCG
	g.Seed(7, 11)
	const n = 200_000
	for _, p := range []float64{0.004, 0.1, 0.333, 0.5, 0.62, 0.87, 0.97} {
		var seen [8]float64
		for range n {
			seen[eggsOfSeven(p, uint32(g.Uint64()))]++
		}
		want := distuv.Binomial{N: 7, P: p}
		chi, cells := 0.0, 0.0
		for k, c := range seen {
			expect := n * want.Prob(float64(k))
			if expect < 10 {
				continue
			}
			chi += (c - expect) * (c - expect) / expect
			cells++
		}
		if limit := (distuv.ChiSquared{K: cells - 1}).Quantile(0.9999); chi > limit {
			t.Errorf("chance %.3f: chi-square %.1f of %.0f cells, at most %.1f", p, chi, cells, limit)
		}
	}
}

// A flock of one age without shared luck must lay, on the mean over many lives,
// what the law's exact expectation says, week by week.
func TestManyLivesLayWhatTheLawExpects(t *testing.T) {
	h, _ := valley(t)
	rates := bird.NewRates()
	rates.Raids = 0
	book := course.New(h, false, rates)
	for _, test := range []struct {
		breed string
		month int
		age   measure.Week
	}{{"sussex", 3, 42}, {"leghorn", 5, 30}, {"wyandotte", 4, 90}} {
		b, err := breed.Find(test.breed)
		if err != nil {
			t.Fatal(err)
		}
		from := measure.WeekOf(measure.Date{Year: 2027, Month: 11, Day: 1})
		born := from - test.age
		const hens, lives, weeks = 25, 2000, 104
		flock := &Bare{Book: book, From: from, Weeks: weeks, Groups: []BareGroup{{Breed: b, Strain: breed.Utility, Hatched: born, Number: hens, From: from, To: from + weeks}}}
		res, err := flock.Run(t.Context(), Options{Replicates: lives, Seed: 3})
		if err != nil {
			t.Fatal(err)
		}
		course := book.Of(book.Key(b, breed.Utility, born.Slot(), false), bird.Hen)
		standing := course[test.age-1].AliveEnd
		worst, total, expected := 0.0, 0.0, 0.0
		for w := range weeks {
			sum, square := 0.0, 0.0
			for _, e := range res.Eggs[w] {
				sum += float64(e)
				square += float64(e) * float64(e)
			}
			mean := sum / lives
			sd := math.Sqrt(max(0.01, square/lives-mean*mean))
			want := course[int(test.age)+w].Eggs / standing * hens
			// A hen that dies lays nothing in her last week here, and half a week's eggs
			// in the expectation: a thousandth.
			worst = max(worst, (math.Abs(mean-want)-0.0012*want)/(sd/math.Sqrt(lives)))
			total += mean
			expected += want
		}
		if worst > 4.5 {
			t.Errorf("%s: a week is off by %.1f standard errors", test.breed, worst)
		}
		if math.Abs(total/expected-1) > 0.004 {
			t.Errorf("%s: %.1f eggs on the mean, the law expects %.1f", test.breed, total, expected)
		}
	}
}

// Raids come seldom and take several; what they take on the mean is the law's.
func TestRaidsTakeOnTheMeanWhatTheLawSays(t *testing.T) {
	h, _ := valley(t)
	rates := bird.NewRates()
	rates.Losses = 1e-9
	book := course.New(h, false, rates)
	b, err := breed.Find("sussex")
	if err != nil {
		t.Fatal(err)
	}
	from := measure.WeekOf(measure.Date{Year: 2027, Month: 1, Day: 4})
	flock := &Bare{Book: book, From: from, Weeks: 52, Spread: Spread{Raids: true},
		Groups: []BareGroup{{Breed: b, Strain: breed.Utility, Hatched: from - 50, Number: 20, From: from, To: from + 60}}}
	const lives = 20_000
	res, err := flock.Run(t.Context(), Options{Replicates: lives, Seed: 5})
	if err != nil {
		t.Fatal(err)
	}
	left, untouched := 0.0, 0.0
	for _, n := range res.Hens[51] {
		left += float64(n) / lives
		if n == 20 {
			untouched += 1.0 / lives
		}
	}
	course := book.Of(book.Key(b, breed.Utility, (from-50).Slot(), false), bird.Hen)
	want := 20 * course[50+50].AliveEnd / course[49].AliveEnd
	if math.Abs(left-want) > 0.15 {
		t.Errorf("%.2f of 20 hens are left after a year, the law expects %.2f", left, want)
	}
	alone := math.Pow(want/20, 20)
	if untouched < 1.3*alone {
		t.Errorf("%.2f of flocks lose nobody; with losses one by one it would be %.2f, and raids are rarer", untouched, alone)
	}
}

// Weeks follow from days: the closed form against a long series of days.
func TestWeeklyWeatherHangsTogetherAsItsDaysDo(t *testing.T) {
	const memory = 0.75
	var g rand.PCG
	g.Seed(1, 1)
	const n = 60_000
	weeks := make([]float64, n)
	z, fresh := 0.0, math.Sqrt(1-memory*memory)
	for i := range weeks {
		for range 7 {
			z = memory*z + fresh*normal(&g)
			weeks[i] += z / 7
		}
	}
	square, next := 0.0, 0.0
	for i := range n - 1 {
		square += weeks[i] * weeks[i] / (n - 1)
		next += weeks[i] * weeks[i+1] / (n - 1)
	}
	sd, correlation := weekOfDays(memory)
	if math.Abs(math.Sqrt(square)-sd) > 0.01 || math.Abs(next/square-correlation) > 0.015 {
		t.Errorf("a long series gives SD %.3f and correlation %.3f, the closed form %.3f and %.3f", math.Sqrt(square), next/square, sd, correlation)
	}
}
