package main

import (
	"context"
	"errors"
	"fmt"

	"headtally/api/book"
	"headtally/domain/store"
)

// runBackup copies the book to a file; the book may be served meanwhile.
func runBackup(ctx context.Context, sh surroundings, args []string) error {
	s := newSettings(sh, "backup", "FILE")
	data := s.data()
	files, err := s.read(args)
	if err != nil {
		return err
	}
	if len(files) != 1 {
		return exits{refused, errors.New("headtally backup takes the file to write")}
	}
	b, done, err := openKept(ctx, sh, *data)
	if err != nil {
		return err
	}
	defer done()
	if err := b.Backup(ctx, book.Owner(), files[0]); err != nil {
		return err
	}
	_, err = fmt.Fprintf(sh.out, "copied to %s; it was opened again and is sound\n", files[0])
	return err
}

// runRestore puts a copy into an empty folder.
func runRestore(ctx context.Context, sh surroundings, args []string) error {
	s := newSettings(sh, "restore", "FILE --data DIR")
	data := s.data()
	files, err := s.read(args)
	if err != nil {
		return err
	}
	if len(files) != 1 {
		return exits{refused, errors.New("headtally restore takes the copy to put back")}
	}
	if err := data.check(); err != nil {
		return err
	}
	if err := store.Restore(ctx, files[0], data.store()); err != nil {
		return err
	}
	_, err = fmt.Fprintf(sh.out, "%s is put back into %s\n", files[0], data)
	return err
}

// runCheck holds the book against what it must be; findings end with code 1.
func runCheck(ctx context.Context, sh surroundings, args []string) error {
	s := newSettings(sh, "check", "--data DIR")
	data, asOf := s.data(), s.asOf(today)
	if _, err := s.read(args); err != nil {
		return err
	}
	b, done, err := openKept(ctx, sh, *data)
	if err != nil {
		return err
	}
	defer done()
	day, err := dayOr(ctx, b, *asOf)
	if err != nil {
		return err
	}
	found, err := b.Check(ctx, book.Owner(), day)
	if err != nil {
		return err
	}
	for _, f := range found {
		fmt.Fprintln(sh.out, f)
	}
	if len(found) > 0 {
		return exits{1, fmt.Errorf("%d findings", len(found))}
	}
	_, err = fmt.Fprintln(sh.out, "the book is sound")
	return err
}
