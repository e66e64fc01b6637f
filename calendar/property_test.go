package calendar

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
)

var rewrite = flag.Bool("rewrite", false, "write the lists in testdata/golden anew")

// drawnWork is an example on some day, with trips drawn anywhere.
func drawnWork(t *rapid.T) Input {
	name := rapid.SampledFrom([]string{"valley", "plain", "forest"}).Draw(t, "holding")
	in := exampleWork(t, name, "2027-01-01")
	in.Today = civil("2026-12-01").AddDays(rapid.IntRange(0, 1200).Draw(t, "today"))
	in.Holding.Means.Away = nil
	for range rapid.IntRange(0, 4).Draw(t, "trips") {
		from := civil("2027-01-01").AddDays(rapid.IntRange(0, 1090).Draw(t, "from"))
		in.Holding.Means.Away = append(in.Holding.Means.Away, holding.Away{From: from, To: from.AddDays(rapid.IntRange(0, 30).Draw(t, "days"))})
	}
	in.Holding.Means.WillKill = rapid.Bool().Draw(t, "kills")
	in.Plan.Lights = rapid.Bool().Draw(t, "lights")
	return in
}

func TestAnyListIsSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawnWork(t)
		l := listed(t, in)
		seen := map[string]bool{}
		away := func(d measure.Date) bool {
			for _, a := range in.Holding.Means.Away {
				if !d.Before(a.From) && !a.To.Before(d) {
					return true
				}
			}
			return false
		}
		for i, x := range l.Tasks {
			if x.On.Before(x.First) || x.Last.Before(x.On) {
				t.Fatalf("%s: %s is not from %s to %s", x.ID, x.On, x.First, x.Last)
			}
			if seen[x.ID] {
				t.Fatalf("%s is listed twice", x.ID)
			}
			seen[x.ID] = true
			if i > 0 && x.On.Before(l.Tasks[i-1].On) {
				t.Fatalf("%s is out of order", x.ID)
			}
			// Nobody could have known of a trip that lies in the past by now.
			hatches := strings.HasSuffix(x.ID, "/hatch") || strings.HasSuffix(x.ID, "/arrive")
			if (hatches || strings.Contains(x.ID, "/butcher")) && x.State == Ahead && away(x.On) {
				t.Fatalf("%s on %s, while nobody is at home (today %s)", x.ID, x.On, in.Today)
			}
			if hatches && x.State == Ahead {
				for d := range chickDays {
					if away(x.On.AddDays(d)) && x.On.AddDays(-21).DaysSince(in.Today) >= 0 {
						t.Fatalf("%s on %s: chicks of %d days are left alone", x.ID, x.On, d)
					}
				}
			}
			switch {
			case x.State == Ahead && !in.Today.Before(x.First), x.State == Due && (in.Today.Before(x.First) || x.Last.Before(in.Today)),
				x.State == Missed && (!x.Last.Before(in.Today) || x.Matters == nil), x.State == Done && x.DoneOn.IsZero():
				t.Fatalf("%s from %s to %s is %s on %s", x.ID, x.First, x.Last, x.State, in.Today)
			}
		}
		again := listed(t, in)
		a, _ := json.Marshal(l)
		b, _ := json.Marshal(again)
		if string(a) != string(b) {
			t.Fatal("the same input gave two lists")
		}
	})
}

func TestALotSetNDaysLaterHasItsJobsNDaysLater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(-20, 20).Draw(t, "days")
		on := civil("2027-03-01").AddDays(n)
		in := exampleWork(t, "valley", on.AddDays(1).String())
		in.Holding.Means.Away = nil
		in.Plan.Batches = onlyBatch(in.Plan, marchLot)
		before := listed(t, Input{Holding: in.Holding, Plan: in.Plan, Today: civil("2027-01-01")})
		w := &writer{t: t}
		w.set(on.String(), "sussex", rapid.SampledFrom([]string{"machine"}).Draw(t, "under"), 16)
		after := listed(t, w.in(in))
		moved := 0
		for _, x := range before.Tasks {
			if !strings.HasPrefix(x.ID, marchLot+"/") || x.On.Before(civil("2027-03-02")) || strings.Contains(x.ID, "culled") {
				continue
			}
			y := taskByID(after, x.ID)
			if y == nil {
				t.Fatalf("%s is lost", x.ID)
			}
			if y.First.DaysSince(x.First) != n || y.Last.DaysSince(x.Last) != n {
				t.Fatalf("%s moved by %d and %d days, not %d", x.ID, y.First.DaysSince(x.First), y.Last.DaysSince(x.Last), n)
			}
			if (y.Moved != nil) != (n != 0) {
				t.Fatalf("%s does not say why it moved: %v", x.ID, y.Moved)
			}
			moved++
		}
		if moved < 25 {
			t.Fatalf("only %d jobs follow", moved)
		}
	})
}

func onlyBatch(p *plan.Plan, id string) []plan.Batch {
	for _, b := range p.Batches {
		if b.ID == id {
			return []plan.Batch{b}
		}
	}
	return nil
}

func TestEveryTickClosesItsJobAndNoOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawnWork(t)
		in.Today = civil("2027-01-01").AddDays(rapid.IntRange(0, 1000).Draw(t, "day"))
		w := &writer{t: t}
		w.put(in.Plan.AsOf.String(), noteOf("begun"))
		l := listed(t, w.in(in))
		open := l.With(Due)
		if len(open) == 0 {
			t.Skip()
		}
		x := open[rapid.IntRange(0, len(open)-1).Draw(t, "job")]
		w.put(in.Today.String(), doneOf(x.ID))
		once := listed(t, w.in(in))
		if y := taskByID(once, x.ID); y == nil || y.State != Done || y.DoneOn != in.Today {
			t.Fatalf("%s was ticked, but is %v", x.ID, y)
		}
		w.put(in.Today.String(), doneOf(x.ID))
		twice := listed(t, w.in(in))
		if d := cmp.Diff(once, twice); d != "" {
			t.Fatalf("a second tick changes the list: %s", d)
		}
		_, step := cutLast(x.ID)
		if step == "set" || step == "hatch" || step == "arrive" {
			return // what follows moves
		}
		for _, o := range open {
			sameRound := x.Every > 0 && strings.Split(x.ID, "/")[0] == strings.Split(o.ID, "/")[0]
			if y := taskByID(once, o.ID); o.ID != x.ID && !sameRound && (y == nil || y.State != o.State) && !strings.HasSuffix(o.ID, "last-good-week") {
				t.Fatalf("ticking %s changed %s", x.ID, o.ID)
			}
		}
	})
}

// TestTheMonthOfEachExample reads as a keeper would: the day, the job, who and how
// long. March brings the valley its hatch, September the plain its own, August the
// forest its butcher day.
func TestTheMonthOfEachExample(t *testing.T) {
	for name, month := range map[string]string{"valley": "2027-03", "plain": "2027-09", "forest": "2027-08"} {
		in := exampleWork(t, name, month+"-01")
		in.From, in.To = in.Today, in.Today.AddDays(30)
		w := &writer{t: t}
		w.put(in.Plan.AsOf.String(), noteOf("begun"))
		// What the plan has hatched by then did hatch.
		for _, b := range in.Plan.Batches {
			if b.EggsSet > 0 && b.Set.Before(in.Today) {
				setting := w.set(b.Set.String(), b.Breed, "machine", b.EggsSet)
				if b.Hatched.Before(in.Today) {
					w.put(b.Hatched.String(), hatchOf(setting, w.id(), int(b.Chicks)))
				}
			}
		}
		l := listed(t, w.in(in))
		var text strings.Builder
		for _, day := range l.Days() {
			for _, x := range day.Tasks {
				fmt.Fprintf(&text, "%s  %-6s  %-7s  %3.0f min  %s\n    %s\n", x.On, x.State, x.Who, x.Minutes, x.ID, x.What.Text)
				for _, s := range []*daybookSentence{x.Moved, x.Away, x.Matters} {
					if s != nil {
						fmt.Fprintf(&text, "    (%s)\n", s.Text)
					}
				}
			}
		}
		for _, n := range l.Notes {
			fmt.Fprintf(&text, "Note: %s\n", n.Text)
		}
		for _, week := range l.Load {
			fmt.Fprintf(&text, "%s: %.0f minutes\n", week.Week, week.Minutes)
		}
		file := filepath.Join("testdata", "golden", name+"-"+month+".txt")
		if *rewrite {
			if err := os.WriteFile(file, []byte(text.String()), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(string(want), text.String()); d != "" {
			t.Errorf("%s: %s", file, d)
		}
	}
}
