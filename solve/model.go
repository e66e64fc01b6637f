package solve

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"sync"
)

// Col names a column of one model, Row a row; both count from zero in the order
// in which they were made.
type (
	Col int32
	Row int32
)

// Model collects a programme, always to be minimised. It may be changed and
// solved again; changes of cost, bounds and row limits are cheap to solve again
// in a Session. One goroutine at a time may change it, and none while it is
// being solved.
type Model struct {
	name    string
	columns []column
	rows    []row
	entries []entry
	offset  float64
	wholes  int
	shape   int   // counts changes of columns, rows and coefficients
	fault   error // the first coefficient for a column or row that does not exist

	mu     sync.Mutex
	matrix *matrix // of the present shape, or nil
}

type column struct {
	name         string
	cost, lo, hi float64
	whole        bool
}

type row struct {
	name   string
	lo, hi float64
}

type entry struct {
	row   Row
	col   Col
	value float64
}

// NewModel begins an empty programme; the name appears in the exported file.
func NewModel(name string) *Model { return &Model{name: name} }

// Column adds a column that may take any value from lo to hi (math.Inf for
// open ends), with its cost for one unit.
func (m *Model) Column(name string, cost, lo, hi float64) Col {
	m.changeShape()
	m.columns = append(m.columns, column{name, cost, lo, hi, false})
	return Col(len(m.columns) - 1)
}

// Whole adds a column that takes whole numbers only.
func (m *Model) Whole(name string, cost, lo, hi float64) Col {
	c := m.Column(name, cost, lo, hi)
	m.columns[c].whole = true
	m.wholes++
	return c
}

// Row adds a row whose sum must lie from lo to hi; give math.Inf for an open
// side and the same number twice for an equation.
func (m *Model) Row(name string, lo, hi float64) Row {
	m.changeShape()
	m.rows = append(m.rows, row{name, lo, hi})
	return Row(len(m.rows) - 1)
}

// Add adds the coefficient of column c in row r. Calls for the same place add
// up.
func (m *Model) Add(r Row, c Col, coefficient float64) {
	if r < 0 || int(r) >= len(m.rows) || c < 0 || int(c) >= len(m.columns) {
		m.fault = cmp.Or(m.fault, fmt.Errorf("the programme %q has a coefficient for row %d and column %d, which do not both exist", m.name, r, c))
		return
	}
	m.changeShape()
	m.entries = append(m.entries, entry{r, c, coefficient})
}

// SetCost replaces the cost of one unit of the column.
func (m *Model) SetCost(c Col, cost float64) { m.columns[c].cost = cost }

// AddCost adds to the cost of one unit of the column.
func (m *Model) AddCost(c Col, cost float64) { m.columns[c].cost += cost }

// SetBounds replaces the bounds of the column.
func (m *Model) SetBounds(c Col, lo, hi float64) { m.columns[c].lo, m.columns[c].hi = lo, hi }

// SetRowBounds replaces the limits of the row.
func (m *Model) SetRowBounds(r Row, lo, hi float64) { m.rows[r].lo, m.rows[r].hi = lo, hi }

// Offset adds a constant to the cost of every answer.
func (m *Model) Offset(cost float64) { m.offset += cost }

// FixWholes pins every whole column at its value in x, which turns the
// programme into a linear one whose dual values mean something.
func (m *Model) FixWholes(x []float64) {
	for j := range m.columns {
		if m.columns[j].whole {
			v := math.Round(x[j])
			m.columns[j].lo, m.columns[j].hi = v, v
		}
	}
}

// SetWhole makes a column take whole numbers only, or fractions too.
func (m *Model) SetWhole(c Col, whole bool) {
	if m.columns[c].whole == whole {
		return
	}
	m.changeShape()
	m.columns[c].whole = whole
	if whole {
		m.wholes++
	} else {
		m.wholes--
	}
}

// KeepWhole lets every whole column for which keep is false take fractions.
// What is left is a relaxation: its bound holds for the whole programme too.
func (m *Model) KeepWhole(keep func(c Col) bool) {
	for j := range m.columns {
		if m.columns[j].whole && !keep(Col(j)) {
			m.SetWhole(Col(j), false)
		}
	}
}

// Clone copies the model, so that a variant can be changed on its own.
func (m *Model) Clone() *Model {
	return &Model{name: m.name, columns: slices.Clone(m.columns), rows: slices.Clone(m.rows),
		entries: slices.Clone(m.entries), offset: m.offset, wholes: m.wholes, fault: m.fault}
}

// Name is the name given to NewModel.
func (m *Model) Name() string { return m.name }

// Columns is the number of columns.
func (m *Model) Columns() int { return len(m.columns) }

// Rows is the number of rows.
func (m *Model) Rows() int { return len(m.rows) }

// Wholes is the number of whole-number columns.
func (m *Model) Wholes() int { return m.wholes }

// NonZeros is the number of coefficients after adding up and rounding.
func (m *Model) NonZeros() int { return len(m.shaped().Value) }

// ColName is the column's name as given.
func (m *Model) ColName(c Col) string { return m.columns[c].name }

// RowName is the row's name as given.
func (m *Model) RowName(r Row) string { return m.rows[r].name }

// Bounds are the column's bounds as given.
func (m *Model) Bounds(c Col) (lo, hi float64) { return m.columns[c].lo, m.columns[c].hi }

// RowBounds are the row's limits as given.
func (m *Model) RowBounds(r Row) (lo, hi float64) { return m.rows[r].lo, m.rows[r].hi }

// Cost is the column's cost for one unit as given.
func (m *Model) Cost(c Col) float64 { return m.columns[c].cost }

// IsWhole reports whether the column takes whole numbers only.
func (m *Model) IsWhole(c Col) bool { return m.columns[c].whole }

func (m *Model) changeShape() {
	m.shape++
	m.matrix = nil
}

// significantDigits is how much of a number reaches a solver. The last bits of
// exp, log and sin differ between kinds of computer; a plan must not.
const significantDigits = 6

// rounded keeps six significant digits, by way of the decimal text: the result
// is the number nearest to that text, the same everywhere. Whole numbers stay
// as they are.
func rounded(x float64) float64 {
	if x == math.Trunc(x) || math.IsInf(x, 0) || math.IsNaN(x) {
		return x
	}
	var text [32]byte
	y, err := strconv.ParseFloat(string(strconv.AppendFloat(text[:0], x, 'e', significantDigits-1, 64)), 64)
	if err != nil {
		return x
	}
	return y
}
