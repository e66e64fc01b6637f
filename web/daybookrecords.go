package web

import (
	"bytes"
	"encoding/json"
	"net/http"
	"slices"
	"strconv"

	"henyear/daybook"
	"henyear/measure"
	"henyear/report"
)

// lastView is the page of the last records.
type lastView struct {
	Conflicts []conflictView
	Lines     []lineView
	More      int // how many are asked for next; 0 when these are all
	Clashes   []lineView
}

// conflictView is one record that was corrected in several ways.
type conflictView struct {
	Was      []lineView
	Versions []lineView
}

const (
	lastAtOnce = 50
	lastAtMost = 5000
)

func (s *Server) showLast(w http.ResponseWriter, r *http.Request) {
	b, events, err := s.book(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
		return
	}
	many, err := strconv.Atoi(r.URL.Query().Get("many"))
	if err != nil || many < 1 || many > lastAtMost {
		many = lastAtOnce
	}
	v := lastView{Conflicts: conflictViews(b, events)}
	if v.Lines, err = s.lastLines(r.Context(), b, many); err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
		return
	}
	if len(v.Lines) == many && many < lastAtMost {
		v.More = min(many*4, lastAtMost)
	}
	clashes, err := s.Daybook.Conflicts(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
		return
	}
	for _, c := range clashes {
		if !c.Settled {
			v.Clashes = append(v.Clashes, lineOf(b, c.Event))
		}
	}
	p := s.daybookPage(r)
	p.Body = v
	s.show(w, r, http.StatusOK, "last", p)
}

func conflictViews(b *daybook.Book, events []daybook.Event) []conflictView {
	if len(b.Conflicts) == 0 {
		return nil
	}
	byID := map[daybook.ID]daybook.Event{}
	for _, e := range events {
		byID[e.ID] = e
	}
	lines := func(ids []daybook.ID) []lineView {
		var list []lineView
		for _, id := range ids {
			if e, here := byID[id]; here {
				list = append(list, lineOf(b, e))
			}
		}
		return list
	}
	var list []conflictView
	for _, c := range b.Conflicts {
		list = append(list, conflictView{lines(c.Records), lines(c.Versions)})
	}
	return list
}

// settleConflict lets one of several versions stand: the others are struck out.
func (s *Server) settleConflict(w http.ResponseWriter, r *http.Request) {
	sent, _, ok := s.readEntry(w, r)
	if !ok {
		return
	}
	b, _, err := s.book(r.Context())
	chosen, err2 := daybook.ParseID(sent.Get("version"))
	if err != nil || err2 != nil {
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return
	}
	for _, c := range b.Conflicts {
		if !slices.Contains(c.Versions, chosen) {
			continue
		}
		others := slices.DeleteFunc(slices.Clone(c.Versions), func(id daybook.ID) bool { return id == chosen })
		was, err := s.Daybook.EventByID(r.Context(), chosen)
		if err != nil {
			break
		}
		now := s.now()
		e := rawEvent(freshID(), "strike", was.Event.HappenedOn, now, visitorOf(r).Name, map[string]any{"reason": say("last.settled")})
		e.Supersedes = others
		if faults := s.keep(r, []daybook.Event{e}, now); len(faults) > 0 {
			s.fail(w, r, http.StatusUnprocessableEntity, "error.refused", faults[""])
			return
		}
	}
	http.Redirect(w, r, "/daybook/last", http.StatusSeeOther)
}

// recordView is the page of one record: its history and the form to correct it.
type recordView struct {
	Line    lineView
	History []lineView
	Form    *entryView
	Pens    []string
	Feeds   []string
	Breed   []string
	Note    string
}

func (s *Server) showRecord(w http.ResponseWriter, r *http.Request) {
	s.record(w, r, http.StatusOK, nil, nil)
}

func (s *Server) record(w http.ResponseWriter, r *http.Request, status int, values, faults map[string]string) {
	b, events, err := s.book(r.Context())
	id, err2 := daybook.ParseID(r.PathValue("id"))
	if err != nil || err2 != nil {
		s.notFound(w, r)
		return
	}
	found, err := s.Daybook.EventByID(r.Context(), id)
	if err != nil {
		s.notFound(w, r)
		return
	}
	p := s.daybookPage(r)
	k := s.pocketOf(b, p)
	v := recordView{Line: lineOf(b, found.Event), Pens: k.pens, Feeds: k.feeds, Breed: k.breeds}
	for _, line := range daybook.History(events, id, b.Names()) {
		v.History = append(v.History, lineOf(b, line.Event))
	}
	if v.Line.CanMend {
		v.Form = correctionForm(found.Event, k, values, faults)
	}
	p.Title = say("record.title")
	p.Body = v
	s.show(w, r, status, "record", p)
}

// correctionForm shows a record in the form it was written with; nil for a
// record that has none, which can only be struck out.
func correctionForm(e daybook.Event, k pocket, values, faults map[string]string) *entryView {
	was := contentOf(e)
	f, ok := entryOf(e.Kind, was)
	if !ok {
		return nil
	}
	f.newGroup = false
	on := e.HappenedOn
	if values == nil {
		values = map[string]string{}
		for _, field := range f.fields {
			values[field.name] = field.show(was[field.name], k)
		}
	} else if d, err := measure.ParseDate(values["happened_on"]); err == nil {
		on = d
	}
	v := f.view(k, values, faults, on)
	v.Action, v.Send, v.Own = "/daybook/record/"+e.ID.String(), say("record.send"), true
	v.Tiles = nil
	for _, list := range [][]entryFieldView{v.Few, v.More} {
		for i := range list {
			if list[i].Type == "tiles" {
				list[i].Type = "whole"
			}
		}
	}
	return &v
}

func contentOf(e daybook.Event) map[string]any {
	d := json.NewDecoder(bytes.NewReader(e.Payload))
	d.UseNumber()
	var content map[string]any
	if d.Decode(&content) != nil {
		return map[string]any{}
	}
	return content
}

// correctRecord writes a new record in the place of an old one, which stays
// readable.
func (s *Server) correctRecord(w http.ResponseWriter, r *http.Request) {
	sent, _, ok := s.readEntry(w, r)
	if !ok {
		return
	}
	b, _, err := s.book(r.Context())
	id, err2 := daybook.ParseID(r.PathValue("id"))
	fresh, err3 := daybook.ParseID(sent.Get("id"))
	if err != nil || err2 != nil || err3 != nil {
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return
	}
	found, err := s.Daybook.EventByID(r.Context(), id)
	if err != nil {
		s.notFound(w, r)
		return
	}
	if b.StandingOf(id) != daybook.Counts {
		s.record(w, r, http.StatusConflict, flat(sent), map[string]string{"": say("record.meanwhile")})
		return
	}
	was := contentOf(found.Event)
	form, ok := entryOf(found.Event.Kind, was)
	if !ok {
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return
	}
	content, faults := form.payload(sent, s.pocketOf(b, s.daybookPage(r)), was)
	on, err := measure.ParseDate(sent.Get("happened_on"))
	if err != nil {
		faults["happened_on"] = err.Error()
	}
	if len(faults) == 0 {
		now := s.now()
		e := rawEvent(fresh, found.Event.Kind, on, now, visitorOf(r).Name, content)
		e.Supersedes = []daybook.ID{id}
		if err := daybook.Validate(e); err != nil {
			faults = faultOfRecord(form, err)
		} else {
			faults = s.keep(r, []daybook.Event{e}, now)
		}
	}
	if len(faults) > 0 {
		s.record(w, r, http.StatusUnprocessableEntity, flat(sent), faults)
		return
	}
	http.Redirect(w, r, "/daybook/record/"+fresh.String(), http.StatusSeeOther)
}

func (s *Server) strikeRecord(w http.ResponseWriter, r *http.Request) {
	sent, _, ok := s.readEntry(w, r)
	if !ok {
		return
	}
	id, err := daybook.ParseID(r.PathValue("id"))
	if err != nil {
		s.notFound(w, r)
		return
	}
	if faults := s.strike(r, id, sent.Get("reason")); len(faults) > 0 {
		s.fail(w, r, http.StatusUnprocessableEntity, "error.refused", faults[""])
		return
	}
	http.Redirect(w, r, "/daybook/record/"+id.String(), http.StatusSeeOther)
}

// flockView is the page of the flock as the records make it.
type flockView struct {
	On          string
	Birds, Hens int
	Groups      []groupView2
	Differences []differenceView
	Withheld    []daybook.Sentence
	Apart       []string
	Broody      []string
	Findings    []daybook.Finding
	Periods     []periodView
	Feed        []daybook.FeedOn
	Hatches     []hatchView
	CanBegin    bool // the book is empty and the holding has birds
	Empty       bool
}

type groupView2 struct {
	ID, Name, Breed, Sex, Age, Pens string
	Number                          int
	Apart                           bool
}

type differenceView struct {
	Text, Since string
	Event       string
	On          string
	Reasons     []string
	CanWrite    []bool
}

type periodView struct {
	Name  string
	Known []daybook.Measure
	Notes []string // what would be needed for more, and what is left out
}

type hatchView struct {
	Line      string
	Open, Due bool
}

// shownMeasures are those that a keeper asks for each week.
var shownMeasures = []string{
	daybook.EggsLaid, daybook.HenDayPct, daybook.EggsPerHen, daybook.FeedKg, daybook.FeedPerHenDayG, daybook.FeedPerDozenKg,
	daybook.FeedCostPerDozen, daybook.CostPerDozen, daybook.LivabilityPct, daybook.HatchOfSetPct, daybook.DressedKg,
}

func (s *Server) showFlock(w http.ResponseWriter, r *http.Request) {
	b, _, err := s.book(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
		return
	}
	p := s.daybookPage(r)
	today := s.date()
	v := flockView{On: report.Day(today), Birds: b.BirdsOnDay(today, daybook.Scope{}), Hens: b.HensOn(today, daybook.Scope{}), Feed: b.FeedStock(today)}
	for _, g := range b.GroupsOn(today) {
		v.Groups = append(v.Groups, groupLine(g))
	}
	v.Empty = len(v.Groups) == 0
	v.CanBegin = v.Empty && p.Holding != nil && len(p.Holding.Birds) > 0
	for _, d := range b.Differences() {
		v.Differences = append(v.Differences, differenceLine(d))
	}
	for _, held := range b.WithheldOn(today) {
		v.Withheld = append(v.Withheld, held.Text)
	}
	names := b.Names()
	for _, a := range b.ApartOn(today) {
		v.Apart = append(v.Apart, say("flock.apart", names.Groups[a.Group], report.Day(a.Until)))
	}
	for _, x := range b.BroodyOn(today) {
		who := names.Groups[x.Group]
		if name := names.Birds[x.Bird]; name != "" {
			who = name
		}
		v.Broody = append(v.Broody, say("flock.broody", who, strconv.Itoa(max(1, x.Number)), report.Day(x.Since)))
	}
	v.Findings = lastFindings(b, today)
	v.Periods = periodsOf(b, today)
	for _, h := range b.Settings() {
		v.Hatches = append(v.Hatches, hatchLine(h, today))
	}
	slices.Reverse(v.Hatches)
	v.Hatches = v.Hatches[:min(10, len(v.Hatches))]
	p.Body = v
	s.show(w, r, http.StatusOK, "flock", p)
}

func groupLine(g daybook.GroupOn) groupView2 {
	v := groupView2{ID: g.Group.Group.String(), Name: groupName(g.Group), Breed: breedName(g.Breed), Sex: say("choice." + g.Sex), Number: g.Number, Apart: g.Apart}
	if g.AgeKnown {
		v.Age = ageWords(g.AgeDays)
	}
	for i, pen := range g.Pens {
		if pen.Pen == "" {
			continue
		}
		if i > 0 && v.Pens != "" {
			v.Pens += ", "
		}
		v.Pens += pen.Pen
		if len(g.Pens) > 1 {
			v.Pens += " (" + strconv.Itoa(pen.Number) + ")"
		}
	}
	return v
}

// ageWords tells an age in weeks up to a year, then in years and months.
func ageWords(days int) string {
	switch {
	case days < 14:
		return say("flock.days", strconv.Itoa(days))
	case days < 365:
		return say("flock.weeks", strconv.Itoa(days/7))
	}
	return say("flock.years", report.Number(float64(days)/365.2425, 1))
}

func differenceLine(d daybook.Difference) differenceView {
	v := differenceView{Text: d.What.Text, Event: d.Event.String(), On: report.Day(d.On)}
	if !d.Since.IsZero() {
		v.Since = report.Day(d.Since)
	}
	for _, reason := range d.Reasons {
		v.Reasons = append(v.Reasons, reason.What.Text)
		v.CanWrite = append(v.CanWrite, len(reason.Records) > 0)
	}
	return v
}

// lastFindings are the findings of the last two months, the gravest first; what
// the counts say stands on its own.
func lastFindings(b *daybook.Book, today measure.Date) []daybook.Finding {
	var list []daybook.Finding
	for _, f := range b.Findings {
		if today.DaysSince(f.On) <= 60 && f.What.Code != "count-differs" && f.What.Code != "conflict" {
			list = append(list, f)
		}
	}
	rank := map[daybook.Grade]int{daybook.Caution: 0, daybook.Impossible: 1, daybook.Advice: 2}
	slices.SortStableFunc(list, func(x, y daybook.Finding) int { return rank[x.Grade] - rank[y.Grade] })
	return list[:min(12, len(list))]
}

func periodsOf(b *daybook.Book, today measure.Date) []periodView {
	if len(b.Records) == 0 {
		return nil
	}
	month := measure.Date{Year: today.Year, Month: today.Month, Day: 1}
	year := measure.Date{Year: today.Year, Month: 1, Day: 1}
	spans := []daybook.Period{
		{From: today.AddDays(-6), Through: today, Name: say("flock.week")},
		{From: month, Through: today, Name: say("flock.month", report.Day(month))},
		{From: year, Through: today, Name: say("flock.year", strconv.Itoa(today.Year))},
	}
	var list []periodView
	for _, span := range spans {
		v := periodView{Name: span.Name}
		for _, m := range b.Measures(span, daybook.Scope{}) {
			if !slices.Contains(shownMeasures, m.Code) {
				continue
			}
			if m.Stated {
				v.Known = append(v.Known, m)
			}
			for _, missing := range m.Missing {
				if !slices.Contains(v.Notes, missing.Text) {
					v.Notes = append(v.Notes, missing.Text)
				}
			}
		}
		list = append(list, v)
	}
	return list
}

func hatchLine(h daybook.SettingOn, today measure.Date) hatchView {
	name := h.Name
	if name == "" {
		name = say("choice." + h.Under)
	}
	n := strconv.Itoa
	if h.Ended {
		return hatchView{Line: say("flock.hatched", n(h.Eggs), name, report.Day(h.SetOn), n(h.Chicks), report.Day(h.EndedOn))}
	}
	return hatchView{Line: say("flock.sitting", n(h.Eggs), name, report.Day(h.SetOn), report.Day(h.DueOn)), Open: true, Due: !today.Before(h.DueOn)}
}

// beginBook writes the birds of the holding into an empty book. The records
// have identifiers made of the holding's own, so that pressing twice, or on two
// devices, begins it once.
func (s *Server) beginBook(w http.ResponseWriter, r *http.Request) {
	b, _, err := s.book(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
		return
	}
	h, err := s.Holdings.Current(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.holding", err.Error())
		return
	}
	if len(b.GroupsOn(s.date())) == 0 {
		now := s.now()
		if faults := s.keep(r, beginning(h, s.date(), now), now); len(faults) > 0 {
			s.fail(w, r, http.StatusUnprocessableEntity, "error.refused", faults[""])
			return
		}
	}
	http.Redirect(w, r, "/daybook/flock", http.StatusSeeOther)
}

// explainCount writes the record that the keeper chose as the reason of a
// difference.
func (s *Server) explainCount(w http.ResponseWriter, r *http.Request) {
	sent, _, ok := s.readEntry(w, r)
	if !ok {
		return
	}
	b, _, err := s.book(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
		return
	}
	for _, d := range b.Differences() {
		if d.Event.String() != sent.Get("count") {
			continue
		}
		for _, reason := range d.Reasons {
			if reason.What.Text != sent.Get("reason") {
				continue
			}
			if faults := s.keepDrafts(r, d.Event, reason); len(faults) > 0 {
				s.fail(w, r, http.StatusUnprocessableEntity, "error.refused", faults[""])
				return
			}
		}
	}
	http.Redirect(w, r, "/daybook/flock", http.StatusSeeOther)
}
