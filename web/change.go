package web

import (
	"errors"
	"net/http"
	"strings"

	"henyear/holding"
)

// changeView is the form that changes needs and means. Everything the keeper
// typed stands in it again when something is wrong.
type changeView struct {
	Groups  []groupView
	Version string
	Fault   string // about the form as a whole
	Wrong   []fieldView
}

type groupView struct {
	Code string
	Rows []rowView
}

// Name is the heading of a group.
func (g groupView) Name() string { return say("change.group." + g.Code) }

// Folded reports whether the group stands behind a line to open.
func (g groupView) Folded() bool { return g.Code == "house" }

// Fold is the line to open.
func (g groupView) Fold() string { return say("change.group." + g.Code + ".open") }

// Wrong reports whether a field of the group needs another look.
func (g groupView) Wrong() bool {
	for _, r := range g.Rows {
		for _, f := range r.Fields {
			if f.Error != "" {
				return true
			}
		}
	}
	return false
}

// Hint is a sentence under the heading, if there is one.
func (g groupView) Hint() string {
	if text, ok := english["change.group."+g.Code+".hint"]; ok {
		return text
	}
	return ""
}

// rowView holds fields that stand beside each other, with a legend when there
// is more than one.
type rowView struct {
	Legend string
	Months bool // twelve small boxes
	Fields []fieldView
}

// fieldView is one field as the template shows it.
type fieldView struct {
	Name, Label, Unit, Value, Error string
	Kind                            string // number, date, check, choice, text, line (a long one)
	Choices                         []choice
}

type choice struct {
	Value, Label string
	Chosen       bool
}

// Checked is for a box to tick.
func (f fieldView) Checked() bool { return f.Value == "yes" }

var changeStyles = []string{"change.css"}

func (s *Server) showChange(w http.ResponseWriter, r *http.Request) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	form := formFor(p.Holding)
	p.Body, p.Styles = form.view(form.read(p.Holding), nil, p.State.version, ""), changeStyles
	s.show(w, r, http.StatusOK, "change", p)
}

func (s *Server) saveChange(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	if err := r.ParseForm(); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			s.fail(w, r, http.StatusRequestEntityTooLarge, "error.large")
			return
		}
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return
	}
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	form := formFor(p.Holding)
	typed := form.typed(r.PostForm)
	again := func(faults map[string]string, sentence string) {
		p.Body, p.Styles = form.view(typed, faults, p.State.version, sentence), changeStyles
		s.show(w, r, http.StatusUnprocessableEntity, "change", p)
	}
	if r.PostForm.Get("version") != p.State.version {
		again(nil, say("change.meanwhile"))
		return
	}
	changed := p.Holding.Clone()
	faults := form.apply(changed, typed)
	if len(faults) == 0 {
		faults = completeHouses(changed, p.Holding)
	}
	if len(faults) > 0 {
		again(faults, "")
		return
	}
	if err := holdsTogether(changed); err != nil {
		again(nil, say("change.refused")+" "+faultSentence(err))
		return
	}
	if err := s.Holdings.Save(r.Context(), changed); err != nil {
		again(nil, faultSentence(err))
		return
	}
	if h, err := s.Holdings.Current(r.Context()); err == nil && versionOf(h) != p.State.version {
		s.job.begin(h, p.State.plan)
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// holdsTogether asks the room of holdings whether what was typed makes a
// holding: it is written out as a file and read back with every check.
func holdsTogether(h *holding.Holding) error {
	_, _, err := holding.ReadOn(h.Write(), "", h.AsOf)
	return err
}

// faultSentence tells why a holding was refused, in the words of the room that
// knows.
func faultSentence(err error) string {
	var problems holding.Problems
	if !errors.As(err, &problems) {
		return err.Error()
	}
	list := make([]string, len(problems))
	for i, p := range problems {
		list[i] = strings.TrimSpace(p.Field+" "+p.What) + "; " + p.Right
	}
	return strings.Join(list, ". ") + "."
}
