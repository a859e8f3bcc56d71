package pages

import (
	"html/template"
	"net/http"

	"github.com/labstack/echo/v4"

	"headtally/api/manual"
	"headtally/domain"
)

// ManualView is one chapter of the manual, with the way to the others.
type ManualView struct {
	Frame
	Name     string
	Written  string // the language of the chapter
	Chapters []manual.Chapter
	Body     template.HTML
}

func (o *Office) registerManual(e *echo.Echo) {
	e.GET("/manual", o.page(func(v *visit) error { return v.chapter(manual.Chapters(manual.English)[0].Name) }))
	e.GET("/manual/:chapter", o.page(func(v *visit) error { return v.chapter(v.Param("chapter")) }))
}

func (v *visit) chapter(name string) error {
	c, ok := manual.Find(v.speech.Language, name)
	if !ok {
		return domain.Refuse(domain.ErrNotFound, "chapter", name)
	}
	return v.show(http.StatusOK, "manual", ManualView{v.frame("more", c.Title), c.Name, c.Language, manual.Chapters(v.speech.Language), c.Body})
}
