package store

import (
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestDroppedFilesAreLetGoOf: after their time, and the oldest where they are
// too many, but never the one that was just dropped.
func TestDroppedFilesAreLetGoOf(t *testing.T) {
	now := clock()
	s, err := Open(ctx, t.TempDir(), func() time.Time { return now })
	require.NoError(t, err)
	defer func() { require.NoError(t, s.Close()) }()
	drop := func(id string, bytes int) {
		now = now.Add(time.Minute)
		_, err := Write(ctx, s, anna, func(tx *Tx) (bool, error) {
			return true, tx.KeepDropped(Dropped{ID: id, Name: id + ".csv", Bytes: make([]byte, bytes)})
		})
		require.NoError(t, err)
	}
	kept := func(id string) bool {
		found, err := Read(ctx, s, func(tx *Tx) (bool, error) {
			d, found, err := tx.Dropped(id, now)
			if found {
				require.Equal(t, id+".csv", d.Name)
				require.NotEmpty(t, d.Bytes)
			}
			return found, err
		})
		require.NoError(t, err)
		return found
	}
	drop("a", 10)
	drop("b", 20)
	drop("a", 10) // once more: it waits anew
	require.True(t, kept("a"))
	require.False(t, kept("c"))
	drop("c", DroppedBytes-15)
	require.True(t, kept("a"))
	require.True(t, kept("b"), "the newest does not count")
	drop("d", 1)
	require.True(t, kept("c"))
	require.True(t, kept("a"))
	require.False(t, kept("b"), "it is the oldest and they are too many")
	now = now.Add(DroppedLife)
	require.False(t, kept("a"))

	revision, err := Read(ctx, s, func(tx *Tx) (int64, error) { return tx.Revision, nil })
	require.NoError(t, err)
	require.Zero(t, revision, "a file that waits changes nothing in the book")
}

// A file goes to the database as it is: nothing on the way writes it out once
// more, as numbers or as text.
func TestAFileIsKeptAtItsOwnSize(t *testing.T) {
	s, err := Open(ctx, t.TempDir(), clock)
	require.NoError(t, err)
	defer func() { require.NoError(t, s.Close()) }()
	d := Dropped{ID: "a", Name: "a.csv", Bytes: make([]byte, 4<<20)}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err = Write(ctx, s, anna, func(tx *Tx) (bool, error) { return true, tx.KeepDropped(d) })
	require.NoError(t, err)
	runtime.ReadMemStats(&after)
	require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(2*len(d.Bytes)))
}
