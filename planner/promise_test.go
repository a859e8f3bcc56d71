package planner_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
	"headtally/planner/internal/judge"
)

// A thousand promises are asked for, each is recorded as a word and planned
// again: it is filled in full, and no older word is broken for it.
func TestAThousandPromisesAreKept(t *testing.T) {
	promises := 1000
	if testing.Short() {
		promises = 100
	}
	kept, sure := 0, 0
	for n := 0; kept < promises; n++ {
		p := judge.Seeded(n)
		random := rand.New(rand.NewPCG(uint64(n), 3))
		s := planner.NewStanding(p)
		for k := range 12 {
			line := judge.SeededLine(p, n*12+k)
			answer, faults := s.Quote(line)
			if len(faults) > 0 {
				t.Fatal(faults)
			}
			if answer.AllIn == 0 {
				continue
			}
			line.Cases = 1 + random.IntN(answer.AllIn)
			if line.AllOrNone {
				line.Cases = answer.AllIn
			}
			p = withWord(p, line, kept)
			older := s.Plan
			s = planner.NewStanding(p)
			checkWord(t, fmt.Sprintf("problem %d, promise %d", n, k), older, s.Plan)
			kept++
			if answer.Sure > 0 {
				sure++
			}
		}
	}
	if sure < promises/4 {
		t.Errorf("only %d of %d promises were sure in part; the problems are too scarce to tell much", sure, kept)
	}
}

// withWord is the problem with a line more, promised in full after all others.
func withWord(p *planning.Problem, line planning.Line, number int) *planning.Problem {
	recorded := *p
	line.ID = fmt.Sprintf("word %04d", number)
	line.Customer = "promised"
	line.AtMost = nil
	line.Promised = line.Cases
	line.PromisedAt = time.Date(2100, 1, 1, 0, 0, number, 0, time.UTC)
	line.Received = line.PromisedAt
	recorded.Lines = append(append([]planning.Line{}, p.Lines...), line)
	return &recorded
}

// checkWord holds the plan with a new last line against the one before it.
func checkWord(t *testing.T, name string, older, plan *planning.Plan) {
	t.Helper()
	last := &plan.Lines[len(plan.Lines)-1]
	if last.Short > 0 || last.Broken > 0 {
		t.Fatalf("%s: %d of %d promised cases are filled", name, last.Filled, last.Cases)
	}
	for i := range older.Lines {
		if now := &plan.Lines[i]; now.Broken > older.Lines[i].Broken {
			t.Fatalf("%s: of the older word of %s, %d cases are broken; before, %d", name, now.ID, now.Broken, older.Lines[i].Broken)
		}
	}
}

func TestQuoteRefusesWhatIsNotPlanned(t *testing.T) {
	p := judge.Seeded(1)
	s := planner.NewStanding(p)
	_, faults := s.Quote(planning.Line{Product: "none such", Pickup: domain.MustDay("2001-01-01"), Cases: -1, Refuse: []string{"XX"}})
	want := `product: "none such" is not among the products
pickup: 2001-01-01 is not among pickup_days
cases: must be from 0 to 1,000,000, not -1
refuse[0]: "XX" is not among the varieties`
	if faults.Error() != want {
		t.Errorf("faults %q, want %q", faults.Error(), want)
	}
}

// Asking changes nothing: the same question has the same answer, whatever was
// asked in between.
func TestQuoteChangesNothing(t *testing.T) {
	for n := range 60 {
		p := judge.Seeded(n)
		s := planner.NewStanding(p)
		var first []planner.Promise
		for round := range 2 {
			for k := range 8 {
				answer, _ := s.Quote(judge.SeededLine(p, n*8+k))
				if round == 0 {
					first = append(first, answer)
				} else if answer != first[k] {
					t.Fatalf("problem %d: asked again, the answer is %+v; it was %+v", n, answer, first[k])
				}
			}
		}
	}
}
