package book

import (
	"context"
	"strconv"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/domain/store"
	"headtally/planner"
)

// Paper is one printed sheet, kept as it was.
type Paper = store.Print

// Papers draws the papers of an issue. The wiring gives it; without one an
// issue keeps none.
type Papers func(issue domain.Issue, day *PackingDay) ([]Paper, error)

// Draw sets how the papers of an issue are drawn.
func (b *Book) Draw(papers Papers) { b.papers = papers }

// Issue keeps a packing day's plan as of a day as it is printed: what to lift
// that morning and what to pack, with a number and its papers. Planning it again
// gives a new number that names the one it replaces.
func (b *Book) Issue(ctx context.Context, who Person, asOf, day domain.Day, why string) (Record[domain.Issue], error) {
	if err := who.ask(MayOrder); err != nil {
		return Record[domain.Issue]{}, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: why}), func(tx *store.Tx) (Record[domain.Issue], error) {
		facts, w, err := b.weekWithFacts(tx, asOf)
		if err != nil {
			return Record[domain.Issue]{}, err
		}
		issue, err := newIssue(tx, facts, w, day, who.Name)
		if err != nil {
			return Record[domain.Issue]{}, err
		}
		packing, err := newPackingDay(facts, w, day)
		if err != nil {
			return Record[domain.Issue]{}, err
		}
		issue.Given = packing.Given()
		var papers []Paper
		if b.papers != nil {
			if papers, err = b.papers(issue, packing); err != nil {
				return Record[domain.Issue]{}, err
			}
		}
		for _, p := range papers {
			issue.Seals[p.Name] = seal(issue, p.Bytes)
		}
		rec, err := store.Issues.Create(tx, issue)
		if err != nil {
			return rec, err
		}
		return rec, tx.KeepPrints(issue.ID, papers)
	})
}

// newIssue takes a packing day out of a week's plan. A day on which nothing is
// lifted and nothing packed is refused.
func newIssue(tx *store.Tx, f *domain.Facts, w *planner.Week, day domain.Day, by string) (domain.Issue, error) {
	before, err := store.Issues.Count(tx)
	if err != nil {
		return domain.Issue{}, err
	}
	issue := domain.Issue{Day: day, Number: before + 1, Revision: w.Revision, At: tx.Now, By: by,
		Pulls: pullsOf(w, day), Runs: runsOf(f, w, day), Seals: map[string]string{}}
	issue.ID = strconv.Itoa(issue.Number)
	for _, x := range f.Issues {
		if x.Day == day {
			issue.Replaces = max(issue.Replaces, x.Number)
		}
	}
	if len(issue.Pulls) == 0 && len(issue.Runs) == 0 {
		return issue, domain.Refuse(domain.ErrNotFound, "packing day", day.String())
	}
	return issue, nil
}

// pullsOf is what a plan lifts on a day.
func pullsOf(w *planner.Week, day domain.Day) []domain.LiftRow {
	rows := []domain.LiftRow{}
	for _, p := range w.Plan.Pulls {
		if p.Day == day && p.StopAt > 0 {
			rows = append(rows, rowOf(w, p))
		}
	}
	return rows
}

// rowOf is a pull as it is lifted when all goes as planned.
func rowOf(w *planner.Week, p planning.Pull) domain.LiftRow {
	row := domain.LiftRow{Lot: p.Lot, Variety: p.Variety, Rafts: p.Rafts, Heads: domain.Heads(max(p.HeadsLifted, p.StopAt))}
	for i := range w.Problem.Lots {
		if w.Problem.Lots[i].Code == p.Lot {
			row.Bed = w.Problem.Lots[i].BedName
		}
	}
	return row
}

// runsOf is what a plan packs on a day, each run with its traceability lot code.
func runsOf(f *domain.Facts, w *planner.Week, day domain.Day) []domain.PackedRun {
	runs := []domain.PackedRun{}
	lots := byCode(w.Problem.Lots, func(l planning.Lot) string { return l.Code })
	for _, r := range w.Plan.Runs {
		if r.Pack != day {
			continue
		}
		run := domain.PackedRun{Pickup: r.Pickup, Product: r.Product, Cases: domain.Cases(r.Cases)}
		for _, c := range r.Contents {
			run.Contents = append(run.Contents, domain.VarietyHeads{Variety: c.Variety, Heads: domain.Heads(c.Heads)})
		}
		for _, x := range r.Lots {
			taken := domain.LotTaken{Lot: x.Lot, Variety: lots[x.Lot].Variety, Pulled: lots[x.Lot].Pulled, Heads: domain.Heads(x.Heads)}
			if taken.Pulled == 0 {
				taken.Pulled = day
			}
			run.Lots = append(run.Lots, taken)
		}
		for _, l := range r.Lines {
			run.Lines = append(run.Lines, domain.LineCases{Line: l.ID, Cases: domain.Cases(l.Cases)})
		}
		runs = append(runs, run)
	}
	giveCodes(f, day, runs)
	return runs
}
