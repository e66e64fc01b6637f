package housing

import (
	"testing"

	"henyear/source"
)

func needOf(t *testing.T, needs []Need, standard, item string) Need {
	t.Helper()
	for _, n := range needs {
		if n.Standard == standard && n.Item == item {
			return n
		}
	}
	t.Fatalf("%s says nothing of %s", standard, item)
	return Need{}
}

func TestEveryStandardStandsBesideTheHolding(t *testing.T) {
	have := Unknown()
	have.FloorM2, have.PerchM, have.Nests, have.RunM2 = 5, 3, 3, 20
	have.PopHoles, have.PopHighM, have.PopWidM = 1, 0.40, 0.35
	needs := Needs(have, []Stock{{"hen", 40, 2.2, 14}, {"cock", 50, 3.0, 1}})
	law := needOf(t, needs, "European Union laying hens", "floor")
	if !law.Meets || !law.Known || law.Required < 1.66 || law.Required > 1.67 {
		t.Errorf("%+v", law)
	}
	run := needOf(t, needs, "European Union free range", "run")
	if run.Meets || run.Required != 60 || run.Have != 20 {
		t.Errorf("%+v", run)
	}
	nests := needOf(t, needs, "RSPCA laying hens 2017", "nests")
	if nests.Required != 3 || !nests.Meets {
		t.Errorf("cocks want no nest: %+v", nests)
	}
	trough := needOf(t, needs, "European Union laying hens", "trough")
	if trough.Known || trough.Meets {
		t.Errorf("%+v", trough)
	}
	if flock := needOf(t, needs, "European Union organic", "flock"); !flock.Meets || !flock.AtMost || flock.Have != 15 {
		t.Errorf("%+v", flock)
	}
	if pop := needOf(t, needs, "RSPCA laying hens 2017", "pop_high"); pop.Meets {
		t.Errorf("%+v", pop)
	}
	own := needOf(t, needs, Household, "floor")
	if own.Required < 14*0.30 || own.Required > 15*0.37 {
		t.Errorf("%+v", own)
	}
	for _, n := range needs {
		if _, ok := source.Lookup(n.Source); !ok || n.Required <= 0 {
			t.Errorf("%+v", n)
		}
		if _, ok := itemUnits[n.Item]; !ok {
			t.Errorf("unit of %s", n.Item)
		}
	}
}

func TestBirdsWithoutARunWantMoreFloor(t *testing.T) {
	have := Unknown()
	have.RunM2 = 0
	n := needOf(t, Needs(have, []Stock{{"hen", 40, 2, 10}}), Household, "floor")
	if n.Required != 7.5 {
		t.Errorf("%+v", n)
	}
}

func TestClassesInOneHouseAddUp(t *testing.T) {
	needs := Needs(Unknown(), []Stock{{"hen", 40, 2, 6}, {"grower", 12, 1.5, 14}, {"meat", 8, 2.1, 20}})
	floor := needOf(t, needs, "European Union organic", "floor")
	want := 6*0.167 + 14*1.5/21 + 20*2.1/21
	near(t, "floor", floor.Required, want, 1e-9)
}

func TestNoBirdsNoNeeds(t *testing.T) {
	if n := Needs(Unknown(), nil); len(n) != 0 {
		t.Errorf("%+v", n)
	}
	if n := Needs(Unknown(), []Stock{{"chick", 2, 0.2, 20}}); len(n) == 0 || n[0].Standard != Household {
		t.Errorf("%+v", n)
	}
}

func TestRulesAreReadAndUsed(t *testing.T) {
	rules, err := loadRules()
	if err != nil {
		t.Fatal(err)
	}
	pers := map[string]bool{"m2_bird": true, "m_bird": true, "birds_each": true, "floor_share": true, "kg_m2": true, "m": true, "m_floor_m2": true, "most": true}
	for _, r := range rules {
		if !pers[r.per] || r.value <= 0 {
			t.Errorf("%+v", r)
		}
	}
}
