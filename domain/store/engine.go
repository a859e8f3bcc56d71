package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"hash/fnv"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/gofrs/flock"
	"github.com/pressly/goose/v3"
	"gorm.io/gorm"
)

// engine is what the databases that can hold a book do each in its own way.
type engine interface {
	// steps is the folder of the migrations and what they are written in.
	steps() (folder string, dialect goose.Dialect)
	// write and read are the options of a transaction that changes the book, and
	// of one that sees one moment of it.
	write() *sql.TxOptions
	read() *sql.TxOptions
	// turn waits until no other program on the book has the turn of that name, and
	// takes it until done is called.
	turn(ctx context.Context, name string) (done func(), err error)
	// copyTo writes one moment of the book to a file that is not there yet.
	copyTo(ctx context.Context, db *gorm.DB, file string) error
	// sound asks the database itself what is wrong with it.
	sound(db *gorm.DB) []string
	// bytes is how large the book is on the disk.
	bytes(ctx context.Context) (int64, error)
}

// InTurn runs fn while no other program on the same book runs anything of that
// name. It waits for them, so fn looks first whether they have done it.
func (s *Store) InTurn(ctx context.Context, name string, fn func() error) error {
	done, err := s.engine.turn(ctx, name)
	if err != nil {
		return err
	}
	defer done()
	return fn()
}

// Bytes is how large the book is on the disk.
func (s *Store) Bytes(ctx context.Context) (int64, error) { return s.engine.bytes(ctx) }

// migrate brings the book to this version's schema, one program at a time, after
// a copy of what was.
func (s *Store) migrate(ctx context.Context) error {
	return s.InTurn(ctx, "headtally", func() error {
		provider, err := providerOf(s.engine, s.writer)
		if err != nil {
			return err
		}
		have, known, err := provider.GetVersions(ctx)
		if err != nil {
			return fmt.Errorf("the book cannot be read: %w", err)
		}
		if have > known {
			return fmt.Errorf("%w: its schema is %d, this program knows %d", ErrNewer, have, known)
		}
		if have == known {
			return nil
		}
		if have > 0 {
			if err := s.copyBefore(ctx, known); err != nil {
				return fmt.Errorf("the book is not brought to this version, for no copy of it could be made first: %w", err)
			}
		}
		if _, err := provider.Up(ctx); err != nil {
			return fmt.Errorf("the book cannot be brought to this version: %w", err)
		}
		return nil
	})
}

// providerOf knows the steps of the schema of a database and takes them.
func providerOf(e engine, db *gorm.DB) (*goose.Provider, error) {
	folder, dialect := e.steps()
	steps, err := fs.Sub(migrations, folder)
	if err != nil {
		return nil, err
	}
	pool, err := db.DB()
	if err != nil {
		return nil, err
	}
	return goose.NewProvider(dialect, pool, steps)
}

// inFolder is SQLite: the book is a file in a folder.
type inFolder struct{ dir string }

func (inFolder) steps() (string, goose.Dialect) { return "migrations/sqlite", goose.DialectSQLite3 }

// A writer begins by taking the file's lock (dsn), and a reader sees the file as
// it was when it began.
func (inFolder) write() *sql.TxOptions { return &sql.TxOptions{} }
func (inFolder) read() *sql.TxOptions  { return &sql.TxOptions{ReadOnly: true} }

// turn locks a file beside the book, for SQLite has no lock that could be named.
func (f inFolder) turn(ctx context.Context, name string) (func(), error) {
	lock := flock.New(filepath.Join(f.dir, name+".lock"))
	if _, err := lock.TryLockContext(ctx, 20*time.Millisecond); err != nil {
		return nil, fmt.Errorf("another program holds the book: %w", err)
	}
	return func() { _ = lock.Unlock() }, nil
}

func (inFolder) copyTo(ctx context.Context, db *gorm.DB, file string) error {
	return db.WithContext(ctx).Exec("VACUUM INTO ?", file).Error
}

func (inFolder) sound(db *gorm.DB) []string { return soundFile(db) }

// bytes counts the file and what is not folded into it yet.
func (f inFolder) bytes(context.Context) (all int64, err error) {
	for _, end := range []string{"", "-wal"} {
		info, err := os.Stat(filepath.Join(f.dir, FileName+end))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return 0, err
		}
		if err == nil {
			all += info.Size()
		}
	}
	return all, nil
}

// turnKey is the number of a turn's name.
func turnKey(name string) int64 {
	h := fnv.New64a()
	h.Write([]byte("headtally " + name))
	return int64(h.Sum64())
}
