package domain

import "time"

// Line is one product on one customer's order for one pickup day, so many
// cases: what standing orders, one-offs and decisions come to on that day.
type Line struct {
	ID        string // the same whenever it is made again
	Base      string // the id that decisions are kept by: all layers of one order share it
	Order     string // the standing order or one-off it comes from
	Standing  bool   // it comes from a standing order
	Customer  string
	Product   string
	Carrier   string
	Pickup    Day
	Cases     Cases
	Received  time.Time // when its present cases were asked for
	PO        string
	AllOrNone bool

	Promised   Cases // a word given
	PromisedAt time.Time
	AtMost     *Cases // cut by hand
	Agreed     bool   // the customer took a substitution
	MovedFrom  Day    // the day it was ordered for, when that is another
}

// Asked is the cases of a line after its cut.
func (l *Line) Asked() Cases {
	if l.AtMost != nil {
		return min(l.Cases, *l.AtMost)
	}
	return l.Cases
}

// Notice is something about an order that its reader should know: it fell on a
// closed day, was moved, or names what has ended.
type Notice struct {
	Code     string // "dropped_closed", "moved_by_calendar", "no_pickup"
	Day      Day    // the day it was ordered for
	To       Day    // the day taken instead, if any
	Order    string
	Customer string
	Product  string
	Cases    Cases
}

// Assumption is a figure taken because the farm has not told its own.
type Assumption struct {
	Code  string // "good_in_ten", "heads_per_raft", "shelf_days", ...
	What  string // the variety or customer it was used for; "" for the whole farm
	Value int
}
