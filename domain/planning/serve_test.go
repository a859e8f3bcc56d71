package planning

import (
	"testing"

	"headtally/domain"
)

// lettuce is a book of one variety of 10 shelf days, held 4 at most, and one
// lot; days are those of February 2027.
func lettuce(change func(*Problem)) *Book {
	p := &Problem{
		AsOf:       date("10"),
		LeadDays:   1,
		PickupDays: []domain.Day{date("12"), date("20")},
		Varieties:  []Variety{{Code: "RB", ShelfDays: 10, HoldDays: new(4), HeadsPerTray: 12}},
		Lots:       []Lot{{Code: "K1", Variety: "RB", Place: Bed, Heads: 10, Ready: date("11"), Last: date("16")}},
	}
	change(p)
	return Index(p)
}

func date(of string) domain.Day { return domain.MustDay("2027-02-" + of) }

func TestWhenHeadsCanServe(t *testing.T) {
	cases := []struct {
		name     string
		change   func(*Problem)
		pickup   string
		lead     int
		minShelf int
		want     string // the day of the pull, or "" for not
	}{
		{"the day before", func(*Problem) {}, "13", 1, 0, "12"},
		{"on the day", func(*Problem) {}, "13", 0, 0, "13"},
		{"not ready", func(*Problem) {}, "11", 1, 0, ""},
		{"ready that morning", func(*Problem) {}, "12", 1, 0, "11"},
		{"pulled on its last day and held", func(*Problem) {}, "20", 1, 0, "16"},
		{"held too long", func(*Problem) {}, "21", 1, 0, ""},
		{"life left, to the day", func(*Problem) {}, "17", 1, 9, "16"},
		{"a day too little", func(*Problem) {}, "17", 2, 9, ""},
		{"the crew does not lift that day", func(p *Problem) { p.PullDays = []domain.Day{date("11"), date("14")} }, "14", 1, 0, "11"},
		{"the crew never lifts", func(p *Problem) { p.PullDays = []domain.Day{} }, "14", 1, 0, ""},
		{"lifting is done", func(p *Problem) { p.NextPull = date("14") }, "14", 1, 0, ""},
		{"lifted already", func(p *Problem) { p.Lots[0] = Lot{Variety: "RB", Place: Chilled, Pulled: date("09")} }, "13", 1, 0, "09"},
		{"lifted too long ago", func(p *Problem) { p.Lots[0] = Lot{Variety: "RB", Place: Chilled, Pulled: date("08")} }, "13", 1, 0, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			b := lettuce(c.change)
			got := ""
			if b.CanServe(0, date(c.pickup), c.lead, c.minShelf) {
				d, _ := b.PullFor(0, date(c.pickup), c.lead)
				got = d.String()[8:]
			}
			if got != c.want {
				t.Errorf("pulled on %q, want %q", got, c.want)
			}
		})
	}
}

func TestWhichLotsExpire(t *testing.T) {
	cases := []struct {
		name   string
		change func(*Problem)
		want   bool
	}{
		{"could still go the day after the last pickup", func(p *Problem) { p.Lots[0].Last = date("17") }, false},
		{"too old by then", func(*Problem) {}, true},
		{"not ready by then", func(p *Problem) { p.Lots[0].Ready, p.Lots[0].Last = date("21"), date("25") }, false},
		{"ready just then, and not lifted", func(p *Problem) {
			p.Lots[0].Ready, p.Lots[0].Last, p.PullDays = date("20"), date("25"), []domain.Day{date("12")}
		}, true},
		{"no pickups at all", func(p *Problem) { p.PickupDays = nil }, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := lettuce(c.change).Expires(0); got != c.want {
				t.Errorf("expires %v, want %v", got, c.want)
			}
		})
	}
	if end, ok := lettuce(func(*Problem) {}).LifeEnds(0); !ok || end != date("20") {
		t.Errorf("its life ends on %v, want 4 days after the 16th", end)
	}
}

func TestRulesAllow(t *testing.T) {
	pick := func(varieties ...int) (list []Choice) {
		for place, v := range varieties {
			list = append(list, Choice{v, place})
		}
		return list
	}
	r := &Rules{Slots: [][]Choice{pick(0, 1), pick(1), pick(2, 0)}, Heads: []int{2, 2, 1}, Cap: 3}
	cases := []struct {
		name     string
		contents map[int]int
		want     bool
	}{
		{"as written", map[int]int{0: 2, 1: 2, 2: 1}, true},
		{"a slot mixed", map[int]int{0: 1, 1: 3, 2: 1}, true},
		{"moved on to make place", map[int]int{0: 3, 1: 2}, true},
		{"above the cap", map[int]int{1: 4, 2: 1}, false},
		{"a head too few", map[int]int{0: 2, 1: 2}, false},
		{"a head too many", map[int]int{0: 2, 1: 2, 2: 2}, false},
		{"a variety that nobody asked for", map[int]int{0: 2, 1: 2, 3: 1}, false},
		{"none of what a slot must have", map[int]int{0: 3, 2: 2}, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := r.Allow(c.contents); got != c.want {
				t.Errorf("allowed %v, want %v", got, c.want)
			}
		})
	}
	if !r.CanBeMade() {
		t.Error("a case can be made")
	}
	if (&Rules{Slots: [][]Choice{pick(0), nil}, Heads: []int{1, 1}, Cap: 9}).CanBeMade() {
		t.Error("an empty slot cannot be filled")
	}
}
