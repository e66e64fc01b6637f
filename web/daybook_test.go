package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"henyear/daybook"
	"henyear/store"
)

func asJSON(t testing.TB, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func statuses(t testing.TB, body []byte) string {
	t.Helper()
	var answer struct {
		Records []outcome `json:"records"`
	}
	if err := json.Unmarshal(body, &answer); err != nil {
		t.Fatalf("%v: %s", err, body)
	}
	var words []string
	for _, o := range answer.Records {
		words = append(words, o.Status)
	}
	return strings.Join(words, " ")
}

func eggsOf(h *house, n int) daybook.Event {
	return rawEvent(freshID(), "eggs", h.server.date(), time.Now(), "", map[string]any{"number": n})
}

func TestEachRecordIsAnsweredForItselfAndKeptOnce(t *testing.T) {
	h := stocked(t)
	good, twice := eggsOf(h, 5), eggsOf(h, 6)
	wrong := rawEvent(freshID(), "eggs", h.server.date(), time.Now(), "", map[string]any{"number": -3})
	changed := good
	changed.Payload = json.RawMessage(`{"number":50}`)
	body := fmt.Sprintf("[%s,%s,%s,%s,17,%s]", asJSON(t, good), asJSON(t, twice), asJSON(t, wrong), asJSON(t, twice), asJSON(t, changed))
	w := h.send(records(body))
	if got := statuses(t, w.Body.Bytes()); w.Code != 200 || got != "new new refused here refused conflicting" {
		t.Fatalf("%d %s: %s", w.Code, got, w.Body.String())
	}
	if w := h.send(records(body)); statuses(t, w.Body.Bytes()) != "here here refused here refused conflicting" {
		t.Errorf("sent again: %s", w.Body.String())
	}
	if n := len(h.written(t, "eggs")); n != 2 {
		t.Errorf("%d records are kept", n)
	}
}

func TestWhatIsNotAListOfRecordsIsRefusedWhole(t *testing.T) {
	h := stocked(t)
	many := "[" + strings.Repeat("{},", maxRecordsOnce) + "{}]"
	for name, c := range map[string]struct {
		body, kind string
		code       int
	}{
		"a form":          {"number=5", "application/x-www-form-urlencoded", http.StatusUnsupportedMediaType},
		"plain text":      {"[]", "text/plain", http.StatusUnsupportedMediaType},
		"no kind":         {"[]", "", http.StatusUnsupportedMediaType},
		"an object":       {"{}", "application/json", http.StatusBadRequest},
		"half a list":     {`[{"id":`, "application/json", http.StatusBadRequest},
		"too large":       {"[" + strings.Repeat(" ", maxRecords) + "]", "application/json", http.StatusRequestEntityTooLarge},
		"too many":        {many, "application/json", http.StatusRequestEntityTooLarge},
		"an empty list":   {"[]", "application/json", 200},
		"with a charset":  {"[]", "application/json; charset=utf-8", 200},
		"nested for ever": {strings.Repeat("[", 100000), "application/json", http.StatusBadRequest},
	} {
		r := records(c.body)
		r.Header.Set("Content-Type", c.kind)
		if w := h.send(r); w.Code != c.code {
			t.Errorf("%s: %d", name, w.Code)
		}
	}
	for name, change := range map[string]func(*http.Request){
		"another site":    func(r *http.Request) { r.Header.Set("Origin", "https://elsewhere.example") },
		"a foreign name":  func(r *http.Request) { r.Host = "elsewhere.example" },
		"a foreign fetch": func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") },
	} {
		r := records("[" + asJSON(t, eggsOf(h, 1)) + "]")
		change(r)
		if w := h.send(r); w.Code < 400 {
			t.Errorf("%s: %d", name, w.Code)
		}
	}
	if n := len(h.written(t, "eggs")); n != 0 {
		t.Errorf("%d records were kept", n)
	}
}

func FuzzRecordsFromAPhone(f *testing.F) {
	h := stocked(f)
	f.Add(`[{"id":"00112233445566778899aabbccddeeff","kind":"eggs","version":1,"happened_on":"2026-03-01","recorded_at":"2026-03-01T08:00:00Z","device":"","payload":{"number":5}}]`)
	f.Add(`[{"id":"x"},{"supersedes":["00112233445566778899aabbccddeeff"]},null,[],"",1e999]`)
	f.Add(`[{"id":"00112233445566778899aabbccddeefe","kind":"strike","version":1,"happened_on":"2026-03-01","recorded_at":"2026-03-01T08:00:00Z","supersedes":["00112233445566778899aabbccddeeff"],"payload":{}}]`)
	f.Fuzz(func(t *testing.T, body string) {
		w := h.send(records(body))
		if w.Code >= 500 {
			t.Fatalf("%d: %s", w.Code, w.Body.String())
		}
		if w.Code != 200 {
			return
		}
		var sent []json.RawMessage
		if json.Unmarshal([]byte(body), &sent) != nil {
			t.Fatal("something that is no list was taken")
		}
		if n := len(strings.Fields(statuses(t, w.Body.Bytes()))); n != len(sent) {
			t.Fatalf("%d answers for %d records", n, len(sent))
		}
		if page := h.send(request("GET", "/daybook/flock", nil)); page.Code != 200 {
			t.Fatalf("the flock cannot be shown any more: %d", page.Code)
		}
	})
}

func picture(t testing.TB) []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 2, 2))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestPhotosAreTakenByWhatTheyAreAndNotByWhatTheySay(t *testing.T) {
	h := stocked(t)
	send := func(content []byte) *httptest.ResponseRecorder {
		r := httptest.NewRequest("POST", "/daybook/photos", bytes.NewReader(content))
		r.Host = "localhost"
		r.Header.Set("Content-Type", "image/jpeg")
		return h.send(r)
	}
	w := send(picture(t))
	var answer struct {
		SHA256    string `json:"sha256"`
		MediaType string `json:"media_type"`
	}
	if json.Unmarshal(w.Body.Bytes(), &answer); w.Code != 200 || answer.MediaType != "image/png" {
		t.Fatalf("%d %s", w.Code, w.Body.String())
	}
	shown := h.send(request("GET", "/daybook/photo/"+answer.SHA256, nil))
	if shown.Code != 200 || shown.Header().Get("Content-Type") != "image/png" || shown.Header().Get("X-Content-Type-Options") != "nosniff" {
		t.Errorf("%d %v", shown.Code, shown.Header())
	}
	for name, content := range map[string][]byte{"a page": []byte("<!doctype html><script>alert(1)</script>"), "a drawing": []byte(`<svg xmlns="http://www.w3.org/2000/svg"/>`), "nothing": nil} {
		if w := send(content); w.Code != http.StatusUnsupportedMediaType {
			t.Errorf("%s: %d", name, w.Code)
		}
	}
	if w := send(append(picture(t), make([]byte, store.LargestPhoto)...)); w.Code != http.StatusRequestEntityTooLarge {
		t.Errorf("too large: %d", w.Code)
	}
}

func TestANoteWithAPhotoIsWrittenWithoutScripts(t *testing.T) {
	h := stocked(t)
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for name, value := range map[string]string{"entry": "note", "id": freshID().String(), "happened_on": h.server.date().String(), "text": "Pale comb"} {
		form.WriteField(name, value)
	}
	file, _ := form.CreateFormFile("photo", "hen.png")
	file.Write(picture(t))
	form.Close()
	r := httptest.NewRequest("POST", "/daybook/add", &body)
	r.Host = "localhost"
	r.Header.Set("Content-Type", form.FormDataContentType())
	if w := h.send(r); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body.String())
	}
	note := h.written(t, "note")
	if len(note) != 1 || !strings.Contains(string(note[0].Payload), `"sha256"`) {
		t.Errorf("%v", note)
	}
}

func TestTheSameFormSentTwiceIsOneRecord(t *testing.T) {
	h := stocked(t)
	form := url.Values{"entry": {"eggs"}, "id": {freshID().String()}, "happened_on": {h.server.date().String()}, "number": {"6"}}
	first := h.send(request("POST", "/daybook/add", form))
	if first.Code != http.StatusSeeOther {
		t.Fatalf("%d", first.Code)
	}
	h.send(request("POST", "/daybook/add", form))
	if n := len(h.written(t, "eggs")); n != 1 {
		t.Errorf("%d records", n)
	}
	page := h.send(request("GET", first.Header().Get("Location"), nil)).Body.String()
	if !strings.Contains(page, say("daybook.saved")) || !strings.Contains(page, `action="/daybook/undo"`) {
		t.Error("the page does not say that the record is in the house")
	}
	h.send(request("POST", "/daybook/undo", url.Values{"record": {form.Get("id")}}))
	if n := len(h.written(t, "strike")); n != 1 {
		t.Errorf("%d strikes", n)
	}
}

func TestAWrongEntryIsShownAgainWithASentence(t *testing.T) {
	h := stocked(t)
	w := h.send(request("POST", "/daybook/add", url.Values{"entry": {"feed"}, "id": {freshID().String()}, "happened_on": {h.server.date().String()},
		"what": {"opened"}, "feed": {"wheat"}, "kg": {"much"}}))
	if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), `value="much"`) || !strings.Contains(w.Body.String(), say("field.number", "much")) {
		t.Errorf("%d", w.Code)
	}
}

func TestWordsOfTheKeeperAreNeverTakenForAPage(t *testing.T) {
	h := stocked(t)
	nasty := `<script>alert("eggs")</script>`
	e := rawEvent(freshID(), "note", h.server.date(), time.Now(), nasty, map[string]any{"text": nasty})
	f := rawEvent(freshID(), "feed", h.server.date(), time.Now(), "", map[string]any{"what": "opened", "feed": nasty, "kg": 1})
	if got := statuses(t, h.send(records(asJSON(t, []daybook.Event{e, f}))).Body.Bytes()); got != "new new" {
		t.Fatal(got)
	}
	for _, path := range []string{"/daybook", "/daybook/last", "/daybook/flock", "/daybook/record/" + e.ID.String()} {
		if page := h.send(request("GET", path, nil)).Body.String(); strings.Contains(page, nasty) {
			t.Errorf("%s runs what the keeper wrote", path)
		}
	}
}

func TestTheBookBeginsOnceWithTheBirdsOfTheHolding(t *testing.T) {
	h := open(t, nil).settled(t)
	for range 2 {
		if w := h.send(request("POST", "/daybook/begin", url.Values{})); w.Code != http.StatusSeeOther {
			t.Fatalf("%d %s", w.Code, w.Body.String())
		}
	}
	if n := len(h.written(t, "birds_in")); n != len(h.shelf.holding.Birds) {
		t.Errorf("%d groups came in", n)
	}
}

func TestACountThatDiffersIsExplainedByOneTap(t *testing.T) {
	h := stocked(t)
	e := rawEvent(freshID(), "count", h.server.date(), time.Now(), "", map[string]any{"number": 9})
	h.send(records(asJSON(t, []daybook.Event{e})))
	page := h.send(request("GET", "/daybook/flock", nil)).Body.String()
	if !strings.Contains(page, "You counted 9, the book says 10") {
		t.Fatal("the difference is not told")
	}
	b, _, err := h.server.book(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	reason := b.Differences()[0].Reasons[0].What.Text
	for range 2 {
		h.send(request("POST", "/daybook/explain", url.Values{"count": {e.ID.String()}, "reason": {reason}}))
	}
	if n := len(h.written(t, "birds_out")); n != 1 {
		t.Errorf("%d records", n)
	}
	if strings.Contains(h.send(request("GET", "/daybook/flock", nil)).Body.String(), say("flock.differs")) {
		t.Error("the difference is still told")
	}
}

func TestAConflictIsSettledByChoosing(t *testing.T) {
	h := stocked(t)
	fill(t, h)
	page := h.send(request("GET", "/daybook/last", nil)).Body.String()
	if !strings.Contains(page, say("last.conflicts")) {
		t.Fatal("the conflict is not shown")
	}
	b, _, _ := h.server.book(t.Context())
	h.send(request("POST", "/daybook/settle", url.Values{"version": {b.Conflicts[0].Versions[1].String()}}))
	b, _, _ = h.server.book(t.Context())
	if len(b.Conflicts) != 0 {
		t.Error("the conflict is still there")
	}
}

func TestACorrectionKeepsWhatTheFormDoesNotShow(t *testing.T) {
	h := stocked(t)
	e := rawEvent(freshID(), "hatch", h.server.date(), time.Now(), "", map[string]any{"setting": freshID().String(), "chicks": 5, "group": freshID().String()})
	w := rawEvent(freshID(), "weighing", h.server.date(), time.Now(), "", map[string]any{"group": freshID().String(), "bird": freshID().String(), "each_g": []float64{2300.5}})
	h.send(records(asJSON(t, []daybook.Event{e, w})))
	fresh := freshID()
	group := contentOf(w)["group"].(string)
	r := h.send(request("POST", "/daybook/record/"+w.ID.String(), url.Values{"id": {fresh.String()}, "happened_on": {h.server.date().String()}, "group": {group}, "each_g": {"2300.5"}, "note": {"thin"}}))
	if r.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", r.Code, r.Body.String())
	}
	kept, err := h.book.EventByID(t.Context(), fresh)
	if err != nil || contentOf(kept.Event)["bird"] != contentOf(w)["bird"] || contentOf(kept.Event)["note"] != "thin" {
		t.Errorf("%s %v", kept.Event.Payload, err)
	}
}

func TestTheManifestAndTheWorkerAreFound(t *testing.T) {
	h := stocked(t)
	m := h.send(request("GET", "/daybook/manifest.webmanifest", nil))
	var manifest struct {
		StartURL string `json:"start_url"`
		Icons    []struct{ Src string }
	}
	if json.Unmarshal(m.Body.Bytes(), &manifest); manifest.StartURL != "/daybook" {
		t.Errorf("%s", m.Body.String())
	}
	for _, icon := range manifest.Icons {
		if w := h.send(request("GET", icon.Src, nil)); w.Code != 200 {
			t.Errorf("%s: %d", icon.Src, w.Code)
		}
	}
	w := h.send(request("GET", "/daybook/worker.js", nil))
	if w.Code != 200 || w.Header().Get("Service-Worker-Allowed") != "/daybook" || !strings.HasPrefix(w.Header().Get("Content-Type"), "text/javascript") {
		t.Errorf("%d %v", w.Code, w.Header())
	}
}

func TestTheScriptOfTheDaybookStaysSmall(t *testing.T) {
	for name, most := range map[string]int{"daybook.js": 17000, "offline.js": 3000} {
		b, err := os.ReadFile("static/" + name)
		if err != nil || len(b) > most {
			t.Errorf("%s: %d bytes, %v", name, len(b), err)
		}
	}
}

// A bird with a ring is written down, and is then offered as a mother.
func TestASingleBirdIsWrittenDownAndOfferedAsAParent(t *testing.T) {
	h := open(t, nil).settled(t)
	form := func(ring string, more url.Values) url.Values {
		v := url.Values{"entry": {"bird"}, "id": {freshID().String()}, "happened_on": {h.server.date().String()}, "bird": {freshID().String()}, "ring": {ring}}
		for name, value := range more {
			v[name] = value
		}
		return v
	}
	dam := form("B 12", nil)
	if w := h.send(request("POST", "/daybook/add", dam)); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	if _, page := h.get(t, "/daybook"); !strings.Contains(page, `value="`+dam.Get("bird")+`"`) {
		t.Error("the bird is not offered as a parent")
	}
	if w := h.send(request("POST", "/daybook/add", form("B 31", url.Values{"dam": {dam.Get("bird")}}))); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	birds := h.written(t, "bird")
	if len(birds) != 2 || !strings.Contains(string(birds[0].Payload)+string(birds[1].Payload), dam.Get("bird")) {
		t.Errorf("%v", birds)
	}
	for _, entry := range []url.Values{
		{"entry": {"visitor"}, "who": {"the vet"}, "touched": {"yes"}},
	} {
		entry.Set("id", freshID().String())
		entry.Set("happened_on", h.server.date().String())
		if w := h.send(request("POST", "/daybook/add", entry)); w.Code != http.StatusSeeOther {
			t.Errorf("%s: %d", entry.Get("entry"), w.Code)
		}
	}
}
