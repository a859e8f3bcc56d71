package manual

import (
	"bytes"
	"flag"
	"os"
	"slices"
	"strings"
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
	for _, name := range slices.Concat(written, inSpanish()) {
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

// inSpanish are the chapters in Spanish: all but the contract's.
func inSpanish() (names []string) {
	for _, name := range written {
		if name != ofContract {
			names = append(names, "es/"+name)
		}
	}
	return names
}

// TestEveryChapterIsThereInSpanish: each says as much as in English, by its
// headings, tables and commands.
func TestEveryChapterIsThereInSpanish(t *testing.T) {
	for _, name := range inSpanish() {
		spanish, err := os.ReadFile(name + ".md")
		require.NoError(t, err)
		english, err := os.ReadFile(strings.TrimPrefix(name, "es/") + ".md")
		require.NoError(t, err)
		for _, part := range []string{"\n## ", "\n| ", "\n$ headtally ", "\n- **", "\n```"} {
			require.Equal(t, bytes.Count(english, []byte(part)), bytes.Count(spanish, []byte(part)), "%s: %q", name, part)
		}
		c, ok := Find("es", strings.TrimPrefix(name, "es/"))
		require.True(t, ok)
		require.Equal(t, "es", c.Language, name)
	}
}
