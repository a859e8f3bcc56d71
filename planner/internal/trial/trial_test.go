package trial

import (
	"flag"
	"fmt"
	"testing"
)

var seeds = flag.Int("seeds", 0, "seeds of the long form, 0: leave it out")

// sums runs a world under a policy with so many seeds.
func sums(w World, p Policy, seeds int) (total Result) {
	for seed := range seeds {
		total.add(Run(w, p, uint64(seed+1)))
	}
	total.HeadsOff /= float64(seeds)
	total.DaysOff /= float64(seeds)
	total.GoodOff /= float64(seeds)
	total.RaftsOff /= float64(seeds)
	return total
}

func (r *Result) add(o Result) {
	r.Pickups, r.Short, r.Wanted, r.ShortOf, r.Thrown = r.Pickups+o.Pickups, r.Short+o.Short, r.Wanted+o.Wanted, r.ShortOf+o.ShortOf, r.Thrown+o.Thrown
	r.Trays, r.Batches, r.Covered, r.OnTime = r.Trays+o.Trays, r.Batches+o.Batches, r.Covered+o.Covered, r.OnTime+o.OnTime
	r.HeadsOff, r.DaysOff, r.GoodOff, r.RaftsOff = r.HeadsOff+o.HeadsOff, r.DaysOff+o.DaysOff, r.GoodOff+o.GoodOff, r.RaftsOff+o.RaftsOff
}

func row(w World, p Policy, r Result) string {
	of := func(a, b int) float64 { return 100 * float64(a) / float64(max(b, 1)) }
	return fmt.Sprintf("%-15s %-11s %7.2f %8.2f %8.1f %9.1f %8.1f %8.1f %7.2f %7.1f", w, p, of(r.Short, r.Pickups), of(r.ShortOf, r.Wanted),
		of(r.Thrown, r.Wanted), of(r.Covered, r.Batches), of(r.OnTime, r.Batches), 100*r.HeadsOff, r.DaysOff, 100*r.GoodOff)
}

const heading = "world           policy      short % heads % thrown % covered % ontime % heads±% days ± share±%"

func TestLong(t *testing.T) {
	if *seeds == 0 {
		t.Skip("the long form: -seeds 100")
	}
	fmt.Println(heading)
	for _, w := range Worlds {
		for _, p := range Policies {
			fmt.Println(row(w, p, sums(w, p, *seeds)))
		}
	}
}

// Two farms in each of two worlds, short enough for every day: projections hold
// as often as they say, and following the table leaves fewer pickups short than
// sowing the plain average. The long form shows the rest.
func TestShort(t *testing.T) {
	if testing.Short() {
		t.Skip("eight farms of two years take some ten seconds")
	}
	for _, w := range []World{Assumed, HotMonth} {
		learned, plain := sums(w, ByLearned, 2), sums(w, ByMean, 2)
		t.Logf("\n%s\n%s\n%s", heading, row(w, ByLearned, learned), row(w, ByMean, plain))
		if learned.Short >= plain.Short || learned.ShortOf >= plain.ShortOf {
			t.Errorf("%s: %d pickups short by %d heads with the table, %d by %d with the plain average", w, learned.Short, learned.ShortOf, plain.Short, plain.ShortOf)
		}
		// Some 900 pickups that hang together over two or three; three standard errors
		// of nine in ten are about 0.05.
		if met := 1 - float64(learned.Short)/float64(learned.Pickups); met < .9-.05 {
			t.Errorf("%s: %.3f of pickups met in full, asked for 0.9", w, met)
		}
		// Some 1,000 batches in one house: three standard errors are 0.03, and in a
		// world that the figures do not assume they may be off by half as much again.
		if held := float64(learned.Covered) / float64(learned.Batches); held < .9-.045 {
			t.Errorf("%s: cautious heads held for %.3f of batches, said 0.9", w, held)
		}
		if inTime := float64(learned.OnTime) / float64(learned.Batches); inTime < .9-.045 {
			t.Errorf("%s: late days held for %.3f of batches, said 0.9", w, inTime)
		}
		if held := float64(learned.Covered) / float64(learned.Batches); w == Assumed && held > .9+.03 {
			t.Errorf("cautious heads held for %.3f of batches, said 0.9 and no more", held)
		}
		if w == Assumed && learned.GoodOff > .03 {
			t.Errorf("learned shares are off by %.3f after two years", learned.GoodOff)
		}
	}
}
