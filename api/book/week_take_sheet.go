package book

import (
	"context"
	"errors"
	"reflect"
	"strings"

	"headtally/domain"
	"headtally/domain/store"
)

// TakenWorkbook is what taking a workbook did.
type TakenWorkbook struct {
	Sheet   domain.Sheet
	Already bool // nothing was changed, for the same workbook was taken before
	Added   int  // records
	Changed int
}

// TakeWorkbook takes a workbook into the book in one transaction. A record of
// the same code is brought to what the workbook says; orders, standing orders
// and the count are added. The same workbook again changes nothing.
func (b *Book) TakeWorkbook(ctx context.Context, who Person, tables []Table, order DayOrder, name string) (*TakenWorkbook, error) {
	if err := mayAll(who, MayManage, MayOrder, MayGrow); err != nil {
		return nil, err
	}
	facts, faults := ReadWorkbook(tables, order)
	if faults != nil {
		return nil, faults
	}
	id := fingerprint(tables)
	return store.Write(ctx, b.store, who.act(Note{Why: name}), func(tx *store.Tx) (*TakenWorkbook, error) {
		before, err := takenBefore(tx, id)
		if err != nil {
			return nil, err
		}
		t := &taker{ctx: ctx, tx: tx, codes: map[string]string{}, taken: &TakenWorkbook{Already: before}}
		t.taken.Sheet = domain.Sheet{ID: id, Name: name, Kind: domain.WorkbookKind, Taken: tx.Now}
		if before {
			return t.taken, nil
		}
		if err := b.takeFacts(t, &facts); err != nil {
			return nil, err
		}
		return t.taken, storeSheet(tx, t.taken.Sheet)
	})
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
func (b *Book) takeFacts(t *taker, f *domain.Facts) error {
	was, err := farm(t.tx)
	if err != nil {
		return err
	}
	if was.Rev == 0 {
		_, err = store.Farms.Create(t.tx, f.Farm)
	} else {
		_, err = store.Farms.Replace(t.tx, f.Farm, was.Rev)
	}
	if err != nil {
		return err
	}
	return errors.Join(
		takeAll(t, b.Varieties, f.Varieties), takeAll(t, b.Products, f.Products), takeAll(t, b.Carriers, f.Carriers),
		takeAll(t, b.Customers, f.Customers), takeNew(t, b.Standing, f.Standing, func(v *domain.Standing) *string { return &v.ID }),
		takeNew(t, b.Orders, f.Orders, func(v *domain.Order) *string { return &v.ID }), t.words(f.Decisions),
		takeNew(t, b.Counts, f.Counts, func(v *domain.Count) *string { return &v.ID }))
}

// takeAll brings records to what the workbook says.
func takeAll[T any](t *taker, shelf Shelf[T], values []T) error {
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

// takeNew adds records under codes of the book's own.
func takeNew[T any](t *taker, shelf Shelf[T], values []T, id func(*T) *string) error {
	for _, v := range values {
		if err := t.ctx.Err(); err != nil {
			return err
		}
		told := *id(&v)
		*id(&v) = ""
		rec, err := shelf.create(t.tx, v)
		if err != nil {
			return about(err, shelf.kind.Name, told)
		}
		t.codes[told] = *id(&rec.Value)
		t.taken.Added++
	}
	return nil
}

// words keeps the promises of the workbook's orders, under their new codes.
func (t *taker) words(decisions []domain.Decision) error {
	for _, d := range decisions {
		order, rest, _ := strings.Cut(d.Line, "/")
		d.Line = t.codes[order] + "/" + rest
		if _, err := store.Decisions.Create(t.tx, d); err != nil {
			return err
		}
	}
	return nil
}

// about names the record that a fault is about.
func about(err error, what, code string) error {
	var faults domain.Faults
	if errors.As(err, &faults) {
		return faults.Under(what + " " + code)
	}
	return err
}
