// Package storetest gives tests books in either database: in SQLite always, and
// in PostgreSQL where HEADTALLY_TEST_POSTGRES is the address of a database to try
// them in. Each book there is a schema of its own, dropped after the test. And it
// says how often a trial is done.
package storetest

import (
	"crypto/rand"
	"database/sql"
	"net/url"
	"os"
	"strconv"
	"strings"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver that is called pgx
)

// Address is the database to try books in; "" where there is none. With
// HEADTALLY_NEED_TOOLS a test may not go without.
func Address(t testing.TB) string {
	t.Helper()
	address := os.Getenv("HEADTALLY_TEST_POSTGRES")
	if address == "" && os.Getenv("HEADTALLY_NEED_TOOLS") != "" {
		t.Fatal("HEADTALLY_TEST_POSTGRES is the address of a PostgreSQL database, and is missing")
	}
	return address
}

// Schema makes an empty schema and gives the address that leads to it.
func Schema(t testing.TB) string {
	t.Helper()
	address := Address(t)
	if address == "" {
		t.Skip("HEADTALLY_TEST_POSTGRES names no database")
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

// Trials is how often a trial is done: a few times with every run of the tests,
// as often as the promise says where HEADTALLY_TRIAL=long, or so many times
// where it is a number.
func Trials(t testing.TB, few, long int) int {
	t.Helper()
	switch told := os.Getenv("HEADTALLY_TRIAL"); told {
	case "":
		return few
	case "long":
		return long
	default:
		n, err := strconv.Atoi(told)
		if err != nil {
			t.Fatalf("HEADTALLY_TRIAL is long, or how often: %v", err)
		}
		return n
	}
}
