package domain

import "time"

// Issue is a packing day's plan as it was printed: what to lift that morning
// and what to pack. It is numbered and never changed; a later one replaces it.
type Issue struct {
	ID       string      `json:"id"` // its number as text
	Day      Day         `json:"day"`
	Number   int         `json:"number"`
	Replaces int         `json:"replaces,omitempty"` // the day's number before it, if any
	Revision int64       `json:"revision"`           // of the book it was planned from
	At       time.Time   `json:"at"`
	By       string      `json:"by"`
	Pulls    []LiftRow   `json:"pulls"`
	Runs     []PackedRun `json:"runs"`
	Given    []Given     `json:"given,omitempty"` // what its pickups' customers get, packed before or not
	// Seals bind each paper that is kept, by its name, to this plan: headtally
	// check tells when either is no longer the other's.
	Seals map[string]string `json:"seals,omitempty"`
}

// Given is the cases of a product that a customer gets with a truck. The next
// issue says what is no longer so.
type Given struct {
	Pickup   Day    `json:"pickup"`
	Carrier  string `json:"carrier"`
	Customer string `json:"customer"`
	Name     string `json:"name"` // the customer's
	Product  string `json:"product"`
	Cases    Cases  `json:"cases"`
	Lacked   Cases  `json:"lacked,omitempty"` // cases asked for beside these: cut, or counted and short
}

// Same says whether two speak of the same pickup, truck, customer and product.
func (g Given) Same(o Given) bool {
	return g.Pickup == o.Pickup && g.Carrier == o.Carrier && g.Customer == o.Customer && g.Product == o.Product
}

// Lift is heads truly taken out of the beds on a day.
type Lift struct {
	ID        string    `json:"id,omitempty" validate:"omitempty,code"`
	Day       Day       `json:"day" validate:"required"`
	Done      bool      `json:"done,omitempty"`                              // lifting is done: the beds are closed for the day
	AsPlanned bool      `json:"as_planned,omitempty"`                        // nobody told it: what was packed was lifted
	Instead   string    `json:"instead,omitempty" validate:"omitempty,code"` // the lift this one stands instead of
	Rows      []LiftRow `json:"rows" validate:"max=5000,dive"`
	At        time.Time `json:"at,omitzero"`
}

// HoldingLifts are the lifts that no other stands instead of. One that stands
// instead of another counts from when that one was told, so that what was packed
// of its heads meanwhile finds them; their order is kept.
func HoldingLifts(lifts []Lift) []Lift {
	by := map[string]Lift{}
	instead := map[string]bool{}
	for _, l := range lifts {
		by[l.ID] = l
		instead[l.Instead] = true
	}
	list := make([]Lift, 0, len(lifts))
	for _, l := range lifts {
		if instead[l.ID] {
			continue
		}
		for was, there := by[l.Instead]; there; was, there = by[was.Instead] {
			l.At = was.At
		}
		list = append(list, l)
	}
	return list
}

// LiftRow is what came out of one lot.
type LiftRow struct {
	Lot     string    `json:"lot" validate:"required,max=200"`
	Variety string    `json:"variety" validate:"required"`
	Bed     string    `json:"bed,omitempty"`
	Rafts   HalfRafts `json:"rafts,omitempty" validate:"min=0,max=2000000"`
	Heads   Heads     `json:"heads" validate:"min=0,max=1000000"` // good ones, now in the cooler
	Culls   Heads     `json:"culls,omitempty" validate:"min=0,max=1000000"`
}

// Packing is what was truly packed on a day, and what became of heads that were
// not, or of spare cases.
type Packing struct {
	ID        string      `json:"id,omitempty" validate:"omitempty,code"`
	Day       Day         `json:"day" validate:"required"`
	GoneOnly  bool        `json:"gone_only,omitempty"` // tells only what went elsewhere: the day's packing is yet to be told
	Runs      []PackedRun `json:"runs" validate:"max=5000,dive"`
	Gone      []HeadsGone `json:"gone,omitempty" validate:"max=5000,dive"`
	GoneCases []CasesGone `json:"gone_cases,omitempty" validate:"max=5000,dive"`
	At        time.Time   `json:"at,omitzero"`
}

// PackedRun is cases packed to one recipe, the lots whose heads can be in them,
// and the lines they were packed for. Cases of no line are spare.
type PackedRun struct {
	Trace    string         `json:"trace,omitempty"` // traceability lot code, given at packing
	Pickup   Day            `json:"pickup"`
	Product  string         `json:"product" validate:"required"`
	Cases    Cases          `json:"cases" validate:"min=0,max=1000000"`
	Contents []VarietyHeads `json:"contents" validate:"max=100,dive"` // per case
	Lots     []LotTaken     `json:"lots" validate:"max=1000,dive"`    // in all
	Lines    []LineCases    `json:"lines" validate:"max=5000,dive"`
}

// LotTaken is heads taken from a lot as it lay in the cooler.
type LotTaken struct {
	Lot     string `json:"lot" validate:"required,max=200"`
	Variety string `json:"variety" validate:"required"`
	Pulled  Day    `json:"pulled"`
	Heads   Heads  `json:"heads" validate:"min=0,max=1000000"`
}

// LineCases is so many cases packed for a line.
type LineCases struct {
	Line  string `json:"line" validate:"required,max=200"`
	Cases Cases  `json:"cases" validate:"min=0,max=1000000"`
}

// HeadsGone is loose heads that left the cooler otherwise than in a case.
type HeadsGone struct {
	Lot     string `json:"lot,omitempty" validate:"max=200"` // "": the oldest of the variety
	Variety string `json:"variety" validate:"required"`
	Heads   Heads  `json:"heads" validate:"min=1,max=1000000"`
	Where   Where  `json:"where" validate:"oneof=dropped stall food_bank staff compost"`
}

// CasesGone is packed cases that left the cooler otherwise than with a truck:
// spare ones first, then those of a line.
type CasesGone struct {
	Trace string `json:"trace" validate:"required,max=60,line"`
	Cases Cases  `json:"cases" validate:"min=1,max=1000000"`
	Where Where  `json:"where" validate:"oneof=dropped stall food_bank staff compost"`
}

// Where is what became of heads that were not sold with a truck.
type Where string

// The ways heads go.
const (
	Dropped  Where = "dropped"
	Stall    Where = "stall"
	FoodBank Where = "food_bank"
	Staff    Where = "staff"
	Compost  Where = "compost"
)

// Departure is a carrier's pickup that is gone, with the cases it took.
type Departure struct {
	ID      string    `json:"id"` // carrier and day
	Carrier string    `json:"carrier" validate:"required"`
	Day     Day       `json:"day" validate:"required"`
	Took    []Shipped `json:"took"`
	At      time.Time `json:"at,omitzero"`
}

// Shipped is packed cases that left for a customer.
type Shipped struct {
	Packed   string `json:"packed"` // the code of the packed cases
	Trace    string `json:"trace,omitempty"`
	Line     string `json:"line,omitempty"`
	Customer string `json:"customer"`
	Product  string `json:"product"`
	PO       string `json:"purchase_order,omitempty"`
	Cases    Cases  `json:"cases"`
}

// Return is cases that came back, and what became of them.
type Return struct {
	ID       string         `json:"id,omitempty" validate:"omitempty,code"`
	Day      Day            `json:"day" validate:"required"`
	Customer string         `json:"customer" validate:"required"`
	Product  string         `json:"product" validate:"required"`
	Trace    string         `json:"trace,omitempty" validate:"max=60,line"`
	Cases    Cases          `json:"cases" validate:"min=1,max=1000000"`
	Why      string         `json:"why,omitempty" validate:"max=200,line"`
	Became   string         `json:"became" validate:"oneof=stock stall food_bank staff compost"`
	Pulled   Day            `json:"pulled,omitzero"` // of the oldest head, where they went back to stock
	Contents []VarietyHeads `json:"contents,omitempty" validate:"max=100,dive"`
	At       time.Time      `json:"at,omitzero"`
}

// Closing is a carrier's pickup whose orders are closed: what comes later is a
// late change.
type Closing struct {
	ID      string    `json:"id"` // carrier and day
	Carrier string    `json:"carrier" validate:"required"`
	Day     Day       `json:"day" validate:"required"`
	At      time.Time `json:"at"`
	Open    bool      `json:"open,omitempty"` // opened again by a person
}

// PickupID is the identity of a carrier's pickup on a day.
func PickupID(carrier string, day Day) string { return carrier + "/" + day.String() }
