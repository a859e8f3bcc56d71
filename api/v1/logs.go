package v1

import (
	"context"
	"net/http"
	"net/url"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// log is a kind of record that is only added to: each has a change of its own,
// and all are read alike.
type log[T any] struct {
	path   string // of the list
	from   reader[T]
	code   func(*T) *string
	filter func(*edge.Query, *book.Query)
}

// reads are the two addresses of every log.
func (l log[T]) reads() []edge.Route {
	return []edge.Route{
		{Method: http.MethodGet, Path: l.path, May: book.MayRead, Handle: func(a *edge.Ask) (*edge.Answer, error) { return list(a, l.from, l.code, l.filter) }},
		{Method: http.MethodGet, Path: l.path + "/{id}", May: book.MayRead, Handle: func(a *edge.Ask) (*edge.Answer, error) { return get(a, l.from, "id") }},
	}
}

// created answers with a record that was added and where it lies.
func (l log[T]) created(rec book.Record[T]) (*edge.Answer, error) {
	answer, err := record(http.StatusCreated, rec)
	if err != nil {
		return nil, err
	}
	return answer.With("Location", l.path+"/"+url.PathEscape(*l.code(&rec.Value))), nil
}

// betweenDays reads the filters from and to.
func betweenDays(q *edge.Query, chosen *book.Query) { between(q, chosen, "day") }

// told reads what is told in a body beside why, and makes the change once.
func told[S, R any](f *Face, change func(ctx context.Context, a *edge.Ask, said S, why string) (R, error), answer func(R) (*edge.Answer, error)) edge.Handler {
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
		return once(f, a, said, func(ctx context.Context) (R, error) { return change(ctx, a, said, why) }, answer)
	}
}

// done is told where nothing is said but why.
func done[R any](f *Face, change func(ctx context.Context, a *edge.Ask, why string) (R, error), answer func(R) (*edge.Answer, error)) edge.Handler {
	return func(a *edge.Ask) (*edge.Answer, error) {
		q := a.ReadQuery()
		why := q.Text("why")
		if err := q.Err(); err != nil {
			return nil, err
		}
		return once(f, a, nil, func(ctx context.Context) (R, error) { return change(ctx, a, why) }, answer)
	}
}

// ok answers with a record that was changed.
func ok[T any](rec book.Record[T]) (*edge.Answer, error) { return record(http.StatusOK, rec) }
