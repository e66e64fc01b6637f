package web

import (
	"net/http"
	"reflect"
	"strings"
	"testing"

	"henyear/holding"
	"henyear/housing"
	"henyear/measure"
)

func TestAHouseIsToldThroughTheForm(t *testing.T) {
	h := open(t, nil).settled(t)
	form := sent(h.shelf.holding)
	house := h.shelf.holding.Means.Houses[0]
	for name, value := range map[string]string{
		"length": measure.Round(house.AreaM2/2, 2), "width": "2", "wall": "boards 18, mineral-wool 50 between, plywood 12",
		"window": "0", "vent": "0,4", "shelter": "open", "litter": "15", "boards": "yes", "draught": "0.5", "pop-holes": "1", "pop-high": "35", "drinkers": "3",
	} {
		form.Set("house-0-"+name, value)
	}
	form.Set("netted", "60")
	form.Set("no-shade", "yes")
	form.Del("shade")
	if w := h.send(request("POST", "/change", form)); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, faultOf(w.Body.String()))
	}
	now := h.shelf.holding
	got := now.Means.Houses[0]
	b := got.Build
	if b == nil || b.WidthM != 2 || len(b.Walls.Layers) != 3 || !b.Walls.Layers[1].Between || len(b.Roof.Layers) == 0 || len(b.Floor.Layers) == 0 {
		t.Fatalf("%+v", b)
	}
	if b.WindowM2 != 0 || b.Vents.AreaM2 != 0.4 || b.Vents.WindPart != 0.65 || !got.Insulated {
		t.Errorf("%+v insulated %v", b, got.Insulated)
	}
	if got.LitterCM != 15 || !got.BoardsClean || got.DraughtMS != 0.5 || got.PopHoles != 1 || got.PopHighM != 0.35 || got.DrinkerCups != 3 || now.Place.NettedM2 != 60 || !now.Means.NoShade {
		t.Errorf("%+v netted %g", got, now.Place.NettedM2)
	}
	h.settled(t)

	// The measures emptied, the house is as before it was told.
	form = sent(now)
	form.Del("house-0-length")
	form.Del("house-0-width")
	if w := h.send(request("POST", "/change", form)); w.Code != http.StatusSeeOther || h.shelf.holding.Means.Houses[0].Build != nil {
		t.Errorf("%d %+v", w.Code, h.shelf.holding.Means.Houses[0].Build)
	}
	h.settled(t)
}

func faultOf(page string) string {
	_, rest, _ := strings.Cut(page, `id="faults">`)
	rest, _, _ = strings.Cut(rest, "</div>")
	return rest
}

func TestAHouseToldWronglyGetsASentenceAtEachBox(t *testing.T) {
	h := open(t, nil).settled(t)
	before := versionOf(h.shelf.holding)
	for _, c := range []struct{ name, value, want string }{
		{"house-0-wall", "gingerbread 20", "names no material known here"},
		{"house-0-wall", "boards", "without its thickness"},
		{"house-0-vent", "0.3", "Write the inner length too"},
		{"house-0-length", "0", "Write a figure from 0.3 to 100."},
		{"house-0-width", "900", "Write a figure from 0.3 to 100."},
		{"house-0-length", "2", "Write the inner width too"},
		{"house-0-window", "-2", "Write a figure from 0 to 1000."},
		{"house-0-shelter", "gale", "is not one of the choices"},
		{"house-0-draught", "nan", "is not a figure"},
		{"house-0-drinkers", "2.5", "is not a whole number"},
		{"netted", "-5", "Write a figure from 0"},
	} {
		form := sent(h.shelf.holding)
		form.Set(c.name, c.value)
		w := h.send(request("POST", "/change", form))
		if page := w.Body.String(); w.Code != http.StatusUnprocessableEntity || !strings.Contains(page, c.want) || !strings.Contains(page, `<details id="fold-house" open>`) {
			t.Errorf("%s = %s: %d %s", c.name, c.value, w.Code, faultOf(page))
		}
	}
	form := sent(h.shelf.holding)
	form.Set("house-0-length", "1")
	form.Set("house-0-width", "1")
	if w := h.send(request("POST", "/change", form)); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "does not fit length by width") {
		t.Errorf("a house smaller than its floor: %d", w.Code)
	}
	form = sent(h.shelf.holding)
	form.Set("no-shade", "yes")
	form.Set("shade", "20")
	if w := h.send(request("POST", "/change", form)); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), say("field.shade.both")) {
		t.Errorf("shade and none: %d", w.Code)
	}
	if versionOf(h.shelf.holding) != before {
		t.Error("a wrong form was kept")
	}
}

// A told house goes through the form untouched in either system of units.
func TestAToldHouseStaysAsExactAsItWas(t *testing.T) {
	for _, u := range []measure.Units{measure.Metric, measure.US} {
		h := open(t, func(_ *written, s *shelf) {
			house := &s.holding.Means.Houses[0]
			b := housing.UsualBuild(house.AreaM2, true)
			b.Vents = housing.Vents{AreaM2: 0.37, RiseM: 0.71, WindPart: 0.3}
			b.Roof.Layers[1].MM = 101.37
			house.Build, house.Insulated, house.LitterCM, house.PopHighM, house.DraughtMS = &b, true, 7.3, 0.333, 0.123
			s.holding.Units, s.holding.Place.NettedM2 = u, 33.3
		})
		before := h.shelf.holding.Clone()
		if w := h.send(request("POST", "/change", sent(h.shelf.holding))); w.Code != http.StatusSeeOther {
			t.Fatalf("%d %s", w.Code, faultOf(w.Body.String()))
		}
		if !reflect.DeepEqual(before, h.shelf.holding) {
			t.Errorf("%s: the holding changed", u)
		}
		form := sent(h.shelf.holding)
		form.Set("house-0-floor", "shavings 60 mm, boards 3/4 in")
		if w := h.send(request("POST", "/change", form)); w.Code != http.StatusSeeOther {
			t.Fatalf("%d %s", w.Code, faultOf(w.Body.String()))
		}
		after := h.shelf.holding
		want, threeQuarters := before.Means.Houses[0].Build, 0.75
		want.Floor = housing.Section{Layers: []housing.Layer{{Material: "shavings", MM: 60}, {Material: "softwood", MM: threeQuarters * measure.MMPerInch}}}
		if !reflect.DeepEqual(*want, *after.Means.Houses[0].Build) {
			t.Errorf("%s: %+v", u, after.Means.Houses[0].Build)
		}
	}
}

func TestTheFormTellsWindAtTheVentsAsTheFileDoes(t *testing.T) {
	h := open(t, nil)
	b := housing.UsualBuild(h.shelf.holding.Means.Houses[0].AreaM2, false)
	for word, part := range windParts {
		if word == "" {
			continue
		}
		b.Vents.WindPart = part
		h.shelf.holding.Means.Houses[0].Build = &b
		again, _, err := holding.Read(h.shelf.holding.Write(), "written.toml")
		if err != nil {
			t.Fatal(err)
		}
		if got := again.Means.Houses[0].Build.Vents.WindPart; got != part {
			t.Errorf("%s is %g in the form and %g in the file", word, part, got)
		}
	}
}
