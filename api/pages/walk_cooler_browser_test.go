//go:build !race

package pages_test

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
)

// The cooler's figures are kept as the beds' are, with what was ticked.
func TestACoolerWhoseAnswerIsLostArrivesOnce(t *testing.T) {
	h := chilled(t)
	v := newVisitor(t, h)
	v.do(chromedp.EmulateViewport(390, 844))
	v.open("/beds/walk")
	v.do(chromedp.SendKeys(chromedp.CSS("[name='packed[0].cases']"), "3"), chromedp.Click(chromedp.CSS("[name=cooler]")))
	v.lost.Store(true)
	v.do(chromedp.Click(chromedp.CSS("[data-walk] button.first")))
	v.sees("document.querySelector('[data-answer]').textContent.startsWith('Not sent')")
	v.open("/beds/walk")
	v.sees("document.querySelector('[name=cooler]').checked && document.querySelector(`[name='packed[0].cases']`).value === '3'")
	v.lost.Store(false)
	v.do(chromedp.Evaluate[chromedp.Void]("dispatchEvent(new Event('online'))"))
	v.sees("location.pathname === '/beds'")
	counts, err := h.book.Counts.List(t.Context(), book.Owner(), book.Query{})
	require.NoError(t, err)
	require.Len(t, counts, 3, "the two of the farm and this one, once")
	require.Equal(t, domain.Cases(3), h.lastCount().Packed[0].Cases)
	require.Empty(t, h.lastCount().Loose)
}
