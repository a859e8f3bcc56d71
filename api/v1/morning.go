package v1

import (
	"context"
	"net/http"
	"strconv"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// lifts are the mornings' true counts.
func (f *Face) lifts() []edge.Route {
	l := log[domain.Lift]{path: "/v1/lifts", from: f.Book.Lifts(), code: func(v *domain.Lift) *string { return &v.ID }, filter: betweenDays}
	return append(l.reads(), edge.Route{Method: http.MethodPost, Path: l.path, May: edge.Either(book.MayGrow, book.MayPack), Limit: edge.JSONLimit, Handle: told(f, f.lift, l.created)})
}

// liftSaid is heads truly lifted on a day; with done the beds are closed for it.
type liftSaid struct {
	Day           domain.Day    `json:"day" validate:"required"`
	Done          bool          `json:"done"`
	Instead       string        `json:"instead" validate:"max=40"`
	RestAsPlanned bool          `json:"rest_as_planned"`
	Rows          []liftRowSaid `json:"rows" validate:"max=500,dive"`
}

// liftRowSaid is heads out of a lot, or of a variety where no lot is told.
type liftRowSaid struct {
	Lot     string           `json:"lot" validate:"max=200"`
	Variety string           `json:"variety"`
	Bed     string           `json:"bed" validate:"max=200"`
	Rafts   domain.HalfRafts `json:"rafts" validate:"min=0,max=2000000"`
	Heads   domain.Heads     `json:"heads" validate:"min=0,max=1000000"`
	Culls   domain.Heads     `json:"culls" validate:"min=0,max=1000000"`
}

func (f *Face) lift(ctx context.Context, a *edge.Ask, said liftSaid, why string) (book.Record[domain.Lift], error) {
	var counts []book.LiftCount
	for _, r := range said.Rows {
		counts = append(counts, book.LiftCount(r))
	}
	return f.Book.RecordLift(ctx, a.Person, book.LiftTold{Day: said.Day, Counts: counts, Done: said.Done, RestAsPlanned: said.RestAsPlanned, Instead: said.Instead}, why)
}

// packings are what was truly packed.
func (f *Face) packings() []edge.Route {
	l := log[domain.Packing]{path: "/v1/packings", from: f.Book.Packings(), code: func(v *domain.Packing) *string { return &v.ID }, filter: betweenDays}
	return append(l.reads(), edge.Route{Method: http.MethodPost, Path: l.path, May: book.MayPack, Limit: edge.JSONLimit, Handle: told(f, f.packed, l.created)})
}

// packedSaid is a day packed as planned, save for the changes, and what became
// of heads and cases that went elsewhere; with gone_only that alone.
type packedSaid struct {
	Day       domain.Day         `json:"day" validate:"required"`
	Changes   []packedChangeSaid `json:"changes" validate:"max=500,dive"`
	GoneOnly  bool               `json:"gone_only"`
	Gone      []domain.HeadsGone `json:"gone" validate:"max=500,dive"`
	GoneCases []domain.CasesGone `json:"gone_cases" validate:"max=500,dive"`
}

// packedChangeSaid says how many cases of a planned run, counted from 0, were
// packed.
type packedChangeSaid struct {
	Run   *int          `json:"run" validate:"required,min=0,max=5000"`
	Cases *domain.Cases `json:"cases" validate:"required,min=0,max=1000000"`
}

func (f *Face) packed(ctx context.Context, a *edge.Ask, said packedSaid, why string) (book.Record[domain.Packing], error) {
	var changes []book.PackedChange
	var faults domain.Faults
	seen := map[int]bool{}
	for i, c := range said.Changes {
		if seen[*c.Run] {
			faults.Add("changes["+strconv.Itoa(i)+"].run", "twice", "value", *c.Run)
		}
		seen[*c.Run] = true
		changes = append(changes, book.PackedChange{Run: *c.Run, Cases: *c.Cases})
	}
	if faults != nil {
		return book.Record[domain.Packing]{}, faults
	}
	return f.Book.RecordPacked(ctx, a.Person, book.PackedTold{Day: said.Day, GoneOnly: said.GoneOnly, Changes: changes, Gone: said.Gone, GoneCases: said.GoneCases}, why)
}
