package feed

import (
	"time"

	"headtally/api/book"
	"headtally/api/words"
	"headtally/domain"
)

// Of is the pickups ahead as a calendar in the farm's language: of each a day on
// which it comes and one on which its orders close. of tells one feed's events
// from those of every other.
func Of(a *book.PickupsAhead, of string, now time.Time) Calendar {
	say := words.For(a.Farm)
	c := Calendar{Name: say.Say("feed.name", "farm", a.Farm.Name), Stamp: now}
	for _, p := range a.Pickups {
		id := p.Carrier.Code + "." + p.Day.String() + "." + of + "@headtally"
		comes := say.Say("feed.comes", "carrier", p.Carrier.Name)
		if p.Carrier.Hour != 0 {
			comes = say.Say("feed.comes_at", "carrier", p.Carrier.Name, "hour", say.Clock(p.Carrier.Hour))
		}
		c.Events = append(c.Events, Event{UID: "pickup." + id, Sequence: p.Revision, Day: p.Day, Summary: comes})
		c.Events = append(c.Events, Event{UID: "closes." + id, Sequence: p.Revision, Day: p.ClosesOn,
			Summary: say.Say("feed.closes", "carrier", p.Carrier.Name, "day", say.Day(p.Day), "hour", say.Clock(domain.Clock(p.ClosesAt.Minutes)))})
	}
	if c.Events == nil {
		c.Events = []Event{{UID: "none." + a.First.String() + "." + of + "@headtally", Day: a.First, Summary: say.Say("feed.none")}}
	}
	return c
}
