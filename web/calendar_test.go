package web

import (
	"fmt"
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"henyear/calendar"
)

var addressShown = regexp.MustCompile(`https?://[^<" ]+/calendar/([A-Za-z0-9_-]+)\.ics`)

// newAddress makes an address at the computer itself and returns the secret.
func (h *house) newAddress(t testing.TB) string {
	t.Helper()
	w := h.send(request("POST", "/work/calendar/address", url.Values{}))
	found := addressShown.FindStringSubmatch(w.Body.String())
	if w.Code != 200 || found == nil || w.Header().Get("Cache-Control") != "no-store" {
		t.Fatal(w.Code, w.Body.String())
	}
	return found[1]
}

func calendarAt(key string) *http.Request { return request("GET", "/calendar/"+key+".ics", nil) }

func isCalendar(w *httptest.ResponseRecorder) bool {
	return w.Code == 200 && strings.HasPrefix(w.Body.String(), "BEGIN:VCALENDAR\r\n") && w.Header().Get("Content-Type") == "text/calendar; charset=utf-8"
}

func TestTheSecretAddressIsReadWithoutSigningInThroughEveryWayThatIsOpen(t *testing.T) {
	for _, plain := range []bool{true, false} {
		h, _, _ := letIn(t, plain)
		key := h.newAddress(t)
		if len(key) < 43 {
			t.Errorf("%q is shorter than 256 bits", key)
		}
		if w := h.send(calendarAt(key)); !isCalendar(w) {
			t.Errorf("at the computer: %d", w.Code)
		}
		if w := h.door(t, true, calendarAt(key)); !isCalendar(w) {
			t.Errorf("encrypted: %d", w.Code)
		}
		if w := h.door(t, false, calendarAt(key)); isCalendar(w) != plain {
			t.Errorf("without encryption, allowed %v: %d", plain, w.Code)
		}
	}
}

func TestTheSecretAddressOpensNothingElse(t *testing.T) {
	h, _, _ := letIn(t, true)
	key := h.newAddress(t)
	for _, r := range []*http.Request{
		request("POST", "/calendar/"+key+".ics", url.Values{}), request("PUT", "/calendar/"+key+".ics", nil), request("GET", "/calendar/"+key, nil),
		request("GET", "/calendar/"+key+".ics/", nil), request("GET", "/calendar/x/"+key+".ics", nil), request("GET", "/calendar/", nil),
		request("GET", "/work/calendar", nil), request("GET", "/work/calendar.ics", nil), request("GET", "/plan.json", nil), request("GET", "/calendar/../plan.json?x="+key+".ics", nil),
	} {
		if w := h.door(t, true, r); w.Code == 200 || strings.Contains(w.Body.String(), h.shelf.holding.Name) {
			t.Errorf("%s %s: %d", r.Method, r.URL, w.Code)
		}
	}
}

func TestANewAddressEndsTheOldOneAndStopEndsBoth(t *testing.T) {
	h, d, _ := letIn(t, true)
	first := h.newAddress(t)
	second := h.newAddress(t)
	if first == second {
		t.Fatal("the same address twice")
	}
	if w := h.door(t, true, calendarAt(first)); w.Code != http.StatusNotFound {
		t.Errorf("the old address: %d", w.Code)
	}
	if w := h.door(t, true, calendarAt(second)); !isCalendar(w) {
		t.Errorf("the new address: %d", w.Code)
	}
	if w := h.send(request("POST", "/work/calendar/stop", url.Values{})); w.Code != http.StatusSeeOther {
		t.Fatal(w.Code)
	}
	for _, key := range []string{first, second, ""} {
		if w := h.door(t, true, calendarAt(key)); w.Code == 200 || w.Code >= 500 {
			t.Errorf("%q after Stop: %d", key, w.Code)
		}
	}
	// What is kept tells nobody the address.
	third := h.newAddress(t)
	b, err := os.ReadFile(filepath.Join(d.folder, calendarFile))
	info, _ := os.Stat(filepath.Join(d.folder, calendarFile))
	if err != nil || strings.Contains(string(b), third) || info.Mode().Perm() != 0o600 {
		t.Errorf("%v %v %s", err, info.Mode(), b)
	}
	if _, page := h.get(t, "/work/calendar"); strings.Contains(page, third) {
		t.Error("the address is shown again")
	}
}

func TestWrongAddressesAreTriedEverMoreSlowlyAndTheRightOneIsNeverLockedOut(t *testing.T) {
	h, _, now := letIn(t, false)
	key := h.newAddress(t)
	var codes []int
	for i := range 8 {
		codes = append(codes, h.door(t, true, calendarAt(fmt.Sprintf("%s%d", key[1:], i))).Code)
	}
	if got := fmt.Sprint(codes); got != "[404 404 404 429 429 429 429 429]" {
		t.Error(got)
	}
	if w := h.door(t, true, calendarAt(key)); !isCalendar(w) {
		t.Errorf("the right address from where wrong ones were tried: %d", w.Code)
	}
	h.signIn(t, keeperWords) // a calendar that still asks at an old address must not lock the keeper out
	*now = now.Add(time.Minute)
	if w := h.door(t, true, calendarAt("wrong")); w.Code != 404 || w.Header().Get("Cache-Control") != "no-store" {
		t.Errorf("a minute later: %d", w.Code)
	}
}

func TestOnlyTheComputerItselfMakesAndStopsAddresses(t *testing.T) {
	h, _, _ := letIn(t, true)
	c := h.signIn(t, keeperWords)
	for _, path := range []string{"/work/calendar/address", "/work/calendar/stop"} {
		if w := h.door(t, true, request("POST", path, url.Values{}), c); w.Code != http.StatusNotFound {
			t.Errorf("%s from a phone: %d", path, w.Code)
		}
	}
	if w := h.door(t, true, request("GET", "/work/calendar", nil), c); w.Code != 200 || !strings.Contains(w.Body.String(), say("calendar.athome")) {
		t.Errorf("the page on a phone: %d", w.Code)
	}
	if w := h.door(t, true, request("GET", "/work/calendar.ics", nil), c); !isCalendar(w) {
		t.Errorf("the file on a phone: %d", w.Code)
	}
	helper := h.signIn(t, helperWords)
	for _, path := range []string{"/work/calendar", "/work/calendar.ics"} {
		if w := h.door(t, true, request("GET", path, nil), helper); w.Code != http.StatusForbidden {
			t.Errorf("%s for a helper: %d", path, w.Code)
		}
	}
	foreign := request("POST", "/work/calendar/address", url.Values{})
	foreign.Header.Set("Sec-Fetch-Site", "cross-site")
	if w := h.send(foreign); w.Code != http.StatusForbidden {
		t.Errorf("from another site: %d", w.Code)
	}
}

func TestACalendarThatIsUnchangedIsNotSentAgain(t *testing.T) {
	h, _, _ := letIn(t, false)
	key := h.newAddress(t)
	first := h.door(t, true, calendarAt(key))
	tag := first.Header().Get("ETag")
	if tag == "" || !strings.Contains(first.Header().Get("Cache-Control"), "private") {
		t.Fatal(first.Header())
	}
	for _, same := range []string{tag, strings.TrimPrefix(tag, "W/"), `"other", ` + tag, "*"} {
		r := calendarAt(key)
		r.Header.Set("If-None-Match", same)
		if w := h.door(t, true, r); w.Code != http.StatusNotModified || w.Body.Len() != 0 {
			t.Errorf("%s: %d", same, w.Code)
		}
	}
	h.send(request("POST", "/work/calendar", url.Values{"morning": {"yes"}, "kind": {"hatch"}, "who": {"anyone", "keeper"}}))
	r := calendarAt(key)
	r.Header.Set("If-None-Match", tag)
	if w := h.door(t, true, r); !isCalendar(w) || w.Header().Get("ETag") == tag {
		t.Errorf("after other choices: %d", w.Code)
	}
}

func TestWithoutAPlanACalendarIsTriedAgainLaterAndNeverEmptied(t *testing.T) {
	h, _, _ := letIn(t, false)
	key := h.newAddress(t)
	h.shelf.Lock()
	h.shelf.plan = nil
	h.shelf.Unlock()
	if w := h.door(t, true, calendarAt(key)); w.Code != http.StatusServiceUnavailable || w.Header().Get("Retry-After") == "" {
		t.Errorf("%d %s", w.Code, w.Body.String())
	}
	if w := h.send(request("GET", "/work/calendar.ics", nil)); w.Code != http.StatusServiceUnavailable || !strings.Contains(w.Body.String(), say("calendar.noplan")) {
		t.Errorf("%d", w.Code)
	}
	if code, page := h.get(t, "/work/calendar"); code != 200 || !strings.Contains(html.UnescapeString(page), say("calendar.noplan")) {
		t.Errorf("%d", code)
	}
}

func TestThePageSaysWhereTheAddressWorks(t *testing.T) {
	h, d, _ := letIn(t, false)
	if _, page := h.get(t, "/work/calendar"); !strings.Contains(html.UnescapeString(page), say("calendar.certificate")) {
		t.Error("nothing of the certificate that calendars refuse")
	}
	d.Change(func(s *DeviceSettings) error { s.Plain = true; return nil })
	if _, page := h.get(t, "/work/calendar"); !strings.Contains(html.UnescapeString(page), say("calendar.open")) {
		t.Error("nothing of who can read along")
	}
	w := h.send(request("POST", "/work/calendar/address", url.Values{}))
	for _, want := range []string{"http://10.0.0.5:8419/calendar/", "https://10.0.0.5:8418/calendar/", "http://localhost:8080/calendar/", "<svg"} {
		if !strings.Contains(w.Body.String(), want) {
			t.Errorf("%s is not shown", want)
		}
	}
	d.Change(func(s *DeviceSettings) error { s.On = false; return nil })
	if _, page := h.get(t, "/work/calendar"); !strings.Contains(html.UnescapeString(page), say("calendar.only")) {
		t.Error("it is not said that the address works on this computer only")
	}
	w = h.send(request("POST", "/work/calendar/address", url.Values{}))
	if strings.Contains(w.Body.String(), "10.0.0.5") || !strings.Contains(w.Body.String(), "http://localhost:8080/calendar/") {
		t.Error("an address that other devices cannot reach is offered to them")
	}
}

func TestAllJobsCannotBeLeftOut(t *testing.T) {
	h, d, _ := letIn(t, false)
	if w := h.send(request("POST", "/work/calendar", url.Values{"kind": {"hatch"}})); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), say("calendar.nothing")) {
		t.Errorf("%d", w.Code)
	}
	h.send(request("POST", "/work/calendar", url.Values{"who": {"anyone", "two", "nobody"}, "kind": {"hatch"}, "evening": {"yes"}}))
	set, err := d.calendarSettings()
	if err != nil || fmt.Sprint(set.WithoutWho) != "[keeper skilled]" || !slices.Contains(set.WithoutKinds, calendar.Feed) || slices.Contains(set.WithoutKinds, calendar.Hatch) || set.Alarms != (calendar.Alarms{Evening: true}) {
		t.Errorf("%+v %v", set, err)
	}
}
