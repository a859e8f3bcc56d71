package packing

import (
	"cmp"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// harvest is the lifting of all bed lots, lot by lot.
type harvest struct {
	*bench
	needs [][]need // lot -> in order; empty for lots that nobody takes from
	moved []map[domain.Day]move
	stays []stay
}

// readNeeds reads from the lines' own heads what each bed lot must give, when.
func (w *bench) readNeeds() *harvest {
	h := &harvest{bench: w, needs: make([][]need, len(w.Lots)),
		moved: make([]map[domain.Day]move, len(w.Lots))}
	for i, parts := range w.heads {
		line := &w.Lines[i]
		for _, part := range parts {
			lot := part.lot
			if w.Lots[lot].Place != planning.Bed {
				continue
			}
			day, ok := w.PullFor(lot, line.Pickup, w.Lead(line))
			if !ok {
				panic("packing: a lot for a line that it cannot serve")
			}
			h.needs[lot] = append(h.needs[lot], need{day: day, pickup: line.Pickup,
				pack: w.PackDay(line.Pickup, w.Lead(line)), minShelf: line.MinShelfDays, heads: part.heads})
		}
	}
	for lot := range h.needs {
		h.needs[lot] = gather(h.needs[lot])
	}
	return h
}

// gather puts needs in order and joins those alike.
func gather(needs []need) []need {
	slices.SortFunc(needs, compareNeeds)
	joined := needs[:0]
	for _, n := range needs {
		if last := len(joined) - 1; last >= 0 && compareNeeds(joined[last], n) == 0 {
			joined[last].heads += n.heads
		} else {
			joined = append(joined, n)
		}
	}
	return joined
}

// stand is a lot before anything is lifted, with so many heads in its bed.
func (w *bench) stand(lot, heads int) *standing {
	s := &standing{w: w, variety: w.Of[lot], heads: heads}
	if rafts := w.Lots[lot].Rafts; rafts != nil {
		s.rafts = *rafts
	}
	return s
}

// printPulls writes the pulls, by day, bed and place in it, and keeps what then
// lies in the cooler.
func (h *harvest) printPulls() {
	rows := 0
	for _, needs := range h.needs {
		rows += mornings(needs)
	}
	h.plan.Pulls = slices.Grow(h.plan.Pulls, rows)
	for lot, needs := range h.needs {
		if len(needs) == 0 {
			continue
		}
		expected, stays := h.liftAndHold(lot, needs)
		h.stays = append(h.stays, stays...)
		cautious := h.stand(lot, h.Lots[lot].Cautious()).liftAll(needs)
		for i, l := range expected {
			h.printPull(lot, l, max(l.rafts, cautious[i].rafts))
		}
	}
	slices.SortFunc(h.plan.Pulls, func(x, y planning.Pull) int {
		a, b := &h.Lots[h.LotIx[x.Lot]], &h.Lots[h.LotIx[y.Lot]]
		return cmp.Or(cmp.Compare(x.Day, y.Day), cmp.Compare(a.BedName, b.BedName),
			cmp.Compare(placeInBed(a), placeInBed(b)), cmp.Compare(x.Lot, y.Lot))
	})
	h.nameInFront()
}

// liftAndHold lifts a lot for its needs, and says what then lies in the cooler.
func (w *bench) liftAndHold(lot int, needs []need) ([]lift, []stay) {
	s := w.stand(lot, w.Lots[lot].Heads)
	s.keep = true
	lifts := s.liftAll(needs)
	s.leaveRests()
	return lifts, s.stays
}

func (h *harvest) printPull(lot int, l lift, upTo domain.HalfRafts) {
	if l.stopAt == 0 && upTo == 0 {
		return
	}
	p := planning.Pull{Day: l.day, Lot: h.Lots[lot].Code, Variety: h.Lots[lot].Variety, Heads: l.heads,
		StopAt: l.stopAt, Rafts: l.rafts, RaftsUpTo: upTo, HeadsLifted: l.lifted}
	if m, moved := h.moved[lot][l.day]; moved {
		p.MovedFrom, p.MovedHeads, p.MovedWhy = m.from, m.heads, m.why
	}
	h.plan.Pulls = append(h.plan.Pulls, p)
	if l.lifted < l.onRafts {
		h.warn(raftInPart(h.bench, lot, l))
	}
}

// placeInBed is where a lot stands in its bed, those without a place last.
func placeInBed(l *planning.Lot) int {
	if l.At == nil {
		return unnamed
	}
	return *l.At
}

// nameInFront names, for every pull, the lots that stand nearer the harvest end
// of the bed and still hold heads when that day's lifting is done, and warns
// where some of them are not ready by then, or past their last day.
func (h *harvest) nameInFront() {
	beds := map[string][]int{}
	for lot := range h.Lots {
		if l := &h.Lots[lot]; l.Place == planning.Bed && l.BedName != "" && l.At != nil && l.Heads > 0 {
			beds[l.BedName] = append(beds[l.BedName], lot)
		}
	}
	for _, lots := range beds {
		slices.SortFunc(lots, func(x, y int) int {
			return cmp.Or(cmp.Compare(*h.Lots[x].At, *h.Lots[y].At), cmp.Compare(h.Lots[x].Code, h.Lots[y].Code))
		})
	}
	left := make([]int, len(h.Lots))
	for lot := range h.Lots {
		left[lot] = h.Lots[lot].Heads
	}
	pulls := h.plan.Pulls
	for first := 0; first < len(pulls); {
		end := first
		for ; end < len(pulls) && pulls[end].Day == pulls[first].Day; end++ {
			left[h.LotIx[pulls[end].Lot]] -= pulls[end].HeadsLifted
		}
		for ; first < end; first++ {
			h.nameInFrontOf(&pulls[first], beds, left)
		}
	}
}

func (h *harvest) nameInFrontOf(p *planning.Pull, beds map[string][]int, left []int) {
	own := &h.Lots[h.LotIx[p.Lot]]
	if own.At == nil || p.StopAt == 0 {
		return
	}
	heads, stuck := 0, []string(nil)
	for _, other := range beds[own.BedName] {
		l := &h.Lots[other]
		if *l.At >= *own.At || left[other] == 0 {
			continue
		}
		p.InFront = append(p.InFront, l.Code)
		if p.Day < l.Ready || p.Day > l.Last {
			heads += left[other]
			stuck = append(stuck, l.Code)
		}
	}
	if heads > 0 {
		h.warn(lotInFront(p, heads, stuck))
	}
}
