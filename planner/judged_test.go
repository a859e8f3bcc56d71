package planner_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"headtally/domain/planning"
	"headtally/domain/tried"
	"headtally/planner"
	"headtally/planner/internal/judge"
)

// judged is how many random problems a judge looks at: 600, a tenth of them in a
// short run, as the race detector's is, and as many as are promised in a long one.
func judged(t testing.TB, long int) int {
	if testing.Short() {
		return 60
	}
	return tried.Times(t, 600, long)
}

// hold holds a plan against the contract and against the oracle's ruling.
func hold(p *planning.Problem, plan *planning.Plan, want judge.Expected) []string {
	return append(judge.Check(p, plan), judge.Differences(want, judge.AnswerOf(plan))...)
}

func TestPlansOfProvenCasesKeepTheContract(t *testing.T) {
	for _, c := range judge.Cases(t, "../testdata/planning", "*") {
		t.Run(c.Name, func(t *testing.T) {
			for _, fault := range hold(c.Problem, planner.Plan(c.Problem), c.Expected) {
				t.Error(fault)
			}
		})
	}
}

func TestPlansOfRandomProblemsKeepTheContract(t *testing.T) {
	for n := range judged(t, 10_000) {
		p := judge.Seeded(n)
		if faults := hold(p, planner.Plan(p), judge.Rule(p).Answer()); len(faults) > 0 {
			t.Errorf("random problem %d:\n%s", n, strings.Join(faults, "\n"))
		}
	}
}

// Every way to fill the cases of tiny problems, tried one after another, gives
// the grants, the refusals, the substitution and the expiring heads of the plan.
func TestPlansOfTinyProblemsAreTheBestOfEveryWay(t *testing.T) {
	short, whole, substitutes := 0, 0, 0
	for n := range judged(t, 5000) {
		p := judge.Tiny(n)
		plan, ruling := planner.Plan(p), judge.Rule(p)
		if faults := append(hold(p, plan, ruling.Answer()), judge.EveryWay(p, ruling)...); len(faults) > 0 {
			t.Errorf("tiny problem %d:\n%s", n, strings.Join(faults, "\n"))
		}
		if plan.Totals.Short > 0 {
			short++
		} else {
			whole++
		}
		if ruling.Substitution > 0 {
			substitutes++
		}
	}
	t.Logf("%d are short, %d are not, %d need substitutes", short, whole, substitutes)
	if least := judged(t, 5000) / 20; short < least || whole < least || substitutes < least {
		t.Errorf("tiny problems that are too much alike: want %d each", least)
	}
}

// The same with problems that the property-test library makes smaller when it
// finds a fault.
func TestPlansOfAnyProblemKeepTheContract(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := judge.Random(drawn{t}, false)
		if faults := hold(p, planner.Plan(p), judge.Rule(p).Answer()); len(faults) > 0 {
			t.Fatalf("%s\n%s", asJSON(p), strings.Join(faults, "\n"))
		}
	})
}

// drawn takes a random problem's choices from the property-test library.
type drawn struct{ *rapid.T }

func (d drawn) Between(low, high int) int { return rapid.IntRange(low, high).Draw(d.T, "choice") }

func asJSON(v any) []byte {
	text, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return text
}

// Checks of what never happens prove nothing: the random plans must show every
// part of the contract that is rare.
func TestRandomPlansShowEveryPart(t *testing.T) {
	seen, problems := map[string]int{}, judged(t, 600)
	for n := range problems {
		plan := planner.Plan(judge.Seeded(n))
		parts := map[string]bool{}
		for _, w := range plan.Warnings {
			parts[string(w.Code)] = true
		}
		for _, r := range plan.Pulls {
			parts["a pull moved to an earlier day"] = parts["a pull moved to an earlier day"] || r.MovedFrom != 0
			parts["the rest of a raft used"] = parts["the rest of a raft used"] || r.StopAt < r.Heads
			parts["a lot in front"] = parts["a lot in front"] || len(r.InFront) > 0
		}
		for _, r := range plan.Runs {
			parts["a run for several lines"] = parts["a run for several lines"] || len(r.Lines) > 1
		}
		for part, shown := range parts {
			if shown {
				seen[part]++
			}
		}
	}
	for _, part := range []string{"a pull moved to an earlier day", "the rest of a raft used", "a lot in front", "a run for several lines",
		string(planning.PromiseBroken), string(planning.CasesOver), string(planning.TraysOver), string(planning.RaftsOver), string(planning.LotInFront),
		string(planning.HarvestHoursOver), string(planning.PackHoursOver), string(planning.RaftInPart), string(planning.RecipesOver)} {
		if seen[part] < problems/120 {
			t.Errorf("%d of %d random plans show %s, want %d", seen[part], problems, part, problems/120)
		}
	}
}

// What a promise answers is what the oracle finds by trying, case by case.
func TestPromisesAreWhatCouldBeGranted(t *testing.T) {
	for n := range judged(t, 5000) {
		p := judge.Seeded(n)
		line := judge.SeededLine(p, n)
		got, faults := planner.NewStanding(p).Quote(line)
		if len(faults) > 0 {
			t.Fatalf("random problem %d: %v", n, faults)
		}
		want := judge.VowFor(p, line)
		if got != (planner.Promise{Sure: want.Sure, AllIn: want.IfAllIn, FirstDay: want.FirstWhole}) {
			t.Errorf("random problem %d, %s: got %+v, want %+v", n, asJSON(line), got, want)
		}
	}
}

// A random problem written down is a document that the planner reads.
func TestRandomProblemsAreReadAsTheyAre(t *testing.T) {
	for n := range judged(t, 5000) {
		p := judge.Seeded(n)
		read, err := planning.Read(bytes.NewReader(asJSON(p)))
		if err != nil {
			t.Fatalf("random problem %d: %v", n, err)
		}
		if got, want := asJSON(planner.Plan(read)), asJSON(planner.Plan(p)); !bytes.Equal(got, want) {
			t.Errorf("random problem %d: another plan once it is written and read", n)
		}
	}
}

// The order of a problem's lists decides the order in which some lists are
// printed, and nothing else.
func TestPlanOfAShuffledProblemIsTheSame(t *testing.T) {
	same := func(t *testing.T, p *planning.Problem, n int) {
		shuffled := judge.Shuffled(p, n)
		plan := planner.Plan(shuffled)
		if got, want := unordered(plan), unordered(planner.Plan(p)); got != want {
			t.Errorf("problem %d: shuffled, it has another plan:\n got %s\nwant %s", n, got, want)
		}
		for _, fault := range judge.Check(shuffled, plan) {
			t.Errorf("problem %d, shuffled: %s", n, fault)
		}
	}
	for n := range judged(t, 10_000) {
		same(t, judge.Seeded(n), n)
	}
	for n, c := range judge.Cases(t, "../testdata/planning", "*") {
		same(t, c.Problem, n)
	}
}

// unordered is a plan as JSON with the lists sorted that are printed in the
// problem's order.
func unordered(plan *planning.Plan) string {
	p := *plan
	p.Tally, p.Leftover, p.Lines = sorted(p.Tally), sorted(p.Leftover), slices.Clone(p.Lines)
	for i := range p.Lines {
		l := &p.Lines[i]
		l.Heads = sorted(l.Heads)
		if l.Reason != nil {
			why := *l.Reason
			why.Varieties = sorted(why.Varieties)
			l.Reason = &why
		}
	}
	p.Lines = sorted(p.Lines)
	p.Runs = slices.Clone(p.Runs)
	for i := range p.Runs {
		p.Runs[i].Contents, p.Runs[i].Lots = sorted(p.Runs[i].Contents), sorted(p.Runs[i].Lots)
		p.Runs[i].StandIns = sorted(p.Runs[i].StandIns)
	}
	return string(asJSON(p))
}

func sorted[T any](list []T) []T {
	list = slices.Clone(list)
	slices.SortFunc(list, func(a, b T) int { return strings.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
	return list
}
