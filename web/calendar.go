package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"henyear/calendar"
	"henyear/measure"
	"henyear/report"
)

// Known is what a Holdings may tell besides, for calendars: as what the holding
// is known, also after it was renamed, and when the holding or its plan last
// changed. Without it the name and the day of the plan serve.
type Known interface {
	HoldingID(ctx context.Context) (string, error)
	ChangedAt(ctx context.Context) (time.Time, error)
}

// calendarRoutes adds the calendar for the keeper, and the one at its secret
// address for whatever reads calendars.
func (s *Server) calendarRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /work/calendar", s.showCalendar)
	mux.HandleFunc("POST /work/calendar", s.saveCalendar)
	mux.HandleFunc("GET /work/calendar.ics", s.downloadCalendar)
	mux.HandleFunc("GET /calendar/{file}", s.subscribedCalendar)
}

// calendarHomeRoutes adds what only the computer itself may do: a phone that is
// signed out again must not have left itself an address.
func (s *Server) calendarHomeRoutes(mux *http.ServeMux) {
	mux.HandleFunc("POST /work/calendar/address", s.newCalendarAddress)
	mux.HandleFunc("POST /work/calendar/stop", s.stopCalendarAddress)
}

// errNoPlanYet says that there is nothing to put into a calendar. An empty one
// instead would make its readers drop every job.
var errNoPlanYet = errors.New("no plan has been worked out yet")

// calendarOf writes the calendar as the keeper chose it.
func (s *Server) calendarOf(ctx context.Context) ([]byte, error) {
	set, err := s.calendarChoices()
	if err != nil {
		return nil, err
	}
	tasks, err := s.calendarTasks(ctx)
	if err != nil {
		return nil, err
	}
	o := calendar.ICalOptions{Alarms: set.Alarms, WithoutKinds: set.WithoutKinds, WithoutWho: set.WithoutWho, Stamp: set.Changed, Today: s.date()}
	if err := s.calendarFacts(ctx, &o); err != nil {
		return nil, err
	}
	return calendar.ICal(tasks, o)
}

// calendarFacts fills in the holding and when anything of the list last changed.
func (s *Server) calendarFacts(ctx context.Context, o *calendar.ICalOptions) error {
	h, err := s.Holdings.Current(ctx)
	if err != nil {
		return err
	}
	o.Name, o.Holding, o.TimeZone = calendar.NameOf(h), h.Name, h.TimeZone
	later := func(t time.Time) {
		if t.After(o.Stamp) {
			o.Stamp = t
		}
	}
	if known, ok := s.Holdings.(Known); ok {
		at, err := known.ChangedAt(ctx)
		if err != nil {
			return err
		}
		later(at)
		if o.Holding, err = known.HoldingID(ctx); err != nil {
			return err
		}
	} else if p, err := s.Holdings.LatestPlan(ctx); err == nil && p != nil {
		later(p.AsOf.Time())
	}
	if s.Daybook != nil {
		newest, err := s.Daybook.LatestEvents(ctx, 1)
		if err != nil {
			return err
		}
		for _, e := range newest {
			later(e.ReceivedAt)
		}
	}
	return nil
}

func (s *Server) calendarChoices() (calendarSettings, error) {
	if s.Devices == nil {
		return usualCalendar(), nil
	}
	return s.Devices.calendarSettings()
}

// sendCalendar answers with the calendar, or with nothing where the asker has it
// already.
func (s *Server) sendCalendar(w http.ResponseWriter, r *http.Request, disposition string) error {
	file, err := s.calendarOf(r.Context())
	if err != nil {
		return err
	}
	sum := sha256.Sum256(file)
	tag := `W/"` + hex.EncodeToString(sum[:16]) + `"` // weak, since it may go out packed
	w.Header().Set("Content-Type", "text/calendar; charset=utf-8")
	w.Header().Set("Content-Disposition", disposition+`; filename="henyear.ics"`)
	w.Header().Set("Cache-Control", "private, no-cache")
	w.Header().Set("ETag", tag)
	if hasTag(r.Header.Values("If-None-Match"), tag) {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	w.Write(file)
	return nil
}

// hasTag compares weakly, as If-None-Match does.
func hasTag(headers []string, tag string) bool {
	for _, header := range headers {
		for one := range strings.SplitSeq(header, ",") {
			one = strings.TrimSpace(one)
			if one == "*" || strings.TrimPrefix(one, "W/") == strings.TrimPrefix(tag, "W/") {
				return true
			}
		}
	}
	return false
}

func (s *Server) downloadCalendar(w http.ResponseWriter, r *http.Request) {
	switch err := s.sendCalendar(w, r, "attachment"); {
	case errors.Is(err, errNoPlanYet):
		s.fail(w, r, http.StatusServiceUnavailable, "calendar.noplan")
	case err != nil:
		s.fail(w, r, http.StatusInternalServerError, "calendar.fault", err.Error())
	}
}

// subscribedCalendar answers whoever knows the secret address. Whoever does not
// is told nothing, and waits longer after each try.
func (s *Server) subscribedCalendar(w http.ResponseWriter, r *http.Request) {
	key, isFile := strings.CutSuffix(r.PathValue("file"), ".ics")
	if s.Devices == nil || !isFile {
		plainAnswer(w, http.StatusNotFound, "calendar.nowhere")
		return
	}
	if !s.Devices.calendarKeyFits(key, s.date()) {
		from := remoteAddress(r)
		if wait := s.Devices.waitForCalendar(from); wait > 0 {
			w.Header().Set("Retry-After", strconv.Itoa(int(wait.Seconds())+1))
			plainAnswer(w, http.StatusTooManyRequests, "calendar.wait")
			return
		}
		s.Log.Warn("a calendar was asked for at an address that is none", "from", from)
		plainAnswer(w, http.StatusNotFound, "calendar.nowhere")
		return
	}
	if err := s.sendCalendar(w, r, "inline"); err != nil {
		if !errors.Is(err, errNoPlanYet) {
			s.Log.Error("the calendar could not be made", "error", err)
		}
		w.Header().Set("Retry-After", "300")
		plainAnswer(w, http.StatusServiceUnavailable, "calendar.later")
	}
}

// plainAnswer is for programs, which show no pages.
func plainAnswer(w http.ResponseWriter, status int, code string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	w.Write([]byte(say(code) + "\n"))
}

type calendarView struct {
	Fault        string
	NoPlan       bool
	Alarms       calendar.Alarms
	Kinds, Who   []choice
	CanSave      bool
	Home         bool   // at the computer itself
	Made, Asked  string // the address there is
	LetIn, Plain bool
	Address      *addressView // just made, shown this once
}

// addressView is one secret address, in the ways by which it can be reached.
type addressView struct {
	Here, Secure, Plain string
	Code                template.HTML // drawing of the address for a phone's camera
}

// BestForPhone is the address that most calendars of phones take.
func (a addressView) BestForPhone() string {
	if a.Plain != "" {
		return a.Plain
	}
	return a.Secure
}

func (s *Server) showCalendar(w http.ResponseWriter, r *http.Request) {
	s.calendarPage(w, r, http.StatusOK, calendarView{})
}

func (s *Server) calendarPage(w http.ResponseWriter, r *http.Request, status int, v calendarView) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	set, err := s.calendarChoices()
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.devices", err.Error())
		return
	}
	tasks, err := s.calendarTasks(r.Context())
	if v.NoPlan = errors.Is(err, errNoPlanYet); err != nil && !v.NoPlan {
		s.fail(w, r, http.StatusInternalServerError, "calendar.fault", err.Error())
		return
	}
	v.Alarms, v.CanSave = set.Alarms, s.Devices != nil
	for _, k := range kindsOf(tasks, set) {
		v.Kinds = append(v.Kinds, choice{Value: string(k), Label: calendar.KindWords(k), Chosen: !slices.Contains(set.WithoutKinds, k)})
	}
	for _, who := range everyWho {
		v.Who = append(v.Who, choice{Value: string(who), Label: say(whoCodes[who]), Chosen: !slices.Contains(set.WithoutWho, who)})
	}
	v.Home = visitorOf(r).Local && s.Devices != nil
	if set.Key != "" {
		v.Made, v.Asked = report.Day(set.Made), say("calendar.never")
		if !set.Asked.IsZero() {
			v.Asked = say("calendar.asked", report.Day(set.Asked))
		}
	}
	if s.Devices != nil {
		devices := s.Devices.Settings()
		v.LetIn, v.Plain = devices.On, devices.Plain
	}
	p.Styles, p.Body = append(p.Styles, "calendar.css"), v
	s.show(w, r, status, "calendar", p)
}

var everyWho = []calendar.Who{calendar.Anyone, calendar.Keeper, calendar.Two, calendar.Skilled}

var whoCodes = map[calendar.Who]string{
	calendar.Anyone: "calendar.who.anyone", calendar.Keeper: "calendar.who.keeper",
	calendar.Two: "calendar.who.two", calendar.Skilled: "calendar.who.skilled",
}

// kindsOf are the kinds of the jobs that there are, and those that were left out
// before, in their usual order.
func kindsOf(tasks []calendar.Task, set calendarSettings) []calendar.Kind {
	return slices.DeleteFunc(calendar.Kinds(), func(k calendar.Kind) bool {
		return !slices.Contains(set.WithoutKinds, k) && !slices.ContainsFunc(tasks, func(t calendar.Task) bool { return t.Kind == k })
	})
}

func (s *Server) saveCalendar(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, 16<<10)
	if err := r.ParseForm(); err != nil || s.Devices == nil {
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return
	}
	f := r.PostForm
	tasks, err := s.calendarTasks(r.Context())
	if err != nil && !errors.Is(err, errNoPlanYet) {
		s.fail(w, r, http.StatusInternalServerError, "calendar.fault", err.Error())
		return
	}
	if len(f["who"]) == 0 || len(f["kind"]) == 0 && len(tasks) > 0 {
		s.calendarPage(w, r, http.StatusUnprocessableEntity, calendarView{Fault: say("calendar.nothing")})
		return
	}
	err = s.Devices.changeCalendar(func(set *calendarSettings) {
		set.Alarms = calendar.Alarms{Evening: f.Get("evening") == "yes", Morning: f.Get("morning") == "yes", HourBefore: f.Get("hour_before") == "yes"}
		set.WithoutKinds, set.WithoutWho = leftOut(kindsOf(tasks, *set), f["kind"]), leftOut(everyWho, f["who"])
		set.Changed = s.now().UTC().Truncate(time.Second)
	})
	s.calendarChanged(w, r, err)
}

func (s *Server) newCalendarAddress(w http.ResponseWriter, r *http.Request) {
	key, err := s.Devices.newCalendarKey(s.date())
	if err != nil {
		s.calendarChanged(w, r, err)
		return
	}
	v := s.calendarAddresses(r, key)
	if to := v.BestForPhone(); to != "" {
		code, err := codeSVG(to)
		if err != nil {
			s.calendarChanged(w, r, err)
			return
		}
		v.Code = template.HTML(code) // squares and numbers of our own
	}
	w.Header().Set("Cache-Control", "no-store") // shown this once
	s.calendarPage(w, r, http.StatusOK, calendarView{Address: &v})
}

func (s *Server) stopCalendarAddress(w http.ResponseWriter, r *http.Request) {
	s.calendarChanged(w, r, s.Devices.stopCalendar())
}

func (s *Server) calendarChanged(w http.ResponseWriter, r *http.Request, err error) {
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.devices", err.Error())
		return
	}
	http.Redirect(w, r, "/work/calendar", http.StatusSeeOther)
}

// calendarTasks are the jobs of the plan kept last, as the flock stands today.
func (s *Server) calendarTasks(ctx context.Context) ([]calendar.Task, error) {
	h, err := s.Holdings.Current(ctx)
	if err != nil {
		return nil, err
	}
	p, err := s.Holdings.LatestPlan(ctx)
	if err != nil {
		return nil, err
	}
	if p == nil {
		return nil, errNoPlanYet
	}
	list, _, err := s.workList(ctx, h, p, measure.Date{}, measure.Date{})
	if err != nil {
		return nil, err
	}
	return list.Tasks, nil
}
