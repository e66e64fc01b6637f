package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"time"

	"henyear/holding"
	"henyear/plan"
	"henyear/store"
	"henyear/web"
)

type serveCommand struct {
	File string `arg:"" optional:"" help:"A holding file to start from; without it, the holding saved last."`
	Port int    `default:"${port}" help:"The port on this computer; the next free one is taken when it is in use (${default})."`
	Data string `placeholder:"DIR" help:"The folder that keeps your holding and plans, instead of this user's usual one."`
}

// Run serves the pages until Ctrl-C.
func (c serveCommand) Run(ctx context.Context, t terminal) error {
	folder, err := dataFolder(c.Data)
	if err != nil {
		return err
	}
	var h *holding.Holding
	if c.File != "" {
		if h, _, err = readHolding(t, c.File, noDate); err != nil {
			return err
		}
	}
	keep, err := store.Open(filepath.Join(folder, store.FileName))
	if err != nil {
		return badInput{err}
	}
	defer keep.Close()
	if h != nil {
		if err := (keptHoldings{keep}).Save(ctx, h); err != nil {
			return ofTheData(err)
		}
	}
	defer keepBackups(ctx, t, keep)()
	defer insist(ctx, exitDone, func() {})()
	return ofTheData(showPages(ctx, t, keep, c.Port, plan.Options{}))
}

// dataFolder is the folder named, or this user's own for data that programs
// keep.
func dataFolder(named string) (string, error) {
	if named != "" {
		return named, nil
	}
	if base := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(base) {
		return filepath.Join(base, "henyear"), nil
	}
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		base, err := os.UserConfigDir() // AppData, Application Support
		if err == nil {
			return filepath.Join(base, "Henyear"), nil
		}
	} else if home, err := os.UserHomeDir(); err == nil {
		return filepath.Join(home, ".local", "share", "henyear"), nil
	}
	return "", badInput{errors.New("this user has no folder for data; name one with --data DIR")}
}

// showPages prints the address, opens a browser where there is one, and
// answers until the context ends.
func showPages(ctx context.Context, t terminal, keep *store.Store, port int, o plan.Options) error {
	l, err := listen(port)
	if err != nil {
		return err
	}
	faults := slog.New(slog.NewTextHandler(t.err, &slog.HandlerOptions{Level: slog.LevelWarn}))
	devices, err := web.OpenDevices(filepath.Dir(keep.Path()), time.Now)
	if err != nil {
		l.Close()
		return badInput{err}
	}
	server, err := openPages(ctx, keep, o, devices, faults)
	if err != nil {
		l.Close()
		return err
	}
	defer server.Close()
	address := "http://" + l.Addr().String() + "/"
	if got := l.Addr().(*net.TCPAddr).Port; port != 0 && got != port {
		fmt.Fprintf(t.out, "Port %d is in use, so port %d was taken.\n", port, got)
	}
	fmt.Fprintf(t.out, "The pages are at %s\nCtrl-C stops.\n", address)
	openBrowser(address, os.Getenv)
	faultLog := slog.NewLogLogger(faults.Handler(), slog.LevelError)
	var others sync.WaitGroup
	open, closeDoors := context.WithCancel(ctx)
	others.Go(func() { doors(open, t, server, devices, faultLog) })
	defer func() {
		closeDoors()
		others.Wait()
	}()
	return serveUntilDone(ctx, l, steady{server.Handler(), t.err}, faultLog)
}
