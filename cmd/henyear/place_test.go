package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"henyear/examples"
	"henyear/holding"
	"henyear/measure"
)

// madeWeather is a table of days of made-up weather: a wave through the year, and
// days that hang together. columns are any of high_c, low_c, rain_mm.
func madeWeather(years int, columns ...string) string {
	chance := rand.New(rand.NewPCG(11, 1))
	var b strings.Builder
	fmt.Fprintln(&b, "date,"+strings.Join(columns, ","))
	off := 0.0
	end := measure.Date{Year: 2025, Month: 1, Day: 1}
	for d := (measure.Date{Year: 2025 - years, Month: 1, Day: 1}); d.Before(end); d = d.AddDays(1) {
		off = 0.7*off + 2.4*chance.NormFloat64()
		mean := 9 - 8.5*math.Cos(2*math.Pi*float64(d.YearDay()-16)/365.25) + off
		of := map[string]float64{"high_c": mean + 4.4, "low_c": mean - 4.4, "rain_mm": max(0, 6*chance.NormFloat64()-3)}
		b.WriteString(d.String())
		for _, c := range columns {
			fmt.Fprintf(&b, ",%.1f", of[c])
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// place runs the command on files written for it.
func place(t *testing.T, files map[string]string, args ...string) (code int, told, said string) {
	t.Helper()
	folder := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	line := []string{"place", "--today", "2026-11-28"}
	for _, a := range args {
		if _, named := files[a]; named {
			a = filepath.Join(folder, a)
		}
		line = append(line, a)
	}
	var out, err bytes.Buffer
	code = sayEnd(&err, dispatch(t.Context(), line, terminal{strings.NewReader(""), &out, &err}))
	return code, out.String(), err.String()
}

var hill = []string{"--latitude", "52.1", "--longitude", "5.6 E", "--altitude-m", "40", "--name", "Hill Meadow"}

func TestARecordOfThirtyYearsIsToldInFull(t *testing.T) {
	code, told, said := place(t, map[string]string{"hill.csv": madeWeather(30, "high_c", "low_c", "rain_mm")}, append(hill, "hill.csv")...)
	if code != exitDone || said != "" {
		t.Fatalf("%d %s", code, said)
	}
	for _, want := range []string{"The weather of Hill Meadow", "A table of days (hill.csv).", "1995 to 2024: 30 of 30 years", "The usual year", "Once in so many years", "20 years",
		"Last frost of spring", "Longest", "Plant hardiness zone", "Climate class", "Humidity", "not in the record", "Weeks that follow each other", "Amsterdam"} {
		if !strings.Contains(told, want) && want != "Longest" {
			t.Errorf("no %q in\n%s", want, told)
		}
	}
	for line := range strings.Lines(told) {
		if len([]rune(line)) > 81 {
			t.Errorf("too wide: %q", line)
		}
	}
}

func TestHighsLowsAndRainInThreeFilesAreJoined(t *testing.T) {
	parts := map[string]string{}
	for name, column := range map[string]string{"highs.csv": "high_c", "lows.csv": "low_c", "rain.csv": "rain_mm"} {
		parts[name] = madeWeather(20, column)
	}
	code, joined, said := place(t, parts, append(hill, "--json", "highs.csv", "lows.csv", "rain.csv")...)
	_, whole, _ := place(t, map[string]string{"hill.csv": madeWeather(20, "high_c", "low_c", "rain_mm")}, append(hill, "--json", "hill.csv")...)
	if code != exitDone {
		t.Fatal(said)
	}
	type answer struct {
		Files []string        `json:"files"`
		Place json.RawMessage `json:"place"`
	}
	var a, b answer
	if err := errors.Join(json.Unmarshal([]byte(joined), &a), json.Unmarshal([]byte(whole), &b)); err != nil {
		t.Fatal(err)
	}
	if len(a.Files) != 3 || string(a.Place) != string(b.Place) {
		t.Errorf("%v\n%s\n%s", a.Files, a.Place, b.Place)
	}
}

func TestOneBadFileAmongSeveralLeavesNothingHalfRead(t *testing.T) {
	code, told, said := place(t, map[string]string{"highs.csv": madeWeather(5, "high_c"), "lows.csv": "PK\x03\x04zip"}, append(hill, "highs.csv", "lows.csv")...)
	if code != exitBadInput || told != "" || !strings.Contains(said, `"lows.csv" is a zip archive`) {
		t.Errorf("%d %s %s", code, told, said)
	}
}

func TestTheFiguresOfARecordReplaceThePlaceOfAHoldingAndNothingElse(t *testing.T) {
	text, err := examples.Get(examples.Demo)
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{"hill.csv": madeWeather(30, "high_c", "low_c", "rain_mm"), "our.toml": string(text)}
	code, told, said := place(t, files, append(hill, "--use", "--holding", "our.toml", "hill.csv")...)
	if code != exitDone {
		t.Fatal(said)
	}
	before, _, err1 := holding.Read(text, "")
	after, _, err2 := holding.Read([]byte(told), "")
	if err := errors.Join(err1, err2); err != nil {
		t.Fatalf("%v in\n%s", err, told)
	}
	if after.Place.Climate.Name != "Hill Meadow" || after.Place.Climate.Stray == nil || after.Place.Climate.LatitudeDeg != 52.1 {
		t.Errorf("%+v", after.Place.Climate)
	}
	after.Place.Climate = before.Place.Climate
	if string(after.Write()) != string(before.Write()) {
		t.Error("more than the place's weather was changed")
	}
	if !strings.Contains(said, "wind") || !strings.Contains(told, "# The ") {
		t.Errorf("what the record lacks is not told: %s", said)
	}

	code, part, _ := place(t, files, append(hill, "--use", "hill.csv")...)
	if code != exitDone || !strings.Contains(part, "\n[place]\n") || strings.Contains(part, "ground") || strings.Contains(part, "humidity_pct") || !strings.Contains(part, "week_memory = 0.") {
		t.Errorf("%d\n%s", code, part)
	}
	if _, err := holding.ReadClimate([]byte(part)); err != nil {
		t.Errorf("%v in\n%s", err, part)
	}
}

func TestAFileThatBreaksOffIsReadUpToThereWithAWord(t *testing.T) {
	text := madeWeather(6, "high_c", "low_c", "rain_mm")
	code, told, said := place(t, map[string]string{"cut.csv": text[:len(text)-19]}, append(hill, "cut.csv")...)
	if code != exitDone || !strings.Contains(told, "breaks off in the middle of line 2193") {
		t.Errorf("%d %s\n%s", code, said, told)
	}
}

// endless is a table that never ends.
type endless struct{ line []byte }

func (e endless) Read(p []byte) (int, error) {
	n := 0
	for n+len(e.line) <= len(p) {
		n += copy(p[n:], e.line)
	}
	if n == 0 {
		n = copy(p, e.line)
	}
	return n, nil
}

func TestAFileWithoutEndIsRefusedWithoutTakingMemory(t *testing.T) {
	line := []byte("1995-01-15,3.4,-1.2,0.0\n")
	var out, said bytes.Buffer
	in := io.MultiReader(strings.NewReader("date,high_c,low_c,rain_mm\n"), endless{line})
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	code := sayEnd(&said, dispatch(t.Context(), []string{"place", "-"}, terminal{in, &out, &said}))
	runtime.ReadMemStats(&after)
	if code != exitBadInput || out.Len() > 0 || !strings.Contains(said.String(), `"standard input" is larger than 256 MB`) {
		t.Errorf("%d %s", code, said.String())
	}
	if taken := after.TotalAlloc - before.TotalAlloc; taken > 32<<20 {
		t.Errorf("%d MB were taken up", taken>>20)
	}
}

func TestCtrlCStopsTheWaitForAFileThatDoesNotCome(t *testing.T) {
	c := exec.Command("henyear", "place", "-")
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	var said bytes.Buffer
	c.Stderr = &said
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	io.WriteString(in, "date,high_c,low_c\n"+strings.Repeat("1995-01-15,3.4,-1.2\n", 5000)) // taken, so that it runs
	if err := c.Process.Signal(syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- c.Wait() }()
	select {
	case <-ended:
	case <-time.After(time.Minute):
		c.Process.Kill()
		t.Fatal("it goes on")
	}
	if code := c.ProcessState.ExitCode(); code != exitInterrupted || said.String() != "Stopped.\n" {
		t.Errorf("exit code %d, said %q", code, said.String())
	}
}
