package planner

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/growth"
	"headtally/planner/sowing"
)

// nurseryFarm grows butterhead in trays of 50 cells, sows on Tuesdays and
// Fridays, and sends a truck on Tuesday and Friday; what it was told is exact.
func nurseryFarm() *domain.Facts {
	f := &domain.Facts{Farm: domain.NewFarm(), Growing: domain.NewGrowing()}
	f.Farm.LeadDays, f.Farm.HoldDays, f.Farm.MinShelfDays = 0, 0, 0
	late, ten := 0, 10
	f.Growing.CellsPerTray, f.Growing.SowingDays = 50, domain.WeekdaysOf(time.Tuesday, time.Friday)
	f.Growing.Figures.LateDays = &late
	f.Growing.Figures.GoodHeads = 100
	f.Varieties = []domain.Variety{{Code: "BUT", Name: "Butterhead", GoodInTen: &ten}, {Code: "ROM", Name: "Romaine", GoodInTen: &ten}}
	f.Products = []domain.Product{{Code: "BH12", Name: "12 butterhead", Slots: []domain.Slot{{Heads: 12, Accept: []string{"BUT"}}}}}
	f.Carriers = []domain.Carrier{{Code: "TRUCK", Name: "Truck", Pickups: domain.WeekdaysOf(time.Tuesday, time.Friday)}}
	f.Customers = []domain.Customer{{Code: "HALL", Name: "Hall", Importance: domain.Steady, Substitutes: "yes", Carrier: "TRUCK"}}
	return f
}

func standing(id, customer, product string, cases domain.Cases) domain.Standing {
	return domain.Standing{ID: id, Customer: customer, Product: product,
		Terms: []domain.Term{{From: domain.MustDay("2023-01-01"), Every: 1, Cases: cases}}}
}

// "+300 heads of butterhead for that Friday" comes back as "8 trays extra, by
// Saturday 2 March": of 50 cells 80 in 100 come through, so seven trays give 280
// and eight 320; and 41 days before Friday 12 April 2024 are Saturday 2 March.
func TestSurgeBecomesTraysAndADay(t *testing.T) {
	f := nurseryFarm()
	f.Growing.Figures.BedDays = 30
	f.Growing.SowingDays = domain.WeekdaysOf(time.Tuesday, time.Saturday)
	friday := domain.MustDay("2024-04-12")
	h := SowingHouse(f, domain.MustDay("2024-02-27"))
	surge := sowing.Surge{Variety: "BUT", Day: friday, Heads: 300}
	a := h.Extra(surge)
	if a.Trays != 8 || a.By != domain.MustDay("2024-03-02") || a.Sow != a.By || a.By.Weekday() != time.Saturday || a.Lacks != 0 {
		t.Errorf("%+v; want 8 trays by 2024-03-02", a)
	}
	// The Friday before is over: it cannot be sown for any more.
	surge.Day = domain.MustDay("2024-04-05")
	if a := h.Extra(surge); a.Trays != 0 || a.By != 0 || a.Lacks != 300 {
		t.Errorf("too late for 5 April: %+v", a)
	}
	// A fall asks for nothing.
	fall := sowing.Surge{Variety: "BUT", Day: friday, Heads: -58.8}
	if a := h.Extra(fall); a != (sowing.Answer{Surge: fall}) {
		t.Errorf("a fall: %+v", a)
	}
	// On the book, it stands beside the weekly table.
	f.Surges = []domain.Surge{{ID: "X1", From: friday, Variety: "BUT", Heads: 300}}
	table := SowingTable(f, domain.MustDay("2024-02-27"))
	if len(table.Rows) != 0 || len(table.Sowings) != 1 || table.Sowings[0].Trays != 8 || table.Sowings[0].Reason != sowing.ForSurge {
		t.Errorf("%+v", table)
	}
}

// Ten cases on Tuesdays and Fridays are 120 heads: three trays each, whatever
// the spare batch on the way covers being left out.
func TestSowingTableFromTheBook(t *testing.T) {
	f := nurseryFarm()
	f.Standing = []domain.Standing{standing("S1", "HALL", "BH12", 10)}
	asOf := domain.MustDay("2024-02-27")
	table := SowingTable(f, asOf)
	if len(table.Rows) != 2 || table.Rows[0].Trays != 3 || table.Rows[1].Trays != 3 || table.Rows[0].Reason != sowing.MoreListed {
		t.Errorf("%+v", table.Rows)
	}
	for _, s := range table.Sowings {
		if s.Trays != 3 || s.TooLate != s.Day || s.For != s.Day.Add(35) || s.Spare != 0 {
			t.Errorf("%+v", s)
		}
	}
	f.BatchEvents = []domain.BatchEvent{{ID: "E1", Batch: "B1", Step: domain.Sown, Day: asOf, Variety: "BUT", Trays: 3}}
	if again := SowingTable(f, asOf); again.Sowings[0].Day != asOf.Add(3) {
		t.Errorf("today's three trays are sown, and the table says %+v", again.Sowings[0])
	}
}

// One-offs of the past weeks are expected to go on, those already on the book
// counting towards them.
func TestUsualOneOffs(t *testing.T) {
	f := nurseryFarm()
	asOf := domain.MustDay("2024-02-27")
	for w := range UsualWeeks {
		cases := domain.Cases(4)
		if w%2 == 0 {
			cases = 6
		}
		f.Orders = append(f.Orders, domain.Order{ID: fmt.Sprintf("O%d", w), Customer: "HALL", Mode: domain.Add, Pickup: asOf.Add(-7*w - 4),
			Lines: []domain.OrderLine{{Product: "BH12", Cases: cases}}}) // Fridays
	}
	f.Orders = append(f.Orders, domain.Order{ID: "NEXT", Customer: "HALL", Mode: domain.Add, Pickup: asOf.Add(3), Lines: []domain.OrderLine{{Product: "BH12", Cases: 3}}})
	h := SowingHouse(f, asOf)
	byDay := map[domain.Day]sowing.Pickup{}
	for _, p := range h.Crops[0].Pickups {
		byDay[p.Day] = p
	}
	friday := byDay[asOf.Add(3)]
	if friday.Usual != 60-36 || friday.Listed[1] != 36 {
		t.Errorf("of 60 heads usual on Fridays 36 are on the book: %+v", friday)
	}
	if later := byDay[asOf.Add(10)]; later.Usual != 60 || later.Spread < 12 || later.Spread > 13 {
		t.Errorf("60 heads, 48 or 72 each time, spread about 12.8: %+v", later)
	}
	if tuesday := byDay[asOf]; tuesday.Usual != 0 || tuesday.Spread != 0 {
		t.Errorf("no one-offs on Tuesdays: %+v", tuesday)
	}
}

func TestSurgesOfEveryKind(t *testing.T) {
	f := nurseryFarm()
	f.Standing = []domain.Standing{standing("S1", "HALL", "BH12", 10)}
	asOf := domain.MustDay("2024-02-27")
	surged := func(s domain.Surge) (list []float64) {
		s.From, s.Until = asOf.Add(3), asOf.Add(7)
		f.Surges = []domain.Surge{s}
		for _, p := range SowingHouse(f, asOf).Crops[0].Pickups[:4] {
			list = append(list, p.Surge)
		}
		return list
	}
	for _, c := range []struct {
		surge domain.Surge
		want  []float64
	}{
		{domain.Surge{Variety: "BUT", Heads: 50}, []float64{0, 50, 50, 0}},
		{domain.Surge{Variety: "ROM", Heads: 50}, []float64{0, 0, 0, 0}},
		{domain.Surge{Product: "BH12", Cases: 5}, []float64{0, 60, 60, 0}},
		{domain.Surge{Percent: 25}, []float64{0, 30, 30, 0}},
		{domain.Surge{Product: "BH12", Percent: -50}, []float64{0, -60, -60, 0}},
	} {
		if got := surged(c.surge); !slices.Equal(got, c.want) {
			t.Errorf("%+v: %v, want %v", c.surge, got, c.want)
		}
	}
}

// Common practice, no source: a house of this kind turns some 7,000 heads a
// week with two people, three pickups a week and room for about 150 cases in the
// cooler. So cases of 18 heads stay within it, and cases of 14 do not.
func TestAHouseOfThisKindAndItsCooler(t *testing.T) {
	for _, c := range []struct {
		heads domain.Heads
		over  bool
	}{{18, false}, {14, true}} {
		f := nurseryFarm()
		f.Farm.LeadDays, f.Farm.HoldDays = 1, 4
		f.Carriers[0].Pickups = domain.WeekdaysOf(time.Tuesday, time.Thursday, time.Saturday)
		f.Products[0].Slots[0].Heads = c.heads
		f.Standing = []domain.Standing{standing("S1", "HALL", "BH12", domain.Cases(7000/3/int(c.heads)))}
		f.Counts = []domain.Count{{ID: "C1", Day: domain.MustDay("2024-02-26"), SpeaksTo: domain.MustDay("2024-03-03"), Whole: true,
			Beds: []domain.BedCount{{Bed: "B1", Variety: "BUT", RaftsNow: 2 * 200}}}}
		w := PlanWeek(f, domain.MustDay("2024-02-26"))
		over := slices.ContainsFunc(w.Plan.Warnings, func(x planning.Warning) bool { return x.Code == "cases_over" })
		if w.Plan.Totals.Short != 0 || over != c.over {
			t.Errorf("cases of %d: %d short, cooler over full %t, want %t", c.heads, w.Plan.Totals.Short, over, c.over)
		}
	}
}

// Common practice, no source: one plans two to six weeks ahead, and living heads
// keep about three weeks cold, so that the defaults promise no more.
func TestDefaultsWithinCommonPractice(t *testing.T) {
	farm := domain.NewFarm()
	if farm.TallyDays < 14 || farm.TallyDays > 42 || farm.ShelfDays > 21 {
		t.Errorf("looks %d days ahead, shelf life %d days", farm.TallyDays, farm.ShelfDays)
	}
}

// mixFarm has too little romaine ahead: one product is romaine and nothing
// else, the other takes butterhead or romaine.
func mixFarm() (*domain.Facts, domain.Day) {
	f := nurseryFarm()
	asOf := domain.MustDay("2024-02-27")
	f.Products = []domain.Product{
		{Code: "R", Name: "Romaine", Slots: []domain.Slot{{Heads: 12, Accept: []string{"ROM"}}}},
		{Code: "M", Name: "Mixed", Slots: []domain.Slot{{Heads: 12, Accept: []string{"ROM", "BUT"}}}}}
	f.Customers = []domain.Customer{
		{Code: "A", Name: "A", Importance: domain.Anchor, Substitutes: "yes", Carrier: "TRUCK"},
		{Code: "B", Name: "B", Importance: domain.Steady, Substitutes: "never", Carrier: "TRUCK"}}
	return f, asOf
}

// Romaine is short on a Friday six weeks on. It can be sown for itself; and since
// butterhead in the mixed cases would free romaine, that mends it too, though the
// reason names no butterhead where the farm's only shortage is of romaine.
func TestOutlookMendsAShortageBySowing(t *testing.T) {
	f, asOf := mixFarm()
	friday := asOf.Add(45) // 12 April
	sow := func(id, variety string, on domain.Day, trays int) {
		f.BatchEvents = append(f.BatchEvents, domain.BatchEvent{ID: id, Batch: id, Step: domain.Sown, Variety: variety, Day: on, Trays: trays})
	}
	sow("OLD", "ROM", asOf.Add(-60), 1) // so that sowings are on record since long
	sow("OLDB", "BUT", asOf.Add(-60), 1)
	f.BatchEvents = append(f.BatchEvents, domain.BatchEvent{ID: "F1", Batch: "OLD", Step: domain.Finished, Day: asOf.Add(-10)},
		domain.BatchEvent{ID: "F2", Batch: "OLDB", Step: domain.Finished, Day: asOf.Add(-10)})
	f.Orders = []domain.Order{
		{ID: "O1", Customer: "A", Mode: domain.Add, Pickup: friday, Lines: []domain.OrderLine{{Product: "M", Cases: 10}}},
		{ID: "O2", Customer: "B", Mode: domain.Add, Pickup: friday, Lines: []domain.OrderLine{{Product: "R", Cases: 5}}}}
	sow("NOW", "ROM", asOf.Add(-1), 3) // 120 heads, ready on 1 April, good for a week: over by the 12th
	o := LookAhead(f, asOf, 7)
	if len(o.Shorts) != 0 {
		t.Errorf("beyond what the sowings on record speak of nothing is short: %+v", o.Shorts)
	}
	for _, r := range o.Rows {
		if r.Pickup == friday && r.State != NotCounted {
			t.Errorf("%+v", r)
		}
	}

	asOf = asOf.Add(10) // 8 March: the 12th is 35 days on
	sow("NEXT", "ROM", asOf, 3)
	o = LookAhead(f, asOf, 6)
	if len(o.Shorts) != 1 {
		t.Fatalf("shorts %+v", o.Shorts)
	}
	s := o.Shorts[0]
	want := []Mend{{"BUT", 2, asOf, friday, 80}, {"ROM", 2, asOf, friday, 80}}
	if s.Pickup != friday || s.Cases != 5 || !slices.Equal(s.Lines, []string{"O2/R/TRUCK/2024-04-12"}) {
		t.Errorf("short %+v", s)
	}
	if got := byVariety(s.Mends); !slices.Equal(got, want) {
		t.Errorf("mends %+v, want %+v", got, want)
	}
	behind := o.Behind("ROM", friday)
	if len(behind.Lines) != 2 || behind.Lines[0].Filled != 10 || behind.Lines[1].Short != 5 || behind.Short == nil || behind.Short.Pickup != friday ||
		len(behind.Lots) != 1 || behind.Lots[0].Lot.Code != "NEXT" || behind.Lots[0].Source.Batch != "NEXT" || behind.Row.State != Short {
		t.Errorf("behind romaine on Friday: %+v", behind)
	}
	if butter := o.Behind("BUT", friday); len(butter.Lines) != 1 || butter.Lines[0].Product != "M" || len(butter.Lots) != 0 {
		t.Errorf("behind butterhead: %+v", butter)
	}
	for _, m := range s.Mends { // tried: sown, nothing is short; a tray fewer, something is
		for _, trays := range []int{m.Trays, m.Trays - 1} {
			g := *f
			g.BatchEvents = append(slices.Clone(f.BatchEvents), domain.BatchEvent{ID: "M", Batch: "M", Step: domain.Sown, Variety: m.Variety, Day: m.By, Trays: trays})
			if left := len(LookAhead(&g, asOf, 6).Shorts); (left == 0) != (trays == m.Trays) {
				t.Errorf("with %d trays of %s sown %d days are short", trays, m.Variety, left)
			}
		}
	}
	if late := LookAhead(f, asOf.Add(1), 6); len(late.Shorts) != 1 || len(late.Shorts[0].Mends) != 0 {
		t.Errorf("a day later no sowing mends it: %+v", late.Shorts)
	}
}

func byVariety(list []Mend) []Mend {
	list = slices.Clone(list)
	slices.SortFunc(list, func(a, b Mend) int { return len(a.Variety) - len(b.Variety) + int(a.Variety[0]) - int(b.Variety[0]) })
	return list
}

func TestOutlookTellsCoveredAtRiskAndSpare(t *testing.T) {
	f := nurseryFarm()
	nine := 9
	f.Varieties[0].GoodInTen = &nine
	asOf := domain.MustDay("2024-02-27")
	f.Standing = []domain.Standing{standing("S1", "HALL", "BH12", 10)}
	f.Counts = []domain.Count{{ID: "C1", Day: asOf, SpeaksTo: asOf.Add(8), Whole: true, Beds: []domain.BedCount{
		{Bed: "B1", Variety: "BUT", HeadsNow: 265}}}}
	o := LookAhead(f, asOf, 2)
	var got []string
	for _, r := range o.Rows {
		got = append(got, fmt.Sprintf("%s %d of %d/%d spare %d %s", r.Pickup, r.Listed, r.Expected, r.Cautious, r.Spare, r.State))
	}
	want := []string{
		"2024-02-27 120 of 145/130 spare 25 covered",
		"2024-03-01 120 of 145/118 spare 25 at_risk",
		"2024-03-05 120 of 0/0 spare 0 short",
		"2024-03-08 120 of 0/0 spare 0 not_counted"}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}

// Romaine was counted and butterhead was not: a case of both that lacks butterhead
// makes no romaine short.
func TestOutlookCallsNothingShortForWantOfWhatNobodyCounted(t *testing.T) {
	f := nurseryFarm()
	f.Products = []domain.Product{{Code: "D", Name: "Duo", Slots: []domain.Slot{{Heads: 6, Accept: []string{"ROM"}}, {Heads: 6, Accept: []string{"BUT"}}}},
		{Code: "R", Name: "Romaine", Slots: []domain.Slot{{Heads: 12, Accept: []string{"ROM"}}}}}
	asOf := domain.MustDay("2024-02-27")
	f.Counts = []domain.Count{{ID: "C1", Day: asOf, SpeaksTo: asOf.Add(3), Beds: []domain.BedCount{{Bed: "B1", Variety: "ROM", HeadsNow: 60}}}}
	f.Standing = []domain.Standing{standing("S1", "HALL", "D", 2)}
	row := func() string {
		r := LookAhead(f, asOf, 1).Behind("ROM", asOf).Row
		return fmt.Sprintf("%d %d %s", r.Listed, r.Short, r.State)
	}
	if got := row(); got != "12 0 not_counted" {
		t.Errorf("two cases of both: %s", got)
	}
	f.Standing = append(f.Standing, standing("S2", "HALL", "R", 7))
	if got := row(); got != "96 24 short" {
		t.Errorf("and seven of romaine alone, of which five can be filled: %s", got)
	}
}

func TestHouseByBeds(t *testing.T) {
	f := nurseryFarm()
	asOf := domain.MustDay("2024-02-27")
	f.Growing.CellsPerTray = 162
	f.Beds = []domain.Bed{{Code: "B2", Name: "South", Walk: 1, Rafts: 10}, {Code: "B1", Name: "North", Walk: 2, Rafts: 12}}
	tell := func(e domain.BatchEvent) {
		e.ID = fmt.Sprintf("E%d", len(f.BatchEvents)+1)
		f.BatchEvents = append(f.BatchEvents, e)
	}
	grow := func(batch string, sown domain.Day, bed string, rafts domain.HalfRafts) {
		tell(domain.BatchEvent{Batch: batch, Step: domain.Sown, Day: sown, Variety: "BUT", Trays: 2})
		tell(domain.BatchEvent{Batch: batch, Step: domain.SetOut, Day: sown.Add(11), Bed: bed, Rafts: rafts})
	}
	grow("N2", asOf.Add(-30), "B1", 8)
	grow("N1", asOf.Add(-33), "B1", 12)
	grow("N3", asOf.Add(-34), "B2", 20)                                                                                                                    // ready tomorrow
	tell(domain.BatchEvent{Batch: "T1", Step: domain.Sown, Day: asOf.Add(-5), Variety: "BUT", Trays: 1})                                                   // to be set on 4 March
	f.Orders = []domain.Order{{ID: "O", Customer: "HALL", Mode: domain.Add, Pickup: asOf.Add(3), Lines: []domain.OrderLine{{Product: "BH12", Cases: 30}}}} // all ten rafts
	w := PlanWeek(f, asOf)
	h := HouseOf(f, w)
	var got []string
	for _, b := range h.Beds {
		for _, r := range b.Rows {
			got = append(got, fmt.Sprintf("%s: %s behind %d, %s rafts", b.Bed.Name, r.Lot.Code, r.Behind, r.Lot.Rafts))
		}
		got = append(got, b.Bed.Name+" free "+b.Free.String())
	}
	want := []string{"South: N3/B2 behind 0, 10 rafts", "South free 0", "North: N1/B1 behind 0, 6 rafts", "North: N2/B1 behind 1, 4 rafts", "North free 2"}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	if h.Sites != 44 || h.Free != 4 || len(h.Nursery) != 1 || h.Nursery[0].Batch.Code != "T1" {
		t.Errorf("sites %s, free %s, nursery %v", h.Sites, h.Free, h.Nursery)
	}
	// Ten rafts leave on Friday, and nothing is fit to set before Monday the 4th.
	if len(h.Open) == 0 || h.Open[0].Harvest != asOf.Add(3) || h.Open[0].Sites < 18 || len(h.Open[0].Near) != 1 ||
		h.Open[0].Near[0].Batch != "T1" || h.Open[0].Near[0].Rafts != domain.HalfRafts(8) {
		t.Errorf("open sites %+v", h.Open)
	}
	if growth.LotCode("N1", "B1") != "N1/B1" {
		t.Error("lots of batches are named by batch and bed")
	}
}
