package planner

import (
	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/sowing"
	"headtally/planner/stock"
)

// onTheWay gives each crop what stands, lies in the cooler, or was sown.
func (b *sowingBench) onTheWay(h *sowing.House) {
	grown := b.figures.Stock(b.calendar)
	held := stock.Now(stock.Held{Lots: grown.Lots, Packed: grown.Packed, Since: grown.Since, CoolerSince: grown.CoolerSince}, b.facts, b.asOf)
	for _, l := range held.Lots {
		i, known := b.crops[l.Variety]
		if !known || l.Heads == 0 {
			continue
		}
		batch := sowing.Batch{Code: l.Code, Ready: l.Ready, Last: l.Last, Expected: l.Heads, Cautious: l.Cautious()}
		if late := grown.From[l.Code].Late; late > l.Ready {
			batch.Ready, batch.Last = late, max(l.Last, late)
		}
		if l.Place == planning.Chilled {
			batch.Pulled = l.Pulled
		}
		h.Crops[i].OnTheWay = append(h.Crops[i].OnTheWay, batch)
	}
}

// places says what stands in the nursery and the beds, and until when.
func (b *sowingBench) places(h *sowing.House) {
	for _, bed := range b.facts.Beds {
		h.Rafts += domain.HalfRafts(2 * bed.Rafts)
	}
	for _, p := range b.figures.Project() {
		e := p.Chosen
		if set, lifted := p.Batch.Rafts(); set > 0 {
			h.Beds = append(h.Beds, sowing.Stay{First: b.asOf, Last: max(e.Last, b.asOf), Count: int(max(0, set-lifted))})
			continue
		}
		h.Nursery = append(h.Nursery, sowing.Stay{First: b.asOf, Last: e.Set.Add(-1), Count: p.Batch.Trays})
		h.Beds = append(h.Beds, sowing.Stay{First: e.Set, Last: max(e.Last, e.Set), Count: int(b.figures.RaftsFor(p.Batch))})
	}
}
