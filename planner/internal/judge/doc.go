// Package judge holds the planner against things outside it: an oracle of the
// grants, a checker of whole plans, random problems, and linear programs for
// solvers written by other people. It is written from the text of the planning
// model alone and shares nothing with the planner but the documents' types, so
// that a misreading made once is not made twice. Slow and plain is right here.
//
//	Rule      the grants, reasons, offers and optimum values of a problem, one case at a time
//	Check     every fault of a whole plan, a sentence each
//	Seeded    a random problem by number, the same for ever
//	Programs  the same questions as linear programs, for GLPK, CBC and gonum
package judge
