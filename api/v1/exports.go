package v1

import (
	"bytes"
	"net/http"
	"slices"

	"headtally/api/book"
	"headtally/api/internal/edge"
)

// exports are tables that leave the book for a spreadsheet, in the language the
// request asks for.
func (f *Face) exports() []edge.Route {
	return []edge.Route{{Method: http.MethodGet, Path: "/v1/exports/{export}", May: book.MayRead, Handle: f.export}}
}

func (f *Face) export(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	format := q.OneOf("format", "xlsx", "csv")
	first, last := q.Day("from"), q.Day("to")
	asOf, err := f.asOf(a, q)
	if err != nil {
		return nil, err
	}
	what := book.Export(a.Path("export"))
	if !slices.Contains(book.Exports, what) {
		return nil, edge.ErrNoRoute
	}
	tables, err := f.Book.Export(a.Context(), a.Person, what, asOf, first, last)
	if err != nil {
		return nil, err
	}
	name := string(what) + "-" + asOf.String()
	if format == "csv" {
		return f.csv(a, name, tables[0])
	}
	return f.sheets(a, name, tables)
}

// csv answers with one table.
func (f *Face) csv(a *edge.Ask, name string, table book.Table) (*edge.Answer, error) {
	s := edge.Speech(a.Request)
	var b bytes.Buffer
	if err := f.WriteCSV(&b, table, s); err != nil {
		return nil, err
	}
	return attached(b.Bytes(), "text/csv; charset=utf-8", name+".csv").With("Content-Language", s.Language), nil
}

// sheets answers with tables as the sheets of a workbook.
func (f *Face) sheets(a *edge.Ask, name string, tables []book.Table) (*edge.Answer, error) {
	s := edge.Speech(a.Request)
	var b bytes.Buffer
	if err := f.WriteXLSX(&b, tables, s); err != nil {
		return nil, err
	}
	return attached(b.Bytes(), "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", name+".xlsx").With("Content-Language", s.Language), nil
}

// attached is a file to be kept.
func attached(body []byte, kind, name string) *edge.Answer {
	return (&edge.Answer{Status: http.StatusOK, Body: body}).With("Content-Type", kind).
		With("Content-Disposition", edge.Named("attachment", name))
}
