package main

import (
	"bufio"
	"bytes"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"henyear/examples"
)

// running is a copy of the program that serves pages.
type running struct {
	command *exec.Cmd
	address string
	ended   chan error
	mu      sync.Mutex
	out     bytes.Buffer
	err     bytes.Buffer
}

// start runs the program until it has printed the address of its pages.
func start(t *testing.T, env []string, args ...string) *running {
	t.Helper()
	p := &running{command: exec.Command("henyear", args...), ended: make(chan error, 1)}
	p.command.Env = append(append(os.Environ(), "CI=true"), env...)
	p.command.Stderr = &p.err
	out, err := p.command.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.command.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.command.Process.Kill() })
	found := make(chan string, 1)
	go p.follow(out, found)
	select {
	case p.address = <-found:
	case err := <-p.ended:
		t.Fatalf("ended before it served: %v\n%s", err, p.err.String())
	case <-time.After(60 * time.Second):
		t.Fatal("no address after a minute")
	}
	return p
}

var addressPattern = regexp.MustCompile(`http://127\.0\.0\.1:\d+/`)

func (p *running) follow(out io.Reader, found chan<- string) {
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		p.mu.Lock()
		p.out.WriteString(lines.Text() + "\n")
		p.mu.Unlock()
		if a := addressPattern.FindString(lines.Text()); a != "" {
			found <- a
		}
	}
	p.ended <- p.command.Wait()
}

func (p *running) said() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.out.String()
}

// interrupt sends what Ctrl-C sends and wants the program gone in two seconds.
func (p *running) interrupt(t *testing.T) {
	t.Helper()
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no such signal to send")
	}
	if err := p.command.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	select {
	case err := <-p.ended:
		if err != nil {
			t.Errorf("ended with %v\n%s", err, p.err.String())
		}
		t.Logf("gone after %v", time.Since(began))
	case <-time.After(2 * time.Second):
		t.Error("still there two seconds after Ctrl-C")
	}
}

func get(t *testing.T, address string) (status int, body string) {
	t.Helper()
	answer, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer.StatusCode, string(text)
}

func exampleFile(t *testing.T) string {
	t.Helper()
	text, err := examples.Get(examples.Demo)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "holding.toml")
	if err := os.WriteFile(name, text, 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

func TestDemoPrintsThePlanServesItAndLeavesNothingBehind(t *testing.T) {
	scratch := t.TempDir()
	p := start(t, []string{"TMPDIR=" + scratch, "TMP=" + scratch}, "demo", "--port", "0", "--seconds", "4")
	if !strings.Contains(p.said(), "Alder Valley") {
		t.Errorf("the plan was not printed:\n%s", p.said())
	}
	if left, _ := filepath.Glob(filepath.Join(scratch, "henyear-demo-*")); len(left) != 1 {
		t.Errorf("scratch folders while it runs: %v", left)
	}
	if status, _ := get(t, p.address); status != http.StatusOK {
		t.Errorf("the first page answers %d", status)
	}
	p.interrupt(t)
	if left, _ := filepath.Glob(filepath.Join(scratch, "*")); len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
}

func TestDemoStoppedWhileItPlansLeavesNothingBehind(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no such signal to send")
	}
	scratch := t.TempDir()
	demo := exec.Command("henyear", "demo", "--print-only", "--seconds", "60")
	demo.Env = append(os.Environ(), "TMPDIR="+scratch)
	if err := demo.Start(); err != nil {
		t.Fatal(err)
	}
	for { // until it is at work
		if at, _ := filepath.Glob(filepath.Join(scratch, "henyear-demo-*", "henyear.db-wal")); len(at) == 1 {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	demo.Process.Signal(os.Interrupt)
	began := time.Now()
	demo.Wait()
	if took := time.Since(began); took > 2*time.Second {
		t.Errorf("it took %v to stop", took)
	}
	if demo.ProcessState.ExitCode() != exitInterrupted {
		t.Errorf("exit code %d", demo.ProcessState.ExitCode())
	}
	if left, _ := filepath.Glob(filepath.Join(scratch, "*")); len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
}

func TestServedHoldingIsKeptForTheNextTime(t *testing.T) {
	data := t.TempDir()
	p := start(t, nil, "serve", exampleFile(t), "--port", "0", "--data", data)
	p.interrupt(t)
	p = start(t, nil, "serve", "--port", "0", "--data", data)
	if status, page := get(t, p.address); status != http.StatusOK || !strings.Contains(page, "Alder Valley") {
		t.Errorf("answer %d without the holding's name", status)
	}
	p.interrupt(t)
}

func TestBusyPortIsSaidAndTheNextOneTaken(t *testing.T) {
	busy, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer busy.Close()
	port := strconv.Itoa(busy.Addr().(*net.TCPAddr).Port)
	p := start(t, nil, "serve", exampleFile(t), "--port", port, "--data", t.TempDir())
	if !strings.Contains(p.said(), "Port "+port+" is in use") {
		t.Errorf("said: %s", p.said())
	}
	if status, _ := get(t, p.address); status != http.StatusOK {
		t.Errorf("answer %d", status)
	}
	p.interrupt(t)
}
