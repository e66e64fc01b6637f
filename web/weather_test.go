package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"io"
	"math"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"henyear/holding"
	"henyear/internal/browser"
	"henyear/measure"
)

// weatherFile is a table of days of made-up weather.
func weatherFile(years int) string {
	chance := rand.New(rand.NewPCG(3, 1))
	var b strings.Builder
	b.WriteString("date,high_c,low_c,rain_mm,humidity_pct\n")
	off, end := 0.0, measure.Date{Year: 2025, Month: 1, Day: 1}
	for d := (measure.Date{Year: 2025 - years, Month: 1, Day: 1}); d.Before(end); d = d.AddDays(1) {
		off = 0.7*off + 2.6*chance.NormFloat64()
		mean := 8.5 - 8.5*math.Cos(2*math.Pi*float64(d.YearDay()-16)/365.25) + off
		fmt.Fprintf(&b, "%s,%.1f,%.1f,%.1f,%d\n", d, mean+4.6, mean-4.6, max(0, 6*chance.NormFloat64()-3), 78)
	}
	return b.String()
}

// box is one part of a form: a field, or a file when it has a name.
type box struct{ name, file, content string }

func hillBoxes(more ...box) []box {
	return append([]box{{"latitude", "", "52.1"}, {"longitude", "", "5.6 E"}, {"altitude", "", "60"}, {"name", "", "Hill Meadow"}, {"units", "", ""}, {"station", "", ""}}, more...)
}

func weatherRequest(boxes ...box) *http.Request {
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for _, b := range boxes {
		if b.file == "" {
			form.WriteField(b.name, b.content)
			continue
		}
		part, _ := form.CreateFormFile(b.name, b.file)
		io.WriteString(part, b.content)
	}
	form.Close()
	r := httptest.NewRequest("POST", "/place/weather", &body)
	r.Host = "localhost"
	r.Header.Set("Content-Type", form.FormDataContentType())
	return r
}

func hidden(t *testing.T, page, name string) string {
	t.Helper()
	found := regexp.MustCompile(`name="` + name + `" value="([^"]*)"`).FindStringSubmatch(page)
	if found == nil {
		t.Fatalf("no %s in\n%s", name, page)
	}
	return html.UnescapeString(found[1])
}

func useForm(t *testing.T, page string) url.Values {
	return url.Values{"part": {strings.ReplaceAll(hidden(t, page, "part"), "\n", "\r\n")}, "former": {strings.ReplaceAll(hidden(t, page, "former"), "\n", "\r\n")}}
}

func TestARecordIsToldBeforeAnythingChangesAndThenPlannedWith(t *testing.T) {
	h := open(t, nil).settled(t)
	before := h.shelf.holding
	w := h.send(weatherRequest(hillBoxes(box{"files", `C:\weather\hill.csv`, weatherFile(30)})...))
	page := w.Body.String()
	if w.Code != http.StatusOK {
		t.Fatalf("%d %s", w.Code, page)
	}
	for _, want := range []string{"The weather of Hill Meadow", "hill.csv", "52.10° north", "Plan with these figures", `id="drawing-weather-range"`, `id="drawing-weather-nights"`,
		"Once in so many years", "Last frost of spring", "Amsterdam", "What changes", "no wind for 12 months"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q", want)
		}
	}
	if strings.Contains(page, `C:\weather`) || strings.Contains(page, "[weather") || strings.Contains(page, "%!") {
		t.Error("a gap, or a path of the keeper's")
	}
	if h.shelf.holding != before {
		t.Fatal("looking changed the holding")
	}

	form := useForm(t, page)
	for range 2 { // sent twice it is done once
		w = h.send(request("POST", "/place/weather/use", form))
		if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "Planned with other weather") {
			t.Fatalf("%d %s", w.Code, w.Body.String())
		}
	}
	after := h.shelf.holding
	if after.Place.Climate.Name != "Hill Meadow" || after.Place.Climate.Stray == nil || after.Place.PastureM2 != before.Place.PastureM2 {
		t.Errorf("%+v", after.Place)
	}
	st, _ := h.server.job.snapshot()
	if st.holding.Place.Climate.Name != "Hill Meadow" {
		t.Error("the plan was not begun again")
	}

	w = h.send(request("POST", "/place/weather/use", useForm(t, w.Body.String())))
	if w.Code != http.StatusOK || !bytes.Equal(h.shelf.holding.Write(), before.Write()) {
		t.Errorf("%d: what stood before did not come back\n%s", w.Code, h.shelf.holding.Write())
	}
}

func TestFilesOfHighsAndLowsAreJoinedOnThePage(t *testing.T) {
	h := open(t, nil).settled(t)
	highs, lows := "date,high_c\n", "date,low_c\n"
	for line := range strings.Lines(weatherFile(6)) {
		if f := strings.Split(line, ","); f[0] != "date" {
			highs += f[0] + "," + f[1] + "\n"
			lows += f[0] + "," + f[2] + "\n"
		}
	}
	w := h.send(weatherRequest(hillBoxes(box{"files", "highs.csv", highs}, box{"files", "lows.csv", lows})...))
	if page := w.Body.String(); w.Code != http.StatusOK || !strings.Contains(page, "highs.csv, lows.csv") || !strings.Contains(page, "no rain for 12 months; that of Amsterdam") {
		t.Errorf("%d %s", w.Code, page)
	}
}

func TestABadRecordGetsASentenceAndTheBoxesStay(t *testing.T) {
	h := open(t, nil).settled(t)
	good := weatherFile(1)
	for name, c := range map[string]struct {
		boxes []box
		want  string
		code  int
	}{
		"no file":     {hillBoxes(box{"files", "", ""}), "No file came with it", 422},
		"zip":         {hillBoxes(box{"files", "a.zip", "PK\x03\x04"}), "is a zip archive", 422},
		"picture":     {hillBoxes(box{"files", "a.png", "\x89PNG"}), "is a picture", 422},
		"one is bad":  {hillBoxes(box{"files", "a.csv", good}, box{"files", "b.csv", "<html>"}), "b.csv", 422},
		"future":      {hillBoxes(box{"files", "a.csv", "date,high_c,low_c\n2099-01-01,1,0\n"}), "only days after today", 422},
		"open units":  {hillBoxes(box{"files", "a.csv", "date,high,low\n2024-05-01,31,22\n"}), "say whether they are metric", 422},
		"bad degrees": {append([]box{{"latitude", "", "here"}, {"longitude", "", "5"}}, box{"files", "a.csv", good}), "is no position", 422},
		"bad height":  {append([]box{{"altitude", "", "high"}}, box{"files", "a.csv", good}), "height is no number", 422},
		"half place":  {append([]box{{"latitude", "", "52"}}, box{"files", "a.csv", good}), "go together", 422},
		"box behind":  {[]box{{"files", "a.csv", good}, {"units", "", "us"}}, "must come before the files", 422},
		"long box":    {[]box{{"name", "", strings.Repeat("x", 5000)}, {"files", "a.csv", good}}, "more than a few words", 422},
		"large":       {hillBoxes(box{"files", "a.csv", good + strings.Repeat("2024-01-01,3.1,1.0,0,70\n", (65<<20)/24)}), "larger than 64 MB", 413},
	} {
		w := h.send(weatherRequest(c.boxes...))
		page := html.UnescapeString(w.Body.String())
		if w.Code != c.code || !strings.Contains(page, c.want) || !strings.Contains(page, `id="files"`) {
			t.Errorf("%s: %d, no %q in\n%s", name, w.Code, c.want, page)
		}
		if c.boxes[len(c.boxes)-1].name == "files" && c.boxes[0].content == "52.1" && !strings.Contains(page, `value="5.6 E"`) {
			t.Errorf("%s: the boxes are empty", name)
		}
	}
	w := h.send(request("POST", "/place/weather", url.Values{"latitude": {"5"}}))
	if w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a form without files gives %d", w.Code)
	}
	cut := weatherRequest(hillBoxes(box{"files", "a.csv", good})...)
	whole, _ := io.ReadAll(cut.Body)
	cut.Body = io.NopCloser(bytes.NewReader(whole[:len(whole)/2]))
	if w := h.send(cut); w.Code != http.StatusUnprocessableEntity || strings.Contains(w.Body.String(), "Plan with these figures") {
		t.Errorf("a form that breaks off gives %d", w.Code)
	}
}

func TestARecordWithoutPositionIsToldAndThePlaceAskedFor(t *testing.T) {
	h := open(t, nil).settled(t)
	w := h.send(weatherRequest(box{"files", "hill.csv", weatherFile(16)}))
	page := w.Body.String()
	if w.Code != http.StatusOK || !strings.Contains(page, "No plan can be made") || !strings.Contains(page, "give latitude, longitude and altitude") || strings.Contains(page, `name="part"`) {
		t.Errorf("%d %s", w.Code, page)
	}
}

func TestFiguresThatMakeNoPlaceAreNotPlannedWith(t *testing.T) {
	h := open(t, nil).settled(t)
	before := h.shelf.holding
	now := string(holding.WriteClimate(before.Place.Climate, before.Units))
	for _, part := range []string{"", "[place]", "[place]\nnear = \"Nowhere At All\"", strings.Replace(now, "latitude = 52", "latitude = 520", 1), "[[[", "[place]\nnear = \"Berlin\"\n[means]\nminutes_a_day = 3"} {
		w := h.send(request("POST", "/place/weather/use", url.Values{"part": {part}, "former": {now}}))
		if w.Code != http.StatusUnprocessableEntity || h.shelf.holding != before {
			t.Errorf("%q: %d", part, w.Code)
		}
	}
	w := h.send(request("POST", "/place/weather/use", url.Values{"part": {"[place]\nnear = \"Berlin\"\n"}, "former": {"[place]\nnear = \"Paris\"\n"}}))
	if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "was changed meanwhile") || h.shelf.holding != before {
		t.Errorf("%d %s", w.Code, w.Body.String())
	}
	w = h.send(request("POST", "/place/weather/use", useForm(t, w.Body.String())))
	if w.Code != http.StatusOK || h.shelf.holding.Place.Climate.Name != "Berlin" {
		t.Errorf("%d", w.Code)
	}
}

func TestASiteElsewhereCannotSendWeather(t *testing.T) {
	h := open(t, nil).settled(t)
	r := weatherRequest(hillBoxes(box{"files", "hill.csv", weatherFile(1)})...)
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	if w := h.send(r); w.Code != http.StatusForbidden {
		t.Errorf("%d", w.Code)
	}
}

func TestThePagesOfTheWeatherAreForEverybodyInEveryLight(t *testing.T) {
	text, err := json.Marshal(weatherFile(30))
	if err != nil {
		t.Fatal(err)
	}
	for name, view := range looks {
		t.Run(name, func(t *testing.T) {
			h := open(t, nil).settled(t)
			tab := browser.Open(t, h.web.URL+"/place/weather", view)
			lookAt(t, tab, name, "/weather-form")
			tab.Type("#latitude", "52.1")
			tab.Type("#longitude", "5.6")
			tab.Type("#altitude", "60")
			tab.Type("#name", "Hill Meadow")
			browser.Evaluate[struct{}](tab, `(() => { const d = new DataTransfer(); d.items.add(new File([`+string(text)+`], "hill.csv")); document.querySelector("#files").files = d.files })()`)
			tab.Click(".send button")
			tab.Wait("#changes")
			lookAt(t, tab, name, "/weather-told")
			tab.Click("#changes ~ form button")
			tab.Wait("#before")
			lookAt(t, tab, name, "/weather-done")
		})
	}
}
