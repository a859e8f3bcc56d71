package packing

import (
	"cmp"
	"slices"

	"headtally/domain/planning"
)

// part is heads of one lot in one slot of a line's cases.
type part struct{ slot, lot, heads int }

// handOut gives the lines of a run its lots in rank, older heads first, and
// puts them in the slots of each line's own layout of the recipe.
func (w *bench) handOut(r *run) {
	left := slices.Clone(r.lots)
	for _, s := range r.shares {
		for slot, row := range s.order.rules.lay(r.recipe).slots {
			for k, perCase := range row {
				w.take(left, s.order.rules.varieties[k], perCase*s.cases, func(lot, n int) {
					w.heads[s.line] = addPart(w.heads[s.line], slot, lot, n)
				})
			}
		}
	}
}

func addPart(parts []part, slot, lot, heads int) []part {
	for i := range parts {
		if parts[i].slot == slot && parts[i].lot == lot {
			parts[i].heads += heads
			return parts
		}
	}
	return append(parts, part{slot, lot, heads})
}

// take takes heads of a variety out of what is left of lots, in their order.
func (w *bench) take(left []planning.LotShare, variety, need int, taken func(lot, heads int)) {
	for i := range left {
		n := min(need, left[i].Heads)
		if n == 0 || w.Of[left[i].Lot] != variety {
			continue
		}
		left[i].Heads -= n
		need -= n
		taken(left[i].Lot, n)
	}
}

func (w *bench) printHeads(parts []part) []planning.SlotLot {
	rows := make([]planning.SlotLot, 0, len(parts))
	for _, p := range parts {
		lot := &w.Lots[p.lot]
		rows = append(rows, planning.SlotLot{Lot: lot.Code, Variety: lot.Variety, Slot: p.slot, Heads: p.heads})
	}
	slices.SortFunc(rows, func(x, y planning.SlotLot) int {
		return cmp.Or(cmp.Compare(x.Slot, y.Slot), cmp.Compare(x.Lot, y.Lot))
	})
	return rows
}

func (w *bench) printRun(r *run) planning.Run {
	first := r.shares[0].order
	out := planning.Run{Pickup: first.Pickup, Product: w.Products[first.Product].Code, Cases: r.cases,
		Pack: first.pack, StandIns: w.standIns(r), DropFirst: w.dropFirst(r)}
	out.Contents = make([]planning.VarietyHeads, 0, len(out.StandIns))
	out.Lots = make([]planning.LotHeads, 0, len(r.lots))
	out.Lines = make([]planning.LineCases, 0, len(r.shares))
	for k, n := range r.recipe {
		if n > 0 {
			out.Contents = append(out.Contents, planning.VarietyHeads{
				Variety: w.Varieties[first.rules.varieties[k]].Code, Heads: n})
		}
	}
	for _, l := range r.lots {
		out.Lots = append(out.Lots, planning.LotHeads{Lot: w.Lots[l.Lot].Code, Heads: l.Heads})
	}
	for _, s := range r.shares {
		out.Lines = append(out.Lines, planning.LineCases{ID: w.Lines[s.line].ID, Cases: s.cases})
	}
	return out
}
