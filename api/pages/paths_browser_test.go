//go:build !race

package pages_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// hand is how a person works a page: with the mouse, or with the keyboard alone.
type hand struct {
	*visitor
	keys bool
}

// reach goes to a control; by keyboard only Tab leads there.
func (h hand) reach(selector string) {
	h.Helper()
	if h.keys {
		h.tabTo(selector)
		return
	}
	h.do(chromedp.WaitVisible(chromedp.CSS(selector)), chromedp.ScrollIntoView(chromedp.CSS(selector)), chromedp.Click(chromedp.CSS(selector)))
}

// press works a button, a link or a summary.
func (h hand) press(selector string) {
	h.Helper()
	h.reach(selector)
	if h.keys {
		h.do(chromedp.KeyEvent(kb.Enter))
	}
}

// types writes into a box over what stands there.
func (h hand) types(selector, text string) {
	h.Helper()
	h.reach(selector)
	h.do(chromedp.KeyEvent("a", chromedp.KeyModifiers(chromedp.ModifierCtrl)), chromedp.KeyEvent(text))
}

// scripts turns scripts off or on again.
func (v *visitor) scripts(on bool) {
	v.Helper()
	_, err := chromedp.Run(v.ctx, func(ctx context.Context, _ *chromedp.Target) (struct{}, error) {
		_, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: !on})
		return struct{}{}, err
	})
	require.NoError(v.TB, err)
}

const said = `document.querySelector(".said")`

// mainPaths are what a farm does all day. Each is gone by mouse and by keyboard
// alone, on a desk and on a telephone, with scripts on and off.
var mainPaths = []struct {
	name string
	walk func(h hand)
}{
	{"find a page in the drawer", func(h hand) {
		h.open(dayPage)
		h.press(".drawer summary")
		h.press(`.drawer a[href="/customers"]`)
		h.sees(`location.pathname === "/customers"`)
	}},
	{"promise what is sure, and it sticks", func(h hand) {
		h.open(dayPage)
		h.press(".decide button[name=promise]")
		h.sees(said)
		h.open(dayPage)
		h.sees(`/promised/.test(document.querySelector(".decide .why").textContent)`)
	}},
	{"cut a line", func(h hand) {
		h.open(dayPage)
		h.press(".decide button[name=cut]")
		h.sees(said)
	}},
	{"move a line to another day", func(h hand) {
		h.open(dayPage)
		h.press(".decide button[name=move]")
		h.sees(said)
	}},
	{"type an order into the grid", func(h hand) {
		h.open("/orders/2027-03-04")
		h.types("[name^='cell~C002~P1~']", "3")
		h.press(".answer button.first")
		h.sees(`document.querySelector("[name='cell~C002~P1~2027-03-04~3']")`)
		h.open("/orders/2027-03-04")
		h.sees(`document.querySelector("[name^='cell~C002~P1~']").value === "3"`)
	}},
	{"type an order into the week", func(h hand) {
		h.open("/orders/2027-03-04")
		h.press(`main a[href^="/week/"]`)
		h.sees(`location.pathname.startsWith("/week/")`)
		h.types("[name^='cell~C001~P1~2027-03-06~']", "4")
		h.press(".answer button.first")
		h.sees(`document.querySelector("[name='cell~C001~P1~2027-03-06~4']")`)
	}},
	{"take an order on the telephone", func(h hand) {
		h.open("/orders/2027-03-04")
		h.press(`main a[href="/customer/C003"]`)
		h.types("#entry", "+2 romaine")
		h.do(chromedp.KeyEvent(kb.Enter))
		h.sees(said)
		h.sees(`/2 × Romaine case/.test(document.querySelector("#reply").value)`)
	}},
	{"a line that is no wish stays as it was typed", func(h hand) {
		h.open("/customer/C003")
		h.types("#entry", "six of those")
		h.press("form[action*='/entry'] button.first")
		h.sees(`document.querySelector(".wrong") && document.querySelector("#entry").value === "six of those"`)
	}},
	{"ask what can be promised, and put it down", func(h hand) {
		h.open("/promise?customer=C002")
		h.types("[name=cases]", "2")
		h.press("form[action='/promise'][method=get] button")
		h.sees(`document.querySelector(".big") && /sure/.test(document.querySelector(".big").textContent)`)
		h.press("form[method=post] button[name=word]")
		h.sees(said)
	}},
	{"count the beds", func(h hand) {
		h.open("/beds/walk")
		h.types("[name='beds[0].rafts_now']", "2")
		h.press("[data-walk] .answer button.first")
		h.sees(`location.pathname === "/beds" && ` + said)
	}},
	{"change a customer, and be told of a wrong figure", func(h hand) {
		h.open("/customers")
		h.press(`main a[href="/customers/C004"]`)
		h.types("#f-stop", "first")
		h.press("main form button.first")
		h.sees(`document.querySelector(".err") && document.querySelector("#f-stop").value === "first"`)
		h.types("#f-stop", "7")
		h.press("main form button.first")
		h.sees(`location.pathname === "/customers" && ` + said)
	}},
	{"note a sowing", func(h hand) {
		h.open("/batches")
		h.types("[name=trays]", "3")
		h.press("form[action='/batches'] button.first")
		h.sees(said)
	}},
	{"take in an order sheet", func(h hand) {
		h.open("/sheet")
		file := filepath.Join(h.TempDir(), "orders.csv")
		require.NoError(h.TB, os.WriteFile(file, fmt.Appendf(nil, "Customer,Product,Date,Cases\nHarbor Table,Little gem flat,2027-03-04,%d\n", 4), 0o600))
		h.do(chromedp.SetUploadFiles(chromedp.CSS("#sheet"), []string{file}))
		h.press("main form button.first")
		h.sees(`document.querySelector("#sheetform button.first")`)
		h.press("#sheetform button.first")
		h.sees(said)
	}},
	{"issue the papers", func(h hand) {
		h.open("/papers/2027-03-03")
		h.press("form[action$=issue] button")
		h.sees(said)
	}},
	{"close the orders of a truck", func(h hand) {
		h.open(dayPage)
		h.press("form[action$=close] button")
		h.sees(said)
		h.sees(`document.querySelector("form[action$=close] button[name=open]")`)
	}},
}

func TestMainPaths(t *testing.T) {
	for _, keys := range []bool{false, true} {
		for _, width := range []int64{1280, 390} {
			for _, scripts := range []bool{true, false} {
				t.Run(fmt.Sprintf("%s at %d, scripts %t", map[bool]string{false: "mouse", true: "keyboard"}[keys], width, scripts), func(t *testing.T) {
					v := newVisitor(t, full(t, 12))
					v.scripts(scripts)
					v.do(chromedp.EmulateViewport(width, 844))
					for _, path := range mainPaths {
						t.Log(path.name)
						path.walk(hand{v, keys})
					}
					v.silent()
				})
			}
		}
	}
}
