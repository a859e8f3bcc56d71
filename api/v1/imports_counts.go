package v1

import (
	"context"
	"net/http"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// countImports take a walk count from a sheet.
func (f *Face) countImports() []edge.Route {
	return []edge.Route{
		{Method: http.MethodPost, Path: "/v1/imports/counts/preview", May: book.MayGrow, Limit: edge.SheetLimit, Handle: f.previewCount},
		{Method: http.MethodPost, Path: "/v1/imports/counts", May: book.MayGrow, Limit: edge.SheetLimit, Handle: f.takeCount},
	}
}

// dayOrder reads how dates written as text are to be read.
func dayOrder(q *edge.Query) book.DayOrder {
	return book.DayOrder(q.OneOf("day_order", string(book.DayMonthYear), string(book.MonthDayYear), string(book.YearMonthDay)))
}

// countSheet reads a count's file and how it is to be read.
func (f *Face) countSheet(a *edge.Ask) (o book.CountSheet, u upload, err error) {
	q := a.ReadQuery()
	name := q.Text("name")
	o = book.CountSheet{Day: q.Day("day"), SpeaksTo: q.Day("speaks_to"), Whole: q.Truth("whole"), DayOrder: dayOrder(q), Note: q.Text("note"), Why: q.Text("why")}
	if err = q.Err(); err == nil {
		u, err = readUpload(a, name)
	}
	o.Name = u.name
	return o, u, err
}

// countPreview is what taking a count's file would do.
type countPreview struct {
	Revision int64         `json:"revision"`
	Sheet    string        `json:"sheet"`
	Already  bool          `json:"already"`
	Count    *domain.Count `json:"count,omitempty"` // left out while there are faults
	Faults   []edge.Wrong  `json:"faults"`
	Notes    []edge.Wrong  `json:"notes"`
}

func (f *Face) previewCount(a *edge.Ask) (*edge.Answer, error) {
	o, u, err := f.countSheet(a)
	if err != nil {
		return nil, err
	}
	tables, notes, err := f.tables(u)
	if err != nil {
		return nil, err
	}
	p, err := f.Book.PreviewCount(a.Context(), a.Person, tables, o)
	if err != nil {
		return nil, err
	}
	s := edge.Speech(a.Request)
	doc := countPreview{Revision: p.Revision, Sheet: p.Sheet, Already: p.Already,
		Faults: edge.Wrongs(p.Faults, edge.InSheet, s), Notes: edge.Wrongs(append(notes, p.Notes...), edge.InSheet, s)}
	if len(p.Faults) == 0 {
		doc.Count = &p.Count
	}
	return preview(p.Revision, doc)
}

// countTaken is the count that a sheet made; where its file was taken before,
// no count is told.
type countTaken struct {
	Sheet    domain.Sheet `json:"sheet"`
	Revision int64        `json:"revision"`
	Already  bool         `json:"already"`
	Count    rawJSON      `json:"count,omitempty"`
}

func (f *Face) takeCount(a *edge.Ask) (*edge.Answer, error) {
	o, u, err := f.countSheet(a)
	if err != nil {
		return nil, err
	}
	base, err := f.previewed(a, u.name)
	if err != nil {
		return nil, err
	}
	return once(f, a, []any{u.name, u.print()}, func(ctx context.Context) (*book.CountTaken, error) {
		tables, _, err := f.tables(u)
		if err != nil {
			return nil, err
		}
		taken, err := f.Book.TakeCount(ctx, a.Person, tables, o, base)
		return taken, inSheet(err)
	}, func(t *book.CountTaken) (*edge.Answer, error) {
		doc := countTaken{Sheet: t.Sheet, Revision: t.Revision, Already: t.Already}
		if !t.Already {
			if doc.Count, err = document(t.Count); err != nil {
				return nil, err
			}
		}
		return edge.JSON(http.StatusOK, doc)
	})
}
