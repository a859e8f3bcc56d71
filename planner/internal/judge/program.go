package judge

import "maps"

// Program is a linear program, or a mixed-integer one: the greatest value of a
// sum of columns, none below 0, under rows of "at most" or "exactly".
type Program struct {
	gain  []int        // by column
	whole map[int]bool // columns that must be whole numbers
	rows  []row
}

type row struct {
	exact   bool
	bound   int
	columns []int
	factors []int
}

func (p *Program) column(gain int) int {
	p.gain = append(p.gain, gain)
	return len(p.gain) - 1
}

// wholeColumn is a column of whole numbers.
func (p *Program) wholeColumn(gain int) int {
	if p.whole == nil {
		p.whole = map[int]bool{}
	}
	c := p.column(gain)
	p.whole[c] = true
	return c
}

func (p *Program) row(exact bool, bound int) *row {
	p.rows = append(p.rows, row{exact: exact, bound: bound})
	return &p.rows[len(p.rows)-1]
}

func (r *row) add(column, factor int) {
	r.columns = append(r.columns, column)
	r.factors = append(r.factors, factor)
}

// Size is the program's rows and columns.
func (p *Program) Size() (rows, columns int) { return len(p.rows), len(p.gain) }

// wish is what a program about an assignment looks for.
type wish struct {
	all          bool // every slot must be filled
	head         int  // gain of a head in a slot
	place        int  // gain of each place of substitution
	expiring     int  // gain of a head of an expiring lot
	substitution *int // no more substitution than this
}

// program writes the assignment of heads to cases in the class form of the
// model: a column for each lot and class it can serve, one for each class, slot
// and accepted variety; rows for lots, slots, and varieties within a class.
func (f *farm) program(heads []int, cases map[kind]int, w wish) *Program {
	p := &Program{}
	lots := make([]row, len(heads))
	var held row
	for k, n := range inOrder(cases) {
		f.addClass(p, k, n, w, lots, &held)
	}
	for i, r := range lots {
		if len(r.columns) > 0 {
			r.bound = heads[i]
			p.rows = append(p.rows, r)
		}
	}
	if w.substitution != nil && len(held.columns) > 0 {
		held.bound = *w.substitution
		p.rows = append(p.rows, held)
	}
	return p
}

func (f *farm) addClass(p *Program, k kind, n int, w wish, lots []row, held *row) {
	in, out := map[int][]int{}, map[int][]int{}
	for s, slot := range f.slots(k) {
		filled := row{exact: w.all, bound: n * slot.Heads}
		for _, v := range f.accepts(k, s) {
			place := f.place(k.product, s, v)
			c := p.column(w.head + place*w.place)
			filled.add(c, 1)
			out[v] = append(out[v], c)
			if place > 0 {
				held.add(c, place)
			}
		}
		if len(filled.columns) > 0 {
			p.rows = append(p.rows, filled)
		}
	}
	for i := range lots {
		v := f.variety[f.p.Lots[i].Variety]
		if len(out[v]) > 0 && f.serves(i, k.pickup, k.lead, k.shelf) {
			gain := 0
			if f.expires(i) {
				gain = w.expiring
			}
			c := p.column(gain)
			lots[i].add(c, 1)
			in[v] = append(in[v], c)
		}
	}
	for v := range f.p.Varieties {
		if len(out[v]) > 0 {
			f.addVariety(p, k, n, in[v], out[v])
		}
	}
}

// addVariety says that the heads of a variety put into slots come out of lots,
// and keep the cap.
func (f *farm) addVariety(p *Program, k kind, n int, in, out []int) {
	balance := p.row(true, 0)
	for _, c := range out {
		balance.add(c, 1)
	}
	for _, c := range in {
		balance.add(c, -1)
	}
	if f.p.Products[k.product].MaxHeadsPerVariety != nil {
		most := p.row(false, f.capOf(k.product, n))
		for _, c := range out {
			most.add(c, 1)
		}
	}
}

// demand is the heads that so many cases take.
func (f *farm) demand(cases map[kind]int) (heads int) {
	for k, n := range cases {
		heads += n * f.headsPerCase(k.product)
	}
	return heads
}

// inOrder goes through the classes that have cases, in one order for ever.
func inOrder(cases map[kind]int) func(func(kind, int) bool) {
	return func(yield func(kind, int) bool) {
		for _, k := range sortedKinds(maps.Keys(cases)) {
			if cases[k] > 0 && !yield(k, cases[k]) {
				return
			}
		}
	}
}
