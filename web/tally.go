package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"henyear/daybook"
	"henyear/measure"
	"henyear/report"
)

// The egg tally of a month: filled in by hand on the coop door, and typed in
// later in one go.

func (s *Server) tallyRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /daybook/tally", s.withBook(s.showTally))
	mux.HandleFunc("POST /daybook/tally", s.withBook(s.takeTally))
}

// tallyView is the page on which a filled tally is typed in.
type tallyView struct {
	Month, Title string
	Before, Next string // months, as in the address; Next empty when it lies ahead
	Pen          string
	Pens         []string
	Nonce        string // names this form, so that it counts once however often it is sent
	Days         []tallyDay
	Fault        string
	Saved        string
	Known        bool // some day of the month is in the book already
}

// tallyDay is one day of it. Known is what the book has; such a day is not asked.
type tallyDay struct {
	Date, Day, Name string
	Known           string
	Value, Fault    string
}

// monthOf reads a month as in "2026-11"; today's where it is empty.
func monthOf(text string, today measure.Date) (measure.Date, bool) {
	if text == "" {
		return measure.Date{Year: today.Year, Month: today.Month, Day: 1}, true
	}
	d, err := measure.ParseDate(text + "-01")
	return d, err == nil && d.Year >= 1970 && d.Year <= 2199
}

func monthText(d measure.Date) string { return d.String()[:7] }

func monthAfter(d measure.Date, months int) measure.Date {
	m := int(d.Month) - 1 + 12*d.Year + months
	return measure.Date{Year: m / 12, Month: time.Month(m%12 + 1), Day: 1}
}

// daysOf lists the days of a month.
func daysOf(first measure.Date) []measure.Date {
	var list []measure.Date
	for d := first; d.Month == first.Month; d = d.AddDays(1) {
		list = append(list, d)
	}
	return list
}

func (s *Server) showTally(w http.ResponseWriter, r *http.Request) {
	s.tallyPage(w, r, http.StatusOK, r.URL.Query(), nil, "")
}

// tallyPage shows a month. sent are the values typed, faults what is wrong with
// them by day.
func (s *Server) tallyPage(w http.ResponseWriter, r *http.Request, status int, sent url.Values, faults map[string]string, fault string) {
	b, _, err := s.book(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
		return
	}
	today := s.date()
	first, ok := monthOf(sent.Get("month"), today)
	if !ok {
		s.fail(w, r, http.StatusBadRequest, "error.month", sent.Get("month"))
		return
	}
	p := s.daybookPage(r)
	p.Phone = false
	v := tallyView{Month: monthText(first), Title: say("tally.of", report.MonthName(first.Month), strconv.Itoa(first.Year)), Before: monthText(monthAfter(first, -1)),
		Pen: sent.Get("pen"), Pens: s.pocketOf(b, p).pens, Nonce: sent.Get("nonce"), Fault: fault, Saved: r.URL.Query().Get("saved")}
	if v.Nonce == "" {
		v.Nonce = freshID().String()
	}
	if v.Pen != "" && !slices.Contains(v.Pens, v.Pen) {
		v.Pens = append(v.Pens, v.Pen)
	}
	if next := monthAfter(first, 1); !next.After(today) {
		v.Next = monthText(next)
	}
	days := daysOf(first)
	known := b.EggsByDay(first, days[len(days)-1], daybook.Scope{Pen: v.Pen})
	for i, d := range days {
		if d.After(today) {
			break
		}
		t := tallyDay{Date: d.String(), Day: strconv.Itoa(d.Day), Name: report.Weekday(d), Value: sent.Get("eggs_" + d.String()), Fault: faults[d.String()]}
		if known[i].Recorded {
			t.Known, v.Known = report.Number(known[i].Usable, 0), true
		}
		v.Days = append(v.Days, t)
	}
	p.Body = v
	p.Styles = []string{"sheet.css"}
	s.show(w, r, status, "tally", p)
}

// mostTallied is more eggs than the largest flock lays in a day.
const mostTallied = 20000

// takeTally keeps a collection for every day that was typed in, all or none.
func (s *Server) takeTally(w http.ResponseWriter, r *http.Request) {
	sent, _, ok := s.readEntry(w, r)
	if !ok {
		return
	}
	b, _, err := s.book(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
		return
	}
	today, now := s.date(), s.now()
	first, ok := monthOf(sent.Get("month"), today)
	if !ok {
		s.fail(w, r, http.StatusBadRequest, "error.month", sent.Get("month"))
		return
	}
	var events []daybook.Event
	again := 0
	faults := map[string]string{}
	days := daysOf(first)
	known := b.EggsByDay(first, days[len(days)-1], daybook.Scope{Pen: sent.Get("pen")})
	for i, d := range days {
		text := strings.TrimSpace(sent.Get("eggs_" + d.String()))
		if text == "" {
			continue
		}
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 || n > mostTallied {
			faults[d.String()] = say("tally.wrong", text)
			continue
		}
		if d.After(today) {
			faults[d.String()] = say("tally.ahead")
			continue
		}
		// The same form sent twice gives the same records, and the second time nothing
		// is left to do.
		id := derivedID("tally", sent.Get("nonce"), d.String())
		if known[i].Recorded {
			if b.StandingOf(id) == daybook.Counts && known[i].Usable == float64(n) {
				again++
			} else {
				faults[d.String()] = say("tally.known")
			}
			continue
		}
		e, err := daybook.New(id, d, now, daybook.ID{}, visitorOf(r).Name, &daybook.Eggs{Number: n, Days: 1, Pen: sent.Get("pen")})
		if err != nil {
			faults[d.String()] = capitalised(err.Error())
			continue
		}
		events = append(events, e)
	}
	if len(faults) > 0 {
		s.tallyPage(w, r, http.StatusUnprocessableEntity, sent, faults, say("tally.fault"))
		return
	}
	if len(events)+again == 0 {
		s.tallyPage(w, r, http.StatusUnprocessableEntity, sent, nil, say("tally.empty"))
		return
	}
	if len(events) > 0 {
		if faults := s.keep(r, events, now); len(faults) > 0 {
			s.tallyPage(w, r, http.StatusUnprocessableEntity, sent, nil, faults[""])
			return
		}
	}
	back := url.Values{"month": {monthText(first)}, "saved": {fmt.Sprint(len(events) + again)}}
	if pen := sent.Get("pen"); pen != "" {
		back.Set("pen", pen)
	}
	http.Redirect(w, r, "/daybook/tally?"+back.Encode(), http.StatusSeeOther)
}
