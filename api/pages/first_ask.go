package pages

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"headtally/api/book"
	"headtally/domain"
)

// Rows that a first answer has room for; more can be told later.
const (
	firstProducts  = 5
	firstCustomers = 6
)

// or is what was typed, or what is usual where nothing was sent.
func (r *reader) or(name, usual string) string {
	if r == nil || !r.Has(name) {
		return usual
	}
	return r.Get(name)
}

// labelled is a field of a table with a name of its own.
func labelled(f Field, label string) Field {
	f.Label = label
	return f
}

func askVarieties(_ *visit, f *domain.Facts, r *reader) []Field {
	return []Field{needed(kinded("area", "varieties", "first.varieties", r.or("varieties", "")))}
}

// tellVarieties stores the varieties, one a line.
func (v *visit) tellVarieties(_ *domain.Facts, r *reader) error {
	names := lines(r.Get("varieties"))
	if len(names) == 0 {
		return domain.Faults{{Place: "varieties", Code: "required"}}
	}
	list := make([]domain.Variety, len(names))
	for i, name := range names {
		list[i] = domain.Variety{Name: name}
	}
	return under("varieties", v.office.Book.CreateVarieties(v.ctx, v.who, list))
}

// askCases is a table: a row a product, a column a variety, heads in the cells.
func (v *visit) askCases(f *domain.Facts, r *reader) []Field {
	table := Field{Name: "products", Code: "first.products", Kind: "rows", Titles: []string{v.say("page.f.product")}}
	for _, x := range f.Varieties {
		table.Titles = append(table.Titles, x.Name)
	}
	for i := range firstProducts {
		name := row("products", i, "name")
		cells := []Field{labelled(text(name, "product", r.or(name, "")), v.say("page.first.product.n", "n", i+1))}
		for _, x := range f.Varieties {
			at := row("products", i, x.Code)
			cells = append(cells, labelled(kinded("count", at, "heads", r.or(at, "")), v.say("page.first.heads.of", "variety", x.Name, "n", i+1)))
		}
		table.Rows = append(table.Rows, cells)
	}
	return []Field{table}
}

func (v *visit) tellCases(f *domain.Facts, r *reader) error {
	var list []domain.Product
	var rows []int
	for i := range firstProducts {
		p := domain.Product{Name: r.text(row("products", i, "name"))}
		for _, x := range f.Varieties {
			if n := r.number(row("products", i, x.Code)); n != 0 {
				p.Slots = append(p.Slots, domain.Slot{Heads: domain.Heads(n), Accept: []string{x.Code}})
			}
		}
		if p.Name != "" || p.Slots != nil {
			list, rows = append(list, p), append(rows, i)
		}
	}
	if list == nil {
		r.faults.Add(row("products", 0, "name"), "required")
	}
	if err := r.faults.Err(); err != nil {
		return err
	}
	var faults domain.Faults
	err := v.office.Book.CreateProducts(v.ctx, v.who, list)
	if !errors.As(err, &faults) {
		return err
	}
	for i := range faults { // a row that was left empty shifts those after it
		number, rest, _ := strings.Cut(strings.TrimPrefix(faults[i].Place, "products["), "]")
		if n, bad := strconv.Atoi(number); bad == nil && n < len(rows) {
			faults[i].Place = "products[" + strconv.Itoa(rows[n]) + "]" + rest
			if strings.HasPrefix(rest, ".slots") {
				faults[i].Place = row("products", rows[n], "name")
			}
		}
	}
	return faults
}

func (v *visit) askDays(f *domain.Facts, r *reader) []Field {
	harvest, pickups := v.weekdayTicks("harvest_days", "harvest_days", f.Farm.Harvest), v.weekdayTicks("pickups", "pickups", 0)
	if r != nil {
		harvest.Ticked, pickups.Ticked = r.Values["harvest_days"], r.Values["pickups"]
	}
	return []Field{needed(text("name", "first.farm", r.or("name", f.Farm.Name))), text("zone", "zone", r.or("zone", f.Farm.Zone)),
		v.choice("language", "language", r.or("language", f.Farm.Language), "en", "es"), v.choice("units", "units", r.or("units", f.Farm.Units), "us", "metric"),
		harvest, needed(text("carrier", "first.carrier", r.or("carrier", ""))), pickups,
		kinded("clock", "hour", "hour", r.or("hour", "09:00")), kinded("count", "cutoff_days", "cutoff_days", r.or("cutoff_days", "1")),
		kinded("clock", "cutoff_hour", "cutoff_hour", r.or("cutoff_hour", "14:00"))}
}

func (v *visit) tellDays(_ *domain.Facts, r *reader) error {
	rec, err := v.office.Book.Farm(v.ctx)
	if err != nil {
		return err
	}
	f := rec.Value
	f.Name, f.Zone, f.Language, f.Units, f.Harvest = r.text("name"), r.text("zone"), r.text("language"), r.text("units"), r.weekdays("harvest_days")
	f.Paper = "letter"
	if f.Units == "metric" {
		f.Paper = "a4"
	}
	carrier := domain.Carrier{Name: r.text("carrier"), Pickups: r.weekdays("pickups"), Hour: r.clock("hour"), CutoffDays: r.number("cutoff_days"), CutoffHour: r.clock("cutoff_hour")}
	for place, lacks := range map[string]bool{"name": f.Name == "", "carrier": carrier.Name == "", "pickups": carrier.Pickups == 0} {
		if lacks {
			r.faults.Add(place, "required")
		}
	}
	if err := r.faults.Err(); err != nil {
		return err
	}
	if _, err := v.office.Book.SetFarm(v.ctx, v.who, f, book.Note{Base: rec.Rev}); err != nil {
		return err
	}
	_, err = v.office.Book.Carriers.Create(v.ctx, v.who, carrier, book.Note{})
	return err
}

// raftsTold says whether a variety has the heads of its rafts, which the answer
// gives each of them. A farm that has counted has gone by some figure.
func raftsTold(f *domain.Facts) bool {
	return len(f.Counts) > 0 || slices.ContainsFunc(f.Varieties, func(x domain.Variety) bool { return x.HeadsPerRaft != nil })
}

func askRafts(_ *visit, f *domain.Facts, r *reader) []Field {
	table := Field{Name: "rafts", Code: "first.rafts", Kind: "rows", Heads: []string{"variety", "heads_per_raft"}}
	for i, x := range f.Varieties {
		usual := f.Farm.HeadsPerRaft
		if x.HeadsPerRaft != nil {
			usual = *x.HeadsPerRaft
		}
		at := row("rafts", i, "heads_per_raft")
		table.Rows = append(table.Rows, []Field{fixed(row("rafts", i, "variety"), "variety", x.Code, x.Name),
			labelled(kinded("count", at, "heads_per_raft", r.or(at, strconv.Itoa(int(usual)))), x.Name)})
	}
	return []Field{kinded("count", "good_in_ten", "good_in_ten", r.or("good_in_ten", strconv.Itoa(f.Farm.GoodInTen))), table}
}

// fixed is a field that stands as it is.
func fixed(name, code, value, word string) Field {
	f := kinded("fixed", name, code, value)
	f.Picks = []Pick{{value, word}}
	return f
}

// tellRafts stores the figures of the farm and of each variety. Sent again, it
// changes nothing.
func (v *visit) tellRafts(_ *domain.Facts, r *reader) error {
	rec, err := v.office.Book.Farm(v.ctx)
	if err != nil {
		return err
	}
	rec.Value.GoodInTen = r.number("good_in_ten")
	var varieties []book.Record[domain.Variety]
	for i := range r.count("rafts") {
		x, err := v.office.Book.Varieties.Get(v.ctx, v.who, r.text(row("rafts", i, "variety")))
		if err != nil {
			return err
		}
		heads := domain.Heads(r.number(row("rafts", i, "heads_per_raft")))
		x.Value.HeadsPerRaft = &heads
		r.faults = append(r.faults, domain.Check(&x.Value).Under(strings.TrimSuffix(row("rafts", i, ""), "."))...)
		varieties = append(varieties, x)
	}
	if err := r.faults.Err(); err != nil {
		return err
	}
	if _, err := v.office.Book.SetFarm(v.ctx, v.who, rec.Value, book.Note{Base: rec.Rev}); err != nil {
		return err
	}
	for _, x := range varieties {
		if _, err := v.office.Book.Varieties.Replace(v.ctx, v.who, x.Value.Code, x.Value, book.Note{Base: x.Rev}); err != nil {
			return err
		}
	}
	return nil
}

// askReady is a walk in a table: a row a variety.
func (v *visit) askReady(f *domain.Facts, r *reader) []Field {
	cal := f.Calendar()
	next, _ := cal.NextLift(v.today.Add(1))
	after, _ := cal.NextLift(next.Add(1))
	table := Field{Name: "beds", Code: "first.ready", Kind: "rows", Titles: []string{v.say("page.f.variety"), v.say("page.walk.bed"),
		v.say("page.walk.now"), v.say("page.walk.by", "day", v.writer().near(next)), v.say("page.walk.by", "day", v.writer().near(after))}}
	for i, x := range f.Varieties {
		bed := row("beds", i, "bed")
		cells := []Field{fixed(row("beds", i, "variety"), "variety", x.Code, x.Name),
			labelled(text(bed, "bed", r.or(bed, strconv.Itoa(i+1))), v.say("page.walk.bed")+" "+x.Name)}
		for k, name := range []string{"rafts_now", "rafts_next", "rafts_after"} {
			at := row("beds", i, name)
			cells = append(cells, labelled(kinded("count", at, name, r.or(at, "")), x.Name+" "+table.Titles[k+2]))
		}
		table.Rows = append(table.Rows, cells)
	}
	return []Field{table, {Name: "id", Kind: "hidden", Value: r.or("id", newWalk())}}
}

func (v *visit) tellReady(_ *domain.Facts, r *reader) error {
	c := readWalk(r)
	c.Day, c.Whole = v.today, true
	c.Beds = counted(c.Beds)
	if err := r.faults.Err(); err != nil {
		return err
	}
	_, err := v.office.Book.Counts.Create(v.ctx, v.who, c, book.Note{})
	switch {
	case errors.Is(err, domain.ErrConflict) && v.arrived(c):
		return nil
	case errors.Is(err, domain.ErrConflict):
		r.Del("id") // it is shown under a new one
		return sentBefore()
	}
	return err
}

// askOrders is the order sheet of the next pickup: a row a customer, a column a
// product, cases in the cells.
func (v *visit) askOrders(f *domain.Facts, r *reader) []Field {
	table := Field{Name: "customers", Code: "first.orders", Kind: "rows", Titles: []string{v.say("page.f.customer")}}
	for _, p := range f.Products {
		table.Titles = append(table.Titles, p.Name)
	}
	for i := range firstCustomers {
		name, usual := row("customers", i, "name"), ""
		if i < len(f.Customers) {
			usual = f.Customers[i].Name
		}
		cells := []Field{labelled(text(name, "customer", r.or(name, usual)), v.say("page.first.customer.n", "n", i+1))}
		for _, p := range f.Products {
			at := row("customers", i, p.Code)
			cells = append(cells, labelled(kinded("count", at, "cases", r.or(at, "")), v.say("page.first.cases.of", "product", p.Name, "n", i+1)))
		}
		table.Rows = append(table.Rows, cells)
	}
	return []Field{table}
}

// tellOrders stores the customers that are new and what each asks for. Sent
// again it stores nothing twice: a customer is known by its name, and an order
// says how many there are in all.
func (v *visit) tellOrders(f *domain.Facts, r *reader) error {
	next, err := v.office.Book.NextPickup(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	type wish struct {
		name  string
		cases map[string]domain.Cases
	}
	var wishes []wish
	for i := range firstCustomers {
		w := wish{r.text(row("customers", i, "name")), map[string]domain.Cases{}}
		for _, p := range f.Products {
			if n := r.number(row("customers", i, p.Code)); n != 0 {
				w.cases[p.Code] = domain.Cases(n)
			}
			if n := w.cases[p.Code]; n < 0 || n > domain.MaxCount {
				r.faults.Add(row("customers", i, p.Code), "between", "min", 0, "max", domain.MaxCount)
			}
		}
		if w.name == "" && len(w.cases) > 0 {
			r.faults.Add(row("customers", i, "name"), "required")
		}
		if len(w.cases) > 0 {
			wishes = append(wishes, w)
		}
	}
	if len(wishes) == 0 && r.faults == nil {
		r.faults.Add(row("customers", 0, "name"), "required")
	}
	if err := r.faults.Err(); err != nil {
		return err
	}
	grid, err := v.office.Book.Grid(v.ctx, v.who, v.today, next, next)
	if err != nil {
		return err
	}
	var cells []book.OrderCell
	for _, w := range wishes {
		code, err := v.customerCalled(f, w.name)
		if err != nil {
			return under("customers", err)
		}
		for product, n := range w.cases {
			cells = append(cells, book.OrderCell{Customer: code, Product: product, Pickup: next, Was: grid.At(code, product, next).Cases, Cases: n})
		}
	}
	return under("customers", v.office.Book.SetCells(v.ctx, v.who, cells, v.note()))
}

// customerCalled is the code of the customer of a name, who is new where nobody
// has it.
func (v *visit) customerCalled(f *domain.Facts, name string) (string, error) {
	for _, c := range f.Customers {
		if strings.EqualFold(c.Name, name) {
			return c.Code, nil
		}
	}
	c := domain.Customer{Name: name, Importance: domain.Steady, Substitutes: "yes"}
	if len(f.Carriers) > 0 {
		c.Carrier = f.Carriers[0].Code
	}
	rec, err := v.office.Book.Customers.Create(v.ctx, v.who, c, book.Note{})
	if err == nil {
		f.Customers = append(f.Customers, rec.Value)
	}
	return rec.Value.Code, err
}

// lines are the lines of a text that hold anything.
func lines(text string) (list []string) {
	for line := range strings.Lines(text) {
		if line = strings.TrimSpace(line); line != "" {
			list = append(list, line)
		}
	}
	return list
}

// under puts every fault to one field.
func under(field string, err error) error {
	var faults domain.Faults
	if !errors.As(err, &faults) {
		return err
	}
	for i := range faults {
		faults[i].Place = field
	}
	return faults
}
