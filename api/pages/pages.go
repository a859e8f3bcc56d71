// Package pages is the office's face: pages in a browser for the office, the
// greenhouse and the packing room. A file here is a page: its addresses, the
// view it shows, and how what was typed becomes a call of the book. No rule of
// the trade is decided here.
//
// Every figure can be seen and every change made with scripts off; scripts add
// the answer while typing, arrow keys and the keeping of what could not be sent.
// A change is posted and answered with a redirect, so that going back and
// loading again change nothing.
package pages

import (
	"context"
	"io"
	"time"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/api/words"
	"headtally/domain"
)

// Deps is what the pages stand on.
type Deps struct {
	Book *book.Book
	Now  func() time.Time

	Rack func(p *book.PackingDay) []Paper                         // the papers of a packing day, in the order of their use; nil: none can be printed
	Draw func(w io.Writer, p *book.PackingDay, name string) error // draws one of them as a PDF
	Read func(name string, content []byte) ([]book.Table, error)  // reads a spreadsheet; nil: none can be taken in

	DrawRecall func(w io.Writer, c *book.Recall) error                                         // as a PDF; nil: none
	DrawSpares func(w io.Writer, farm domain.Farm, asOf domain.Day, spares []book.Spare) error // what can still be had, as a PDF
	SpareLines func(farm domain.Farm, spares []book.Spare) []string                            // and in lines to paste

	DrawGrowing func(w io.Writer, g *book.GrowingDay, name string) error // draws a paper of growing as a PDF; nil: none

	// Demo opens an invented farm on this machine and says where; nil: none can be.
	Demo func(ctx context.Context) (address string, err error)
	// Invented says that the book is an invented farm's, which every page tells.
	Invented bool

	WriteCSV  func(w io.Writer, t book.Table, s *words.Speech) error // write tables for a spreadsheet; nil: none leave the book
	WriteXLSX func(w io.Writer, tables []book.Table, s *words.Speech) error
}

// Office serves the pages.
type Office struct {
	Deps
	prints  prints
	held    held
	takings takings
	ahead   aheadKept
}

// New makes the pages; templates that do not parse are a fault of the program.
func New(d Deps) *Office { return &Office{Deps: d, prints: parse()} }

// Register adds every address of the pages.
func (o *Office) Register(e *echo.Echo) {
	e.GET("/static/:file", o.static)
	e.GET("/", o.begin)
	o.registerComing(e)
	o.registerOrders(e)
	o.registerPhone(e)
	o.registerSorts(e)
	o.registerFarm(e)
	o.registerHistory(e)
	o.registerOutlook(e)
	o.registerRecipe(e)
	o.registerPromise(e)
	o.registerBeds(e)
	o.registerFirst(e)
	o.registerSheet(e)
	o.registerExports(e)
	o.registerAfter(e)
	o.registerHolidays(e)
	o.registerPapers(e)
	o.registerDoor(e)
	o.registerPeople(e)
	o.registerMorning(e)
	o.registerSowing(e)
	o.registerWent(e)
	o.registerGrowing(e)
	o.registerTrace(e)
	o.registerBatches(e)
	o.registerManual(e)
}
