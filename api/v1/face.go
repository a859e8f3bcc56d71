// Package v1 is the JSON face of the book, under /v1. It turns requests into
// calls of the book and what comes back into documents, and decides nothing
// about the trade.
//
// A record's body is the domain's own document, so that an order has one
// vocabulary from the greenhouse to the integrator; openapi.yaml pins it, and
// what a client may not set (revision, ended) is not part of it. An answer adds
// those two. A record that is ended stays readable under its code, with ended
// true, and is left out of lists that do not ask for ended ones; replacing it
// takes it up again.
//
// An ETag is a revision: of a record, the one that last changed it; of a
// decision about a line likewise, "0" before any was taken; of what is computed
// from the book (tally, plan, day, pack list), the book's own.
//
// Every POST that stores something asks for an Idempotency-Key, see once.go.
package v1

import (
	"io"
	"net/http"
	"time"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/api/words"
	"headtally/domain"
)

// Deps is what the face stands on.
type Deps struct {
	Book *book.Book
	Now  func() time.Time // the same clock as the book's
	// PackList writes the pack list of a day as a PDF on letter or a4 paper.
	PackList func(w io.Writer, d *book.Day, paper string) error
	// ReadSheets reads a spreadsheet's tables, what should be known of how it was
	// read, and what is wrong with it as domain.Faults.
	ReadSheets func(name string, content []byte) ([]book.Table, domain.Faults, error)
	// Rack lists the papers of a packing day, in the order in which they are used.
	Rack func(p *book.PackingDay) []Paper
	// Draw writes one of them as a PDF on letter or a4 paper; "" is the farm's.
	Draw func(w io.Writer, p *book.PackingDay, name, paper string) error
	// DrawGrowing writes one of the papers of growing as a PDF likewise.
	DrawGrowing func(w io.Writer, g *book.GrowingDay, name, paper string) error
	// DrawRecall and DrawSpares write a recall, and the list of what can still be
	// had, likewise; SpareLines is that list in a few lines to paste.
	DrawRecall func(w io.Writer, c *book.Recall, paper string) error
	DrawSpares func(w io.Writer, farm domain.Farm, asOf domain.Day, spares []book.Spare, paper string) error
	SpareLines func(farm domain.Farm, spares []book.Spare) []string
	// WriteCSV and WriteXLSX write tables for a spreadsheet in a language.
	WriteCSV  func(w io.Writer, t book.Table, s *words.Speech) error
	WriteXLSX func(w io.Writer, tables []book.Table, s *words.Speech) error
}

// Paper is one paper of a packing day.
type Paper struct {
	Name  string `json:"name"` // it is drawn by
	Title string `json:"title"`
}

// Face is the JSON face.
type Face struct {
	Deps
	keys    *keys
	takings *takings
	plans   chan struct{} // a place for each problem being planned
}

// plansAtOnce is how many problems of others are planned at the same time; the
// rest wait, so that the book's own pages stay quick.
const plansAtOnce = 2

// New makes the face.
func New(d Deps) *Face {
	return &Face{Deps: d, keys: &keys{busy: map[string]bool{}}, takings: &takings{now: d.Now, of: map[string]*taking{}}, plans: make(chan struct{}, plansAtOnce)}
}

// Routes is the face's whole table.
func (f *Face) Routes() []edge.Route {
	var all []edge.Route
	for _, part := range [][]edge.Route{
		f.farm(), f.varieties(), f.products(), f.carriers(), f.customers(), f.calendar(), f.layouts(),
		f.standing(), f.orders(), f.counts(), f.lines(), f.tally(), f.days(), f.recipes(), f.problems(), f.promises(), f.imports(), f.countImports(), f.liftImports(), f.weekImports(), f.parked(), f.history(),
		f.pickups(), f.returns(), f.packingDays(), f.issues(), f.lifts(), f.packings(), f.traces(), f.undos(), f.holidays(), f.availability(),
		f.beds(), f.profiles(), f.surges(), f.growing(), f.batches(), f.sowing(), f.outlook(), f.exports(),
	} {
		all = append(all, part...)
	}
	return all
}

// asOf is the day a plan is made: as asked, else today.
func (f *Face) asOf(a *edge.Ask, q *edge.Query) (domain.Day, error) {
	day := q.Day("as_of")
	if err := q.Err(); err != nil || day != 0 {
		return day, err
	}
	return f.Book.Today(a.Context())
}

// derived answers with what was computed from the book at a revision, or with
// 304 to who holds it already.
func derived(a *edge.Ask, rev int64, document any) (*edge.Answer, error) {
	fresh, err := a.Fresh(rev)
	if err != nil {
		return nil, err
	}
	if fresh {
		return (&edge.Answer{Status: http.StatusNotModified}).With("ETag", edge.Tag(rev)), nil
	}
	answer, err := edge.JSON(http.StatusOK, document)
	if err != nil {
		return nil, err
	}
	return answer.With("ETag", edge.Tag(rev)), nil
}

// note is what a change says of its reason, and of coming late.
func note(q *edge.Query) book.Note {
	return book.Note{Why: q.Text("why"), Late: book.Late(q.OneOf("late", lates...))}
}

var lates = func() (words []string) {
	for _, l := range book.Lates {
		words = append(words, string(l))
	}
	return words
}()
