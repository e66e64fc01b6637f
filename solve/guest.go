package solve

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
	"github.com/tetratelabs/wazero/experimental"
)

// guest is one running copy of the solver with its own memory: a thin cover
// over HiGHS's C interface. The first error stays in err and later calls do
// nothing, so a sequence of calls needs one look at err at its end. After an
// error the guest must be thrown away.
type guest struct {
	ctx       context.Context
	module    api.Module
	names     abi
	functions map[string]api.Function
	world     *world
	highs     uint64 // the solver object
	options   map[string]any
	strings   map[string]uint64 // option names already in the guest's memory
	err       error

	// What is loaded, to tell a changed bound from a new programme.
	model *Model
	shape int
	mixed bool
}

func (e *Engine) newGuest() (*guest, error) {
	w := newWorld()
	// The guest must not be torn down in the middle of a call by a context:
	// stopping goes through the world's clock.
	ctx := context.WithValue(context.Background(), worldKey{}, w)
	ctx = experimental.WithMemoryAllocator(ctx, experimental.MemoryAllocatorFunc(reserve))
	module, err := e.rt.InstantiateModule(ctx, e.code, wazero.NewModuleConfig().WithName("").WithStartFunctions())
	if err != nil {
		return nil, fmt.Errorf("the solver could not start: %w", err)
	}
	g := &guest{ctx: ctx, module: module, names: e.names, functions: map[string]api.Function{}, world: w,
		options: map[string]any{}, strings: map[string]uint64{}}
	if _, err := module.ExportedFunction(e.names.Init).Call(ctx); err != nil {
		g.close()
		return nil, fmt.Errorf("the solver could not start: %w", g.plain(err))
	}
	g.highs = g.call("Highs_create")
	g.set("log_to_console", true)
	if g.err != nil {
		g.close()
		return nil, g.err
	}
	return g, nil
}

func (g *guest) close() { g.module.Close(g.ctx) }

func (g *guest) memoryMiB() float64 { return float64(g.module.Memory().Size()) / (1 << 20) }

// plain turns an error of the runtime, which carries a stack of the guest's
// functions, into a sentence. Whatever way the solver ends after it was refused
// memory, that is why.
func (g *guest) plain(err error) error {
	if g.world.full && !errors.Is(err, errCut) {
		return errMemory
	}
	for _, known := range []error{errCut, errMemory, errThrown, errAborted} {
		if errors.Is(err, known) {
			return known
		}
	}
	first, _, _ := strings.Cut(err.Error(), "\n")
	return fmt.Errorf("%w (%s)", errAborted, first)
}

func (g *guest) call(name string, args ...uint64) uint64 {
	if g.err != nil {
		return 0
	}
	f := g.functions[name]
	if f == nil {
		if f = g.module.ExportedFunction(g.names.Exports[name]); f == nil {
			g.err = fmt.Errorf("the solver has no function %s; run `make build` again", name)
			return 0
		}
		g.functions[name] = f
	}
	results, err := f.Call(g.ctx, args...)
	if err != nil {
		g.err = g.plain(err)
		return 0
	}
	if len(results) == 0 {
		return 0
	}
	return results[0]
}

// must is a call that returns one of HiGHS's statuses: -1 error, 0 fine, 1
// warning.
func (g *guest) must(name string, args ...uint64) {
	if status := int32(g.call(name, args...)); g.err == nil && status < 0 {
		g.err = fmt.Errorf("the solver refused the programme (%s)", name)
	}
}

// allocate returns the address of n bytes in the guest's memory.
func (g *guest) allocate(n int) uint64 {
	p := g.call("malloc", uint64(max(n, 8)))
	if p == 0 && g.err == nil {
		g.err = errMemory
	}
	return p
}

func (g *guest) free(addresses ...uint64) {
	for _, p := range addresses {
		g.call("free", p)
	}
}

func (g *guest) put(b []byte) uint64 {
	p := g.allocate(len(b))
	if g.err == nil && !g.module.Memory().Write(uint32(p), b) {
		g.err = errMemory
	}
	return p
}

func (g *guest) putFloats(values []float64) uint64 {
	b := make([]byte, 0, 8*len(values))
	for _, v := range values {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
	}
	return g.put(b)
}

func (g *guest) putInts(values []int32) uint64 {
	b := make([]byte, 0, 4*len(values))
	for _, v := range values {
		b = binary.LittleEndian.AppendUint32(b, uint32(v))
	}
	return g.put(b)
}

func (g *guest) floats(p uint64, n int) []float64 {
	if g.err != nil {
		return nil
	}
	b, ok := g.module.Memory().Read(uint32(p), uint32(8*n))
	if !ok {
		g.err = errAborted
		return nil
	}
	values := make([]float64, n)
	for i := range values {
		values[i] = math.Float64frombits(binary.LittleEndian.Uint64(b[8*i:]))
	}
	return values
}

// word returns the address of a name in the guest's memory, written once.
func (g *guest) word(name string) uint64 {
	p, ok := g.strings[name]
	if !ok {
		p = g.put(append([]byte(name), 0))
		g.strings[name] = p
	}
	return p
}

// set gives the solver one of its options, unless it has that value already.
func (g *guest) set(name string, value any) {
	if have, ok := g.options[name]; ok && have == value {
		return
	}
	g.options[name] = value
	key := g.word(name)
	switch v := value.(type) {
	case bool:
		number := uint64(0)
		if v {
			number = 1
		}
		g.must("Highs_setBoolOptionValue", g.highs, key, number)
	case int32:
		g.must("Highs_setIntOptionValue", g.highs, key, uint64(uint32(v)))
	case float64:
		g.must("Highs_setDoubleOptionValue", g.highs, key, math.Float64bits(v))
	case string:
		g.must("Highs_setStringOptionValue", g.highs, key, g.word(v))
	default:
		g.err = fmt.Errorf("option %s has a value of an unknown kind", name)
	}
}

// info reads one 8-byte figure of the last run.
func (g *guest) info(function, name string) uint64 {
	p := g.allocate(8)
	g.call(function, g.highs, g.word(name), p)
	defer g.free(p)
	if g.err != nil {
		return 0
	}
	v, _ := g.module.Memory().ReadUint64Le(uint32(p))
	return v
}

// load hands a programme over, or only its changed figures when its shape is
// the one loaded; then a linear programme goes on from its last basis.
func (g *guest) load(p *programme) {
	if p.model != nil && g.model == p.model && g.shape == p.shape && g.mixed == p.Matrix.Mixed {
		g.reload(p)
		return
	}
	x := p.Matrix
	given := []uint64{g.putFloats(p.Cost), g.putFloats(p.ColLo), g.putFloats(p.ColHi), g.putFloats(p.RowLo), g.putFloats(p.RowHi),
		g.putInts(x.Start), g.putInts(x.Index), g.putFloats(x.Value)}
	const byColumns, minimise = 1, 1
	args := append([]uint64{g.highs, uint64(len(p.Cost)), uint64(len(p.RowLo)), uint64(len(x.Value)), byColumns, minimise,
		math.Float64bits(p.Offset)}, given...)
	if x.Mixed {
		kinds := make([]int32, len(x.Whole))
		for j, whole := range x.Whole {
			if whole {
				kinds[j] = 1
			}
		}
		at := g.putInts(kinds)
		g.must("Highs_passMip", append(args, at)...)
		given = append(given, at)
	} else {
		g.must("Highs_passLp", args...)
	}
	g.free(given...)
	g.model, g.shape, g.mixed = p.model, p.shape, x.Mixed
}

func (g *guest) reload(p *programme) {
	last := func(n int) uint64 { return uint64(uint32(n - 1)) }
	given := []uint64{g.putFloats(p.Cost), g.putFloats(p.ColLo), g.putFloats(p.ColHi), g.putFloats(p.RowLo), g.putFloats(p.RowHi)}
	g.must("Highs_changeColsCostByRange", g.highs, 0, last(len(p.Cost)), given[0])
	g.must("Highs_changeColsBoundsByRange", g.highs, 0, last(len(p.Cost)), given[1], given[2])
	if len(p.RowLo) > 0 {
		g.must("Highs_changeRowsBoundsByRange", g.highs, 0, last(len(p.RowLo)), given[3], given[4])
	}
	g.must("Highs_changeObjectiveOffset", g.highs, math.Float64bits(p.Offset))
	g.free(given...)
}

// begin hands over an answer to start from, whole or in part.
func (g *guest) begin(start []float64) {
	var at []int32
	var known []float64
	for j, v := range start {
		if !math.IsNaN(v) {
			at, known = append(at, int32(j)), append(known, v)
		}
	}
	switch {
	case len(known) == 0:
	case len(known) == len(start):
		p := g.putFloats(start)
		g.call("Highs_setSolution", g.highs, p, 0, 0, 0)
		g.free(p)
	default:
		indices, values := g.putInts(at), g.putFloats(known)
		g.call("Highs_setSparseSolution", g.highs, uint64(len(known)), indices, values)
		g.free(indices, values)
	}
}

// answer is what the solver says after a run, unchecked.
type answer struct {
	Code            int32 // HiGHS's model status
	X               []float64
	RowDual         []float64
	ColDual         []float64
	Bound           float64
	HasDual, HasX   bool
	Nodes           int64
	MemoryMiB       float64
	Overran         bool
	Contradictory   bool // found here, before the solver was asked
	UnboundedProven bool
}

func (g *guest) read(p *programme) answer {
	const feasiblePoint = 2
	columns, rows := len(p.Cost), len(p.RowLo)
	at := []uint64{g.allocate(8 * columns), g.allocate(8 * columns), g.allocate(8 * rows), g.allocate(8 * rows)}
	g.call("Highs_getSolution", g.highs, at[0], at[1], at[2], at[3])
	a := answer{
		Code:      int32(g.call("Highs_getModelStatus", g.highs)),
		X:         g.floats(at[0], columns),
		ColDual:   g.floats(at[1], columns),
		RowDual:   g.floats(at[3], rows),
		Bound:     math.Inf(-1),
		HasX:      uint32(g.info("Highs_getIntInfoValue", "primal_solution_status")) == feasiblePoint,
		HasDual:   uint32(g.info("Highs_getIntInfoValue", "dual_solution_status")) == feasiblePoint,
		MemoryMiB: g.memoryMiB(),
	}
	if p.Matrix.Mixed {
		a.Bound = math.Float64frombits(g.info("Highs_getDoubleInfoValue", "mip_dual_bound"))
		a.Nodes = int64(g.info("Highs_getInt64InfoValue", "mip_node_count"))
	}
	g.free(at...)
	return a
}
