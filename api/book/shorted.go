package book

import "headtally/domain"

// Shorted is when a customer last got fewer cases than were asked for, as was
// printed. It is shown where it is decided who goes short next.
type Shorted struct {
	Pickup domain.Day
	Cases  domain.Cases // asked for and not given, of all products
}

// shortedReach is how many days it is looked back: no farther than the facts of
// a day do.
const shortedReach = 56

// shortedBefore is, by customer, the last pickup before a day that was printed
// with cases lacking. The last issue of a pickup is what counts.
func shortedBefore(issues []domain.Issue, pickup domain.Day) map[string]Shorted {
	lastOf := map[domain.Day]*domain.Issue{}
	for k := range issues {
		i := &issues[k]
		if i.Day < pickup.Add(-shortedReach) {
			continue
		}
		for _, g := range i.Given {
			if last := lastOf[g.Pickup]; last == nil || last.Number < i.Number {
				lastOf[g.Pickup] = i
			}
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
	return last
}
