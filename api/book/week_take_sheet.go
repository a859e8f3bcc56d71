package book

import (
	"context"
	"errors"
	"reflect"
	"slices"
	"strings"
	"time"

	"headtally/domain"
	"headtally/domain/store"
)

// TakenWorkbook is what taking a workbook did.
type TakenWorkbook struct {
	Sheet   domain.Sheet
	Already bool // nothing was changed, for the same workbook was taken before
	Added   int  // records
	Changed int  // of them, orders of an earlier workbook that were taken out too
}

// TakeWorkbook takes a workbook into the book in one transaction. A record that
// the book knows by the name, or by a code of that name, is brought to what the workbook says; its orders stand instead
// of those an earlier workbook asked for the same days, and a standing order
// gets a new term where it asks otherwise. The same workbook again changes
// nothing.
func (b *Book) TakeWorkbook(ctx context.Context, who Person, tables []Table, order DayOrder, name string) (*TakenWorkbook, error) {
	if err := mayAll(who, MayManage, MayOrder, MayGrow); err != nil {
		return nil, err
	}
	id := fingerprint(tables)
	return change(ctx, b, who, Note{Why: name}, func(tx *store.Tx) (*TakenWorkbook, error) {
		before, err := takenBefore(tx, id)
		if err != nil {
			return nil, err
		}
		t := &taker{ctx: ctx, tx: tx, codes: map[string]string{}, taken: &TakenWorkbook{Already: before}}
		t.taken.Sheet = domain.Sheet{ID: id, Name: name, Kind: domain.WorkbookKind, Sender: string(domain.WorkbookKind), Taken: tx.Now}
		if before {
			return t.taken, nil
		}
		was, facts, faults, err := lookAtWorkbook(tx, tables, order)
		if err != nil {
			return nil, err
		}
		if faults != nil {
			return nil, faults
		}
		if err := b.takeFacts(t, was, &facts); err != nil {
			return nil, err
		}
		return t.taken, storeSheet(tx, t.taken.Sheet)
	})
}

// PreviewWorkbook reads a workbook for this book and says what is wrong with it.
// It changes nothing.
func (b *Book) PreviewWorkbook(ctx context.Context, who Person, tables []Table, order DayOrder) (facts domain.Facts, faults domain.Faults, err error) {
	if err := who.ask(MayManage); err != nil {
		return facts, nil, err
	}
	_, err = store.Read(ctx, b.store, func(tx *store.Tx) (bool, error) {
		_, facts, faults, err = lookAtWorkbook(tx, tables, order)
		return err == nil, err
	})
	return facts, faults, err
}

func lookAtWorkbook(tx *store.Tx, tables []Table, order DayOrder) (was Record[domain.Farm], facts domain.Facts, faults domain.Faults, err error) {
	if was, err = farm(tx); err != nil {
		return was, facts, nil, err
	}
	known, err := bookNamesOf(tx)
	if err != nil {
		return was, facts, nil, err
	}
	facts, faults = readWorkbook(was.Value, known, tables, order)
	return was, facts, faults, nil
}

// mayAll refuses a person who lacks one of the rights.
func mayAll(who Person, rights ...Right) error {
	for _, r := range rights {
		if err := who.ask(r); err != nil {
			return err
		}
	}
	return nil
}

// taker writes the records of a workbook, one transaction's worth.
type taker struct {
	ctx   context.Context
	tx    *store.Tx
	taken *TakenWorkbook
	codes map[string]string // order of the workbook -> its code in the book
}

// takeFacts writes what is named before what names it.
func (b *Book) takeFacts(t *taker, was Record[domain.Farm], f *domain.Facts) (err error) {
	if was.Rev == 0 {
		_, err = store.Farms.Create(t.tx, f.Farm)
	} else {
		_, err = store.Farms.Replace(t.tx, f.Farm, was.Rev)
	}
	if err != nil {
		return err
	}
	for _, step := range []func() error{
		func() error { return takeAll(t, b.Varieties, f.Varieties, nil) },
		func() error {
			return takeAll(t, b.Products, f.Products, func(was, now *domain.Product) { now.GTIN = was.GTIN })
		},
		func() error { return takeAll(t, b.Carriers, f.Carriers, nil) },
		func() error {
			return takeAll(t, b.Customers, f.Customers, func(was, now *domain.Customer) { now.ItemCodes, now.Note = was.ItemCodes, was.Note })
		},
		func() error { return t.exceptions(b, f.Exceptions) },
		func() error { return t.standing(b, f.Standing) },
		func() error { return t.orders(f.Orders) },
		func() error { return t.words(f.Decisions) },
		func() error { return t.counts(b, f.Counts) },
	} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// takeAll brings records to what the workbook says; keep leaves what a workbook
// does not speak of as it was.
func takeAll[T any](t *taker, shelf Shelf[T], values []T, keep func(was, now *T)) error {
	for _, v := range values {
		if err := t.ctx.Err(); err != nil {
			return err
		}
		code := *shelf.kind.Code(&v)
		there, err := shelf.kind.Exists(t.tx, code)
		if err != nil {
			return err
		}
		if !there {
			if _, err := shelf.create(t.tx, v); err != nil {
				return about(err, shelf.kind.Name, code)
			}
			t.taken.Added++
			continue
		}
		was, err := shelf.kind.Get(t.tx, code)
		if err != nil {
			return err
		}
		if keep != nil {
			keep(&was.Value, &v)
		}
		now, err := shelf.replace(t.tx, code, v, was.Rev)
		if err != nil {
			return about(err, shelf.kind.Name, code)
		}
		if now.Rev != was.Rev && !reflect.DeepEqual(was.Value, now.Value) {
			t.taken.Changed++
		}
	}
	return nil
}

// exceptions takes the days that differ from the week; one that the book has for
// the same day and carriers is brought to what the workbook says.
func (t *taker) exceptions(b *Book, list []domain.Exception) error {
	records, err := store.Exceptions.List(t.tx, Query{})
	if err != nil {
		return err
	}
	for _, x := range list {
		at := slices.IndexFunc(records, func(r Record[domain.Exception]) bool { return r.Value.Day == x.Day && r.Value.Carrier == x.Carrier })
		if at < 0 {
			x.ID = ""
			if _, err := b.Exceptions.create(t.tx, x); err != nil {
				return about(err, store.Exceptions.Name, x.Day.String())
			}
			t.taken.Added++
			continue
		}
		x.ID = records[at].Value.ID
		now, err := b.Exceptions.replace(t.tx, x.ID, x, records[at].Rev)
		if err != nil {
			return about(err, store.Exceptions.Name, x.Day.String())
		}
		if now.Rev != records[at].Rev {
			t.taken.Changed++
		}
	}
	return nil
}

// orders takes the one-offs. Those of a workbook stand instead of what an
// earlier one asked for the same days.
func (t *taker) orders(list []domain.Order) error {
	trade, err := tradeOf(t.tx)
	if err != nil {
		return err
	}
	p := &OrderPreview{Sheet: t.taken.Sheet.ID, replaced: map[string]bool{}}
	for _, o := range list {
		p.made = append(p.made, plannedOrder{order: o, row: -1})
	}
	if err := p.compare(t.tx, trade, OrderSheet{Sender: t.taken.Sheet.Sender}); err != nil {
		return err
	}
	if p.Faults != nil {
		return p.Faults
	}
	done := &Taken{}
	if err := p.writeOrders(t.ctx, t.tx, OrderSheet{}, done); err != nil {
		return err
	}
	for i, o := range list {
		t.codes[o.ID] = p.made[i].order.ID
	}
	t.taken.Sheet.Orders = done.Sheet.Orders
	t.taken.Added += done.Added
	t.taken.Changed += done.Changed + done.Removed
	return nil
}

// standing takes the standing orders. One that the book has already, with the
// same days, gets a new term where the workbook asks otherwise.
func (t *taker) standing(b *Book, list []domain.Standing) error {
	records, err := store.Standing.List(t.tx, Query{})
	if err != nil {
		return err
	}
	used := map[string]bool{}
	for _, s := range list {
		at := slices.IndexFunc(records, func(r Record[domain.Standing]) bool {
			return !used[r.Value.ID] && sameDays(&r.Value, &s)
		})
		if at < 0 {
			s.ID = ""
			if _, err := b.Standing.create(t.tx, s); err != nil {
				return about(err, store.Standing.Name, s.Customer+"/"+s.Product)
			}
			t.taken.Added++
			continue
		}
		was := records[at]
		used[was.Value.ID] = true
		if !newTerm(&was.Value, s.Terms[0]) {
			continue
		}
		if _, err := b.Standing.replace(t.tx, was.Value.ID, was.Value, was.Rev); err != nil {
			return about(err, store.Standing.Name, was.Value.ID)
		}
		t.taken.Changed++
	}
	return nil
}

// sameDays says whether two standing orders are the same customer's of the same
// product on the same days.
func sameDays(a, b *domain.Standing) bool {
	x, y := a.Terms[len(a.Terms)-1], b.Terms[0]
	return a.Customer == b.Customer && a.Product == b.Product && x.Weekdays == y.Weekdays && x.Every == y.Every
}

// newTerm gives a standing order a term, and says whether that changes what it
// asks.
func newTerm(s *domain.Standing, term domain.Term) bool {
	last := &s.Terms[len(s.Terms)-1]
	if last.Cases == term.Cases && last.AllOrNone == term.AllOrNone && last.Until == term.Until {
		return false
	}
	if term.From <= last.From {
		term.From = last.From
		*last = term
		return true
	}
	s.Terms = append(slices.Clone(s.Terms), term)
	return true
}

// counts takes the walk count, unless the book has the same one.
func (t *taker) counts(b *Book, list []domain.Count) error {
	for _, c := range list {
		told, err := store.Counts.Values(t.tx, Query{Equal: map[string]string{"day": c.Day.String()}})
		if err != nil {
			return err
		}
		same := slices.ContainsFunc(told, func(other domain.Count) bool {
			other.ID, other.At = c.ID, c.At
			return reflect.DeepEqual(other, c)
		})
		if same {
			continue
		}
		c.ID, c.At = "", time.Time{} // a count is told when it is taken
		if _, err := b.Counts.create(t.tx, c); err != nil {
			return about(err, store.Counts.Name, c.Day.String())
		}
		t.taken.Added++
	}
	return nil
}

// words keeps the promises of the workbook's orders, under their new codes. A
// word is only ever raised.
func (t *taker) words(decisions []domain.Decision) error {
	for _, d := range decisions {
		order, rest, _ := strings.Cut(d.Line, "/")
		d.Line = t.codes[order] + "/" + rest
		was, err := decision(t.tx, d.Line)
		if err != nil {
			return err
		}
		switch {
		case was.Value.Promised >= d.Promised:
			continue
		case was.Rev == 0:
			_, err = store.Decisions.Create(t.tx, d)
		default:
			was.Value.Promised, was.Value.PromisedAt = d.Promised, d.PromisedAt
			_, err = store.Decisions.Replace(t.tx, was.Value, was.Rev)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// about names the record that a fault is about.
func about(err error, what, code string) error {
	var faults domain.Faults
	if !errors.As(err, &faults) {
		return err
	}
	named := make(domain.Faults, len(faults))
	for i, f := range faults {
		named[i] = located(domain.SheetPlace{Kind: what, Code: code, What: f.Place}, f)
	}
	return named
}
