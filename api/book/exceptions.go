package book

import (
	"headtally/domain"
	"headtally/domain/store"
)

// checkException holds an exception against its carrier, and against the others
// of the calendar: of two that contradict each other the later is refused, and
// both are named.
func checkException(tx *store.Tx, v, _ *domain.Exception) (domain.Faults, error) {
	faults := v.Check()
	if err := known(tx, store.Carriers, &faults, "carrier", v.Carrier); err != nil || faults != nil {
		return faults, err
	}
	others, err := store.Exceptions.Values(tx, Query{})
	for i := range others {
		if o := &others[i]; o.ID != v.ID && v.Contradicts(o) {
			return nil, domain.Refuse(domain.ErrConflict, store.Exceptions.Name, v.ID, "reason", "days_contradict", "other", o.ID, "day", v.Day, "otherday", o.Day)
		}
	}
	return nil, err
}
