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

// told is what the page says went wrong.
func (p *page) told() string {
	if len(p.all(".wrong")) == 0 {
		return p.body
	}
	return p.text(".wrong")
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
			end = closing(part)
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

// closing is where an attribute's bracket ends; its value may hold brackets.
func closing(part string) int {
	depth := 0
	for i := range len(part) {
		switch part[i] {
		case '[':
			depth++
		case ']':
			if depth--; depth == 0 {
				return i + 1
			}
		}
	}
	return len(part)
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
		name, value, valued := strings.Cut(simple[1:len(simple)-1], "=")
		return has(n, name) && (!valued || attr(n, name) == value)
	}
	return n.Data == simple
}
