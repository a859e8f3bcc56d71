package v1

import (
	"context"
	"net/http"
	"net/url"
	"strconv"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// noun is a kind of record on its addresses.
type noun[T any] struct {
	path   string // of the list
	member string // of its document that holds its code: code or id
	shelf  book.Shelf[T]
	code   func(*T) *string
	filter func(*edge.Query, *book.Query) // reads the list's own filters
}

// routes are the five addresses of every noun.
func routes[T any](f *Face, n noun[T]) []edge.Route {
	one := n.path + "/{" + n.member + "}"
	return []edge.Route{
		{Method: http.MethodGet, Path: n.path, May: book.MayRead, Handle: n.list},
		{Method: http.MethodPost, Path: n.path, May: n.shelf.MayChange(), Limit: edge.JSONLimit, Handle: func(a *edge.Ask) (*edge.Answer, error) { return n.create(f, a) }},
		{Method: http.MethodGet, Path: one, May: book.MayRead, Handle: n.get},
		{Method: http.MethodPut, Path: one, May: n.shelf.MayChange(), Limit: edge.JSONLimit, Handle: n.replace},
		{Method: http.MethodDelete, Path: one, May: n.shelf.MayChange(), Handle: n.end},
	}
}

// page is part of a list. Next is what to ask for after it, if there is more.
type page struct {
	Items []rawJSON `json:"items"`
	Next  string    `json:"next,omitempty"`
}

// rawJSON is a document already written.
type rawJSON []byte

func (r rawJSON) MarshalJSON() ([]byte, error) { return r, nil }

// The most records of one page, and how many where nothing was said.
const (
	pageMost  = 200
	pageUsual = 50
)

func (n noun[T]) list(a *edge.Ask) (*edge.Answer, error) { return list(a, n.shelf, n.code, n.filter) }

// reader is records of a kind that can be read.
type reader[T any] interface {
	List(ctx context.Context, who book.Person, q book.Query) ([]book.Record[T], error)
	Get(ctx context.Context, who book.Person, code string) (book.Record[T], error)
}

// list answers with a page of records.
func list[T any](a *edge.Ask, from reader[T], code func(*T) *string, filter func(*edge.Query, *book.Query)) (*edge.Answer, error) {
	q, chosen := a.ReadQuery(), book.Query{Equal: map[string]string{}, From: map[string]string{}, To: map[string]string{}}
	limit := q.Whole("limit", 1, pageMost, pageUsual)
	chosen.After, chosen.Ended, chosen.Limit = q.Text("after"), q.Truth("ended"), limit+1
	if filter != nil {
		filter(q, &chosen)
	}
	if err := q.Err(); err != nil {
		return nil, err
	}
	found, err := from.List(a.Context(), a.Person, chosen)
	if err != nil {
		return nil, err
	}
	p := page{Items: []rawJSON{}}
	if len(found) > limit {
		found = found[:limit]
		p.Next = *code(&found[limit-1].Value)
	}
	for _, rec := range found {
		doc, err := document(rec)
		if err != nil {
			return nil, err
		}
		p.Items = append(p.Items, doc)
	}
	return edge.JSON(http.StatusOK, p)
}

func (n noun[T]) get(a *edge.Ask) (*edge.Answer, error) { return get(a, n.shelf, n.member) }

// get answers with the record an address names by one of its parts.
func get[T any](a *edge.Ask, from reader[T], part string) (*edge.Answer, error) {
	if err := a.ReadQuery().Err(); err != nil {
		return nil, err
	}
	rec, err := from.Get(a.Context(), a.Person, a.Path(part))
	if err != nil {
		return nil, err
	}
	return readRecord(a, rec)
}

func (n noun[T]) create(f *Face, a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	reason := note(q)
	if err := q.Err(); err != nil {
		return nil, err
	}
	var v T
	if err := a.Decode(&v); err != nil {
		return nil, err
	}
	return once(f, a, v, func(ctx context.Context) (book.Record[T], error) {
		return n.shelf.Create(ctx, a.Person, v, reason)
	}, func(rec book.Record[T]) (*edge.Answer, error) {
		answer, err := record(http.StatusCreated, rec)
		if err != nil {
			return nil, err
		}
		return answer.With("Location", n.path+"/"+url.PathEscape(*n.code(&rec.Value))), nil
	})
}

func (n noun[T]) replace(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	reason := note(q)
	if err := q.Err(); err != nil {
		return nil, err
	}
	var v T
	if err := a.Decode(&v); err != nil {
		return nil, err
	}
	code := a.Path(n.member)
	if own := n.code(&v); *own != "" && *own != code {
		return nil, domain.Faults{{Place: n.member, Code: "cannot_change", Args: map[string]any{"code": code}}}
	}
	var err error
	if reason.Base, err = a.Base(n.present(a)); err != nil {
		return nil, err
	}
	rec, err := n.shelf.Replace(a.Context(), a.Person, code, v, reason)
	if err != nil {
		return nil, err
	}
	return record(http.StatusOK, rec)
}

func (n noun[T]) end(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	reason := note(q)
	if err := q.Err(); err != nil {
		return nil, err
	}
	var err error
	if reason.Base, err = a.Base(n.present(a)); err != nil {
		return nil, err
	}
	rec, err := n.shelf.End(a.Context(), a.Person, a.Path(n.member), reason)
	if err != nil {
		return nil, err
	}
	return record(http.StatusOK, rec)
}

// present reads the revision of the record a request names.
func (n noun[T]) present(a *edge.Ask) func() (int64, error) {
	return func() (int64, error) {
		rec, err := n.shelf.Get(a.Context(), a.Person, a.Path(n.member))
		return rec.Rev, err
	}
}

// record answers with a record.
func record[T any](status int, rec book.Record[T]) (*edge.Answer, error) {
	doc, err := document(rec)
	if err != nil {
		return nil, err
	}
	answer, err := edge.JSON(status, doc)
	if err != nil {
		return nil, err
	}
	return answer.With("ETag", edge.Tag(rec.Rev)), nil
}

// readRecord is record for a GET, which may hold it already.
func readRecord[T any](a *edge.Ask, rec book.Record[T]) (*edge.Answer, error) {
	doc, err := document(rec)
	if err != nil {
		return nil, err
	}
	return derived(a, rec.Rev, doc)
}

// document is a record's own document with its revision, and whether it ended.
func document[T any](rec book.Record[T]) (rawJSON, error) {
	doc, err := edge.Marshal(rec.Value)
	if err != nil {
		return nil, err
	}
	doc = append(doc[:len(doc)-1], `,"revision":`...)
	doc = strconv.AppendInt(doc, rec.Rev, 10)
	doc = append(doc, `,"ended":`...)
	return append(strconv.AppendBool(doc, rec.Ended), '}'), nil
}
