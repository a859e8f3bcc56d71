package domain

// Farm is what holds for the whole farm. Every figure has a default that a
// small farm can leave until it knows better.
type Farm struct {
	Name     string   `json:"name" validate:"max=80,line"`
	Address  string   `json:"address,omitempty" validate:"max=200"`
	Phone    string   `json:"phone,omitempty" validate:"max=40,line"`
	Zone     string   `json:"zone" validate:"zone"` // IANA name of its time zone
	Language string   `json:"language" validate:"oneof=en es"`
	Paper    string   `json:"paper" validate:"oneof=letter a4"`
	Units    string   `json:"units" validate:"oneof=metric us"`
	Country  string   `json:"country,omitempty" validate:"omitempty,oneof=ar at au be bg br ca ch cz de dk es fr gb gr hr ie it jp lt lv nl no nz pl ro se si sk us za"` // whose public holidays are suggested
	Harvest  Weekdays `json:"harvest_days"`                                                                                                                              // the days on which the crew lifts

	PlanDays   int    `json:"plan_days" validate:"min=1,max=31"`   // days whose pickups are planned with heads
	TallyDays  int    `json:"tally_days" validate:"min=7,max=182"` // days the tally looks ahead
	LeadDays   int    `json:"lead_days" validate:"min=0,max=7"`    // least days from pull to pickup
	Rank       string `json:"rank" validate:"oneof=day_first priority_first"`
	ShareRule  string `json:"share_rule" validate:"oneof=even_share first_come"`
	MaxRecipes int    `json:"max_recipes" validate:"min=0,max=20"` // of one product on one day; 0: no limit
	CaseSpaces int    `json:"case_spaces" validate:"min=0,max=1000000"`
	TraySpaces int    `json:"tray_spaces" validate:"min=0,max=1000000"`
	CaseRule   string `json:"case_rule" validate:"oneof=warn limit"`
	StackCases int    `json:"stack_cases" validate:"min=0,max=100"`   // cases in a stack of the cooler and the truck; 0: six
	HoldBack   Cases  `json:"hold_back" validate:"min=0,max=1000000"` // cases of each product kept back from what is offered
	Crew       Crew   `json:"crew"`

	// What is taken where nothing better is known.
	GoodInTen    int   `json:"good_in_ten" validate:"min=1,max=10"`    // heads good in ten: the cautious count
	MinShelfDays int   `json:"min_shelf_days" validate:"min=0,max=60"` // life left at pickup
	HoldDays     int   `json:"hold_days" validate:"min=0,max=60"`      // longest from pull to pickup
	ReadyDays    int   `json:"ready_days" validate:"min=1,max=60"`     // a bed stands ready so many days
	ShelfDays    int   `json:"shelf_days" validate:"min=1,max=90"`     // life from the pull
	HeadsPerTray int   `json:"heads_per_tray" validate:"min=1,max=1000"`
	HeadsPerRaft Heads `json:"heads_per_raft" validate:"min=1,max=1000"`
}

// Crew is what the crew can do in one day; 0 is not told.
type Crew struct {
	RaftsPerDay  int     `json:"rafts_per_day,omitempty" validate:"min=0,max=100000"`
	HeadsPerHour float64 `json:"harvest_heads_per_hour,omitempty" validate:"min=0,max=100000"`
	HarvestHours float64 `json:"harvest_hours,omitempty" validate:"min=0,max=24"`
	CasesPerHour float64 `json:"pack_cases_per_hour,omitempty" validate:"min=0,max=100000"`
	PackHours    float64 `json:"pack_hours,omitempty" validate:"min=0,max=24"`
}

// NewFarm is a farm that has told nothing yet. Its figures are common practice
// for living lettuce, to be replaced by the farm's own.
func NewFarm() Farm {
	return Farm{
		Zone: "UTC", Language: "en", Paper: "letter", Units: "us", Harvest: EveryDay,
		PlanDays: 8, TallyDays: 42, LeadDays: 1, Rank: "day_first", ShareRule: "even_share", MaxRecipes: 2,
		CaseSpaces: 150, TraySpaces: 200, CaseRule: "warn",
		GoodInTen: 9, MinShelfDays: 7, HoldDays: 4, ReadyDays: 7, ShelfDays: 14, HeadsPerTray: 24, HeadsPerRaft: 36,
	}
}

// Variety is a kind of lettuce. A figure left out is the farm's default.
type Variety struct {
	Code         string `json:"code" validate:"omitempty,code"`
	Name         string `json:"name" validate:"required,max=80,line"`
	ShelfDays    *int   `json:"shelf_days,omitempty" validate:"omitempty,min=1,max=90"`
	HoldDays     *int   `json:"hold_days,omitempty" validate:"omitempty,min=0,max=60"`
	ReadyDays    *int   `json:"ready_days,omitempty" validate:"omitempty,min=1,max=60"`
	GoodInTen    *int   `json:"good_in_ten,omitempty" validate:"omitempty,min=1,max=10"`
	HeadsPerTray *int   `json:"heads_per_tray,omitempty" validate:"omitempty,min=1,max=1000"`
	HeadsPerRaft *Heads `json:"heads_per_raft,omitempty" validate:"omitempty,min=1,max=1000"`
}

// Product is a case that customers order: what goes in it.
type Product struct {
	Code               string `json:"code" validate:"omitempty,code"`
	Name               string `json:"name" validate:"required,max=80,line"`
	Slots              []Slot `json:"slots" validate:"min=1,max=100,dive"`
	MaxHeadsPerVariety *int   `json:"max_heads_per_variety,omitempty" validate:"omitempty,min=1,max=1000000"`
	GTIN               string `json:"gtin,omitempty" validate:"omitempty,len=14,number"`
}

// Slot is so many heads of a case and the varieties accepted for them, best
// first; with GrowersChoice any of them is as good as the first.
type Slot struct {
	Heads         Heads    `json:"heads" validate:"min=1,max=1000000"`
	Accept        []string `json:"accept" validate:"min=1,max=100,unique,dive,required"`
	GrowersChoice bool     `json:"growers_choice,omitempty"`
}

// HeadsPerCase is the heads one case holds.
func (p *Product) HeadsPerCase() (n Heads) {
	for _, s := range p.Slots {
		n += s.Heads
	}
	return n
}

// Check holds a product against what the tags cannot say.
func (p *Product) Check() Faults {
	faults := Check(p)
	if faults == nil && p.MaxHeadsPerVariety != nil && !p.canBeMade() {
		faults.Add("max_heads_per_variety", "no_case_under_cap", "cap", *p.MaxHeadsPerVariety)
	}
	return faults
}

// canBeMade says whether a case can be filled under the cap: by Hall's theorem
// (P. Hall, 1935) each slot in turn is filled by augmenting over the varieties.
func (p *Product) canBeMade() bool {
	left := map[string]int{}
	holds := map[string]map[int]int{} // variety -> slot -> heads
	for _, s := range p.Slots {
		for _, v := range s.Accept {
			left[v], holds[v] = *p.MaxHeadsPerVariety, map[int]int{}
		}
	}
	var place func(slot int, seen map[string]bool) bool
	place = func(slot int, seen map[string]bool) bool {
		for _, v := range p.Slots[slot].Accept {
			if seen[v] {
				continue
			}
			seen[v] = true
			if left[v] > 0 {
				left[v]--
				holds[v][slot]++
				return true
			}
			for other, n := range holds[v] {
				if n > 0 && other != slot && place(other, seen) {
					holds[v][other]--
					holds[v][slot]++
					return true
				}
			}
		}
		return false
	}
	for i, s := range p.Slots {
		if int(s.Heads) > len(s.Accept)**p.MaxHeadsPerVariety {
			return false
		}
		for range s.Heads {
			if !place(i, map[string]bool{}) {
				return false
			}
		}
	}
	return true
}
