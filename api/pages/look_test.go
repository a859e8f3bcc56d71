package pages_test

import (
	"flag"
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// look is where pictures of every page are put, to be looked at:
//
//	go test ./api/pages -run TestLook -look /tmp/look
var look = flag.String("look", "", "put a picture of every page into this folder")

func TestLook(t *testing.T) {
	if *look == "" {
		t.Skip("pictures are made with -look FOLDER")
	}
	require.NoError(t, os.MkdirAll(*look, 0o755))
	server := httptest.NewServer(full(t, 30))
	defer server.Close()
	ctx := browser(t)
	for _, size := range []struct {
		name          string
		width, height int64
	}{{"desk", 1280, 900}, {"phone", 390, 844}} {
		for _, address := range everyPage {
			name := fmt.Sprintf("%s-%s.png", size.name, strings.Trim(strings.NewReplacer("/", "-", "?", "-", "&", "-", "=", "-").Replace(address), "-"))
			require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(size.width, size.height), chromedp.Navigate(server.URL+address)))
			picture, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(filepath.Join(*look, name), picture, 0o644))
		}
	}
}
