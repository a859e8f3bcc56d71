package v1

import (
	"bytes"
	"net/http"
	"net/url"
	"strings"
	"time"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
	"headtally/domain/planning"
)

func (f *Face) days() []edge.Route {
	return []edge.Route{
		{Method: http.MethodGet, Path: "/v1/days/{pickup}", May: book.MayRead, Handle: f.day},
		{Method: http.MethodGet, Path: "/v1/days/{pickup}/pack-list", May: book.MayRead, Handle: f.packList},
		{Method: http.MethodGet, Path: "/v1/days/{pickup}/pack-list.pdf", May: book.MayRead, Handle: f.packListPDF},
	}
}

// dayDoc is one pickup day as planned.
type dayDoc struct {
	Pickup   domain.Day     `json:"pickup"`
	AsOf     domain.Day     `json:"as_of"`
	Revision int64          `json:"revision"`
	Carriers []carrierDoc   `json:"carriers"`
	Tally    []tallyRow     `json:"tally"`
	Lines    []dayLine      `json:"lines"`
	Runs     []planning.Run `json:"runs"`
	Notices  []noticeDoc    `json:"notices"`
}

type carrierDoc struct {
	Carrier string       `json:"carrier"`
	Name    string       `json:"name"`
	Hour    domain.Clock `json:"hour"`
}

// dayLine is one line with what it gets. Cases are counted apart that are
// short and that nobody has counted heads for yet.
type dayLine struct {
	plannedLine
	CustomerName string           `json:"customer_name"`
	ProductName  string           `json:"product_name"`
	PO           string           `json:"purchase_order,omitempty"`
	Received     time.Time        `json:"received"`
	AllOrNone    bool             `json:"all_or_none"`
	Promised     domain.Cases     `json:"promised"`
	AtMost       *domain.Cases    `json:"at_most,omitempty"`
	Agreed       bool             `json:"agreed"`
	MovedFrom    domain.Day       `json:"moved_from,omitzero"`
	Cut          int              `json:"cut"`
	Filled       int              `json:"filled"`
	Firm         int              `json:"firm"`
	Short        int              `json:"short"`
	NotCounted   int              `json:"not_counted"`
	Broken       int              `json:"broken"`
	Offer        int              `json:"offer"`
	Reason       *planning.Reason `json:"reason,omitempty"`
	Shorted      *shortedDoc      `json:"shorted,omitempty"`
}

// shortedDoc is when a line's customer last went short.
type shortedDoc struct {
	Pickup domain.Day   `json:"pickup"`
	Cases  domain.Cases `json:"cases"`
}

// planned reads the day an address names, as planned as of the day asked for.
func (f *Face) planned(a *edge.Ask, q *edge.Query) (*book.Day, error) {
	asOf, pickup, err := f.dayNamed(a, q, "pickup")
	if err != nil {
		return nil, err
	}
	return f.Book.Day(a.Context(), a.Person, asOf, pickup)
}

// dayNamed reads the day in an address, and the one it is planned as of.
func (f *Face) dayNamed(a *edge.Ask, q *edge.Query, part string) (asOf, day domain.Day, err error) {
	if asOf, err = f.asOf(a, q); err != nil {
		return 0, 0, err
	}
	day, err = a.PathDay(part)
	return asOf, day, err
}

func (f *Face) day(a *edge.Ask) (*edge.Answer, error) {
	d, err := f.planned(a, a.ReadQuery())
	if err != nil {
		return nil, err
	}
	doc := dayDoc{Pickup: d.Pickup, AsOf: d.Week.AsOf, Revision: d.Week.Revision, Tally: tallyRows(d.Tally), Runs: d.Runs, Notices: notices(d.Notices)}
	for _, c := range d.Carriers {
		doc.Carriers = append(doc.Carriers, carrierDoc{c.Code, c.Name, c.Hour})
	}
	for _, l := range d.Lines {
		doc.Lines = append(doc.Lines, lineOf(l))
	}
	return derived(a, doc.Revision, doc)
}

func lineOf(l book.DayLine) dayLine {
	doc := dayLine{
		plannedLine: plannedLine{ID: l.ID, Line: lineAddress(l.Base), Order: l.Order, Standing: l.Standing, Customer: l.Line.Customer,
			Product: l.Line.Product, Carrier: l.Carrier, Pickup: l.Pickup, Cases: l.Cases},
		CustomerName: l.Customer.Name, ProductName: l.Product.Name, PO: l.PO, Received: l.Received, AllOrNone: l.AllOrNone,
		Promised: l.Promised, AtMost: l.AtMost, Agreed: l.Agreed, MovedFrom: l.MovedFrom,
		Cut: l.Plan.Cut, Filled: l.Plan.Filled, Firm: l.Plan.Firm, Broken: l.Plan.Broken, Offer: l.Plan.Offer, Reason: l.Plan.Reason,
	}
	if s := l.Shorted; s.Pickup != 0 {
		doc.Shorted = &shortedDoc{s.Pickup, s.Cases}
	}
	if l.Counted {
		doc.Short = l.Plan.Short
	} else {
		doc.NotCounted = l.Plan.Short
	}
	return doc
}

// lineAddress is where the decisions about a line lie.
func lineAddress(base string) string {
	parts := strings.Split(base, "/")
	for i, p := range parts {
		parts[i] = url.PathEscape(p)
	}
	return "/v1/lines/" + strings.Join(parts, "/")
}

// packListDoc is what the packing room packs for a day, in the order of the
// trucks and their stops.
type packListDoc struct {
	Pickup   domain.Day     `json:"pickup"`
	AsOf     domain.Day     `json:"as_of"`
	Revision int64          `json:"revision"`
	Farm     string         `json:"farm"`
	Trucks   []truckDoc     `json:"trucks"`
	Cases    int            `json:"cases"`
	Runs     []planning.Run `json:"runs"`
	Heads    []tallyRow     `json:"heads"`
}

type truckDoc struct {
	Carrier string    `json:"carrier"`
	Name    string    `json:"name"`
	Hour    string    `json:"hour,omitempty"`
	Cases   int       `json:"cases"`
	Stops   []stopDoc `json:"stops"`
}

type stopDoc struct {
	Customer string     `json:"customer"`
	Name     string     `json:"name"`
	Stop     int        `json:"stop"`
	Lines    []packLine `json:"lines"`
}

type packLine struct {
	ID         string `json:"id"`
	Product    string `json:"product"`
	Name       string `json:"name"`
	ItemCode   string `json:"item_code,omitempty"` // the customer's own
	PO         string `json:"purchase_order,omitempty"`
	Cases      int    `json:"cases"`
	Short      int    `json:"short"`
	NotCounted int    `json:"not_counted"`
}

func (f *Face) packList(a *edge.Ask) (*edge.Answer, error) {
	d, err := f.planned(a, a.ReadQuery())
	if err != nil {
		return nil, err
	}
	return derived(a, d.Week.Revision, packListOf(d))
}

// packListOf gathers a day's lines, which stand in the order of the trucks and
// stops already.
func packListOf(d *book.Day) packListDoc {
	doc := packListDoc{Pickup: d.Pickup, AsOf: d.Week.AsOf, Revision: d.Week.Revision, Farm: d.Farm.Name, Runs: d.Runs, Heads: tallyRows(d.Tally)}
	for _, l := range d.Lines {
		if n := len(doc.Trucks); n == 0 || doc.Trucks[n-1].Carrier != l.Carrier {
			doc.Trucks = append(doc.Trucks, truckOf(d, l.Carrier))
		}
		truck := &doc.Trucks[len(doc.Trucks)-1]
		if n := len(truck.Stops); n == 0 || truck.Stops[n-1].Customer != l.Line.Customer {
			truck.Stops = append(truck.Stops, stopDoc{Customer: l.Line.Customer, Name: l.Customer.Name, Stop: l.Customer.Stop})
		}
		stop, line := &truck.Stops[len(truck.Stops)-1], lineOf(l)
		stop.Lines = append(stop.Lines, packLine{ID: l.ID, Product: line.Product, Name: line.ProductName,
			ItemCode: l.Customer.ItemCodes[line.Product], PO: l.PO, Cases: line.Filled, Short: line.Short, NotCounted: line.NotCounted})
		truck.Cases += line.Filled
		doc.Cases += line.Filled
	}
	return doc
}

// truckOf names a carrier; one that no longer comes that day has no hour.
func truckOf(d *book.Day, carrier string) truckDoc {
	for _, c := range d.Carriers {
		if c.Code == carrier {
			return truckDoc{Carrier: carrier, Name: c.Name, Hour: c.Hour.String()}
		}
	}
	return truckDoc{Carrier: carrier, Name: carrier}
}

func (f *Face) packListPDF(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	paper := q.OneOf("paper", "letter", "a4")
	d, err := f.planned(a, q)
	if err != nil {
		return nil, err
	}
	if paper == "" {
		paper = d.Farm.Paper
	}
	fresh, err := a.Fresh(d.Week.Revision)
	if err != nil {
		return nil, err
	}
	answer := (&edge.Answer{Status: http.StatusNotModified}).With("ETag", edge.Tag(d.Week.Revision))
	if fresh {
		return answer, nil
	}
	var pdf bytes.Buffer
	if err := f.PackList(&pdf, d, paper); err != nil {
		return nil, err
	}
	answer.Status, answer.Body = http.StatusOK, pdf.Bytes()
	return answer.With("Content-Type", "application/pdf").
		With("Content-Disposition", edge.Named("inline", "pack-list-"+d.Pickup.String()+".pdf")), nil
}
