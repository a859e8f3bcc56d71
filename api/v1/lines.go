package v1

import (
	"context"
	"net/http"
	"slices"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// linePath names a line by the four parts of its id, so that no slash of it
// needs escaping.
const linePath = "/v1/lines/{order}/{product}/{carrier}/{pickup}"

// lines are the decisions about lines of the plan: what is settled, and a POST
// for each thing that can be.
func (f *Face) lines() []edge.Route {
	return []edge.Route{
		{Method: http.MethodGet, Path: linePath + "/decision", May: book.MayRead, Handle: f.decision},
		{Method: http.MethodPost, Path: linePath + "/promise", May: book.MayOrder, Limit: edge.JSONLimit, Handle: decide(f,
			func(c deciding, said casesSaid) (settled, error) {
				return f.Book.Promise(c.ctx, c.who, c.asOf, c.line, *said.Cases, c.note)
			})},
		{Method: http.MethodPost, Path: linePath + "/release", May: book.MayOrder, Limit: edge.JSONLimit, Handle: decide(f,
			func(c deciding, said casesSaid) (settled, error) {
				return f.Book.Release(c.ctx, c.who, c.asOf, c.line, *said.Cases, c.note)
			})},
		{Method: http.MethodPost, Path: linePath + "/cut", May: book.MayOrder, Limit: edge.JSONLimit, Handle: decide(f,
			func(c deciding, said cutSaid) (settled, error) {
				return f.Book.Cut(c.ctx, c.who, c.asOf, c.line, said.AtMost, c.note)
			})},
		{Method: http.MethodPost, Path: linePath + "/move", May: book.MayOrder, Limit: edge.JSONLimit, Handle: decide(f,
			func(c deciding, said moveSaid) (settled, error) {
				return f.Book.Move(c.ctx, c.who, c.asOf, c.line, said.To, c.note)
			})},
		{Method: http.MethodPost, Path: linePath + "/agree", May: book.MayOrder, Limit: edge.JSONLimit, Handle: decide(f,
			func(c deciding, said agreeSaid) (settled, error) {
				return f.Book.Agree(c.ctx, c.who, c.asOf, c.line, *said.Agreed, c.note)
			})},
	}
}

type settled = book.Record[domain.Decision]

// What is said to settle something about a line.
type (
	// casesSaid is a word for so many cases in all, or what is left of one.
	casesSaid struct {
		Cases *domain.Cases `json:"cases" validate:"required,min=0,max=1000000"`
	}
	// cutSaid holds a line to so many cases; left out, the cut is lifted.
	cutSaid struct {
		AtMost *domain.Cases `json:"at_most" validate:"omitempty,min=0,max=1000000"`
	}
	moveSaid struct {
		To domain.Day `json:"to" validate:"required"`
	}
	agreeSaid struct {
		Agreed *bool `json:"agreed" validate:"required"`
	}
)

// deciding is what every decision about a line comes with.
type deciding struct {
	ctx  context.Context
	who  book.Person
	asOf domain.Day
	line string
	note book.Note
}

// decide reads what is said about a line and settles it, once.
func decide[S any](f *Face, settle func(deciding, S) (settled, error)) edge.Handler {
	return func(a *edge.Ask) (*edge.Answer, error) {
		q := a.ReadQuery()
		reason := note(q)
		asOf, err := f.asOf(a, q)
		if err != nil {
			return nil, err
		}
		line, err := lineID(a)
		if err != nil {
			return nil, err
		}
		var said S
		if err := a.Decode(&said); err != nil {
			return nil, err
		}
		if err := domain.Check(said).Err(); err != nil {
			return nil, err
		}
		reason.Base, err = a.Base(func() (int64, error) {
			now, err := f.Book.Decision(a.Context(), a.Person, line)
			return now.Rev, err
		})
		if err != nil {
			return nil, err
		}
		return once(f, a, said, func(ctx context.Context) (settled, error) {
			return settle(deciding{ctx, a.Person, asOf, line, reason}, said)
		}, func(rec settled) (*edge.Answer, error) { return record(http.StatusOK, rec) })
	}
}

// lineID is the id of the line an address names.
func lineID(a *edge.Ask) (string, error) {
	pickup, err := a.PathDay("pickup")
	if err != nil {
		return "", err
	}
	return domain.LineID(a.Path("order"), a.Path("product"), a.Path("carrier"), pickup), nil
}

// decision is what is settled about a line; a line of the plan about which
// nothing was has revision 0.
func (f *Face) decision(a *edge.Ask) (*edge.Answer, error) {
	asOf, err := f.asOf(a, a.ReadQuery())
	if err != nil {
		return nil, err
	}
	line, err := lineID(a)
	if err != nil {
		return nil, err
	}
	rec, err := f.Book.Decision(a.Context(), a.Person, line)
	if err != nil {
		return nil, err
	}
	if rec.Rev == 0 {
		w, err := f.Book.Week(a.Context(), a.Person, asOf)
		if err != nil {
			return nil, err
		}
		if !slices.ContainsFunc(w.Lines, func(l domain.Line) bool { return l.Base == line }) {
			return nil, domain.Refuse(domain.ErrNotFound, "line", line)
		}
	}
	return readRecord(a, rec)
}
