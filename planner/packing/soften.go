package packing

import (
	"cmp"
	"slices"
)

// soften looks, batch by batch, for less substitution within the limit: by
// itself, or where the limit costs it something, together with another. Those
// that it costs most come first.
func (l *limit) soften() {
	for better := true; better; {
		better = false
		costliest := slices.Clone(l.batches)
		slices.SortStableFunc(costliest, func(x, y *batch) int { return cmp.Compare(l.costs(y), l.costs(x)) })
		for _, b := range costliest {
			cost := b.packed.substitution()
			if cost == 0 || len(b.packed) > l.MaxRecipes || !l.touched(b) {
				continue
			}
			better = l.repack(b, l.MaxRecipes, cost, testsAmong) || better
			if l.costs(b) > 0 {
				better = l.softenWithOthers(b) || better
			}
		}
	}
}

// costs is the substitution that the limit costs a batch; below 0, what it gains
// by what others have let go.
func (l *limit) costs(b *batch) int { return b.packed.substitution() - l.free[b] }

// softenWithOthers spends a part of all effort on a batch, so that one for which
// there is nothing does not use up what the others need.
func (l *limit) softenWithOthers(b *batch) (better bool) {
	if l.effort <= 0 {
		return false
	}
	until := max(0, l.effort-l.allowed()/partOfEffort)
	lacked, _ := l.neighbours(b, b.packed.substitution())
	for _, other := range lacked {
		cost := b.packed.substitution()
		if l.costs(b) > 0 && l.effort > until {
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
