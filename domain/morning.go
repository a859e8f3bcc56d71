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
}

// Same says whether two speak of the same pickup, truck, customer and product.
func (g Given) Same(o Given) bool {
	return g.Pickup == o.Pickup && g.Carrier == o.Carrier && g.Customer == o.Customer && g.Product == o.Product
}

// Lift is heads truly taken out of the beds on a day.
type Lift struct {
	ID   string    `json:"id,omitempty" validate:"omitempty,code"`
	Day  Day       `json:"day" validate:"required"`
	Done bool      `json:"done,omitempty"` // lifting is done: the beds are closed for the day
	Rows []LiftRow `json:"rows" validate:"max=5000,dive"`
	At   time.Time `json:"at,omitzero"`
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
// not.
type Packing struct {
	ID   string      `json:"id,omitempty" validate:"omitempty,code"`
	Day  Day         `json:"day" validate:"required"`
	Runs []PackedRun `json:"runs" validate:"max=5000,dive"`
	Gone []HeadsGone `json:"gone,omitempty" validate:"max=5000,dive"`
	At   time.Time   `json:"at,omitzero"`
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

// Where is what became of heads that were not sold in a case.
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
