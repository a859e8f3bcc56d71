package book

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/store"
)

// Shorted is when a customer last got fewer cases than were asked for, as was
// printed. It is shown where it is decided who goes short next.
type Shorted struct {
	Pickup domain.Day
	Cases  domain.Cases // asked for and not given, of all products
}

// shortedReach is how many days it is looked back.
const shortedReach = 56

// shortedBefore is, by customer, the last pickup before a day that was printed
// with cases lacking. The last issue of a pickup is what counts.
func shortedBefore(tx *store.Tx, pickup domain.Day) (map[string]Shorted, error) {
	issues, err := store.Issues.Values(tx, Query{From: map[string]string{"day": pickup.Add(-shortedReach).String()}})
	if err != nil {
		return nil, err
	}
	slices.SortFunc(issues, func(a, b domain.Issue) int { return cmp.Compare(a.Number, b.Number) })
	lastOf := map[domain.Day]domain.Issue{}
	for _, i := range issues {
		for _, g := range i.Given {
			lastOf[g.Pickup] = i
		}
	}
	last := map[string]Shorted{}
	for day, i := range lastOf {
		for _, g := range i.Given {
			if g.Pickup != day || day >= pickup || g.Lacked == 0 || day < last[g.Customer].Pickup {
				continue
			}
			if s := last[g.Customer]; s.Pickup == day {
				g.Lacked += s.Cases
			}
			last[g.Customer] = Shorted{day, g.Lacked}
		}
	}
	return last, nil
}
