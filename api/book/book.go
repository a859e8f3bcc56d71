// Package book holds the use cases: one method for each thing a person does
// with the book. Every face (JSON, pages, paper, sheets, the command line) calls
// these and nothing below them; here alone it is asked whether a person may, and
// here alone a transaction is opened.
//
// A record's revision is the book revision that last changed it; whatever is
// derived from the book (a day, a tally, a plan) has the book's own.
package book

import (
	"context"
	"slices"
	"strings"
	"sync"
	"time"

	"headtally/domain"
	"headtally/domain/store"
	"headtally/planner"
)

// Book is the farm's book with its use cases. It is safe for many goroutines.
type Book struct {
	Varieties  Shelf[domain.Variety]
	Products   Shelf[domain.Product]
	Carriers   Shelf[domain.Carrier]
	Customers  Shelf[domain.Customer]
	Exceptions Shelf[domain.Exception]
	Standing   Shelf[domain.Standing]
	Orders     Shelf[domain.Order]
	Counts     Shelf[domain.Count]
	growingShelves

	store *store.Store
	now   func() time.Time

	papers Papers // how the papers of an issue are drawn
	door   door   // wrong tries to sign in

	mu      sync.Mutex
	weeks   map[weekKey]*planner.Week
	figures Figures
}

// weekKey is what a plan is kept by.
type weekKey struct {
	revision int64
	asOf     domain.Day
}

// New makes the use cases of a store. now is the same clock as the store's.
func New(s *store.Store, now func() time.Time) *Book {
	b := &Book{store: s, now: now, weeks: map[weekKey]*planner.Week{}}
	b.shelves()
	return b
}

// Right is what a person may do.
type Right string

// Reading is for everybody in the house; the others are given by role.
const (
	MayRead   Right = "read"
	MayOrder  Right = "orders" // customers, orders, promises, the calendar
	MayGrow   Right = "beds"   // counts, beds
	MayPack   Right = "packing"
	MayManage Right = "manage" // the farm's settings, varieties, products, people
)

// Person is who asks, as the edge knows them.
type Person struct {
	Name   string
	Code   string // of the account; "" for the machine itself, devices and keys
	Rights []Right
}

// Own tells one asker from every other: what is kept for one is under it.
func (p Person) Own() string {
	if p.Code != "" {
		return "person " + p.Code
	}
	return p.Name
}

// Owner is the person at the machine itself, who may do everything.
func Owner() Person {
	return Person{Name: "owner on this machine", Rights: []Right{MayRead, MayOrder, MayGrow, MayPack, MayManage}}
}

// ask refuses a person who lacks a right.
func (p Person) ask(r Right) error {
	if slices.Contains(p.Rights, r) {
		return nil
	}
	return domain.Refuse(domain.ErrDenied, "right", string(r))
}

// Record is a stored value with its revision, which is its ETag.
type Record[T any] = store.Record[T]

// Note is what a change is made with: why, and the revision of the record that
// it was made from.
type Note struct {
	Why  string
	Base int64 // NoBase: none was given, which is refused
	Late Late  // the tick that lets a change touch a pickup that is closed
}

// NoBase says that a change came without the revision it was made from.
const NoBase int64 = -1

// Today is the farm's day now.
func (b *Book) Today(ctx context.Context) (domain.Day, error) {
	f, err := b.Farm(ctx)
	if err != nil {
		return 0, err
	}
	return domain.NewCalendar(f.Value, nil, nil).Today(b.now()), nil
}

// Farm is the farm's settings; before any were stored they are the defaults at
// revision 0.
func (b *Book) Farm(ctx context.Context) (Record[domain.Farm], error) {
	return store.Read(ctx, b.store, farm)
}

func farm(tx *store.Tx) (Record[domain.Farm], error) {
	if stored, err := store.Farms.Exists(tx, "farm"); err != nil || !stored {
		return Record[domain.Farm]{Value: domain.NewFarm()}, err
	}
	return store.Farms.Get(tx, "farm")
}

// SetFarm changes the farm's settings.
func (b *Book) SetFarm(ctx context.Context, who Person, f domain.Farm, note Note) (Record[domain.Farm], error) {
	if err := who.ask(MayManage); err != nil {
		return Record[domain.Farm]{}, err
	}
	if err := domain.Check(f).Err(); err != nil {
		return Record[domain.Farm]{}, err
	}
	if note.Base == NoBase {
		return Record[domain.Farm]{}, domain.Refuse(domain.ErrNoMatch, "farm", "farm")
	}
	return store.Write(ctx, b.store, who.act(note), func(tx *store.Tx) (Record[domain.Farm], error) {
		was, err := farm(tx)
		if err != nil {
			return was, err
		}
		switch {
		case was.Rev != note.Base:
			return was, domain.Refuse(domain.ErrStale, "farm", "farm", "revision", was.Rev)
		case was.Rev == 0:
			return store.Farms.Create(tx, f)
		}
		return store.Farms.Replace(tx, f, note.Base)
	})
}

func (p Person) act(n Note) store.Act {
	why := n.Why
	if n.Late != "" {
		why = strings.TrimSuffix("late ("+string(n.Late)+"): "+why, ": ")
	}
	return store.Act{Who: p.Name, Why: why}
}

// Revision is the book's revision now.
func (b *Book) Revision(ctx context.Context) (int64, error) {
	return store.Read(ctx, b.store, func(tx *store.Tx) (int64, error) { return tx.Revision, nil })
}

// History lists the newest changes: of one record, or of all where kind and
// code are "".
func (b *Book) History(ctx context.Context, who Person, kind, code string, limit int) ([]store.Entry, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) ([]store.Entry, error) { return tx.History(kind, code, limit) })
}
