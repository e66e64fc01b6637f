package web

import (
	"crypto/x509"
	"io"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"henyear/daybook"
)

const (
	keeperWords = "four brown hens lay"
	helperWords = "helping hands today"
)

// letIn is a house that lets other devices in at 10.0.0.5, with a clock of its
// own.
func letIn(t testing.TB, plain bool) (*house, *Devices, *time.Time) {
	t.Helper()
	h := stocked(t)
	now := time.Date(2026, 4, 1, 8, 0, 0, 0, time.UTC)
	d, err := OpenDevices(t.TempDir(), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	h.server.Devices = d
	err = d.Change(func(s *DeviceSettings) error {
		s.On, s.Plain, s.Addresses = true, plain, []string{"10.0.0.5"}
		return s.SetPassphrases(keeperWords, helperWords)
	})
	if err != nil {
		t.Fatal(err)
	}
	return h, d, &now
}

// door sends a request from another device through the encrypted door, or the
// plain one.
func (h *house) door(t testing.TB, secure bool, r *http.Request, cookies ...*http.Cookie) *httptest.ResponseRecorder {
	t.Helper()
	doors, err := h.server.Doors()
	if err != nil || len(doors) != 2 {
		t.Fatal(doors, err)
	}
	if r.Host == "localhost:8080" {
		r.Host = "10.0.0.5:8418"
	}
	for _, c := range cookies {
		r.AddCookie(c)
	}
	r.Header.Set("Accept", "text/html")
	w := httptest.NewRecorder()
	door := doors[0]
	if !secure {
		door = doors[1]
	}
	if (door.TLS != nil) != secure {
		t.Fatal("the doors are mixed up")
	}
	door.Handler.ServeHTTP(w, r)
	return w
}

func (h *house) signIn(t testing.TB, words string) *http.Cookie {
	t.Helper()
	w := h.door(t, true, request("POST", "/devices/enter", url.Values{"passphrase": {words}, "name": {"Ann's phone"}}))
	cookies := w.Result().Cookies()
	if w.Code != http.StatusSeeOther || len(cookies) != 1 {
		t.Fatalf("%d %s", w.Code, w.Body.String())
	}
	return cookies[0]
}

func records(body string) *http.Request {
	r := request("POST", "/daybook/records", nil)
	r.Body = io.NopCloser(strings.NewReader(body))
	r.Header.Set("Content-Type", "application/json")
	return r
}

func TestOtherDevicesAreKeptOutUntilTheyAreLetIn(t *testing.T) {
	h := stocked(t)
	d, err := OpenDevices(t.TempDir(), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	h.server.Devices = d
	if doors, err := h.server.Doors(); err != nil || len(doors) != 0 {
		t.Errorf("%d doors are open, %v", len(doors), err)
	}
}

func TestAStrangerSeesNothingOfTheHousehold(t *testing.T) {
	h, _, _ := letIn(t, true)
	for _, path := range append([]string{"/daybook/state", "/plan.json", "/weeks.csv", "/daybook/photo/00", "/progress", "/nothing"}, everyPage...) {
		for _, secure := range []bool{true, false} {
			w := h.door(t, secure, request("GET", path, nil))
			if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/devices/enter" || strings.Contains(w.Body.String(), h.shelf.holding.Name) {
				t.Errorf("%s: %d %s", path, w.Code, w.Body.String())
			}
		}
	}
	for _, path := range []string{"/devices/enter", "/certificate", "/static/daybook.js", "/daybook/manifest.webmanifest", "/daybook/worker.js"} {
		if w := h.door(t, true, request("GET", path, nil)); w.Code != 200 || strings.Contains(w.Body.String(), h.shelf.holding.Name) {
			t.Errorf("%s: %d", path, w.Code)
		}
	}
	if w := h.door(t, true, records("[]")); w.Code != http.StatusUnauthorized {
		t.Errorf("records of a stranger: %d", w.Code)
	}
	r := request("GET", "/", nil)
	r.Host = "elsewhere.example"
	if w := h.door(t, true, r); w.Code != http.StatusMisdirectedRequest || strings.Contains(w.Body.String(), h.shelf.holding.Name) {
		t.Errorf("under a foreign name: %d", w.Code)
	}
}

func TestTheKeeperSignsInAndSeesEverythingButTheSettingsOfDevices(t *testing.T) {
	h, _, _ := letIn(t, false)
	c := h.signIn(t, keeperWords)
	if !c.HttpOnly || !c.Secure || c.SameSite != http.SameSiteStrictMode || !strings.HasPrefix(c.Name, "__Host-") || c.Path != "/" {
		t.Errorf("%v", c)
	}
	for _, path := range everyPage {
		if w := h.door(t, true, request("GET", path, nil), c); w.Code != 200 {
			t.Errorf("%s: %d", path, w.Code)
		}
	}
	for _, r := range []*http.Request{request("GET", "/devices", nil), request("POST", "/devices", url.Values{"on": {"yes"}}), request("POST", "/devices/forget", url.Values{})} {
		if w := h.door(t, true, r, c); w.Code != http.StatusNotFound {
			t.Errorf("%s %s: %d", r.Method, r.URL.Path, w.Code)
		}
	}
	h.door(t, true, request("POST", "/devices/leave", url.Values{}), c)
	if w := h.door(t, true, request("GET", "/", nil), c); w.Code != http.StatusSeeOther {
		t.Errorf("after signing out: %d", w.Code)
	}
}

func TestAHelperMayAddRecordsAndNothingElse(t *testing.T) {
	h, _, _ := letIn(t, false)
	fill(t, h)
	c := h.signIn(t, helperWords)
	for _, path := range []string{"/odds", "/breeds", "/change", "/plan.json", "/daybook/last", "/daybook/flock", "/daybook/record/" + h.written(t, "eggs")[0].ID.String(), "/devices"} {
		if w := h.door(t, true, request("GET", path, nil), c); w.Code != http.StatusForbidden {
			t.Errorf("%s: %d", path, w.Code)
		}
	}
	for _, path := range []string{"/change", "/stop", "/daybook/settle", "/daybook/begin", "/devices", "/daybook/record/00/strike"} {
		if w := h.door(t, true, request("POST", path, url.Values{}), c); w.Code != http.StatusForbidden {
			t.Errorf("POST %s: %d", path, w.Code)
		}
	}
	page := h.door(t, true, request("GET", "/daybook", nil), c)
	if page.Code != 200 || strings.Contains(page.Body.String(), say("daybook.house")) || strings.Contains(page.Body.String(), `data-entry="money"`) || strings.Contains(page.Body.String(), `href="/change"`) {
		t.Errorf("%d: the page of a helper shows too much", page.Code)
	}
	on := h.server.date()
	mine := rawEvent(freshID(), "eggs", on, time.Now(), "", map[string]any{"number": 3})
	mine.Device = freshID()
	back := rawEvent(freshID(), "strike", on, time.Now(), "", map[string]any{})
	back.Device, back.Supersedes = mine.Device, []daybook.ID{mine.ID}
	others := rawEvent(freshID(), "strike", on, time.Now(), "", map[string]any{})
	others.Device, others.Supersedes = mine.Device, []daybook.ID{h.written(t, "eggs")[0].ID}
	group := rawEvent(freshID(), "group", on, time.Now(), "", map[string]any{"group": freshID().String(), "name": "x", "sex": "hens"})
	w := h.door(t, true, records(asJSON(t, []daybook.Event{mine})), c)
	if !strings.Contains(w.Body.String(), `"status":"new"`) {
		t.Errorf("%s", w.Body.String())
	}
	w = h.door(t, true, records(asJSON(t, []daybook.Event{back, others, group})), c)
	if got := statuses(t, w.Body.Bytes()); got != "new refused refused" {
		t.Errorf("%s: %s", got, w.Body.String())
	}
}

func TestGuessingPassphrasesGetsSlowerAndSlower(t *testing.T) {
	h, _, now := letIn(t, false)
	try := func(words string) int {
		return h.door(t, true, request("POST", "/devices/enter", url.Values{"passphrase": {words}})).Code
	}
	for i := range freeGuesses {
		if code := try("something else"); code != http.StatusForbidden {
			t.Fatalf("guess %d: %d", i, code)
		}
	}
	if code := try(keeperWords); code != http.StatusTooManyRequests {
		t.Errorf("the right words in the waiting time: %d", code)
	}
	*now = now.Add(longestWait)
	if code := try(keeperWords); code != http.StatusSeeOther {
		t.Errorf("the keeper cannot come in any more: %d", code)
	}
}

func TestFifteenGuessesTakeMoreThanHalfAnHour(t *testing.T) {
	g := newGuesses()
	ip := netip.MustParseAddr("10.0.0.9")
	start := time.Unix(0, 0)
	now := start
	for range 15 {
		if wait := g.wait(ip, now); wait > 0 {
			now = now.Add(wait)
			g.wait(ip, now)
		}
	}
	if took := now.Sub(start); took < time.Hour/2 {
		t.Errorf("%v", took)
	}
}

func TestGuessesFromManyAddressesWaitTogether(t *testing.T) {
	g := newGuesses()
	now := time.Unix(0, 0)
	for i := range freeGuessesAll {
		if g.wait(netip.AddrFrom4([4]byte{10, 0, byte(i), 1}), now) != 0 {
			t.Fatalf("guess %d waits", i)
		}
	}
	if wait := g.wait(netip.MustParseAddr("10.0.200.1"), now); wait <= 0 || wait > longestWaitAll {
		t.Errorf("%v", wait)
	}
	a, b := netip.MustParseAddr("fd00::1"), netip.MustParseAddr("fd00::2:3")
	if neighbourhood(a) != neighbourhood(b) {
		t.Error("a device can choose another address and guess on")
	}
}

func TestOnlyHashesOfPassphrasesAndTokensAreKeptInFilesOfThisUser(t *testing.T) {
	h, d, _ := letIn(t, false)
	c := h.signIn(t, keeperWords)
	for _, name := range []string{settingsFile, sessionsFile, keyFile, authorityFile} {
		path := filepath.Join(d.folder, name)
		info, err := os.Stat(path)
		if err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v %v", name, info.Mode(), err)
		}
		b, _ := os.ReadFile(path)
		if strings.Contains(string(b), keeperWords) || strings.Contains(string(b), c.Value) {
			t.Errorf("%s holds a secret in plain words", name)
		}
	}
	again, err := OpenDevices(d.folder, d.now)
	if err != nil {
		t.Fatal(err)
	}
	if _, known := again.visit(c.Value); !known {
		t.Error("the phone has to sign in again after every start")
	}
	if err := d.Change(func(s *DeviceSettings) error { return s.SetPassphrases("another set of words", "") }); err != nil {
		t.Fatal(err)
	}
	if _, known := again.visit(c.Value); known {
		t.Error("whoever knew the old passphrase is still let in")
	}
}

func TestAShortPassphraseOrAPublicAddressIsRefused(t *testing.T) {
	_, d, _ := letIn(t, false)
	for name, change := range map[string]func(*DeviceSettings) error{
		"short":  func(s *DeviceSettings) error { return s.SetPassphrases("hens", "") },
		"same":   func(s *DeviceSettings) error { return s.SetPassphrases("", keeperWords) },
		"public": func(s *DeviceSettings) error { s.Addresses = []string{"8.8.8.8"}; return nil },
		"all":    func(s *DeviceSettings) error { s.Addresses = []string{"0.0.0.0"}; return nil },
		"none":   func(s *DeviceSettings) error { s.Addresses = nil; return nil },
	} {
		if err := d.Change(change); err == nil {
			t.Errorf("%s is taken", name)
		}
	}
}

func TestWithoutEncryptionOnlyTheCertificateIsShownUnlessAllowed(t *testing.T) {
	h, _, _ := letIn(t, false)
	if w := h.door(t, false, request("GET", "/devices/enter", nil)); w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/certificate" {
		t.Errorf("%d", w.Code)
	}
	if w := h.door(t, false, request("POST", "/devices/enter", url.Values{"passphrase": {keeperWords}})); w.Code != http.StatusSeeOther || len(w.Result().Cookies()) != 0 {
		t.Errorf("a passphrase was taken in the open: %d", w.Code)
	}
	w := h.door(t, false, request("GET", "/certificate", nil))
	if w.Code != 200 || !strings.Contains(w.Body.String(), say("certificate.means")) {
		t.Errorf("%d", w.Code)
	}
	h, _, _ = letIn(t, true)
	w = h.door(t, false, request("GET", "/devices/enter", nil))
	if w.Code != 200 || !strings.Contains(w.Body.String(), say("enter.plain")) {
		t.Errorf("the loss is not told: %d", w.Code)
	}
}

func TestTheCertificateHoldsForTheHouseAndForNoSiteBeyondIt(t *testing.T) {
	folder := t.TempDir()
	now := time.Now()
	h, err := openHousehold(folder, now)
	if err != nil {
		t.Fatal(err)
	}
	again, err := openHousehold(folder, now)
	if err != nil || again.fingerprint() != h.fingerprint() {
		t.Fatal("the authority changes at every start", err)
	}
	roots := x509.NewCertPool()
	roots.AddCert(h.certificate)
	check := func(name string) error {
		leaf, err := again.certificateFor([]string{name}, now)
		if err != nil {
			return err
		}
		_, err = leaf.Leaf.Verify(x509.VerifyOptions{Roots: roots, DNSName: name})
		return err
	}
	for _, name := range []string{"192.168.1.7", "10.0.0.5", "house.local"} {
		if err := check(name); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, name := range []string{"bank.example", "8.8.8.8"} {
		if check(name) == nil {
			t.Errorf("%s could be feigned towards the phones", name)
		}
	}
	if leaf, _ := again.certificateFor([]string{"10.0.0.5"}, now); leaf.Leaf.NotAfter.Sub(now) > 825*24*time.Hour {
		t.Error("phones refuse a certificate that holds longer than 825 days")
	}
}

func TestRequestsFromOtherSitesAreRefusedAtEveryDoor(t *testing.T) {
	h, _, _ := letIn(t, true)
	c := h.signIn(t, keeperWords)
	for _, path := range []string{"/daybook/add", "/daybook/records", "/daybook/photos", "/change", "/devices/leave", "/devices/enter"} {
		for name, headers := range map[string]map[string]string{
			"fetch":  {"Sec-Fetch-Site": "cross-site"},
			"origin": {"Origin": "https://elsewhere.example"},
		} {
			r := request("POST", path, url.Values{})
			for k, v := range headers {
				r.Header.Set(k, v)
			}
			if w := h.door(t, true, r, c); w.Code != http.StatusForbidden {
				t.Errorf("%s by %s: %d", path, name, w.Code)
			}
		}
	}
}

func TestTheSettingsOfDevicesAreChangedAtTheComputerItself(t *testing.T) {
	h, d, _ := letIn(t, false)
	w := h.send(request("GET", "/devices", nil))
	if w.Code != 200 || !strings.Contains(w.Body.String(), "/devices/code/daybook.svg") {
		t.Errorf("%d", w.Code)
	}
	for _, name := range []string{"daybook.svg", "certificate.svg"} {
		if w := h.send(request("GET", "/devices/code/"+name, nil)); w.Code != 200 || !strings.HasPrefix(w.Body.String(), "<svg") {
			t.Errorf("%s: %d", name, w.Code)
		}
	}
	h.send(request("POST", "/devices", url.Values{}))
	if d.Settings().On {
		t.Error("an empty box does not keep devices out")
	}
	if w := h.send(request("POST", "/devices", url.Values{"on": {"yes"}, "address": {"10.0.0.5"}, "keeper": {"short"}})); w.Code != http.StatusUnprocessableEntity || d.Settings().On {
		t.Errorf("%d", w.Code)
	}
}
