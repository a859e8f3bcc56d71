package planner

import (
	"fmt"
	"testing"
	"time"

	"headtally/domain"
	"headtally/planner/growth"
)

// grownFarm has 5,000 batches of ten varieties on record, most of them finished,
// and 200 standing orders on three pickups a week.
func grownFarm() (*domain.Facts, domain.Day) {
	f := nurseryFarm()
	asOf := domain.MustDay("2026-06-01")
	f.Growing.CellsPerTray = 162
	f.Growing.SowingDays = domain.WeekdaysOf(time.Monday, time.Wednesday, time.Friday)
	f.Varieties, f.Products, f.Standing, f.Customers = nil, nil, nil, nil
	f.Beds = []domain.Bed{{Code: "B1", Name: "Bed 1", Rafts: 4000}}
	for i := range 10 {
		code := fmt.Sprintf("V%d", i)
		f.Varieties = append(f.Varieties, domain.Variety{Code: code, Name: code})
		f.Growing.Learned = append(f.Growing.Learned, code)
		for k := range 2 {
			f.Products = append(f.Products, domain.Product{Code: fmt.Sprintf("P%d%d", i, k), Name: code,
				Slots: []domain.Slot{{Heads: domain.Heads(12 + 6*k), Accept: []string{code}}, {Heads: 6, Accept: []string{fmt.Sprintf("V%d", (i+1)%10), code}}}})
		}
	}
	for i := range 60 {
		f.Customers = append(f.Customers, domain.Customer{Code: fmt.Sprintf("C%d", i), Name: "c", Importance: []domain.Importance{domain.Anchor, domain.Steady, domain.Casual}[i%3],
			Substitutes: "yes", Carrier: "TRUCK"})
	}
	for i := range 200 {
		f.Standing = append(f.Standing, standing(fmt.Sprintf("S%d", i), fmt.Sprintf("C%d", i%60), f.Products[i%20].Code, domain.Cases(1+i%7)))
	}
	tell := func(e domain.BatchEvent) {
		e.ID = fmt.Sprintf("E%d", len(f.BatchEvents))
		e.At = e.Day.Time()
		f.BatchEvents = append(f.BatchEvents, e)
	}
	for i := range 5000 {
		batch, sown := fmt.Sprintf("N%d", i), asOf.Add(-800*(5000-i)/5000)
		tell(domain.BatchEvent{Step: domain.Sown, Batch: batch, Variety: fmt.Sprintf("V%d", i%10), Day: sown, Trays: 3})
		if set := sown.Add(11 + i%3); set <= asOf {
			tell(domain.BatchEvent{Step: domain.SetOut, Batch: batch, Bed: "B1", Day: set, Rafts: domain.HalfRafts(19 + i%4)})
		}
		if ready := sown.Add(35 + i%5); ready <= asOf {
			tell(domain.BatchEvent{Step: domain.Lifted, Batch: batch, Day: ready, Heads: domain.Heads(320 + i%17), Culls: 12 - domain.Heads(i%7), Rafts: domain.HalfRafts(19 + i%4)})
		}
	}
	return f, asOf
}

func BenchmarkProjection5000Batches(b *testing.B) {
	f, asOf := grownFarm()
	b.ReportAllocs()
	for b.Loop() {
		if st := growth.Of(f, f.Calendar(), asOf); len(st.Lots) < 200 {
			b.Fatal(len(st.Lots))
		}
	}
}

func BenchmarkSowingTable5000Batches200Orders(b *testing.B) {
	f, asOf := grownFarm()
	b.ReportAllocs()
	for b.Loop() {
		if t := SowingTable(f, asOf); len(t.Rows) < 20 {
			b.Fatal(len(t.Rows))
		}
	}
}

func BenchmarkOutlookEightWeeks(b *testing.B) {
	f, asOf := grownFarm()
	b.ReportAllocs()
	for b.Loop() {
		if o := LookAhead(f, asOf, 8); len(o.Rows) == 0 {
			b.Fatal("nothing in sight")
		}
	}
}

func BenchmarkHowSure5000Batches(b *testing.B) {
	f, asOf := grownFarm()
	b.ReportAllocs()
	for b.Loop() {
		if t := growth.HowSure(f, asOf); len(t) != 60 {
			b.Fatal(len(t))
		}
	}
}
