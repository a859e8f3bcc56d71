package allocation

import "slices"

// packedForLines gives the cases packed for a line to it, in order of pulled
// and code. What it does not ask for goes to nobody. They stand there under its
// name, so neither their age nor the line's own rules are asked for; but what is
// no case of its product is no case.
func (l *ledger) packedForLines() {
	for _, k := range l.packed {
		if p := &l.Packed[k]; p.Line != "" {
			if i := l.LineIx[p.Line]; l.isCase(k, l.whole[k]) {
				l.takePacked(i, k, l.lacks(i))
			}
		}
	}
}

// takeSpare gives a line up to so many spare packed cases, oldest first. A line
// that wants all or nothing takes them only when they make up all it lacks:
// packed and newly packed cases do not mix on it.
func (l *ledger) takeSpare(line, most int) {
	product := l.classOf[line].menu.product
	if most <= 0 || len(l.spareOf[product]) == 0 {
		return
	}
	var able []int
	there := 0
	for _, k := range l.spareOf[product] {
		if l.spare[k] > 0 && l.canTake(k, line) {
			able = append(able, k)
			there += l.spare[k]
		}
	}
	if l.Lines[line].AllOrNone && l.room(l.Lines[line].Pickup, there) < most {
		return
	}
	for _, k := range able {
		most -= l.takePacked(line, k, most)
	}
}

// takePacked gives a line up to so many cases of a packed code.
func (l *ledger) takePacked(line, packed, most int) int {
	n := l.room(l.Lines[line].Pickup, min(most, l.spare[packed]))
	if n <= 0 {
		return 0
	}
	l.spare[packed] -= n
	l.granted[line] += n
	l.occupy(l.Lines[line].Pickup, n)
	at := slices.IndexFunc(l.taken[line], func(t take) bool { return t.packed == packed })
	if at < 0 {
		l.taken[line] = append(l.taken[line], take{packed, n})
	} else {
		l.taken[line][at].cases += n
	}
	return n
}

// canTake says whether packed cases can go to a line: fresh enough, and a case
// that the line's rules allow.
func (l *ledger) canTake(packed, line int) bool {
	c := l.classOf[line]
	return l.PackedFresh(packed, c.pickup, c.minShelf) && l.isCase(packed, c.menu)
}

// isCase says whether what packed cases hold is a case by a menu.
func (l *ledger) isCase(packed int, m *menu) bool {
	contents := map[int]int{}
	for _, h := range l.Packed[packed].Contents {
		contents[l.VarietyIx[h.Variety]] += h.Heads
	}
	return m.Allow(contents)
}
