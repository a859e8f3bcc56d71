package book

import (
	"cmp"
	"context"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/domain/store"
	"headtally/planner/stock"
)

// Recall is what would be called back and whom to ring, were the heads of a
// code bad: every case that can hold a head of the code's lots, of whatever run.
// It changes nothing, so that it can be drilled.
type Recall struct {
	Code    string
	Farm    domain.Farm
	Day     domain.Day // of the drill
	Lots    []TracedLot
	Runs    []TracedRun
	Calls   []RecallCall // whom to ring, who got cases last first
	Unsure  []RecallCall // who got cases without a lot code, which can be of it
	Hold    []RecallHold // what is still here and must not leave
	Names   map[string]string
	Packed  domain.Cases // in all
	Sent    domain.Cases
	Back    domain.Cases
	Gone    domain.Cases // given away, dropped or thrown away
	GoneTo  []TracedGone
	Missing domain.Cases // packed, not here and not recorded as sent or gone
}

// RecallCall is one customer and the cases they got.
type RecallCall struct {
	Customer, Name, Phone string
	Cases                 domain.Cases // in all
	Back                  domain.Cases // of them came back
	Got                   []Sent
}

// RecallHold is packed cases of a lot code, or heads of a lot.
type RecallHold struct {
	Place   planning.Place // "" packed cases
	Trace   string
	Product string
	Cases   domain.Cases
	Lot     string
	Variety string
	Bed     string
	Heads   domain.Heads
}

// Recall drills a recall of a case's lot code, a lot, a batch, a seed lot or all
// that a customer got, as things stand today.
func (b *Book) Recall(ctx context.Context, who Person, code string) (*Recall, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) (*Recall, error) {
		r, err := readRecords(tx, b.now())
		if err != nil {
			return nil, err
		}
		found, err := r.trace(code)
		if err != nil {
			return nil, err
		}
		f, err := farm(tx)
		if err != nil {
			return nil, err
		}
		facts, w, err := b.weekWithFacts(tx, r.today)
		if err != nil {
			return nil, err
		}
		c := r.recall(r.widened(found))
		c.Farm, c.Day = f.Value, r.today
		c.hold(w.Problem, r, stock.Traces(facts, r.today))
		return c, nil
	})
}

// widened is a trace with every other run that took heads of its lots: they are
// as good or bad as those asked for.
func (r *records) widened(t *Trace) *Trace {
	of := map[string]bool{}
	for _, l := range t.Lots {
		of[sameLot(domain.LotTaken{Lot: l.Lot, Pulled: l.Lifted})] = true
	}
	wide := r.follow(t.Code, func(run *domain.PackedRun) bool {
		return slices.ContainsFunc(t.Runs, func(x TracedRun) bool { return x.Trace == run.Trace }) ||
			slices.ContainsFunc(run.Lots, func(l domain.LotTaken) bool { return of[sameLot(l)] })
	})
	wide.Lots = t.Lots // what else those runs hold is not what is called back
	return wide
}

func (r *records) recall(t *Trace) *Recall {
	c := &Recall{Code: t.Code, Lots: t.Lots, Runs: t.Runs, GoneTo: t.Gone, Names: map[string]string{}}
	for _, l := range t.Lots {
		c.Names[l.Variety] = r.variety(l.Variety)
	}
	for _, run := range t.Runs {
		c.Packed += run.Cases
		c.Names[run.Product] = r.product(run.Product)
	}
	c.Calls, c.Unsure = calls(t.Sent), calls(t.Uncoded)
	for i := range c.Calls {
		c.Sent += c.Calls[i].Cases
	}
	for _, x := range t.Returned {
		c.Back += x.Cases
		for i := range c.Calls {
			if c.Calls[i].Customer == x.Customer {
				c.Calls[i].Back += x.Cases
			}
		}
	}
	for _, s := range t.Uncoded {
		c.Names[s.Product] = r.product(s.Product)
	}
	for _, g := range t.Gone {
		c.Gone += g.Cases
	}
	return c
}

// calls gathers what was sent by customer: who got cases last first, for theirs
// are the likeliest still to be there.
func calls(sent []Sent) (list []RecallCall) {
	for _, s := range sent {
		k := slices.IndexFunc(list, func(c RecallCall) bool { return c.Customer == s.Customer })
		if k < 0 {
			k = len(list)
			list = append(list, RecallCall{Customer: s.Customer, Name: s.Name, Phone: s.Phone})
		}
		list[k].Cases += s.Cases
		list[k].Got = append(list[k].Got, s)
	}
	last := func(c RecallCall) domain.Day { return c.Got[len(c.Got)-1].Day }
	slices.SortStableFunc(list, func(a, b RecallCall) int {
		return cmp.Or(cmp.Compare(last(b), last(a)), cmp.Compare(b.Cases, a.Cases), cmp.Compare(a.Name, b.Name))
	})
	return list
}

// hold adds what is still here: packed cases by the plan's own stock, loose
// heads in the cooler, and what stands in the beds.
// Cases without a lot code are held where they may hold a variety of the lots.
func (c *Recall) hold(p *planning.Problem, r *records, codes map[string]string) {
	here := map[string]domain.Cases{}
	for _, x := range p.Packed {
		here[codes[x.Code]] += domain.Cases(x.Cases)
		if codes[x.Code] == "" && slices.ContainsFunc(c.Lots, func(l TracedLot) bool { return r.mayHold(x.Product, l.Variety) }) {
			c.Names[x.Product] = r.product(x.Product)
			c.Hold = append(c.Hold, RecallHold{Product: x.Product, Cases: domain.Cases(x.Cases)})
		}
	}
	seen := map[string]bool{}
	for _, run := range c.Runs {
		if n := here[run.Trace]; n > 0 && !seen[run.Trace] {
			c.Hold = append(c.Hold, RecallHold{Trace: run.Trace, Product: run.Product, Cases: n})
			c.Missing -= n
		}
		seen[run.Trace] = true
	}
	c.Missing += c.Packed - c.Sent - c.Gone + c.restocked(r)
	of := map[string]bool{}
	for _, l := range c.Lots {
		of[l.Lot] = true
	}
	for _, l := range p.Lots {
		source, _ := splitLot(l.Code)
		if of[source] || r.isOf(l.Code, c.Code) {
			c.Names[l.Variety] = r.variety(l.Variety)
			c.Hold = append(c.Hold, RecallHold{Place: l.Place, Lot: l.Code, Variety: l.Variety, Bed: l.BedName, Heads: domain.Heads(l.Heads)})
		}
	}
}

// restocked is cases of the recall that came back to be sold again.
func (c *Recall) restocked(r *records) (n domain.Cases) {
	for _, x := range r.returns {
		if x.Became == "stock" && slices.ContainsFunc(c.Runs, func(run TracedRun) bool { return run.Trace == x.Trace }) {
			n += x.Cases
		}
	}
	return n
}
