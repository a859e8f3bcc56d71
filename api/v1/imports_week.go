package v1

import (
	"context"
	"net/http"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// weekImports take the workbook of a first week. The same file again changes
// nothing.
func (f *Face) weekImports() []edge.Route {
	return []edge.Route{
		{Method: http.MethodPost, Path: "/v1/imports/workbook/preview", May: book.MayManage, Limit: edge.SheetLimit, Handle: f.previewWorkbook},
		{Method: http.MethodPost, Path: "/v1/imports/workbook", May: book.MayManage, Limit: edge.SheetLimit, Handle: f.takeWorkbook},
	}
}

// workbook reads a workbook's file and how it is to be read.
func (f *Face) workbook(a *edge.Ask) (order book.DayOrder, u upload, err error) {
	q := a.ReadQuery()
	name := q.Text("name")
	order = dayOrder(q)
	if err = q.Err(); err == nil {
		u, err = readUpload(a, name)
	}
	return order, u, err
}

// workbookPreview counts what a workbook holds.
type workbookPreview struct {
	Varieties int          `json:"varieties"`
	Products  int          `json:"products"`
	Carriers  int          `json:"carriers"`
	Customers int          `json:"customers"`
	Standing  int          `json:"standing_orders"`
	Orders    int          `json:"orders"`
	Counts    int          `json:"counts"`
	Faults    []edge.Wrong `json:"faults"`
	Notes     []edge.Wrong `json:"notes"`
}

func (f *Face) previewWorkbook(a *edge.Ask) (*edge.Answer, error) {
	order, u, err := f.workbook(a)
	if err != nil {
		return nil, err
	}
	tables, notes, err := f.tables(u)
	if err != nil {
		return nil, err
	}
	facts, faults, err := f.Book.PreviewWorkbook(a.Context(), a.Person, tables, order)
	if err != nil {
		return nil, err
	}
	s := edge.Speech(a.Request)
	return edge.JSON(http.StatusOK, workbookPreview{Varieties: len(facts.Varieties), Products: len(facts.Products), Carriers: len(facts.Carriers),
		Customers: len(facts.Customers), Standing: len(facts.Standing), Orders: len(facts.Orders), Counts: len(facts.Counts),
		Faults: edge.Wrongs(faults, edge.InSheet, s), Notes: edge.Wrongs(notes, edge.InSheet, s)})
}

// takenWorkbook is what taking a workbook did.
type takenWorkbook struct {
	Sheet   domain.Sheet `json:"sheet"`
	Already bool         `json:"already"`
	Added   int          `json:"added"`
	Changed int          `json:"changed"`
}

func (f *Face) takeWorkbook(a *edge.Ask) (*edge.Answer, error) {
	order, u, err := f.workbook(a)
	if err != nil {
		return nil, err
	}
	return once(f, a, []any{u.name, u.print()}, func(ctx context.Context) (*book.TakenWorkbook, error) {
		tables, _, err := f.tables(u)
		if err != nil {
			return nil, err
		}
		taken, err := f.Book.TakeWorkbook(ctx, a.Person, tables, order, u.name)
		return taken, inSheet(err)
	}, func(t *book.TakenWorkbook) (*edge.Answer, error) {
		return edge.JSON(http.StatusOK, takenWorkbook(*t))
	})
}
