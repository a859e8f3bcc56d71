//go:build !race

package pages_test

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
)

// back and forward walk through the pages visited, as the browser's buttons do,
// and wait until the page that is shown has come in whole.
func (v *visitor) back()    { v.walkPages(-1) }
func (v *visitor) forward() { v.walkPages(1) }

func (v *visitor) walkPages(by int) {
	v.Helper()
	v.do(chromedp.Evaluate[chromedp.Void]("window.left = true;undefined"))
	v.do(chromedp.Evaluate[chromedp.Void](map[int]string{-1: "history.back()", 1: "history.forward()"}[by]))
	v.sees(`!window.left && document.readyState === "complete"`)
}

// change is what somebody else does to a customer.
func (h *house) change(code string, by func(*domain.Customer)) {
	h.t.Helper()
	rec, err := h.book.Customers.Get(h.t.Context(), book.Owner(), code)
	require.NoError(h.t, err)
	by(&rec.Value)
	must[domain.Customer](h.t)(h.book.Customers.Replace(h.t.Context(), book.Owner(), code, rec.Value, book.Note{Base: rec.Rev}))
}

// After an order was taken, going back and forth changes nothing, asks nothing
// of the book, and shows what the book holds now; the day and the customer that
// were chosen stand as they were.
func TestGoingBackAfterAnOrderStoresNothingTwice(t *testing.T) {
	h := full(t, 12)
	v := newVisitor(t, h)
	v.open("/day/2027-03-04")
	v.open("/orders/2027-03-04")
	v.open("/customer/C003?day=2027-03-05")
	v.open("/customer/C003?day=2027-03-04")
	before := h.ordered("C003", "P1")
	v.do(chromedp.SendKeys(chromedp.CSS("#entry"), "+2 romaine"+kb.Enter))
	v.sees(said)
	require.EqualValues(t, 1, v.changes.Load())
	require.Equal(t, before+2, h.ordered("C003", "P1"))

	v.back()
	v.sees(`location.search === "?day=2027-03-04" && document.querySelector("[name=day]").value === "2027-03-04"`)
	v.sees(`/2 × Romaine case/.test(document.querySelector("#reply").value)`)
	require.Equal(t, "", v.value(`document.querySelector("#entry").value`), "the line that was sent is not offered again")
	v.back()
	v.sees(`location.search === "?day=2027-03-05" && document.querySelector("select[name=day]").value === "2027-03-05"`)
	v.back()
	v.sees(`location.pathname === "/orders/2027-03-04" && document.querySelector(".strip [aria-current]").href.endsWith("/orders/2027-03-04")`)
	require.Equal(t, "2", v.value(`document.querySelector("[name^='cell~C003~P1~2027-03-04~']").value`))
	v.back()
	v.sees(`location.pathname === "/day/2027-03-04" && document.querySelector(".strip [aria-current]").href.endsWith("/day/2027-03-04")`)
	for range 4 {
		v.forward()
	}
	v.sees(`location.pathname === "/customer/C003"`)
	require.EqualValues(t, 1, v.changes.Load(), "nothing was sent on the way")
	require.Equal(t, before+2, h.ordered("C003", "P1"))
	v.silent()
}

// A form that was sent, gone back to and filled anew is another: it is stored
// too, or told, and never taken for the first.
func TestAFormGoneBackToIsAnother(t *testing.T) {
	h := full(t, 12)
	v := newVisitor(t, h)
	v.open("/batches")
	v.do(chromedp.SendKeys(chromedp.CSS("[name=trays]"), "4"), chromedp.Click(chromedp.CSS("[data-walk] button.first")))
	v.sees(said)
	v.back()
	require.Equal(t, "", v.value(`document.querySelector("[name=trays]").value`))
	v.do(chromedp.SendKeys(chromedp.CSS("[name=trays]"), "5"), chromedp.Click(chromedp.CSS("[data-walk] button.first")))
	v.sees(said)
	batches, err := h.book.Batches(t.Context(), book.Owner(), today)
	require.NoError(t, err)
	require.Len(t, batches, 2)

	v.open("/customers/C004")
	v.do(chromedp.SetValue(chromedp.CSS("#f-importance"), "anchor"), chromedp.Click(chromedp.CSS("main form button.first")))
	v.sees(said)
	h.change("C004", func(c *domain.Customer) { c.Importance = domain.Casual })
	v.back()
	require.Equal(t, "casual", v.value(`document.querySelector("#f-importance").value`), "what somebody else chose meanwhile is not covered by the old choice")
	v.silent()
}

// In a grid cell what was typed and sent is not sent again by going back, and
// the cell shows what the book holds.
func TestGoingBackToTheGridShowsTheBook(t *testing.T) {
	h := full(t, 12)
	v := newVisitor(t, h)
	v.open("/orders/2027-03-04")
	v.tabTo("[name^='cell~C001~P1~2027-03-04']")
	v.do(chromedp.KeyEvent("7" + kb.Enter))
	v.sees("document.querySelector(`[name='cell~C001~P1~2027-03-04~7']`)")
	v.open("/customer/C001?day=2027-03-04")
	v.do(chromedp.SendKeys(chromedp.CSS("#entry"), "3 romaine"+kb.Enter))
	v.sees(said)
	sent := v.changes.Load()
	v.back()
	v.back()
	v.sees("document.querySelector(`[name='cell~C001~P1~2027-03-04~3']`)?.value === '3'")
	require.Equal(t, sent, v.changes.Load())
	require.EqualValues(t, 3, h.ordered("C001", "P1"))
	v.silent()
}

// The line that is typed on the telephone is kept like a walk until it has
// arrived, and arrives once.
func TestALineWhoseAnswerIsLostArrivesOnce(t *testing.T) {
	h := full(t, 12)
	v := newVisitor(t, h)
	v.do(chromedp.EmulateViewport(390, 844))
	before := h.ordered("C003", "P1")
	v.open("/customer/C003?day=2027-03-04")
	v.lost.Store(true)
	v.do(chromedp.SendKeys(chromedp.CSS("#entry"), "+2 romaine"+kb.Enter))
	v.sees("document.querySelector('[data-answer]').textContent.startsWith('Not sent')")
	v.open("/customer/C003?day=2027-03-05")
	require.Equal(t, "", v.value("document.querySelector('#entry').value"), "it belongs to its day")
	v.open("/customer/C003?day=2027-03-04")
	require.Equal(t, "+2 romaine", v.value("document.querySelector('#entry').value"), "it is there after loading anew")
	v.lost.Store(false)
	v.do(chromedp.Evaluate[chromedp.Void]("dispatchEvent(new Event('online'))"))
	v.sees(said)
	require.Equal(t, before+2, h.ordered("C003", "P1"), "sent twice, put down once")
	require.Equal(t, "", v.value("document.querySelector('#entry').value"))
	v.open("/customer/C003?day=2027-03-04")
	require.Equal(t, "", v.value("document.querySelector('#entry').value"), "nor kept any longer")
}

// A line that was refused is kept as well, and sent once it is mended.
func TestALineThatWasRefusedIsMended(t *testing.T) {
	h := full(t, 12)
	v := newVisitor(t, h)
	v.open("/customer/C003?day=2027-03-04")
	v.do(chromedp.SendKeys(chromedp.CSS("#entry"), "two of those"+kb.Enter))
	v.sees(`document.querySelector(".wrong") && document.querySelector("#entry").value === "two of those"`)
	v.do(chromedp.Focus(chromedp.CSS("#entry")), chromedp.KeyEvent("a", chromedp.KeyModifiers(chromedp.ModifierCtrl)), chromedp.KeyEvent("+2 romaine"+kb.Enter))
	v.sees(said)
	require.EqualValues(t, 2, h.ordered("C003", "P1"))
	v.silent()
}
