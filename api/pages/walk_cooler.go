package pages

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"headtally/domain"
)

// LooseRow is heads of one variety and one lifting in the cooler: those the book
// holds, or one that is found beside them.
type LooseRow struct {
	I             int
	Variety, Name string
	Pulled        domain.Day
	Held          int // heads by the book
	Heads         string
	Known         bool // only the figure is asked
	Fault         string
}

// CasesRow is packed cases of one lot code in the cooler, likewise.
type CasesRow struct {
	I                    int
	Product, Name, Trace string
	Pulled               domain.Day
	Held                 int // cases by the book
	Cases                string
	Known                bool
	Fault                string
}

// spareCooler are the rows for what the book does not know to be in the cooler.
const spareCooler = 2

// cooler fills in the rows of the cooler: what the book holds, or as typed.
func (view *WalkView) cooler(v *visit, l lists, typed *domain.Count) error {
	if typed != nil {
		view.Cooler = typed.Cooler
		for i, x := range typed.Loose {
			view.Loose = append(view.Loose, LooseRow{I: i, Variety: x.Variety, Name: varietyOf(l, x.Variety), Pulled: x.Pulled,
				Held: whole(v.FormValue(row("loose", i, "held"))), Heads: v.FormValue(row("loose", i, "heads")), Known: v.FormValue(row("loose", i, "known")) != ""})
		}
		for i, x := range typed.Packed {
			view.Packed = append(view.Packed, CasesRow{I: i, Product: x.Product, Name: productName(l, x.Product), Trace: x.Trace, Pulled: x.Pulled,
				Held: whole(v.FormValue(row("packed", i, "held"))), Cases: v.FormValue(row("packed", i, "cases")), Known: v.FormValue(row("packed", i, "known")) != ""})
		}
		return nil
	}
	held, err := v.office.Book.InCooler(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	for _, x := range held.Loose {
		view.Loose = append(view.Loose, LooseRow{I: len(view.Loose), Variety: x.Variety, Name: varietyOf(l, x.Variety), Pulled: x.Pulled, Held: int(x.Heads), Known: true})
	}
	for _, x := range held.Packed {
		if n := len(view.Packed); n > 0 && view.Packed[n-1].Trace == x.Trace && view.Packed[n-1].Product == x.Product && view.Packed[n-1].Pulled == x.Pulled {
			view.Packed[n-1].Held += int(x.Cases)
			continue
		}
		view.Packed = append(view.Packed, CasesRow{I: len(view.Packed), Product: x.Product, Name: productName(l, x.Product), Trace: x.Trace, Pulled: x.Pulled, Held: int(x.Cases), Known: true})
	}
	for range spareCooler {
		view.Loose = append(view.Loose, LooseRow{I: len(view.Loose)})
		view.Packed = append(view.Packed, CasesRow{I: len(view.Packed)})
	}
	return nil
}

// readCooler reads what was typed of the cooler, every row of it.
func readCooler(r *reader, c *domain.Count) {
	c.Cooler = r.Has("cooler")
	for i := range r.count("loose") {
		c.Loose = append(c.Loose, domain.LooseHeads{Variety: r.text(row("loose", i, "variety")), Heads: domain.Heads(r.number(row("loose", i, "heads"))),
			Pulled: r.day(row("loose", i, "pulled"))})
	}
	for i := range r.count("packed") {
		c.Packed = append(c.Packed, domain.PackedCount{Product: r.text(row("packed", i, "product")), Trace: r.text(row("packed", i, "trace")),
			Cases: domain.Cases(r.number(row("packed", i, "cases"))), Pulled: r.day(row("packed", i, "pulled"))})
	}
}

// found leaves out rows of the cooler where nothing was found; what is left
// keeps its row's number for faults.
func found(c domain.Count) (loose, packed []int, sent domain.Count) {
	sent = c
	sent.Loose, sent.Packed = nil, nil
	for i, x := range c.Loose {
		if x.Heads != 0 {
			loose, sent.Loose = append(loose, i), append(sent.Loose, x)
		}
	}
	for i, x := range c.Packed {
		if x.Cases != 0 {
			packed, sent.Packed = append(packed, i), append(sent.Packed, x)
		}
	}
	return loose, packed, sent
}

// atRows puts faults of what was sent to the rows in which it was typed.
func atRows(faults domain.Faults, loose, packed []int) (list domain.Faults) {
	for _, f := range faults {
		for what, rows := range map[string][]int{"loose": loose, "packed": packed} {
			for sent, at := range rows {
				if field, is := strings.CutPrefix(f.Place, row(what, sent, "")); is {
					f.Place = row(what, at, field)
					break
				}
			}
		}
		list = append(list, f)
	}
	return list
}

// mindCooler puts a fault to the row of the cooler it concerns, if it concerns
// one.
func (view *WalkView) mindCooler(v *visit, f domain.Fault) bool {
	add := func(to *string, field string) {
		*to = strings.TrimSpace(*to + " " + sentence(v.fieldWord(field)+": "+v.speech.Fault(f)))
	}
	for i := range view.Loose {
		if field, is := strings.CutPrefix(f.Place, row("loose", i, "")); is {
			add(&view.Loose[i].Fault, field)
			return true
		}
	}
	for i := range view.Packed {
		if field, is := strings.CutPrefix(f.Place, row("packed", i, "")); is {
			add(&view.Packed[i].Fault, field)
			return true
		}
	}
	return false
}

// sameCooler says whether two counts found the same in the cooler.
func sameCooler(a, b domain.Count) bool {
	return a.Cooler == b.Cooler && slices.Equal(coolerSums(a), coolerSums(b))
}

// coolerSums are the heads and cases of a count by what is written on them.
func coolerSums(c domain.Count) []string {
	sums := map[string]int{}
	for _, x := range c.Loose {
		sums["loose "+x.Variety+" "+x.Pulled.String()] += int(x.Heads)
	}
	for _, x := range c.Packed {
		sums["packed "+cmp.Or(x.Trace, x.Product+" "+x.Pulled.String())] += int(x.Cases)
	}
	var list []string
	for what, n := range sums {
		if n > 0 {
			list = append(list, what+" "+strconv.Itoa(n))
		}
	}
	slices.Sort(list)
	return list
}
