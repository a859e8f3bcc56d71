package manual

import (
	"bytes"
	"flag"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
)

var update = flag.Bool("update", false, "make the pages of the chapters anew")

// TestPagesAreTheChapters makes each chapter's page from its Markdown and the
// contract's own words, and holds it against the one that is served. HTML within
// the Markdown is left out.
func TestPagesAreTheChapters(t *testing.T) {
	contract, err := readContract()
	require.NoError(t, err)
	g := goldmark.New(goldmark.WithExtensions(extension.Table), goldmark.WithParserOptions(parser.WithAutoHeadingID()))
	for _, name := range written {
		text, err := os.ReadFile(name + ".md")
		require.NoError(t, err)
		title, rest, ok := bytes.Cut(bytes.TrimPrefix(text, []byte("# ")), []byte("\n"))
		require.True(t, ok, "%s.md begins with its title", name)
		if name == ofContract {
			rest = append(rest, contract.Info.Description...)
		}
		page := bytes.NewBufferString("<h1>" + string(title) + "</h1>\n")
		require.NoError(t, g.Convert(rest, page))
		if *update {
			require.NoError(t, os.WriteFile(name+".html", page.Bytes(), 0o644))
		}
		served, err := os.ReadFile(name + ".html")
		require.NoError(t, err)
		require.Equal(t, page.String(), string(served), "%s.html is not %s.md: go test ./api/manual -update", name, name)
	}
}
