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
//	recipes.go   a class's heads -> few recipes: fewest.go searches, balanced.go
//	             keeps the bound, makeup.go and filling.go say what a case may hold
//	limit.go     at most max_recipes recipes a product and pickup day, a batch at a
//	             time: hunt.go and pairs.go look for packings of one, stock.go knows
//	             what heads are left for it; neighbours.go and together.go pack two
//	             or more anew, merge.go what cannot be kept to the limit, soften.go
//	             takes substitution back; settle.go assigns the heads anew
//	runs.go      recipes -> runs, shared between classes (exchange.go: best rank
//	             first); handout.go: each line's own heads; standins.go
//	pulls.go     heads -> whole rafts, the rest of a raft used first (lift.go)
//	spread.go    a morning with too many rafts -> part of it on an earlier one
//	             (bringforward.go), where the cooler has trays for it (trayroom.go)
//	cooler.go    cases standing and trays, day by day
//	work.go      rafts and hours, day by day
//	leftover.go  what nobody was given
//	warnings.go  what the grower should know, a sentence each
//
// Nothing hangs on the order of the problem's lists: where a tie must be
// broken, rank or the code decides.
package packing
