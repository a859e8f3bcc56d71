package store

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gorm.io/gorm"

	"headtally/domain"
	"headtally/domain/store/storetest"
)

var ctx = context.Background()

// clock is a fixed clock.
func clock() time.Time { return time.Date(2027, 2, 3, 6, 0, 0, 123456789, time.UTC) }

// home is a database that books are tried in.
type home struct {
	name  string
	place func(testing.TB) string // for one more book
}

var inSQLite = home{"sqlite", func(t testing.TB) string { return t.TempDir() }}

// onBoth tries something in SQLite, and in PostgreSQL where there is one.
func onBoth(t *testing.T, fn func(t *testing.T, h home)) {
	for _, h := range []home{inSQLite, {"postgres", storetest.Schema}} {
		t.Run(h.name, func(t *testing.T) { fn(t, h) })
	}
}

// open opens the book in a place.
func (h home) open(t testing.TB, place string) *Store {
	t.Helper()
	s, err := Open(ctx, place, clock, CopiesIn(t.TempDir()))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	return s
}

func open(t *testing.T) *Store { return inSQLite.open(t, t.TempDir()) }

var anna = Act{Who: "Anna", Why: "told by telephone"}

func create[T any](t *testing.T, s *Store, k Kind[T], v T) Record[T] {
	t.Helper()
	rec, err := Write(ctx, s, anna, func(tx *Tx) (Record[T], error) { return k.Create(tx, v) })
	require.NoError(t, err)
	return rec
}

func get[T any](t *testing.T, s *Store, k Kind[T], code string) Record[T] {
	t.Helper()
	rec, err := Read(ctx, s, func(tx *Tx) (Record[T], error) { return k.Get(tx, code) })
	require.NoError(t, err)
	return rec
}

func TestSettingsOfEveryConnection(t *testing.T) {
	s := open(t)
	for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": "10000"} {
		for name, handle := range map[string]*gorm.DB{"writer": s.writer, "reader": s.reader} {
			var got string
			require.NoError(t, handle.Raw("PRAGMA "+pragma).Scan(&got).Error)
			require.Equal(t, want, got, name+" "+pragma)
		}
	}
	info, err := os.Stat(filepath.Join(s.dir, FileName))
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
}

func TestRecordsKeepZerosAndTheirRevision(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		s := h.open(t, h.place(t))
		hold := 0
		rec := create(t, s, Varieties, domain.Variety{Code: "OAK", Name: "Green oakleaf", HoldDays: &hold})
		require.Equal(t, int64(1), rec.Rev)
		require.Equal(t, rec, get(t, s, Varieties, "OAK"))

		create(t, s, Varieties, domain.Variety{Code: "COS", Name: "Romaine"})
		changed, err := Write(ctx, s, anna, func(tx *Tx) (Record[domain.Variety], error) {
			return Varieties.Replace(tx, domain.Variety{Code: "OAK", Name: "Green oakleaf"}, 1)
		})
		require.NoError(t, err)
		require.Equal(t, int64(3), changed.Rev)
		require.Nil(t, get(t, s, Varieties, "OAK").Value.HoldDays)
	})
}

func TestAStaleChangeIsRefused(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		s := h.open(t, h.place(t))
		create(t, s, Varieties, domain.Variety{Code: "OAK", Name: "Oak"})
		replace := func(name string, base int64) error {
			_, err := Write(ctx, s, anna, func(tx *Tx) (Record[domain.Variety], error) {
				return Varieties.Replace(tx, domain.Variety{Code: "OAK", Name: name}, base)
			})
			return err
		}
		require.NoError(t, replace("Oakleaf", 1))
		err := replace("Something else", 1)
		require.ErrorIs(t, err, domain.ErrStale)
		var refusal *domain.Refusal
		require.ErrorAs(t, err, &refusal)
		require.Equal(t, int64(2), refusal.Args["revision"])
		require.Equal(t, "Oakleaf", get(t, s, Varieties, "OAK").Value.Name)
	})
}

func TestAChangeThatChangesNothingLeavesNoTrace(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		s := h.open(t, h.place(t))
		create(t, s, Varieties, domain.Variety{Code: "OAK", Name: "Oak"})
		rec, err := Write(ctx, s, anna, func(tx *Tx) (Record[domain.Variety], error) {
			return Varieties.Replace(tx, domain.Variety{Code: "OAK", Name: "Oak"}, 1)
		})
		require.NoError(t, err)
		require.Equal(t, int64(1), rec.Rev)
		history, err := Read(ctx, s, func(tx *Tx) ([]Entry, error) { return tx.History("", "", 10) })
		require.NoError(t, err)
		require.Len(t, history, 1)
	})
}

func TestHistoryTellsWhoWhenWhyBeforeAndAfter(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		s := h.open(t, h.place(t))
		create(t, s, Varieties, domain.Variety{Code: "OAK", Name: "Oak"})
		_, err := Write(ctx, s, Act{Who: "Ben"}, func(tx *Tx) (Record[domain.Variety], error) { return Varieties.End(tx, "OAK", 1) })
		require.NoError(t, err)
		history, err := Read(ctx, s, func(tx *Tx) ([]Entry, error) { return tx.History("variety", "OAK", 10) })
		require.NoError(t, err)
		require.Equal(t, Entry{Seq: 2, Revision: 2, At: clock().Truncate(time.Microsecond), Who: "Ben", Kind: "variety", Code: "OAK",
			Before: `{"code":"OAK","name":"Oak"}`}, history[0])
		require.Equal(t, "told by telephone", history[1].Why)

		for _, attempt := range []string{"UPDATE history SET who = 'nobody'", "DELETE FROM history"} {
			require.Error(t, s.writer.Exec(attempt).Error, attempt)
		}
		listed, err := Read(ctx, s, func(tx *Tx) ([]domain.Variety, error) { return Varieties.Values(tx, Query{}) })
		require.NoError(t, err)
		require.Empty(t, listed)
		require.True(t, get(t, s, Varieties, "OAK").Ended)
	})
}

func TestARefusedUseCaseLeavesNothing(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		s := h.open(t, h.place(t))
		refusal := errors.New("the edge could not store its answer")
		_, err := Write(OnWrite(ctx, func(_ *Tx, result any) error {
			require.Equal(t, "OAK", result.(Record[domain.Variety]).Value.Code)
			return refusal
		}), s, anna, func(tx *Tx) (Record[domain.Variety], error) {
			return Varieties.Create(tx, domain.Variety{Code: "OAK", Name: "Oak"})
		})
		require.ErrorIs(t, err, refusal)
		revision, err := Read(ctx, s, func(tx *Tx) (int64, error) { return tx.Revision, nil })
		require.NoError(t, err)
		require.Zero(t, revision)
		_, err = Read(ctx, s, func(tx *Tx) (Record[domain.Variety], error) { return Varieties.Get(tx, "OAK") })
		require.ErrorIs(t, err, domain.ErrNotFound)
	})
}

func TestRecordsThatNameMissingOnesAreRefused(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		s := h.open(t, h.place(t))
		_, err := Write(ctx, s, anna, func(tx *Tx) (Record[domain.Customer], error) {
			return Customers.Create(tx, domain.Customer{Code: "INN", Name: "Inn", Carrier: "VAN"})
		})
		require.ErrorIs(t, err, domain.ErrConflict)
		create(t, s, Carriers, domain.Carrier{Code: "VAN", Name: "Van"})
		create(t, s, Customers, domain.Customer{Code: "INN", Name: "Inn", Carrier: "VAN"})
		_, err = Write(ctx, s, anna, func(tx *Tx) (Record[domain.Customer], error) {
			return Customers.Create(tx, domain.Customer{Code: "INN", Name: "Other", Carrier: "VAN"})
		})
		require.ErrorIs(t, err, domain.ErrConflict)
	})
}

func TestSearchAndPages(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		s := h.open(t, h.place(t))
		for _, name := range []string{"Red oakleaf", "Green oakleaf", "100% butterhead", "Romaine", "\u00dcbermorgen"} {
			create(t, s, Varieties, domain.Variety{Code: strings.ToUpper(name[:3]), Name: name})
		}
		names := func(q Query) (list []string) {
			values, err := Read(ctx, s, func(tx *Tx) ([]domain.Variety, error) { return Varieties.Values(tx, q) })
			require.NoError(t, err)
			for _, v := range values {
				list = append(list, v.Name)
			}
			return list
		}
		require.Equal(t, []string{"Green oakleaf", "Red oakleaf"}, names(Query{Search: "OAK"}))
		require.Equal(t, []string{"100% butterhead"}, names(Query{Search: "0%"}))
		require.Equal(t, []string{"\u00dcbermorgen"}, names(Query{Search: "\u00fcber"}))
		require.Equal(t, []string{"100% butterhead", "Green oakleaf"}, names(Query{Limit: 2}))
		require.Equal(t, []string{"Red oakleaf", "Romaine", "\u00dcbermorgen"}, names(Query{After: "GRE"}))
		require.Equal(t, []string{"Green oakleaf"}, names(Query{Search: "oak", Limit: 1}))
	})
}

func TestManyWritersWaitForEachOther(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		place := h.place(t)
		s, other := h.open(t, place), h.open(t, place) // as a second program on the same book
		create(t, s, Counts, domain.Count{ID: "C", Day: domain.MustDay("2027-02-03")})
		var wg sync.WaitGroup
		for i := range 8 {
			store := []*Store{s, other}[i%2]
			wg.Add(1)
			go func() {
				defer wg.Done()
				for range 25 {
					_, err := Write(ctx, store, anna, func(tx *Tx) (Record[domain.Count], error) {
						rec, err := Counts.Get(tx, "C")
						if err != nil {
							return rec, err
						}
						rec.Value.Note += "x"
						return Counts.Replace(tx, rec.Value, rec.Rev)
					})
					if err != nil {
						t.Error(err)
					}
				}
			}()
		}
		wg.Wait()
		require.Len(t, get(t, s, Counts, "C").Value.Note, 200)
		require.Equal(t, int64(201), get(t, s, Counts, "C").Rev)
	})
}

func TestSeveralProgramsOpenAnEmptyFolderAtOnce(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		place := h.place(t)
		errs := make(chan error, 6)
		for range cap(errs) {
			go func() {
				s, err := Open(ctx, place, clock)
				if err == nil {
					err = s.Close()
				}
				errs <- err
			}()
		}
		for range cap(errs) {
			require.NoError(t, <-errs)
		}
	})
}

func TestABookFromANewerProgramIsRefused(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		place := h.place(t)
		s, err := Open(ctx, place, clock)
		require.NoError(t, err)
		require.NoError(t, s.writer.Exec("INSERT INTO goose_db_version (version_id, is_applied) VALUES (99999, ?)", true).Error)
		require.NoError(t, s.Close())
		_, err = Open(ctx, place, clock)
		require.ErrorIs(t, err, ErrNewer)
	})
}

// TestKilledWriter is the other program of the test below: it stores one order
// after another until it is killed, and says each one it was told is stored.
func TestKilledWriter(t *testing.T) {
	place := os.Getenv("HEADTALLY_TEST_KILLED")
	if place == "" {
		t.SkipNow() // runs only as the child of TestAcknowledgedChangesOutliveAKill
	}
	s, err := Open(ctx, place, clock)
	require.NoError(t, err)
	for i := 0; ; i++ {
		code := domain.CodeFrom("V"+strings.Repeat("I", i%7), func(c string) bool {
			is, err := Read(ctx, s, func(tx *Tx) (bool, error) { return Varieties.Exists(tx, c) })
			return err != nil || is
		})
		_, err := Write(ctx, s, anna, func(tx *Tx) (Record[domain.Variety], error) {
			if _, err := Varieties.Create(tx, domain.Variety{Code: code, Name: code}); err != nil {
				return Record[domain.Variety]{}, err
			}
			return Varieties.Create(tx, domain.Variety{Code: code + ".TWIN", Name: code})
		})
		require.NoError(t, err)
		os.Stdout.WriteString("stored " + code + "\n")
	}
}

func TestAcknowledgedChangesOutliveAKill(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		place := h.place(t)
		acknowledged := map[string]bool{}
		for round := range 10 {
			child := exec.Command(os.Args[0], "-test.run", "^TestKilledWriter$")
			child.Env = append(os.Environ(), "HEADTALLY_TEST_KILLED="+place)
			out := &lines{seen: make(chan string, 10000)}
			child.Stdout = out
			require.NoError(t, child.Start())
			for range 3 + round {
				acknowledged[<-out.seen] = true
			}
			require.NoError(t, child.Process.Kill())
			_ = child.Wait()
			for len(out.seen) > 0 {
				acknowledged[<-out.seen] = true
			}
		}
		s, err := Open(ctx, place, clock)
		require.NoError(t, err)
		defer s.Close()
		stored, err := Read(ctx, s, func(tx *Tx) ([]domain.Variety, error) { return Varieties.Values(tx, Query{}) })
		require.NoError(t, err)
		there := map[string]bool{}
		for _, v := range stored {
			there[v.Code] = true
		}
		for code := range acknowledged {
			require.True(t, there[code], "%s was acknowledged and is gone", code)
		}
		for code := range there {
			require.True(t, strings.HasSuffix(code, ".TWIN") || there[code+".TWIN"], "%s stands half stored", code)
		}
		require.Empty(t, s.Check(ctx))
		t.Logf("%d acknowledged changes in 10 kills, none lost", len(acknowledged))
	})
}

// lines passes on each "stored CODE" line as it comes.
type lines struct {
	seen chan string
	rest string
}

func (l *lines) Write(b []byte) (int, error) {
	l.rest += string(b)
	for {
		line, rest, whole := strings.Cut(l.rest, "\n")
		if !whole {
			return len(b), nil
		}
		l.rest = rest
		if code, ok := strings.CutPrefix(line, "stored "); ok {
			l.seen <- code
		}
	}
}

func TestAClockThatIsSetBackTurnsNothingRound(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		now := clock()
		s, err := Open(ctx, h.place(t), func() time.Time { return now }, CopiesIn(t.TempDir()))
		require.NoError(t, err)
		t.Cleanup(func() { require.NoError(t, s.Close()) })
		create(t, s, Varieties, domain.Variety{Code: "A", Name: "A"})
		for _, set := range []time.Time{now.AddDate(-27, 0, 0), now.Add(-time.Second), now, now.AddDate(0, 0, 1)} {
			now = set
			create(t, s, Varieties, domain.Variety{Code: set.Format("20060102150405"), Name: "B"})
		}
		entries, err := Read(ctx, s, func(tx *Tx) ([]Entry, error) { return tx.History("", "", 10) })
		require.NoError(t, err)
		require.Len(t, entries, 5)
		for i := 1; i < len(entries); i++ {
			require.True(t, entries[i-1].At.After(entries[i].At) || entries[i-1].At.Equal(entries[i].At), "newest first")
		}
		require.Equal(t, now.UTC().Truncate(time.Microsecond), entries[0].At, "a clock that is right again is taken as it is")
	})
}
