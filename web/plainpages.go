package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"time"

	"henyear/report"
	"henyear/source"
)

// sourcesView is the bibliography by kind.
type sourcesView struct{ Kinds []sourceKind }

type sourceKind struct {
	Name, Words string
	Entries     []source.Entry
}

func (s *Server) showSources(w http.ResponseWriter, r *http.Request) {
	var view sourcesView
	for _, kind := range []source.Kind{source.Published, source.Memory, source.Practice, source.Guess} {
		k := sourceKind{Name: say("source." + string(kind)), Words: say("source." + string(kind) + ".words")}
		for _, e := range source.All() {
			if e.Kind == kind {
				k.Entries = append(k.Entries, e)
			}
		}
		if len(k.Entries) > 0 {
			view.Kinds = append(view.Kinds, k)
		}
	}
	s.plainPage(w, r, "sources", view)
}

// plainPage shows a page that needs no plan.
func (s *Server) plainPage(w http.ResponseWriter, r *http.Request, name string, body any) {
	st, _ := s.job.snapshot()
	s.show(w, r, http.StatusOK, name, page{Holding: st.holding, State: st, Body: body})
}

// evidenceView is the table of published values against computed ones.
type evidenceView struct {
	Rooms                        []evidenceRoom
	Checks, Holds, Known, Missed int            // how many values; Missed without a known reason
	Misses                       []source.Check // all that miss, of every room
	Fault                        string
}

type evidenceRoom struct {
	Name   string
	Missed int
	Checks []source.Check
}

func (s *Server) showEvidence(w http.ResponseWriter, r *http.Request) {
	var view evidenceView
	if s.Evidence != nil {
		checks, err := s.Evidence()
		view = sortEvidence(checks)
		view.Fault = faultWords(err)
	}
	s.plainPage(w, r, "evidence", view)
}

func sortEvidence(checks []source.Check) evidenceView {
	view := evidenceView{Checks: len(checks)}
	for _, c := range checks {
		if n := len(view.Rooms); n == 0 || view.Rooms[n-1].Name != c.Room {
			view.Rooms = append(view.Rooms, evidenceRoom{Name: c.Room})
		}
		room := &view.Rooms[len(view.Rooms)-1]
		room.Checks = append(room.Checks, c)
		switch {
		case c.Pass():
			view.Holds++
			continue
		case knownMiss(c):
			view.Known++
		default:
			view.Missed++
		}
		room.Missed++
		view.Misses = append(view.Misses, c)
	}
	return view
}

// knownMiss reports whether a check that misses says why in its note.
func knownMiss(c source.Check) bool { return strings.HasPrefix(c.Note, "known miss") }

func (s *Server) showNotices(w http.ResponseWriter, r *http.Request) {
	s.plainPage(w, r, "notices", s.Notices)
}

func (s *Server) stop(w http.ResponseWriter, r *http.Request) {
	s.job.stop()
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// again begins the work anew for the holding as it is.
func (s *Server) again(w http.ResponseWriter, r *http.Request) {
	h, err := s.Holdings.Current(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.holding", err.Error())
		return
	}
	st, _ := s.job.snapshot()
	s.job.begin(h, st.plan)
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// progress streams how far the work is, as server-sent events, and ends with
// the work. At most four reports a second go out.
func (s *Server) progress(w http.ResponseWriter, r *http.Request) {
	control := http.NewResponseController(w)
	control.SetWriteDeadline(time.Time{})
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	for {
		st, changed := s.job.snapshot()
		words := busyWords(st)
		if r.URL.Query().Get("of") == "odds" {
			words = luckWords(st)
		}
		message, _ := json.Marshal(map[string]any{"text": words, "round": st.round, "running": st.running()})
		if _, err := fmt.Fprintf(w, "data: %s\n\n", message); err != nil || control.Flush() != nil || !st.running() {
			return
		}
		select {
		case <-r.Context().Done():
			return
		case <-changed:
		}
		select {
		case <-r.Context().Done():
			return
		case <-time.After(250 * time.Millisecond):
		}
	}
}

func (s *Server) planJSON(w http.ResponseWriter, r *http.Request) {
	st, _ := s.job.snapshot()
	if st.plan == nil {
		s.fail(w, r, http.StatusNotFound, "error.noplan")
		return
	}
	s.json(w, r, st.plan)
}

func (s *Server) breedsJSON(w http.ResponseWriter, r *http.Request) {
	st, _ := s.job.snapshot()
	if st.breeds == nil {
		s.fail(w, r, http.StatusNotFound, "error.nobreeds")
		return
	}
	s.json(w, r, map[string]any{"format": 1, "breeds": st.breeds})
}

func (s *Server) json(w http.ResponseWriter, r *http.Request, v any) {
	b, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.json", err.Error())
		return
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Header().Set("Cache-Control", "no-cache")
	w.Write(append(b, '\n'))
}

func (s *Server) weeksCSV(w http.ResponseWriter, r *http.Request) {
	st, _ := s.job.snapshot()
	if st.plan == nil {
		s.fail(w, r, http.StatusNotFound, "error.noplan")
		return
	}
	var b bytes.Buffer
	report.WeeksCSV(&b, st.plan) // a buffer takes everything
	s.file(w, "weeks.csv", "text/csv; charset=utf-8", b.Bytes())
}

func (s *Server) breedsCSV(w http.ResponseWriter, r *http.Request) {
	st, _ := s.job.snapshot()
	if st.breeds == nil {
		s.fail(w, r, http.StatusNotFound, "error.nobreeds")
		return
	}
	var b bytes.Buffer
	report.BreedsCSV(&b, st.breeds, st.holding.Currency)
	s.file(w, "breeds.csv", "text/csv; charset=utf-8", b.Bytes())
}

func (s *Server) file(w http.ResponseWriter, name, kind string, body []byte) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	w.Header().Set("Cache-Control", "no-cache")
	w.Write(body)
}

// drawing serves one drawing as a file: NAME.svg, or NAME-narrow.svg.
func (s *Server) drawing(w http.ResponseWriter, r *http.Request) {
	name, isSVG := strings.CutSuffix(r.PathValue("name"), ".svg")
	name, narrow := strings.CutSuffix(name, "-narrow")
	st, _ := s.job.snapshot()
	var list []report.Drawing
	if st.plan != nil {
		list = planDrawings(st.plan, st.holding.Means.FreezerL)
	}
	if st.holding != nil {
		list = append(list, s.placed(st).Drawings()...)
	}
	list = append(list, oddsDrawings(st.luck)...)
	width := report.Wide
	if narrow {
		width = report.Narrow
	}
	for _, d := range list {
		if isSVG && d.Name == name && !d.Empty() {
			w.Header().Set("Content-Type", "image/svg+xml")
			w.Header().Set("Cache-Control", "no-cache")
			w.Write(d.SVG(width))
			return
		}
	}
	s.notFound(w, r)
}
