package planning

import "headtally/domain"

// Served is what allocation hands to packing: how many cases each line was
// granted out of lots, and which heads fill them, by line class.
type Served struct {
	Classes []Class
}

// Class is the lines that are alike in product, pickup day, lead days,
// substitutes being yes or not, least shelf life and refusals, with the heads
// that fill their cases out of lots. Varieties, slots, lots and lines are
// indices of the problem; Slots and Lots each add up to the same heads by
// variety.
type Class struct {
	Product     int
	Pickup      domain.Day
	Lead        int
	Substitutes bool // other varieties than the first may stand in
	MinShelf    int
	Refuse      []int         // variety indices, ascending
	Lines       []ClassLine   // in rank, those with cases out of lots
	Slots       []SlotVariety // by slot, then variety
	Lots        []LotShare    // by lot
}

// ClassLine is a line's cases out of lots.
type ClassLine struct{ Line, Cases int }

// SlotVariety is the heads of one variety in one slot, over all the class's cases.
type SlotVariety struct{ Slot, Variety, Heads int }

// LotShare is the heads of one lot, over all the class's cases.
type LotShare struct{ Lot, Heads int }

// Cases is the number of cases the class fills out of lots.
func (c *Class) Cases() (n int) {
	for _, l := range c.Lines {
		n += l.Cases
	}
	return n
}
