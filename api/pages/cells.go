package pages

import (
	"bytes"
	"errors"
	"net/http"
	"strconv"

	"headtally/api/book"
	"headtally/domain"
)

// CellAnswer is what a grid's script is told about one cell.
type CellAnswer struct {
	Say  string `json:"say"`            // the answer in words
	Name string `json:"name,omitempty"` // the cell's name from now on
	Now  string `json:"now,omitempty"`  // the cases that stand in the book
	Get  string `json:"get,omitempty"`  // how the cell stands, drawn
}

// askCell says what could be sent if a cell held what is being typed. It changes
// nothing.
func (v *visit) askCell() error {
	cell, _, err := cellOf(v.QueryParam("name"), v.QueryParam("cases"))
	if err != nil {
		return v.JSON(http.StatusUnprocessableEntity, CellAnswer{Say: v.refusal(err)[0]})
	}
	said, err := v.wouldGet(cell)
	if err != nil {
		return err
	}
	return v.JSON(http.StatusOK, CellAnswer{Say: said})
}

// putCell stores one cell at once.
func (v *visit) putCell() error {
	cell, _, err := cellOf(v.FormValue("name"), v.FormValue("cases"))
	if err == nil {
		err = v.office.Book.SetCells(v.ctx, v.who, []book.OrderCell{cell}, v.note())
	}
	status, lines := http.StatusOK, []string(nil)
	if err != nil {
		if status, lines = v.formStatus(err); status == 0 {
			return err
		}
	}
	g, bad := v.office.Book.Grid(v.ctx, v.who, v.today, cell.Pickup, cell.Pickup)
	if bad != nil {
		return bad
	}
	at := g.At(cell.Customer, cell.Product, cell.Pickup)
	answer := CellAnswer{Name: cellName(cell.Customer, cell.Product, cell.Pickup, at.Cases), Now: strconv.Itoa(int(at.Cases)), Say: v.stands(g, cell, at)}
	switch {
	case errors.Is(err, domain.ErrStale):
		answer.Say = v.say("page.cell.kept", "now", int(at.Cases), "typed", v.FormValue("cases"))
	case err != nil:
		answer.Say = lines[0]
	}
	var b bytes.Buffer
	if err := v.office.prints.of(v.farm).ExecuteTemplate(&b, "get", CellView{GridCell: at, State: at.State()}); err != nil {
		return err
	}
	answer.Get = b.String()
	return v.JSON(status, answer)
}

// stands says how a stored cell stands.
func (v *visit) stands(g *book.Grid, cell book.OrderCell, at book.GridCell) string {
	who := nameOf(g, cell.Customer) + " · " + productOf(g, cell.Product) + ": "
	if !at.Planned {
		return who + v.say("page.cell.ahead", "n", int(at.Cases))
	}
	return who + v.say("page.cell.stands", "n", int(at.Cases), "sure", int(at.Firm), "all", int(at.Filled))
}

// wouldGet says what a cell could get if it held so many cases: "6 sure, 9 if
// all comes in; 10 not before Saturday".
func (v *visit) wouldGet(cell book.OrderCell) (string, error) {
	q, err := v.office.Book.QuoteCell(v.ctx, v.who, v.today, cell)
	if err != nil {
		return "", err
	}
	if !q.Covered {
		return v.say("page.cell.ahead", "n", int(cell.Cases)), nil
	}
	return v.quoteWords(q), nil
}
