package pages_test

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// everyPage is an address of each page of a full farm.
var everyPage = []string{
	"/day/2027-03-04", "/orders/2027-03-04", "/week/2027-03-04", "/customer/C001", "/standing", "/standing/new", "/recipe/2027-03-04",
	"/promise", "/promise?product=P1&day=2027-03-04&cases=9&customer=C002", "/outlook", "/outlook/V01/2027-03-04", "/outlook/V01/2027-04-20",
	"/beds", "/beds/walk", "/customers", "/customers/C001", "/customers/new", "/products", "/products/P4", "/products/new",
	"/varieties", "/varieties/V01", "/varieties/new", "/carriers", "/carriers/NORTH", "/carriers/new", "/calendar", "/calendar/new",
	"/morning/2027-03-03", "/papers/2027-03-03", "/trace", "/availability", "/batches", "/sowing", "/went", "/growing", "/raft-beds", "/raft-beds/new", "/profiles", "/profiles/new", "/sheet", "/layouts", "/layouts/new", "/exports", "/after/2027-03-04", "/holidays", "/surges", "/surges/new",
	"/farm", "/history", "/history?of=customers&code=C001", "/first",
}

func TestEveryPageOfAFullFarm(t *testing.T) {
	h := full(t, 30)
	for _, address := range everyPage {
		t.Run(address, func(t *testing.T) { h.get(address).wellMade(t, http.StatusOK) })
	}
}

func TestEveryPageOfAnEmptyFarmSaysWhatToDo(t *testing.T) {
	h := newHouse(t)
	for _, address := range []string{"/first", "/day", "/orders", "/recipe", "/promise", "/outlook", "/beds", "/beds/walk", "/customers", "/products", "/varieties", "/carriers", "/calendar", "/standing", "/morning", "/papers", "/batches", "/sowing", "/went", "/growing", "/raft-beds", "/profiles", "/trace", "/sheet", "/farm", "/history",
		"/customers/new", "/products/new", "/standing/new", "/carriers/new", "/varieties/new", "/after/2027-03-03", "/availability", "/week/2027-03-04", "/surges/new", "/calendar/new", "/profiles/new"} {
		t.Run(address, func(t *testing.T) {
			p := h.get(address)
			p.wellMade(t, http.StatusOK)
			if !strings.Contains(address, "farm") && address != "/history" {
				require.NotEmpty(t, append(p.all("main a"), p.all("main button")...), "there is something to do")
			}
			for _, list := range p.all("main select") {
				require.NotEmpty(t, strings.TrimSpace(textOf(list)), "nothing can be chosen in %s", attr(list, "name"))
			}
		})
	}
	require.Equal(t, "/first", h.get("/").header.Get("Location"))
	for address, first := range map[string]string{"/batches": "/varieties/new", "/sowing": "/varieties/new", "/beds/walk": "/varieties/new", "/products/new": "/varieties/new",
		"/customers/new": "/carriers/new", "/standing/new": "/customers/new", "/after/2027-03-03": "/products/new", "/availability": "/products/new"} {
		require.Equal(t, first, attr(h.get(address).one("main .empty a.first"), "href"), "what %s needs first", address)
	}
}

func TestEveryPageIsThereInSpanish(t *testing.T) {
	h := full(t, 12)
	h.speak("es")
	for _, address := range everyPage {
		t.Run(address, func(t *testing.T) {
			p := h.get(address)
			p.wellMade(t, http.StatusOK)
			require.Equal(t, "es", attr(p.one("html"), "lang"))
		})
	}
}

var (
	codeLeft  = regexp.MustCompile(`\b(page|fault|refused|kind)\.[a-z]+[a-z._]*\b`)
	holeLeft  = regexp.MustCompile(`\{[a-z]+[|}]|%![a-z(]`)
	innerWord = regexp.MustCompile(`(?i)\b(slots?|line class|network|objective|substitution sum)\b`)
)

// wellMade holds what every page must keep: its status, whose farm and which
// day, no inline style or script, a name for every control and every picture,
// no id twice, no code without its words and no word of the inside.
func (p *page) wellMade(t *testing.T, status int) {
	t.Helper()
	require.Equal(t, status, p.status, p.body)
	require.Len(t, p.all("h1"), 1)
	require.NotEmpty(t, p.text(".farm"))
	require.NotEmpty(t, p.text(".today"))
	ids := map[string]bool{}
	labels := map[string]bool{}
	for _, l := range p.all("label[for]") {
		labels[attr(l, "for")] = true
	}
	for n := range p.root.Descendants() {
		if n.Type != html.ElementNode {
			continue
		}
		require.False(t, has(n, "style"), "inline style on %s", n.Data)
		for _, a := range n.Attr {
			require.False(t, strings.HasPrefix(a.Key, "on"), "inline script %s on %s", a.Key, n.Data)
		}
		if id := attr(n, "id"); id != "" {
			require.False(t, ids[id], "id %s stands twice", id)
			ids[id] = true
		}
		p.named(t, n, labels)
	}
	for _, n := range p.all("script") {
		require.NotEmpty(t, attr(n, "src"))
	}
	require.Empty(t, p.all("style"))
	seen := textOf(p.one("body"))
	require.Empty(t, codeLeft.FindString(seen), "a code without words")
	require.Empty(t, innerWord.FindString(seen), "a word of the inside")
	require.Empty(t, holeLeft.FindString(seen), "a figure is missing in a sentence")
}

// named sees that a control can be told by name.
func (p *page) named(t *testing.T, n *html.Node, labels map[string]bool) {
	t.Helper()
	switch n.Data {
	case "input", "select", "textarea":
		inLabel := false
		for a := n.Parent; a != nil; a = a.Parent {
			inLabel = inLabel || a.Data == "label"
		}
		require.True(t, attr(n, "type") == "hidden" || inLabel || labels[attr(n, "id")] || attr(n, "aria-label") != "", "%s %s has no name", n.Data, attr(n, "name"))
	case "button", "a", "summary":
		require.NotEmpty(t, textOf(n), "%s without a word: %v", n.Data, n.Attr)
	case "svg":
		if attr(n, "aria-hidden") != "true" {
			require.Equal(t, "img", attr(n, "role"))
			require.NotNil(t, n.FirstChild)
			require.Equal(t, "title", n.FirstChild.Data)
		}
	}
}
