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

// A judge of judges who never objects proves little.
func TestEveryWaySeesASpoiltRuling(t *testing.T) {
	refused, filled := 0, 0
	for n := range 40 {
		p := Tiny(n)
		r := Rule(p)
		if wrong := EveryWay(p, r); len(wrong) > 0 {
			t.Fatalf("tiny problem %d: %v", n, wrong)
		}
		for i := range r.questions {
			if q := &r.questions[i]; q.missing > 0 {
				q.missing--
				refused++
				if len(EveryWay(p, r)) == 0 {
					t.Errorf("tiny problem %d: a head fewer is missing, and nothing is said", n)
				}
				q.missing++
			}
		}
		if r.Substitution > 0 || r.ExpiringUsed > 0 {
			filled++
		}
		for _, spoilt := range []func(){func() { r.Substitution++ }, func() { r.Substitution--; r.ExpiringUsed++ }} {
			if spoilt(); len(EveryWay(p, r)) == 0 {
				t.Errorf("tiny problem %d: substitution %d, %d expiring heads, and nothing is said", n, r.Substitution, r.ExpiringUsed)
			}
		}
	}
	if refused < 20 || filled < 10 {
		t.Errorf("%d refusals, %d problems with substitution or expiring heads: too few", refused, filled)
	}
}
