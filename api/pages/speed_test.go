package pages_test

import (
	"compress/gzip"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What a page may weigh: 100 KB compressed, and 30 KB of script at first view.
const (
	pageLimit   = 100 << 10
	scriptLimit = 30 << 10
)

func TestWeightOfEveryPage(t *testing.T) {
	h := full(t, 60)
	for _, address := range everyPage {
		p := h.get(address)
		n := &counter{}
		w := gzip.NewWriter(n)
		_, err := w.Write([]byte(p.body))
		require.NoError(t, err)
		require.NoError(t, w.Close())
		require.Less(t, n.bytes, pageLimit, address)
		script := 0
		for _, s := range p.all("script") {
			script += len(h.get(attr(s, "src")).body)
		}
		require.Less(t, script, scriptLimit, address)
		t.Logf("%-60s %4d KB, %3d KB compressed", address, len(p.body)>>10, n.bytes>>10)
	}
}

type counter struct{ bytes int }

func (c *counter) Write(b []byte) (int, error) {
	c.bytes += len(b)
	return len(b), nil
}

// BenchmarkPages makes each page of a farm of 60 customers.
func BenchmarkPages(b *testing.B) {
	h := full(b, 60)
	for _, address := range everyPage {
		b.Run(address, func(b *testing.B) {
			for b.Loop() {
				w := httptest.NewRecorder()
				h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, address, nil))
				if w.Code != http.StatusOK {
					b.Fatal(w.Code, w.Body.String())
				}
			}
		})
	}
}

// BenchmarkCellWhileTyping is the answer to one key in a cell.
func BenchmarkCellWhileTyping(b *testing.B) {
	h := full(b, 60)
	for b.Loop() {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/p/cell?name=cell~C001~P1~2027-03-04~2&cases=12", nil))
		if w.Code != http.StatusOK {
			b.Fatal(w.Code, w.Body.String())
		}
	}
}

// BenchmarkCellStored is a cell typed and stored: the change, the plan made
// anew, and how the cell then stands.
func BenchmarkCellStored(b *testing.B) {
	h := full(b, 60)
	was := 2
	for b.Loop() {
		next := 5 - was
		form := url.Values{"name": {"cell~C001~P1~2027-03-04~" + strconv.Itoa(was)}, "cases": {strconv.Itoa(next)}}
		r := httptest.NewRequest(http.MethodPost, "/p/cell", strings.NewReader(form.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		w := httptest.NewRecorder()
		if h.ServeHTTP(w, r); w.Code != http.StatusOK {
			b.Fatal(w.Code, w.Body.String())
		}
		was = next
	}
}
