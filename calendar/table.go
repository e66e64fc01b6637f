package calendar

import (
	"embed"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/pelletier/go-toml/v2"

	"henyear/source"
)

//go:embed data/*.toml
var tableFiles embed.FS

// row is one job of a table; data/lots.toml explains the fields.
type row struct {
	Code    string   `toml:"code"`
	Kind    Kind     `toml:"kind"`
	From    string   `toml:"from"`
	Day     int      `toml:"day"`
	Before  int      `toml:"before"`
	After   int      `toml:"after"`
	Every   int      `toml:"every"`
	Clock   string   `toml:"clock"`
	Needs   []string `toml:"needs"`
	Who     Who      `toml:"who"`
	Minutes float64  `toml:"minutes"`
	Each    float64  `toml:"each"`
	Of      string   `toml:"of"`
	Timed   string   `toml:"timed"`
	What    string   `toml:"what"`
	Why     string   `toml:"why"`
	Source  string   `toml:"source"`
	Caution string   `toml:"caution"`
	DoneBy  []string `toml:"done_by"`
	Late    int      `toml:"late"`
	Say     string   `toml:"say"`
	Away    string   `toml:"away"`

	Season string `toml:"season"` // of rounds
	Months []int  `toml:"months"`
	Days   int    `toml:"days"`
}

// caution is what can hurt at a step.
type caution struct {
	Text   string `toml:"text"`
	Source string `toml:"source"`
}

type tables struct {
	lots, killing, rounds []row
	cautions              map[string]caution
}

var readTables = sync.OnceValues(func() (*tables, error) { return readFrom(tableFiles) })

func readFrom(files fs.FS) (*tables, error) {
	t := &tables{}
	var steps struct {
		Step  []row `toml:"step"`
		Round []row `toml:"round"`
	}
	for _, f := range []struct {
		name string
		into *[]row
	}{{"lots", &t.lots}, {"killing", &t.killing}, {"rounds", &t.rounds}} {
		steps.Step, steps.Round = nil, nil
		if err := readTOML(files, f.name, &steps); err != nil {
			return nil, err
		}
		*f.into = append(steps.Step, steps.Round...)
	}
	if err := readTOML(files, "cautions", &t.cautions); err != nil {
		return nil, err
	}
	return t, t.check()
}

func readTOML(files fs.FS, name string, into any) error {
	b, err := fs.ReadFile(files, "data/"+name+".toml")
	if err == nil {
		err = toml.Unmarshal(b, into)
	}
	if err != nil {
		return fmt.Errorf("calendar/data/%s.toml: %w", name, err)
	}
	return nil
}

// What a row may say.
var (
	anchors   = []string{"set", "hatch", "arrive", "layer", "first_egg", "butcher", "fate"}
	seasons   = []string{"all", "warm", "cold", "frost", "heat", "before-frost", "before-heat"}
	awayWords = []string{"", "sitter", "present"}
	people    = []Who{Anyone, Keeper, Two, Skilled}
	closers   = []string{"setting", "candling", "hatch", "birds-in", "treatment", "mite-treatment", "worming", "move", "move-out", "part",
		"feed", "feed-bought", "feed-left", "birds-out", "sold", "weighing", "bird", "broody", "first-egg", "moult", "count",
		"quarantine-end", "butchered", "eggs-aside"}
)

// check holds every row to what the program understands, so that a slip in a
// table shows at the first start and not as a job that never comes.
func (t *tables) check() error {
	for key, c := range t.cautions {
		if _, ok := source.Lookup(c.Source); !ok || c.Text == "" {
			return fmt.Errorf("calendar/data/cautions.toml: %s: no text, or no source %q", key, c.Source)
		}
	}
	for _, list := range [][]row{t.lots, t.killing, t.rounds} {
		for _, j := range list {
			if err := t.checkRow(j); err != nil {
				return fmt.Errorf("calendar/data: the job %q: %w", j.Code, err)
			}
		}
	}
	return nil
}

func (t *tables) checkRow(j row) error {
	_, sourced := source.Lookup(j.Source)
	_, timed := source.Lookup(j.Timed)
	_, cautioned := t.cautions[j.Caution]
	switch {
	case j.Code == "" || j.What == "" || j.Why == "":
		return fmt.Errorf("it needs a code, a text and a reason")
	case !slices.Contains(Kinds(), j.Kind):
		return fmt.Errorf("there is no kind %q", j.Kind)
	case !slices.Contains(people, j.Who):
		return fmt.Errorf("nobody is called %q", j.Who)
	case j.Season == "" && j.Months == nil && !slices.Contains(anchors, j.From):
		return fmt.Errorf("it is counted from %q, which is no day", j.From)
	case j.Season != "" && !slices.Contains(seasons, j.Season):
		return fmt.Errorf("there is no season %q", j.Season)
	case !sourced:
		return fmt.Errorf("no source %q", j.Source)
	case !timed:
		return fmt.Errorf("no source %q for its minutes", j.Timed)
	case j.Caution != "" && !cautioned:
		return fmt.Errorf("no caution %q", j.Caution)
	case !slices.Contains(awayWords, j.Away):
		return fmt.Errorf("away: %q is not understood", j.Away)
	case j.Before < 0 || j.After < 0 || j.Late < 0 || j.Every < 0:
		return fmt.Errorf("a window cannot be negative")
	case j.Late > 0 && j.Say == "":
		return fmt.Errorf("it does not say what to do when it is late")
	}
	for _, c := range j.DoneBy {
		if !slices.Contains(closers, c) {
			return fmt.Errorf("done_by: no record is called %q", c)
		}
	}
	return checkClock(j.Clock)
}

func checkClock(text string) error {
	if text == "" {
		return nil
	}
	if m := minutesOf(text); m < 0 || m >= 24*60 {
		return fmt.Errorf("%q is no time of day", text)
	}
	return nil
}

// minutesOf reads a time of day as minutes after midnight; -1 for any time.
func minutesOf(text string) int {
	h, m, ok := strings.Cut(text, ":")
	hour, err1 := strconv.Atoi(h)
	minute, err2 := strconv.Atoi(m)
	if !ok || err1 != nil || err2 != nil {
		return -1
	}
	return 60*hour + minute
}
