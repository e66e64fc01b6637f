package web

import (
	"bufio"
	"compress/gzip"
	"encoding/csv"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"

	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
)

func request(method, path string, form url.Values) *http.Request {
	var body io.Reader
	if form != nil {
		body = strings.NewReader(form.Encode())
	}
	r := httptest.NewRequest(method, path, body)
	r.Host = "localhost:8080"
	if form != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	return r
}

func (h *house) send(r *http.Request) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	h.server.Handler().ServeHTTP(w, r)
	return w
}

var everyPage = []string{"/", "/odds", "/breeds", "/place", "/place/weather", "/change", "/sources", "/evidence", "/notices", "/daybook", "/daybook/last", "/daybook/flock", "/daybook/import", "/work", "/work/calendar", "/tables"}

func TestEveryPageCarriesTheStrictPolicyAndNoScriptOrStyleWithin(t *testing.T) {
	h := open(t, nil).settled(t)
	inline := regexp.MustCompile(`(?i)<script(?:[^>]*)>\s*[^<\s]|<style|\sstyle=|\son[a-z]+=|javascript:|https?://(?:[^w]|w[^w])`)
	for _, path := range everyPage {
		w := h.send(request("GET", path, nil))
		if w.Code != 200 {
			t.Errorf("%s: %d", path, w.Code)
		}
		if !strings.HasPrefix(w.Header().Get("Content-Security-Policy"), "default-src 'self';") {
			t.Errorf("%s: policy %q", path, w.Header().Get("Content-Security-Policy"))
		}
		if w.Header().Get("X-Content-Type-Options") != "nosniff" || w.Header().Get("Referrer-Policy") != "same-origin" {
			t.Errorf("%s: headers missing", path)
		}
		if bad := inline.FindString(w.Body.String()); bad != "" && !strings.Contains(bad, "http") {
			t.Errorf("%s holds %q", path, bad)
		}
		if gap := regexp.MustCompile(`\[[a-z_]+\.[a-z_.]+\]|%!|&lt;nil&gt;|NaN`).FindString(w.Body.String()); gap != "" {
			t.Errorf("%s holds the gap %q", path, gap)
		}
	}
}

func TestRequestsUnderAForeignNameAreRefused(t *testing.T) {
	h := open(t, nil)
	for host, want := range map[string]int{"localhost:8080": 200, "127.0.0.1:9": 200, "[::1]:80": 200, "LOCALHOST": 200,
		"farm.example": 421, "localhost.evil.example": 421, "192.168.1.4:8080": 421, "": 421} {
		r := request("GET", "/notices", nil)
		r.Host = host
		if w := h.send(r); w.Code != want {
			t.Errorf("Host %q: %d, want %d", host, w.Code, want)
		}
	}
	h.server.Hosts = []string{"henhouse.lan"}
	r := request("GET", "/notices", nil)
	r.Host = "henhouse.lan:8080"
	if w := h.send(r); w.Code != 200 {
		t.Errorf("a name the keeper allowed: %d", w.Code)
	}
}

func TestFormsFromAnotherSiteAreRefused(t *testing.T) {
	h := open(t, nil)
	for _, path := range []string{"/change", "/stop", "/again", "/odds/surer", "/odds/stop", "/odds/again", "/odds/follow"} {
		r := request("POST", path, url.Values{"minutes": {"1"}})
		r.Header.Set("Sec-Fetch-Site", "cross-site")
		if w := h.send(r); w.Code != http.StatusForbidden {
			t.Errorf("%s: %d", path, w.Code)
		}
		r = request("POST", path, url.Values{"minutes": {"1"}})
		r.Header.Set("Origin", "https://elsewhere.example")
		if w := h.send(r); w.Code != http.StatusForbidden {
			t.Errorf("%s by origin: %d", path, w.Code)
		}
	}
}

func TestAFormLargerThanAnyHoldingIsRefused(t *testing.T) {
	h := open(t, nil)
	w := h.send(request("POST", "/change", url.Values{"minutes": {strings.Repeat("9", maxForm+1)}}))
	if w.Code != http.StatusRequestEntityTooLarge {
		t.Errorf("%d", w.Code)
	}
}

func TestThePlanPageStandsBeforeThereIsAPlan(t *testing.T) {
	h := open(t, func(w *written, _ *shelf) { w.plan, w.hold = nil, make(chan struct{}) })
	code, page := h.get(t, "/")
	if code != 200 || !strings.Contains(page, say("plan.none")) || !strings.Contains(page, say("busy.stop")) {
		t.Errorf("%d %s", code, page)
	}
	if !strings.Contains(page, `<noscript><meta http-equiv="refresh"`) {
		t.Error("without scripts the page would never change")
	}
	for _, path := range []string{"/plan.json", "/weeks.csv", "/breeds.csv", "/breeds.json", "/odds.json", "/drawing/eggs.svg", "/drawing/odds-eggs.svg"} {
		if code, _ := h.get(t, path); code != 404 {
			t.Errorf("%s: %d", path, code)
		}
	}
}

func TestWithoutAHoldingThePagesSayWhatToDo(t *testing.T) {
	h := open(t, func(_ *written, s *shelf) { s.holding = nil })
	for _, path := range everyPage {
		if code, _ := h.get(t, path); code != 200 {
			t.Errorf("%s: %d", path, code)
		}
	}
	if _, page := h.get(t, "/"); !strings.Contains(page, say("empty.lead")) {
		t.Error("the empty page does not say what to do")
	}
}

func TestStoppingKeepsTheBestPlan(t *testing.T) {
	h := open(t, func(w *written, _ *shelf) { w.hold = make(chan struct{}) })
	for {
		st, changed := h.server.job.snapshot()
		if st.plan != nil {
			break
		}
		<-changed
	}
	_, page := h.get(t, "/")
	if !strings.Contains(page, "First plan after 1.4 seconds; now within 3.2\u00a0% of") {
		t.Error("the page does not say how far the work is")
	}
	if w := h.send(request("POST", "/stop", url.Values{})); w.Code != http.StatusSeeOther {
		t.Errorf("stop: %d", w.Code)
	}
	h.settled(t)
	_, page = h.get(t, "/")
	if !strings.Contains(page, "The search was stopped") || strings.Contains(page, say("busy.stop")) {
		t.Error("the page does not say that the search was stopped")
	}
	if h.shelf.plan == nil || h.shelf.plan.Status != "cancelled" {
		t.Error("the best plan was not kept")
	}
}

func TestAPlanKeptEarlierShowsWhileANewOneIsMade(t *testing.T) {
	h := open(t, func(w *written, s *shelf) { s.plan, w.plan, w.hold = w.plan, nil, make(chan struct{}) })
	_, page := h.get(t, "/")
	if !strings.Contains(page, say("busy.kept", "1 January 2026")) || !strings.Contains(page, "drawing-eggs") {
		t.Error("the kept plan is not shown")
	}
}

func TestAFaultOfThePlannerIsToldInASentence(t *testing.T) {
	h := open(t, func(w *written, _ *shelf) { w.fault = errors.New("the house holds no hens; give it a floor") }).settled(t)
	code, page := h.get(t, "/")
	if code != 200 || !strings.Contains(page, "the house holds no hens; give it a floor") {
		t.Errorf("%d", code)
	}
}

func TestThePlanPageSaysTheGapTheJobsAndTheShortfalls(t *testing.T) {
	h := open(t, nil).settled(t)
	_, page := h.get(t, "/")
	for _, want := range []string{"a better one could save at most 43\u00a0EUR, which is 1.6\u00a0% of the outlay", "Keep 17 hens through the winter", "Next job", "Save 24 clean",
		"Where the plan falls short", "Two more pullets hatched", "Take care:", "What holds the plan back", "Worth between 84 and 160 EUR", "Less than we can tell",
		"Buying all the eggs and chicken would cost 548 EUR", `role="img"`, "were not considered", "/sources#practice"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if strings.Count(page, `id="`) != len(unique(regexp.MustCompile(`id="[^"]*"`).FindAllString(page, -1))) {
		t.Error("an id stands twice on the page")
	}
}

func unique(list []string) map[string]bool {
	set := map[string]bool{}
	for _, s := range list {
		set[s] = true
	}
	return set
}

func TestABreedShowsWhatItKeepsAndCostsAndASourceForEachReason(t *testing.T) {
	h := open(t, func(w *written, _ *shelf) {
		w.breeds = []plan.BreedYear{{ID: "sussex", Name: "Sussex", Suits: true, Hens: 16, Cocks: 1, Hatched: 29, Bought: 3, CostPerDozen: 3.42, CostPerKg: 8.08, RenewsItself: true,
			Verdict: plan.Sentence{Text: "Suits: 16 hens give enough; 38 kg for the table."},
			Reasons: []plan.Sentence{{Text: "16 hens give enough", Source: "practice"}, {Text: "38 kg for the table", Source: "guess"}}}}
	}).settled(t)
	_, page := h.get(t, "/breeds")
	for _, want := range []string{"Hens kept: 16; cocks: 1; chicks hatched a year: 29; birds bought a year: 3; eggs at 3.42\u00a0EUR a dozen; meat at 8.08\u00a0EUR a kg; renews itself under its own hens.",
		`16 hens give enough<span class="cite"> <a href="/sources#practice">(source)</a></span>; 38 kg for the table<span class="cite"> <a href="/sources#guess">(source)</a></span>.`, "Lost to predators"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q", want)
		}
	}
}

func TestBirdsThatHatchAfterTheDayOfTheCountAreRefusedBesideTheirField(t *testing.T) {
	h := madeUpHolding()
	h.Birds[0].Hatched = measure.Date{Year: 2031, Month: 1, Day: 1}
	faults := map[string]string{}
	checkRows(h, faults)
	if faults["birds-0-hatched"] == "" || len(faults) != 1 {
		t.Error(faults)
	}
}

func TestEvidenceThatMissesStandsFirstAndIsCounted(t *testing.T) {
	h := open(t, nil)
	_, page := h.get(t, "/evidence")
	if !strings.Contains(page, "3 values are checked: 2 hold, 1 miss for a known reason, 0 miss without one.") {
		t.Error("the counts are not at the top")
	}
	if miss, room := strings.Index(page, "Live weight at 16 weeks"), strings.Index(page, "Hen-day lay at the peak"); miss < 0 || miss > room {
		t.Error("the miss does not stand first")
	}
}

func TestBreedsAreSortedAndFilteredByTheAddress(t *testing.T) {
	h := open(t, nil).settled(t)
	names := func(path string) []string {
		_, page := h.get(t, path)
		var list []string
		for _, m := range regexp.MustCompile(`id="breed-([^"]*)"`).FindAllStringSubmatch(page, -1) {
			list = append(list, m[1])
		}
		return list
	}
	if list := names("/breeds"); len(list) != 7 || list[0] != "leghorn" {
		t.Errorf("those that suit, by cost: %v", list)
	}
	if list := names("/breeds?sort=cost"); len(list) != 10 || list[0] != "leghorn" {
		t.Errorf("all, by cost: %v", list)
	}
	if list := names("/breeds?sort=lean"); list[0] != "hybrid" || list[9] != "cornish-cross" {
		t.Errorf("most eggs in the leanest month first: %v", list)
	}
	if list := names("/breeds?sort=lean&order=rising"); list[0] != "cornish-cross" {
		t.Errorf("fewest first: %v", list)
	}
	if list := names("/breeds?undominated=1&available=1&purpose=dual&sort=cost"); len(list) != 1 {
		t.Errorf("filtered: %v", list)
	}
	if list := names("/breeds?sort=dozen"); list[0] != "hybrid" || list[9] != "cornish-cross" {
		t.Errorf("cheapest eggs first, a breed without eggs last: %v", list)
	}
	if list := names("/breeds?search=silk"); len(list) != 1 || list[0] != "silkie" {
		t.Errorf("by name: %v", list)
	}
	if list := names("/breeds?sort=%22%3E%3Cscript&search=%3Cb%3E"); len(list) != 0 {
		t.Errorf("nonsense: %v", list)
	}
	if _, page := h.get(t, "/breeds?search=%3Cb%3E"); strings.Contains(page, "<b>") {
		t.Error("the search was written unescaped")
	}
}

func TestFilesForASpreadsheetHoldEveryWeekAndNoFormula(t *testing.T) {
	h := open(t, func(w *written, _ *shelf) { w.breeds[0].Name = "=1+1" }).settled(t)
	_, text := h.get(t, "/weeks.csv")
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(rows) != 157 {
		t.Errorf("%d rows, %v", len(rows), err)
	}
	_, text = h.get(t, "/breeds.csv")
	if !strings.Contains(text, "'=1+1") {
		t.Error("a name that looks like a formula was not tamed")
	}
	code, text := h.get(t, "/plan.json")
	var p plan.Plan
	if err := json.Unmarshal([]byte(text), &p); err != nil || code != 200 || len(p.Weeks) != 156 {
		t.Errorf("%d %v", code, err)
	}
	code, text = h.get(t, "/drawing/eggs-narrow.svg")
	if code != 200 || !strings.HasPrefix(text, "<svg") {
		t.Errorf("%d", code)
	}
}

// sent is the form as a browser would send it back untouched.
func sent(h *holding.Holding) url.Values {
	v := url.Values{"version": {versionOf(h)}}
	for name, value := range formFor(h).read(h) {
		if value != "" {
			v.Set(name, value)
		}
	}
	return v
}

func TestAnUntouchedFormChangesNothing(t *testing.T) {
	for _, u := range []measure.Units{measure.Metric, measure.US} {
		h := open(t, func(_ *written, s *shelf) { s.holding.Units = u })
		before := versionOf(h.shelf.holding)
		if w := h.send(request("POST", "/change", sent(h.shelf.holding))); w.Code != http.StatusSeeOther {
			t.Fatalf("%d %s", w.Code, regexp.MustCompile(`class="error"[^<]*<`).FindString(w.Body.String()))
		}
		if after := versionOf(h.shelf.holding); after != before {
			t.Errorf("%s: the holding changed", u)
		}
	}
}

func TestAChangeIsKeptAndPlannedAgain(t *testing.T) {
	h := open(t, nil).settled(t)
	form := sent(h.shelf.holding)
	form.Set("eggs-12", "18")
	form.Set("minutes", "30,5")
	form.Set("house-0-area", "7.5")
	form.Del("broodies")
	form.Set("birds-2-breed", "sussex")
	form.Set("birds-2-number", "4")
	form.Set("birds-2-hatched", "2024-04-02")
	form.Set("sale-0-months", "Nov-Feb, Jun")
	if w := h.send(request("POST", "/change", form)); w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/" {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	now := h.shelf.holding
	if now.Needs.EggsPerWeek(12) != 18 || now.Needs.EggsPerWeek(1) != 15 || now.Means.MinutesADay != 30.5 || now.Means.Houses[0].AreaM2 != 7.5 || now.Means.BroodyHens {
		t.Errorf("%+v", now.Needs.Eggs)
	}
	if len(now.Birds) != 3 || now.Birds[2].ID != "sussex-hens-2024" {
		t.Errorf("%+v", now.Birds)
	}
	if got := monthsText(now.Needs.EggSales[0].Months); got != "Jun, Nov-Feb" {
		t.Errorf("months %s", got)
	}
	st, _ := h.server.job.snapshot()
	if st.version != versionOf(now) {
		t.Error("no new plan was begun")
	}
	h.settled(t)
}

func TestWrongEntriesGetASentenceAndNothingIsLost(t *testing.T) {
	h := open(t, nil).settled(t)
	before := versionOf(h.shelf.holding)
	form := sent(h.shelf.holding)
	form.Set("eggs-1", "a few")
	form.Set("minutes", "-4")
	form.Set("machine", "2.5")
	form.Set("away-1-to", "2026-12-24")
	form.Set("sale-0-months", "Brumaire")
	form.Set("freezer", "155")
	w := h.send(request("POST", "/change", form))
	page := w.Body.String()
	if w.Code != http.StatusUnprocessableEntity {
		t.Fatalf("%d", w.Code)
	}
	for _, want := range []string{"“a few” is not a figure", "Write a figure from 1 to 1440.", "“2.5” is not a whole number", "Write the first day away.", "“Brumaire” is not a month",
		`value="a few"`, `value="155"`, `aria-invalid="true" aria-describedby="minutes-error"`} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if versionOf(h.shelf.holding) != before {
		t.Error("a wrong form was kept")
	}
}

func TestARefusedHoldingIsToldInItsOwnWords(t *testing.T) {
	h := open(t, func(_ *written, s *shelf) {
		s.refuse = holding.Problems{{Field: "brooder_chicks", What: "is too small for the machine", Right: "give room for 24 chicks"}}
	}).settled(t)
	form := sent(h.shelf.holding)
	form.Set("brooder", "2")
	w := h.send(request("POST", "/change", form))
	if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "brooder_chicks is too small for the machine; give room for 24 chicks.") || !strings.Contains(w.Body.String(), `name="brooder" value="2"`) {
		t.Errorf("%d", w.Code)
	}
}

func TestAFormOpenedBeforeAnotherChangeIsNotKept(t *testing.T) {
	h := open(t, nil).settled(t)
	form := sent(h.shelf.holding)
	form.Set("version", "older")
	form.Set("minutes", "40")
	w := h.send(request("POST", "/change", form))
	if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), say("change.meanwhile")) || !strings.Contains(w.Body.String(), `value="40"`) {
		t.Errorf("%d", w.Code)
	}
}

func TestEveryWordOnThePagesHasItsText(t *testing.T) {
	used := map[string]bool{}
	code := regexp.MustCompile(`say(?:Words)?[ (]\(?"([a-z0-9_.]+)"`)
	loose := regexp.MustCompile(`"([a-z]+\.[a-z0-9_.]+)"`)
	read := func(name string) {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range code.FindAllStringSubmatch(string(b), -1) {
			used[m[1]] = true
			if _, ok := english[m[1]]; !ok && !strings.HasSuffix(m[1], ".") {
				t.Errorf("%s: no text for %s", name, m[1])
			}
		}
		for _, m := range loose.FindAllStringSubmatch(string(b), -1) {
			used[m[1]] = true
		}
	}
	for _, dir := range []string{".", "template"} {
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			if strings.HasSuffix(e.Name(), ".go") && !strings.HasSuffix(e.Name(), "_test.go") || strings.HasSuffix(e.Name(), ".html") {
				read(dir + "/" + e.Name())
			}
		}
	}
	built := regexp.MustCompile(`^(nav|task|purpose|breed|source|form|change\.group|entry|choice|standing|begin|sheets|work\.(kind|who)|butcher\.(caution|class|law|line|packing|pot|practice|step)|hatchday\.(air|caution|found|look|opened|sheet|temp|under|weight)|devices\.role)\.|\.title$`)
	for c := range english {
		if !used[c] && !built.MatchString(c) {
			t.Errorf("nobody says %s", c)
		}
	}
}

func TestPagesArePackedForTheWayOverTheAir(t *testing.T) {
	h := open(t, nil).settled(t)
	r := request("GET", "/", nil)
	plain := h.send(r).Body.Len()
	r.Header.Set("Accept-Encoding", "gzip")
	w := h.send(r)
	packed := w.Body.Len()
	unpacked, err := gzip.NewReader(w.Body)
	if err != nil {
		t.Fatal(err)
	}
	if text, err := io.ReadAll(unpacked); err != nil || len(text) != plain || packed > plain/4 {
		t.Errorf("%d bytes packed, %d unpacked, %d plain, %v", packed, len(text), plain, err)
	}
	if h.send(request("GET", "/static/page.css", nil)).Header().Get("Content-Encoding") != "" {
		t.Error("packed for a browser that cannot unpack")
	}
}

func TestProgressIsToldUntilTheWorkEnds(t *testing.T) {
	hold := make(chan struct{})
	h := open(t, func(w *written, _ *shelf) { w.hold = hold })
	answer, err := http.Get(h.web.URL + "/progress")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	lines := bufio.NewScanner(answer.Body)
	if !lines.Scan() || !strings.HasPrefix(lines.Text(), "data: {") || !strings.Contains(lines.Text(), `"running":true`) {
		t.Fatalf("the first report is %q", lines.Text())
	}
	close(hold)
	last := ""
	for lines.Scan() {
		if lines.Text() != "" {
			last = lines.Text()
		}
	}
	if !strings.Contains(last, `"running":false`) {
		t.Errorf("the last report is %q", last)
	}
}

func TestScriptsStaySmall(t *testing.T) {
	for name, most := range map[string]int{"drawing.js": 4000, "progress.js": 4000} {
		b, err := os.ReadFile("static/" + name)
		if err != nil || len(b) > most {
			t.Errorf("%s: %d bytes, %v", name, len(b), err)
		}
	}
}
