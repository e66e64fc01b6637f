package web

import (
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"henyear/daybook"
	"henyear/internal/browser"
	"henyear/measure"
	"henyear/report"
)

// sheetPages are the sheets, with the pages of paper that each may take.
var sheetPages = []struct {
	path string
	most int
}{
	{"/sheets/week", 3}, {"/sheets/month", 4}, {"/sheets/year", 1}, {"/sheets/tally", 1}, {"/sheets/birds", 2}, {"/sheets/sitter", 2}, {"/sheets/book", 60},
}

// paper is what another program reads in a print.
type paper struct {
	pages       int
	wide, tall  float64 // points
	text        string
	perPageText []string
}

// printed reads a print with Poppler; without it the test is skipped, but not
// where a build is checked.
func printed(t *testing.T, name string, pdf []byte) paper {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		if os.Getenv("HENYEAR_CI") == "1" {
			t.Fatal(err)
		}
		t.Skip("pdftotext is not installed")
	}
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	if *pictures != "" {
		file = filepath.Join(*pictures, plainID(name)+".pdf")
	}
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	info, err := exec.CommandContext(t.Context(), "pdfinfo", file).Output()
	if err != nil {
		t.Fatal(err)
	}
	var p paper
	if m := regexp.MustCompile(`Pages:\s+(\d+)`).FindSubmatch(info); m != nil {
		p.pages, _ = strconv.Atoi(string(m[1]))
	}
	if m := regexp.MustCompile(`Page size:\s+([\d.]+) x ([\d.]+)`).FindSubmatch(info); m != nil {
		p.wide, _ = strconv.ParseFloat(string(m[1]), 64)
		p.tall, _ = strconv.ParseFloat(string(m[2]), 64)
	}
	text, err := exec.CommandContext(t.Context(), "pdftotext", "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	p.text = string(text)
	p.perPageText = strings.Split(strings.TrimSuffix(p.text, "\f"), "\f")
	return p
}

// A4 is 210 by 297 mm (ISO 216), US letter 8.5 by 11 inches (ANSI/ASME Y14.1);
// a point is a 72nd of an inch.
var paperSizes = map[string][2]float64{"a4": {210 / 25.4 * 72, 297 / 25.4 * 72}, "letter": {612, 792}}

func TestEverySheetPrintsOnItsPaperWithoutMenus(t *testing.T) {
	h := open(t, nil).settled(t)
	tab := browser.Open(t, h.web.URL+"/sheets", browser.Laptop)
	for _, s := range sheetPages {
		for name, size := range paperSizes {
			tab.Go(h.web.URL + s.path + "?paper=" + name)
			p := printed(t, name+s.path, tab.PDF())
			if p.pages < 1 || p.pages > s.most {
				t.Errorf("%s on %s: %d pages, at most %d", s.path, name, p.pages, s.most)
			}
			if dx, dy := p.wide-size[0], p.tall-size[1]; dx*dx+dy*dy > 4 {
				t.Errorf("%s on %s: %g by %g points", s.path, name, p.wide, p.tall)
			}
			if !strings.Contains(p.text, "Alder Valley") {
				t.Errorf("%s on %s does not name the holding", s.path, name)
			}
			for _, menu := range []string{say("sheets.all"), say("nav.breeds"), say("footer")} {
				if strings.Contains(p.text, menu) {
					t.Errorf("%s on %s prints the menu %q", s.path, name, menu)
				}
			}
			for i, text := range p.perPageText {
				if strings.TrimSpace(text) == "" {
					t.Errorf("%s on %s: page %d is empty", s.path, name, i+1)
				}
			}
		}
	}
}

func TestEverybodyCanUseTheSheets(t *testing.T) {
	h := open(t, nil).settled(t)
	for name, view := range looks {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			tab := browser.Open(t, h.web.URL+"/sheets", view)
			for _, path := range []string{"/sheets", "/sheets/week", "/sheets/year", "/sheets/sitter", "/sheets/birds", "/daybook/tally"} {
				tab.Go(h.web.URL + path)
				lookAt(t, tab, name, path)
			}
		})
	}
}

func TestTheUsualPaperGoesWithTheUnits(t *testing.T) {
	h := open(t, func(_ *written, s *shelf) { s.holding.Units = measure.US }).settled(t)
	if _, page := h.get(t, "/sheets/tally"); !strings.Contains(page, "paper-letter.css") {
		t.Error("a US household does not get US letter")
	}
	if _, page := h.get(t, "/sheets/tally?paper=a4"); !strings.Contains(page, "paper-a4.css") {
		t.Error("A4 was asked for")
	}
	if _, page := h.get(t, "/sheets/tally?paper=%3Cscript%3E"); strings.Contains(page, "<script>") || !strings.Contains(page, "paper-letter.css") {
		t.Error("an unknown paper is not the usual one")
	}
}

func TestAFebruaryOfALeapYearHasTwentyNineDays(t *testing.T) {
	h := open(t, nil).settled(t)
	for month, days := range map[string]int{"2028-02": 29, "2026-02": 28, "2100-02": 28, "2026-12": 31} {
		_, page := h.get(t, "/sheets/tally?month="+month)
		if n := strings.Count(page, "<th scope=\"row\">") - 1; n != days { // and the sum
			t.Errorf("%s: %d days", month, n)
		}
	}
}

func TestADayOrMonthThatIsNoneIsRefusedInASentence(t *testing.T) {
	h := open(t, nil).settled(t)
	for _, path := range []string{"/sheets/tally?month=2026-13", "/sheets/tally?month=0000-01", "/sheets/month?month=x", "/sheets/week?day=2026-02-29", "/sheets/week?day=1066-10-14",
		"/sheets/sitter?from=2026-05-09&to=2026-05-01", "/sheets/year?from=99999-01", "/daybook/tally?month=-1"} {
		code, page := h.get(t, path)
		if code != http.StatusBadRequest || !strings.Contains(page, "write it as in 2026-11") {
			t.Errorf("%s: %d", path, code)
		}
	}
}

func TestSheetsOfYearsWithoutAPlanAreStillSheets(t *testing.T) {
	h := open(t, nil).settled(t)
	for _, path := range []string{"/sheets/week?day=1999-12-31", "/sheets/month?month=2099-06", "/sheets/year?from=2031-01", "/sheets/sitter?from=2099-01-01&to=2099-12-31"} {
		code, page := h.get(t, path)
		if code != http.StatusOK {
			t.Errorf("%s: %d", path, code)
		}
		if pl := h.planner.plan; !strings.Contains(page, say("sheets.outside", report.Day(pl.From), report.Day(pl.To))) {
			t.Errorf("%s does not say that the plan does not reach there", path)
		}
	}
	if _, page := h.get(t, "/sheets/week?day=2026-06-10"); strings.Contains(page, "Days outside it") {
		t.Error("a week of the plan is called outside it")
	}
}

func TestAnEggTallyIsTypedInOnce(t *testing.T) {
	h := open(t, nil).settled(t)
	today := h.server.date()
	first := monthAfter(today, -1)
	form := url.Values{"month": {monthText(first)}, "nonce": {"one form"}, "eggs_" + first.String(): {"7"}, "eggs_" + first.AddDays(2).String(): {" 0 "}}
	for range 2 { // sent again by an impatient thumb
		if w := h.send(request("POST", "/daybook/tally", form)); w.Code != http.StatusSeeOther {
			t.Fatal(w.Code, w.Body.String())
		}
	}
	b, _, err := h.server.book(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	days := b.EggsByDay(first, first.AddDays(2), daybook.Scope{})
	if len(days) != 3 || days[0].Usable != 7 || !days[0].Recorded || days[1].Recorded || !days[2].Recorded || days[2].Usable != 0 {
		t.Errorf("%+v", days)
	}
	other := url.Values{"month": {monthText(first)}, "nonce": {"another form"}, "eggs_" + first.String(): {"9"}}
	if w := h.send(request("POST", "/daybook/tally", other)); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), say("tally.known")) {
		t.Errorf("a day in the book was taken a second time: %d", w.Code)
	}
	if _, page := h.get(t, "/daybook/tally?month="+monthText(first)); strings.Contains(page, `name="eggs_`+first.String()) || !strings.Contains(page, say("tally.inbook")) {
		t.Error("a day in the book is asked for again")
	}
}

func TestWhatIsWrongInATallyIsToldAndNothingIsSaved(t *testing.T) {
	h := open(t, nil).settled(t)
	first := monthAfter(h.server.date(), -1)
	day := first.AddDays(4).String()
	for _, text := range []string{"many", "-1", "3.5", "1e3", "99999999999999999999", "<i>"} {
		w := h.send(request("POST", "/daybook/tally", url.Values{"month": {monthText(first)}, "nonce": {"n"}, "eggs_" + first.String(): {"5"}, "eggs_" + day: {text}}))
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), `value="5"`) || strings.Contains(w.Body.String(), "<i>") {
			t.Errorf("%q: %d", text, w.Code)
		}
	}
	b, _, _ := h.server.book(t.Context())
	if days := b.EggsByDay(first, first, daybook.Scope{}); days[0].Recorded {
		t.Error("half a tally was saved")
	}
}

func TestNamesInAnyScriptStayWithinTheirBoxes(t *testing.T) {
	h := open(t, func(_ *written, s *shelf) {
		s.holding.Name = "Alder Valley, \"قن الدجاج\" 🐔 <b>&"
	}).settled(t)
	if _, page := h.get(t, "/sheets/tally"); !strings.Contains(page, "<bdi>Alder Valley, &#34;قن الدجاج&#34; 🐔 &lt;b&gt;&amp;</bdi>") {
		t.Error("the name is not set apart")
	}
}
