package allocation

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"headtally/domain"
	"headtally/domain/planning"
)

// Days are counted from the day the plan is made, day 1.
func day(n int) domain.Day { return domain.MustDay("2027-02-01").Add(n - 1) }

func variety(code string) planning.Variety {
	return planning.Variety{Code: code, Name: code, ShelfDays: 10, HeadsPerTray: 12}
}

func bed(code, variety string, heads int) planning.Lot {
	return planning.Lot{Code: code, Variety: variety, Place: planning.Bed, Heads: heads, Ready: day(1), Last: day(6)}
}

func slot(heads int, accept ...string) planning.Slot {
	return planning.Slot{Heads: heads, Accept: accept}
}

func product(code string, slots ...planning.Slot) planning.Product {
	return planning.Product{Code: code, Name: code, Slots: slots}
}

// line is a line for day 3; later lines were received later.
func line(id, product string, cases int) planning.Line {
	return planning.Line{ID: id, Customer: "C", Product: product, Pickup: day(3), Cases: cases, Priority: 2,
		Received: time.Date(2027, 1, 1, int(id[len(id)-1]), 0, 0, 0, time.UTC)}
}

func packed(code, product string, cases int, pulled domain.Day, contents ...planning.VarietyHeads) planning.Packed {
	return planning.Packed{Code: code, Product: product, Cases: cases, Pulled: pulled, Contents: contents}
}

// farm is a problem of two varieties A and B, in the making.
func farm(lots []planning.Lot, products []planning.Product, lines ...planning.Line) *planning.Problem {
	return &planning.Problem{AsOf: day(1), LeadDays: 1, ShareRule: planning.FirstCome, PickupDays: []domain.Day{day(3), day(5)},
		Cooler:    planning.Cooler{CaseSpaces: 100, TraySpaces: 100},
		Varieties: []planning.Variety{variety("A"), variety("B")}, Lots: lots, Products: products, Lines: lines}
}

// told is what each line gets, a line of text each, figures of 0 left out.
func told(t *testing.T, p *planning.Problem) string {
	t.Helper()
	if faults := planning.Check(p); len(faults) > 0 {
		t.Fatal(faults)
	}
	var b strings.Builder
	for _, l := range Allocate(planning.Index(p)).Lines() {
		fmt.Fprintf(&b, "%s %d/%d", l.ID, l.Filled, l.Cases-l.Cut)
		for _, f := range []struct {
			name string
			n    int
		}{{"at risk", l.Filled - l.Firm}, {"broken", l.Broken}, {"offer", l.Offer}} {
			if f.n > 0 {
				fmt.Fprintf(&b, ", %s %d", f.name, f.n)
			}
		}
		for _, k := range l.Packed {
			fmt.Fprintf(&b, ", %d of %s", k.Cases, k.Code)
		}
		if r := l.Reason; r != nil {
			fmt.Fprintf(&b, ", %s", r.Code)
			if r.Code == planning.NotEnoughReady {
				fmt.Fprintf(&b, " %d %d %v", r.HeadsMissing, r.HeadsMissingAll, r.Varieties)
			}
			if !r.NextReady.IsZero() {
				fmt.Fprintf(&b, " day %d", r.NextReady.Sub(day(1))+1)
			}
		}
		b.WriteString("\n")
	}
	return b.String()
}

// ofA is a product of 4 heads of A.
var ofA = product("SA", slot(4, "A"))

func TestPassesByHand(t *testing.T) {
	mix := product("MIX", slot(2, "A", "B"), slot(2, "B"))
	capped := mix
	capped.MaxHeadsPerVariety = new(2)
	sa12 := product("SA", slot(12, "A"))
	cases := []struct {
		name string
		p    *planning.Problem
		want string
	}{
		// The contract's own worked example, with the cap and without.
		{"worked example", farm([]planning.Lot{bed("K1", "A", 20), bed("K2", "B", 30)}, []planning.Product{sa12, capped},
			line("L1", "SA", 1), line("L2", "MIX", 6)),
			"L1 1/1\nL2 4/6, not_enough_ready 2 4 [A]\n"},
		{"worked example without the cap", farm([]planning.Lot{bed("K1", "A", 20), bed("K2", "B", 30)}, []planning.Product{sa12, mix},
			line("L1", "SA", 1), line("L2", "MIX", 6)),
			"L1 1/1\nL2 6/6\n"},

		// Who goes without.
		{"first come", farm([]planning.Lot{bed("K1", "A", 24)}, []planning.Product{ofA}, line("L1", "SA", 5), line("L2", "SA", 3)),
			"L1 5/5\nL2 1/3, not_enough_ready 4 8 [A]\n"},
		{"even share", with(farm([]planning.Lot{bed("K1", "A", 24)}, []planning.Product{ofA}, line("L1", "SA", 8), line("L2", "SA", 2)),
			func(p *planning.Problem) { p.ShareRule = planning.EvenShare }),
			// 0/8, 0/2, 1/8, 2/8, 3/8, then 4/8 before 1/2 by rank.
			"L1 5/8, not_enough_ready 4 12 [A]\nL2 1/2, not_enough_ready 4 4 [A]\n"},
		{"day before priority", with(farm([]planning.Lot{bed("K1", "A", 4)}, []planning.Product{ofA}, line("L1", "SA", 1), line("L2", "SA", 1)),
			func(p *planning.Problem) { p.Lines[0].Pickup, p.Lines[0].Priority = day(5), 1 }),
			"L1 0/1, not_enough_ready 4 4 [A]\nL2 1/1\n"},
		{"priority before day", with(farm([]planning.Lot{bed("K1", "A", 4)}, []planning.Product{ofA}, line("L1", "SA", 1), line("L2", "SA", 1)),
			func(p *planning.Problem) {
				p.Rank, p.Lines[0].Pickup, p.Lines[0].Priority = planning.PriorityFirst, day(5), 1
			}),
			"L1 1/1\nL2 0/1, not_enough_ready 4 4 [A]\n"},
		{"all or none", with(farm([]planning.Lot{bed("K1", "A", 10)}, []planning.Product{ofA}, line("L1", "SA", 3), line("L2", "SA", 1)),
			func(p *planning.Problem) { p.Lines[0].AllOrNone = true }),
			"L1 0/3, not_enough_ready 2 2 [A]\nL2 1/1\n"},
		{"cut by hand", with(farm([]planning.Lot{bed("K1", "A", 8)}, []planning.Product{ofA}, line("L1", "SA", 3), line("L2", "SA", 1)),
			func(p *planning.Problem) { p.Lines[0].AtMost = new(1) }),
			"L1 1/1\nL2 1/1\n"},
		{"at risk", with(farm([]planning.Lot{bed("K1", "A", 12)}, []planning.Product{ofA}, line("L1", "SA", 3)),
			func(p *planning.Problem) { p.Lots[0].CautiousHeads = new(11) }),
			"L1 3/3, at risk 1\n"},

		// Words.
		{"the older word first", with(farm([]planning.Lot{bed("K1", "A", 12)}, []planning.Product{ofA}, line("L1", "SA", 3), line("L2", "SA", 2), line("L3", "SA", 3)),
			func(p *planning.Problem) {
				p.Lines[1].Promised, p.Lines[1].PromisedAt = 2, time.Date(2027, 1, 9, 0, 0, 0, 0, time.UTC)
				p.Lines[2].Promised, p.Lines[2].PromisedAt = 2, time.Date(2027, 1, 8, 0, 0, 0, 0, time.UTC)
			}),
			"L1 0/3, not_enough_ready 4 12 [A]\nL2 1/2, broken 1, not_enough_ready 4 4 [A]\nL3 2/3, not_enough_ready 4 4 [A]\n"},
		{"a word on all or none is for all", with(farm([]planning.Lot{bed("K1", "A", 8)}, []planning.Product{ofA}, line("L1", "SA", 3), line("L2", "SA", 1)),
			func(p *planning.Problem) { p.Lines[0].Promised, p.Lines[0].AllOrNone = 1, true }),
			"L1 0/3, broken 3, not_enough_ready 4 4 [A]\nL2 1/1\n"},

		// Packed cases.
		{"packed for a line goes to it, however old", with(farm(nil, []planning.Product{ofA}, line("L1", "SA", 2), line("L2", "SA", 2)),
			func(p *planning.Problem) {
				p.Packed = []planning.Packed{packed("P1", "SA", 3, day(-30), planning.VarietyHeads{Variety: "A", Heads: 4})}
				p.Packed[0].Line = "L2"
			}),
			"L1 0/2, not_enough_ready 4 8 [A]\nL2 2/2, 2 of P1\n"},
		{"spare ones, the oldest first, and only cases", with(farm(nil, []planning.Product{ofA}, line("L1", "SA", 5)),
			func(p *planning.Problem) {
				p.Packed = []planning.Packed{packed("P1", "SA", 1, day(1), planning.VarietyHeads{Variety: "A", Heads: 4}),
					packed("P2", "SA", 2, day(0), planning.VarietyHeads{Variety: "A", Heads: 4}),
					packed("P3", "SA", 9, day(0), planning.VarietyHeads{Variety: "A", Heads: 3}),
					packed("P4", "SA", 9, day(-20), planning.VarietyHeads{Variety: "A", Heads: 4})}
			}),
			"L1 3/5, 2 of P2, 1 of P1, not_enough_ready 4 8 [A]\n"},
		{"all or none does not mix", with(farm([]planning.Lot{bed("K1", "A", 8)}, []planning.Product{ofA}, line("L1", "SA", 3), line("L2", "SA", 2)),
			func(p *planning.Problem) {
				p.Lines[0].AllOrNone = true
				p.Packed = []planning.Packed{packed("P1", "SA", 2, day(1), planning.VarietyHeads{Variety: "A", Heads: 4})}
			}),
			"L1 0/3, not_enough_ready 4 4 [A]\nL2 2/2, 2 of P1\n"},
		{"all or none beside its own packed cases", with(farm([]planning.Lot{bed("K1", "A", 8)}, []planning.Product{ofA}, line("L1", "SA", 3)),
			func(p *planning.Problem) {
				p.Lines[0].AllOrNone = true
				p.Packed = []planning.Packed{packed("P1", "SA", 1, day(1), planning.VarietyHeads{Variety: "A", Heads: 4})}
				p.Packed[0].Line = "L1"
			}),
			"L1 3/3, 1 of P1\n"},

		// The case limit counts packed cases too, and offers.
		{"case limit", limited(3, farm([]planning.Lot{bed("K1", "A", 80)}, []planning.Product{ofA}, line("L1", "SA", 2), line("L2", "SA", 3)),
			func(p *planning.Problem) {
				p.Lines[1].AllOrNone = true
				p.Packed = []planning.Packed{packed("P1", "SA", 1, day(1), planning.VarietyHeads{Variety: "A", Heads: 4})}
			}),
			"L1 2/2, 1 of P1\nL2 0/3, cooler_full\n"},
		{"neither spaces nor heads", limited(1, farm([]planning.Lot{bed("K1", "A", 6)}, []planning.Product{ofA}, line("L1", "SA", 3)), nil),
			"L1 1/3, not_enough_ready 2 6 [A]\n"},

		// Reasons.
		{"cannot be made", with(farm([]planning.Lot{bed("K1", "A", 8)}, []planning.Product{ofA}, line("L1", "SA", 1)),
			func(p *planning.Problem) { p.Lines[0].Refuse = []string{"A"} }),
			"L1 0/1, cannot_be_made\n"},
		{"none fresh enough", with(farm([]planning.Lot{bed("K1", "A", 8)}, []planning.Product{ofA}, line("L1", "SA", 3)),
			func(p *planning.Problem) { p.Lines[0].MinShelfDays = 10 }),
			"L1 0/3, none_fresh_enough\n"},
		{"the next beds", with(farm([]planning.Lot{bed("K1", "A", 8), bed("K2", "A", 0), bed("K3", "A", 9), bed("K4", "A", 9)}, []planning.Product{ofA}, line("L1", "SA", 3)),
			func(p *planning.Problem) {
				for i, ready := range []int{1, 3, 5, 4} {
					p.Lots[i].Ready = day(ready)
				}
			}),
			"L1 2/3, not_enough_ready 4 4 [A] day 4\n"},
		// One more A goes into the first slot and sets a B free for the second.
		{"a head that helps by passing on", farm([]planning.Lot{bed("K1", "A", 1), bed("K2", "B", 2)}, []planning.Product{mix}, line("L1", "MIX", 1)),
			"L1 0/1, not_enough_ready 1 1 [A B]\n"},

		// Offers can be taken up together.
		{"offers", with(farm([]planning.Lot{bed("K1", "A", 4), bed("K2", "B", 8)}, []planning.Product{product("AB", slot(4, "A", "B"))},
			line("L1", "AB", 3), line("L2", "AB", 2), line("L3", "AB", 1)),
			func(p *planning.Problem) {
				p.Lines[0].Substitutes = planning.SubstituteAsk
				p.Lines[1].Substitutes, p.Lines[1].AllOrNone = planning.SubstituteAsk, true
				p.Lines[2].Substitutes = planning.SubstituteNever
			}),
			"L1 1/3, offer 2, not_enough_ready 4 8 [A]\nL2 0/2, not_enough_ready 8 8 [A]\nL3 0/1, not_enough_ready 4 4 [A]\n"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := told(t, c.p); got != c.want {
				t.Errorf("got\n%swant\n%s", got, c.want)
			}
		})
	}
}

func with(p *planning.Problem, change func(*planning.Problem)) *planning.Problem {
	if change != nil {
		change(p)
	}
	return p
}

func limited(spaces int, p *planning.Problem, change func(*planning.Problem)) *planning.Problem {
	p.Cooler.CaseSpaces, p.Cooler.CaseRule = spaces, planning.Limit
	return with(p, change)
}
