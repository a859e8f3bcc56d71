// Package storetest gives tests books in either database: in SQLite always, and
// in PostgreSQL where HEADTALLY_TEST_POSTGRES is the address of a database to try
// them in. Each book there is a schema of its own, dropped after the test.
package storetest

import (
	"crypto/rand"
	"database/sql"
	"net/url"
	"os"
	"strings"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver that is called pgx

	"headtally/domain/tried"
)

// Schema makes an empty schema and gives the address that leads to it.
func Schema(t testing.TB) string {
	t.Helper()
	address := os.Getenv("HEADTALLY_TEST_POSTGRES")
	if address == "" {
		tried.Without(t, "HEADTALLY_TEST_POSTGRES names no database")
	}
	name := "t_" + strings.ToLower(rand.Text())
	run(t, address, "CREATE SCHEMA "+name)
	t.Cleanup(func() { run(t, address, "DROP SCHEMA "+name+" CASCADE") })
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	q := u.Query()
	q.Set("search_path", name)
	u.RawQuery = q.Encode()
	return u.String()
}

func run(t testing.TB, address, statement string) {
	t.Helper()
	db, err := sql.Open("pgx", address)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = db.Close() }()
	if _, err := db.Exec(statement); err != nil {
		t.Fatal(err)
	}
}

// Place is where a test's book may lie: a folder, or with
// HEADTALLY_TEST_ON=postgres a database.
func Place(t testing.TB) string {
	t.Helper()
	if os.Getenv("HEADTALLY_TEST_ON") == "postgres" {
		return Schema(t)
	}
	return t.TempDir()
}
