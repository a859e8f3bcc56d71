package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"headtally/api/book"
	"headtally/api/words"
)

// runImport takes a workbook, an order sheet, a walk count or a lift count into
// the book: what the file is, its sheets say.
func runImport(ctx context.Context, sh surroundings, args []string) error {
	s := newSettings(sh, "import", "FILE.xlsx | FILE.csv")
	data, asOf := s.data(), s.asOf(today)
	kind := s.String("as", "", "the `KIND` of file: orders, count, lift or workbook; left out: as its sheets say")
	look := s.Bool("dry-run", false, "tell every row's fate and change nothing")
	park := s.Bool("park", false, "keep rows that cannot be read for a person, and take the others")
	newCustomers := s.Bool("new-customers", false, "make customers that the book does not know")
	order := s.String("day-order", "", "the `ORDER` dmy, mdy or ymd, for dates that could mean two days")
	layout := s.String("layout", "", "the `CODE` of the sender's layout to read it by; left out: the one whose headings it has")
	sender := s.String("sender", "", "`WHO` sends such sheets: a later one stands instead of an earlier one's orders of its days")
	keep := s.Bool("keep", false, "keep how it was read as the sender's layout")
	open := s.Bool("open", false, "of a lift count: more is still to be lifted")
	instead := s.String("instead", "", "the `LIFT` that a lift count corrects, such as L3")
	after := s.Int("days-after-pickup", -1, "the stated day is the arrival, so many `DAYS` after pickup; -1: as the layout says, else it is the pickup day")
	files, err := s.read(args)
	if err != nil {
		return err
	}
	if len(files) != 1 {
		return exits{refused, errors.New("headtally import takes one file")}
	}
	tables, err := readSheets(sh, files[0])
	if err != nil {
		return err
	}
	b, done, err := openBook(ctx, sh, *data)
	if err != nil {
		return err
	}
	defer done()
	say, err := english(ctx, b)
	if err != nil {
		return err
	}
	name := filepath.Base(files[0])
	if *kind == "" {
		*kind = string(book.SheetsAre(tables))
	}
	switch *kind {
	case "workbook":
		return told(say, importWorkbook(ctx, sh, b, tables, book.DayOrder(*order), name, *look))
	case "count":
		return told(say, importCount(ctx, sh, say, b, tables, book.CountSheet{Name: name, Day: *asOf, DayOrder: book.DayOrder(*order), Whole: true}, *look))
	case "lift":
		return told(say, importLift(ctx, sh, say, b, tables, book.LiftSheet{Name: name, Day: *asOf, DayOrder: book.DayOrder(*order), Open: *open, Instead: *instead}, *look))
	case "orders":
		o := book.OrderSheet{Name: name, AsOf: *asOf, Park: *park, NewCustomers: *newCustomers, DayOrder: book.DayOrder(*order),
			Layout: *layout, Sender: *sender, Keep: *keep, Progress: byTenths(sh.err, "orders are written")}
		if *after >= 0 {
			o.DaysAfterPickup = after
		}
		return told(say, importOrders(ctx, sh, say, b, tables, o, *look))
	}
	return exits{refused, fmt.Errorf("--as is orders, count, lift or workbook, not %q", *kind)}
}

// byTenths tells how far something is, at every tenth of it.
func byTenths(w io.Writer, what string) func(done, total int) {
	last := -1
	return func(done, total int) {
		if tenth := done * 10 / total; tenth > last {
			last = tenth
			fmt.Fprintf(w, "%d of %d %s\n", done, total, what)
		}
	}
}

func importWorkbook(ctx context.Context, sh surroundings, b *book.Book, tables []book.Table, order book.DayOrder, name string, look bool) error {
	if look {
		facts, faults, err := b.PreviewWorkbook(ctx, book.Owner(), tables, order)
		if err == nil {
			err = faults.Err()
		}
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(sh.out, "%s can be taken: %d varieties, %d cases, %d carriers, %d customers, %d standing orders, %d one-offs\n", name,
			len(facts.Varieties), len(facts.Products), len(facts.Carriers), len(facts.Customers), len(facts.Standing), len(facts.Orders))
		return err
	}
	taken, err := b.TakeWorkbook(ctx, book.Owner(), tables, order, name)
	if err != nil {
		return err
	}
	if taken.Already {
		_, err = fmt.Fprintf(sh.out, "%s was taken before; nothing is changed\n", name)
		return err
	}
	_, err = fmt.Fprintf(sh.out, "%s is taken: %d records new, %d changed\n", name, taken.Added, taken.Changed)
	return err
}

func importCount(ctx context.Context, sh surroundings, say *words.Speech, b *book.Book, tables []book.Table, o book.CountSheet, look bool) error {
	p, err := b.PreviewCount(ctx, book.Owner(), tables, o)
	if err == nil {
		err = p.Faults.Err()
	}
	if err != nil {
		return err
	}
	if look {
		_, err := fmt.Fprintf(sh.out, "%s can be taken: %d rows of beds, %d of loose heads, %d of packed cases, counted %s\n", o.Name,
			len(p.Count.Beds), len(p.Count.Loose), len(p.Count.Packed), say.Day(p.Count.Day))
		return err
	}
	taken, err := b.TakeCount(ctx, book.Owner(), tables, o, p.Revision)
	if err != nil {
		return err
	}
	if taken.Already {
		_, err = fmt.Fprintf(sh.out, "%s was taken before; nothing is changed\n", o.Name)
		return err
	}
	_, err = fmt.Fprintf(sh.out, "%s is taken: the count of %s\n", o.Name, say.Day(taken.Count.Value.Day))
	return err
}

func importLift(ctx context.Context, sh surroundings, say *words.Speech, b *book.Book, tables []book.Table, o book.LiftSheet, look bool) error {
	p, err := b.PreviewLift(ctx, book.Owner(), tables, o)
	if err == nil {
		err = p.Faults.Err()
	}
	if err != nil {
		return err
	}
	if look && !p.Already {
		for _, r := range p.Lift.Rows {
			fmt.Fprintf(sh.out, "%s bed %s: %d heads, %d culls, %s rafts\n", r.Variety, r.Bed, r.Heads, r.Culls, r.Rafts)
		}
		_, err := fmt.Fprintf(sh.out, "%s can be taken: the lift of %s\n", o.Name, say.Day(p.Lift.Day))
		return err
	}
	taken, err := b.TakeLift(ctx, book.Owner(), tables, o, p.Revision)
	if err != nil {
		return err
	}
	if taken.Already {
		_, err = fmt.Fprintf(sh.out, "%s was taken before; nothing is changed\n", o.Name)
		return err
	}
	_, err = fmt.Fprintf(sh.out, "%s is taken: lift %s of %s\n", o.Name, taken.Lift.Value.ID, say.Day(taken.Lift.Value.Day))
	return err
}

func importOrders(ctx context.Context, sh surroundings, say *words.Speech, b *book.Book, tables []book.Table, o book.OrderSheet, look bool) error {
	p, err := b.PreviewOrders(ctx, book.Owner(), tables, o)
	if err != nil {
		return err
	}
	for _, u := range p.Unknown {
		near := ""
		for i, n := range u.Nearest {
			near += map[bool]string{true: "; near it: ", false: ", "}[i == 0] + n.Name
		}
		fmt.Fprintf(sh.err, "unknown %s %s in %s%s\n", u.Kind, u.Name, rows(u.Count), near)
	}
	if look {
		for _, r := range p.Rows {
			fate := say.Say("page.fate." + string(r.Fate))
			if r.Fault != nil {
				fate += ": " + say.Fault(*r.Fault)
			} else if r.Fate == book.FateLine {
				fate += fmt.Sprintf(": %s, %s, %s, %s", r.Customer, say.Day(r.Day), r.Product, say.Say("page.cases", "n", int(r.Cases)))
			}
			fmt.Fprintf(sh.out, "%s row %d: %s\n", r.Sheet, r.Row, fate)
		}
		return nil
	}
	if err := p.Faults.Err(); err != nil {
		return err
	}
	taken, err := b.TakeOrders(ctx, book.Owner(), tables, o, p.Revision)
	if err != nil {
		return err
	}
	if taken.Already {
		_, err = fmt.Fprintf(sh.out, "%s was taken before; nothing is changed\n", o.Name)
		return err
	}
	_, err = fmt.Fprintf(sh.out, "%s is taken: %d orders new, %d changed, %d taken out, %d rows parked\n", o.Name, taken.Added, taken.Changed, taken.Removed, taken.Parked)
	return err
}

func rows(n int) string {
	if n == 1 {
		return "1 row"
	}
	return fmt.Sprintf("%d rows", n)
}
