// Package manual is what the house says of itself at length: how the plan
// decides, the spreadsheet, running it for years, and the JSON API. The chapters
// are Markdown, to be read as they lie here, those in Spanish in a folder of
// their own; beside each lies the page that a test makes of it
// (go test ./api/manual -update). The API's own chapters are made from its
// contract, and are in English alone, as it is.
package manual

import (
	"embed"
	"errors"
	"html/template"
	"io/fs"
	"slices"
	"strings"
	"sync"
)

//go:embed *.html es/*.html
var sheets embed.FS

// English is the language in which every chapter is written.
const English = "en"

// Chapter is one page of the manual.
type Chapter struct {
	Name     string // its place in the address
	Title    string
	Under    string // the chapter it belongs to, "" for one that stands by itself
	Language string // in which it is written
	Body     template.HTML
}

// written are the chapters in the order in which they are read; the contract's
// follow the last.
var written = []string{"spreadsheet", "how-the-plan-decides", "running", ofContract}

// ofContract is the chapter that the contract's belong to.
const ofContract = "api"

var books = map[string]func() []Chapter{
	English: sync.OnceValue(func() []Chapter { return chaptersIn(English) }),
	"es":    sync.OnceValue(func() []Chapter { return chaptersIn("es") }),
}

// Chapters are all of them for a reader of a language, made once: those that are
// not written in it are in English. A chapter that cannot be made is a fault of
// the program.
func Chapters(language string) []Chapter {
	if made, ok := books[language]; ok {
		return made()
	}
	return books[English]()
}

func chaptersIn(language string) (all []Chapter) {
	for _, name := range written {
		page, in := sheet(name, language)
		title, body, _ := strings.Cut(strings.TrimPrefix(string(page), "<h1>"), "</h1>\n")
		all = append(all, Chapter{Name: name, Title: title, Language: in, Body: template.HTML(body)}) //nolint:gosec // our own text, embedded
	}
	c, err := readContract()
	if err != nil {
		panic("manual: " + err.Error())
	}
	return append(all, c.chapters()...)
}

// sheet is a chapter's page in a language, or in English, and in which it is.
func sheet(name, language string) (page []byte, in string) {
	if language != English {
		page, err := sheets.ReadFile(language + "/" + name + ".html")
		if err == nil {
			return page, language
		}
		if !errors.Is(err, fs.ErrNotExist) {
			panic("manual: " + err.Error())
		}
	}
	page, err := sheets.ReadFile(name + ".html")
	if err != nil {
		panic("manual: " + err.Error())
	}
	return page, English
}

// Find is the chapter of a name for a reader of a language.
func Find(language, name string) (Chapter, bool) {
	all := Chapters(language)
	i := slices.IndexFunc(all, func(c Chapter) bool { return c.Name == name })
	if i < 0 {
		return Chapter{}, false
	}
	return all[i], true
}
