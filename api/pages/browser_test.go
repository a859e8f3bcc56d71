//go:build !race

// What is tried in a browser is left out under the race detector: the browser's
// own library races with itself, and the same pages are asked for without one.

package pages_test

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
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
	"headtally/domain/tried"
)

// chromium is one browser without a window, for all the tests of a run: starting
// it takes longer than most of what is tried in it.
var chromium struct {
	start sync.Once
	ctx   context.Context
	stop  func()
	err   error
}

func TestMain(m *testing.M) {
	code := m.Run()
	if chromium.stop != nil {
		chromium.stop()
	}
	os.Exit(code)
}

// browser is a window of Chromium that shares no cookie and nothing kept with
// any other.
func browser(t testing.TB) context.Context {
	t.Helper()
	path := tried.With(t, "chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
	chromium.start.Do(func() {
		options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
			chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
			chromedp.Flag("disable-sync", true), chromedp.NoFirstRun)
		var alone context.Context
		alone, chromium.stop = chromedp.NewExecAllocator(context.Background(), options...)
		chromium.ctx, _ = chromedp.NewContext(alone)
		chromium.err = chromedp.Do(chromium.ctx)
	})
	require.NoError(t, chromium.err)
	ctx, closeTab := chromedp.NewContext(chromium.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(closeTab)
	ctx, done := context.WithTimeout(ctx, 8*time.Minute)
	t.Cleanup(done)
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(1280, 900)))
	return ctx
}

// visitor is a person with a browser before the whole service.
type visitor struct {
	testing.TB
	ctx     context.Context
	house   *house
	address string
	lost    atomic.Bool  // answers to changes are lost on the way
	slow    atomic.Bool  // changes wait for as long as it is set, or three seconds
	changes atomic.Int64 // that were sent

	mu       sync.Mutex
	messages []string // errors on the console, the policy's violations among them
}

func newVisitor(t testing.TB, h *house) *visitor {
	t.Helper()
	v := &visitor{TB: t, ctx: browser(t), house: h}
	service, err := api.New(api.Deps{Book: h.book, Now: h.now, Log: slog.New(slog.DiscardHandler), Pages: h.pages, Alone: true})
	require.NoError(t, err)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodPost {
			v.changes.Add(1)
		}
		for end := time.Now().Add(3 * time.Second); r.Method == http.MethodPost && v.slow.Load() && time.Now().Before(end); {
			time.Sleep(20 * time.Millisecond)
		}
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
			refused := strings.Contains(m.Text, "status of 422") // Chromium's own note of a form that came back
			if m.IsException() || m.Type == "error" && !refused || strings.Contains(m.Text, "Content Security Policy") {
				v.mu.Lock()
				v.messages = append(v.messages, m.String()+" "+m.URL)
				v.mu.Unlock()
			}
		}
	}()
	return v
}

// do takes steps; what a minute does not bring, such as a thing to click on,
// never comes.
func (v *visitor) do(steps ...chromedp.Action[chromedp.Void]) {
	v.Helper()
	ctx, done := context.WithTimeout(v.ctx, time.Minute)
	defer done()
	require.NoError(v.TB, chromedp.Do(ctx, steps...))
}

// open goes to a page. Where the page before was still on its way to another,
// Chromium breaks the visit off, and it is made again.
func (v *visitor) open(path string) {
	v.Helper()
	for range 3 {
		err := chromedp.Do(v.ctx, chromedp.Navigate(v.address+path))
		if err == nil || !strings.Contains(err.Error(), "ERR_ABORTED") {
			require.NoError(v.TB, err)
			return
		}
	}
	v.Fatalf("%s cannot be opened", path)
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
	require.NoError(v.TB, err)
	return got
}

// tabTo presses Tab until a thing has the focus.
func (v *visitor) tabTo(selector string) {
	v.Helper()
	v.do(chromedp.WaitReady(chromedp.CSS(selector)))
	for range 300 {
		if v.value("String(document.activeElement.matches(`"+selector+"`))") == "true" {
			return
		}
		v.do(chromedp.KeyEvent(kb.Tab))
	}
	v.Fatalf("Tab never comes to %s", selector)
}

// silent sees that the console stayed empty.
func (v *visitor) silent() {
	v.Helper()
	v.mu.Lock()
	defer v.mu.Unlock()
	require.Empty(v.TB, v.messages)
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

func TestASowingWhoseAnswerIsLostArrivesOnce(t *testing.T) {
	h := full(t, 12)
	v := newVisitor(t, h)
	v.do(chromedp.EmulateViewport(390, 844))
	v.open("/batches")
	v.do(chromedp.SendKeys(chromedp.CSS("[name=trays]"), "4"))
	v.lost.Store(true)
	v.do(chromedp.Click(chromedp.CSS("[data-walk] button.first")))
	v.sees("document.querySelector('[data-answer]').textContent.startsWith('Not sent')")
	v.open("/batches")
	require.Equal(t, "4", v.value("document.querySelector('[name=trays]').value"), "it is there after loading anew")
	v.lost.Store(false)
	v.do(chromedp.Evaluate[chromedp.Void]("dispatchEvent(new Event('online'))"))
	v.sees("document.querySelector('.said')")
	batches, err := h.book.Batches(t.Context(), book.Owner(), today)
	require.NoError(t, err)
	require.Len(t, batches, 1, "sent twice, sown once")
}

// signIn goes through the door as the owner of a stocked farm.
func (v *visitor) signIn() {
	v.Helper()
	v.open("/sign-in")
	v.do(chromedp.SendKeys(chromedp.CSS("#f-code"), ownerCode+kb.Tab+ownerPassword+kb.Enter))
	v.sees(`location.pathname.startsWith("/day")`)
}

func TestEveryPageKeepsTheConsoleAndThePolicyQuiet(t *testing.T) {
	h, more := stocked(t, 30)
	v := newVisitor(t, h)
	v.signIn()
	for _, address := range h.allPages(more) {
		for _, width := range []int64{1280, 320} {
			v.do(chromedp.EmulateViewport(width, 800))
			v.open(address)
			require.Empty(t, v.value(sticksOut), "%s does not fit %d px", address, width)
		}
	}
	v.silent()
}

// sticksOut names what is wider than the window, outside of what scrolls by itself.
const sticksOut = `[...document.querySelectorAll("body *")].filter(x => !x.closest(".scroll, pre, .strip, .drawer ul, .unseen, .skip") && x.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
  .map(x => x.tagName + "." + x.className + " " + x.textContent.trim().slice(0, 30)).slice(0, 4).join("; ") +
  (document.documentElement.scrollWidth > document.documentElement.clientWidth ? " (scrolls)" : "")`

// axeCore is the accessibility checker, fetched from its package once.
var axeCore = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "axe-")
	if err != nil {
		return "", err
	}
	defer func() { _ = os.RemoveAll(dir) }()
	fetch := exec.Command("npm", "pack", "axe-core@4.10.3", "--silent", "--pack-destination", dir)
	fetch.Dir = dir
	if out, err := fetch.CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w: %s", err, strings.TrimSpace(string(out)))
	}
	script, err := exec.Command("tar", "-xzOf", filepath.Join(dir, "axe-core-4.10.3.tgz"), "package/axe.min.js").Output()
	return string(script), err
})

// axe is the checker's script.
func axe(t *testing.T) string {
	t.Helper()
	tried.With(t, "npm")
	script, err := axeCore()
	if err != nil {
		tried.Without(t, "axe-core cannot be fetched: "+err.Error())
	}
	return script
}

// runAxe asks for the rules of some kind, and for what breaks them alone.
const runAxe = `axe.run(document, {runOnly: %s, resultTypes: ["violations"]}).then(r =>
  r.violations.map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 120) + " " + (n.any[0] || n.all[0] || n.none[0] || {}).message).join(" | ")).join("\n"))`

// scheme asks for the light or the dark colours.
func (v *visitor) scheme(name string) {
	v.Helper()
	_, err := chromedp.Run(v.ctx, func(ctx context.Context, _ *chromedp.Target) (struct{}, error) {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: name}}})
		return struct{}{}, err
	})
	require.NoError(v.TB, err)
}

// looks are what axe-core is asked of a page in each scheme: in the dark only
// what depends on colours, for nothing else differs.
var looks = []struct{ scheme, rules string }{
	{"light", `["wcag2a","wcag2aa","wcag21a","wcag21aa","wcag22aa"]`},
	{"dark", `{type: "rule", values: ["color-contrast", "link-in-text-block"]}`},
}

// accessible is what axe-core finds on the page that is shown, in light and in
// dark; "" is nothing.
func (v *visitor) accessible(script string) (found string) {
	v.Helper()
	v.do(chromedp.Evaluate[chromedp.Void](script + ";undefined"))
	for _, wanted := range looks {
		v.scheme(wanted.scheme)
		got, err := chromedp.Run(v.ctx, chromedp.Evaluate[string](fmt.Sprintf(runAxe, wanted.rules), chromedp.EvalAwaitPromise))
		require.NoError(v.TB, err)
		found += got
	}
	return found
}

// TestAccessibility holds every page against WCAG 2.2 AA as far as axe-core can
// tell, and sees that the checker finds a seeded fault of several kinds.
func TestAccessibility(t *testing.T) {
	script := axe(t)
	h, more := stocked(t, 12)
	v := newVisitor(t, h)
	v.signIn()
	for _, address := range append(h.allPages(more), "/nowhere") {
		v.open(address)
		require.Empty(t, v.accessible(script), address)
	}
	for name, seed := range map[string]string{
		"color-contrast": `document.querySelectorAll("label").forEach(x => { x.style.color = "#999"; x.style.background = "#aaa" })`,
		"label":          `document.querySelector("label[for=f-name]").remove()`,
		"target-size":    `document.querySelectorAll(".acts a").forEach(a => { a.style.cssText = "display:inline-block;width:8px;height:8px;padding:0;min-height:0;overflow:hidden;margin:0 0 0 -2px" })`,
		"document-title": `document.title = ""`,
	} {
		v.open("/customers/C001")
		v.do(chromedp.Evaluate[chromedp.Void](seed + ";undefined"))
		require.Contains(t, v.accessible(script), name+":", "a seeded fault is found")
	}
}

// forms counts a page's forms that change something which can be put wrong.
const forms = `document.querySelectorAll("main form[method=post]:not([action$=end]):not([action$=close]):not([action$=sure]):not([action$=issue]):not([action='/sign-out'])")`

// garble fills the n-th form with what no field takes and sends it.
const garble = `(() => { const f = [...` + forms + `][%d]; f.noValidate = true;
  for (const x of f.querySelectorAll("input:not([type=hidden]):not([type=checkbox]):not([type=file]), textarea")) {
    if (["date", "time", "email"].includes(x.type)) x.type = "text";
    x.value = x.className.includes("name") || x.name === "name" ? "" : "?¿" }
  f.submit() })()`

// TestAccessibilityOfErrors sends every form of every page filled with nonsense,
// and holds what comes back with its errors against the same rules.
func TestAccessibilityOfErrors(t *testing.T) {
	script := axe(t)
	h, more := stocked(t, 12)
	v := newVisitor(t, h)
	v.signIn()
	shown := 0
	tried := map[string]bool{}
	for _, address := range h.allPages(more) {
		for i := 0; ; i++ {
			v.open(address)
			to := v.value(fmt.Sprintf("[...%s][%d]?.getAttribute('action') ?? ''", forms, i))
			if to == "" {
				break // what was sent may have taken a form away
			}
			action := h.pattern(to)
			if tried[action] {
				continue
			}
			tried[action] = true
			v.do(chromedp.Evaluate[chromedp.Void]("window.before = true;" + fmt.Sprintf(garble, i) + ";undefined"))
			v.sees(`!window.before && document.readyState === "complete"`)
			require.Empty(t, v.accessible(script), "form %d of %s", i, address)
			require.Empty(t, v.value(sticksOut), "form %d of %s", i, address)
			if v.value(`String(!!document.querySelector("[role=alert], .err"))`) == "true" {
				shown++
			}
			t.Log(address, action, v.value(`(document.querySelector("[role=alert], .said") || document.querySelector("h1")).innerText.slice(0, 80)`))
		}
	}
	require.Greater(t, shown, 15, "pages with errors showing")
}

// timed notes how long after a key the answer is there.
const timed = `window.took = []; document.addEventListener("input", () => { window.typed = performance.now() }, true);
  new MutationObserver(() => { if (window.typed) { window.took.push(performance.now() - window.typed); window.typed = 0 } }).observe(document.querySelector("[data-answer]"), {childList: true, characterData: true, subtree: true})`

// BenchmarkTyping is how long after a key in a cell the promise is there, in a
// browser before a farm with a thousand standing orders.
func BenchmarkTyping(b *testing.B) {
	v := newVisitor(b, full(b, 500))
	v.open("/orders/2027-03-04")
	v.do(chromedp.Evaluate[chromedp.Void](timed+";undefined"), chromedp.Focus(chromedp.CSS("[name^='cell~C001~P1~2027-03-04']")))
	keys := 0
	for b.Loop() {
		v.do(chromedp.KeyEvent([]string{"1", kb.Backspace, "4", kb.Backspace, "7", kb.Backspace}[keys%6]))
		v.sees(fmt.Sprintf("window.took.length > %d", keys))
		keys++
	}
	for name, share := range map[string]string{"ms/key": "0.5", "ms-19-of-20": "0.95"} {
		ms, err := strconv.ParseFloat(v.value("String(window.took.sort((a, b) => a - b)[Math.ceil("+share+" * window.took.length) - 1])"), 64)
		require.NoError(b, err)
		b.ReportMetric(ms, name)
	}
	v.silent()
}

// A change that takes long says so, and is sent once however often the button is
// pressed.
func TestALongChangeSaysThatItIsUnderWay(t *testing.T) {
	h := full(t, 3)
	v := newVisitor(t, h)
	v.open("/customers/C001")
	v.slow.Store(true)
	v.do(chromedp.Evaluate[chromedp.Void](`(() => {
	  const says = document.querySelector(".working"), button = document.querySelector("main form button.first");
	  new MutationObserver(() => sessionStorage.setItem("said", says.textContent)).observe(says, {childList: true});
	  button.click(); button.click() })()`))
	v.sees(`location.pathname === "/customers" && sessionStorage.getItem("said") === "Working on it…"`)
	v.slow.Store(false)
	require.EqualValues(t, 1, v.changes.Load(), "sent once")
	v.silent()
}
