package main

import (
	"io"
	"net/http"
)

// steady keeps serving when one page meets a fault in the program: the person
// is told in a sentence, and the terminal is told what to report.
type steady struct {
	pages  http.Handler
	faults io.Writer
}

func (s steady) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	answer := &begun{ResponseWriter: w}
	defer func() {
		fault := recover()
		if fault == nil || fault == http.ErrAbortHandler {
			return
		}
		reportFault(s.faults, fault)
		if answer.yes {
			panic(http.ErrAbortHandler) // half a page is out; break it off
		}
		http.Error(w, "This page met a fault in henyear. The terminal where it runs says what to report. The other pages still work.",
			http.StatusInternalServerError)
	}()
	s.pages.ServeHTTP(answer, r)
}

// begun notices whether an answer has begun.
type begun struct {
	http.ResponseWriter
	yes bool
}

func (b *begun) WriteHeader(status int) {
	b.yes = true
	b.ResponseWriter.WriteHeader(status)
}

func (b *begun) Write(p []byte) (int, error) {
	b.yes = true
	return b.ResponseWriter.Write(p)
}

// Unwrap lets a handler flush what it has written so far.
func (b *begun) Unwrap() http.ResponseWriter { return b.ResponseWriter }

// Flush is for handlers that ask for it the older way.
func (b *begun) Flush() {
	b.yes = true
	http.NewResponseController(b.ResponseWriter).Flush()
}
