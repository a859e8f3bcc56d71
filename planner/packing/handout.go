package packing

import (
	"cmp"
	"slices"

	"headtally/domain/planning"
)

// lineHeads is a line's heads by slot and lot.
type lineHeads map[slotLot]int

type slotLot struct{ slot, lot int }

// handOut gives the lines of a run its lots in rank, older heads first, and
// puts them in the slots of each line's own layout of the recipe.
func (w *bench) handOut(r *run, heads []lineHeads) {
	left := slices.Clone(r.lots)
	for _, s := range r.shares {
		if heads[s.line] == nil {
			heads[s.line] = lineHeads{}
		}
		layout := s.order.rules.lay(r.recipe).slots
		for slot, row := range layout {
			for k, perCase := range row {
				w.take(left, s.order.rules.varieties[k], perCase*s.cases, func(lot, n int) {
					heads[s.line][slotLot{slot, lot}] += n
				})
			}
		}
	}
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

func (w *bench) printHeads(heads lineHeads) []planning.SlotLot {
	rows := make([]planning.SlotLot, 0, len(heads))
	for at, n := range heads {
		lot := &w.Lots[at.lot]
		rows = append(rows, planning.SlotLot{Lot: lot.Code, Variety: lot.Variety, Slot: at.slot, Heads: n})
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
