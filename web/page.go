package web

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"math"
	"net/http"
	"path"
	"strconv"
	"strings"

	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
	"henyear/report"
	"henyear/source"
)

//go:embed template *.toml
var textFiles embed.FS

var english = func() report.Words {
	w, err := report.ReadAllWords(textFiles)
	if err != nil {
		panic(err) // embedded and read by a test
	}
	return w
}()

func say(code string, args ...string) string { return english.Say(code, args...) }

// A page is what every template gets.
type page struct {
	Name    string // of the template, and of the page in the navigation
	Title   string
	Holding *holding.Holding // nil when there is none yet
	State   state
	Busy    string // how far the running work is, in a sentence; empty when none runs
	Body    any
	Visitor Visitor  // zero: the keeper at the computer itself
	Devices bool     // other devices can be let in
	Phone   bool     // a page of the daybook, with its script
	Styles  []string // further style sheets, as "sheet.css"
}

// Helping reports whether the page is for somebody who sees no other pages: a
// helper, or a stranger at the door.
func (p page) Helping() bool { return p.Visitor.Role != Keeper }

// AtHome reports whether the page may lead to the settings of other devices.
func (p page) AtHome() bool { return p.Visitor.Local && p.Devices }

// OnPhone reports whether the page went to another device.
func (p page) OnPhone() bool { return p.Visitor.Role != "" && !p.Visitor.Local }

// Units, Currency: how the holding wants its figures.
func (p page) Units() measure.Units {
	if p.Holding == nil {
		return measure.Metric
	}
	return p.Holding.Units
}

func (p page) Currency() measure.Currency {
	if p.Holding == nil {
		return measure.Currency{}
	}
	return p.Holding.Currency
}

// Running, Kept and Round tell the templates about the work.
func (p page) Running() bool { return p.State.running() }
func (p page) Kept() bool    { return p.State.kept }
func (p page) Round() int    { return p.State.round }

type pageSet struct {
	byName map[string]*template.Template
}

// limitList is what holds a plan back, with the units to say it in.
type limitList struct {
	Units measure.Units
	List  []plan.Binding
}

// readPages parses every page together with the frame around it.
func readPages(s *Server) *pageSet {
	set := &pageSet{map[string]*template.Template{}}
	names, err := fs.Glob(textFiles, "template/*.html")
	if err != nil {
		panic(err)
	}
	for _, file := range names {
		name := strings.TrimSuffix(path.Base(file), ".html")
		if name == "frame" || name == "parts" || name == "entryparts" {
			continue
		}
		t := template.New("frame.html").Funcs(s.functions())
		set.byName[name] = template.Must(t.ParseFS(textFiles, "template/frame.html", "template/parts.html", "template/entryparts.html", file))
	}
	return set
}

// functions are what templates may call. Every figure goes through one of them.
func (s *Server) functions() template.FuncMap {
	return template.FuncMap{
		"say":      say,
		"has":      func(code string) bool { _, ok := english[code]; return ok },
		"static":   func(name string) string { return "/static/" + name + "?v=" + s.files[name].tag },
		"number":   func(decimals int, x any) string { return report.Number(asFloat(x), decimals) },
		"money":    report.Amount,
		"fine":     report.AmountFine,
		"minor":    func(c measure.Currency, m measure.Money) string { return c.FormatWhole(m) },
		"dozen":    report.DozenCost,
		"percent":  report.Percent,
		"kg":       func(u measure.Units, kg float64) string { return report.Quantity(u, measure.MassKg, kg, 0) },
		"kgFine":   func(u measure.Units, kg float64) string { return report.Quantity(u, measure.MassKg, kg, 1) },
		"day":      report.Day,
		"dayMonth": report.DayMonth,
		"from":     report.SourceWords,
		"limit":    report.Limit,
		"limits":   func(u measure.Units, list []plan.Binding) limitList { return limitList{u, list} },
		"fates":    report.Fates,
		"fateSaid": report.FateSaid,
		"join":     strings.Join,
		"lower":    strings.ToLower,
		"plain":    plainID,
		"source":   func(key string) source.Entry { e, _ := source.Lookup(key); return e },
		"kept": func() []string {
			return []string{"date_order", "decimal", "units", "year", "encoding", "delimiter", "no_header"}
		},
		"main": func() []string { return []string{"plan", "work", "daybook", "odds", "breeds", "place", "change"} },
		"more": func() []string { return []string{"tables", "sources", "evidence", "notices"} },
		"here": func(name string) string {
			return map[string]string{"last": "daybook", "record": "daybook", "flock": "daybook", "import": "daybook", "weather": "place", "improve": "place", "tally": "daybook", "sheets": "work", "sheet": "work", "book": "work", "calendar": "work"}[name]
		},
		"figure":    significant,
		"knownMiss": knownMiss,
		"inYears":   report.InYears,
		"dict":      dict,
		"capital":   report.Capital,
	}
}

// dict joins names and values for a part of a template that takes several.
func dict(pairs ...any) map[string]any {
	m := map[string]any{}
	for i := 0; i+1 < len(pairs); i += 2 {
		m[pairs[i].(string)] = pairs[i+1]
	}
	return m
}

func asFloat(x any) float64 {
	switch v := x.(type) {
	case float64:
		return v
	case int:
		return float64(v)
	case measure.Money:
		return float64(v)
	}
	return 0
}

// show writes one page. The page is made whole before the first byte goes out,
// so that a fault gives an error page and never half a page.
func (s *Server) show(w http.ResponseWriter, r *http.Request, status int, name string, p page) {
	p.Name = name
	if p.Title == "" {
		p.Title = say(name + ".title")
	}
	p.Visitor, p.Devices = visitorOf(r), s.Devices != nil
	if p.Visitor.Role == "" {
		p.Holding = nil // a stranger does not learn whose house this is
	}
	var b bytes.Buffer
	if err := s.pages.byName[name].Execute(&b, p); err != nil {
		s.Log.Error("a page could not be made", "page", name, "error", err)
		http.Error(w, say("error.page"), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	if w.Header().Get("Cache-Control") == "" {
		w.Header().Set("Cache-Control", "no-cache")
	}
	w.WriteHeader(status)
	w.Write(b.Bytes())
}

type problem struct{ Sentence, Detail string }

// fail shows an error as a page with a sentence that says what to do.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, status int, code string, detail ...string) {
	st, _ := s.job.snapshot()
	body := problem{Sentence: say(code), Detail: strings.Join(detail, " ")}
	s.show(w, r, status, "error", page{Title: say("error.title"), Holding: st.holding, Body: body})
}

// current makes sure that the work belongs to the holding as it is now, and
// returns the page to fill.
func (s *Server) current(w http.ResponseWriter, r *http.Request) (page, bool) {
	h, err := s.Holdings.Current(r.Context())
	if errors.Is(err, ErrNoHolding) {
		s.show(w, r, http.StatusOK, "empty", page{})
		return page{}, false
	}
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.holding", err.Error())
		return page{}, false
	}
	st, _ := s.job.snapshot()
	if st.holding == nil || versionOf(h) != st.version {
		kept, err := s.Holdings.LatestPlan(r.Context())
		if err != nil {
			s.Log.Warn("the plan kept last could not be read", "error", err)
		}
		s.job.begin(h, kept)
		st, _ = s.job.snapshot()
	}
	return page{Holding: st.holding, State: st, Busy: busyWords(st)}, true
}

// busyWords says how far the running work is. The plan comes before the rest:
// it is what the keeper waits for.
func busyWords(s state) string {
	switch {
	case s.planning && (s.plan == nil || s.kept):
		if s.kept {
			return say("busy.kept", report.Day(s.plan.AsOf))
		}
		return say("busy.first")
	case s.planning:
		return say("busy.better", report.Number(s.plan.FirstSeconds, 1), report.Percent(s.step.Gap))
	case s.luck.casting:
		return say("busy.odds", shareDone(s.luck))
	case s.luck.pricing:
		return luckWords(s)
	case s.weighing:
		return say("busy.weighing")
	case s.breeding:
		return say("busy.breeds", report.Percent(s.breedShare))
	}
	return ""
}

// plainID keeps what may stand in the id of an element.
func plainID(id string) string {
	return strings.Map(func(c rune) rune {
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' {
			return c
		}
		return '-'
	}, id)
}

// significant writes a figure of any size with four digits that count.
func significant(x float64) string {
	if math.Abs(x) >= 1000 {
		return report.Number(x, 0)
	}
	return strings.Replace(strconv.FormatFloat(measure.Significant(x, 4), 'f', -1, 64), "-", "−", 1)
}

func plural(n float64, one, many string) string {
	if fmt.Sprintf("%.0f", n) == "1" {
		return one
	}
	return many
}
