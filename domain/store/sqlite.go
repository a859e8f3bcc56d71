package store

import (
	"embed"
	"errors"
	"fmt"

	"gorm.io/driver/sqlite"
	"gorm.io/gorm"
	driver "modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"
)

// This file is the only one that knows SQLite and its driver.

//go:embed migrations
var migrations embed.FS

// pureGo is gorm's SQLite dialect over a driver that needs no C compiler. The
// dialect translates only the errors of another driver, so Translate is ours.
type pureGo struct{ *sqlite.Dialector }

func dialector(dsn string) gorm.Dialector {
	return pureGo{&sqlite.Dialector{DriverName: "sqlite", DSN: dsn}}
}

// Translate gives constraint errors gorm's names and keeps the driver's words.
func (pureGo) Translate(err error) error {
	var e *driver.Error
	if !errors.As(err, &e) {
		return err
	}
	switch e.Code() {
	case lib.SQLITE_CONSTRAINT_PRIMARYKEY, lib.SQLITE_CONSTRAINT_UNIQUE:
		return fmt.Errorf("%w: %w", gorm.ErrDuplicatedKey, err)
	case lib.SQLITE_CONSTRAINT_FOREIGNKEY:
		return fmt.Errorf("%w: %w", gorm.ErrForeignKeyViolated, err)
	case lib.SQLITE_CONSTRAINT_CHECK:
		return fmt.Errorf("%w: %w", gorm.ErrCheckConstraintViolated, err)
	}
	return err
}

// isDiskFull says whether a write failed for want of space.
func isDiskFull(err error) bool {
	var e *driver.Error
	return errors.As(err, &e) && e.Code()&0xff == lib.SQLITE_FULL
}

// isDiskFault says whether reading or writing the file itself failed.
func isDiskFault(err error) bool {
	var e *driver.Error
	return errors.As(err, &e) && e.Code()&0xff == lib.SQLITE_IOERR
}
