package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"henyear/daybook"
	"henyear/internal/browser"
)

// eggsInMachine writes 24 Sussex eggs set in the machine days ago, and returns the
// address of their page.
func eggsInMachine(t testing.TB, h *house, daysAgo int, more ...daybook.Event) string {
	t.Helper()
	id := derivedID("setting of a test")
	on := h.server.date().AddDays(-daysAgo)
	events := append([]daybook.Event{rawEvent(freshID(), "setting", on, time.Now().Add(-2*time.Hour), "",
		map[string]any{"setting": id.String(), "eggs": 24, "under": "machine", "breed": "sussex", "laid_from": on.AddDays(-6).String(), "laid_to": on.String()})}, more...)
	if outcomes, err := h.book.AddEvents(t.Context(), events, time.Now()); err != nil || outcomes[0].Why != nil {
		t.Fatal(outcomes, err)
	}
	return "/work/hatch/s-" + id.String()
}

func (h *house) post(path string, pairs ...string) *httptest.ResponseRecorder {
	form := url.Values{"id": {freshID().String()}, "second_id": {freshID().String()}, "new_group": {freshID().String()}, "happened_on": {h.server.date().String()}}
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Add(pairs[i], pairs[i+1])
	}
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i] != "signs" {
			form.Set(pairs[i], pairs[i+1])
		}
	}
	return h.send(request("POST", path, form))
}

func plainSpaces(text string) string { return strings.ReplaceAll(text, "\u00a0", " ") }

func TestEverySettingHasASheetAndWordsForEachOfItsDays(t *testing.T) {
	h := stocked(t)
	path := eggsInMachine(t, h, 7)
	_, list := h.get(t, "/work/hatch")
	if !strings.Contains(list, path) || !strings.Contains(list, "24 eggs, Sussex, in the machine") {
		t.Error("the setting is not in the list")
	}
	for _, query := range []string{"", "?air=still", "?hour=6&want=3"} {
		code, text := h.get(t, path+query)
		if code != 200 || strings.Contains(text, "[hatchday") || strings.Contains(text, "%!") {
			t.Errorf("%s: %d", query, code)
		}
	}
	if _, text := h.get(t, path+"?air=still"); !strings.Contains(plainSpaces(text), "38.9 °C") {
		t.Error("still air is not warmer")
	}
}

func TestWeightsAndCandlingsAreWrittenDownAndJudged(t *testing.T) {
	h := stocked(t)
	path := eggsInMachine(t, h, 7)
	if w := h.post(path+"/look", "weighed", "24", "weight_g", "1392", "happened_on", h.server.date().AddDays(-7).String()); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	if w := h.post(path+"/look", "clear", "4", "blood_ring", "1", "weighed", "19", "weight_g", "1085", "humidity_pct", "60"); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	list := h.written(t, "candling")
	if len(list) != 2 || !strings.Contains(string(list[1].Payload), `"dead":1`) || list[1].Version != 2 {
		t.Fatalf("%v", list)
	}
	_, text := h.get(t, path)
	text = plainSpaces(text)
	for _, want := range []string{"Too heavy", "1.5 % lost", "Drier air", "4 found; usual ", "19</b> eggs", "Chance that at least"} {
		if want == "Chance that at least" {
			_, text = h.get(t, path+"?want=6")
		}
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the page", want)
		}
	}
}

func TestTheBreakOutAsksForTheAlarmBeforeItRanksCauses(t *testing.T) {
	h := stocked(t)
	path := eggsInMachine(t, h, 23)
	if w := h.post(path+"/opened", "chicks", "10", "clear", "3", "dead_in_shell", "10", "wrong_way", "1", "pipped_dead", "1", "signs", "sticky", "signs", "slow", "group", "new", "group_name", "Spring chicks"); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	_, text := h.get(t, path)
	if !strings.Contains(text, say("hatchday.ask")) || strings.Contains(text, say("hatchday.causes")) {
		t.Error("causes are ranked before the keeper was asked")
	}
	_, text = h.get(t, path+"?alarm=yes")
	if !strings.Contains(text, "ring the vet") || strings.Contains(text, say("hatchday.causes")) {
		t.Error("an alarm does not stop the ranking")
	}
	_, text = h.get(t, path+"?alarm=no")
	if !strings.Contains(text, say("hatchday.causes")) || strings.Contains(text, "[hatchday") || strings.Contains(text, "%!") {
		t.Error("no causes")
	}
	if _, flock := h.get(t, "/daybook/flock"); !strings.Contains(flock, "Spring chicks") {
		t.Error("the chicks began no group")
	}
	// More was found later: the record is corrected, and the chicks stay in their group.
	group := ""
	for _, e := range h.written(t, "group") {
		if strings.Contains(string(e.Payload), "Spring chicks") {
			group = strings.Split(strings.Split(string(e.Payload), `"group":"`)[1], `"`)[0]
		}
	}
	if w := h.post(path+"/opened", "chicks", "10", "clear", "2", "mid_dead", "1", "dead_in_shell", "10", "pipped_dead", "1", "group", group); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	hatches := h.written(t, "hatch")
	if len(hatches) != 2 || hatches[1].Supersedes[0] != hatches[0].ID || !strings.Contains(string(hatches[1].Payload), `"mid_dead":1`) || strings.Contains(string(hatches[1].Payload), "signs") {
		t.Errorf("%v", hatches)
	}
}

func TestWhatCannotBeOfASettingIsAskedForAgain(t *testing.T) {
	h := stocked(t)
	path := eggsInMachine(t, h, 7)
	for name, w := range map[string]*httptest.ResponseRecorder{
		"letters":         h.post(path+"/look", "clear", "some"),
		"negative":        h.post(path+"/look", "clear", "-1"),
		"half an egg":     h.post(path+"/look", "clear", "1.5"),
		"NaN":             h.post(path+"/look", "weighed", "3", "weight_g", "NaN"),
		"a weight alone":  h.post(path+"/look", "weight_g", "900"),
		"goose eggs":      h.post(path+"/look", "weighed", "3", "weight_g", "900"),
		"no date":         h.post(path+"/look", "clear", "1", "happened_on", "soon"),
		"rings over dead": h.post(path+"/look", "dead", "1", "blood_ring", "2"),
		"too many chicks": h.post(path+"/opened", "chicks", "30", "group", "new", "group_name", "x"),
		"no group name":   h.post(path+"/opened", "chicks", "3", "group", "new", "group_name", ""),
		"a strange sign":  h.post(path+"/opened", "chicks", "0", "signs", "hiccups"),
		"wrong over late": h.post(path+"/opened", "chicks", "0", "wrong_way", "2"),
	} {
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), `class="error"`) {
			t.Errorf("%s: %d", name, w.Code)
		}
	}
	if n := len(h.written(t, "candling")) + len(h.written(t, "hatch")); n != 0 {
		t.Errorf("%d records were kept", n)
	}
	for path, want := range map[string]int{"/work/hatch/nothing": 404, "/work/hatch/s-" + freshID().String(): 404, path + "?hour=99": 422, path + "?want=many": 422, path + "?want=5000": 422} {
		if code, _ := h.get(t, path); code != want {
			t.Errorf("%s: %d, want %d", path, code, want)
		}
	}
	h.shelf.holding.Place.Climate.LatitudeDeg = 78
	if code, _ := h.get(t, path); code != 200 {
		t.Errorf("78 N: %d", code)
	}
}

func TestTheHatchDayServesEverybody(t *testing.T) {
	h := stocked(t)
	path := eggsInMachine(t, h, 14)
	h.post(path+"/look", "weighed", "24", "weight_g", "1392", "happened_on", h.server.date().AddDays(-14).String())
	h.post(path+"/look", "clear", "4", "blood_ring", "1", "weighed", "19", "weight_g", "1050", "humidity_pct", "60", "happened_on", h.server.date().AddDays(-7).String())
	done := stocked(t)
	ended := eggsInMachine(t, done, 23)
	done.post(ended+"/opened", "chicks", "10", "clear", "3", "dead_in_shell", "10", "pipped_dead", "1", "signs", "sticky", "group", "new", "group_name", "Spring chicks")
	for name, view := range looks {
		t.Run(name, func(t *testing.T) {
			tab := browser.Open(t, h.web.URL+"/work/hatch", view)
			lookAt(t, tab, name, "/hatches")
			tab.Go(h.web.URL + path)
			lookAt(t, tab, name, "/hatch-going")
			tab.Go(done.web.URL + ended + "?alarm=no")
			lookAt(t, tab, name, "/hatch-ended")
			tab.Go(done.web.URL + ended)
			lookAt(t, tab, name, "/hatch-asked")
		})
	}
}
