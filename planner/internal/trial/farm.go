package trial

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"headtally/domain"
	"headtally/planner"
	"headtally/planner/growth"
)

// Policy is how the farm decides what to sow.
type Policy string

// The policies: the sowing table with learned figures; with the plain ones (told,
// then mean and worst of the last eight); and trays for the plain average, no
// more.
const (
	ByLearned Policy = "learned"
	ByPlain   Policy = "default"
	ByMean    Policy = "plain mean"
)

// Policies lists them.
var Policies = []Policy{ByLearned, ByPlain, ByMean}

// Result is how two years went. Shares are over all pickups and varieties after
// the first quarter year.
type Result struct {
	Pickups  int     // pickups of a variety, wanted
	Short    int     // of them not met in full
	Wanted   int     // heads
	ShortOf  int     // heads short
	Thrown   int     // good heads that nobody took
	Trays    int     // sown
	Batches  int     // projections held against the truth
	Covered  int     // with at least the cautious heads
	OnTime   int     // ready by the late day
	HeadsOff float64 // mean of |heads - expected| / heads
	DaysOff  float64 // mean of |ready - expected|
	GoodOff  float64 // at the end: mean over varieties of |expected share - true share|
	RaftsOff float64 // the same of days on rafts
}

// farm is one run.
type farm struct {
	facts   domain.Facts
	nature  *nature
	rng     *rand.Rand
	policy  Policy
	today   domain.Day
	start   domain.Day
	grown   []*grown
	wanted  map[domain.Day][]int // pickup day -> heads by kind
	guesses []guess
	result  Result
	events  int
	owed    [3]float64 // parts of trays carried on by ByMean
}

// guess is a projection made when a batch was set, to be held against what came.
type guess struct {
	of              *grown
	heads, cautious int
	ready, late     domain.Day
	came            int // good heads there were
}

// years of a run, and the days at its beginning that are not judged.
const (
	runDays = 730
	warmUp  = 120
)

// Run grows one farm for two years.
func Run(w World, p Policy, seed uint64) Result {
	start := domain.MustDay("2024-01-01")
	f := &farm{nature: newNature(w, seed, start), rng: rand.New(rand.NewPCG(seed, 11)), policy: p, today: start, start: start, wanted: map[domain.Day][]int{}}
	f.found(seed)
	for ; f.today < start.Add(runDays); f.today++ {
		f.day()
	}
	f.judge()
	return f.result
}

// found makes the farm's book: three varieties, standing orders and one-offs on
// three pickups a week. What it tells of its growing is a little wrong.
func (f *farm) found(seed uint64) {
	f.facts.Farm, f.facts.Growing = domain.NewFarm(), domain.NewGrowing()
	f.facts.Farm.LeadDays, f.facts.Farm.HoldDays = 1, 1 // lifted the day before, nothing held
	f.facts.Growing.SowingDays = domain.WeekdaysOf(time.Monday, time.Thursday)
	f.facts.Carriers = []domain.Carrier{{Code: "T", Name: "Truck", Pickups: domain.WeekdaysOf(time.Tuesday, time.Thursday, time.Saturday)}}
	f.facts.Customers = []domain.Customer{{Code: "C", Name: "All", Importance: domain.Steady, Substitutes: "yes", Carrier: "T"}}
	for i, k := range kinds {
		f.facts.Varieties = append(f.facts.Varieties, domain.Variety{Code: k.code, Name: k.code, ReadyDays: &kinds[i].ready})
		f.facts.Profiles = append(f.facts.Profiles, domain.Profile{ID: k.code, Variety: k.code, NurseryDays: int(k.nurseryDays),
			BedDays: int(k.raftsDays) + 1 - i, GoodSeedlings: int(100*k.nurseryGood) + 3 - 2*i, GoodHeads: int(100 * k.raftsGood)})
		f.facts.Products = append(f.facts.Products, domain.Product{Code: "P" + k.code, Name: k.code, Slots: []domain.Slot{{Heads: 12, Accept: []string{k.code}}}})
		f.facts.Standing = append(f.facts.Standing, domain.Standing{ID: "S" + k.code, Customer: "C", Product: "P" + k.code,
			Terms: []domain.Term{{From: f.start.Add(-200), Every: 1, Cases: domain.Cases(28 - 7*i)}}})
		if f.policy == ByLearned {
			f.facts.Growing.Learned = append(f.facts.Growing.Learned, k.code)
		}
	}
	f.orderAhead()
}

// orderAhead writes down every one-off of the run, with the day it comes in.
func (f *farm) orderAhead() {
	cal := f.facts.Calendar()
	for _, d := range cal.PickupDays(f.start.Add(-7*planner.UsualWeeks), f.start.Add(runDays+60)) {
		heads := make([]int, len(kinds))
		for i, k := range kinds {
			cases := 28 - 7*i
			if n := f.rng.IntN(6); n > 0 {
				cases += n
				f.facts.Orders = append(f.facts.Orders, domain.Order{ID: fmt.Sprintf("O%s%s", d, k.code), Customer: "C", Pickup: d, Mode: domain.Add,
					Lines: []domain.OrderLine{{Product: "P" + k.code, Cases: domain.Cases(n)}}, Received: d.Add(-3).Time()})
			}
			heads[i] = 12 * cases
		}
		f.wanted[d] = heads
	}
}

// asSeen is the book as of today: one-offs come in three days before.
func (f *farm) asSeen() *domain.Facts {
	seen := f.facts
	seen.Orders = nil
	for _, o := range f.facts.Orders {
		if o.Pickup.Add(-3) <= f.today && o.Pickup >= f.today.Add(-7*planner.UsualWeeks) {
			seen.Orders = append(seen.Orders, o)
		}
	}
	return &seen
}

func (f *farm) tell(e domain.BatchEvent) {
	f.events++
	e.ID, e.Day, e.At = fmt.Sprintf("E%d", f.events), f.today, f.today.Time().Add(time.Duration(f.events)*time.Millisecond)
	f.facts.BatchEvents = append(f.facts.BatchEvents, e)
}

func (f *farm) day() {
	f.set()
	f.serve()
	f.clear()
	if f.facts.Growing.SowingDays.Has(f.today.Weekday()) {
		f.sow()
	}
}

// set puts the batches that are due into rafts, and guesses what they will give.
func (f *farm) set() {
	var due []*grown
	for _, g := range f.grown {
		if g.setOn != f.today {
			continue
		}
		g.rafts = domain.HalfRafts(2 * g.seedlings / sites)
		g.plants = int(g.rafts) * sites / 2
		for range g.plants {
			if f.nature.rng.Float64() < g.good {
				g.left++
			}
		}
		if g.done = g.plants == 0; g.done {
			continue
		}
		f.tell(domain.BatchEvent{Step: domain.SetOut, Batch: g.batch, Bed: "B", Rafts: g.rafts})
		due = append(due, g)
	}
	if len(due) == 0 {
		return
	}
	for _, p := range growth.Project(&f.facts, f.today) {
		i := slices.IndexFunc(due, func(g *grown) bool { return g.batch == p.Batch.Code })
		if i >= 0 {
			e := p.Chosen
			f.guesses = append(f.guesses, guess{due[i], int(e.Heads), int(e.Cautious), e.Ready, e.Late, due[i].left})
		}
	}
}

// serve gives each pickup tomorrow what is ready, oldest first.
func (f *farm) serve() {
	pickup := f.today.Add(1)
	for k, heads := range f.wanted[pickup] {
		lacks := heads
		for _, b := range f.grown {
			if b.kind == k && !b.done && b.plants > 0 && b.readyOn <= f.today && f.today <= b.lastOn && lacks > 0 && b.left > 0 {
				lacks -= f.lift(b, min(lacks, b.left))
			}
		}
		if f.today.Sub(f.start) < warmUp {
			continue
		}
		f.result.Pickups++
		f.result.Wanted += heads
		if lacks > 0 {
			f.result.Short++
			f.result.ShortOf += lacks
		}
	}
}

// lift takes heads off a batch, with the culls that stand among them.
func (f *farm) lift(b *grown, heads int) int {
	culls := 0
	if b.left == heads {
		culls = b.plants - b.taken - heads
	} else if b.left > 0 {
		culls = (b.plants - b.taken - b.left) * heads / b.left
	}
	b.left -= heads
	b.taken += heads + culls
	f.tell(domain.BatchEvent{Step: domain.Lifted, Batch: b.batch, Heads: domain.Heads(heads), Culls: domain.Heads(max(0, culls))})
	return heads
}

// clear throws away what is past its last day.
func (f *farm) clear() {
	for _, b := range f.grown {
		if b.done || b.plants == 0 {
			continue
		}
		if b.left == 0 || b.lastOn <= f.today {
			if f.today.Sub(f.start) >= warmUp {
				f.result.Thrown += b.left
			}
			b.done = true
			f.tell(domain.BatchEvent{Step: domain.Finished, Batch: b.batch})
		}
	}
}

// sow follows the policy.
func (f *farm) sow() {
	for k, trays := range f.decide() {
		if trays == 0 {
			continue
		}
		batch := fmt.Sprintf("%s-%s", kinds[k].code, f.today)
		f.tell(domain.BatchEvent{Step: domain.Sown, Batch: batch, Variety: kinds[k].code, Trays: trays})
		f.grown = append(f.grown, f.nature.grow(batch, k, f.today, trays))
		if f.today.Sub(f.start) >= warmUp-40 {
			f.result.Trays += trays
		}
	}
}

// decide is the trays of each variety to sow today.
func (f *farm) decide() []int {
	trays := make([]int, len(kinds))
	seen := f.asSeen()
	if f.policy == ByMean {
		f.decidePlainly(seen, trays)
		return trays
	}
	table := planner.SowingTable(seen, f.today)
	for _, s := range table.Sowings {
		if s.Day == f.today {
			k := slices.IndexFunc(kinds, func(v kind) bool { return v.code == s.Variety })
			trays[k] = s.Trays
		}
	}
	f.facts.Growing.Table = nil
	for _, r := range table.Rows {
		f.facts.Growing.Table = append(f.facts.Growing.Table, domain.SowRow{Variety: r.Variety, Weekday: r.Weekday, Trays: r.Trays})
	}
	return trays
}

// decidePlainly sows the week's average need at the average yield, half on each
// sowing day, in whole trays; what is left of a tray is carried on.
func (f *farm) decidePlainly(seen *domain.Facts, trays []int) {
	x := growth.NewFigures(seen, f.today, 0.9)
	for k, v := range kinds {
		weekly := 0.0
		for _, o := range seen.Orders {
			if o.Pickup < f.today && o.Lines[0].Product == "P"+v.code {
				weekly += 12 * float64(o.Lines[0].Cases) / planner.UsualWeeks
			}
		}
		weekly += 3 * 12 * float64(28-7*k)
		each, _ := x.Sow(v.code, f.today).Heads(1000)
		f.owed[k] += weekly / 2 / (float64(each) / 1000)
		trays[k] = int(f.owed[k])
		f.owed[k] -= float64(trays[k])
	}
}

// judge holds the guesses against what came, and the figures at the end against
// the truth.
func (f *farm) judge() {
	r := &f.result
	for _, x := range f.guesses {
		if x.of.setOn.Sub(f.start) < warmUp {
			continue
		}
		r.Batches++
		if x.came >= x.cautious {
			r.Covered++
		}
		if x.of.readyOn <= x.late {
			r.OnTime++
		}
		r.HeadsOff += abs(float64(x.came-x.heads)) / float64(max(x.came, 1))
		r.DaysOff += abs(float64(x.of.readyOn.Sub(x.ready)))
	}
	n := float64(max(r.Batches, 1))
	r.HeadsOff, r.DaysOff = r.HeadsOff/n, r.DaysOff/n
	x := growth.NewFigures(&f.facts, f.today, 0.9)
	for _, v := range kinds {
		s := x.Sow(v.code, f.today)
		heads, _ := s.Heads(100)
		r.GoodOff += abs(float64(heads)/100/cells-v.nurseryGood*v.raftsGood) / float64(len(kinds))
		r.RaftsOff += abs(float64(s.Ready.Sub(f.today))-v.nurseryDays-v.raftsDays) / float64(len(kinds))
	}
}

func abs(x float64) float64 { return max(x, -x) }
