//go:build !race

package pages_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// TestSigningInWithABrowser goes the whole way over plain HTTP on this machine:
// the browser takes the Secure cookie, brings it back, and is out after.
func TestSigningInWithABrowser(t *testing.T) {
	h := full(t, 3)
	secret, err := h.book.FirstVisit(t.Context())
	require.NoError(t, err)
	v := newVisitor(t, h)
	v.open("/begin?visit=" + secret)
	v.tabTo("#f-name")
	v.do(chromedp.KeyEvent("Ada" + kb.Tab + "seven wet rafts at dawn" + kb.Enter))
	v.sees(`location.pathname.startsWith("/day/")`)
	require.NotContains(t, v.value("document.cookie"), "headtally", "no script sees it")

	v.open("/me")
	v.tabTo(`form[action="/sign-out"] button`)
	v.do(chromedp.KeyEvent(kb.Enter))
	v.sees(`location.pathname === "/sign-in"`)
	v.open("/customers")
	v.sees(`location.pathname === "/sign-in"`)
	v.tabTo("#f-code")
	v.do(chromedp.KeyEvent("ada" + kb.Tab + "wrong guess" + kb.Enter))
	v.sees(`document.querySelector("[role=alert]")`)
	v.tabTo("#f-password")
	v.do(chromedp.KeyEvent("seven wet rafts at dawn" + kb.Enter))
	v.sees(`location.pathname === "/customers"`)

	require.True(t, strings.HasPrefix(v.address, "http://127.0.0.1:"))
}
