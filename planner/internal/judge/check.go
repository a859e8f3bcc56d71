package judge

import (
	"fmt"

	"headtally/domain/planning"
)

// Check holds a whole plan against the contract and says every fault, a
// sentence each. What needs the passes to be done again (is this the right
// number of cases, the right reason?) is Rule's part.
func Check(p *planning.Problem, plan *planning.Plan) []string {
	c := &checker{farm: newFarm(p), plan: plan}
	c.lines()
	c.packedCases()
	c.lineHeads()
	if len(c.faults) > 0 {
		return c.faults // the rest speaks of known codes and right counts
	}
	c.lotsAndSpaces()
	c.tally()
	c.totals()
	c.optimum()
	c.oldestOut()
	c.runs()
	c.pulls()
	c.cooler()
	c.work()
	c.leftover()
	c.warnings()
	return c.faults
}

type checker struct {
	*farm
	plan   *planning.Plan
	faults []string
	stays  []stay // loose heads of bed lots in the cooler
}

// say notes a fault; after the first fifty there is no news.
func (c *checker) say(format string, args ...any) {
	if len(c.faults) < 50 {
		c.faults = append(c.faults, fmt.Sprintf(format, args...))
	}
}

// must notes a fault unless the condition holds.
func (c *checker) must(holds bool, format string, args ...any) {
	if !holds {
		c.say(format, args...)
	}
}
