package allocation

import (
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"headtally/domain/planning"
)

// proven is a problem with its proven answer, the line fields it tells.
type proven struct {
	Problem  json.RawMessage
	Expected struct {
		Lines []struct {
			ID                                      string
			Filled, Firm, Short, Cut, Broken, Offer int
			Packed                                  []planning.PackedCases
			Reason                                  *planning.Reason
		}
		Substitution int
		ExpiringUsed int `json:"expiring_used"`
	}
}

// eachProven runs a test on every proven case, allocated.
func eachProven(t *testing.T, test func(t *testing.T, c *proven, b *planning.Book, a *Allocation)) {
	files, _ := filepath.Glob("../../testdata/planning/*.json")
	if len(files) < 42 {
		t.Fatalf("%d proven cases, want 42 or more", len(files))
	}
	for _, name := range files {
		t.Run(filepath.Base(name), func(t *testing.T) {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			var c proven
			if err := json.Unmarshal(text, &c); err != nil {
				t.Fatal(err)
			}
			p, faults := planning.ReadBytes(c.Problem)
			if len(faults) > 0 {
				t.Fatal(faults)
			}
			b := planning.Index(p)
			test(t, &c, b, Allocate(b))
		})
	}
}

func TestProvenCasesAreExact(t *testing.T) {
	eachProven(t, func(t *testing.T, c *proven, _ *planning.Book, a *Allocation) {
		for i, got := range a.Lines() {
			w := c.Expected.Lines[i]
			want := planning.LinePlan{ID: w.ID, Cases: got.Cases, Cut: w.Cut, Filled: w.Filled, Firm: w.Firm, Short: w.Short,
				Broken: w.Broken, Offer: w.Offer, Reason: w.Reason, Packed: w.Packed, Heads: got.Heads}
			if !reflect.DeepEqual(got, want) {
				t.Errorf("line %d:\n got %+v, reason %+v\nwant %+v, reason %+v", i, got, got.Reason, want, want.Reason)
			}
		}
		if a.Substitution != c.Expected.Substitution || a.ExpiringUsed != c.Expected.ExpiringUsed {
			t.Errorf("substitution %d, expiring heads %d; want %d and %d",
				a.Substitution, a.ExpiringUsed, c.Expected.Substitution, c.Expected.ExpiringUsed)
		}
	})
}

// What is served adds up: every class's slots are full and of accepted
// varieties, its lots give the same heads by variety, no cap is passed, and no
// lot gives more than it has or to a class that it cannot serve.
func TestServedHeadsAddUp(t *testing.T) {
	eachProven(t, func(t *testing.T, _ *proven, b *planning.Book, a *Allocation) {
		given := make([]int, len(b.Lots))
		cases := make([]int, len(b.Lines))
		for i := range a.Served.Classes {
			c := &a.Served.Classes[i]
			bySlot, bySlots, byLots := map[int]int{}, map[int]int{}, map[int]int{}
			rules := b.RulesFor(c.Product, c.Substitutes, c.Refuse)
			for _, s := range c.Slots {
				bySlot[s.Slot] += s.Heads
				bySlots[s.Variety] += s.Heads
				if !accepts(rules, s) {
					t.Errorf("class %d has variety %d in slot %d", i, s.Variety, s.Slot)
				}
			}
			for _, share := range c.Lots {
				byLots[b.Of[share.Lot]] += share.Heads
				given[share.Lot] += share.Heads
				if !b.CanServe(share.Lot, c.Pickup, c.Lead, c.MinShelf) {
					t.Errorf("class %d has heads of %s", i, b.Lots[share.Lot].Code)
				}
			}
			if !reflect.DeepEqual(bySlots, byLots) {
				t.Errorf("class %d: heads by slot %v, by lot %v", i, bySlots, byLots)
			}
			for s, heads := range rules.Heads {
				if bySlot[s] != heads*c.Cases() {
					t.Errorf("class %d: %d heads in slot %d, want %d", i, bySlot[s], s, heads*c.Cases())
				}
			}
			for v, heads := range bySlots {
				if most := c.Cases() * min(rules.Cap, 1<<40); heads > most {
					t.Errorf("class %d: %d heads of variety %d, at most %d", i, heads, v, most)
				}
			}
			for _, l := range c.Lines {
				cases[l.Line] += l.Cases
			}
		}
		for i, n := range given {
			if n > b.Lots[i].Heads {
				t.Errorf("%s gives %d of %d heads", b.Lots[i].Code, n, b.Lots[i].Heads)
			}
		}
		for i, l := range a.Lines() {
			for _, p := range l.Packed {
				cases[i] += p.Cases
			}
			if cases[i] != l.Filled {
				t.Errorf("%s is served %d cases, filled %d", l.ID, cases[i], l.Filled)
			}
		}
	})
}

func accepts(r *planning.Rules, s planning.SlotVariety) bool {
	for _, c := range r.Slots[s.Slot] {
		if c.Variety == s.Variety {
			return true
		}
	}
	return false
}

// No lot whose life ends sooner serves a later day than another lot of its
// variety, where each could do the other's.
func TestOlderHeadsGoOutFirst(t *testing.T) {
	eachProven(t, func(t *testing.T, _ *proven, b *planning.Book, a *Allocation) {
		type use struct {
			lot   int
			class *planning.Class
		}
		var uses []use
		for i := range a.Served.Classes {
			for _, share := range a.Served.Classes[i].Lots {
				uses = append(uses, use{share.Lot, &a.Served.Classes[i]})
			}
		}
		can := func(lot int, c *planning.Class) bool { return b.CanServe(lot, c.Pickup, c.Lead, c.MinShelf) }
		for _, x := range uses {
			endX, _ := b.LifeEnds(x.lot)
			for _, y := range uses {
				endY, _ := b.LifeEnds(y.lot)
				if b.Of[x.lot] == b.Of[y.lot] && x.class.Pickup > y.class.Pickup && endX < endY && can(x.lot, y.class) && can(y.lot, x.class) {
					t.Errorf("%s (to %v) serves %v while %s (to %v) serves %v", b.Lots[x.lot].Code, endX, x.class.Pickup,
						b.Lots[y.lot].Code, endY, y.class.Pickup)
				}
			}
		}
	})
}
