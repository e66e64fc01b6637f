package web

import (
	"bytes"
	"errors"
	"net/http"
	"slices"
	"strings"

	"henyear/daybook"
	"henyear/measure"
	"henyear/report"
)

// The figures as files for other programs: a workbook, tables, JSON and the
// schemas that say what is in it.

func (s *Server) tablesRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /tables", s.showTables)
	mux.HandleFunc("GET /tables/{file}", s.tableFile)
	mux.HandleFunc("GET /plan.xlsx", s.workbook)
	mux.HandleFunc("GET /schema/{file}", s.schemaFile)
}

// tablesView lists what can be taken along now.
type tablesView struct {
	Plan, Odds, Breeds, Records bool
	Tables                      []tableLink // of the plan
	Book                        []tableLink // of the daybook
	Schemas                     []string
}

type tableLink struct{ Name, Words string }

// tableWords say what is in each table.
var tableWords = map[string]string{
	"weeks": say("figures.weeks"), "years": say("figures.years"), "batches": say("figures.batches"), "fates": say("figures.fates"), "tasks": say("figures.tasks"),
	"odds_weeks": say("figures.odds_weeks"), "odds_years": say("figures.odds_years"), "odds_chances": say("figures.odds_chances"), "breeds": say("figures.breeds"), "payments": say("figures.payments"),
}

// takings gathers what is known now. Its plan is nil when there is none yet.
func (s *Server) takings(r *http.Request) (report.WorkbookInput, []daybook.Event, error) {
	st, _ := s.job.snapshot()
	in := report.WorkbookInput{Holding: st.holding, Plan: st.plan, Odds: st.luck.odds, Breeds: st.breeds}
	var events []daybook.Event
	if s.Daybook != nil {
		var err error
		if in.Book, events, err = s.book(r.Context()); err != nil {
			return in, nil, err
		}
	}
	if in.Plan != nil && in.Holding != nil {
		// Without a list the jobs of the plan stand in its place.
		if list, _, err := s.workList(r.Context(), in.Holding, in.Plan, measure.Date{}, measure.Date{}); err == nil {
			in.Work = list.Tasks
		}
	}
	return in, events, nil
}

func (s *Server) showTables(w http.ResponseWriter, r *http.Request) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	in, events, err := s.takings(r)
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.records", err.Error())
		return
	}
	v := tablesView{Plan: in.Plan != nil, Odds: in.Odds != nil, Breeds: len(in.Breeds) > 0, Records: len(events) > 0, Schemas: report.SchemaNames()}
	if v.Plan {
		for _, g := range report.Grids(in) {
			v.Tables = append(v.Tables, tableLink{g.Name, tableWords[g.Name]})
		}
	}
	for _, k := range daybook.Kinds() {
		if slices.ContainsFunc(events, func(e daybook.Event) bool { return e.Kind == k.Name }) {
			v.Book = append(v.Book, tableLink{k.Name, k.Title})
		}
	}
	p.Body = v
	p.Styles = []string{"tables.css"}
	s.show(w, r, http.StatusOK, "tables", p)
}

// workbook serves everything that is known now as one workbook.
func (s *Server) workbook(w http.ResponseWriter, r *http.Request) {
	in, _, err := s.takings(r)
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.records", err.Error())
		return
	}
	if in.Plan == nil || in.Holding == nil {
		s.fail(w, r, http.StatusNotFound, "error.noplan")
		return
	}
	var b bytes.Buffer
	if err := report.Workbook(&b, in); err != nil {
		status := http.StatusInternalServerError
		if errors.Is(err, report.ErrTooManyRows) {
			status = http.StatusRequestEntityTooLarge
		}
		s.fail(w, r, status, "error.workbook", err.Error())
		return
	}
	s.file(w, "henyear.xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", b.Bytes())
}

// tableFile serves one table: NAME.csv of the plan, KIND.csv of the daybook, or
// records.jsonl with all of it.
func (s *Server) tableFile(w http.ResponseWriter, r *http.Request) {
	in, events, err := s.takings(r)
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.records", err.Error())
		return
	}
	file := r.PathValue("file")
	if file == "records.jsonl" && len(events) > 0 {
		lines, err := daybook.ExportLines(events)
		if err != nil {
			s.fail(w, r, http.StatusInternalServerError, "error.records", err.Error())
			return
		}
		s.file(w, file, "application/jsonl; charset=utf-8", lines)
		return
	}
	name, isCSV := strings.CutSuffix(file, ".csv")
	if isCSV && in.Plan != nil {
		if g, ok := report.GridNamed(in, name); ok {
			var b bytes.Buffer
			g.CSV(&b) // a buffer takes everything
			s.file(w, file, "text/csv; charset=utf-8", b.Bytes())
			return
		}
	}
	tables, err := daybook.ExportTables(events)
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.records", err.Error())
		return
	}
	for _, t := range tables {
		if isCSV && t.Name == file {
			s.file(w, file, "text/csv; charset=utf-8", t.CSV)
			return
		}
	}
	s.notFound(w, r)
}

// schemaFile serves the JSON Schema of an answer.
func (s *Server) schemaFile(w http.ResponseWriter, r *http.Request) {
	name, isJSON := strings.CutSuffix(r.PathValue("file"), ".json")
	text, ok := report.Schema(name)
	if !isJSON || !ok {
		s.notFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "application/schema+json")
	w.Header().Set("Cache-Control", "no-cache")
	w.Write(text)
}
