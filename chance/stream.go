package chance

import (
	"math"
	"math/rand/v2"
)

// Generator names the random generator and the way streams are made from the
// seed. It changes when either does, since the same seed then gives other luck.
const Generator = "PCG-DXSM, streams by SplitMix64, 1"

// luck is a kind of luck: what may be drawn anew while all else stays.
type luck int

const (
	luckYear luck = iota // how the hens of this household lay in this year
	luckWeather
	luckRaids
	luckIllness
	luckHatch
	luckHens
	lucks
)

// purpose is what a stream is for.
type purpose uint64

const (
	ofLevel   purpose = iota + 1 // the household's own level, its years, spells within a year
	ofWeather                    // warm and cold weeks
	ofFoxes                      // how many foxes there are in a year
	ofRaid                       // raids, and whom they take
	ofIllness
	ofSetting // a setting as a whole
	ofEgg     // one egg, and the sex of its chick
	ofBrood   // a brood in its first weeks
	ofMaking  // what a bird is made of
	ofLife    // its weeks
)

var luckOf = [...]luck{ofLevel: luckYear, ofWeather: luckWeather, ofFoxes: luckRaids, ofRaid: luckRaids,
	ofIllness: luckIllness, ofSetting: luckHatch, ofEgg: luckHatch, ofBrood: luckHatch, ofMaking: luckHens, ofLife: luckHens}

const golden = 0x9e3779b97f4a7c15

// mix spreads the bits of x (the output function of SplitMix64; Steele, Lea and
// Flood 2014, from memory).
func mix(x uint64) uint64 {
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

func hash2(a, b uint64) uint64 { return mix(mix(a+golden) ^ (b + golden)) }

// hashText gives the identifier of a batch a number (FNV-1a).
func hashText(s string) uint64 {
	h := uint64(14695981039346656037)
	for i := range len(s) {
		h = (h ^ uint64(s[i])) * 1099511628211
	}
	return h
}

// streams are all the randomness of one replicate.
type streams struct{ base [lucks]uint64 }

// seedsOf gives every kind of luck the same seed.
func seedsOf(seed uint64) (s [lucks]uint64) {
	for k := range s {
		s[k] = seed
	}
	return s
}

func newStreams(seeds *[lucks]uint64, replicate uint64) (s streams) {
	for k := range s.base {
		s.base[k] = hash2(hash2(seeds[k], uint64(k)), replicate)
	}
	return s
}

// open starts the stream of one purpose and one bird or event.
func (s *streams) open(p purpose, id uint64) (g rand.PCG) {
	a := hash2(s.base[luckOf[p]]+uint64(p)*golden, id)
	g.Seed(a, mix(a+golden))
	return g
}

const perBit53 = 1.0 / (1 << 53)

// uniform is 0 <= u < 1.
func uniform(g *rand.PCG) float64 { return float64(g.Uint64()>>11) * perBit53 }

// normal is a standard normal number (Box and Muller).
func normal(g *rand.PCG) float64 {
	u := 1 - uniform(g)
	return math.Sqrt(-2*math.Log(u)) * math.Cos(2*math.Pi*uniform(g))
}

// exponential has mean 1.
func exponential(g *rand.PCG) float64 { return -math.Log(1 - uniform(g)) }

// bell is a number of mean 0 and standard deviation 1 that never leaves -3 to 3:
// the sum of three uniforms out of one word, close to a normal in its middle.
func bell(g *rand.PCG) float64 {
	const bits = 21
	const mask = 1<<bits - 1
	word := g.Uint64()
	sum := float64(word&mask + word>>bits&mask + word>>(2*bits)&mask)
	return 2 * ((sum+1.5)/(1<<bits) - 1.5)
}
