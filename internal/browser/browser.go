// Package browser drives one Chromium for the tests of pages: open a page at a
// given size, in light or dark, with or without scripts; read it, click, look
// at it, and ask axe-core whether everyone can use it. It exists so that only
// one package knows the library beneath.
//
// One browser serves a whole test binary; every test opens its own tab.
package browser

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Strict names the environment variable that turns a missing browser or a
// missing axe-core from a skipped test into a failed one.
const Strict = "HENYEAR_CI"

// View is how a page is looked at. Width and Height are CSS pixels.
type View struct {
	Width, Height int
	Dark          bool
	Print         bool
	NoScript      bool
	Scale         float64 // device pixels for a CSS pixel; 0 means 1
}

// The two sizes every page is looked at.
var (
	Phone  = View{Width: 390, Height: 844}
	Laptop = View{Width: 1280, Height: 900}
)

// Find returns the path of a Chromium or Chrome, or an error that says what to
// install.
func Find() (string, error) {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", errors.New("no Chromium found; install one (Debian: apt-get install chromium) to run the tests of pages")
}

var one struct {
	sync.Mutex
	ctx   context.Context
	stop  []context.CancelFunc
	fault error
}

// Close ends the browser. Call it at the end of TestMain; without a browser it
// does nothing.
func Close() {
	one.Lock()
	defer one.Unlock()
	if one.ctx != nil {
		chromedp.Cancel(one.ctx)
	}
	for i := len(one.stop) - 1; i >= 0; i-- {
		one.stop[i]()
	}
	one.ctx, one.stop = nil, nil
}

func start() (context.Context, error) {
	one.Lock()
	defer one.Unlock()
	if one.ctx != nil || one.fault != nil {
		return one.ctx, one.fault
	}
	path, err := Find()
	if err != nil {
		one.fault = err
		return nil, err
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun, chromedp.Headless,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true))
	alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, stop := chromedp.NewContext(alloc)
	one.stop = []context.CancelFunc{stopAlloc, stop}
	if err := chromedp.Do(ctx); err != nil {
		one.fault = fmt.Errorf("the browser at %s did not start: %w", path, err)
		return nil, one.fault
	}
	one.ctx = ctx
	return ctx, nil
}

// A Tab is one open page.
type Tab struct {
	t   testing.TB
	ctx context.Context
}

// Open opens url. Without a browser it skips the test, or fails it where
// HENYEAR_CI is 1. The tab closes with the test.
func Open(t testing.TB, url string, v View) *Tab {
	t.Helper()
	parent, err := start()
	if err != nil {
		missing(t, err)
	}
	ctx, cancel := chromedp.NewContext(parent)
	t.Cleanup(cancel)
	ctx, cancelTime := context.WithTimeout(ctx, time.Minute)
	t.Cleanup(cancelTime)
	tab := &Tab{t, ctx}
	tab.must(chromedp.Do(ctx, prepare(v), chromedp.Navigate(url)))
	return tab
}

func missing(t testing.TB, err error) {
	t.Helper()
	if os.Getenv(Strict) == "1" {
		t.Fatal(err)
	}
	t.Skip(err)
}

func prepare(v View) chromedp.Action[chromedp.Void] {
	scale := v.Scale
	if scale == 0 {
		scale = 1
	}
	size := chromedp.EmulateViewport(int64(v.Width), int64(v.Height), chromedp.EmulateScale(scale))
	media := chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		scheme, medium := "light", ""
		if v.Dark {
			scheme = "dark"
		}
		if v.Print {
			medium = "print"
		}
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: medium,
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: "reduce"}}})
		return err
	})
	script := chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: v.NoScript})
		return err
	})
	return chromedp.Steps(size, media, script)
}

func (tab *Tab) must(err error) {
	tab.t.Helper()
	if err != nil {
		tab.t.Fatal(err)
	}
}

// Go opens another page in the same tab.
func (tab *Tab) Go(url string) {
	tab.t.Helper()
	tab.must(chromedp.Do(tab.ctx, chromedp.Navigate(url)))
}

// Click clicks the first element that the CSS selector finds. A page may put a new
// part in the place of the one that was found; then the new one is looked for.
func (tab *Tab) Click(selector string) {
	tab.t.Helper()
	var err error
	for range 3 {
		err = chromedp.Do(tab.ctx, chromedp.Click(chromedp.CSS(selector)))
		if err == nil || !strings.Contains(err.Error(), "Could not find node") {
			break
		}
	}
	tab.must(err)
}

// Type sets the value of a field.
func (tab *Tab) Type(selector, value string) {
	tab.t.Helper()
	tab.must(chromedp.Do(tab.ctx, chromedp.SetValue(chromedp.CSS(selector), value)))
}

// ArrowRight is the key that Press sends for a step to the right.
const ArrowRight = kb.ArrowRight

// Press sends keys to the element that the selector finds.
func (tab *Tab) Press(selector, keys string) {
	tab.t.Helper()
	tab.must(chromedp.Do(tab.ctx, chromedp.SendKeys(chromedp.CSS(selector), keys)))
}

// Wait waits until the selector finds a visible element.
func (tab *Tab) Wait(selector string) {
	tab.t.Helper()
	tab.must(chromedp.Do(tab.ctx, chromedp.WaitVisible(chromedp.CSS(selector))))
}

// Text is the visible text of the first element that the selector finds.
func (tab *Tab) Text(selector string) string {
	tab.t.Helper()
	text, err := chromedp.Run(tab.ctx, chromedp.Text(chromedp.CSS(selector)))
	tab.must(err)
	return text
}

// Evaluate runs an expression in the page and returns its value; a promise is
// awaited.
func Evaluate[T any](tab *Tab, expression string) T {
	tab.t.Helper()
	v, err := chromedp.Run(tab.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	tab.must(err)
	return v
}

// Picture is a PNG of the whole page, not only of what the window shows.
func (tab *Tab) Picture() []byte {
	tab.t.Helper()
	png, err := chromedp.Run(tab.ctx, chromedp.FullScreenshot(100))
	tab.must(err)
	return png
}

// Window is a PNG of what the window shows.
func (tab *Tab) Window() []byte {
	tab.t.Helper()
	png, err := chromedp.Run(tab.ctx, chromedp.CaptureScreenshot())
	tab.must(err)
	return png
}

// PDF prints the page on A4.
func (tab *Tab) PDF() []byte {
	tab.t.Helper()
	result, err := chromedp.Call(tab.ctx, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: 8.27, PaperHeight: 11.69, PreferCSSPageSize: new(true)})
	tab.must(err)
	return result.Data
}

// A Fault is something that axe-core found on a page.
type Fault struct {
	ID      string   `json:"id"`
	Impact  string   `json:"impact"` // minor, moderate, serious, critical
	Help    string   `json:"help"`
	Targets []string `json:"targets"`
}

// Serious reports whether the fault keeps somebody from using the page.
func (f Fault) Serious() bool { return f.Impact == "serious" || f.Impact == "critical" }

// Faults asks axe-core about the page. axe-core comes from npm (run "npm ci" at
// the root of the project); without it the test is skipped, or fails where
// HENYEAR_CI is 1.
func (tab *Tab) Faults() []Fault {
	tab.t.Helper()
	script, err := axe()
	if err != nil {
		missing(tab.t, err)
	}
	Evaluate[chromedp.Void](tab, string(script)+"\n;undefined")
	return Evaluate[[]Fault](tab, `axe.run(document, {resultTypes: ["violations"]}).then(r => r.violations.map(v => ({id: v.id, impact: v.impact, help: v.help, targets: v.nodes.slice(0, 5).map(n => n.target.join(" ") + " " + (n.any[0] ? n.any[0].message : ""))})))`)
}

// axe looks for axe-core from the working folder upwards, or where AXE_CORE
// points.
func axe() ([]byte, error) {
	if path := os.Getenv("AXE_CORE"); path != "" {
		return os.ReadFile(path)
	}
	dir, err := os.Getwd()
	if err != nil {
		return nil, err
	}
	for {
		script, err := os.ReadFile(filepath.Join(dir, "node_modules", "axe-core", "axe.min.js"))
		if err == nil {
			return script, nil
		}
		if up := filepath.Dir(dir); up != dir {
			dir = up
			continue
		}
		return nil, errors.New("axe-core not found; run npm ci at the root of the project to test whether everyone can use the pages")
	}
}
