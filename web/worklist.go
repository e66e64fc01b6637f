package web

import (
	"context"

	"henyear/calendar"
	"henyear/daybook"
	"henyear/holding"
	"henyear/measure"
	"henyear/plan"
)

// planOfWork is the plan that the work follows from: the one that was kept last,
// so that jobs do not come and go while a better plan is sought. Before any was
// kept it is the one that the pages show; nil when there is none.
func (s *Server) planOfWork(ctx context.Context, st state) (*plan.Plan, error) {
	if st.plan != nil && !st.planning {
		return st.plan, nil
	}
	kept, err := s.Holdings.LatestPlan(ctx)
	if err != nil || kept != nil {
		return kept, err
	}
	return st.plan, nil
}

// workInput is what jobs and days of work follow from: holding, plan and, where
// one is kept, the daybook as it stands today.
func (s *Server) workInput(ctx context.Context, h *holding.Holding, pl *plan.Plan) (calendar.Input, error) {
	in := calendar.Input{Holding: h, Plan: pl, Today: s.date()}
	if s.Daybook == nil {
		return in, nil
	}
	var err error
	in.Book, _, err = s.book(ctx)
	return in, err
}

// workList lists the jobs of a plan from one day to another, moved with the
// daybook, which is returned as well; without days those of the whole plan.
func (s *Server) workList(ctx context.Context, h *holding.Holding, pl *plan.Plan, from, to measure.Date) (*calendar.List, *daybook.Book, error) {
	in, err := s.workInput(ctx, h, pl)
	if err != nil {
		return nil, nil, err
	}
	in.From, in.To = from, to
	l, err := calendar.Of(in)
	return l, in.Book, err
}
