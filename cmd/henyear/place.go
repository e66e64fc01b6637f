package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"henyear/climate/weather"
	"henyear/holding"
	"henyear/measure"
	"henyear/report"
)

type placeCommand struct {
	Files     []string     `arg:"" name:"file" help:"Weather files of one station, or one holding file; - for standard input."`
	Holding   string       `placeholder:"FILE" help:"Your holding file: its units are used, and with --use its place is replaced."`
	Use       bool         `help:"Print the figures as the place of a holding file: the whole file with --holding, else its [place] part."`
	JSON      bool         `help:"Print JSON for another program."`
	Units     string       `enum:",metric,us" default:"" placeholder:"metric|us" help:"Units of the answer, instead of the holding's or metric ones."`
	FileUnits string       `enum:",metric,us,tenths" default:"" placeholder:"metric|us|tenths" help:"Units of the files, where they do not say."`
	Years     string       `placeholder:"FROM-TO" help:"The years to use, for example 1991-2020, instead of the last thirty."`
	Station   string       `placeholder:"CODE" help:"Which station, in a file of several."`
	Name      string       `help:"Name of the place, instead of the station's."`
	Latitude  string       `placeholder:"DEGREES" help:"Where the station stands, if the files do not say: 52.1, or 31.2S."`
	Longitude string       `placeholder:"DEGREES" help:"The same: 5.6, or 90.2W."`
	AltitudeM *float64     `name:"altitude-m" placeholder:"M" help:"How high the station stands above the sea, in metres."`
	Today     measure.Date `hidden:"" help:"Take this day for today."`
}

// mostFiles bounds how many files are joined.
const mostFiles = 100

func (c placeCommand) Validate() error {
	switch {
	case c.Use && c.JSON:
		return errors.New("--use prints a holding file and --json the findings; choose one")
	case len(c.Files) > mostFiles:
		return fmt.Errorf("%d files are more than the %d that are joined", len(c.Files), mostFiles)
	case stdinTwice(append([]string{c.Holding}, c.Files...)):
		return errors.New("standard input can be read once only; name the other files")
	}
	return nil
}

func stdinTwice(files []string) bool {
	n := 0
	for _, f := range files {
		if f == "-" {
			n++
		}
	}
	return n > 1
}

// Run tells what weather files say of a place, or of a holding's place.
func (c placeCommand) Run(ctx context.Context, t terminal) error {
	// A pipe that brings nothing cannot be interrupted otherwise.
	calledOff := insist(ctx, exitInterrupted, func() { fmt.Fprintln(t.err, "Stopped.") })
	defer calledOff()
	if c.Today.IsZero() {
		c.Today = today()
	}
	h, err := c.household(t)
	if err != nil {
		return err
	}
	records, err := c.records(ctx, t)
	if err != nil || records == nil {
		return err
	}
	record, err := c.whole(records)
	if err != nil {
		return badInput{errors.New(report.PlainWords(err.Error()))}
	}
	answer := report.Weather(record, c.names(), c.units(h))
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case c.Use:
		return c.use(t, answer, h)
	case c.JSON:
		return writeJSON(t.out, answer)
	}
	return report.WeatherText(t.out, answer, widthOf(t.out))
}

// household reads the holding file, if one is named.
func (c placeCommand) household(t terminal) (*holding.Holding, error) {
	if c.Holding == "" {
		return nil, nil
	}
	h, _, err := readHolding(t, c.Holding, noDate)
	return h, err
}

func (c placeCommand) units(h *holding.Holding) measure.Units {
	switch {
	case c.Units != "":
		return measure.Units(c.Units)
	case h != nil:
		return h.Units
	}
	return measure.Metric
}

func (c placeCommand) names() []string {
	var list []string
	for _, f := range c.Files {
		list = append(list, fileName(f))
	}
	return list
}

func fileName(file string) string {
	if file == "-" {
		return "standard input"
	}
	return filepath.Base(file)
}

// records reads all files, or none: where one is bad, the error says which. It
// returns no records and no error when the one file was a holding, which is then
// told of.
func (c placeCommand) records(ctx context.Context, t terminal) ([]*weather.Record, error) {
	var list []*weather.Record
	for _, file := range c.Files {
		r, err := c.record(ctx, t, file)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil || r == nil {
			return nil, err
		}
		list = append(list, r)
	}
	return list, nil
}

func (c placeCommand) record(ctx context.Context, t terminal, file string) (*weather.Record, error) {
	from := t.in
	if file != "-" {
		f, err := openWeather(file)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		from = f
	}
	in := bufio.NewReaderSize(untilDone{ctx, from}, holdingHead)
	if head, _ := in.Peek(holdingHead); holdingLine.Match(head) {
		return nil, c.told(t, file, in)
	}
	r, err := weather.Read(in, weather.Options{Name: fileName(file), Today: c.Today, Units: weather.Units(c.FileUnits), Station: c.Station})
	if err != nil {
		return nil, badInput{errors.New(report.PlainWords(err.Error()))}
	}
	return r, nil
}

// openWeather opens a file, and says in a sentence why it cannot.
func openWeather(file string) (*os.File, error) {
	f, err := os.Open(file)
	if err == nil {
		info, err := f.Stat()
		if err == nil && info.IsDir() {
			f.Close()
			return nil, badInput{fmt.Errorf("%s is a folder; name the weather files in it", file)}
		}
		return f, nil
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, badInput{fmt.Errorf("there is no file %s; give the name of a weather file or of a holding file", file)}
	case errors.Is(err, fs.ErrPermission):
		return nil, badInput{fmt.Errorf("%s may not be read; see to its permissions", file)}
	}
	return nil, badInput{fmt.Errorf("%s cannot be opened: %w", file, err)}
}

// untilDone reads until the keeper stops the program.
type untilDone struct {
	ctx  context.Context
	from io.Reader
}

func (u untilDone) Read(p []byte) (int, error) {
	if err := u.ctx.Err(); err != nil {
		return 0, err
	}
	return u.from.Read(p)
}

// A holding file says its format, which no weather table does.
var holdingLine = regexp.MustCompile(`(?m)^\s*format\s*=\s*\d`)

const holdingHead = 64 << 10

// told tells of the place of a holding file: its light, the air of its houses, and
// what it does to the birds.
func (c placeCommand) told(t terminal, file string, in io.Reader) error {
	if len(c.Files) > 1 || c.Use || c.Holding != "" {
		return badInput{fmt.Errorf("%s is a holding file; give weather files as FILE and the holding with --holding", fileName(file))}
	}
	text, err := readAtMost(in)
	if err := describe(fileName(file), err); err != nil {
		return err
	}
	h, _, err := parseHolding(text, fileName(file), noDate)
	if err != nil {
		return err
	}
	h.Units = c.units(h)
	answer := report.PlaceOf(h, nil)
	if c.JSON {
		return writeJSON(t.out, answer)
	}
	return report.PlaceText(t.out, answer, widthOf(t.out))
}

// whole joins the records, takes what was given on the command line and sets the
// years.
func (c placeCommand) whole(records []*weather.Record) (*weather.Record, error) {
	g := weather.Given{Name: c.Name, AltitudeM: c.AltitudeM}
	var err error
	if g.LatitudeDeg, err = degrees(c.Latitude, "N", "S"); err != nil {
		return nil, err
	}
	if g.LongitudeDeg, err = degrees(c.Longitude, "E", "W"); err != nil {
		return nil, err
	}
	r, err := weather.Whole(records, g)
	if err != nil || c.Years == "" {
		return r, err
	}
	from, to, ok := strings.Cut(c.Years, "-")
	first, err1 := strconv.Atoi(strings.TrimSpace(from))
	last, err2 := strconv.Atoi(strings.TrimSpace(to))
	if !ok || err1 != nil || err2 != nil || first < 1 || last > 9999 {
		return nil, fmt.Errorf("--years is %q; write two years, for example 1991-2020", c.Years)
	}
	return r, r.Use(first, last)
}

func degrees(text, plus, minus string) (*float64, error) {
	if text == "" {
		return nil, nil
	}
	v, err := weather.Degrees(text, plus, minus)
	return &v, err
}

// withOptions names the options by which a position is given, where that is what
// lacks.
func withOptions(err error) error {
	if text, ok := strings.CutSuffix(err.Error(), "give latitude, longitude and altitude."); ok {
		return errors.New(text + "give --latitude, --longitude and --altitude-m.")
	}
	return err
}

// use prints the place as the part of a holding file, or the holding with it. What
// was left out or taken over stands above it and on standard error.
func (c placeCommand) use(t terminal, a *report.WeatherAnswer, h *holding.Holding) error {
	household := h
	if household == nil {
		household = &holding.Holding{Units: a.Units}
	}
	changed, notes, err := a.PlanWith(household)
	if err != nil {
		return badInput{withOptions(err)}
	}
	text := holding.WriteClimate(changed.Place.Climate, a.Units)
	if h != nil {
		text = changed.Write()
	}
	if _, err := holding.ReadClimate(holding.WriteClimate(changed.Place.Climate, a.Units)); err != nil {
		return badInput{fmt.Errorf("the record makes no place that a holding can have: %w", err)}
	}
	var out bytes.Buffer
	for _, n := range notes {
		fmt.Fprintln(t.err, report.NoteWords(n))
		fmt.Fprintf(&out, "# %s\n", report.NoteWords(n))
	}
	if h != nil {
		fmt.Fprintln(t.err, "The comments of the holding file are not kept.")
	}
	out.Write(text)
	_, err = out.WriteTo(t.out)
	return err
}
