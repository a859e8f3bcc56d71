package planning

import "headtally/domain"

// Plan is what the planner answers. Being short is a result, not an error.
type Plan struct {
	Tally    []TallyRow  `json:"tally"`    // by pickup day, then variety in the problem's order
	Lines    []LinePlan  `json:"lines"`    // in the problem's order
	Runs     []Run       `json:"runs"`     // by pickup day, then rank
	Pulls    []Pull      `json:"pulls"`    // by day, then bed and place in it
	Cooler   []CoolerDay `json:"cooler"`   // every day from as_of to the last pickup
	Work     []WorkDay   `json:"work"`     // every day with a pull or packing
	Leftover []Leftover  `json:"leftover"` // not assigned, in the problem's order
	Warnings []Warning   `json:"warnings"` // broken promises first
	Totals   Totals      `json:"totals"`
}

// TallyRow is the heads of one variety for one pickup day.
type TallyRow struct {
	Pickup   domain.Day `json:"pickup"`
	Variety  string     `json:"variety"`
	Listed   int        `json:"listed"`   // by first choice, all cases asked, also those served from packed ones
	Assigned int        `json:"assigned"` // out of lots
	Short    int        `json:"short"`    // first-choice heads of cases asked and not granted
}

// LinePlan is what one line gets.
type LinePlan struct {
	ID     string        `json:"id"`
	Cases  int           `json:"cases"`
	Cut    int           `json:"cut"`
	Filled int           `json:"filled"`
	Firm   int           `json:"firm"`
	Short  int           `json:"short"`
	Broken int           `json:"broken"`
	Offer  int           `json:"offer"`
	Reason *Reason       `json:"reason,omitempty"`
	Packed []PackedCases `json:"packed"`
	Heads  []SlotLot     `json:"heads"`
}

// ReasonCode says why a line is short.
type ReasonCode string

// The reasons, in the order in which they are tried.
const (
	CannotBeMade    ReasonCode = "cannot_be_made"
	CoolerFull      ReasonCode = "cooler_full"
	NoneFreshEnough ReasonCode = "none_fresh_enough"
	NotEnoughReady  ReasonCode = "not_enough_ready"
)

// Reason is why a line is short. All but Code belong to NotEnoughReady only.
type Reason struct {
	Code            ReasonCode `json:"code"`
	HeadsMissing    int        `json:"heads_missing,omitempty"`
	HeadsMissingAll int        `json:"heads_missing_all,omitempty"`
	Varieties       []string   `json:"varieties,omitempty"`
	NextReady       domain.Day `json:"next_ready,omitzero"`
}

// PackedCases is so many cases taken from packed ones.
type PackedCases struct {
	Code  string `json:"code"`
	Cases int    `json:"cases"`
}

// SlotLot is heads of one lot in one slot of a line's cases, in all.
type SlotLot struct {
	Lot     string `json:"lot"`
	Variety string `json:"variety"`
	Slot    int    `json:"slot"` // counts from 0
	Heads   int    `json:"heads"`
}

// Run is cases packed one after another to one recipe.
type Run struct {
	Pickup    domain.Day     `json:"pickup"`
	Product   string         `json:"product"`
	Cases     int            `json:"cases"`
	Contents  []VarietyHeads `json:"contents"` // per case
	Lots      []LotHeads     `json:"lots"`     // in all
	Lines     []LineCases    `json:"lines"`
	Pack      domain.Day     `json:"pack"`                 // the day the run is packed
	StandIns  []StandIn      `json:"stand_ins,omitempty"`  // who stands in when a variety runs out
	DropFirst []string       `json:"drop_first,omitempty"` // ids, the line that goes short first at the head
	ByHand    bool           `json:"by_hand,omitempty"`    // its recipe was typed over by a person
}

// LotHeads is so many heads of a lot.
type LotHeads struct {
	Lot   string `json:"lot"`
	Heads int    `json:"heads"`
}

// LineCases is so many cases of a line.
type LineCases struct {
	ID    string `json:"id"`
	Cases int    `json:"cases"`
}

// StandIn names, for one variety of a recipe, the varieties that may stand in
// for it, best first, and the lines for which none may.
type StandIn struct {
	Variety string   `json:"variety"`
	Then    []string `json:"then"`
	NotFor  []string `json:"not_for,omitempty"`
}

// Pull is what to take out of one lot on one day.
type Pull struct {
	Day         domain.Day       `json:"day"`
	Lot         string           `json:"lot"`
	Variety     string           `json:"variety"`
	Heads       int              `json:"heads"`                 // assigned to lines whose pull falls on this day
	StopAt      int              `json:"stop_at"`               // heads at which the crew stops
	Rafts       domain.HalfRafts `json:"rafts"`                 // fewest that give StopAt
	RaftsUpTo   domain.HalfRafts `json:"rafts_up_to"`           // by the cautious count
	HeadsLifted int              `json:"heads_lifted"`          // all that stands on those rafts
	InFront     []string         `json:"in_front,omitempty"`    // lots that stand in front of this one and are not pulled by then
	MovedFrom   domain.Day       `json:"moved_from,omitzero"`   // the day it was spread from
	MovedHeads  int              `json:"moved_heads,omitempty"` // so many of Heads were to be lifted on that day
	MovedWhy    string           `json:"moved_why,omitempty"`   // rafts or hours: what that day has too little of
}

// CoolerDay is what stands in the cooler on one day.
type CoolerDay struct {
	Day        domain.Day `json:"day"`
	Cases      int        `json:"cases"`
	CaseSpaces int        `json:"case_spaces"`
	Trays      int        `json:"trays"`
	TraySpaces int        `json:"tray_spaces"`
	CasesOver  int        `json:"cases_over"`
	TraysOver  int        `json:"trays_over"`
}

// WorkDay is what the crew does on one day; the figures "had" are left out
// where the problem does not tell them.
type WorkDay struct {
	Day             domain.Day       `json:"day"`
	Rafts           domain.HalfRafts `json:"rafts"`
	RaftsPerDay     int              `json:"rafts_per_day,omitempty"`
	HarvestHours    float64          `json:"harvest_hours,omitempty"`
	HarvestHoursHad float64          `json:"harvest_hours_had,omitempty"`
	PackHours       float64          `json:"pack_hours,omitempty"`
	PackHoursHad    float64          `json:"pack_hours_had,omitempty"`
}

// Leftover is heads of a lot, or packed cases, that nobody was given. One of
// Lot and Packed is set.
type Leftover struct {
	Lot     string `json:"lot,omitempty"`
	Heads   int    `json:"heads,omitempty"`
	Packed  string `json:"packed,omitempty"`
	Cases   int    `json:"cases,omitempty"`
	Expires bool   `json:"expires"`
}

// WarningCode says what a warning is about.
type WarningCode string

// The warnings, in the order in which those of one day are listed.
const (
	PromiseBroken    WarningCode = "promise_broken"     // Line, Customer, Product; cases promised, and granted; before all other days
	CasesOver        WarningCode = "cases_over"         // cases standing in the cooler, and case spaces
	TraysOver        WarningCode = "trays_over"         // trays of loose heads, and tray spaces
	RaftsOver        WarningCode = "rafts_over"         // rafts to lift, and those the crew can do
	HarvestHoursOver WarningCode = "harvest_hours_over" // hours of lifting, and those there are
	PackHoursOver    WarningCode = "pack_hours_over"    // hours of packing, and those there are
	RaftInPart       WarningCode = "raft_in_part"       // Lot; heads that stand on the rafts, and those to stop at
	LotInFront       WarningCode = "lot_in_front"       // Lot that is lifted; heads in front of it that the plan cannot take out that day
	RecipesOver      WarningCode = "recipes_over"       // Product; recipes, and max_recipes

	// Of the book's own plan: a recipe typed over, and a line it does not suit.
	RecipeRefused     WarningCode = "recipe_refused"     // Line, Customer, Product, the Variety it never gets; its cases
	RecipeSubstitutes WarningCode = "recipe_substitutes" // Line, Customer, Product, the Variety that stands in; its cases
)

// Warning is something the grower should know. Text is one plain sentence,
// made from the code and the other fields; those that a code has no use for
// are left out.
type Warning struct {
	Code     WarningCode `json:"code"`
	Pickup   domain.Day  `json:"pickup,omitzero"`
	Day      domain.Day  `json:"day,omitzero"`
	Line     string      `json:"line,omitempty"`
	Customer string      `json:"customer,omitempty"`
	Lot      string      `json:"lot,omitempty"`
	Product  string      `json:"product,omitempty"`
	Variety  string      `json:"variety,omitempty"`
	Needed   float64     `json:"needed,omitempty"` // what the plan needs: cases, trays, rafts, hours, heads or recipes
	Had      float64     `json:"had,omitempty"`    // and what there is
	Text     string      `json:"text"`
}

// Totals adds up the lines, and gives the value of the assignment.
type Totals struct {
	Asked                    int  `json:"asked"`
	Cut                      int  `json:"cut"`
	Filled                   int  `json:"filled"`
	Firm                     int  `json:"firm"`
	Short                    int  `json:"short"`
	Broken                   int  `json:"broken"`
	Substitution             int  `json:"substitution"`
	ExpiringUsed             int  `json:"expiring_used"`
	SubstitutionWithoutLimit *int `json:"substitution_without_limit,omitempty"` // with max_recipes only
	ExpiringUsedWithoutLimit *int `json:"expiring_used_without_limit,omitempty"`
}
