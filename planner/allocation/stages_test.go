package allocation

import (
	"encoding/json"
	"os"
	"testing"

	"headtally/domain/planning"
)

// What each stage of an allocation takes on a farm-size case: the layout alone
// could be kept when one line changes.
func BenchmarkStagesOfAFarm(b *testing.B) {
	text, err := os.ReadFile("../../testdata/planning/farm-02.json")
	if err != nil {
		b.Fatal(err)
	}
	var c proven
	if err := json.Unmarshal(text, &c); err != nil {
		b.Fatal(err)
	}
	p, faults := planning.ReadBytes(c.Problem)
	if len(faults) > 0 {
		b.Fatal(faults)
	}
	book := planning.Index(p)
	laidOut := func() (*layout, *order) {
		w := newLayout(book)
		return w, newOrder(w, &menus{Book: book, known: map[menuName]*menu{}})
	}
	ledgerOf := func() *ledger {
		w, o := laidOut()
		l := newLedger(w, o, func(l *planning.Lot) int { return l.Heads })
		l.explain = true
		return l
	}
	b.Run("codes", func(b *testing.B) {
		for b.Loop() {
			planning.Index(p)
		}
	})
	b.Run("layout", func(b *testing.B) {
		for b.Loop() {
			laidOut()
		}
	})
	b.Run("layout and passes", func(b *testing.B) {
		for b.Loop() {
			l := ledgerOf()
			l.run()
			l.findOffers()
		}
	})
	l := ledgerOf()
	l.run()
	b.Run("assignment", func(b *testing.B) {
		for b.Loop() {
			a := &Allocation{book: book, expected: l}
			a.assign(l.layout.net.Clone())
		}
	})
}
