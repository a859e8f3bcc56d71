package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"

	"headtally/domain/store"
)

// place is where a book lies: in a folder; or in a database, and then the folder
// takes its papers and copies.
type place struct{ folder, database string }

// data is the flags --data and --database: where the book lies.
func (s settings) data() *place {
	p := new(place)
	s.StringVar(&p.folder, "data", defaultData(), "the `DIR` that holds the book")
	s.StringVar(&p.database, unseen, "", "the `ADDRESS` of a PostgreSQL database that holds it instead (postgres://...)")
	return p
}

// unseen is the flag that a command's help leaves out: whoever has more than one
// machine finds it in the manual.
const unseen = "database"

// store is the place as the store takes it.
func (p place) store() string {
	if p.database != "" {
		return p.database
	}
	return p.folder
}

// String is the place as anybody may read it: without a password.
func (p place) String() string {
	if p.database == "" {
		return p.folder
	}
	address, err := url.Parse(p.database)
	if err != nil {
		return "the database"
	}
	return address.Redacted()
}

// check refuses an address that would be taken for a folder.
func (p place) check() error {
	if p.database != "" && !store.IsDatabase(p.database) {
		return exits{refused, errors.New("--database is an address such as postgres://headtally@localhost/headtally")}
	}
	return nil
}

// holdsBook refuses a folder without a book, so that one misspelt is not taken
// for an empty farm.
func (p place) holdsBook() error {
	if p.database != "" {
		return nil
	}
	if _, err := os.Stat(filepath.Join(p.folder, store.FileName)); errors.Is(err, fs.ErrNotExist) {
		return exits{refused, fmt.Errorf("there is no book in %s: --data names its folder; headtally, or headtally import FILE.xlsx, begins one", p.folder)}
	}
	return nil
}

// open opens the book in it.
func (p place) open(ctx context.Context, sh surroundings) (*store.Store, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	return store.Open(ctx, p.store(), sh.now, store.CopiesIn(filepath.Join(p.folder, "backups")))
}
