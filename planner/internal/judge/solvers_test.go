package judge

import "testing"

// Every refusal the oracle made, and every set of grants it ended with, is put
// to GLPK as the linear program of the model.
func TestSolverConfirmsTheRulings(t *testing.T) {
	solve := GLPK(t)
	var claims []Claim
	problems := 500
	if testing.Short() {
		problems = 50
	}
	for n := range problems {
		claims = append(claims, Rule(Seeded(n)).Claims()...)
	}
	t.Logf("%d claims", len(claims))
	Confirm(t, solve, claims)
}

// The same by a simplex method of another make, on fewer.
func TestSimplexConfirmsTheRulings(t *testing.T) {
	var claims []Claim
	for n := range 60 {
		claims = append(claims, Rule(Seeded(n)).Claims()...)
	}
	Confirm(t, Gonum, claims)
}
