package packing

import (
	"sync"

	"headtally/domain/planning"
)

// Pack completes a plan from the heads that allocation served: runs, each
// line's own heads, pulls, cooler, work, leftovers and warnings. The plan comes
// with its lines' cases and its totals; no grant is changed.
//
// With a limit on recipes the heads are assigned anew within the grants: Pack
// then changes s, plan.Tally's assigned heads and the totals of substitution
// and expiring heads, and keeps the values without the limit beside them.
func Pack(b *planning.Book, s *planning.Served, plan *planning.Plan) {
	clearPacking(plan)
	w := newBench(b, s, plan)
	for _, o := range w.orders {
		o.portions = o.rules.fewest(o.heads, o.cases)
	}
	if b.MaxRecipes > 0 {
		w.noteWithoutLimit()
		w.keepLimit()
	}
	runs := w.makeRuns()
	// What is written of the runs, and what is lifted for them, are read from the
	// same heads and written to different parts of the plan.
	var written sync.WaitGroup
	written.Go(func() { w.printRuns(runs) })
	h := w.readNeeds()
	h.spread()
	h.printPulls()
	written.Wait()
	h.printCooler()
	w.printWork()
	w.printLeftover()
	w.printWarnings()
}

// clearPacking makes the lists that Pack fills, so that none is ever nil.
func clearPacking(plan *planning.Plan) {
	plan.Runs = []planning.Run{}
	plan.Pulls = []planning.Pull{}
	plan.Cooler = []planning.CoolerDay{}
	plan.Work = []planning.WorkDay{}
	plan.Leftover = []planning.Leftover{}
	plan.Warnings = []planning.Warning{}
}
