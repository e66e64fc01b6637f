package web

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
)

// sendTable posts a table with answers.
func sendTable(h *house, boxes map[string]string) *httptest.ResponseRecorder {
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for name, value := range boxes {
		form.WriteField(name, value)
	}
	form.Close()
	r := httptest.NewRequest("POST", "/daybook/import", &body)
	r.Host = "localhost"
	r.Header.Set("Content-Type", form.FormDataContentType())
	return h.send(r)
}

var contentBox = regexp.MustCompile(`name="content" value="([^"]+)"`)

func TestAnOldTableIsShownBeforeItIsWrittenAndWrittenOnce(t *testing.T) {
	h := stocked(t)
	w := sendTable(h, map[string]string{"pasted": "date,eggs\n2025-03-14,5\n2025-03-15,6\n2025-03-16,many\n"})
	page := w.Body.String()
	if w.Code != 200 || !strings.Contains(page, "5 eggs") || !strings.Contains(page, "ine 4") {
		t.Fatalf("%d %s", w.Code, page)
	}
	if n := len(h.written(t, "eggs")); n != 0 {
		t.Fatalf("%d records were written by looking", n)
	}
	content := strings.ReplaceAll(contentBox.FindStringSubmatch(page)[1], "&#43;", "+")
	for range 2 {
		sendTable(h, map[string]string{"content": content, "write": "yes"})
	}
	if n := len(h.written(t, "eggs")); n != 2 {
		t.Errorf("%d records, not 2", n)
	}
}

func TestATableThatCanBeReadInTwoWaysAsksBeforeItIsWritten(t *testing.T) {
	h := stocked(t)
	table := "date,eggs\n03/04/2025,5\n05/04/2025,6\n"
	w := sendTable(h, map[string]string{"pasted": table, "write": "yes"})
	if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), `name="date_order"`) || len(h.written(t, "eggs")) != 0 {
		t.Fatalf("%d %s", w.Code, w.Body.String())
	}
	choice := regexp.MustCompile(`name="date_order"><option value="">–</option><option value="([^"]+)"`).FindStringSubmatch(w.Body.String())
	if choice == nil {
		t.Fatal("no choice is given")
	}
	sendTable(h, map[string]string{"pasted": table, "write": "yes", "date_order": choice[1]})
	if n := len(h.written(t, "eggs")); n != 2 {
		t.Errorf("%d records, not 2", n)
	}
}

func TestATableThatIsTooLargeIsRefused(t *testing.T) {
	h := stocked(t)
	if w := sendTable(h, map[string]string{"pasted": strings.Repeat("1", maxTableForm)}); w.Code != http.StatusRequestEntityTooLarge {
		t.Errorf("%d", w.Code)
	}
}
