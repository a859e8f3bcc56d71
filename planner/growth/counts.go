package growth

import (
	"cmp"
	"slices"
	"strconv"
	"time"

	"headtally/domain"
	"headtally/domain/planning"
)

// row is one row of a count, with the count's days.
type row struct {
	domain.BedCount
	day, next, after domain.Day
	count            string // its id
	at               time.Time
}

// take reads one count over the earlier ones: it replaces every bed it names,
// all of them when the whole house was walked, and the cooler when that was
// counted.
func (h *house) take(c domain.Count) {
	if c.Whole || h.beds == nil {
		h.beds = map[string][]row{}
	}
	next, after := h.nextLifts(c.Day)
	for _, b := range c.Beds {
		h.beds[b.Bed] = nil
	}
	for _, b := range c.Beds {
		h.beds[b.Bed] = append(h.beds[b.Bed], row{b, c.Day, next, after, c.ID, c.At})
	}
	speaks := h.speaks(&c)
	for code := range h.varieties {
		if c.Whole || slices.ContainsFunc(c.Beds, func(b domain.BedCount) bool { return b.Variety == code }) {
			h.stock.Known[code] = append(h.stock.Known[code], Span{c.Day, speaks})
		}
	}
	if c.Cooler {
		h.cooler = &c
	}
}

// nextLifts are the two harvest days after a walk.
func (h *house) nextLifts(walk domain.Day) (next, after domain.Day) {
	next, _ = h.cal.NextLift(walk.Add(1))
	after, _ = h.cal.NextLift(next.Add(1))
	return next, after
}

// speaks is the last harvest day of which a count says anything.
func (h *house) speaks(c *domain.Count) domain.Day {
	_, after := h.nextLifts(c.Day)
	return cmp.Or(c.SpeaksTo, after)
}

// bedLots makes up to three lots of one row: what can be lifted from the day
// of the walk, from the next harvest day, and from the one after.
func (h *house) bedLots(row row, nth int) {
	v := h.varieties[row.Variety]
	if v == nil {
		return
	}
	poor := row.Poor
	for stage, s := range []struct {
		letter string // which of the row's three lots, in its code
		rafts  domain.HalfRafts
		heads  domain.Heads
		ready  domain.Day
	}{{"a", row.RaftsNow, row.HeadsNow, row.day}, {"b", row.RaftsNext, row.HeadsNext, row.next}, {"c", row.RaftsAfter, row.HeadsAfter, row.after}} {
		sorry := min(poor, s.rafts)
		poor -= sorry
		rafts := s.rafts - sorry
		heads := s.heads
		if heads == 0 {
			heads = domain.Heads(rafts) * h.perRaft(row.HeadsPerRaft, v) / 2
		}
		if heads == 0 || s.ready == 0 {
			continue
		}
		lot := planning.Lot{Code: row.Bed + "/" + row.Variety + "/" + row.count + "." + strconv.Itoa(nth+1) + s.letter, Variety: row.Variety, Place: planning.Bed,
			Heads: int(heads), CautiousHeads: h.cautious(heads, v), Ready: s.ready, BedName: row.Bed,
			Last: cmp.Or(row.LastDay, s.ready.Add(h.figure("ready_days", v.ReadyDays, h.farm.ReadyDays)-1))}
		lot.Last = max(lot.Last, lot.Ready)
		if rafts > 0 {
			lot.Rafts = &rafts
		}
		place := 3*nth + stage
		if row.Place != nil {
			place = 3**row.Place + stage
		}
		lot.At = &place
		h.stock.Lots = append(h.stock.Lots, lot)
		h.stock.Since[lot.Code] = row.at
		h.stock.From[lot.Code] = Source{Count: row.count, Told: row.day}
	}
}

// chilled makes the lots of loose heads and the packed cases in the cooler.
func (h *house) chilled(c *domain.Count) {
	h.stock.CoolerSince = c.At
	for i, l := range c.Loose {
		if l.Heads > 0 {
			heads := int(l.Heads)
			h.stock.Lots = append(h.stock.Lots, planning.Lot{Code: "cooler/" + l.Variety + "/" + c.ID + "." + strconv.Itoa(i+1),
				Variety: l.Variety, Place: planning.Chilled, Heads: heads, Pulled: l.Pulled})
		}
	}
	for i, p := range c.Packed {
		if p.Cases == 0 {
			continue
		}
		h.stock.Packed = append(h.stock.Packed, planning.Packed{Code: c.PackedCode(i),
			Product: p.Product, Cases: int(p.Cases), Contents: h.contents(p), Pulled: p.Pulled, Line: p.Line})
	}
}

// contents are a packed case's heads: as told, else the product's first choices.
func (h *house) contents(p domain.PackedCount) (list []planning.VarietyHeads) {
	told := p.Contents
	if len(told) == 0 {
		h.assumed[domain.Assumption{Code: "packed_first_choice", What: p.Product}] = true
		if product := h.products[p.Product]; product != nil {
			for _, s := range product.Slots {
				told = append(told, domain.VarietyHeads{Variety: s.Accept[0], Heads: s.Heads})
			}
		}
	}
	for _, c := range told {
		i := slices.IndexFunc(list, func(v planning.VarietyHeads) bool { return v.Variety == c.Variety })
		if i < 0 {
			list = append(list, planning.VarietyHeads{Variety: c.Variety, Heads: int(c.Heads)})
		} else {
			list[i].Heads += int(c.Heads)
		}
	}
	return list
}

// perRaft is the good heads of a raft: as counted, as the variety is known, or
// the farm's.
func (h *house) perRaft(counted *domain.Heads, v *domain.Variety) domain.Heads {
	if counted != nil {
		return *counted
	}
	if v.HeadsPerRaft != nil {
		return *v.HeadsPerRaft
	}
	h.assumed[domain.Assumption{Code: "heads_per_raft", Value: int(h.farm.HeadsPerRaft)}] = true
	return h.farm.HeadsPerRaft
}

// cautious is the heads to count on: so many good in ten, rounded down.
func (h *house) cautious(heads domain.Heads, v *domain.Variety) *int {
	n := int(heads) * h.figure("good_in_ten", v.GoodInTen, h.farm.GoodInTen) / 10
	return &n
}

// figure is a variety's own figure or the farm's default, which is then named.
func (h *house) figure(code string, own *int, usual int) int {
	if own != nil {
		return *own
	}
	h.assumed[domain.Assumption{Code: code, Value: usual}] = true
	return usual
}
