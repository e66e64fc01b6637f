package main

import (
	"context"
	"errors"
	"time"

	"henyear/calendar"
	"henyear/daybook"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
	"henyear/web"
)

// household is what the work of a flock follows from.
type household struct {
	holding *holding.Holding
	plan    *plan.Plan
	book    *daybook.Book // nil when nothing was written down
	today   measure.Date
	id      string    // as what the holding is known, also after it was renamed
	changed time.Time // when any of it last changed
}

// workList is the list of jobs from one day to another; without days, that of
// the whole plan.
func (h household) workList(from, to measure.Date) (*calendar.List, error) {
	return calendar.Of(calendar.Input{Holding: h.holding, Plan: h.plan, Book: h.book, Today: h.today, From: from, To: to})
}

// planned reads a holding file and plans it; today is the day for which its
// birds are stated.
func planned(ctx context.Context, t terminal, file string, s solving) (household, error) {
	var made household
	err := s.withPlan(ctx, t, file, func(_ *plan.Planner, h *holding.Holding, p *plan.Plan) error {
		made = household{holding: h, plan: p, today: p.AsOf, id: h.Name, changed: p.AsOf.Time()}
		return nil
	})
	return made, err
}

// kept reads the holding, the plan kept last and the records of a data folder,
// also while the pages are open.
func kept(ctx context.Context, folder string, today measure.Date) (household, error) {
	file, err := openKept(folder)
	if err != nil {
		return household{}, err
	}
	defer file.Close()
	k := keptHoldings{file}
	h := household{today: today}
	if h.holding, err = k.Current(ctx); errors.Is(err, web.ErrNoHolding) {
		return household{}, badInput{errors.New("nothing has been saved yet; name a holding file")}
	} else if err != nil {
		return household{}, ofTheData(err)
	}
	if h.plan, err = k.LatestPlan(ctx); err != nil {
		return household{}, ofTheData(err)
	}
	if h.plan == nil {
		return household{}, badInput{errors.New("no plan has been kept yet; open the pages once with henyear serve, or name a holding file")}
	}
	if h.id, err = k.HoldingID(ctx); err != nil {
		return household{}, ofTheData(err)
	}
	if h.changed, err = k.ChangedAt(ctx); err != nil {
		return household{}, ofTheData(err)
	}
	received, err := file.EventsSince(ctx, 0, 0)
	if err != nil {
		return household{}, ofTheData(err)
	}
	if len(received) > 0 {
		events := make([]daybook.Event, len(received))
		for i, r := range received {
			events[i] = r.Event
			if r.ReceivedAt.After(h.changed) {
				h.changed = r.ReceivedAt
			}
		}
		h.book = daybook.Replay(events, today)
	}
	return h, nil
}
