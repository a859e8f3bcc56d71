package prints

import (
	"fmt"
	"slices"
	"time"

	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
)

// A story is a pickup day told step by step: who comes, who asked for what, and
// what they get. Thursday 12 March is packed on Wednesday.
type story struct {
	*book.Day
	problem *planning.Problem
	plan    *planning.Plan
}

var (
	thursday  = domain.MustDay("2026-03-12")
	wednesday = domain.MustDay("2026-03-11")
	printedAt = time.Date(2026, 3, 11, 4, 5, 0, 0, time.UTC)
)

const (
	redOak, greenOak, butter, batavia = "red-oak", "green-oak", "butter", "batavia"
	mixed, hearts, choice             = "mixed", "hearts", "choice"
)

// tell begins a story on a farm of invented name.
func tell() *story {
	farm := domain.NewFarm()
	farm.Name, farm.Address, farm.Phone, farm.Zone = "Tidewater Raft Farm", "4 Ferry Lane, Saltmarsh", "555 0142", "America/Halifax"
	farm.Units = "metric" // whose dates have the day first
	p := &planning.Problem{AsOf: wednesday, LeadDays: 1, PickupDays: []domain.Day{thursday},
		Varieties: []planning.Variety{
			{Code: redOak, Name: "Red oakleaf", ShelfDays: 14, HeadsPerTray: 24},
			{Code: greenOak, Name: "Green oakleaf", ShelfDays: 14, HeadsPerTray: 24},
			{Code: butter, Name: "Butterhead", ShelfDays: 14, HeadsPerTray: 18},
			{Code: batavia, Name: "Batavia", ShelfDays: 12, HeadsPerTray: 18}},
		Products: []planning.Product{
			{Code: mixed, Name: "Mixed living case", Slots: []planning.Slot{{Heads: 6, Accept: []string{redOak, greenOak}}, {Heads: 6, Accept: []string{butter}}}},
			{Code: hearts, Name: "Butterhead case", Slots: []planning.Slot{{Heads: 12, Accept: []string{butter}}}},
			{Code: choice, Name: "Grower's choice", Slots: []planning.Slot{{Heads: 12, Accept: []string{batavia, greenOak, redOak}, GrowersChoice: true}}}}}
	plan := &planning.Plan{}
	return &story{problem: p, plan: plan, Day: &book.Day{Farm: farm, Pickup: thursday,
		Week: &planner.Week{AsOf: wednesday, Problem: p, Plan: plan}}}
}

// truck lets a carrier come at an hour.
func (s *story) truck(code, name, hour string) *story {
	at, err := domain.ParseClock(hour)
	if err != nil {
		panic(err)
	}
	s.Carriers = append(s.Carriers, domain.Carrier{Code: code, Name: name, Hour: at, Pickups: domain.EveryDay})
	return s
}

// guest is a customer of the story.
type guest struct {
	story *story
	domain.Customer
}

// customer names who is served, by which truck and at which stop.
func (s *story) customer(name, truck string, stop int) *guest {
	code := fmt.Sprintf("c%03d", len(s.Lines))
	return &guest{s, domain.Customer{Code: code, Name: name, Carrier: truck, Stop: stop, Importance: domain.Steady, Substitutes: "ask", Phone: "555 0100"}}
}

// asks for so many cases and gets so many.
func (g *guest) asks(product string, cases, gets int) *book.DayLine {
	s := g.story
	id := domain.LineID("o"+g.Code, product, g.Carrier, thursday)
	line := book.DayLine{Counted: true, Customer: g.Customer,
		Line: domain.Line{ID: id, Base: id, Customer: g.Code, Product: product, Carrier: g.Carrier, Pickup: thursday, Cases: domain.Cases(cases), PO: "PO-" + g.Code},
		Plan: planning.LinePlan{ID: id, Cases: cases, Filled: gets, Firm: gets, Short: cases - gets}}
	for _, x := range s.problem.Products {
		if x.Code != product {
			continue
		}
		line.Product = domain.Product{Code: x.Code, Name: x.Name}
		for _, slot := range x.Slots {
			line.Product.Slots = append(line.Product.Slots, domain.Slot{Heads: domain.Heads(slot.Heads), Accept: slot.Accept, GrowersChoice: slot.GrowersChoice})
		}
	}
	for i, slot := range line.Product.Slots {
		line.Plan.Heads = append(line.Plan.Heads, planning.SlotLot{Variety: slot.Accept[0], Slot: i, Heads: gets * int(slot.Heads)})
	}
	s.Lines = append(s.Lines, line)
	return &s.Lines[len(s.Lines)-1]
}

// lacking says why a line is short.
func lacking(l *book.DayLine, varieties ...string) {
	l.Plan.Reason = &planning.Reason{Code: planning.NotEnoughReady, HeadsMissing: 4, Varieties: varieties, NextReady: thursday.Add(2)}
}

// swap lets heads of another variety stand in for those listed in a slot.
func swap(l *book.DayLine, slot int, got string, heads int) {
	l.Plan.Heads[slot].Heads -= heads
	l.Plan.Heads = append(l.Plan.Heads, planning.SlotLot{Variety: got, Slot: slot, Heads: heads})
}

// run packs so many cases to a recipe for lines.
func (s *story) run(product string, cases int, contents []planning.VarietyHeads, lines ...planning.LineCases) *planning.Run {
	s.Runs = append(s.Runs, planning.Run{Pickup: thursday, Pack: wednesday, Product: product, Cases: cases, Contents: contents, Lines: lines})
	return &s.Runs[len(s.Runs)-1]
}

// ordinary is a day with a little of everything: two trucks, a shortage, a
// substitution, a broken word, cases packed already, one line not counted.
func ordinary() *story {
	s := tell().truck("ferry", "Ferry Freight", "05:30").truck("round", "Own round", "07:00")
	s.problem.Packed = []planning.Packed{{Code: "p1", Product: hearts, Cases: 3, Pulled: wednesday.Add(-1)}}
	anna := s.customer("Bistro Annabel", "ferry", 1)
	first := anna.asks(mixed, 8, 6)
	first.Plan.Offer = 2
	lacking(first, redOak)
	swap(first, 0, greenOak, 12)
	firstID := first.ID
	anna.asks(hearts, 3, 3).Plan.Packed = []planning.PackedCases{{Code: "p1", Cases: 3}}
	s.customer("The Long Table", "ferry", 2).asks(choice, 5, 5).Plan.Firm = 3
	word := s.customer("Harbour Kitchen", "round", 1).asks(mixed, 10, 8)
	word.Promised, word.Plan.Broken = 10, 2
	lacking(word, redOak)
	wordID := word.ID
	later := s.customer("Óscar & Ñandú", "round", 2).asks(choice, 4, 0)
	later.Counted = false
	s.plan.Warnings = []planning.Warning{{Code: planning.PromiseBroken, Pickup: thursday, Customer: word.Line.Customer, Product: mixed, Needed: 10, Had: 8},
		{Code: planning.CasesOver, Day: wednesday, Needed: 160, Had: 150}}
	s.Tally = []book.TallyRow{
		{Variety: domain.Variety{Code: redOak, Name: "Red oakleaf"}, TallyRow: planning.TallyRow{Pickup: thursday, Variety: redOak, Listed: 108, Assigned: 72, Short: 24}, Counted: true},
		{Variety: domain.Variety{Code: greenOak, Name: "Green oakleaf"}, TallyRow: planning.TallyRow{Pickup: thursday, Variety: greenOak, Listed: 0, Assigned: 12}, Counted: true},
		{Variety: domain.Variety{Code: batavia, Name: "Batavia"}, TallyRow: planning.TallyRow{Pickup: thursday, Variety: batavia, Listed: 108, Assigned: 60, Short: 48}}}
	r := s.run(mixed, 12, []planning.VarietyHeads{{Variety: redOak, Heads: 6}, {Variety: butter, Heads: 6}},
		planning.LineCases{ID: wordID, Cases: 8}, planning.LineCases{ID: firstID, Cases: 4})
	r.StandIns = []planning.StandIn{{Variety: redOak, Then: []string{greenOak}, NotFor: []string{wordID}}, {Variety: butter, Then: []string{}}}
	r.DropFirst = []string{firstID, wordID}
	s.run(mixed, 2, []planning.VarietyHeads{{Variety: greenOak, Heads: 6}, {Variety: butter, Heads: 6}}, planning.LineCases{ID: firstID, Cases: 2})
	return s
}

// bed lets a lot stand in a bed, so many places from the harvest end.
func (s *story) bed(name string, at int, variety string, heads int, rafts domain.HalfRafts) string {
	code := fmt.Sprintf("%s/%s/%d", name, variety, at)
	s.problem.Lots = append(s.problem.Lots, planning.Lot{Code: code, Variety: variety, Place: planning.Bed, Heads: heads, Rafts: &rafts,
		Ready: wednesday.Add(-1), Last: wednesday.Add(5), BedName: name, At: &at})
	return code
}

// lift takes heads out of a lot on Wednesday.
func (s *story) lift(lot, variety string, heads, lifted int, rafts domain.HalfRafts) *planning.Pull {
	s.plan.Pulls = append(s.plan.Pulls, planning.Pull{Day: wednesday, Lot: lot, Variety: variety, Heads: heads, StopAt: heads, Rafts: rafts, RaftsUpTo: rafts, HeadsLifted: lifted})
	return &s.plan.Pulls[len(s.plan.Pulls)-1]
}

// morning adds to an ordinary day what is lifted for it.
func (s *story) morning() *story {
	front := s.bed("Bed 2", 1, batavia, 72, 4)
	oak := s.bed("Bed 2", 2, redOak, 108, 6)
	s.lift(front, batavia, 60, 72, 4).MovedFrom = thursday
	s.lift(oak, redOak, 72, 72, 4).InFront = []string{front}
	s.lift(s.bed("Bed 10", 1, butter, 180, 10), butter, 84, 90, 5).RaftsUpTo = 6
	s.lift(s.bed("Bed 10", 2, greenOak, 36, 2), greenOak, 12, 18, 1)
	return s
}

// facts is the book's read that goes with the story.
func (s *story) facts() *domain.Facts {
	return &domain.Facts{Farm: s.Farm, Products: []domain.Product{{Code: mixed, Name: "Mixed living case", GTIN: "10857674002017"}, {Code: choice, Name: "Grower's choice"}},
		Varieties: []domain.Variety{{Code: redOak, Name: "Red oakleaf"}, {Code: butter, Name: "Butterhead"}, {Code: batavia, Name: "Batavia"}},
		Counts: []domain.Count{{Day: wednesday, Whole: true,
			Beds: []domain.BedCount{{Bed: "Bed 10", Variety: butter}, {Bed: "Bed 2", Variety: batavia}}}}}
}

// before is what the printing before gave: one case less, and one customer more.
func (s *story) before() []domain.Given {
	was := s.Given()
	was[0].Cases--
	return append(was, domain.Given{Pickup: thursday, Carrier: "round", Customer: "gone", Name: "Gone Fishing", Product: mixed, Cases: 2})
}

func spares() []book.Spare {
	return []book.Spare{{Pickup: thursday, Name: "Mixed living case", Cases: 3}, {Pickup: thursday, Name: "Butterhead case", Cases: 12},
		{Pickup: thursday.Add(2), Name: "Butterhead case", Cases: 4}}
}

// packedRuns are two runs as they were packed: one with a GTIN, one without.
func packedRuns() []domain.PackedRun {
	return []domain.PackedRun{
		{Trace: "1152KMB", Product: mixed, Cases: 4, Contents: []domain.VarietyHeads{{Variety: redOak, Heads: 6}, {Variety: butter, Heads: 6}}},
		{Trace: "0311-2", Product: choice, Cases: 3, Contents: []domain.VarietyHeads{{Variety: batavia, Heads: 12}}}}
}

// full is a day of so many customers with long names, two lines each, on three
// trucks; some are short, and one truck's products have other names.
func full(customers int) *story {
	s := tell().truck("ferry", "Ferry Freight of the Outer Islands", "05:30").truck("round", "Own round", "07:00").truck("coast", "Coast Haulage", "11:15")
	for i := range customers {
		name := fmt.Sprintf("The %dth Restaurant at the End of the Long Harbour Promenade and Garden Terrace", i+1)
		g := s.customer(name, []string{"ferry", "round", "coast"}[i%3], i/3+1)
		l := g.asks(mixed, 2+i%3, 2)
		if l.Plan.Short > 0 {
			lacking(l, redOak)
		}
		g.asks(hearts, 1, 1)
	}
	byTruck := map[string]int{"ferry": 0, "round": 1, "coast": 2}
	slices.SortStableFunc(s.Lines, func(a, b book.DayLine) int { return byTruck[a.Carrier] - byTruck[b.Carrier] })
	var shares []planning.LineCases
	for _, l := range s.Lines {
		if l.Line.Product == mixed {
			shares = append(shares, planning.LineCases{ID: l.ID, Cases: 2})
		}
	}
	s.run(mixed, 2*customers, []planning.VarietyHeads{{Variety: redOak, Heads: 6}, {Variety: butter, Heads: 6}}, shares...)
	return s.morning()
}
