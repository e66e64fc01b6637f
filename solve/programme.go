package solve

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// matrix is the shape of a frozen programme: coefficients by column, each
// column's rows in rising order, as the solver takes them.
type matrix struct {
	Start []int32 // Columns+1 of them
	Index []int32
	Value []float64
	Whole []bool
	Rows  int
	Mixed bool // some column is whole
}

// programme is a model frozen for solving: rounded, sorted, free of names, and
// safe to send to another process.
type programme struct {
	Matrix       *matrix
	Offset       float64
	Cost         []float64
	ColLo, ColHi []float64
	RowLo, RowHi []float64

	model *Model // for names in messages; nil in a child process
	shape int
}

// relaxed is the same programme with every column free to take fractions.
func (p *programme) relaxed() *programme {
	q, x := *p, *p.Matrix
	x.Whole, x.Mixed = make([]bool, len(x.Whole)), false
	q.Matrix = &x
	return &q
}

func (m *Model) shaped() *matrix {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.matrix == nil {
		m.matrix = m.sortEntries()
	}
	return m.matrix
}

func (m *Model) sortEntries() *matrix {
	sorted := slices.Clone(m.entries)
	// Stable: numbers for one place are always added up in the order given.
	slices.SortStableFunc(sorted, func(a, b entry) int {
		return cmp.Or(cmp.Compare(a.col, b.col), cmp.Compare(a.row, b.row))
	})
	x := &matrix{Start: make([]int32, 1, len(m.columns)+1), Whole: make([]bool, len(m.columns)), Rows: len(m.rows), Mixed: m.wholes > 0}
	next := 0
	for j := range m.columns {
		for next < len(sorted) && int(sorted[next].col) == j {
			at, sum := sorted[next].row, 0.0
			for next < len(sorted) && int(sorted[next].col) == j && sorted[next].row == at {
				sum += sorted[next].value
				next++
			}
			if v := rounded(sum); v != 0 {
				x.Index, x.Value = append(x.Index, int32(at)), append(x.Value, v)
			}
		}
		x.Start = append(x.Start, int32(len(x.Value)))
		x.Whole[j] = m.columns[j].whole
	}
	return x
}

// freeze rounds and checks the model. Errors name the column or row that holds
// a figure no programme can have.
func (m *Model) freeze() (*programme, error) {
	if m.fault != nil {
		return nil, m.fault
	}
	if len(m.columns) == 0 {
		return nil, fmt.Errorf("the programme %q has no columns, so there is nothing to choose", m.name)
	}
	p := &programme{Matrix: m.shaped(), Offset: rounded(m.offset), model: m, shape: m.shape}
	for _, c := range m.columns {
		p.Cost = append(p.Cost, rounded(c.cost))
		p.ColLo, p.ColHi = append(p.ColLo, rounded(c.lo)), append(p.ColHi, rounded(c.hi))
	}
	for _, r := range m.rows {
		p.RowLo, p.RowHi = append(p.RowLo, rounded(r.lo)), append(p.RowHi, rounded(r.hi))
	}
	return p, p.sound()
}

// sound looks for figures that would confuse a solver.
func (p *programme) sound() error {
	if math.IsNaN(p.Offset) || math.IsInf(p.Offset, 0) {
		return errors.New("the constant cost of the programme is not a number")
	}
	for j, c := range p.Cost {
		if math.IsNaN(c) || math.IsInf(c, 0) || math.IsNaN(p.ColLo[j]) || math.IsNaN(p.ColHi[j]) {
			return fmt.Errorf("%s has a cost or bound that is not a number", p.columnName(j))
		}
	}
	for i := range p.RowLo {
		if math.IsNaN(p.RowLo[i]) || math.IsNaN(p.RowHi[i]) {
			return fmt.Errorf("%s has a limit that is not a number", p.rowName(i))
		}
	}
	for j := range p.Cost {
		for k := p.Matrix.Start[j]; k < p.Matrix.Start[j+1]; k++ {
			if v := p.Matrix.Value[k]; math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("the coefficient of %s in %s is not a number", p.columnName(j), p.rowName(int(p.Matrix.Index[k])))
			}
		}
	}
	return nil
}

// contradiction finds a column or row whose own limits exclude each other; such
// a programme has no answer, whatever a solver says.
func (p *programme) contradiction() string {
	for j := range p.Cost {
		lo, hi := p.ColLo[j], p.ColHi[j]
		if p.Matrix.Whole[j] {
			lo, hi = math.Ceil(lo-wholeTolerance), math.Floor(hi+wholeTolerance)
		}
		if lo > hi || math.IsInf(lo, 1) || math.IsInf(hi, -1) {
			return fmt.Sprintf("%s cannot be from %g to %g", p.columnName(j), p.ColLo[j], p.ColHi[j])
		}
	}
	for i := range p.RowLo {
		if p.RowLo[i] > p.RowHi[i] || math.IsInf(p.RowLo[i], 1) || math.IsInf(p.RowHi[i], -1) {
			return fmt.Sprintf("%s cannot be from %g to %g", p.rowName(i), p.RowLo[i], p.RowHi[i])
		}
	}
	return ""
}

func (p *programme) columnName(j int) string {
	if p.model != nil && p.model.columns[j].name != "" {
		return fmt.Sprintf("column %q", p.model.columns[j].name)
	}
	return fmt.Sprintf("column %d", j)
}

func (p *programme) rowName(i int) string {
	if p.model != nil && i >= 0 && i < len(p.model.rows) && p.model.rows[i].name != "" {
		return fmt.Sprintf("row %q", p.model.rows[i].name)
	}
	return fmt.Sprintf("row %d", i)
}

func (p *programme) activity(x []float64) []float64 {
	sums := make([]float64, len(p.RowLo))
	for j, v := range x {
		if v == 0 {
			continue
		}
		for k := p.Matrix.Start[j]; k < p.Matrix.Start[j+1]; k++ {
			sums[p.Matrix.Index[k]] += p.Matrix.Value[k] * v
		}
	}
	return sums
}

func (p *programme) objective(x []float64) float64 {
	sum := p.Offset
	for j, v := range x {
		sum += p.Cost[j] * v
	}
	return sum
}
