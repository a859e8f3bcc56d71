package planner_test

import (
	"fmt"
	"strings"

	"headtally/domain/planning"
	"headtally/planner"
)

// How the plan decides, by hand. Two varieties; 20 heads of A and 30 of B stand
// ready. The Inn asked first, for one case of 12 A. The Grill asked for six mixed
// cases of 4 heads: two that may be A or else B, and two B, with at most two of
// one variety in a case.
//
// The Inn takes 12 A; 8 are left. In a mixed case the second part takes two B,
// so the cap keeps B out of the first, which must be all A: 8 / 2 = 4 cases. Two
// are short, for want of A: of the fifth case's four heads two, both B, could
// have been there, so two heads are missing, and four for both cases.
func ExamplePlan() {
	p, faults := planning.Read(strings.NewReader(`{
		"as_of": "2027-03-01", "lead_days": 1, "share_rule": "first_come", "pickup_days": ["2027-03-03"],
		"cooler": {"case_spaces": 50, "tray_spaces": 50},
		"varieties": [{"code": "A", "name": "A", "shelf_days": 10, "heads_per_tray": 12},
		              {"code": "B", "name": "B", "shelf_days": 10, "heads_per_tray": 12}],
		"products": [{"code": "SA", "name": "Single A", "slots": [{"heads": 12, "accept": ["A"]}]},
		             {"code": "MIX", "name": "Mixed", "max_heads_per_variety": 2,
		              "slots": [{"heads": 2, "accept": ["A", "B"]}, {"heads": 2, "accept": ["B"]}]}],
		"lots": [{"code": "LA", "variety": "A", "place": "bed", "heads": 20, "ready": "2027-03-01", "last": "2027-03-06"},
		         {"code": "LB", "variety": "B", "place": "bed", "heads": 30, "ready": "2027-03-01", "last": "2027-03-06"}],
		"lines": [{"id": "1", "customer": "Inn", "product": "SA", "pickup": "2027-03-03", "cases": 1, "received": "2027-02-01T08:00:00Z"},
		          {"id": "2", "customer": "Grill", "product": "MIX", "pickup": "2027-03-03", "cases": 6, "received": "2027-02-02T08:00:00Z"}]}`))
	if len(faults) > 0 {
		fmt.Println(faults)
		return
	}
	for _, l := range planner.Plan(p).Lines {
		fmt.Printf("line %s: %d of %d cases", l.ID, l.Filled, l.Cases)
		if r := l.Reason; r != nil {
			fmt.Printf("; %s: %d heads of %v missing, %d for all", r.Code, r.HeadsMissing, r.Varieties, r.HeadsMissingAll)
		}
		fmt.Println()
	}
	// Output:
	// line 1: 1 of 1 cases
	// line 2: 4 of 6 cases; not_enough_ready: 2 heads of [A] missing, 4 for all
}
