package pages_test

import (
	"context"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"

	"headtally/api"
	"headtally/api/book"
)

// need skips a test whose tool is not there, or fails it where
// HEADTALLY_NEED_TOOLS says that it must be.
func need(t *testing.T, sentence string) {
	t.Helper()
	if os.Getenv("HEADTALLY_NEED_TOOLS") == "1" {
		t.Fatal(sentence)
	}
	t.Skip("skipped: " + sentence)
}

// browser starts Chromium without a window.
func browser(t *testing.T) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("left to the long run: the browser's own library races with itself under the race detector")
	}
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			path = found
			break
		}
	}
	if path == "" {
		need(t, "Chromium is not installed, and the pages are tried in it")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true), chromedp.NoFirstRun)
	alone, stop := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(stop)
	ctx, closeTab := chromedp.NewContext(alone)
	t.Cleanup(closeTab)
	ctx, done := context.WithTimeout(ctx, 4*time.Minute)
	t.Cleanup(done)
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(1280, 900)))
	return ctx
}

// visitor is a person with a browser before the whole service.
type visitor struct {
	*testing.T
	ctx     context.Context
	house   *house
	address string
	lost    atomic.Bool // answers to changes are lost on the way

	mu       sync.Mutex
	messages []string // errors on the console, the policy's violations among them
}

func newVisitor(t *testing.T, h *house) *visitor {
	t.Helper()
	v := &visitor{T: t, ctx: browser(t), house: h}
	service, err := api.New(api.Deps{Book: h.book, Now: h.now, Log: slog.New(slog.DiscardHandler), Pages: h.pages, Alone: true})
	require.NoError(t, err)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodPost && v.lost.Load() {
			service.ServeHTTP(httptest.NewRecorder(), r)
			panic(http.ErrAbortHandler)
		}
		service.ServeHTTP(w, r)
	}))
	server.Config.ErrorLog = slog.NewLogLogger(slog.DiscardHandler, slog.LevelError)
	t.Cleanup(server.Close)
	v.address = server.URL
	console := chromedp.Console(v.ctx)
	go func() {
		for m, err := range console {
			if err != nil {
				return
			}
			if m.IsException() || m.Type == "error" || strings.Contains(m.Text, "Content Security Policy") {
				v.mu.Lock()
				v.messages = append(v.messages, m.String()+" "+m.URL)
				v.mu.Unlock()
			}
		}
	}()
	return v
}

func (v *visitor) do(steps ...chromedp.Action[chromedp.Void]) {
	v.Helper()
	require.NoError(v.T, chromedp.Do(v.ctx, steps...))
}

func (v *visitor) open(path string) {
	v.Helper()
	v.do(chromedp.Navigate(v.address + path))
}

// sees waits until something is true on the page, or on the one it goes to.
func (v *visitor) sees(what string) {
	v.Helper()
	for end := time.Now().Add(8 * time.Second); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if there, err := chromedp.Run(v.ctx, chromedp.Evaluate[bool]("!!("+what+")")); err == nil && there {
			return
		}
	}
	shown, _ := chromedp.Run(v.ctx, chromedp.Evaluate[string]("location.pathname + ' ' + document.querySelector('main').innerText"))
	v.Fatalf("not seen: %s on %.600s", what, shown)
}

func (v *visitor) value(expression string) string {
	v.Helper()
	got, err := chromedp.Run(v.ctx, chromedp.Evaluate[string](expression))
	require.NoError(v.T, err)
	return got
}

// tabTo presses Tab until a thing has the focus.
func (v *visitor) tabTo(selector string) {
	v.Helper()
	for range 200 {
		v.do(chromedp.KeyEvent(kb.Tab))
		if v.value("String(document.activeElement.matches(`"+selector+"`))") == "true" {
			return
		}
	}
	v.Fatalf("Tab never comes to %s", selector)
}

// silent sees that the console stayed empty.
func (v *visitor) silent() {
	v.Helper()
	v.mu.Lock()
	defer v.mu.Unlock()
	require.Empty(v.T, v.messages)
}

func TestTheGridByKeyboardAlone(t *testing.T) {
	v := newVisitor(t, full(t, 12))
	v.open("/orders/2027-03-04")
	v.tabTo("[name^='cell~C001~P1~2027-03-04']")
	v.do(chromedp.KeyEvent("7"))
	v.sees("/^\\d+ sure, \\d+ if all comes in/.test(document.querySelector('[data-answer]').textContent)")
	v.do(chromedp.KeyEvent(kb.Enter))
	v.sees("document.querySelector(`[name='cell~C001~P1~2027-03-04~7']`)")
	require.Equal(t, "1", v.value("document.activeElement.dataset.r"), "Enter goes down")
	v.do(chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowUp))
	require.Equal(t, "0 1", v.value("document.activeElement.dataset.r + ' ' + document.activeElement.dataset.c"))
	v.do(chromedp.KeyEvent("4"), chromedp.KeyEvent(kb.Escape))
	require.Equal(t, "", v.value("document.activeElement.value"), "Escape takes back what was typed")
	v.do(chromedp.KeyEvent("z", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
	v.sees("document.querySelector(`[name='cell~C001~P1~2027-03-04~2']`)")
	v.open("/orders/2027-03-04")
	require.Equal(t, "2", v.value("document.querySelector(`[name^='cell~C001~P1~']`).value"))
	v.silent()
}

func TestACellThatCannotBeSentIsKept(t *testing.T) {
	h := full(t, 12)
	v := newVisitor(t, h)
	v.open("/orders/2027-03-04")
	v.lost.Store(true)
	v.tabTo("[name^='cell~C001~P1~2027-03-04']")
	v.do(chromedp.KeyEvent("9"), chromedp.KeyEvent(kb.Enter))
	v.sees("document.querySelector('[data-answer]').textContent.startsWith('Not sent yet')")
	v.open("/orders/2027-03-04")
	require.Equal(t, "9", v.value("document.querySelector(`[name^='cell~C001~P1~']`).value"), "it is there after loading anew")
	v.lost.Store(false)
	v.do(chromedp.Evaluate[chromedp.Void]("dispatchEvent(new Event('online'))"))
	v.sees("!document.querySelector('.kept')")
	g, err := h.book.Grid(t.Context(), book.Owner(), today, pickup, pickup)
	require.NoError(t, err)
	require.EqualValues(t, 9, g.At("C001", "P1", pickup).Cases, "sent twice, put down once")
}

func TestAWalkWhoseAnswerIsLostArrivesOnce(t *testing.T) {
	h := full(t, 12)
	v := newVisitor(t, h)
	v.do(chromedp.EmulateViewport(390, 844))
	v.open("/beds/walk")
	v.sees("document.activeElement.name === 'beds[0].rafts_now'")
	v.do(chromedp.KeyEvent("3"+kb.Enter), chromedp.KeyEvent("2"+kb.Enter), chromedp.KeyEvent("1"+kb.Enter+kb.Enter))
	require.Equal(t, "beds[1].rafts_now", v.value("document.activeElement.name"), "Enter goes to the next box")
	v.do(chromedp.KeyEvent("5"))
	v.lost.Store(true)
	v.do(chromedp.Click(chromedp.CSS("[data-walk] button.first")))
	v.sees("document.querySelector('[data-answer]').textContent.startsWith('Not sent')")
	v.open("/beds/walk")
	v.lost.Store(false)
	v.do(chromedp.Evaluate[chromedp.Void]("dispatchEvent(new Event('online'))"))
	v.sees("location.pathname === '/beds'")
	counts, err := h.book.Counts.List(t.Context(), book.Owner(), book.Query{})
	require.NoError(t, err)
	require.Len(t, counts, 2, "the farm's first walk and this one, once")
	require.EqualValues(t, 6, counts[1].Value.Beds[0].RaftsNow)
	require.EqualValues(t, 10, counts[1].Value.Beds[1].RaftsNow)
}

func TestMainPathsByKeyboardWithScriptsOff(t *testing.T) {
	v := newVisitor(t, full(t, 30))
	_, err := chromedp.Run(v.ctx, func(ctx context.Context, _ *chromedp.Target) (struct{}, error) {
		_, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return struct{}{}, err
	})
	require.NoError(t, err)
	for _, size := range []int64{1280, 390} {
		v.do(chromedp.EmulateViewport(size, 844))
		v.open("/customer/C001")
		v.do(chromedp.SendKeys(chromedp.CSS("#entry"), "+1 romaine"+kb.Enter), chromedp.WaitVisible(chromedp.CSS(".said")))
		v.open("/orders/2027-03-04")
		v.do(chromedp.SendKeys(chromedp.CSS("[name^='cell~C001~P2~']"), "1"+kb.Enter), chromedp.WaitVisible(chromedp.CSS(".said")))
		v.open(dayPage)
		v.do(chromedp.SendKeys(chromedp.CSS(".decide button[name=promise]"), kb.Enter), chromedp.WaitVisible(chromedp.CSS(".said")))
		v.open("/promise")
		v.do(chromedp.SendKeys(chromedp.CSS("[name=cases]"), "3"+kb.Enter), chromedp.WaitVisible(chromedp.CSS(".big")))
		v.open("/beds/walk")
		v.do(chromedp.SendKeys(chromedp.CSS("[name='beds[0].rafts_now']"), "2"+kb.Enter), chromedp.WaitVisible(chromedp.CSS(".walk")))
		v.do(chromedp.SendKeys(chromedp.CSS("[data-walk] button.first"), kb.Enter), chromedp.WaitVisible(chromedp.CSS(".said")))
	}
	v.silent()
}

func TestEveryPageKeepsTheConsoleAndThePolicyQuiet(t *testing.T) {
	v := newVisitor(t, full(t, 30))
	for _, address := range everyPage {
		for _, width := range []int64{1280, 320} {
			v.do(chromedp.EmulateViewport(width, 800))
			v.open(address)
			require.Empty(t, v.value(sticksOut), "%s does not fit %d px", address, width)
		}
	}
	v.silent()
}

// sticksOut names what is wider than the window, outside of what scrolls by itself.
const sticksOut = `[...document.querySelectorAll("body *")].filter(x => !x.closest(".scroll, .strip, .drawer ul, .unseen, .skip") && x.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
  .map(x => x.tagName + "." + x.className + " " + x.textContent.trim().slice(0, 30)).slice(0, 4).join("; ") +
  (document.documentElement.scrollWidth > document.documentElement.clientWidth ? " (scrolls)" : "")`

// axe is the accessibility checker, fetched from its package.
func axe(t *testing.T) string {
	t.Helper()
	npm, err := exec.LookPath("npm")
	if err != nil {
		need(t, "npm is not installed, and axe-core comes from there")
	}
	dir := t.TempDir()
	fetch := exec.CommandContext(t.Context(), npm, "pack", "axe-core@4.10.3", "--silent", "--pack-destination", dir)
	fetch.Dir = dir
	if out, err := fetch.CombinedOutput(); err != nil {
		need(t, "axe-core cannot be fetched: "+strings.TrimSpace(string(out)))
	}
	packed, err := filepath.Glob(filepath.Join(dir, "axe-core-*.tgz"))
	require.NoError(t, err)
	require.Len(t, packed, 1)
	script, err := exec.CommandContext(t.Context(), "tar", "-xzOf", packed[0], "package/axe.min.js").Output()
	require.NoError(t, err)
	return string(script)
}

const runAxe = `axe.run(document, {runOnly: ["wcag2a","wcag2aa","wcag21a","wcag21aa","wcag22aa"]}).then(r =>
  r.violations.map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 120) + " " + (n.any[0] || n.all[0] || n.none[0] || {}).message).join(" | ")).join("\n"))`

// TestAccessibility holds every page, full and with errors showing, in light and
// dark, against WCAG 2.2 AA as far as axe-core can tell, and sees that the
// checker finds a seeded fault of several kinds.
func TestAccessibility(t *testing.T) {
	script := axe(t)
	h := full(t, 12)
	v := newVisitor(t, h)
	check := func() string {
		v.do(chromedp.Evaluate[chromedp.Void](script + ";undefined"))
		found, err := chromedp.Run(v.ctx, chromedp.Evaluate[string](runAxe, chromedp.EvalAwaitPromise))
		require.NoError(t, err)
		return found
	}
	for _, scheme := range []string{"light", "dark"} {
		_, err := chromedp.Run(v.ctx, func(ctx context.Context, _ *chromedp.Target) (struct{}, error) {
			_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
				Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
			return struct{}{}, err
		})
		require.NoError(t, err)
		for _, address := range append([]string{"/sheet", "/promise?product=P1&day=2027-03-04&cases=x", "/nowhere"}, everyPage...) {
			v.open(address)
			require.Empty(t, check(), "%s in %s", address, scheme)
		}
		v.open("/customers/C001")
		v.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#f-email").type="text";document.querySelector("#f-email").value="nobody";document.querySelector("#f-name").form.submit()`),
			chromedp.WaitVisible(chromedp.CSS(".err")))
		require.Empty(t, check(), "a form with an error in %s", scheme)
	}
	for name, seed := range map[string]string{
		"color-contrast": `document.querySelectorAll("label").forEach(x => { x.style.color = "#999"; x.style.background = "#aaa" })`,
		"label":          `document.querySelector("label[for=f-name]").remove()`,
		"target-size":    `document.querySelectorAll(".acts a").forEach(a => { a.style.cssText = "display:inline-block;width:8px;height:8px;padding:0;min-height:0;overflow:hidden;margin:0 0 0 -2px" })`,
		"document-title": `document.title = ""`,
	} {
		v.open("/customers/C001")
		v.do(chromedp.Evaluate[chromedp.Void](seed + ";undefined"))
		require.Contains(t, check(), name+":", "a seeded fault is found")
	}
}
