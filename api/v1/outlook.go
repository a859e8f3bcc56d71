package v1

import (
	"net/http"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
	"headtally/planner"
)

// outlook looks weeks ahead. Nothing is promised from it.
func (f *Face) outlook() []edge.Route {
	return []edge.Route{
		{Method: http.MethodGet, Path: "/v1/outlook", May: book.MayRead, Handle: f.lookAhead},
		{Method: http.MethodGet, Path: "/v1/outlook/{variety}/{pickup}", May: book.MayRead, Handle: f.outlookCell},
	}
}

type outlookDoc struct {
	AsOf     domain.Day      `json:"as_of"`
	Revision int64           `json:"revision"`
	Last     domain.Day      `json:"last"`
	Rows     []outlookRow    `json:"rows"`
	Shorts   []outlookShort  `json:"shorts"`
	Assumed  []assumptionDoc `json:"assumed"`
}

type outlookRow struct {
	Pickup   domain.Day    `json:"pickup"`
	Variety  string        `json:"variety"`
	Listed   int           `json:"listed"`
	Expected int           `json:"expected"`
	Cautious int           `json:"cautious"`
	Spare    int           `json:"spare"`
	Short    int           `json:"short"`
	State    planner.State `json:"state"`
	Lots     []string      `json:"lots"`
}

type outlookShort struct {
	Pickup domain.Day    `json:"pickup"`
	Cases  int           `json:"cases"`
	Lines  []string      `json:"lines"`
	Mended bool          `json:"mended"`
	Mends  []outlookMend `json:"mends"`
}

type outlookMend struct {
	Variety string     `json:"variety"`
	Trays   int        `json:"trays"`
	By      domain.Day `json:"by"`
	Ready   domain.Day `json:"ready"`
	Heads   int        `json:"heads"`
}

// weeksUsual is how far an outlook looks where nothing was said.
const weeksUsual = 8

func (f *Face) lookAhead(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	weeks := q.Whole("weeks", 1, book.MostWeeks, weeksUsual)
	asOf, err := f.asOf(a, q)
	if err != nil {
		return nil, err
	}
	o, err := f.Book.LookAhead(a.Context(), a.Person, asOf, weeks)
	if err != nil {
		return nil, err
	}
	doc := outlookDoc{AsOf: o.AsOf, Revision: o.Revision, Last: o.Last}
	for _, r := range o.Rows {
		doc.Rows = append(doc.Rows, outlookRow(r))
	}
	for i := range o.Shorts {
		doc.Shorts = append(doc.Shorts, shortOf(&o.Shorts[i]))
	}
	for _, x := range o.Assumed {
		doc.Assumed = append(doc.Assumed, assumptionDoc(x))
	}
	return derived(a, doc.Revision, doc)
}

func shortOf(s *planner.OutlookShort) outlookShort {
	short := outlookShort{Pickup: s.Pickup, Cases: s.Cases, Lines: s.Lines, Mended: s.Mended}
	for _, m := range s.Mends {
		short.Mends = append(short.Mends, outlookMend(m))
	}
	return short
}

// behindDoc is one variety on one pickup day, with the lots and lines behind it
// and, where the day is short, the sowings that still mend it.
type behindDoc struct {
	outlookRow
	AsOf  domain.Day    `json:"as_of"`
	From  []outlookLot  `json:"from"`
	Lines []outlookLine `json:"lines"`
	Day   *outlookShort `json:"short_day,omitempty"`
}

type outlookLot struct {
	Lot      string     `json:"lot"`
	Heads    int        `json:"heads"`
	Cautious int        `json:"cautious"`
	Bed      string     `json:"bed,omitempty"`
	Ready    domain.Day `json:"ready,omitzero"`
	Last     domain.Day `json:"last,omitzero"`
	Pulled   domain.Day `json:"pulled,omitzero"`
	Source   sourceDoc  `json:"source"`
}

type outlookLine struct {
	ID       string `json:"id"`
	Customer string `json:"customer"`
	Product  string `json:"product"`
	Carrier  string `json:"carrier"`
	Standing bool   `json:"standing"`
	Asked    int    `json:"asked"`
	Filled   int    `json:"filled"`
	Short    int    `json:"short"`
}

func (f *Face) outlookCell(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	weeks := q.Whole("weeks", 1, book.MostWeeks, weeksUsual)
	asOf, pickup, err := f.dayNamed(a, q, "pickup")
	if err != nil {
		return nil, err
	}
	b, err := f.Book.OutlookCell(a.Context(), a.Person, asOf, weeks, a.Path("variety"), pickup)
	if err != nil {
		return nil, err
	}
	doc := behindDoc{outlookRow: outlookRow(b.Row), AsOf: asOf}
	for _, r := range b.Lots {
		doc.From = append(doc.From, outlookLot{r.Lot.Code, r.Lot.Heads, r.Lot.Cautious(), r.Lot.BedName, r.Lot.Ready, r.Lot.Last, r.Lot.Pulled, sourceDoc(r.Source)})
	}
	for _, l := range b.Lines {
		doc.Lines = append(doc.Lines, outlookLine{l.ID, l.Customer, l.Product, l.Carrier, l.Standing, l.Asked, l.Filled, l.Short})
	}
	if b.Short != nil {
		day := shortOf(b.Short)
		doc.Day = &day
	}
	return edge.JSON(http.StatusOK, doc)
}
