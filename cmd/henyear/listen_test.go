package main

import (
	"context"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"
)

func TestBusyPortGivesWayToTheNextFreeOne(t *testing.T) {
	first, err := listen(0)
	if err != nil {
		t.Fatal(err)
	}
	defer first.Close()
	busy := first.Addr().(*net.TCPAddr).Port
	second, err := listen(busy)
	if err != nil {
		t.Fatal(err)
	}
	defer second.Close()
	if got := second.Addr().(*net.TCPAddr).Port; got == busy {
		t.Errorf("port %d twice", got)
	}
}

func TestPagesAreServedToThisComputerOnly(t *testing.T) {
	l, err := listen(0)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	if ip := l.Addr().(*net.TCPAddr).IP; !ip.IsLoopback() {
		t.Errorf("listens on %s", ip)
	}
}

func TestImpossiblePortIsRefused(t *testing.T) {
	for _, port := range []int{-1, 65536} {
		if _, err := listen(port); err == nil || !strings.Contains(err.Error(), "is not a port") {
			t.Errorf("port %d: %v", port, err)
		}
	}
}

func TestPageThatHangsDoesNotHoldUpTheEnd(t *testing.T) {
	l, err := listen(0)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	entered, leave := make(chan struct{}), make(chan struct{})
	defer close(leave)
	hangs := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { close(entered); <-leave })
	ended := make(chan error, 1)
	go func() { ended <- serveUntilDone(ctx, l, hangs, log.New(io.Discard, "", 0)) }()
	go func() {
		answer, err := http.Get(fmt.Sprintf("http://%s/", l.Addr()))
		if err == nil {
			answer.Body.Close()
		}
	}()
	<-entered
	stop()
	select {
	case err := <-ended:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(2 * time.Second):
		t.Error("still serving two seconds after the end was asked for")
	}
}
