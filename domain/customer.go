package domain

// Importance is how early a customer is served when there is not enough.
type Importance string

// Anchor customers are served first, then steady ones, then casual ones.
const (
	Anchor Importance = "anchor"
	Steady Importance = "steady"
	Casual Importance = "casual"
)

// Priority is the planner's figure for an importance, 1 being served first.
func (i Importance) Priority() int {
	switch i {
	case Anchor:
		return 1
	case Casual:
		return 9
	}
	return 5
}

// Customer is a restaurant or a distributor, and what holds for all its orders.
type Customer struct {
	Code         string            `json:"code" validate:"omitempty,code"`
	Name         string            `json:"name" validate:"required,max=80,line"`
	Importance   Importance        `json:"importance" validate:"oneof=anchor steady casual"`
	Substitutes  string            `json:"substitutes" validate:"oneof=yes ask never"`
	Refuse       []string          `json:"refuse,omitempty" validate:"max=100,unique,dive,required"` // varieties never sent
	MinShelfDays *int              `json:"min_shelf_days,omitempty" validate:"omitempty,min=0,max=60"`
	Carrier      string            `json:"carrier" validate:"required"`
	Stop         int               `json:"stop,omitempty" validate:"min=0,max=1000"` // place on the carrier's way, 1 first
	AllOrNone    bool              `json:"all_or_none,omitempty"`
	Phone        string            `json:"phone,omitempty" validate:"max=40,line"`
	Email        string            `json:"email,omitempty" validate:"omitempty,email,max=120"`
	ItemCodes    map[string]string `json:"item_codes,omitempty" validate:"max=1000"` // product code -> the customer's own
	Note         string            `json:"note,omitempty" validate:"max=400"`
}

// Carrier is who comes for cases on fixed pickup days, or the farm's own round.
type Carrier struct {
	Code       string   `json:"code" validate:"omitempty,code"`
	Name       string   `json:"name" validate:"required,max=80,line"`
	OwnRound   bool     `json:"own_round,omitempty"`
	Pickups    Weekdays `json:"pickups" validate:"required"` // its days of the week
	Hour       Clock    `json:"hour" validate:"min=0,max=1439"`
	LeadDays   *int     `json:"lead_days,omitempty" validate:"omitempty,min=0,max=7"` // nil: the farm's
	CutoffDays int      `json:"cutoff_days" validate:"min=0,max=14"`                  // orders close so many days before pickup; 0 with hour 0: when it comes
	CutoffHour Clock    `json:"cutoff_hour" validate:"min=0,max=1439"`                // at this hour
}
