package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
	"gorm.io/driver/postgres"
	"gorm.io/gorm"
)

// This file is the only one that knows PostgreSQL and its driver.

// IsDatabase says whether a place is the address of a PostgreSQL database rather
// than a folder.
func IsDatabase(place string) bool {
	return strings.HasPrefix(place, "postgres://") || strings.HasPrefix(place, "postgresql://")
}

// onServer is PostgreSQL: the book is a database, and several programs on
// several machines may serve it.
type onServer struct{ reader *sql.DB }

// Connections a program holds at most. Writers take turns at the revision row
// anyway: with two, one waits there while the other commits.
const (
	serverWriters = 2
	serverReaders = 8
)

// openDatabase opens the book in a database.
func (s *Store) openDatabase(ctx context.Context, address string) error {
	cfg, err := serverAddress(address)
	if err != nil {
		return err
	}
	readOnly := cfg.Copy()
	readOnly.RuntimeParams["default_transaction_read_only"] = "on"
	if s.writer, err = openServer(cfg, serverWriters); err != nil {
		return err
	}
	if s.reader, err = openServer(readOnly, serverReaders); err != nil {
		return err
	}
	pool, err := s.reader.DB()
	if err != nil {
		return err
	}
	s.engine = onServer{pool}
	if found := serverSettings(s.reader.WithContext(ctx)); len(found) > 0 {
		return fmt.Errorf("the database is not one to trust a book to: %s", strings.Join(found, "; "))
	}
	return s.migrate(ctx)
}

// serverAddress reads a database's address. What is sent there must be secret on
// its way, as what is sent to the service.
func serverAddress(address string) (*pgx.ConnConfig, error) {
	cfg, err := pgx.ParseConfig(address)
	if err != nil {
		return nil, fmt.Errorf("the database's address: %w", err)
	}
	open := cfg.TLSConfig == nil && !onThisMachine(cfg.Host)
	for _, f := range cfg.Fallbacks {
		open = open || f.TLSConfig == nil && !onThisMachine(f.Host)
	}
	if open {
		return nil, fmt.Errorf("the database on %s is on another machine and would be spoken to for all to read: give sslmode=verify-full in its address", cfg.Host)
	}
	if cfg.ConnectTimeout == 0 {
		cfg.ConnectTimeout = 5 * time.Second
	}
	if cfg.RuntimeParams["application_name"] == "" {
		cfg.RuntimeParams["application_name"] = "headtally"
	}
	// A program that hangs or a machine that is gone lets go of the revision row.
	cfg.RuntimeParams["idle_in_transaction_session_timeout"] = "60s"
	cfg.RuntimeParams["tcp_keepalives_idle"] = "20"
	return cfg, nil
}

func onThisMachine(host string) bool {
	ip := net.ParseIP(host)
	return strings.HasPrefix(host, "/") || host == "localhost" || ip != nil && ip.IsLoopback()
}

func openServer(cfg *pgx.ConnConfig, connections int) (*gorm.DB, error) {
	return openWith(onServerDialect{postgres.New(postgres.Config{Conn: stdlib.OpenDB(*cfg)}).(*postgres.Dialector)}, connections)
}

// serverSettings finds what keeps a server from being trusted: an acknowledged
// change must be on its disk
// (https://www.postgresql.org/docs/current/runtime-config-wal.html).
func serverSettings(db *gorm.DB) (found []string) {
	for setting, bad := range map[string]string{"fsync": "off", "full_page_writes": "off", "synchronous_commit": "off", "server_encoding": "SQL_ASCII"} {
		var is string
		if err := db.Raw("SELECT current_setting(?)", setting).Scan(&is).Error; err != nil {
			return []string{"it cannot be asked: " + err.Error()}
		}
		if is == bad {
			found = append(found, setting+" is "+is)
		}
	}
	return found
}

func (onServer) steps() (string, goose.Dialect) { return "migrations/postgres", goose.DialectPostgres }

// A writer's every statement sees what is committed by then; the first takes the
// revision row, so nobody else's change comes between the others.
func (onServer) write() *sql.TxOptions { return &sql.TxOptions{Isolation: sql.LevelReadCommitted} }

func (onServer) read() *sql.TxOptions {
	return &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true}
}

// turn takes an advisory lock of the database, on a connection of its own. It is
// let go of with the connection, too.
func (e onServer) turn(ctx context.Context, name string) (func(), error) {
	c, err := e.reader.Conn(ctx)
	if err != nil {
		return nil, kindOf(err)
	}
	if _, err := c.ExecContext(ctx, "SELECT pg_advisory_lock($1)", turnKey(name)); err != nil {
		return nil, errors.Join(kindOf(err), discard(c))
	}
	return func() { _ = discard(c) }, nil
}

// discard closes a connection rather than leave it to the next who asks.
func discard(c *sql.Conn) error {
	_ = c.Raw(func(any) error { return driver.ErrBadConn })
	return c.Close()
}

// copyTo writes the book as a SQLite file, so that a copy is the same wherever
// the book lies.
func (e onServer) copyTo(ctx context.Context, db *gorm.DB, file string) error {
	return portable(ctx, e, db, file)
}

// bytes is the size of the whole database.
func (e onServer) bytes(ctx context.Context) (n int64, err error) {
	return n, e.reader.QueryRowContext(ctx, "SELECT pg_database_size(current_database())").Scan(&n)
}

// onServerDialect is gorm's PostgreSQL dialect with errors that keep the
// server's words.
type onServerDialect struct{ *postgres.Dialector }

// Translate gives constraint errors gorm's names
// (https://www.postgresql.org/docs/current/errcodes-appendix.html).
func (onServerDialect) Translate(err error) error {
	switch serverCode(err) {
	case "23505":
		return fmt.Errorf("%w: %w", gorm.ErrDuplicatedKey, err)
	case "23503":
		return fmt.Errorf("%w: %w", gorm.ErrForeignKeyViolated, err)
	case "23514":
		return fmt.Errorf("%w: %w", gorm.ErrCheckConstraintViolated, err)
	}
	return err
}

// serverCode is the code of a server's error; "" where it is none.
func serverCode(err error) string {
	var e *pgconn.PgError
	if errors.As(err, &e) {
		return e.Code
	}
	return ""
}

// isServerFull says whether the server's disk is full.
func isServerFull(err error) bool { return serverCode(err) == "53100" }

// isAway says whether the server could not be asked, was lost or would not go
// on: shut down, too many connections, turned into one for reading, changed by
// an upgrade under a running program, or held up by another's transaction.
func isAway(err error) bool {
	var connect *pgconn.ConnectError
	var network net.Error
	switch code := serverCode(err); {
	case code != "":
		return strings.HasPrefix(code, "08") || strings.HasPrefix(code, "57P") || strings.HasPrefix(code, "40") ||
			code == "53300" || code == "25006" || code == "25P03" || code == "0A000"
	case errors.As(err, &connect), errors.As(err, &network):
		return true
	}
	return pgconn.SafeToRetry(err) || errors.Is(err, driver.ErrBadConn) || errors.Is(err, sql.ErrConnDone) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, net.ErrClosed)
}

// sound asks the server: its settings, that every row and index can be
// read, and every record that another names. With the extension amcheck in the
// database its indexes are held against their tables, too.
func (onServer) sound(db *gorm.DB) []string {
	found := serverSettings(db)
	names, err := tablesOf(db)
	if err != nil {
		return append(found, "the database cannot be read: "+err.Error())
	}
	for _, name := range names {
		if err := readThrough(db, name); err != nil {
			found = append(found, fmt.Sprintf("table %s cannot be read: %v", name, err))
		}
	}
	return append(append(found, strays(db)...), indexes(db)...)
}

// readThrough reads every row of a table.
func readThrough(db *gorm.DB, table string) error {
	rows, err := db.Table(table).Rows()
	if err != nil {
		return err
	}
	for rows.Next() {
	}
	return errors.Join(rows.Err(), rows.Close())
}

// strays finds records that name others that are not there, although the
// database should have refused them.
func strays(db *gorm.DB) (found []string) {
	var named []struct{ Child, Column, Parent string }
	err := db.Raw(`SELECT c.conrelid::regclass::text AS child, a.attname AS "column", c.confrelid::regclass::text AS parent
		FROM pg_constraint c JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = c.conkey[1]
		JOIN pg_namespace n ON n.oid = c.connamespace WHERE c.contype = 'f' AND n.nspname = current_schema() ORDER BY 1, 2`).Scan(&named).Error
	if err != nil {
		return []string{"records that name others cannot be checked: " + err.Error()}
	}
	for _, n := range named {
		var lost int64
		err := db.Raw(fmt.Sprintf(`SELECT count(*) FROM %s c WHERE NOT EXISTS (SELECT FROM %s p WHERE p.code = c.%s)`, n.Child, n.Parent, n.Column)).Scan(&lost).Error
		if err != nil || lost > 0 {
			found = append(found, fmt.Sprintf("%d records of %s name one of %s that is not there", lost, n.Child, n.Parent))
		}
	}
	return found
}

// indexes holds the indexes against their tables, where the database can.
func indexes(db *gorm.DB) (found []string) {
	var there bool
	if err := db.Raw("SELECT EXISTS (SELECT FROM pg_proc WHERE proname = 'bt_index_check')").Scan(&there).Error; err != nil || !there {
		return nil
	}
	var names []string
	if err := db.Raw("SELECT quote_ident(schemaname) || '.' || quote_ident(indexname) FROM pg_indexes WHERE schemaname = current_schema()").Scan(&names).Error; err != nil {
		return []string{"the indexes cannot be checked: " + err.Error()}
	}
	for _, name := range names {
		if err := db.Exec("SELECT bt_index_check(?::regclass, true)", name).Error; err != nil {
			found = append(found, fmt.Sprintf("index %s: %v", name, err))
		}
	}
	return found
}

// tablesOf lists the tables of the book, in a fixed order.
func tablesOf(db *gorm.DB) (names []string, err error) {
	where := "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name <> 'goose_db_version' ORDER BY name"
	if db.Name() == "postgres" {
		where = "SELECT tablename FROM pg_tables WHERE schemaname = current_schema() AND tablename <> 'goose_db_version' ORDER BY tablename"
	}
	return names, db.Raw(where).Scan(&names).Error
}
