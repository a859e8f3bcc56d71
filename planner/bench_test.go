package planner_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"testing"
	"time"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
)

var farms = []string{"farm-01", "farm-02", "farm-03"}

// farm is the document of a proven farm-size case: some 118 lots, 1,000 lines
// and 18 pickup days.
func farm(b *testing.B, name string) []byte {
	text, err := os.ReadFile("../testdata/planning/" + name + ".json")
	if err != nil {
		b.Fatal(err)
	}
	var both struct{ Problem json.RawMessage }
	if err := json.Unmarshal(text, &both); err != nil {
		b.Fatal(err)
	}
	return both.Problem
}

func read(b *testing.B, text []byte) *planning.Problem {
	p, faults := planning.ReadBytes(text)
	if len(faults) > 0 {
		b.Fatal(faults)
	}
	return p
}

func BenchmarkPlanFarm(b *testing.B) {
	for _, name := range farms {
		p := read(b, farm(b, name))
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				planner.Plan(p)
			}
		})
	}
}

// From the document on standard input to the document on standard output, all
// but starting a process.
func BenchmarkReadPlanWriteFarm(b *testing.B) {
	for _, name := range farms {
		text := farm(b, name)
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			var out bytes.Buffer
			for b.Loop() {
				out.Reset()
				if err := json.NewEncoder(&out).Encode(planner.Plan(read(b, text))); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(out.Len()), "bytes/plan")
		})
	}
}

func BenchmarkPromise(b *testing.B) {
	for _, name := range farms {
		s := planner.NewStanding(read(b, farm(b, name)))
		p := s.Problem
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			n := 0
			for b.Loop() {
				n++
				_, faults := s.Quote(planning.Line{
					Product: p.Products[n%len(p.Products)].Code,
					Pickup:  p.PickupDays[n*7%len(p.PickupDays)],
					Cases:   n%20 + 1,
				})
				if len(faults) > 0 {
					b.Fatal(faults)
				}
			}
		})
	}
}

// A region of many houses: lots, varieties and days grow with the lines. As
// one house is harder to plan than another, small regions are planned in
// numbers: 20,000 lines an operation, or one region of more.
func BenchmarkPlanRegion(b *testing.B) {
	for _, lines := range []int{1_000, 10_000, 100_000} {
		var regions []*planning.Problem
		for seed := range max(1, 20_000/lines) {
			regions = append(regions, region(lines, uint64(seed)))
		}
		b.Run(fmt.Sprint(lines), func(b *testing.B) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			for b.Loop() {
				for _, p := range regions {
					planner.Plan(p)
				}
			}
			runtime.ReadMemStats(&after)
			planned := float64(b.N * lines * len(regions))
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/planned, "ns/line")
			b.ReportMetric(float64(after.TotalAlloc-before.TotalAlloc)/planned, "B/line")
		})
	}
}

// region makes the problem of a region with so many lines. A house is 1,000
// lines, 120 lots and 12 varieties with their single products and blends; its
// products draw on its own varieties and, here and there, on a neighbour's. A
// region of many houses also plans further ahead, up to 36 pickup days.
func region(lines int, seed uint64) *planning.Problem {
	r := rand.New(rand.NewPCG(uint64(lines), seed))
	houses := (lines + 999) / 1000
	asOf := domain.MustDay("2027-02-01")
	p := &planning.Problem{
		AsOf:     asOf,
		LeadDays: 1,
		Cooler:   planning.Cooler{CaseSpaces: 200 * houses, TraySpaces: 60 * houses},
		Work:     planning.Work{RaftsPerDay: 40 * houses},
	}
	days := min(18+houses/4, 36)
	for i := range days {
		p.PickupDays = append(p.PickupDays, asOf.Add(1+2*i))
	}
	for v := range 12 * houses {
		p.Varieties = append(p.Varieties, planning.Variety{
			Code: fmt.Sprintf("V%04d", v), Name: fmt.Sprint("Variety ", v), ShelfDays: 10 + r.IntN(8), HeadsPerTray: 18,
		})
	}
	for h := range houses {
		p.Products = append(p.Products, houseProducts(r, h, houses)...)
		p.Lots = append(p.Lots, houseLots(r, h, asOf, 2*days)...)
	}
	for i := range lines {
		p.Lines = append(p.Lines, regionLine(r, p, i))
	}
	return p
}

// neighbour is a variety of house h, or now and then of the house beside it.
func neighbour(r *rand.Rand, h, houses int) string {
	if r.IntN(10) == 0 {
		h = (h + 1) % houses
	}
	return fmt.Sprintf("V%04d", 12*h+r.IntN(12))
}

func houseProducts(r *rand.Rand, h, houses int) (products []planning.Product) {
	for v := range 12 {
		accept := []string{fmt.Sprintf("V%04d", 12*h+v)}
		if second := neighbour(r, h, houses); r.IntN(2) == 0 && second != accept[0] {
			accept = append(accept, second)
		}
		products = append(products, planning.Product{Code: "S-" + accept[0], Name: "Single " + accept[0],
			Slots: []planning.Slot{{Heads: 6 * (1 + r.IntN(3)), Accept: accept}}})
	}
	for blend := range 4 {
		code := fmt.Sprintf("B%03d-%d", h, blend)
		product := planning.Product{Code: code, Name: "Blend " + code}
		for range 3 + r.IntN(3) {
			slot := planning.Slot{Heads: 2, GrowersChoice: r.IntN(4) == 0}
			for range 1 + r.IntN(3) {
				if v := neighbour(r, h, houses); !slices.Contains(slot.Accept, v) {
					slot.Accept = append(slot.Accept, v)
				}
			}
			product.Slots = append(product.Slots, slot)
		}
		if r.IntN(2) == 0 {
			product.MaxHeadsPerVariety = new(4)
			product.Slots[0].Accept = []string{fmt.Sprintf("V%04d", 12*h)}
			for s := range product.Slots[1:] {
				product.Slots[s+1].Accept = []string{fmt.Sprintf("V%04d", 12*h+2*s+1), fmt.Sprintf("V%04d", 12*h+2*s+2)}
			}
		}
		products = append(products, product)
	}
	return products
}

func houseLots(r *rand.Rand, h int, asOf domain.Day, span int) (lots []planning.Lot) {
	for i := range 120 {
		l := planning.Lot{Code: fmt.Sprintf("K%03d-%03d", h, i), Variety: fmt.Sprintf("V%04d", 12*h+i%12), Place: planning.Bed}
		l.Heads = 60 + r.IntN(300)
		l.CautiousHeads = new(l.Heads * (85 + r.IntN(12)) / 100)
		if i%10 == 9 {
			l.Place, l.Pulled = planning.Chilled, asOf.Add(-r.IntN(5))
		} else {
			l.Ready = asOf.Add(r.IntN(span) - 6)
			l.Last = l.Ready.Add(4 + r.IntN(8))
			l.Rafts = new(domain.HalfRafts(2 + r.IntN(20)))
		}
		lots = append(lots, l)
	}
	return lots
}

func regionLine(r *rand.Rand, p *planning.Problem, i int) planning.Line {
	l := planning.Line{
		ID:       fmt.Sprintf("L%06d", i),
		Customer: fmt.Sprintf("C%05d", r.IntN(1+i/12)),
		Product:  p.Products[r.IntN(len(p.Products))].Code,
		Pickup:   p.PickupDays[r.IntN(len(p.PickupDays))],
		Cases:    1 + r.IntN(8),
		Received: time.Unix(1_790_000_000+int64(r.IntN(10_000_000)), 0).UTC(),
		Priority: 1 + r.IntN(3),
	}
	switch r.IntN(10) {
	case 0:
		l.Substitutes = planning.SubstituteNever
	case 1:
		l.Substitutes = planning.SubstituteAsk
	case 2:
		l.MinShelfDays = 5 + 2*r.IntN(2)
	case 3:
		l.Promised, l.PromisedAt = 1+r.IntN(l.Cases), l.Received.Add(time.Hour)
	case 4:
		l.Refuse = []string{p.Varieties[r.IntN(len(p.Varieties))].Code}
	case 5:
		l.AllOrNone = true
	}
	return l
}

func TestRegionIsAProblemWithoutFault(t *testing.T) {
	if faults := planning.Check(region(3_000, 7)); len(faults) > 0 {
		t.Fatal(faults[:min(5, len(faults))])
	}
}
