package v1

import (
	"context"
	"net/http"
	"strings"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

func (f *Face) beds() []edge.Route {
	return routes(f, noun[domain.Bed]{path: "/v1/beds", member: "code", shelf: f.Book.Beds, code: func(v *domain.Bed) *string { return &v.Code }, filter: byName})
}

func (f *Face) profiles() []edge.Route {
	return routes(f, noun[domain.Profile]{path: "/v1/profiles", member: "id", shelf: f.Book.Profiles, code: func(v *domain.Profile) *string { return &v.ID },
		filter: func(q *edge.Query, chosen *book.Query) { equal(q, chosen, "variety") }})
}

func (f *Face) surges() []edge.Route {
	return append(routes(f, noun[domain.Surge]{path: "/v1/surges", member: "id", shelf: f.Book.Surges, code: func(v *domain.Surge) *string { return &v.ID }}),
		edge.Route{Method: http.MethodPost, Path: "/v1/surges/what-if", May: book.MayRead, Limit: edge.JSONLimit, Handle: f.surgeAsks})
}

// growing is how the farm sows and grows, with its agreed sowing table.
func (f *Face) growing() []edge.Route {
	return []edge.Route{
		{Method: http.MethodGet, Path: "/v1/growing", May: book.MayRead, Handle: f.getGrowing},
		{Method: http.MethodPut, Path: "/v1/growing", May: book.MayGrow, Limit: edge.JSONLimit, Handle: changeGrowing(f, f.setGrowing)},
		{Method: http.MethodPut, Path: "/v1/growing/table", May: book.MayGrow, Limit: edge.JSONLimit, Handle: changeGrowing(f, f.agreeTable)},
		{Method: http.MethodPut, Path: "/v1/growing/learned/{variety}", May: book.MayGrow, Limit: edge.JSONLimit, Handle: changeGrowing(f, f.trust)},
	}
}

func (f *Face) getGrowing(a *edge.Ask) (*edge.Answer, error) {
	if err := a.ReadQuery().Err(); err != nil {
		return nil, err
	}
	rec, err := f.Book.Growing(a.Context(), a.Person)
	if err != nil {
		return nil, err
	}
	return readRecord(a, rec)
}

// changeGrowing reads what is said and which settings it was made from, and
// changes them.
func changeGrowing[S any](f *Face, change func(a *edge.Ask, said S, note book.Note) (book.Record[domain.Growing], error)) edge.Handler {
	return func(a *edge.Ask) (*edge.Answer, error) {
		q := a.ReadQuery()
		why := q.Text("why")
		if err := q.Err(); err != nil {
			return nil, err
		}
		var said S
		if err := a.Decode(&said); err != nil {
			return nil, err
		}
		if err := domain.Check(said).Err(); err != nil {
			return nil, err
		}
		base, err := a.Base(func() (int64, error) {
			rec, err := f.Book.Growing(a.Context(), a.Person)
			return rec.Rev, err
		})
		if err != nil {
			return nil, err
		}
		rec, err := change(a, said, book.Note{Why: why, Base: base})
		if err != nil {
			return nil, err
		}
		return record(http.StatusOK, rec)
	}
}

func (f *Face) setGrowing(a *edge.Ask, g domain.Growing, note book.Note) (book.Record[domain.Growing], error) {
	return f.Book.SetGrowing(a.Context(), a.Person, g, note)
}

// tableSaid is the weekly sowing table that the farm agrees to. An empty one is
// none; it is not left out.
type tableSaid struct {
	Rows *[]domain.SowRow `json:"rows" validate:"required"`
}

func (f *Face) agreeTable(a *edge.Ask, said tableSaid, note book.Note) (book.Record[domain.Growing], error) {
	rec, err := f.Book.AgreeTable(a.Context(), a.Person, *said.Rows, note)
	return rec, toldOf(err, func(place string) string { return strings.Replace(place, "table", "rows", 1) })
}

// trustSaid is the farm's yes, or no, to the learned figures of a variety.
type trustSaid struct {
	Use *bool `json:"use" validate:"required"`
}

func (f *Face) trust(a *edge.Ask, said trustSaid, note book.Note) (book.Record[domain.Growing], error) {
	rec, err := f.Book.Trust(a.Context(), a.Person, a.Path("variety"), *said.Use, note)
	return rec, toldOf(err, func(string) string { return "use" })
}

// happenings are what happened to batches.
func (f *Face) happenings() log[domain.BatchEvent] {
	return log[domain.BatchEvent]{path: "/v1/batch-events", from: f.Book.BatchEvents(), code: func(v *domain.BatchEvent) *string { return &v.ID },
		filter: func(q *edge.Query, chosen *book.Query) {
			equal(q, chosen, "batch")
			between(q, chosen, "day")
		}}
}

// eventsSaid is what happened, told together: all of it is taken, or nothing.
type eventsSaid struct {
	Events []eventSaid `json:"events" validate:"min=1,max=500,dive"`
}

// eventSaid is one thing that happened; when it was told and the lift it is part
// of are the book's to say.
type eventSaid struct {
	ID       string           `json:"id"`
	Batch    string           `json:"batch"`
	Step     domain.BatchStep `json:"step"`
	Day      domain.Day       `json:"day"`
	Variety  string           `json:"variety"`
	Trays    int              `json:"trays"`
	Cells    int              `json:"cells_per_tray"`
	SeedLot  string           `json:"seed_lot"`
	Rafts    domain.HalfRafts `json:"rafts"`
	Bed      string           `json:"bed"`
	Heads    domain.Heads     `json:"heads"`
	Culls    domain.Heads     `json:"culls"`
	Ready    domain.Day       `json:"ready"`
	Days     int              `json:"days"`
	Why      string           `json:"why"`
	Corrects string           `json:"corrects"`
}

func (f *Face) tellEvents(ctx context.Context, a *edge.Ask, said eventsSaid, why string) ([]book.Record[domain.BatchEvent], error) {
	var events []domain.BatchEvent
	for _, e := range said.Events {
		events = append(events, domain.BatchEvent{ID: e.ID, Batch: e.Batch, Step: e.Step, Day: e.Day, Variety: e.Variety, Trays: e.Trays, Cells: e.Cells,
			SeedLot: e.SeedLot, Rafts: e.Rafts, Bed: e.Bed, Heads: e.Heads, Culls: e.Culls, Ready: e.Ready, Days: e.Days, Why: e.Why, Corrects: e.Corrects})
	}
	return f.Book.RecordBatches(ctx, a.Person, events, why)
}
