package source

import (
	"encoding/csv"
	"fmt"
	"io/fs"
	"math"
	"strconv"
	"strings"
)

// A Check holds one published value against what the program computes.
type Check struct {
	Room      string  `json:"room"`
	ID        string  `json:"id"`
	What      string  `json:"what"`
	Unit      string  `json:"unit"`
	Published float64 `json:"published"`
	Computed  float64 `json:"computed"`
	Tolerance float64 `json:"tolerance"`
	Source    string  `json:"source"` // key in the bibliography
	Note      string  `json:"note,omitempty"`
}

// Deviation is computed less published.
func (c Check) Deviation() float64 { return c.Computed - c.Published }

// Pass reports whether the deviation is within the tolerance.
func (c Check) Pass() bool { return math.Abs(c.Deviation()) <= c.Tolerance*(1+1e-12) }

// Inputs are the conditions under which a published value holds, written in the
// table as name=value pairs separated by blanks.
type Inputs map[string]string

// Float reads a number; a missing or unreadable one is a fault in the table and
// panics with the name.
func (in Inputs) Float(name string) float64 {
	v, err := strconv.ParseFloat(in[name], 64)
	if err != nil {
		panic(fmt.Sprintf("input %q: %q is not a number", name, in[name]))
	}
	return v
}

// Model computes the value that a published one is held against.
type Model func(in Inputs) float64

// ReadChecks reads every CSV below dir (columns id, model, inputs, what, unit,
// published, tolerance, source, note), computes each row with the model it
// names, and returns them in file order. An unknown model or source key is an
// error: a check that cannot run must not look like one that passed.
func ReadChecks(room string, files fs.FS, dir string, models map[string]Model) ([]Check, error) {
	names, err := fs.Glob(files, dir+"/*.csv")
	if err != nil {
		return nil, err
	}
	var checks []Check
	for _, name := range names {
		f, err := files.Open(name)
		if err != nil {
			return nil, err
		}
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		for i, row := range rows[1:] {
			at := fmt.Sprintf("%s line %d (%s)", name, i+2, row[0])
			model, ok := models[row[1]]
			if !ok {
				return nil, fmt.Errorf("%s: no model %q", at, row[1])
			}
			if _, ok := Lookup(row[7]); !ok {
				return nil, fmt.Errorf("%s: no source %q", at, row[7])
			}
			published, err1 := strconv.ParseFloat(row[5], 64)
			tolerance, err2 := strconv.ParseFloat(row[6], 64)
			if err1 != nil || err2 != nil {
				return nil, fmt.Errorf("%s: published value or tolerance is not a number", at)
			}
			in := Inputs{}
			for _, pair := range strings.Fields(row[2]) {
				k, v, found := strings.Cut(pair, "=")
				if !found {
					return nil, fmt.Errorf("%s: input %q is not name=value", at, pair)
				}
				in[k] = v
			}
			checks = append(checks, Check{Room: room, ID: row[0], What: row[3], Unit: row[4],
				Published: published, Computed: model(in), Tolerance: tolerance, Source: row[7], Note: row[8]})
		}
	}
	return checks, nil
}
