package breed

import (
	"embed"
	"encoding/csv"
	"fmt"
	"strconv"
)

//go:embed data/*.csv
var data embed.FS

// row is one line of an embedded table, by column name.
type row struct {
	table  string
	cells  map[string]string
	faults *[]error
}

func readTable(name string, each func(row)) error {
	f, err := data.Open("data/" + name)
	if err != nil {
		return err
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	var faults []error
	for _, line := range lines[1:] {
		cells := map[string]string{}
		for i, column := range lines[0] {
			cells[column] = line[i]
		}
		each(row{name, cells, &faults})
	}
	if len(faults) > 0 {
		return faults[0]
	}
	return nil
}

func (r row) fault(column, want string) {
	*r.faults = append(*r.faults, fmt.Errorf("%s: %s %q is not %s", r.table, column, r.cells[column], want))
}

func (r row) text(column string) string {
	if _, ok := r.cells[column]; !ok {
		r.fault(column, "a column")
	}
	return r.cells[column]
}

// number reads a number; an empty cell is 0, which stands for "not stated".
func (r row) number(column string) float64 {
	cell := r.text(column)
	if cell == "" {
		return 0
	}
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		r.fault(column, "a number")
	}
	return v
}

func (r row) score(column string) int {
	v := r.number(column)
	if v != float64(int(v)) || v < 0 || v > 3 {
		r.fault(column, "a mark of 0 to 3")
	}
	return int(v)
}

func (r row) size(column string) int {
	switch r.text(column) {
	case "small":
		return 1
	case "medium":
		return 2
	case "large":
		return 3
	}
	r.fault(column, "small, medium or large")
	return 0
}

func (r row) yes(column string) bool {
	switch r.text(column) {
	case "yes":
		return true
	case "no":
		return false
	}
	r.fault(column, "yes or no")
	return false
}
