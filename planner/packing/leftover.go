package packing

import "headtally/domain/planning"

// printLeftover writes what nobody was given; heads of a lifted rest belong to
// their lot.
func (w *bench) printLeftover() {
	for i, n := range w.lotsLeft() {
		if n > 0 {
			w.plan.Leftover = append(w.plan.Leftover,
				planning.Leftover{Lot: w.Lots[i].Code, Heads: n, Expires: w.Expires(i)})
		}
	}
	for i, n := range w.packedLeft() {
		if n > 0 {
			w.plan.Leftover = append(w.plan.Leftover,
				planning.Leftover{Packed: w.Packed[i].Code, Cases: n, Expires: w.PackedExpires(i)})
		}
	}
}

// lotsLeft is the heads of lots that no line was given.
func (w *bench) lotsLeft() []int {
	left := make([]int, len(w.Lots))
	for i := range w.Lots {
		left[i] = w.Lots[i].Heads
	}
	for _, parts := range w.heads {
		for _, p := range parts {
			left[p.lot] -= p.heads
		}
	}
	return left
}

// packedLeft is the packed cases that no line was given.
func (w *bench) packedLeft() []int {
	left := make([]int, len(w.Packed))
	for i := range w.Packed {
		left[i] = w.Packed[i].Cases
	}
	for i := range w.plan.Lines {
		for _, p := range w.plan.Lines[i].Packed {
			left[w.PackedIx[p.Code]] -= p.Cases
		}
	}
	return left
}
