package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"gorm.io/gorm"
)

// Backup writes one moment of the book to a file while the book is in use. The
// copy is made under another name beside it, written through to the disk,
// opened and checked, and only then given its name: a copy that was interrupted
// leaves the last good one as it was.
func (s *Store) Backup(ctx context.Context, file string) error {
	return s.copyTo(ctx, s.reader, file)
}

func (s *Store) copyTo(ctx context.Context, db *gorm.DB, file string) error {
	if _, err := os.Lstat(file); err == nil {
		return fmt.Errorf("%s is there already; a copy never writes over another", file)
	}
	part := file + ".part"
	if err := os.Remove(part); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	if err := s.engine.copyTo(ctx, db, part); err != nil {
		return fmt.Errorf("the copy could not be written: %w", kindOf(err))
	}
	defer func() { _ = os.Remove(part) }()
	if err := errors.Join(os.Chmod(part, 0o600), flush(part)); err != nil {
		return err
	}
	if found, err := CheckFile(ctx, part); err != nil || len(found) > 0 {
		return errors.Join(fmt.Errorf("the copy is not sound: %s", strings.Join(found, "; ")), err)
	}
	if err := os.Rename(part, file); err != nil {
		return err
	}
	return flush(filepath.Dir(file))
}

// flush writes a file's or a folder's state through to the disk.
func flush(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// BackupName is the name of a scheduled copy: its instant in UTC.
func BackupName(at time.Time) string {
	return "headtally-" + at.UTC().Format("20060102T150405Z") + ".db"
}

// Prune removes the oldest scheduled copies of a folder until keep are left.
func Prune(dir string, keep int) error { return prune(dir, "headtally-*Z.db", keep) }

func prune(dir, named string, keep int) error {
	copies, err := filepath.Glob(filepath.Join(dir, named))
	if err != nil {
		return err
	}
	slices.Sort(copies)
	var errs []error
	for len(copies) > keep {
		errs, copies = append(errs, os.Remove(copies[0])), copies[1:]
	}
	return errors.Join(errs...)
}

// copyBefore copies the book as it is before it is brought to a schema. The last
// two copies are kept: an upgrade that fails may be tried again and again.
func (s *Store) copyBefore(ctx context.Context, schema int64) error {
	before := fmt.Sprintf("before-%04d-", schema)
	if s.dir == "" {
		return errors.New("it was not told where to put one")
	}
	if err := os.MkdirAll(s.dir, 0o700); err != nil {
		return err
	}
	if err := s.copyTo(ctx, s.writer, filepath.Join(s.dir, before+BackupName(s.now()))); err != nil {
		return err
	}
	return prune(s.dir, before+"*Z.db", 2)
}

// Restore puts a copy into a place that holds no book, a folder or a database;
// so it is also the way to move from one to the other. The copy is checked first,
// and not changed.
func Restore(ctx context.Context, file, place string) error {
	if IsDatabase(place) {
		return restoreDatabase(ctx, file, place)
	}
	dir, target := place, filepath.Join(place, FileName)
	if _, err := os.Lstat(target); err == nil {
		return fmt.Errorf("%s is there already; move it away first, or restore into another folder", target)
	}
	if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("there is no file %s", file)
	}
	if found, err := CheckFile(ctx, file); err != nil || len(found) > 0 {
		return errors.Join(fmt.Errorf("%s is not sound: %s", file, strings.Join(found, "; ")), err)
	}
	whole, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	part := target + ".part"
	if err := errors.Join(os.MkdirAll(dir, 0o700), os.WriteFile(part, whole, 0o600), flush(part)); err != nil {
		return err
	}
	return errors.Join(os.Rename(part, target), flush(dir))
}

// CheckFile holds a file against what a book must be: a database without
// damage, every record that another names there, and the tables of a book. It
// gives what it found, and changes nothing.
func CheckFile(ctx context.Context, file string) (found []string, err error) {
	if _, err := os.Stat(file); err != nil {
		return nil, err
	}
	db, err := openHandle(fileURI(file)+"?mode=ro", 1)
	if err != nil {
		return []string{err.Error()}, nil
	}
	defer func() {
		if pool, e := db.DB(); e == nil {
			err = errors.Join(err, pool.Close())
		}
	}()
	return soundFile(db.WithContext(ctx)), nil
}

// Check holds the open book against what it must be, as CheckFile does.
func (s *Store) Check(ctx context.Context) []string { return s.engine.sound(s.reader.WithContext(ctx)) }

// soundFile asks the file itself. What it cannot answer is a finding too.
func soundFile(db *gorm.DB) (found []string) {
	var verdicts []string
	if err := db.Raw("PRAGMA integrity_check").Scan(&verdicts).Error; err != nil {
		return []string{"the file cannot be read: " + err.Error()}
	}
	for _, v := range verdicts {
		if v != "ok" {
			found = append(found, v)
		}
	}
	var strays []struct{ Table, Parent string }
	if err := db.Raw(`SELECT "table", parent FROM pragma_foreign_key_check`).Scan(&strays).Error; err != nil {
		return append(found, "records that name others cannot be checked: "+err.Error())
	}
	for _, s := range strays {
		found = append(found, fmt.Sprintf("a record of %s names one of %s that is not there", s.Table, s.Parent))
	}
	var revisions int64
	if err := db.Table("book").Where("id = 1").Count(&revisions).Error; err != nil || revisions != 1 {
		found = append(found, "this is not a book: its revision is missing")
	}
	return found
}
