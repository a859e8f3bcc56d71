package v1

import (
	"maps"
	"net/http"
	"slices"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// traces follow a code both ways: to the beds, and to everybody who got cases.
func (f *Face) traces() []edge.Route {
	return []edge.Route{
		{Method: http.MethodGet, Path: "/v1/traces/{code}", May: book.MayRead, Handle: f.trace},
		{Method: http.MethodGet, Path: "/v1/traces/{code}/records", May: book.MayRead, Handle: f.keyData},
		{Method: http.MethodGet, Path: "/v1/traces/{code}/records.xlsx", May: book.MayRead, Handle: f.keyDataSheet},
		{Method: http.MethodGet, Path: "/v1/traces/{code}/recall", May: book.MayRead, Handle: f.recall},
		{Method: http.MethodGet, Path: "/v1/traces/{code}/recall.pdf", May: book.MayRead, Handle: f.recallPaper},
	}
}

// traceDoc is what the records say about a code. Within a run heads of one
// variety cannot be told apart: every lot of it can be in each of its cases.
type traceDoc struct {
	Code     string          `json:"code"`
	Runs     []tracedRun     `json:"runs"`
	Lots     []tracedLot     `json:"lots"`
	Sent     []sentDoc       `json:"sent"`
	Uncoded  []sentDoc       `json:"uncoded"`
	Returned []domain.Return `json:"returned"`
	Gone     []goneDoc       `json:"gone"`
	OnHand   []onHandDoc     `json:"on_hand"`
}

type tracedRun struct {
	Packed    domain.Day `json:"packed"`
	Document  string     `json:"document"`
	AsPrinted bool       `json:"as_printed,omitempty"`
	domain.PackedRun
}

type tracedLot struct {
	Lot     string       `json:"lot"`
	Variety string       `json:"variety"`
	Bed     string       `json:"bed,omitempty"`
	Lifted  domain.Day   `json:"lifted,omitzero"`
	Lifts   []string     `json:"lifts"`
	Heads   domain.Heads `json:"heads"`
	Culls   domain.Heads `json:"culls"`
	Count   string       `json:"count,omitempty"`
	Batch   string       `json:"batch,omitempty"`
	Sown    domain.Day   `json:"sown,omitzero"`
	SeedLot string       `json:"seed_lot,omitempty"`
}

type sentDoc struct {
	Day     domain.Day `json:"day"`
	Carrier string     `json:"carrier"`
	domain.Shipped
	Name  string `json:"name"`
	Phone string `json:"phone,omitempty"`
}

// goneDoc is heads of a traced lot, or cases of a traced run, that went elsewhere
// than to a customer.
type goneDoc struct {
	Day     domain.Day   `json:"day"`
	Lot     string       `json:"lot,omitempty"`
	Variety string       `json:"variety,omitempty"`
	Heads   domain.Heads `json:"heads,omitempty"`
	Trace   string       `json:"trace,omitempty"`
	Cases   domain.Cases `json:"cases,omitempty"`
	Where   domain.Where `json:"where"`
}

// onHandDoc is cases packed under a traceability lot code and not recorded as
// sent.
type onHandDoc struct {
	Trace string       `json:"trace"`
	Cases domain.Cases `json:"cases"`
}

func (f *Face) trace(a *edge.Ask) (*edge.Answer, error) {
	if err := a.ReadQuery().Err(); err != nil {
		return nil, err
	}
	t, err := f.Book.Trace(a.Context(), a.Person, a.Path("code"))
	if err != nil {
		return nil, err
	}
	doc := traceDoc{Code: t.Code, Returned: t.Returned}
	for _, r := range t.Runs {
		doc.Runs = append(doc.Runs, tracedRun(r))
	}
	for _, l := range t.Lots {
		doc.Lots = append(doc.Lots, tracedLot(l))
	}
	for _, s := range t.Sent {
		doc.Sent = append(doc.Sent, sentDoc(s))
	}
	for _, s := range t.Uncoded {
		doc.Uncoded = append(doc.Uncoded, sentDoc(s))
	}
	for _, g := range t.Gone {
		doc.Gone = append(doc.Gone, goneDoc(g))
	}
	for _, code := range slices.Sorted(maps.Keys(t.OnHand)) {
		doc.OnHand = append(doc.OnHand, onHandDoc{code, t.OnHand[code]})
	}
	return edge.JSON(http.StatusOK, doc)
}

// keyDataDoc is one record of those that rules on food traceability ask for.
type keyDataDoc struct {
	Event     string     `json:"event"`
	Paragraph string     `json:"paragraph"`
	Trace     string     `json:"trace,omitempty"`
	Commodity string     `json:"commodity"`
	Quantity  int        `json:"quantity"`
	Unit      string     `json:"unit"`
	Day       domain.Day `json:"day,omitzero"`
	From      string     `json:"from"`
	Area      string     `json:"growing_area,omitempty"`
	Harvested domain.Day `json:"harvested,omitzero"`
	Cooled    domain.Day `json:"cooled,omitzero"`
	Received  int        `json:"received_heads,omitempty"`
	To        string     `json:"to"`
	Source    string     `json:"lot_code_source,omitempty"`
	Document  string     `json:"document"`
}

func (f *Face) keyDataOf(a *edge.Ask) ([]book.KeyData, error) {
	if err := a.ReadQuery().Err(); err != nil {
		return nil, err
	}
	return f.Book.KeyData(a.Context(), a.Person, a.Path("code"))
}

func (f *Face) keyData(a *edge.Ask) (*edge.Answer, error) {
	rows, err := f.keyDataOf(a)
	if err != nil {
		return nil, err
	}
	doc := struct {
		Items []keyDataDoc `json:"items"`
	}{}
	for _, r := range rows {
		doc.Items = append(doc.Items, keyDataDoc(r))
	}
	return edge.JSON(http.StatusOK, doc)
}

func (f *Face) keyDataSheet(a *edge.Ask) (*edge.Answer, error) {
	rows, err := f.keyDataOf(a)
	if err != nil {
		return nil, err
	}
	return f.sheets(a, "trace-"+a.Path("code"), []book.Table{book.KeyDataTable(rows)})
}
