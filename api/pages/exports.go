package pages

import (
	"bytes"
	"net/http"
	"slices"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// ExportsView is the tables that leave the book for a spreadsheet.
type ExportsView struct {
	Frame
	Exports []ExportView
	Can     bool
}

// ExportView is one of them. Of those that speak of days of the past too, the
// first and the last can be chosen.
type ExportView struct {
	Word, Name, What string
	Days             bool
	First, Last      domain.Day
}

func (o *Office) registerExports(e *echo.Echo) {
	e.GET("/exports", o.page(func(v *visit) error { return v.exports(http.StatusOK, nil) }))
	e.GET("/exports/:export", o.page((*visit).export))
}

func (v *visit) exports(status int, wrong []string) error {
	view := ExportsView{Frame: v.frame("more", v.say("page.exports.title")), Can: v.office.WriteCSV != nil && v.office.WriteXLSX != nil}
	view.Wrong = wrong
	for _, x := range book.Exports {
		one := ExportView{Word: string(x), Name: v.say("page.export." + string(x)), What: v.say("page.export." + string(x) + ".what"),
			Days: x == book.ExportOrders || x == book.ExportShipped}
		switch x {
		case book.ExportOrders:
			one.First = v.today
		case book.ExportShipped:
			one.First, one.Last = v.today.Add(-7), v.today
		}
		view.Exports = append(view.Exports, one)
	}
	return v.show(status, "exports", view)
}

// export sends a table as a file to be kept: a workbook, or its first table as
// CSV.
func (v *visit) export() error {
	what := book.Export(v.Param("export"))
	if !slices.Contains(book.Exports, what) || v.office.WriteCSV == nil || v.office.WriteXLSX == nil {
		return domain.Refuse(domain.ErrNotFound, "export", string(what))
	}
	a := v.address()
	first, last, format := a.dayOr("from", 0), a.dayOr("to", 0), a.oneOf("format", "xlsx", "csv")
	if err := a.err(); err != nil {
		return v.exports(http.StatusUnprocessableEntity, v.refusal(err))
	}
	tables, err := v.office.Book.Export(v.ctx, v.who, what, v.today, first, last)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	kind, end := "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", ".xlsx"
	if format == "csv" {
		kind, end = "text/csv; charset=utf-8", ".csv"
		err = v.office.WriteCSV(&b, tables[0], v.speech)
	} else {
		err = v.office.WriteXLSX(&b, tables, v.speech)
	}
	if err != nil {
		return err
	}
	v.Response().Header().Set("Content-Disposition", edge.Named("attachment", string(what)+"-"+v.today.String()+end))
	return v.Blob(http.StatusOK, kind, b.Bytes())
}
