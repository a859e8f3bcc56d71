package pages_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// page is an answer of the pages, taken apart.
type page struct {
	t      testing.TB
	status int
	header http.Header
	body   string
	root   *html.Node
}

func readPage(t testing.TB, w *httptest.ResponseRecorder) *page {
	t.Helper()
	root, err := html.Parse(strings.NewReader(w.Body.String()))
	require.NoError(t, err)
	return &page{t, w.Code, w.Header(), w.Body.String(), root}
}

// all are the elements that a selector chooses. It knows tag, .class, #id,
// [name] and [name=value], alone or together, and a blank for "inside".
func (p *page) all(selector string) (found []*html.Node) {
	nodes := []*html.Node{p.root}
	for part := range strings.FieldsSeq(selector) {
		seen := map[*html.Node]bool{}
		found = nil
		for _, n := range nodes {
			for d := range n.Descendants() {
				if d.Type == html.ElementNode && matches(d, part) && !seen[d] {
					seen[d] = true
					found = append(found, d)
				}
			}
		}
		nodes = found
	}
	return found
}

func (p *page) one(selector string) *html.Node {
	p.t.Helper()
	found := p.all(selector)
	require.NotEmpty(p.t, found, "nothing is %s in\n%s", selector, p.body)
	return found[0]
}

func (p *page) text(selector string) string {
	p.t.Helper()
	return textOf(p.one(selector))
}

func textOf(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

func attr(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

func has(n *html.Node, name string) bool {
	for _, a := range n.Attr {
		if a.Key == name {
			return true
		}
	}
	return false
}

func matches(n *html.Node, part string) bool {
	for part != "" {
		end := strings.IndexAny(part[1:], ".#[") + 1
		if part[0] == '[' {
			end = strings.IndexByte(part, ']') + 1
		}
		if end <= 0 {
			end = len(part)
		}
		if !matchesOne(n, part[:end]) {
			return false
		}
		part = part[end:]
	}
	return true
}

func matchesOne(n *html.Node, simple string) bool {
	switch simple[0] {
	case '.':
		for class := range strings.FieldsSeq(attr(n, "class")) {
			if class == simple[1:] {
				return true
			}
		}
		return false
	case '#':
		return attr(n, "id") == simple[1:]
	case '[':
		name, value, valued := strings.Cut(strings.Trim(simple, "[]"), "=")
		return has(n, name) && (!valued || attr(n, name) == value)
	}
	return n.Data == simple
}
