package v1

import (
	"context"
	"net/http"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// liftImports take a lift count from a sheet.
func (f *Face) liftImports() []edge.Route {
	may := edge.Either(book.MayGrow, book.MayPack)
	return []edge.Route{
		{Method: http.MethodPost, Path: "/v1/imports/lifts/preview", May: may, Limit: edge.SheetLimit, Handle: f.previewLift},
		{Method: http.MethodPost, Path: "/v1/imports/lifts", May: may, Limit: edge.SheetLimit, Handle: f.takeLift},
	}
}

// liftSheet reads a lift count's file and how it is to be read.
func (f *Face) liftSheet(a *edge.Ask) (o book.LiftSheet, u upload, err error) {
	q := a.ReadQuery()
	name := q.Text("name")
	o = book.LiftSheet{Day: q.Day("day"), Open: q.Truth("open"), Instead: q.Text("instead"), DayOrder: dayOrder(q), Why: q.Text("why")}
	if err = q.Err(); err == nil {
		u, err = readUpload(a, name)
	}
	o.Name = u.name
	return o, u, err
}

// liftPreview is what taking a lift count's file would do.
type liftPreview struct {
	Revision int64        `json:"revision"`
	Sheet    string       `json:"sheet"`
	Already  bool         `json:"already"`
	Lift     *domain.Lift `json:"lift,omitempty"` // left out while there are faults
	Faults   []edge.Wrong `json:"faults"`
	Notes    []edge.Wrong `json:"notes"`
}

func (f *Face) previewLift(a *edge.Ask) (*edge.Answer, error) {
	o, u, err := f.liftSheet(a)
	if err != nil {
		return nil, err
	}
	tables, notes, err := f.tables(u)
	if err != nil {
		return nil, err
	}
	p, err := f.Book.PreviewLift(a.Context(), a.Person, tables, o)
	if err != nil {
		return nil, err
	}
	s := edge.Speech(a.Request)
	doc := liftPreview{Revision: p.Revision, Sheet: p.Sheet, Already: p.Already,
		Faults: edge.Wrongs(p.Faults, edge.InSheet, s), Notes: edge.Wrongs(append(notes, p.Notes...), edge.InSheet, s)}
	if len(p.Faults) == 0 && !p.Already {
		doc.Lift = &p.Lift
	}
	return preview(p.Revision, doc)
}

// liftTaken is the lift that a sheet made; where its file was taken before, no
// lift is told.
type liftTaken struct {
	Sheet    domain.Sheet `json:"sheet"`
	Revision int64        `json:"revision"`
	Already  bool         `json:"already"`
	Lift     rawJSON      `json:"lift,omitempty"`
}

func (f *Face) takeLift(a *edge.Ask) (*edge.Answer, error) {
	o, u, err := f.liftSheet(a)
	if err != nil {
		return nil, err
	}
	base, err := f.previewed(a, u.name)
	if err != nil {
		return nil, err
	}
	return once(f, a, []any{u.name, u.print()}, func(ctx context.Context) (*book.LiftTaken, error) {
		tables, _, err := f.tables(u)
		if err != nil {
			return nil, err
		}
		taken, err := f.Book.TakeLift(ctx, a.Person, tables, o, base)
		return taken, inSheet(err)
	}, func(t *book.LiftTaken) (*edge.Answer, error) {
		doc := liftTaken{Sheet: t.Sheet, Revision: t.Revision, Already: t.Already}
		if !t.Already {
			if doc.Lift, err = document(t.Lift); err != nil {
				return nil, err
			}
		}
		return edge.JSON(http.StatusOK, doc)
	})
}
