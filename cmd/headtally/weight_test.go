package main

import (
	"bytes"
	"compress/gzip"
	"io"
	"log/slog"
	"maps"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/testdata/farm"
)

// What a page of the demo farm may weigh, and the script of a first view.
const (
	pageLimit   = 100 << 10 // compressed
	scriptLimit = 30 << 10
)

// demoService is the whole service on the demo farm, as its own machine asks it.
func demoService(t testing.TB) func(address string) *httptest.ResponseRecorder {
	t.Helper()
	asOf := domain.MustDay(farm.AsOf)
	sh := surroundings{now: clockFrom(asOf, time.Now), out: io.Discard, err: io.Discard}
	dir := t.TempDir()
	_, err := makeDemo(t.Context(), sh, dir, asOf)
	require.NoError(t, err)
	b, done, err := openBook(t.Context(), sh, place{folder: dir})
	require.NoError(t, err)
	t.Cleanup(done)
	handler, err := wire(b, sh, slog.New(slog.DiscardHandler), serving{reach: reach{alone: true}}, func(error) {})
	require.NoError(t, err)
	return func(address string) *httptest.ResponseRecorder {
		r := httptest.NewRequest(http.MethodGet, address, nil)
		r.Host, r.RemoteAddr = "127.0.0.1", "127.0.0.1:4000"
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, r)
		return w
	}
}

var (
	link   = regexp.MustCompile(`<a [^>]*href="(/[^"#]*)`)
	script = regexp.MustCompile(`<script src="([^"]+)"`)
	own    = regexp.MustCompile(`^[^a-z]*$|\d`) // a part of an address that names one record or day
)

// demoPages follows the links from the first page and gives an address of each
// kind of page.
func demoPages(t testing.TB, get func(string) *httptest.ResponseRecorder) []string {
	t.Helper()
	kinds := map[string]string{}
	seen := map[string]bool{}
	for queue := []string{"/"}; len(queue) > 0; queue = queue[1:] {
		address := strings.ReplaceAll(queue[0], "&amp;", "&")
		if path, _, _ := strings.Cut(address, "?"); seen[address] || kinds[kindOf(path)] != "" {
			continue
		}
		seen[address] = true
		w := get(address)
		if to := w.Header().Get("Location"); to != "" {
			queue = append(queue, to)
			continue
		}
		require.Equal(t, http.StatusOK, w.Code, "%s: %s", address, w.Body)
		if !strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
			continue
		}
		path, _, _ := strings.Cut(address, "?")
		kinds[kindOf(path)] = address
		for _, m := range link.FindAllStringSubmatch(w.Body.String(), -1) {
			queue = append(queue, m[1])
		}
	}
	pages := slices.Sorted(maps.Values(kinds))
	require.Greater(t, len(pages), 40, "pages that links lead to")
	return pages
}

func kindOf(path string) string {
	parts := strings.Split(path, "/")
	for i := range parts {
		if i > 1 && own.MatchString(parts[i]) {
			parts[i] = "*"
		}
	}
	return strings.Join(parts, "/")
}

// TestPagesOfTheDemoFarmAreLight weighs every page that links lead to.
func TestPagesOfTheDemoFarmAreLight(t *testing.T) {
	get := demoService(t)
	for _, address := range demoPages(t, get) {
		body := get(address).Body.Bytes()
		var packed bytes.Buffer
		w := gzip.NewWriter(&packed)
		_, err := w.Write(body)
		require.NoError(t, err)
		require.NoError(t, w.Close())
		scripts := 0
		for _, m := range script.FindAllSubmatch(body, -1) {
			scripts += get(string(m[1])).Body.Len()
		}
		require.Less(t, packed.Len(), pageLimit, address)
		require.Less(t, scripts, scriptLimit, address)
		t.Logf("%-50s %5.1f KB, %4.1f compressed, %4.1f of script", address, kb(len(body)), kb(packed.Len()), kb(scripts))
	}
}

func kb(n int) float64 { return float64(n) / 1000 }

// BenchmarkPagesOfTheDemoFarm makes every page that links lead to: HTML in under
// 50 ms each.
func BenchmarkPagesOfTheDemoFarm(b *testing.B) {
	get := demoService(b)
	for _, address := range demoPages(b, get) {
		b.Run(address, func(b *testing.B) {
			for b.Loop() {
				if w := get(address); w.Code != http.StatusOK {
					b.Fatal(w.Code)
				}
			}
		})
	}
}
