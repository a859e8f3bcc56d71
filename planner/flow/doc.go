// Package flow moves whole units through a network with capacities: from nodes
// that hold a supply, along arcs, to nodes that ask for units one after
// another. It answers how many can be brought (a maximum flow), which nodes
// stand behind the bottleneck when not all can be (a minimum cut), and how to
// bring given amounts at the least cost. Asking is incremental: what was
// brought stays brought, though its way may change, and any number of steps
// can be taken back.
//
// Conditions the engine keeps after every call:
//
//   - no arc carries less than 0 or more than its capacity;
//   - at every node, what comes in and what was taken from its supply equals
//     what goes out and what was brought to it;
//   - after Cheapest, no way of sending the same amounts costs less: no cycle of
//     arcs that could still be used has a negative cost.
//
// Amounts, capacities and costs are whole numbers; their sums must fit in an
// int. A Network is not safe for use by several goroutines at once; Clone makes
// one that shares nothing.
//
// Methods: augmenting paths, L. R. Ford and D. R. Fulkerson, Maximal flow
// through a network, 1956, taken shortest first as by J. Edmonds and R. M. Karp,
// Theoretical improvements in algorithmic efficiency for network flow problems,
// 1972; successive shortest paths by R. G. Busacker and P. J. Gowen, A procedure
// for determining a family of minimal-cost network flow patterns, 1960, over
// node potentials (Edmonds and Karp, 1972), all ways of one length before the
// next: the primal-dual method of L. R. Ford and D. R. Fulkerson, Flows in
// Networks, 1962.
package flow
