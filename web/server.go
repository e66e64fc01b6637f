// Package web shows the plan as pages that any browser can read: the plan, the
// breeds beside each other, the place, and a form to change needs and means.
//
// Every page is made on the server and is complete before any script loads;
// scripts only add the reading of drawings by finger, pointer or arrow keys and
// fill in new results without a reload. Nothing is fetched from elsewhere: the
// content policy allows this server alone, and no script or style within a
// page.
//
// The server answers to loopback names unless told more, refuses writing
// requests that come from another site, and bounds the size of forms. It holds
// no plan of its own: a Planner works them out, Holdings keep them, and a
// running job (see job.go) tells the pages how far it is.
package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"path"
	"strings"
	"time"

	"henyear/advise"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
	"henyear/report"
	"henyear/source"
)

// Planner works out answers for a holding. Its methods may run side by side and
// for a long time; each returns early when its context ends. Plan then returns
// the best plan found so far and no error, or the error of the context when
// there is none yet. None of them may change the holding.
type Planner interface {
	Breeds(ctx context.Context, h *holding.Holding, report plan.Progress) ([]plan.BreedYear, error)
	Plan(ctx context.Context, h *holding.Holding, report plan.Progress) (*plan.Plan, error)
	Worth(ctx context.Context, h *holding.Holding, p *plan.Plan, report plan.Progress) ([]plan.Worth, error)
	Improve(ctx context.Context, h *holding.Holding, p *plan.Plan, prices map[string]float64, report plan.Progress) ([]advise.Improvement, error)
}

// Holdings keeps the household's description and its plans. Current returns
// ErrNoHolding when none was written yet; the caller must not change what it
// gets. LatestPlan returns nil without error when none was kept.
type Holdings interface {
	Current(ctx context.Context) (*holding.Holding, error)
	Save(ctx context.Context, h *holding.Holding) error
	SavePlan(ctx context.Context, p *plan.Plan) error
	LatestPlan(ctx context.Context) (*plan.Plan, error)
}

// ErrNoHolding says that no holding was written yet.
var ErrNoHolding = errors.New("there is no holding yet; write one with the program first")

// Options are what a Server needs. Planner and Holdings must be given.
type Options struct {
	Planner  Planner
	Holdings Holdings
	Daybook  Daybook                        // keeps the records; nil leaves the daybook out
	Devices  *Devices                       // lets other devices in; nil: this computer alone
	Now      func() time.Time               // nil: the clock of this computer
	Lots     Lots                           // lives plans through random years; nil leaves the odds out
	Evidence func() ([]source.Check, error) // the published checks; nil leaves them out
	Notices  string                         // licences of the parts within the program
	Today    func() measure.Date            // nil: the plan's own date counts as today
	Hosts    []string                       // further host names to answer to, without port
	Log      *slog.Logger                   // nil: no log
}

// Server serves the pages of one holding.
type Server struct {
	Options
	job   *job
	pages *pageSet
	files map[string]asset

	replayed replayed
	place    placeKept
}

// NewServer prepares a server. It starts no work; see Start.
func NewServer(o Options) *Server {
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	s := &Server{Options: o, files: readAssets()}
	s.job = newJob(o.Planner, o.Holdings, o.Lots, o.Log)
	s.pages = readPages(s)
	return s
}

// Start reads the holding and the plan kept last, and begins to work out a new
// one. It returns at once; ErrNoHolding when there is nothing to plan for.
func (s *Server) Start(ctx context.Context) error {
	h, err := s.Holdings.Current(ctx)
	if err != nil {
		return err
	}
	kept, err := s.Holdings.LatestPlan(ctx)
	if err != nil {
		s.Log.Warn("the plan kept last could not be read", "error", err)
	}
	s.job.begin(h, kept)
	return nil
}

// Close stops all work and waits for it to end.
func (s *Server) Close() { s.job.close() }

const maxForm = 256 << 10 // bytes; the longest form of a large holding is a tenth of it

// Handler serves all pages to the computer that runs the program. Whoever comes
// this way is the keeper, so it may be served on loopback addresses only.
func (s *Server) Handler() http.Handler {
	return s.headers(s.hosts(s.ours, s.pagesOf(s.localRoutes)))
}

// pagesOf are the pages that the computer itself and other devices see, and
// those that more adds. Writing requests from other sites are refused.
func (s *Server) pagesOf(more func(*http.ServeMux)) http.Handler {
	mux := http.NewServeMux()
	s.daybookRoutes(mux)
	s.workRoutes(mux)
	s.weatherRoutes(mux)
	s.butcherRoutes(mux)
	s.hatchDayRoutes(mux)
	s.calendarRoutes(mux)
	s.improveRoutes(mux)
	s.tallyRoutes(mux)
	s.sheetRoutes(mux)
	s.tablesRoutes(mux)
	more(mux)
	mux.HandleFunc("GET /{$}", s.showPlan)
	mux.HandleFunc("GET /odds", s.showOdds)
	mux.HandleFunc("POST /odds/surer", s.priceOdds)
	mux.HandleFunc("POST /odds/stop", s.stopOdds)
	mux.HandleFunc("POST /odds/again", s.againOdds)
	mux.HandleFunc("POST /odds/follow", s.followSurer)
	mux.HandleFunc("GET /breeds", s.showBreeds)
	s.placeRoutes(mux)
	mux.HandleFunc("GET /change", s.showChange)
	mux.HandleFunc("POST /change", s.saveChange)
	mux.HandleFunc("GET /sources", s.showSources)
	mux.HandleFunc("GET /evidence", s.showEvidence)
	mux.HandleFunc("GET /notices", s.showNotices)
	mux.HandleFunc("POST /stop", s.stop)
	mux.HandleFunc("POST /again", s.again)
	mux.HandleFunc("GET /progress", s.progress)
	mux.HandleFunc("GET /plan.json", s.planJSON)
	mux.HandleFunc("GET /breeds.json", s.breedsJSON)
	mux.HandleFunc("GET /odds.json", s.oddsJSON)
	mux.HandleFunc("GET /weeks.csv", s.weeksCSV)
	mux.HandleFunc("GET /breeds.csv", s.breedsCSV)
	mux.HandleFunc("GET /drawing/{name}", s.drawing)
	mux.HandleFunc("GET /static/{name}", s.asset)
	mux.HandleFunc("/", s.notFound)

	guard := http.NewCrossOriginProtection()
	guard.SetDenyHandler(http.HandlerFunc(s.foreign))
	return guard.Handler(squeeze(mux))
}

// Every answer carries the same rules for the browser.
var fixedHeaders = map[string]string{
	"Content-Security-Policy":      "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'",
	"X-Content-Type-Options":       "nosniff",
	"X-Frame-Options":              "DENY",
	"Referrer-Policy":              "same-origin",
	"Cross-Origin-Opener-Policy":   "same-origin",
	"Cross-Origin-Resource-Policy": "same-origin",
	"Permissions-Policy":           "camera=(), geolocation=(), microphone=()",
}

func (s *Server) headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for name, value := range fixedHeaders {
			w.Header().Set(name, value)
		}
		next.ServeHTTP(w, r)
	})
}

// hosts refuses names that are not ours: a page elsewhere may have made its own
// name point at this machine.
func (s *Server) hosts(ours func(host string) bool, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !ours(r.Host) {
			s.fail(w, r, http.StatusMisdirectedRequest, "error.host")
			return
		}
		next.ServeHTTP(w, r)
	})
}

func (s *Server) ours(host string) bool {
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	}
	name = strings.ToLower(strings.Trim(name, "[]"))
	if name == "localhost" {
		return true
	}
	if ip := net.ParseIP(name); ip != nil && ip.IsLoopback() {
		return true
	}
	for _, h := range s.Hosts {
		if strings.EqualFold(h, name) {
			return true
		}
	}
	return false
}

func (s *Server) foreign(w http.ResponseWriter, r *http.Request) {
	s.fail(w, r, http.StatusForbidden, "error.foreign")
}

func (s *Server) notFound(w http.ResponseWriter, r *http.Request) {
	s.fail(w, r, http.StatusNotFound, "error.missing")
}

// An asset is a file of the program that a page refers to.
type asset struct {
	body []byte
	kind string
	tag  string
}

//go:embed static
var staticFiles embed.FS

var kinds = map[string]string{".png": "image/png", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml"}

func readAssets() map[string]asset {
	files := map[string]asset{}
	put := func(name string, body []byte) {
		sum := sha256.Sum256(body)
		files[name] = asset{body, kinds[path.Ext(name)], hex.EncodeToString(sum[:6])}
	}
	names, _ := fs.Glob(staticFiles, "static/*")
	for _, name := range names {
		body, err := staticFiles.ReadFile(name)
		if err != nil {
			panic(err) // embedded
		}
		put(path.Base(name), body)
	}
	put("drawing.css", report.StyleSheet())
	return files
}

func (s *Server) asset(w http.ResponseWriter, r *http.Request) {
	a, ok := s.files[r.PathValue("name")]
	if !ok {
		s.notFound(w, r)
		return
	}
	w.Header().Set("Content-Type", a.kind)
	w.Header().Set("ETag", `"`+a.tag+`"`)
	w.Header().Set("Cache-Control", "no-cache")
	if r.URL.Query().Get("v") == a.tag {
		w.Header().Set("Cache-Control", "max-age=31536000, immutable")
	}
	if r.Header.Get("If-None-Match") == `"`+a.tag+`"` {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	io.Copy(w, bytes.NewReader(a.body))
}
