// Package planner turns a problem into a plan. It is pure: no clock, no
// database, no chance; the same problem gives the same plan, byte for byte.
//
// The line of stages, each a package that knows none of the others:
//
//	facts ──► orders ──► the order lines of each pickup day
//	      └─► growth ──► lots with their dates, expected and cautious heads
//	                            │
//	                         problem (domain/planning)
//	                            │
//	           allocation ──► who gets what, why not, which heads     (on flow)
//	                            │ Served
//	              packing ──► recipes, runs, pulls, cooler, crew, warnings
//	                            │
//	                          plan (domain/planning)
//
//	sowing ──► what to sow today for the weeks ahead
//
// Plan goes from problem to plan; PlanWeek from the facts. Standing keeps a
// planned problem to ask promises of, Compare says what is different between
// two plans, and Without who is hit when lots are thrown away.
package planner
