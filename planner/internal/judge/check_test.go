package judge_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
	"headtally/planner/internal/judge"
)

// A checker that sees nothing would pass every plan, so each of these spoils a
// good plan in one way, and the checker must say what is wrong. A spoiler
// answers false where the plan gives it nothing to spoil.
func TestCheckerSeesASpoiltPlan(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(plan *planning.Plan) bool
		says  string
	}{
		{"a case more than was asked", func(p *planning.Plan) bool { p.Lines[0].Filled += 100; return true }, "filled"},
		{"more firm than filled", func(p *planning.Plan) bool { p.Lines[0].Firm = p.Lines[0].Filled + 1; return true }, "firm"},
		{"a short line that is not short", onLine(short, func(l *planning.LinePlan) { l.Short-- }), "short"},
		{"a word quietly forgotten", onLine(func(l *planning.LinePlan) bool { return l.Broken > 0 }, func(l *planning.LinePlan) { l.Broken = 0 }), "broken"},
		{"no reason for a short line", onLine(short, func(l *planning.LinePlan) { l.Reason = nil }), "reason"},
		{"heads missing of no variety", onLine(notReady, func(l *planning.LinePlan) { l.Reason.Varieties = nil }), "of no variety"},
		{"packed cases counted twice", onLine(func(l *planning.LinePlan) bool { return len(l.Packed) > 0 }, func(l *planning.LinePlan) { l.Packed[0].Cases *= 50 }), "taken of"},
		{"a head short in a slot", onLine(hasHeads, func(l *planning.LinePlan) { l.Heads[0].Heads-- }), "heads in slot"},
		{"heads of a lot nobody knows", onLine(hasHeads, func(l *planning.LinePlan) { l.Heads[0].Lot = "?" }), "heads {"},
		{"heads of another variety", onLine(hasHeads, func(l *planning.LinePlan) { l.Heads[0].Variety = "?" }), "is no"},
		{"a tally that counts one head more", func(p *planning.Plan) bool { p.Tally[0].Listed++; return true }, "tally"},
		{"a total that adds up to less", func(p *planning.Plan) bool { p.Totals.Filled--; return true }, "totals"},
		{"less substitution than there is", func(p *planning.Plan) bool { p.Totals.Substitution--; return true }, "substitution"},
		{"a run of one case too many", onRun(func(r *planning.Run) { r.Cases++ }), "run 0"},
		{"a run for another line's case", onRun(func(r *planning.Run) { r.Lines[0].ID = "?" }), "run 0"},
		{"a recipe a head too large", onRun(func(r *planning.Run) { r.Contents[0].Heads++ }), "is no case"},
		{"a run with a head too many of a lot", onRun(func(r *planning.Run) { r.Lots[0].Heads++ }), "too few"},
		{"a run packed a day late", onRun(func(r *planning.Run) { r.Pack++ }), "packed on"},
		{"a run left out", func(p *planning.Plan) bool { p.Runs = p.Runs[1:]; return true }, "in runs"},
		{"runs in another order", func(p *planning.Plan) bool {
			last := len(p.Runs) - 1
			p.Runs[0], p.Runs[last] = p.Runs[last], p.Runs[0]
			return last > 0
		}, "runs are not by"},
		{"a raft too many", onPull(func(r *planning.Pull) { r.Rafts += 2 }), "pulls"},
		{"a pull that stops too early", onPull(func(r *planning.Pull) { r.StopAt-- }), "pulls"},
		{"a pull that lifts fewer heads than stand there", onPull(func(r *planning.Pull) { r.HeadsLifted-- }), "pulls"},
		{"a pull on the wrong day", onPull(func(r *planning.Pull) { r.Day-- }), "pulls"},
		{"a pull left out", func(p *planning.Plan) bool { p.Pulls = p.Pulls[1:]; return true }, "no row"},
		{"a move of a head more than was moved", onMove(func(r *planning.Pull) { r.MovedHeads++ }), "pulls"},
		{"a move to a day after its own", onMove(func(r *planning.Pull) { r.MovedFrom = r.Day - 1 }), "moved from"},
		{"fewer rafts by the cautious count", onPull(func(r *planning.Pull) { r.RaftsUpTo = r.Rafts - 1 }), "pulls"},
		{"a case too few in the cooler", func(p *planning.Plan) bool { p.Cooler[0].Cases--; return true }, "cooler"},
		{"a tray too many in the cooler", func(p *planning.Plan) bool { p.Cooler[0].Trays++; return true }, "cooler"},
		{"a day the cooler forgot", func(p *planning.Plan) bool { p.Cooler = p.Cooler[1:]; return true }, "cooler"},
		{"a raft not counted as work", func(p *planning.Plan) bool { p.Work[0].Rafts += 2; return true }, "work"},
		{"hours that the work does not take", func(p *planning.Plan) bool { p.Work[0].PackHours += 0.5; return true }, "work"},
		{"leftover heads that are gone", func(p *planning.Plan) bool {
			p.Leftover = p.Leftover[min(1, len(p.Leftover)):]
			return true
		}, "leftover"},
		{"no warnings at all", func(p *planning.Plan) bool { p.Warnings = nil; return true }, "no warning"},
		{"broken promises last", func(p *planning.Plan) bool {
			last := len(p.Warnings) - 1
			if last < 1 || p.Warnings[0].Code == p.Warnings[last].Code {
				return false
			}
			p.Warnings[0], p.Warnings[last] = p.Warnings[last], p.Warnings[0]
			return p.Warnings[last].Code == planning.PromiseBroken
		}, "come first"},
		{"a warning without a sentence", func(p *planning.Plan) bool { p.Warnings[0].Text = ""; return true }, "says nothing"},
		{"a warning of nothing", func(p *planning.Plan) bool {
			p.Warnings = append(p.Warnings, planning.Warning{Code: planning.CasesOver, Text: "Too many."})
			return true
		}, "nothing calls for"},
	} {
		t.Run(c.name, func(t *testing.T) { mustSee(t, c.spoil, c.says) })
	}
}

// mustSee spoils the first plans that can be spoilt so, of random problems rich
// in everything.
func mustSee(t *testing.T, spoil func(*planning.Plan) bool, says string) {
	spoilt := 0
	for n := 0; spoilt < 5; n++ {
		if n == 4000 {
			t.Fatalf("only %d plans could be spoilt so", spoilt)
		}
		p := judge.Seeded(n)
		plan := planner.Plan(p)
		if len(plan.Runs) == 0 || len(plan.Pulls) == 0 || len(plan.Warnings) == 0 || p.MaxRecipes > 0 {
			continue
		}
		bad := copied(t, plan)
		if !spoil(bad) {
			continue
		}
		spoilt++
		if faults := strings.Join(judge.Check(p, bad), "\n"); !strings.Contains(faults, says) {
			t.Errorf("random problem %d: the checker does not say %q but:\n%s", n, says, faults)
		}
	}
}

func copied(t *testing.T, plan *planning.Plan) *planning.Plan {
	t.Helper()
	text, err := json.Marshal(plan)
	if err != nil {
		t.Fatal(err)
	}
	c := &planning.Plan{}
	if err := json.Unmarshal(text, c); err != nil {
		t.Fatal(err)
	}
	return c
}

func short(l *planning.LinePlan) bool { return l.Short > 0 }

func notReady(l *planning.LinePlan) bool {
	return l.Reason != nil && l.Reason.Code == planning.NotEnoughReady
}

func hasHeads(l *planning.LinePlan) bool { return len(l.Heads) > 0 }

func onLine(which func(*planning.LinePlan) bool, spoil func(*planning.LinePlan)) func(*planning.Plan) bool {
	return func(p *planning.Plan) bool {
		for i := range p.Lines {
			if which(&p.Lines[i]) {
				spoil(&p.Lines[i])
				return true
			}
		}
		return false
	}
}

func onRun(spoil func(*planning.Run)) func(*planning.Plan) bool {
	return func(p *planning.Plan) bool { spoil(&p.Runs[0]); return true }
}

// onPull spoils the first row that lifts whole rafts.
func onPull(spoil func(*planning.Pull)) func(*planning.Plan) bool {
	return func(p *planning.Plan) bool {
		for i := range p.Pulls {
			if p.Pulls[i].Rafts > 1 && p.Pulls[i].StopAt > 0 {
				spoil(&p.Pulls[i])
				return true
			}
		}
		return false
	}
}

func onMove(spoil func(*planning.Pull)) func(*planning.Plan) bool {
	return func(p *planning.Plan) bool {
		for i := range p.Pulls {
			if p.Pulls[i].MovedFrom != 0 {
				spoil(&p.Pulls[i])
				return true
			}
		}
		return false
	}
}

// twoDays is a problem with one case for each of two days and two lots held in
// the cooler, the first pulled earlier.
func twoDays() *planning.Problem {
	day := domain.MustDay("2027-03-01")
	line := func(id string, pickup domain.Day) planning.Line {
		return planning.Line{ID: id, Customer: "C", Product: "S", Pickup: pickup, Cases: 1, Received: time.Date(2027, 2, 1, 0, 0, 0, 0, time.UTC)}
	}
	lot := func(code, variety string, pulled domain.Day) planning.Lot {
		return planning.Lot{Code: code, Variety: variety, Place: planning.Chilled, Heads: 6, Pulled: pulled}
	}
	return &planning.Problem{AsOf: day, PickupDays: []domain.Day{day, day + 1},
		Cooler: planning.Cooler{CaseSpaces: 9, TraySpaces: 9},
		Varieties: []planning.Variety{{Code: "A", Name: "Green", ShelfDays: 9, HeadsPerTray: 6},
			{Code: "B", Name: "Red", ShelfDays: 9, HeadsPerTray: 6}},
		Products: []planning.Product{{Code: "S", Name: "Case", Slots: []planning.Slot{{Heads: 6, Accept: []string{"A", "B"}}}}},
		Lots:     []planning.Lot{lot("old", "A", day-2), lot("new", "A", day-1), lot("red", "B", day-1)},
		Lines:    []planning.Line{line("first", day), line("second", day+1)}}
}

func TestCheckerSeesYoungHeadsSentOutBeforeOldOnes(t *testing.T) {
	p := twoDays()
	plan := planner.Plan(p)
	for i, lot := range []string{"new", "old"} {
		plan.Lines[i].Heads[0].Lot, plan.Runs[i].Lots[0].Lot = lot, lot
	}
	if faults := strings.Join(judge.Check(p, plan), "\n"); !strings.Contains(faults, "step 3") {
		t.Errorf("the checker says: %s", faults)
	}
}

func TestCheckerSeesSubstitutionThatWasNotNeeded(t *testing.T) {
	p, poorer := twoDays(), twoDays()
	poorer.Lots[1].Heads = 0
	if faults := strings.Join(judge.Check(p, planner.Plan(poorer)), "\n"); !strings.Contains(faults, "steps 1 and 2") {
		t.Errorf("the checker says: %s", faults)
	}
}

func TestCheckerSeesTwoRecipesWhereOneDoes(t *testing.T) {
	p := twoDays()
	p.Lines = p.Lines[:1]
	p.Lines[0].Cases = 2
	p.Lots[1].Heads = 0
	plan := planner.Plan(p) // six of A and six of B: two cases of three and three
	half := func(variety, lot string) planning.Run {
		r := plan.Runs[0]
		r.Cases, r.Lines = 1, []planning.LineCases{{ID: "first", Cases: 1}}
		r.Contents = []planning.VarietyHeads{{Variety: variety, Heads: 6}}
		r.Lots = []planning.LotHeads{{Lot: lot, Heads: 6}}
		return r
	}
	plan.Runs = []planning.Run{half("A", "old"), half("B", "red")}
	if faults := strings.Join(judge.Check(p, plan), "\n"); !strings.Contains(faults, "2 recipes in a class that divides evenly") {
		t.Errorf("the checker says: %s", faults)
	}
}
