package growth

import (
	"cmp"
	"slices"

	"headtally/domain"
)

// Went is how a variety's batches of one month went, against what was planned
// for them: days of each step, and shares that came through.
type Went struct {
	Variety string
	Year    int
	Month   int // of sowing
	Batches int
	Nursery StepWent // from sown to set
	Rafts   StepWent // from set to ready
}

// StepWent is one step: means of the batches, and what was told for them.
type StepWent struct {
	Days, PlannedDays float64
	Good, PlannedGood float64
}

// HowItWent is every month's finished batches by variety, the newest first.
func HowItWent(f *domain.Facts, asOf domain.Day) (list []Went) {
	x := Read(f, asOf)
	rows := map[Went]*Went{}
	for variety, finished := range x.past {
		for _, p := range finished {
			year, month, _ := p.sown.Date()
			key := Went{Variety: variety, Year: year, Month: int(month)}
			w := rows[key]
			if w == nil {
				w = &Went{Variety: variety, Year: year, Month: int(month)}
				rows[key] = w
			}
			w.Batches++
			x.step(&w.Nursery, p, nursery)
			x.step(&w.Rafts, p, onRafts)
		}
	}
	for _, w := range rows {
		for _, s := range []*StepWent{&w.Nursery, &w.Rafts} {
			n := float64(w.Batches)
			s.Days, s.PlannedDays, s.Good, s.PlannedGood = s.Days/n, s.PlannedDays/n, s.Good/n, s.PlannedGood/n
		}
		list = append(list, *w)
	}
	slices.SortFunc(list, func(a, b Went) int {
		return cmp.Or(cmp.Compare(b.Year, a.Year), cmp.Compare(b.Month, a.Month), cmp.Compare(a.Variety, b.Variety))
	})
	return list
}

// step adds one batch to a step's sums.
func (x *Figures) step(s *StepWent, p *past, of part) {
	told := x.told(p.batch.Variety, of, p.began(of))
	s.Days += float64(p.days(of))
	s.Good += p.share(of)
	s.PlannedDays += told.Days
	s.PlannedGood += told.Good
}

// Trust is how projections of a variety's finished batches held, made so many
// weeks before they were first lifted, with nothing known then that was not.
type Trust struct {
	Variety   string
	Weeks     int // before the first lifting
	Method    Method
	Batches   int
	DaysOff   float64 // mean of |days late or early|
	DaysLate  float64 // mean of days later (above 0) or earlier than projected
	HeadsOff  float64 // mean of |heads more or fewer| as a share of the heads there were
	Sure      float64 // share of batches that gave at least the cautious heads
	InTime    float64 // share ready by the late day
	HeadsMore float64 // mean of heads more (above 0) or fewer than projected, as a share
}

// trustWeeks are the weeks before lifting that projections are judged at, and
// trusted how many of a variety's last finished batches are looked at.
var trustWeeks = []int{1, 2, 4}

const trusted = 40

// HowSure holds past projections against what came, by variety, weeks before and
// method. The learned method is shown from the batches before which it had
// enough to learn from.
func HowSure(f *domain.Facts, asOf domain.Day) (list []Trust) {
	x := Read(f, asOf)
	for _, v := range f.Varieties {
		finished := x.past[v.Code]
		for _, weeks := range trustWeeks {
			for _, m := range []struct {
				name  Method
				by    by
				least int
			}{{LastBatches, x.plain, 0}, {Learned, x.learned, LearnFrom}} {
				t := Trust{Variety: v.Code, Weeks: weeks, Method: m.name}
				for _, p := range finished[max(0, len(finished)-trusted):] {
					x.hold(&t, p, finished, m.by, m.least)
				}
				if t.Batches > 0 {
					n := float64(t.Batches)
					t.DaysOff, t.DaysLate, t.HeadsOff, t.HeadsMore = t.DaysOff/n, t.DaysLate/n, t.HeadsOff/n, t.HeadsMore/n
					t.Sure, t.InTime = t.Sure/n, t.InTime/n
					list = append(list, t)
				}
			}
		}
	}
	return list
}

// hold projects one finished batch as of some weeks before its first lifting, by
// the batches that had finished then, and adds how far off that was. Heads are
// judged on the plants whose end is known.
func (x *Figures) hold(t *Trust, p *past, finished []*past, method by, least int) {
	then := p.first().Add(-7 * t.Weeks)
	known, _ := slices.BinarySearchFunc(finished, then, func(q *past, d domain.Day) int { return q.done.Sub(d) })
	if then < p.sown || known < least {
		return
	}
	leg := func(of part, begins domain.Day) Leg { return method(p.batch.Variety, of, begins, finished[:known]) }
	var l Leg
	from, on := p.set, p.known
	if then >= p.set {
		l = leg(onRafts, p.set)
	} else {
		l, from = leg(whole, p.sown), p.sown
		on = int(float64(p.known)/p.nurseryGood + 0.5) // cells behind the plants whose end is known
	}
	heads, cautious := l.Heads(on)
	late := float64(p.ready.Sub(from.Add(l.Expected())))
	more := float64(p.good-heads) / float64(max(p.good, 1))
	t.Batches++
	t.DaysOff += max(late, -late)
	t.DaysLate += late
	t.HeadsOff += max(more, -more)
	t.HeadsMore += more
	if p.good >= cautious {
		t.Sure++
	}
	if p.ready <= from.Add(l.Late) {
		t.InTime++
	}
}
