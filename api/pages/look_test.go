//go:build !race

package pages_test

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	printing "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// look is where pictures of every page are put, to be looked at:
//
//	go test ./api/pages -run TestLook -look /tmp/look
//
// Each is there at a desk and on a telephone, in light and in dark, and as it is
// printed.
var look = flag.String("look", "", "put a picture of every page into this folder")

// speech is the language of the farm that is looked at.
var speech = flag.String("speech", "en", "the language of the pictures")

func TestLook(t *testing.T) {
	if *look == "" {
		t.Skip("pictures are made with -look FOLDER")
	}
	require.NoError(t, os.MkdirAll(*look, 0o755))
	h, more := stocked(t, 30)
	h.speak(*speech)
	v := newVisitor(t, h)
	v.signIn()
	for _, address := range append(h.allPages(more), "/nowhere") {
		name := strings.Trim(strings.NewReplacer("/", "-", "?", "-", "&", "-", "=", "-", ":", "-", "%", "").Replace(address), "-")
		v.open(address)
		for _, size := range []struct {
			name          string
			width, height int64
		}{{"desk", 1280, 900}, {"phone", 390, 844}} {
			v.do(chromedp.EmulateViewport(size.width, size.height))
			for _, scheme := range []string{"light", "dark"} {
				v.scheme(scheme)
				picture, err := chromedp.Run(v.ctx, chromedp.FullScreenshot(100))
				v.keep(fmt.Sprintf("%s-%s-%s.png", size.name, scheme, name), picture, err)
			}
		}
		printed, err := chromedp.Run(v.ctx, func(ctx context.Context, _ *chromedp.Target) ([]byte, error) {
			got, err := chromedp.Call(ctx, printing.PrintToPDF, printing.PrintToPDFParams{})
			return got.Data, err
		})
		v.keep("print-"+name+".pdf", printed, err)
	}
}

// keep writes a picture into the folder.
func (v *visitor) keep(name string, picture []byte, err error) {
	v.Helper()
	require.NoError(v.TB, err)
	require.NoError(v.TB, os.WriteFile(filepath.Join(*look, name), picture, 0o600))
}
