// Package farm is the demo farm: an invented greenhouse on an invented dry
// coast of the southern half of the world, with invented customers. Its week has
// a shortage, a word given, a substitution, an over-full cooler, blends and
// single varieties, standing orders and one-offs.
//
// The same farm lies beside this file as a workbook, and a later mail of orders
// as CSV and XLSX; a test writes them anew with -update.
package farm

import (
	"strconv"
	"time"

	"headtally/domain"
)

// AsOf is the day on which the demo plans: a Tuesday.
const AsOf = "2027-04-13"

// Facts is the whole farm as its workbook tells it. Orders were asked for one
// after another, as the rows of the sheet stand.
func Facts() domain.Facts {
	f := domain.Facts{Farm: settings()}
	for _, name := range []string{"Green batavia", "Green butterhead", "Green lollo", "Green multileaf", "Green oakleaf",
		"Mini romaine", "Red batavia", "Red butterhead", "Red lollo", "Red oakleaf"} {
		f.Varieties = append(f.Varieties, domain.Variety{Code: code(name), Name: name})
	}
	f.Varieties[5].ShelfDays, f.Varieties[5].HeadsPerRaft = ptr(18), ptr(domain.Heads(40)) // mini romaine stands closer and keeps longer
	f.Products = products()
	f.Carriers = []domain.Carrier{
		{Code: "HARBOUR-TRUCK", Name: "Harbour truck", Pickups: domain.WeekdaysOf(time.Monday, time.Thursday), Hour: 5*60 + 30, CutoffDays: 1, CutoffHour: 12 * 60},
		{Code: "OWN-ROUND", Name: "Own round", OwnRound: true, Pickups: domain.WeekdaysOf(time.Wednesday, time.Saturday), Hour: 8 * 60, CutoffDays: 1, CutoffHour: 15 * 60},
	}
	f.Customers = customers()
	orders(&f)
	f.Counts = []domain.Count{count()}
	return f
}

func settings() domain.Farm {
	farm := domain.NewFarm()
	farm.Name, farm.Address, farm.Phone = "Lantern Spit Greens", "3 Breakwater Track, Lantern Spit", "555 0143"
	farm.Zone, farm.Paper, farm.Units = "Africa/Windhoek", "a4", "metric"
	farm.Harvest = domain.WeekdaysOf(time.Monday, time.Tuesday, time.Wednesday, time.Friday, time.Saturday)
	farm.CaseSpaces, farm.TraySpaces, farm.HeadsPerTray, farm.HeadsPerRaft = 44, 60, 20, 28
	farm.Crew = domain.Crew{RaftsPerDay: 22, HeadsPerHour: 180, HarvestHours: 4, CasesPerHour: 16, PackHours: 4}
	return farm
}

func products() []domain.Product {
	slot := func(heads domain.Heads, accept ...string) domain.Slot {
		for i := range accept {
			accept[i] = code(accept[i])
		}
		return domain.Slot{Heads: heads, Accept: accept}
	}
	list := []domain.Product{
		{Name: "Butterhead ten", Slots: []domain.Slot{slot(10, "Green butterhead")}},
		{Name: "Chef's six", MaxHeadsPerVariety: ptr(4), Slots: []domain.Slot{
			slot(4, "Red oakleaf", "Red lollo"), slot(4, "Green oakleaf", "Green lollo"), slot(4, "Green multileaf", "Green batavia", "Red batavia")}},
		{Name: "Coast blend", Slots: []domain.Slot{
			slot(4, "Green butterhead", "Red butterhead"), slot(3, "Red oakleaf", "Red lollo"), slot(3, "Green lollo", "Green oakleaf")}},
		{Name: "Mini romaine fifteen", Slots: []domain.Slot{slot(15, "Mini romaine")}},
		{Name: "Oakleaf ten", Slots: []domain.Slot{slot(5, "Red oakleaf"), slot(5, "Green oakleaf")}},
	}
	list[1].Slots[2].GrowersChoice = true
	for i := range list {
		list[i].Code = code(list[i].Name)
	}
	return list
}

func customers() []domain.Customer {
	harbour, round := "HARBOUR-TRUCK", "OWN-ROUND"
	list := []domain.Customer{
		{Name: "Barnacle Wholesale", Importance: domain.Anchor, Carrier: harbour, Stop: 1},
		{Name: "Driftwood Deli", Carrier: round, Stop: 3, Substitutes: "never"},
		{Name: "Hotel Palisade", Importance: domain.Anchor, Carrier: harbour, Stop: 2, Substitutes: "ask"},
		{Name: "Old Kelp House", Carrier: round, Stop: 1, Refuse: []string{code("Red lollo")}},
		{Name: "Pier Nine Kitchen", Carrier: round, Stop: 2, MinShelfDays: ptr(9)},
		{Name: "Sandpiper Canteen", Importance: domain.Casual, Carrier: harbour, Stop: 3},
		{Name: "The Tin Lantern", Carrier: round, Stop: 4},
		{Name: "Windward Foods", Carrier: harbour, Stop: 4},
	}
	for i := range list {
		c := &list[i]
		c.Code = code(c.Name)
		if c.Importance == "" {
			c.Importance = domain.Steady
		}
		if c.Substitutes == "" {
			c.Substitutes = "yes"
		}
	}
	return list
}

// orders are the rows of the order sheet: standing orders, then one-offs.
func orders(f *domain.Facts) {
	tuesday := domain.MustDay(AsOf)
	row := 0
	asked := func() time.Time { row++; return tuesday.Add(-1).Time().Add(time.Duration(row) * time.Second) }
	standing := func(customer, product string, cases domain.Cases, days ...time.Weekday) {
		f.Standing = append(f.Standing, domain.Standing{ID: id("S", len(f.Standing)), Customer: code(customer), Product: code(product),
			Terms: []domain.Term{{From: tuesday.Add(-28), Weekdays: domain.WeekdaysOf(days...), Every: 1, Cases: cases, Received: asked()}}})
	}
	once := func(customer, product string, cases domain.Cases, day domain.Day, po string, promised domain.Cases) {
		at := asked()
		o := domain.Order{ID: id("O", len(f.Orders)), Customer: code(customer), Pickup: day, Mode: domain.Add, PO: po, Received: at,
			Lines: []domain.OrderLine{{Product: code(product), Cases: cases}}}
		f.Orders = append(f.Orders, o)
		if promised > 0 {
			carrier := "HARBOUR-TRUCK"
			if day.Weekday() == time.Wednesday || day.Weekday() == time.Saturday {
				carrier = "OWN-ROUND"
			}
			f.Decisions = append(f.Decisions, domain.Decision{Line: domain.LineID(o.ID, o.Lines[0].Product, carrier, day), Promised: promised, PromisedAt: at})
		}
	}
	standing("Barnacle Wholesale", "Coast blend", 12, time.Monday, time.Thursday)
	standing("Barnacle Wholesale", "Butterhead ten", 8, time.Thursday)
	standing("Hotel Palisade", "Chef's six", 6, time.Monday, time.Thursday)
	standing("Windward Foods", "Mini romaine fifteen", 9, time.Thursday)
	standing("Windward Foods", "Coast blend", 6, time.Monday)
	standing("Sandpiper Canteen", "Coast blend", 7, time.Thursday)
	standing("Old Kelp House", "Coast blend", 4, time.Wednesday, time.Saturday)
	standing("Pier Nine Kitchen", "Chef's six", 5, time.Wednesday, time.Saturday)
	standing("Driftwood Deli", "Oakleaf ten", 3, time.Wednesday, time.Saturday)
	standing("The Tin Lantern", "Butterhead ten", 4, time.Saturday)
	thursday, saturday := tuesday.Add(2), tuesday.Add(4)
	once("Hotel Palisade", "Oakleaf ten", 5, thursday, "HP-2207", 5)
	once("Sandpiper Canteen", "Oakleaf ten", 4, thursday, "", 0)
	once("The Tin Lantern", "Oakleaf ten", 6, saturday, "TL 88", 0)
	once("Windward Foods", "Mini romaine fifteen", 4, thursday.Add(4), "W-5120", 0)
}

// count is Tuesday's walk: what stands ready, and what lies in the cooler.
func count() domain.Count {
	tuesday := domain.MustDay(AsOf)
	bed := func(bed, variety string, now, next, after float64) domain.BedCount {
		half := func(rafts float64) domain.HalfRafts { return domain.HalfRafts(2 * rafts) }
		return domain.BedCount{Bed: bed, Variety: code(variety), RaftsNow: half(now), RaftsNext: half(next), RaftsAfter: half(after)}
	}
	return domain.Count{ID: "C1", Day: tuesday, SpeaksTo: tuesday.Add(4), Whole: true, Cooler: true, At: tuesday.Time(),
		Beds: []domain.BedCount{
			bed("1", "Green butterhead", 8, 2, 3.5), bed("1", "Red butterhead", 3, 1, 1),
			bed("2", "Red oakleaf", 3.5, 1.5, 1.5), bed("2", "Green oakleaf", 7, 2, 2), bed("2", "Red lollo", 2, 1, 1),
			bed("3", "Green lollo", 6, 2, 2), bed("3", "Green multileaf", 3, 1, 2), bed("3", "Green batavia", 1.5, 1, 1), bed("3", "Red batavia", 1, 0, 0.5),
			bed("4", "Mini romaine", 3, 1, 1),
		},
		Loose:  []domain.LooseHeads{{Variety: code("Mini romaine"), Heads: 35, Pulled: tuesday.Add(-1)}, {Variety: code("Green butterhead"), Heads: 12, Pulled: tuesday.Add(-1)}},
		Packed: []domain.PackedCount{{Product: code("Coast blend"), Cases: 2, Pulled: tuesday.Add(-2)}},
	}
}

func code(name string) string { return domain.CodeFrom(name, func(string) bool { return false }) }

func id(letter string, n int) string { return letter + strconv.Itoa(n+1) }

func ptr[T any](v T) *T { return &v }
