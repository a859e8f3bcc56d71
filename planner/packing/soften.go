package packing

import "slices"

// soften looks, batch by batch, for less substitution within the limit: by
// itself, or where the limit costs it something, together with another.
func (l *limit) soften() {
	for better := true; better; {
		better = false
		for _, b := range l.batches {
			cost := b.packed.substitution()
			if cost == 0 || len(b.packed) > l.MaxRecipes || !l.touched(b) {
				continue
			}
			better = l.repack(b, l.MaxRecipes, cost, testsAmong) || better
			if b.packed.substitution() > l.free[b] {
				better = l.softenWithOthers(b) || better
			}
		}
	}
}

func (l *limit) softenWithOthers(b *batch) (better bool) {
	if l.effort <= 0 {
		return false
	}
	lacked, _ := l.neighbours(b, b.packed.substitution())
	for _, other := range lacked {
		cost := b.packed.substitution()
		if cost > l.free[b] && l.effort > 0 {
			better = l.withOther(b, other, testsSoften, cost, cost+other.packed.substitution()) || better
		}
	}
	return better
}

// touched says whether a batch was packed anew or shares heads with one that was.
func (l *limit) touched(b *batch) bool {
	if l.changed[b] {
		return true
	}
	for _, other := range l.batches {
		if l.changed[other] && l.holds(other, b, slices.Repeat([]bool{true}, len(b.orders[0].heads))) > 0 {
			return true
		}
	}
	return false
}
