package main

import (
	"context"
	"errors"
	"fmt"
	"log"
	"net"
	"net/http"
	"os"
	"strconv"
	"time"
)

// usualPort is where the pages are served unless told otherwise. No widely
// used program claims it.
const usualPort = 8417

// tries is how many ports after the wanted one are tried before any free one
// is taken.
const tries = 20

// listen takes the wanted port on this computer only, or the next free one.
func listen(port int) (net.Listener, error) {
	if port < 0 || port > 65535 {
		return nil, badInput{fmt.Errorf("%d is not a port; choose one from 1024 to 65535", port)}
	}
	var last error
	for p := port; p < port+tries && p <= 65535; p++ {
		l, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(p)))
		if err == nil {
			return l, nil
		}
		last = err
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, fmt.Errorf("no port on this computer could be opened for the pages (%w)", errors.Join(last, err))
	}
	return l, nil
}

// lastMoment is how long after Ctrl-C anything may hold up the end of the
// program. Each save is on the disk when it is reported done, so cutting off
// loses nothing.
const lastMoment = 1400 * time.Millisecond

// insist ends the program with an exit code soon after the context ends,
// whatever still hangs, and calls leave first. The function returned calls it
// off.
func insist(ctx context.Context, code int, leave func()) (calledOff func()) {
	stop := context.AfterFunc(ctx, func() {
		time.Sleep(lastMoment)
		leave()
		os.Exit(code)
	})
	return func() { stop() }
}

// goodbye is how long pages under way may take to finish after Ctrl-C.
const goodbye = time.Second

// serveUntilDone answers requests until the context ends, then closes quickly.
func serveUntilDone(ctx context.Context, l net.Listener, pages http.Handler, faults *log.Logger) error {
	server := &http.Server{
		Handler:           pages,
		ReadHeaderTimeout: 10 * time.Second,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    64 << 10,
		BaseContext:       func(net.Listener) context.Context { return ctx },
		ErrorLog:          faults,
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()
	select {
	case err := <-ended:
		return fmt.Errorf("the pages can no longer be served: %w", err)
	case <-ctx.Done():
	}
	patience, cancel := context.WithTimeout(context.Background(), goodbye)
	defer cancel()
	if server.Shutdown(patience) != nil {
		server.Close() // whoever still waits is cut off
	}
	return nil
}
