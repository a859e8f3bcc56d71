package planning

import (
	"time"

	"headtally/domain"
)

// Problem is everything a plan is made from. Read checks a document; a Problem
// made by other means must keep the same rules (Check).
type Problem struct {
	AsOf       domain.Day   `json:"as_of"`                // the day the plan is made
	NextPull   domain.Day   `json:"next_pull,omitzero"`   // first day on which beds can still be lifted; none: AsOf
	LeadDays   int          `json:"lead_days"`            // heads are pulled at least this many days before pickup, 0 to 7
	PullDays   []domain.Day `json:"pull_days,omitzero"`   // days on which the crew lifts, ascending; nil: every day, empty: never
	Rank       Rank         `json:"rank,omitempty"`       // "" is DayFirst
	ShareRule  ShareRule    `json:"share_rule,omitempty"` // "" is EvenShare
	PickupDays []domain.Day `json:"pickup_days"`          // the days planned, ascending
	Cooler     Cooler       `json:"cooler"`
	MaxRecipes int          `json:"max_recipes,omitempty"` // most recipes of one product on one pickup day; 0: no limit
	Work       Work         `json:"work,omitzero"`
	Varieties  []Variety    `json:"varieties"`
	Products   []Product    `json:"products"`
	Lots       []Lot        `json:"lots"`
	Packed     []Packed     `json:"packed,omitempty"`
	Lines      []Line       `json:"lines"`
}

// Rank is the order in which lines are served.
type Rank string

// The two ranks: pickup day before priority, or priority before pickup day;
// then received, then id.
const (
	DayFirst      Rank = "day_first"
	PriorityFirst Rank = "priority_first"
)

// ShareRule says who goes without when there is not enough.
type ShareRule string

// The two share rules: everybody's small order before anybody's second
// helping, or strictly in rank.
const (
	EvenShare ShareRule = "even_share"
	FirstCome ShareRule = "first_come"
)

// Cooler is what fits at once.
type Cooler struct {
	CaseSpaces int      `json:"case_spaces"`         // packed cases
	TraySpaces int      `json:"tray_spaces"`         // trays of loose heads
	CaseRule   CaseRule `json:"case_rule,omitempty"` // "" is Warn
}

// CaseRule says what a full cooler does to grants.
type CaseRule string

// Warn lets a pickup day be granted more cases than there are spaces, with a
// warning; Limit does not.
const (
	Warn  CaseRule = "warn"
	Limit CaseRule = "limit"
)

// Work is what the crew can do in one day; 0 is not told.
type Work struct {
	RaftsPerDay         int     `json:"rafts_per_day,omitempty"`
	HarvestHeadsPerHour float64 `json:"harvest_heads_per_hour,omitempty"`
	HarvestHours        float64 `json:"harvest_hours,omitempty"`
	PackCasesPerHour    float64 `json:"pack_cases_per_hour,omitempty"`
	PackHours           float64 `json:"pack_hours,omitempty"`
}

// Variety is a kind of lettuce and how long its heads last.
type Variety struct {
	Code         string `json:"code"`
	Name         string `json:"name"`
	ShelfDays    int    `json:"shelf_days"`          // life from the pull, in days
	HoldDays     *int   `json:"hold_days,omitempty"` // longest from pull to pickup; nil: no limit of its own
	HeadsPerTray int    `json:"heads_per_tray"`
}

// Product is a case: a list of slots.
type Product struct {
	Code               string `json:"code"`
	Name               string `json:"name"`
	Slots              []Slot `json:"slots"`
	MaxHeadsPerVariety *int   `json:"max_heads_per_variety,omitempty"` // per case, over all slots; nil: no cap
}

// Slot is so many heads of a case and the varieties accepted for them, best
// first. With GrowersChoice every accepted variety is as good as the first.
type Slot struct {
	Heads         int      `json:"heads"`
	Accept        []string `json:"accept"`
	GrowersChoice bool     `json:"growers_choice,omitempty"`
}

// Place is where a lot lies.
type Place string

// A lot stands in a bed or lies in the cooler.
const (
	Bed     Place = "bed"
	Chilled Place = "cooler"
)

// Lot is heads of one variety that can be told apart from others.
type Lot struct {
	Code          string            `json:"code"`
	Variety       string            `json:"variety"`
	Place         Place             `json:"place"`
	Heads         int               `json:"heads"`                    // sellable heads expected
	CautiousHeads *int              `json:"cautious_heads,omitempty"` // nil: Heads
	Rafts         *domain.HalfRafts `json:"rafts,omitempty"`          // bed: rafts it stands on; nil: lifted head by head
	Ready         domain.Day        `json:"ready,omitzero"`           // bed: first day it may be pulled
	Last          domain.Day        `json:"last,omitzero"`            // bed: last day it may be pulled
	BedName       string            `json:"bed,omitempty"`
	At            *int              `json:"at,omitempty"`    // in a bed, lower is nearer the harvest end
	Pulled        domain.Day        `json:"pulled,omitzero"` // cooler: the day it was pulled
}

// Cautious is the cautious count of the lot's heads.
func (l *Lot) Cautious() int {
	if l.CautiousHeads != nil {
		return *l.CautiousHeads
	}
	return l.Heads
}

// Packed is packed cases on hand. With Line they were packed for that line;
// without they are spare, not collected, or came back.
type Packed struct {
	Code     string         `json:"code"`
	Product  string         `json:"product"`
	Cases    int            `json:"cases"`
	Contents []VarietyHeads `json:"contents"`
	Pulled   domain.Day     `json:"pulled"` // the day of their oldest head
	Line     string         `json:"line,omitempty"`
}

// VarietyHeads is so many heads of a variety, per case where it describes one.
type VarietyHeads struct {
	Variety string `json:"variety"`
	Heads   int    `json:"heads"`
}

// Line is one product on one customer's order for one pickup day.
type Line struct {
	ID           string      `json:"id"`
	Customer     string      `json:"customer"`
	Product      string      `json:"product"`
	Pickup       domain.Day  `json:"pickup"`
	Cases        int         `json:"cases"`
	Received     time.Time   `json:"received"`
	Priority     int         `json:"priority,omitempty"`   // 1 is served first; 0 is 5
	Promised     int         `json:"promised,omitempty"`   // cases for which a word was given
	PromisedAt   time.Time   `json:"promised_at,omitzero"` // when; zero: before all others
	AtMost       *int        `json:"at_most,omitempty"`    // cut by hand to so many; nil: Cases
	AllOrNone    bool        `json:"all_or_none,omitempty"`
	Substitutes  Substitutes `json:"substitutes,omitempty"` // "" is SubstituteYes
	Refuse       []string    `json:"refuse,omitempty"`
	MinShelfDays int         `json:"min_shelf_days,omitempty"` // life left at pickup
	LeadDays     *int        `json:"lead_days,omitempty"`      // nil: the problem's
}

// Substitutes says whether another variety than the first may stand in.
type Substitutes string

// Ask is granted as Never, and what could be offered is shown.
const (
	SubstituteYes   Substitutes = "yes"
	SubstituteAsk   Substitutes = "ask"
	SubstituteNever Substitutes = "never"
)

// DefaultPriority is the priority of a line that names none.
const DefaultPriority = 5
