package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"henyear/calendar"
	"henyear/chance"
	"henyear/daybook"
	"henyear/measure"
	"henyear/plan"
	"henyear/report"
	"henyear/store"
)

type tablesCommand struct {
	File    string `arg:"" optional:"" help:"A holding file to plan for; - for standard input. Without it, your saved holding, its plan and its daybook are taken."`
	Out     string `required:"" placeholder:"OUT" help:"Where to: a name that ends in .xlsx for one workbook, else a folder."`
	CSV     bool   `name:"csv" help:"Into a folder: tables as CSV."`
	XLSX    bool   `name:"xlsx" help:"Into a folder: a workbook for spreadsheets."`
	JSON    bool   `name:"json" help:"Into a folder: JSON, with its schemas. Without any of the three, all of them."`
	Replace bool   `help:"Write over files that are there."`
	Odds    bool   `help:"Also live the plan through random years."`
	Breeds  bool   `help:"Also run the household's year with each breed."`

	Replicates int          `default:"2000" placeholder:"N" help:"Live the plan through so many times (${default})."`
	Gap        float64      `default:"0.01" help:"Stop when no plan can be cheaper by more than this share of the outlay (${default})."`
	Seconds    float64      `default:"30" help:"Stop after so many seconds with the best plan so far (${default})."`
	Work       int          `placeholder:"N" help:"Stop after so many steps of the search instead, for the same answer every time."`
	AsOf       measure.Date `name:"as-of" placeholder:"DATE" help:"The day for which the birds on hand are stated, instead of the file's own or today."`
	Data       string       `placeholder:"DIR" help:"The folder that keeps your holding and records, instead of this user's usual one."`
}

func (c tablesCommand) solving() solving {
	return solving{Gap: c.Gap, Seconds: c.Seconds, Work: c.Work, AsOf: c.AsOf}
}

// workbookOnly reports whether one workbook is asked for and no folder.
func (c tablesCommand) workbookOnly() bool {
	return strings.EqualFold(filepath.Ext(c.Out), ".xlsx")
}

func (c tablesCommand) Validate() error {
	switch {
	case c.Out == "":
		return errors.New("--out needs the name of a folder, or of a file that ends in .xlsx")
	case c.workbookOnly() && (c.CSV || c.JSON):
		return errors.New("--csv and --json write several files; name a folder with --out")
	case c.Replicates < fewestReplicates || c.Replicates > chance.MostReplicates:
		return fmt.Errorf("--replicates must lie between %d and %d", fewestReplicates, chance.MostReplicates)
	case c.File != "" && c.Data != "":
		return errors.New("a holding file is planned for by itself; leave it out to take what --data keeps")
	}
	return c.solving().Validate()
}

// Run writes the figures of a household as files for other programs.
func (c tablesCommand) Run(ctx context.Context, t terminal) error {
	if err := c.inTheWay(c.everyName()); err != nil {
		return err
	}
	have, err := c.gather(ctx, t)
	if err != nil {
		return err
	}
	files, err := c.files(have)
	if err != nil {
		return err
	}
	var names []string
	for _, f := range files {
		names = append(names, f.name)
	}
	if err := c.inTheWay(names); err != nil {
		return err
	}
	for _, f := range files {
		if err := writeWhole(filepath.Join(c.folder(), filepath.FromSlash(f.name)), f.content); err != nil {
			return err
		}
	}
	if c.workbookOnly() {
		fmt.Fprintf(t.out, "Wrote %s.\n", c.Out)
		return nil
	}
	fmt.Fprintf(t.out, "Wrote %s to %s.\n", counted(int64(len(files)), "file", "files"), c.Out)
	return nil
}

// material is all that the tables are made of.
type material struct {
	report.WorkbookInput
	answer *report.OddsAnswer
	events []daybook.Event
	today  measure.Date
	list   *calendar.List
}

// gather reads or reckons what is asked for.
func (c tablesCommand) gather(ctx context.Context, t terminal) (have material, err error) {
	have.Version = version
	if c.File != "" {
		if have.Holding, _, err = readHolding(t, c.File, c.AsOf); err == nil {
			have.today = have.Holding.AsOf
		}
	} else {
		err = c.kept(ctx, &have)
	}
	if err == nil && (have.Plan == nil || c.Odds || c.Breeds) {
		err = c.reckon(ctx, t, &have)
	}
	if err != nil {
		return have, err
	}
	have.list, err = calendar.Of(calendar.Input{Holding: have.Holding, Plan: have.Plan, Book: have.Book, Today: have.today})
	if err == nil {
		have.Work = have.list.Tasks
	}
	return have, err
}

// reckon plans where there is no plan, and finds out what else is asked for.
func (c tablesCommand) reckon(ctx context.Context, t terminal, have *material) error {
	return withPlanner(ctx, func(planner *plan.Planner) error { return c.reckonWith(ctx, t, planner, have) })
}

func (c tablesCommand) reckonWith(ctx context.Context, t terminal, planner *plan.Planner, have *material) (err error) {
	if have.Plan == nil {
		if have.Plan, err = planIt(ctx, t, planner, have.Holding, c.solving().options()); err != nil {
			return err
		}
	}
	if c.Odds && ctx.Err() == nil {
		o := oddsCommand{solving: c.solving(), Replicates: c.Replicates, Seed: usualSeed}
		answer, err := o.cast(ctx, t, planner, have.Holding, have.Plan)
		if err != nil {
			return err
		}
		have.answer, have.Odds = &answer, answer.Odds
	}
	if c.Breeds && ctx.Err() == nil {
		line := newProgress(t.err)
		have.Breeds, err = planner.Breeds(ctx, have.Holding, c.solving().options(), line.share)
		line.clear()
	}
	return errors.Join(err, ctx.Err())
}

// kept takes the holding, the plan and the records from the data file.
func (c tablesCommand) kept(ctx context.Context, have *material) error {
	file, err := openKept(c.Data)
	if err != nil {
		return err
	}
	defer file.Close()
	saved, err := file.CurrentHolding(ctx)
	if errors.Is(err, store.ErrNone) {
		return badInput{errors.New("nothing has been saved yet; name a holding file: henyear tables holding.toml --out " + c.Out)}
	}
	if err != nil {
		return ofTheData(err)
	}
	if have.Holding, _, err = parseHolding(saved.TOML, "the saved holding", c.AsOf); err != nil {
		return err
	}
	if c.AsOf.IsZero() { // another day asks for another plan
		if have.Plan, err = (keptHoldings{file}).LatestPlan(ctx); err != nil {
			return ofTheData(err)
		}
	}
	received, err := file.EventsSince(ctx, 0, 0)
	if err != nil {
		return ofTheData(err)
	}
	for _, r := range received {
		have.events = append(have.events, r.Event)
	}
	have.today = today()
	have.Book = daybook.Replay(have.events, have.through())
	return nil
}

// through is the last day on which the records count: today, or the day of the
// last record if that is later.
func (h material) through() measure.Date {
	last := h.today
	for _, e := range h.events {
		if last.Before(e.HappenedOn) {
			last = e.HappenedOn
		}
	}
	return last
}

// A madeFile is one file of the answer, its name with slashes.
type madeFile struct {
	name    string
	content []byte
}

// folder is where the files go.
func (c tablesCommand) folder() string {
	if c.workbookOnly() {
		return filepath.Dir(c.Out)
	}
	return c.Out
}

// The name of the workbook in a folder.
const workbookName = "henyear.xlsx"

// files makes all files that are asked for.
func (c tablesCommand) files(have material) ([]madeFile, error) {
	every := !c.CSV && !c.XLSX && !c.JSON
	var list []madeFile
	if c.workbookOnly() || c.XLSX || every {
		var b bytes.Buffer
		err := report.Workbook(&b, have.WorkbookInput)
		if errors.Is(err, report.ErrTooManyRows) {
			err = badInput{err}
		}
		if err != nil {
			return nil, err
		}
		name := workbookName
		if c.workbookOnly() {
			return []madeFile{{filepath.Base(c.Out), b.Bytes()}}, nil
		}
		list = append(list, madeFile{name, b.Bytes()})
	}
	if c.CSV || every {
		tables, err := csvFiles(have)
		if err != nil {
			return nil, err
		}
		list = append(list, tables...)
	}
	if c.JSON || every {
		answers, err := jsonFiles(have)
		if err != nil {
			return nil, err
		}
		list = append(list, answers...)
	}
	return list, nil
}

func csvFiles(have material) ([]madeFile, error) {
	var list []madeFile
	for _, g := range report.Grids(have.WorkbookInput) {
		var b bytes.Buffer
		if err := g.CSV(&b); err != nil {
			return nil, err
		}
		list = append(list, madeFile{g.Name + ".csv", b.Bytes()})
	}
	tables, err := daybook.ExportTables(have.events)
	for _, table := range tables {
		list = append(list, madeFile{"daybook/" + table.Name, table.CSV})
	}
	return list, err
}

func jsonFiles(have material) ([]madeFile, error) {
	var list []madeFile
	put := func(name string, value any) error {
		var b bytes.Buffer
		e := json.NewEncoder(&b)
		e.SetIndent("", "  ")
		e.SetEscapeHTML(false)
		err := e.Encode(value)
		list = append(list, madeFile{name, b.Bytes()})
		return err
	}
	err := errors.Join(put("plan.json", have.Plan), put("work.json", have.list))
	if have.answer != nil {
		err = errors.Join(err, put("odds.json", have.answer))
	}
	if have.Breeds != nil {
		err = errors.Join(err, put("breeds.json", report.BreedsAnswer{Format: report.BreedsFormat, Breeds: have.Breeds}))
	}
	if len(have.events) > 0 {
		lines, failed := daybook.ExportLines(have.events)
		err = errors.Join(err, failed)
		list = append(list, madeFile{"records.jsonl", lines})
	}
	for _, name := range report.SchemaNames() {
		schema, _ := report.Schema(name)
		list = append(list, madeFile{"schema/" + name + ".json", schema})
	}
	return list, err
}

// everyName lists what may be written, to find out before a long reckoning that
// something is in the way.
func (c tablesCommand) everyName() []string {
	if c.workbookOnly() {
		return []string{filepath.Base(c.Out)}
	}
	return []string{workbookName, "weeks.csv", "plan.json"}
}

// inTheWay refuses to write over what is there, unless it was asked to.
func (c tablesCommand) inTheWay(names []string) error {
	if at, err := os.Stat(c.Out); err == nil && at.IsDir() == c.workbookOnly() {
		if at.IsDir() {
			return badInput{fmt.Errorf("%s is a folder; give the workbook another name", c.Out)}
		}
		return badInput{fmt.Errorf("%s is a file and not a folder; name a folder, or a file that ends in .xlsx", c.Out)}
	}
	if c.Replace {
		return nil
	}
	for _, name := range names {
		path := filepath.Join(c.folder(), filepath.FromSlash(name))
		if _, err := os.Lstat(path); err == nil {
			return badInput{fmt.Errorf("%s is there already and was left as it is; add --replace to write over it, or name another place", path)}
		}
	}
	return nil
}

// writeWhole writes a file so that it is there whole or as it was before.
func writeWhole(path string, content []byte) error {
	folder := filepath.Dir(path)
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return noFile(path, err)
	}
	f, err := os.CreateTemp(folder, ".henyear-*")
	if err != nil {
		return noFile(path, err)
	}
	defer os.Remove(f.Name())
	_, err = f.Write(content)
	err = errors.Join(err, f.Sync(), f.Chmod(0o644), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	return noFile(path, err)
}

// noFile says why a file could not be written and what to do.
func noFile(path string, err error) error {
	switch {
	case err == nil:
		return nil
	case store.IsFull(err):
		return badInput{fmt.Errorf("%s could not be written, because the disk is full; make room, or name another place", path)}
	case store.IsReadOnly(err):
		return badInput{fmt.Errorf("%s may not be written; see to the permissions of its folder, or name another place", path)}
	case errors.Is(err, fs.ErrExist), errors.Is(err, fs.ErrNotExist), isPathFault(err):
		return badInput{fmt.Errorf("%s could not be written: %w; name another place", path, err)}
	}
	return err
}

// isPathFault reports whether the name of a place is at fault: a file where a
// folder should be, or a name that the system does not take.
func isPathFault(err error) bool {
	var at *fs.PathError
	return errors.As(err, &at) && at.Op == "mkdir"
}
