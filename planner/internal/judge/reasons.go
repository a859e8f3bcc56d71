package judge

import (
	"headtally/domain"
	"headtally/domain/planning"
)

// reason says why a line was refused its next case, or all that it lacked,
// beside exactly what is granted now.
func (r *round) reason(i int) *planning.Reason {
	l := &r.p.Lines[i]
	k, lacks := r.kindOf(l), r.lacks(i)
	step := r.step(i, asked(l))
	if !r.canBeMade(k) {
		return &planning.Reason{Code: planning.CannotBeMade}
	}
	missing := r.net.with(k, step).fill()
	if r.room(i) < step && missing == 0 {
		return &planning.Reason{Code: planning.CoolerFull}
	}
	if _, ok := r.fits(undated(k), step); ok {
		return &planning.Reason{Code: planning.NoneFreshEnough}
	}
	why := &planning.Reason{Code: planning.NotEnoughReady, HeadsMissing: missing,
		HeadsMissingAll: r.net.with(k, lacks).fill()}
	for v := range r.p.Varieties {
		if r.wouldHelp(k, v, step, missing) {
			why.Varieties = append(why.Varieties, r.p.Varieties[v].Code)
			why.NextReady = earlier(why.NextReady, r.nextReady(v, l.Pickup.Add(-r.lead(l))))
		}
	}
	return why
}

// wouldHelp says whether one more head of a variety, usable by this kind
// alone, would have left fewer heads missing.
func (r *round) wouldHelp(k kind, variety, step, missing int) bool {
	n := r.net.with(k, step)
	a, accepted := n.extra[n.kinds[k]][variety]
	if !accepted {
		return false
	}
	n.room[a]++
	return n.fill() < missing
}

// nextReady is the first day after one on which a bed lot of the variety
// becomes ready.
func (r *round) nextReady(variety int, after domain.Day) (next domain.Day) {
	for _, lot := range r.p.Lots {
		if lot.Place == planning.Bed && r.variety[lot.Variety] == variety && lot.Heads > 0 && lot.Ready > after {
			next = earlier(next, lot.Ready)
		}
	}
	return next
}

func earlier(a, b domain.Day) domain.Day {
	if a.IsZero() || !b.IsZero() && b < a {
		return b
	}
	return a
}
