package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"gorm.io/gorm"
)

// portable writes one moment of a database to a new SQLite file at the schema
// that the database has.
func portable(ctx context.Context, e engine, from *gorm.DB, file string) error {
	to, err := openHandle(fileURI(file)+"?_pragma=journal_mode(DELETE)&_pragma=synchronous(OFF)", 1)
	if err != nil {
		return err
	}
	err = from.WithContext(ctx).Transaction(func(from *gorm.DB) error {
		var schema int64
		if err := from.Raw("SELECT max(version_id) FROM goose_db_version WHERE is_applied").Scan(&schema).Error; err != nil {
			return err
		}
		if err := fileAt(ctx, to, schema); err != nil {
			return err
		}
		return to.WithContext(ctx).Transaction(func(to *gorm.DB) error { return pour(from, to) })
	}, e.read())
	pool, closed := to.DB()
	if closed == nil {
		closed = pool.Close()
	}
	return errors.Join(err, closed)
}

// fileAt brings an empty file to a schema.
func fileAt(ctx context.Context, db *gorm.DB, schema int64) error {
	provider, err := providerOf(inFolder{}, db)
	if err != nil {
		return err
	}
	_, err = provider.UpTo(ctx, schema)
	return err
}

// pourRows is how many rows are written at once.
const pourRows = 100

// pour puts every row of one book in the place of those of a new one of the same
// schema.
func pour(from, to *gorm.DB) error {
	names, err := tablesOf(from)
	if err != nil {
		return err
	}
	for _, name := range names {
		if err := to.Exec("DELETE FROM " + name).Error; err != nil {
			return err
		}
		if err := pourTable(from, to, name); err != nil {
			return fmt.Errorf("table %s: %w", name, err)
		}
	}
	return nil
}

func pourTable(from, to *gorm.DB, name string) (err error) {
	rows, err := from.Table(name).Rows()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	columns, err := rows.ColumnTypes()
	if err != nil {
		return err
	}
	var batch []map[string]any
	for rows.Next() {
		row, err := cellsOf(rows, columns)
		if err != nil {
			return err
		}
		if batch = append(batch, row); len(batch) == pourRows {
			if err := insert(to, name).Create(batch).Error; err != nil {
				return err
			}
			batch = nil
		}
	}
	if err := rows.Err(); err != nil || len(batch) == 0 {
		return err
	}
	return insert(to, name).Create(batch).Error
}

// cellsOf reads one row by the names of its columns. SQLite keeps truth as 0 and 1.
func cellsOf(rows *sql.Rows, columns []*sql.ColumnType) (map[string]any, error) {
	cells, into := make([]any, len(columns)), make([]any, len(columns))
	for i := range cells {
		into[i] = &cells[i]
	}
	if err := rows.Scan(into...); err != nil {
		return nil, err
	}
	row := map[string]any{}
	for i, c := range columns {
		if n, is := cells[i].(int64); is && c.DatabaseTypeName() == "BOOLEAN" {
			cells[i] = n != 0
		}
		row[c.Name()] = cells[i]
	}
	return row, nil
}

// restoreDatabase puts a copy into a database that holds no book. One from an
// older version is brought forward on the way.
func restoreDatabase(ctx context.Context, file, address string) (err error) {
	dir, err := os.MkdirTemp("", "headtally-restore-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	if err := Restore(ctx, file, dir); err != nil {
		return err
	}
	never := func() time.Time { return time.Time{} } // nothing that is written here bears a time
	from, err := Open(ctx, dir, never)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, from.Close()) }()
	s, err := Open(ctx, address, never)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	err = s.within(ctx, s.writer, s.engine.write(), func(tx *Tx) error {
		if err := holdsNothing(tx.db); err != nil {
			return err
		}
		if err := tx.db.Exec("SET CONSTRAINTS ALL DEFERRED").Error; err != nil {
			return err
		}
		return pour(from.reader.WithContext(ctx), tx.db)
	})
	if found := s.Check(ctx); err == nil && len(found) > 0 {
		err = fmt.Errorf("what was put back is not sound: %s", strings.Join(found, "; "))
	}
	return kindOf(err)
}

// holdsNothing refuses a database in which anything was ever written.
func holdsNothing(db *gorm.DB) error {
	names, err := tablesOf(db)
	if err != nil {
		return err
	}
	for _, name := range names {
		var rows int64
		if err := db.Table(name).Count(&rows).Error; err != nil {
			return err
		}
		if rows > 0 && name != "book" {
			return fmt.Errorf("the database holds a book already (table %s); take an empty one", name)
		}
	}
	return nil
}
