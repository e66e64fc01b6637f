package holding

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"henyear/bird"
	"henyear/breed"
	"henyear/climate"
	"henyear/housing"
	"henyear/measure"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// drawn makes holdings of every shape that a file can describe.
type drawn struct{ *rapid.T }

func (d drawn) number(low, high float64) float64 {
	if rapid.Bool().Draw(d.T, "plain") {
		return float64(int(low*100)+rapid.IntRange(0, int((high-low)*100)).Draw(d.T, "hundredths")) / 100
	}
	return rapid.Float64Range(low, high).Draw(d.T, "number") + 0
}

func (d drawn) whole(low, high int) int { return rapid.IntRange(low, high).Draw(d.T, "whole") }
func (d drawn) yes() bool               { return rapid.Bool().Draw(d.T, "yes") }
func (d drawn) percent() float64        { return d.number(0, 60) / 100 }
func (d drawn) word(of ...string) string {
	return rapid.SampledFrom(of).Draw(d.T, "word")
}

func (d drawn) name() string {
	return rapid.StringMatching(`[A-Za-zÅéß"\\'#=\[][A-Za-z "\\'\[\]{}=#.,€中🐔-]{0,20}[A-Za-z"\\]`).Draw(d.T, "name")
}

func (d drawn) months(least int) (set [12]bool) {
	for m := range set {
		set[m] = d.yes()
	}
	if least > 0 {
		set[d.whole(0, 11)] = true
	}
	return set
}

func (d drawn) twelve(low, high float64) (v [12]float64) {
	for m := range v {
		v[m] = d.number(low, high)
	}
	return v
}

func (d drawn) date(from, to int) measure.Date {
	return measure.Date{Year: from, Month: 1, Day: 1}.AddDays(d.whole(0, 365*(to-from)))
}

func (d drawn) climate(name string) climate.Place {
	if d.yes() {
		places := climate.Places()
		p := places[d.whole(0, len(places)-1)]
		if d.yes() {
			p.ExtremeMinC, p.DaysAbove38 = d.number(-70, -66), d.number(0, 40)
		}
		p.Stray = d.stray()
		if p.Stray != nil && d.yes() {
			p.From, p.Stray.SourceKey = d.name(), weatherKey
		}
		return p
	}
	p := climate.Place{Name: name, SourceKey: keeperKey, LatitudeDeg: d.number(-90, 90), LongitudeDeg: d.number(-180, 180),
		AltitudeM: d.number(-450, 6000), RainMM: d.twelve(0, 300), DaysAbove38: d.number(0, 60)}
	p.MinC = d.twelve(-40, 20)
	for m := range 12 {
		p.MaxC[m] = p.MinC[m] + d.number(0, 25)
	}
	if d.yes() {
		p.HumidityPct = d.twelve(1, 100)
	}
	if d.yes() {
		p.WindMS = d.twelve(0, 25)
	}
	if d.yes() {
		p.ExtremeMinC, p.Country = d.number(-70, -41), d.name()
	}
	p.Stray = d.stray()
	if d.yes() {
		p.From, p.SourceKey = d.name(), weatherKey
		if p.Stray != nil {
			p.Stray.SourceKey = weatherKey
		}
	}
	return p
}

// stray is a weather that strays, or nil.
func (d drawn) stray() *climate.Stray {
	if d.yes() {
		return nil
	}
	t := &climate.Stray{SourceKey: keeperKey, WeekMemory: d.number(0.01, 0.9)}
	if d.yes() {
		t.DayC, t.DayMemory = d.twelve(3, 9), d.number(0.01, 0.9)
	}
	if d.yes() {
		t.HighC, t.LowC, t.WeekC = d.twelve(1, 9), d.twelve(1, 12), d.twelve(0.5, 3)
	}
	return t
}

func (d drawn) holding() *Holding {
	h := &Holding{Name: d.name(), TimeZone: d.word("UTC", "Europe/Oslo", "America/New_York"), Units: measure.Units(d.word("metric", "us"))}
	if d.yes() {
		h.AsOf = d.date(2020, 2060)
	}
	h.Currency, _ = measure.CurrencyOf(d.word("EUR", "JPY", "KWD"))
	h.Place = Place{Climate: d.climate(h.Name), WetGround: d.yes(), GroundPredators: Level(d.whole(0, 3)), AirPredators: Level(d.whole(0, 3)),
		Cover: Level(d.whole(0, 3)), LockedAtNight: d.yes(), ElectricFence: d.yes(), PastureM2: d.number(0, 1e5), PastureMonths: d.months(0),
		NettedM2: d.number(0, 900), OffGrid: d.yes(), MaxBirds: d.whole(-1, 50), MaxCocks: d.whole(-1, 5)}
	h.Means = d.means()
	h.Needs = d.needs(h.Means.WillKill)
	for range d.whole(1, 3) {
		h.Stock = append(h.Stock, Offer{Breed: d.breed(), Strain: d.strain(), Form: Form(d.word(formWords...)), Price: d.number(0, 50),
			SmallestOrder: d.whole(1, 10), LargestOrder: d.word2(0, 25), Months: d.months(1)})
	}
	h.Prices = Prices{d.number(0, 5), d.number(0, 5), d.number(0, 9), d.number(0, 20), d.number(0, 9), d.number(0, 2), d.number(0, 500)}
	for i := range d.whole(0, 4) {
		g := Group{ID: fmt.Sprintf("group %d", i), Breed: d.breed(), Strain: d.strain(), Sex: bird.Sex(d.whole(0, 1)), Number: d.whole(1, 60)}
		g.Hatched = measure.Date{Year: 2019, Month: 12, Day: 31}.AddDays(-d.whole(0, 60))
		if !h.AsOf.IsZero() {
			g.Hatched = h.AsOf.AddDays(-d.whole(0, 3000))
		}
		h.Birds = append(h.Birds, g)
	}
	return h
}

func (d drawn) word2(a, b int) int   { return rapid.SampledFrom([]int{a, b}).Draw(d.T, "either") }
func (d drawn) breed() string        { return d.word("sussex", "marans", "wyandotte", "cornish-cross") }
func (d drawn) strain() breed.Strain { return breed.Strain(d.word(strainWords...)) }

func (d drawn) means() Means {
	m := Means{CoveredRunM2: d.number(0, 500), BrooderChicks: d.whole(0, 200), GrowOutM2: d.number(0, 50), MachineEggs: d.whole(0, 200),
		BroodyHens: d.yes(), FreezerL: d.number(0, 900), ShadeM2: d.number(0, 100), MinutesADay: d.number(1, 600), ButcherDaysAYear: d.whole(0, 20),
		ButcherBirdsADay: d.whole(0, 80), Lights: d.word("none", "possible", "on"), WillKill: d.yes(), CockerelsTaken: d.whole(0, 40),
		SpareCocks: d.whole(0, 5), FeedWaste: d.percent(), EggLoss: d.percent()}
	if m.NoShade = d.yes(); m.NoShade {
		m.ShadeM2 = 0
	}
	for i := range d.whole(1, 3) {
		h := House{Name: fmt.Sprintf("%s %d", d.name(), i), AreaM2: d.number(0.25, 200), Pens: d.whole(1, 9), PerchM: d.number(0, 20), Nests: d.whole(0, 9), Insulated: d.yes()}
		h.OpenSided = !h.Insulated && d.yes()
		d.toldOf(&h)
		m.Houses = append(m.Houses, h)
	}
	for range d.whole(0, 2) {
		from := d.date(2020, 2060)
		m.Away = append(m.Away, Away{from, from.AddDays(d.whole(0, 60))})
	}
	return m
}

// toldOf gives a house what a keeper may tell of it.
func (d drawn) toldOf(h *House) {
	if d.yes() {
		h.LitterCM, h.BoardsClean, h.DraughtMS = d.number(0, 60), d.yes(), d.number(0, 4)
		h.PopHoles, h.TroughM, h.DrinkerCups = d.whole(0, 4), d.number(0, 9), d.whole(0, 20)
		h.PopHighM, h.PopWideM = d.number(0, 80)/100, d.number(0, 300)/100
	}
	if d.yes() {
		return
	}
	b := &housing.Build{LengthM: d.number(0.5, 20), WidthM: d.number(0.6, 9), DoubleGlass: d.yes(), WetLitter: d.yes(),
		Walls: d.section(), Roof: d.section(), Floor: d.section()}
	h.AreaM2 = max(0.25, b.LengthM*b.WidthM*d.number(0.5, 1))
	if d.yes() {
		b.HeightM, b.WindowM2 = d.number(0.4, 3), d.number(0, 0.2)
	}
	if d.yes() {
		b.Vents = housing.Vents{AreaM2: d.number(0.01, 3), RiseM: d.number(0.02, 2), WindPart: rapid.SampledFrom(shelterParts).Draw(d.T, "shelter")}
	}
	h.Build = b
}

func (d drawn) section() (s housing.Section) {
	for range d.whole(1, 4) {
		l := housing.Layer{Material: rapid.SampledFrom(housing.Materials()).Draw(d.T, "material").Key, MM: d.number(0.5, 900), Between: d.yes()}
		if l.Material == "metal" && !l.Between && d.yes() {
			l.MM = 0
		}
		s.Layers = append(s.Layers, l)
	}
	return s
}

func (d drawn) needs(willKill bool) Needs {
	n := Needs{TableBirdMinKg: d.number(0.2, 4), SelfRenewing: d.yes(), RiskShare: d.percent(), RiskShortWeeks: d.whole(0, 52),
		FrozenEggShare: d.percent(), PricedMinutes: d.number(0, 90), Eggs: []EggNeed{{allMonths, d.number(0, 200)}}}
	if willKill && d.yes() {
		n.TableBirds = d.number(0, 100)
	} else if willKill {
		n.TableKg = d.number(0, 100)
	}
	for range d.whole(0, 2) {
		n.EggSales = append(n.EggSales, EggSale{d.months(1), d.number(0, 20), d.number(0, 9), d.yes()})
	}
	for i := range d.whole(0, len(BirdKinds)) {
		n.BirdSales = append(n.BirdSales, BirdSale{BirdKinds[i], d.whole(0, 20), d.number(0, 30)})
	}
	return n
}

// What is left out of a house told by its layers stays left out.
var houseNote = regexp.MustCompile(`^house\[\d+\]\.(height|vent|vent_rise|vent_shelter)(_\w+)?$`)

func TestHoldingWrittenAndReadIsTheSameHolding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := drawn{t}.holding()
		text := h.Write()
		again, notes, err := Read(text, "written.toml")
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if d := cmp.Diff(h, again); d != "" {
			t.Fatalf("%s\n%s", d, text)
		}
		for _, n := range notes {
			if n.Source != keeperDew && n.Source != keeperExtreme && n.Field != "as_of" && n.Field != "place.max_birds" && !houseNote.MatchString(n.Field) {
				t.Errorf("a complete file leaves out %s", n.Field)
			}
		}
		if !bytes.Equal(again.Write(), text) {
			t.Fatal("written again it differs")
		}
		if len(h.Explain()) == 0 {
			t.Fatal("nothing is explained")
		}
	})
}

// FuzzRead holds the reader to two promises: no file brings it down, and what
// it accepts it can write and read again.
func FuzzRead(f *testing.F) {
	for _, pattern := range []string{"testdata/*.toml", "../examples/*.toml"} {
		names, _ := filepath.Glob(pattern)
		for _, name := range names {
			data, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	for _, s := range slipsOfTheHand {
		f.Add([]byte(swap(f, small(f), s.old, s.new)))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		h, _, err := Read(data, "fuzz.toml")
		if err != nil {
			if problems, ok := err.(Problems); !ok || len(problems) == 0 {
				t.Fatalf("refused without a reason: %v", err)
			}
			return
		}
		text := h.Write()
		again, _, err := Read(text, "written.toml")
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if d := cmp.Diff(h, again); d != "" {
			t.Fatal(d)
		}
		h.Explain()
	})
}
