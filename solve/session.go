package solve

import (
	"context"
	"errors"
)

// Session solves many programmes in turn in one running copy of the solver,
// without the start of a new copy for each. When the model is the same as last
// time and only costs, bounds and row limits have changed, a linear programme
// starts from the last basis. A session belongs to one goroutine at a time.
type Session struct {
	engine *Engine
	guest  *guest
	closed bool
}

// Session starts a session; close it when done.
func (e *Engine) Session(ctx context.Context) (*Session, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	g, err := e.newGuest()
	if err != nil {
		return nil, err
	}
	return &Session{engine: e, guest: g}, nil
}

// Solve is Engine.Solve within the session, always in this process. After a
// fault of the solver the session goes on with a new copy.
func (s *Session) Solve(ctx context.Context, m *Model, o Options) (Result, error) {
	if s.closed {
		return Result{}, errors.New("this copy of the solver is closed already")
	}
	return prepared(ctx, m, o, func(p *programme, b *best) (answer, error) {
		if s.guest == nil {
			g, err := s.engine.newGuest()
			if err != nil {
				return answer{}, err
			}
			s.guest = g
		}
		a, usable, err := s.guest.solve(ctx, p, o, b, false)
		if !usable {
			s.guest = nil // it closes itself
		}
		return a, err
	})
}

// MemoryMiB is the memory that the session's copy of the solver holds.
func (s *Session) MemoryMiB() float64 {
	if s.guest == nil {
		return 0
	}
	return s.guest.memoryMiB()
}

// Close frees the session's memory.
func (s *Session) Close() {
	if s.guest != nil {
		s.guest.close()
	}
	s.guest, s.closed = nil, true
}
