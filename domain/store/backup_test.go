package store

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/tried"
)

func TestACopyIsOneMomentOfABookInUse(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		s := h.open(t, h.place(t))
		create(t, s, Counts, domain.Count{ID: "C", Day: domain.MustDay("2027-02-03")})
		stop, done := make(chan struct{}), make(chan int)
		go func() {
			n := 0
			for ; ; n++ {
				select {
				case <-stop:
					done <- n
					return
				default:
				}
				_, err := Write(ctx, s, anna, func(tx *Tx) (Record[domain.Count], error) {
					rec, err := Counts.Get(tx, "C")
					if err != nil {
						return rec, err
					}
					rec.Value.Note = time.Duration(n + 1).String()
					return Counts.Replace(tx, rec.Value, rec.Rev)
				})
				if err != nil {
					t.Error(err)
				}
			}
		}()
		folder, copies := t.TempDir(), tried.Times(t, 5, 50)
		named := func(i int) string { return BackupName(clock().Add(time.Duration(i) * time.Hour)) }
		for i := range copies {
			file := filepath.Join(folder, named(i))
			require.NoError(t, s.Backup(ctx, file))
			restored := h.place(t)
			require.NoError(t, Restore(ctx, file, restored))
			copied, err := Open(ctx, restored, clock)
			require.NoError(t, err)
			rec := get(t, copied, Counts, "C")
			history, err := Read(ctx, copied, func(tx *Tx) ([]Entry, error) { return tx.History("", "", 100_000) })
			require.NoError(t, err)
			require.Len(t, history, int(rec.Rev), "every change up to the record's revision, and none after")
			require.NoError(t, copied.Close())
		}
		close(stop)
		changes := <-done
		require.Positive(t, changes)
		t.Logf("%d copies amid %d changes, each the book of one moment", copies, changes)

		require.NoError(t, Prune(folder, 2))
		left, err := filepath.Glob(filepath.Join(folder, "*"))
		require.NoError(t, err)
		require.Equal(t, []string{named(copies - 2), named(copies - 1)}, []string{filepath.Base(left[0]), filepath.Base(left[1])})
	})
}

func TestACopyNeverWritesOverAnother(t *testing.T) {
	onBoth(t, func(t *testing.T, h home) {
		place := h.place(t)
		s := h.open(t, place)
		create(t, s, Varieties, domain.Variety{Code: "OAK", Name: "Oak"})
		file := filepath.Join(t.TempDir(), "copy.db")
		require.NoError(t, s.Backup(ctx, file))
		require.ErrorContains(t, s.Backup(ctx, file), "is there already")
		require.ErrorContains(t, Restore(ctx, file, place), "already")
	})
}

func TestADamagedCopyIsNotRestored(t *testing.T) {
	s := open(t)
	for _, name := range []string{"A", "B", "C"} {
		create(t, s, Varieties, domain.Variety{Code: name, Name: name})
	}
	file := filepath.Join(t.TempDir(), "copy.db")
	require.NoError(t, s.Backup(ctx, file))
	whole, err := os.ReadFile(file)
	require.NoError(t, err)
	dir := t.TempDir()
	damage := func(name string, bytes []byte) {
		bad := filepath.Join(t.TempDir(), name)
		require.NoError(t, os.WriteFile(bad, bytes, 0o600))
		require.Error(t, Restore(ctx, bad, dir), name)
	}
	damage("half", whole[:len(whole)/2])
	damage("empty", nil)
	damage("text", []byte("this is no database at all, and longer than a header would be: one hundred bytes at least, as SQLite wants"))
	torn := append([]byte{}, whole...)
	for i := 4096; i < 8192; i++ { // the second page, which holds the schema's first tables
		torn[i] = 0xff
	}
	damage("torn", torn)
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, left)
}
