package judge

import (
	"slices"
	"testing"

	"headtally/domain/planning"
)

// A judge who never meets a hard case proves little: of the random problems a
// good part must be hard in each way that matters.
func TestRandomProblemsAreHardInEveryWay(t *testing.T) {
	const problems = 600
	var short, substitutes, expiring, full, words int
	for n := range problems {
		p := Seeded(n)
		r := Rule(p)
		count(&short, slices.ContainsFunc(r.Lines, shortOfHeads))
		count(&substitutes, r.Substitution > 0)
		count(&expiring, r.ExpiringUsed > 0)
		count(&full, slices.ContainsFunc(r.Lines, coolerFull))
		count(&words, slices.ContainsFunc(r.Lines, func(l planning.LinePlan) bool { return len(l.Packed) > 0 }) &&
			slices.ContainsFunc(p.Lines, func(l planning.Line) bool { return word(&l) > 0 }))
	}
	for _, c := range []struct {
		way         string
		have, least int
	}{
		{"are short of heads", short, problems / 3},
		{"need substitutes", substitutes, problems / 3},
		{"use expiring lots", expiring, problems / 3},
		{"meet the case limit", full, problems / 5},
		{"have packed cases taken and words given", words, problems / 5},
	} {
		t.Logf("%d of %d %s", c.have, problems, c.way)
		if c.have < c.least {
			t.Errorf("only %d of %d random problems %s, want %d", c.have, problems, c.way, c.least)
		}
	}
}

func count(n *int, yes bool) {
	if yes {
		*n++
	}
}

func shortOfHeads(l planning.LinePlan) bool {
	return l.Reason != nil && l.Reason.Code == planning.NotEnoughReady
}

func coolerFull(l planning.LinePlan) bool {
	return l.Reason != nil && l.Reason.Code == planning.CoolerFull
}
