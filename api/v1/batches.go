package v1

import (
	"context"
	"errors"
	"net/http"
	"slices"
	"strings"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
	"headtally/planner/growth"
)

// batches are the sowings that grow, with what is expected of each, and what
// happened to them.
func (f *Face) batches() []edge.Route {
	return append([]edge.Route{
		{Method: http.MethodGet, Path: "/v1/batches", May: book.MayRead, Handle: f.listBatches},
		{Method: http.MethodGet, Path: "/v1/batches/{batch}", May: book.MayRead, Handle: f.getBatch},
		{Method: http.MethodGet, Path: "/v1/house", May: book.MayRead, Handle: f.house},
		{Method: http.MethodPost, Path: "/v1/batches/bring-forward", May: book.MayGrow, Limit: edge.JSONLimit, Handle: told(f, f.bringForward, items[domain.BatchEvent])},
		{Method: http.MethodPost, Path: "/v1/batch-events", May: book.MayGrow, Limit: edge.JSONLimit, Handle: told(f, f.tellEvents, items[domain.BatchEvent])},
	}, f.happenings().reads()...)
}

// batchDoc is one batch. What is expected is left out once it has finished, and
// events where batches are listed.
type batchDoc struct {
	Code     string              `json:"code"`
	Variety  string              `json:"variety"`
	SeedLot  string              `json:"seed_lot,omitempty"`
	Sown     domain.Day          `json:"sown"`
	Trays    int                 `json:"trays"`
	Cells    int                 `json:"cells_per_tray,omitempty"`
	Ended    domain.Day          `json:"finished,omitzero"`
	Overdue  bool                `json:"overdue"`
	Expected *estimateDoc        `json:"expected,omitempty"` // by the method that lots are made with
	Plain    *estimateDoc        `json:"plain,omitempty"`    // by what was told or the last batches
	Learned  *estimateDoc        `json:"learned,omitempty"`  // by all finished batches
	Events   []domain.BatchEvent `json:"events,omitempty"`
}

type estimateDoc struct {
	Method   growth.Method `json:"method"`
	Batches  int           `json:"batches"`
	Set      domain.Day    `json:"set"`
	Ready    domain.Day    `json:"ready"`
	Late     domain.Day    `json:"late"`
	Last     domain.Day    `json:"last"`
	Plants   int           `json:"plants"`
	Heads    domain.Heads  `json:"heads"`
	Cautious domain.Heads  `json:"cautious"`
}

func batchOf(b *domain.Batch, p *growth.Projection) batchDoc {
	doc := batchDoc{Code: b.Code, Variety: b.Variety, SeedLot: b.SeedLot, Sown: b.Sown, Trays: b.Trays, Cells: b.Cells, Ended: b.Ended}
	if p == nil {
		return doc
	}
	chosen, plain := estimateDoc(p.Chosen), estimateDoc(p.Plain)
	doc.Overdue, doc.Expected, doc.Plain = p.Overdue, &chosen, &plain
	if p.Learned != nil {
		learned := estimateDoc(*p.Learned)
		doc.Learned = &learned
	}
	return doc
}

// forwardSaid is how many days earlier all of a variety that grows is thought to
// be ready; below 0 later.
type forwardSaid struct {
	Variety string     `json:"variety" validate:"required"`
	Days    int        `json:"days" validate:"required,min=-60,max=60"`
	Day     domain.Day `json:"day"` // none: today
}

func (f *Face) bringForward(ctx context.Context, a *edge.Ask, said forwardSaid, why string) (told []book.Record[domain.BatchEvent], err error) {
	if said.Day == 0 {
		if said.Day, err = f.Book.Today(ctx); err != nil {
			return nil, err
		}
	}
	told, err = f.Book.BringForward(ctx, a.Person, said.Variety, said.Days, said.Day, why)
	return told, toldOf(err, func(place string) string { return strings.TrimPrefix(place, "events[0].") })
}

// toldOf puts faults that the book finds in a record made from what was said
// where they stand in what was said.
func toldOf(err error, said func(place string) string) error {
	var faults domain.Faults
	if !errors.As(err, &faults) {
		return err
	}
	faults = slices.Clone(faults)
	for i := range faults {
		faults[i].Place = said(faults[i].Place)
	}
	return faults
}

func (f *Face) listBatches(a *edge.Ask) (*edge.Answer, error) {
	asOf, err := f.asOf(a, a.ReadQuery())
	if err != nil {
		return nil, err
	}
	found, err := f.Book.Batches(a.Context(), a.Person, asOf)
	if err != nil {
		return nil, err
	}
	doc := struct {
		AsOf  domain.Day `json:"as_of"`
		Items []batchDoc `json:"items"`
	}{AsOf: asOf}
	for i := range found {
		doc.Items = append(doc.Items, batchOf(found[i].Batch, &found[i]))
	}
	return edge.JSON(http.StatusOK, doc)
}

func (f *Face) getBatch(a *edge.Ask) (*edge.Answer, error) {
	asOf, err := f.asOf(a, a.ReadQuery())
	if err != nil {
		return nil, err
	}
	v, err := f.Book.Batch(a.Context(), a.Person, asOf, a.Path("batch"))
	if err != nil {
		return nil, err
	}
	doc := batchOf(&v.Batch, v.Projection)
	doc.Events = v.Told
	return edge.JSON(http.StatusOK, doc)
}
