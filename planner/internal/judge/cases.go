package judge

import (
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"headtally/domain/planning"
)

// Case is a problem with a proven answer.
type Case struct {
	Name     string            `json:"-"`
	Problem  *planning.Problem `json:"problem"`
	Expected Expected          `json:"expected"`
}

// Expected is what everybody who follows the model answers.
type Expected struct {
	Lines        []ExpectedLine `json:"lines"`
	Substitution int            `json:"substitution"`
	ExpiringUsed int            `json:"expiring_used"`
}

// ExpectedLine is a line's answer, without the heads.
type ExpectedLine struct {
	ID     string                 `json:"id"`
	Filled int                    `json:"filled"`
	Firm   int                    `json:"firm"`
	Short  int                    `json:"short"`
	Cut    int                    `json:"cut"`
	Broken int                    `json:"broken"`
	Offer  int                    `json:"offer"`
	Packed []planning.PackedCases `json:"packed"`
	Reason *planning.Reason       `json:"reason,omitempty"`
}

// Cases reads the proven cases whose names match a pattern, such as "tiny-*".
func Cases(t testing.TB, folder, pattern string) (cases []Case) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(folder, pattern+".json"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no cases %s in %s (%v)", pattern, folder, err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		c := Case{Name: filepath.Base(file)}
		if err := json.Unmarshal(text, &c); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		cases = append(cases, c)
	}
	return cases
}

// Answer is the ruling in the form of a proven case's answer.
func (r *Ruling) Answer() Expected { return answer(r.Lines, r.Substitution, r.ExpiringUsed) }

// AnswerOf is the same part of a plan. With a recipe limit the values of steps
// 1 and 2 are those without it, for only these are the same for everybody.
func AnswerOf(plan *planning.Plan) Expected {
	t := &plan.Totals
	if t.SubstitutionWithoutLimit != nil && t.ExpiringUsedWithoutLimit != nil {
		return answer(plan.Lines, *t.SubstitutionWithoutLimit, *t.ExpiringUsedWithoutLimit)
	}
	return answer(plan.Lines, t.Substitution, t.ExpiringUsed)
}

func answer(lines []planning.LinePlan, substitution, expiring int) Expected {
	e := Expected{Substitution: substitution, ExpiringUsed: expiring}
	for _, l := range lines {
		packed := append([]planning.PackedCases{}, l.Packed...) // a document says always [], never null
		e.Lines = append(e.Lines, ExpectedLine{l.ID, l.Filled, l.Firm, l.Short, l.Cut, l.Broken, l.Offer, packed, l.Reason})
	}
	return e
}

// Differences tells two answers apart, a sentence each, at most ten.
func Differences(want, got Expected) (list []string) {
	say := func(format string, args ...any) {
		if len(list) < 10 {
			list = append(list, fmt.Sprintf(format, args...))
		}
	}
	if len(want.Lines) != len(got.Lines) {
		say("%d lines, want %d", len(got.Lines), len(want.Lines))
		return list
	}
	for i := range want.Lines {
		if w, g := text(want.Lines[i]), text(got.Lines[i]); w != g {
			say("line %d:\n got %s\nwant %s", i, g, w)
		}
	}
	if want.Substitution != got.Substitution || want.ExpiringUsed != got.ExpiringUsed {
		say("substitution %d and %d expiring heads used, want %d and %d",
			got.Substitution, got.ExpiringUsed, want.Substitution, want.ExpiringUsed)
	}
	return list
}

// text is a line's answer as JSON, with the packed cases in one order.
func text(l ExpectedLine) string {
	l.Packed = append([]planning.PackedCases{}, l.Packed...)
	slices.SortFunc(l.Packed, func(a, b planning.PackedCases) int { return cmp.Compare(a.Code, b.Code) })
	b, err := json.Marshal(l)
	if err != nil {
		panic("judge: " + err.Error())
	}
	return string(b)
}
