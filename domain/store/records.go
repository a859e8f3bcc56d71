package store

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"gorm.io/gorm"

	"headtally/domain"
)

// Kind is one kind of record: its table, its code, and the columns kept beside
// its document.
type Kind[T any] struct {
	Name    string // in the history and in refusals
	table   string
	code    func(*T) *string
	columns func(*T) map[string]any
}

// Record is a stored value with the revision that last changed it.
type Record[T any] struct {
	Value T
	Rev   int64
	Ended bool
}

// The kinds of record in the book.
var (
	Farms = Kind[domain.Farm]{"farm", "farm", func(*domain.Farm) *string { code := "farm"; return &code }, nil}

	Varieties = Kind[domain.Variety]{"variety", "varieties", func(v *domain.Variety) *string { return &v.Code },
		func(v *domain.Variety) map[string]any { return map[string]any{"name": v.Name} }}
	Products = Kind[domain.Product]{"product", "products", func(v *domain.Product) *string { return &v.Code },
		func(v *domain.Product) map[string]any { return map[string]any{"name": v.Name} }}
	Carriers = Kind[domain.Carrier]{"carrier", "carriers", func(v *domain.Carrier) *string { return &v.Code },
		func(v *domain.Carrier) map[string]any { return map[string]any{"name": v.Name} }}
	Customers = Kind[domain.Customer]{"customer", "customers", func(v *domain.Customer) *string { return &v.Code },
		func(v *domain.Customer) map[string]any { return map[string]any{"name": v.Name, "carrier": v.Carrier} }}
	Exceptions = Kind[domain.Exception]{"exception", "exceptions", func(v *domain.Exception) *string { return &v.ID },
		func(v *domain.Exception) map[string]any { return map[string]any{"day": v.Day} }}
	Standing = Kind[domain.Standing]{"standing order", "standing", func(v *domain.Standing) *string { return &v.ID },
		func(v *domain.Standing) map[string]any {
			return map[string]any{"customer": v.Customer, "product": v.Product}
		}}
	Orders = Kind[domain.Order]{"order", "orders", func(v *domain.Order) *string { return &v.ID },
		func(v *domain.Order) map[string]any {
			return map[string]any{"customer": v.Customer, "pickup": v.Pickup, "reference": v.Reference}
		}}
	Decisions = Kind[domain.Decision]{"decision", "decisions", func(v *domain.Decision) *string { return &v.Line },
		func(v *domain.Decision) map[string]any { return map[string]any{"day": v.LastDay()} }}
	Counts = Kind[domain.Count]{"count", "counts", func(v *domain.Count) *string { return &v.ID },
		func(v *domain.Count) map[string]any { return map[string]any{"day": v.Day} }}
	Issues = Kind[domain.Issue]{"issue", "issues", func(v *domain.Issue) *string { return &v.ID },
		func(v *domain.Issue) map[string]any { return map[string]any{"day": v.Day} }}
	Lifts = Kind[domain.Lift]{"lift", "lifts", func(v *domain.Lift) *string { return &v.ID },
		func(v *domain.Lift) map[string]any { return map[string]any{"day": v.Day} }}
	Packings = Kind[domain.Packing]{"packing", "packings", func(v *domain.Packing) *string { return &v.ID },
		func(v *domain.Packing) map[string]any { return map[string]any{"day": v.Day} }}
	Departures = Kind[domain.Departure]{"departure", "departures", func(v *domain.Departure) *string { return &v.ID },
		func(v *domain.Departure) map[string]any { return map[string]any{"day": v.Day} }}
	Returns = Kind[domain.Return]{"return", "returns", func(v *domain.Return) *string { return &v.ID },
		func(v *domain.Return) map[string]any { return map[string]any{"day": v.Day} }}
	Closings = Kind[domain.Closing]{"closing", "closings", func(v *domain.Closing) *string { return &v.ID },
		func(v *domain.Closing) map[string]any { return map[string]any{"day": v.Day} }}
	Sheets = Kind[domain.Sheet]{"sheet", "sheets", func(v *domain.Sheet) *string { return &v.ID }, nil}
	Parked = Kind[domain.ParkedRow]{"parked row", "parked", func(v *domain.ParkedRow) *string { return &v.ID },
		func(v *domain.ParkedRow) map[string]any { return map[string]any{"day": v.Day} }}
)

// Query chooses records of a kind, in the order of their codes.
type Query struct {
	Search string            // part of the name, where the kind has one, in small letters or capitals
	Equal  map[string]string // columns and the values they must have
	From   map[string]string // columns and the least values
	To     map[string]string // columns and the greatest values
	Ended  bool              // ended ones too
	After  string            // only codes after this one
	Limit  int               // at most so many; 0: all
}

type row struct {
	Code  string
	Name  string
	Rev   int64
	Ended bool
	Body  string
}

// Code is a pointer to the record's code.
func (k Kind[T]) Code(v *T) *string { return k.code(v) }

// Get is one record, ended or not.
func (k Kind[T]) Get(tx *Tx, code string) (rec Record[T], err error) {
	var r row
	err = tx.db.Table(k.table).Where("code = ?", plain(code)).Take(&r).Error
	if errors.Is(err, gorm.ErrRecordNotFound) {
		return rec, domain.Refuse(domain.ErrNotFound, k.Name, code)
	}
	if err != nil {
		return rec, err
	}
	return k.read(r)
}

// Exists says whether a record of that code was ever stored.
func (k Kind[T]) Exists(tx *Tx, code string) (bool, error) {
	var n int64
	err := tx.db.Table(k.table).Where("code = ?", plain(code)).Count(&n).Error
	return n > 0, err
}

// Count is how many records were ever stored, ended ones too.
func (k Kind[T]) Count(tx *Tx) (int, error) {
	var n int64
	err := tx.db.Table(k.table).Count(&n).Error
	return int(n), err
}

// List is the records a query chooses.
func (k Kind[T]) List(tx *Tx, q Query) ([]Record[T], error) {
	db := tx.db.Table(k.table).Order("code")
	if !q.Ended {
		db = db.Where("ended = ?", false)
	}
	for op, columns := range map[string]map[string]string{"= ?": q.Equal, ">= ?": q.From, "<= ?": q.To} {
		for column, value := range columns {
			db = db.Where(column+" "+op, plain(value))
		}
	}
	if q.After != "" {
		db = db.Where("code > ?", plain(q.After))
	}
	if q.Limit > 0 && q.Search == "" {
		db = db.Limit(q.Limit)
	}
	var rows []row
	if err := db.Find(&rows).Error; err != nil {
		return nil, err
	}
	if q.Search != "" {
		rows = named(rows, q.Search, q.Limit)
	}
	records := make([]Record[T], len(rows))
	for i, r := range rows {
		var err error
		if records[i], err = k.read(r); err != nil {
			return nil, err
		}
	}
	return records, nil
}

// named keeps the rows whose name holds a text. The databases do not agree on
// the small letters of other alphabets, so none of them is asked.
func named(rows []row, part string, limit int) (found []row) {
	part = strings.ToLower(part)
	for _, r := range rows {
		if strings.Contains(strings.ToLower(r.Name), part) && (limit == 0 || len(found) < limit) {
			found = append(found, r)
		}
	}
	return found
}

// plain is a text as every database can hold it: with a mark where PostgreSQL
// takes nothing (a zero byte, and what is no UTF-8).
func plain(text string) string {
	return strings.ReplaceAll(strings.ToValidUTF8(text, "\uFFFD"), "\x00", "\uFFFD")
}

// Values is the values of the records a query chooses.
func (k Kind[T]) Values(tx *Tx, q Query) ([]T, error) {
	records, err := k.List(tx, q)
	values := make([]T, len(records))
	for i, r := range records {
		values[i] = r.Value
	}
	return values, err
}

func (k Kind[T]) read(r row) (Record[T], error) {
	rec := Record[T]{Rev: r.Rev, Ended: r.Ended}
	if err := json.Unmarshal([]byte(r.Body), &rec.Value); err != nil {
		return rec, fmt.Errorf("store: %s %s: %w", k.Name, r.Code, err)
	}
	return rec, nil
}

// rowColumns are columns by name, for what gorm asks of a row's type.
type rowColumns map[string]any

// insert is a table that rows are put into as columns by name. The type is told,
// or gorm writes the whole row, each byte of a file as a number, into an error
// that it throws away.
func insert(db *gorm.DB, table string) *gorm.DB { return db.Table(table).Model(rowColumns(nil)) }

// Create stores a record under a code that none has had.
func (k Kind[T]) Create(tx *Tx, v T) (Record[T], error) {
	code := *k.code(&v)
	if taken, err := k.Exists(tx, code); err != nil || taken {
		return Record[T]{}, errors.Join(err, domain.Refuse(domain.ErrConflict, k.Name, code, "reason", "exists"))
	}
	return k.put(tx, v, nil, false)
}

// Replace changes a record that base was the revision of when it was read.
func (k Kind[T]) Replace(tx *Tx, v T, base int64) (Record[T], error) {
	before, err := k.Get(tx, *k.code(&v))
	if err != nil {
		return Record[T]{}, err
	}
	if before.Rev != base {
		return Record[T]{}, domain.Refuse(domain.ErrStale, k.Name, *k.code(&v), "revision", before.Rev)
	}
	return k.put(tx, v, &before, false)
}

// End ends a record: it stays, and is no longer listed or planned with.
func (k Kind[T]) End(tx *Tx, code string, base int64) (Record[T], error) {
	before, err := k.Get(tx, code)
	if err != nil {
		return Record[T]{}, err
	}
	if before.Rev != base {
		return Record[T]{}, domain.Refuse(domain.ErrStale, k.Name, code, "revision", before.Rev)
	}
	return k.put(tx, before.Value, &before, true)
}

// put writes a record and its history. A value equal to what is stored changes
// nothing and keeps its revision.
func (k Kind[T]) put(tx *Tx, v T, before *Record[T], ended bool) (Record[T], error) {
	code := *k.code(&v)
	body, err := json.Marshal(v)
	if err != nil {
		return Record[T]{}, err
	}
	old := ""
	if before != nil {
		was, err := json.Marshal(before.Value)
		if err != nil {
			return Record[T]{}, err
		}
		if old = string(was); old == string(body) && before.Ended == ended {
			return *before, nil
		}
	}
	columns := map[string]any{"rev": tx.Next, "ended": ended, "body": string(body)}
	if k.columns != nil {
		for name, value := range k.columns(&v) {
			if text, is := value.(string); is {
				value = plain(text)
			}
			columns[name] = value
		}
	}
	if before == nil {
		columns["code"] = code
		err = insert(tx.db, k.table).Create(columns).Error
	} else {
		err = tx.db.Table(k.table).Where("code = ?", code).Updates(columns).Error
	}
	if err != nil {
		return Record[T]{}, err
	}
	after := string(body)
	if ended {
		after = ""
	}
	tx.changed = true
	return Record[T]{Value: v, Rev: tx.Next, Ended: ended}, tx.remember(k.Name, code, old, after)
}

// Entry is one change in the history. Before and After are the record's
// document; "" before it was made and after it was ended.
type Entry struct {
	Seq      int64
	Revision int64
	At       time.Time
	Who, Why string
	Kind     string
	Code     string
	Before   string
	After    string
}

// timeLayout keeps instants in UTC to the microsecond, in an order that text has too.
const timeLayout = "2006-01-02T15:04:05.000000Z"

func (tx *Tx) remember(kind, code, before, after string) error {
	return insert(tx.db, "history").Create(map[string]any{
		"revision": tx.Next, "at": tx.Now.Format(timeLayout), "who": plain(tx.act.Who), "why": plain(tx.act.Why),
		"kind": kind, "code": code, "before": before, "after": after,
	}).Error
}

// History lists changes, the newest first: of one record, or of all where kind
// and code are "".
func (tx *Tx) History(kind, code string, limit int) ([]Entry, error) {
	var rows []struct {
		Entry
		At string
	}
	db := tx.db.Table("history").Order("seq DESC").Limit(limit)
	if kind != "" {
		db = db.Where("kind = ?", plain(kind))
	}
	if code != "" {
		db = db.Where("code = ?", plain(code))
	}
	if err := db.Find(&rows).Error; err != nil {
		return nil, err
	}
	entries := make([]Entry, len(rows))
	for i, r := range rows {
		entries[i] = r.Entry
		at, err := time.Parse(timeLayout, r.At)
		if err != nil {
			return nil, fmt.Errorf("store: history %d: %w", r.Seq, err)
		}
		entries[i].At = at
	}
	return entries, nil
}

// countReach is how many days a count can still say anything.
const countReach = 60

// Facts reads everything a plan of a day is made from: the orders with their
// decisions from that day on, and the counts of the last weeks.
func (tx *Tx) Facts(from domain.Day) (domain.Facts, error) {
	f, err := tx.OrderFacts(from, domain.Day(0))
	if err != nil {
		return f, err
	}
	var errs [4]error
	f.Varieties, errs[0] = Varieties.Values(tx, Query{})
	f.Products, errs[1] = Products.Values(tx, Query{})
	f.Counts, errs[2] = Counts.Values(tx, Query{From: map[string]string{"day": from.Add(-countReach).String()}})
	f.Recipes, errs[3] = Recipes.Values(tx, Query{From: map[string]string{"day": from.String()}})
	slices.SortStableFunc(f.Counts, func(a, b domain.Count) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), a.At.Compare(b.At), cmp.Compare(a.ID, b.ID))
	})
	return f, errors.Join(errors.Join(errs[:]...), tx.done(&f, from.Add(-countReach)), tx.grown(&f, from))
}

// OrderFacts reads only what lines are made from: who orders, the calendar, and
// the orders whose lines can lie between two days. With no last day there is no
// end.
func (tx *Tx) OrderFacts(from, to domain.Day) (f domain.Facts, err error) {
	f.Revision = tx.Revision
	farm, err := Farms.Get(tx, "farm")
	switch {
	case errors.Is(err, domain.ErrNotFound):
		f.Farm = domain.NewFarm()
	case err != nil:
		return f, err
	default:
		f.Farm = farm.Value
	}
	since := from.Add(-domain.MoveReach).String() // a pickup may be moved so far, and what was decided of it goes with it
	near := Query{From: map[string]string{"pickup": since}}
	if to != 0 {
		near.To = map[string]string{"pickup": to.Add(domain.MoveReach).String()}
	}
	var errs [6]error
	f.Carriers, errs[0] = Carriers.Values(tx, Query{})
	f.Customers, errs[1] = Customers.Values(tx, Query{})
	f.Exceptions, errs[2] = Exceptions.Values(tx, Query{})
	f.Standing, errs[3] = Standing.Values(tx, Query{})
	f.Orders, errs[4] = Orders.Values(tx, near)
	f.Decisions, errs[5] = Decisions.Values(tx, Query{From: map[string]string{"day": since}})
	return f, errors.Join(errs[:]...)
}

// done reads what was done in the house since a day.
func (tx *Tx) done(f *domain.Facts, since domain.Day) error {
	q := Query{From: map[string]string{"day": since.String()}}
	var errs [5]error
	f.Issues, errs[0] = Issues.Values(tx, q)
	f.Lifts, errs[1] = Lifts.Values(tx, q)
	f.Packings, errs[2] = Packings.Values(tx, q)
	f.Departures, errs[3] = Departures.Values(tx, q)
	f.Returns, errs[4] = Returns.Values(tx, q)
	return errors.Join(errs[:]...)
}
