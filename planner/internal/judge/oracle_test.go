package judge

import "testing"

// The judge is held against the proven cases before anybody is held against it.
func TestRulesTheProvenCases(t *testing.T) {
	for _, c := range Cases(t, "../../../testdata/planning", "*") {
		t.Run(c.Name, func(t *testing.T) {
			for _, difference := range Differences(c.Expected, Rule(c.Problem).Answer()) {
				t.Error(difference)
			}
		})
	}
}
