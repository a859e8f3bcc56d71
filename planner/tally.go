package planner

import (
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// tally counts heads by pickup day and variety: listed and short by the first
// variety of each slot, assigned as served out of lots.
func tally(b *planning.Book, lines []planning.LinePlan, served *planning.Served) []planning.TallyRow {
	rows := make([]planning.TallyRow, len(b.PickupDays)*len(b.Varieties))
	row := func(t domain.Day, variety int) *planning.TallyRow {
		day, _ := slices.BinarySearch(b.PickupDays, t)
		return &rows[day*len(b.Varieties)+variety]
	}
	for i := range b.Lines {
		line, short := &b.Lines[i], lines[i].Short
		product := b.ProductIx[line.Product]
		for s, slot := range b.Products[product].Slots {
			r := row(line.Pickup, b.Accept[product][s][0])
			r.Listed += slot.Heads * line.Asked()
			r.Short += slot.Heads * short
		}
	}
	for i := range served.Classes {
		c := &served.Classes[i]
		for _, s := range c.Slots {
			row(c.Pickup, s.Variety).Assigned += s.Heads
		}
	}
	told := rows[:0]
	for i, r := range rows {
		if r.Listed > 0 || r.Assigned > 0 || r.Short > 0 {
			r.Pickup, r.Variety = b.PickupDays[i/len(b.Varieties)], b.Varieties[i%len(b.Varieties)].Code
			told = append(told, r)
		}
	}
	return slices.Clip(told)
}
