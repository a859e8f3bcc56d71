package domain

import (
	"strings"
	"time"
)

// Order is a one-off: what a customer asked for one pickup day.
type Order struct {
	ID        string      `json:"id,omitempty" validate:"omitempty,code"`
	Customer  string      `json:"customer" validate:"required"`
	Pickup    Day         `json:"pickup" validate:"required"`
	Carrier   string      `json:"carrier,omitempty"` // "": the customer's
	Mode      OrderMode   `json:"mode" validate:"oneof=add replace"`
	PO        string      `json:"purchase_order,omitempty" validate:"max=60,line"`
	Reference string      `json:"reference,omitempty" validate:"max=60,line"`
	Note      string      `json:"note,omitempty" validate:"max=400"`
	Lines     []OrderLine `json:"lines" validate:"min=1,max=500,dive"`
	Received  time.Time   `json:"received,omitzero"` // when it was asked for; none: when it is stored
}

// OrderMode says what a one-off does to the customer's standing orders of the
// products it names, on its day.
type OrderMode string

// Add comes on top of the standing quantity; Replace stands instead of it.
const (
	Add     OrderMode = "add"
	Replace OrderMode = "replace"
)

// OrderLine is so many cases of a product. None is a line too: with Replace it
// says that the standing quantity is not wanted.
type OrderLine struct {
	Product   string `json:"product" validate:"required"`
	Cases     Cases  `json:"cases" validate:"min=0,max=1000000"`
	AllOrNone bool   `json:"all_or_none,omitempty"`
}

// Check holds an order against what the tags cannot say.
func (o *Order) Check() Faults {
	faults := Check(o)
	seen := map[string]bool{}
	for i, l := range o.Lines {
		if l.Product != "" && seen[l.Product] {
			faults.Add(at("lines", i, "product"), "twice", "value", l.Product)
		}
		seen[l.Product] = true
	}
	return faults
}

// Standing is a standing order: an identity, and terms that change over time.
// A term holds from its day until the next one's.
type Standing struct {
	ID       string   `json:"id,omitempty" validate:"omitempty,code"`
	Customer string   `json:"customer" validate:"required"`
	Product  string   `json:"product" validate:"required"`
	Carrier  string   `json:"carrier,omitempty"` // "": the customer's
	PO       string   `json:"purchase_order,omitempty" validate:"max=60,line"`
	Note     string   `json:"note,omitempty" validate:"max=400"`
	Terms    []Term   `json:"terms" validate:"min=1,max=1000,dive"`
	Changes  []Change `json:"changes,omitempty" validate:"max=1000,dive"`
}

// Term is what a standing order asks from a day on.
type Term struct {
	From      Day       `json:"from" validate:"required"`
	Until     Day       `json:"until,omitzero"` // the last day; none: until further notice
	Weekdays  Weekdays  `json:"weekdays"`       // none: every pickup day of the carrier
	Every     int       `json:"every_weeks" validate:"min=1,max=52"`
	Cases     Cases     `json:"cases" validate:"min=0,max=1000000"`
	AllOrNone bool      `json:"all_or_none,omitempty"`
	Received  time.Time `json:"received,omitzero"` // when these cases were asked for
}

// Change is what a standing order asks on one pickup day, or a span of them,
// instead of its term: more, fewer, none, or another product.
type Change struct {
	From     Day       `json:"from" validate:"required"`
	Until    Day       `json:"until,omitzero"` // none with Hold: without an end
	Hold     bool      `json:"hold,omitempty"` // nothing is sent
	Cases    *Cases    `json:"cases,omitempty" validate:"omitempty,min=0,max=1000000"`
	Product  string    `json:"product,omitempty"`
	Note     string    `json:"note,omitempty" validate:"max=200,line"`
	Received time.Time `json:"received,omitzero"`
}

// Check holds a standing order against what the tags cannot say.
func (s *Standing) Check() Faults {
	faults := Check(s)
	for i, t := range s.Terms {
		if t.Until != 0 && t.Until < t.From {
			faults.Add(at("terms", i, "until"), "before_from", "from", t.From)
		}
		if i > 0 && t.From <= s.Terms[i-1].From {
			faults.Add(at("terms", i, "from"), "not_after", "before", s.Terms[i-1].From)
		}
	}
	for i, c := range s.Changes {
		switch {
		case c.Until != 0 && c.Until < c.From:
			faults.Add(at("changes", i, "until"), "before_from", "from", c.From)
		case c.Hold && (c.Cases != nil || c.Product != ""):
			faults.Add(at("changes", i, "hold"), "hold_and_more")
		case !c.Hold && c.Cases == nil && c.Product == "":
			faults.Add(at("changes", i, ""), "changes_nothing")
		}
		for j, other := range s.Changes[:i] {
			if c.From <= other.last() && other.From <= c.last() {
				faults.Add(at("changes", i, "from"), "overlaps", "other", at("changes", j, ""), "from", other.From)
			}
		}
	}
	return faults
}

// last is the last day of a change; one without an end runs as far as days go,
// and one of a single day may leave Until out.
func (c Change) last() Day {
	switch {
	case c.Until != 0:
		return c.Until
	case c.Hold:
		return maxDay
	}
	return c.From
}

// Covers says whether a change speaks of a day.
func (c Change) Covers(d Day) bool { return c.From <= d && d <= c.last() }

// LineID is the identity of a line: planning twice gives the same. It is made
// from the order, the product, the carrier and the pickup day.
func LineID(order, product, carrier string, pickup Day) string {
	return strings.Join([]string{order, product, carrier, pickup.String()}, "/")
}

// Decision is what the office has settled for one line, and stays until a
// person changes it.
type Decision struct {
	Line       string    `json:"line" validate:"required,max=200"`
	Promised   Cases     `json:"promised,omitempty" validate:"min=0,max=1000000"` // a word given
	PromisedAt time.Time `json:"promised_at,omitzero"`
	AtMost     *Cases    `json:"at_most,omitempty" validate:"omitempty,min=0,max=1000000"` // cut to so many
	Agreed     bool      `json:"agreed,omitempty"`                                         // the customer took a substitution
	MovedTo    Day       `json:"moved_to,omitzero"`
	Note       string    `json:"note,omitempty" validate:"max=200,line"`
}

// LastDay is the last day on which the decision's line can be picked up: the
// one its id names, or the one it was moved to.
func (d *Decision) LastDay() Day { return max(PickupOf(d.Line), d.MovedTo) }

// PickupOf is the pickup day that a line's id names, or no day where the text
// is no line's id.
func PickupOf(line string) Day {
	base := BaseOf(line)
	day, err := ParseDay(base[strings.LastIndexByte(base, '/')+1:])
	if err != nil {
		return 0
	}
	return day
}

// CarrierOf is the carrier that a line's id names, or none where the text is no
// line's id.
func CarrierOf(line string) string {
	parts := strings.Split(BaseOf(line), "/")
	if len(parts) < 4 {
		return ""
	}
	return parts[len(parts)-2]
}

// BaseOf is the id by which decisions about a line are kept: without the layer
// of a raised order.
func BaseOf(line string) string {
	base, _, _ := strings.Cut(line, "/+")
	return base
}
