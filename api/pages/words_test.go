package pages

import (
	"io/fs"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/words"
)

var saidCode = regexp.MustCompile(`\bsay\(?\s*"(page\.[a-z0-9_.]*[a-z0-9_])"`)

// Every code that a template or a handler names is in every language, and no
// sentence stands in a template itself.
func TestEveryWordIsInTheCatalogue(t *testing.T) {
	codes := map[string]bool{}
	gather := func(fsys fs.FS, pattern string) {
		names, err := fs.Glob(fsys, pattern)
		require.NoError(t, err)
		for _, name := range names {
			content, err := fs.ReadFile(fsys, name)
			require.NoError(t, err)
			for _, m := range saidCode.FindAllStringSubmatch(string(content), -1) {
				codes[m[1]] = true
			}
		}
	}
	gather(templates, "templates/*.html")
	gather(os.DirFS("."), "*.go")
	require.Greater(t, len(codes), 150)
	for _, language := range words.Languages {
		for code := range codes {
			require.True(t, words.In(language).Has(code), "%s lacks %s", language, code)
		}
	}
}

var (
	action    = regexp.MustCompile(`(?s)\{\{.*?\}\}`)
	element   = regexp.MustCompile(`(?s)<[^>]*>`)
	attribute = regexp.MustCompile(`[a-z-]+="[^"]*"|\brequired\b`)
	letters   = regexp.MustCompile(`[A-Za-z]{2,}`)
)

func TestNoSentenceStandsInATemplate(t *testing.T) {
	names, err := fs.Glob(templates, "templates/*.html")
	require.NoError(t, err)
	for _, name := range names {
		content, err := templates.ReadFile(name)
		require.NoError(t, err)
		bare := attribute.ReplaceAllString(element.ReplaceAllString(action.ReplaceAllString(string(content), ""), ""), "")
		require.Empty(t, letters.FindString(strings.ReplaceAll(bare, "&amp;", "")), "%s holds a word of its own", name)
	}
}

var fieldTag = regexp.MustCompile(`json:"([a-z_]+)`)

// Every field of a record has a word, for the history shows what was changed.
func TestEveryFieldOfARecordHasItsWord(t *testing.T) {
	files := os.DirFS("../../domain")
	names, err := fs.Glob(files, "*.go")
	require.NoError(t, err)
	fields := 0
	for _, name := range names {
		content, err := fs.ReadFile(files, name)
		require.NoError(t, err)
		for _, m := range fieldTag.FindAllStringSubmatch(string(content), -1) {
			fields++
			require.True(t, words.In("es").Has("page.f."+m[1]) || words.In("es").Has("page.h."+m[1]), "%s of %s", m[1], name)
		}
	}
	require.Greater(t, fields, 100)
}
