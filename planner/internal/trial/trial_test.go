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
