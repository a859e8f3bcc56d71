// Package allocation decides who gets how many cases, which heads fill them,
// and why a line is short. It is given a problem with its codes resolved and
// answers with grants, reasons and the least costly assignment of heads.
//
// The model stays exact because it is a network: heads flow from lots through
// pools (the lots of one variety that can serve the same lines) into wants
// (what a slot of a class of lines asks for):
//
//	lot -> pool -> want                       varieties without a binding cap
//	lot -> pool -> (class, variety) -> want   at most cases x cap through the middle
//
// Networks of this kind have whole-number solutions, and heads assigned to N
// cases of a class can always be dealt out into N cases that each keep slots and
// cap (D. de Werra, Balanced schedules, 1971). What is no such network, such as
// hours of harvest shared by several varieties, is levelled afterwards, by
// packing.
//
// Two ledgers are kept, one for the heads expected and one for the cautious
// count. Each goes through the passes in their order (passes.go); whatever a
// pass grants is final. When a further case is not feasible, a minimum cut
// proves it, and the reason is read off that cut (reasons.go). With the grants
// fixed, the heads are assigned anew at least cost (assign.go), and older heads
// are exchanged forward (oldest.go).
package allocation
