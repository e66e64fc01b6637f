package web

import (
	"context"
	"errors"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"

	"henyear/advise"
	"henyear/holding"
	"henyear/plan"
	"henyear/report"
)

// betterment is what the pages show of changes to the place.
type betterment struct {
	running bool
	of      int // number of the plan that the changes are held against, 0 for none
	stage   string
	done    int
	list    []advise.Improvement
	prices  map[string]float64 // the keeper's own, by code
	fault   error
}

func (s *Server) improveRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /place/improve", s.showImprove)
	mux.HandleFunc("POST /place/improve", s.startImprove)
	mux.HandleFunc("POST /place/improve/stop", s.stopImprove)
}

// improve begins to hold every change to the place against the plan that
// stands. Nothing happens while that plan is still sought, or this work runs.
func (j *job) improve(prices map[string]float64) {
	j.mu.Lock()
	defer j.mu.Unlock()
	s := &j.state
	if j.closed || s.plan == nil || s.planning || s.better.running {
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	j.improveCancel = cancel
	s.better = betterment{running: true, of: s.planNo, list: s.better.list, prices: prices}
	s.round++
	j.tell()
	turn, h, p := j.turn, s.holding, s.plan
	j.work.Go(func() { j.runImprove(ctx, turn, h, p, prices) })
}

func (j *job) runImprove(ctx context.Context, turn int, h *holding.Holding, p *plan.Plan, prices map[string]float64) {
	list, err := safely(func() ([]advise.Improvement, error) {
		return j.planner.Improve(ctx, h, p, prices, func(step plan.Step) {
			j.note(turn, func(s *state) { s.better.stage, s.better.done = step.Stage, s.better.done+1 })
		})
	})
	j.note(turn, func(s *state) {
		s.better.running = false
		s.round++
		if len(list) > 0 {
			s.better.list = list
		}
		if err != nil && !errors.Is(err, context.Canceled) {
			s.better.fault = err
		}
	})
}

// improveView is the page.
type improveView struct {
	Changes []betterView
	Untold  []plan.Sentence
	Can     bool // the work may begin
	Wait    bool // the plan is still sought
	Older   bool // a newer plan stands than the one these changes are held against
	Running bool
	Fault   string
	Refused string
}

type betterView struct {
	advise.Improvement
	Words    string
	Effects  []string
	Price    string // as the keeper wrote it
	Currency string
}

func (s *Server) showImprove(w http.ResponseWriter, r *http.Request) {
	s.improvePage(w, r, http.StatusOK, "")
}

func (s *Server) improvePage(w http.ResponseWriter, r *http.Request, status int, refused string) {
	p, ok := s.current(w, r)
	if !ok {
		return
	}
	b := p.State.better
	if b.running {
		p.Busy = say("improve.busy", report.Number(float64(b.done), 0))
		if b.stage != "" {
			p.Busy += " " + say("improve.busy.stage", b.stage)
		}
	}
	v := improveView{Can: p.State.plan != nil && !p.State.planning && !b.running, Wait: p.State.planning,
		Older: len(b.list) > 0 && b.of != p.State.planNo, Running: b.running, Fault: faultWords(b.fault), Refused: refused, Untold: advise.Untold(p.Holding)}
	for _, i := range b.list {
		c := betterView{Improvement: i, Words: report.ImproveWords(i), Currency: p.Currency().Code}
		for _, e := range i.Effects {
			c.Effects = append(c.Effects, report.EffectWords(e))
		}
		if price, told := b.prices[i.Code]; told {
			c.Price = strconv.FormatFloat(price, 'f', -1, 64)
		}
		v.Changes = append(v.Changes, c)
	}
	p.Body = v
	s.show(w, r, status, "improve", p)
}

func (s *Server) startImprove(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, http.StatusBadRequest, "error.form", err.Error())
		return
	}
	prices := map[string]float64{}
	for _, code := range advise.PlaceCodes() {
		text := strings.TrimSpace(r.PostForm.Get("cost_" + code))
		if text == "" {
			continue
		}
		price, err := costOf(text)
		if err != nil {
			s.improvePage(w, r, http.StatusUnprocessableEntity, err.Error())
			return
		}
		prices[code] = price
	}
	if _, ok := s.current(w, r); !ok {
		return
	}
	s.job.improve(prices)
	http.Redirect(w, r, "/place/improve", http.StatusSeeOther)
}

// mostPrice is more than any change to a small place costs in any currency.
const mostPrice = 1e12

func costOf(text string) (float64, error) {
	price, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || !(price >= 0 && price <= mostPrice) || math.IsNaN(price) {
		return 0, fmt.Errorf("%s", say("improve.price.wrong", text))
	}
	return price, nil
}

func (s *Server) stopImprove(w http.ResponseWriter, r *http.Request) {
	s.job.mu.Lock()
	s.job.improveCancel()
	s.job.mu.Unlock()
	http.Redirect(w, r, "/place/improve", http.StatusSeeOther)
}
