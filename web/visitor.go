package web

import (
	"context"
	"net/http"
)

// Role is what somebody may do on the pages.
type Role string

// The keeper may do everything; a helper may write records and sees what is
// needed for that: the groups, the feeds, what is not for eating.
const (
	Keeper Role = "keeper"
	Helper Role = "helper"
)

// A Visitor is whoever sent a request.
type Visitor struct {
	Role   Role
	Local  bool   // sits at the computer that runs the program
	Secure bool   // the way here cannot be overheard: encrypted, or within the computer
	Name   string // of the device, to tell who wrote a record; empty at the computer itself
}

type visitorKey struct{}

func withVisitor(r *http.Request, v Visitor) *http.Request {
	return r.WithContext(context.WithValue(r.Context(), visitorKey{}, v))
}

// visitorOf tells who sent a request. Whoever came through Handler, which is
// served on the computer itself only, is the keeper there.
func visitorOf(r *http.Request) Visitor {
	if v, ok := r.Context().Value(visitorKey{}).(Visitor); ok {
		return v
	}
	return Visitor{Role: Keeper, Local: true, Secure: true}
}
