package v1

import (
	"net/http"

	"headtally/api/internal/edge"
	"headtally/domain"
	"headtally/planner"
	"headtally/planner/growth"
)

// houseDoc is what stands where: beds in walking order, each from the harvest
// end; what is in trays; what is past its last good day; sites that would lie
// open; and what the last walks found other than projected.
type houseDoc struct {
	AsOf    domain.Day       `json:"as_of"`
	Sites   domain.HalfRafts `json:"raft_sites"`
	Free    domain.HalfRafts `json:"free"`
	Beds    []bedDoc         `json:"beds"`
	Nursery []batchDoc       `json:"nursery"`
	Overdue []batchDoc       `json:"overdue"`
	Open    []openDoc        `json:"open_sites"`
	Differs []differsDoc     `json:"differences"`
}

type bedDoc struct {
	Code  string           `json:"code"`
	Name  string           `json:"name"`
	Rafts int              `json:"rafts"` // sites; 0: not told
	Taken domain.HalfRafts `json:"taken"`
	Free  domain.HalfRafts `json:"free"`
	Rows  []bedRowDoc      `json:"rows"`
}

// bedRowDoc is one lot in a bed; so many stand between it and the harvest end.
type bedRowDoc struct {
	Lot      string            `json:"lot"`
	Variety  string            `json:"variety"`
	Heads    int               `json:"heads"`
	Cautious int               `json:"cautious"`
	Rafts    *domain.HalfRafts `json:"rafts,omitempty"`
	Ready    domain.Day        `json:"ready"`
	Last     domain.Day        `json:"last"`
	InFront  int               `json:"in_front"`
	Source   sourceDoc         `json:"source"`
}

// sourceDoc is where a lot's figures come from.
type sourceDoc struct {
	Count    string        `json:"count,omitempty"`
	Batch    string        `json:"batch,omitempty"`
	Method   growth.Method `json:"method,omitempty"`
	Batches  int           `json:"batches,omitempty"`
	Late     domain.Day    `json:"late,omitzero"`
	Told     domain.Day    `json:"told,omitzero"`
	NotReady bool          `json:"not_ready,omitempty"`
}

type openDoc struct {
	Harvest domain.Day       `json:"harvest"`
	Rafts   domain.HalfRafts `json:"rafts"`
	Near    []nearDoc        `json:"near"`
}

type nearDoc struct {
	Batch     string           `json:"batch"`
	Variety   string           `json:"variety"`
	Day       domain.Day       `json:"day"`
	Rafts     domain.HalfRafts `json:"rafts"`
	Seedlings int              `json:"seedlings"`
}

type differsDoc struct {
	Count     string       `json:"count"`
	Day       domain.Day   `json:"day"`
	Bed       string       `json:"bed,omitempty"`
	Variety   string       `json:"variety"`
	Until     domain.Day   `json:"until"`
	Projected domain.Heads `json:"projected"`
	Counted   domain.Heads `json:"counted"`
}

func (f *Face) house(a *edge.Ask) (*edge.Answer, error) {
	asOf, err := f.asOf(a, a.ReadQuery())
	if err != nil {
		return nil, err
	}
	h, err := f.Book.House(a.Context(), a.Person, asOf)
	if err != nil {
		return nil, err
	}
	doc := houseDoc{AsOf: h.AsOf, Sites: h.Sites, Free: h.Free, Nursery: batchesOf(h.Nursery), Overdue: batchesOf(h.Overdue)}
	for i := range h.Beds {
		doc.Beds = append(doc.Beds, bedOf(&h.Beds[i]))
	}
	for _, o := range h.Open {
		open := openDoc{Harvest: o.Harvest, Rafts: o.Sites}
		for _, n := range o.Near {
			open.Near = append(open.Near, nearDoc(n))
		}
		doc.Open = append(doc.Open, open)
	}
	for _, d := range h.Differs {
		doc.Differs = append(doc.Differs, differsDoc(d))
	}
	return edge.JSON(http.StatusOK, doc)
}

func batchesOf(list []growth.Projection) (docs []batchDoc) {
	for i := range list {
		docs = append(docs, batchOf(list[i].Batch, &list[i]))
	}
	return docs
}

func bedOf(b *planner.BedView) bedDoc {
	doc := bedDoc{Code: b.Bed.Code, Name: b.Bed.Name, Rafts: b.Bed.Rafts, Taken: b.Taken, Free: b.Free}
	for _, r := range b.Rows {
		doc.Rows = append(doc.Rows, bedRowDoc{Lot: r.Lot.Code, Variety: r.Lot.Variety, Heads: r.Lot.Heads, Cautious: r.Lot.Cautious(), Rafts: r.Lot.Rafts,
			Ready: r.Lot.Ready, Last: r.Lot.Last, InFront: r.Behind, Source: sourceDoc(r.Source)})
	}
	return doc
}
