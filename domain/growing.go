package domain

import "time"

// Growing is how the farm sows and grows, as far as one figure serves the whole
// house. Counts of trays and sites of 0 are not told.
type Growing struct {
	CellsPerTray int       `json:"cells_per_tray" validate:"min=1,max=2000"`
	RaftSites    Heads     `json:"sites_per_raft" validate:"min=1,max=1000"` // plants set on a full raft
	NurseryTrays int       `json:"nursery_trays" validate:"min=0,max=1000000"`
	SowingDays   Weekdays  `json:"sowing_days"`
	Assurance    int       `json:"assurance" validate:"min=50,max=99"`   // in a hundred: how often a pickup is to be met in full
	TableWeeks   int       `json:"table_weeks" validate:"min=1,max=26"`  // weeks of sowings the table looks at
	Figures      Profile   `json:"figures" validate:"required"`          // where no profile says otherwise
	Learned      []string  `json:"learned,omitempty" validate:"max=500"` // varieties for which the farm trusts the learned figures
	Table        []SowRow  `json:"table,omitempty" validate:"max=2000,dive"`
	TableFrom    Day       `json:"table_from,omitzero"` // the day the table was last agreed
	TableAt      time.Time `json:"table_at,omitzero"`
}

// SowRow is one row of the weekly sowing table: so many trays of a variety on
// every such day of the week.
type SowRow struct {
	Variety string `json:"variety" validate:"required"`
	Weekday string `json:"weekday" validate:"oneof=mon tue wed thu fri sat sun"`
	Trays   int    `json:"trays" validate:"min=0,max=10000"`
}

// Profile is what the farm takes for a variety's days and losses, for a season
// or the whole year. A figure of 0 is not told: a wider profile's is taken.
type Profile struct {
	ID            string `json:"id,omitempty" validate:"omitempty,code"`
	Variety       string `json:"variety,omitempty"`                                      // "": every variety
	FromMonth     int    `json:"from_month,omitempty" validate:"min=0,max=12"`           // of the day on which the step begins
	UntilMonth    int    `json:"until_month,omitempty" validate:"min=0,max=12"`          // it may lie before FromMonth: November to February
	NurseryDays   int    `json:"nursery_days,omitempty" validate:"min=0,max=120"`        // from sown to set into rafts
	BedDays       int    `json:"bed_days,omitempty" validate:"min=0,max=200"`            // from set to ready to lift
	LateDays      *int   `json:"late_days,omitempty" validate:"omitempty,min=0,max=60"`  // it may be ready so many days later
	GoodSeedlings int    `json:"good_seedlings,omitempty" validate:"min=0,max=100"`      // set, of a hundred cells sown
	GoodHeads     int    `json:"good_heads,omitempty" validate:"min=0,max=100"`          // good, of a hundred plants set
	ReadyDays     *int   `json:"ready_days,omitempty" validate:"omitempty,min=1,max=60"` // it stands ready so many days
	Note          string `json:"note,omitempty" validate:"max=200,line"`
}

// NewGrowing is what is taken of a farm that has told nothing.
//
// Days: 11 in the nursery and 24 on rafts, 35 from seed to a head of 150 g
// (M. Brechner and A. J. Both, Hydroponic Lettuce Handbook, 2013). Seedlings: 80
// of 100 sown are set (the 1,200 sown and 960 set of Rutgers University's
// floating system, A. J. Both). Cells, sites, late days and good heads are
// common practice, to be replaced by the farm's own.
func NewGrowing() Growing {
	late := 3
	return Growing{CellsPerTray: 162, RaftSites: 36, SowingDays: WeekdaysOf(time.Monday, time.Thursday), Assurance: 90, TableWeeks: 6,
		Figures: Profile{NurseryDays: 11, BedDays: 24, LateDays: &late, GoodSeedlings: 80, GoodHeads: 95}}
}

// Check holds the growing settings against what the tags cannot say.
func (g *Growing) Check() Faults {
	faults := append(Check(g), g.missingFigures()...)
	seen := map[[2]string]bool{}
	for i, r := range g.Table {
		key := [2]string{r.Variety, r.Weekday}
		if seen[key] {
			faults.Add(at("table", i, "weekday"), "twice", "value", r.Variety+" "+r.Weekday)
		}
		seen[key] = true
	}
	return faults
}

// missingFigures are the figures that no profile can do without; where none is
// told at all, that they are missing was said.
func (g *Growing) missingFigures() (faults Faults) {
	if g.Figures == (Profile{}) {
		return nil
	}
	for _, f := range []struct {
		name  string
		value int
	}{{"nursery_days", g.Figures.NurseryDays}, {"bed_days", g.Figures.BedDays}, {"good_seedlings", g.Figures.GoodSeedlings}, {"good_heads", g.Figures.GoodHeads}} {
		if f.value == 0 {
			faults.Add("figures."+f.name, "required")
		}
	}
	if g.Figures.LateDays == nil {
		faults.Add("figures.late_days", "required")
	}
	return faults
}

// Check holds a profile against what the tags cannot say.
func (p *Profile) Check() Faults {
	faults := Check(p)
	if (p.FromMonth == 0) != (p.UntilMonth == 0) {
		faults.Add("until_month", "month_alone")
	}
	return faults
}

// Covers says whether the profile speaks of a step of a variety that begins on
// a day.
func (p *Profile) Covers(variety string, d Day) bool {
	if p.Variety != "" && p.Variety != variety {
		return false
	}
	_, month, _ := d.Date()
	m := int(month)
	switch {
	case p.FromMonth == 0:
		return true
	case p.FromMonth <= p.UntilMonth:
		return p.FromMonth <= m && m <= p.UntilMonth
	}
	return m >= p.FromMonth || m <= p.UntilMonth
}

// Bed is one raft bed: rafts enter at one end and leave at the other.
type Bed struct {
	Code  string `json:"code" validate:"omitempty,code"`
	Name  string `json:"name" validate:"required,max=40,line"`
	Walk  int    `json:"walk,omitempty" validate:"min=0,max=10000"` // its place on the way through the house
	Rafts int    `json:"rafts" validate:"min=0,max=100000"`         // raft sites; 0: not told
}
