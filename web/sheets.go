package web

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"henyear/measure"
	"henyear/report"
)

// Sheets are pages for paper: black on white, large type, one page where that can
// be. The browser prints them; nothing else makes the pages.

func (s *Server) sheetRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /sheets", s.showSheets)
	for code, show := range map[string]func(http.ResponseWriter, *http.Request, *sheetView) bool{
		"week": s.weekSheet, "month": s.monthSheet, "year": s.yearSheet, "tally": s.tallySheet, "birds": s.birdSheet, "sitter": s.sitterSheet,
	} {
		mux.HandleFunc("GET /sheets/"+code, func(w http.ResponseWriter, r *http.Request) {
			v := s.newSheet(r, code)
			if !show(w, r, v) {
				return
			}
			s.showSheet(w, r, v)
		})
	}
	mux.HandleFunc("GET /sheets/book", s.showBook)
}

// sheetView is one sheet. Only the part of its own code is set.
type sheetView struct {
	Code, Title, Sub string
	Paper            string // a4, letter
	Papers           []paperLink
	Outside          string // said when some of its days lie outside the plan
	Back, Next       string // addresses of the sheet before and after; empty for none

	page page

	Week   *weekSheet
	Month  *monthSheet
	Year   *yearSheet
	Tally  *tallySheet
	Birds  *birdSheet
	Sitter *sitterSheet
}

type paperLink struct {
	Name, Address string
	Here          bool
}

// Papers, the usual one of the reader's units first.
var papers = []string{"a4", "letter"}

func (s *Server) newSheet(r *http.Request, code string) *sheetView {
	v := &sheetView{Code: code, Title: say("sheets." + code)}
	v.Paper, v.Papers = s.paperOf(r)
	return v
}

// paperOf is the paper that the address asks for, or that goes with the units of
// the holding, and the way to the other one.
func (s *Server) paperOf(r *http.Request) (string, []paperLink) {
	paper := r.URL.Query().Get("paper")
	if paper != "a4" && paper != "letter" {
		paper = "a4"
		if h, err := s.Holdings.Current(r.Context()); err == nil && h.Units == measure.US {
			paper = "letter"
		}
	}
	var links []paperLink
	for _, name := range papers {
		q := r.URL.Query()
		q.Set("paper", name)
		links = append(links, paperLink{say("sheets.paper." + name), r.URL.Path + "?" + q.Encode(), name == paper})
	}
	return paper, links
}

func (s *Server) showSheet(w http.ResponseWriter, r *http.Request, v *sheetView) {
	p := v.page
	p.Title, p.Body, p.Styles = v.Title, v, []string{"sheet.css", "paper-" + v.Paper + ".css"}
	s.show(w, r, http.StatusOK, "sheet", p)
}

// with is the address of a sheet with one value more, the paper kept.
func (v *sheetView) with(name, value string) string {
	return "/sheets/" + v.Code + "?" + url.Values{name: {value}, "paper": {v.Paper}}.Encode()
}

// sheetsView lists what can be printed.
type sheetsView struct {
	Groups []sheetGroup
	Paper  string
	Papers []paperLink
}

type sheetGroup struct {
	Title  string
	Sheets []sheetLink
}

type sheetLink struct{ Name, Address, Words string }

func (s *Server) showSheets(w http.ResponseWriter, r *http.Request) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	v := sheetsView{}
	v.Paper, v.Papers = s.paperOf(r)
	link := func(code, path string) sheetLink {
		join := "?"
		if strings.Contains(path, "?") {
			join = "&"
		}
		return sheetLink{say("sheets." + code), path + join + "paper=" + v.Paper, say("sheets." + code + ".words")}
	}
	v.Groups = []sheetGroup{
		{say("sheets.door"), []sheetLink{link("week", "/sheets/week"), link("month", "/sheets/month"), link("year", "/sheets/year"), link("tally", "/sheets/tally")}},
		{say("sheets.birds.group"), []sheetLink{link("hatch", "/work/hatch"), link("birds", "/sheets/birds"), link("butcher", "/work/butcher")}},
		{say("sheets.others"), []sheetLink{link("sitter", "/sheets/sitter"), link("book", "/sheets/book")}},
	}
	p.Body, p.Styles = v, []string{"sheet.css"}
	s.show(w, r, http.StatusOK, "sheets", p)
}

// tallySheet is a month of days to fill in by hand.
type tallySheet struct {
	Columns []string // pens, or one for the whole flock
	Days    []tallyRow
}

type tallyRow struct{ Day, Name string }

// mostPens is how many pens have a column wide enough for cold hands.
const mostPens = 4

func (s *Server) tallySheet(w http.ResponseWriter, r *http.Request, v *sheetView) bool {
	p, ok := s.current(w, r)
	if !ok {
		return false
	}
	v.page = p
	first, ok := monthOf(r.URL.Query().Get("month"), s.date())
	if !ok {
		s.fail(w, r, http.StatusBadRequest, "error.month", r.URL.Query().Get("month"))
		return false
	}
	t := &tallySheet{Columns: []string{say("sheets.tally.whole")}}
	if s.Daybook != nil {
		if b, _, err := s.book(r.Context()); err == nil {
			if pens := s.pocketOf(b, p).pens; len(pens) > 1 && len(pens) <= mostPens {
				t.Columns = pens
			}
		}
	}
	for _, d := range daysOf(first) {
		t.Days = append(t.Days, tallyRow{strconv.Itoa(d.Day), report.Weekday(d)})
	}
	v.Sub = report.MonthName(first.Month) + " " + strconv.Itoa(first.Year)
	v.Back, v.Next = v.with("month", monthText(monthAfter(first, -1))), v.with("month", monthText(monthAfter(first, 1)))
	v.Tally = t
	return true
}

// birdSheet is a card for every single bird, or for every group where no bird is
// known by ring or name.
type birdSheet struct{ Cards []birdCard }

type birdCard struct {
	Title string
	Facts []fact
	Lines []string // to be filled in by hand
	Notes string
}

func (s *Server) birdSheet(w http.ResponseWriter, r *http.Request, v *sheetView) bool {
	p, ok := s.current(w, r)
	if !ok {
		return false
	}
	v.page = p
	sheet := &birdSheet{}
	v.Birds, v.Sub = sheet, report.Day(s.date())
	if s.Daybook != nil {
		b, _, err := s.book(r.Context())
		if err != nil {
			s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
			return false
		}
		sheet.Cards = cardsOf(b, s.date())
	}
	if len(sheet.Cards) == 0 {
		sheet.Cards = cardsOfHolding(p.Holding)
	}
	return true
}
