//go:build !race

package pages_test

import (
	"context"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// A recipe is typed over by keyboard alone: to the product, open its boxes, a
// figure in each, Enter. The heads are counted while they are typed.
func TestARecipeByKeyboardAlone(t *testing.T) {
	v := newVisitor(t, full(t, 12))
	v.open(recipePage)
	v.tabTo("#p-P3 summary")
	v.do(chromedp.KeyEvent(kb.Enter))
	v.tabTo("#b-P3-V02")
	v.do(chromedp.KeyEvent("2"))
	v.sees(`document.querySelector("#p-P3 [data-sum]").textContent.startsWith("10 of 12")`)
	v.tabTo("#b-P3-V08")
	v.do(chromedp.KeyEvent("2"))
	v.sees(`document.querySelector("#p-P3 [data-sum]").textContent.startsWith("12 of 12")`)
	v.do(chromedp.KeyEvent(kb.Enter))
	v.sees(`document.querySelector(".said") && document.querySelector("#p-P3 .byhand")`)
	v.sees(`location.hash === "#p-P3"`)
	v.tabTo("#p-P3 button[name=clear]")
	v.do(chromedp.KeyEvent(kb.Enter))
	v.sees(`document.querySelector(".said") && !document.querySelector("#p-P3 .byhand")`)
	v.silent()
}

// The same by mouse, at desktop and telephone width, with scripts on and off.
func TestARecipeByMouse(t *testing.T) {
	v := newVisitor(t, full(t, 12))
	for _, off := range []bool{false, true} {
		_, err := chromedp.Run(v.ctx, func(ctx context.Context, _ *chromedp.Target) (struct{}, error) {
			_, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: off})
			return struct{}{}, err
		})
		require.NoError(t, err)
		for _, size := range []int64{1280, 390} {
			v.do(chromedp.EmulateViewport(size, 844))
			v.open(recipePage)
			v.do(chromedp.Click(chromedp.CSS("#p-P3 summary")),
				chromedp.SetValue(chromedp.CSS("#b-P3-V02"), "1"), chromedp.SetValue(chromedp.CSS("#b-P3-V08"), "3"),
				chromedp.Click(chromedp.CSS("#p-P3 button.first")), chromedp.WaitVisible(chromedp.CSS("#p-P3 .byhand")),
				chromedp.Click(chromedp.CSS("#p-P3 button[name=clear]")), chromedp.WaitNotPresent(chromedp.CSS("#p-P3 .byhand")))
		}
	}
	v.silent()
}

// With a recipe by hand and one that is refused, in light and dark, full and
// narrow: nothing that axe-core finds, and nothing that sticks out.
func TestRecipesAreAccessible(t *testing.T) {
	script := axe(t)
	h := full(t, 12)
	v := newVisitor(t, h)
	h.follow(h.post(recipePage, boxes(h.get(recipePage).form(reds), map[string]string{"V02": "2", "V04": "4", "V12": "6"})))
	for _, size := range []int64{1280, 320} {
		v.do(chromedp.EmulateViewport(size, 844))
		v.open(recipePage)
		for _, state := range []string{"by hand", "with errors"} {
			if state == "with errors" {
				v.do(chromedp.SetValue(chromedp.CSS("#b-P3-V02"), "two"), chromedp.Click(chromedp.CSS("#p-P3 button.first")), chromedp.WaitVisible(chromedp.CSS("#p-P3 .err")))
			}
			require.Empty(t, v.accessible(script), "%s at %d px", state, size)
			require.Empty(t, v.value(sticksOut), "%s at %d px", state, size)
		}
	}
}
