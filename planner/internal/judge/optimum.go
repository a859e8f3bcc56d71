package judge

import "maps"

// optimum is the least substitution at which the granted cases can be filled,
// and the most heads of expiring lots among the assignments that reach it.
// A head's place weighs more than all expiring heads together.
func optimum(f *farm, heads []int, cases map[kind]int) (substitution, expiring int) {
	weight := 1
	for _, h := range heads {
		weight += h
	}
	w := worth{place: func(place int) int { return place * weight },
		lot: func(lot int) int {
			if f.expires(lot) {
				return -1
			}
			return 0
		}}
	var kinds []kind
	for k := range maps.Keys(cases) {
		kinds = append(kinds, k)
	}
	n := newNetwork(f, heads, kinds, w)
	for k, c := range cases {
		n = n.with(k, c)
	}
	amount, cost := n.cheapest(n.source, n.sink)
	if amount != n.asked {
		panic("judge: the granted cases cannot be filled")
	}
	// cost = substitution*weight - expiring, with 0 <= expiring < weight.
	substitution = (cost + weight - 1) / weight
	return substitution, substitution*weight - cost
}
