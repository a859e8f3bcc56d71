package growth

import (
	"cmp"
	"slices"
	"strconv"

	"headtally/domain"
)

// FromLift is what a lift tells of batches: for each of its rows the batches
// whose heads they were. A row of a batch's own lot is that batch's; one of a
// lot that was counted is of the batches of its variety in its bed, those set
// first before others. Rows of which no batch is on record say nothing.
func FromLift(f *domain.Facts, l domain.Lift) (events []domain.BatchEvent) {
	x := Read(f, l.Day)
	open := x.Project()
	var all []piece
	for i := range open {
		if len(open[i].Batch.Sets) > 0 {
			all = append(all, x.pieces(&open[i])...)
		}
	}
	slices.SortStableFunc(all, func(a, b piece) int {
		return cmp.Or(cmp.Compare(a.set, b.set), cmp.Compare(a.Batch.Code, b.Batch.Code))
	})
	for _, r := range l.Rows {
		for _, e := range x.liftedFrom(all, r) {
			e.ID = l.ID + "." + strconv.Itoa(len(events)+1)
			e.Day, e.At, e.Lift, e.Step = l.Day, l.At, l.ID, domain.Lifted
			events = append(events, e)
		}
	}
	return events
}

// liftedFrom parts one row among the pieces it can be of; what is more than all
// their rafts is of the last.
func (x *Figures) liftedFrom(all []piece, r domain.LiftRow) (events []domain.BatchEvent) {
	var of []*piece
	for i := range all {
		p := &all[i]
		if LotCode(p.Batch.Code, p.bed) == r.Lot {
			of = []*piece{p}
			break
		}
		if p.bed == x.bed(r.Bed) && p.Batch.Variety == r.Variety && p.rafts > 0 {
			of = append(of, p)
		}
	}
	rafts, heads, culls := r.Rafts, r.Heads, r.Culls
	for i, p := range of {
		n := min(rafts, p.rafts)
		last := i == len(of)-1 || n == rafts
		if last {
			n = rafts
		}
		e := domain.BatchEvent{Batch: p.Batch.Code, Bed: p.bed, Rafts: n, Heads: heads, Culls: culls}
		if !last {
			e.Heads, e.Culls = heads*domain.Heads(n)/domain.Heads(rafts), culls*domain.Heads(n)/domain.Heads(rafts)
		}
		p.rafts -= min(n, p.rafts)
		rafts, heads, culls = rafts-n, heads-e.Heads, culls-e.Culls
		if e.Heads+e.Culls > 0 {
			events = append(events, e)
		}
		if last {
			break
		}
	}
	return events
}
