// Package manual is what the house says of itself at length: how the plan
// decides, the spreadsheet, running it for years, and the JSON API. The chapters
// are Markdown, to be read as they lie here or as the pages that the service
// makes of them; the API's own are made from its contract.
package manual

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"slices"
	"strings"
	"sync"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
)

//go:embed *.md
var texts embed.FS

// Chapter is one page of the manual.
type Chapter struct {
	Name  string // its place in the address
	Title string
	Under string // the chapter it belongs to, "" for one that stands by itself
	Body  template.HTML
}

// written are the chapters in the order in which they are read; the contract's
// follow the last.
var written = []string{"spreadsheet", "how-the-plan-decides", "running", ofContract}

// ofContract is the chapter that the contract's belong to.
const ofContract = "api"

// Chapters are all of them, made once. A chapter that cannot be made is a fault
// of the program.
var Chapters = sync.OnceValue(func() (all []Chapter) {
	c, err := readContract()
	if err != nil {
		panic("manual: " + err.Error())
	}
	for _, name := range written {
		source, err := texts.ReadFile(name + ".md")
		if err != nil {
			panic("manual: " + err.Error())
		}
		title, rest, ok := strings.Cut(strings.TrimPrefix(string(source), "# "), "\n")
		if !ok {
			panic("manual: " + name + ".md begins with no title")
		}
		if name == ofContract {
			rest += c.Info.Description
		}
		all = append(all, Chapter{Name: name, Title: title, Body: paint(rest)})
	}
	return append(all, c.chapters()...)
})

// Find is the chapter of a name.
func Find(name string) (Chapter, bool) {
	i := slices.IndexFunc(Chapters(), func(c Chapter) bool { return c.Name == name })
	if i < 0 {
		return Chapter{}, false
	}
	return Chapters()[i], true
}

// paint makes HTML of Markdown. HTML within it is left out.
func paint(markdown string) template.HTML {
	var b bytes.Buffer
	g := goldmark.New(goldmark.WithExtensions(extension.Table), goldmark.WithParserOptions(parser.WithAutoHeadingID()))
	if err := g.Convert([]byte(markdown), &b); err != nil {
		panic(fmt.Sprintf("manual: %v", err))
	}
	return template.HTML(b.String()) //nolint:gosec // our own text, embedded
}
