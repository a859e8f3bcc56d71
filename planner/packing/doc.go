// Package packing turns granted cases into the work of the day: what goes into
// each case, in how few recipes, which rafts to lift on which morning, and what
// then stands in the cooler.
//
// It is handed the heads that allocation assigned to each line class. Say 15
// boxes of a mixed case are granted for Thursday, and red oakleaf reaches for
// nine of them only. Packing answers: nine boxes with red oakleaf, then six with
// green in its place, the nine for the customers of best rank; lift two rafts of
// bed 4 on Wednesday and stop at 31 heads.
//
// The steps, a file each:
//
//	recipes.go  a class's heads -> few recipes (fewest.go searches, balanced.go proves the bound)
//	limit.go    at most max_recipes recipes a product and pickup day, heads assigned anew
//	runs.go     recipes -> runs, shared between classes; each line's own heads
//	pulls.go    heads -> whole rafts, the rest of a raft used first (lift.go)
//	spread.go   a morning with too many rafts -> part of it on an earlier one
//	cooler.go   cases standing and trays, day by day
//	work.go     rafts and hours, day by day
//	leftover.go what nobody was given
//	warnings.go what the grower should know, a sentence each
//
// Nothing hangs on the order of the problem's lists: where a tie must be
// broken, rank or the code decides.
package packing
