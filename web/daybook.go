package web

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"henyear/breed"
	"henyear/daybook"
	"henyear/measure"
	"henyear/report"
	"henyear/store"
)

// Daybook keeps the records and their photos; store.Store is one. AddEvents
// keeps each record once however often it is sent, and returns only when all
// that it took are on the disk.
type Daybook interface {
	AddEvents(ctx context.Context, events []daybook.Event, receivedAt time.Time) ([]store.Outcome, error)
	EventsSince(ctx context.Context, sequence int64, atMost int) ([]store.Received, error)
	LatestEvents(ctx context.Context, atMost int) ([]store.Received, error)
	EventByID(ctx context.Context, id daybook.ID) (store.Received, error)
	Conflicts(ctx context.Context) ([]store.Conflict, error)
	AddPhoto(ctx context.Context, content []byte, receivedAt time.Time) (store.PhotoID, error)
	Photo(ctx context.Context, id store.PhotoID) (store.Photo, error)
}

// The bounds of what a phone sends at once. A day's records take a few
// kilobytes; a phone sends them in parts of a hundred.
const (
	maxRecords     = 1 << 20
	maxRecordsOnce = 500
	maxPhotoForm   = store.LargestPhoto + 64<<10
)

// replayed keeps the book that follows from the records until there are more.
type replayed struct {
	sync.Mutex
	sequence int64
	events   []daybook.Event
	reader   daybook.Reader
	book     *daybook.Book
	through  measure.Date
}

// book replays the records through today. The events are in the order of their
// arrival and must not be changed.
func (s *Server) book(ctx context.Context) (*daybook.Book, []daybook.Event, error) {
	r := &s.replayed
	r.Lock()
	defer r.Unlock()
	more, err := s.Daybook.EventsSince(ctx, r.sequence, 0)
	if err != nil {
		return nil, nil, err
	}
	today := s.date()
	if len(more) == 0 && r.book != nil && r.through == today {
		return r.book, r.events, nil
	}
	events := slices.Clone(r.events)
	for _, e := range more {
		events = append(events, e.Event)
		r.sequence = e.Sequence
	}
	r.events, r.book, r.through = events, r.reader.Replay(events, today), today
	return r.book, r.events, nil
}

// date is the day on which the keeper is.
func (s *Server) date() measure.Date {
	if s.Today != nil {
		return s.Today()
	}
	return measure.DateOf(s.now())
}

func (s *Server) now() time.Time {
	if s.Now != nil {
		return s.Now()
	}
	return time.Now()
}

// freshID makes the identifier of a record.
func freshID() (id daybook.ID) {
	rand.Read(id[:]) // never fails
	return id
}

// withBook refuses a page of the daybook where there is none.
func (s *Server) withBook(next http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if s.Daybook == nil {
			s.fail(w, r, http.StatusNotFound, "error.nodaybook")
			return
		}
		next(w, r)
	}
}

// daybookRoutes adds the pages of the daybook.
func (s *Server) daybookRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /daybook", s.withBook(s.showDaybook))
	mux.HandleFunc("POST /daybook/add", s.withBook(s.addEntry))
	mux.HandleFunc("POST /daybook/undo", s.withBook(s.undoEntry))
	mux.HandleFunc("POST /daybook/records", s.withBook(s.takeRecords))
	mux.HandleFunc("POST /daybook/photos", s.withBook(s.takePhoto))
	mux.HandleFunc("GET /daybook/photo/{id}", s.withBook(s.photo))
	mux.HandleFunc("GET /daybook/state", s.withBook(s.daybookState))
	mux.HandleFunc("GET /daybook/worker.js", s.worker)
	mux.HandleFunc("GET /daybook/manifest.webmanifest", s.manifest)
	mux.HandleFunc("GET /daybook/last", s.withBook(s.showLast))
	mux.HandleFunc("GET /daybook/record/{id}", s.withBook(s.showRecord))
	mux.HandleFunc("POST /daybook/record/{id}", s.withBook(s.correctRecord))
	mux.HandleFunc("POST /daybook/record/{id}/strike", s.withBook(s.strikeRecord))
	mux.HandleFunc("POST /daybook/settle", s.withBook(s.settleConflict))
	mux.HandleFunc("GET /daybook/flock", s.withBook(s.showFlock))
	mux.HandleFunc("GET /daybook/import", s.withBook(s.showImport))
	mux.HandleFunc("POST /daybook/import", s.withBook(s.takeImport))
	mux.HandleFunc("POST /daybook/begin", s.withBook(s.beginBook))
	mux.HandleFunc("POST /daybook/explain", s.withBook(s.explainCount))
}

// pocketOf gathers what the forms need.
func (s *Server) pocketOf(b *daybook.Book, p page) pocket {
	k := pocket{units: p.Units(), currency: p.Currency()}
	today := s.date()
	pens := map[string]bool{}
	breeds := map[string]bool{}
	addTo := func(list *[]string, seen map[string]bool, text string) {
		if text != "" && !seen[text] {
			seen[text] = true
			*list = append(*list, text)
		}
	}
	for _, g := range b.GroupsOn(today) {
		k.groups = append(k.groups, choice{Value: g.Group.Group.String(), Label: say("daybook.group", groupName(g.Group), fmt.Sprint(g.Number))})
		for _, pen := range g.Pens {
			addTo(&k.pens, pens, pen.Pen)
		}
		addTo(&k.breeds, breeds, breedName(g.Breed))
	}
	for _, x := range b.BirdsOn(today) {
		if !x.Gone {
			k.birds = append(k.birds, choice{Value: x.Bird.Bird.String(), Label: strings.TrimSpace(x.Ring + " " + x.Name)})
		}
	}
	for _, st := range b.Settings() {
		if !st.Ended {
			name := st.Name
			if name == "" {
				name = say("choice." + st.Under)
			}
			k.settings = append(k.settings, choice{Value: st.Setting.Setting.String(), Label: say("daybook.setting", fmt.Sprint(st.Eggs), name, report.DayMonth(st.SetOn))})
		}
	}
	feeds := map[string]bool{}
	for i := len(b.Records) - 1; i >= 0 && i > len(b.Records)-2000; i-- {
		switch r := b.Records[i].Payload.(type) {
		case *daybook.Feed:
			addTo(&k.feeds, feeds, r.Feed)
		case *daybook.Eggs:
			if k.lastEggs == 0 {
				k.lastEggs = r.Number
			}
			addTo(&k.pens, pens, r.Pen)
			addTo(&k.breeds, breeds, r.Breed)
		}
	}
	return k
}

func groupName(g daybook.Group) string {
	if g.Name != "" {
		return g.Name
	}
	return g.Group.Short()
}

func breedName(id string) string {
	if b, err := breed.Find(id); err == nil {
		return b.Name
	}
	return id
}

// daybookPage is the page of the daybook without its body.
func (s *Server) daybookPage(r *http.Request) page {
	p := page{Visitor: visitorOf(r), Phone: true}
	if h, err := s.Holdings.Current(r.Context()); err == nil {
		p.Holding = h
	}
	st, _ := s.job.snapshot()
	p.State = st
	return p
}

// diaryView is the page on which records are written.
type diaryView struct {
	Today              string
	Entries            []entryView
	Pens, Feeds, Breed []string
	Withheld           []daybook.Sentence
	Last               []lineView
	Saved              *lineView
	Conflicts          bool // a record was corrected in two ways
	Empty              bool // the book has no birds yet
	CanRead            bool // the last records, the flock
	UnsafeOffline      bool // the page cannot be opened without the house
}

// lineView is one record in a list.
type lineView struct {
	ID, On, Text, Title, Standing, Author, Written string
	Counts, CanMend                                bool
	Photos                                         []daybook.Photo
}

// lastOnPage is how many of the last records stand under the forms.
const lastOnPage = 8

func (s *Server) showDaybook(w http.ResponseWriter, r *http.Request) {
	s.diary(w, r, http.StatusOK, "", nil, nil)
}

// diary shows the page; one form may show again what was typed and what is
// wrong with it.
func (s *Server) diary(w http.ResponseWriter, r *http.Request, status int, code string, values, faults map[string]string) {
	b, _, err := s.book(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
		return
	}
	p := s.daybookPage(r)
	k := s.pocketOf(b, p)
	today := s.date()
	v := diaryView{Today: today.String(), Pens: k.pens, Feeds: k.feeds, Breed: k.breeds, Empty: len(b.GroupsOn(today)) == 0,
		Conflicts: len(b.Conflicts) > 0 && visitorOf(r).Role == Keeper, CanRead: visitorOf(r).Role == Keeper, UnsafeOffline: !p.Visitor.Secure}
	for _, e := range entries {
		if e.keeper && p.Visitor.Role != Keeper {
			continue
		}
		if e.code != code {
			v.Entries = append(v.Entries, e.view(k, nil, nil, today))
			continue
		}
		again := e.view(k, values, faults, today)
		again.Own, again.On, again.Set = true, values["happened_on"], true
		v.Entries = append(v.Entries, again)
	}
	for _, held := range b.WithheldOn(today) {
		v.Withheld = append(v.Withheld, held.Text)
	}
	if v.CanRead {
		v.Last, err = s.lastLines(r.Context(), b, lastOnPage)
		if err != nil {
			s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
			return
		}
	}
	if id, err := daybook.ParseID(r.URL.Query().Get("saved")); err == nil {
		if e, err := s.Daybook.EventByID(r.Context(), id); err == nil && b.StandingOf(id) == daybook.Counts {
			line := lineOf(b, e.Event)
			v.Saved = &line
		}
	}
	p.Body = v
	s.show(w, r, status, "daybook", p)
}

func (s *Server) lastLines(ctx context.Context, b *daybook.Book, atMost int) ([]lineView, error) {
	last, err := s.Daybook.LatestEvents(ctx, atMost)
	if err != nil {
		return nil, err
	}
	var list []lineView
	for _, e := range last {
		list = append(list, lineOf(b, e.Event))
	}
	return list, nil
}

func lineOf(b *daybook.Book, e daybook.Event) lineView {
	standing := b.StandingOf(e.ID)
	v := lineView{ID: e.ID.String(), On: report.Day(e.HappenedOn), Text: b.Describe(e).Text, Author: e.Author,
		Counts: standing == daybook.Counts, Written: report.Day(measure.DateOf(e.RecordedAt))}
	if standing != daybook.Counts {
		v.Standing = say("standing." + standingCode(standing))
	}
	for _, k := range daybook.Kinds() {
		if k.Name == e.Kind {
			v.Title = k.Title
		}
	}
	v.CanMend = v.Counts && e.Kind != "strike"
	if e.Kind == "note" {
		if p, err := daybook.Decode(e); err == nil {
			v.Photos = p.(*daybook.Note).Photos
		}
	}
	return v
}

func standingCode(s daybook.Standing) string {
	switch s {
	case daybook.Corrected:
		return "corrected"
	case daybook.StruckOut:
		return "struck"
	}
	return "waiting"
}

// addEntry takes a form that was sent without scripts.
func (s *Server) addEntry(w http.ResponseWriter, r *http.Request) {
	sent, photo, ok := s.readEntry(w, r)
	if !ok {
		return
	}
	e, known := entryFor(sent.Get("entry"))
	if !known || e.keeper && visitorOf(r).Role != Keeper {
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return
	}
	b, _, err := s.book(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.daybook", err.Error())
		return
	}
	now := s.now()
	k := s.pocketOf(b, s.daybookPage(r))
	if len(photo) > 0 {
		if sent, err = s.withPhoto(r.Context(), sent, photo, now); err != nil {
			s.diary(w, r, http.StatusUnprocessableEntity, e.code, flat(sent), map[string]string{"photos": capitalised(err.Error())})
			return
		}
	}
	events, faults := e.events(sent, k, now, visitorOf(r).Name)
	if len(faults) == 0 {
		faults = s.keep(r, events, now)
	}
	if len(faults) > 0 {
		s.diary(w, r, http.StatusUnprocessableEntity, e.code, flat(sent), faults)
		return
	}
	http.Redirect(w, r, "/daybook?saved="+events[len(events)-1].ID.String(), http.StatusSeeOther)
}

// keep hands records to the house and tells what it refused.
func (s *Server) keep(r *http.Request, events []daybook.Event, now time.Time) map[string]string {
	if err := s.mayAdd(r, events); err != nil {
		return map[string]string{"": err.Error()}
	}
	outcomes, err := s.Daybook.AddEvents(r.Context(), events, now)
	if err != nil {
		return map[string]string{"": err.Error()}
	}
	for _, o := range outcomes {
		if o.Why != nil {
			return map[string]string{"": capitalised(o.Why.Error())}
		}
	}
	return nil
}

func flat(sent url.Values) map[string]string {
	values := map[string]string{}
	for name := range sent {
		values[name] = sent.Get(name)
	}
	return values
}

// readEntry reads a form of the daybook, with its photo where there is one.
func (s *Server) readEntry(w http.ResponseWriter, r *http.Request) (sent url.Values, photo []byte, ok bool) {
	kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	most, code := int64(maxForm), "error.large"
	if kind == "multipart/form-data" {
		most, code = maxPhotoForm, "error.photo.large"
	}
	r.Body = http.MaxBytesReader(w, r.Body, most)
	var err error
	if kind == "multipart/form-data" {
		if err = r.ParseMultipartForm(maxPhotoForm); err == nil {
			defer r.MultipartForm.RemoveAll()
			photo, err = firstFile(r)
		}
	} else {
		err = r.ParseForm()
	}
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		s.fail(w, r, http.StatusRequestEntityTooLarge, code)
		return nil, nil, false
	case err != nil:
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return nil, nil, false
	}
	return r.PostForm, photo, true
}

func firstFile(r *http.Request) ([]byte, error) {
	f, _, err := r.FormFile("photo")
	if errors.Is(err, http.ErrMissingFile) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, maxPhotoForm))
}

// undoEntry strikes out what was just written.
func (s *Server) undoEntry(w http.ResponseWriter, r *http.Request) {
	sent, _, ok := s.readEntry(w, r)
	if !ok {
		return
	}
	id, err := daybook.ParseID(sent.Get("record"))
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return
	}
	if faults := s.strike(r, id, say("daybook.undone")); len(faults) > 0 {
		s.fail(w, r, http.StatusUnprocessableEntity, "error.refused", faults[""])
		return
	}
	http.Redirect(w, r, "/daybook", http.StatusSeeOther)
}

// strike takes a record out of the book. Striking out the same record twice is
// one strike.
func (s *Server) strike(r *http.Request, id daybook.ID, reason string) map[string]string {
	was, err := s.Daybook.EventByID(r.Context(), id)
	if err != nil {
		return map[string]string{"": err.Error()}
	}
	now := s.now()
	e := rawEvent(freshID(), "strike", was.Event.HappenedOn, now, visitorOf(r).Name, map[string]any{"reason": reason})
	e.Device, e.Supersedes = was.Event.Device, []daybook.ID{id}
	return s.keep(r, []daybook.Event{e}, now)
}

// helperKinds are the records that a helper may add: whatever happens with the
// birds, but not the descriptions of groups and birds, which change how old
// records read, and not the household's money.
var keeperKinds = []string{"group", "bird", "money"}

// mayAdd holds a helper to adding. A helper may take back or correct what the
// same phone wrote, since only that phone knows its own number, but not what
// others wrote.
func (s *Server) mayAdd(r *http.Request, events []daybook.Event) error {
	if visitorOf(r).Role == Keeper {
		return nil
	}
	for _, e := range events {
		if err := s.helperMay(r.Context(), e); err != nil {
			return err
		}
	}
	return nil
}

func (s *Server) helperMay(ctx context.Context, e daybook.Event) error {
	if slices.Contains(keeperKinds, e.Kind) {
		return errors.New(say("error.helper.kind"))
	}
	for _, old := range e.Supersedes {
		was, err := s.Daybook.EventByID(ctx, old)
		if errors.Is(err, store.ErrNone) {
			continue // still on its way from the same phone
		}
		if err != nil {
			return err
		}
		if was.Event.Device != e.Device {
			return errors.New(say("error.helper.others"))
		}
	}
	return nil
}

// An outcome is the answer for one record of a phone.
type outcome struct {
	ID     string `json:"id"`
	Status string `json:"status"` // new, here, conflicting, refused
	Why    string `json:"why,omitempty"`
}

// takeRecords takes what a phone kept while the house was out of reach: a JSON
// array of records in any order. The answer has one line for each, in the same
// order; the phone forgets a record only when its line says new or here.
func (s *Server) takeRecords(w http.ResponseWriter, r *http.Request) {
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		s.refuseJSON(w, http.StatusUnsupportedMediaType, "error.notjson")
		return
	}
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxRecords))
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		s.refuseJSON(w, http.StatusRequestEntityTooLarge, "error.records.large")
		return
	}
	var parts []json.RawMessage
	if err != nil || json.Unmarshal(body, &parts) != nil {
		s.refuseJSON(w, http.StatusBadRequest, "error.records.form")
		return
	}
	if len(parts) > maxRecordsOnce {
		s.refuseJSON(w, http.StatusRequestEntityTooLarge, "error.records.many")
		return
	}
	answers, err := s.takeParts(r, parts)
	if err != nil {
		s.Log.Error("records could not be kept", "error", err)
		s.refuseJSON(w, http.StatusInternalServerError, "error.records.kept")
		return
	}
	s.answerJSON(w, http.StatusOK, map[string]any{"format": 1, "records": answers})
}

// takeParts reads each record for itself, so that one that is damaged does not
// hold up the others.
func (s *Server) takeParts(r *http.Request, parts []json.RawMessage) ([]outcome, error) {
	answers := make([]outcome, len(parts))
	var events []daybook.Event
	var at []int
	for i, part := range parts {
		var e daybook.Event
		err := json.Unmarshal(part, &e)
		if err == nil {
			err = s.mayAdd(r, []daybook.Event{e})
		}
		if err != nil {
			answers[i] = outcome{ID: idText(e.ID), Status: string(store.Refused), Why: plainReason(err)}
			continue
		}
		events, at = append(events, e), append(at, i)
	}
	outcomes, err := s.Daybook.AddEvents(r.Context(), events, s.now())
	if err != nil {
		return nil, err
	}
	for i, o := range outcomes {
		answers[at[i]] = outcome{ID: idText(o.ID), Status: string(o.Status)}
		if o.Why != nil {
			answers[at[i]].Why = o.Why.Error()
		}
	}
	return answers, nil
}

func idText(id daybook.ID) string {
	text, _ := id.MarshalText() // never fails
	return string(text)
}

// plainReason tells of a record that is not one; the reader's own message names
// the field.
func plainReason(err error) string {
	var syntax *json.UnmarshalTypeError
	if errors.As(err, &syntax) {
		return say("error.record.form", syntax.Field)
	}
	return err.Error()
}

func (s *Server) refuseJSON(w http.ResponseWriter, status int, code string) {
	s.answerJSON(w, status, map[string]any{"format": 1, "error": map[string]string{"code": code, "text": say(code)}})
}

func (s *Server) answerJSON(w http.ResponseWriter, status int, v any) {
	b, err := json.Marshal(v)
	if err != nil {
		http.Error(w, say("error.json"), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	w.Write(append(b, '\n'))
}

// state is what a phone may know of the house.
type phoneState struct {
	Format   int                `json:"format"`
	Today    measure.Date       `json:"today"`
	Role     Role               `json:"role"`
	LastEggs int                `json:"last_eggs"`
	Groups   []stateGroup       `json:"groups"`
	Settings []stateGroup       `json:"settings"`
	Pens     []string           `json:"pens"`
	Feeds    []string           `json:"feeds"`
	Withheld []daybook.Sentence `json:"withheld"`
}

type stateGroup struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

func (s *Server) daybookState(w http.ResponseWriter, r *http.Request) {
	b, _, err := s.book(r.Context())
	if err != nil {
		s.refuseJSON(w, http.StatusInternalServerError, "error.daybook")
		return
	}
	k := s.pocketOf(b, s.daybookPage(r))
	st := phoneState{Format: 1, Today: s.date(), Role: visitorOf(r).Role, LastEggs: k.lastEggs, Groups: []stateGroup{}, Settings: []stateGroup{},
		Pens: append([]string{}, k.pens...), Feeds: append([]string{}, k.feeds...), Withheld: []daybook.Sentence{}}
	for _, g := range k.groups {
		st.Groups = append(st.Groups, stateGroup{g.Value, g.Label})
	}
	for _, x := range k.settings {
		st.Settings = append(st.Settings, stateGroup{x.Value, x.Label})
	}
	for _, held := range b.WithheldOn(s.date()) {
		st.Withheld = append(st.Withheld, held.Text)
	}
	s.answerJSON(w, http.StatusOK, st)
}

// takePhoto keeps one picture and answers with the name by which a note points
// to it.
func (s *Server) takePhoto(w http.ResponseWriter, r *http.Request) {
	content, err := io.ReadAll(http.MaxBytesReader(w, r.Body, store.LargestPhoto))
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		s.refuseJSON(w, http.StatusRequestEntityTooLarge, "error.photo.large")
		return
	}
	if err != nil {
		s.refuseJSON(w, http.StatusBadRequest, "error.photo.form")
		return
	}
	kind := store.PhotoType(content)
	if !slices.Contains(daybook.MediaTypes, kind) {
		s.refuseJSON(w, http.StatusUnsupportedMediaType, "error.photo.form")
		return
	}
	id, err := s.Daybook.AddPhoto(r.Context(), content, s.now())
	if err != nil {
		s.Log.Error("a photo could not be kept", "error", err)
		s.refuseJSON(w, http.StatusInternalServerError, "error.records.kept")
		return
	}
	s.answerJSON(w, http.StatusOK, map[string]any{"format": 1, "sha256": id, "media_type": kind})
}

// withPhoto keeps the picture of a form and names it in the form.
func (s *Server) withPhoto(ctx context.Context, sent url.Values, photo []byte, at time.Time) (url.Values, error) {
	kind := store.PhotoType(photo)
	if !slices.Contains(daybook.MediaTypes, kind) {
		return sent, errors.New(say("error.photo.form"))
	}
	id, err := s.Daybook.AddPhoto(ctx, photo, at)
	if err != nil {
		return sent, err
	}
	sent.Set("photo_sha256", string(id))
	sent.Set("photo_type", kind)
	return sent, nil
}

// photo serves a picture under the type that its first bytes have.
func (s *Server) photo(w http.ResponseWriter, r *http.Request) {
	p, err := s.Daybook.Photo(r.Context(), store.PhotoID(r.PathValue("id")))
	if err != nil || !slices.Contains(daybook.MediaTypes, p.Type) {
		s.notFound(w, r)
		return
	}
	w.Header().Set("Content-Type", p.Type)
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	io.Copy(w, bytes.NewReader(p.Bytes))
}

// worker is the script that opens the daybook without the house.
func (s *Server) worker(w http.ResponseWriter, r *http.Request) {
	a := s.files["offline.js"]
	w.Header().Set("Content-Type", a.kind)
	w.Header().Set("Cache-Control", "no-cache")
	w.Header().Set("Service-Worker-Allowed", "/daybook")
	w.Write(a.body)
}

// manifest tells a phone how to put the daybook among its programs.
func (s *Server) manifest(w http.ResponseWriter, r *http.Request) {
	icon := func(name, kind, sizes string) map[string]string {
		return map[string]string{"src": "/static/" + name + "?v=" + s.files[name].tag, "type": kind, "sizes": sizes}
	}
	b, _ := json.Marshal(map[string]any{
		"id": "/daybook", "name": say("daybook.app"), "short_name": say("program"), "start_url": "/daybook", "scope": "/daybook",
		"display": "standalone", "background_color": "#ffffff", "theme_color": "#15527f", "lang": "en",
		"icons": []any{icon("mark.svg", "image/svg+xml", "any"), icon("mark-192.png", "image/png", "192x192"), icon("mark-512.png", "image/png", "512x512")},
	})
	w.Header().Set("Content-Type", "application/manifest+json")
	w.Header().Set("Cache-Control", "no-cache")
	w.Write(b)
}
