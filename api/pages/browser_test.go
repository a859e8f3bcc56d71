package pages_test

import (
	"context"
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// browser starts Chromium without a window. Where there is none the test is
// skipped, or fails where HEADTALLY_NEED_TOOLS says that it must be there.
func browser(t *testing.T) context.Context {
	t.Helper()
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			path = found
			break
		}
	}
	if path == "" {
		if os.Getenv("HEADTALLY_NEED_TOOLS") == "1" {
			t.Fatal("Chromium is needed and not installed")
		}
		t.Skip("skipped: Chromium is not installed, and the pages are tried in it")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true), chromedp.NoFirstRun)
	alone, stop := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(stop)
	ctx, closeTab := chromedp.NewContext(alone)
	t.Cleanup(closeTab)
	ctx, done := context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(done)
	return ctx
}
