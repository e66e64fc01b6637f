package solve

import (
	"context"
	"errors"
	"fmt"
	"io"
	"sync/atomic"
	"time"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
)

// world is all that the compiled solver sees of the machine it runs on: a
// clock, a folder in memory, and two places to write to. It has no other way
// out: no disk, no network.
type world struct {
	start time.Time
	// jump is added to the clock. Moving it far ahead makes the solver meet its
	// own time limit, stop in good order and hand over its best answer.
	jump atomic.Int64
	// cut, once set, ends the guest at its next look at the clock.
	cut   atomic.Bool
	files map[string][]byte
	open  map[int32]*openFile
	next  int32
	full  bool // more memory was asked for than there is
	// The solver's messages and its better answers are not kept but read as
	// they are written.
	console, better io.Writer
}

type openFile struct {
	name string
	pos  int64
}

// betterFile is the name under which the solver writes each better answer.
const betterFile = "better.sol"

func newWorld() *world {
	return &world{start: time.Now(), files: map[string][]byte{}, open: map[int32]*openFile{}, next: 3,
		console: io.Discard, better: io.Discard}
}

func (w *world) now() time.Duration {
	if w.cut.Load() {
		panic(errCut)
	}
	return time.Since(w.start) + time.Duration(w.jump.Load())
}

// aLongTime is further than any time limit given to the solver.
const aLongTime = 10_000 * time.Hour

// hurry makes the solver meet its time limit.
func (w *world) hurry() { w.jump.Add(int64(aLongTime)) }

// Faults of the guest; they travel through wazero as panics and come back as
// errors of the call.
var (
	errCut     = errors.New("the solver was cut off because it did not stop when asked")
	errMemory  = errors.New("the programme needs more memory than the solver may use; plan a shorter time or fewer choices")
	errThrown  = errors.New("the solver met an internal error and gave up on this programme; please try again with another limit or seed")
	errAborted = errors.New("the solver stopped itself on this programme, which is a fault of the solver")
)

type worldKey struct{}

func worldOf(ctx context.Context) *world { return ctx.Value(worldKey{}).(*world) }

// Error numbers as the guest's C library knows them.
const (
	errnoBadFile  = 8
	errnoInvalid  = 28
	errnoNotFound = 44
)

// hostModule offers the functions that the solver imports, each under the
// short name that this build gave it.
func hostModule(ctx context.Context, rt wazero.Runtime, names abi) error {
	b := rt.NewHostModuleBuilder(names.Module)
	for name, short := range names.Imports {
		fn, ok := hostFunctions[name]
		if !ok {
			return fmt.Errorf("the solver asks for a function %q that this program does not offer", name)
		}
		b.NewFunctionBuilder().WithFunc(fn).WithName(name).Export(short)
	}
	_, err := b.Instantiate(ctx)
	return err
}

var hostFunctions = map[string]any{
	"cxa_throw": cxaThrow,
	"abort_js":  func() { panic(errAborted) },
	"exit":      func(int32) { panic(errAborted) },
	"proc_exit": func(int32) { panic(errAborted) },

	"emscripten_runtime_keepalive_clear": func() {},
	"setitimer_js":                       func(int32, float64) int32 { return 0 },
	"tzset_js":                           tzset,
	"emscripten_date_now":                func(ctx context.Context) float64 { return float64(worldOf(ctx).now().Microseconds()) / 1e3 },
	"emscripten_get_now":                 func(ctx context.Context) float64 { return float64(worldOf(ctx).now().Nanoseconds()) / 1e6 },
	"clock_time_get": func(ctx context.Context, m api.Module, _ int32, _ int64, p uint32) int32 {
		m.Memory().WriteUint64Le(p, uint64(worldOf(ctx).now()))
		return 0
	},
	"emscripten_resize_heap": resizeHeap,
	"environ_get":            func(int32, int32) int32 { return 0 },
	"environ_sizes_get": func(_ context.Context, m api.Module, count, size uint32) int32 {
		m.Memory().WriteUint32Le(count, 0)
		m.Memory().WriteUint32Le(size, 0)
		return 0
	},
	"syscall_fcntl64": func(int32, int32, int32) int32 { return 0 },
	// Every file claims to be a terminal, for then the C library writes it line
	// by line, and a better answer reaches us when it is found.
	"syscall_ioctl":  func(int32, int32, int32) int32 { return 0 },
	"syscall_openat": openAt,
	"fd_close":       func(ctx context.Context, fd int32) int32 { delete(worldOf(ctx).open, fd); return 0 },
	"fd_read":        fdRead,
	"fd_write":       fdWrite,
	"fd_seek":        fdSeek,
}

// cxaThrow ends the call: this build has no way to catch C++ exceptions.
func cxaThrow(int32, int32, int32) { panic(errThrown) }

func tzset(_ context.Context, m api.Module, zone, summer, standardName, summerName uint32) {
	m.Memory().WriteUint32Le(zone, 0)
	m.Memory().WriteUint32Le(summer, 0)
	m.Memory().Write(standardName, []byte("UTC\x00"))
	m.Memory().Write(summerName, []byte("UTC\x00"))
}

const pageBytes = 65536

// resizeHeap grows the guest's memory by a fifth at least, so that it happens
// seldom, for the runtime copies all of it each time.
func resizeHeap(ctx context.Context, m api.Module, want uint32) int32 {
	have := m.Memory().Size()
	if want <= have {
		return 1
	}
	for _, target := range []uint64{max(uint64(want), uint64(have)+uint64(have)/5), uint64(want)} {
		pages := (target - uint64(have) + pageBytes - 1) / pageBytes
		if _, ok := m.Memory().Grow(uint32(pages)); ok {
			return 1
		}
	}
	worldOf(ctx).full = true
	return 0
}

// text reads a zero-ended string of at most 4096 bytes.
func text(m api.Memory, p uint32) string {
	for n := uint32(0); n < 4096; n++ {
		if b, ok := m.ReadByte(p + n); !ok || b == 0 {
			s, _ := m.Read(p, n)
			return string(s)
		}
	}
	return ""
}

func openAt(ctx context.Context, m api.Module, _ int32, path uint32, flags, _ int32) int32 {
	const create, truncate = 64, 512
	w, name := worldOf(ctx), text(m.Memory(), path)
	if _, exists := w.files[name]; !exists && flags&create == 0 {
		return -errnoNotFound
	} else if !exists || flags&truncate != 0 {
		w.files[name] = nil
	}
	fd := w.next
	w.next++
	w.open[fd] = &openFile{name: name}
	return fd
}

// eachVector calls use for each buffer of a scattered read or write until it
// returns less than it was given; the sum goes to where total points.
func eachVector(m api.Memory, vectors, count, total uint32, use func([]byte) int) {
	sum := 0
	for i := range count {
		p, _ := m.ReadUint32Le(vectors + 8*i)
		n, _ := m.ReadUint32Le(vectors + 8*i + 4)
		buffer, ok := m.Read(p, n)
		if !ok {
			break
		}
		used := use(buffer)
		sum += used
		if used < len(buffer) {
			break
		}
	}
	m.WriteUint32Le(total, uint32(sum))
}

func fdRead(ctx context.Context, m api.Module, fd int32, vectors, count, total uint32) int32 {
	w := worldOf(ctx)
	f := w.open[fd]
	if f == nil {
		return errnoBadFile
	}
	eachVector(m.Memory(), vectors, count, total, func(buffer []byte) int {
		data := w.files[f.name]
		n := copy(buffer, data[min(f.pos, int64(len(data))):])
		f.pos += int64(n)
		return n
	})
	return 0
}

func fdWrite(ctx context.Context, m api.Module, fd int32, vectors, count, total uint32) int32 {
	w := worldOf(ctx)
	f := w.open[fd]
	if f == nil && fd != 1 && fd != 2 {
		return errnoBadFile
	}
	eachVector(m.Memory(), vectors, count, total, func(buffer []byte) int {
		switch {
		case f == nil:
			w.console.Write(buffer)
		case f.name == betterFile:
			w.better.Write(buffer)
		default:
			data := w.files[f.name]
			w.files[f.name] = append(data[:min(f.pos, int64(len(data)))], buffer...)
			f.pos += int64(len(buffer))
		}
		return len(buffer)
	})
	return 0
}

func fdSeek(ctx context.Context, m api.Module, fd int32, offset int64, whence int32, result uint32) int32 {
	w := worldOf(ctx)
	f := w.open[fd]
	if f == nil {
		return errnoBadFile
	}
	base := map[int32]int64{0: 0, 1: f.pos, 2: int64(len(w.files[f.name]))}
	from, ok := base[whence]
	if !ok || from+offset < 0 {
		return errnoInvalid
	}
	f.pos = from + offset
	m.Memory().WriteUint64Le(result, uint64(f.pos))
	return 0
}
