package planner

import (
	"cmp"
	"fmt"
	"slices"

	"headtally/domain/planning"
)

// readBack is a plan of the document as the farm reads it: by its own products
// and lines, of which there are so many, with what should be known of the
// recipes typed over. Without any it is the plan itself.
func (h *byHand) readBack(p *planning.Problem, plan *planning.Plan, lines int) *planning.Plan {
	if len(h.of)+len(h.parts) == 0 {
		return plan
	}
	read := *plan
	read.Lines = h.lines(p, plan, lines)
	read.Runs = slices.Clone(plan.Runs)
	for i := range read.Runs {
		h.run(&read.Runs[i])
	}
	read.Warnings = slices.Clone(plan.Warnings)
	for i := range read.Warnings {
		w := &read.Warnings[i]
		w.Line, w.Product = h.line(w.Line), h.farms(w.Product)
	}
	read.Warnings = append(read.Warnings, h.warnings(p, lines)...)
	slices.SortStableFunc(read.Warnings, func(a, b planning.Warning) int {
		order := map[bool]int{true: 0, false: 1}
		return cmp.Or(cmp.Compare(order[a.Code == planning.PromiseBroken], order[b.Code == planning.PromiseBroken]),
			cmp.Compare(max(a.Day, a.Pickup), max(b.Day, b.Pickup)))
	})
	for i := range p.Lines {
		if x := h.of[p.Lines[i].Product]; x != nil {
			read.Totals.Substitution += x.places * fresh(&plan.Lines[i])
		}
	}
	return &read
}

// fresh is the cases of a line that are packed newly.
func fresh(l *planning.LinePlan) int {
	n := l.Filled
	for _, p := range l.Packed {
		n -= p.Cases
	}
	return n
}

// line is the farm's line of a line of the document.
func (h *byHand) line(id string) string {
	if of, part := h.parts[id]; part {
		return of
	}
	return id
}

// farms is the farm's product of a product of the document.
func (h *byHand) farms(code string) string {
	if x := h.of[code]; x != nil {
		return x.product.Code
	}
	return code
}

// lines puts parts to their lines, and heads into the slots of the farm's
// products.
func (h *byHand) lines(p *planning.Problem, plan *planning.Plan, n int) []planning.LinePlan {
	at := map[string]int{}
	read := slices.Clone(plan.Lines[:n])
	for i := range plan.Lines {
		l := plan.Lines[i]
		if x := h.of[p.Lines[i].Product]; x != nil {
			l.Heads = x.inSlots(l.Heads, fresh(&l))
		}
		if i < n {
			at[l.ID] = i
			read[i] = l
			continue
		}
		whole := &read[at[h.parts[l.ID]]]
		whole.Cases, whole.Cut, whole.Filled, whole.Firm = whole.Cases+l.Cases, whole.Cut+l.Cut, whole.Filled+l.Filled, whole.Firm+l.Firm
		whole.Short, whole.Broken, whole.Offer = whole.Short+l.Short, whole.Broken+l.Broken, whole.Offer+l.Offer
		whole.Packed, whole.Heads = slices.Concat(whole.Packed, l.Packed), slices.Concat(whole.Heads, l.Heads)
		whole.Reason = cmp.Or(whole.Reason, l.Reason)
	}
	return read
}

// inSlots puts a line's heads, which stand by the contents' order, into the
// farm's slots.
func (x *exact) inSlots(heads []planning.SlotLot, cases int) []planning.SlotLot {
	read := []planning.SlotLot{}
	room := make([][]int, len(x.slots))
	for c := range room {
		room[c] = slices.Clone(x.slots[c])
		for s := range room[c] {
			room[c][s] *= cases
		}
	}
	for _, lot := range heads {
		for s := range room[lot.Slot] {
			if n := min(lot.Heads, room[lot.Slot][s]); n > 0 {
				read = append(read, planning.SlotLot{Lot: lot.Lot, Variety: lot.Variety, Slot: s, Heads: n})
				room[lot.Slot][s] -= n
				lot.Heads -= n
			}
		}
	}
	slices.SortStableFunc(read, func(a, b planning.SlotLot) int { return cmp.Compare(a.Slot, b.Slot) })
	return read
}

func (h *byHand) run(r *planning.Run) {
	if x := h.of[r.Product]; x != nil {
		r.Product, r.ByHand = x.product.Code, x.recipe
	}
	r.Lines, r.DropFirst = slices.Clone(r.Lines), slices.Clone(r.DropFirst)
	for i := range r.Lines {
		r.Lines[i].ID = h.line(r.Lines[i].ID)
	}
	for i := range r.DropFirst {
		r.DropFirst[i] = h.line(r.DropFirst[i])
	}
}

// warnings say which customers a recipe by hand does not suit: those that refuse
// one of its varieties get none of it, and those that take the first choices
// alone, or want to be asked, get something else.
func (h *byHand) warnings(p *planning.Problem, lines int) (list []planning.Warning) {
	for i := range lines {
		l := &p.Lines[i]
		x := h.of[l.Product]
		if x == nil || !x.recipe || l.Cases == 0 {
			continue
		}
		code, varieties := planning.RecipeRefused, x.refused(l.Refuse)
		if len(varieties) == 0 && (l.Substitutes == planning.SubstituteAsk || l.Substitutes == planning.SubstituteNever) {
			code, varieties = planning.RecipeSubstitutes, x.instead()
		}
		for _, v := range varieties {
			list = append(list, planning.Warning{Code: code, Pickup: l.Pickup, Line: l.ID, Customer: l.Customer, Product: x.product.Code, Variety: v,
				Needed: float64(l.Cases), Text: fmt.Sprintf(unsuited[code], l.Pickup, cmp.Or(x.product.Name, x.product.Code), v, l.Customer)})
		}
	}
	return list
}

// unsuited is the sentence of a recipe and a line that do not go together: day,
// product, variety, customer.
var unsuited = map[planning.WarningCode]string{
	planning.RecipeRefused:     "%s: the recipe by hand of %s holds %s, which %s never gets",
	planning.RecipeSubstitutes: "%s: the recipe by hand of %s holds %s, which is no first choice, and %s takes no other",
}

func (x *exact) refused(refuse []string) (codes []string) {
	for _, c := range x.contents {
		if slices.Contains(refuse, c.Variety) {
			codes = append(codes, c.Variety)
		}
	}
	return codes
}

// instead is the varieties of a recipe that stand in for a first choice.
func (x *exact) instead() (codes []string) {
	for i, c := range x.contents {
		for s, heads := range x.slots[i] {
			if heads > 0 && placeIn(&x.product.Slots[s], c.Variety) > 0 && !slices.Contains(codes, c.Variety) {
				codes = append(codes, c.Variety)
			}
		}
	}
	return codes
}

// Quote is Standing.Quote of the farm's own product: on each day as it is packed
// then.
func (w *Week) Quote(line planning.Line) (Promise, planning.Faults) {
	return w.Standing.quote(line, w.hand.product)
}

// QuoteDay is Quote for the line's own day alone: FirstDay is that day or none.
func (w *Week) QuoteDay(line planning.Line) (Promise, planning.Faults) {
	return w.Standing.quoteDay(line, w.hand.product)
}

// Without is Standing.Without by the farm's own products and lines.
func (w *Week) Without(lots ...string) ([]Hit, planning.Faults) {
	hits, faults := w.Standing.Without(lots...)
	for i := range hits {
		hits[i].Line, hits[i].Product = w.hand.line(hits[i].Line), w.hand.farms(hits[i].Product)
	}
	return hits, faults
}
