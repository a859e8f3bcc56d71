// Package store keeps the book: the farm's records, and who changed them when
// and why, in one SQLite file, or in a PostgreSQL database that several programs
// may serve at once.
//
// There is one door for writing (Write): it opens the transaction, takes the
// book's one revision row, reads the clock once, runs the use case, and adds one
// to the revision; every record changed through it leaves what was before and
// after in the history. Reading (Read) sees one moment of the book.
//
// A record is kept as the document its domain type writes, beside the few
// columns that are searched by or refer to other records; so a use case reads
// and writes domain values and no row type stands between.
package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"
	"gorm.io/gorm/logger"

	"headtally/domain"
)

// FileName is the book's file in its folder.
const FileName = "headtally.db"

// ErrNewer says that the file was written by a newer version of the program;
// nothing was changed.
var ErrNewer = errors.New("the book was written by a newer version of the program")

// Store is an open book. It is safe for use by many goroutines.
type Store struct {
	writer, reader *gorm.DB
	engine         engine
	now            func() time.Time
	dir            string // takes the copy made before an upgrade
	log            eventLog
}

// Option is something more that Open is told.
type Option func(*Store)

// CopiesIn names the folder for the copy that is made before a database is
// upgraded. A book in a folder has its copies there.
func CopiesIn(dir string) Option { return func(s *Store) { s.dir = dir } }

// Open opens the book in a place, a folder or the address of a PostgreSQL
// database (postgres://...). It makes what is missing there, and brings an older
// book forward. now is the clock of every change.
func Open(ctx context.Context, place string, now func() time.Time, options ...Option) (*Store, error) {
	s := &Store{now: now}
	for _, o := range options {
		o(s)
	}
	open := s.openFolder
	if IsDatabase(place) {
		open = s.openDatabase
	}
	if err := open(ctx, place); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// openFolder opens the file in a folder.
func (s *Store) openFolder(ctx context.Context, dir string) (err error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("the folder of the book: %w", err)
	}
	path := filepath.Join(dir, FileName)
	s.dir, s.engine = dir, inFolder{dir}
	if s.writer, err = openHandle(dsn(path, "_txlock=immediate"), 1); err != nil {
		return err
	}
	if err := s.migrate(ctx); err != nil {
		return err
	}
	if err := os.Chmod(path, 0o600); err != nil {
		return err
	}
	s.reader, err = openHandle(dsn(path, "mode=ro"), 4)
	return err
}

// dsn names the file and what every connection to it is told. Full synchronous
// writes are what makes an acknowledged change survive a power cut
// (https://www.sqlite.org/pragma.html#pragma_synchronous). The log is cut back to
// its usual 4 MiB once a long reader that kept it growing is gone.
func dsn(path, more string) string {
	return fileURI(path) +
		"?_pragma=busy_timeout(10000)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)&_pragma=journal_size_limit(4194304)&" + more
}

func fileURI(path string) string { return "file:" + (&url.URL{Path: path}).EscapedPath() }

func openHandle(dsn string, connections int) (*gorm.DB, error) {
	return openWith(dialector(dsn), connections)
}

func openWith(d gorm.Dialector, connections int) (*gorm.DB, error) {
	db, err := gorm.Open(d, &gorm.Config{
		TranslateError: true, SkipDefaultTransaction: true, Logger: logger.Discard,
	})
	if err != nil {
		return nil, fmt.Errorf("the book cannot be opened: %w", kindOf(err))
	}
	pool, err := db.DB()
	if err != nil {
		return nil, err
	}
	pool.SetMaxOpenConns(connections)
	pool.SetMaxIdleConns(connections)
	// gorm learns a type of rows when it first meets it, and two requests that
	// bring it one at once would race for that.
	for _, rows := range []any{&row{}, &struct{ Revision int64 }{}} {
		if err := (&gorm.Statement{DB: db}).Parse(rows); err != nil {
			return nil, err
		}
	}
	return db, nil
}

// Close lets go of the book.
func (s *Store) Close() error {
	var errs []error
	for _, db := range []*gorm.DB{s.reader, s.writer} {
		if db == nil {
			continue
		}
		pool, err := db.DB()
		if err == nil {
			err = pool.Close()
		}
		errs = append(errs, err)
	}
	return errors.Join(errs...)
}

// Act is who makes a change, and why as far as told.
type Act struct{ Who, Why string }

// Tx is one transaction: a moment of the book, and in Write its next revision.
type Tx struct {
	Revision int64     // of the book as this transaction found it
	Next     int64     // of whatever it changes; Write only
	Now      time.Time // its one reading of the clock, UTC to the microsecond, never before the last change; Write only

	db      *gorm.DB
	act     Act
	changed bool
	log     *eventLog
}

// Read runs fn on one moment of the book.
func Read[T any](ctx context.Context, s *Store, fn func(*Tx) (T, error)) (result T, err error) {
	err = s.within(ctx, s.reader, s.engine.read(), func(tx *Tx) error {
		result, err = fn(tx)
		return err
	})
	return result, kindOf(err)
}

// Write is the one door for changes. Where fn changes nothing the revision
// stays. Whatever OnWrite put into ctx runs last, in the same transaction. Once
// it returns without an error the change is on the disk.
func Write[T any](ctx context.Context, s *Store, act Act, fn func(*Tx) (T, error)) (result T, err error) {
	err = s.within(ctx, s.writer, s.engine.write(), func(tx *Tx) error {
		last, err := tx.lastChange()
		if err != nil {
			return err
		}
		tx.act, tx.Now, tx.Next = act, notBefore(s.now().UTC().Truncate(time.Microsecond), last), tx.Revision+1
		if result, err = fn(tx); err != nil {
			return err
		}
		if also, ok := ctx.Value(onWrite{}).(func(*Tx, any) error); ok {
			if err := also(tx, result); err != nil {
				return err
			}
		}
		if !tx.changed {
			return nil
		}
		return tx.db.Exec("UPDATE book SET revision = ? WHERE id = 1", tx.Next).Error
	})
	return result, writtenKind(err)
}

// lastChange is when the book was last changed; zero: never.
func (tx *Tx) lastChange() (time.Time, error) {
	var at []string
	if err := tx.db.Table("history").Order("seq DESC").Limit(1).Pluck("at", &at).Error; err != nil || len(at) == 0 {
		return time.Time{}, err
	}
	return time.Parse(timeLayout, at[0])
}

// notBefore is now, or the moment after last where the clock stands before it:
// what was told later stands for later, though a clock was set back, forgot the
// year in a power cut, or is another machine's.
func notBefore(now, last time.Time) time.Time {
	if now.Before(last) {
		return last.Add(time.Microsecond)
	}
	return now
}

// beginTries is how often a transaction is begun anew where the database was
// away, with pauses that double from the first: 1.5 seconds in all, as a server
// takes to start again.
const (
	beginTries = 5
	firstPause = 100 * time.Millisecond
)

// within runs fn in a transaction that has read the book's revision. What fails
// before fn may be begun again. What fails later may not, for fn has been at
// work; nor need it, for whoever holds the revision row is not in another's way.
func (s *Store) within(ctx context.Context, db *gorm.DB, o *sql.TxOptions, fn func(*Tx) error) error {
	for try, pause := 1, firstPause; ; try, pause = try+1, 2*pause {
		begun := false
		err := db.WithContext(ctx).Transaction(func(db *gorm.DB) (err error) {
			tx := &Tx{db: db, log: &s.log}
			if tx.Revision, err = tx.revision(!o.ReadOnly); err != nil {
				return err
			}
			begun = true
			return fn(tx)
		}, o)
		if err == nil || begun || try == beginTries || !isAway(err) {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(pause):
		}
	}
}

type onWrite struct{}

// OnWrite gives the edge a place in the transaction of the next Write under
// ctx: also sees the use case's result and may still refuse.
func OnWrite(ctx context.Context, also func(tx *Tx, result any) error) context.Context {
	return context.WithValue(ctx, onWrite{}, also)
}

// revision reads the book's revision row, and to write holds it where rows can
// be held: whoever waits for it reads what the one before has left.
func (tx *Tx) revision(hold bool) (n int64, err error) {
	var row struct{ Revision int64 }
	db := tx.db.Table("book").Select("revision").Where("id = 1")
	if hold {
		db = db.Clauses(clause.Locking{Strength: "UPDATE"})
	}
	err = db.Take(&row).Error
	return row.Revision, err
}

// writtenKind is kindOf for a change. After a write that failed nobody knows what
// the disk holds, and asking it again may be told that all is well
// (https://wiki.postgresql.org/wiki/Fsync_Errors).
func writtenKind(err error) error {
	if isDiskFault(err) {
		return fmt.Errorf("%w: %w", domain.ErrDisk, err)
	}
	return kindOf(err)
}

// kindOf turns the database's errors into the domain's kinds.
func kindOf(err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, gorm.ErrDuplicatedKey), errors.Is(err, gorm.ErrForeignKeyViolated), errors.Is(err, gorm.ErrCheckConstraintViolated):
		return fmt.Errorf("%w: %w", domain.ErrConflict, err)
	case isDiskFull(err), isServerFull(err):
		return fmt.Errorf("%w: %w", domain.ErrFull, err)
	case isAway(err):
		return fmt.Errorf("%w: %w", domain.ErrAway, err)
	}
	return err
}
