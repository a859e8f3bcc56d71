package domain

// Facts is one read of the whole book: everything a plan is made from, as it
// stood at one revision. Lists are in the order of their codes; what has ended
// is left out, save where a later record still names it.
type Facts struct {
	Revision   int64
	Farm       Farm
	Varieties  []Variety
	Products   []Product
	Carriers   []Carrier
	Customers  []Customer
	Exceptions []Exception
	Standing   []Standing
	Orders     []Order
	Decisions  []Decision
	Recipes    []Recipe // typed over by a person, for pickups from the day of the read on
	Counts     []Count  // by day, then when they were told

	// How the house grows.
	Growing     Growing
	Profiles    []Profile
	Beds        []Bed        // in walking order
	BatchEvents []BatchEvent // of the last two years, as they were told
	Surges      []Surge

	// What was done since, each by when it was told.
	Issues     []Issue
	Lifts      []Lift
	Packings   []Packing
	Departures []Departure
	Returns    []Return
}

// Calendar is the calendar of these facts.
func (f *Facts) Calendar() *Calendar { return NewCalendar(f.Farm, f.Carriers, f.Exceptions) }
