package v1

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"strings"
	"time"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
	"headtally/domain/planning"
)

const packingPath = "/v1/packing-days/{day}"

// packingDays are the days on which something is lifted or packed: what their
// papers are drawn from, the papers, and the plans issued under a number.
func (f *Face) packingDays() []edge.Route {
	return []edge.Route{
		{Method: http.MethodGet, Path: "/v1/packing-days", May: book.MayRead, Handle: f.listPackingDays},
		{Method: http.MethodGet, Path: packingPath, May: book.MayRead, Handle: f.packingDay},
		{Method: http.MethodGet, Path: packingPath + "/papers/{paper}", May: book.MayRead, Handle: f.drawPaper},
		{Method: http.MethodGet, Path: packingPath + "/issues", May: book.MayRead, Handle: f.dayIssues},
		{Method: http.MethodPost, Path: packingPath + "/issues", May: book.MayOrder, Handle: f.issue},
	}
}

func (f *Face) listPackingDays(a *edge.Ask) (*edge.Answer, error) {
	asOf, err := f.asOf(a, a.ReadQuery())
	if err != nil {
		return nil, err
	}
	days, err := f.Book.PackingDays(a.Context(), a.Person, asOf)
	if err != nil {
		return nil, err
	}
	return edge.JSON(http.StatusOK, struct {
		AsOf domain.Day   `json:"as_of"`
		Days []domain.Day `json:"days"`
	}{asOf, days})
}

// packingDoc is one day of lifting and packing as planned.
type packingDoc struct {
	Day      domain.Day         `json:"day"`
	AsOf     domain.Day         `json:"as_of"`
	Revision int64              `json:"revision"`
	Pickups  []domain.Day       `json:"pickups"`
	Pulls    []planning.Pull    `json:"pulls"`
	Runs     []domain.PackedRun `json:"runs"`
	Papers   []Paper            `json:"papers"`
	Issues   []issueNamed       `json:"issues"`
}

// issueNamed names an issue, whose whole document lies under /v1/issues.
type issueNamed struct {
	ID       string    `json:"id"`
	Number   int       `json:"number"`
	Replaces int       `json:"replaces,omitempty"`
	At       time.Time `json:"at"`
	By       string    `json:"by"`
}

// packing reads the packing day an address names, as planned as of the day
// asked for.
func (f *Face) packing(a *edge.Ask, q *edge.Query) (*book.PackingDay, error) {
	asOf, day, err := f.dayNamed(a, q, "day")
	if err != nil {
		return nil, err
	}
	return f.Book.PackingDay(a.Context(), a.Person, asOf, day)
}

func (f *Face) packingDay(a *edge.Ask) (*edge.Answer, error) {
	p, err := f.packing(a, a.ReadQuery())
	if err != nil {
		return nil, err
	}
	doc := packingDoc{Day: p.Day, AsOf: p.Week.AsOf, Revision: p.Week.Revision, Runs: p.Runs, Papers: f.Rack(p)}
	for _, d := range p.Pickups {
		doc.Pickups = append(doc.Pickups, d.Pickup)
	}
	for _, pull := range p.Week.Plan.Pulls {
		if pull.Day == p.Day {
			doc.Pulls = append(doc.Pulls, pull)
		}
	}
	for _, x := range p.Before {
		doc.Issues = append(doc.Issues, issueNamed{ID: x.ID, Number: x.Number, Replaces: x.Replaces, At: x.At, By: x.By})
	}
	return derived(a, doc.Revision, doc)
}

func (f *Face) drawPaper(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	size := q.OneOf("paper", "letter", "a4")
	p, err := f.packing(a, q)
	if err != nil {
		return nil, err
	}
	name, err := paperName(a)
	if err != nil {
		return nil, err
	}
	fresh, err := a.Fresh(p.Week.Revision)
	if err != nil {
		return nil, err
	}
	if fresh {
		return (&edge.Answer{Status: http.StatusNotModified}).With("ETag", edge.Tag(p.Week.Revision)), nil
	}
	answer, err := pdf(p.Day.String()+"-"+name, func(w io.Writer) error { return f.Draw(w, p, name, size) })
	if err != nil {
		return nil, err
	}
	return answer.With("ETag", edge.Tag(p.Week.Revision)), nil
}

// paperName is the name of the paper an address names with .pdf behind it.
func paperName(a *edge.Ask) (string, error) {
	name, is := strings.CutSuffix(a.Path("paper"), ".pdf")
	if !is {
		return "", domain.Refuse(domain.ErrNotFound, "paper", a.Path("paper"))
	}
	return name, nil
}

// pdf answers with a paper, under a name to keep it by.
func pdf(name string, write func(io.Writer) error) (*edge.Answer, error) {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return nil, err
	}
	return (&edge.Answer{Status: http.StatusOK, Body: b.Bytes()}).With("Content-Type", "application/pdf").
		With("Content-Disposition", edge.Named("inline", name+".pdf")), nil
}

// issueDoc is an issue as it goes over the wire, where revision is the record's
// own.
type issueDoc struct {
	ID       string             `json:"id"`
	Day      domain.Day         `json:"day"`
	Number   int                `json:"number"`
	Replaces int                `json:"replaces,omitempty"`
	Revision int64              `json:"planned_from"` // the book's
	At       time.Time          `json:"at"`
	By       string             `json:"by"`
	Pulls    []domain.LiftRow   `json:"pulls"`
	Runs     []domain.PackedRun `json:"runs"`
	Given    []domain.Given     `json:"given"`
	Seals    map[string]string  `json:"-"` // for headtally check alone
}

func issueOf(rec book.Record[domain.Issue]) book.Record[issueDoc] {
	return book.Record[issueDoc]{Value: issueDoc(rec.Value), Rev: rec.Rev, Ended: rec.Ended}
}

// issueReader reads issues as documents.
type issueReader struct{ log book.Log[domain.Issue] }

func (r issueReader) List(ctx context.Context, who book.Person, q book.Query) (docs []book.Record[issueDoc], err error) {
	found, err := r.log.List(ctx, who, q)
	for _, rec := range found {
		docs = append(docs, issueOf(rec))
	}
	return docs, err
}

func (r issueReader) Get(ctx context.Context, who book.Person, code string) (book.Record[issueDoc], error) {
	rec, err := r.log.Get(ctx, who, code)
	return issueOf(rec), err
}

// issued are the issues of all days.
func (f *Face) issued() log[issueDoc] {
	return log[issueDoc]{path: "/v1/issues", from: issueReader{f.Book.Issued()}, code: func(v *issueDoc) *string { return &v.ID }, filter: betweenDays}
}

func (f *Face) dayIssues(a *edge.Ask) (*edge.Answer, error) {
	if err := a.ReadQuery().Err(); err != nil {
		return nil, err
	}
	day, err := a.PathDay("day")
	if err != nil {
		return nil, err
	}
	found, err := f.Book.Issues(a.Context(), a.Person, day)
	if err != nil {
		return nil, err
	}
	docs := make([]book.Record[issueDoc], len(found))
	for i, rec := range found {
		docs[i] = issueOf(rec)
	}
	return items(docs)
}

// items answers with records that are all there are.
func items[T any](found []book.Record[T]) (*edge.Answer, error) {
	p := page{Items: []rawJSON{}}
	for _, rec := range found {
		doc, err := document(rec)
		if err != nil {
			return nil, err
		}
		p.Items = append(p.Items, doc)
	}
	return edge.JSON(http.StatusOK, p)
}

// issue keeps the day's plan and its papers under a number.
func (f *Face) issue(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	why := q.Text("why")
	asOf, err := f.asOf(a, q)
	if err != nil {
		return nil, err
	}
	day, err := a.PathDay("day")
	if err != nil {
		return nil, err
	}
	return once(f, a, nil, func(ctx context.Context) (book.Record[domain.Issue], error) {
		return f.Book.Issue(ctx, a.Person, asOf, day, why)
	}, func(rec book.Record[domain.Issue]) (*edge.Answer, error) { return f.issued().created(issueOf(rec)) })
}

// issues are the numbered plans with their papers as they were printed.
func (f *Face) issues() []edge.Route {
	return append(f.issued().reads(),
		edge.Route{Method: http.MethodGet, Path: "/v1/issues/{id}/papers", May: book.MayRead, Handle: f.keptPapers},
		edge.Route{Method: http.MethodGet, Path: "/v1/issues/{id}/papers/{paper}", May: book.MayRead, Handle: f.keptPaper})
}

func (f *Face) keptPapers(a *edge.Ask) (*edge.Answer, error) {
	if err := a.ReadQuery().Err(); err != nil {
		return nil, err
	}
	if _, err := f.Book.Issued().Get(a.Context(), a.Person, a.Path("id")); err != nil {
		return nil, err
	}
	names, err := f.Book.PrintedNames(a.Context(), a.Person, a.Path("id"))
	if err != nil {
		return nil, err
	}
	return edge.JSON(http.StatusOK, struct {
		Papers []string `json:"papers"`
	}{names})
}

func (f *Face) keptPaper(a *edge.Ask) (*edge.Answer, error) {
	if err := a.ReadQuery().Err(); err != nil {
		return nil, err
	}
	name, err := paperName(a)
	if err != nil {
		return nil, err
	}
	kept, err := f.Book.Printed(a.Context(), a.Person, a.Path("id"), name)
	if err != nil {
		return nil, err
	}
	return pdf(a.Path("id")+"-"+name, func(w io.Writer) error { _, err := w.Write(kept); return err })
}
