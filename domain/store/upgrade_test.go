package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/pressly/goose/v3"
	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/tried"
)

// raw opens a file without bringing it forward.
func raw(t *testing.T, dir string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", dsn(filepath.Join(dir, FileName), ""))
	require.NoError(t, err)
	t.Cleanup(func() { _ = db.Close() })
	return db
}

func steps(t *testing.T, db *sql.DB) *goose.Provider {
	t.Helper()
	files, err := fs.Sub(migrations, "migrations/sqlite")
	require.NoError(t, err)
	p, err := goose.NewProvider(goose.DialectSQLite3, db, files)
	require.NoError(t, err)
	return p
}

// filled is a book of this version with a record of most kinds, its history, a
// pass, an answer kept and an event.
func filled(t *testing.T) (dir string) {
	t.Helper()
	dir = t.TempDir()
	s, err := Open(ctx, dir, clock)
	require.NoError(t, err)
	defer func() { require.NoError(t, s.Close()) }()
	create(t, s, Farms, domain.NewFarm())
	create(t, s, Carriers, domain.Carrier{Code: "VAN", Name: "Van"})
	for i := range 40 {
		create(t, s, Varieties, domain.Variety{Code: fmt.Sprint("V", i), Name: fmt.Sprint("Variety ", i)})
		create(t, s, Customers, domain.Customer{Code: fmt.Sprint("C", i), Name: fmt.Sprint("Kitchen ", i), Carrier: "VAN"})
		create(t, s, Orders, domain.Order{ID: fmt.Sprint("O", i), Customer: fmt.Sprint("C", i), Pickup: domain.MustDay("2027-02-05")})
		create(t, s, Counts, domain.Count{ID: fmt.Sprint("N", i), Day: domain.MustDay("2027-02-03"), Note: "walk\r\nnote"})
	}
	create(t, s, People, domain.Account{Code: "anna", Name: "Anna"})
	_, err = Write(ctx, s, anna, func(tx *Tx) (bool, error) {
		if err := tx.KeepPass(domain.Pass{ID: "p", Kind: domain.KeyPass, Label: "till"}, "hash"); err != nil {
			return false, err
		}
		return true, tx.KeepReply(Reply{Who: "Anna", Key: "k", Status: 201, Header: "{}", Body: "{}"})
	})
	require.NoError(t, err)
	return dir
}

// tables lists the tables of a file that hold the farm's rows.
func tables(t *testing.T, db *sql.DB) (names []string) {
	t.Helper()
	rows, err := db.Query(`SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name <> 'goose_db_version' ORDER BY name`)
	require.NoError(t, err)
	defer rows.Close()
	for rows.Next() {
		var name string
		require.NoError(t, rows.Scan(&name))
		names = append(names, name)
	}
	require.NoError(t, rows.Err())
	return names
}

// digests are the number of rows and a hash of all that stands in each table,
// columns by name and rows in order, so that later columns show as a change.
func digests(t *testing.T, db *sql.DB, names []string) map[string]string {
	t.Helper()
	found := map[string]string{}
	for _, name := range names {
		rows, err := db.Query(`SELECT * FROM "` + name + `" ORDER BY 1, 2`)
		require.NoError(t, err)
		columns, err := rows.Columns()
		require.NoError(t, err)
		hash, n := sha256.New(), 0
		for ; rows.Next(); n++ {
			cells, into := make([]sql.NullString, len(columns)), make([]any, len(columns))
			for i := range cells {
				into[i] = &cells[i]
			}
			require.NoError(t, rows.Scan(into...))
			for i, c := range cells {
				fmt.Fprintf(hash, "%s=%v %q\x00", columns[i], c.Valid, c.String)
			}
		}
		require.NoError(t, rows.Err())
		require.NoError(t, rows.Close())
		found[name] = fmt.Sprintf("%d rows, %x", n, hash.Sum(nil))
	}
	return found
}

// older makes a book at an older schema with all the rows of a full one that it
// has tables for.
func older(t *testing.T, full string, version int64) (dir string, rows map[string]string) {
	t.Helper()
	dir = t.TempDir()
	db := raw(t, dir)
	_, err := steps(t, db).UpTo(ctx, version)
	require.NoError(t, err)
	db.SetMaxOpenConns(1) // a file is attached to one connection
	_, err = db.Exec("ATTACH ? AS full", filepath.Join(full, FileName))
	require.NoError(t, err)
	names := tables(t, db)
	_, err = db.Exec("DELETE FROM book")
	require.NoError(t, err)
	_, err = db.Exec("PRAGMA foreign_keys = OFF") // tables are filled in the order of their names
	require.NoError(t, err)
	for _, name := range names {
		_, err = db.Exec(fmt.Sprintf(`INSERT INTO main."%s" SELECT * FROM full."%s"`, name, name))
		require.NoError(t, err)
	}
	rows = digests(t, db, names)
	require.NoError(t, db.Close())
	return dir, rows
}

// schemas are the versions of the schema, oldest first.
func schemas(t *testing.T) (versions []int64) {
	t.Helper()
	db := raw(t, t.TempDir())
	for _, s := range steps(t, db).ListSources() {
		versions = append(versions, s.Version)
	}
	require.NotEmpty(t, versions)
	return versions
}

// TestUpgradesKeepEveryRow brings a book of each older schema forward: every row
// is kept, and a copy of what was before lies beside the book.
func TestUpgradesKeepEveryRow(t *testing.T) {
	full, versions := filled(t), schemas(t)
	for _, version := range versions[:len(versions)-1] {
		dir, rows := older(t, full, version)
		s, err := Open(ctx, dir, clock)
		require.NoError(t, err)
		require.Empty(t, s.Check(ctx))
		require.NoError(t, s.Close())
		names := make([]string, 0, len(rows))
		for name := range rows {
			names = append(names, name)
		}
		require.Equal(t, rows, digests(t, raw(t, dir), names), "from schema %d", version)

		copies, err := filepath.Glob(filepath.Join(dir, "before-*Z.db"))
		require.NoError(t, err)
		require.Len(t, copies, 1, "from schema %d", version)
		back := t.TempDir()
		require.NoError(t, Restore(ctx, copies[0], back))
		was := raw(t, back)
		require.Equal(t, rows, digests(t, was, names), "the copy")
		have, err := steps(t, was).GetDBVersion(ctx)
		require.NoError(t, err)
		require.Equal(t, version, have, "the copy is from before")

		s, err = Open(ctx, dir, clock)
		require.NoError(t, err)
		require.NoError(t, s.Close())
		again, err := filepath.Glob(filepath.Join(dir, "before-*Z.db"))
		require.NoError(t, err)
		require.Equal(t, copies, again, "a book of this version is not copied")
	}
}

// TestAnUpgradeThatFailsLeavesTheBookAsItWas stands something in the way of the
// last step.
func TestAnUpgradeThatFailsLeavesTheBookAsItWas(t *testing.T) {
	versions := schemas(t)
	last := versions[len(versions)-1]
	dir, rows := older(t, filled(t), versions[0])
	db := raw(t, dir)
	for _, name := range newest(t) {
		_, err := db.Exec(`CREATE TABLE "` + name + `" (in_the_way TEXT)`)
		require.NoError(t, err)
	}
	_, err := Open(ctx, dir, clock)
	require.ErrorContains(t, err, "cannot be brought to this version")
	names := make([]string, 0, len(rows))
	for name := range rows {
		names = append(names, name)
	}
	require.Equal(t, rows, digests(t, db, names))
	have, err := steps(t, db).GetDBVersion(ctx)
	require.NoError(t, err)
	require.Less(t, have, last)
	for _, name := range newest(t) {
		_, err := db.Exec(`DROP TABLE "` + name + `"`)
		require.NoError(t, err)
	}
	s, err := Open(ctx, dir, func() time.Time { return clock().Add(time.Minute) })
	require.NoError(t, err, "once nothing is in the way")
	require.NoError(t, s.Close())
	require.Equal(t, rows, digests(t, db, names))
}

// newest are the tables that the last step makes.
func newest(t *testing.T) (names []string) {
	t.Helper()
	versions := schemas(t)
	db := raw(t, t.TempDir())
	_, err := steps(t, db).UpTo(ctx, versions[len(versions)-2])
	require.NoError(t, err)
	before := map[string]bool{}
	for _, name := range tables(t, db) {
		before[name] = true
	}
	_, err = steps(t, db).Up(ctx)
	require.NoError(t, err)
	for _, name := range tables(t, db) {
		if !before[name] {
			names = append(names, name)
		}
	}
	if len(names) == 0 {
		t.Skip("the last step makes no table")
	}
	return names
}

// upgradedIn is the environment variable that makes a test the program that is
// killed while it brings a book forward: it names the folder.
const upgradedIn = "HEADTALLY_TEST_UPGRADED_IN"

// TestAKilledUpgradeIsOldOrNew kills a program at some moment of bringing a book
// forward: each step was taken or was not, and the next program goes on.
func TestAKilledUpgradeIsOldOrNew(t *testing.T) {
	if dir := os.Getenv(upgradedIn); dir != "" {
		fmt.Println("ready")
		_, err := Open(context.Background(), dir, time.Now)
		require.NoError(t, err)
		fmt.Println("done")
		return
	}
	versions := schemas(t)
	full, reached := filled(t), map[int64]int{}
	for turn := range tried.Times(t, 12, 200) {
		dir, rows := older(t, full, versions[0])
		child := exec.Command(os.Args[0], "-test.run", "^"+t.Name()+"$")
		child.Env = append(os.Environ(), upgradedIn+"="+dir)
		out := &firstWord{seen: make(chan struct{})}
		child.Stdout = out
		require.NoError(t, child.Start())
		<-out.seen
		time.Sleep(time.Duration(turn*turn*1733%12_000) * time.Microsecond)
		_ = child.Process.Kill()
		_ = child.Wait()

		db := raw(t, dir)
		have, err := steps(t, db).GetDBVersion(ctx)
		require.NoError(t, err)
		require.Contains(t, versions, have)
		reached[have]++
		names := make([]string, 0, len(rows))
		for name := range rows {
			names = append(names, name)
		}
		require.Equal(t, rows, digests(t, db, names))
		s, err := Open(ctx, dir, clock)
		require.NoError(t, err)
		require.Empty(t, s.Check(ctx))
		require.NoError(t, s.Close())
		require.Equal(t, rows, digests(t, db, names))
		require.NoError(t, db.Close())
	}
	t.Logf("kills by the schema they left: %v", reached)
}

// firstWord tells when a program has said something.
type firstWord struct {
	seen chan struct{}
	said bool
}

func (w *firstWord) Write(b []byte) (int, error) {
	if !w.said {
		w.said = true
		close(w.seen)
	}
	return len(b), nil
}
