package solve

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/experimental"
)

// Engine is the solver, compiled to machine code and ready. One for each
// process is enough; all its methods may be called at the same time.
type Engine struct {
	rt       wazero.Runtime
	code     wazero.CompiledModule
	names    abi
	cacheDir string
	child    []string // command line of the child, if long solves go there
}

// memoryPages is the most memory one solve may take: 320 MiB, so that a small
// computer keeps the rest.
const memoryPages = 320 << 20 / pageBytes

// DefaultCacheDir is where the machine code is kept from one start to the
// next; empty when this user has no cache folder, and then it is not kept.
func DefaultCacheDir() string {
	dir, err := os.UserCacheDir()
	if err != nil {
		return ""
	}
	return filepath.Join(dir, "henyear", "solver")
}

// Open compiles the solver: some seconds the first time, a fifth of a second
// when the machine code is found in cacheDir. An empty cacheDir, or one that
// cannot be written, costs only that time. The error is ErrNotBuilt when the
// program carries no solver.
func Open(ctx context.Context, cacheDir string) (*Engine, error) {
	wasm, names, err := solverCode()
	if err != nil {
		return nil, err
	}
	e, err := compile(ctx, wasm, names, cacheDir, memoryPages)
	if err != nil && cacheDir != "" && ctx.Err() == nil {
		e, err = compile(ctx, wasm, names, "", memoryPages) // the cache may be damaged or read-only
	}
	if err != nil {
		return nil, fmt.Errorf("the solver could not be made ready: %w", err)
	}
	return e, nil
}

func compile(ctx context.Context, wasm []byte, names abi, cacheDir string, pages uint32) (*Engine, error) {
	// A machine-code compiler on amd64 and arm64, an interpreter elsewhere.
	config := wazero.NewRuntimeConfig().WithMemoryLimitPages(pages)
	if cacheDir != "" {
		cache, err := wazero.NewCompilationCacheWithDir(cacheDir)
		if err != nil {
			return nil, err
		}
		config = config.WithCompilationCache(cache)
	}
	e := &Engine{rt: wazero.NewRuntimeWithConfig(ctx, config), names: names, cacheDir: cacheDir}
	err := hostModule(ctx, e.rt, names)
	if err == nil {
		e.code, err = e.rt.CompileModule(experimental.WithCompilationWorkers(ctx, runtime.GOMAXPROCS(0)), wasm)
	}
	if err != nil {
		e.rt.Close(context.WithoutCancel(ctx))
		return nil, err
	}
	return e, nil
}

// UseChild sends long solves to a child process, so that they can be ended at
// their hard limit without mercy. argv is the command line of a program whose
// whole work is ChildMain: this program with a hidden command. Call it before
// the first Solve.
func (e *Engine) UseChild(argv ...string) { e.child = argv }

// Close frees the compiled code. No solve may be running.
func (e *Engine) Close(ctx context.Context) error { return e.rt.Close(ctx) }

// Pending is an engine that is being made ready in the background.
type Pending struct {
	done   chan struct{}
	engine *Engine
	err    error
}

// Prepare starts Open in the background and returns at once.
func Prepare(cacheDir string) *Pending {
	p := &Pending{done: make(chan struct{})}
	go func() {
		defer close(p.done)
		p.engine, p.err = Open(context.Background(), cacheDir)
	}()
	return p
}

// Ready reports whether Wait would return at once.
func (p *Pending) Ready() bool {
	select {
	case <-p.done:
		return true
	default:
		return false
	}
}

// Wait returns the engine once it is ready, or the error of Open, or the
// context's when that ends first.
func (p *Pending) Wait(ctx context.Context) (*Engine, error) {
	select {
	case <-p.done:
		return p.engine, p.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}
