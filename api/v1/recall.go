package v1

import (
	"io"
	"net/http"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
	"headtally/domain/planning"
)

// recallDoc is what would be called back and whom to ring.
type recallDoc struct {
	Code    string       `json:"code"`
	Day     domain.Day   `json:"day"`
	Lots    []tracedLot  `json:"lots"`
	Runs    []tracedRun  `json:"runs"`
	Calls   []callDoc    `json:"calls"`
	Unsure  []callDoc    `json:"unsure"`
	Hold    []holdDoc    `json:"hold"`
	Packed  domain.Cases `json:"packed"`
	Sent    domain.Cases `json:"sent"`
	Back    domain.Cases `json:"back"`
	Gone    domain.Cases `json:"gone"`
	Missing domain.Cases `json:"missing"`
}

// callDoc is one customer to ring, with what they got.
type callDoc struct {
	Customer string       `json:"customer"`
	Name     string       `json:"name"`
	Phone    string       `json:"phone,omitempty"`
	Cases    domain.Cases `json:"cases"`
	Back     domain.Cases `json:"back"`
	Got      []sentDoc    `json:"got"`
}

// holdDoc is what is still in the house: packed cases, or heads of a lot in a bed
// or the cooler.
type holdDoc struct {
	Place   planning.Place `json:"place,omitempty"`
	Trace   string         `json:"trace,omitempty"`
	Product string         `json:"product,omitempty"`
	Cases   domain.Cases   `json:"cases,omitempty"`
	Lot     string         `json:"lot,omitempty"`
	Variety string         `json:"variety,omitempty"`
	Bed     string         `json:"bed,omitempty"`
	Heads   domain.Heads   `json:"heads,omitempty"`
}

func (f *Face) recall(a *edge.Ask) (*edge.Answer, error) {
	if err := a.ReadQuery().Err(); err != nil {
		return nil, err
	}
	c, err := f.Book.Recall(a.Context(), a.Person, a.Path("code"))
	if err != nil {
		return nil, err
	}
	doc := recallDoc{Code: c.Code, Day: c.Day, Calls: callsOf(c.Calls), Unsure: callsOf(c.Unsure),
		Packed: c.Packed, Sent: c.Sent, Back: c.Back, Gone: c.Gone, Missing: c.Missing}
	for _, l := range c.Lots {
		doc.Lots = append(doc.Lots, tracedLot(l))
	}
	for _, r := range c.Runs {
		doc.Runs = append(doc.Runs, tracedRun(r))
	}
	for _, h := range c.Hold {
		doc.Hold = append(doc.Hold, holdDoc(h))
	}
	return edge.JSON(http.StatusOK, doc)
}

func callsOf(calls []book.RecallCall) (list []callDoc) {
	for _, c := range calls {
		doc := callDoc{Customer: c.Customer, Name: c.Name, Phone: c.Phone, Cases: c.Cases, Back: c.Back}
		for _, s := range c.Got {
			doc.Got = append(doc.Got, sentDoc(s))
		}
		list = append(list, doc)
	}
	return list
}

func (f *Face) recallPaper(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	size := q.OneOf("paper", "letter", "a4")
	if err := q.Err(); err != nil {
		return nil, err
	}
	c, err := f.Book.Recall(a.Context(), a.Person, a.Path("code"))
	if err != nil {
		return nil, err
	}
	return pdf("recall-"+c.Code, func(w io.Writer) error { return f.DrawRecall(w, c, size) })
}
