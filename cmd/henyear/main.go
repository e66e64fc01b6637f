// Command henyear plans the flock of a small holding: which birds, how many,
// when to hatch, whom to keep and when to butcher, so that a household has its
// eggs every week and its birds for the table every year.
//
// The household is described in one text file, the holding file. Most commands
// read it and print an answer; serve and demo show the same on pages for a
// browser on this computer.
//
// # What the terminal can rely on
//
// Answers go to standard output. Messages go to standard error, as sentences,
// and so does the progress of a long reckoning when standard error is a
// terminal. A FILE of - is read from standard input. The program ends with
//
//	0    when it did what was asked
//	1    when it failed through a fault of its own or of the computer
//	2    when what it was given is wrong: the command line or the holding file
//	130  when it was interrupted before it had an answer
//
// A fault in the program is reported as such, in a sentence that asks to be
// passed on, and never as a dump of its insides.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"reflect"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/alecthomas/kong"

	"henyear/examples"
	"henyear/holding"
	"henyear/measure"
	"henyear/web"
)

const (
	exitDone        = 0
	exitFault       = 1
	exitBadInput    = 2
	exitInterrupted = 130 // as a shell reports a program ended by Ctrl-C
)

func main() {
	os.Exit(run(os.Args[1:], terminal{os.Stdin, os.Stdout, os.Stderr}))
}

// terminal is where the program reads and writes.
type terminal struct {
	in       io.Reader
	out, err io.Writer
}

// commands is the command line.
type commands struct {
	Plan    planCommand    `cmd:"" help:"Plan the flock of a holding and print the plan."`
	Odds    oddsCommand    `cmd:"" help:"Live the plan of a holding through thousands of random years and say how they turn out."`
	Improve improveCommand `cmd:"" help:"Say what bettering the place would be worth: shade, vents, wool, litter, a run, a net, lamps, more house."`
	Place   placeCommand   `cmd:"" help:"Tell of the place of a holding: light, air, cold and heat; or of a weather record of your own valley, to plan with."`
	Breeds  breedsCommand  `cmd:"" help:"Run the household's own year with each breed and compare them."`
	Check   checkCommand   `cmd:"" help:"Check a holding file and say what is wrong or was taken as given."`
	Tables  tablesCommand  `cmd:"" help:"Write the figures as files for spreadsheets and other programs."`
	Serve   serveCommand   `cmd:"" help:"Show the pages in a browser on this computer."`
	Demo    demoCommand    `cmd:"" help:"Plan the first example and show it, leaving nothing behind."`
	Example exampleCommand `cmd:"" help:"Print an example holding file to start from."`

	Devices devicesCommand `cmd:"" help:"Let the household's phones and other computers in, or keep them out."`

	Backup  backupCommand  `cmd:"" help:"Copy your holding and records to a backup; also while the pages are open."`
	Restore restoreCommand `cmd:"" help:"Go back to a backup; what is there now is set aside."`
	Export  exportCommand  `cmd:"" help:"Write everything as files that a spreadsheet opens."`
	Import  importCommand  `cmd:"" help:"Read an export into an empty data folder."`

	Evidence evidenceCommand `cmd:"" help:"Hold the program's figures against published ones."`
	Notices  noticesCommand  `cmd:"" help:"Print the licences of the parts that are built in."`
	Version  versionCommand  `cmd:"" help:"Print the version."`

	Work     workCommand     `cmd:"" help:"List the dated work of a plan, moved with the daybook."`
	Calendar calendarCommand `cmd:"" help:"Write the jobs of the flock as a file that calendars of phones and computers read."`

	SolveChild solveChildCommand `cmd:"" hidden:"" help:"Solve one programme for another copy of this program."`
}

// run carries out one command line and returns the exit code.
func run(args []string, t terminal) (code int) {
	defer func() {
		if fault := recover(); fault != nil {
			code = reportFault(t.err, fault)
		}
	}()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	// After the first signal the next one ends the program at once.
	context.AfterFunc(ctx, stop)
	return sayEnd(t.err, dispatch(ctx, args, t))
}

// dispatch reads the command line and runs the command that it names.
func dispatch(ctx context.Context, args []string, t terminal) error {
	var line commands
	parser, err := kong.New(&line,
		kong.Name("henyear"),
		kong.Description("Plans the flock of a small holding.\n\nFILE is a holding file; - reads it from standard input. "+
			"Start with: henyear example valley > holding.toml"),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
		kong.Writers(t.out, t.err),
		kong.Vars{"port": strconv.Itoa(usualPort), "deviceport": strconv.Itoa(web.UsualDevicePort), "example": examples.Demo, "examples": exampleNames(), "kinds": kindNames()},
		kong.TypeMapper(reflect.TypeFor[measure.Date](), kong.MapperFunc(readDate)),
	)
	if err != nil {
		return err
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	chosen, err := parser.Parse(joinNegative(args))
	if err != nil {
		return badInput{fmt.Errorf("%w; see henyear --help", err)}
	}
	chosen.BindTo(ctx, (*context.Context)(nil))
	return chosen.Run(t)
}

// negativeNumber is what a place in the west or south has for a coordinate.
var negativeNumber = regexp.MustCompile(`^-[0-9.][^-]*$`)

// joinNegative writes --longitude -90.2 as --longitude=-90.2, for the minus would be
// taken for the beginning of an option.
func joinNegative(args []string) []string {
	var list []string
	for i, a := range args {
		if a == "--" {
			return append(list, args[i:]...)
		}
		if i > 0 && negativeNumber.MatchString(a) {
			if option := list[len(list)-1]; strings.HasPrefix(option, "--") && !strings.Contains(option, "=") {
				list[len(list)-1] = option + "=" + a
				continue
			}
		}
		list = append(list, a)
	}
	return list
}

// readDate reads a date of the command line.
func readDate(c *kong.DecodeContext, target reflect.Value) error {
	var text string
	if err := c.Scan.PopValueInto("date", &text); err != nil {
		return err
	}
	d, err := measure.ParseDate(text)
	if err != nil {
		return err
	}
	target.Set(reflect.ValueOf(d))
	return nil
}

// badInput marks an error that whoever typed the command or wrote the holding
// file can mend. Every other error is a fault of the program or the computer.
type badInput struct{ error }

func (b badInput) Unwrap() error { return b.error }

// sayEnd says what went wrong and returns the exit code for it.
func sayEnd(w io.Writer, err error) int {
	var bad badInput
	var problems holding.Problems
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(w, "Stopped.")
		return exitInterrupted
	case errors.As(err, &problems): // whole sentences, one a line
		fmt.Fprintln(w, err)
		return exitBadInput
	}
	fmt.Fprintln(w, "henyear:", err)
	if errors.As(err, &bad) {
		return exitBadInput
	}
	return exitFault
}

// reportFault tells of a mistake in the program itself. Where it happened is
// one line, for whoever mends it.
func reportFault(w io.Writer, fault any) int {
	fmt.Fprintf(w, "This is a fault in henyear, not in what you gave it: %s (%s).\n"+
		"Please report it with this message, the holding file and the version, %s.\n",
		oneLine(fmt.Sprint(fault)), whereFault(), versionText())
	return exitFault
}

func oneLine(text string) string {
	first, _, _ := strings.Cut(text, "\n")
	return first
}

// whereFault finds the place in our own source text that panicked. It must be
// called while the panic is being recovered.
func whereFault() string {
	callers := make([]uintptr, 64)
	frames := runtime.CallersFrames(callers[:runtime.Callers(2, callers)])
	panicked := false
	for {
		f, more := frames.Next()
		if panicked && !strings.HasPrefix(f.Function, "runtime.") {
			return fmt.Sprintf("%s line %d", f.Function, f.Line)
		}
		panicked = panicked || f.Function == "runtime.gopanic"
		if !more {
			return "place unknown"
		}
	}
}

// noDate leaves a date to the holding file, or else to today.
var noDate measure.Date

// today is the date at the computer's own place, the only clock from which a
// plan is dated.
func today() measure.Date { return measure.DateOf(time.Now()) }
