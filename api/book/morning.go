package book

import (
	"context"
	"slices"
	"strconv"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/domain/store"
	"headtally/planner"
	"headtally/planner/stock"
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
		w, err := b.week(tx, asOf)
		if err != nil {
			return Record[domain.Issue]{}, err
		}
		facts, err := tx.Facts(asOf)
		if err != nil {
			return Record[domain.Issue]{}, err
		}
		issue, err := newIssue(tx, &facts, w, day, who.Name)
		if err != nil {
			return Record[domain.Issue]{}, err
		}
		packing, err := newPackingDay(&facts, w, day)
		if err != nil {
			return Record[domain.Issue]{}, err
		}
		issue.Given = packing.Given()
		rec, err := store.Issues.Create(tx, issue)
		if err != nil || b.papers == nil {
			return rec, err
		}
		papers, err := b.papers(issue, packing)
		if err != nil {
			return rec, err
		}
		return rec, tx.KeepPrints(issue.ID, papers)
	})
}

// newIssue takes a packing day out of a week's plan. A day on which nothing is
// lifted and nothing packed is refused.
func newIssue(tx *store.Tx, f *domain.Facts, w *planner.Week, day domain.Day, by string) (domain.Issue, error) {
	issues, err := store.Issues.Values(tx, Query{Ended: true})
	if err != nil {
		return domain.Issue{}, err
	}
	issue := domain.Issue{Day: day, Number: len(issues) + 1, Revision: w.Revision, At: tx.Now, By: by,
		Pulls: pullsOf(w, day), Runs: runsOf(f, w, day)}
	issue.ID = strconv.Itoa(issue.Number)
	for _, x := range issues {
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
	lots := byCode(w.Problem.Lots, func(l planning.Lot) string { return l.Code })
	for _, p := range w.Plan.Pulls {
		if p.Day == day && p.StopAt > 0 {
			rows = append(rows, domain.LiftRow{Lot: p.Lot, Variety: p.Variety, Bed: lots[p.Lot].BedName, Rafts: p.Rafts,
				Heads: domain.Heads(max(p.HeadsLifted, p.StopAt))})
		}
	}
	return rows
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

// LiftCount is heads truly lifted of a lot, or of a variety where Lot is "": they
// are then spread over what the plan lifts of it that day, the first lot first.
type LiftCount struct {
	Lot     string
	Variety string
	Rafts   domain.HalfRafts
	Heads   domain.Heads
	Culls   domain.Heads
}

// RecordLift takes the morning's true counts. With done the beds are closed for
// the day and the next plan is made out of what is in the cooler.
func (b *Book) RecordLift(ctx context.Context, who Person, day domain.Day, counts []LiftCount, done bool, why string) (Record[domain.Lift], error) {
	if err := mayOne(who, MayGrow, MayPack); err != nil {
		return Record[domain.Lift]{}, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: why}), func(tx *store.Tx) (Record[domain.Lift], error) {
		w, err := b.week(tx, day)
		if err != nil {
			return Record[domain.Lift]{}, err
		}
		lift := domain.Lift{Day: day, Done: done, At: tx.Now}
		var faults domain.Faults
		for i, c := range counts {
			rows, err := liftRows(w, day, c)
			if err != nil {
				faults.Add(place("rows", i), "not_in_beds", "lot", c.Lot, "variety", c.Variety)
			}
			lift.Rows = append(lift.Rows, rows...)
		}
		if faults == nil {
			faults = domain.Check(lift)
		}
		if faults != nil {
			return Record[domain.Lift]{}, faults
		}
		if lift.ID, err = nextID(tx, store.Lifts, "L"); err != nil {
			return Record[domain.Lift]{}, err
		}
		rec, err := store.Lifts.Create(tx, lift)
		if err != nil {
			return rec, err
		}
		return rec, b.noteLift(tx, lift)
	})
}

// liftRows puts one count to the lots it came from.
func liftRows(w *planner.Week, day domain.Day, c LiftCount) ([]domain.LiftRow, error) {
	lots := byCode(w.Problem.Lots, func(l planning.Lot) string { return l.Code })
	if c.Lot != "" {
		lot, known := lots[c.Lot]
		if !known || lot.Place != planning.Bed {
			return nil, domain.ErrNotFound
		}
		return []domain.LiftRow{{Lot: c.Lot, Variety: lot.Variety, Bed: lot.BedName, Rafts: c.Rafts, Heads: c.Heads, Culls: c.Culls}}, nil
	}
	var rows []domain.LiftRow
	heads, culls := c.Heads, c.Culls
	for _, p := range pullsOf(w, day) {
		if p.Variety != c.Variety {
			continue
		}
		row := p
		row.Heads, row.Culls = min(p.Heads, heads), 0
		heads -= row.Heads
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		return standingRows(w, c)
	}
	rows[len(rows)-1].Heads += heads
	rows[len(rows)-1].Culls = culls
	return rows, nil
}

// standingRows takes heads of a variety that the plan does not lift that day
// from the lot that is ready first.
func standingRows(w *planner.Week, c LiftCount) ([]domain.LiftRow, error) {
	var first *planning.Lot
	for i := range w.Problem.Lots {
		l := &w.Problem.Lots[i]
		if l.Place == planning.Bed && l.Variety == c.Variety && (first == nil || l.Ready < first.Ready) {
			first = l
		}
	}
	if first == nil {
		return nil, domain.ErrNotFound
	}
	return []domain.LiftRow{{Lot: first.Code, Variety: c.Variety, Bed: first.BedName, Rafts: c.Rafts, Heads: c.Heads, Culls: c.Culls}}, nil
}

// PackedChange is what differs from the plan in one run, counted from 0: so
// many cases were packed. More than its lines asked for are spare.
type PackedChange struct {
	Run   int
	Cases domain.Cases
}

// RecordPacked takes what was packed on a day: as planned, save for the changes,
// and what became of heads that went elsewhere. Cases fewer than planned are
// taken from the lines that the plan drops first.
func (b *Book) RecordPacked(ctx context.Context, who Person, day domain.Day, changes []PackedChange, gone []domain.HeadsGone, why string) (Record[domain.Packing], error) {
	if err := who.ask(MayPack); err != nil {
		return Record[domain.Packing]{}, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: why}), func(tx *store.Tx) (Record[domain.Packing], error) {
		w, err := b.week(tx, day)
		if err != nil {
			return Record[domain.Packing]{}, err
		}
		facts, err := tx.Facts(day)
		if err != nil {
			return Record[domain.Packing]{}, err
		}
		packing := domain.Packing{Day: day, Runs: runsOf(&facts, w, day), Gone: gone, At: tx.Now}
		if err := changeRuns(w, &packing, changes); err != nil {
			return Record[domain.Packing]{}, err
		}
		if err := domain.Check(packing).Err(); err != nil {
			return Record[domain.Packing]{}, err
		}
		if err := b.liftAsPlanned(tx, w, day); err != nil {
			return Record[domain.Packing]{}, err
		}
		if packing.ID, err = nextID(tx, store.Packings, "P"); err != nil {
			return Record[domain.Packing]{}, err
		}
		return store.Packings.Create(tx, packing)
	})
}

// liftAsPlanned takes the day's lifting for done as planned where nobody
// recorded it: what is packed was lifted.
func (b *Book) liftAsPlanned(tx *store.Tx, w *planner.Week, day domain.Day) error {
	pulls := pullsOf(w, day)
	if len(pulls) == 0 {
		return nil
	}
	id, err := nextID(tx, store.Lifts, "L")
	if err != nil {
		return err
	}
	lift := domain.Lift{ID: id, Day: day, Done: true, Rows: pulls, At: tx.Now}
	if _, err := store.Lifts.Create(tx, lift); err != nil {
		return err
	}
	return b.noteLift(tx, lift)
}

// changeRuns brings the planned runs to what was packed.
func changeRuns(w *planner.Week, packing *domain.Packing, changes []PackedChange) error {
	planned := slices.DeleteFunc(slices.Clone(w.Plan.Runs), func(r planning.Run) bool { return r.Pack != packing.Day })
	for i, c := range changes {
		if c.Run < 0 || c.Run >= len(packing.Runs) {
			return domain.Faults{{Place: place("changes", i) + ".run", Code: "between", Args: map[string]any{"min": 0, "max": len(packing.Runs) - 1}}}
		}
		run := &packing.Runs[c.Run]
		run.Lots = scaled(run.Lots, c.Cases, run.Cases)
		missing := run.Cases - c.Cases
		run.Cases = c.Cases
		for _, id := range planned[c.Run].DropFirst {
			for k := range run.Lines {
				if l := &run.Lines[k]; l.Line == id && missing > 0 {
					less := min(missing, l.Cases)
					l.Cases -= less
					missing -= less
				}
			}
		}
		run.Lines = slices.DeleteFunc(run.Lines, func(l domain.LineCases) bool { return l.Cases == 0 })
	}
	packing.Runs = slices.DeleteFunc(packing.Runs, func(r domain.PackedRun) bool { return r.Cases == 0 })
	return nil
}

// scaled is the heads taken from each lot for other cases than planned: of each
// variety so many a case, from the lots in turn.
func scaled(lots []domain.LotTaken, cases, planned domain.Cases) []domain.LotTaken {
	need, have := map[string]domain.Heads{}, map[string]domain.Heads{}
	for _, l := range lots {
		have[l.Variety] += l.Heads
	}
	for v, h := range have {
		need[v] = h / domain.Heads(planned) * domain.Heads(cases)
	}
	out := slices.Clone(lots)
	for i := range out {
		l := &out[i]
		l.Heads = min(l.Heads, need[l.Variety])
		need[l.Variety] -= l.Heads
	}
	for i := range out { // more cases than planned: the rest from the first lot of the variety
		out[i].Heads += need[out[i].Variety]
		need[out[i].Variety] = 0
	}
	return slices.DeleteFunc(out, func(l domain.LotTaken) bool { return l.Heads == 0 })
}

// Depart notes that a carrier's pickup is gone, with every case packed for its
// lines that day.
func (b *Book) Depart(ctx context.Context, who Person, carrier string, day domain.Day, why string) (Record[domain.Departure], error) {
	if err := who.ask(MayPack); err != nil {
		return Record[domain.Departure]{}, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: why}), func(tx *store.Tx) (Record[domain.Departure], error) {
		w, err := b.week(tx, day)
		if err != nil {
			return Record[domain.Departure]{}, err
		}
		facts, err := tx.Facts(day)
		if err != nil {
			return Record[domain.Departure]{}, err
		}
		if !facts.Calendar().PicksUp(carrier, day) {
			return Record[domain.Departure]{}, domain.Refuse(domain.ErrNotFound, "pickup", domain.PickupID(carrier, day))
		}
		return store.Departures.Create(tx, domain.Departure{ID: domain.PickupID(carrier, day), Carrier: carrier, Day: day,
			Took: shipped(w, &facts, carrier, day), At: tx.Now})
	})
}

// shipped is what the plan gives to a truck out of packed cases.
func shipped(w *planner.Week, facts *domain.Facts, carrier string, day domain.Day) []domain.Shipped {
	took := []domain.Shipped{}
	traces := traceOf(facts)
	for i, l := range w.Lines {
		if l.Carrier != carrier || l.Pickup != day {
			continue
		}
		for _, p := range w.Plan.Lines[i].Packed {
			took = append(took, domain.Shipped{Packed: p.Code, Trace: traces[p.Code], Line: l.ID, Customer: l.Customer,
				Product: l.Product, PO: l.PO, Cases: domain.Cases(p.Cases)})
		}
	}
	return took
}

// traceOf gives the traceability lot code of packed cases by their code, those
// of days that count as done as printed too.
func traceOf(facts *domain.Facts) map[string]string {
	codes := map[string]string{}
	packings := slices.Clone(facts.Packings)
	for _, x := range facts.Issues {
		packings = append(packings, stock.PrintedPacking(x, x.At))
	}
	for _, p := range packings {
		for i, r := range p.Runs {
			codes[stock.PackedCode(p.ID, i, "")] = r.Trace
			for _, l := range r.Lines {
				codes[stock.PackedCode(p.ID, i, l.Line)] = r.Trace
			}
		}
	}
	for _, r := range facts.Returns {
		codes["back/"+r.ID] = r.Trace
	}
	return codes
}

// NotCollected moves the lines of a truck that did not come to another day; the
// cases packed for them stay theirs.
func (b *Book) NotCollected(ctx context.Context, who Person, carrier string, day, to domain.Day, why string) (int, error) {
	if err := mayOne(who, MayOrder, MayPack); err != nil {
		return 0, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: why}), func(tx *store.Tx) (int, error) {
		cal, err := calendar(tx)
		if err != nil {
			return 0, err
		}
		if !cal.PicksUp(carrier, to) || to <= day || to.Sub(day) > domain.MoveReach {
			next, _ := cal.NextPickup(carrier, day.Add(1))
			return 0, domain.Faults{{Place: "to", Code: "no_pickup", Args: map[string]any{"day": to, "carrier": carrier, "next": next}}}
		}
		w, err := b.week(tx, day)
		if err != nil {
			return 0, err
		}
		moved := map[string]bool{}
		for _, l := range w.Lines {
			if l.Carrier == carrier && l.Pickup == day && !moved[l.Base] {
				moved[l.Base] = true
				if err := moveLine(tx, l.Base, to); err != nil {
					return 0, err
				}
			}
		}
		if len(moved) == 0 {
			return 0, domain.Refuse(domain.ErrNotFound, "pickup", domain.PickupID(carrier, day))
		}
		return len(moved), nil
	})
}

func moveLine(tx *store.Tx, line string, to domain.Day) error {
	was, err := decision(tx, line)
	if err != nil {
		return err
	}
	now := was.Value
	now.MovedTo = to
	if was.Rev == 0 {
		_, err = store.Decisions.Create(tx, now)
	} else {
		_, err = store.Decisions.Replace(tx, now, was.Rev)
	}
	return err
}

// CameBack notes cases that came back. Those that can be sold again take their
// contents and age from the packing their traceability lot code names.
func (b *Book) CameBack(ctx context.Context, who Person, r domain.Return, why string) (Record[domain.Return], error) {
	if err := who.ask(MayPack); err != nil {
		return Record[domain.Return]{}, err
	}
	return store.Write(ctx, b.store, who.act(Note{Why: why}), func(tx *store.Tx) (Record[domain.Return], error) {
		r.At = tx.Now
		faults := domain.Check(r)
		for _, err := range []error{
			known(tx, store.Customers, &faults, "customer", r.Customer),
			known(tx, store.Products, &faults, "product", r.Product),
		} {
			if err != nil {
				return Record[domain.Return]{}, err
			}
		}
		if faults == nil && r.Became == "stock" && (r.Pulled == 0 || len(r.Contents) == 0) {
			run, err := findRun(tx, r.Trace)
			if err != nil {
				return Record[domain.Return]{}, err
			}
			if run == nil {
				faults.Add("trace", "needed_for_stock")
			} else {
				r.Contents, r.Pulled = run.Contents, oldest(run)
			}
		}
		if faults != nil {
			return Record[domain.Return]{}, faults
		}
		var err error
		if r.ID, err = nextID(tx, store.Returns, "R"); err != nil {
			return Record[domain.Return]{}, err
		}
		return store.Returns.Create(tx, r)
	})
}

// findRun is the packed run of a traceability lot code, or nil.
func findRun(tx *store.Tx, trace string) (*domain.PackedRun, error) {
	r, err := readRecords(tx, tx.Now)
	if err != nil {
		return nil, err
	}
	for _, p := range r.packings {
		for i := range p.Runs {
			if trace != "" && p.Runs[i].Trace == trace {
				return &p.Runs[i], nil
			}
		}
	}
	return nil, nil
}

func oldest(run *domain.PackedRun) domain.Day {
	day := run.Lots[0].Pulled
	for _, l := range run.Lots {
		day = min(day, l.Pulled)
	}
	return day
}

// nextID is the next number of a kind of event.
func nextID[T any](tx *store.Tx, kind store.Kind[T], letter string) (string, error) {
	all, err := kind.List(tx, Query{Ended: true})
	return letter + strconv.Itoa(len(all)+1), err
}

// mayOne refuses a person who has none of the rights.
func mayOne(who Person, rights ...Right) error {
	for _, r := range rights {
		if who.ask(r) == nil {
			return nil
		}
	}
	return who.ask(rights[0])
}
