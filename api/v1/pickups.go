package v1

import (
	"cmp"
	"context"
	"net/http"
	"slices"
	"time"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// pickupPath names a carrier's pickup of a day.
const pickupPath = "/v1/pickups/{pickup}/{carrier}"

// pickups are when the orders of each close, and what becomes of them: a POST
// for each.
func (f *Face) pickups() []edge.Route {
	return append([]edge.Route{
		{Method: http.MethodGet, Path: "/v1/pickups/{pickup}", May: book.MayRead, Handle: f.closes},
		{Method: http.MethodPost, Path: pickupPath + "/close", May: book.MayOrder, Handle: done(f, f.closing(false), ok)},
		{Method: http.MethodPost, Path: pickupPath + "/open", May: book.MayOrder, Handle: done(f, f.closing(true), ok)},
		{Method: http.MethodPost, Path: pickupPath + "/depart", May: book.MayPack, Handle: done(f, f.depart, ok)},
		{Method: http.MethodPost, Path: pickupPath + "/not-collected", May: edge.Either(book.MayOrder, book.MayPack), Limit: edge.JSONLimit, Handle: told(f, f.notCollected, moved)},
	}, f.departures().reads()[0])
}

// closesDoc is when the orders of a day's pickups close.
type closesDoc struct {
	Pickup   domain.Day    `json:"pickup"`
	Carriers []closesCarry `json:"carriers"`
}

type closesCarry struct {
	Carrier string    `json:"carrier"`
	Closes  time.Time `json:"closes"`
}

func (f *Face) closes(a *edge.Ask) (*edge.Answer, error) {
	if err := a.ReadQuery().Err(); err != nil {
		return nil, err
	}
	day, err := a.PathDay("pickup")
	if err != nil {
		return nil, err
	}
	at, err := f.Book.Closes(a.Context(), a.Person, day)
	if err != nil {
		return nil, err
	}
	doc := closesDoc{Pickup: day}
	for carrier, closes := range at {
		doc.Carriers = append(doc.Carriers, closesCarry{carrier, earlier(closes.UTC(), lastInstant)})
	}
	slices.SortFunc(doc.Carriers, func(a, b closesCarry) int {
		return cmp.Or(a.Closes.Compare(b.Closes), cmp.Compare(a.Carrier, b.Carrier))
	})
	return edge.JSON(http.StatusOK, doc)
}

// lastInstant is the last that RFC 3339 can write: a pickup of the calendar's
// last day may close at its end.
var lastInstant = time.Date(9999, 12, 31, 23, 59, 59, 0, time.UTC)

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

func (f *Face) closing(open bool) func(context.Context, *edge.Ask, string) (book.Record[domain.Closing], error) {
	return func(ctx context.Context, a *edge.Ask, why string) (book.Record[domain.Closing], error) {
		day, err := a.PathDay("pickup")
		if err != nil {
			return book.Record[domain.Closing]{}, err
		}
		return f.Book.Close(ctx, a.Person, a.Path("carrier"), day, open, why)
	}
}

func (f *Face) depart(ctx context.Context, a *edge.Ask, why string) (book.Record[domain.Departure], error) {
	day, err := a.PathDay("pickup")
	if err != nil {
		return book.Record[domain.Departure]{}, err
	}
	return f.Book.Depart(ctx, a.Person, a.Path("carrier"), day, why)
}

// departures are the pickups that are gone, with what each took.
func (f *Face) departures() log[domain.Departure] {
	return log[domain.Departure]{path: "/v1/departures", from: f.Book.Departures(), code: func(v *domain.Departure) *string { return &v.ID }, filter: betweenDays}
}

func (f *Face) notCollected(ctx context.Context, a *edge.Ask, said moveSaid, why string) (int, error) {
	day, err := a.PathDay("pickup")
	if err != nil {
		return 0, err
	}
	return f.Book.NotCollected(ctx, a.Person, a.Path("carrier"), day, said.To, why)
}

// moved answers with how many lines went to the other day.
func moved(lines int) (*edge.Answer, error) {
	return edge.JSON(http.StatusOK, struct {
		Lines int `json:"lines"`
	}{lines})
}

// returns are cases that came back.
func (f *Face) returns() []edge.Route {
	l := log[domain.Return]{path: "/v1/returns", from: f.Book.Returns(), code: func(v *domain.Return) *string { return &v.ID }, filter: betweenDays}
	return append(l.reads(), edge.Route{Method: http.MethodPost, Path: l.path, May: book.MayPack, Limit: edge.JSONLimit, Handle: told(f, f.cameBack, l.created)})
}

// returnSaid is what is told of cases that came back. What they hold and how old
// they are is known by their traceability lot code.
type returnSaid struct {
	Day      domain.Day   `json:"day" validate:"required"`
	Customer string       `json:"customer" validate:"required"`
	Product  string       `json:"product" validate:"required"`
	Trace    string       `json:"trace" validate:"max=60,line"`
	Cases    domain.Cases `json:"cases" validate:"min=1,max=1000000"`
	Why      string       `json:"why" validate:"max=200,line"`
	Became   string       `json:"became" validate:"oneof=stock stall food_bank staff compost"`
}

func (f *Face) cameBack(ctx context.Context, a *edge.Ask, said returnSaid, why string) (book.Record[domain.Return], error) {
	return f.Book.CameBack(ctx, a.Person, domain.Return{Day: said.Day, Customer: said.Customer, Product: said.Product, Trace: said.Trace,
		Cases: said.Cases, Why: said.Why, Became: said.Became}, why)
}
