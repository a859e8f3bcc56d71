package planner

import (
	"fmt"
	"testing"
	"time"

	"headtally/domain"
	"headtally/planner/sowing"
)

// nurseryFarm grows butterhead in trays of 50 cells, sows on Tuesdays and
// Fridays, and sends a truck on Tuesday and Friday; what it was told is exact.
func nurseryFarm() *domain.Facts {
	f := &domain.Facts{Farm: domain.NewFarm(), Growing: domain.NewGrowing()}
	f.Farm.LeadDays, f.Farm.HoldDays = 0, 0
	late := 0
	f.Growing.CellsPerTray, f.Growing.SowingDays = 50, domain.WeekdaysOf(time.Tuesday, time.Friday)
	f.Growing.Figures.LateDays = &late
	f.Growing.Figures.GoodHeads = 100
	ten := 10
	f.Varieties = []domain.Variety{{Code: "BUT", Name: "Butterhead", GoodInTen: &ten}}
	f.Products = []domain.Product{{Code: "BH12", Name: "12 butterhead", Slots: []domain.Slot{{Heads: 12, Accept: []string{"BUT"}}}}}
	f.Carriers = []domain.Carrier{{Code: "TRUCK", Name: "Truck", Pickups: domain.WeekdaysOf(time.Tuesday, time.Friday)}}
	f.Customers = []domain.Customer{{Code: "HALL", Name: "Hall", Importance: domain.Steady, Substitutes: "yes", Carrier: "TRUCK"}}
	return f
}

func standing(id, customer, product string, cases domain.Cases) domain.Standing {
	return domain.Standing{ID: id, Customer: customer, Product: product,
		Terms: []domain.Term{{From: domain.MustDay("2023-01-01"), Every: 1, Cases: cases}}}
}

// "+300 heads of butterhead for that Friday" comes back as eight trays more by
// Saturday 2 March: 80 in 100 of 50 cells come through, so seven trays give 280
// and eight 320; 35 days and the ready days of the batch before Friday 12 April.
func TestSurgeBecomesTraysAndADay(t *testing.T) {
	f := nurseryFarm()
	seven := 7
	f.Varieties[0].ReadyDays = &seven
	asOf, friday := domain.MustDay("2024-02-27"), domain.MustDay("2024-04-05")
	h := SowingHouse(f, asOf)
	a := h.Extra(sowing.Surge{Variety: "BUT", Day: friday, Heads: 300})
	if a.Trays != 8 || a.Sow != domain.MustDay("2024-03-01") || a.By != friday.Add(-35) {
		t.Errorf("%d trays on %s, too late after %s; want 8 on 2024-03-01, too late after %s", a.Trays, a.Sow, a.By, friday.Add(-35))
	}
	a = h.Extra(sowing.Surge{Variety: "BUT", Day: domain.MustDay("2024-04-06").Add(3), Heads: 300})
	fmt.Println(a)
	a = h.Extra(sowing.Surge{Variety: "BUT", Day: domain.MustDay("2024-03-29"), Heads: 300})
	if a.Trays != 0 || a.By != 0 || a.Lacks != 300 {
		t.Errorf("too late for this Friday: %+v", a)
	}
	f.Surges = []domain.Surge{{ID: "X", From: friday, Variety: "BUT", Heads: 300}}
	table := SowingTable(f, asOf)
	fmt.Printf("%+v\n", table)
	f.Standing = []domain.Standing{standing("S", "HALL", "BH12", 10)}
	table = SowingTable(f, asOf)
	fmt.Printf("%+v\n", table)
}
