package growth

import (
	"cmp"
	"slices"
	"time"

	"headtally/domain"
	"headtally/domain/planning"
)

// behindCounted is the place in a bed from which batches are numbered: what was
// counted ready stands nearer the harvest end.
const behindCounted = 100_000

// batches makes lots of what the batches are projected to give, where no count
// has overridden them.
func (h *house) batches(x *Figures) {
	open := x.Project()
	groups, order := map[walkKey][]piece{}, []walkKey{}
	for i := range open {
		h.sourced(x, &open[i])
		for _, p := range x.pieces(&open[i]) {
			key := h.walked(x, p)
			if groups[key] == nil {
				order = append(order, key)
			}
			groups[key] = append(groups[key], p)
		}
	}
	for _, key := range order {
		pieces := groups[key]
		if key.walk > 0 {
			pieces = h.overridden(x, key, pieces)
		}
		for _, p := range pieces {
			h.pieceLot(p, Source{})
		}
	}
	h.knownByBatches(x)
	h.placed()
}

// walkKey is what a count is held against: the pieces of one variety in one
// bed, or in the whole house where all of it was walked.
type walkKey struct {
	walk    int // 1 is the first count; 0 none
	bed     string
	variety string
}

// walked is the last count that saw a piece: one that walked its bed on the day
// it was set or later.
func (h *house) walked(x *Figures, p piece) walkKey {
	key := walkKey{variety: p.Batch.Variety}
	if p.bed == "" {
		return key
	}
	for i := len(h.walks) - 1; i >= 0 && h.walks[i].Day >= p.set; i-- {
		c := h.walks[i]
		if c.Whole {
			return walkKey{i + 1, "", key.variety}
		}
		if slices.ContainsFunc(c.Beds, func(b domain.BedCount) bool { return x.bed(b.Bed) == p.bed }) {
			return walkKey{i + 1, p.bed, key.variety}
		}
	}
	return key
}

// overridden leaves of a group's pieces what its count did not speak of. Rafts
// counted are those of the pieces that are projected first; what was projected
// ready by the last day the count spoke of and was not found is expected on the
// harvest day after that, and is not counted on.
func (h *house) overridden(x *Figures, key walkKey, pieces []piece) (left []piece) {
	c := h.walks[key.walk-1]
	speaks := h.speaks(c)
	slices.SortStableFunc(pieces, func(a, b piece) int { return cmp.Or(cmp.Compare(a.ready, b.ready), cmp.Compare(a.set, b.set)) })
	rafts, heads := h.found(x, c, key)
	differs := Difference{Count: c.ID, Day: c.Day, Bed: key.bed, Variety: key.variety, Until: speaks, Counted: domain.Heads(heads)}
	then, _ := h.cal.NextLift(speaks.Add(1))
	for _, p := range pieces {
		p.asWalked(x, c)
		due := p.ready <= speaks
		if due {
			differs.Projected += domain.Heads(p.heads)
		}
		n := min(rafts, p.rafts)
		rafts -= n
		if p.rafts -= n; p.rafts == 0 {
			continue
		}
		p.heads, p.cautious = p.heads*int(p.rafts)/int(p.rafts+n), p.cautious*int(p.rafts)/int(p.rafts+n)
		if !due {
			left = append(left, p)
			continue
		}
		p.ready, p.cautious = then, 0
		h.pieceLot(p, Source{Count: c.ID, NotReady: true})
	}
	if differs.Projected > 0 || differs.Counted > 0 {
		h.stock.Differs = append(h.stock.Differs, differs)
	}
	return left
}

// asWalked brings a piece back to what stood when a count was told: what was
// lifted since comes off the count's own lots.
func (p *piece) asWalked(x *Figures, c *domain.Count) {
	since := domain.HalfRafts(0)
	for _, l := range p.Batch.Lifts {
		if x.bed(l.Bed) == p.bed && l.At.After(c.At) {
			since += l.Rafts
		}
	}
	if p.rafts > 0 {
		p.heads, p.cautious = p.heads*int(p.rafts+since)/int(p.rafts), p.cautious*int(p.rafts+since)/int(p.rafts)
	}
	p.rafts += since
	p.since = c.At
}

// found is the rafts a count found of a variety in a bed, poor ones too, and the
// good heads on them. Heads told without rafts stand on as few as can be.
func (h *house) found(x *Figures, c *domain.Count, key walkKey) (rafts domain.HalfRafts, heads int) {
	sites := int(x.growing.RaftSites)
	for _, b := range c.Beds {
		if b.Variety != key.variety || key.bed != "" && x.bed(b.Bed) != key.bed {
			continue
		}
		v := h.varieties[b.Variety]
		told := b.RaftsNow + b.RaftsNext + b.RaftsAfter
		loose := int(b.HeadsNow + b.HeadsNext + b.HeadsAfter)
		if told == 0 {
			rafts += domain.HalfRafts((2*loose + sites - 1) / sites)
		}
		rafts += told
		if v != nil && loose == 0 {
			loose = int(told-min(b.Poor, told)) * int(h.perRaft(b.HeadsPerRaft, v)) / 2
		}
		heads += loose
	}
	return rafts, heads
}

// pieceLot makes the lot of one piece; what is over already makes none.
func (h *house) pieceLot(p piece, from Source) {
	e := &p.Chosen
	last := max(e.Last.Add(p.ready.Sub(e.Ready)), p.ready)
	if from.NotReady {
		last = max(e.Last, p.ready)
	}
	if p.heads == 0 || last < h.asOf || h.varieties[p.Batch.Variety] == nil {
		return
	}
	lot := planning.Lot{Code: LotCode(p.Batch.Code, p.bed), Variety: p.Batch.Variety, Place: planning.Bed, Heads: p.heads,
		CautiousHeads: &p.cautious, Ready: p.ready, Last: last, BedName: p.bed}
	if p.rafts > 0 {
		lot.Rafts = &p.rafts
	}
	from.Batch, from.Method, from.Batches, from.Told = p.Batch.Code, e.Method, e.Batches, p.set
	from.Late = max(e.Late.Add(p.ready.Sub(e.Ready)), p.ready)
	if p.bed == "" {
		from.Told = p.Batch.Sown
	}
	h.stock.Lots = append(h.stock.Lots, lot)
	h.stock.From[lot.Code] = from
	h.stock.Since[lot.Code] = p.since
}

// LotCode is the code of a batch's heads in a bed, or in trays where no bed is
// named.
func LotCode(batch, bed string) string {
	if bed == "" {
		return batch
	}
	return batch + "/" + bed
}

// lastLift is when the last lifting of a batch was told, which its projection
// knows of.
func lastLift(b *domain.Batch) (at time.Time) {
	for _, l := range b.Lifts {
		if l.At.After(at) {
			at = l.At
		}
	}
	return at
}

// placed numbers the batches' lots of each bed in the order they were set.
func (h *house) placed() {
	inBed := map[string]int{}
	order := make([]int, 0, len(h.stock.Lots))
	for i, l := range h.stock.Lots {
		if h.stock.From[l.Code].Batch != "" && l.BedName != "" {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := h.stock.Lots[i].Code, h.stock.Lots[j].Code
		return cmp.Or(cmp.Compare(h.stock.From[a].Told, h.stock.From[b].Told), cmp.Compare(a, b))
	})
	for _, i := range order {
		l := &h.stock.Lots[i]
		place := behindCounted + inBed[l.BedName]
		inBed[l.BedName]++
		l.At = &place
	}
}

// knownByBatches notes the days about which a farm that records its sowings
// knows: heads ready on them would have been sown between its first sowing on
// record and today.
func (h *house) knownByBatches(x *Figures) {
	first := map[string]domain.Day{}
	for _, e := range x.holding {
		if e.Step == domain.Sown && e.Day <= h.asOf && first[e.Variety] == 0 {
			first[e.Variety] = e.Day
		}
	}
	for variety, sown := range first {
		from := sown.Add(x.leg(variety, whole, sown).Late)
		to := h.asOf.Add(x.leg(variety, whole, h.asOf).Expected())
		if from <= to {
			h.stock.Known[variety] = append(h.stock.Known[variety], Span{from, to})
		}
	}
}

// sourced names the figures that were taken because the farm told none.
func (h *house) sourced(x *Figures, p *Projection) {
	if p.Chosen.Method != Told || len(x.profiles) > 0 {
		return
	}
	now := x.growing.Figures
	for code, value := range map[string]int{"nursery_days": now.NurseryDays, "bed_days": now.BedDays,
		"good_seedlings": now.GoodSeedlings, "good_heads": now.GoodHeads} {
		h.assumed[domain.Assumption{Code: code, Value: value}] = true
	}
}

// bringCounted moves the days of what was counted not yet ready by what was
// said of its variety since.
func (h *house) bringCounted(x *Figures) {
	for _, e := range x.holding {
		if e.Step != domain.Brought || e.Day > h.asOf {
			continue
		}
		for i := range h.stock.Lots {
			l := &h.stock.Lots[i]
			told := h.stock.From[l.Code].Told
			if l.Variety == e.Variety && l.Ready > e.Day && (told < e.Day || told == e.Day && h.stock.Since[l.Code].Before(e.At)) {
				was := l.Ready
				l.Ready = max(l.Ready.Add(e.Days), e.Day)
				l.Last = max(l.Last.Add(l.Ready.Sub(was)), l.Ready)
			}
		}
	}
}
