// Package stock brings what was counted up to date with what was done since:
// rafts lifted, cases packed, heads that went elsewhere, trucks that left, cases
// that came back. What was done before a count is in it already.
//
// A packing day that was issued counts as done as printed once it is over, for
// the house works from the paper: its lifting where nobody told a lift, and its
// packing where nobody told one, as far as the heads go that were lifted. That
// is named among the assumptions.
package stock

import (
	"cmp"
	"slices"
	"time"

	"headtally/domain"
	"headtally/domain/planning"
)

// Held is what can be given to orders, and since when each figure is known.
type Held struct {
	Lots        []planning.Lot
	Packed      []planning.Packed
	Since       map[string]time.Time // bed lot -> when it was told
	CoolerSince time.Time            // when what lay in the cooler was told
	Assumed     []domain.Assumption
}

// Now is what is held on asOf, before that day's lifting unless it is recorded.
func Now(h Held, f *domain.Facts, asOf domain.Day) Held {
	l := &ledger{held: h, lifts: domain.HoldingLifts(f.Lifts), facts: f, asOf: asOf, traces: Traces(f, asOf), lots: map[string]*planning.Lot{}, packed: map[string]*planning.Packed{}}
	for i := range h.Lots {
		l.addLot(h.Lots[i])
	}
	for i := range h.Packed {
		l.addPacked(h.Packed[i])
	}
	for _, e := range l.events() {
		e.apply()
	}
	return l.done()
}

// LiftedOn says whether the lifting of a day was recorded as done.
func LiftedOn(f *domain.Facts, day domain.Day) bool {
	return slices.ContainsFunc(domain.HoldingLifts(f.Lifts), func(l domain.Lift) bool { return l.Day == day && l.Done })
}

// ChilledCode is the code of a lot's heads once they lie in the cooler.
func ChilledCode(lot string, pulled domain.Day) string { return lot + "@" + pulled.String() }

type ledger struct {
	held   Held
	lifts  []domain.Lift // those that hold
	facts  *domain.Facts
	asOf   domain.Day
	order  []string // lot codes as they came
	lots   map[string]*planning.Lot
	traces map[string]string // packed cases' code -> traceability lot code
	boxes  []string          // codes of packed cases as they came
	packed map[string]*planning.Packed
	took   []domain.Assumption
}

// event is one thing done, and when.
type event struct {
	at    time.Time
	apply func()
}

// events are the things done up to asOf, in the order in which they were told.
func (l *ledger) events() (list []event) {
	done := func(day domain.Day) bool { return day <= l.asOf }
	for _, x := range l.lifts {
		if done(x.Day) {
			list = append(list, event{x.At, func() { l.lift(x.Day, x.At, x.Rows) }})
		}
	}
	for _, x := range l.facts.Packings {
		if done(x.Day) {
			list = append(list, event{x.At, func() { l.pack(x) }})
		}
	}
	for _, x := range l.facts.Departures {
		if done(x.Day) {
			list = append(list, event{x.At, func() { l.depart(x) }})
		}
	}
	for _, x := range l.facts.Returns {
		if done(x.Day) && x.Became == "stock" {
			list = append(list, event{x.At, func() { l.comeBack(x) }})
		}
	}
	cal := l.facts.Calendar()
	for _, x := range Unrecorded(l.facts.Issues, l.lifts, l.facts.Packings, l.asOf) {
		at := cal.At(x.Day, printedIsDone)
		if x.At.After(at) {
			at = x.At
		}
		list = append(list, event{at, func() { l.asPrinted(x, at) }})
	}
	slices.SortStableFunc(list, func(a, b event) int { return a.at.Compare(b.at) })
	return list
}

// Printed is an issue that counts as done as printed: its lifting, its packing,
// or both.
type Printed struct {
	domain.Issue
	Lifted bool
	Packed bool
}

// Unrecorded are the latest issues of packing days before asOf of which no lift
// or no packing was told, by number. A lift that nobody told but which follows
// from a packing is none; neither is a packing that tells only of heads gone.
func Unrecorded(issues []domain.Issue, lifts []domain.Lift, packings []domain.Packing, asOf domain.Day) []Printed {
	latest := map[domain.Day]*Printed{}
	for _, x := range issues {
		if was := latest[x.Day]; x.Day < asOf && (was == nil || x.Number > was.Number) {
			latest[x.Day] = &Printed{x, true, true}
		}
	}
	for _, x := range lifts {
		if p := latest[x.Day]; p != nil && !x.AsPlanned {
			p.Lifted = false
		}
	}
	for _, x := range packings {
		if p := latest[x.Day]; p != nil && !x.GoneOnly {
			p.Packed = false
		}
	}
	list := make([]Printed, 0, len(latest))
	for _, p := range latest {
		if p.Lifted || p.Packed {
			list = append(list, *p)
		}
	}
	slices.SortFunc(list, func(a, b Printed) int { return cmp.Compare(a.Number, b.Number) })
	return list
}

// PrintedPulls are the rows of an issue's lifting that counts as done, less what
// already follows from packings told since it was printed.
func PrintedPulls(x domain.Issue, lifts []domain.Lift) []domain.LiftRow {
	pulls := slices.Clone(x.Pulls)
	for _, l := range lifts {
		if l.Day != x.Day || !l.AsPlanned || l.At.Before(x.At) {
			continue
		}
		for _, r := range l.Rows {
			for i := range pulls {
				if p := &pulls[i]; p.Lot == r.Lot {
					p.Heads, p.Rafts = max(0, p.Heads-r.Heads), max(0, p.Rafts-r.Rafts)
				}
			}
		}
	}
	return slices.DeleteFunc(pulls, func(r domain.LiftRow) bool { return r.Heads == 0 && r.Rafts == 0 })
}

// PrintedPacking is the packing of an issue that counts as done.
func PrintedPacking(x domain.Issue, at time.Time) domain.Packing {
	return domain.Packing{ID: "printed" + x.ID, Day: x.Day, Runs: x.Runs, At: at}
}

// printedIsDone is the hour by which a printed day of which nothing was told
// counts as done: a walk told before it is a walk before the lifting (common
// practice: rafts are lifted in the morning).
const printedIsDone domain.Clock = 12 * 60

// asPrinted takes an issue for done by an instant of its day. A lot that a walk
// has counted anew since the printing is the one now in its bed.
func (l *ledger) asPrinted(x Printed, at time.Time) {
	if x.Lifted {
		pulls := PrintedPulls(x.Issue, l.lifts)
		for i := range pulls {
			if r := &pulls[i]; l.lots[r.Lot] == nil {
				r.Lot = cmp.Or(l.standing(r.Bed, r.Variety), r.Lot)
			}
		}
		l.lift(x.Day, at, pulls)
	}
	if x.Packed {
		p := PrintedPacking(x.Issue, at)
		if !x.Lifted { // true heads were told: no more cases than they make
			p.Runs = l.within(p.Runs)
		}
		l.pack(p)
	}
	l.took = append(l.took, domain.Assumption{Code: "done_as_printed", What: x.Day.String(), Value: x.Number})
}

// within are runs with as many cases as the loose heads make, the first run
// first; of a run with fewer its last lines go without.
func (l *ledger) within(runs []domain.PackedRun) []domain.PackedRun {
	loose := map[string]int{}
	for _, lot := range l.lots {
		if lot.Place == planning.Chilled {
			loose[lot.Variety] += lot.Heads
		}
	}
	list := slices.Clone(runs)
	for i := range list {
		r := &list[i]
		planned := r.Cases
		for _, c := range r.Contents {
			r.Cases = min(r.Cases, domain.Cases(loose[c.Variety]/int(c.Heads)))
		}
		for _, c := range r.Contents {
			loose[c.Variety] -= int(c.Heads) * int(r.Cases)
		}
		if r.Cases < planned {
			r.Lots, r.Lines = ScaledLots(r.Lots, r.Cases, planned), firstCases(r.Lines, r.Cases)
		}
	}
	return list
}

// firstCases are the lines that so many cases reach.
func firstCases(lines []domain.LineCases, cases domain.Cases) (list []domain.LineCases) {
	for _, x := range lines {
		x.Cases = min(x.Cases, cases)
		cases -= x.Cases
		if x.Cases > 0 {
			list = append(list, x)
		}
	}
	return list
}

// ScaledLots is the heads taken from each lot for other cases than planned: of
// each variety so many a case, from the lots in turn; where there are more cases
// the rest comes from the first lot of the variety.
func ScaledLots(lots []domain.LotTaken, cases, planned domain.Cases) []domain.LotTaken {
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
	for i := range out {
		out[i].Heads += need[out[i].Variety]
		need[out[i].Variety] = 0
	}
	return slices.DeleteFunc(out, func(l domain.LotTaken) bool { return l.Heads == 0 })
}

// standing is the lot of a variety in a bed that is ready first, or "".
func (l *ledger) standing(bed, variety string) (code string) {
	for _, c := range l.order {
		lot := l.lots[c]
		if lot.Place == planning.Bed && lot.BedName == bed && lot.Variety == variety && lot.Heads > 0 && (code == "" || lot.Ready < l.lots[code].Ready) {
			code = c
		}
	}
	return code
}

// lift takes heads out of bed lots and lays the good ones into the cooler. A
// lot told after the lifting knows it already.
func (l *ledger) lift(day domain.Day, at time.Time, rows []domain.LiftRow) {
	for _, r := range rows {
		if lot := l.lots[r.Lot]; lot != nil && lot.Place == planning.Bed && l.held.Since[r.Lot].Before(at) {
			takeOut(lot, r)
		}
		if r.Heads > 0 && l.held.CoolerSince.Before(at) {
			l.chill(planning.Lot{Code: ChilledCode(r.Lot, day), Variety: r.Variety, Place: planning.Chilled, Heads: int(r.Heads), Pulled: day})
		}
	}
}

// takeOut lowers a bed lot by what was lifted: by its rafts where they are
// told, else by heads.
func takeOut(lot *planning.Lot, r domain.LiftRow) {
	cautious := lot.Cautious()
	if lot.Rafts != nil && r.Rafts > 0 {
		left := max(0, *lot.Rafts-r.Rafts)
		had := *lot.Rafts
		lot.Heads, cautious = lot.Heads*int(left)/int(had), cautious*int(left)/int(had)
		lot.Rafts = &left
	} else {
		gone := int(r.Heads + r.Culls)
		lot.Heads, cautious = max(0, lot.Heads-gone), max(0, cautious-gone)
	}
	if lot.Heads == 0 {
		lot.Rafts = nil
	}
	cautious = min(cautious, lot.Heads)
	lot.CautiousHeads = &cautious
}

// chill adds heads to a cooler lot.
func (l *ledger) chill(lot planning.Lot) {
	if there := l.lots[lot.Code]; there != nil {
		there.Heads += lot.Heads
		return
	}
	l.addLot(lot)
}

// pack takes heads out of cooler lots and adds the cases made of them, then
// takes out the heads that went elsewhere.
func (l *ledger) pack(x domain.Packing) {
	if !l.held.CoolerSince.Before(x.At) {
		return
	}
	for i, run := range x.Runs {
		for _, t := range run.Lots {
			l.takeLoose(t.Lot, t.Variety, x.Day, int(t.Heads))
		}
		l.addRun(x, i, run)
	}
	for _, g := range x.Gone {
		l.takeLoose(g.Lot, g.Variety, x.Day, int(g.Heads))
	}
	for _, g := range x.GoneCases {
		l.takeCases(g)
	}
}

// takeCases takes packed cases of a lot code out of the cooler, spare ones
// first.
func (l *ledger) takeCases(g domain.CasesGone) {
	left := int(g.Cases)
	for _, spare := range []bool{true, false} {
		for _, code := range l.boxes {
			if p := l.packed[code]; l.traces[code] == g.Trace && (p.Line == "") == spare {
				n := min(p.Cases, left)
				p.Cases, left = p.Cases-n, left-n
			}
		}
	}
}

// addRun adds a run's cases: those of each line, then the spare ones.
func (l *ledger) addRun(x domain.Packing, i int, run domain.PackedRun) {
	pulled := x.Day
	for _, t := range run.Lots {
		if t.Pulled != 0 {
			pulled = min(pulled, t.Pulled)
		}
	}
	contents := planning.ContentsOf(run.Contents)
	spare := run.Cases
	add := func(line string, cases domain.Cases) {
		if cases > 0 {
			l.addPacked(planning.Packed{Code: PackedCode(x.ID, i, line), Product: run.Product, Cases: int(cases),
				Contents: contents, Pulled: pulled, Line: line})
		}
	}
	for _, lc := range run.Lines {
		add(lc.Line, min(lc.Cases, spare))
		spare -= min(lc.Cases, spare)
	}
	add("", spare)
}

// PackedCode is the code of a packing's cases of its i-th run for a line.
func PackedCode(packing string, i int, line string) string {
	code := packing + "." + string(rune('A'+i%26))
	for n := i / 26; n > 0; n /= 26 {
		code += string(rune('A' + n%26))
	}
	if line != "" {
		code += "/" + line
	}
	return code
}

// Traces gives the traceability lot code of packed cases by their code, those of
// days before asOf that count as done as printed too. Cases that were counted,
// or came back, without one have "".
func Traces(f *domain.Facts, asOf domain.Day) map[string]string {
	codes := map[string]string{}
	packings := slices.Clone(f.Packings)
	for _, x := range Unrecorded(f.Issues, domain.HoldingLifts(f.Lifts), f.Packings, asOf) {
		if x.Packed {
			packings = append(packings, PrintedPacking(x.Issue, x.At))
		}
	}
	for _, p := range packings {
		for i, r := range p.Runs {
			codes[PackedCode(p.ID, i, "")] = r.Trace
			for _, l := range r.Lines {
				codes[PackedCode(p.ID, i, l.Line)] = r.Trace
			}
		}
	}
	for _, c := range f.Counts {
		for i, p := range c.Packed {
			codes[c.PackedCode(i)] = p.Trace
		}
	}
	for _, r := range f.Returns {
		codes[ReturnedCode(r.ID)] = r.Trace
	}
	return codes
}

// ReturnedCode is the code of cases that came back.
func ReturnedCode(id string) string { return "back/" + id }

// takeLoose takes heads of a lot out of the cooler, or where the lot is not
// there (or not named) of its variety's oldest.
func (l *ledger) takeLoose(code, variety string, day domain.Day, heads int) {
	for _, name := range []string{code, ChilledCode(code, day)} {
		if lot := l.lots[name]; lot != nil && lot.Place == planning.Chilled {
			n := min(lot.Heads, heads)
			lot.Heads -= n
			heads -= n
		}
	}
	for heads > 0 {
		oldest := l.oldest(variety)
		if oldest == nil {
			return // the count was short of them; the next one will say so
		}
		n := min(oldest.Heads, heads)
		oldest.Heads -= n
		heads -= n
	}
}

func (l *ledger) oldest(variety string) (oldest *planning.Lot) {
	for _, code := range l.order {
		lot := l.lots[code]
		if lot.Place == planning.Chilled && lot.Variety == variety && lot.Heads > 0 && (oldest == nil || lot.Pulled < oldest.Pulled) {
			oldest = lot
		}
	}
	return oldest
}

// depart takes out the cases a truck left with.
func (l *ledger) depart(x domain.Departure) {
	if !l.held.CoolerSince.Before(x.At) {
		return
	}
	for _, s := range x.Took {
		if p := l.packed[s.Packed]; p != nil {
			p.Cases = max(0, p.Cases-int(s.Cases))
		}
	}
}

// comeBack adds cases that came back and can be sold again.
func (l *ledger) comeBack(x domain.Return) {
	if !l.held.CoolerSince.Before(x.At) {
		return
	}
	l.addPacked(planning.Packed{Code: ReturnedCode(x.ID), Product: x.Product, Cases: int(x.Cases),
		Contents: planning.ContentsOf(x.Contents), Pulled: x.Pulled})
}

func (l *ledger) addLot(lot planning.Lot) {
	l.order = append(l.order, lot.Code)
	l.lots[lot.Code] = &lot
}

func (l *ledger) addPacked(p planning.Packed) {
	l.boxes = append(l.boxes, p.Code)
	l.packed[p.Code] = &p
}

// done lists what is left. Cases packed for a line whose pickup is over went
// with it, unless its truck was told to have left: then what it did not take is
// still here.
func (l *ledger) done() Held {
	h := Held{Since: l.held.Since, CoolerSince: l.held.CoolerSince, Assumed: append(l.held.Assumed, l.took...)}
	for _, code := range l.order {
		if lot := l.lots[code]; lot.Heads > 0 {
			h.Lots = append(h.Lots, *lot)
		}
	}
	went := l.went()
	for _, code := range l.boxes {
		if p := l.packed[code]; p.Cases > 0 && (p.Line == "" || !went(p.Line)) {
			h.Packed = append(h.Packed, *p)
		}
	}
	return h
}

// went says of a line whether its pickup is over without its truck being told
// to have left. The pickup is on the day the office moved the line to, else the
// one the calendar moved it to, else the one its id names.
func (l *ledger) went() func(line string) bool {
	moved, told, cal := map[string]domain.Day{}, map[string]bool{}, l.facts.Calendar()
	for _, d := range l.facts.Decisions {
		moved[d.Line] = d.MovedTo
	}
	for _, d := range l.facts.Departures {
		told[domain.PickupID(d.Carrier, d.Day)] = true
	}
	return func(line string) bool {
		carrier := domain.CarrierOf(line)
		day := domain.PickupOf(line)
		to, _ := cal.MovedTo(carrier, day)
		day = cmp.Or(moved[domain.BaseOf(line)], to, day)
		return day < l.asOf && !told[domain.PickupID(carrier, day)]
	}
}
