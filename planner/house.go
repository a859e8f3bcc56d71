package planner

import (
	"cmp"
	"maps"
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner/growth"
)

// House is what stands where: beds in walking order, each from the harvest end.
type House struct {
	AsOf    domain.Day
	Beds    []BedView
	Nursery []growth.Projection // in trays, by the day they are to be set
	Overdue []growth.Projection // past their last good day, and nobody said what became of them
	Sites   domain.HalfRafts    // raft sites of all beds; 0 where a bed's are not told
	Free    domain.HalfRafts
	Open    []OpenSites
	Differs []growth.Difference // what the latest walk of each bed found other than projected
}

// BedView is one bed. Rafts enter at one end and leave at the other, so what
// stands first in Rows stands in front of the rest.
type BedView struct {
	Bed   domain.Bed
	Rows  []BedRow
	Taken domain.HalfRafts
	Free  domain.HalfRafts // 0 where its sites are not told
}

// BedRow is one lot as it stands in a bed.
type BedRow struct {
	Lot    planning.Lot
	Source growth.Source
	Behind int // rows in front of it
}

// OpenSites warns of sites that would lie open for more than a day after a
// harvest for want of seedlings.
type OpenSites struct {
	Harvest domain.Day
	Sites   domain.HalfRafts
	Near    []NearEnough // seedlings that are nearly fit, soonest first
}

// NearEnough is seedlings that could be set a few days early.
type NearEnough struct {
	Batch     string
	Variety   string
	Day       domain.Day // on which they are to be set
	Rafts     domain.HalfRafts
	Seedlings int // fit to set, as expected
}

// nearDays is how many days early seedlings may be set.
const nearDays = 4

// openSight is how many days ahead open sites are looked for.
const openSight = 21

// HouseOf is the house as a week's plan sees it.
func HouseOf(f *domain.Facts, w *Week) *House {
	x := growth.Read(f, w.AsOf)
	h := &House{AsOf: w.AsOf, Differs: w.Growth.Differs}
	for _, p := range x.Project() {
		if p.Overdue {
			h.Overdue = append(h.Overdue, p)
		} else if len(p.Batch.Sets) == 0 {
			h.Nursery = append(h.Nursery, p)
		}
	}
	slices.SortStableFunc(h.Nursery, func(a, b growth.Projection) int { return cmp.Compare(a.Chosen.Set, b.Chosen.Set) })
	h.beds(f, w)
	h.sites()
	h.open(w, x)
	return h
}

// beds puts lots into their beds; a bed that is not on record but has heads in
// it comes after those that are.
func (h *House) beds(f *domain.Facts, w *Week) {
	at := map[string]int{}
	for _, b := range f.Beds {
		at[b.Code] = len(h.Beds)
		at[b.Name] = len(h.Beds)
		h.Beds = append(h.Beds, BedView{Bed: b})
	}
	names := map[string]bool{}
	for _, l := range w.Problem.Lots {
		if _, known := at[l.BedName]; !known && l.BedName != "" {
			names[l.BedName] = true
		}
	}
	for _, name := range slices.Sorted(maps.Keys(names)) {
		at[name] = len(h.Beds)
		h.Beds = append(h.Beds, BedView{Bed: domain.Bed{Code: name, Name: name}})
	}
	for _, l := range w.Problem.Lots {
		if l.BedName != "" {
			b := &h.Beds[at[l.BedName]]
			b.Rows = append(b.Rows, BedRow{Lot: l, Source: w.Growth.From[l.Code]})
		}
	}
	for i := range h.Beds {
		rows := h.Beds[i].Rows
		slices.SortStableFunc(rows, func(a, b BedRow) int {
			return cmp.Or(cmp.Compare(place(&a.Lot), place(&b.Lot)), cmp.Compare(a.Lot.Code, b.Lot.Code))
		})
		for k := range rows {
			rows[k].Behind = k
			if rows[k].Lot.Rafts != nil {
				h.Beds[i].Taken += *rows[k].Lot.Rafts
			}
		}
	}
}

// place is where a lot stands in its bed; one that nobody placed stands last.
func place(l *planning.Lot) int {
	if l.At == nil {
		return domain.MaxCount
	}
	return *l.At
}

// sites counts raft sites, where every bed's are told.
func (h *House) sites() {
	told := len(h.Beds) > 0
	for i := range h.Beds {
		b := &h.Beds[i]
		if b.Bed.Rafts == 0 {
			told = false
			continue
		}
		b.Free = max(0, domain.HalfRafts(2*b.Bed.Rafts)-b.Taken)
		h.Sites += domain.HalfRafts(2 * b.Bed.Rafts)
		h.Free += b.Free
	}
	if !told {
		h.Sites, h.Free = 0, 0
	}
}

// open goes through the coming days: rafts leave as the plan pulls them, and
// after the days planned on their last good day; seedlings enter as they are
// fit.
func (h *House) open(w *Week, x *growth.Figures) {
	if h.Sites == 0 {
		return
	}
	leave, enter := h.leaving(w), map[domain.Day]domain.HalfRafts{}
	for _, p := range h.Nursery {
		enter[p.Chosen.Set] += x.RaftsFor(p.Batch)
	}
	free, waiting := h.Free, domain.HalfRafts(0)
	for d := w.AsOf; d <= w.AsOf.Add(openSight); d++ {
		free += leave[d]
		waiting += enter[d]
		set := min(free, waiting)
		free, waiting = free-set, waiting-set
		if still := min(leave[d], free-min(free, enter[d+1])); still > 0 {
			h.Open = append(h.Open, OpenSites{Harvest: d, Sites: still, Near: h.near(x, d.Add(1))})
		}
	}
}

// leaving is the rafts that leave the beds each day.
func (h *House) leaving(w *Week) map[domain.Day]domain.HalfRafts {
	leave, pulled := map[domain.Day]domain.HalfRafts{}, map[string]domain.HalfRafts{}
	for _, p := range w.Plan.Pulls {
		leave[p.Day] += p.Rafts
		pulled[p.Lot] += p.Rafts
	}
	for _, l := range w.Problem.Lots {
		if l.Rafts != nil && l.BedName != "" {
			leave[max(l.Last, w.AsOf)] += max(0, *l.Rafts-pulled[l.Code])
		}
	}
	return leave
}

// near are the seedlings that are to be set within a few days after a day.
func (h *House) near(x *growth.Figures, after domain.Day) (list []NearEnough) {
	for _, p := range h.Nursery {
		if e := p.Chosen; e.Set > after && e.Set <= after.Add(nearDays) {
			list = append(list, NearEnough{p.Batch.Code, p.Batch.Variety, e.Set, x.RaftsFor(p.Batch), x.Seedlings(p.Batch)})
		}
	}
	return list
}
