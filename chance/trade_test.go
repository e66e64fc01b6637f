package chance

import (
	"math"
	"testing"

	"henyear/bird"
	"henyear/hatch"
)

// aLife is a runner in the middle of a life, stopped at the beginning of a week.
func aLife(t *testing.T, w *World, replicate uint64, week int) *runner {
	t.Helper()
	r := w.newRunner()
	r.streams = streams{}
	seeds := seedsOf(8)
	r.streams = newStreams(&seeds, replicate)
	r.reset()
	w.spread.levels(r.level, w.yearOf, &r.streams)
	w.spread.weather(r.bin, &r.streams)
	r.raid, r.fever = r.streams.open(ofRaid, 0), r.streams.open(ofIllness, 0)
	for y := range r.foxes {
		r.foxes[y] = 1
	}
	for k := range week {
		r.arrivals(k)
		r.leave(k)
		r.settings(k)
		r.week(k)
		r.raids(k)
		r.pantry(k)
	}
	return r
}

func hensOf(r *runner) *lot {
	for i := range r.lots {
		if l := &r.lots[i]; l.begun && len(l.hens.birds) > 2 {
			return l
		}
	}
	return nil
}

// Hossen 2010: a hen that hatches and rears is out of lay for 124 days less her 17
// of laying; the usual profile here is eleven weeks (see package hatch).
func TestHenThatSitsLaysNothingForElevenWeeks(t *testing.T) {
	w := valleyWorld(t, UsualSpread())
	r := aLife(t, w, 1, 20)
	l := hensOf(r)
	l.hens.birds = l.hens.birds[:1]
	hen := &l.hens.birds[0]
	hen.state = bird.State{Stage: bird.Broody, Year: 1}
	l.broody = 20
	for i := range r.lots {
		if &r.lots[i] != l {
			r.lots[i].broody = -1000
		}
	}
	if !r.sit(l, 20) {
		t.Fatal("a broody hen is there and takes no eggs")
	}
	if r.sit(l, 20) {
		t.Error("the same hen takes a second setting")
	}
	eggs, weeks := 0, hatch.UsualProfile().Weeks()
	for k := range weeks {
		hen.doom = 100
		eggs += l.hens.hens(20+k, l.hens.side.at(20+k, 0, 0), 1, 0.5, 1).eggs
	}
	if weeks != 11 || eggs != 0 {
		t.Errorf("%d eggs in the %d weeks in which she sits, rears and recovers", eggs, weeks)
	}
}

// Hutt 1949, by way of package hatch: fertility is half gone twelve days after the
// cock, and nearly all after three weeks.
func TestEggsLaidLongAfterTheLastCockHatchNothing(t *testing.T) {
	w := valleyWorld(t, UsualSpread())
	r := aLife(t, w, 2, 8)
	b := ownBatch(t, w)
	with := r.fertility(b, 8)
	for i := range r.lots {
		r.lots[i].cocks.birds = r.lots[i].cocks.birds[:0]
	}
	r.noMan = 1
	week := r.fertility(b, 8)
	r.noMan = 4
	month := r.fertility(b, 8)
	if with < 0.6 || week > with || week < 0.5*with || month > 0.05 {
		t.Errorf("fertility %.2f with cocks, %.2f a week after, %.2f a month after", with, week, month)
	}
}

func ownBatch(t *testing.T, w *World) *batch {
	t.Helper()
	for i := range w.batches {
		if w.batches[i].own {
			return &w.batches[i]
		}
	}
	t.Fatal("the plan hatches nothing")
	return nil
}

// A frost-bitten cock is poor in fertility for four to six weeks (common practice, no
// source).
func TestCocksWithSoreCombsFillFewerEggs(t *testing.T) {
	w := valleyWorld(t, UsualSpread())
	r := aLife(t, w, 3, 8)
	b := ownBatch(t, w)
	sound := r.fertility(b, 8)
	for i := range r.lots {
		r.lots[i].frozen = 10
	}
	if sore := r.fertility(b, 8); math.Abs(sore/sound-0.70) > 0.01 {
		t.Errorf("fertility %.2f sound, %.2f sore", sound, sore)
	}
}

func TestHalfTheChicksArePulletsAndSomeSettingsGiveNone(t *testing.T) {
	w := valleyWorld(t, UsualSpread())
	r := w.newRunner()
	seeds := seedsOf(8)
	b := ownBatch(t, w)
	pullets, cockerels, none, lives := 0, 0, 0, 2000
	for i := range lives {
		r.streams = newStreams(&seeds, uint64(i))
		r.reset()
		l := &r.lots[0]
		for k := range r.lots {
			if r.lots[k].b == b {
				l = &r.lots[k]
			}
		}
		r.laid[0][b.breedNo], r.store[0] = 60, 60
		r.set(l, b.set)
		l.tries = 2 // not set again
		r.hatches(l, b.hatch)
		pullets += len(l.hens.birds)
		cockerels += len(l.cocks.birds)
		if len(l.hens.birds)+len(l.cocks.birds) == 0 {
			none++
		}
	}
	share := float64(pullets) / float64(pullets+cockerels)
	if se := 0.5 / math.Sqrt(float64(pullets+cockerels)); math.Abs(share-0.5) > 4*se {
		t.Errorf("%.3f of the chicks are pullets", share)
	}
	lost := hatch.WholeSettingLoss(b.method)
	if got := float64(none) / float64(lives); got < lost-0.02 {
		t.Errorf("%.3f of settings give nothing, at least %.3f are lost whole", got, lost)
	}
}

// Selection takes poorer hens than the flock's mean, though a keeper's eye is wrong
// half the time (common practice, no source).
func TestCullTakesPoorerHens(t *testing.T) {
	w := valleyWorld(t, UsualSpread())
	culled, kept, n := 0.0, 0.0, 0
	for i := range uint64(400) {
		r := aLife(t, w, i, 10)
		l := hensOf(r)
		before := 0.0
		for k := range l.hens.birds {
			before += float64(l.hens.birds[k].own)
		}
		had := len(l.hens.birds)
		r.takePoorest(l, 2, &potOrder, 10)
		after := 0.0
		for k := range l.hens.birds {
			after += float64(l.hens.birds[k].own)
		}
		if len(l.hens.birds) != had-2 {
			t.Fatalf("%d of %d hens are left after two were taken", len(l.hens.birds), had)
		}
		culled += (before - after) / 2
		kept += after / float64(had-2)
		n++
	}
	culled, kept = culled/float64(n), kept/float64(n)
	if culled > -0.2 || kept < 0.05 {
		t.Errorf("culled hens are %.2f, kept ones %.2f standard deviations from the mean", culled, kept)
	}
}

// British flocks of under 200 birds lost from none to a quarter to foxes: all or
// nothing (The Fox Website, Foxes and poultry). A hawk takes one.
func TestARaidTakesOneOrHalfThePen(t *testing.T) {
	w := valleyWorld(t, UsualSpread())
	most, least := 0, 100
	for i := range uint64(300) {
		r := aLife(t, w, i, 12)
		before := 0
		for k := range r.lots {
			before += len(r.lots[k].hens.birds) + len(r.lots[k].cocks.birds)
		}
		r.raidPen(pen{n: before, ground: 1e6}, 12, 1, -1, len(r.lots))
		after := 0
		for k := range r.lots {
			after += len(r.lots[k].hens.birds) + len(r.lots[k].cocks.birds)
		}
		most, least = max(most, before-after), min(least, before-after)
		r.raidPen(pen{n: after, hawks: 1e6}, 12, 1, -1, len(r.lots))
		hawk := after
		for k := range r.lots {
			hawk -= len(r.lots[k].hens.birds) + len(r.lots[k].cocks.birds)
		}
		if hawk != 1 {
			t.Fatalf("a hawk took %d", hawk)
		}
	}
	if least != 1 || most < 6 {
		t.Errorf("foxes took from %d to %d", least, most)
	}
}
