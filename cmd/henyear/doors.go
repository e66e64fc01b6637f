package main

import (
	"context"
	"crypto/tls"
	"fmt"
	"log"
	"net"
	"net/http"
	"slices"
	"time"

	"henyear/web"
)

// lookAgain is how often the settings of other devices are looked at, so that
// they take effect while the pages are open.
const lookAgain = time.Second

// doors keeps the ways in for other devices as the settings say. It closes them
// all when the context ends.
func doors(ctx context.Context, t terminal, server *web.Server, devices *web.Devices, faults *log.Logger) {
	var now web.DeviceSettings
	var open []*http.Server
	closeAll := func() {
		for _, s := range open {
			s.Close()
		}
		open = nil
	}
	defer closeAll()
	for first := true; ; first = false {
		if set := devices.Settings(); first || differs(set, now) {
			closeAll()
			open = openDoors(t, server, faults)
			if set.On && len(open) > 0 {
				fmt.Fprintf(t.out, "Other devices come in at %sdaybook\nThe certificate for them is at %scertificate\n", set.SecureAddress(), set.PlainAddress())
			}
			now = set
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(lookAgain):
		}
	}
}

// differs tells whether the doors have to be hung anew.
func differs(a, b web.DeviceSettings) bool {
	return a.On != b.On || a.Port != b.Port || a.Plain != b.Plain || !slices.Equal(a.Addresses, b.Addresses)
}

func openDoors(t terminal, server *web.Server, faults *log.Logger) []*http.Server {
	list, err := server.Doors()
	if err != nil {
		fmt.Fprintln(t.err, "Other devices cannot come in:", err)
		return nil
	}
	var open []*http.Server
	for _, door := range list {
		l, err := net.Listen("tcp", door.Address)
		if err != nil {
			fmt.Fprintf(t.err, "Other devices cannot come in at %s (%v). Look at the addresses of this computer: henyear devices show\n", door.Address, err)
			continue
		}
		if door.TLS != nil {
			l = tls.NewListener(l, door.TLS)
		}
		s := &http.Server{
			Handler:           steady{door.Handler, t.err},
			ReadHeaderTimeout: 10 * time.Second,
			ReadTimeout:       2 * time.Minute,
			IdleTimeout:       2 * time.Minute,
			MaxHeaderBytes:    32 << 10,
			ErrorLog:          faults,
		}
		open = append(open, s)
		go s.Serve(l) // ends with Close
	}
	return open
}
