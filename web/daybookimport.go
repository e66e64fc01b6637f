package web

import (
	"encoding/base64"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"henyear/daybook"
	"henyear/measure"
	"henyear/report"
	"henyear/store"
)

// The bounds of an old table: ten years of daily lines take a few hundred
// kilobytes. It travels with the questions about it, a third larger.
const (
	maxTable     = 2 << 20
	maxTableForm = maxTable*4/3 + maxForm
)

// importView is the page on which old records come in.
type importView struct {
	Content   string // the file, for the next step
	Fault     string
	Preview   *daybook.Preview
	Columns   []importColumn
	Questions []importQuestion
	Lines     []lineView
	Refused   []string
	More      int // lines that are not shown
	NoMore    int // refusals that are not shown
	Ready     bool
	Count     int
	Written   int
	Options   map[string]string
}

type importColumn struct {
	N                    int
	Name, Examples, Sure string
	Was                  string // the field before the keeper chose
	Fields               []choice
}

type importQuestion struct {
	Text, Name string
	Choices    []choice
}

// answerBoxes are the names of the boxes that answer a question, by the option
// that it is about; a question about columns is answered at the columns.
var answerBoxes = map[string]string{"DateOrder": "date_order", "Decimal": "decimal", "Units": "units", "Year": "year"}

// shownLines of the preview, and of the refusals.
const shownLines = 20

func (s *Server) showImport(w http.ResponseWriter, r *http.Request) {
	p := s.daybookPage(r)
	written, _ := strconv.Atoi(r.URL.Query().Get("written"))
	p.Body = importView{Written: written}
	s.show(w, r, http.StatusOK, "import", p)
}

// takeImport shows what an old table would become, and writes it when the
// keeper says so. Nothing is kept between the two: the file comes back with the
// answers.
func (s *Server) takeImport(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, maxTableForm)
	if err := r.ParseMultipartForm(maxTableForm); err != nil {
		s.fail(w, r, http.StatusRequestEntityTooLarge, "error.table")
		return
	}
	defer r.MultipartForm.RemoveAll()
	sent := r.PostForm
	file, err := tableOf(r)
	if err != nil || len(file) == 0 || len(file) > maxTable {
		s.fail(w, r, http.StatusBadRequest, "error.table")
		return
	}
	_, events, err := s.book(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
		return
	}
	p := s.daybookPage(r)
	v := importView{Content: base64.StdEncoding.EncodeToString(file), Options: flat(sent)}
	preview, err := daybook.PreviewImport(file, importOptions(sent, s.date(), events, p))
	if err != nil {
		v.Fault = capitalised(err.Error())
		p.Body = v
		s.show(w, r, http.StatusUnprocessableEntity, "import", p)
		return
	}
	if sent.Get("write") == "yes" && len(preview.Questions) == 0 {
		if err := s.keepImport(r, preview.Events); err != nil {
			s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
			return
		}
		http.Redirect(w, r, "/daybook/import?written="+strconv.Itoa(len(preview.Events)), http.StatusSeeOther)
		return
	}
	v.fill(preview, sent, p)
	p.Body = v
	s.show(w, r, http.StatusOK, "import", p)
}

func tableOf(r *http.Request) ([]byte, error) {
	if content := r.PostForm.Get("content"); content != "" {
		return base64.StdEncoding.DecodeString(content)
	}
	if text := r.PostForm.Get("pasted"); strings.TrimSpace(text) != "" {
		return []byte(text), nil
	}
	f, _, err := r.FormFile("table")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, maxTable+1))
}

// importOptions are the keeper's answers.
func importOptions(sent url.Values, today measure.Date, existing []daybook.Event, p page) daybook.ImportOptions {
	o := daybook.ImportOptions{Today: today, DateOrder: sent.Get("date_order"), Decimal: sent.Get("decimal"), Units: measure.Units(sent.Get("units")),
		Group: strings.TrimSpace(sent.Get("group")), FromCounts: sent.Get("from_counts") == "yes", NoHeader: sent.Get("no_header") == "yes",
		Encoding: sent.Get("encoding"), Delimiter: sent.Get("delimiter"), Currency: p.Currency(), Existing: existing, Columns: map[string]daybook.ColumnChoice{}}
	o.Year, _ = strconv.Atoi(sent.Get("year"))
	for n := 0; n < 200; n++ {
		key := strconv.Itoa(n)
		name, field := sent.Get("column_"+key), sent.Get("field_"+key)
		if name != "" && field != "" && field != sent.Get("was_"+key) {
			o.Columns[name] = daybook.ColumnChoice{Field: field}
		} else if name != "" && sent.Get("chosen_"+key) == "yes" {
			o.Columns[name] = daybook.ColumnChoice{Field: field}
		}
	}
	return o
}

func (v *importView) fill(preview *daybook.Preview, sent url.Values, p page) {
	v.Preview, v.Count, v.Ready = preview, len(preview.Events), len(preview.Questions) == 0 && len(preview.Events) > 0
	for n, c := range preview.Columns {
		column := importColumn{N: n, Name: c.Name, Examples: strings.Join(c.Examples, ", "), Sure: string(c.Confidence), Was: c.Field}
		if column.Was == "" {
			column.Was = "ignore"
		}
		for _, field := range daybook.ImportFields() {
			column.Fields = append(column.Fields, choice{field, strings.ReplaceAll(field, "_", " "), field == c.Field || c.Field == "" && field == "ignore"})
		}
		v.Columns = append(v.Columns, column)
	}
	for _, q := range preview.Questions {
		view := importQuestion{Text: q.What.Text, Name: answerBoxes[q.Answer]}
		for _, c := range q.Choices {
			view.Choices = append(view.Choices, choice{Value: c, Label: c})
		}
		v.Questions = append(v.Questions, view)
	}
	for _, line := range preview.Lines[:min(shownLines, len(preview.Lines))] {
		for _, e := range line.Events {
			v.Lines = append(v.Lines, lineView{On: report.Day(e.HappenedOn), Title: say("import.line", strconv.Itoa(line.Line)), Text: daybook.Describe(e, daybook.Names{Currency: p.Currency()}).Text})
		}
	}
	v.More = max(0, len(preview.Lines)-shownLines)
	for _, refusal := range preview.Refused[:min(shownLines, len(preview.Refused))] {
		v.Refused = append(v.Refused, capitalised(refusal.Error()))
	}
	v.NoMore = max(0, len(preview.Refused)-shownLines)
}

// keepImport writes in parts; since the identifiers follow from the content, an
// import that was cut off is finished by sending it again.
func (s *Server) keepImport(r *http.Request, events []daybook.Event) error {
	for part := range slices.Chunk(events, store.MostEventsAtOnce) {
		if _, err := s.Daybook.AddEvents(r.Context(), part, s.now()); err != nil {
			return err
		}
	}
	return nil
}
