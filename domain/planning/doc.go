// Package planning holds the two documents the planner stands between: the
// problem (what stands in the beds and the cooler, what is ordered, what was
// promised) and the plan (who gets what, which heads, what to lift and pack).
//
// Its words:
//
//	lot      heads of one variety that can be told apart: in a bed, or pulled and held in the cooler
//	product  what a customer orders by the case: a list of slots
//	slot     so many heads of a case, and the varieties accepted for them, best first
//	line     one product on one customer's order for one pickup day, so many cases
//	pull     taking heads out of a bed; harvest
//	run      a number of cases packed one after another to one recipe
//	recipe   the heads of each variety in a case
//
// The package also says when heads can serve a line (serve.go), for every
// stage of the planner asks that.
package planning
