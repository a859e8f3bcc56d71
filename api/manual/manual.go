// Package manual is what the house says of itself at length: how the plan
// decides, the spreadsheet, running it for years, and the JSON API. The chapters
// are Markdown, to be read as they lie here; beside each lies the page that a
// test makes of it (go test ./api/manual -update). The API's own chapters are
// made from its contract.
package manual

import (
	"embed"
	"html/template"
	"slices"
	"strings"
	"sync"
)

//go:embed *.html
var sheets embed.FS

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
	for _, name := range written {
		page, err := sheets.ReadFile(name + ".html")
		if err != nil {
			panic("manual: " + err.Error())
		}
		title, body, _ := strings.Cut(strings.TrimPrefix(string(page), "<h1>"), "</h1>\n")
		all = append(all, Chapter{Name: name, Title: title, Body: template.HTML(body)}) //nolint:gosec // our own text, embedded
	}
	c, err := readContract()
	if err != nil {
		panic("manual: " + err.Error())
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
